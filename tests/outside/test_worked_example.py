"""The trade's worked example of a lidded box for a round thing (common practice, no source).

Card 0.30 mm on 12 x 12 in sheets of which 11 1/2 in can be used, ruler grid 1/16 in; the thing measures 4 1/4 in at
its widest and 4.3 in high, which is read up to 4 3/8; clearance 1/4 in, headroom 3/8 in, hem 1 in, glue flap 1/2 in, skirt 1 in.
"""

from __future__ import annotations

from pathlib import Path

import pytest
import shapely

from booklet import pieces, steps
from booklet.lengths import as_read, parse_length
from booklet.net import Item, Net, Part
from booklet.plane import side
from booklet.planning import fit_of, net_of
from booklet.proof import prove
from booklet.spec import load
from booklet.thickness import Thickness
from tests import boxes, samples

INCH = 25.4
HEIGHT = as_read(parse_length("4.3 in"))
THING = Item("round", 4.25 * INCH, 4.25 * INCH, HEIGHT)
SHEET = (12 * INCH, 12 * INCH)


@pytest.fixture(scope="module")
def net() -> Net:
    from booklet.card import Card

    uncut = boxes.net("lidded-box", THING, 0.30, units="in", clearance=0.25 * INCH, headroom=0.375 * INCH)
    bare = boxes.shelf()["lidded-box"].net(boxes.sizes("lidded-box", THING, 0.30, "in", 0.25 * INCH, 0.375 * INCH))
    assert len(uncut.part["box"].pieces) == 1
    return pieces.cut(bare, Card(0.30, SHEET, edge=0.25 * INCH), "in")


def size(part: Part, name: str) -> tuple[float, float]:
    """Width along its first edge and depth from it, of a panel, in inches."""
    (ax, ay), (bx, by), *_ = part.panel[name].outline
    line = ((ax, ay), (bx, by))
    return shapely.LineString(line).length / INCH, max(abs(side(line, p)) for p in part.panel[name].outline) / INCH


def free_edge(part: Part, name: str) -> float:
    """Length of the edge of a flap away from its fold, in inches."""
    return shapely.LineString(part.panel[name].outline[2:4]).length / INCH


def test_the_height_is_read_up_to_the_next_eighth() -> None:
    assert pytest.approx(4.375) == HEIGHT / INCH


def test_walls_are_4_1_2_wide_and_4_3_4_high(net: Net) -> None:
    for i in range(1, 5):
        assert size(net.part["box"], f"wall-{i}") == pytest.approx((4.5, 4.75))


def test_base_panels_are_4_1_2_deep_and_flaps_tapered_by_a_quarter_a_side(net: Net) -> None:
    box = net.part["box"]
    for name in ("base-1", "base-2"):
        assert size(box, name) == pytest.approx((4.5, 4.5))
        assert free_edge(box, name) == pytest.approx(4.5)
    for name in ("base-flap-1", "base-flap-2"):
        assert size(box, name) == pytest.approx((4.5, 4.5))
        assert free_edge(box, name) == pytest.approx(4.0)


def test_hems_are_1_deep_and_narrower_by_an_eighth_at_the_free_edge_on_each_side(net: Net) -> None:
    for i in range(1, 5):
        assert size(net.part["box"], f"hem-{i}") == pytest.approx((4.5, 1.0))
        assert free_edge(net.part["box"], f"hem-{i}") == pytest.approx(4.25)


def test_glue_flaps_are_half_an_inch_and_shorter_by_an_eighth_at_both_ends(net: Net) -> None:
    for name in ("glue-flap-1", "glue-flap-2"):
        assert size(net.part["box"], name) == pytest.approx((4.75, 0.5))
        assert free_edge(net.part["box"], name) == pytest.approx(4.5)


def test_the_wrap_is_18_1_2_by_10_1_4_before_it_is_cut() -> None:
    uncut = boxes.net("lidded-box", THING, 0.30, units="in", clearance=0.25 * INCH, headroom=0.375 * INCH)
    (wrap,) = uncut.part["box"].pieces
    assert [side / INCH for side in wrap.size] == pytest.approx([18.5, 10.25])


def test_the_wrap_becomes_two_equal_pieces_of_9_1_2_by_10_1_4(net: Net) -> None:
    first, second = net.part["box"].pieces
    assert [side / INCH for side in first.size] == pytest.approx([9.5, 10.25])
    assert first.template == second.template == first.name


def test_the_lid_is_4_5_8_square_an_eighth_larger_than_the_base(net: Net) -> None:
    assert size(net.part["lid"], "lid") == pytest.approx((4.625, 4.625))


def test_skirts_are_1_and_lid_hems_7_8_tapered_by_a_quarter(net: Net) -> None:
    for i in range(1, 5):
        assert size(net.part["lid"], f"skirt-{i}") == pytest.approx((4.625, 1.0))
        assert size(net.part["lid"], f"lid-hem-{i}") == pytest.approx((4.625, 0.875))
        assert free_edge(net.part["lid"], f"lid-hem-{i}") == pytest.approx(4.625 - 0.5)


def test_corner_flaps_are_1_tapered_by_an_eighth(net: Net) -> None:
    for i in range(1, 5):
        assert size(net.part["lid"], f"corner-flap-{i}") == pytest.approx((1.0, 1.0))
        assert free_edge(net.part["lid"], f"corner-flap-{i}") == pytest.approx(0.75)


def test_the_lid_blank_is_8_3_8_square(net: Net) -> None:
    (blank,) = net.part["lid"].pieces
    assert [side / INCH for side in blank.size] == pytest.approx([8.375, 8.375])


def test_lid_hems_lie_over_the_corner_flaps_and_are_glued_last(net: Net) -> None:
    made = steps.found(net)
    order = [step.words for step in made.steps if step.part == "lid"]
    assert order.index("on-to-flaps") < order.index("hem-over") == len([s for s in made.steps if s.part == "lid" and not s.move]) - 1
    over = {(b.panels[0][1], b.panels[1][1]) for b in net.bonds}
    assert {("corner-flap-1", "skirt-1"), ("lid-hem-1", "corner-flap-1")} <= over


def test_the_glue_flap_lies_on_the_next_walls_hem(net: Net) -> None:
    over = {(b.panels[0][1], b.panels[1][1]) for b in net.bonds}
    assert {("glue-flap-1", "wall-1"), ("glue-flap-1", "hem-1"), ("glue-flap-2", "wall-3"), ("glue-flap-2", "hem-3")} <= over


def test_the_same_sizes_come_out_of_a_spec(net: Net, tmp_path: Path) -> None:
    text = (samples.FOLDER / "jar.toml").read_text().replace('"4 3/8 in"', '"4.3 in"')
    path = tmp_path / "jar.toml"
    path.write_text(text)
    spec = load(path, samples.OPTIONS)
    made = net_of(spec, spec.card, fit_of(spec), Thickness(0.30, "crease"))
    for part in net.parts:
        assert [(p.name, p.outline) for p in made.part[part.name].panels] == [(p.name, p.outline) for p in part.panels]
    assert made.item.height / INCH == pytest.approx(4.3)


def test_it_folds_closed(net: Net) -> None:
    checks, _ = prove(steps.found(net), boxes.fit(THING, "in", 0.25 * INCH, 0.375 * INCH))
    assert [c.name for c in checks if not c.ok] == []

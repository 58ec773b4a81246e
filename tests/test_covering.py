"""Covering panels: every face that is seen, less its margin, under no lid, on sheets of paper; and a lid that has room for them."""

from __future__ import annotations

import math
import tempfile
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from shapely import affinity

from booklet import covering, sheets, space
from booklet.check import Check, at_least
from booklet.covering import Coverings, Spot
from booklet.folding import folder
from booklet.grid import INCH, Grid, Units
from booklet.net import Part
from booklet.plan import Plan
from booklet.planning import plan_of
from booklet.proof import Solid
from booklet.replay import Replay
from booklet.shelf.stacked import stack_of
from booklet.spec import load
from booklet.spec.model import Covering
from booklet.stack import Stack
from booklet.styles import shelf
from tests import boxes

A4 = (210.0, 297.0)
LIDDED = ("lidded-box", "full-lid-box", "hinged-lid-box", "prism-box", "round-box")
INSERTS = ("divider", "cradle")


class Shut(Solid):
    """A closed box whose steps nobody has looked for."""

    def stack(self, part: Part) -> Stack:
        return stack_of(self.net, part, folder(part).stood)


@cache
def solid(style: str, units: Units = "mm") -> Solid:
    net = boxes.net(style, boxes.thing(style), units=units)
    return Shut(net, Replay(net, ()))


@cache
def covered(style: str, units: Units = "mm", under_lid: bool = False) -> Coverings:
    asked = replace(covering.usual(units), under_lid=under_lid)
    return covering.coverings(solid(style, units), asked, Grid(units))


SPEC = """
style = "{style}"
[item]
length = "80 mm"
width = "60 mm"
height = "{height} mm"
[card]
sheet = "500 x 700 mm"
caliper = "0.30 mm"
[covering]
under_lid = {under}
caliper = "0.30 mm"
"""


@cache
def planned(style: str, under: bool, height: float = 40.0) -> Plan:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "box.toml"
        path.write_text(SPEC.format(style=style, under=str(under).lower(), height=height))
        return plan_of(load(path, {name: one.OPTIONS for name, one in shelf().items()}))


def in_space(found: Solid, spot: Spot) -> Any:
    """The corners of a covering panel of one flat face in space, (n, 3), in the order of its outline."""
    flat = spot.face.seen.inverse().ring(spot.shape.exterior.coords[:-1])
    panel = folder(spot.face.part).index[spot.face.panels[0]]
    return space.applied(found.stacked[spot.face.part.name][panel], space.lifted(flat))


@pytest.mark.parametrize("style", [name for name in shelf() if name not in INSERTS])
def test_every_style_is_covered_on_the_ruler_within_its_faces_and_under_no_other_card(style: str) -> None:
    made = covered(style)
    assert made.rows
    assert {check.name for check in covering.checks(made, solid(style)) if not check.ok} == set()
    for row in made.rows:
        assert min(row.width, row.height) >= covering.SMALL - 1e-6
        for size in (row.width, row.height):
            assert size * 2 == pytest.approx(round(size * 2), abs=1e-6), row
        assert math.isclose(row.width * row.height, shapely.Polygon(row.outline, row.holes).area, abs_tol=0.5) == row.rectangle


@pytest.mark.parametrize("style", ["tuck-carton", "prism-box", "pyramid", "sleeve-drawer"])
def test_in_inches_sizes_are_on_sixteenths(style: str) -> None:
    made = covered(style, "in")
    assert made.asked.name == "12x12 in" and made.asked.margin == pytest.approx(INCH / 16)
    for size in (size for row in made.rows for size in (row.width, row.height)):
        assert size / INCH * 16 == pytest.approx(round(size / INCH * 16), abs=1e-6)


@pytest.mark.parametrize("style", INSERTS)
def test_an_insert_stands_inside_and_is_not_covered(style: str) -> None:
    made = covered(style)
    assert (made.rows, made.sheets, made.sheets_all) == ((), 0, 0)


def test_the_panels_of_a_tray_are_its_five_faces_less_two_millimetres() -> None:
    """130.6 x 100.6 mm inside in card of 0.3 mm: the flat panels are 131.5, 101.5 and 112 mm, fold to fold and to the rim."""
    made = covered("tray")
    assert [(row.count, row.width, row.height) for row in made.rows] == [(1, 127.5, 97.5), (2, 127.5, 108.0), (2, 97.5, 108.0)]
    bare = covering.coverings(solid("tray"), Covering(A4, "A4", 0.0, 0.1), Grid("mm"))
    assert [(row.width, row.height) for row in bare.rows] == [(131.5, 101.5), (131.5, 112.0), (101.5, 112.0)]


def test_a_round_wall_is_one_rectangle_over_all_its_facets() -> None:
    made = covered("round-box")
    walls = [row for row in made.rows if row.rectangle]
    part = solid("round-box").net.part["box"]
    facets = [panel for panel in part.panels if panel.role == "wall"]
    around = sum(max(x for x, _ in panel.outline) - min(x for x, _ in panel.outline) for panel in facets)
    assert len(walls) == 2 and len(facets) > 12
    assert 0 <= around - 4.0 - walls[0].width < 0.6


def test_a_pyramid_has_four_triangles_and_a_prism_two_hexagons() -> None:
    (base, wall) = covered("pyramid").rows
    assert base.rectangle and len(wall.outline) == 3 and wall.count == 4
    assert [len(row.outline) for row in covered("prism-box").rows if not row.rectangle] == [6, 6]


@pytest.mark.parametrize("style", ["lidded-box", "snap-lock-carton", "web-tray", "tapered-tray", "gable-carrier", "slipcase"])
def test_panels_are_told_as_seen_from_outside(style: str) -> None:
    """An outline that runs anticlockwise as it is seen runs so about a normal that points away from the middle of the box."""
    found = solid(style)
    middle = np.array([0.0, 0.0, found.net.inside.height / 2])
    for spot in covered(style).spots:
        points = in_space(found, replace(spot, shape=shapely.geometry.polygon.orient(spot.shape)))
        normal = sum(np.cross(points[k - 1], points[k]) for k in range(len(points)))
        assert float(normal @ (points.mean(0) - middle)) > 0, spot.face.panels


@pytest.mark.parametrize("style", LIDDED)
def test_no_panel_reaches_under_the_skirt(style: str) -> None:
    found = solid(style)
    skirts = [
        space.applied(place, space.lifted(panel.outline))[:, 2].min()
        for part in found.net.parts
        for panel, place in zip(part.panels, found.nominal[part.name], strict=True)
        if panel.role == "skirt"
    ]
    walls = [spot for spot in covered(style).spots if not spot.face.level and spot.face.part.panel[spot.face.panels[0]].role == "wall"]
    below = [spot for spot in walls if style != "hinged-lid-box" or spot.face.panels[0] != "wall-3"]
    for spot in below:
        assert in_space(found, spot)[:, 2].max() < min(skirts) - 1.9
    assert walls or style == "full-lid-box"


@pytest.mark.parametrize("style", LIDDED)
def test_under_a_lid_the_covering_goes_up_to_the_rim(style: str) -> None:
    found = solid(style)
    spots = [spot for spot in covered(style, under_lid=True).spots if spot.face.part.panel[spot.face.panels[0]].role == "wall"]
    assert spots
    for spot in spots:
        panel = spot.face.part.panel[spot.face.panels[0]]
        place = found.stacked[spot.face.part.name][folder(spot.face.part).index[panel.name]]
        rim = space.applied(place, space.lifted(panel.outline))[:, 2].max()
        assert rim - 2.6 < in_space(found, spot)[:, 2].max() < rim - 1.9


def lid_inside(plan: Plan) -> tuple[float, float]:
    """Fold to fold, the size of what lies on top: the lid's panel across, mm."""
    panel = next(p for part in plan.net.parts for p in part.panels if p.role == "lid")
    xs, ys = zip(*panel.outline, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


@pytest.mark.parametrize("style", ["lidded-box", "full-lid-box", "hinged-lid-box"])
def test_a_lid_is_larger_by_paper_and_glue_on_both_sides(style: str) -> None:
    """0.30 mm of paper and 0.05 of glue, twice: 0.7 mm on the grid of half millimetres. A hinge holds one side of the lid's depth."""
    plain, more = (lid_inside(planned(style, under)) for under in (False, True))
    grown = sorted(b - a for a, b in zip(plain, more, strict=True))
    assert all(step in (0.0, 0.5, 1.0) for step in np.round(grown, 6).tolist())
    assert grown[1] >= 0.5 - 1e-6 and planned(style, True).thickness.covering == pytest.approx(0.35)
    if style != "hinged-lid-box":
        assert grown[0] >= 0.5 - 1e-6


@pytest.mark.parametrize("style", ["lidded-box", "full-lid-box", "prism-box", "sleeve-drawer"])
def test_the_proof_of_a_covered_box_counts_the_covering_in_its_slip(style: str) -> None:
    plan = planned(style, True)
    assert {check.name for check in plan.checks if not check.ok and check.level == "fault"} == set()
    told = [check for check in plan.checks if ".slides" in check.name]
    assert told and all("covering" in check.text for check in told)
    bare = [check for check in planned(style, False).checks if ".slides" in check.name]
    for one, other in zip(told, bare, strict=True):
        assert -0.55 <= one.figure - other.figure <= 1.1
    if style == "lidded-box":
        from booklet import proof

        raw = [check for check in proof.lid_fits(plan.solid) if ".slides" in check.name]
        assert [a.figure - b.figure for a, b in zip(raw, told, strict=True)] == pytest.approx([0.7, 0.7])


def test_a_lid_without_room_for_the_covering_is_found_too_tight() -> None:
    slides = at_least("lid.slides.length", 1.3, 1.15, "mm", "")
    (told,) = covering.retold([slides], 0.35)
    assert slides.ok and not told.ok and told.figure == pytest.approx(0.6)
    other = Check("item.fits", 1.0, 0.5, "mm", True, "")
    assert covering.retold([other, slides], 0.0) == [other, slides] and covering.retold([other], 0.35) == [other]


def test_a_covering_panel_that_is_moved_under_the_skirt_is_found() -> None:
    made, found = covered("lidded-box"), solid("lidded-box")
    wall = next(spot for spot in made.spots if spot.face.panels[0].startswith("wall"))
    up = replace(wall, shape=affinity.translate(wall.shape, 0.0, 20.0))
    bad = {check.name for check in covering.checks(replace(made, spots=(up,)), found) if not check.ok}
    assert bad == {"cover.margin", "cover.free"}
    aside = replace(wall, shape=affinity.translate(wall.shape, 1.5, 0.0))
    assert {check.name for check in covering.checks(replace(made, spots=(aside,)), found) if not check.ok} == {"cover.margin"}


def test_faces_that_are_too_narrow_are_left_out_and_told() -> None:
    made = covered("roll-wall-tray")
    assert {name for _, name in made.small} == {"rim-1", "rim-2"}
    assert not any("rim" in name for row in made.rows for _, name in row.faces)


@pytest.mark.parametrize("style", ["tuck-carton", "prism-box", "pillow-pack"])
def test_panels_lie_apart_and_off_the_edge_of_the_paper(style: str) -> None:
    made = covered(style)
    card = made.card
    assert (card.edge, card.gap, card.sheet) == (5.0, 3.0, A4)
    assert len(made.placed) == sum(row.count for row in made.rows)
    assert all(check.ok for check in sheets.checks(made.net, card, made.placed))


def test_copies_share_sheets() -> None:
    one = covered("prism-box")
    many = replace(one, copies=6)
    assert one.sheets == one.sheets_all == 1 and 1 < many.sheets_all < 6


@pytest.mark.parametrize("sheet", [(148.0, 105.0), (60.0, 80.0), (50.0, 50.0)])
def test_a_panel_larger_than_the_paper_is_told_and_laid_in_pieces(sheet: tuple[float, float]) -> None:
    for style in ("tuck-carton", "round-box"):
        made = covering.coverings(solid(style), Covering(sheet, "", 2.0, 0.12), Grid("mm"))
        assert made.joined or made.unlaid
        for row in made.joined:
            wide, high = covering.piece_size(row, made.grid)
            across, up = row.join
            assert across * wide >= row.width - 1e-6 and up * high >= row.height - 1e-6
        assert all(check.ok for check in covering.checks(made, solid(style)))


def test_paper_that_is_all_edge_takes_nothing_and_breaks_nothing() -> None:
    made = covering.coverings(solid("tray"), Covering((9.0, 9.0), "", 2.0, 0.12), Grid("mm"))
    assert made.unlaid == made.rows and made.sheets == 0 and made.placed == ()


def test_a_margin_that_leaves_nothing_of_a_face_leaves_it_bare() -> None:
    made = covering.coverings(solid("tray"), Covering(A4, "A4", 20.0, 0.12), Grid("mm"))
    assert [(row.width, row.height) for row in made.rows] == [(91.5, 61.5), (91.5, 72.0), (61.5, 72.0)]

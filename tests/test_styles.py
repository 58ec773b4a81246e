"""The styles' sizes follow the rules of thickness and the ruler grid; small boxes are shortened or refused."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from booklet.card import Card
from booklet.errors import Refused
from booklet.net import Item
from booklet.sliding import bend
from booklet.styles import shelf
from tests import boxes

SIDE = st.floats(30, 300)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(boxes.STYLES), SIDE, SIDE, SIDE, st.sampled_from([0.15, 0.3, 0.5, 0.9]), st.sampled_from([0.0, 1.0, 6.0]))
def test_the_play_left_is_at_most_a_mark_less_than_asked_and_never_under_half(
    style: str, a: float, b: float, h: float, t: float, play: float
) -> None:
    sizes = boxes.sizes(style, Item("block", a, b, h), t, clearance=play, headroom=play)
    for free, thing in ((sizes.inside.length, a), (sizes.inside.width, b), (sizes.inside.height, h)):
        assert free - thing >= play - min(0.5, play / 2) - 1e-6
        assert free - thing < play - min(0.5, play / 2) + 0.5


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(boxes.STYLES), SIDE, SIDE, SIDE, st.sampled_from(["mm", "in"]))
def test_every_size_that_the_net_is_built_from_is_on_the_ruler(style: str, a: float, b: float, h: float, units: str) -> None:
    sizes = boxes.sizes(style, Item("block", a, b, h), units=units)
    mark = 0.5 if units == "mm" else 25.4 / 16
    for name in (
        "long",
        "short",
        "length",
        "width",
        "height",
        "base",
        "hem",
        "glue_flap",
        "skirt",
        "lid_long",
        "lid_short",
        "lid_hem",
        "corner_flap",
        "tuck",
        "dust_flap",
    ):
        if hasattr(sizes, name):
            marks = getattr(sizes, name) / mark
            assert marks == pytest.approx(round(marks), abs=1e-6), name


def test_the_full_base_panels_stand_on_the_long_walls() -> None:
    made = boxes.net("lidded-box", Item("block", 80, 140, 60)).part["box"]
    wide = {f.child: shapely.LineString(f.line).length for f in made.folds}
    assert wide["base-1"] == wide["base-2"] > wide["base-flap-1"] == wide["base-flap-2"]
    depth = {n: -min(y for _, y in made.panel[n].outline) for n in ("base-1", "base-flap-1")}
    assert depth["base-1"] == depth["base-flap-1"]


def test_the_inside_runs_along_the_items_length_whichever_side_is_longer() -> None:
    for item in (Item("block", 140, 80, 60), Item("block", 80, 140, 60)):
        for style in boxes.STYLES:
            inside = boxes.net(style, item).inside
            assert (inside.length > inside.width) == (item.length > item.width)


@pytest.mark.parametrize("style", boxes.STYLES)
def test_a_round_item_has_a_square_box(style: str) -> None:
    made = boxes.whole(style, Item("round", 90, 90, 100))
    assert made.inside.length == made.inside.width
    assert boxes.failed(made) == set()


def test_hems_flaps_and_tucks_that_would_meet_are_shortened_and_told() -> None:
    small = Item("block", 32, 30, 14)
    lidded = boxes.sizes("lidded-box", small, clearance=1, headroom=1)
    assert {n.option for n in lidded.notes} >= {"hem", "skirt"}
    assert lidded.hem < lidded.height and 2 * lidded.corner_flap < lidded.lid_long
    carton = boxes.sizes("tuck-carton", small, clearance=1, headroom=1)
    assert "tuck" in {n.option for n in carton.notes}
    assert 2 * carton.tuck < carton.height
    assert 2 * carton.dust_flap < carton.length


@pytest.mark.parametrize("style, item", [("tray", Item("block", 15, 12, 40)), ("lidded-box", Item("block", 60, 12, 40))])
def test_a_box_too_narrow_for_a_finger_is_refused_with_the_figure(style: str, item: Item) -> None:
    with pytest.raises(Refused, match="25 mm"):
        boxes.sizes(style, item, clearance=1)


def test_a_box_with_no_room_for_a_flap_is_refused_with_the_figure() -> None:
    with pytest.raises(Refused, match=r"at most \d\.\d mm has room"):
        boxes.sizes("tuck-carton", Item("block", 40, 5, 40), clearance=0)


@pytest.mark.parametrize("t", [0.05, 0.14])
def test_card_thinner_than_0_15_mm_is_refused(t: float) -> None:
    with pytest.raises(Refused, match=r"0\.15 mm"):
        boxes.sizes("tray", t=t)


def test_card_thicker_than_2_mm_is_refused() -> None:
    with pytest.raises(Refused, match="2 mm"):
        boxes.sizes("tray", t=2.1)


def test_a_hem_in_card_over_1_mm_is_refused_and_the_way_out_told() -> None:
    with pytest.raises(Refused, match='hem = "0 mm"'):
        boxes.sizes("lidded-box", t=1.1)


def test_doubled_base_panels_are_stepped_only_where_they_add_up_to_over_1_mm() -> None:
    assert boxes.sizes("lidded-box", t=0.33).base_rank == (0, 0, 0, 0)
    stepped = boxes.net("lidded-box", t=0.4).part["box"]
    lines = [min(y for _, y in stepped.panel[f"wall-{i}"].outline) for i in (1, 2, 4, 3)]
    assert lines == pytest.approx([0, -0.4, -0.8, -1.2])


class TestTuckCarton:
    """Thickness rules of a tuck (common practice, no source)."""

    @pytest.mark.parametrize("t", [0.2, 0.3, 0.5, 0.9, 2.0])
    def test_a_closing_panel_is_a_caliper_less_deep_than_the_width(self, t: float) -> None:
        sizes = boxes.sizes("tuck-carton", t=t)
        part = boxes.net("tuck-carton", t=t).part["box"]
        ys = [y for _, y in part.panel["closing-top"].outline]
        assert max(ys) - min(ys) == pytest.approx(sizes.width - t)

    @pytest.mark.parametrize("t", [0.15, 0.3, 0.6, 2.0])
    def test_a_closing_panel_and_its_tuck_are_half_to_one_mm_narrower_a_side(self, t: float) -> None:
        part = boxes.net("tuck-carton", t=t).part["box"]
        wall = [x for x, _ in part.panel["wall-4"].outline]
        for name in ("closing-top", "tuck-top"):
            xs = [x for x, _ in part.panel[name].outline]
            assert 0.5 <= min(xs) - min(wall) <= 1.0
            assert 0.5 <= max(wall) - max(xs) <= 1.0

    @pytest.mark.parametrize("t", [0.3, 1.0])
    def test_dust_flaps_fold_a_caliper_below_the_closing_fold(self, t: float) -> None:
        folds = {f.child: f.line[0][1] for f in boxes.net("tuck-carton", t=t).part["box"].folds}
        assert folds["closing-top"] - folds["dust-flap-1"] == pytest.approx(t)
        assert folds["dust-flap-3"] - folds["closing-bottom"] == pytest.approx(t)

    def test_tucks_and_dust_flaps_have_rounded_corners(self) -> None:
        part = boxes.net("tuck-carton").part["box"]
        for name in ("tuck-top", "tuck-bottom", "dust-flap-1", "dust-flap-4"):
            assert len(part.panel[name].outline) > 20

    def test_opposite_tucks_close_on_opposite_walls(self) -> None:
        parents = {way: {f.child: f.parent for f in boxes.net("tuck-carton", tucks=way).part["box"].folds} for way in ("same", "opposite")}
        assert parents["same"]["closing-top"] == parents["same"]["closing-bottom"]
        assert parents["opposite"]["closing-top"] != parents["opposite"]["closing-bottom"]

    def test_a_tuck_keeps_its_tip_inside_the_wall_while_it_slides_in(self) -> None:
        from math import cos, radians, sin

        for panel in range(0, 91):
            e, bent = radians(90 - panel), radians(bend(panel, 60.0, 15.0))
            tip = 60 * cos(e) + 15 * cos(e - bent), 60 * sin(e) + 15 * sin(e - bent)
            assert tip[1] > 0 or tip[0] <= 60.0 + 1e-9


@pytest.mark.parametrize("style", list(shelf()))
def test_a_cut_carries_a_glue_flap_to_the_inside_of_its_neighbour(style: str) -> None:
    made = boxes.net(style, boxes.thing(style), sheet=(304.8, 304.8))
    part = made.parts[0]
    for fold in part.cut_folds():
        flap = next(
            p
            for p in part.panels
            if p.role == "glue-flap" and any(f.child == p.name and f.parent in (fold.parent, fold.child) for f in part.folds)
        )
        assert any(b.panels[0][1] == flap.name and b.faces[0] == "back" for b in made.bonds)


def test_the_fewest_pieces_are_used_and_equal_ones_share_a_template() -> None:
    made = boxes.net("lidded-box", Item("block", 95, 95, 104), sheet=(304.8, 304.8)).part["box"]
    assert len(made.pieces) == 2
    assert {p.template for p in made.pieces} == {made.pieces[0].name}


def test_a_panel_larger_than_the_card_is_refused_with_the_card_that_would_do() -> None:
    with pytest.raises(Refused, match="use card of at least"):
        boxes.net("tray", Item("block", 280, 280, 40), sheet=(210, 297))


def test_the_card_that_would_do_does() -> None:
    import re

    with pytest.raises(Refused) as told:
        boxes.net("lidded-box", Item("block", 280, 200, 40), sheet=(210, 297))
    short, long = (float(x) for x in re.search(r"at least ([\d.]+) mm x ([\d.]+) mm", str(told.value)).groups())  # type: ignore[union-attr]
    boxes.net("lidded-box", Item("block", 280, 200, 40), sheet=(short + 0.06, long + 0.06))
    with pytest.raises(Refused):
        boxes.net("lidded-box", Item("block", 280, 200, 40), sheet=(short - 1, long - 1))
    assert Card(0.3, (short, long)).usable[0] == short - 12

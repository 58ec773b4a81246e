"""Each check of the proof holds for a good net and fails, by its name, for one that is broken in one way."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from booklet import pieces, space, steps
from booklet.card import Card
from booklet.errors import Refused
from booklet.net import Inside, Item, Net
from booklet.proof import prove
from tests import boxes

CARDS = [(style, t) for style in boxes.STYLES for t in (0.15, 0.3, 0.55, 0.9)] + [("web-tray", 0.15), ("web-tray", 0.5)]


@pytest.mark.parametrize("style, t", CARDS)
@pytest.mark.parametrize("outside", [False, True])
def test_every_style_folds_closed_in_every_card(style: str, t: float, outside: bool) -> None:
    assert boxes.failed(boxes.whole(style, t=t, outside=outside)) == set()


@pytest.mark.parametrize("style", ["tray", "tuck-carton"])
def test_half_cut_board_of_2_mm_folds_closed(style: str) -> None:
    assert boxes.failed(boxes.whole(style, t=2.0, outside=True)) == set()


def test_a_lidded_box_without_hems_bears_2_mm_board() -> None:
    assert boxes.failed(boxes.whole("lidded-box", t=2.0, outside=True, hem=0.0)) == set()


@pytest.mark.parametrize("style", boxes.STYLES)
def test_a_net_cut_to_fit_small_card_still_folds_closed(style: str) -> None:
    made = boxes.whole(style, sheet=(304.8, 304.8))
    assert len(made.parts[0].pieces) > 1
    assert boxes.failed(made) == set()


SIDE = st.floats(12, 260)


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from(boxes.EVERY_STYLE),
    SIDE,
    SIDE,
    SIDE,
    st.sampled_from([0.15, 0.25, 0.3, 0.4, 0.5, 0.8, 1.0]),
    st.sampled_from(["mm", "in"]),
)
def test_whatever_the_item_the_net_folds_closed_or_is_refused(style: str, a: float, b: float, h: float, t: float, units: str) -> None:
    item = Item("block", a, b, h)
    try:
        made = boxes.net(style, item, t, sheet=(420, 594), units=units)
    except Refused:
        return
    assert boxes.failed(steps.found(made), boxes.fit(item, units)) == set()


@pytest.mark.parametrize("a, b, h", [(40.0, 40.0, 13.0), (40.0, 39.0, 13.0), (30.0, 31.0, 9.0)])
def test_a_web_tray_that_is_nearly_square_keeps_its_inside_free(a: float, b: float, h: float) -> None:
    assert boxes.failed(boxes.whole("web-tray", Item("block", a, b, h), t=0.5)) == set()


def test_an_outline_that_crosses_itself_is_found(tray: Net) -> None:
    base = tray.part["box"].panel["base"]
    a, b, c, d = base.outline
    assert "flat.simple" in boxes.failed(boxes.with_panel(tray, "box", replace(base, outline=(a, c, b, d))))


def test_two_panels_that_overlap_in_the_flat_are_found(lidded: Net) -> None:
    flap = lidded.part["box"].panel["base-flap-1"]
    wider = tuple((x - 5 if i in (1, 2) else x, y) for i, (x, y) in enumerate(flap.outline))
    assert "flat.overlap" in boxes.failed(boxes.with_panel(lidded, "box", replace(flap, outline=wider)))


def test_a_fold_whose_ends_do_not_lie_on_its_panels_is_found(lidded: Net) -> None:
    (ax, ay), (bx, by) = lidded.part["box"].fold["wall-1/base-1"].line
    moved = boxes.with_fold(lidded, "box", "wall-1/base-1", line=((ax, ay - 1), (bx, by - 1)))
    assert "flat.fold-ends" in boxes.failed(moved)


def test_a_wall_1_mm_too_long_is_found(lidded: Net) -> None:
    edge = lidded.part["box"].fold["wall-2/wall-3"].line[0][0]
    assert "bonds.touch" in boxes.failed(boxes.stretched(lidded, "box", edge - 0.01, 1.0))


def test_a_bond_between_faces_that_do_not_reach_each_other_is_found(tray: Net) -> None:
    apart = replace(tray.bonds[0], rest=5.0)
    assert "bonds.touch" in boxes.failed(replace(tray, bonds=(apart, *tray.bonds[1:])))


def test_an_angle_of_85_is_found(lidded: Net, tray: Net, carton: Net) -> None:
    assert "bonds.touch" in boxes.failed(boxes.with_fold(lidded, "box", "wall-1/wall-2", angle=85.0))
    assert "bonds.touch" in boxes.failed(boxes.with_fold(tray, "box", "base/wall-1", angle=85.0))
    assert "closed.height" in boxes.failed(boxes.with_fold(carton, "box", "wall-4/closing-top", angle=85.0))


def test_a_flap_on_the_wrong_side_is_found(tray: Net) -> None:
    fold = next(f for f in tray.part["box"].folds if f.child == "corner-flap-1")
    assert {"bonds.within", "bonds.faces"} <= boxes.failed(boxes.with_fold(tray, "box", fold.name, angle=-90.0))


def test_a_bond_on_the_wrong_face_is_found(tray: Net) -> None:
    first = replace(tray.bonds[0], faces=("marked", "marked"))
    assert "bonds.faces" in boxes.failed(replace(tray, bonds=(first, *tray.bonds[1:])))


def test_a_bond_on_the_outside_of_the_wall_is_found(tray: Net) -> None:
    first = replace(tray.bonds[0], faces=("marked", "back"))
    assert "order.layers" in boxes.failed(replace(tray, bonds=(first, *tray.bonds[1:])))


def test_a_bonded_area_that_hangs_over_is_found(tray: Net) -> None:
    first = replace(tray.bonds[0], region=tuple((x + 4, y + 4) for x, y in tray.bonds[0].region))
    assert "bonds.within" in boxes.failed(replace(tray, bonds=(first, *tray.bonds[1:])))


def test_a_flap_that_nobody_glues_is_found(tray: Net) -> None:
    order = [replace(s, bonds=tuple(b for b in s.bonds if b < 3)) for s in tray.steps]
    assert "bonds.held" in boxes.failed(boxes.with_steps(replace(tray, bonds=tray.bonds[:3]), order))


def test_an_open_side_is_found(carton: Net) -> None:
    closing = boxes.turning(carton, "wall-4/closing-top")
    open_top = boxes.with_fold(carton, "box", "wall-4/closing-top", angle=0.0)
    assert "closed.height" in boxes.failed(boxes.with_steps(open_top, [s for s in carton.steps if s is not closing]))


@pytest.mark.parametrize("axis", ["length", "width", "height"])
def test_a_promised_inside_that_is_not_free_is_found(carton: Net, axis: str) -> None:
    larger = replace(carton.inside, **{axis: getattr(carton.inside, axis) + 2})
    assert "inside.free" in boxes.failed(replace(carton, inside=larger))


def test_an_item_that_is_too_large_is_found(tray: Net) -> None:
    item = replace(tray.item, length=tray.inside.length + 1)
    assert boxes.failed(replace(tray, item=item), boxes.fit(boxes.MUG)) == {"item.fits"}


def test_too_little_play_is_found(tray: Net) -> None:
    inside = Inside(tray.item.length + 2.9, tray.inside.width, tray.inside.height)
    assert "item.fits" in boxes.failed(replace(tray, inside=inside))


@pytest.mark.parametrize("axis", [0, 1])
def test_a_lid_2_mm_too_small_is_found(lidded: Net, axis: int) -> None:
    smaller = boxes.stretched(lidded, "lid", 10.0, -2.0, axis)
    (place,) = (space.matrix(p) for p in lidded.part["lid"].places)
    # the smaller lid stands in the middle of the box all the same
    centred = space.rows(place @ space.moved(*(1.0 if k == axis else 0.0 for k in range(2))))
    made = boxes.with_part(smaller, replace(smaller.part["lid"], places=(centred,)))
    assert f"lid.slides.{('length', 'width')[axis]}" in boxes.failed(made)


def test_a_lid_5_mm_too_large_is_found(lidded: Net) -> None:
    assert "lid.holds.length" in boxes.failed(boxes.stretched(lidded, "lid", 10.0, 5.0))


@pytest.mark.parametrize("tuck", [8.0, 15.0, 25.0, 40.0])
@pytest.mark.parametrize("tucks", ["same", "opposite"])
def test_tucks_of_any_depth_slide_in_past_the_dust_flaps(tuck: float, tucks: str) -> None:
    assert boxes.failed(boxes.whole("tuck-carton", Item("block", 80.0, 50.0, 104.0), tuck=tuck, tucks=tucks)) == set()


def test_the_checks_of_a_good_net_tell_figures_within_their_limits(lidded: Net) -> None:
    checks, _ = prove(lidded, boxes.fit())
    assert all(check.ok and check.text.endswith(".") for check in checks)
    assert len({check.name for check in checks}) == len(checks) >= 20


def test_pieces_report_what_is_wrong_with_them() -> None:
    made = boxes.net("lidded-box", sheet=(304.8, 304.8))
    box = made.part["box"]
    card = Card(0.3, (304.8, 304.8))

    def fails(cut: tuple) -> set[str]:
        return {c.name for c in pieces.checks(boxes.with_part(made, replace(box, pieces=cut)), card) if not c.ok}

    one, two = box.pieces
    assert fails((one, two)) == set()
    assert "pieces.whole" in fails((one,))
    assert "pieces.fit" in fails((replace(one, size=(400.0, 300.0)), two))
    assert "pieces.outline" in fails((replace(one, outline=tuple((x * 1.01, y) for x, y in one.outline)), two))
    flipped = tuple((-x, y) for x, y in reversed(one.outline))
    assert "pieces.template" in fails((one, replace(two, outline=flipped, template=one.name)))

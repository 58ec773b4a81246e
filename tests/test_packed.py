"""The best layout that is found: true shapes, grain, whole strips, never worse than row by row, never below the bound."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from booklet.plane import Affine, Ring, bounds, shift, turn
from booklet.sheets import area_used, gang, lay, least, pack_yield, packed
from booklet.sheets.rectangles import Spot, Turned
from tests.mixes import CARD, LONG, count, failed, mixed, net_of, rectangle, row_layouts, sizes

FORK: Ring = ((0, 0), (200, 0), (200, 220), (150, 220), (150, 100), (50, 100), (50, 220), (0, 220))
TONGUE: Ring = ((0, 0), (200, 0), (200, 150), (145, 150), (145, 250), (55, 250), (55, 150), (0, 150))
"""A wall with two flaps and a notch of 100 x 120 between them, and a wall with a flap of 90 x 100."""


def test_a_flap_reaches_into_a_notch() -> None:
    """The rectangles round the two need two sheets."""
    boxes_round = sizes(*((x1 - x0, y1 - y0) for x0, y0, x1, y1 in map(bounds, (FORK, TONGUE))))
    net, card = net_of(FORK, TONGUE), replace(CARD, sheet=(304.8, 400.0))
    assert count(boxes_round, card) == 2
    assert failed(net, lay(net, card), card) == set()
    assert count(net, card) == 1
    assert least(net, card) == 1


def test_with_kept_grain_a_half_turn_is_allowed_and_a_quarter_is_not() -> None:
    """Two like walls go on one sheet, flap beside flap, only when one is turned round."""
    wall: Ring = ((0, 0), (280, 0), (280, 100), (130, 100), (130, 190), (0, 190))
    card = replace(CARD, sheet=(304.8, 310.0), keep_grain=True, grain="first")
    placed = lay(net_of(wall, wall), card)
    assert {(p.sheet, p.to_sheet.a) for p in placed} == {(1, 1.0), (1, -1.0)}
    assert failed(net_of(wall, wall), placed, card) == set()
    assert {abs(p.to_sheet.b) for p in lay(net_of(wall, wall), replace(card, sheet=(310.0, 304.8), grain="second"))} == {1.0}


def test_pieces_that_are_one_form_turned_keep_their_own_grain() -> None:
    card = replace(CARD, keep_grain=True, grain="first")
    wall: Ring = ((0, 0), (200, 0), (200, 100), (100, 100), (100, 140), (0, 140))
    turned = Affine(0, 1, -1, 0, 30, 7).ring(wall)
    assert {abs(p.to_sheet.a) for p in lay(net_of(wall, turned), card)} == {1.0}
    assert len(packed.packing(net_of(wall, turned), card).forms) == 2
    assert len(packed.packing(net_of(wall, turned), CARD).forms) == 1


def test_pieces_that_are_one_form_turned_nest_as_they_are() -> None:
    wall: Ring = ((0, 0), (280, 0), (280, 100), (130, 100), (130, 190), (0, 190))
    card = replace(CARD, sheet=(304.8, 310.0))
    for quarter in range(4):
        net = net_of(wall, turn(quarter).then(shift(-40, 7)).ring(wall))
        placed = lay(net, card)
        assert {p.sheet for p in placed} == {1}
        assert failed(net, placed, card) == set()


def test_a_piece_that_is_too_large_lies_alone() -> None:
    net = sizes((400, 20), (50, 50), (60, 50))
    sheets = Counter(p.sheet for p in lay(net, CARD))
    assert sorted(sheets.values()) == [1, 2]
    assert least(net, CARD) == 2


def test_of_equal_numbers_of_sheets_the_largest_strip_is_left_whole() -> None:
    """Four strips lie beside each other, not two and two."""
    placed = lay(sizes(*[(280, 30)] * 4), CARD)
    taken = [bounds(p.to_sheet.ring(rectangle(280, 30))) for p in placed]
    spans = max(b[2] for b in taken) - min(b[0] for b in taken), max(b[3] for b in taken) - min(b[1] for b in taken)
    assert min(spans) == pytest.approx(4 * 30 + 3 * 3)


def test_a_strip_along_a_side_is_worth_more_than_a_small_rectangle_in_the_corner() -> None:
    long, compact = (Spot(0, Turned(0, 280, 60), 0, 0),), (Spot(0, Turned(0, 100, 100), 0, 0),)
    assert packed.rank((long,), CARD.usable) < packed.rank((compact,), CARD.usable)
    assert packed.rank((compact,), CARD.usable) < packed.rank((compact, long), CARD.usable)


def test_nothing_is_put_into_a_hole() -> None:
    frame = net_of(rectangle(280, 280))
    piece = replace(frame.parts[0].pieces[0], holes=(rectangle(200, 200, 40, 40),))
    part = replace(frame.parts[0], pieces=(piece, replace(piece, name="small", outline=rectangle(100, 100), holes=())))
    net = replace(frame, parts=(part,))
    assert count(net) == 2
    assert least(net, CARD) == 1
    assert area_used(net, CARD) == pytest.approx(280**2 - 200**2 + 100**2)


@pytest.mark.parametrize("seed", range(100 if LONG else 20))
def test_a_mix_of_pieces_never_takes_more_sheets_than_row_by_row(seed: int) -> None:
    net = mixed(seed)
    placed = lay(net, CARD)
    assert failed(net, placed) == set()
    assert least(net, CARD) <= max(p.sheet for p in placed) <= row_layouts(net)


def test_a_net_without_pieces_takes_no_card() -> None:
    net = net_of(rectangle(50, 50), copies=0)
    assert lay(net, CARD) == ()
    assert failed(net, ()) == set()
    assert least(net, CARD) == gang(net, CARD, 5).sheets == pack_yield(net, CARD, 9) == 0


def test_sheets_that_no_layout_can_save_are_known() -> None:
    assert least(sizes((150, 150), (150, 150), (150, 150)), CARD) == 3
    assert least(sizes((144, 144), (144, 144), (144, 144)), CARD) == 1
    assert least(sizes((150, 150), (20, 20)), CARD, copies=7) == 7
    assert least(sizes((100, 100)), CARD, copies=100) == 13


def test_more_sheets_than_row_by_row_are_found() -> None:
    net = sizes((50, 50), (60, 60))
    placed = lay(net, CARD)
    assert failed(net, (placed[0], replace(placed[1], sheet=2))) == {"sheets.rows"}

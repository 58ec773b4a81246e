"""Pieces on sheets of card: all there, inside, apart, on few sheets; for many boxes too; and each check finds what is broken."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from booklet.card import Card
from booklet.net import Net
from booklet.plane import Affine, Ring, area, bounds, shift
from booklet.sheets import Gang, Placed, area_used, checks, gang, lay, least, pack_yield, packed, waste
from tests import boxes
from tests.mixes import CARD, LONG, count, failed, mixed, net_of, rectangle, row_layouts, sizes


def moved(placed: tuple[Placed, ...], which: int, x: float, y: float) -> tuple[Placed, ...]:
    """One of the pieces shifted on its sheet."""
    return tuple(replace(p, to_sheet=p.to_sheet.then(shift(x, y))) if i == which else p for i, p in enumerate(placed))


side = st.floats(5, 292)
corner = st.floats(-500, 500)


@st.composite
def shapes(draw: st.DrawFn) -> Ring:
    """A rectangle, or an L, anywhere in its frame."""
    w, h, x, y = draw(side), draw(side), draw(corner), draw(corner)
    if draw(st.booleans()):
        return rectangle(w, h, x, y)
    a, b = w * draw(st.floats(0.2, 0.8)), h * draw(st.floats(0.2, 0.8))
    return (x, y), (x + w, y), (x + w, y + b), (x + a, y + b), (x + a, y + h), (x, y + h)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(shapes(), min_size=1, max_size=8), st.floats(0, 8), st.sampled_from([(False, "unknown"), (True, "first"), (True, "unknown")])
)
def test_every_layout_keeps_its_checks(outlines: list[Ring], gap: float, grain: tuple[bool, str]) -> None:
    card = replace(CARD, gap=gap, keep_grain=grain[0], grain=grain[1])
    net = net_of(*outlines)
    assert failed(net, lay(net, card), card) == set()


@settings(max_examples=60, deadline=None)
@given(st.lists(shapes(), min_size=1, max_size=6))
def test_pieces_are_turned_by_right_angles_and_never_mirrored(outlines: list[Ring]) -> None:
    net = net_of(*outlines)
    for placed, outline in zip(sorted(lay(net, CARD), key=lambda p: p.piece), outlines, strict=True):
        assert sorted(abs(v) for v in placed.to_sheet.values[:4]) == [0, 0, 1, 1]
        assert area(placed.to_sheet.ring(outline)) == pytest.approx(area(outline))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(side, side), min_size=1, max_size=7))
def test_there_are_never_more_sheets_than_pieces_nor_fewer_than_their_area_asks_for(pairs: list[tuple[float, float]]) -> None:
    sheets = count(sizes(*pairs))
    assert sum((w + 3) * (h + 3) for w, h in pairs) / 295.8**2 - 1e-9 <= sheets <= len(pairs)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.1, 0.9), st.floats(0.1, 0.9), st.permutations(range(4)))
def test_four_pieces_cut_from_one_sheet_go_back_on_it(x: float, y: float, order: list[int]) -> None:
    """A sheet cut in two by one gap, each half by another: the layout is found again whatever the order."""
    free = 292.8 - 3.0
    left, right = free * x, free * (1 - x)
    below, above = free * y, free * (1 - y)
    made = [(left, below), (left, above), (right, above), (right, below)]
    assert count(sizes(*(made[i] for i in order))) == 1


def test_a_piece_is_turned_where_that_saves_a_sheet() -> None:
    assert count(sizes((290, 140), (145, 290))) == 1
    assert count(sizes((290, 140), (145, 290)), replace(CARD, keep_grain=True, grain="first")) == 2


def test_a_few_pieces_for_which_large_first_needs_a_second_sheet_go_on_one() -> None:
    assert count(sizes((50, 170), (190, 140), (130, 90), (100, 190))) == 1


@pytest.mark.parametrize(("grain", "quarter"), [("first", 0), ("second", 1)])
def test_kept_grain_runs_along_the_x_of_every_piece(grain: str, quarter: int) -> None:
    card = replace(CARD, sheet=(400.0, 400.0), keep_grain=True, grain=grain)
    along = {(abs(p.to_sheet.a), abs(p.to_sheet.b)) for p in lay(sizes((300, 100), (100, 300), (50, 60)), card)}
    assert along == {(1.0, 0.0) if quarter == 0 else (0.0, 1.0)}


def test_with_an_unknown_grain_all_pieces_lie_one_way() -> None:
    card = replace(CARD, sheet=(200.0, 400.0), keep_grain=True)
    along = {abs(p.to_sheet.a) for p in lay(sizes((300, 100), (280, 90), (50, 60)), card)}
    assert along == {0.0}


def test_the_gap_is_not_asked_for_at_the_edge_of_the_sheet() -> None:
    assert count(sizes((144.9, 292.8), (144.9, 292.8))) == 1


def test_a_part_that_a_box_takes_twice_is_laid_twice() -> None:
    net = net_of(rectangle(50, 40), copies=2)
    placed = lay(net, CARD)
    assert [p.piece for p in placed] == ["piece-0", "piece-0"]
    assert failed(net, placed) == set()
    assert failed(net, placed[:1]) == {"sheets.whole"}


def test_sheets_are_numbered_in_the_order_of_the_net() -> None:
    placed = lay(sizes((100, 290), (290, 290), (100, 290)), CARD)
    assert [(p.sheet, p.piece) for p in placed] == [(1, "piece-0"), (1, "piece-2"), (2, "piece-1")]


def test_the_same_net_is_laid_the_same() -> None:
    net = boxes.net("tuck-carton", sheet=(210.0, 297.0))
    before = lay(net, Card(0.3, (210.0, 297.0)))
    packed._packing.cache_clear()
    assert lay(net, Card(0.3, (210.0, 297.0))) == before


@pytest.mark.parametrize("style", boxes.STYLES)
@pytest.mark.parametrize("sheet", [(304.8, 304.8), (420.0, 594.0)])
def test_every_style_is_laid_on_its_card(style: str, sheet: tuple[float, float]) -> None:
    net, card = boxes.net(style, sheet=sheet), Card(0.3, sheet)
    placed = lay(net, card)
    assert failed(net, placed, card) == set()
    assert len(placed) == sum(len(part.pieces) for part in net.parts)


def test_a_piece_moved_over_the_edge_is_found() -> None:
    net = sizes((292.8, 292.8))
    placed = lay(net, CARD)
    assert failed(net, placed) == set()
    assert failed(net, moved(placed, 0, -0.1, 0)) == {"sheets.inside"}
    assert failed(net, moved(placed, 0, 0, 0.1)) == {"sheets.inside"}


def test_a_piece_that_is_too_large_is_found() -> None:
    net = sizes((400, 100), (50, 50))
    assert failed(net, lay(net, CARD)) == {"sheets.inside"}


def test_a_piece_moved_towards_another_is_found() -> None:
    net = sizes((100, 50), (100, 50))
    placed = lay(net, CARD)
    a, b = (bounds(p.to_sheet.ring(rectangle(100, 50))) for p in placed)
    way = (-2.0, 0.0) if b[0] > a[2] else (0.0, -2.0)
    found = {c.name: c for c in checks(net, CARD, moved(placed, 1, *way))}
    assert not found["sheets.apart"].ok
    assert found["sheets.apart"].figure == pytest.approx(1.0)


def test_pieces_that_overlap_are_found_even_without_a_gap() -> None:
    net, card = sizes((100, 50), (100, 50)), replace(CARD, gap=0.0)
    placed = lay(net, card)
    assert failed(net, placed, card) == set()
    assert failed(net, tuple(replace(p, to_sheet=Affine(e=10, f=10)) for p in placed), card) == {"sheets.apart"}


def test_pieces_on_different_sheets_are_never_too_near() -> None:
    net = sizes((290, 290), (290, 290))
    assert failed(net, lay(net, CARD)) == set()


def test_a_piece_that_is_missing_or_laid_twice_is_found() -> None:
    net = sizes((50, 50), (60, 60))
    placed = lay(net, CARD)
    again = replace(placed[0], sheet=2)
    assert failed(net, placed[1:]) == {"sheets.whole"}
    assert failed(net, (*placed, again)) == {"sheets.whole", "sheets.rows"}


def test_distances_are_those_of_the_outlines_and_not_of_the_boxes_round_them() -> None:
    ell: Ring = ((0, 0), (100, 0), (100, 20), (20, 20), (20, 100), (0, 100))
    net = net_of(ell, rectangle(40, 40))
    nested = (Placed(1, "box", "piece-0", Affine(e=6, f=6)), Placed(1, "box", "piece-1", Affine(e=36, f=36)))
    found = next(c for c in checks(net, CARD, nested) if c.name == "sheets.apart")
    shapes = [shapely.Polygon(p.to_sheet.ring(r)) for p, r in zip(nested, (ell, rectangle(40, 40)), strict=True)]
    assert found.ok
    assert found.figure == pytest.approx(shapes[0].distance(shapes[1])) == 10.0


@pytest.mark.parametrize("seed", range(40 if LONG else 6))
def test_sheets_for_many_boxes_hold_all_their_pieces_and_are_no_more_than_simpler_ways_take(seed: int) -> None:
    net, copies = mixed(seed), 5 + seed
    made = gang(net, CARD, copies)
    assert_sound(made, net, copies)
    assert made.least <= made.sheets <= min(copies * count(net), row_layouts(net, copies))


def assert_sound(made: Gang, net: Net, copies: int) -> None:
    have: Counter[str] = Counter()
    for number, pattern in enumerate(made.patterns, 1):
        assert {p.sheet for p in pattern.placed} == {number}
        assert failed(net, pattern.placed) <= {"sheets.whole", "sheets.rows"}
        have.update({piece: pattern.times * n for piece, n in Counter(p.piece for p in pattern.placed).items()})
    assert have == {piece.name: copies * len(part.places) for part in net.parts for piece in part.pieces}
    assert made.sheets == sum(pattern.times for pattern in made.patterns)


def test_sheets_for_many_boxes_are_fewer_than_so_many_times_those_for_one() -> None:
    net = sizes((140, 140), (90, 90))
    made = gang(net, CARD, 12)
    assert made.sheets == 5 < 12 * count(net)
    assert_sound(made, net, 12)


def test_sheets_for_many_boxes_are_nested() -> None:
    """Two angle pieces to a sheet, whose rectangles go on it one at a time."""
    net = net_of(((0, 0), (180, 0), (180, 60), (60, 60), (60, 180), (0, 180)))
    made = gang(net, CARD, 10)
    assert made.sheets == 5
    assert_sound(made, net, 10)


def test_pieces_of_one_form_are_given_out_so_that_each_box_gets_its_own() -> None:
    net = sizes((280, 140), (280, 140), (140, 280))
    made = gang(net, CARD, 9)
    assert made.sheets == 14
    assert_sound(made, net, 9)


def test_sheets_for_one_box_are_those_that_are_laid() -> None:
    net = boxes.net("lidded-box", sheet=(304.8, 304.8))
    assert gang(net, CARD, 1).sheets == count(net)


def test_a_piece_that_is_too_large_is_on_a_sheet_of_its_own_for_each_of_many_boxes() -> None:
    net = sizes((400, 20), (50, 50))
    made = gang(net, CARD, 10)
    assert made.sheets == made.least == 11
    assert Counter(p.piece for pattern in made.patterns for p in pattern.placed * pattern.times)["piece-0"] == 10


def test_waste_is_the_share_of_whole_sheets_that_is_in_no_piece() -> None:
    net = net_of(rectangle(100, 50), copies=2)
    assert area_used(net, CARD) == 10000
    assert waste(net, CARD, 1) == pytest.approx(1 - 10000 / 304.8**2)
    assert waste(net, CARD, 2, copies=3) == pytest.approx(1 - 30000 / (2 * 304.8**2))
    assert waste(net, CARD, 0) == 0
    made = gang(net, CARD, 6)
    assert made.waste == pytest.approx(waste(net, CARD, made.sheets, copies=6))


@pytest.mark.parametrize("sheets", [0, 1, 4, 7, 25])
def test_a_pack_gives_so_many_boxes_and_not_one_more(sheets: int) -> None:
    net = mixed(3)
    most = pack_yield(net, CARD, sheets)
    assert most == 0 or gang(net, CARD, most).sheets <= sheets
    assert gang(net, CARD, most + 1).sheets > sheets
    assert least(net, CARD, copies=most) <= sheets

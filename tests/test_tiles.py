"""Windows of templates over pages: few, true to size, joined by marks; and each check finds what is broken."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from booklet.net import Inside, Item, Net, Panel, Part, Piece
from booklet.plane import Ring, bounds
from booklet.space import identity, rows
from booklet.spec.model import Page
from booklet.tiles import LINE, MARK, Tile, checks, cover, least, letter, overlap, printable
from tests import boxes

A4 = Page((210.0, 297.0), "A4", 6.35, 10.0)
LETTER = Page((215.9, 279.4), "Letter", 6.35, 9.525)
SMALL = Page((210.0, 297.0), "A4", 6.35, 10.0, printed_bar=(97.0, 98.5))
PAGES = (A4, LETTER, SMALL)
WIDE, HIGH = 210 - 2 * 6.35, 297 - 2 * 6.35
"""What A4 prints, mm."""
OPPOSITE = {"left": "right", "right": "left", "below": "above", "above": "below"}


def rectangle(w: float, h: float, x: float = 0.0, y: float = 0.0) -> Ring:
    return (x, y), (x + w, y), (x + w, y + h), (x, y + h)


def net_of(*outlines: Ring, holes: tuple[Ring, ...] = ()) -> Net:
    """A net of loose pieces, each of one panel."""
    names = [f"piece-{i}" for i in range(len(outlines))]
    panels = tuple(Panel(n, "wall", ring, holes) for n, ring in zip(names, outlines, strict=True))
    pieces = tuple(Piece(n, n, (n,), ring, holes) for n, ring in zip(names, outlines, strict=True))
    part = Part("box", "box", 0.3, names[0], (rows(identity()),), panels, (), pieces=pieces)
    return Net("", "tray", 0.3, Inside(1, 1, 1), False, Item("block", 1, 1, 1), (part,), ())


def failed(net: Net, tiles: tuple[Tile, ...], page: Page = A4) -> set[str]:
    return {c.name for c in checks(net, page, tiles) if not c.ok}


def changed(tiles: tuple[Tile, ...], which: int, **changes: Any) -> tuple[Tile, ...]:
    return tuple(replace(t, **changes) if i == which else t for i, t in enumerate(tiles))


def seams(tiles: tuple[Tile, ...]) -> list[tuple[Tile, Tile]]:
    named = {t.name: t for t in tiles}
    return [(t, named[name]) for t in tiles for _, name in t.neighbours]


def holds(tile: Tile, mark: tuple[float, float]) -> bool:
    x, y = mark
    x0, y0, x1, y1 = tile.window
    return min(x - x0, y - y0, x1 - x, y1 - y) >= MARK - 1e-6


far = st.floats(20, 700)
corner = st.floats(-300, 300)


@st.composite
def shapes(draw: st.DrawFn) -> Ring:
    """A rectangle, an L or a U, anywhere in its frame."""
    w, h, x, y = draw(far), draw(far), draw(corner), draw(corner)
    a, b = w * draw(st.floats(0.1, 0.45)), h * draw(st.floats(0.1, 0.9))
    forms: tuple[Ring, ...] = (
        rectangle(w, h, x, y),
        ((x, y), (x + w, y), (x + w, y + b), (x + a, y + b), (x + a, y + h), (x, y + h)),
        ((x, y), (x + w, y), (x + w, y + h), (x + w - a, y + h), (x + w - a, y + b), (x + a, y + b), (x + a, y + h), (x, y + h)),
    )
    return draw(st.sampled_from(forms))


@settings(max_examples=60, deadline=None)
@given(st.lists(shapes(), min_size=1, max_size=2), st.sampled_from(PAGES), st.sampled_from([5.0, 8.0, 10.0, 25.0]))
def test_every_cover_keeps_its_checks(outlines: list[Ring], page: Page, lap: float) -> None:
    net, page = net_of(*outlines), replace(page, overlap=lap)
    assert failed(net, cover(net, page), page) == set()


@settings(max_examples=60, deadline=None)
@given(shapes(), st.sampled_from(PAGES))
def test_every_cut_line_is_in_some_window_in_its_whole_width(outline: Ring, page: Page) -> None:
    whole = shapely.Polygon(outline).buffer(LINE - 1e-6, join_style="mitre")
    windows = shapely.union_all([shapely.box(*t.window) for t in cover(net_of(outline), page)])
    assert whole.difference(windows).area < 1e-3


small = st.tuples(st.floats(20, 185), st.floats(20, 260))


@settings(max_examples=60, deadline=None)
@given(st.lists(small, min_size=2, max_size=6), st.sampled_from(PAGES))
def test_small_templates_share_pages_each_in_a_window_of_its_own(sizes: list[tuple[float, float]], page: Page) -> None:
    net = net_of(*(rectangle(w, h, x=7, y=-9) for w, h in sizes))
    tiles = cover(net, page)
    assert failed(net, tiles, page) == set()
    assert sorted(t.name for t in tiles) == [f"{letter(n)}1" for n in range(len(sizes))]
    assert sorted({t.leaf for t in tiles}) == list(range(1, max(t.leaf for t in tiles) + 1))
    assert least(net, page) <= max(t.leaf for t in tiles) <= len(sizes)
    for a, b in itertools.combinations(tiles, 2):
        if a.leaf == b.leaf:
            pieces = [shapely.Polygon(t.to_page.ring(net.parts[0].pieces[int(t.piece[-1])].outline)) for t in (a, b)]
            assert pieces[0].distance(pieces[1]) >= 6
            assert shapely.box(*a.on_page).intersection(shapely.box(*b.on_page)).area < 1e-6


def test_two_templates_share_a_page_and_one_that_is_taped_shares_none() -> None:
    net = net_of(rectangle(100, 90), rectangle(380, 540), rectangle(120, 80), rectangle(190, 270))
    tiles = cover(net, A4)
    assert [(t.name, t.leaf) for t in tiles] == [("A1", 1), ("C1", 1), ("B1", 2), ("B2", 3), ("B3", 4), ("B4", 5), ("D1", 6)]
    alone = next(t for t in tiles if t.name == "D1")
    assert alone.on_page == pytest.approx(printable(A4))
    assert least(net, A4) == 6


def test_a_name_has_room_over_a_template_that_leaves_none_round_it() -> None:
    """A rectangle fills the rectangle round it; a cross leaves room in its corners."""
    block, other = cover(net_of(rectangle(100, 90), rectangle(120, 80)), A4)
    assert [t.window[3] - 90 if t is block else t.window[3] - 80 for t in (block, other)] == [pytest.approx(12 + LINE + 3.5, abs=4)] * 2
    right: Ring = ((60, 0), (110, 0), (110, 50), (170, 50), (170, 90), (110, 90))
    arms: Ring = (*right, (110, 140), (60, 140), (60, 90), (0, 90), (0, 50), (60, 50))
    cross, _ = cover(net_of(arms, rectangle(120, 80)), A4)
    assert cross.window[3] - 140 <= 3.5 + LINE + 1e-6


def test_no_cover_goes_below_the_bound_and_it_is_met_by_what_is_taped() -> None:
    for style in boxes.STYLES:
        net = boxes.net(style, sheet=(305, 305))
        for page in PAGES:
            tiles = cover(net, page)
            assert least(net, page) <= max(t.leaf for t in tiles)
            if all(t.neighbours for t in tiles):
                assert least(net, page) == len(tiles)


def test_two_panels_that_do_not_go_on_one_page_need_two() -> None:
    """By area alone one page would do for both."""
    net = net_of(rectangle(150, 160), rectangle(150, 160))
    assert WIDE * HIGH > 2 * 150 * 160
    assert least(net, A4) == max(t.leaf for t in cover(net, A4)) == 2


@settings(max_examples=60, deadline=None)
@given(shapes(), st.sampled_from(PAGES))
def test_marks_of_a_seam_stand_whole_in_both_windows_and_far_apart(outline: Ring, page: Page) -> None:
    tiles = cover(net_of(outline), page)
    for a, b in seams(tiles):
        common = set(a.marks) & set(b.marks)
        assert all(holds(t, m) for t in (a, b) for m in common)
        long = max(min(a.window[k + 2], b.window[k + 2]) - max(a.window[k], b.window[k]) for k in (0, 1))
        assert len(common) >= 3
        assert max(math.dist(p, q) for p in common for q in common) > 0.6 * long


@settings(max_examples=60, deadline=None)
@given(shapes(), st.sampled_from(PAGES))
def test_every_tile_prints_just_the_marks_that_its_window_holds_and_none_are_near_each_other(outline: Ring, page: Page) -> None:
    tiles = cover(net_of(outline), page)
    every = {(round(x, 4), round(y, 4)): (x, y) for t in tiles for x, y in t.marks}
    for tile in tiles:
        assert {(round(x, 4), round(y, 4)) for x, y in tile.marks} == {key for key, mark in every.items() if holds(tile, mark)}
    assert all(math.dist(p, q) >= 8 for p in every for q in every if p != q)


def test_the_marks_of_a_seam_fit_in_no_other_way() -> None:
    """A page that is turned round or mirrored does not fit the marks of its neighbour."""
    for a, b in seams(cover(net_of(rectangle(380, 500)), A4)):
        marks = sorted(set(a.marks) & set(b.marks))
        x0, y0, x1, y1 = bounds(marks)
        for sx, sy in ((-1, 1), (1, -1), (-1, -1)):
            other = [(x if sx > 0 else x0 + x1 - x, y if sy > 0 else y0 + y1 - y) for x, y in marks]
            assert any(min(math.dist(p, q) for q in marks) > 1 for p in other)


def test_marks_keep_off_the_lines_where_they_can() -> None:
    """The piece's long sides run where the marks at the ends of the seam would stand first."""
    ring = rectangle(380, HIGH - 2 * (MARK + 1))
    marks = {m for t in cover(net_of(ring), A4) for m in t.marks}
    assert len(marks) == 3
    assert all(shapely.LinearRing(ring).distance(shapely.Point(m)) > MARK for m in marks)


def test_a_piece_keeps_off_the_edge_of_its_pages_where_that_costs_none() -> None:
    net = boxes.net("lidded-box")
    lid = net.part["lid"].pieces[0]
    tiles = [t for t in cover(net, A4) if t.piece == lid.name]
    pages, piece = bounds([p for t in tiles for p in (t.window[:2], t.window[2:])]), bounds(lid.outline)
    assert len(tiles) == 2
    assert min(piece[0] - pages[0], piece[1] - pages[1], pages[2] - piece[2], pages[3] - piece[3]) >= 3


@settings(max_examples=60, deadline=None)
@given(shapes(), st.sampled_from(PAGES))
def test_windows_are_all_that_a_page_prints_on_one_lattice(outline: Ring, page: Page) -> None:
    tiles = cover(net_of(outline), page)
    x0, y0, x1, y1 = printable(page)
    size = sorted((x1 - x0, y1 - y0))
    assert all(sorted((t.window[2] - t.window[0], t.window[3] - t.window[1])) == pytest.approx(size) for t in tiles)
    for tile in tiles:
        for k in (0, 1):
            pitch = tile.window[k + 2] - tile.window[k] - page.overlap
            steps = (tile.window[k] - tiles[0].window[k]) / pitch
            assert steps == pytest.approx(round(steps), abs=1e-6)


def test_neighbours_overlap_by_what_the_page_says_and_enough_for_a_mark() -> None:
    for lap, expected in ((10.0, 10.0), (5.0, 6.0)):
        a, b = cover(net_of(rectangle(300, 100)), replace(A4, overlap=lap))
        common = shapely.box(*a.window).intersection(shapely.box(*b.window))
        assert min(common.bounds[2] - common.bounds[0], common.bounds[3] - common.bounds[1]) == pytest.approx(expected)
        assert overlap(replace(A4, overlap=lap)) == expected


@pytest.mark.parametrize("turned", [False, True])
def test_a_piece_that_just_fits_is_on_one_page_without_marks(turned: bool) -> None:
    size = (WIDE - 1, HIGH - 1)
    (tile,) = cover(net_of(rectangle(*(size[::-1] if turned else size))), A4)
    assert (tile.name, tile.leaf, tile.marks, tile.neighbours) == ("A1", 1, (), ())
    assert (tile.to_page.a == 0) is turned


def test_a_piece_without_room_for_its_line_needs_a_page_more() -> None:
    assert len(cover(net_of(rectangle(WIDE - 0.4, HIGH - 1)), A4)) == 2


def test_the_better_of_both_turns_is_taken() -> None:
    """550 mm are two pages upright, three across."""
    tiles = cover(net_of(rectangle(190, 550)), A4)
    assert len(tiles) == 2
    assert len(cover(net_of(rectangle(550, 190)), A4)) == 2
    assert {t.paper for t in tiles} == {(210.0, 297.0)}


def test_blank_windows_in_a_row_at_the_end_are_all_left_out() -> None:
    ell: Ring = ((0, 0), (396, 0), (396, 220), (99, 220), (99, 589), (0, 589))
    assert len(cover(net_of(ell), replace(A4, overlap=5.0))) == 5


def test_blank_windows_are_left_out() -> None:
    ell: Ring = ((0, 0), (380, 0), (380, 150), (150, 150), (150, 540), (0, 540))
    net = net_of(ell)
    tiles = cover(net, A4)
    assert len(tiles) == 3
    assert failed(net, tiles) == set()


def test_a_window_in_a_hole_is_left_out() -> None:
    net = net_of(rectangle(560, 820), holes=(rectangle(300, 500, 130, 160),))
    assert len(cover(net, A4)) == 8
    assert failed(net, cover(net, A4)) == set()


def test_a_window_whose_share_is_in_the_others_is_left_out() -> None:
    """Two arms meet in the corner that four windows share: three of them hold it all and still hang together."""
    w, h = 2 * WIDE - 10 - 1, 2 * HIGH - 10 - 1
    arms: Ring = ((0, 0), (WIDE - 3, 0), (WIDE - 3, HIGH - 8), (w, HIGH - 8), (w, h), (WIDE - 8, h), (WIDE - 8, HIGH - 3), (0, HIGH - 3))
    net = net_of(arms)
    tiles = cover(net, A4)
    assert len(tiles) == 3
    assert failed(net, tiles) == set()


def test_pages_are_named_in_reading_order_and_know_their_neighbours() -> None:
    tiles = cover(net_of(rectangle(380, 540), rectangle(50, 50)), A4)
    assert [(t.leaf, t.name, t.piece) for t in tiles[:4]] == [(n, f"A{n}", "piece-0") for n in (1, 2, 3, 4)]
    assert [t.name for t in tiles[4:]] == ["B1"]
    assert [dict(t.neighbours) for t in tiles[:4]] == [
        {"right": "A2", "below": "A3"}, {"left": "A1", "below": "A4"}, {"right": "A4", "above": "A1"}, {"left": "A3", "above": "A2"},
    ]  # fmt: skip


@settings(max_examples=40, deadline=None)
@given(shapes())
def test_a_neighbour_lies_on_the_side_of_the_page_that_is_told(outline: Ring) -> None:
    tiles = cover(net_of(outline), A4)
    way = {"left": (-1, 0), "right": (1, 0), "below": (0, -1), "above": (0, 1)}
    named = {t.name: t for t in tiles}
    for tile in tiles:
        for side, name in tile.neighbours:
            other = bounds(tile.to_page.ring((named[name].window[:2], named[name].window[2:])))
            own = bounds(tile.to_page.ring((tile.window[:2], tile.window[2:])))
            moved = [round((other[k] - own[k]) / ((WIDE, HIGH)[k] - 10), 6) for k in (0, 1)]
            assert tuple(moved) == way[side]
            assert (OPPOSITE[side], tile.name) in named[name].neighbours


def test_under_a_correction_pages_are_as_large_as_they_print() -> None:
    assert printable(SMALL) == pytest.approx((6.35 * 0.97, 6.35 * 0.985, (210 - 6.35) * 0.97, (297 - 6.35) * 0.985))
    (tile,) = cover(net_of(rectangle(150, 200)), SMALL)
    assert tile.scale == (0.97, 0.985)
    assert tile.window[2] - tile.window[0] == pytest.approx(WIDE * 0.97)
    corners = tile.to_page.ring((tile.window[:2], tile.window[2:]))
    drawn = [(x / tile.scale[0], y / tile.scale[1]) for x, y in corners]
    assert drawn == [pytest.approx((6.35, 6.35)), pytest.approx((210 - 6.35, 297 - 6.35))]


def test_a_template_for_several_pieces_is_printed_once() -> None:
    net = net_of(rectangle(50, 50), rectangle(50, 50), rectangle(60, 50))
    part = net.parts[0]
    first, second, third = part.pieces
    net = replace(net, parts=(replace(part, pieces=(first, replace(second, template=first.name), third)),))
    assert [(t.name, t.piece) for t in cover(net, A4)] == [("A1", "piece-0"), ("B1", "piece-2")]
    assert failed(net, cover(net, A4)) == set()


def test_templates_after_the_26th_have_two_letters() -> None:
    assert [letter(n) for n in (0, 25, 26, 27, 52)] == ["A", "Z", "AA", "AB", "BA"]


@pytest.mark.parametrize("style", boxes.STYLES)
@pytest.mark.parametrize("outside", [False, True])
@pytest.mark.parametrize("page", PAGES)
def test_every_style_is_covered(style: str, outside: bool, page: Page) -> None:
    net = boxes.net(style, outside=outside)
    tiles = cover(net, page)
    assert failed(net, tiles, page) == set()
    assert tiles == cover(net, page)


def test_a_large_piece_on_small_pages_is_covered() -> None:
    page = Page((60.0, 60.0), "", 5.0, 6.0)
    net = boxes.net("tray", Item("block", 300, 200, 60))
    tiles = cover(net, page)
    assert len(tiles) > 60
    assert failed(net, tiles, page) == set()

"""Registration marks: three a seam, whole on both pages, far apart, and never to be laid on themselves by a turn or a mirror."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from booklet.plane import Point, Ring
from booklet.spec.model import Page
from booklet.tiles import MARK, Tile, checks, cover, mark, overlap
from booklet.tiles.checked import TURNED
from booklet.tiles.marks import mark_size
from tests.test_tiles import A4, LETTER, net_of, seams, shapes

A5 = Page((148.0, 210.0), "A5", 6.35, 8.0)
TINY = Page((60.0, 60.0), "", 5.0, 6.0)
PAGES = (A4, LETTER, A5)


def shared(a: Tile, b: Tile) -> list[Point]:
    return sorted({(round(x, 6), round(y, 6)) for x, y in a.marks} & {(round(x, 6), round(y, 6)) for x, y in b.marks})


def fits(marks: list[Point], others: list[Point]) -> float:
    """How well marks can be laid on others by a shift: the worst distance of the best of many shifts, mm."""
    shifts = [(x - u, y - v) for x, y in marks for u, v in others]
    return min(max(min(math.dist((u + dx, v + dy), m) for m in marks) for u, v in others) for dx, dy in shifts)


@settings(max_examples=40, deadline=None)
@given(shapes(), st.sampled_from(PAGES), st.sampled_from([6.0, 7.0, 8.0, 10.0, 25.0]))
def test_no_turn_and_no_mirroring_lays_the_marks_of_a_page_on_those_of_its_neighbour(outline: Ring, page: Page, lap: float) -> None:
    page = replace(page, overlap=lap)
    tiles = cover(net_of(outline), page)
    for a, b in seams(tiles):
        common = shared(a, b)
        for sx, sy in ((-1, 1), (1, -1), (-1, -1)):
            assert fits(common, [(x * sx, y * sy) for x, y in common]) >= TURNED
    sides = {"left": "right", "right": "left", "above": "below", "below": "above"}
    named = {tile.name: tile for tile in tiles}
    for tile in tiles:
        along = dict(tile.neighbours)
        for side, name in along.items():
            if sides[side] in along:
                other = shared(tile, named[along[sides[side]]])
                assert fits(shared(tile, named[name]), [(-x, -y) for x, y in other]) >= TURNED, "turned half round, its other side"


@settings(max_examples=40, deadline=None)
@given(shapes(), st.sampled_from(PAGES), st.sampled_from([6.0, 10.0]))
def test_a_third_mark_stands_off_the_line_of_the_other_two_and_off_their_middle(outline: Ring, page: Page, lap: float) -> None:
    page = replace(page, overlap=lap)
    for a, b in seams(cover(net_of(outline), page)):
        common = shared(a, b)
        assert len(common) >= 3
        p, q = max(((p, q) for p in common for q in common), key=lambda pair: math.dist(*pair))
        line = shapely.LineString([p, q])
        off = [(line.distance(shapely.Point(m)), abs(math.dist(m, p) - math.dist(m, q)) / 2) for m in common if m not in (p, q)]
        assert any(beside >= 0.9 and away >= 5 for beside, away in off)


def test_marks_are_smaller_where_pages_overlap_little() -> None:
    assert [mark_size(lap) for lap in (6.0, 7.0, 8.0, 20.0)] == [2.0, 2.5, 3.0, MARK]
    assert mark(replace(A4, overlap=6.0)) == 2.0


@settings(max_examples=20, deadline=None)
@given(shapes())
def test_marks_hold_on_tiny_pages_too(outline: Ring) -> None:
    net = net_of(outline)
    tiles = cover(net, TINY)
    assert {c.name for c in checks(net, TINY, tiles) if not c.ok} == set()
    size = mark(TINY)
    for a, b in seams(tiles):
        for x, y in shared(a, b):
            for t in (a, b):
                assert min(x - t.window[0], y - t.window[1], t.window[2] - x, t.window[3] - y) >= size - 1e-6


def test_marks_that_a_turned_page_would_fit_are_found() -> None:
    net = net_of(((0, 0), (300, 0), (300, 100), (0, 100)))
    tiles = cover(net, A4)
    assert "tiles.turned" not in {c.name for c in checks(net, A4, tiles) if not c.ok}
    a, b = tiles
    x = (max(a.window[0], b.window[0]) + min(a.window[2], b.window[2])) / 2
    low, high = a.window[1] + 10, a.window[3] - 10
    even = tuple(replace(t, marks=((x, low), (x, (low + high) / 2), (x, high))) for t in tiles)
    assert {c.name for c in checks(net, A4, even) if not c.ok} == {"tiles.turned"}


@pytest.mark.parametrize("lap", [6.0, 10.0])
def test_the_overlap_is_as_asked(lap: float) -> None:
    assert overlap(replace(A4, overlap=lap)) == lap

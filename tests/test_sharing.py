"""Rectangles that share pages: inside them, a gap apart, never more pages than a simple row-by-row layout."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from booklet.tiles.sharing import Place, least, share

ROOM, GAP = (197.0, 284.0), 7.0
side = st.floats(15, 190)
sizes = st.lists(st.tuples(side, side), min_size=1, max_size=8)


def ways(found: list[tuple[float, float]]) -> list[list[tuple[float, float]]]:
    return [[(w, h), (h, w)] for w, h in found]


def pages(places: tuple[Place, ...]) -> int:
    return len({place.page for place in places})


def rows(found: list[tuple[float, float]]) -> int:
    """Pages of a layout row by row, high ones first, none turned."""
    count, x, y, high = 1, 0.0, 0.0, 0.0
    for w, h in sorted(found, key=lambda size: -size[1]):
        if x + w > ROOM[0]:
            x, y, high = 0.0, y + high + GAP, 0.0
        if y + h > ROOM[1]:
            count, x, y, high = count + 1, 0.0, 0.0, 0.0
        x, high = x + w + GAP, max(high, h)
    return count


@settings(max_examples=60, deadline=None)
@given(sizes)
def test_rectangles_lie_on_their_page_true_to_size_and_a_gap_apart(found: list[tuple[float, float]]) -> None:
    places = share(ways(found), ROOM, GAP)
    assert [place.number for place in places] == list(range(len(found)))
    assert {place.page for place in places} == set(range(pages(places)))
    for place in places:
        x0, y0, x1, y1 = place.box
        assert (x1 - x0, y1 - y0) == pytest.approx(ways(found)[place.number][place.quarter])
        assert x0 >= -1e-6 and y0 >= -1e-6 and x1 <= ROOM[0] + 1e-5 and y1 <= ROOM[1] + 1e-5
    for a, b in itertools.combinations(places, 2):
        if a.page == b.page:
            assert max(a.box[k] - b.box[k + 2] for k in (0, 1)) >= GAP - 1e-5 or max(b.box[k] - a.box[k + 2] for k in (0, 1)) >= GAP - 1e-5


@settings(max_examples=60, deadline=None)
@given(sizes)
def test_there_are_never_more_pages_than_row_by_row_nor_fewer_than_the_bound(found: list[tuple[float, float]]) -> None:
    number = pages(share(ways(found), ROOM, GAP))
    assert least([w * h for w, h in found], ROOM) <= number <= rows(found)


def test_what_is_larger_than_half_a_page_stands_alone_whatever_the_sum() -> None:
    half = ROOM[0] * ROOM[1] / 2
    assert least([half * 1.02, half * 1.02, half * 1.02], ROOM) == 3
    assert least([half * 0.9] * 4, ROOM) == 2
    assert least([half * 1.42, half * 1.42, half * 1.42, half * 0.6], ROOM) == 4


def test_a_rectangle_is_turned_where_that_saves_a_page() -> None:
    places = share(ways([(190, 100), (170, 190)]), ROOM, GAP)
    assert pages(places) == 1
    assert [place.quarter for place in places] == [0, 1]
    assert pages(share([[(190, 100)], [(170, 190)]], ROOM, GAP)) == 2


def test_a_rectangle_that_fits_no_page_is_our_own_mistake() -> None:
    with pytest.raises(ValueError, match="fits no page"):
        share(ways([(300, 300)]), ROOM, GAP)

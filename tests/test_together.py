"""Whether two pieces go on one page at all: two rectangles as anybody sees it, other shapes by placements that are tried."""

from __future__ import annotations

import itertools

import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from booklet.plane import Ring, bounds, turn
from booklet.tiles.together import together

ROOM = (197.0, 284.0)
side = st.integers(30, 260).map(float)


def rectangle(x0: float, y0: float, w: float, h: float) -> Ring:
    return (x0, y0), (x0 + w, y0), (x0 + w, y0 + h), (x0, y0 + h)


def ell(w: float, h: float, thick: float) -> list[Ring]:
    return [rectangle(5, 5, w, thick), rectangle(5, 5 + thick, thick, h - thick)]


@settings(max_examples=100, deadline=None)
@given(side, side, side, side)
def test_two_rectangles_go_together_side_by_side_or_not_at_all(a: float, b: float, c: float, d: float) -> None:
    ways = [((p + r, max(q, s)), (max(p, r), q + s)) for p, q in ((a, b), (b, a)) for r, s in ((c, d), (d, c))]
    fits = any(w <= ROOM[0] and h <= ROOM[1] for way in ways for w, h in way)
    assert together([rectangle(3, 4, a, b)], [rectangle(-50, 9, c, d)], ROOM) == fits


def test_two_angles_that_reach_into_each_other_go_together_and_the_rectangles_round_them_do_not() -> None:
    assert together(ell(170, 250, 60), ell(130, 180, 50), ROOM)
    assert not together([rectangle(0, 0, 170, 250)], [rectangle(0, 0, 130, 180)], ROOM)
    assert not together(ell(170, 250, 100), ell(130, 180, 100), ROOM)


@settings(max_examples=40, deadline=None)
@given(side, side, st.integers(20, 80), side, side, st.integers(20, 80))
def test_where_a_placement_is_found_by_trying_the_answer_is_yes(w: float, h: float, t: int, v: float, g: float, s: int) -> None:
    one, two = ell(w, h, min(t, w, h) * 0.9), ell(v, g, min(s, v, g) * 0.9)
    if found(one, two):
        assert together(one, two, ROOM)
        assert together(two, one, ROOM)


def found(a: list[Ring], b: list[Ring]) -> bool:
    """Whether two shapes lie on the page apart with the first in a corner, at some of many places of the second."""
    for p, q in itertools.product((0, 1, 2, 3), repeat=2):
        first, second = (shapely.union_all([shapely.Polygon(turn(n).ring(ring)) for ring in rings]) for n, rings in ((p, a), (q, b)))
        first, second = (shapely.affinity.translate(s, -s.bounds[0], -s.bounds[1]) for s in (first, second))
        slack = [ROOM[k] - second.bounds[k + 2] for k in (0, 1)]
        if min(slack) < 0 or any(first.bounds[k + 2] > ROOM[k] for k in (0, 1)):
            continue
        for i, j in itertools.product(range(6), repeat=2):
            moved = shapely.affinity.translate(second, slack[0] * i / 5, slack[1] * j / 5)
            if first.intersection(moved).area < 1e-9:
                return True
    return False


def test_what_is_not_convex_and_what_has_no_area_rules_nothing_out() -> None:
    cup: Ring = ((0, 0), (190, 0), (190, 280), (150, 280), (150, 40), (40, 40), (40, 280), (0, 280))
    assert bounds(cup) == (0, 0, 190, 280)
    assert together([cup], [rectangle(0, 0, 100, 100)], ROOM)
    assert together([], [rectangle(0, 0, 100, 100)], ROOM)

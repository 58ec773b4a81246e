"""Card through card: what crosses is found with its depth, what touches or lies flat is not."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from booklet import space
from booklet.collide import Bodies, convex_parts, deepest
from booklet.net import Panel
from booklet.plane import Ring
from booklet.styles.shapes import rectangle

SQUARE = rectangle(-20, -20, 20, 20)
ALL = np.array([[False, True], [True, False]])


def _panel(ring: Ring, *holes: Ring) -> Panel:
    return Panel("panel", "wall", ring, holes)


def depth(first: np.ndarray, second: np.ndarray, a: Ring = SQUARE, b: Ring = SQUARE, limit: float = 0.05) -> float:
    return deepest(Bodies([_panel(a), _panel(b)]), np.array([[first, second]]), ALL, limit)[0]


UP = space.turned((1, 0, 0), 90)


def test_two_squares_through_each_other_cross_deeply() -> None:
    assert depth(space.identity(), UP) == pytest.approx(20)


def test_a_square_standing_on_another_does_not_cross_it() -> None:
    assert depth(space.identity(), space.moved(dz=20) @ UP) == 0


def test_a_square_that_pokes_through_by_1_mm_is_1_mm_deep() -> None:
    assert depth(space.identity(), space.moved(dz=19) @ UP) == pytest.approx(1)


def test_panels_that_lie_on_each_other_do_not_cross() -> None:
    assert depth(space.identity(), space.moved(5, 5, 0)) == 0
    assert depth(space.identity(), space.moved(5, 5, 0.3)) == 0


def test_panels_whose_planes_cross_beyond_their_edges_do_not_cross() -> None:
    assert depth(space.identity(), space.moved(50, 0, 0) @ UP) == 0


def test_the_frame_and_the_pair_are_told() -> None:
    frames = np.array([[space.identity(), space.moved(dz=30) @ UP], [space.identity(), UP]])
    assert deepest(Bodies([_panel(SQUARE), _panel(SQUARE)]), frames, ALL, 0.05)[1:] == (1, 0, 1)


def test_pairs_that_are_not_asked_for_are_passed_over() -> None:
    assert deepest(Bodies([_panel(SQUARE), _panel(SQUARE)]), np.array([[space.identity(), UP]]), np.zeros((2, 2), bool), 0.05)[0] == 0


def test_the_notch_of_a_concave_panel_is_free() -> None:
    notched: Ring = ((-20, -20), (20, -20), (20, 20), (5, 20), (5, -15), (-5, -15), (-5, 20), (-20, 20))
    slim = rectangle(-3, -3, 3, 3)
    assert depth(space.identity(), UP, notched, slim) == 0
    assert depth(space.identity(), space.moved(dx=10) @ UP, notched, slim) == pytest.approx(3)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.floats(1, 30), st.floats(0, 359)), min_size=4, max_size=9, unique_by=lambda p: round(p[1] / 7)))
def test_convex_parts_fill_the_outline_and_do_not_overlap(spokes: list[tuple[float, float]]) -> None:
    ring = tuple((r * np.cos(np.radians(a)), r * np.sin(np.radians(a))) for r, a in sorted(spokes, key=lambda s: s[1]))
    whole = shapely.Polygon(ring)
    if not whole.is_valid or whole.area < 1:
        return
    parts = [shapely.Polygon(p) for p in convex_parts(ring)]
    assert all(p.convex_hull.area == pytest.approx(p.area, rel=1e-6, abs=1e-6) for p in parts)
    assert sum(p.area for p in parts) == pytest.approx(whole.area, rel=1e-6)


@settings(max_examples=80, deadline=None)
@given(*[st.floats(-15, 15)] * 3, st.floats(5, 175), st.floats(-1, 1), st.floats(-1, 1))
def test_a_crossing_is_found_whichever_panel_comes_first(x: float, y: float, z: float, angle: float, u: float, v: float) -> None:
    place = space.moved(x, y, z) @ space.turned((u, v, 0.3), angle)
    assert depth(space.identity(), place) == pytest.approx(depth(place, space.identity()), abs=1e-6)

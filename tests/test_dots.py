"""Points of a shape, counted in rectangles by sums: right for what has upright edges, and never outside the shape."""

from __future__ import annotations

import numpy as np
import shapely
from hypothesis import example, given
from hypothesis import strategies as st

from booklet.tiles.dots import dots_of

place = st.integers(0, 60).map(float)
BLOCKY = shapely.union_all([shapely.box(0, 0, 60, 20), shapely.box(20, 0, 40, 60)])
HOLED = shapely.box(0, 0, 60, 60).difference(shapely.box(10, 30, 50, 45))
SLANTED = shapely.Polygon([(0, 0), (60, 10), (45, 60), (30, 20)])


def count(shape: shapely.Polygon, box: tuple[float, float, float, float]) -> int:
    dots = dots_of(shape)
    x0, x1 = (int(dots.before(0, np.array([v]), side)[0]) for v, side in ((box[0], "left"), (box[2], "right")))
    y0, y1 = (int(dots.before(1, np.array([v]), side)[0]) for v, side in ((box[1], "left"), (box[3], "right")))
    return int(dots.sums[y1, x1] - dots.sums[y0, x1] - dots.sums[y1, x0] + dots.sums[y0, x0])


@example(BLOCKY, 0.0, 18.0, 20.0, 20.0)  # touches an edge that a line between two corners runs along
@given(st.sampled_from([BLOCKY, HOLED]), place, place, place, place)
def test_a_rectangle_holds_points_just_where_it_holds_some_of_a_shape_with_upright_edges(
    shape: shapely.Polygon, a: float, b: float, c: float, d: float
) -> None:
    box = (min(a, b), min(c, d), max(a, b) + 2, max(c, d) + 2)
    assert (count(shape, box) > 0) == (shape.intersection(shapely.box(*box)).area > 0)


@given(place, place, st.floats(0.5, 20), st.floats(0.5, 20))
def test_a_rectangle_without_a_part_of_the_shape_holds_no_point(x: float, y: float, wide: float, high: float) -> None:
    box = (x, y, x + wide, y + high)
    if not SLANTED.intersects(shapely.box(*box)):
        assert count(SLANTED, box) == 0


def test_a_point_stands_beside_every_corner_of_the_shape() -> None:
    for x, y in BLOCKY.exterior.coords:
        assert count(BLOCKY, (x - 1e-6, y - 1e-6, x + 1e-6, y + 1e-6)) > 0


def test_no_two_points_inside_a_shape_are_further_apart_than_a_step() -> None:
    assert count(BLOCKY, (5.0, 5.0, 7.1, 7.1)) > 0
    dots = dots_of(BLOCKY)
    assert np.diff(dots.x).max() <= 2.0 + 1e-9

"""Lines cut off at a window, and the room that lines leave for words."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from booklet.drawing.clip import clipped, runs
from booklet.drawing.room import Room
from booklet.plane import Line

NUMBER = st.floats(-30, 30).map(lambda v: round(v, 2))
POINT = st.tuples(NUMBER, NUMBER)
WINDOW = (-10.0, -5.0, 12.0, 8.0)


@given(POINT, POINT)
def test_a_clipped_line_is_its_part_inside_the_window(a: tuple[float, float], b: tuple[float, float]) -> None:
    inside = shapely.LineString([a, b]).intersection(shapely.box(*WINDOW))
    found = clipped((a, b), WINDOW)
    assert (math.dist(*found) if found else 0.0) == pytest.approx(inside.length, abs=1e-6)


@given(st.lists(POINT, min_size=3, max_size=8, unique=True))
def test_the_runs_of_a_ring_are_its_line_inside_the_window(points: list[tuple[float, float]]) -> None:
    ring = [*points, points[0]]
    each = sum(shapely.LineString(pair).intersection(shapely.box(*WINDOW)).length for pair in itertools.pairwise(ring))
    total = 0.0
    for run, closed in runs(points, WINDOW, closed=True):
        total += shapely.LineString([*run, run[0]] if closed else run).length
    assert total == pytest.approx(each, abs=1e-6)


def test_a_ring_inside_the_window_stays_closed() -> None:
    ring = ((0.0, 0.0), (5.0, 0.0), (5.0, 5.0))
    assert runs(ring, WINDOW, closed=True) == [(ring, True)]


@given(st.lists(st.tuples(POINT, POINT), max_size=6), POINT, st.floats(1, 15), st.floats(1, 8))
def test_room_that_is_found_is_free(found: list[Line], near: tuple[float, float], wide: float, high: float) -> None:
    room = Room((-30.0, -30.0, 30.0, 30.0), 0.5)
    room.take_lines(found)
    at = room.spot((wide, high), near, 0.5)
    if at is not None:
        rectangle = shapely.box(at[0] - wide / 2, at[1] - high / 2, at[0] + wide / 2, at[1] + high / 2)
        assert all(rectangle.distance(shapely.LineString(line)) > 0.3 for line in found)


@given(st.lists(POINT, min_size=3, max_size=3, unique=True), POINT)
def test_room_in_an_area_is_the_nearest_of_all_places_in_it(corners: list[tuple[float, float]], near: tuple[float, float]) -> None:
    area = shapely.Polygon(corners)
    x, y = (a.ravel() for a in np.meshgrid(np.arange(-28.0, 29.0), np.arange(-29.0, 30.0)))
    within = shapely.contains_xy(area, x, y)
    away = np.hypot(x[within] - near[0], y[within] - near[1])
    at = Room((-30.0, -30.0, 30.0, 30.0)).spot((4.0, 2.0), near, 0.0, area)
    assert (at is None) == (not len(away))
    if at is not None:
        assert math.dist(at, near) == pytest.approx(away.min(), abs=1e-4)
        assert area.covers(shapely.Point(at))


def test_there_is_no_room_in_what_is_taken() -> None:
    room = Room((0.0, 0.0, 40.0, 20.0))
    assert room.spot((10.0, 5.0), (20.0, 10.0)) is not None
    room.take((0.0, 0.0, 40.0, 16.0))
    assert room.spot((10.0, 5.0), (20.0, 10.0)) is None


def test_hatched_room_is_given_only_when_asked_for() -> None:
    room = Room((0.0, 0.0, 20.0, 20.0))
    room.take_area(((0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0)))
    assert room.spot((5.0, 5.0), (10.0, 10.0)) is None
    assert room.spot((5.0, 5.0), (10.0, 10.0), hatched=True) is not None

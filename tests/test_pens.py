"""Pens: what is drawn with them, measured on the pen that records."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from booklet.drawing.pen import (
    HATCH_SPACING,
    LAYER_OF,
    LAYERS,
    STROKES,
    Pen,
    arrow,
    box,
    circle,
    cut_to_ring,
    dimension,
    hatch,
    hatch_lines,
    registration,
    upright,
)
from booklet.drawing.recording import RecordingPen, measured
from booklet.plane import Affine, area, bounds, contains, length, middle, shift, side, turn

Ring = tuple[tuple[float, float], ...]

figures = st.floats(-200, 200, allow_nan=False).map(lambda v: round(v, 2))
corners = st.tuples(figures, figures)
angles = st.floats(-180, 180, allow_nan=False)


@st.composite
def stars(draw: st.DrawFn) -> tuple[tuple[float, float], ...]:
    """Rings that do not cross themselves: points round a middle, at growing angles."""
    radii = draw(st.lists(st.floats(5, 80), min_size=3, max_size=9))
    return tuple((r * math.cos(math.tau * k / len(radii)), r * math.sin(math.tau * k / len(radii))) for k, r in enumerate(radii))


def test_widths_are_those_of_iso_128_and_a_cut_is_twice_a_fold() -> None:
    assert {s.width_mm for s in STROKES.values()} <= {0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0}
    assert STROKES["cut"].width_mm == 2 * STROKES["valley"].width_mm == 2 * STROKES["mountain"].width_mm
    assert not STROKES["cut"].dash


def test_folds_are_told_apart_by_their_dashes_in_line_widths() -> None:
    assert [v / 0.25 for v in STROKES["valley"].dash] == [12, 3]
    assert [v / 0.25 for v in STROKES["mountain"].dash] == [24, 3, 0.5, 3, 0.5, 3]


def test_hatch_lines_are_further_apart_than_two_thick_lines() -> None:
    assert 2 * STROKES["cut"].width_mm <= HATCH_SPACING


def test_each_layer_of_a_stroke_is_a_layer() -> None:
    assert set(LAYER_OF.values()) <= set(LAYERS)


@given(stars(), angles)
def test_hatching_stays_within_its_ring_and_keeps_its_direction(ring: Ring, angle: float) -> None:
    for a, b in hatch_lines([ring], 3.0, angle):
        assert contains(ring, middle((a, b)))
        assert math.sin(math.atan2(b[1] - a[1], b[0] - a[0]) - math.radians(angle)) == pytest.approx(0, abs=1e-6)


@given(stars(), angles)
def test_hatching_covers_its_ring_evenly(ring: Ring, angle: float) -> None:
    spacing = 0.5
    covered = sum(map(length, hatch_lines([ring], spacing, angle))) * spacing
    x0, y0, x1, y1 = bounds(ring)
    assert covered == pytest.approx(abs(area(ring)), abs=2 * spacing * (x1 - x0 + y1 - y0))


def test_hatching_leaves_holes_free() -> None:
    lines = hatch_lines([box(0, 0, 40, 40), box(10, 10, 30, 30)])
    assert lines and not any(contains(box(10.01, 10.01, 29.99, 29.99), middle(line)) for line in lines)


def test_hatching_of_two_halves_is_the_hatching_of_the_whole() -> None:
    whole = sum(map(length, hatch_lines([box(0, 0, 40, 20)])))
    halves = sum(sum(map(length, hatch_lines([part]))) for part in (box(0, 0, 17, 20), box(17, 0, 40, 20)))
    assert halves == pytest.approx(whole, abs=0.05)


def test_nothing_is_hatched_in_nothing() -> None:
    assert hatch_lines([]) == ()
    pen = RecordingPen()
    hatch(pen, ())
    assert pen.records == []


@given(corners, corners, stars())
def test_a_line_cut_to_a_ring_lies_in_it_and_on_the_line(a: tuple[float, float], b: tuple[float, float], ring: Ring) -> None:
    for part in cut_to_ring((a, b), ring):
        assert contains(ring, middle(part)) or length(part) < 1e-3
        assert all(abs(side((a, b), p)) < 1e-6 for p in part)
        assert length(part) <= length((a, b)) + 1e-9


def test_a_line_across_a_ring_keeps_its_middle() -> None:
    ((p, q),) = cut_to_ring(((-5, 5), (15, 5)), box(0, 0, 10, 10))
    assert (p, q) == (pytest.approx((0, 5)), pytest.approx((10, 5)))


def test_placing_maps_points_and_not_widths() -> None:
    pen = RecordingPen()
    with pen.placed(turn(1).then(shift(100, 0))), pen.placed(Affine(2, 0, 0, 2)):
        pen.path([(0, 0), (1, 0)], STROKES["valley"], "Creasing")
    assert pen.lines("Creasing") == [((100, 0), (100, 2))]
    assert pen.records[0].stroke == STROKES["valley"]


def test_words_are_turned_with_their_place_and_never_scaled() -> None:
    pen = RecordingPen()
    with pen.placed(Affine(0, 3, -3, 0, 10, 0)):
        pen.text((1, 0), "wall", 7, angle=30)
    (record,) = pen.records
    assert record.points == ((10, 3),) and record.size_pt == 7
    assert record.angle == pytest.approx(120)


def test_clips_are_placed_and_cut_what_is_drawn() -> None:
    pen = RecordingPen()
    with pen.placed(shift(10, 0)), pen.clipped(box(0, 0, 5, 5)):
        pen.path([(-5, 2), (20, 2)], STROKES["cut"], "Cutting")
    pen.path([(0, 0), (1, 0)], STROKES["cut"])
    ((p, q),) = pen.lines("Cutting")
    assert (p, q) == (pytest.approx((10, 2)), pytest.approx((15, 2)))
    assert pen.records[1].clip == ()


def test_a_closed_path_has_a_line_back_to_its_start() -> None:
    pen = RecordingPen()
    pen.path(box(0, 0, 2, 1), STROKES["cut"], closed=True)
    assert len(pen.lines()) == 4 and sum(map(length, pen.lines())) == pytest.approx(6)


def test_an_arrow_ends_at_its_last_point_with_its_shaft_under_the_head() -> None:
    pen = RecordingPen()
    arrow(pen, [(0, 0), (10, 0), (10, 9)], head=3)
    shaft, head = pen.records
    assert head.kind == "fill" and head.points[0] == (10, 9)
    assert shaft.points[-1] == pytest.approx((10, 9 - 2.7))


def test_an_arrow_shorter_than_its_head_still_points_the_right_way() -> None:
    pen = RecordingPen()
    arrow(pen, [(0, 0), (0.5, 0), (1, 0)], head=3)
    tip, left, right = pen.records[1].points
    assert tip == (1, 0) and left[0] < 1 and right[0] < 1


@given(angles)
def test_words_can_be_read_from_below_or_from_the_right(angle: float) -> None:
    assert -90 < upright(angle) <= 90 + 1e-6
    assert math.sin(math.radians(upright(angle) - angle)) == pytest.approx(0, abs=1e-9)


def dimensioned(a: tuple[float, float], b: tuple[float, float], offset: float, words: str = "70 mm") -> RecordingPen:
    pen = RecordingPen()
    dimension(pen, a, b, offset, words)
    return pen


@given(corners, corners, st.floats(5, 20), st.sampled_from((-1, 1)))
def test_a_dimension_line_is_as_long_as_what_it_measures_and_clear_of_it(
    a: tuple[float, float], b: tuple[float, float], offset: float, way: int
) -> None:
    if math.dist(a, b) < 20:
        return
    pen = dimensioned(a, b, way * offset)
    first, second, line = pen.lines()
    assert length(line) == pytest.approx(math.dist(a, b))
    assert side((a, b), middle(line)) == pytest.approx(way * offset)
    for corner, extension in ((a, first), (b, second)):
        assert math.dist(corner, extension[0]) == pytest.approx(1.0)
        assert math.dist(corner, extension[1]) == pytest.approx(offset + 1.5)
    tips = [r.points[0] for r in pen.records if r.kind == "fill"]
    assert tips == [pytest.approx(line[0]), pytest.approx(line[1])]


@given(corners, corners)
def test_words_of_a_dimension_stand_over_its_line_upright(a: tuple[float, float], b: tuple[float, float]) -> None:
    if math.dist(a, b) < 20:
        return
    pen = dimensioned(a, b, 10)
    (words,) = [r for r in pen.records if r.kind == "text"]
    line = pen.lines()[2]
    t = math.radians(words.angle)
    over = words.points[0][0] - middle(line)[0], words.points[0][1] - middle(line)[1]
    assert -90 < words.angle <= 90 + 1e-6
    assert over == (pytest.approx(-0.8 * math.sin(t)), pytest.approx(0.8 * math.cos(t)))


def test_where_the_room_is_small_arrows_come_from_outside_and_words_stand_beyond() -> None:
    pen = dimensioned((0, 0), (4, 0), 8, "4 mm and more")
    line = pen.lines()[2]
    assert length(line) == pytest.approx(4 + 4 * 2.5)
    (words,) = [r for r in pen.records if r.kind == "text"]
    assert words.points[0][0] - measured(words.words, 7) / 2 > 4


def test_a_dimension_of_no_length_draws_nothing() -> None:
    assert dimensioned((1, 1), (1, 1), 5).records == []


@pytest.mark.parametrize("radius", [2.5, 4.0])
def test_a_registration_mark_is_a_circle_with_lines_that_cross_in_its_middle(radius: float) -> None:
    pen = RecordingPen()
    registration(pen, (50, 60), radius)
    ring, across, up = pen.records
    assert all(math.dist(p, (50, 60)) == pytest.approx(radius) for p in ring.points) and ring.closed
    assert middle(across.points) == (50, 60) == middle(up.points)  # type: ignore[arg-type]
    assert [length(across.points), length(up.points)] == pytest.approx([3.2 * radius] * 2)  # type: ignore[arg-type]
    assert {r.layer for r in pen.records} == {"Legend"}


def test_a_circle_of_many_sides_is_a_circle_to_the_thickness_of_no_line() -> None:
    ring = circle((0, 0), 50)
    assert abs(area(ring)) == pytest.approx(math.pi * 2500, rel=0.002)


def test_letters_have_the_widths_of_the_shipped_faces() -> None:
    assert measured("i", 10) < measured("m", 10) < measured("m", 10, bold=True) < measured("m", 20)


def test_the_recording_pen_is_a_pen() -> None:
    pen: Pen = RecordingPen()
    with pen.clipped(box(0, 0, 1, 1)) as inner:
        assert inner is pen

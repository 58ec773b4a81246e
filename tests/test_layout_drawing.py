"""The card layout and the page map."""

from __future__ import annotations

import math
from itertools import combinations, pairwise

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from booklet.drawing.layout import SIZE_PT, _Mark, draw_running, draw_sheet, figure, spread
from booklet.drawing.pagemap import draw as draw_map
from booklet.drawing.pen import MM_PER_POINT, STROKES, TINT
from booklet.drawing.recording import Record, RecordingPen, measured
from booklet.drawing.room import CAPITAL
from booklet.plane import bounds
from tests import boxes, samples
from tests.plans import plan

BOX = (0.0, 0.0, 89.0, 92.0)
EVERY = [(style, units) for style in boxes.STYLES for units in ("mm", "in")]


def of_sheets(style: str, units: str) -> list[list[Record]]:
    made = plan(style, units=units)
    pens = [RecordingPen() for _ in range(made.sheets)]
    for number, pen in enumerate(pens, 1):
        draw_sheet(pen, made, number, BOX)
    return [pen.records for pen in pens]


def figures(records: list[Record]) -> list[Record]:
    return [r for r in records if r.kind == "text" and r.layer == "Dimensions"]


def box_of(r: Record) -> shapely.Polygon:
    wide, cap = measured(r.words, r.size_pt), CAPITAL * r.size_pt * MM_PER_POINT
    x, y = r.points[0]
    return shapely.box(x - cap, y - wide, x, y) if r.angle else shapely.box(x - wide, y, x, y + cap)


@pytest.mark.parametrize(("style", "units"), EVERY)
def test_no_figure_stands_on_another_or_across_a_line(style: str, units: str) -> None:
    for records in of_sheets(style, units):
        rectangles = [box_of(r) for r in figures(records)]
        assert len(rectangles) >= 4 and not any(a.intersects(b) for a, b in combinations(rectangles, 2))
        drawn = shapely.MultiLineString([line for r in records if r.kind == "path" for line in r.lines()])
        assert not any(rectangle.intersects(drawn) for rectangle in rectangles)


@pytest.mark.parametrize(("style", "units"), EVERY)
def test_dimension_lines_outside_the_sheet_do_not_cross(style: str, units: str) -> None:
    for records in of_sheets(style, units):
        bends = [shapely.LineString(r.points) for r in records if r.layer == "Dimensions" and len(r.points) == 3]
        assert len(bends) == len(figures(records)) and not any(a.crosses(b) for a, b in combinations(bends, 2))


@pytest.mark.parametrize("axis", [0, 1])
def test_figures_of_edges_close_to_each_other_are_moved_apart(axis: int) -> None:
    pen = RecordingPen()
    draw_running(pen, [_Mark(40.0 + at, 60.0, f"{at:g}") for at in (0, 1, 1.5, 2, 30, 31)], 20.0, axis, shapely.Polygon())
    rectangles = [box_of(r) for r in figures(pen.records)]
    assert len(rectangles) == 6 and not any(a.intersects(b) for a, b in combinations(rectangles, 2))
    bends = [shapely.LineString(r.points) for r in pen.records if len(r.points) == 3]
    assert not any(a.crosses(b) for a, b in combinations(bends, 2))
    assert not any(rectangle.intersects(bend) for rectangle in rectangles for bend in bends)


@pytest.mark.parametrize(("style", "units"), EVERY)
def test_all_stays_in_its_box(style: str, units: str) -> None:
    area = shapely.box(*BOX).buffer(0.3)
    for r in (r for records in of_sheets(style, units) for r in records):
        assert area.covers(box_of(r) if r.kind == "text" and r.layer == "Dimensions" else shapely.MultiPoint(r.points)), r


@pytest.mark.parametrize("style", boxes.STYLES)
def test_a_sheet_is_drawn_to_scale_with_its_pieces_where_they_lie(style: str) -> None:
    made = plan(style)
    for number in range(1, made.sheets + 1):
        pen = RecordingPen()
        draw_sheet(pen, made, number, BOX)
        sheet, *pieces = [r.points for r in pen.records if r.kind == "path" and r.closed and r.stroke == STROKES["edge"]]
        x0, y0, x1, y1 = bounds(sheet)
        scale = (x1 - x0) / made.spec.card.sheet[0]
        assert (y1 - y0) / made.spec.card.sheet[1] == pytest.approx(scale)
        placed = [p for p in made.placed if p.sheet == number]
        for one, ring in zip(placed, pieces, strict=True):
            piece = next(piece for _, piece in made.pieces if piece.name == one.piece)
            true = one.to_sheet.ring(piece.outline)
            assert all(math.dist(((x - x0) / scale, (y - y0) / scale), p) < 1e-6 for (x, y), p in zip(ring, true, strict=True))


def test_a_sheet_tells_where_the_box_round_each_piece_lies() -> None:
    made = plan("lidded-box")
    pen = RecordingPen()
    draw_sheet(pen, made, 1, BOX)
    piece = made.placed[0]
    x0, y0, x1, y1 = bounds(piece.to_sheet.ring(next(p for _, p in made.pieces if p.name == piece.piece).outline))
    assert {r.words for r in figures(pen.records)} >= {figure(v, "mm") for v in (x0, y0, x1, y1)}
    assert piece.piece in pen.texts()
    assert f"sheet 1   {figure(304.8, 'mm')} \u00d7 304.8 mm" in pen.texts()


@given(st.lists(st.floats(0, 100), max_size=12), st.floats(0.5, 5))
def test_figures_are_spread_in_order_and_far_enough_apart(places: list[float], step: float) -> None:
    found = spread(sorted(places), step)
    assert len(found) == len(places)
    assert all(b - a >= step - 1e-6 for a, b in pairwise(found))


def test_figures_that_have_room_stay_where_they_belong() -> None:
    assert spread([0.0, 10.0, 20.0], 3.0) == [0.0, 10.0, 20.0]


@pytest.mark.parametrize("style", boxes.STYLES)
def test_the_page_map_shows_every_page_and_tints_what_two_share(style: str) -> None:
    made = plan(style)
    for part, piece, _ in made.templates:
        windows = [t for t in made.tiles if (t.part, t.piece) == (part.name, piece.name)]
        pen = RecordingPen()
        draw_map(pen, made, piece.name, BOX)
        assert {t.name for t in windows} <= set(pen.texts())
        frames = [r.points for r in pen.records if r.kind == "path" and r.stroke == STROKES["mark"]]
        assert len(frames) == len(windows)
        tinted = sum(shapely.Polygon(r.points).area for r in pen.records if r.kind == "fill" and r.grey == TINT)
        shared = shapely.union_all([shapely.Polygon(a) & shapely.Polygon(b) for a, b in combinations(frames, 2)])
        assert tinted == pytest.approx(shared.area, abs=1e-6)


def test_the_figures_are_7_point() -> None:
    assert {r.size_pt for records in of_sheets("tray", "mm") for r in figures(records)} == {SIZE_PT} and SIZE_PT >= 7


def test_narrow_strips_have_their_names_too_turned_where_they_must_be() -> None:
    """A slipcase's walls lie beside its faces, 14 mm wide on a sheet drawn at a third."""
    made, pen = samples.plan("recipes"), RecordingPen()
    draw_sheet(pen, made, 1, (0.0, 0.0, 186.0, 150.0))
    names = [r for r in pen.records if r.kind == "text" and r.layer is None]
    assert {piece.name for _, piece in made.pieces} <= {r.words for r in names}
    assert {r.angle for r in names if "wall" in r.words} == {90.0}

"""Template pages: true lines inside the printable area, and words that stand across none of them."""

from __future__ import annotations

import itertools
import math
from functools import cache

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from booklet import tiles
from booklet.drawing.clip import clipped, runs
from booklet.drawing.labels import LABELS, common_name, in_two
from booklet.drawing.legend import Legend, Row
from booklet.drawing.pen import LAYERS, MM_PER_POINT
from booklet.drawing.recording import Record, RecordingPen, measured
from booklet.drawing.room import CAPITAL, DESCENT, Room
from booklet.drawing.template import PANEL_CLEAR, PANEL_PT, TICK, draw_tile, grain_of
from booklet.plan import Plan
from booklet.plane import Affine, Line
from booklet.tiles import Tile
from tests import boxes
from tests.plans import plan

SCALED = 'printed_bar = ["98.6 mm", "99.1 mm"]'
PLANS = [(style, t, page) for style in boxes.STYLES for t, page in ((0.3, ""), (0.9, SCALED))]
SAID = {**LABELS, "page_of": "page 7 of 24"}


@cache
def page(style: str, t: float, extra: str, leaf: int) -> tuple[Record, ...]:
    made = plan(style, t, extra)
    pen = RecordingPen()
    draw_tile(pen, made, made.tiles[leaf], SAID)
    return tuple(pen.records)


def pages(style: str, t: float, extra: str) -> list[tuple[Tile, tuple[Record, ...]]]:
    return [(tile, page(style, t, extra, n)) for n, tile in enumerate(plan(style, t, extra).tiles)]


def drawn_to_flat(tile: Tile) -> Affine:
    return Affine(tile.scale[0], 0, 0, tile.scale[1]).then(tile.to_page.inverse())


def lines(records: tuple[Record, ...], *layers: str) -> list[Line]:
    return [line for r in records if r.kind == "path" and r.layer in layers for line in r.lines()]


def words_box(r: Record) -> shapely.Polygon:
    """The rectangle of a record's words, from the foot of its letters to the top of its capitals."""
    wide, size = measured(r.words, r.size_pt, r.bold), r.size_pt * MM_PER_POINT
    start = {"start": 0.0, "middle": -wide / 2, "end": -wide}[r.anchor]
    box = shapely.box(start, -DESCENT * size, start + wide, CAPITAL * size)
    box = shapely.affinity.rotate(box, r.angle, origin=(0, 0))
    return shapely.affinity.translate(box, *r.points[0])


@pytest.mark.parametrize(("style", "t", "extra"), PLANS)
def test_the_cut_lines_of_all_pages_are_those_of_the_piece(style: str, t: float, extra: str) -> None:
    made = plan(style, t, extra)
    for part, piece, _ in made.templates:
        found = []
        for tile, records in pages(style, t, extra):
            if (tile.part, tile.piece) == (part.name, piece.name):
                back = drawn_to_flat(tile)
                found += [shapely.LineString([back(a), back(b)]) for a, b in lines(records, "Cutting")]
        true = shapely.MultiLineString([[*r, r[0]] for r in (piece.outline, *piece.holes)] + [list(s) for s in piece.slits])
        assert shapely.union_all(found).hausdorff_distance(true) < 1e-6


@pytest.mark.parametrize(("style", "t", "extra"), PLANS)
def test_folds_are_drawn_in_the_layer_of_their_kind(style: str, t: float, extra: str) -> None:
    wanted = "Creasing" if t < 0.35 else "ReverseCreasing"
    for _, records in pages(style, t, extra):
        assert not lines(records, {"Creasing": "ReverseCreasing", "ReverseCreasing": "Creasing"}[wanted])
    assert any(lines(records, wanted) for _, records in pages(style, t, extra))


@pytest.mark.parametrize(("style", "t", "extra"), PLANS)
def test_nothing_lies_outside_the_printable_area(style: str, t: float, extra: str) -> None:
    made = plan(style, t, extra)
    (w, h), m = made.spec.page.paper, made.spec.page.margin
    area = shapely.box(m, m, w - m, h - m).buffer(0.01)
    for _, records in pages(style, t, extra):
        for r in records:
            shape = words_box(r) if r.kind == "text" else shapely.MultiPoint(r.points)
            assert area.covers(shape), (r.kind, r.words, r.layer, shape.bounds)


@pytest.mark.parametrize(("style", "t", "extra"), PLANS)
def test_no_words_stand_across_a_line(style: str, t: float, extra: str) -> None:
    for tile, records in pages(style, t, extra):
        hard = shapely.MultiLineString(lines(records, "Cutting", "Creasing", "ReverseCreasing", "Dimensions"))
        for r in records:
            if r.kind == "text":
                assert not words_box(r).intersects(hard), (tile.name, r.words)


@pytest.mark.parametrize(("style", "t", "extra"), PLANS)
def test_no_words_stand_on_other_words(style: str, t: float, extra: str) -> None:
    for _, records in pages(style, t, extra):
        found = [words_box(r).buffer(-0.1) for r in records if r.kind == "text"]
        assert shapely.union_all(found).area == pytest.approx(sum(box.area for box in found))


@pytest.mark.parametrize(("style", "t", "extra"), PLANS)
def test_words_on_hatching_stand_on_white(style: str, t: float, extra: str) -> None:
    for _, records in pages(style, t, extra):
        hatching = shapely.MultiLineString(lines(records, "Gluing"))
        white = shapely.union_all([shapely.Polygon(r.points) for r in records if r.kind == "fill" and r.grey == 1.0])
        for r in records:
            if r.kind == "text" and words_box(r).intersects(hatching):
                assert white.buffer(0.01).covers(words_box(r)), r.words


@pytest.mark.parametrize(("style", "t", "extra"), PLANS)
def test_names_of_panels_keep_off_every_line(style: str, t: float, extra: str) -> None:
    made = plan(style, t, extra)
    for tile, records in pages(style, t, extra):
        part = made.net.part[tile.part]
        piece = next(p for p in part.pieces if p.name == tile.piece)
        names = {common_name({}, part, piece, part.panel[name]) for name in piece.panels}
        hard = shapely.MultiLineString(lines(records, "Cutting", "Creasing", "ReverseCreasing"))
        for r in records:
            if r.kind == "text" and r.words in names and r.size_pt == PANEL_PT:
                assert words_box(r).distance(hard) > PANEL_CLEAR - 0.01


@pytest.mark.parametrize("extra", ["", SCALED])
def test_two_lines_of_50_mm_come_out_true(extra: str) -> None:
    for tile, records in pages("lidded-box", 0.3, extra):
        ticks = [line for line in lines(records, "Dimensions") if math.dist(*line) > 40]
        across = [abs(b[0] - a[0]) * tile.scale[0] for a, b in ticks if a[1] == b[1]]
        up = [abs(b[1] - a[1]) * tile.scale[1] for a, b in ticks if a[0] == b[0]]
        assert across == pytest.approx([TICK])
        assert up == pytest.approx([TICK])


def test_pages_that_meet_print_the_same_marks() -> None:
    made = plan("lidded-box")
    where: dict[str, set[tuple[float, float]]] = {}
    for tile, records in pages("lidded-box", 0.3, ""):
        circles = [r for r in records if r.closed and r.layer == "Legend" and len(r.points) == 64]
        large = [np.mean(r.points, axis=0) for r in circles if np.ptp(np.array(r.points)[:, 0]) > 4.9]
        back = drawn_to_flat(tile)
        where[tile.name] = {(round(x, 3), round(y, 3)) for x, y in (back((float(c[0]), float(c[1]))) for c in large)}
    for tile in made.tiles:
        for _, name in tile.neighbours:
            assert len(where[tile.name] & where[name]) >= 2


@pytest.mark.parametrize(("style", "t", "extra"), PLANS)
def test_every_page_tells_its_name_its_neighbours_its_face_and_how_to_print(style: str, t: float, extra: str) -> None:
    made = plan(style, t, extra)
    for tile, records in pages(style, t, extra):
        said = [r.words for r in records if r.kind == "text"]
        assert tile.name in said
        assert LABELS[f"this_side_{made.net.marks}"] in said
        assert {f"joins {name}" for _, name in tile.neighbours} <= set(said)
        foot = " ".join(said)
        assert LABELS["actual_size"] in foot and "page 7 of 24" in foot and made.net.title in foot
        assert any(text.startswith(f"{tile.piece}: cut ") for text in said)


def test_the_legend_shows_the_lines_of_the_page_only() -> None:
    for _, records in pages("lidded-box", 0.3, ""):
        said = [r.words for r in records if r.kind == "text"]
        assert "mountain fold" not in said
        assert ("valley fold" in said) == bool(lines(records, "Creasing"))


def test_all_layers_are_those_of_the_standard() -> None:
    for _, records in pages("tuck-carton", 0.3, ""):
        assert {r.layer for r in records} <= set(LAYERS)


def test_a_template_for_two_pieces_names_panels_without_their_numbers() -> None:
    said = [r.words for _, records in pages("lidded-box", 0.3, "") for r in records if r.kind == "text"]
    assert "wall" in said and "wall 1" not in said
    assert "skirt 1" in said


@pytest.mark.parametrize(
    ("text", "lines_of_it"),
    [("bottom tuck flap", ("bottom", "tuck flap")), ("corner flap 1", ("corner", "flap 1")), ("wall 1", ("wall 1",)), ("base", ("base",))],
)
def test_a_name_is_parted_evenly_and_its_number_stays_with_it(text: str, lines_of_it: tuple[str, ...]) -> None:
    assert in_two(text) == lines_of_it


def test_a_narrow_flap_has_its_name_along_it() -> None:
    for _, records in pages("lidded-box", 0.3, ""):
        angle = {r.words: r.angle for r in records if r.kind == "text"}
        if "glue flap" in angle:
            assert angle["wall"] == 0.0 and angle["glue flap"] == 90.0
            return
    raise AssertionError("no glue flap has its name")


def legend(room: Room) -> RecordingPen:
    pen = RecordingPen()
    rows = tuple(Row(key) for key in ("cut", "valley", "glue_here", "mark", "seam"))
    Legend("box: cut 1", LABELS["this_side_inside"], rows, LABELS).put(pen, room, room.box, shapely.box(*room.box))
    return pen


def test_a_legend_with_little_room_is_made_narrow_before_it_is_parted() -> None:
    wide, narrow = legend(Room((0, 0, 60, 60))), legend(Room((0, 0, 39, 60)))
    assert LABELS["this_side_inside"] in wide.texts()
    assert "This side up:" in narrow.texts() and "inside of the box" in narrow.texts()
    for pen in (wide, narrow):
        lefts = {r.points[0][0] for r in pen.records if r.kind == "text"}
        assert len(lefts) == 2  # heads and rows, each under the other


def test_a_legend_that_finds_room_on_hatching_alone_stands_there_whole_and_on_white() -> None:
    room = Room((0, 0, 80, 80))
    room.take_area(((0, 0), (80, 0), (80, 80), (0, 80)))
    pen = legend(room)
    assert LABELS["this_side_inside"] in pen.texts()
    heads = next(r for r in pen.records if r.words == "box: cut 1")
    at = shapely.Point(heads.points[0])
    assert any(r.kind == "fill" and r.grey == 1.0 and shapely.Polygon(r.points).contains(at) for r in pen.records)


def test_the_grain_runs_as_the_sheet_lies() -> None:
    made = plan("lidded-box")
    part, piece, _ = made.templates[0]
    placed = next(p for p in made.placed if p.piece == piece.name)
    way = grain_of(made, part, piece)
    assert way is not None
    along = placed.to_sheet.a * way[0] + placed.to_sheet.c * way[1]
    assert abs(along) == pytest.approx(1.0)


def test_a_page_is_drawn_the_same_again() -> None:
    made: Plan = plan("tray")
    pen = RecordingPen()
    draw_tile(pen, made, made.tiles[0], SAID)
    assert tuple(pen.records) == page("tray", 0.3, "", 0)


def test_marks_stay_whole_in_the_window() -> None:
    for tile, records in pages("tray", 0.3, ""):
        x0, y0, x1, y1 = tiles.printable(plan("tray").spec.page)
        for r in records:
            if r.closed and r.layer == "Legend" and len(r.points) == 64:
                xs, ys = zip(*r.points, strict=True)
                assert x0 <= min(xs) and max(xs) <= x1 and y0 <= min(ys) and max(ys) <= y1, tile.name


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

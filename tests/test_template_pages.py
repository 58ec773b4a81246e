"""Template pages: true lines inside the printable area, and words that stand across none of them."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
import shapely

from booklet import tiles
from booklet.drawing import pagemap
from booklet.drawing.labels import LABELS, common_name, in_two
from booklet.drawing.leaf import TICK
from booklet.drawing.legend import Legend, Row
from booklet.drawing.pen import LAYERS, MM_PER_POINT, STROKES
from booklet.drawing.recording import Record, RecordingPen, measured
from booklet.drawing.room import CAPITAL, DESCENT, Room
from booklet.drawing.template import PANEL_CLEAR, PANEL_PT, draw_leaf
from booklet.drawing.window import grain_of
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
    draw_leaf(pen, made, made.tiles[leaf].leaf, SAID)
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
                window = shapely.box(*tile.window)
                every = (shapely.LineString([back(a), back(b)]) for a, b in lines(records, "Cutting"))
                found += [line for line in every if window.buffer(1e-6).covers(line)]
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


def shared() -> list[tuple[Tile, tuple[Record, ...]]]:
    """The tiles of a page that two templates share, with what is drawn on it."""
    every = pages("tray", 0.3, "")
    leaves = [tile.leaf for tile, _ in every]
    found = [(tile, records) for tile, records in every if leaves.count(tile.leaf) > 1]
    assert len(found) >= 2 and len({tile.leaf for tile, _ in found}) == 1
    return found


def drawn(tile: Tile) -> shapely.Polygon:
    """A tile's window on paper as drawn."""
    back = drawn_to_flat(tile).inverse()
    x0, y0, x1, y1 = tile.window
    return shapely.Polygon(back.ring(((x0, y0), (x1, y0), (x1, y1), (x0, y1))))


def test_each_template_on_a_shared_page_has_its_name_and_its_count_in_its_window_off_the_piece() -> None:
    made = plan("tray")
    for tile, records in shared():
        piece = next(p for p in made.net.part[tile.part].pieces if p.name == tile.piece)
        shape = shapely.Polygon(drawn_to_flat(tile).inverse().ring(piece.outline))
        for words in (tile.name, f"{tile.piece}: cut 1"):
            (r,) = (r for r in records if r.kind == "text" and r.words == words)
            assert drawn(tile).buffer(0.01).covers(words_box(r))
            assert not words_box(r).intersects(shape)


def test_a_shared_page_has_one_legend_one_foot_and_one_pair_of_lines_to_measure() -> None:
    _, records = shared()[0]
    said = [r.words for r in records if r.kind == "text"]
    assert said.count(LABELS["cut"]) == said.count(LABELS["valley"]) == 1
    assert said.count(LABELS["this_side_inside"]) == 1
    assert said.count(LABELS["tick"]) == 2
    assert sum(LABELS["actual_size"] in text for text in said) == 1
    assert any(all(tile.name in text for tile, _ in shared()) for text in said)


def test_lines_on_a_shared_page_stay_in_the_window_of_their_template() -> None:
    windows = [drawn(tile) for tile, _ in shared()]
    for line in lines(shared()[0][1], "Cutting", "Creasing", "ReverseCreasing"):
        assert sum(window.buffer(1e-6).covers(shapely.LineString(line)) for window in windows) == 1


def test_the_map_of_a_template_that_shares_its_page_shows_the_others_in_dots() -> None:
    made = plan("tray")
    names = [tile.piece for tile, _ in shared()]
    for name in names:
        pen = RecordingPen()
        pagemap.draw(pen, made, name, (0, 0, 60, 80))
        size = {r.words: r.size_pt for r in pen.records if r.kind == "text"}
        own = {tile.name: tile.piece == name for tile, _ in shared()}
        assert all((size[tile] > pagemap.TITLE_PT) == mine for tile, mine in own.items())
        assert sum(r.stroke == STROKES["ghost"] for r in pen.records) == len(names) - 1
        points = shapely.MultiPoint([p for r in pen.records for p in r.points])
        assert shapely.box(0, 0, 60, 80).buffer(0.01).covers(points)


def test_the_map_of_a_template_that_is_taped_shows_its_windows_only() -> None:
    made = plan("lidded-box")
    taped = next(tile for tile in made.tiles if tile.neighbours)
    pen = RecordingPen()
    pagemap.draw(pen, made, taped.piece, (0, 0, 60, 80))
    names = {tile.name for tile in made.tiles if tile.piece == taped.piece}
    assert names <= set(pen.texts()) <= names | {taped.piece}


def test_marks_are_drawn_as_large_as_they_are_kept_free() -> None:
    made = plan("lidded-box", page='overlap = "6 mm"')
    pen = RecordingPen()
    draw_leaf(pen, made, made.tiles[0].leaf, SAID)
    circles = [np.array(r.points) for r in pen.records if r.closed and r.layer == "Legend" and len(r.points) == 64]
    widths = sorted(round(float(np.ptp(c[:, 0])), 2) for c in circles)
    assert widths.count(3.0) == len(made.tiles[0].marks) >= 3


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
            assert abs(angle["wall"] - angle["glue flap"]) == 90.0
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
    _, piece, _ = made.templates[0]
    placed = next(p for p in made.placed if p.piece == piece.name)
    way = grain_of(made, piece)
    assert way is not None
    along = placed.to_sheet.a * way[0] + placed.to_sheet.c * way[1]
    assert abs(along) == pytest.approx(1.0)


def test_a_page_is_drawn_the_same_again() -> None:
    made: Plan = plan("tray")
    pen = RecordingPen()
    draw_leaf(pen, made, 1, SAID)
    assert tuple(pen.records) == page("tray", 0.3, "", 0)


def test_marks_stay_whole_in_the_window() -> None:
    for tile, records in pages("tray", 0.3, ""):
        x0, y0, x1, y1 = tiles.printable(plan("tray").spec.page)
        for r in records:
            if r.closed and r.layer == "Legend" and len(r.points) == 64:
                xs, ys = zip(*r.points, strict=True)
                assert x0 <= min(xs) and max(xs) <= x1 and y0 <= min(ys) and max(ys) <= y1, tile.name

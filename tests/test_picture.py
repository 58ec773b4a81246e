"""Pictures of scenes, read back from a pen that remembers."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from booklet.drawing.lines import NEAR, apart, joined, tidy
from booklet.drawing.pen import STROKES, TINT
from booklet.drawing.picture import LOOK, VIEWS, draw, fit
from booklet.drawing.recording import Record, RecordingPen
from booklet.drawing.scene import Face3, Scene
from booklet.drawing.surface import View
from booklet.drawing.ways import arc
from booklet.space import applied, turned

TOP = View(0, 90)
HOME = VIEWS[0]
BOX = (10.0, 20.0, 90.0, 80.0)


def ring(*points: tuple[float, float, float]) -> np.ndarray:
    """Corners in space."""
    return np.array(points, float)


def sheet(key: str, x: float, y: float, wide: float, high: float, z: float = 0.0, **more: object) -> Face3:
    """A level rectangle, marked face up."""
    return Face3(key, ring((x, y, z), (x + wide, y, z), (x + wide, y + high, z), (x, y + high, z)), **more)  # type: ignore[arg-type]


def open_box() -> tuple[Face3, ...]:
    """A box without lid, 100 x 80 x 60, marked inside."""
    c = [(0, 0), (100, 0), (100, 80), (0, 80)]
    walls = [(c[k], c[(k + 1) % 4]) for k in range(4)]
    upright = [Face3(f"wall {k}", ring((*b, 0), (*a, 0), (*a, 60), (*b, 60))) for k, (a, b) in enumerate(walls)]
    return (sheet("base", 0, 0, 100, 80), *upright)


def drawn(scene: Scene, view: View = HOME, scale: float | None = None) -> RecordingPen:
    """The scene drawn into BOX."""
    pen = RecordingPen()
    draw(pen, scene, view, BOX, scale)
    return pen


def paths(pen: RecordingPen, name: str) -> list[Record]:
    """What was drawn with one of the strokes."""
    return [r for r in pen.records if r.kind == "path" and r.stroke == STROKES[name]]


def length(records: list[Record]) -> float:
    """Of all lines, mm."""
    return sum(math.dist(*line) for r in records for line in r.lines())


def test_a_picture_fills_its_box_in_one_direction_and_stays_inside() -> None:
    points = [p for r in drawn(Scene(open_box())).records for p in r.points]
    x0, y0, x1, y1 = shapely.MultiPoint(points).bounds
    assert x0 >= BOX[0] and y0 >= BOX[1] and x1 <= BOX[2] and y1 <= BOX[3]
    assert y1 - y0 == pytest.approx(BOX[3] - BOX[1] - STROKES["outline"].width_mm, abs=0.05)
    assert (x0 + x1) / 2 == pytest.approx((BOX[0] + BOX[2]) / 2, abs=0.01)


def test_the_scale_used_is_given_back_and_a_given_scale_is_kept() -> None:
    pen, scene = RecordingPen(), Scene((sheet("s", 0, 0, 40, 30),))
    assert draw(pen, scene, TOP, BOX) == pytest.approx(fit(pen, scene, TOP, BOX))
    assert draw(pen, scene, TOP, BOX, 0.5) == 0.5
    (outline,) = paths(drawn(scene, TOP, 0.5), "outline")
    assert shapely.Polygon(outline.points).bounds == pytest.approx((40, 42.5, 60, 57.5))


def test_words_and_arrow_heads_stay_inside_the_box_too() -> None:
    scene = Scene(open_box(), labels=(((100, 80, 60), "a long name at the corner"),))
    pen = drawn(scene)
    (words,) = [r for r in pen.records if r.kind == "text"]
    half = pen.width(words.words, words.size_pt) / 2
    assert words.points[0][0] + half <= BOX[2]
    assert words.halo and words.anchor == "middle"


def test_an_open_box_has_one_closed_outline_and_every_other_edge_once() -> None:
    pen = drawn(Scene(open_box()), HOME, 0.3)
    (outline,) = paths(pen, "outline")
    assert outline.closed and len(outline.points) == 6
    seen = HOME.project(ring((100, 0, 0), (0, 80, 0), (0, 0, 60)))[:, :2]
    rim_and_corner = sum(math.hypot(*way) for way in seen)
    far_corner = [line for r in paths(pen, "edge") for line in r.lines()]
    visible_corner = length(paths(pen, "edge")) - 0.3 * rim_and_corner
    assert len(far_corner) <= 6
    assert 0 < visible_corner <= 0.3 * 60 * math.cos(math.radians(30))


def test_no_two_lines_of_a_picture_run_along_each_other() -> None:
    lid = [Face3("lid " + f.key, applied(turned((1, 0, 0), 180, (0, 40, 50)), f.points), moves=True) for f in open_box()]
    pen = drawn(Scene((*open_box(), *lid)))
    strokes = [shapely.LineString(line) for name in ("outline", "edge") for r in paths(pen, name) for line in r.lines()]
    for k, line in enumerate(strokes):
        for other in strokes[:k]:
            assert line.intersection(other.buffer(0.1)).length < 0.9 * min(line.length, 4 * NEAR.blur)


def test_a_pile_of_thin_card_is_drawn_as_one_sheet() -> None:
    pile = [sheet(str(k), 0, 0, 100, 60, 0.2 * k) for k in range(4)]
    pen = drawn(Scene(tuple(pile)), HOME, 0.4)
    assert length(paths(pen, "edge")) == 0
    assert len(paths(pen, "outline")) == 1


def test_boards_that_stand_a_little_apart_meet_in_one_line_at_the_corner() -> None:
    left = Face3("left", ring((0, 40, 0), (0, 1, 0), (0, 1, 30), (0, 40, 30)))
    front = Face3("front", ring((1, 0, 0), (40, 0, 0), (40, 0, 30), (1, 0, 30)))
    pen = drawn(Scene((left, front)), HOME, 0.3)
    (corner,) = paths(pen, "edge")
    assert length([corner]) == pytest.approx(0.3 * 30 * math.cos(math.radians(30)), abs=0.3)
    assert len(paths(pen, "outline")) == 1


def test_what_moves_is_tinted_and_faces_of_one_grey_are_one_area() -> None:
    faces = [sheet(str(k), 20 * k, 0, 20, 30, moves=k > 1) for k in range(4)]
    fills = [r for r in drawn(Scene(tuple(faces)), TOP).records if r.kind == "fill"]
    assert [r.grey for r in fills] == pytest.approx([1.0, LOOK.marked, LOOK.moving_marked])
    assert [len(r.rings) for r in fills] == [1, 1, 1]
    below = [Face3(f.key, f.points[::-1], moves=f.moves) for f in faces]
    assert [r.grey for r in drawn(Scene(tuple(below)), TOP).records if r.kind == "fill"] == pytest.approx([1.0, TINT])


def test_glue_is_hatched_in_the_plane_of_its_panel_and_only_on_the_side_that_is_seen() -> None:
    patch = ring((5, 5, 0), (35, 5, 0), (35, 15, 0), (5, 15, 0))
    glued = sheet("s", 0, 0, 40, 20, glue=(patch,))
    lines = [line for r in paths(drawn(Scene((glued,)), View(0, 30), 1.0), "glue") for line in r.lines()]
    slopes = {round((y1 - y0) / (x1 - x0), 3) for (x0, y0), (x1, y1) in lines}
    assert len(lines) > 10
    assert slopes == {0.5}
    other_side = Face3("s", glued.points, glue=(patch,), glue_side=(-1,))
    assert not paths(drawn(Scene((other_side,)), View(0, 30), 1.0), "glue")
    assert paths(drawn(Scene((other_side,)), View(0, -30), 1.0), "glue")


def test_hatching_ends_where_another_face_covers_it() -> None:
    patch = ring((0, 0, 0), (40, 0, 0), (40, 20, 0), (0, 20, 0))
    faces = (sheet("s", 0, 0, 40, 20, glue=(patch,)), sheet("cover", 20, -5, 40, 30, 1))
    points = [p for r in paths(drawn(Scene(faces), TOP, 1.0), "glue") for p in r.points]
    assert max(x for x, _ in points) - min(x for x, _ in points) == pytest.approx(20, abs=0.1)


def test_a_ghost_is_dotted_and_not_seen_through_faces_nor_over_edges() -> None:
    ghost = ring((20, 0, 0), (60, 0, 0), (60, 10, -5), (0, 10, -5))
    pen = drawn(Scene((sheet("s", 0, 0, 40, 20),), ghosts=(ghost,)), TOP, 1.0)
    assert length(paths(pen, "ghost")) == pytest.approx(20 + 10 + 20, abs=1)


def test_an_arrow_lies_over_everything_with_a_white_rim() -> None:
    way = ring((0, 0, 20), (10, 10, 30), (20, 20, 20))
    records = drawn(Scene(open_box(), arrows=(way,))).records
    *rims, shaft, head = records[-4:]
    assert all(rim.kind == "path" and rim.stroke and rim.stroke.grey == 1.0 and rim.stroke.width_mm > 1.0 for rim in rims)
    assert (shaft.kind, shaft.stroke) == ("path", STROKES["arrow"])
    assert (head.kind, head.grey) == ("fill", 0.0)
    assert rims[0].points == shaft.points and rims[1].points == head.points


def test_an_arrow_there_and_back_has_a_head_at_each_end() -> None:
    way = ring((0, 0, 20), (40, 40, 30), (80, 80, 20))
    heads = [r for r in drawn(Scene(open_box(), arrows=(way,), both_ways=True)).records if r.kind == "fill" and r.grey == 0.0]
    assert len(heads) == 2
    assert math.dist(heads[0].points[0], heads[1].points[0]) > 10


def test_an_arrow_is_never_too_short_to_be_read_and_stays_in_the_box() -> None:
    for corner in (0.0, 99.0):
        way = ring((corner, 0, 60), (corner + 0.5, 0, 60))
        shaft, head = drawn(Scene(open_box(), arrows=(way,))).records[-2:]
        assert math.dist(shaft.points[0], head.points[0]) >= LOOK.least_arrow - 0.01
        assert BOX[0] <= min(x for x, _ in (*shaft.points, *head.points)) and max(x for x, _ in (*shaft.points, *head.points)) <= BOX[2]


def test_the_sides_of_a_narrow_slit_are_not_outlined() -> None:
    slit = Face3("s", ring((0, 0, 0), (40, 0, 0), (40, 30, 0), (20.9, 30, 0), (20, 10, 0), (19.1, 30, 0), (0, 30, 0)))
    pen = drawn(Scene((slit,)), TOP, 0.6)
    assert length(paths(pen, "outline")) == pytest.approx(0.6 * (2 * 30 + 40 + 2 * 19.1), abs=0.1)
    assert length(paths(pen, "edge")) > 0.6 * 30


def test_the_same_scene_gives_the_same_strokes() -> None:
    scene = Scene(open_box(), ghosts=(ring((0, 0, 90), (50, 0, 90)),), arrows=(arc([(0, 0, 80), (10, 0, 70), (10, 0, 60)]),))
    assert drawn(scene).records == drawn(scene).records


def test_small_steps_of_a_curve_are_kept() -> None:
    at = np.linspace(0, math.pi / 2, 30)
    curve = np.stack([2 * np.cos(at), 2 * np.sin(at)], axis=1)
    steps = np.stack([curve[:-1], curve[1:]], axis=1)
    (line,) = tidy(joined(apart(steps, np.zeros((0, 2, 2)), NEAR)), np.zeros((0, 2, 2)), NEAR)
    assert len(line) == 30


def test_an_arc_stands_clear_of_the_way_it_tells_of() -> None:
    places = [(50 * math.cos(a), 0.0, 50 * math.sin(a)) for a in np.linspace(0, math.pi / 2, 7)]
    line = arc(places, offset=8)
    assert np.linalg.norm(line, axis=1) == pytest.approx(np.full(len(line), 58), abs=0.1)
    assert line[0, 2] > 1 and line[-1, 0] > 1


def test_a_straight_way_stays_where_it_is() -> None:
    line = arc([(0, 0, 80), (0, 0, 50), (0, 0, 40)], trim=0.0)
    assert line[[0, -1]] == pytest.approx(np.array([(0, 0, 80), (0, 0, 40)], float))
    assert np.abs(line[:, :2]).max() == pytest.approx(0)


def lines_of(*pairs: tuple[tuple[float, float], tuple[float, float]]) -> np.ndarray:
    """Straight pieces of line."""
    return np.array(pairs, float).reshape(-1, 2, 2)


def test_of_two_lines_side_by_side_the_longer_is_drawn() -> None:
    left = apart(lines_of(((0, 0.3), (10, 0.3)), ((0, 0), (20, 0))), lines_of(), NEAR)
    assert left.tolist() == [[[0, 0], [20, 0]]]


def test_a_line_beside_one_that_was_cut_gives_way_to_what_was_kept_of_it_only() -> None:
    left = apart(lines_of(((0, 0.3), (18, 0.3)), ((10, 0.6), (28, 0.6))), lines_of(((0, 0), (12, 0))), NEAR)
    ends = sorted((float(a[0]), float(b[0])) for a, b in left)
    assert np.array(ends) == pytest.approx(np.array([(0, 12), (10, 12), (12.15, 18), (18.15, 28)]))


def test_a_line_that_ended_on_its_neighbours_twin_is_led_on_to_the_neighbour() -> None:
    (line,) = tidy([[(0.0, 5.0), (9.6, 5.0)]], lines_of(((10, 0), (10, 10))), NEAR)
    assert line[1] == pytest.approx((10.0, 5.0))
    (line,) = tidy([[(9.6, 5.0), (0.0, 5.0)]], lines_of(((10, 0), (10, 10))), NEAR)
    assert line[0] == pytest.approx((10.0, 5.0))


def test_a_short_line_that_leads_nowhere_is_left_out_but_not_one_that_joins_two() -> None:
    rails = lines_of(((0, 0), (0, 10)), ((0.45, 0), (0.45, 10)))
    assert list(tidy([[(0.0, 5.0), (0.4, 5.0)]], rails[:1], NEAR)) == []
    assert list(tidy([[(0.0, 5.0), (0.4, 5.0)]], rails, NEAR)) == [[(0.0, 5.0), (0.4, 5.0)]]


def test_a_crack_between_two_tinted_boards_is_tinted_too() -> None:
    boards = (sheet("a", 0, 0, 20, 30, moves=True), sheet("b", 20.5, 0, 20, 30, moves=True))
    tints = [r for r in drawn(Scene(boards), TOP, 0.5).records if r.kind == "fill" and r.grey < 1]
    assert [len(r.rings) for r in tints] == [1]


def test_an_arrow_of_what_does_not_move_stays_a_point() -> None:
    still = arc([(3.0, 4.0, 5.0)] * 5)
    assert np.allclose(still, (3.0, 4.0, 5.0))

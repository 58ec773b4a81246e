"""Pictures of the steps: what moves is seen to move, glue is seen where it goes, the same thing looks the same."""

from __future__ import annotations

from functools import cache
from itertools import combinations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from booklet.drawing import film as film_of_steps
from booklet.drawing import scenes, thing
from booklet.drawing.gluemap import RADIUS
from booklet.drawing.labels import LABELS
from booklet.drawing.motion import motion
from booklet.drawing.pen import STROKES, TINT
from booklet.drawing.picture import LOOK
from booklet.drawing.recording import Record, RecordingPen, measured
from booklet.drawing.sight import Patch, Sight
from booklet.drawing.stage import acted, bench_of, staged
from booklet.drawing.steps import FlatShot, Shot
from booklet.drawing.surface import View
from booklet.net import Item
from booklet.plan import Plan
from booklet.replay import Moment
from tests import boxes
from tests.plans import plan
from tests.step_specs import reshaped

BOX = (10.0, 20.0, 98.0, 80.0)
EVERY = [*((style, t) for style in boxes.STYLES for t in (0.3, 0.9)), ("web-tray", 0.3)]


def drawn(picture: scenes.StepPicture, box: tuple[float, float, float, float] = BOX) -> list[Record]:
    pen = RecordingPen()
    picture.draw(pen, box)
    return pen.records


@cache
def film(style: str, t: float) -> tuple[list[Record], ...]:
    return tuple(drawn(picture) for picture in scenes.steps(mug(style, t)))


def mug(style: str, t: float = 0.3) -> Plan:
    """A box for a mug, or for a dish where the style has low walls only."""
    return plan(style, t, height=boxes.thing(style).height)


def moment_of(made: Plan, words: str, last: bool = False) -> Moment:
    found = [m for m in made.played.moments if m.step.words == words]
    return found[-1 if last else 0]


@pytest.mark.parametrize(("style", "t"), EVERY)
def test_every_step_is_drawn_inside_its_box(style: str, t: float) -> None:
    made = mug(style, t)
    assert len(scenes.steps(made)) == len(made.net.steps)
    for records in film(style, t):
        points = np.array([p for r in records if not r.clip for p in r.points])
        assert points.min(axis=0) == pytest.approx(np.maximum(points.min(axis=0), np.array(BOX[:2]) - 0.7))
        assert points.max(axis=0) == pytest.approx(np.minimum(points.max(axis=0), np.array(BOX[2:]) + 0.7))


@pytest.mark.parametrize(("style", "t"), EVERY)
def test_what_moves_is_tinted_and_has_an_arrow(style: str, t: float) -> None:
    made = mug(style, t)
    for step, records in zip(made.net.steps, film(style, t), strict=True):
        if step.kind in ("score", "put", "turn"):
            continue
        assert {r.grey for r in records if r.kind == "fill"} & {LOOK.moving, LOOK.moving_marked, TINT}, step.words
        assert any(r.kind == "fill" and r.grey == 0.0 and len(r.points) == 3 for r in records), step.words


@pytest.mark.parametrize(("style", "t"), EVERY)
def test_every_step_that_glues_shows_where_the_glue_goes(style: str, t: float) -> None:
    made = mug(style, t)
    for step, records in zip(made.net.steps, film(style, t), strict=True):
        if step.bonds:
            hatching = [r for r in records if r.kind == "path" and r.stroke == STROKES["glue"]]
            assert hatching, step.words


@pytest.mark.parametrize("style", boxes.STYLES)
def test_flat_pieces_keep_clear_of_the_number_of_their_step(style: str) -> None:
    (shot, *_) = (picture for picture in scenes.steps(plan(style)) if isinstance(picture, FlatShot))
    for high in range(20, 110, 4):
        box = (10.0, 20.0, 98.0, 20.0 + high)
        corner = shapely.box(box[0], box[3] - 8.0, box[0] + 4.5, box[3]).buffer(-0.01)
        assert not any(shapely.LineString(line).intersects(corner) for r in drawn(shot, box) if r.kind == "path" for line in r.lines())


def test_scoring_is_shown_on_the_flat_pieces_by_the_dashes_of_their_folds() -> None:
    assert isinstance(scenes.step(plan("lidded-box"), 0), FlatShot)
    records = film("lidded-box", 0.3)[0]
    assert sum(r.stroke == STROKES["cut"] and r.closed for r in records) == 2
    assert sum(r.stroke == STROKES["valley"] for r in records) > 8


def test_a_lid_that_is_carried_is_not_shown_again_in_an_inset() -> None:
    made = reshaped("lidded-box", 24.0, 24.0, 170.0)
    last = scenes.steps(made)[-1]
    assert isinstance(last, Shot) and not any(r.clip for r in drawn(last, (0.0, 0.0, 88.0, 50.0)))


def test_an_arrow_ends_where_it_is_seen() -> None:
    line = np.column_stack([np.arange(10.0)] * 3)
    seen = np.array([1, 1, 1, 1, 1, 1, 0, 0, 1, 0], bool)
    assert len(film_of_steps._seen_part(line, seen)) == 6
    assert len(film_of_steps._seen_part(line, np.zeros(10, bool))) == 10


def test_pieces_that_are_not_joined_stand_apart() -> None:
    made = plan("lidded-box")
    part, moment = made.net.part["box"], moment_of(made, "hem")
    shot = scenes.steps(made)[moment.step.number - 1]
    assert isinstance(shot, Shot)
    groups: dict[str, list[shapely.Polygon]] = {}
    for face in shot.scene.faces:
        groups.setdefault(part.piece_of[face.key.partition("/")[2]].name, []).append(shapely.Polygon(face.points[:, :2]))
    first, second = (shapely.union_all([p.buffer(0) for p in shapes if p.area > 1]) for shapes in groups.values())
    assert first.distance(second) > 10


def test_layers_of_thin_card_are_drawn_apart() -> None:
    made = plan("lidded-box")
    moment = moment_of(made, "over")
    faces = {face.key: face for face in staged(bench_of(made), moment, acted(bench_of(made), moment), 0.5).faces()}
    hem, wall = faces["box/hem-1"], faces["box/wall-1"]
    assert abs(float((hem.centre - wall.centre) @ wall.normal)) == pytest.approx(0.3, abs=0.05)


def test_a_panel_that_is_on_its_way_is_not_moved_as_a_layer() -> None:
    made = plan("lidded-box")
    moment = moment_of(made, "fold-last")
    act = acted(bench_of(made), moment)
    (moved,) = act.moved
    assert np.allclose(staged(bench_of(made), moment, act, 0.5).places[moved], act.frames[len(act.frames) // 2][moved])


def test_where_several_turn_on_one_it_stands_still_however_small() -> None:
    made = reshaped("tray", 150.0, 20.0, 95.0)
    moment = next(m for m in made.played.moments if m.step.words == "fold" and len(m.step.folds) == 4)
    moved = {moment.part.panels[i].name for i in motion(made.played, moment).moved}
    assert moved == {moment.part.fold[name].child for name, _ in moment.step.folds}


def test_a_flap_that_is_glued_already_moves_with_what_it_is_glued_to() -> None:
    made = plan("lidded-box")
    moment = moment_of(made, "over")
    assert len(motion(made.played, moment).groups) == 1


def test_the_box_stands_still_while_it_is_closed() -> None:
    made = reshaped("tuck-carton", 25.0, 25.0, 230.0)
    moment = moment_of(made, "close", last=True)
    roles = {moment.part.panels[i].role for i in motion(made.played, moment).moved}
    assert roles == {"closing", "tuck"}


def test_the_cover_shows_the_thing_as_a_ghost_and_the_finished_box_does_not() -> None:
    for style in boxes.STYLES:
        made = plan(style)
        pen, other = RecordingPen(), RecordingPen()
        scenes.cover(made).draw(pen, BOX)
        scenes.finished(made).draw(other, BOX)
        assert sum(r.stroke == STROKES["ghost"] for r in pen.records) >= 9
        assert not [r for r in other.records if r.stroke == STROKES["ghost"]]


@pytest.mark.parametrize(("style", "t"), EVERY)
def test_each_number_of_the_glue_map_stands_on_both_areas_that_meet(style: str, t: float) -> None:
    made = mug(style, t)
    numbers: list[str] = []
    for found in scenes.glue_maps(made):
        pen = RecordingPen()
        found.draw(pen, (0.0, 0.0, 180.0, 95.0))
        numbers += [text for text in pen.texts() if text.isdigit()]
    wanted = [str(n) for n in range(1, len(made.net.bonds) + 1)]
    assert sorted(numbers, key=int) == [n for n in wanted for _ in range(2)]


@pytest.mark.parametrize("wide", [62.0, 88.0, 180.0])
@pytest.mark.parametrize(("style", "t"), EVERY)
def test_no_number_of_the_glue_map_stands_across_a_line_or_on_another(style: str, t: float, wide: float) -> None:
    for found in scenes.glue_maps(mug(style, t)):
        pen = RecordingPen()
        found.draw(pen, (0.0, 0.0, wide, 80.0))
        lines = shapely.MultiLineString([line for r in pen.records if r.kind == "path" and r.layer is None for line in r.lines()])
        centres = [shapely.Point(r.points[0][0], r.points[0][1] + 0.9) for r in pen.records if r.kind == "text" and r.words.isdigit()]
        assert all(lines.distance(centre) > RADIUS - 0.15 for centre in centres)
        assert all(a.distance(b) > 2 * RADIUS - 0.3 for a, b in combinations(centres, 2))


@pytest.mark.parametrize(("wide", "rows"), [(58.0, 2), (88.0, 1)])
def test_the_legend_of_the_glue_map_stays_in_its_box(wide: float, rows: int) -> None:
    records = drawn(scenes.glue_maps(plan("tray"))[0], (0.0, 0.0, wide, 80.0))
    said = [r for r in records if r.kind == "text" and r.words in (LABELS["glue_here"], LABELS["glue_back"])]
    assert len({r.points[0][1] for r in said}) == rows
    assert all(r.points[0][0] + measured(r.words, r.size_pt) < wide for r in said)


def test_the_same_plan_gives_the_same_drawing() -> None:
    first = film("tray", 0.3)
    scenes._steps.cache_clear()
    assert tuple(drawn(picture) for picture in scenes.steps(plan("tray"))) == first


def test_of_a_block_seen_from_a_corner_nine_edges_are_drawn() -> None:
    lines = thing.outlines(Item("block", 30.0, 20.0, 10.0), 5.0, View())
    assert len(lines) == 9
    assert min(line[:, 2].min() for line in lines) == 5.0
    assert max(line[:, 2].max() for line in lines) == 15.0


def test_a_cylinder_has_its_rim_the_near_half_of_its_foot_and_two_sides() -> None:
    view = View()
    rim, foot, *sides = thing.outlines(Item("round", 30.0, 30.0, 10.0), 0.0, view)
    assert len(sides) == 2
    assert np.allclose(np.hypot(rim[:, 0], rim[:, 1]), 15.0)
    assert (foot @ view.frame[2] >= -1e-9).all()


@given(st.floats(0, 1), st.floats(-179, 179))
def test_a_panel_is_seen_as_far_as_nothing_lies_over_it(share: float, turn: float) -> None:
    square = ((0.0, 0.0), (40.0, 0.0), (40.0, 40.0), (0.0, 40.0))
    place, over = np.eye(4), np.eye(4)
    over[:3, 3] = 40.0 * share, 0.0, 5.0
    sight = Sight(np.array([place, over]), np.array([shapely.Polygon(square)] * 2, object))
    ways = np.array([[0.0, 0.0, 1.0], [0.0, 0.0, -1.0]])
    (above,), (below,) = sight.shares(sight.put([Patch.of(0, square)]), ways)
    assert (above, below) == (pytest.approx(share, abs=0.13), 1.0)
    assert sight.shares(sight.put([Patch.of(0, square, 1)]), ways[1:]) == [[0.0]]
    assert sight.shares(sight.put([Patch.of(0, square, -1)]), ways[1:]) == [[1.0]]

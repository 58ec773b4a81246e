"""What the pictures of the steps must show, counted in every sample and in boxes of all styles by chance."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from itertools import combinations

import numpy as np
import pytest
import shapely

from booklet.drawing import acts, scenes, stepsigns
from booklet.drawing.pen import STROKES, head_ring
from booklet.drawing.pose import Take, chosen
from booklet.drawing.recording import Record, RecordingPen
from booklet.drawing.room import CAPITAL
from booklet.drawing.scene import Face3, Scene
from booklet.drawing.stage import acted, bench_of, shown_flat, staged, up_in
from booklet.drawing.steps import Run, Shot, StepPicture, TrialShot, TurnShot
from booklet.drawing.surface import View
from booklet.drawing.view import SLIVER, shares, visible
from booklet.net import Step
from booklet.plan import Plan
from booklet.plane import side
from tests import samples
from tests.samples import FOLDER
from tests.step_specs import reshaped, some

BOX = (0.0, 0.0, 60.0, 45.0)
"""The smallest picture that must be legible, mm."""

SAMPLES = sorted(path.stem for path in FOLDER.glob("*.toml"))
SEEN = 0.3


@cache
def plan(name: str) -> Plan:
    """A sample, or one of the boxes by chance, by its number."""
    return some(int(name)) if name.isdigit() else samples.plan(name)


@cache
def drawn(name: str) -> list[tuple[Step, StepPicture, list[Record]]]:
    found = []
    for step, picture in zip(plan(name).net.steps, scenes.steps(plan(name)), strict=True):
        pen = RecordingPen()
        picture.draw(pen, BOX)
        found.append((step, picture, pen.records))
    return found


EVERY = [*SAMPLES[::2], *map(str, range(12))]
each = pytest.mark.parametrize("name", EVERY)


def lettering(record: Record) -> shapely.Polygon:
    """The rectangle of a line of words, from its baseline to the top of its capitals."""
    (x, y), wide = record.points[0], RecordingPen().width(record.words, record.size_pt, record.bold)
    left = {"start": x, "middle": x - wide / 2, "end": x - wide}[record.anchor]
    return shapely.box(left, y, left + wide, y + CAPITAL * record.size_pt * 25.4 / 72)


def strokes(records: Sequence[Record]) -> Iterator[shapely.LineString]:
    """All lines that are seen, but hatching and white rims."""
    for r in records:
        if r.kind == "path" and r.stroke and r.stroke != STROKES["glue"] and r.stroke.grey < 1.0:
            yield from (shapely.LineString(line) for line in r.lines())


def after_inset(records: Sequence[Record]) -> tuple[Sequence[Record], Sequence[Record]]:
    """What was drawn before the words of an inset, and they: an inset covers nothing, so both are looked at alone."""
    clipped = [n for n, r in enumerate(records) if r.clip]
    return (records, ()) if not clipped else (records[: clipped[0]], records[clipped[0] :])


@each
def test_nothing_is_drawn_outside_the_box(name: str) -> None:
    for step, _, records in drawn(name):
        points = np.array([p for r in records if not r.clip for p in r.points])
        assert points.min() >= -0.7, (step.number, step.words)
        assert (points.max(axis=0) <= np.array(BOX[2:]) + 0.7).all(), (step.number, step.words)
        assert all(shapely.box(*BOX).buffer(0.3).contains(lettering(r)) for r in records if r.kind == "text"), (step.number, step.words)


@each
def test_labels_are_large_enough_and_stand_on_no_line_and_on_no_other(name: str) -> None:
    for step, _, whole in drawn(name):
        for records in after_inset(whole):
            words = [r for r in records if r.kind == "text"]
            assert all(r.size_pt >= 7.0 and r.angle == 0.0 for r in words), (step.number, step.words)
            lines = shapely.MultiLineString(list(strokes(records)))
            assert not [r.words for r in words if lines.intersects(lettering(r))], (step.number, step.words)
            assert not any(lettering(a).intersects(lettering(b)) for a, b in combinations(words, 2)), (step.number, step.words)


@each
def test_arrows_can_be_read(name: str) -> None:
    for step, picture, records in drawn(name):
        if not isinstance(picture, Shot | TurnShot):
            continue
        heads = [r for r in records if r.kind == "fill" and r.grey == 0.0 and len(r.points) == 3]
        assert all(math.dist(r.points[0], np.mean(r.points[1:], axis=0)) >= 1.5 for r in heads), (step.number, step.words)
        shafts = [r for r in records if r.kind == "path" and r.stroke == STROKES["arrow"] and not r.closed]
        for r in shafts:
            assert sum(math.dist(a, b) for a, b in zip(r.points, r.points[1:], strict=False)) >= 3.0, (step.number, step.words)


@each
def test_enough_is_seen_of_whatever_moves(name: str) -> None:
    """At least 30 % of each panel that moves: all parts that a step adds or moves must be seen, with enough of what they meet.

    The principle: Agrawala and others 2003, Designing Effective Step-By-Step Assembly Instructions, from memory; the figure is
    chosen by us.
    Panels that lie on each other and move as one count as one: from one side the upper one alone can be seen; so do facets of one face.
    """
    for step, picture, _ in drawn(name):
        if not isinstance(picture, Shot) or step.kind == "square":
            continue
        shown = seen_shares(picture)
        for group in bodies(picture) or (frozenset(shown),):
            for layers in layers_of(picture, group):
                assert max(shown[key] for key in layers) >= SEEN or whole_share(picture, layers) >= SEEN, (step.number, step.words, layers)


def bodies(picture: Shot) -> list[frozenset[str]]:
    """The groups that move, those that hold facets of one smooth face as one."""
    body = {face.key: face.body or face.key for face in picture.scene.faces}
    found: list[frozenset[str]] = []
    for group in picture.groups:
        like = [one for one in found if {body[key] for key in one} & {body[key] for key in group}]
        found = [*(one for one in found if one not in like), group.union(*like)]
    return found


def seen_shares(picture: Shot) -> dict[str, float]:
    moving = {face.key for face in picture.scene.faces if face.moves}
    return {key: share for key, (_, share) in shares(picture.scene.faces, picture.view, moving).items()}


def layers_of(picture: Shot, group: frozenset[str]) -> list[set[str]]:
    """Panels of a group in piles: those of which one lies on the other, facets of a smooth face, or all of what is carried whole."""
    if not picture.groups:
        return [set(group)] if group else []
    faces = [face for face in picture.scene.faces if face.key in group]
    piles = {face.key: {face.key} for face in faces}
    for a, b in combinations(faces, 2):
        near = abs(float((a.centre - b.centre) @ b.normal)) < 4.0 and abs(abs(float(a.normal @ b.normal)) - 1) < 1e-3
        if (a.body and a.body == b.body) or (near and flat(a, b).intersection(flat(b, b)).area > 1.0):
            both = piles[a.key] | piles[b.key]
            piles.update(dict.fromkeys(both, both))
    return list({id(pile): pile for pile in piles.values()}.values())


def flat(face: Face3, on: Face3) -> shapely.Polygon:
    """A face seen square to another."""
    u = (on.points[1] - on.points[0]) / np.linalg.norm(on.points[1] - on.points[0])
    return shapely.Polygon((face.points - on.points[0]) @ np.array([u, np.cross(on.normal, u)]).T).buffer(0)


def whole_share(picture: Shot, layers: set[str]) -> float:
    """The share that is seen of panels as one."""
    seen = [s for s in visible(picture.scene.faces, picture.view, SLIVER) if s.face.key in layers]
    projected = [shapely.Polygon(picture.view.project(s.face.points)[:, :2]).buffer(0) for s in seen]
    return sum(s.region.area for s in seen) / max(shapely.union_all(projected).area, 1e-9)


@each
def test_what_is_drawn_up_is_up(name: str) -> None:
    bench = bench_of(plan(name))
    for moment, (step, picture, _) in zip(bench.played.moments, drawn(name), strict=True):
        if not isinstance(picture, Shot) or step.kind in ("square", "put", "close") or step.words in ("dry-fit", "crease") or step.move:
            continue
        act = acted(bench, moment)
        up = np.array(up_in(moment, act))
        still = f"{moment.part.name}/{moment.part.panels[act.still].name}"
        face = next(face for face in picture.scene.faces if face.key == still)
        marked = act.frames[0, act.still, :3, 2]
        assert face.normal[2] == pytest.approx(float(marked @ up), abs=1e-2), (step.number, step.words)


@each
def test_one_part_in_one_state_is_seen_from_one_side_and_a_sign_tells_where_not(name: str) -> None:
    last: dict[str, float] = {}
    for step, picture, _ in drawn(name):
        if isinstance(picture, TurnShot):
            last[step.part] = picture.view.azimuth
        if isinstance(picture, Shot) and not step.move and step.words != "dry-fit":
            assert picture.turned == (last.get(step.part, picture.view.azimuth) != picture.view.azimuth), (step.number, step.words)
            last[step.part] = picture.view.azimuth


@each
def test_glue_is_numbered_as_on_the_glue_map(name: str) -> None:
    for step, picture, records in drawn(name):
        if isinstance(picture, Shot):
            numbers = {int(r.words) for r in records if r.kind == "text" and r.words.isdigit()}
            assert numbers <= {n + 1 for n in step.bonds}, (step.number, step.words)
            assert bool(numbers) == bool(step.bonds), (step.number, step.words)


def test_pictures_of_one_run_share_a_scale() -> None:
    hem, join, over = (shot_of("mug", words) for words in ("hem", "join", "over"))
    assert hem.run is join.run is over.run
    assert hem.run.place(BOX)[1] == min(shot.run.place(BOX)[1] for shot in (hem, join, over))


def shot_of(name: str, words: str) -> Shot:
    return next(picture for step, picture, _ in drawn(name) if step.words == words and isinstance(picture, Shot))


def test_a_turn_shows_how_it_was_and_how_it_is() -> None:
    for name in ("mug", "teapot", "glaze"):
        turns = [picture for _, picture, _ in drawn(name) if isinstance(picture, TurnShot)]
        assert turns
        for picture in turns:
            before, after = ({face.key: face for face in scene.faces} for scene in (picture.was, picture.scene))
            assert all(float(before[key].normal[2]) == pytest.approx(-float(after[key].normal[2]), abs=1e-6) for key in before)


def test_a_crease_is_tried_on_one_panel_there_and_back() -> None:
    for name in EVERY:
        if not any(part.folds for part in plan(name).net.parts):
            continue  # boards
        shot = shot_of(name, "crease")
        assert shot.scene.both_ways and len(shot.scene.arrows) == 1 and len(shot.groups) == 1
        assert not any(face.glue for face in shot.scene.faces)


def test_a_crease_that_is_tried_pulls_at_no_corner_that_is_not_cut() -> None:
    for name in ("sponges", *(n for n in EVERY if plan(n).net.style == "web-tray")):
        part = plan(name).net.parts[0]
        (group,) = shot_of(name, "crease").groups
        for loop in part.loops:
            inside = [f"{part.name}/{panel}" in group for panel in loop.panels]
            bent = [fold.line for fold in part.folds if (f"{part.name}/{fold.child}" in group) != (f"{part.name}/{fold.parent}" in group)]
            assert inside[0] == inside[1] or all(abs(side(bent[0], end)) < 0.5 for end in loop.line)


def test_a_lid_is_tried_over_the_box_its_sides_up_without_glue() -> None:
    shot = shot_of("mug", "dry-fit")
    lid, box = ([f for f in shot.scene.faces if f.key.startswith(part)] for part in ("lid/", "box/"))
    assert box and not any(face.glue for face in shot.scene.faces)
    skirts = [f for f in lid if f.key.startswith("lid/skirt")]
    assert min(float(f.points[:, 2].min()) for f in skirts) > max(float(f.points[:, 2].max()) for f in box) - 1
    assert all(abs(float(f.normal[2])) < 1e-6 for f in skirts)
    assert shot.scene.both_ways and len(shot.scene.arrows) == 1


def test_a_trial_before_many_copies_shows_the_finished_box() -> None:
    (trial,) = [picture for step, picture, _ in drawn("tiles") if step.words == "trial"]
    assert isinstance(trial, TrialShot)
    assert {f.key for f in trial.scene.faces} == {f.key for f in acts.closed_scene(bench_of(plan("tiles")), 0.0).faces}


def test_walls_that_rise_have_the_arrows_and_not_their_webs() -> None:
    shot = shot_of("sponges", "raise")
    assert len(shot.scene.arrows) == 4
    assert len(shot.scene.ghosts) <= 2


def test_a_ring_of_any_pieces_is_opened_by_two_arrows() -> None:
    for sides in ((57.0, 57.0, 40.0), (57.0, 238.0, 247.0), (24.0, 24.0, 150.0)):
        made = reshaped("lidded-box", *sides)
        (square,) = [shot for step, shot in zip(made.net.steps, scenes.steps(made), strict=True) if step.words == "square"]
        assert isinstance(square, Shot)
        lengths = [float(np.linalg.norm(line[-1] - line[0])) for line in square.scene.arrows]
        assert len(lengths) == 2 and min(lengths) > 0.12 * max(sides)


def test_a_flat_thing_is_put_in_by_an_arrow_that_can_be_seen() -> None:
    made = reshaped("tray", 200.0, 150.0, 9.0)
    (put,) = [shot for step, shot in zip(made.net.steps, scenes.steps(made), strict=True) if step.kind == "put"]
    assert isinstance(put, Shot)
    (arrow,) = put.scene.arrows
    assert float(np.linalg.norm(arrow[-1] - arrow[0])) > 45


def face(x0: float, y0: float, x1: float, y1: float, moves: bool = False) -> Face3:
    return Face3(f"part/{x0:.0f}-{y0:.0f}", np.array([(x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0)]), moves=moves)


def lone(*faces: Face3) -> Shot:
    groups = tuple(frozenset({f.key}) for f in faces if f.moves)
    shot = Shot(Scene(faces), View(0, 90), Run(), groups=groups)
    shot.run.shots.append(shot)
    return shot


@pytest.mark.parametrize("box", [BOX, (10.0, 20.0, 98.0, 80.0), (0.0, 0.0, 40.0, 60.0)])
def test_what_moves_too_small_is_shown_again_in_an_inset_that_covers_nothing(box: tuple[float, float, float, float]) -> None:
    for size, wanted in ((10.0, True), (120.0, False)):
        pen = RecordingPen()
        lone(face(0, 0, 200, 200), face(200, 0, 200 + size, size, moves=True)).draw(pen, box)
        clips = {r.clip[0] for r in pen.records if r.clip}
        assert bool(clips) == wanted
        for ring in clips:
            inset = shapely.Polygon(ring)
            main = [r for r in pen.records if r.kind == "path" and not r.clip and r.stroke != STROKES["edge"]]
            assert not any(shapely.LineString(r.points).intersects(inset.buffer(-0.1)) for r in main)
            tinted = [shapely.Polygon(r.points) for r in pen.records if r.kind == "fill" and r.clip and r.grey < 0.95]
            assert all(inset.contains(shape) for shape in tinted) and max(shape.area for shape in tinted) > 0.15 * inset.area


def test_a_picture_keeps_clear_of_the_number_of_its_step() -> None:
    corner = shapely.box(0.0, BOX[3] - 8.0, 4.5, BOX[3]).buffer(-0.05)
    for name in ("mug", "glaze", "sponges", "bowl"):
        for step, _, records in drawn(name):
            outline = [line for r in records if r.kind == "path" and r.stroke == STROKES["outline"] and not r.clip for line in r.lines()]
            assert not any(shapely.LineString(line).intersects(corner) for line in outline), (name, step.number)


def test_panels_are_called_what_they_are_called_elsewhere() -> None:
    pen = RecordingPen()
    shot_of("mug", "fold").draw(pen, (0.0, 0.0, 120.0, 90.0), {"box/base-1": "the first base", "box/wall-1": "front"})
    assert {"the first base", "front"} <= set(pen.texts())


def test_the_view_of_habit_is_left_only_where_it_hides_what_moves() -> None:
    made = plan("egg-cups")
    for step, picture, _ in drawn("egg-cups"):
        if isinstance(picture, Shot) and picture.turned:
            home = replace(picture, view=View())
            assert min(seen_shares(home).values()) < 0.5 or step.kind == "put"
    assert made.net.style == "tray"


def test_a_run_is_seen_from_where_most_of_its_steps_are_seen_well() -> None:
    bench = bench_of(plan("mug"))
    moments = [m for m in bench.played.moments if m.step.words.startswith("fold-") and not shown_flat(bench, m)]
    takes = [Take([staged(bench, m, acted(bench, m), 0.5)]) for m in moments]
    azimuths = [pose.view.azimuth for _, pose in chosen(takes)]
    assert max(azimuths.count(a) for a in azimuths) >= len(azimuths) - 1


@pytest.mark.parametrize("wide", [60.0, 88.0, 186.0])
def test_the_legend_shows_every_sign_inside_its_box(wide: float) -> None:
    pen = RecordingPen()
    high = stepsigns.step_legend_height(pen, wide)
    stepsigns.draw_step_legend(pen, (0.0, 0.0, wide, high))
    assert len([text for text in pen.texts() if not text.isdigit()]) == len(stepsigns.KEYS)
    points = np.array([p for r in pen.records for p in r.points])
    assert points.min() >= 0 and points[:, 1].max() <= high
    assert all(lettering(r).bounds[2] <= max(wide, 78.0) for r in pen.records if r.kind == "text")
    assert {STROKES[name] for name in ("valley", "mountain", "ghost", "glue", "arrow")} <= {r.stroke for r in pen.records}


def test_the_sign_for_turning_over_has_one_loop() -> None:
    way = shapely.LineString(stepsigns.turning_over((0.0, 0.0), 15.0))
    assert not way.is_simple and len(shapely.get_parts(shapely.node(way))) == 3
    assert head_ring((0.0, 0.0), (1.0, 0.0), 1.0)[0] == (1.0, 0.0)

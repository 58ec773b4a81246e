"""From the steps played back to pictures: each step, the cover, the finished box.

A step is shown when what it moves can be seen moving: half-way where the end hides it, else at its end. What moves is
tinted, its old place dotted, its way an arrow; glue is hatched where it goes on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from booklet import plane, space
from booklet.drawing.gluemap import GlueMap, Spot, shifted
from booklet.drawing.motion import arrows, ghosts, shifts_apart
from booklet.drawing.pen import STROKES, Pen
from booklet.drawing.picture import Box, draw
from booklet.drawing.pose import HOME, Pose, best_pose, candidates, held, seen
from booklet.drawing.scene import Face3, Points, Scene
from booklet.drawing.sight import Patch
from booklet.drawing.stage import Bench, Stage, acted, bench_of, faces, lies_flat, stack_at, staged, stood
from booklet.drawing.steps import FlatShot, Run, Shot, StepPicture, extent, fitting
from booklet.drawing.thing import outlines
from booklet.drawing.view import View
from booklet.net import Part
from booklet.plan import Plan
from booklet.replay import Moment

FIRST_CHOICE = 0.45
"""Glue is shown on a bond's first panel where at least this share of it is seen, else on the one that shows more (chosen by us)."""

SQUARING = 0.6
"""How far a ring that is squared has opened in its picture (chosen by us)."""

_WORKED = ("flat", "stands")
"""States in which a part is worked on, not carried as a whole."""

_SHORT = 0.1
"""An arrow that would look shorter than this share of the part's length is left whole (chosen by us)."""

_PUSH = 0.12
"""The arrows that open a ring reach out at least this share of the part's length (chosen by us)."""

LEAST_ARROW = 0.4
"""An arrow is cut back to where it is seen, but to no less than this share of its way (chosen by us)."""


@lru_cache(maxsize=4)
def _steps(bench: Bench) -> tuple[StepPicture, ...]:
    return tuple(_Film(bench).all())


def steps(plan: Plan) -> tuple[StepPicture, ...]:
    """A picture of every step, in order."""
    return _steps(bench_of(plan))


def step(plan: Plan, index: int) -> StepPicture:
    """The picture of a step, by its index from 0."""
    return steps(plan)[index]


class _Film:
    """Pictures of the steps one after another: each is held as the one before it, where that shows enough."""

    def __init__(self, bench: Bench):
        self.bench = bench
        self.pose: Pose | None = None
        self.run, self.key = Run(), ("", "")
        self.part, self.flipped = "", False

    def all(self) -> list[StepPicture]:
        return [self._picture(moment) for moment in self.bench.played.moments]

    def _picture(self, moment: Moment) -> StepPicture:
        if moment.step.kind == "score":
            self.part, self.flipped = moment.part.name, self.bench.inside < 0
            return FlatShot(moment.part, shifts_apart(moment.part, moment.joined))
        if moment.step.kind == "put" or moment.step.move:
            return self._carried(moment)
        return self._folded(moment)

    def _carried(self, moment: Moment) -> Shot:
        scene = carrying(self.bench, moment, HOME.view) if moment.step.move else putting(self.bench, moment, HOME.view)
        return self._shot(scene, HOME, (moment.part.name, moment.step.kind), False)

    def _folded(self, moment: Moment) -> Shot:
        act = acted(self.bench, moment)
        key = (moment.part.name, "flat" if lies_flat(self.bench, moment) else "stands")
        stages = (staged(self.bench, moment, act, share) for share in _shares(moment))
        stage, pose = best_pose(stages, self.pose if key == self.key else None)
        scene = Scene(stage.faces(_hatched(stage, pose)), tuple(ghosts(act)), _cut_back(stage, pose))
        if moment.step.kind == "square":
            scene = replace(scene, ghosts=(), arrows=_squeezed(self.bench, moment, stage))
            pose = max(candidates(False, stage.over)[:2], key=lambda p: _length_seen(scene.arrows, p))
        return self._shot(held(scene, pose), pose, key, pose.over != stage.over)

    def _shot(self, scene: Scene, pose: Pose, key: tuple[str, str], flipped: bool) -> Shot:
        """`flipped`: whether the part is held otherwise than by habit."""
        turned = self.part == key[0] and flipped != self.flipped
        if key != self.key:
            self.run = Run()
        self.pose, self.key, self.part, self.flipped = pose, key, key[0], flipped
        shot = Shot(scene, pose.view, self.run, turned, closer=key[1] in _WORKED)
        self.run.shots.append(shot)
        return shot


def _shares(moment: Moment) -> tuple[float, ...]:
    """How far a step is shown, the first choice first: at its end where that hides nothing."""
    step = moment.step
    if step.kind == "join":
        return (0.4,)
    if step.kind == "square":
        return (SQUARING,)
    if step.path:
        return (0.6, 0.4)
    half_turn = max((abs(angle) for _, angle in step.folds), default=0.0) > 135
    if half_turn:
        return (0.42, 0.7) if step.bonds else (0.6, 0.42)
    return (0.5, 0.3) if step.bonds else (1.0, 0.6)


def _hatched(stage: Stage, pose: Pose) -> list[Patch]:
    """Where glue is shown: on one panel of each bond of the step."""
    ((_, shares),) = seen(stage, [pose])
    return [_chosen(bond, share) for bond, share in zip(stage.glue, shares, strict=True) if bond]


def _chosen(bond: Sequence[Patch], shares: Sequence[float]) -> Patch:
    if shares[0] >= FIRST_CHOICE or len(bond) == 1:
        return bond[0]
    return bond[int(np.argmax(shares))]


def _cut_back(stage: Stage, pose: Pose) -> tuple[Points, ...]:
    """The arrows as far as nothing that stands still hides them: a head that ends behind a wall would be read in front of it."""
    still = [i for i in range(len(stage.places)) if i not in stage.act.moved]
    least = _SHORT * _longest(stage.part)
    found = []
    for line in arrows(stage.act):
        part = _seen_part(line, stage.sight.seen(line, pose.way[None], still)[0])
        found.append(part if _length_seen([part], pose) >= least else line)
    return tuple(found)


def _seen_part(line: Points, seen: NDArray[np.bool_]) -> Points:
    """The longest stretch of a line that is seen, or all of it where that is too short."""
    ends = np.flatnonzero(np.diff(np.concatenate([[False], seen, [False]]).astype(int)))
    first, last = max(zip(ends[::2], ends[1::2], strict=True), key=lambda run: run[1] - run[0], default=(0, 0))
    return line[first:last] if last - first >= LEAST_ARROW * len(line) else line


def _squeezed(bench: Bench, moment: Moment, stage: Stage) -> tuple[Points, ...]:
    """Two arrows that push the folded edges of a flat ring to each other; what is glued on beside an edge goes with it."""
    part = moment.part
    folds = [part.fold[name] for name, _ in moment.step.folds if part.panel[part.fold[name].child].role != "glue-flap"]
    edges = [f for f in folds if abs(abs(_angle_before(bench, moment, f.name)) - 180) < 1]
    if len(edges) != 2:
        return ()
    index = stage.act.index
    a, b = (space.applied(stage.places[index[f.parent]], np.array([[*np.mean(f.line, axis=0), 0.0]]))[0] for f in edges)
    way = (b - a) / np.linalg.norm(b - a)
    long = _longest(part)
    far, near = max(0.35 * float(np.linalg.norm(b - a)), _PUSH * long), max(4.0, 0.015 * long)
    return np.array([a - way * far, a - way * near]), np.array([b + way * far, b + way * near])


def _longest(part: Part) -> float:
    """The longer side of a flat part, mm."""
    x0, y0, x1, y1 = plane.bounds(p for panel in part.panels for p in panel.outline)
    return max(x1 - x0, y1 - y0)


def _length_seen(lines: Sequence[Points], pose: Pose) -> float:
    """How long lines look, mm, whole."""
    ends = [pose.view.project(space.applied(pose.turn, line))[:, :2] for line in lines]
    return round(sum(float(np.linalg.norm(line[-1] - line[0])) for line in ends), 0)


def _angle_before(bench: Bench, moment: Moment, fold: str) -> float:
    before = bench.played.last_before(moment.part.name, moment)
    return before.angles[fold] if before else 0.0


def standing(bench: Bench, moment: Moment, moving: Sequence[int] = ()) -> list[Face3]:
    """A part as it stands at the end of a step, in the frame of the closed box."""
    return faces(bench, moment.part, stood(bench, moment.part, moment.after, moment.stack), moving)


def putting(bench: Bench, moment: Moment, view: View) -> Scene:
    """The thing over the open box, as a ghost, with an arrow down."""
    item, inside = bench.net.item, bench.net.inside
    foot, end = 0.75 * inside.height, 0.75 * inside.height + 0.1 * item.height
    start = max(foot + 0.75 * item.height, end + 0.25 * max(inside.length, inside.width))
    down = np.array([[0.0, 0.0, start], [0.0, 0.0, end]])
    return Scene(tuple(standing(bench, moment)), outlines(item, foot, view), (down,))


def carrying(bench: Bench, moment: Moment, view: View, share: float = 0.0) -> Scene:
    """A part that is carried to the others, `share` of its way done, with an arrow along it."""
    still = [bench.played.last_before(name, moment) for name in moment.present if name != moment.part.name]
    shown = [face for other in still if other is not None for face in standing(bench, other)]
    places = moment.frames[round(share * (len(moment.frames) - 1))]
    moved = faces(bench, moment.part, stood(bench, moment.part, places, moment.stack), range(len(moment.part.panels)))
    return Scene((*shown, *moved), (), (_carried_way(moment, moved, view),))


def _carried_way(moment: Moment, moved: Sequence[Face3], view: View) -> Points:
    """From the lowest edge that is nearest to the viewer, along the way of the part."""
    points = np.concatenate([face.points for face in moved])
    low = points[points[:, 2] < points[:, 2].min() + 1.0]
    depth = low @ view.frame[2]
    # numpy's own percentile would import its masked arrays, which takes longer than the picture
    near = low[depth > np.interp(0.6 * (len(low) - 1), np.arange(len(low)), np.sort(depth))]
    foot = near.mean(axis=0)
    way = moment.frames[-1][0][:3, 3] - moment.frames[0][0][:3, 3]
    return np.array([foot + 0.08 * way, foot + 0.8 * way])


def _closed_scene(bench: Bench, lifted: float) -> Scene:
    """All parts as they stand at the end; those that were carried last lifted back along their way, mm."""
    shown: list[Face3] = []
    for part in bench.net.parts:
        last = bench.played.last(part.name)
        if last is not None:
            shown += _at_the_end(bench, part, last, lifted)
    return Scene(tuple(shown))


def _at_the_end(bench: Bench, part: Part, last: Moment, lifted: float) -> list[Face3]:
    places = last.after
    if last.step.move and lifted:
        back = last.frames[0][0][:3, 3] - last.after[0][:3, 3]
        places = places.copy()
        places[:, :3, 3] += back / max(float(np.linalg.norm(back)), 1e-6) * lifted
    return faces(bench, part, stood(bench, part, places, last.stack))


def finished(plan: Plan) -> Picture:
    """The finished box, closed."""
    return Picture(_closed_scene(bench_of(plan), 0.0), HOME.view, ())


def cover(plan: Plan) -> Picture:
    """The finished box with its lid lifted by a third, or its top half closed, and the thing in it as a ghost."""
    bench = bench_of(plan)
    last = bench.played.moments[-1]
    scene = _closed_scene(bench, plan.net.inside.height / 3)
    if last.step.kind == "close" and last.step.path:
        places = last.frames[round(0.45 * (len(last.frames) - 1))]
        scene = Scene(tuple(faces(bench, last.part, stood(bench, last.part, places, stack_at(bench, last, places)))))
    return Picture(scene, HOME.view, outlines(plan.net.item, 0.0, HOME.view))


def glue_maps(plan: Plan) -> tuple[GlueMap, ...]:
    """The glue map of every part that has glued areas."""
    bench = bench_of(plan)
    return tuple(made for part in plan.net.parts if (made := _glue_map(bench, part)).spots)


def _glue_map(bench: Bench, part: Part) -> GlueMap:
    """Bonds are numbered from 1 in the order of the net."""
    spots = [
        Spot(number, part.panels[patch.panel].name, patch.ring, patch.side > 0)
        for number, areas in enumerate(bench.glue, 1)
        for name, patch in areas
        if name == part.name
    ]
    piece = [part.piece_of[panel.name].name for panel in part.panels]
    return shifted(part, spots, shifts_apart(part, np.array([[a == b for b in piece] for a in piece])))


@dataclass(frozen=True, eq=False)
class Picture:
    """A scene without arrows, and lines in space that are drawn over it, dotted, whatever hides them."""

    scene: Scene
    view: View
    through: tuple[Points, ...]

    def draw(self, pen: Pen, box: Box) -> None:
        """Draw it as large as the box allows."""
        area = extent(self.scene, self.view)
        scale = fitting(area, box[2] - box[0], box[3] - box[1])
        draw(pen, self.scene, self.view, box, scale)
        left, low = (box[0] + box[2] - scale * (area[0] + area[2])) / 2, (box[1] + box[3] - scale * (area[1] + area[3])) / 2
        for line in self.through:
            flat = self.view.project(line)[:, :2] * scale + np.array([left, low])
            pen.path([(x, y) for x, y in flat.tolist()], STROKES["ghost"])

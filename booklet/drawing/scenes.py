"""From the steps played back to pictures: each step, the cover, the finished box, the glue map."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from booklet import inserts
from booklet.drawing.acts import closed_scene
from booklet.drawing.film import film
from booklet.drawing.gluemap import GlueMap, Spot, shifted
from booklet.drawing.motion import shifts_apart
from booklet.drawing.pen import STROKES, Pen
from booklet.drawing.picture import Box, draw
from booklet.drawing.pose import HOME
from booklet.drawing.scene import Points, Scene
from booklet.drawing.stage import Bench, bench_of, faces, stack_at, stood
from booklet.drawing.steps import StepPicture, extent, fitting
from booklet.drawing.surface import View
from booklet.drawing.thing import outlines
from booklet.net import Part
from booklet.plan import Plan


@lru_cache(maxsize=4)
def _steps(bench: Bench) -> tuple[StepPicture, ...]:
    return film(bench)


def steps(plan: Plan) -> tuple[StepPicture, ...]:
    """A picture of every step, in order."""
    return _steps(bench_of(plan))


def step(plan: Plan, index: int) -> StepPicture:
    """The picture of a step, by its index from 0."""
    return steps(plan)[index]


def finished(plan: Plan) -> Picture:
    """The finished box, closed."""
    return Picture(closed_scene(bench_of(plan), 0.0), HOME.view, ())


def cover(plan: Plan) -> Picture:
    """The finished box with its lid lifted by a third, or its top half closed, and the thing in it as a ghost."""
    bench = bench_of(plan)
    last = bench.played.moments[-1]
    scene = closed_scene(bench, plan.net.inside.height / 3)
    if last.step.kind == "close" and last.step.path:
        places = last.frames[round(0.45 * (len(last.frames) - 1))]
        scene = Scene(tuple(faces(bench, last.part, stood(bench, last.part, places, stack_at(bench, last, places)))))
    return Picture(scene, HOME.view, outlines(plan.net.item, 0.0, HOME.view, inserts.stands(plan.net)))


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
        area = extent(replace(self.scene, ghosts=(*self.scene.ghosts, *self.through)), self.view)
        scale = fitting(area, box[2] - box[0], box[3] - box[1])
        draw(pen, self.scene, self.view, box, scale)
        left, low = (box[0] + box[2] - scale * (area[0] + area[2])) / 2, (box[1] + box[3] - scale * (area[1] + area[3])) / 2
        for line in self.through:
            flat = self.view.project(line)[:, :2] * scale + np.array([left, low])
            pen.path([(x, y) for x, y in flat.tolist()], STROKES["ghost"])

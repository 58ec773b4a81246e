"""A picture of each step, and the run of pictures that share one scale. Boxes and lengths on paper in mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from booklet.drawing.flat import draw_cuts, folds_of
from booklet.drawing.pen import LAYER_OF, STROKES, Pen, arrow, box, circle
from booklet.drawing.picture import LOOK, Box, draw
from booklet.drawing.scene import Points, Scene
from booklet.drawing.view import View
from booklet.net import Part
from booklet.plane import Affine, bounds

SMALL = 12.0
"""mm on paper: what moves is shown larger in an inset when it would be smaller than this (chosen by us)."""

INSET = 0.38
"""Share of a picture's width that an inset takes (chosen by us)."""

_RIM = 2 * 1.6
"""mm: what lines and arrow heads take up beyond the points of a scene, both sides together."""

_SIGN = 3.0

_CORNER = (4.5, 8.0)
"""mm across and down: what a step's number of two figures takes of the upper left corner of its picture."""


class StepPicture(Protocol):
    """A picture that draws itself in a box on paper, x0, y0, x1, y1."""

    @property
    def turned(self) -> bool:
        """Whether it is held another way up than in the step before."""

    def draw(self, pen: Pen, box: Box) -> None:
        """Draw it in the middle of the box."""


@dataclass(eq=False)
class Run:
    """Pictures of one part in one state, drawn at one scale."""

    shots: list[Shot] = field(default_factory=list)
    _scales: dict[tuple[float, float], float] = field(default_factory=dict)

    def scale(self, wide: float, high: float) -> float:
        """The scale at which each of the pictures fits into a box on paper."""
        size = round(wide, 3), round(high, 3)
        if size not in self._scales:
            self._scales[size] = min(fitting(shot.extent, *size) for shot in self.shots)
        return self._scales[size]


@dataclass(frozen=True, eq=False)
class Shot:
    """A scene as it is held and seen, in its run. `turned`: held another way up than in the step before.

    `closer`: what moves may be shown larger beside it.
    """

    scene: Scene
    view: View
    run: Run
    turned: bool = False
    closer: bool = True

    @property
    def extent(self) -> Box:
        """Bounds of all that is drawn, in the drawing plane, mm before scale."""
        return extent(self.scene, self.view)

    def draw(self, pen: Pen, box: Box) -> None:
        """Draw it, with what moves again in an inset where it is too small."""
        wide, high = box[2] - box[0], box[3] - box[1]
        scale = self.run.scale(wide, high)
        moving = [face.points for face in self.scene.faces if face.moves]
        if self.closer and moving and _largest(self.view, moving) * scale < SMALL:
            self._draw_with_inset(pen, box, scale, moving)
        else:
            draw(pen, self.scene, self.view, box, scale)
        if self.turned:
            draw_turn_sign(pen, (box[0] + _SIGN, box[1] + _SIGN))

    def _draw_with_inset(self, pen: Pen, area: Box, scale: float, moving: Sequence[Points]) -> None:
        x0, y0, x1, y1 = area
        split = x1 - INSET * (x1 - x0)
        main = (x0, y0, split - 2, y1)
        draw(pen, self.scene, self.view, main, min(scale, fitting(self.extent, main[2] - x0, y1 - y0)))
        side = min(x1 - split, y1 - y0)
        inset = (x1 - side, y1 - side, x1, y1)
        size = _largest(self.view, moving)
        with pen.clipped(box(*inset)):
            zoom = side * 0.6 / size
            draw(pen, self.scene, self.view, self._centred(inset, zoom, moving), zoom)
        pen.path(box(*inset), STROKES["edge"], closed=True)

    def _centred(self, inset: Box, zoom: float, moving: Sequence[Points]) -> Box:
        """The inset's box shifted so that what moves comes to its middle."""
        mx, my = _middle(_bounds(self.view, moving))
        ex, ey = _middle(self.extent)
        dx, dy = (ex - mx) * zoom, (ey - my) * zoom
        return inset[0] + dx, inset[1] + dy, inset[2] + dx, inset[3] + dy


def extent(scene: Scene, view: View) -> Box:
    """Bounds of a scene in the drawing plane."""
    return _bounds(view, [*(ring for face in scene.faces for ring in face.rings), *scene.ghosts, *scene.arrows])


def fitting(area: Box, wide: float, high: float) -> float:
    """The largest scale at which an area of the drawing plane fits into a box on paper."""
    x0, y0, x1, y1 = area
    return min((wide - _RIM) / max(x1 - x0, 1e-6), (high - _RIM) / max(y1 - y0, 1e-6))


def _bounds(view: View, lines: Sequence[Points]) -> Box:
    flat = view.project(np.concatenate(lines))[:, :2]
    (x0, y0), (x1, y1) = flat.min(axis=0).tolist(), flat.max(axis=0).tolist()
    return x0, y0, x1, y1


def _largest(view: View, lines: Sequence[Points]) -> float:
    x0, y0, x1, y1 = _bounds(view, lines)
    return max(x1 - x0, y1 - y0)


def _middle(area: Box) -> tuple[float, float]:
    return (area[0] + area[2]) / 2, (area[1] + area[3]) / 2


def draw_turn_sign(pen: Pen, at: tuple[float, float]) -> None:
    """Two arrows that run round: the thing is held another way up than before."""
    ring = circle(at, _SIGN - LOOK.halo, 48)
    arrow(pen, ring[2:21], 1.8, STROKES["edge"])
    arrow(pen, ring[26:45], 1.8, STROKES["edge"])


def _clear_of_corner(box: Box, wide: float, high: float) -> tuple[Box, float]:
    """The part of a box in which a flat drawing comes out largest without touching the upper left corner, and its scale there."""
    x0, y0, x1, y1 = box
    found = []
    for part in (box, (x0 + _CORNER[0], y0, x1, y1), (x0, y0, x1, y1 - _CORNER[1])):
        scale = min((part[2] - part[0] - 1) / wide, (part[3] - part[1] - 1) / high)
        left, top = (part[0] + part[2] - scale * wide) / 2, (part[1] + part[3] + scale * high) / 2
        if left >= x0 + _CORNER[0] or top <= y1 - _CORNER[1]:
            found.append((scale, part))
    scale, part = max(found, key=lambda one: round(one[0], 6))
    return part, scale


@dataclass(frozen=True, eq=False)
class FlatShot:
    """The flat pieces of a part side by side, seen on the marked face, their folds by their dashes."""

    part: Part
    shifts: Points
    turned: bool = False

    def draw(self, pen: Pen, box: Box) -> None:
        """Draw them as large as the box allows, clear of the step's number in its upper left corner."""
        moves = {piece.name: self._shift_of(piece.panels[0]) for piece in self.part.pieces}
        corners = [(x + moves[p.name][0], y + moves[p.name][1]) for p in self.part.pieces for x, y in p.outline]
        x0, y0, x1, y1 = bounds(corners)
        box, scale = _clear_of_corner(box, x1 - x0, y1 - y0)
        left, low = (box[0] + box[2] - scale * (x0 + x1)) / 2, (box[1] + box[3] - scale * (y0 + y1)) / 2
        for piece in self.part.pieces:
            dx, dy = moves[piece.name]
            with pen.placed(Affine(scale, 0, 0, scale, left + scale * dx, low + scale * dy)):
                for fold in folds_of(self.part, piece):
                    kind = "valley" if fold.angle > 0 else "mountain"
                    pen.path(fold.line, STROKES[kind], LAYER_OF[kind])
                draw_cuts(pen, piece)

    def _shift_of(self, panel: str) -> tuple[float, float]:
        i = next(i for i, one in enumerate(self.part.panels) if one.name == panel)
        return float(self.shifts[i][0]), float(self.shifts[i][1])

"""A picture of each step, and the run of pictures that share one scale. Boxes and lengths on paper in mm."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import chain
from typing import Literal, Protocol

import numpy as np

from booklet.drawing.flat import draw_cuts
from booklet.drawing.naming import Named, Notes
from booklet.drawing.pen import LAYER_OF, STROKES, Pen, box
from booklet.drawing.picture import LOOK, Box, Looked, paint
from booklet.drawing.scene import Points, Scene
from booklet.drawing.stepsigns import ROUND, draw_turned_over, draw_turned_round
from booklet.drawing.surface import View
from booklet.drawing.view import SLIVER
from booklet.folding import folds_of
from booklet.net import Part
from booklet.plane import Affine, bounds

SMALL = 12.0
"""mm on paper: what moves is shown larger in an inset when it would be smaller than this (chosen by us)."""

SMALLER = 8.0
"""The same for each of several things that move at once, where no glue has to be shown on them (chosen by us)."""

INSET = 0.4
"""Share of a picture's width or height that an inset takes (chosen by us)."""

CLOSEST = 8.0
"""An inset is at most this many times as large (chosen by us)."""

_FILLED = 0.8
"""What moves fills at most this share of its inset (chosen by us)."""

_RIM = 2 * 1.6
"""mm: what lines and arrow heads take up beyond the points of a scene, both sides together."""

_CORNER = (4.5, 8.0)
"""mm across and down: what a step's number of two figures takes of the upper left corner of its picture."""

_TRIAL = 0.7
"""The finished box before the steps is drawn this large in its picture (chosen by us)."""

_BEFORE = 0.3
"""Share of a picture's width in which a turn shows how the thing was before (chosen by us)."""

_BEFORE_AT = 0.6
"""And it is no larger than this share of how it is after the turn (chosen by us)."""

_WORTH = 1.15
"""The two stand over each other where that makes the picture so much larger (chosen by us)."""

_OVER = 15.0
"""mm: width of the sign between them (chosen by us)."""

_THIN = replace(LOOK, outline="dimension", edge="dimension", marked=1.0)

_AIR = 1.5

Sign = Literal["", "round"]

NO_LABELS: Mapping[str, str] = {}


class StepPicture(Protocol):
    """A picture that draws itself in a box on paper, x0, y0, x1, y1."""

    @property
    def turned(self) -> bool:
        """Whether it says by a sign that the thing is held or seen otherwise than in the step before."""

    def draw(self, pen: Pen, box: Box, labels: Mapping[str, str] = NO_LABELS) -> None:
        """Draw it in the middle of the box. `labels`: panels' names by "part/panel"."""


@dataclass(eq=False)
class Run:
    """Pictures of one part in one state, drawn at one scale."""

    shots: list[Shot] = field(default_factory=list)
    _places: dict[tuple[float, float], tuple[int, float]] = field(default_factory=dict)

    def place(self, box: Box) -> tuple[Box, float]:
        """The part of a box on paper in which the pictures come out largest, clear of the step's number, and their scale."""
        size = round(box[2] - box[0], 3), round(box[3] - box[1], 3)
        if size not in self._places:
            parts = _off_corner((0.0, 0.0, *size))
            scales = [min((fitting(shot.extent, *_size(part)) for shot in self.shots), default=math.inf) for part in parts]
            if any(_in_corner(shot.extent, scales[0], parts[0]) for shot in self.shots):
                scales[0] = 0.0
            best = max(range(len(parts)), key=lambda n: (round(scales[n], 6), -n))
            self._places[size] = best, scales[best]
        best, scale = self._places[size]
        return _off_corner(box)[best], scale


@dataclass(frozen=True, eq=False)
class Shot:
    """A scene as it is held and seen, in its run.

    `sign`: "round" where it is seen from another side.
    `groups`: keys of the faces that move as one, those that show best first; `named`: panels to be named.
    `closer`: what moves may be shown larger beside it.
    """

    scene: Scene
    view: View
    run: Run
    sign: Sign = ""
    groups: tuple[frozenset[str], ...] = ()
    named: tuple[Named, ...] = ()
    closer: bool = True

    @property
    def turned(self) -> bool:
        """Whether it is seen from another side than in the step before."""
        return bool(self.sign)

    @cached_property
    def extent(self) -> Box:
        """Bounds of all that is drawn, in the drawing plane, mm before scale."""
        return extent(self.scene, self.view)

    @cached_property
    def looked(self) -> Looked:
        """What is seen of it."""
        return Looked(self.scene, self.view, SLIVER)

    def draw(self, pen: Pen, box: Box, labels: Mapping[str, str] = NO_LABELS) -> None:
        """Draw it, with what moves again in an inset where it is too small."""
        box, scale = self.run.place(box)
        close = self._close_up(scale)
        if close:
            self._draw_with_inset(pen, box, scale, close, labels)
            return
        notes = Notes(pen, paint(pen, self.looked, box, scale), box)
        self._sign(notes)
        notes.number()
        notes.name(self.named, labels)

    def _sign(self, notes: Notes) -> None:
        if self.sign:
            draw_turned_round(notes.pen, notes.corner(2 * ROUND))

    def _close_up(self, scale: float) -> frozenset[str]:
        """The faces of the group that is shown larger: the first, where all groups are small on paper."""
        if not self.closer or not self.groups:
            return frozenset()
        rings = [[f.points for f in self.scene.faces if f.key in group] for group in self.groups]
        most, whole = max(_largest(self.view, one) for one in rings) * scale, _largest(self.view, [*chain(*rings)]) * scale
        least = SMALL if len(rings) == 1 or any(face.glue for face in self.scene.faces) else SMALLER
        if whole >= SMALL and most >= least:
            return frozenset()
        return self.groups[0]

    def _draw_with_inset(self, pen: Pen, area: Box, scale: float, close: frozenset[str], labels: Mapping[str, str]) -> None:
        main, inset = max(_parted(area), key=lambda two: min(scale, fitting(self.extent, *_size(two[0]))))
        own = min(scale, fitting(self.extent, *_size(main)))
        notes = Notes(pen, paint(pen, self.looked, main, own), main)
        shown = _bounds(self.view, [*(f.points for f in self.scene.faces if f.key in close), *self._arrow_near(close)])
        notes.frame(shown)
        self._sign(notes)
        notes.number(leave=close)
        self._draw_inset(pen, inset, shown, min(_FILLED * min(_size(inset)) / max(_size(shown)), CLOSEST * own), labels)

    def _draw_inset(self, pen: Pen, inset: Box, shown: Box, zoom: float, labels: Mapping[str, str]) -> None:
        with pen.clipped(box(*inset)):
            painted = paint(pen, self.looked, self._centred(inset, zoom, shown), zoom)
        pen.path(box(*inset), STROKES["edge"], closed=True)
        notes = Notes(pen, painted, inset)
        notes.number()
        notes.name(self.named, labels)

    def _arrow_near(self, close: frozenset[str]) -> list[Points]:
        """The arrow that goes with a group: the one that comes nearest to it."""
        middle = np.mean([f.centre for f in self.scene.faces if f.key in close], axis=0)
        return sorted(self.scene.arrows, key=lambda line: round(float(np.linalg.norm(line - middle, axis=1).min()), 3))[:1]

    def _centred(self, inset: Box, zoom: float, shown: Box) -> Box:
        """The inset's box shifted so that what is shown comes to its middle."""
        (mx, my), (ex, ey) = _middle(shown), _middle(self.extent)
        dx, dy = (ex - mx) * zoom, (ey - my) * zoom
        return inset[0] + dx, inset[1] + dy, inset[2] + dx, inset[3] + dy


@dataclass(frozen=True, eq=False)
class TurnShot:
    """A thing that is turned: how it was, small and thin, the sign for turning over, and how it is after it."""

    was: Scene
    seen_from: View
    scene: Scene
    view: View
    run: Run

    turned = True

    def draw(self, pen: Pen, box: Box, labels: Mapping[str, str] = NO_LABELS) -> None:
        """Draw both side by side, the one after the turn at the scale of its run where there is room."""
        was, then = extent(self.was, self.seen_from), extent(self.scene, self.view)
        most = self.run.place(box)[1]
        beside, over = _turn_places(box)
        room = [min(most, fitting(then, *_size(three[2]))) for three in (beside, over)]
        left, sign, right = over if room[1] > _WORTH * room[0] else beside
        scale = min(most, fitting(then, *_size(right)))
        paint(pen, Looked(self.was, self.seen_from, SLIVER), left, min(_BEFORE_AT * scale, fitting(was, *_size(left))), _THIN)
        draw_turned_over(pen, sign, _OVER)
        paint(pen, Looked(self.scene, self.view, SLIVER), right, scale)


def _turn_places(area: Box) -> Sequence[tuple[Box, tuple[float, float], Box]]:
    """Where a turn is drawn, in two ways: side by side, or one over the other. How it was, the middle of the sign, how it is."""
    x0, y0, x1, y1 = area
    across, high = x0 + _BEFORE * (x1 - x0), y1 - _BEFORE * (y1 - y0)
    middle, shift = (x0 + x1) / 2, _AIR + _OVER / 2
    left, right = (x0 + _CORNER[0], y0, across, y1 - _CORNER[1]), (across + 2 * shift, y0, x1, y1)
    top, low = (x0 + _CORNER[0], high, middle, y1), (x0, y0, x1, high - _AIR)
    return (left, (across + shift, (y0 + y1) / 2), right), (top, (middle + shift, (y1 + high) / 2), low)


@dataclass(frozen=True, eq=False)
class TrialShot:
    """The finished box, for a trial of all steps before the first."""

    scene: Scene
    view: View

    turned = False

    def draw(self, pen: Pen, box: Box, labels: Mapping[str, str] = NO_LABELS) -> None:
        """Draw it in the middle of the box, smaller than the pictures of the steps."""
        scale = _TRIAL * fitting(extent(self.scene, self.view), *_size(box))
        paint(pen, Looked(self.scene, self.view, SLIVER), box, scale)


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


def _size(area: Box) -> tuple[float, float]:
    return area[2] - area[0], area[3] - area[1]


def _largest(view: View, lines: Sequence[Points]) -> float:
    return max(_size(_bounds(view, lines)))


def _middle(area: Box) -> tuple[float, float]:
    return (area[0] + area[2]) / 2, (area[1] + area[3]) / 2


def _parted(area: Box) -> tuple[tuple[Box, Box], tuple[Box, Box]]:
    """Two ways to part a box: a picture with its inset at the upper right of it, or at the lower right under it."""
    x0, y0, x1, y1 = area
    wide, high = INSET * (x1 - x0), INSET * (y1 - y0)
    side = min(wide, y1 - y0)
    beside = (x0, y0, x1 - wide - _AIR, y1), (x1 - side, y1 - side, x1, y1)
    under = (x0, y0 + high + _AIR, x1, y1), (x1 - 1.4 * high, y0, x1, y0 + high)
    return beside, under


def _off_corner(box: Box) -> tuple[Box, Box, Box]:
    """A box whole, and its parts to the right of a step's number and under it."""
    x0, y0, x1, y1 = box
    return box, (x0 + _CORNER[0], y0, x1, y1), (x0, y0, x1, y1 - _CORNER[1])


def _in_corner(area: Box, scale: float, box: Box) -> bool:
    """Whether a drawing of some bounds in the middle of a box comes to the step's number."""
    (wide, high), (mx, my) = _size(area), _middle(box)
    return mx - scale * wide / 2 - _RIM / 2 < box[0] + _CORNER[0] and my + scale * high / 2 + _RIM / 2 > box[3] - _CORNER[1]


def _clear_of_corner(box: Box, wide: float, high: float) -> tuple[Box, float]:
    """The part of a box in which a flat drawing comes out largest without touching the upper left corner, and its scale there."""
    found = []
    for part in _off_corner(box):
        scale = min((part[2] - part[0] - 1) / wide, (part[3] - part[1] - 1) / high)
        left, top = (part[0] + part[2] - scale * wide) / 2, (part[1] + part[3] + scale * high) / 2
        if left >= box[0] + _CORNER[0] or top <= box[3] - _CORNER[1]:
            found.append((scale, part))
    scale, part = max(found, key=lambda one: round(one[0], 6))
    return part, scale


@dataclass(frozen=True, eq=False)
class FlatShot:
    """The flat pieces of a part side by side, seen on the marked face, their folds by their dashes."""

    part: Part
    shifts: Points
    turned: bool = False

    def draw(self, pen: Pen, box: Box, labels: Mapping[str, str] = NO_LABELS) -> None:
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
                    kind = "valley" if fold.bends > 0 else "mountain"
                    pen.path(fold.line, STROKES[kind], LAYER_OF[kind])
                draw_cuts(pen, piece)

    def _shift_of(self, panel: str) -> tuple[float, float]:
        i = next(i for i, one in enumerate(self.part.panels) if one.name == panel)
        return float(self.shifts[i][0]), float(self.shifts[i][1])

"""Where seams had better not be: along lines, at the roots of flaps, at narrow notches, where names want to stand.

What a seam costs is a sum over what lies in its band, told in mm of line that runs along it. All weights are chosen by us.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any

import numpy as np
import shapely

from booklet.net import Fold, Part, Piece
from booklet.plane import Line, bounds, turn
from booklet.tiles.dots import Figures, Whole
from booklet.tiles.lattice import Flags, Mesh, span

LINE = 0.25
"""Half the width of a cut line in mm: so much round a piece has to be inside some window."""

_CROSSED = 0.1
_ROOT = 0.5
_NOTCH, _NARROW = 5.0, 8.0
_NAME, _NAMED = (24.0, 8.0), 0.05
_ASKEW = 0.02
_TURNED = 4.0
_BESIDE = 1.5
_CELL = 1.0
"""mm a mm of a line that a seam crosses at a right angle, more a mm of a flap's root; of each of two corners of the outline that are
nearer than so many mm; a mm2 of the room for a panel's name, width and height; a mm off the middle of the pages; of a piece that
lies turned, its names with it. So far beside the band is looked at; size of a cell."""


@dataclass(frozen=True)
class Lying:
    """A template as it lies on the page, turned by `quarter` right angles."""

    part: Part
    piece: Piece
    quarter: int

    @cached_property
    def card(self) -> Any:
        """The piece with the width of its cut lines: what the windows have to hold."""
        place = turn(self.quarter)
        whole = shapely.Polygon(place.ring(self.piece.outline), [place.ring(hole) for hole in self.piece.holes])
        return whole.buffer(LINE, join_style="mitre")

    @cached_property
    def lines(self) -> Any:
        """Cut lines and scores."""
        return shapely.MultiLineString([*self.cuts, *(line for _, line in self.folds)])

    @cached_property
    def cuts(self) -> list[Line]:
        """Steps of outline, holes and slits."""
        place = turn(self.quarter)
        rings = [[*ring, ring[0]] for ring in (self.piece.outline, *self.piece.holes)]
        return [step for points in (*rings, *self.piece.slits) for step in _steps(place.ring(points))]

    @cached_property
    def folds(self) -> list[tuple[Fold, Line]]:
        """Scores, each with its line."""
        own, place = set(self.piece.panels), turn(self.quarter)
        found = [fold for fold in self.part.folds if fold.kind == "crease" and {fold.parent, fold.child} <= own]
        return [(fold, (place(fold.line[0]), place(fold.line[1]))) for fold in found]


def _steps(points: Sequence[Any]) -> list[Line]:
    return [(a, b) for a, b in pairwise(points) if a != b]


class Blame:
    """What seams over a template cost, by sums over a grid of small cells."""

    def __init__(self, lying: Lying, mesh: Mesh):
        self.lying, self.mesh = lying, mesh
        self.box = lying.card.bounds
        self.count = tuple(int((self.box[axis + 2] - self.box[axis]) / _CELL) + 1 for axis in (0, 1))
        self._sums = [self._summed(axis) for axis in (0, 1)]

    def of(self, at: Figures, used: Flags) -> Figures:
        """The cost of lattices with these corners, shape (n, 2), that use these windows, shape (n, rows, columns)."""
        price = np.full(len(at), _TURNED * (self.lying.quarter % 2))
        for axis in (0, 1):
            price += _ASKEW * self._askew(axis, at, used)
            pairs = used[:, :, 1:] & used[:, :, :-1] if axis == 0 else used[:, 1:] & used[:, :-1]
            for row, column in np.argwhere(pairs.any(axis=0)).tolist():
                price += np.where(pairs[:, row, column], self._band(axis, at, row, column), 0.0)
        return price

    def _askew(self, axis: int, at: Figures, used: Flags) -> Figures:
        """How far the piece lies from the middle of its pages."""
        first, last = span(used, axis)
        middle = at[:, axis] + ((first + last) * self.mesh.pitch(axis) + self.mesh.size[axis]) / 2
        return np.abs(middle - (self.box[axis] + self.box[axis + 2]) / 2)

    def _band(self, axis: int, at: Figures, row: int, column: int) -> Figures:
        """The cost of one seam: between a window and the next one along an axis."""
        first = (column, row)
        low, high = [], []
        for k in (0, 1):
            start = at[:, k] + first[k] * self.mesh.pitch(k)
            low.append(self._cell(k, start + (self.mesh.pitch(k) - _BESIDE if k == axis else 0.0)))
            high.append(self._cell(k, start + self.mesh.size[k] + (_BESIDE if k == axis else 0.0)))
        sums = self._sums[axis]
        return sums[high[1], high[0]] - sums[low[1], high[0]] - sums[high[1], low[0]] + sums[low[1], low[0]]

    def _cell(self, axis: int, places: Figures) -> Whole:
        return np.clip(np.round((places - self.box[axis]) / _CELL), 0, self.count[axis]).astype(np.int64)

    def _summed(self, axis: int) -> Figures:
        """Costs of seams across an axis, summed from the lower left corner."""
        spots = np.concatenate([np.asarray(found, float).reshape(-1, 3) for found in self._spots(axis)])
        x, y = (np.clip(((spots[:, k] - self.box[k]) / _CELL).astype(int), 0, self.count[k] - 1) for k in (0, 1))
        cells = np.bincount(y * self.count[0] + x, spots[:, 2], self.count[0] * self.count[1]).reshape(self.count[1], self.count[0])
        sums = np.zeros((self.count[1] + 1, self.count[0] + 1))
        np.cumsum(np.cumsum(cells, 0), 1, out=sums[1:, 1:])
        return sums

    def _spots(self, axis: int) -> Iterator[Figures]:
        """Points with what each costs: x, y, cost."""
        lying = self.lying
        role = {panel.name: panel.role for panel in lying.part.panels}
        yield _along(lying.cuts, axis, [0.0] * len(lying.cuts))
        roots = [any("flap" in role[name] or role[name] == "hem" for name in (fold.parent, fold.child)) for fold, _ in lying.folds]
        yield _along([line for _, line in lying.folds], axis, [_ROOT * root for root in roots])
        yield self._notches
        yield self._names

    @cached_property
    def _notches(self) -> Figures:
        """Corners of the outline with another one near."""
        place = turn(self.lying.quarter)
        rings = (self.lying.piece.outline, *self.lying.piece.holes)
        points = np.array([p for ring in rings for p in place.ring(ring)])
        apart = np.linalg.norm(points[:, None] - points, axis=2) + 2 * _NARROW * np.eye(len(points))
        near = points[apart.min(axis=1) < _NARROW]
        return np.column_stack([near, np.full(len(near), _NOTCH)])

    @cached_property
    def _names(self) -> Figures:
        """Where the names of panels want to be: about the middle of each that is large enough."""
        place, steps = turn(self.lying.quarter), np.arange(-0.5, 0.51, 0.125)
        wide, high = _NAME
        found = []
        for name in self.lying.piece.panels:
            x0, y0, x1, y1 = bounds(place.ring(self.lying.part.panel[name].outline))
            if min(x1 - x0, y1 - y0) >= high and max(x1 - x0, y1 - y0) >= wide:
                x, y = np.meshgrid((x0 + x1) / 2 + steps * wide, (y0 + y1) / 2 + steps * high)
                found.append(np.column_stack([x.ravel(), y.ravel()]))
        points = np.concatenate(found) if found else np.zeros((0, 2))
        return np.column_stack([points, np.full(len(points), _NAMED * wide * high / len(steps) ** 2)])


def _along(lines: Sequence[Line], axis: int, more: Sequence[float]) -> Figures:
    """Lines as points a mm apart: each costs by how far its line runs along a seam across the axis, and `more` a mm."""
    ends = np.array(lines, float).reshape(-1, 2, 2)
    way = ends[:, 1] - ends[:, 0]
    long = np.linalg.norm(way, axis=1)
    number = np.maximum(long.astype(int), 1)
    which = np.repeat(np.arange(len(ends)), number)
    share = (np.arange(len(which)) - np.repeat(np.cumsum(number) - number, number) + 0.5) / number[which]
    price = long / number * (_CROSSED + np.array(more) + (way[:, 1 - axis] / long) ** 2)
    return np.column_stack([ends[which, 0] + way[which] * share[:, None], price[which]])

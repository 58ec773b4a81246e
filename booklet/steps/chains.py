"""How two panels lie to each other by the folds between them, in many states at once. Millimetres and degrees.

What two panels of a tree do to each other depends only on the folds on the way from one to the other: this makes
many questions of the search cheap, and their answers worth keeping.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from booklet import space
from booklet.folding import Folder
from booklet.net import Part
from booklet.plane import Line

Places = NDArray[np.float64]


class Tree:
    """The ways between the panels of a part."""

    def __init__(self, folder: Folder):
        self.folder, self.part = folder, folder.part
        self._from_root: dict[str, tuple[str, ...]] = {self.part.root: ()}
        for fold in folder.outward:
            self._from_root[fold.child] = (*self._from_root[fold.parent], fold.name)

    @cached_property
    def order(self) -> dict[str, int]:
        """Fold name to its place in the part's list."""
        return {fold.name: i for i, fold in enumerate(self.part.folds)}

    def chain(self, first: str, second: str) -> Chain:
        """The folds between two panels."""
        one, two = self._from_root[first], self._from_root[second]
        shared = next((k for k, (a, b) in enumerate(zip(one, two, strict=False)) if a != b), min(len(one), len(two)))
        return Chain(self.folder, one[shared:], two[shared:])

    def under(self, fold: str) -> tuple[str, ...]:
        """Panels that hang on a fold: its child and all that hangs on that."""
        return tuple(name for name, way in self._from_root.items() if fold in way)


class Chain:
    """The folds from where the ways to two panels part, to the one and to the other."""

    def __init__(self, folder: Folder, one: Sequence[str], two: Sequence[str]):
        self.folder, self.one, self.two = folder, tuple(one), tuple(two)

    @property
    def folds(self) -> tuple[str, ...]:
        """All folds on the way, from the one panel to the other."""
        return (*reversed(self.one), *self.two)

    def seen(self, angles: Sequence[Mapping[str, float]]) -> Places:
        """The place of the first panel seen from the second, for each state, (states, 4, 4)."""
        return space.relative(self._along(self.one, angles), self._along(self.two, angles))

    def _along(self, way: Sequence[str], angles: Sequence[Mapping[str, float]]) -> Places:
        place = np.broadcast_to(np.eye(4), (len(angles), 4, 4))
        for name in way:
            axis, through = self.folder.hinge[name]
            place = place @ space.turns(axis, [state.get(name, 0.0) for state in angles], through)
        return place


def collinear(part: Part, folds: Sequence[str]) -> bool:
    """Whether folds all turn about one line."""
    (ax, ay), (bx, by) = part.fold[folds[0]].line
    far = max((abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) for f in folds[1:] for x, y in part.fold[f].line), default=0.0)
    return far < 1e-3 * float(np.hypot(bx - ax, by - ay))


def parallel(one: Line, two: Line) -> bool:
    """Whether two lines run the same way, to a thousandth."""
    (ax, ay), (bx, by) = one
    (cx, cy), (dx, dy) = two
    ux, uy, vx, vy = bx - ax, by - ay, dx - cx, dy - cy
    return abs(ux * vy - uy * vx) < 1e-3 * math.hypot(ux, uy) * math.hypot(vx, vy)


def by_line(part: Part, folds: Sequence[str]) -> list[tuple[str, ...]]:
    """Folds by the lines on which they lie."""
    found: list[list[str]] = []
    for name in folds:
        mates = next((some for some in found if collinear(part, (some[0], name))), None)
        if mates is None:
            found.append([name])
        else:
            mates.append(name)
    return [tuple(some) for some in found]

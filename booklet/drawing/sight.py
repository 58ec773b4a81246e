"""How much of some areas is seen, told quickly by a few points of each: for choosing a view, not for drawing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet.drawing.scene import Points
from booklet.plane import Ring

GRID = 4
"""Points across an area, each way (chosen by us)."""

CLEAR = 0.1
"""mm: what lies nearer over a point does not hide it, as layers that touch."""

PLAIN = 0.5
"""Sine of the angle from which an area counts in full; seen flatter it counts for less (chosen by us)."""


@dataclass(frozen=True, eq=False)
class Patch:
    """An area on a panel, in its flat frame. `panel`: its index; `side`: +1 on the marked face, -1 on the back, 0 on both."""

    panel: int
    ring: Ring
    side: int
    points: Points

    @classmethod
    def of(cls, panel: int, ring: Ring, side: int = 0) -> Patch:
        """A patch with some points spread over it, (n, 3) at height 0."""
        return cls(panel, ring, side, _spread(shapely.Polygon(ring)))


@dataclass(frozen=True, eq=False)
class Put:
    """Patches in space: all their points, where each one's begin, the normals of their marked faces, their sides."""

    points: Points
    starts: NDArray[np.int64]
    normals: Points
    sides: NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Sight:
    """Panels at their places, (panels, 4, 4), and their flat shapes, made ready to be looked at from many sides."""

    places: NDArray[np.float64]
    shapes: NDArray[Any]

    def seen(self, points: Points, ways: Points, among: Sequence[int] | None = None) -> NDArray[np.bool_]:
        """Which points are seen by viewers who are far away in some directions, (ways, points).

        `among` names the panels that can hide them.
        """
        some = slice(None) if among is None else list(among)
        turns, shapes = self.places[some][:, :3, :3], self.shapes[some]
        local = (points[None] - self.places[some][:, None, :3, 3]) @ turns
        step = np.swapaxes(ways @ turns, 0, 1)
        down = np.where(np.abs(step[:, :, 2]) < 1e-6, np.inf, step[:, :, 2])
        run = -local[:, :, 2] / down[:, :, None]
        at = local[:, :, :2] + run[..., None] * step[:, :, None, :2]
        # asked of the few points that lie behind a panel and in its bounds, not of all
        low, high = np.split(shapely.bounds(shapes)[:, None], 2, axis=2)
        way, front, which = np.nonzero((run > CLEAR) & ((at >= low) & (at <= high)).all(axis=3))
        hit = shapely.contains_xy(shapes[front], *at[way, front, which].T)
        seen = np.ones((len(ways), len(points)), bool)
        seen[way[hit], which[hit]] = False
        return seen

    def put(self, patches: Sequence[Patch]) -> Put:
        """Patches where they are in space."""
        found = [p.points @ self.places[p.panel, :3, :3].T + self.places[p.panel, :3, 3] for p in patches]
        starts = np.cumsum([0, *(len(points) for points in found)])[:-1]
        normals = np.array([self.places[p.panel, :3, 2] for p in patches]).reshape(-1, 3)
        return Put(np.concatenate(found) if found else np.zeros((0, 3)), starts, normals, np.array([p.side for p in patches]))

    def shares(self, put: Put, ways: Points) -> list[list[float]]:
        """For each direction the share of each patch that is plainly seen."""
        if not len(put.starts):
            return [[] for _ in ways]
        counts = np.diff([*put.starts, len(put.points)])
        parts = np.add.reduceat(self.seen(put.points, ways).astype(float), put.starts, axis=1) / counts
        lean = ways @ put.normals.T
        plain = np.where(put.sides == 0, np.abs(lean), np.maximum(lean * put.sides, 0.0)) / PLAIN
        found: list[list[float]] = (parts * np.minimum(plain, 1.0)).tolist()
        return found


def _spread(shape: shapely.Polygon) -> Points:
    """Points of a grid over a flat shape that lie in it, at least one."""
    x0, y0, x1, y1 = shape.bounds
    at = (np.arange(GRID) + 0.5) / GRID
    x, y = (a.ravel() for a in np.meshgrid(x0 + (x1 - x0) * at, y0 + (y1 - y0) * at))
    inside = shapely.contains_xy(shape, x, y)
    if not inside.any():
        middle = shape.representative_point()
        return np.array([[middle.x, middle.y, 0.0]])
    return np.column_stack([x[inside], y[inside], np.zeros(int(inside.sum()))])

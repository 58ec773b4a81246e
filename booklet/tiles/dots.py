"""A shape as points on crossing lines, counted in any upright rectangle by sums: exact for upright edges. Millimetres.

A count in a rectangle asks four sums, so that thousands of rectangles are asked at once. Points lie in the shape: what
follows from them holds for the shape.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

Figures = NDArray[np.float64]
Whole = NDArray[np.int64]
Sums = NDArray[np.int32]

STEP = 2.0
"""mm between lines at most."""

_HAIR = 1e-7
"""Lines run so far beside the corners, on both sides: no point stands on an upright edge."""


@dataclass(frozen=True, slots=True)
class Dots:
    """`x`, `y`: the lines, ascending. `sums`: points below and left of each crossing, one row and one column more."""

    x: Figures
    y: Figures
    sums: Sums

    def before(self, axis: int, places: Figures, side: str) -> Whole:
        """How many lines of an axis stand before each place: "left" those less than it, "right" those up to it."""
        lines = (self.x, self.y)[axis]
        return np.searchsorted(lines, places, side=side).astype(np.int64)  # type: ignore[call-overload]


def dots_of(shape: Any, step: float = STEP) -> Dots:
    """The points of a polygon."""
    corners = shapely.get_coordinates(shape)
    x, y = (_lines(corners[:, axis], step) for axis in (0, 1))
    inside = _inside(shape, x, y)
    sums = np.zeros((len(y) + 1, len(x) + 1), np.int32)
    np.cumsum(np.cumsum(inside, 0, dtype=np.int32), 1, out=sums[1:, 1:])
    return Dots(x, y, sums)


def _lines(places: Figures, step: float) -> Figures:
    """Beside every place, and between them so that none is further than a step from the next."""
    low, high = float(places.min()), float(places.max())
    between = np.linspace(low, high, max(int(np.ceil((high - low) / step)), 1) + 1)[1:-1]
    known = np.unique(np.round(places, 7))
    off = between[np.abs(between[:, None] - known).min(axis=1) > _HAIR]
    lines = np.unique(np.concatenate([known - _HAIR, known + _HAIR, off]))
    found: Figures = lines[(lines > low) & (lines < high)]
    return found


def _inside(shape: Any, x: Figures, y: Figures) -> NDArray[np.bool_]:
    """Which crossings lie in the shape, by the even-odd rule along each line of y; shape (len(y), len(x))."""
    ends = np.concatenate([_edges(ring) for ring in (shape.exterior, *shape.interiors)])
    (x0, y0), (x1, y1) = ends[:, 0].T, ends[:, 1].T
    edge, row = np.nonzero((y0[:, None] > y) != (y1[:, None] > y))
    at = x0[edge] + (y[row] - y0[edge]) * (x1 - x0)[edge] / (y1 - y0)[edge]
    turns = np.bincount(row * (len(x) + 1) + np.searchsorted(x, at), minlength=len(y) * (len(x) + 1))
    odd: NDArray[np.bool_] = np.cumsum(turns.reshape(len(y), -1), axis=1)[:, :-1] % 2 == 1
    return odd


def _edges(ring: Any) -> Figures:
    points = shapely.get_coordinates(ring)
    return np.stack([points[:-1], points[1:]], axis=1)

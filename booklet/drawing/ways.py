"""Smooth lines along the ways of panels, for arrows. Millimetres in space."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from booklet.drawing.scene import Points


def arc(places: Sequence[Sequence[float]], offset: float = 8.0, trim: float = 0.06, steps: int = 24) -> Points:
    """A smooth line in space along the places that a panel's middle passes, for an arrow; shape (steps + 1, 3).

    Where the way bends, the line is moved `offset` mm outward from the middle of the bend, so that it stands clear of the
    panel; a straight way stays where it is. `trim` is the share of the way left free at both ends.
    """
    way = _smooth(np.asarray(places, float), trim, steps)
    middle = _bend(way[0], way[steps // 2], way[-1])
    if middle is None:
        return way
    out = way - middle
    return way + offset * out / np.linalg.norm(out, axis=1)[:, None]


def _smooth(places: Points, trim: float, steps: int) -> Points:
    """Evenly spaced points on the curve of Catmull and Rom through the places."""
    p = np.concatenate([_before(places), places, _before(places[::-1])])
    at = np.linspace(0, len(places) - 1, 8 * steps + 1)
    k = np.minimum(at.astype(int), len(places) - 2)
    t = (at - k)[:, None]
    a, b, c, d = p[k], p[k + 1], p[k + 2], p[k + 3]
    dense = (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3) / 2
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(dense, axis=0), axis=1))])
    wanted = np.linspace(trim, 1 - trim, steps + 1) * run[-1]
    return np.stack([np.interp(wanted, run, dense[:, axis]) for axis in range(3)], axis=1)


def _before(places: Points) -> Points:
    """The place before the first, as the first three or two lead to expect."""
    a, b, *more = places
    return (3 * a - 3 * b + more[0] if more else 2 * a - b)[None]


def _bend(first: Points, middle: Points, last: Points) -> Points | None:
    """The centre of the circle through three points in space; None when they are as good as in line."""
    a, b = first - last, middle - last
    square = np.cross(a, b)
    size = float(square @ square)
    if size <= 1e-4 * float(a @ a) * float(b @ b):
        return None
    return last + np.cross(float(a @ a) * b - float(b @ b) * a, square) / (2 * size)

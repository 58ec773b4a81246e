"""Rigid motions in space as 4 x 4 matrices that act on column vectors. Millimetres and degrees."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Matrix = NDArray[np.float64]
Rows = tuple[tuple[float, float, float, float], ...]

FLIP_SIDE = np.diag([-1.0, 1.0, -1.0, 1.0])
"""Half a turn about the y axis: what a flat looks like from its other side."""


SAME_TURN = 1e-7
"""Degrees, and size of an axis: below this two orientations are the same."""


def identity() -> Matrix:
    """No motion."""
    return np.eye(4)


def moved(dx: float = 0.0, dy: float = 0.0, dz: float = 0.0) -> Matrix:
    """A shift in mm."""
    m = np.eye(4)
    m[:3, 3] = dx, dy, dz
    return m


def turned(axis: Sequence[float] | Matrix, degrees: float, through: Sequence[float] = (0.0, 0.0, 0.0)) -> Matrix:
    """A turn by the right-hand rule about an axis through a point (Rodrigues' formula).

    Right angles come out exact, so that a box at rest has no float noise in its walls.
    Raises ZeroDivisionError for an axis of no length.
    """
    turn: Matrix = turns(axis, (degrees,), through)[0]
    return turn


def cos_sin(degrees: float) -> tuple[float, float]:
    """Cosine and sine, exact at right angles."""
    exact = {0: (1.0, 0.0), 90: (0.0, 1.0), 180: (-1.0, 0.0), 270: (0.0, -1.0)}
    if degrees % 90 == 0:
        return exact[int(degrees % 360)]
    return math.cos(math.radians(degrees)), math.sin(math.radians(degrees))


def inverse(m: Matrix) -> Matrix:
    """The motion back, of a rigid motion."""
    back = np.eye(4)
    back[:3, :3] = m[:3, :3].T
    back[:3, 3] = -m[:3, :3].T @ m[:3, 3]
    return back


def relative(one: Matrix, two: Matrix) -> Matrix:
    """The first place seen from the second, for single places or for many of shape (..., 4, 4)."""
    seen = np.zeros(np.broadcast_shapes(one.shape, two.shape))
    back = np.swapaxes(two[..., :3, :3], -1, -2)
    seen[..., :3, :3] = back @ one[..., :3, :3]
    seen[..., :3, 3] = (back @ (one[..., :3, 3] - two[..., :3, 3])[..., None])[..., 0]
    seen[..., 3, 3] = 1.0
    return seen


def turns(axis: Sequence[float] | Matrix, degrees: Sequence[float], through: Sequence[float] = (0.0, 0.0, 0.0)) -> Matrix:
    """Many turns about one axis, shape (n, 4, 4); each as `turned`."""
    u = np.asarray(axis, float)
    u = u / math.sqrt(float(u @ u))
    cos, sin = np.array([cos_sin(angle) for angle in degrees]).T[:, :, None, None]
    skew = np.array([[0, -u[2], u[1]], [u[2], 0, -u[0]], [-u[1], u[0], 0]])
    result = np.zeros((len(degrees), 4, 4))
    result[:, :3, :3] = np.eye(3) * cos + sin * skew + (1 - cos) * np.outer(u, u)
    p = np.asarray(through, float)
    result[:, :3, 3] = p - result[:, :3, :3] @ p
    result[:, 3, 3] = 1.0
    return result


def applied(m: Matrix, points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Points of shape (n, 3) moved, by one place or by many of shape (..., 4, 4): then (..., n, 3)."""
    moved: NDArray[np.float64] = points @ m[..., :3, :3].swapaxes(-1, -2) + m[..., None, :3, 3]
    return moved


def lifted(ring: Sequence[tuple[float, float]], z: float = 0.0) -> NDArray[np.float64]:
    """A flat ring as (n, 3) points at height z."""
    points = np.empty((len(ring), 3))
    points[:, :2] = ring
    points[:, 2] = z
    return points


def rows(m: Matrix) -> Rows:
    """The matrix as plain tuples, for frozen records and JSON."""
    a, b, c, d = ((float(r[0]) + 0.0, float(r[1]) + 0.0, float(r[2]) + 0.0, float(r[3]) + 0.0) for r in m)
    return a, b, c, d


def matrix(values: Rows) -> Matrix:
    """Back from `rows`."""
    return np.array(values, float)


def blend(a: Matrix, b: Matrix, share: float) -> Matrix:
    """The motion that lies `share` of the way from a to b: a straight shift and an even turn about one axis."""
    turn: Matrix = a[:3, :3].T @ b[:3, :3]
    cosine = max(-1.0, min(1.0, (float(np.trace(turn)) - 1) / 2))
    angle = math.degrees(math.acos(cosine))
    result = a.copy()
    if angle > SAME_TURN:
        axis = _axis(turn)
        result[:3, :3] = a[:3, :3] @ turned(axis, angle * share)[:3, :3]
    result[:3, 3] = a[:3, 3] + (b[:3, 3] - a[:3, 3]) * share
    return result


def _axis(turn: Matrix) -> Matrix:
    """Axis of a rotation; for half a turn the direction that it keeps."""
    axis = np.array([turn[2, 1] - turn[1, 2], turn[0, 2] - turn[2, 0], turn[1, 0] - turn[0, 1]])
    if float(np.abs(axis).max()) > SAME_TURN:
        return axis
    kept: Matrix = (turn + np.eye(3))[:, int(np.argmax(np.diag(turn)))]
    return kept


def clipped(points: NDArray[np.float64], axis: int, bound: float, keep: float) -> NDArray[np.float64]:
    """A polygon's share on one side of an axis plane (Sutherland and Hodgman): where `keep` * (coordinate - bound) >= 0."""
    out: list[NDArray[np.float64]] = []
    d = (points[:, axis] - bound) * keep
    for i in range(len(points)):
        a, b, da, db = points[i - 1], points[i], d[i - 1], d[i]
        if da * db < 0:
            out.append(a + (b - a) * da / (da - db))
        if db >= 0:
            out.append(b)
    return np.array(out)

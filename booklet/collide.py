"""Card through card: how deep flat panels cross each other in space.

Panels are cut into convex pieces; two convex pieces cross where each has points on both sides of the
other's plane and their shares of the planes' common line overlap. Panels that lie on each other do not
cross; which of them is on top is a matter of the order (see `stack`).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from booklet.net import Panel
from booklet.plane import Ring, area, side

Points = NDArray[np.float64]


def convex_parts(outline: Ring, holes: Sequence[Ring] = ()) -> list[Ring]:
    """The outline itself when it is convex and whole, else triangles that fill it."""
    if not holes and _convex(outline):
        return [outline]
    import shapely

    faces = shapely.constrained_delaunay_triangles(shapely.Polygon(outline, holes))
    return [tuple(face.exterior.coords)[:-1] for face in faces.geoms]


def _convex(ring: Ring) -> bool:
    sign = 1.0 if area(ring) > 0 else -1.0
    corners = zip(ring, (*ring[1:], ring[0]), (*ring[2:], *ring[:2]), strict=True)
    return all(sign * side((a, b), c) > -1e-6 for a, b, c in corners)


class Bodies:
    """Convex flat bodies, padded to one array, each belonging to a panel (an index)."""

    def __init__(self, panels: Sequence[Panel]):
        parts = [(owner, part) for owner, panel in enumerate(panels) for part in convex_parts(panel.outline, panel.holes)]
        self.owner = np.array([owner for owner, _ in parts])
        most = max(len(part) for _, part in parts)
        self.points = np.zeros((len(parts), most, 3))
        for i, (_, part) in enumerate(parts):
            self.points[i, :, :2] = [*part, *[part[-1]] * (most - len(part))]

    def at(self, places: NDArray[np.float64]) -> Points:
        """Bodies in space, shape (frames, bodies, corners, 3), from panel places (frames, panels, 4, 4)."""
        own = places[:, self.owner]
        turned: Points = self.points @ np.swapaxes(own[..., :3, :3], -1, -2)
        return turned + own[..., None, :3, 3]


def deepest(bodies: Bodies, places: NDArray[np.float64], apart: NDArray[np.bool_], limit: float) -> tuple[float, int, int, int]:
    """The deepest crossing: (depth mm, frame, panel, panel); (0, 0, 0, 0) where none is deeper than `limit`.

    `places`: (frames, panels, 4, 4). `apart`: (panels, panels), True for pairs to look at.
    """
    first, second = np.nonzero(np.triu((apart | apart.T)[np.ix_(bodies.owner, bodies.owner)], 1))
    if not len(first):
        return 0.0, 0, 0, 0
    points = bodies.at(places)
    meet = _boxes_meet(points, first, second)
    near = meet.any(0)
    first, second, meet = first[near], second[near], meet[:, near]
    normals = places[:, bodies.owner][..., :3, 2]
    over, under = _over(points, normals, second, first), _over(points, normals, first, second)
    reach = np.minimum(
        _both_sides(bodies, points, normals, (first, second), over), _both_sides(bodies, points, normals, (second, first), under)
    )
    frames, pairs = np.nonzero((reach > limit) & meet)
    worst = (0.0, 0, 0, 0)
    for k in np.argsort(-reach[frames, pairs], kind="stable"):
        f, p = int(frames[k]), int(pairs[k])
        if reach[f, p] <= max(limit, worst[0]):
            break
        a, b = int(first[p]), int(second[p])
        depth = min(float(reach[f, p]), _common(points[f], normals[f], (a, b), over[f, p], under[f, p]))
        if depth > max(limit, worst[0]):
            worst = (depth, f, int(bodies.owner[a]), int(bodies.owner[b]))
    return worst


def _over(points: Points, normals: Points, some: NDArray[np.int64], planes: NDArray[np.int64]) -> Points:
    """Heights of the corners of some bodies over the planes of others, (frames, pairs, corners)."""
    away = points[:, some] - points[:, planes, :1]
    heights: Points = (away @ normals[:, planes, :, None])[..., 0]
    return heights


def _both_sides(
    bodies: Bodies, points: Points, normals: Points, pairs: tuple[NDArray[np.int64], NDArray[np.int64]], over: Points
) -> Points:
    """How far panels reach to both sides of the planes of others at least, (frames, pairs).

    `pairs`: bodies whose planes they are, and bodies of the panels. A body that is a share of its panel counts with all of it: a foot
    that is through a floor has its wall on the other side.
    """
    planes, some = pairs
    reach: Points = np.minimum(over.max(2), -over.min(2))
    shares = np.bincount(bodies.owner)
    kinds = {(int(bodies.owner[a]), int(bodies.owner[b])): int(a) for a, b in zip(planes, some, strict=True) if shares[bodies.owner[b]] > 1}
    for (under, panel), a in kinds.items():
        whole = points[:, bodies.owner == panel] - points[:, a, None, :1]
        heights = (whole @ normals[:, a, None, :, None])[..., 0]
        mine = (bodies.owner[planes] == under) & (bodies.owner[some] == panel)
        reach[:, mine] = np.minimum(heights.max((1, 2)), -heights.min((1, 2)))[:, None]
    return reach


def _boxes_meet(points: Points, first: NDArray[np.int64], second: NDArray[np.int64]) -> NDArray[np.bool_]:
    low, high = points.min(2), points.max(2)
    meet: NDArray[np.bool_] = ((low[:, first] <= high[:, second]) & (low[:, second] <= high[:, first])).all(2)
    return meet


def _common(points: Points, normals: Points, pair: tuple[int, int], over: Points, under: Points) -> float:
    """Length that two convex bodies share on the common line of their planes, mm.

    `over`: heights of the second one's corners over the first one's plane; `under`: of the first one's over the second one's.
    """
    a, b = pair
    along = np.cross(normals[a], normals[b])
    size = float(np.sqrt(along @ along))
    if size < 1e-6:
        return 0.0
    along /= size
    first = _interval(points[a] @ along, under)
    second = _interval(points[b] @ along, over)
    return min(first[1], second[1]) - max(first[0], second[0])


def _interval(t: Points, d: Points) -> tuple[float, float]:
    """Where a convex outline, at parameters t and signed distances d from a plane, meets that plane."""
    d = np.where(np.abs(d) < 1e-9, 0.0, d)
    t2, d2 = np.roll(t, -1), np.roll(d, -1)
    crossing = d * d2 < 0
    at = np.concatenate([t[d == 0], t[crossing] + (t2 - t)[crossing] * d[crossing] / (d - d2)[crossing]])
    if not len(at):
        return 0.0, 0.0
    return float(at.min()), float(at.max())

"""Parts of an exported net as bodies in space: a second model beside the program's own, made from the JSON alone.

It shares no code with the first: rotations are scipy's, areas are shapely's. A carton is a tree of bodies with revolute joints
(LaValle, Planning Algorithms, chapter 7). Millimetres and degrees.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
import shapely
from scipy.spatial.transform import Rotation

Array = np.ndarray
Json = Mapping[str, Any]

LAYER = 0.8
"""In calipers: mid-surfaces of layers that touch are one apart, of a half-cut hem two thirds; nearer than this they have no sides."""

NEAR = 0.05
"""What is computed must agree to this, mm."""


class Body:
    """A part ready to be folded."""

    def __init__(self, part: Json):
        self.part, self.name, self.caliper = part, part["name"], part["caliper"]
        self.index = {panel["name"]: i for i, panel in enumerate(part["panels"])}
        self.names = list(self.index)
        self.rings = [np.array(panel["outline"], float) for panel in part["panels"]]
        self.shapes = [shapely.Polygon(panel["outline"], panel["holes"]) for panel in part["panels"]]
        self.final = {fold["name"]: fold["angle"] for fold in part["folds"]}
        self.joints = list(self._joints())
        self.hinged = {frozenset(self.index[f[k]] for k in ("parent", "child")) for f in part["folds"]}
        self.hinged |= {frozenset(self.index[name] for name in loop["panels"]) for loop in part["loops"]}

    def _joints(self) -> Iterator[tuple[str, int, int, Array, Array]]:
        """Folds from the root outward: name, parent, child, unit axis about which a valley lifts the child, a point on it."""
        found, left = {self.part["root"]}, list(self.part["folds"])
        while left:
            fold = next(f for f in left if f["parent"] in found)
            left.remove(fold)
            found.add(fold["child"])
            parent, child = self.index[fold["parent"]], self.index[fold["child"]]
            start, end = (np.array([*p, fold["pivot"]]) for p in fold["line"])
            yield fold["name"], parent, child, self._axis(start, end, child), start

    def _axis(self, start: Array, end: Array, child: int) -> Array:
        way = (end - start) / np.linalg.norm(end - start)
        beside = (start + end)[:2] / 2 + 0.01 * np.array([-way[1], way[0]])
        return way if self.shapes[child].contains(shapely.Point(beside)) else -way

    def places(self, frames: Sequence[Mapping[str, float]], roots: Array) -> Array:
        """Places of all panels in all frames, (frames, panels, 4, 4)."""
        made = np.tile(np.eye(4), (len(frames), len(self.names), 1, 1))
        made[:, self.index[self.part["root"]]] = roots
        for name, parent, child, axis, through in self.joints:
            turn = Rotation.from_rotvec(np.radians([frame[name] for frame in frames])[:, None] * axis).as_matrix()
            joint = np.tile(np.eye(4), (len(frames), 1, 1))
            joint[:, :3, :3], joint[:, :3, 3] = turn, through - turn @ through
            made[:, child] = made[:, parent] @ joint
        return made


def on(place: Array, points: Any) -> Array:
    """Flat points where a place puts them, (..., n, 3)."""
    flat = np.array([[*p[:2], 0.0, 1.0] for p in points])
    return (flat @ np.swapaxes(place, -1, -2))[..., :3]


def seen(one: Array, two: Array) -> Array:
    """A place as seen from another."""
    return np.linalg.inv(two) @ one


def hit(shape: Any, place: Array, points: Array, way: Array) -> Array:
    """How far each point is from a panel along a direction; infinite where it misses it."""
    local, run = (points - place[:3, 3]) @ place[:3, :3], way @ place[:3, :3]
    if abs(run[2]) < 1e-9:
        return np.full(len(points), np.inf)
    far = -local[:, 2] / run[2]
    at = local + far[:, None] * run
    return np.where((far > 0) & shapely.contains_xy(shape.buffer(1e-6), at[:, 0], at[:, 1]), far, np.inf)


def padded(rings: Sequence[Array]) -> Array:
    """Outlines as one array, (panels, corners, 2): the last corner of the shorter ones is told again."""
    most = max(len(ring) for ring in rings)
    return np.array([np.vstack([ring, np.repeat(ring[-1:], most - len(ring), axis=0)]) for ring in rings])


def heights(points: Array, places: Array, pairs: Array) -> Array:
    """Points of panels as seen from other panels, (frames, pairs, points, 3). `points`: (panels, points, 2) in the flat."""
    world = np.einsum("fpxy,pky->fpkx", places[..., :3, :2], points) + places[:, :, None, :3, 3]
    under = places[:, pairs[:, 1]]
    return (world[:, pairs[:, 0]] - under[:, :, None, :3, 3]) @ under[..., :3, :3]


def near(rings: Sequence[Array], places: Array, pairs: Array, room: float) -> Array:
    """Which pairs of panels come nearer to each other than some room in any frame, by the boxes round them."""
    flat = padded(rings)
    world = np.einsum("fpxy,pky->fpkx", places[..., :3, :2], flat) + places[:, :, None, :3, 3]
    low, high = world.min(2) - room / 2, world.max(2) + room / 2
    one, two = pairs[:, 0], pairs[:, 1]
    meet = np.zeros(len(pairs), bool)
    for a, b in zip(low, high, strict=True):
        meet |= ((a[one] <= b[two]) & (a[two] <= b[one])).all(1)
    return meet


def poked(
    rings: Sequence[Array], shapes: Sequence[Any], places: Array, pairs: Sequence[tuple[int, int]], least: float
) -> tuple[float, int, int]:
    """The deepest that an edge of one panel pokes through another over all frames, with the two panels.

    The depth of an edge is the least of how far its ends are on either side and how far it is from the edge of what it pokes through.
    """
    worst = (0.0, 0, 0)
    if not pairs:
        return worst
    of = np.array(pairs)
    of = of[near(rings, places, of, 2 * least)]
    if not len(of):
        return worst
    local = heights(padded(rings), places, of)
    ahead = np.roll(local, -1, axis=2)
    z, z2 = local[..., 2], ahead[..., 2]
    at = np.nonzero((z * z2 < 0) & (np.minimum(abs(z), abs(z2)) > least))
    share = (z[at] / (z[at] - z2[at]))[:, None]
    spots = local[at][:, :2] * (1 - share) + ahead[at][:, :2] * share
    depths = np.minimum(abs(z[at]), abs(z2[at]))
    for j in np.unique(of[at[1], 1]):
        own = np.flatnonzero(of[at[1], 1] == j)
        own = own[shapely.contains_xy(shapes[j], spots[own, 0], spots[own, 1])]
        if len(own):
            deep = np.minimum(depths[own], shapely.distance(shapes[j].boundary, shapely.points(spots[own])))
            k = int(np.argmax(deep))
            if deep[k] > worst[0]:
                worst = float(deep[k]), int(of[at[1][own[k]], 0]), int(j)
    return worst


class Sides:
    """On which side of each panel points of each other panel were last: a point that changes sides over a panel went through it.

    This finds what pokes through nothing at any frame: panels on one line that sweep through each other whole.
    """

    def __init__(self, body: Body):
        self.body, self.clear = body, LAYER * body.caliper
        middles = np.array([shape.representative_point().coords[0] for shape in body.shapes])[:, None]
        near = 0.8 * padded(body.rings) + 0.2 * middles
        for shape, points, middle in zip(body.shapes, near, middles, strict=True):
            # in a panel that is not convex such a point may be none of its own
            points[~shapely.contains_xy(shape, points[:, 0], points[:, 1])] = middle[0]
        self.points = np.concatenate([middles, near], axis=1)
        count = len(body.names)
        self.last = np.zeros((count, count, self.points.shape[1], 3))

    def changed(self, places: Array, pairs: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
        """Pairs of panels of which the first came through the second in these frames."""
        if not pairs:
            return []
        every = np.array(pairs)
        met = near(self.body.rings, places, every, 4 * self.clear)
        far = every[~met]
        # panels that are far from each other all the way only have their places noted
        self.last[far[:, 0], far[:, 1]] = heights(self.points, places[-1:], far)[-1] if len(far) else 0.0
        of = every[met]
        if not len(of):
            return []
        local = heights(self.points, places, of)
        last, bad = self.last[of[:, 0], of[:, 1]], set()
        for now in local:
            is_clear = np.abs(now[..., 2]) > self.clear
            for n, k in np.argwhere(is_clear & (now[..., 2] * last[..., 2] < 0)):
                if all(self._over(int(of[n, 1]), spot) for spot in (now[n, k], last[n, k])):
                    bad.add((int(of[n, 0]), int(of[n, 1])))
            last = np.where(is_clear[..., None], now, last)
        self.last[of[:, 0], of[:, 1]] = last
        return sorted(bad)

    def _over(self, panel: int, spot: Array) -> bool:
        return bool(shapely.contains_xy(self.body.shapes[panel].buffer(-2 * NEAR), spot[0], spot[1]))

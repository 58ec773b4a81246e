"""A second program that plays the steps of an exported net back, from the JSON alone, and tells what is wrong with them.

What must hold is the contract of the exported net, and the figures are its own: 24 even parts, 1.5 calipers, 0.1 mm at a loop,
2 degrees between frames of a path. Millimetres and degrees.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from scipy.spatial.transform import Rotation, Slerp

from tests.outside.bodies import LAYER, NEAR, Array, Body, Json, Sides, hit, on, poked, seen

EVEN = 24
DEEP = 1.5
TORN = 0.1
TURN = 2.0
APART = 1.0
"""mm: faces that were not this far apart before they are glued have no room for glue."""

FINE = 4
"""Loops are looked at this often between two frames: even motion between them is part of the contract."""

BEHIND = 5.0
"""In calipers: card stands at most so far behind each face of the promised inside."""


@dataclass(frozen=True)
class Motion:
    """One step of one part. `frames`: angles along it; `places`: of the panels in them, the first before it, the last after it."""

    step: Json
    body: Body
    frames: list[dict[str, float]]
    places: Array


def angle_frames(step: Json, before: Mapping[str, float]) -> list[dict[str, float]]:
    """Angles along a step: along its path, or evenly in 24 parts."""
    if step["path"]:
        return [{**before, **some} for some in ({}, *step["path"], step["folds"])]
    shares = np.arange(EVEN + 1) / EVEN if step["folds"] else [0.0]
    return [{**before, **{n: before[n] + (end - before[n]) * s for n, end in step["folds"].items()}} for s in shares]


def between(frames: Sequence[Mapping[str, float]]) -> list[dict[str, float]]:
    """The frames with even motion between each two."""
    inner = [{n: a[n] + (b[n] - a[n]) * k / FINE for n in a} for a, b in pairwise(frames) for k in range(FINE)]
    return [*inner, dict(frames[-1])]


def carried(step: Json) -> Array:
    """Places of the root along a `move`: straight shifts and even turns, 24 parts in all."""
    places = np.array(step["move"], float)
    at = np.arange(len(places))
    times = np.linspace(0, at[-1], EVEN + 1)
    made = np.tile(np.eye(4), (len(times), 1, 1))
    made[:, :3, :3] = Slerp(at, Rotation.from_matrix(places[:, :3, :3]))(times).as_matrix() if len(places) > 1 else places[:, :3, :3]
    made[:, :3, 3] = np.array([np.interp(times, at, places[:, k, 3]) for k in range(3)]).T
    return made


class Playing:
    """The net played back; `faults` says what was wrong."""

    def __init__(self, data: Json):
        self.data = data
        self.bodies = {part["name"]: Body(part) for part in data["parts"]}
        self.angles = {name: dict.fromkeys(body.final, 0.0) for name, body in self.bodies.items()}
        self.roots = {part["name"]: np.array(part["places"][0], float) for part in data["parts"]}
        self.bonds: dict[int, Array | None] = {}
        self.sides = {name: Sides(body) for name, body in self.bodies.items()}
        self.shown: dict[str, Array] = {}
        self.faults: list[str] = []
        for step in data["steps"]:
            self._step(step)
        self._end()

    def _says(self, step: Json, fault: str) -> None:
        self.faults.append(f"step {step['number']}: {fault}")

    def _step(self, step: Json) -> None:
        body, before = self.bodies[step["part"]], self.angles[step["part"]]
        if step["before"] != {name: before[name] for name in step["folds"]}:
            self._says(step, "its angles before it are not those after the step before it")
        frames = angle_frames(step, before)
        if step["move"]:
            roots = carried(step)
            frames = frames[-1:] * len(roots)
        else:
            roots = self.roots[body.name]
        motion = Motion(step, body, frames, body.places(frames, roots))
        self._path(motion)
        self._loops(motion)
        self._opened(motion)
        self.angles[body.name], self.roots[body.name] = dict(frames[-1]), motion.places[-1, body.index[body.part["root"]]]
        self.shown[body.name] = motion.places[-1]
        for number in step["bonds"]:
            self._glued(motion, number)
        self._through(motion)

    def _path(self, motion: Motion) -> None:
        """Frames of a path are at most two degrees apart."""
        steps = [abs(b[n] - a[n]) for a, b in pairwise(motion.frames) for n in a] if motion.step["path"] else []
        if max(steps, default=0.0) > TURN + 1e-5:
            self._says(motion.step, f"its path leaps by {max(steps):.3f} degrees")

    def _loops(self, motion: Motion) -> None:
        """No corner that is not cut is torn, nor between the frames."""
        loops, body = motion.body.part["loops"], motion.body
        if not loops or motion.step["move"]:
            return
        places = body.places(between(motion.frames), self.roots[body.name])
        for loop in loops:
            one, two = (on(places[:, body.index[name]], loop["line"]) for name in loop["panels"])
            gap = float(np.linalg.norm(one - two, axis=-1).max())
            if gap > TORN:
                self._says(motion.step, f"the corner of {' and '.join(loop['panels'])} is torn by {gap:.2f} mm")

    # -- bonds ----------------------------------------------------------------------------------------------------

    def _glued(self, motion: Motion, number: int) -> None:
        bond = self.data["bonds"][number]
        what = " on ".join(name for _, name in bond["panels"])
        if number in self.bonds:
            self._says(motion.step, f"{what} is glued a second time")
        one, two = (self.shown[part][self.bodies[part].index[name]] for part, name in bond["panels"])
        first, second = (self.bodies[part].shapes[self.bodies[part].index[name]] for part, name in bond["panels"])
        points = on(seen(one, two), bond["region"])
        self.bonds[number] = points
        own, flat = shapely.Polygon(bond["region"]), shapely.Polygon(points[:, :2])
        touching = sum(self.bodies[part].caliper for part, _ in bond["panels"]) / 2
        if np.abs(points[:, 2]).max() > touching + NEAR or np.ptp(points[:, 2]) > NEAR:
            self._says(motion.step, f"{what} is glued {np.abs(points[:, 2]).max():.2f} mm in the air")
        elif own.difference(first.buffer(NEAR)).area > 1e-6 or flat.difference(second.buffer(NEAR)).area > 1e-6:
            self._says(motion.step, f"{what} is glued beyond a panel's edge")
        elif (float(one[:3, 2] @ two[:3, 2]) > 0) != (bond["faces"][0] != bond["faces"][1]):
            self._says(motion.step, f"{what} is glued by the wrong face")
        else:
            self._comes(motion, bond, what)

    def _comes(self, motion: Motion, bond: Json, what: str) -> None:
        """Glue goes on to faces that are apart and then come together, from the side of the glued face."""
        (part, first), (other, second) = bond["panels"]
        group = self._groups(motion.body, set(self.bonds) - set(motion.step["bonds"]))
        if part != other or group[motion.body.index[first]] != group[motion.body.index[second]]:
            return
        one, two = (motion.places[:, motion.body.index[name]] for name in (first, second))
        high = on(seen(one, two), bond["region"])[..., 2].mean(-1) * (1 if bond["faces"][1] == "marked" else -1)
        clear = high[np.abs(high) > LAYER * motion.body.caliper]
        if np.abs(high).max() < APART or not len(clear):
            self._says(motion.step, f"{what} is glued though its faces were never apart: they were shut, or slid in edge first")
        elif clear[-1] < 0:
            self._says(motion.step, f"{what} is glued from the wrong side")

    def _opened(self, motion: Motion) -> None:
        """What is glued stays as it was glued."""
        for number, points in self.bonds.items():
            bond = self.data["bonds"][number]
            (part, first), (other, second) = bond["panels"]
            if part != motion.body.name or other != part or motion.step["move"]:
                continue
            one, two = (motion.places[:, motion.body.index[name]] for name in (first, second))
            off = float(np.abs(on(seen(one, two), bond["region"]) - points).max())
            if off > 2 * NEAR:
                self._says(motion.step, f"{first} on {second} is pulled open by {off:.2f} mm")

    # -- card through card ------------------------------------------------------------------------------------------

    def _through(self, motion: Motion) -> None:
        body, limit = motion.body, DEEP * motion.body.caliper
        if motion.step["move"]:
            others = [name for name in self.shown if name != body.name]
            bodies = [body, *(self.bodies[name] for name in others)]
            still = [np.tile(self.shown[name], (len(motion.places), 1, 1, 1)) for name in others]
            places = np.concatenate([motion.places, *still], axis=1)
            count, whole = len(body.names), places.shape[1]
            pairs = [p for i in range(count) for j in range(count, whole) for p in ((i, j), (j, i))]
        else:
            bodies, places, pairs = [body], motion.places, self._joined(body)
        names, shapes = [n for b in bodies for n in b.names], [s for b in bodies for s in b.shapes]
        depth, i, j = poked([r for b in bodies for r in b.rings], shapes, places, pairs, limit)
        if depth > limit:
            self._says(motion.step, f"{names[i]} pokes {depth:.2f} mm through {names[j]}")
        if not motion.step["move"]:
            for i, j in self.sides[body.name].changed(motion.places, pairs):
                self._says(motion.step, f"{names[i]} goes through {names[j]}")

    def _joined(self, body: Body) -> list[tuple[int, int]]:
        """Ordered pairs of panels that hang together by pieces and bonds made, and by no crease of their own."""
        group = self._groups(body, self.bonds)
        count = range(len(group))
        return [(i, j) for i in count for j in count if i != j and group[i] == group[j] and frozenset((i, j)) not in body.hinged]

    def _groups(self, body: Body, bonds: Iterable[int]) -> list[int]:
        """For each panel a number, the same for those that hang together by pieces and some bonds."""
        glued = [self.data["bonds"][number]["panels"] for number in bonds]
        within = [[name for _, name in own] for own in glued if all(part == body.name for part, _ in own)]
        group = list(range(len(body.names)))
        for some in [*(piece["panels"] for piece in body.part["pieces"]), *within]:
            numbers = {group[body.index[name]] for name in some}
            group = [min(numbers) if g in numbers else g for g in group]
        return group

    # -- the end ------------------------------------------------------------------------------------------------------

    def _end(self) -> None:
        for name, body in self.bodies.items():
            if wrong := [f for f, angle in body.final.items() if abs(self.angles[name][f] - angle) > 1e-6]:
                self.faults.append(f"at the end {wrong[0]} does not stand at its angle")
            if np.abs(self.roots[name] - np.array(body.part["places"][0])).max() > NEAR:
                self.faults.append(f"at the end the {name} is not in its place")
        if left := set(range(len(self.data["bonds"]))) - set(self.bonds):
            self.faults.append(f"bonds {sorted(left)} are never made")
        self._closed()

    def _closed(self) -> None:
        """Behind each face of the promised inside stands card, all over; an open box has no top."""
        if self.data["interior"] != "cuboid":
            return
        room = np.array([self.data["inside"][k] for k in ("length", "width", "height")])
        low, high = np.array([-room[0] / 2, -room[1] / 2, 0.0]), np.array([room[0] / 2, room[1] / 2, room[2]])
        for axis, end in ((a, e) for a in range(3) for e in (-1, 1)):
            if (axis, end) == (2, 1) and not self.data["closed"]:
                continue
            far = self._behind(low, high, axis, end)
            if far > BEHIND * self.data["caliper"]:
                self.faults.append(f"at the end nothing stands within {far:.1f} mm behind the inside's {'xyz'[axis]} {end:+d}")

    def _behind(self, low: Array, high: Array, axis: int, end: int) -> float:
        """The farthest that the first card is behind a grid of points on a face, from one millimetre inside it."""
        rims = [np.linspace(a + 0.03 * (b - a), b - 0.03 * (b - a), 8) for a, b in zip(low, high, strict=True)]
        rims[axis] = np.array([(high if end > 0 else low)[axis] - end])
        points = np.array(np.meshgrid(*rims)).reshape(3, -1).T
        way = np.eye(3)[axis] * end
        first = np.full(len(points), np.inf)
        for name, body in self.bodies.items():
            for copy in body.part["places"]:
                places = body.places([self.angles[name]], np.array(copy))[0]
                for ring, place in zip(body.rings, places, strict=True):
                    # a window or a slot is cut on purpose: its panel counts as whole here
                    first = np.minimum(first, hit(shapely.Polygon(ring), place, points, way))
        return float(first.max()) - 1.0

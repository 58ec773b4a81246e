"""How a thing is held for its picture: which way up, and from where it is seen."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product

import numpy as np

from booklet import space
from booklet.drawing.picture import VIEWS
from booklet.drawing.scene import Face3, Points, Scene
from booklet.drawing.stage import Stage
from booklet.drawing.view import View

FLAT_VIEWS = tuple(View(azimuth, 45.0) for azimuth in (-32.0, 32.0, 148.0, -148.0))
"""A sheet that lies on the bench is seen more steeply than a box (chosen by us)."""

ENOUGH = 0.5
"""The share of each moving face, and of a glued area of each bond, that must be plainly seen for a pose to be kept (chosen by us)."""

STAY = 0.7
"""A pose is kept from the step before when it shows at least this share of what the best one shows (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Pose:
    """`over`: turned over, from left to right when flat, else from front to back."""

    over: bool = False
    flat: bool = False
    view: View = VIEWS[0]

    @property
    def turn(self) -> space.Matrix:
        """The motion from the frame of the scene to how it is held."""
        if not self.over:
            return space.identity()
        return space.FLIP_SIDE if self.flat else space.turned((1, 0, 0), 180.0)

    @property
    def way(self) -> Points:
        """The direction of the viewer, in the frame of the scene."""
        return self.turn[:3, :3].T @ self.view.frame[2]


HOME = Pose()


def held(scene: Scene, pose: Pose) -> Scene:
    """The scene as it is held."""
    return turned(scene, pose.turn) if pose.over else scene


def turned(scene: Scene, by: space.Matrix) -> Scene:
    """A scene moved as a whole."""

    def all_of(lines: Iterable[Points]) -> tuple[Points, ...]:
        return tuple(space.applied(by, line) for line in lines)

    moved = tuple(
        Face3(f.key, space.applied(by, f.points), all_of(f.holes), f.moves, f.body, all_of(f.glue), f.glue_side) for f in scene.faces
    )
    return Scene(moved, all_of(scene.ghosts), all_of(scene.arrows), scene.labels)


@lru_cache(maxsize=8)
def candidates(flat: bool, over: bool) -> tuple[Pose, ...]:
    """Poses to choose from, that of habit first: flat with the inside up, a lid with its open side up, a box upright."""
    views = FLAT_VIEWS if flat else VIEWS[:4]
    return tuple(Pose(up, flat, view) for up, view in product((over, not over), views))


def best_pose(stages: Iterable[Stage], before: Pose | None) -> tuple[Stage, Pose]:
    """Which of some stages of one step to show, and how to hold it: as before, or as of habit, where that shows enough.

    `before`: the pose of the step before in the same run. Stages after the first that shows enough are not asked for.
    """
    tried: list[Stage] = []
    for stage in stages:
        tried.append(stage)
        first = _first(stage, before)
        if clear(stage, first):
            return stage, first
    poses = candidates(tried[0].flat, tried[0].over)
    scored = [(round(share, 3), -n, -k) for n, stage in enumerate(tried) for k, share in enumerate(shown(stage, poses))]
    best, n, k = max(scored)
    stay = max((s, m) for s, m, j in scored if poses[-j] == first)
    return (tried[-stay[1]], first) if stay[0] >= STAY * best else (tried[-n], poses[-k])


def _first(stage: Stage, before: Pose | None) -> Pose:
    poses = candidates(stage.flat, stage.over)
    return before if before in poses else poses[0]


def clear(stage: Stage, pose: Pose) -> bool:
    """Whether each face that moves, and a glued area of each bond, is seen well enough."""
    ((moving, glue),) = seen(stage, [pose])
    return min([*moving, *(max(bond) for bond in glue if bond)], default=1.0) >= ENOUGH


def shown(stage: Stage, poses: Sequence[Pose]) -> list[float]:
    """How much is seen in each pose of what moves and of where glue goes: mean shares, 0 to 2."""
    return [
        float(np.mean(moving or [1.0])) + float(np.mean([max(bond) for bond in glue if bond] or [1.0]))
        for moving, glue in seen(stage, poses)
    ]


def seen(stage: Stage, poses: Sequence[Pose]) -> list[tuple[list[float], list[list[float]]]]:
    """For each pose the shares seen of each face that moves, and of the areas of each bond."""
    found = []
    for each in stage.sight.shares(stage.put, np.array([pose.way for pose in poses])):
        shares = iter(each)
        found.append(([next(shares) for _ in stage.moving], [[next(shares) for _ in bond] for bond in stage.glue]))
    return found

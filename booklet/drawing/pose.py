"""How a thing is held for its picture: which way up, and from where it is seen.

What is up is told by the steps; only the side from which a part is seen is chosen, one for a whole run of pictures.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import chain

import numpy as np

from booklet import space
from booklet.drawing.picture import VIEWS
from booklet.drawing.scene import Face3, Points, Scene
from booklet.drawing.stage import UPRIGHT, Stage
from booklet.drawing.surface import View
from booklet.steps.upright import STANDING, Up

FLAT_VIEWS = tuple(View(azimuth, elevation) for elevation in (45.0, 60.0) for azimuth in (-32.0, 32.0, 148.0, -148.0))
"""A sheet that lies on the bench is seen more steeply than a box (chosen by us)."""

ENOUGH = 0.5
"""The share of each moving face that must be plainly seen for a view to be thought clear (chosen by us)."""

HABIT = 4
"""So many of the poses to choose from may be that of a whole run; the others are for single pictures."""

HIDDEN = 0.35
"""A run's view is left for one picture only where less than this share of a moving face is seen in it (chosen by us)."""

GAIN = 0.15
"""And only for a view that shows so much more of it (chosen by us)."""

STAYS = 0.9
"""The side from which the part was seen before counts as this much of a picture more (chosen by us)."""

GLUE = 0.5
"""The share of a glued area that counts as much as all of a moving face: it has its number, too (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Pose:
    """`up`: the direction of the scene that is up.

    `flat`: a part that lies is turned over from left to right, another from front to back.
    """

    up: Up = STANDING[0]
    flat: bool = False
    view: View = VIEWS[0]

    @property
    def turn(self) -> space.Matrix:
        """The motion from the frame of the scene to how it is held."""
        if self.up[2] > UPRIGHT:
            return space.identity()
        if self.up[2] < -UPRIGHT:
            return space.FLIP_SIDE if self.flat else space.turned((1, 0, 0), 180.0)
        return space.turned((self.up[1], -self.up[0], 0.0), float(np.degrees(np.arccos(np.clip(self.up[2], -1.0, 1.0)))))

    @property
    def way(self) -> Points:
        """The direction of the viewer, in the frame of the scene."""
        return self.turn[:3, :3].T @ self.view.frame[2]


HOME = Pose()


def held(scene: Scene, pose: Pose) -> Scene:
    """The scene as it is held."""
    return scene if pose.up[2] > UPRIGHT else turned(scene, pose.turn)


def turned(scene: Scene, by: space.Matrix) -> Scene:
    """A scene moved as a whole."""

    def all_of(lines: Iterable[Points]) -> tuple[Points, ...]:
        return tuple(space.applied(by, line) for line in lines)

    moved = tuple(
        Face3(f.key, space.applied(by, f.points), all_of(f.holes), f.moves, f.body, all_of(f.glue), f.glue_side, f.glue_number)
        for f in scene.faces
    )
    return Scene(moved, all_of(scene.ghosts), all_of(scene.arrows), scene.labels, scene.both_ways)


@lru_cache(maxsize=32)
def candidates(flat: bool, up: Up) -> tuple[Pose, ...]:
    """Poses to choose from, that of habit first."""
    return tuple(Pose(up, flat, view) for view in (FLAT_VIEWS if flat else VIEWS))


Look = tuple[float, float]
"""The least share seen of what must be seen, 0 to 1, and the mean of the shares."""

Looking = Callable[[Stage, Sequence[Pose]], list[Look]]


class Take:
    """One step of a run: the stages on which it can be shown, the first choice first, and what is seen of each from every side.

    `up` where the step itself does not tell it; `look`: what is to be seen of a stage in some poses, if not what moves and glue.
    """

    def __init__(self, stages: Iterable[Stage], up: Up | None = None, look: Looking | None = None):
        self._left, self._up, self._look = iter(stages), up, look or looking

    @cached_property
    def first(self) -> Stage:
        """The first choice."""
        return next(self._left)

    @property
    def poses(self) -> tuple[Pose, ...]:
        """How it can be held."""
        return candidates(self.first.flat, self._up or self.first.up)

    @cached_property
    def looks(self) -> list[tuple[Stage, list[Look]]]:
        """What is seen of each stage in each pose. No more stages are asked for once one is clear from the side of habit."""
        found = []
        for stage in chain((self.first,), self._left):
            found.append((stage, self._look(stage, self.poses[:HABIT])))
            if found[-1][1][0][0] >= ENOUGH:
                break
        return found

    @cached_property
    def every(self) -> list[tuple[Stage, list[Look]]]:
        """The same for all poses, also those for single pictures."""
        more = self.poses[HABIT:]
        return [(stage, [*looks, *(self._look(stage, more) if more else [])]) for stage, looks in self.looks]

    def clear(self, n: int) -> Stage | None:
        """The first stage that is clear in a pose."""
        return next((stage for stage, looks in self.looks if looks[n][0] >= ENOUGH), None)

    def best(self, n: int) -> tuple[Look, Stage]:
        """The stage that shows the most in a pose."""
        all_looks = self.looks if n < HABIT else self.every
        return max(((_rounded(looks[n]), stage) for stage, looks in all_looks), key=lambda found: found[0])


def looking(stage: Stage, poses: Sequence[Pose]) -> list[Look]:
    """How much is seen in each pose of what moves and of where glue goes."""
    return [_look(*each) for each in seen(stage, poses)]


def _look(moving: Sequence[float], glue: Sequence[Sequence[float]]) -> Look:
    """A bond's better area is asked for."""
    areas = [min(1.0, max(bond) / GLUE) for bond in glue if bond]
    return min([*moving, *areas], default=1.0), float(np.mean([*moving, *areas] or [1.0]))


def _rounded(look: Look) -> Look:
    """Small differences decide nothing."""
    return round(min(look[0], ENOUGH), 2), round(look[1], 2)


def chosen(takes: Sequence[Take], before: float | None = None) -> list[tuple[Stage, Pose]]:
    """How each step of a run is shown: from the one side that shows the most steps well, another only where that hides what moves.

    `before`: the azimuth from which the part was seen last.
    """
    poses = takes[0].poses

    def worth(n: int) -> tuple[float, int]:
        stays = STAYS if before is None or poses[n].view.azimuth == before else 0.0
        return sum(take.clear(n) is not None for take in takes) + stays, -n

    home = max(range(HABIT), key=worth)
    return [_shown(take, home) for take in takes]


def _shown(take: Take, home: int) -> tuple[Stage, Pose]:
    clear = take.clear(home)
    if clear:
        return clear, take.poses[home]
    (least, _), _ = take.best(home)
    near = [n for n, pose in enumerate(take.poses) if pose.view.azimuth == take.poses[home].view.azimuth]
    best = max(near, key=lambda n: (take.best(n)[0], -n))
    if least < HIDDEN and take.best(best)[0][0] < HIDDEN:
        other = max(range(len(take.poses)), key=lambda n: (take.best(n)[0], -n))
        best = other if take.best(other)[0][0] >= take.best(best)[0][0] + GAIN else best
    elif least >= HIDDEN:
        best = home
    return take.best(best)[1], take.poses[best]


def seen(stage: Stage, poses: Sequence[Pose]) -> list[tuple[list[float], list[list[float]]]]:
    """For each pose the shares seen of each face that moves, and of the areas of each bond."""
    found = []
    for each in stage.sight.shares(stage.put, np.array([pose.way for pose in poses])):
        shares = iter(each)
        found.append(([next(shares) for _ in stage.moving], [[next(shares) for _ in bond] for bond in stage.glue]))
    return found

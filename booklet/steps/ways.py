"""The ways in which hands turn some folds. Degrees.

Straight, or bent on the way so that a flap slides in, a foot goes down into its slot, or a tongue goes through its gap.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from booklet import sliding
from booklet.collide import convex_parts
from booklet.folding import Angles
from booklet.net import Fold
from booklet.plane import side
from booklet.steps.chains import collinear
from booklet.steps.even import through
from booklet.steps.state import TINY, Action
from booklet.steps.work import Work

_TILTS = (8.0, 16.0, 24.0, 35.0, 50.0)
"""How far a rim is tilted up while a wall that hangs on it comes down (chosen by us): the least that serves is taken."""

_BENT = 90.0
"""How far a tongue is bent up on its way through a gap."""


def variants(work: Work, angles: Angles, action: Action) -> Iterator[Action]:
    """An action by its even motion and by others, easier ones first. A tongue has one way only: through its gap."""
    if not action.targets or action.path:
        yield action
        return
    if tongues := _tongues(work, action):
        yield _through_gap(angles, action, tongues)
        return
    walls = _on_rims(work, action)
    if not any(_has_feet(work, wall) for _, wall in walls):
        yield action
    if walls:
        for tilt in _TILTS:
            yield _pressed_down(angles, action, walls, tilt)
    elif slid := _slid_in(work, action):
        yield slid


def _path(action: Action, frames: Sequence[Mapping[str, float]]) -> Action:
    return replace(action, targets=dict(frames[-1]), path=tuple(frames[:-1]))


# -- a tongue goes through the gap at the edge of another panel and is laid down on it ------------------------------------


def _tongues(work: Work, action: Action) -> list[tuple[Fold, Fold]]:
    """Folds of the action that come to their last angles, each with the fold of a tongue that hangs on its panel."""
    part = work.part
    last = [part.fold[name] for name, angle in action.targets.items() if abs(angle - part.fold[name].angle) < TINY]
    tongues = [fold for fold in part.folds if part.panel[fold.child].role == "tongue" and not fold.angle]
    return [(panel, tongue) for panel in last for tongue in tongues if tongue.parent == panel.child and panel.angle]


def _through_gap(angles: Angles, action: Action, tongues: Sequence[tuple[Fold, Fold]]) -> Action:
    up = {tongue.name: math.copysign(_BENT, panel.angle) for panel, tongue in tongues}
    down = dict.fromkeys(up, 0.0)
    return _path(action, through(angles, [up, dict(action.targets), down]))


# -- a wall that hangs on a rim comes down upright, its feet over their slots -----------------------------------------------


def _on_rims(work: Work, action: Action) -> list[tuple[Fold, Fold]]:
    """Rim and wall for each fold of the action on which a wall is rolled over, where all of them are such."""
    part, hung = work.part, {fold.child: fold for fold in work.part.folds}
    names = [name for name in action.targets if part.panel[part.fold[name].child].role != "rim"]
    walls = [(hung[part.fold[name].parent], part.fold[name]) for name in names if part.fold[name].parent in hung]
    rolled = [pair for pair in walls if part.panel[pair[0].child].role == "rim" and _square(*pair)]
    return rolled if len(rolled) == len(names) else []


def _has_feet(work: Work, wall: Fold) -> bool:
    """Whether a wall has feet: these go straight down into their slots, never in a sweep."""
    return len(convex_parts(work.part.panel[wall.child].outline)) > 1


def _square(rim: Fold, wall: Fold) -> bool:
    return rim.angle == wall.angle and abs(rim.angle) == 90.0 and abs(side(rim.line, wall.line[0]) - side(rim.line, wall.line[1])) < TINY


def _pressed_down(angles: Angles, action: Action, walls: Sequence[tuple[Fold, Fold]], tilt: float) -> Action:
    """The rims tilted up, the walls upright under them, then all pressed down together."""
    hanging: dict[str, float] = {}
    for rim, wall in walls:
        hanging[rim.name] = math.copysign(90.0 - tilt, rim.angle)
        hanging[wall.name] = math.copysign(90.0 + tilt, wall.angle)
    rest = {rim.name: rim.angle for rim, _ in walls} | dict(action.targets)
    return _path(action, through(angles, [hanging, rest]))


# -- a flap that hangs on what turns slides in ----------------------------------------------------------------------------------


def _slid_in(work: Work, action: Action) -> Action | None:
    part, names = work.part, list(action.targets)
    if not collinear(part, names):
        return None
    panels = [part.fold[name] for name in names if action.targets[name] == part.fold[name].angle]
    pairs = [(panel, flap) for panel, flap in work.slides if panel in panels]
    flaps = [flap for _, flap in pairs]
    if not pairs or not collinear(part, [flap.name for flap in flaps]):
        return None
    panel, flap = pairs[0]
    frames = [
        {**dict.fromkeys(names, frame[panel.name]), **{other.name: frame[flap.name] for other in flaps}}
        for frame in sliding.path(part, panel, flap)
    ]
    return replace(action, targets={**action.targets, **{other.name: other.angle for other in flaps}}, path=tuple(frames))


__all__ = ("variants",)

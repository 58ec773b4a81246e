"""Motions at an even pace, and rings that open all at once. Degrees, mm.

In such a ring every fold of a linkage turns towards its last angle, as evenly as the rings that bonds and uncut corners close allow. No
fold leads there and none follows (see `linkage`): the next frame is the one nearest to an even motion in which all rings are closed, by
Gauss and Newton with the smallest change.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from booklet.folding import Angles
from booklet.steps.linkage import CLOSED, Ring
from booklet.steps.state import TINY
from booklet.tolerance import FRAME

Vector = NDArray[np.float64]

_TURNS = 25
_DEAD = 1e-4
"""Share of the stiffest way below which a ring does not resist."""

_SLIP = 1e-4
_FINEST = 0.02
"""Degrees: a step that has to be smaller leads nowhere."""

_MOST_FRAMES = 1500


def evenly(before: Angles, after: Angles) -> list[dict[str, float]]:
    """Frames between two states, at most two degrees apart, without the first, with the last."""
    most = max((abs(after[name] - before[name]) for name in after), default=0.0)
    count = max(1, math.ceil(most / FRAME - TINY))
    return [{name: before[name] + (end - before[name]) * k / count for name, end in after.items()} for k in range(1, count + 1)]


def through(before: Angles, stations: Sequence[Mapping[str, float]]) -> list[dict[str, float]]:
    """Frames from station to station; each station names all the folds that it has turned, and so does each frame."""
    frames: list[dict[str, float]] = []
    at = {name: before[name] for station in stations for name in station}
    for station in stations:
        after = {**at, **station}
        frames += evenly(at, after)
        at = after
    return frames


@dataclass(frozen=True)
class Unfolding:
    """Folds on their way from one state to another, both of which close all rings."""

    rings: Sequence[Ring]
    start: Angles
    goal: Angles

    def frames(self) -> list[dict[str, float]] | None:
        """Angles along the way, no fold turning by more than two degrees, the goal last; None where the rings bar the way."""
        names = list(self.goal)
        last, end = np.array([self.start[n] for n in names]), np.array([self.goal[n] for n in names])
        made: list[dict[str, float]] = []
        stride = FRAME * 0.75
        while float(np.abs(end - last).max()) > FRAME:
            left = end - last
            found = self._closed(names, last + left * min(1.0, stride / float(np.abs(left).max())))
            if found is None or float(np.abs(found - last).max()) > FRAME or _back(found, last, end):
                stride /= 2
                if stride < _FINEST:
                    return None
                continue
            last, stride = found, min(stride * 1.5, FRAME * 0.75)
            made.append(self._frame(names, last))
            if len(made) > _MOST_FRAMES:
                return None
        return [*made, dict(self.goal)]

    def _frame(self, names: Sequence[str], at: Vector) -> dict[str, float]:
        return {name: round(angle, 7) for name, angle in zip(names, at.tolist(), strict=True)}

    def _closed(self, names: Sequence[str], guess: Vector) -> Vector | None:
        """The state near a guess in which all rings are closed."""
        at = guess.copy()
        for _ in range(_TURNS):
            off, slope = self._slope(names, at)
            if float(np.abs(off).max()) < CLOSED:
                return at
            change = np.linalg.lstsq(slope, off, rcond=_DEAD)[0]
            most = float(np.abs(change).max())
            at = at - change * min(1.0, FRAME / most if most else 1.0)
        return None

    def _slope(self, names: Sequence[str], at: Vector) -> tuple[Vector, Vector]:
        """The gaps at a state, and how they change with each fold, mm and mm/degree; a ring is asked of its own folds only."""
        state = {**self.start, **dict(zip(names, at.tolist(), strict=True))}
        offs, slopes = [], []
        for ring in self.rings:
            own = [k for k, name in enumerate(names) if name in ring.folds]
            tries = [{**state, names[k]: state[names[k]] + slip} for slip in (_SLIP, -_SLIP) for k in own]
            gaps = ring.gaps([state, *tries])
            slope = np.zeros((gaps.shape[1], len(names)))
            slope[:, own] = ((gaps[1 : len(own) + 1] - gaps[len(own) + 1 :]) / (2 * _SLIP)).T
            offs.append(gaps[0])
            slopes.append(slope)
        return np.concatenate(offs), np.concatenate(slopes)


def _back(found: Vector, last: Vector, end: Vector) -> bool:
    """Whether the step comes no nearer to the end at all."""
    return float(np.linalg.norm(end - found)) > float(np.linalg.norm(end - last)) - 1e-9

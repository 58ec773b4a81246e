"""Motion of panels that hang together in a ring: by creases round a corner that is not cut, or by bonds that are made.

Such a ring is a linkage: when some of its folds turn, others have to follow. Where an even motion would tear it, the angles
of those that follow are solved frame by frame (Gauss and Newton), each frame from the one before it. Degrees, mm.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from booklet.folding import Angles
from booklet.tolerance import FRAME

Vector = NDArray[np.float64]

CLOSED = 1e-5
"""mm: a ring is closed when its ends meet to this."""

_FIRST = 0.25
"""Share of a step at which the way out of the flat is looked for: in the flat itself a ring can open in several ways."""

_GUESSES = (1.0, 0.5, 1.5, 2.0, 0.25)
_TURNS = 15
_SLIP = 1e-4
_FINEST = 1e-2
_WITHIN = 0.999

_DEAD = 1e-3
"""Share of the stiffest way below which a ring does not resist: where creases come to lie on one line, folds could drift there."""


class Ring(Protocol):
    """What must stay closed: `gaps` of its ends in some states, mm, (states, figures), zero where it is closed."""

    @property
    def folds(self) -> Sequence[str]:
        """The folds on which it depends."""

    def gaps(self, states: Sequence[Angles]) -> Vector:
        """How far its ends are apart."""


@dataclass(frozen=True)
class Following:
    """Some folds turn evenly to a goal, others follow so that rings stay closed. `signs`: which way each of them turns."""

    rings: Sequence[Ring]
    start: Angles
    goal: Angles
    follow: tuple[str, ...]
    signs: Mapping[str, float]

    def frames(self) -> list[tuple[float, dict[str, float]]] | None:
        """Angles along the way, each with the share of it that is done; None where a ring cannot stay closed."""
        most = max(abs(self.goal[name] - self.start[name]) for name in self.goal)
        if most == 0.0:
            return None
        ahead = min(FRAME / most, 1.0)
        first = self._first(_FIRST * ahead)
        if first is None:
            return None
        return self._on(first, ahead)

    def _on(self, first: dict[str, float], ahead: float) -> list[tuple[float, dict[str, float]]] | None:
        """Frame by frame, each as far as no fold turns by more than a step."""
        before, last = dict(self.start), first
        share = size = _FIRST * ahead
        made = [(share, first)]
        while share < 1.0 - 1e-12:
            most = max(abs(last[name] - before[name]) for name in (*self.follow, *self.goal))
            reach = min(1.0, share + min(ahead, size * FRAME * _WITHIN / most))
            while (found := self._next(before, last, size, reach - share, reach)) is None:
                reach = share + (reach - share) / 2
                if reach - share < _FINEST * ahead:
                    return None
            before, last, size, share = last, found, reach - share, reach
            made.append((share, found))
        return [(share, {name: round(angle, 6) for name, angle in frame.items()}) for share, frame in made]

    def _next(self, before: Angles, last: Angles, size: float, step: float, share: float) -> dict[str, float] | None:
        """The frame at a share of the way: from the last two by a straight line, and then to where the rings close."""
        guess = np.array([last[n] + (last[n] - before[n]) * step / size for n in self.follow])
        found = self._closed(self._driven(share), guess)
        if found is None or any(abs(found[n] - last[n]) > FRAME + 1e-6 for n in (*self.follow, *self.goal)):
            return None
        return found

    def _driven(self, share: float) -> dict[str, float]:
        at = {name: self.start[name] + (end - self.start[name]) * share for name, end in self.goal.items()}
        return {**self.start, **at}

    def _first(self, share: float) -> dict[str, float] | None:
        """The first frame out of the start, each fold that follows turned to its own side."""
        driven = self._driven(share)
        turn = max(abs(driven[n] - self.start[n]) for n in self.goal)
        for size in _GUESSES:
            guess = np.array([self.start[n] + self.signs[n] * turn * size for n in self.follow])
            found = self._closed(driven, guess)
            if found and all(
                (found[n] - self.start[n]) * self.signs[n] > -_SLIP and abs(found[n] - self.start[n]) <= FRAME for n in self.follow
            ):
                return found
        return None

    def _closed(self, driven: dict[str, float], guess: Vector) -> dict[str, float] | None:
        """The state near a guess in which all rings are closed."""
        at = guess.copy()
        for _ in range(_TURNS):
            off, slope = self._slope(driven, at)
            if float(np.abs(off).max()) < CLOSED:
                return {**driven, **dict(zip(self.follow, at.tolist(), strict=True))}
            at = at - np.linalg.lstsq(slope, off, rcond=_DEAD)[0]
        return None

    def _slope(self, driven: dict[str, float], at: Vector) -> tuple[Vector, Vector]:
        """The gaps at a state, and how they change with each fold that follows, mm and mm/degree."""
        tries = at + np.vstack([np.zeros(len(at)), np.eye(len(at)) * _SLIP, np.eye(len(at)) * -_SLIP])
        states = [{**driven, **dict(zip(self.follow, row.tolist(), strict=True))} for row in tries]
        gaps = np.concatenate([ring.gaps(states) for ring in self.rings], axis=1)
        n = len(at)
        return gaps[0], ((gaps[1 : n + 1] - gaps[n + 1 :]) / (2 * _SLIP)).T

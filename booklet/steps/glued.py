"""When a bond can be made: in which flat states its faces touch, and which way round they then meet. Degrees."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from itertools import product
from typing import Any

import numpy as np

from booklet import space
from booklet.folding import Angles
from booklet.net import Bond
from booklet.replay import PARTS
from booklet.stack import came_from
from booklet.steps.chains import Chain, Tree
from booklet.tolerance import COMPUTED

_MOST_FOLDS = 9
"""A bond over more folds than this is not tried flat: 512 states (chosen by us)."""


class Glued:
    """A bond within one part. `folds`: on the way from its first panel to its second."""

    def __init__(self, number: int, bond: Bond, tree: Tree):
        self.number, self.bond, self.tree = number, bond, tree
        self.first, self.second = bond.panels[0][1], bond.panels[1][1]
        self.chain: Chain = tree.chain(self.first, self.second)
        self.folds = self.chain.folds
        self.final = {name: tree.part.fold[name].angle for name in self.folds}
        self._region = space.lifted(bond.region)
        self._goal = space.applied(self.chain.seen([self.final])[0], self._region)
        self._known: dict[tuple[tuple[float, ...], ...], bool] = {}

    @cached_property
    def flat(self) -> tuple[dict[str, float], ...]:
        """States of its folds, each open or folded right over, in which its faces touch, those with fewest folds over first."""
        if sum(len(self._flat_angles(name)) > 1 for name in self.folds) > _MOST_FOLDS:
            return ()
        states = [dict(zip(self.folds, some, strict=True)) for some in product(*map(self._flat_angles, self.folds))]
        off = np.abs(space.applied(self.chain.seen(states), self._region) - self._goal).max((1, 2))
        touching = [state for state, gap in zip(states, off, strict=True) if gap <= COMPUTED]
        # in some of them other card would have to lie between: no fold brings the right faces together there
        found = [state for state in touching if not self.over(state) or self._comes_about(state)] or touching
        few = self._fewest(found)
        if any(map(self._opens, few)):
            return few
        # bellows turned inside out touch with fewer folds over, but do not open: the states that open evenly are offered besides
        return (*few, *self._fewest([state for state in found if self._opens(state)]))

    def _fewest(self, states: Sequence[dict[str, float]]) -> tuple[dict[str, float], ...]:
        least = min((self.over(state) for state in states), default=0)
        return tuple(state for state in states if self.over(state) == least)

    def _opens(self, state: Angles) -> bool:
        """Whether its faces stay together when all its folds turn evenly from a state to the closed box."""
        way = [{n: a + (self.final[n] - a) * k / 12 for n, a in state.items()} for k in range(13)]
        return float(np.abs(self.gaps(way)).max()) <= 2 * COMPUTED

    def _comes_about(self, state: Angles) -> bool:
        """Whether one of the folds that are over can come last and bring the faces together from the right side."""
        return any(self.meets({**state, name: 0.0}, state) for name, angle in state.items() if angle)

    def _flat_angles(self, name: str) -> tuple[float, ...]:
        fold = self.tree.part.fold[name]
        if fold.kind != "crease" or not fold.bends:
            return (0.0,)
        return 0.0, fold.over or float(np.copysign(180.0, fold.angle))

    def gaps(self, states: Sequence[Angles]) -> Any:
        """How far its faces are from each other's last place in some states, mm, (states, figures)."""
        gaps = space.applied(self.chain.seen(states), self._region) - self._goal
        return gaps.reshape(len(gaps), -1)

    def over(self, state: Angles) -> int:
        """How many folds are folded over that are not so in the closed box."""
        return sum(bool(angle) and angle != self.final[name] for name, angle in state.items())

    def is_flat(self, state: Angles) -> bool:
        """Whether its folds are in one of the flat states in which it touches."""
        return any(all(state[name] == angle for name, angle in one.items()) for one in self.flat)

    def may_be_flat(self, state: Angles) -> bool:
        """Whether its folds can still come into such a state without being folded back."""
        return any(all(state[name] in (0.0, angle) for name, angle in one.items()) for one in self.flat)

    def meets(self, before: Angles, after: Angles) -> bool:
        """Whether its faces come to meet from the right side when its folds move evenly from one state to another."""
        key = tuple(before[name] for name in self.folds), tuple(after[name] for name in self.folds)
        if key not in self._known:
            self._known[key] = self._meets(before, after)
        return self._known[key]

    def _meets(self, before: Angles, after: Angles) -> bool:
        shares = [k / PARTS for k in range(PARTS + 1)]
        return self.meets_along([{n: before[n] + (after[n] - before[n]) * share for n in self.folds} for share in shares])

    def meets_along(self, states: Sequence[Angles]) -> bool:
        """Whether its faces come to meet from the right side when its folds go through some states."""
        seen = self.chain.seen(states)
        middle = self.tree.folder.middles[self.tree.folder.index[self.first]]
        *heights, end = space.applied(seen, middle[None])[:, 0, 2]
        return came_from(np.array(heights), float(end), self.tree.part.caliper) == (1 if self.bond.faces[1] == "marked" else -1)

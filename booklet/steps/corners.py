"""Corners that are not cut: what hangs on a panel that turns follows it, so that the card is not torn. Degrees, mm."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import Any

import numpy as np

from booklet import plane, space
from booklet.folding import Angles
from booklet.net import Loop, Part
from booklet.steps.chains import Tree
from booklet.steps.even import Unfolding
from booklet.steps.linkage import Following
from booklet.tolerance import TORN

Frames = list[tuple[float, dict[str, float]]]
"""Angles along a way, each with the share of it that is done."""


class Corner:
    """A ring of panels round a corner that is not cut: closed where both sides of its last crease are together."""

    def __init__(self, loop: Loop, tree: Tree):
        self.loop, self.chain = loop, tree.chain(*loop.panels)
        self._line = space.lifted(loop.line)
        self.shape = self._shape(tree.part)

    def _shape(self, part: Part) -> tuple[float, ...]:
        """The angles between its creases, one after another: corners with the same ones move alike, be they mirrored."""
        lines = [*(part.fold[name].line for name in self.chain.folds), self.loop.line]
        centre = max((end for end in lines[0]), key=lambda p: sum(any(plane.same(p, end, 1e-3) for end in line) for line in lines))
        ways = [np.subtract(max(line, key=lambda p: math.dist(p, centre)), centre) for line in lines]
        units = [way / np.hypot(*way) for way in ways]
        return tuple(round(float(a @ b), 6) for a, b in zip(units, [*units[1:], units[0]], strict=True))

    @property
    def folds(self) -> tuple[str, ...]:
        """The folds on which it depends."""
        return self.chain.folds

    def gaps(self, states: Any) -> Any:
        """How far the ends of its last crease are apart, mm, (states, 6)."""
        gaps = space.applied(self.chain.seen(states), self._line) - self._line
        return gaps.reshape(len(gaps), -1)


class Corners:
    """The corners of a part that are not cut, and how they move: corners that are the same are solved once."""

    def __init__(self, tree: Tree):
        self.tree, self.part = tree, tree.part
        self.loops = [Corner(loop, tree) for loop in self.part.loops]
        self._known: dict[object, list[tuple[float, tuple[float, ...]]] | None] = {}
        self._solved: dict[object, tuple[Mapping[str, float], tuple[Mapping[str, float], ...]] | None] = {}

    def kept_closed(self, angles: Angles, ends: Mapping[str, float]) -> tuple[Mapping[str, float], tuple[Mapping[str, float], ...]] | None:
        """The folds that turn, with those that have to follow so that no corner is torn, and the path where they do."""
        touched = [loop for loop in self.loops if set(loop.folds) & set(ends)]
        key = tuple(ends.items()), tuple(angles[name] for loop in touched for name in loop.folds)
        if touched and key not in self._solved:
            self._solved[key] = self._following(touched, angles, ends)
        return self._solved[key] if touched else (ends, ())

    def _following(self, loops: list[Corner], angles: Angles, ends: Mapping[str, float]) -> Any:
        even = [{**angles, **_part_way(angles, ends, k / 12)} for k in range(13)]
        torn = [loop for loop in loops if float(np.abs(loop.gaps(even)).max()) > TORN / 2]
        if not torn:
            return ends, ()
        solved = [self._followed(loop, angles, ends) for loop in torn]
        if any(one is None for one in solved):
            frames = Unfolding(loops, angles, ends).frames() if self._all_of(torn, ends) else None
            return frames and (frames[-1], tuple(frames[:-1]))
        shares = sorted({share for one in solved if one for share, _ in one})
        frames = [_at_share([one for one in solved if one], share) for share in shares]
        rest = {n: a for n, a in ends.items() if n not in frames[-1]}
        path = tuple({**one, **_part_way(angles, rest, share)} for one, share in zip(frames, shares, strict=True))
        return path[-1], path[:-1]

    def _all_of(self, loops: Iterable[Corner], ends: Angles) -> bool:
        """Whether all folds round some corners turn at once."""
        return all(name in ends for loop in loops for name in loop.folds)

    @cached_property
    def linked(self) -> list[frozenset[str]]:
        """Folds that corners hold to each other, corner by corner with those that share a fold."""
        sets: list[set[str]] = []
        for loop in self.loops:
            own = set(loop.folds)
            meeting = [some for some in sets if some & own]
            sets = [some for some in sets if not some & own] + [own.union(*meeting)]
        return [frozenset(some) for some in sets]

    def _followed(self, corner: Corner, angles: Angles, ends: Angles) -> Frames | None:
        """The way of one corner: what hangs on the panels that turn follows them. Corners that are the same are solved once."""
        goal = {n: a for n, a in ends.items() if n in corner.folds}
        hung = {name for n in goal for name in self.tree.under(n)}
        follow = tuple(n for n in corner.folds if n not in goal and self.part.fold[n].child in hung)
        if not follow:
            return None
        key = corner.shape, tuple((angles[n], goal.get(n)) for n in corner.folds)
        if key not in self._known:
            signs = {n: float(np.sign(self.part.fold[n].angle - angles[n])) for n in follow}
            self._known[key] = self._solved_frames(corner, Following([corner], {n: angles[n] for n in corner.folds}, goal, follow, signs))
        found = self._known[key]
        names = {n: k for k, n in enumerate(corner.folds)}
        return None if found is None else [(share, {n: frame[names[n]] for n in (*goal, *follow)}) for share, frame in found]

    def _solved_frames(self, corner: Corner, following: Following) -> list[tuple[float, tuple[float, ...]]] | None:
        frames = following.frames()
        return None if frames is None else [(share, tuple(frame[n] for n in corner.folds)) for share, frame in frames]


def _part_way(angles: Angles, ends: Angles, share: float) -> dict[str, float]:
    """Folds on an even way to their ends."""
    return {name: angles[name] + (end - angles[name]) * share for name, end in ends.items()}


def _at_share(ways: Iterable[Frames], share: float) -> dict[str, float]:
    """Several ways that go on at once, at a share of them all."""
    frame: dict[str, float] = {}
    for way in ways:
        high = next(k for k, (at, _) in enumerate(way) if at >= share)
        (a, one), (b, two) = way[max(high - 1, 0)], way[high]
        part = (share - a) / (b - a) if b > a else 1.0
        frame |= {name: one[name] + (two[name] - one[name]) * part for name in two}
    return frame

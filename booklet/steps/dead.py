"""States from which no way leads to the end: a bond can no longer be made, or the item no longer goes in. Degrees."""

from __future__ import annotations

from collections.abc import Sequence

from booklet.folding import Angles
from booklet.steps import like
from booklet.steps.glued import Glued
from booklet.steps.opening import WAYS
from booklet.steps.state import TINY, State
from booklet.steps.work import Work

_FEW = 4
"""Bonds with more folds still to turn are not looked into: something will be found (chosen by us)."""


def dead(work: Work, state: State) -> bool:
    """Whether a bond can no longer be made, or the item no longer goes in."""
    angles = work.angles(state)
    if work.closes and not state.filled and _shut(work, angles):
        return True
    left = [own for number, own in work.glued.items() if number not in state.made]
    return any(_lost(work, own, angles) for own in left) or (work.strict and _at_odds(left, angles))


def _shut(work: Work, angles: Angles) -> bool:
    """Whether panels in their last places bar every way of the item."""
    return not set(WAYS) - {way for name in work.fixed(angles) for way in work.bars[name]}


def _lost(work: Work, own: Glued, angles: Angles) -> bool:
    """Whether a bond's faces can meet neither flat nor in the closed box, from the side on which they are glued."""
    ends = [one for one in own.flat if all(angles[name] in (0.0, angle) for name, angle in one.items())]
    last = () if own.flat and work.strict else (own.final,)
    return not any(_comes(work, own, angles, end) for end in (*ends, *last))


def _comes(work: Work, own: Glued, angles: Angles, end: Angles) -> bool:
    left = [name for name in own.folds if abs(angles[name] - end[name]) > TINY]
    if not left:
        return work.joins(own.number)
    if len(left) > _FEW or work.joins(own.number):
        return True
    # one of them comes last, or like ones come at once
    like_each_other = len({like.kind(work.folder, work.bonds, work.part.fold[name]) for name in left}) == 1
    befores = [{**end, name: angles[name]} for name in left] + [dict(angles)] * like_each_other
    return any(own.meets(before, end) for before in befores)


def _at_odds(left: Sequence[Glued], angles: Angles) -> bool:
    """Whether bonds that come about at the same moment ask for different folds to come last."""
    lasts: dict[frozenset[str], frozenset[str]] = {}
    for own in left:
        turning = frozenset(n for n in own.folds if abs(angles[n] - own.final[n]) > TINY)
        if not own.flat and 1 < len(turning) <= _FEW:
            good = frozenset(n for n in turning if own.meets({**own.final, n: angles[n]}, own.final))
            lasts[turning] = lasts.get(turning, good) & good
    return not all(lasts.values())

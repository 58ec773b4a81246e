"""Panels that run into each other on the way of a step, or through each other. Millimetres."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import space
from booklet.collide import Bodies, deepest
from booklet.folding import folder, outward
from booklet.net import Part
from booklet.replay import Moment
from booklet.stack import lying
from booklet.tolerance import LAYER, SAME_POINT

Places = NDArray[np.float64]

_INNER = 0.85
"""How far from a panel's middle to its corners it is asked whether it sweeps through another: corners give (chosen by us)."""


def crossing(moment: Moment) -> tuple[float, str]:
    """How deep panels of a part cross on the way of a step, mm, and which ones."""
    depth, a, b = deepest_crossing(moment)
    return depth, f"{moment.part.panels[a].name} and {moment.part.panels[b].name}" if depth else ""


def deepest_crossing(moment: Moment) -> tuple[float, int, int]:
    """How deep panels of a part cross on the way of a step, mm, and the two that cross deepest.

    Only panels that move to each other are looked at: the others were where they are at the end of the step before.
    """
    part = moment.part
    pairs = apart(part, moment.joined)
    if moment.step.kind != "join":
        pairs &= parted(moment)
    depth, _, a, b = deepest(moment.folder.bodies, moment.frames, pairs, part.caliper / 2)
    return depth, a, b


def parted(moment: Moment) -> NDArray[np.bool_]:
    """Pairs of panels that the step moves to each other, by the folds of the tree."""
    index, turned = moment.folder.index, {name for angles in (moment.step.folds, *moment.step.path) for name, _ in angles}
    group = np.arange(len(moment.part.panels))
    for fold in outward(moment.part):
        if fold.name not in turned:
            group[index[fold.child]] = group[index[fold.parent]]
    apart: NDArray[np.bool_] = group[:, None] != group[None]
    return apart


def carried_into(moment: Moment, still: Sequence[Moment]) -> float:
    """How deep a part that is carried cuts into other parts on its way, mm."""
    if not still:
        return 0.0
    panels = [p for m in (moment, *still) for p in m.part.panels]
    count = len(moment.part.panels)
    rest = np.concatenate([m.after for m in still])
    frames = np.array([np.concatenate([own, rest]) for own in moment.frames])
    pairs = np.zeros((len(panels), len(panels)), bool)
    pairs[:count, count:] = pairs[count:, :count] = True
    return deepest(Bodies(panels), frames, pairs, moment.part.caliper / 2)[0]


def passed(moment: Moment) -> list[tuple[int, int]]:
    """Pairs of panels that go through each other in a step: those that lie on each other after it, and those that only sweep by."""
    if len(moment.frames) <= 2:
        return []
    ends = [(i, j) for i, j in moment.stack.sides if _goes_through(moment, i, j)]
    return ends or [(i, j) for i, j in sweeping(moment) if _goes_through(moment, i, j, _INNER)]


def sweeping(moment: Moment) -> list[tuple[int, int]]:
    """Pairs of panels that a step moves to each other and that come to the same place on the way, in both orders."""
    if moment.step.move or moment.step.kind == "join":
        return []
    pairs = apart(moment.part, moment.joined) & parted(moment)
    reach = [space.applied(moment.frames[:, i], outline) for i, outline in enumerate(moment.folder.outlines)]
    low, high = np.array([r.min(1) for r in reach]), np.array([r.max(1) for r in reach])
    for i in np.flatnonzero(pairs.any(1)):
        pairs[i] &= ((low[i] <= high) & (low <= high[i])).all(2).any(1)
    # layers that touch before or after the step stand in each other by the folds alone
    near = (*lying(moment.folder, moment.before).items(), *lying(moment.folder, moment.after).items())
    touching = {pair for pair, gap in near if abs(gap) <= LAYER * moment.part.caliper}
    return [(int(i), int(j)) for i, j in np.argwhere(pairs) if (min(i, j), max(i, j)) not in touching]


def _goes_through(moment: Moment, i: int, j: int, inner: float = 1.0) -> bool:
    """Whether a point of panel i changes sides of panel j between two frames while it stands over j both times.

    The points are its corners, or lie between its middle and them, at this share of the way.
    """
    relative = space.relative(moment.frames[:, i], moment.frames[:, j])
    if float(np.abs(relative - relative[-1]).max()) < SAME_POINT:
        return False
    points = moment.folder.outlines[i] if inner == 1.0 else moment.folder.within(i, inner)
    seen = points @ relative[:, :3, :3].transpose(0, 2, 1) + relative[:, None, :3, 3]
    clear = LAYER * moment.part.caliper
    if not ((seen[..., 2].max(0) > clear) & (seen[..., 2].min(0) < -clear)).any():
        return False
    over = shapely.contains_xy(moment.folder.shrunk[j], seen[..., 0], seen[..., 1])
    sides = np.where(np.abs(seen[..., 2]) > clear, np.sign(seen[..., 2]), 0.0)
    return _change_sides(sides, over)


def _change_sides(sides: Places, over: NDArray[np.bool_]) -> bool:
    """Whether a point comes to the other side while it stays over a panel; (frames, points), side 0 where it is too near to tell."""
    was = np.zeros(sides.shape[1])
    for now, there in zip(sides, over, strict=True):
        if bool((there & (was * now < 0)).any()):
            return True
        was = np.where(there, np.where(now != 0, now, was), 0.0)
    return False


def apart(part: Part, joined: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Pairs of panels that could run through each other: joined ones that no crease hinges on each other."""
    index = folder(part).index
    pairs = joined.copy()
    np.fill_diagonal(pairs, False)
    hinged = [(f.parent, f.child) for f in part.folds] + [loop.panels for loop in part.loops]
    for one, other in hinged:
        a, b = index[one], index[other]
        pairs[a, b] = pairs[b, a] = False
    return pairs

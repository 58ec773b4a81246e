"""Which panel lies on which: told by the side from which each came, not by where the mid-surfaces are.

Panels that lie on each other share a plane or nearly so; a fold of no thickness cannot say which is on top.
The way in which a panel arrives can: it stays on the side of the other from which it came.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import space
from booklet.folding import Folder
from booklet.overlap import shared
from booklet.tolerance import LAYER

Places = NDArray[np.float64]
Pair = tuple[int, int]
_PARALLEL = 1e-6
_LAYERS = 4.0
_COMMON = 1.0

_CLEAR = 0.01
"""mm: nearer than this a point of a panel tells no side."""


@dataclass(frozen=True)
class Stack:
    """For pairs (i, j) of panels that lie on each other: +1 where i lies on the marked side of j, else -1.

    Both orders of a pair are held.
    """

    sides: Mapping[Pair, int]

    def on(self, i: int, j: int) -> int:
        """+1 or -1 as above; 0 where the two do not lie on each other."""
        return self.sides.get((i, j), 0)

    def neighbours(self, i: int) -> set[int]:
        """All panels that lie on i or under it."""
        return {b for a, b in self.sides if a == i}


def lying(folder: Folder, places: Places) -> dict[Pair, float]:
    """Pairs i < j that lie on each other (parallel, within four calipers, sharing over 1 mm2): distance of i over j, mm."""
    normals, origins = places[:, :3, 2], folder.middles_at(places)
    dots = normals @ normals.T
    gaps = np.einsum("ijk,jk->ij", origins[:, None] - origins[None], normals)
    near = (np.abs(np.abs(dots) - 1) < _PARALLEL) & (np.abs(gaps) <= _LAYERS * folder.part.caliper + 0.05)
    near &= _boxes_share(folder, places)
    wanted = [(int(i), int(j)) for i, j in np.argwhere(np.triu(near, 1))]
    return {(i, j): float(gaps[i, j]) for i, j in wanted if _share(folder, places, i, j) > _COMMON}


def _boxes_share(folder: Folder, places: Places) -> NDArray[np.bool_]:
    """Whether the boxes round two panels, seen from the first, share more than an edge."""
    low, high = np.empty((2, len(places), 3))
    for i, (m, outline) in enumerate(zip(places, folder.outlines, strict=True)):
        points = space.applied(m, outline)
        low[i], high[i] = points.min(0), points.max(0)
    room = _LAYERS * folder.part.caliper + 0.1
    share = np.minimum(high[:, None], high[None]) - np.maximum(low[:, None], low[None])
    met: NDArray[np.bool_] = (share > -room).all(2) & ((share > 0.05).sum(2) >= 2)
    return met


def _share(folder: Folder, places: Places, i: int, j: int) -> float:
    """Area that two panels share, seen from the first, mm2."""
    relative = space.relative(places[j], places[i])
    seen = shapely.Polygon(space.applied(relative, folder.outlines[j])[:, :2])
    return float(shared(folder.shapes[i], seen).area)


def arrived(folder: Folder, frames: Places, i: int, j: int, gap: float) -> int:
    """The side of j on which i lies at the last of the frames: the side from which the place where they meet came."""
    relative = space.relative(frames[:-1, i], frames[:-1, j])
    seen = shapely.Polygon(space.applied(space.relative(frames[-1, j], frames[-1, i]), folder.outlines[j])[:, :2])
    met = shared(folder.shapes[i], seen).representative_point()
    return came_from(space.applied(relative, np.array([[met.x, met.y, 0.0]]))[:, 0, 2], gap, folder.part.caliper)


def _turned_over(frames: Places, i: int, j: int) -> bool:
    """Whether one of two panels was turned over between the first and the last frame: then its old side says nothing."""
    first, last = (float(m[i, :3, 2] @ m[j, :3, 2]) for m in (frames[0], frames[-1]))
    return first * last < 0


def came_from(heights: NDArray[np.float64], end: float, caliper: float) -> int:
    """The side, +1 or -1, on which a point ends that was at `heights` over a panel and comes to `end`, mm; 0 where nothing tells it."""
    if abs(end) > LAYER * caliper:
        return 1 if end > 0 else -1
    # a half-cut hem stands two thirds of a caliper off by its folds: what is nearer than a layer tells a side only where nothing else does
    clear = np.flatnonzero(np.abs(heights) > LAYER * caliper)
    clear = clear if len(clear) else np.flatnonzero(np.abs(heights) > _CLEAR)
    return 0 if not len(clear) else 1 if heights[clear[-1]] > 0 else -1


def grown(before: Stack, folder: Folder, frames: Places, joined: NDArray[np.bool_]) -> Stack:
    """The stack after a motion: pairs that still lie on each other keep their side, new ones get the side they came from.

    `frames`: places along the motion, the last one its end. `joined`: (panels, panels), False for panels in
    pieces that are not joined yet. A pair whose side the motion does not tell (it is joined in the flat) is left out.
    """
    end = frames[-1]
    sides: dict[Pair, int] = {}
    for (i, j), gap in lying(folder, end).items():
        if not joined[i, j]:
            continue
        side = (0 if _turned_over(frames, i, j) else before.on(i, j)) or arrived(folder, frames, i, j, gap)
        if side:
            sides.update(both(end, i, j, side))
    return Stack(sides)


def both(places: Places, i: int, j: int, side: int) -> dict[Pair, int]:
    """The entry of a pair in both orders."""
    facing = 1 if places[i, :3, 2] @ places[j, :3, 2] > 0 else -1
    return {(i, j): side, (j, i): -side * facing}


def levels(stack: Stack, folder: Folder, places: Places) -> NDArray[np.float64]:
    """Shift of every panel, shape (panels, 3) in mm, from where the folds put it to its place in the stack.

    In each pile the outermost panel, seen from the middle of the part, stays; each further one lies one
    caliper further in than the highest below it.
    """
    shifts = np.zeros((len(places), 3))
    centre = folder.middles_at(places).mean(0)
    for pile in _piles(stack):
        _settle(pile, stack, folder, places, centre, shifts)
    return shifts


def _piles(stack: Stack) -> list[list[int]]:
    left, piles = {i for i, _ in stack.sides}, []
    while left:
        pile, edge = set(), {min(left)}
        while edge:
            pile |= edge
            edge = {n for i in edge for n in stack.neighbours(i)} - pile
        piles.append(sorted(pile))
        left -= pile
    return piles


def _settle(
    pile: list[int], stack: Stack, folder: Folder, places: Places, centre: NDArray[np.float64], shifts: NDArray[np.float64]
) -> None:
    middles = folder.middles_at(places)
    normal = places[pile[0], :3, 2]
    biggest = max(pile, key=lambda i: (folder.shapes[i].area, -i))
    inward = normal if (centre - middles[biggest]) @ normal >= 0 else -normal
    height = {i: float((middles[i] - middles[biggest]) @ inward) for i in pile}
    # i lies further in than j where it lies on that side of j which faces inward
    under = {i: [j for j in pile if stack.on(i, j) * float(places[j, :3, 2] @ inward) > 0] for i in pile}
    done: dict[int, float] = {}
    for _ in pile:
        for i in pile:
            if i not in done and all(j in done for j in under[i]):
                done[i] = max([height[i], *(done[j] + folder.part.caliper for j in under[i])]) if under[i] else height[i]
    for i, at in done.items():
        shifts[i] = inward * (at - height[i])

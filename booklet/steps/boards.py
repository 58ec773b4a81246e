"""The order in which rigid boards are set together, and from where each one comes. Millimetres, in the frame of the closed box.

A first board lies on the table; the others come one by one: those whose edges stand on boards that are there, and after them
those that are laid on edges. Each comes straight from the side to which all faces that it touches look, so that no glue is wiped off.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from booklet import space
from booklet.errors import refuse
from booklet.folding import Folder, folder
from booklet.net import Butt, Net, Part
from booklet.space import Rows
from booklet.steps.opening import WAYS, Opening

Vector = NDArray[np.float64]

_LEGS = 3
"""A way is told by so many stretches."""


@dataclass(frozen=True)
class Laid:
    """A board in its turn. `edges`: butts of its own edges; `faces`: butts of others' edges, which are there, on its faces."""

    net: Net
    part: Part
    edges: tuple[Butt, ...] = ()
    faces: tuple[Butt, ...] = ()

    @property
    def words(self) -> str:
        """The key of its sentence."""
        return "close-board" if self.edges else "close-board-over"

    @cached_property
    def way(self) -> Vector:
        """The direction from which it comes, of length 1: away from every face on which it stands, and its own face from edges."""
        found = sum((_away(self.net, butt, own=True) for butt in self.edges), np.zeros(3))
        found = found + sum((_away(self.net, butt, own=False) for butt in self.faces), np.zeros(3))
        size = float(np.sqrt(found @ found))
        return found / size if size > 0.5 else np.array([0.0, 0.0, 1.0])


def _away(net: Net, butt: Butt, own: bool) -> Vector:
    """From the face of a butt towards the board whose edge stands on it, or from that edge towards the face: of length 1."""
    (one, _), (two, panel) = butt.parts
    place = folder(net.part[two]).stood[folder(net.part[two]).index[panel]]
    normal: Vector = place[:3, 2]
    over = float((_middle(net.part[one]) - place[:3, 3]) @ normal)
    return normal if (over > 0) == own else -normal


def _middle(part: Part) -> Vector:
    made: Folder = folder(part)
    middle: Vector = made.middles_at(made.stood).mean(0)
    return middle


def in_order(net: Net, boards: Sequence[Part]) -> list[Laid]:
    """Boards as they come, the first one that on which most edges stand. Raises Refused where a board meets no other."""
    first = max(boards, key=lambda part: (sum(butt.parts[1][0] == part.name for butt in net.butts), -boards.index(part)))
    order, left = [Laid(net, first)], [part for part in boards if part is not first]
    while left:
        standing = {laid.part.name for laid in order}
        tried = [_laid(net, part, standing) for part in left]
        best = max(tried, key=lambda laid: (bool(laid.edges), len(laid.edges) + len(laid.faces), len(laid.edges), -left.index(laid.part)))
        if not best.edges and not best.faces:
            raise refuse("style", f"the {best.part.name} meets no other board; report this box.")
        order.append(best)
        left.remove(best.part)
    return order


def _laid(net: Net, part: Part, standing: set[str]) -> Laid:
    edges = tuple(b for b in net.butts if b.parts[0][0] == part.name and b.parts[1][0] in standing)
    return Laid(net, part, edges, tuple(b for b in net.butts if b.parts[1][0] == part.name and b.parts[0][0] in standing))


def up_of(order: Sequence[Laid]) -> Vector:
    """The direction out of the first board's face on which the others stand."""
    net, first = order[0].net, order[0].part
    standing = [butt for butt in net.butts if butt.parts[1][0] == first.name]
    return _away(net, standing[0], own=True) if standing else folder(first).stood[0][:3, 2]


def places(part: Part, way: Vector, far: float) -> tuple[Rows, ...]:
    """Places from `far` mm off, straight to the final one."""
    end = space.matrix(part.places[0])
    return tuple(space.rows(space.moved(*(way * far * (_LEGS - k) / _LEGS)) @ end) for k in range(_LEGS + 1))


def can_be_filled(net: Net, boards: Sequence[Part]) -> bool:
    """Whether the item goes in past all boards as they stand."""
    ways = [Opening(folder(part), net.item) for part in boards]
    return any(all(opening.free(folder(part).stood, way) for opening, part in zip(ways, boards, strict=True)) for way in WAYS)

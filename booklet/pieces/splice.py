"""Panels larger than the card, joined across from two or more by a strip glued over the seam. Millimetres.

A line across a panel goes on through all that hangs on it over folds that the line crosses. A fold that may be cut can stop it: what
hangs there stays whole, and is glued to each of the halves. The strips lie on the inside of the box; `Fit` and `Thickness` count them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from booklet.card import Card
from booklet.grid import Grid
from booklet.net import Net, Panel, Part
from booklet.pieces.cutting import ACROSS, Cutting, Spliced, fits, least_bad, search
from booklet.pieces.halves import across
from booklet.pieces.strips import with_strips
from booklet.plane import bounds

_DEEPEST = 5
_MOST_LINES = 4
_MOST_SETS = 400
"""So many sets of each number of cuts are tried in a part that is joined across, whose folds are many."""

_MOST_LOOKS = 16
"""So many ways are looked at: the search ends within a second."""

_FLAPS = ("glue-flap", "corner-flap", "hem", "splice-strip")


def unspliced(net: Net, part: Part) -> Spliced:
    """A part as it is, ready to be cut."""
    return Spliced(net, part)


def spliced(net: Net, part: Part, card: Card, grid: Grid) -> tuple[Net, Cutting] | None:
    """The part joined across where it must be, and how it is then cut, of the fewest pieces found; None where nothing helps."""
    finder = _Finder(card, grid)
    finder.look(unspliced(net, part), 0)
    found = finder.best and search(finder.best, card, looks=_MOST_SETS)
    return (finder.best.net, found) if finder.best and found else None


@dataclass(frozen=True, slots=True)
class _Move:
    """Panels alike, each joined across from `lines` + 1 pieces. `axis`: 0 for lines of one x. `through`: as far as folds go."""

    panels: tuple[str, ...]
    axis: int
    lines: int
    through: bool


class _Finder:
    """Tries the ways to join panels across, and keeps the best."""

    def __init__(self, card: Card, grid: Grid):
        self.card, self.grid = card, grid
        self.best: Spliced | None = None
        self.rank: tuple[float, ...] = (math.inf,)
        self.looked = 0

    def look(self, state: Spliced, depth: int) -> None:
        """All that can follow from a state."""
        self.looked += 1
        if self._least(state, len(state.forced)) > self.rank[0] or self.looked > _MOST_LOOKS:
            return
        found = search(state, self.card, any_one=True, looks=_MOST_SETS)
        if found is not None:
            self._keep(state, len(found.folds))
        elif depth < _DEEPEST:
            for move in self._moves(state):
                made = self._made(state, move)
                if made is not None:
                    self.look(made, depth + 1)

    @staticmethod
    def _least(state: Spliced, cuts: int) -> int:
        """Pieces that a state takes at least with so many cuts: each seam that holds the part together has a strip."""
        return cuts + 1 + sum(fold.kind == ACROSS for fold in state.forced)

    def _keep(self, state: Spliced, cuts: int) -> None:
        if self._least(state, cuts) > self.rank[0]:
            return
        whole = with_strips(state, self.card)
        # strips change what flaps have room, not how many cuts it takes
        cutting = None if whole is None else search(whole, self.card, cuts - len(state.forced), any_one=True, looks=_MOST_SETS)
        if whole is None or cutting is None:
            return
        rank = (len(cutting.groups), *cutting.likely)
        if rank < self.rank:
            self.best, self.rank = whole, rank

    def _moves(self, state: Spliced) -> Iterator[_Move]:
        """The largest panel of a piece that does not fit, and all like it, by lines of either way."""
        panel = self._worst(state)
        if panel is None:
            return
        like = tuple(p.name for p in state.part.panels if p.role == panel.role and _alike(_sides(p), _sides(panel)))
        for through in (True, False):
            for axis in (0, 1):
                lines = self._lines(panel, axis)
                if lines:
                    yield _Move(like, axis, lines, through)

    def _worst(self, state: Spliced) -> Panel | None:
        bad = least_bad(state, self.card)
        if bad is None:
            return None
        names = {name for size, group in zip(bad.sizes, bad.groups, strict=True) if not fits(self.card, size) for name in group}
        own = [p for p in state.part.panels if p.name in names and p.role not in _FLAPS]
        return max(own, key=lambda p: math.prod(_sides(p)), default=None)

    def _lines(self, panel: Panel, axis: int) -> int:
        """The fewest lines by which a panel's shares fit; those that make it short enough, where its other side is too long too."""
        sides = list(_sides(panel))
        for lines in range(1, _MOST_LINES + 1):
            share = sides[axis] / (lines + 1)
            if fits(self.card, (share, sides[1]) if axis == 0 else (sides[0], share)):
                return lines
        longest = max(self.card.usable)
        return 0 if sides[axis] <= longest else min(math.ceil(sides[axis] / longest) - 1, _MOST_LINES)

    def _made(self, state: Spliced, move: _Move) -> Spliced | None:
        for name in move.panels:
            panel = state.part.panel.get(name)
            if panel is None:
                # the line of one like it went through it too
                continue
            last = name
            for at in self._places(panel, move):
                done = across(state, last, move.axis, at, move.through)
                if done is None:
                    return None
                state, last = done
        return state

    def _places(self, panel: Panel, move: _Move) -> list[float]:
        """Even shares, each on a mark of the ruler from the panel's edge."""
        low, high = bounds(panel.outline)[move.axis], bounds(panel.outline)[move.axis + 2]
        return [low + self.grid.nearest((high - low) * i / (move.lines + 1)) for i in range(1, move.lines + 1)]


def _sides(panel: Panel) -> tuple[float, float]:
    x0, y0, x1, y1 = bounds(panel.outline)
    return x1 - x0, y1 - y0


def _alike(a: Sequence[float], b: Sequence[float]) -> bool:
    return max(abs(p - q) for p, q in zip(a, b, strict=True)) < 0.5


def moved_up(net: Net, floor: float, top: float, side: float) -> Net:
    """The net of a box that was built larger for its strips, told as it is for the thing in it.

    `side`, `floor` and `top`: what strips take on each wall, under the thing and over it. The floor of the inside
    rises by `floor`, and with it the frame in which parts have their places.
    """
    from booklet import space

    down = space.moved(dz=-floor)
    inside = replace(
        net.inside, length=net.inside.length - 2 * side, width=net.inside.width - 2 * side, height=net.inside.height - floor - top
    )
    parts = tuple(replace(part, places=tuple(space.rows(down @ space.matrix(place)) for place in part.places)) for part in net.parts)
    return replace(net, inside=inside, parts=parts)

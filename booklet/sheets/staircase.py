"""A few rectangles on the fewest sheets that there can be, found by exhausting smaller numbers.

Every layout can be built up so that each rectangle comes to stand in an inner corner of the staircase round those before it:
in an order in which none comes before one to its lower left, each slides left and down until it is stopped (the corner points of
Martello, Pisinger and Vigo, "The three-dimensional bin packing problem", 2000; from memory). Units and frame are those of `rectangles`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from booklet.sheets.rectangles import Job, Layout, Sheet, Spot
from booklet.tolerance import SAME_POINT

Corners = tuple[tuple[float, float], ...]
"""Upper right corners of a staircase, from the left: x grows, y falls."""


def fewest(order: Sequence[int], job: Job, least: int, most: int) -> Layout | None:
    """The layout with the fewest sheets, from `least` to `most`; None where each needs more than `most`. For fewer than eight.

    Every split of the rectangles into so many sheets is tried; whether a sheet can hold its share is known by search (`_Share`).
    """
    share = _Share(job, tuple(order))
    everything = (1 << len(order)) - 1
    for sheets in range(least, most + 1):
        if found := _split(share, everything, sheets):
            return found
    return None


def _split(share: _Share, left: int, sheets: int) -> Layout | None:
    """So many sheets that hold all that is left; the first that is left lies on the first of them."""
    if not left:
        return ()
    if not sheets or share.area(left) > sheets * share.whole:
        return None
    first = left & -left
    rest = other = left ^ first
    while True:
        if sheet := share.sheet(first | other):
            after = _split(share, rest ^ other, sheets - 1)
            if after is not None:
                return sheet, *after
        if not other:
            return None
        other = (other - 1) & rest


@dataclass
class _Share:
    """Whether some of the rectangles (a bit mask) go on one sheet; each set is searched once."""

    job: Job
    order: tuple[int, ...]
    known: dict[int, Sheet | None] = field(default_factory=dict)
    seen: set[tuple[int, Corners]] = field(default_factory=set)
    areas: dict[int, float] = field(default_factory=dict)
    narrow: dict[int, float] = field(default_factory=dict)
    room: tuple[float, float] = (0.0, 0.0)
    anchor: int = -1

    @property
    def whole(self) -> float:
        """mm2 of a sheet, gap and all."""
        return self.job.grown[0] * self.job.grown[1] * (1 + 1e-9)

    def area(self, mask: int) -> float:
        """mm2 that these rectangles take, gap and all."""
        if mask not in self.areas:
            gap, turned = self.job.gap, [self.job.forms[self.order[i]][0] for i in self.bits(mask)]
            self.areas[mask] = sum((t.w + gap) * (t.h + gap) for t in turned)
        return self.areas[mask]

    def bits(self, mask: int) -> list[int]:
        """The rectangles of a mask."""
        return [i for i in range(len(self.order)) if mask >> i & 1]

    def sheet(self, mask: int) -> Sheet | None:
        """A sheet that holds them; None where there is none."""
        if mask not in self.known:
            no = any(sheet is None and not other & ~mask for other, sheet in self.known.items())
            self.known[mask] = None if no or self.area(mask) > self.whole else self._search(mask)
        return self.known[mask]

    def _search(self, mask: int) -> Sheet | None:
        self.seen = set()
        self.room = self._reach(mask, 0), self._reach(mask, 1)
        forms = [self.order[i] for i in self.bits(mask)]
        single = [i for i in self.bits(mask) if forms.count(self.order[i]) == 1]
        self.anchor = max(single, key=lambda i: self.area(1 << i), default=-1)
        return self._go_on(mask, (), ())

    def _reach(self, mask: int, axis: int) -> float:
        """The furthest, within the sheet, that some of these rectangles side by side reach: the rest of the sheet serves nobody."""
        sums = {0.0}
        for i in self.bits(mask):
            sides = {t[1 + axis] + self.job.gap for t in self.job.forms[self.order[i]]}
            sums |= {round(s + side, 7) for s in sums for side in sides}
        return max(s for s in sums if s <= self.job.grown[axis] + SAME_POINT)

    def _go_on(self, left: int, corners: Corners, spots: Sheet) -> Sheet | None:
        """The sheet with all that is left; None where a set has been seen, needs too much card, or has a rectangle with no place."""
        if not left:
            return spots
        if (left, corners) in self.seen or self.area(left) > self._free(left, corners):
            return None
        self.seen.add((left, corners))
        places = {i: self._places(i, corners) for i in {self.order[i]: i for i in reversed(self.bits(left))}.values()}
        if all(places.values()):
            for i, spot in ((i, spot) for i, found in places.items() for spot in found):
                if found := self._go_on(left ^ 1 << i, _with(corners, spot, self.job.gap), (*spots, spot)):
                    return found
        return None

    def _places(self, i: int, corners: Corners) -> list[Spot]:
        """Where a rectangle can stand; the largest one in the sheet's lower left quarter, since a layout can be mirrored both ways."""
        (w, h), gap, form, twice = self.room, self.job.gap, self.order[i], 2 if i == self.anchor else 1
        return [
            Spot(form, turned, x, y)
            for turned in self.job.forms[form]
            for x, y in _inner(corners)
            if twice * x + turned.w + gap <= w + SAME_POINT and twice * y + turned.h + gap <= h + SAME_POINT
        ]

    def _free(self, left: int, corners: Corners) -> float:
        """mm2 outside the staircase and the strips that are too narrow for all that is left."""
        (w, h), least = self.room, self._narrowest(left)
        taken = before = 0.0
        for x, y in corners:
            x, y = (w if w - x < least else x), (h if h - y < least else y)
            taken, before = taken + (x - before) * y, x
        return w * h - taken + SAME_POINT * (w + h)

    def _narrowest(self, left: int) -> float:
        if left not in self.narrow:
            sides = [side for i in self.bits(left) for t in self.job.forms[self.order[i]] for side in t[1:]]
            self.narrow[left] = min(sides) + self.job.gap - SAME_POINT
        return self.narrow[left]


def _inner(corners: Corners) -> list[tuple[float, float]]:
    """The inner corners of a staircase, in which the next rectangle may stand."""
    return [(x, y) for (x, _), (_, y) in zip(((0.0, 0.0), *corners), (*corners, (0.0, 0.0)), strict=True)]


def _with(corners: Corners, spot: Spot, gap: float) -> Corners:
    """The staircase with one rectangle more."""
    x, y = round(spot.right + gap, 7), round(spot.top + gap, 7)
    return tuple(sorted([*(c for c in corners if c[0] > x or c[1] > y), (x, y)]))

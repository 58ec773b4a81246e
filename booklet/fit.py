"""How tightly a box fits the thing in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from booklet.grid import Grid
from booklet.net import Item


@dataclass(frozen=True, slots=True)
class Fit:
    """The thing as measured, as read off a ruler, and the play asked for. All mm.

    `item`: as the spec gives it. `read`: as a maker reads it (up to the next 1/8 in where inches are
    given between the marks). `clearance`: play across, in all; `headroom`: above the item.
    """

    item: Item
    read: Item
    clearance: float
    headroom: float
    grid: Grid

    def enough(self, across: Sequence[float], above: float) -> tuple[float, float]:
        """Of some plays across and the play above an item the one that is worst, with the least that it has to be."""
        plays = [*((play, self.clearance) for play in across), (above, self.headroom)]
        return min(((play, self.grid.least_play(asked)) for play, asked in plays), key=lambda each: each[0] - each[1])

    def across(self, size: float, layers: float) -> float:
        """Fold-to-fold size for a side of the item, with `layers` mm of card between the folds."""
        return self.grid.with_play(size, self.clearance, layers)

    def upward(self, layers: float) -> float:
        """Fold-to-rim or fold-to-fold height with `layers` mm of card on that axis."""
        return self.grid.with_play(self.read.height, self.headroom, layers)

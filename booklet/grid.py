"""The ruler grid: the marks that a maker can read. Sizes are put on it once, by the rules here."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

Units = Literal["mm", "in"]
INCH = 25.4
_NOISE = 1e-9


@dataclass(frozen=True, slots=True)
class Grid:
    """Marks 0.5 mm apart for "mm", 1/16 in for "in". All sizes in mm.

    >>> Grid("mm").up(114.21), Grid("mm").down(114.21), Grid("in").nearest(114.0)
    (114.5, 114.0, 114.3)
    """

    units: Units

    @property
    def mark(self) -> float:
        """Distance between two marks in mm."""
        return 0.5 if self.units == "mm" else INCH / 16

    def _at(self, count: int) -> float:
        return count / 2 if self.units == "mm" else count * INCH / 16

    def up(self, size: float) -> float:
        """The smallest mark that is not less than `size`."""
        return self._at(math.ceil(size / self.mark - _NOISE))

    def down(self, size: float) -> float:
        """The largest mark that is not more than `size`."""
        return self._at(math.floor(size / self.mark + _NOISE))

    def nearest(self, size: float) -> float:
        """The nearest mark; the lower one when `size` lies half-way."""
        return self._at(math.ceil(size / self.mark - 0.5 - _NOISE))

    def with_play(self, thing: float, play: float, layers: float) -> float:
        """The smallest mark that leaves the play asked for less at most one mark, and at least half of it.

        `layers`: mm of card between the two folds on that axis.
        """
        return self.up(thing + self.least_play(play) + layers)

    def least_play(self, asked: float) -> float:
        """The play that has to be left of the play asked for: at most one mark less, and at least half of it."""
        return asked - min(self.mark, asked / 2)

    def meeting_wall(self, f: float, t: float) -> float:
        """Depth of a panel that meets a wall across a distance f, fold to fold, in card of caliper t.

        f - t to the nearest mark where that bites at most 0.4 mm into the wall, else the mark below.
        """
        near = self.nearest(f - t)
        return near if near - (f - t) <= 0.4 + _NOISE else self.down(f - t)

    def default(self, mm: float, inches: float) -> float:
        """A default that is a round figure in either unit."""
        return mm if self.units == "mm" else inches * INCH

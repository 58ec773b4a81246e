"""The fewest cells of a grid that meet every demand and hang together over their sides.

Cells are bits of a number: column + row * columns. A demand is a number too: one of its cells at least is wanted.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

EFFORT = 4000
"""Sets of cells that are looked at for one answer; beyond that the answer is "not known"."""


@dataclass
class Picker:
    """Chooses cells in a grid of so many columns and rows. `sure`: no search was ever given up."""

    columns: int
    rows: int
    sure: bool = True
    _seen: dict[int, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.near = [self._beside(n) for n in range(self.columns * self.rows)]

    def _beside(self, cell: int) -> int:
        """The cells at the sides of one."""
        i, j = cell % self.columns, cell // self.columns
        sides = ((i - 1, j), (i + 1, j), (i, j - 1), (i, j + 1))
        return sum(1 << (a + b * self.columns) for a, b in sides if 0 <= a < self.columns and 0 <= b < self.rows)

    def fewest(self, forced: int, demands: Sequence[int], most: int) -> tuple[int, int]:
        """The number of cells that are needed at least, and such a set; (most + 1, 0) where more than `most` are needed.

        The set is 0 as well where the search was given up: then the number is a bound only.
        """
        open_ = [demand for demand in demands if not demand & forced]
        for number in range(max(forced.bit_count() + bool(open_), 1), most + 1):
            self._seen = {}
            found = self._grown(forced, open_, number - forced.bit_count())
            if found or len(self._seen) > EFFORT:
                self.sure = self.sure and bool(found)
                return number, found
        return most + 1, 0

    def _grown(self, used: int, demands: Sequence[int], left: int) -> int:
        """A set with at most `left` cells more that meets all demands in one connected patch, or 0."""
        if self._seen.get(used, -1) >= left or len(self._seen) > EFFORT:
            return 0
        self._seen[used] = left
        choice = self._choice(used, demands)
        if not choice:
            return used
        if left:
            for cell in bits(choice):
                if found := self._grown(used | 1 << cell, demands, left - 1):
                    return found
        return 0

    def _choice(self, used: int, demands: Sequence[int]) -> int:
        """Cells of which one at least must be added; 0 where nothing is missing."""
        unmet = [demand for demand in demands if not demand & used]
        if unmet:
            return min(unmet, key=int.bit_count)
        patch = self.patch(used)
        return self._border(patch) & ~used if patch != used else 0

    def patch(self, used: int) -> int:
        """The cells that hang together with the first one."""
        patch, todo = 0, used & -used
        while todo:
            patch |= todo
            todo = self._border(todo) & used & ~patch
        return patch

    def _border(self, cells: int) -> int:
        around = 0
        for cell in bits(cells):
            around |= self.near[cell]
        return around


def bits(cells: int) -> Iterator[int]:
    """The cells in a number, the lowest first.

    >>> list(bits(0b1101))
    [0, 2, 3]
    """
    while cells:
        low = cells & -cells
        yield low.bit_length() - 1
        cells ^= low

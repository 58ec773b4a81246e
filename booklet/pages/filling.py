"""Drawings that give way to the blocks that come after them: what a page leaves, or a fair part of it. Sizes in mm."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from booklet.drawing.pen import MM_PER_POINT, Pen
from booklet.drawing.recording import measured
from booklet.errors import Refused
from booklet.pages.markdown import shaped
from booklet.pdf import flow
from booklet.pdf.flow import Picture
from booklet.pdf.typeset import Typesetter

Box = tuple[float, float, float, float]
Draw = Callable[[Pen, Box], Any]

LEAST_CELL = 50.0
"""Drawings are not made narrower than this to stand side by side (chosen by us)."""

LEAST_SHARE, LEAST_HIGH = 0.3, 45.0
"""A drawing that fills a page gives way to what comes after it down to this share of its full height and to so many mm (chosen by us)."""

TOGETHER_SHARE = 0.75
"""With the block after it such a drawing stands on one page where the two take no more of it than this (chosen by us)."""

LEAST_BARE, LEAST_EACH = 30.0, 1.25
"""A drawing with numbered points is not made lower than the first and the second for each number (chosen by looking)."""

MIXED_BARE, MIXED_EACH = 25.0, 0.65
"""The same where it gives way to its table on the page (chosen by looking)."""

HEADING = 13.0
"""What a heading of two lines takes over a drawing."""

MOST_GROUPS = 4
"""So many groups of columns a list of points has at most (chosen by us)."""

TABLE_GAP = 4.0
"""Between the columns of a table, as it is set."""


class Filling(Picture):
    """A drawing that takes what is left of a page over the blocks that come after it, or over the first of them, up to a height.

    `then`: what follows those and has that height at least; where both find room on a page the drawing leaves it.
    """

    gives_way = True

    def __init__(self, width: float, most: float, page: float, after: Sequence[Any], draw: Draw, then: float = 0.0, numbers: int = 0):
        super().__init__(width, most, lambda pen: draw(pen, (0.0, 0.0, width, self.height * MM_PER_POINT)))
        self._most, self._page, self._after, self._then = min(most, page), page, after, then
        self._least = least(self._most, numbers)
        self._below: dict[float, list[float]] = {}

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Called by platypus: with the height of the place that is left, or with a huge one to hear how much is wanted."""
        left = height * MM_PER_POINT
        below = self._below.get(width)
        if below is None:
            below = self._below[width] = [deep(self._after[:n], width * MM_PER_POINT) for n in (len(self._after), 1, 0)]
        self.height = (self._wanted(below[1]) if left > 10 * self._page else self._taken(left, below)) / MM_PER_POINT
        return self.width, self.height

    def _wanted(self, first: float) -> float:
        wanted = self._least + first
        return wanted if wanted <= TOGETHER_SHARE * self._page else self._least

    def _taken(self, left: float, below: Sequence[float]) -> float:
        """What there is over all that comes after, shared evenly with what follows; else over some of it."""
        spare = left - below[0] - self._then - self._least
        if self._then and spare >= 0:
            return min(self._most, self._least + spare / 2)
        return next((min(self._most, left - one) for one in below if left - one >= self._least), self._least)


def least(most: float, numbers: int = 0) -> float:
    """How low a drawing of a full height with so many numbered points may become."""
    return min(most, max(LEAST_SHARE * most, LEAST_HIGH, MIXED_BARE + numbers * MIXED_EACH))


def deep(blocks: Sequence[Any], width: float) -> float:
    """How much blocks take under each other in a column of a width, the room after each counted."""
    return float(sum(block.wrap(width / MM_PER_POINT, 1e6)[1] + block.getSpaceAfter() for block in blocks)) * MM_PER_POINT


def shared(most: float, numbers: int, share: float, after: Sequence[Any], width: float) -> float:
    """How high a drawing with so many numbers is that has a part of a page with a heading and the blocks after it; at most `most`."""
    return min(most, max(LEAST_BARE + numbers * LEAST_EACH, share - HEADING - deep(after, width)))


def kept(blocks: Sequence[Any]) -> list[Any]:
    """Blocks that columns and pages do not part."""
    for block in blocks[:-1]:
        block.keepWithNext = 1
    return list(blocks)


def grouped(make: Typesetter, head: Sequence[str], rows: Sequence[Sequence[str]], width: float) -> Any:
    """A table whose rows run down several groups of its columns side by side."""
    side = min(_side_by_side(make.type.table[0], head, rows, width), len(rows))
    deepest = math.ceil(len(rows) / side)
    filled = [*rows, *([[""] * len(head)] * (side * deepest - len(rows)))]
    cells = [_in_a_row([filled[k * deepest + n] for k in range(side)]) for n in range(deepest)]
    aligns = [one or "left" for one in _in_a_row([["right"] * len(head)] * side)]
    return make.table(_in_a_row([head] * side), [[shaped(word) for word in row] for row in cells], aligns)


def _side_by_side(size: float, head: Sequence[str], rows: Sequence[Sequence[str]], width: float) -> int:
    """How many groups of columns a table of a width has room for, by their widest words."""
    widest = [max(measured(shaped(word), size, n == 0) for n, word in enumerate(column)) for column in zip(head, *rows, strict=True)]
    group = sum(widest) + len(head) * (TABLE_GAP + 0.4)
    return max(1, min(MOST_GROUPS, int((width + 2 * TABLE_GAP) / (group + TABLE_GAP + 0.4))))


def _in_a_row(groups: Sequence[Sequence[str]]) -> list[str]:
    """The cells of a row of several groups of columns, an empty one between two groups."""
    return [cell for k, group in enumerate(groups) for cell in (*([""] if k else ()), *group)]


def too_high(blocks: Sequence[Any], wide: float, high: float) -> Refused | None:
    """The error for drawings and boxes that are higher than a page of a height, each with the line that asks for it; None for none."""
    found = [(flow.height([block], wide), block.place) for block in blocks if hasattr(block, "place")]
    told = "{} is {:.0f} mm high and its place on the page {:.0f} mm; make it smaller"
    faults = [replace(place, text=told.format(place.text or "the drawing", tall, high)) for tall, place in found if tall > high]
    return Refused(faults) if faults else None

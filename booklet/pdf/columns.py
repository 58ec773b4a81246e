"""Blocks in two columns, as even as can be, parted over pages where they must be. Points, but for gutters and gaps in mm."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reportlab.platypus.flowables import Flowable

from booklet.drawing.pen import MM_PER_POINT

LINE = 13
"""Points by which a column's table is made lower until it has room: a line of a table."""


LONG_TABLE, WORTH_PARTING = 10, 2 * LINE
"""A table of so many rows or more goes on in the second column where columns become so many points lower by it (chosen by looking)."""

Run = list[tuple[Any, float, float]]
"""The blocks of one column, each with the distance from the column's top to its top and its height, in points."""


class Columns(Flowable):
    """Blocks in two columns, balanced; parted over pages where they must be."""

    def __init__(self, blocks: Sequence[Any], gutter_mm: float, after_mm: float = 2.0):
        super().__init__()
        self.blocks, self._gutter = list(blocks), gutter_mm / MM_PER_POINT
        self._after_mm = after_mm
        self.spaceAfter = after_mm / MM_PER_POINT
        self.spaceBefore = self.blocks[0].getSpaceBefore() if self.blocks else 0
        self._runs: list[Run] = []

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Called by platypus."""
        self._column = (width - self._gutter) / 2
        self._sizes = [b.wrap(self._column, 1e6)[1] for b in self.blocks]
        self._tops = [top for _, top, _ in self._run(0, len(self.blocks))]
        at = self._best(len(self.blocks))
        self._runs = self._evened([self._run(0, at), self._run(at, len(self.blocks))])
        self.width, self.height = width, self._lowest(self._runs)
        return self.width, self.height

    def _evened(self, runs: list[Run]) -> list[Run]:
        """The columns, or others that are lower because a long table goes on in the second one with its head."""
        best, most = runs, self._lowest(runs) - WORTH_PARTING
        for k, table in enumerate(self.blocks):
            if _long(table) and most > 0:
                tried = self._over_both(k, table)
                if self._lowest(tried) < most:
                    best, most = tried, self._lowest(tried)
        return best

    def _over_both(self, k: int, table: Any) -> list[Run]:
        """The columns with block k, a table, parted between them as evenly as can be."""
        above, below = self._foot(self._run(0, k + 1)), self._foot(self._run(k, len(self.blocks)))

        def lowest(rows: int) -> float:
            return max(above - table.high(rows), below - table.high(0, rows))

        parts = table.parted(min(range(2, len(table.rows) - 1), key=lowest))
        first, second = ((part, part.wrap(self._column, 1e6)[1]) for part in parts)
        return [self._stacked([*self._pairs(0, k), first]), self._stacked([second, *self._pairs(k + 1, len(self.blocks))])]

    def _pairs(self, start: int, end: int) -> list[tuple[Any, float]]:
        return list(zip(self.blocks[start:end], self._sizes[start:end], strict=True))

    def _lowest(self, runs: Sequence[Run]) -> float:
        return max(self._foot(run) for run in runs)

    @property
    def most(self) -> float:
        """How high it may become, in points, by drawings in its columns."""
        return self.height + min((sum(map(_growth, run)) for run in self._growing), default=0.0)

    @property
    def _growing(self) -> list[list[Any]]:
        """The drawings that may grow, of each column that has any."""
        runs = [[block for block, _, _ in run if _growth(block) > 0] for run in self._runs]
        return [run for run in runs if run]

    def grow(self, more: float) -> None:
        """Let the drawings of each column become so many points higher together."""
        for run in self._growing:
            left = more
            for block in run:
                step = min(left, _growth(block))
                block.grow(step)
                left -= step

    def _best(self, end: int) -> int:
        """Where the second column begins: the most even way that leaves no heading at a column's foot."""
        ends = [k for k in range(1, end + 1) if self._parts_at(k)] or [end]
        return min(ends, key=lambda k: (max(self._high(0, k), self._high(k, end)), k))

    def _parts_at(self, k: int) -> bool:
        """Whether a column may end before block k: not after a heading or words with a colon, nor with one item of a list alone."""
        before = self.blocks[k - 1]
        if before.getKeepWithNext() and not getattr(before, "ends_column", False):
            return False
        if not self._in_list(k - 1) or not self._in_list(k):
            return True
        return self._in_list(k - 2) and self._in_list(k + 1)

    def _in_list(self, k: int) -> bool:
        return 0 <= k < len(self.blocks) and bool(getattr(self.blocks[k], "bulletText", None))

    def _run(self, start: int, end: int) -> Run:
        return self._stacked(self._pairs(start, end))

    @staticmethod
    def _stacked(blocks: Sequence[tuple[Any, float]]) -> Run:
        """Blocks of one column with their heights, under each other."""
        run: Run = []
        y, last = 0.0, 0.0
        for block, high in blocks:
            y += max(block.getSpaceBefore(), last) if run else 0.0
            run.append((block, y, high))
            y, last = y + high, block.getSpaceAfter()
        return run

    @staticmethod
    def _foot(run: Run) -> float:
        return run[-1][1] + run[-1][2] if run else 0.0

    def split(self, width: float, height: float) -> list[Any]:
        """Called by platypus: as many whole blocks as two columns of this height hold."""
        self.wrap(width, height)
        fits = [k for k in range(1, len(self.blocks)) if self._holds(k, height) and self._parts_at(k)]
        end = fits[-1] if fits else 0
        return self._parted_table(end, height) or ([self._like(self.blocks[:end]), self._like(self.blocks[end:])] if end else [])

    def _like(self, blocks: Sequence[Any]) -> Columns:
        return Columns(blocks, self._gutter * MM_PER_POINT, self._after_mm)

    def _parted_table(self, end: int, height: float) -> list[Any]:
        """The columns parted within the table that follows the blocks up to `end`, with its headings; none where there is no room."""
        k = next((k for k in range(end, len(self.blocks)) if not self.blocks[k].getKeepWithNext()), end)
        table = self.blocks[k]
        if not getattr(table, "parts_in_columns", False):
            return []
        for room in range(int(min(height, table.height)), 0, -LINE):
            parts = table.split(self._column, room)
            if not parts:
                return []
            first = self._like([*self.blocks[:k], parts[0]])
            if first.wrap(self.width, height)[1] <= height:
                return [first, self._like([*parts[1:], *self.blocks[k + 1 :]])]
        return []

    def _holds(self, end: int, height: float) -> bool:
        if self._high(0, end) > 2 * height:
            return False
        at = self._best(end)
        if max(self._high(0, at), self._high(at, end)) <= height:
            return True
        return any(map(_long, self.blocks[:end])) and self._like(self.blocks[:end]).wrap(self.width, height)[1] <= height

    def _high(self, start: int, end: int) -> float:
        """How high the blocks from one to before another stand in a column."""
        return self._tops[end - 1] + self._sizes[end - 1] - self._tops[start] if end > start else 0.0

    def draw(self) -> None:
        """Called by platypus."""
        for n, run in enumerate(self._runs):
            for block, top, high in run:
                block.drawOn(self.canv, n * (self._column + self._gutter), self.height - top - high)


def _long(block: Any) -> bool:
    """Whether a block is a table that may be parted between columns."""
    return getattr(block, "parts_in_columns", False) and len(block.rows) >= LONG_TABLE


def _growth(block: Any) -> float:
    """How many points higher a block may become."""
    return max(0.0, getattr(block, "most", 0.0) - block.height) if hasattr(block, "grow") else 0.0

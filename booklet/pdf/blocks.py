"""Blocks that a page is set from besides paragraphs and tables: boxes with a sign, columns, steps, room kept free.

Sizes are given in mm; platypus reckons in points.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.platypus.doctemplate import CondPageBreak, PageBreak
from reportlab.platypus.flowables import Flowable, KeepTogether

from booklet.drawing.pen import MM_PER_POINT, STROKES, Pen
from booklet.pdf.pen import PdfPen

Size = tuple[float, float]
"""Width and height, or x and y, in points."""

SIGN = 10.0
"""Height of the alert sign in mm: pictograms are 10 mm or more (CLP, table 1.3)."""


def points(mm: float) -> float:
    """Millimetres in points."""
    return mm / MM_PER_POINT


class Boxed(Flowable):
    """A ruled box round blocks; the alert sign, a triangle with a stroke and a dot, stands at the left."""

    pad = points(2.5)

    def __init__(self, blocks: Sequence[Any], sign: bool):
        super().__init__()
        self._blocks, self._sign = blocks, sign
        self.spaceBefore = self.spaceAfter = points(2.0)

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Called by platypus."""
        self._left = self.pad + (points(SIGN) * 1.155 + self.pad if self._sign else 0)
        self._heights = [b.wrap(width - self._left - self.pad, height)[1] for b in self._blocks]
        least = points(SIGN) if self._sign else 0
        self.width, self.height = width, max(sum(self._heights), least) + 2 * self.pad
        return self.width, self.height

    def draw(self) -> None:
        """Called by platypus."""
        y = self.height - self.pad
        for block, high in zip(self._blocks, self._heights, strict=True):
            y -= high
            block.drawOn(self.canv, self._left, y)
        pen = PdfPen(self.canv)
        wide, high = self.width * MM_PER_POINT, self.height * MM_PER_POINT
        pen.path([(0, 0), (wide, 0), (wide, high), (0, high)], STROKES["edge"], closed=True)
        if self._sign:
            alert_sign(pen, 2.5, high - 2.5 - SIGN, SIGN)
        pen.rest()


def alert_sign(pen: Pen, x: float, y: float, high: float) -> None:
    """A plain alert sign of our own: a triangle `high` mm high, its lower left corner at x, y."""
    half = high / 3**0.5
    pen.path([(x, y), (x + 2 * half, y), (x + half, y + high)], STROKES["cut"], closed=True)
    m, w = x + half, high * 0.05
    pen.fill([((m - w, y + 0.32 * high), (m + w, y + 0.32 * high), (m + w * 1.3, y + 0.68 * high), (m - w * 1.3, y + 0.68 * high))], 0.0)
    pen.fill([((m - w, y + 0.14 * high), (m + w, y + 0.14 * high), (m + w, y + 0.24 * high), (m - w, y + 0.24 * high))], 0.0)


class Columns(Flowable):
    """Blocks in two columns, balanced; parted over pages where they must be."""

    def __init__(self, blocks: Sequence[Any], gutter_mm: float, after_mm: float = 2.0):
        super().__init__()
        self._blocks, self._gutter = list(blocks), points(gutter_mm)
        self._after_mm = after_mm
        self.spaceAfter = points(after_mm)
        self.spaceBefore = self._blocks[0].getSpaceBefore() if self._blocks else 0
        self._runs: list[list[tuple[Any, float, float]]] = []

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Called by platypus."""
        self._column = (width - self._gutter) / 2
        self._sizes = [b.wrap(self._column, 1e6)[1] for b in self._blocks]
        at = self._best(len(self._blocks))
        self._runs = [self._run(0, at), self._run(at, len(self._blocks))]
        self.width, self.height = width, max(self._foot(run) for run in self._runs)
        return self.width, self.height

    def _best(self, end: int) -> int:
        """Where the second column begins: the most even way that leaves no heading at a column's foot."""
        ends = [k for k in range(1, end + 1) if self._parts_at(k)] or [end]
        return min(ends, key=lambda k: (max(self._foot(self._run(0, k)), self._foot(self._run(k, end))), k))

    def _parts_at(self, k: int) -> bool:
        """Whether a column may end before block k: not after a heading, nor with one item of a list alone."""
        if self._blocks[k - 1].getKeepWithNext():
            return False
        if not self._in_list(k - 1) or not self._in_list(k):
            return True
        return self._in_list(k - 2) and self._in_list(k + 1)

    def _in_list(self, k: int) -> bool:
        return 0 <= k < len(self._blocks) and bool(getattr(self._blocks[k], "bulletText", None))

    def _run(self, start: int, end: int) -> list[tuple[Any, float, float]]:
        """Blocks of one column, each with the distance from the column's top to its top and its height."""
        run: list[tuple[Any, float, float]] = []
        y, last = 0.0, 0.0
        for k in range(start, end):
            y += max(self._blocks[k].getSpaceBefore(), last) if run else 0.0
            run.append((self._blocks[k], y, self._sizes[k]))
            y, last = y + self._sizes[k], self._blocks[k].getSpaceAfter()
        return run

    @staticmethod
    def _foot(run: Sequence[tuple[Any, float, float]]) -> float:
        return run[-1][1] + run[-1][2] if run else 0.0

    def split(self, width: float, height: float) -> list[Any]:
        """Called by platypus: as many whole blocks as two columns of this height hold."""
        self.wrap(width, height)
        fits = [k for k in range(1, len(self._blocks)) if self._holds(k, height) and self._parts_at(k)]
        if not fits:
            return []
        parts = (self._blocks[: fits[-1]], self._blocks[fits[-1] :])
        return [Columns(part, self._gutter * MM_PER_POINT, self._after_mm) for part in parts]

    def _holds(self, end: int, height: float) -> bool:
        at = self._best(end)
        return max(self._foot(self._run(0, at)), self._foot(self._run(at, end))) <= height

    def draw(self) -> None:
        """Called by platypus."""
        for n, run in enumerate(self._runs):
            for block, top, high in run:
                block.drawOn(self.canv, n * (self._column + self._gutter), self.height - top - high)


Picturing = Callable[[Pen, tuple[float, float, float, float]], None]
"""Draws in a box given as least x, least y, greatest x, greatest y in mm."""


@dataclass(frozen=True)
class Cell:
    """A step: its number, its picture, its words; a warning before it if there is one. Sizes in points."""

    number: str
    words: Any
    picture: Picturing
    warning: Any = None

    def words_height(self, width: float) -> float:
        """Height of the words in a cell of a width."""
        return float(self.words.wrap(width, 1e6)[1])

    def warning_height(self, width: float) -> float:
        """Height of the warning with the room under it, or 0."""
        return float(self.warning.wrap(width, 1e6)[1]) + points(2.0) if self.warning else 0.0

    def paint(self, canvas: Any, at: Size, size: Size, words: float, number_pt: float) -> None:
        """Draw number, picture and words; `at` is the lower left corner, `words` the height kept for words."""
        (x, y), (wide, high) = at, size
        self.words.drawOn(canvas, x, y + words - self.words_height(wide))
        pen = PdfPen(canvas)
        x0, x1, y0, y1 = (v * MM_PER_POINT for v in (x, x + wide, y + words, y + high))
        pen.text((x0, y1 - number_pt * MM_PER_POINT * 0.72), self.number, number_pt, bold=True)
        self.picture(pen, (x0 + pen.width("00", number_pt, True) * 0.6, y0 + 2.5, x1, y1 - 1.0))
        pen.rest()


class CellRow(Flowable):
    """Cells side by side under a thin rule, never parted.

    A warning of the first cell alone stands over the whole row; else each stands over its own cell, whose picture gives way.
    """

    def __init__(self, cells: Sequence[Cell], height: float, cell_width: float, gutter: float, number_pt: float):
        super().__init__()
        self._cells, self._cell, self._gutter, self._number = cells, cell_width, gutter, number_pt
        self._words = max(cell.words_height(cell_width) for cell in cells)
        self.height = height

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Called by platypus."""
        self.width = width
        return width, self.height

    def draw(self) -> None:
        """Called by platypus."""
        pen = PdfPen(self.canv)
        top = self.height * MM_PER_POINT
        pen.path([(0, top), (self.width * MM_PER_POINT, top)], STROKES["dimension"])
        pen.rest()
        whole = _over_all(self._cells)
        band = self._warn(self._cells[0], 0, self.width) if whole else 0.0
        for k, cell in enumerate(self._cells):
            x = k * (self._cell + self._gutter)
            own = band if whole else self._warn(cell, x, self._cell)
            cell.paint(self.canv, (x, points(3.5)), (self._cell, self.height - own - points(6.0)), self._words, self._number)

    def _warn(self, cell: Cell, x: float, width: float) -> float:
        """Draw a cell's warning at the top, and tell the height that it takes."""
        high = cell.warning_height(width)
        if cell.warning:
            cell.warning.drawOn(self.canv, x, self.height - points(2.5) - cell.warning.height)
        return high


def _over_all(cells: Sequence[Cell]) -> bool:
    """Whether the first cell alone has a warning."""
    return bool(cells[0].warning) and not any(cell.warning for cell in cells[1:])


def _band(cells: Sequence[Cell], width: float, cell: float) -> float:
    """Height that a row's warnings take, points."""
    return cells[0].warning_height(width) if _over_all(cells) else max(c.warning_height(cell) for c in cells)


def cell_rows(
    cells: Sequence[Cell], grid: tuple[int, int], width_mm: float, height_mm: float, gutter_mm: float, number_pt: float
) -> list[CellRow]:
    """Cells in pages of `grid` (columns, rows); each page's warnings are taken off its height before it is parted evenly."""
    columns, rows = grid
    wide, gutter = points(width_mm), points(gutter_mm)
    cell = (wide - gutter * (columns - 1)) / columns
    lines = [cells[k : k + columns] for k in range(0, len(cells), columns)]
    result = []
    for k in range(0, len(lines), rows):
        bands = [_band(line, wide, cell) for line in lines[k : k + rows]]
        share = (points(height_mm) - sum(bands)) / rows
        result += [CellRow(line, share + band, cell, gutter, number_pt) for line, band in zip(lines[k : k + rows], bands, strict=True)]
    return result


def warnings_height(cells: Sequence[Cell], columns: int, width_mm: float, gutter_mm: float) -> float:
    """Height that the warnings over rows of cells take, mm."""
    cell = points((width_mm - gutter_mm * (columns - 1)) / columns)
    lines = [cells[k : k + columns] for k in range(0, len(cells), columns)]
    return sum(_band(line, points(width_mm), cell) for line in lines) * MM_PER_POINT


class Late(Flowable):
    """Room kept free for what is known only at the end; `seen(x, y)` is told its lower left corner on the page, in mm."""

    def __init__(self, width_mm: float, height_mm: float, seen: Callable[[float, float], None]):
        super().__init__()
        self.width, self.height, self._seen = points(width_mm), points(height_mm), seen

    def draw(self) -> None:
        """Called by platypus."""
        x, y = self.canv.absolutePosition(0, 0)
        self._seen(x * MM_PER_POINT, y * MM_PER_POINT)


class Mark(Flowable):
    """Nothing to see: calls back when the page that it stands on is drawn, and stays with what follows."""

    def __init__(self, seen: Callable[[], Any]):
        super().__init__()
        self._seen = seen
        self.width = self.height = 0
        self.keepWithNext = 1

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Called by platypus."""
        return 0, 0

    def draw(self) -> None:
        """Called by platypus."""
        self._seen()


class Gap(Flowable):
    """Empty room of a height."""

    def __init__(self, height_mm: float):
        super().__init__()
        self.width, self.height = 0, points(height_mm)

    def draw(self) -> None:
        """Called by platypus."""


def page_break() -> Any:
    """What follows stands on a new page."""
    return PageBreak()


def room(height_mm: float) -> Any:
    """What follows stands on a new page unless so much room is left."""
    return CondPageBreak(points(height_mm))


def together(blocks: Sequence[Any]) -> Any:
    """Blocks that are not parted where they fit on one page."""
    return KeepTogether(list(blocks))


class Rest(Flowable):
    """A drawing that takes what a page leaves: its height is that of the place less `below`, in mm. `draw(pen, width, height)`."""

    def __init__(self, draw: Callable[[Pen, float, float], None]):
        super().__init__()
        self._draw, self.below = draw, 0.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Called by platypus."""
        self.width, self.height = width, max(points(20.0), height - points(self.below) - 1)
        return self.width, self.height

    def draw(self) -> None:
        """Called by platypus."""
        pen = PdfPen(self.canv)
        self._draw(pen, self.width * MM_PER_POINT, self.height * MM_PER_POINT)
        pen.rest()


def link(canvas: Any, rect_mm: tuple[float, float, float, float], key: str) -> None:
    """Make a rectangle of the open page lead to a bookmark, without a frame."""
    canvas.linkRect("", key, tuple(points(v) for v in rect_mm), relative=0, thickness=0, Border="[0 0 0]")

"""Steps on a page: cells with a number, a picture and words, in rows under thin rules. Sizes in points unless told otherwise."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.platypus.flowables import Flowable

from booklet.drawing.pen import MM_PER_POINT, STROKES, Pen
from booklet.pdf.blocks import Size, points
from booklet.pdf.pen import PdfPen

Picturing = Callable[[Pen, tuple[float, float, float, float]], None]
"""Draws in a box given as least x, least y, greatest x, greatest y in mm."""


NARROW = 70.0
"""mm: in a cell that is narrower a warning would take the room of the picture, so it stands over the whole row (chosen by looking)."""

NUMBER_GAP = 1.0
"""mm from a number to the picture beside it at least."""


LEAST_PICTURE = 12.0
"""mm: a picture is given so much height at least (chosen by looking)."""


@dataclass(frozen=True)
class Cell:
    """A step: its number, its picture, its words; a warning before it if there is one. `alt`: what the picture shows. Sizes in points.

    `said`: the step in words, for those who hear it, where `words` are signs.
    """

    number: str
    words: Any
    picture: Picturing
    warning: Any = None
    alt: str = ""
    said: str = ""

    def words_height(self, width: float) -> float:
        """Height of the words in a cell of a width."""
        return float(self.words.wrap(width, 1e6)[1])

    def warning_height(self, width: float) -> float:
        """Height of the warning with the room under it, or 0."""
        return float(self.warning.wrap(width, 1e6)[1]) + points(2.8) if self.warning else 0.0

    def paint(self, canvas: Any, at: Size, size: Size, words: float, number_pt: float) -> None:
        """Draw number, picture and words; `at` is the lower left corner, `words` the height kept for words."""
        (x, y), (wide, high) = at, size
        pen = PdfPen(canvas)
        x0, x1, y0, y1 = (v * MM_PER_POINT for v in (x, x + wide, y + words, y + high))
        label, body = canvas.added("Lbl"), canvas.added("LBody")
        with canvas.within(body):
            self.words.drawOn(canvas, x, y + words - self.words_height(wide))
        with canvas.content(label):
            pen.text((x0, y1 - number_pt * MM_PER_POINT * 0.72), self.number, number_pt, bold=True)
            pen.rest()
        with canvas.within(body), canvas.figure((wide, high - words), f"{self.said} {self.alt}".strip(), (x, y + words)):
            left = max(0.6 * pen.width("00", number_pt, True), pen.width(self.number, number_pt, True) + NUMBER_GAP)
            self.picture(pen, (x0 + left, y0 + 2.5, x1, y1 - 1.0))
            pen.rest()


class CellRow(Flowable):
    """Cells side by side under a thin rule, never parted.

    A warning of the first cell alone stands over the whole row, and where cells are narrow that of any one alone; else each stands over
    its own cell, whose picture gives way.
    """

    def __init__(self, cells: Sequence[Cell], height: float, cell_width: float, gutter: float, number_pt: float):
        super().__init__()
        self.cells, self._cell, self._gutter, self._number = cells, cell_width, gutter, number_pt
        self._words = max(cell.words_height(cell_width) for cell in cells)
        self.height = height

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Called by platypus. Words and warnings that leave too little for a picture make the row higher: it goes on the next page then."""
        self.width = width
        least = _band(self.cells, width, self._cell) + self._words + points(LEAST_PICTURE + 6.0)
        self.height = max(self.height, least)
        return width, self.height

    def draw(self) -> None:
        """Called by platypus."""
        pen = PdfPen(self.canv)
        top = self.height * MM_PER_POINT
        pen.path([(0, top), (self.width * MM_PER_POINT, top)], STROKES["dimension"])
        pen.rest()
        over = _over_all(self.cells, self._cell)
        for k, cell in enumerate(self.cells):
            x, wide = (0.0, self.width) if over else (k * (self._cell + self._gutter), self._cell)
            band = (over or cell).warning_height(wide)
            with self.canv.within(self.canv.item(cell.number == "1")):
                if cell.warning:
                    cell.warning.drawOn(self.canv, x, self.height - points(2.5) - cell.warning.height)
                at = k * (self._cell + self._gutter), points(3.5)
                cell.paint(self.canv, at, (self._cell, self.height - band - points(6.0)), self._words, self._number)


def _over_all(cells: Sequence[Cell], width: float) -> Cell | None:
    """The cell whose warning stands over the whole row, where cells have a width in points: the only one with a warning."""
    warned = [cell for cell in cells if cell.warning]
    alone = len(warned) == 1 and (warned[0] is cells[0] or width * MM_PER_POINT < NARROW)
    return warned[0] if alone else None


def _band(cells: Sequence[Cell], width: float, cell: float) -> float:
    """Height that a row's warnings take, points."""
    over = _over_all(cells, cell)
    return over.warning_height(width) if over else max(c.warning_height(cell) for c in cells)


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

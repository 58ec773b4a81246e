"""Tables with thin horizontal rules only: words to the left, figures to the right, the head said again on each page.

Lighter than platypus' own: a cell is plain words, broken at spaces where they are wider than their column.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import nullcontext
from functools import lru_cache
from typing import Any

from reportlab.pdfbase import pdfmetrics
from reportlab.platypus.flowables import Flowable

from booklet.drawing.pen import MM_PER_POINT, STROKES
from booklet.drawing.textlines import wrapped
from booklet.pdf import fonts
from booklet.pdf.blocks import points
from booklet.pdf.pen import PdfPen

GAP, TIGHT = points(4.0), points(2.0)
ABOVE, BELOW = points(0.4), points(1.2)
"""Points between columns, and where their longest words have no room else; over and under the words of a row."""

Cells = Sequence[Sequence[str]]


class RuledTable(Flowable):
    """`head` and `rows` of plain words; `aligns` a column each: left, right or middle. Type in points."""

    parts_in_columns = True

    def __init__(self, head: Sequence[str], rows: Cells, aligns: Sequence[str], size: float, leading: float, after: float):
        super().__init__()
        self.head, self.rows, self.aligns = head, rows, aligns
        self._size, self._leading = size, leading
        self.spaceAfter = after
        self._told: dict[str, Any] = {}

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Called by platypus."""
        self.width = width
        self._columns = self._column_widths(width)
        self._lines = [self._broken(row, n == 0) for n, row in enumerate((self.head, *self.rows))]
        self._heights = [max(map(len, row)) * self._leading + ABOVE + BELOW for row in self._lines]
        self.height = sum(self._heights)
        return width, self.height

    def _column_widths(self, width: float) -> list[float]:
        """As wide as the words; where these leave no room for the usual gap, with a smaller one."""
        self.gap = GAP
        if sum(self._natural()) > width:
            self.gap = TIGHT
        return self._shared(width)

    def _natural(self) -> list[float]:
        """The widths of the columns, with the gaps after them, in which no word is broken off to a further line."""
        count = len(self.aligns)
        widest = [max(_width(row[k], self._size, n == 0) for n, row in enumerate((self.head, *self.rows))) + 1 for k in range(count)]
        return [w + (self.gap if k < count - 1 else 0) for k, w in enumerate(widest)]

    def _shared(self, width: float) -> list[float]:
        """The words' columns share what is left, or give what is wanting."""
        natural = self._natural()
        soft = [k for k, align in enumerate(self.aligns) if align == "left"] or list(range(len(self.aligns)))
        spare = width - sum(natural)
        if spare < 0:
            return _squeezed(natural, [self._least(k) for k in range(len(self.aligns))], soft, -spare)
        return [w + spare / len(soft) * (k in soft) for k, w in enumerate(natural)]

    def _least(self, k: int) -> float:
        """The width of a column's longest word."""
        words = [(word, n == 0) for n, row in enumerate((self.head, *self.rows)) for word in row[k].split(" ")]
        return max(_width(word, self._size, bold) for word, bold in words) + 1 + (self.gap if k < len(self.aligns) - 1 else 0)

    def _broken(self, row: Sequence[str], bold: bool) -> list[list[str]]:
        last = len(self._columns) - 1
        rooms = [w - (self.gap if k < last else 0) for k, w in enumerate(self._columns)]
        return [wrapped(text, room, lambda words: _width(words, self._size, bold)) for text, room in zip(row, rooms, strict=True)]

    def split(self, width: float, height: float) -> list[Any]:
        """Called by platypus: as many rows as the height holds, but never one alone on either side."""
        self.wrap(width, height)
        used, fits = self._heights[0], 0
        for high in self._heights[1:]:
            used += high
            if used > height:
                break
            fits += 1
        fits = min(fits, len(self.rows) - 2)
        return self.parted(fits) if fits >= 2 else []

    def high(self, start: int, end: int | None = None) -> float:
        """How high some of its rows are as it is set."""
        return sum(self._heights[1:][start:end])

    def parted(self, rows: int) -> list[RuledTable]:
        """The table in two, so many rows in the first part; both have the head."""
        return [self._part(self.rows[:rows]), self._part(self.rows[rows:])]

    def _part(self, rows: Cells) -> RuledTable:
        """Some of the rows: with the others they are one table, whose head is told once."""
        part = RuledTable(self.head, rows, self.aligns, self._size, self._leading, self.spaceAfter)
        part._told = self._told
        return part

    def draw(self) -> None:
        """Called by platypus."""
        y = self.height
        pen = PdfPen(self.canv)
        self._rule(pen, y, "rule")
        again = bool(self._told)
        for n, (row, high) in enumerate(zip(self._lines, self._heights, strict=True)):
            self._row(row, y, n == 0, None if again and n == 0 else self._tagged_row())
            y -= high
            self._rule(pen, y, "rule" if n in (0, len(self._lines) - 1) else "dimension")

    def _rule(self, pen: PdfPen, y: float, stroke: str) -> None:
        y_mm = y * MM_PER_POINT
        pen.path([(0, y_mm), (self.width * MM_PER_POINT, y_mm)], STROKES[stroke])
        pen.rest()

    def _tagged_row(self) -> Any:
        """A new row's element, or none where the file is not tagged."""
        tags = self.canv.tags
        if tags and "table" not in self._told:
            self._told["table"] = tags.add("Table")
        return self._told["table"].add("TR") if tags else None

    def _row(self, row: list[list[str]], top: float, bold: bool, tagged: Any) -> None:
        canvas, x = self.canv, 0.0
        canvas.setFont(fonts.face(bold), self._size)
        for k, (lines, wide, align) in enumerate(zip(row, self._columns, self.aligns, strict=True)):
            room = wide - (self.gap if k < len(row) - 1 else 0)
            cell = tagged.add("TH" if bold else "TD") if tagged else None
            if cell and bold:
                cell.scope = "Column"
            with canvas.content(cell) if any(lines) else nullcontext():
                for n, words in enumerate(lines if any(lines) else ()):
                    foot = top - ABOVE - (n + 1) * self._leading + 0.25 * self._size
                    _set(canvas, align, x, room, foot, words)
            x += wide


def _set(canvas: Any, align: str, x: float, room: float, foot: float, words: str) -> None:
    if align == "right":
        canvas.drawRightString(x + room, foot, words)
    elif align == "middle":
        canvas.drawCentredString(x + room / 2, foot, words)
    else:
        canvas.drawString(x, foot, words)


def _squeezed(natural: list[float], least: list[float], soft: list[int], wanting: float) -> list[float]:
    """The widest soft columns give what is wanting, down to one common width, but none less than its longest word."""
    order = sorted(soft, key=lambda k: -natural[k])
    for n in range(1, len(order) + 1):
        level = (sum(natural[k] for k in order[:n]) - wanting) / n
        if n == len(order) or level >= natural[order[n]]:
            break
    stiff = [k for k in order[:n] if least[k] > level]
    if stiff and len(stiff) < len(soft):
        fixed = [least[k] if k in stiff else w for k, w in enumerate(natural)]
        given = sum(natural[k] - least[k] for k in stiff)
        return _squeezed(fixed, least, [k for k in soft if k not in stiff], wanting - given)
    return [max(level, least[k]) if k in order[:n] else w for k, w in enumerate(natural)]


@lru_cache(maxsize=2048)
def _width(text: str, size: float, bold: bool) -> float:
    return float(pdfmetrics.stringWidth(text, fonts.face(bold), size))

"""The blocks that a page of words is set from: paragraphs, lists, tables, boxes with a signal word, columns, cells.

Sizes are given in mm and type in points. Marked-up text is reportlab's small XML, made by `booklet.pages.markdown`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from reportlab.lib.enums import TA_CENTER, TA_LEFT, TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.platypus.doctemplate import CondPageBreak, PageBreak
from reportlab.platypus.flowables import Flowable, KeepTogether
from reportlab.platypus.paragraph import Paragraph
from reportlab.platypus.tables import Table

from booklet.drawing.pen import MM_PER_POINT, STROKES, Pen
from booklet.pdf import fonts
from booklet.pdf.pen import PdfPen

Size = tuple[float, float]
"""Type: size and leading in points."""

ALIGN = {"left": TA_LEFT, "right": TA_RIGHT, "middle": TA_CENTER}
SIGN = 10.0
"""Height of the alert sign in mm: pictograms are 10 mm or more (CLP, table 1.3)."""

ALERT = ("danger", "warning", "caution")
"""Signal words of injury, which carry the alert sign; a notice never does (ANSI Z535)."""


def points(mm: float) -> float:
    """Millimetres in points."""
    return mm / MM_PER_POINT


@dataclass(frozen=True, slots=True)
class Type:
    """Type sizes and spaces of a layout: (size, leading) in points, spaces in mm."""

    text: Size = (10, 14)
    lead: Size = (12, 16)
    warning: Size = (12, 16)
    heading: Size = (16, 20)
    subheading: Size = (11, 14)
    title: Size = (36, 40)
    table: Size = (10, 13)
    small: Size = (8, 10)
    step_number: float = 24
    paragraph_gap: float = 2.0
    block_gap: float = 4.0
    indent: float = 5.0


@dataclass(frozen=True)
class Typesetter:
    """Makes blocks in the type of a layout."""

    type: Type = field(default_factory=Type)

    @cached_property
    def _styles(self) -> dict[str, ParagraphStyle]:
        t, gap = self.type, points(self.type.paragraph_gap)
        make = fonts.paragraph_style
        return {
            "text": make("text", *t.text, spaceAfter=gap),
            "lead": make("lead", *t.lead, spaceAfter=gap),
            "warning": make("warning", *t.warning),
            "h1": make("h1", *t.heading, bold=True, spaceBefore=points(t.block_gap), spaceAfter=gap, keepWithNext=1),
            "h2": make("h2", *t.subheading, bold=True, spaceBefore=gap, spaceAfter=gap / 3, keepWithNext=1),
            "title": make("title", *t.title, bold=True, spaceAfter=gap),
            "small": make("small", *t.small),
            "item": make("item", *t.text, leftIndent=points(t.indent), spaceAfter=gap / 2.5, bulletIndent=0),
            **{f"cell-{name}": make(f"cell-{name}", *t.table, alignment=code) for name, code in ALIGN.items()},
            **{f"head-{name}": make(f"head-{name}", *t.table, bold=True, alignment=code) for name, code in ALIGN.items()},
        }

    def paragraph(self, markup: str, style: str = "text") -> Paragraph:
        """Words that run on. Styles: text, lead, warning, h1, h2, title, small."""
        return Paragraph(markup, self._styles[style])

    def item(self, markup: str, bullet: str = "\u2022") -> Paragraph:
        """One item of a list, with its bullet or number hanging."""
        return Paragraph(markup, self._styles["item"], bulletText=bullet)

    def boxed(self, signal: str, word: str, markup: str) -> Boxed:
        """A ruled box: its signal word, with the alert sign where the word is one of injury, and what it warns of."""
        style = self._styles["warning"]
        return Boxed([Paragraph(f"<b>{word}</b>", style), Paragraph(markup, style)], signal.lower() in ALERT)

    def table(self, head: Sequence[str], rows: Sequence[Sequence[str]], aligns: Sequence[str], width_mm: float) -> Table:
        """Thin horizontal rules only; `aligns` are left, right or middle, a column each; cells are marked-up text."""
        cells = [[self._cell(f"<b>{text}</b>", a, head=True) for text, a in zip(head, aligns, strict=True)]]
        cells += [[self._cell(text, a) for text, a in zip(row, aligns, strict=True)] for row in rows]
        widths = _widths([[c.getPlainText() for c in row] for row in cells], aligns, self.type.table[0], points(width_mm))
        table = Table(cells, widths, repeatRows=1, style=_TABLE, hAlign="LEFT")
        table.spaceAfter = points(self.type.block_gap)
        return table

    def _cell(self, markup: str, align: str, head: bool = False) -> Paragraph:
        return Paragraph(markup, self._styles[f"{'head' if head else 'cell'}-{align}"])


_RULE = STROKES["rule"].width_mm / MM_PER_POINT
_THIN = STROKES["dimension"].width_mm / MM_PER_POINT
_GAP = points(4.0)
_TABLE = [
    ("LINEABOVE", (0, 0), (-1, 0), _RULE, "black"),
    ("LINEBELOW", (0, 0), (-1, 0), _RULE, "black"),
    ("LINEBELOW", (0, 1), (-1, -1), _THIN, "black"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-2, -1), _GAP),
    ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), points(0.5)),
    ("BOTTOMPADDING", (0, 0), (-1, -1), points(1.1)),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
]


def _widths(rows: Sequence[Sequence[str]], aligns: Sequence[str], size: float, width: float) -> list[float]:
    """Column widths in points: as wide as their words, and the words' columns share what is left or what is wanting."""
    natural = [max(_width(row[k], size, n == 0) for n, row in enumerate(rows)) + 1 for k in range(len(aligns))]
    natural = [w + (_GAP if k < len(aligns) - 1 else 0) for k, w in enumerate(natural)]
    soft = [k for k, a in enumerate(aligns) if a == "left"] or list(range(len(aligns)))
    spare = width - sum(natural)
    if spare >= 0:
        return [w + spare / len(soft) * (k in soft) for k, w in enumerate(natural)]
    return _squeezed(natural, soft, -spare)


def _squeezed(natural: list[float], soft: list[int], wanting: float) -> list[float]:
    """The widest soft columns give what is wanting, down to one common width."""
    result = list(natural)
    order = sorted(soft, key=lambda k: -natural[k])
    for n in range(1, len(order) + 1):
        level = (sum(natural[k] for k in order[:n]) - wanting) / n
        if n == len(order) or level >= natural[order[n]]:
            for k in order[:n]:
                result[k] = max(level, points(8.0))
            return result
    return result


def _width(text: str, size: float, bold: bool) -> float:
    return float(pdfmetrics.stringWidth(text, fonts.face(bold), size))


class Boxed(Flowable):  # type: ignore[misc]
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


class Columns(Flowable):  # type: ignore[misc]
    """Blocks in two columns, balanced; parted over pages where they must be."""

    def __init__(self, blocks: Sequence[Any], gutter_mm: float, after_mm: float = 2.0):
        super().__init__()
        self._blocks, self._gutter = list(blocks), points(gutter_mm)
        self._after_mm = after_mm
        self.spaceAfter = points(after_mm)
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
        ends = [k for k in range(1, end + 1) if not self._blocks[k - 1].getKeepWithNext()] or [end]
        return min(ends, key=lambda k: (max(self._foot(self._run(0, k)), self._foot(self._run(k, end))), k))

    def _run(self, start: int, end: int) -> list[tuple[Any, float, float]]:
        """Blocks of one column, each with the distance from the column's top to its top and its height."""
        run, y, last = [], 0.0, 0.0
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
        fits = [k for k in range(1, len(self._blocks)) if self._holds(k, height) and not self._blocks[k - 1].getKeepWithNext()]
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


class Cell(Flowable):  # type: ignore[misc]
    """A step: a warning before it if there is one, its number, its picture, its words. Never parted.

    `draw(pen, box)` makes the picture in a box given as least x, least y, greatest x, greatest y in mm.
    """

    def __init__(self, number: str, words: Any, picture: Callable[[Pen, tuple[float, float, float, float]], None], warning: Any = None):
        super().__init__()
        self.number, self.words, self.picture, self.warning = number, words, picture, warning

    def words_height(self, width: float) -> float:
        """Height of the words in points in a cell of a width in points."""
        return float(self.words.wrap(width, 1e6)[1])

    def paint(self, canvas: Any, at: Size, size: Size, words: float, number_pt: float) -> None:
        """Draw in a place: `at` its lower left corner, `size` and `words`, the height kept for words, in points."""
        (x, y), (wide, high) = at, size
        top = y + high
        if self.warning:
            top -= self.warning.wrap(wide, high)[1]
            self.warning.drawOn(canvas, x, top)
            top -= points(2.0)
        self.words.drawOn(canvas, x, y + words - self.words_height(wide))
        pen = PdfPen(canvas)
        x0, x1, y0, y1 = (v * MM_PER_POINT for v in (x, x + wide, y + words, top))
        cap = number_pt * MM_PER_POINT * 0.72
        pen.text((x0, y1 - cap), self.number, number_pt, bold=True)
        self.picture(pen, (x0 + pen.width("00", number_pt, True) * 0.6, y0 + 2.5, x1, y1 - 1.0))
        pen.rest()


class CellRow(Flowable):  # type: ignore[misc]
    """Cells side by side, all of one height, a thin rule above them."""

    def __init__(self, cells: Sequence[Cell], columns: int, height_mm: float, gutter_mm: float, number_pt: float):
        super().__init__()
        self._cells, self._columns, self._number = cells, columns, number_pt
        self.height, self._gutter = points(height_mm), points(gutter_mm)

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Called by platypus."""
        self.width = width
        self._cell = (width - self._gutter * (self._columns - 1)) / self._columns
        self._words = max(cell.words_height(self._cell) for cell in self._cells)
        return width, self.height

    def draw(self) -> None:
        """Called by platypus."""
        pen = PdfPen(self.canv)
        top = self.height * MM_PER_POINT
        pen.path([(0, top), (self.width * MM_PER_POINT, top)], STROKES["dimension"])
        pen.rest()
        size = (self._cell, self.height - points(6.0))
        for k, cell in enumerate(self._cells):
            cell.paint(self.canv, (k * (self._cell + self._gutter), points(3.5)), size, self._words, self._number)


class Late(Flowable):  # type: ignore[misc]
    """Room kept free for what is known only at the end; `seen(x, y)` is told its lower left corner on the page, in mm."""

    def __init__(self, width_mm: float, height_mm: float, seen: Callable[[float, float], None]):
        super().__init__()
        self.width, self.height, self._seen = points(width_mm), points(height_mm), seen

    def draw(self) -> None:
        """Called by platypus."""
        x, y = self.canv.absolutePosition(0, 0)
        self._seen(x * MM_PER_POINT, y * MM_PER_POINT)


class Mark(Flowable):  # type: ignore[misc]
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


class Gap(Flowable):  # type: ignore[misc]
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

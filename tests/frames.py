"""Watches a booklet being set, and tells every text that does not stay in its place: a line of a paragraph, the words of a cell of a
table, a label of a drawing, and, read back from the finished pages by another library, whatever stands off the printable page."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import Any

import pypdfium2
import pytest
from reportlab.pdfbase.pdfmetrics import stringWidth

from booklet.drawing.pen import MM_PER_POINT
from booklet.pages import book
from booklet.pdf import blocks, flow, table
from booklet.pdf.cells import Cell
from booklet.pdf.pen import PdfPen
from booklet.pdf.typeset import Wording
from booklet.plan import Plan

SLACK = 0.3
"""mm that a text may stand out: the side bearings of letters."""

CAPITALS, BELOW = 0.714, 0.24
"""How far letters reach over and under their line, in parts of their size (Noto Sans, read from the shipped files)."""

_SHRUNK = 0.02
"""Of the type's size, how much narrower a space in a paragraph may become: reportlab takes 5 % of it, 0.26 wide."""

Box = tuple[float, float, float, float]


@dataclass
class Watch:
    """What was found. `boxes`: the places of the drawings in work, innermost last."""

    faults: list[str] = field(default_factory=list)
    boxes: list[Box] = field(default_factory=list)
    texts: int = 0

    @contextmanager
    def within(self, box: Box) -> Iterator[None]:
        """A drawing in its place."""
        self.boxes.append(box)
        yield
        self.boxes.pop()

    def line(self, what: str, words: str, wide: float, room: float) -> None:
        """A line of words that has so much room, mm."""
        self.texts += 1
        if wide > room + SLACK:
            self.faults.append(f"{what}: {words!r} is {wide:.1f} mm wide in {room:.1f} mm")

    def label(self, words: str, corners: list[tuple[float, float]]) -> None:
        """A label of the drawing in work."""
        if not self.boxes or not words:
            return
        self.texts += 1
        x0, y0, x1, y1 = self.boxes[-1]
        xs, ys = zip(*corners, strict=True)
        if min(xs) < x0 - SLACK or max(xs) > x1 + SLACK or min(ys) < y0 - SLACK or max(ys) > y1 + SLACK:
            at = ", ".join(f"{v:.1f}" for v in (min(xs), min(ys), max(xs), max(ys)))
            self.faults.append(f"drawing: {words!r} at {at} is not in {', '.join(f'{v:.1f}' for v in self.boxes[-1])}")


@contextmanager
def watched() -> Iterator[Watch]:
    """While it lasts, whatever is set is watched."""
    watch = Watch()
    with pytest.MonkeyPatch.context() as patch:
        _paragraphs(watch, patch)
        _tables(watch, patch)
        _drawings(watch, patch)
        yield watch


def _paragraphs(watch: Watch, patch: pytest.MonkeyPatch) -> None:
    drawn = Wording.draw

    def draw(self: Any) -> None:
        wide = self.width - self.style.leftIndent - self.style.rightIndent
        for line in self.blPara.lines:
            extra, words = (line[0], " ".join(line[1])) if isinstance(line, tuple) else (line.extraSpace, _text(line.words))
            shrunk = words.count(" ") * _SHRUNK * self.style.fontSize  # where a line is set tighter rather than broken
            watch.line("paragraph", words, (wide - extra - shrunk) * MM_PER_POINT, wide * MM_PER_POINT)
        for word in self.getPlainText().split(" "):  # one that is too long would be broken anywhere
            watch.line("paragraph", word, stringWidth(word, self.style.fontName, self.style.fontSize) * MM_PER_POINT, wide * MM_PER_POINT)
        drawn(self)

    patch.setattr(Wording, "draw", draw)


def _text(frags: Any) -> str:
    return "".join(frag.text for frag in frags)


def _tables(watch: Watch, patch: pytest.MonkeyPatch) -> None:
    drawn = table.RuledTable.draw

    def draw(self: Any) -> None:
        for n, row in enumerate(self._lines):
            for k, lines in enumerate(row):
                room = self._columns[k] - (self.gap if k < len(row) - 1 else 0)
                for words in lines:
                    watch.line("table", words, table._width(words, self._size, n == 0) * MM_PER_POINT, room * MM_PER_POINT)
        watch.line("table", " ".join(self.head), sum(self._columns) * MM_PER_POINT, self.width * MM_PER_POINT)
        drawn(self)

    patch.setattr(table.RuledTable, "draw", draw)


def _drawings(watch: Watch, patch: pytest.MonkeyPatch) -> None:
    written, shown, rested, painted = PdfPen.text, flow.Picture.drawn_on, blocks.Rest.draw, Cell.paint

    def text(
        self: Any, at: Any, words: str, size_pt: float, anchor: str = "start", bold: bool = False, angle: float = 0, *more: Any, **how: Any
    ) -> None:
        foot, turned = self._map(at), self._turned(angle)
        wide, size = self.width(words, size_pt, bold), size_pt * MM_PER_POINT
        back = {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * wide
        along, over = (math.cos(turned), math.sin(turned)), (-math.sin(turned), math.cos(turned))
        ends = [(run, rise) for run in (-back, wide - back) for rise in (-BELOW * size, CAPITALS * size)]
        watch.label(words, [(foot[0] + a * along[0] + b * over[0], foot[1] + a * along[1] + b * over[1]) for a, b in ends])
        written(self, at, words, size_pt, anchor, bold, angle, *more, **how)

    def drawn_on(self: Any, pen: Any) -> None:
        with watch.within((0.0, 0.0, self.width * MM_PER_POINT, self.height * MM_PER_POINT)):
            shown(self, pen)

    def draw(self: Any) -> None:
        with watch.within((0.0, 0.0, self.width * MM_PER_POINT, self.height * MM_PER_POINT)):
            rested(self)

    def paint(self: Any, *args: Any) -> None:
        def picture(pen: Any, box: Box) -> None:
            with watch.within(box):
                self.picture(pen, box)

        painted(replace(self, picture=picture), *args)

    patch.setattr(PdfPen, "text", text)
    patch.setattr(flow.Picture, "drawn_on", drawn_on)
    patch.setattr(blocks.Rest, "draw", draw)
    patch.setattr(Cell, "paint", paint)


def strays(data: bytes, margin: float) -> list[str]:
    """Texts of a finished file that stand, all or in part, off what a page prints; `margin` in mm."""
    found = []
    for number, page in enumerate(pypdfium2.PdfDocument(data), 1):
        wide, high = page.get_size()
        text, keep = page.get_textpage(), (margin - SLACK) / MM_PER_POINT
        for n in range(text.count_rects()):
            x0, y0, x1, y1 = text.get_rect(n)
            if x0 < keep or y0 < keep or x1 > wide - keep or y1 > high - keep:
                found.append(f"page {number}: {text.get_text_bounded(x0, y0, x1, y1)!r} is off the printable page")
    return found


def faults_of(plan: Plan) -> list[str]:
    """All texts of all files of a plan that do not stay in their places."""
    with watched() as watch:
        made = book.written(plan, lambda pages: {})
    assert watch.texts > 50
    return [*watch.faults, *(fault for one in made.values() for fault in strays(one.data, plan.spec.page.margin))]

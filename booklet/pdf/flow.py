"""Words and tables among the pen's pages: flowables in frames, and pictures among the flowables."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any

from reportlab.platypus.doctemplate import BaseDocTemplate, LayoutError, PageTemplate
from reportlab.platypus.flowables import Flowable
from reportlab.platypus.frames import Frame

from booklet.drawing.pen import MM_PER_POINT, Pen
from booklet.errors import refuse
from booklet.pdf import paging
from booklet.pdf.canvas import PdfFile, Size
from booklet.pdf.pen import PdfPen

Rect = tuple[float, float, float, float]
"""Least x, least y, greatest x, greatest y on the page, mm."""

ENDLESS = 1e6
"""Points: a column that holds anything."""

OnPage = Callable[[PdfPen, int], None]
"""Draws on a page that begins: its pen, and its index in the file from 0."""


class Picture(Flowable):
    """A drawing among flowables: `draw(pen)` gets a pen whose origin is the picture's lower left corner, in mm.

    `most`: how high it may become, in points, where its page has room. `alt`: what it shows, in words.
    """

    def __init__(self, width_mm: float, height_mm: float, draw: Callable[[Pen], None], align: str = "LEFT", most_mm: float = 0.0):
        super().__init__()
        self.width, self.height = width_mm / MM_PER_POINT, height_mm / MM_PER_POINT
        self.most = max(self.height, most_mm / MM_PER_POINT)
        self.alt = ""
        self.hAlign = align
        self._draw = draw

    def grow(self, more: float) -> None:
        """Become so many points higher."""
        self.height += more

    def draw(self) -> None:
        """Called by platypus, the origin set."""
        with self.canv.figure((self.width, self.height), self.alt):
            pen = PdfPen(self.canv)
            self.drawn_on(pen)
            pen.rest()

    def drawn_on(self, pen: Pen) -> None:
        """Draw it with any pen."""
        self._draw(pen)


class Mark(Flowable):
    """A bookmark among flowables, without size: it leads to the page on which it comes to stand."""

    def __init__(self, file: PdfFile, title: str, level: int = 0, key: str = ""):
        super().__init__()
        self.width = self.height = 0
        self._set: Callable[[], str] = lambda: file.bookmark(title, level, key)

    def draw(self) -> None:
        """Called by platypus once its page is known."""
        self._set()


class _Flow(BaseDocTemplate):
    """platypus' document, on the pages of a file that goes on after it."""

    def __init__(self, file: PdfFile, size_mm: Size, rects: Sequence[Rect], on_page: OnPage | None):
        super().__init__(None, pagesize=tuple(v / MM_PER_POINT for v in size_mm), _pageBreakQuick=1)
        self._file, self._size, self._on_page = file, size_mm, on_page
        self.addPageTemplates(PageTemplate("page", [_frame(rect) for rect in rects]))

    def _makeCanvas(self, filename: Any = None, canvasmaker: Any = None) -> Any:
        return self._file.canvas

    def handle_pageBegin(self) -> None:
        """Begin a page of the file before platypus fills it."""
        pen = self._file.page(self._size)
        self.pagesize = self.pageTemplate.pagesize = self._file.canvas._pagesize
        if self._on_page:
            self._on_page(pen, self._file.pages - 1)
        pen.rest()
        super().handle_pageBegin()

    def handle_pageEnd(self) -> None:
        """platypus ends the page; the file is told."""
        super().handle_pageEnd()
        self._file.page_was_ended()


def _frame(rect: Rect) -> Frame:
    x0, y0, x1, y1 = (v / MM_PER_POINT for v in rect)
    return Frame(x0, y0, x1 - x0, y1 - y0, 0, 0, 0, 0)


def flow(file: PdfFile, flowables: Sequence[Any], size_mm: Size, frames: Sequence[Rect], on_page: OnPage | None = None) -> int:
    """Fill new pages with flowables, each page the frames in turn; the number of pages made.

    `on_page` is called first on each page. Raises `BookletError` when a flowable is larger than a frame.
    """
    before = file.pages
    try:
        _Flow(file, size_mm, frames, on_page).build(list(flowables))
    except LayoutError as error:
        raise _too_large(error) from error
    return file.pages - before


def _too_large(error: LayoutError) -> Exception:
    sizes = re.findall(r"\(([\d.]+) x ([\d.]+)", str(error))  # the rest is the library's own, and other each time
    what = ", ".join(" x ".join(f"{float(side) * MM_PER_POINT:.0f}" for side in size) for size in sizes[:1])
    told = f"a block of words or a picture is larger than its place on the page{f' ({what} mm)' if what else ''}"
    return refuse("layout", f"{told}; make it smaller, or part it in two")


def frame(file: PdfFile, rect: Rect, flowables: Sequence[Any]) -> list[Any]:
    """Fill one rectangle of the open page from its top; the flowables that did not fit, the last one parted if it can be."""
    file.rest()
    place, left = _frame(rect), list(flowables)
    while left and place.add(left[0], file.canvas, trySplit=True):
        del left[0]
    parts = place.split(left[0], file.canvas) if left else []
    if len(parts) > 1 and place.add(parts[0], file.canvas):
        left[:1] = parts[1:]
    return left


def height(flowables: Sequence[Any], width_mm: float) -> float:
    """How high the flowables stand in a column, mm, the space between them counted. Nothing is drawn."""
    *_, end = paging.Paper(width_mm / MM_PER_POINT, ENDLESS).filled(paging.Spot(), flowables)
    return end.used * MM_PER_POINT


def put(file: PdfFile, flowable: Any, at: tuple[float, float], width_mm: float = 1e4) -> None:
    """Draw one flowable on the open page, its lower left corner at `at` in mm."""
    file.rest()
    flowable.wrapOn(file.canvas, width_mm / MM_PER_POINT, 1e6)
    flowable.drawOn(file.canvas, at[0] / MM_PER_POINT, at[1] / MM_PER_POINT)

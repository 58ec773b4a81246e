"""Blocks that a page is set from besides paragraphs and tables: boxes with a sign, columns, steps, room kept free.

Sizes are given in mm; platypus reckons in points.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from reportlab.platypus.doctemplate import CondPageBreak, PageBreak
from reportlab.platypus.flowables import Flowable, KeepTogether

from booklet.drawing import pictograms
from booklet.drawing.pen import MM_PER_POINT, STROKES, Pen
from booklet.pdf.columns import Columns
from booklet.pdf.pen import PdfPen

Size = tuple[float, float]
"""Width and height, or x and y, in points."""

SIGN = 10.0
"""Height in mm of the alert sign that stands alone: pictograms are 10 mm or more (CLP, table 1.3)."""

WORD_SIGN = 4.0
"""Height in mm of the alert sign before a signal word: a little over that of the word's line, as in a panel of ANSI Z535."""


def points(mm: float) -> float:
    """Millimetres in points."""
    return mm / MM_PER_POINT


class Boxed(Flowable):
    """A ruled box round blocks; the alert sign, a triangle with a stroke and a dot, stands at the left.

    `signal`, `word`, `said`: of a warning its kind, the word as it is printed and its text as markup. Where it has a `pictogram`, told by
    its name, that stands at the left, and the alert sign small before the signal word.
    """

    pad = points(2.5)

    def __init__(self, blocks: Sequence[Any], sign: bool, pictogram: str = ""):
        super().__init__()
        self._blocks, self._sign, self.pictogram = blocks, sign, pictogram
        self.signal = self.word = self.said = ""
        self.spaceBefore = self.spaceAfter = points(2.0)

    @property
    def _side(self) -> tuple[float, float]:
        """Width and height in mm of what stands at the left."""
        if self.pictogram:
            return pictograms.BOX, pictograms.BOX
        return (SIGN * 1.155, SIGN) if self._sign else (0.0, 0.0)

    @property
    def _indent(self) -> float:
        """How far the signal word gives way to the alert sign before it, points."""
        return points(WORD_SIGN * 1.155 + 1.2) if self._sign and self.pictogram else 0.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Called by platypus."""
        wide, high = map(points, self._side)
        beside = self.pad + (wide + self.pad if wide else 0)
        # in a narrow box with long words the words stand under the sign
        least = max(b.minWidth() + (0 if k else self._indent) for k, b in enumerate(self._blocks))
        under = wide > 0 and least > width - beside - self.pad
        self._left, self._drop = (self.pad, high + self.pad / 2) if under else (beside, 0.0)
        room = width - self._left - self.pad
        self._heights = [b.wrap(room - (0 if k else self._indent), height)[1] for k, b in enumerate(self._blocks)]
        self.width, self.height = width, max(self._drop + sum(self._heights), high) + 2 * self.pad
        return self.width, self.height

    def draw(self) -> None:
        """Called by platypus."""
        y = self.height - self.pad - self._drop
        with self.canv.within(self.canv.added("Note")):
            for k, (block, tall) in enumerate(zip(self._blocks, self._heights, strict=True)):
                y -= tall
                block.drawOn(self.canv, self._left + (0 if k else self._indent), y)
        pen = PdfPen(self.canv)
        wide, high = self.width * MM_PER_POINT, self.height * MM_PER_POINT
        pen.path([(0, 0), (wide, 0), (wide, high), (0, high)], STROKES["edge"], closed=True)
        self.signs(pen, high)
        pen.rest()

    def signs(self, pen: Pen, high: float) -> None:
        """Draw the signs of a box that is `high` mm high, its lower left corner at the origin."""
        pad = self.pad * MM_PER_POINT
        if self.pictogram:
            pictograms.draw_pictogram(pen, self.pictogram, (pad, high - pad - pictograms.BOX))
            if self._sign:
                middle = (self._drop + self._heights[0] / 2) * MM_PER_POINT
                alert_sign(pen, self._left * MM_PER_POINT, high - pad - middle - WORD_SIGN / 2, WORD_SIGN)
        elif self._sign:
            alert_sign(pen, pad, high - pad - SIGN, SIGN)


def alert_sign(pen: Pen, x: float, y: float, high: float) -> None:
    """A plain alert sign of our own: a triangle `high` mm high, its lower left corner at x, y."""
    half = high / 3**0.5
    pen.path([(x, y), (x + 2 * half, y), (x + half, y + high)], STROKES["cut"], closed=True)
    m, w = x + half, high * 0.05
    pen.fill([((m - w, y + 0.32 * high), (m + w, y + 0.32 * high), (m + w * 1.3, y + 0.68 * high), (m - w * 1.3, y + 0.68 * high))], 0.0)
    pen.fill([((m - w, y + 0.14 * high), (m + w, y + 0.14 * high), (m + w, y + 0.24 * high), (m - w, y + 0.24 * high))], 0.0)


class Late(Flowable):
    """Room kept free for what is known only at the end; `seen(x, y)` is told its lower left corner on the page, in mm."""

    def __init__(self, width_mm: float, height_mm: float, seen: Callable[[float, float], None]):
        super().__init__()
        self.width, self.height, self._seen = points(width_mm), points(height_mm), seen

    def draw(self) -> None:
        """Called by platypus."""
        x, y = self.canv.absolutePosition(0, 0)
        if self.canv.tags:
            self.canv.tags.late = self.canv.tags.add("TOC")
        self._seen(x * MM_PER_POINT, y * MM_PER_POINT)


class Mark(Flowable):
    """Nothing to see: calls back when the page that it stands on is drawn, and stays with what follows.

    It takes no part in the space between what is before and after it; `before`: the space over what follows, in points, by which
    platypus tells whether a group that it heads has room.
    """

    _ZEROSIZE = _SPACETRANSFER = True

    def __init__(self, seen: Callable[[], Any], before: float = 0.0):
        super().__init__()
        self._seen, self.spaceBefore = seen, before
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
        self.width, self.height = 0.0, points(height_mm)

    def draw(self) -> None:
        """Called by platypus."""


def page_break() -> Any:
    """What follows stands on a new page."""
    return PageBreak()


def room(height_mm: float) -> Any:
    """What follows stands on a new page unless so much room is left."""
    return CondPageBreak(points(height_mm))


def within(block: Any) -> list[Any]:
    """The blocks that columns or blocks that are kept together are made of; of any other none."""
    if isinstance(block, KeepTogether):
        return list(block._content)
    return list(block.blocks) if isinstance(block, Columns) else []


def together(blocks: Sequence[Any]) -> Any:
    """Blocks that are not parted where they fit on one page."""
    return KeepTogether(list(blocks))


class Rest(Flowable):
    """A drawing that takes what a page leaves: its height is that of the place less `below`, in mm. `draw(pen, width, height)`.

    `alt`: what it shows, in words.
    """

    gives_way = True

    def __init__(self, draw: Callable[[Pen, float, float], None]):
        super().__init__()
        self.drawn_on, self.below, self.alt = draw, 0.0, ""

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Called by platypus."""
        self.width, self.height = width, max(points(20.0), height - points(self.below) - 1)
        return self.width, self.height

    def draw(self) -> None:
        """Called by platypus."""
        with self.canv.figure((self.width, self.height), self.alt):
            pen = PdfPen(self.canv)
            self.drawn_on(pen, self.width * MM_PER_POINT, self.height * MM_PER_POINT)
            pen.rest()


class Foot(Gap):
    """Empty room, as high as what a page leaves: what follows stands at its foot. `below` as for `Rest`."""

    gives_way = True

    def __init__(self) -> None:
        super().__init__(0.0)
        self.below = 0.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Called by platypus."""
        self.width, self.height = width, max(0.0, height - points(self.below) - 1)
        return self.width, self.height


def link(canvas: Any, rect_mm: tuple[float, float, float, float], key: str) -> None:
    """Make a rectangle of the open page lead to a bookmark, without a frame."""
    canvas.linkRect("", key, tuple(points(v) for v in rect_mm), relative=0, thickness=0, Border="[0 0 0]")
    canvas.linked()

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
from booklet.pdf.pen import PdfPen

Size = tuple[float, float]
"""Width and height, or x and y, in points."""

SIGN = 10.0
"""Height in mm of the alert sign that stands alone: pictograms are 10 mm or more (CLP, table 1.3)."""

WORD_SIGN = 4.0
"""Height in mm of the alert sign before a signal word: a little over that of the word's line, as in a panel of ANSI Z535."""


LINE = 13
"""Points by which a column's table is made lower until it has room: a line of a table."""


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


class Columns(Flowable):
    """Blocks in two columns, balanced; parted over pages where they must be."""

    def __init__(self, blocks: Sequence[Any], gutter_mm: float, after_mm: float = 2.0):
        super().__init__()
        self.blocks, self._gutter = list(blocks), points(gutter_mm)
        self._after_mm = after_mm
        self.spaceAfter = points(after_mm)
        self.spaceBefore = self.blocks[0].getSpaceBefore() if self.blocks else 0
        self._runs: list[list[tuple[Any, float, float]]] = []

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Called by platypus."""
        self._column = (width - self._gutter) / 2
        self._sizes = [b.wrap(self._column, 1e6)[1] for b in self.blocks]
        at = self._best(len(self.blocks))
        self._runs = [self._run(0, at), self._run(at, len(self.blocks))]
        self.width, self.height = width, max(self._foot(run) for run in self._runs)
        return self.width, self.height

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
        return min(ends, key=lambda k: (max(self._foot(self._run(0, k)), self._foot(self._run(k, end))), k))

    def _parts_at(self, k: int) -> bool:
        """Whether a column may end before block k: not after a heading, nor with one item of a list alone."""
        if self.blocks[k - 1].getKeepWithNext():
            return False
        if not self._in_list(k - 1) or not self._in_list(k):
            return True
        return self._in_list(k - 2) and self._in_list(k + 1)

    def _in_list(self, k: int) -> bool:
        return 0 <= k < len(self.blocks) and bool(getattr(self.blocks[k], "bulletText", None))

    def _run(self, start: int, end: int) -> list[tuple[Any, float, float]]:
        """Blocks of one column, each with the distance from the column's top to its top and its height."""
        run: list[tuple[Any, float, float]] = []
        y, last = 0.0, 0.0
        for k in range(start, end):
            y += max(self.blocks[k].getSpaceBefore(), last) if run else 0.0
            run.append((self.blocks[k], y, self._sizes[k]))
            y, last = y + self._sizes[k], self.blocks[k].getSpaceAfter()
        return run

    @staticmethod
    def _foot(run: Sequence[tuple[Any, float, float]]) -> float:
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
        at = self._best(end)
        return max(self._foot(self._run(0, at)), self._foot(self._run(at, end))) <= height

    def draw(self) -> None:
        """Called by platypus."""
        for n, run in enumerate(self._runs):
            for block, top, high in run:
                block.drawOn(self.canv, n * (self._column + self._gutter), self.height - top - high)


def _growth(block: Any) -> float:
    """How many points higher a block may become."""
    return max(0.0, getattr(block, "most", 0.0) - block.height) if hasattr(block, "grow") else 0.0


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

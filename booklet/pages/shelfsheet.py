"""The picture sheet of the shelf: every style closed, open and flat, with what it is for and its facts. A grid, the same on all pages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any

from booklet.drawing.pen import STROKES, Pen
from booklet.drawing.recording import RecordingPen
from booklet.drawing.shelf import Portrait, draw_sample
from booklet.drawing.textlines import set_by, wrapped
from booklet.drawing.unlayered import Unlayered
from booklet.errors import BookletError, refuse
from booklet.grid import Units
from booklet.pages import shelftold
from booklet.pages.alone import Text
from booklet.pages.markdown import shaped
from booklet.pages.settings import Settings, settings
from booklet.pages.shelftold import said
from booklet.pages.words import words
from booklet.pdf import flow
from booklet.pdf.canvas import PdfFile
from booklet.shelf.facts import Shown, Unshown
from booklet.spec.model import Page

TITLE = 31.0
"""mm that the title takes over the first rows."""

CLOSE = 50.0
"""mm: the least height of a style on a page without the title."""

LEAST = (84.0, 53.0)
"""mm: a place for a style is at least so wide and high."""

NAME_PT, USE_PT, FACT_PT = 11.0, 8.0, 7.5
USE_LINE, FACT_LINE = 3.5, 3.4
NAME, HIGH, AIR, BELOW = 5.4, 28.0, 2.4, 3.0
"""Type in points; mm: height of lines, from the rule over a style down to its name, height of its pictures, above them, and below the
facts and above them in all."""

SHARES = (0.0, 0.31, 0.655, 1.0)
"""Where the pictures of a style begin and end, closed, open and flat, as shares of its width."""

BETWEEN = 3.0
"""mm between two pictures."""

SAMPLE = 8.0
LEGEND = ("cut", "valley", "mountain", "hatched", "back")


Lines = tuple[Sequence[str], Sequence[str]]
"""What a style is for, and its facts, line by line."""


@dataclass(frozen=True, eq=False)
class Entry:
    """A style with its pictures, ready to be drawn."""

    shown: Shown
    portrait: Portrait


def entries(found: Sequence[Shown | Unshown]) -> tuple[list[Entry], list[Unshown]]:
    """The styles that can be drawn, and those that cannot, each with the reason."""
    made, left = [], []
    for one in found:
        if isinstance(one, Unshown):
            left.append(one)
            continue
        portrait = Portrait(one.net)
        try:
            _ = portrait.scenes
            made.append(Entry(one, portrait))
        except BookletError as error:
            left.append(Unshown(one.name, "; ".join(str(fault) for fault in error.faults)))
    return made, left


def made(shelf: Sequence[Entry], page: Page, units: Units) -> bytes:
    """The sheet as a PDF. Raises `BookletError` for paper too small for it, and for words that are missing."""
    return _Sheet(shelf, page, units).made()


@dataclass(frozen=True)
class _Sheet:
    shelf: Sequence[Entry]
    page: Page
    units: Units

    @cached_property
    def settings(self) -> Settings:
        return settings()

    @cached_property
    def rect(self) -> flow.Rect:
        """The place for all but head and foot."""
        return self.settings.rect(self.page.paper, self.page.margin)

    @cached_property
    def grid(self) -> tuple[int, int]:
        """Columns, and rows of a page that has the title. Raises `BookletError` where there is room for none."""
        x0, y0, x1, y1 = self.rect
        gutter = self.settings.gutter
        columns, rows = int((x1 - x0 + gutter) / (LEAST[0] + gutter)), int((y1 - y0 - TITLE) / LEAST[1])
        if min(columns, rows) < 1:
            raise refuse("--paper", "the pictures do not fit on a page as small as this; use A4 or Letter paper, or a smaller margin")
        return columns, rows

    @cached_property
    def uses(self) -> list[list[str]]:
        """What each style is for, in lines."""
        pen, wide = RecordingPen(), self.width
        return [wrapped(shaped(words().style(one.shown.name).use), wide, set_by(pen, USE_PT)) for one in self.shelf]

    @cached_property
    def facts(self) -> list[list[str]]:
        """The facts of each style and what it is good for, in lines."""
        width = set_by(RecordingPen(), FACT_PT)
        return [[line for text in self._told(one.shown) for line in wrapped(text, self.width, width)] for one in self.shelf]

    def _told(self, shown: Shown) -> list[str]:
        """The sentences under the pictures of a style."""
        told = shelftold.facts(shown, self.units), shelftold.suits(shown, words())
        return [shaped(text[:1].upper() + text[1:]) for text in told]

    @cached_property
    def runs(self) -> list[range]:
        """The styles of each page, by their places on the shelf: a page without the title has room for more."""
        columns, rows = self.grid
        _, y0, _, y1 = self.rect
        more = max(rows, int((y1 - y0) / CLOSE)) * columns
        first = min(columns * rows, len(self.shelf))
        return [range(first), *(range(k, min(k + more, len(self.shelf))) for k in range(first, len(self.shelf), more))]

    @property
    def pages(self) -> int:
        """How many pages there are."""
        return len(self.runs)

    @cached_property
    def tops(self) -> list[float]:
        """Down to the pictures from the upper edge of a style, page by page, mm: as many lines are kept free as one of them has."""
        runs = ([self.uses[k] for k in run] for run in self.runs)
        return [NAME + 0.6 + USE_LINE * _most(run) + AIR for run in runs]

    @cached_property
    def high(self) -> float:
        """Height of all pictures: less where the words of a page leave less."""
        runs = [[self.facts[k] for k in run] for run in self.runs]
        left = (self._pitch(n) - top - FACT_LINE * _most(run) - BELOW for n, (top, run) in enumerate(zip(self.tops, runs, strict=True)))
        return min(HIGH, *left)

    def _pitch(self, index: int) -> float:
        """From one row of a page to the next."""
        _, y0, _, y1 = self.rect
        return (y1 - y0) / max(self.grid[1], int((y1 - y0) / CLOSE)) if index else (y1 - y0 - TITLE) / self.grid[1]

    @property
    def width(self) -> float:
        """Width of a style's place."""
        x0, _, x1, _ = self.rect
        return (x1 - x0 - self.settings.gutter * (self.grid[0] - 1)) / self.grid[0]

    def made(self) -> bytes:
        """The whole file."""
        file = PdfFile(said("title"), subject=said("head"))
        for index in range(self.pages):
            pen = Unlayered(file.page(self.page.paper))
            if index == 0:
                self._title(file)
            self._page(file, pen, index)
            self._head_and_foot(pen, index + 1)
        return file.finish()

    def _title(self, file: PdfFile) -> None:
        x0, _, x1, y1 = self.rect
        text = Text("shelf", self._given)
        if flow.frame(file, (x0, y1 - TITLE, x1, y1), text.blocks(x1 - x0)):
            raise refuse("shelf.md", "the title of the shelf has more words than its place holds; shorten it")

    @property
    def _given(self) -> Mapping[str, Any]:
        """What the title sees."""
        return {"count": str(len(self.shelf)), "units": self.units}

    def _page(self, file: PdfFile, pen: Pen, index: int) -> None:
        x0, _, _, y1 = self.rect
        columns, run = self.grid[0], self.runs[index]
        top = y1 - (0.0 if index else TITLE)
        for k, entry in enumerate(self.shelf[n] for n in run):
            left = x0 + (k % columns) * (self.width + self.settings.gutter)
            file.bookmark(words().style(entry.shown.name).name)
            upper = top - (k // columns) * self._pitch(index)
            self._style(pen, entry, (self.uses[run[k]], self.facts[run[k]]), (left, upper), upper - self.tops[index] - self.high)

    def _style(self, pen: Pen, entry: Entry, lines: Lines, at: tuple[float, float], low: float) -> None:
        """One style, its upper left corner at `at`, its pictures on a floor at `low`."""
        use, facts = lines
        (x, y), wide, shown = at, self.width, entry.shown
        pen.path([(x, y), (x + wide, y)], STROKES["rule"])
        pen.text((x, y - NAME), words().style(shown.name).name, NAME_PT, bold=True)
        pen.text((x + wide, y - NAME), shaped(shelftold.size(shown.net.item, self.units)), FACT_PT, "end")
        for n, line in enumerate(use, 1):
            pen.text((x, y - NAME - 0.6 - n * USE_LINE), line, USE_PT)
        spans = [(x + a * wide + BETWEEN / 2, x + b * wide - BETWEEN / 2) for a, b in pairwise(SHARES)]
        boxes = [(a, low, b, low + self.high) for a, b in spans]
        entry.portrait.draw(pen, (boxes[0], boxes[1]))
        entry.portrait.draw_flat(pen, boxes[2])
        for n, line in enumerate(facts, 1):
            pen.text((x, low - 1.2 - n * FACT_LINE), line, FACT_PT)

    def _head_and_foot(self, pen: Pen, number: int) -> None:
        """As in a booklet, but for the rule, as each style has its own; the legend of the lines stands at the foot."""
        x0, y0, x1, y1 = self.rect
        size = self.settings.type.small[0]
        pen.text((x0, y1 + 4.5), said("head"), size)
        pen.text((x1, y1 + 4.5), said("count", n=str(len(self.shelf))), size, "end")
        pen.text((x1, y0 - 6.5), said("page_of", page=str(number), pages=str(self.pages)), size, "end")
        x = x0
        for key in LEGEND:
            draw_sample(pen, key, (x, y0 - 5.6), SAMPLE)
            pen.text((x + SAMPLE + 1.6, y0 - 6.5), said(key), FACT_PT)
            x += SAMPLE + 1.6 + pen.width(said(key), FACT_PT) + 5.0


def _most(told: Sequence[Sequence[str]]) -> int:
    return max(map(len, told), default=0)

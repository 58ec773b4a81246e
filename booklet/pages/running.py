"""What is drawn on pages that are full already: running titles, page numbers, and the lines of the contents. Millimetres, points."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from booklet.drawing.pen import STROKES, Pen
from booklet.pages.pictures import LINE
from booklet.pdf import blocks
from booklet.pdf.canvas import PdfFile

Rect = tuple[float, float, float, float]


class Listed(Protocol):
    """A line of the contents: its title, its page from 1, and the key of its bookmark."""

    @property
    def title(self) -> str:
        """As it is read."""

    @property
    def page(self) -> int:
        """The first page of the section."""

    @property
    def key(self) -> str:
        """Where a link leads."""


def head(pen: Pen, rect: Rect, size_pt: float, title: str, section: str) -> None:
    """The title at the left and the section at the right over a rule, clear of the place for words; a long title gives way."""
    x0, _, x1, y1 = rect
    own = fitted(pen, without(section, title), size_pt, _MOST * (x1 - x0))
    pen.text((x0, y1 + 4.5), fitted(pen, title, size_pt, x1 - x0 - pen.width(own, size_pt) - 6.0), size_pt)
    pen.text((x1, y1 + 4.5), own, size_pt, "end")
    pen.path([(x0, y1 + 3.0), (x1, y1 + 3.0)], STROKES["dimension"])


_MOST = 0.75
"""The share of the head that a section may take (chosen by us)."""


def without(section: str, title: str) -> str:
    """A section's name without the booklet's title at its beginning, which stands beside it.

    >>> without("Mug box: teacher's sheet", "Mug box"), without("Steps", "Mug box"), without("Mug boxes", "Mug box")
    ("Teacher's sheet", 'Steps', 'Mug boxes')
    """
    rest = section.removeprefix(title)
    if rest[:1].isalnum() or rest == section:
        return section
    own = rest.lstrip(" \u00a0:,\u2013\u2014-")
    return own[:1].upper() + own[1:]


def foot(pen: Pen, rect: Rect, size_pt: float, said: str) -> None:
    """The page's number under the place for words, at the right."""
    pen.text((rect[2], rect[1] - 6.5), said, size_pt, "end")


def fitted(pen: Pen, words: str, size_pt: float, room: float) -> str:
    """As much of the words as has room in so many mm, with dots for the rest."""
    if pen.width(words, size_pt) <= room:
        return words
    while words and pen.width(f"{words}\u2026", size_pt) > room:
        words = words[:-1].rstrip()
    return f"{words}\u2026" if words else ""


LEAST_PT, BEFORE_NUMBER = 8.0, 3.0
"""The smallest type of the contents, and the mm between a title and its page at least (chosen by us)."""


def contents_size(pen: Pen, entries: Sequence[Listed], column: float, size_pt: float) -> float:
    """The type in which the longest line of the contents has room in a column, from `LEAST_PT` to the usual size."""
    wide = max((pen.width(one.title, size_pt) + pen.width(str(one.page), size_pt) for one in entries), default=0.0)
    return min(size_pt, max(LEAST_PT, size_pt * (column - BEFORE_NUMBER - 0.1) / wide)) if wide else size_pt


def contents_columns(pen: Pen, entries: Sequence[Listed], both: float, size_pt: float) -> tuple[float, float]:
    """The widths of the two columns of the contents, mm: alike, or where one needs more and the other less, as their longest lines do."""
    rows = (len(entries) + 1) // 2
    first, last = (
        max((pen.width(one.title, size_pt) + pen.width(str(one.page), size_pt) for one in half), default=0.0) + BEFORE_NUMBER + 0.1
        for half in (entries[:rows], entries[rows:])
    )
    left = min(max(both / 2, first), both - last) if first + last <= both else both / 2
    return left, both - left


def contents(file: PdfFile, place: tuple[int, float, float, float], entries: Sequence[Listed], gutter: float, size_pt: float) -> None:
    """Titles and page numbers in two columns, thin rules between, each a link. `place`: index of the page, left, foot and width in mm.

    Where the columns are too narrow all are set smaller, so that the longest title has room.
    """
    index, x, y, width = place
    rows = (len(entries) + 1) // 2
    with file.again(index) as pen:
        columns = contents_columns(pen, entries, width - gutter, size_pt)
        size_pt = min(
            contents_size(pen, half, column, size_pt) for half, column in zip((entries[:rows], entries[rows:]), columns, strict=True)
        )
        for n, entry in enumerate(entries):
            column = columns[n // rows]
            left, low = x + (n // rows) * (columns[0] + gutter), y + (rows - 1 - n % rows) * LINE
            with file.listed(pen):
                number = str(entry.page)
                pen.text((left, low + 1.5), fitted(pen, entry.title, size_pt, column - pen.width(number, size_pt) - BEFORE_NUMBER), size_pt)
                pen.text((left + column, low + 1.5), number, size_pt, "end")
            pen.path([(left, low), (left + column, low)], STROKES["dimension"])
            blocks.link(file.canvas, (left, low, left + column, low + LINE), entry.key)

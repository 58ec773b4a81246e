"""The legend of a template page: which line is which, which face is up, how often to cut; in a corner that is free."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import shapely

from booklet.drawing.labels import in_two, say
from booklet.drawing.pen import MM_PER_POINT, STROKES, Pen, hatch, registration
from booklet.drawing.room import CAPITAL, Box, Room, around, blank
from booklet.plane import Point

TITLE_PT = 10.0
TEXT_PT = 8.0
SAMPLE = 14.0
SLIM = 9.0
LINE = 4.6
GUTTER = 2.5
BETWEEN = 5.0
"""Type in points; widths of a sample and of a short one, height of a row, gaps beside a sample and between columns, mm (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Row:
    """One sample with its words: "cut", "valley", "mountain", "glue_here", "glue_back", "mark" or "seam"."""

    key: str


@dataclass(frozen=True)
class Legend:
    """`title` (none where it is empty) and `face` stand over the rows; `narrow`: with short samples, the face in two lines."""

    title: str
    face: str
    rows: tuple[Row, ...]
    words: Mapping[str, str]
    narrow: bool = False

    def put(self, pen: Pen, room: Room, window: Box, paper: shapely.Polygon) -> None:
        """Draw it in the first shape that finds room: on the blank paper, inside the piece, narrow, on hatching, and at last parted."""
        slim = replace(self, narrow=True)
        ways = (self, paper, False), (self, None, False), (slim, None, False), (self, None, True), (slim, None, True)
        for shape, area, hatched in ways:
            for columns in (1, 2, 3):
                if shape._put(pen, room, window, area, columns, hatched):
                    return
        self._parted(pen, room, window)

    @property
    def heads(self) -> list[tuple[str, float]]:
        """What stands over the rows, line by line, each with its size in points."""
        faces = in_two(self.face) if self.narrow else (self.face,)
        return [pair for pair in ((self.title, TITLE_PT), *((line, TEXT_PT) for line in faces)) if pair[0]]

    @property
    def _sample(self) -> float:
        return SLIM if self.narrow else SAMPLE

    def size(self, pen: Pen, columns: int) -> tuple[float, float]:
        """Width and height in so many columns."""
        count = math.ceil(len(self.rows) / columns)
        wide = sum(self._widths(pen, columns)) + BETWEEN * (columns - 1)
        heads = [pen.width(text, size_pt, True) for text, size_pt in self.heads]
        return max(wide, *heads), len(heads) * 5.0 + 1.0 + count * LINE

    def _widths(self, pen: Pen, columns: int) -> list[float]:
        return [max(self._row_width(pen, row) for row in column) for column in self._columns(columns)]

    def _columns(self, columns: int) -> list[Sequence[Row]]:
        count = math.ceil(len(self.rows) / columns)
        return [self.rows[k : k + count] for k in range(0, len(self.rows), count)]

    def _row_width(self, pen: Pen, row: Row) -> float:
        return self._sample + GUTTER + pen.width(say(self.words, row.key), TEXT_PT)

    def _put(self, pen: Pen, room: Room, window: Box, area: shapely.Polygon | None, columns: int, hatched: bool) -> bool:
        size = self.size(pen, columns)
        x0, y0, x1, y1 = window
        corners = [(x1, y0), (x1, y1), (x0, y0), (x0, y1)]
        found = [(at, corner) for corner in corners if (at := room.spot(size, corner, 1.0, area, hatched))]
        if not found:
            return False
        at, _ = min(found, key=lambda pair: (round(math.dist(*pair) / 10), corners.index(pair[1])))
        box = around(at, size)
        if hatched:
            blank(pen, box)
        self._draw(pen, (box[0], box[3]), columns)
        room.take(box)
        return True

    def _draw(self, pen: Pen, top: Point, columns: int) -> None:
        """From its upper left corner."""
        x, y = top
        for n, (text, size_pt) in enumerate(self.heads):
            pen.text((x, y - 4.0 - 5.0 * n), text, size_pt, bold=True, layer="Legend")
        low = y - 5.0 * len(self.heads) - 1.0
        for column, wide in zip(self._columns(columns), self._widths(pen, columns), strict=True):
            for n, row in enumerate(column):
                draw_row(pen, (x, low - (n + 0.5) * LINE), row, self.words, self._sample)
            x += wide + BETWEEN

    def _parted(self, pen: Pen, room: Room, window: Box) -> None:
        """Each line by itself where there is room, over hatching when need be."""
        near = (window[2], window[1])
        for text, size_pt in [pair for pair in ((self.title, TITLE_PT), (self.face, TEXT_PT)) if pair[0]]:
            size = pen.width(text, size_pt, True), LINE
            if at := room.spot(size, near, 0.5) or room.spot(size, near, 0.5, hatched=True):
                pen.text((at[0] - size[0] / 2, at[1] - _low(size_pt)), text, size_pt, bold=True, halo=True, layer="Legend")
                room.take(around(at, size))
        for row in self.rows:
            size = self._row_width(pen, row), LINE
            if at := room.spot(size, near, 0.5):
                draw_row(pen, (at[0] - size[0] / 2, at[1]), row, self.words)
                room.take(around(at, size))


def _low(size_pt: float) -> float:
    return CAPITAL * size_pt * MM_PER_POINT / 2


def draw_row(pen: Pen, at: Point, row: Row, words: Mapping[str, str], wide: float = SAMPLE) -> None:
    """A sample, `wide` mm, and its words, from the middle of its left end."""
    x, y = at
    _sample(pen, x, y, row.key, wide)
    pen.text((x + wide + GUTTER, y - _low(TEXT_PT)), say(words, row.key), TEXT_PT, layer="Legend")


def _sample(pen: Pen, x: float, y: float, key: str, wide: float) -> None:
    ring = (x, y - 1.5), (x + wide, y - 1.5), (x + wide, y + 1.5), (x, y + 1.5)
    if key == "glue_here":
        hatch(pen, ring, layer="Legend")
    elif key == "glue_back":
        pen.path(ring, STROKES["hidden"], "Legend", closed=True)
    elif key == "mark":
        registration(pen, (x + wide / 2, y), 1.4, 2.0)
    else:
        pen.path(((x, y), (x + wide, y)), STROKES["dimension" if key == "seam" else key], "Legend")

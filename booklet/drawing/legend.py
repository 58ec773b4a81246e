"""The legend of a template page: which line is which, which face is up, how often to cut; in a corner that is free."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely

from booklet.drawing.labels import say
from booklet.drawing.pen import MM_PER_POINT, STROKES, Pen, hatch, registration
from booklet.drawing.room import CAPITAL, Box, Room, around
from booklet.plane import Point

TITLE_PT = 10.0
TEXT_PT = 8.0
SAMPLE = 14.0
LINE = 4.6
GUTTER = 2.5
BETWEEN = 5.0
"""Type in points; width of a sample, height of a row, and gaps beside a sample and between columns, mm (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Row:
    """One sample with its words: "cut", "valley", "mountain", "glue_here", "glue_back", "mark" or "seam"."""

    key: str


@dataclass(frozen=True)
class Legend:
    """`title` and `face` stand over the rows."""

    title: str
    face: str
    rows: tuple[Row, ...]
    words: Mapping[str, str]

    def put(self, pen: Pen, room: Room, window: Box, paper: shapely.Polygon) -> None:
        """Draw it in the first shape that finds room: on the blank paper, inside the piece, and at last parted."""
        for area in (paper, None):
            for columns in (1, 2, 3):
                if self._put(pen, room, window, area, columns):
                    return
        self._parted(pen, room, window)

    def size(self, pen: Pen, columns: int) -> tuple[float, float]:
        """Width and height in so many columns."""
        count = math.ceil(len(self.rows) / columns)
        wide = sum(self._widths(pen, columns)) + BETWEEN * (columns - 1)
        heads = max(pen.width(self.title, TITLE_PT, True), pen.width(self.face, TEXT_PT, True))
        return max(wide, heads), 2 * 5.0 + 1.0 + count * LINE

    def _widths(self, pen: Pen, columns: int) -> list[float]:
        return [max(self._row_width(pen, row) for row in column) for column in self._columns(columns)]

    def _columns(self, columns: int) -> list[Sequence[Row]]:
        count = math.ceil(len(self.rows) / columns)
        return [self.rows[k : k + count] for k in range(0, len(self.rows), count)]

    def _row_width(self, pen: Pen, row: Row) -> float:
        return SAMPLE + GUTTER + pen.width(say(self.words, row.key), TEXT_PT)

    def _put(self, pen: Pen, room: Room, window: Box, area: shapely.Polygon | None, columns: int) -> bool:
        size = self.size(pen, columns)
        x0, y0, x1, y1 = window
        corners = [(x1, y0), (x1, y1), (x0, y0), (x0, y1)]
        found = [(at, corner) for corner in corners if (at := room.spot(size, corner, 1.0, area))]
        if not found:
            return False
        at, _ = min(found, key=lambda pair: (round(math.dist(*pair) / 10), corners.index(pair[1])))
        box = around(at, size)
        self._draw(pen, (box[0], box[3]), columns)
        room.take(box)
        return True

    def _draw(self, pen: Pen, top: Point, columns: int) -> None:
        """From its upper left corner."""
        x, y = top
        pen.text((x, y - 4.0), self.title, TITLE_PT, bold=True, layer="Legend")
        pen.text((x, y - 9.0), self.face, TEXT_PT, bold=True, layer="Legend")
        for column, wide in zip(self._columns(columns), self._widths(pen, columns), strict=True):
            for n, row in enumerate(column):
                draw_row(pen, (x, y - 11.0 - (n + 0.5) * LINE), row, self.words)
            x += wide + BETWEEN

    def _parted(self, pen: Pen, room: Room, window: Box) -> None:
        """Each line by itself where there is room, over hatching when need be."""
        near = (window[2], window[1])
        for text, size_pt in ((self.title, TITLE_PT), (self.face, TEXT_PT)):
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


def draw_row(pen: Pen, at: Point, row: Row, words: Mapping[str, str]) -> None:
    """A sample and its words, from the middle of its left end."""
    x, y = at
    _sample(pen, x, y, row.key)
    pen.text((x + SAMPLE + GUTTER, y - _low(TEXT_PT)), say(words, row.key), TEXT_PT, layer="Legend")


def _sample(pen: Pen, x: float, y: float, key: str) -> None:
    ring = (x, y - 1.5), (x + SAMPLE, y - 1.5), (x + SAMPLE, y + 1.5), (x, y + 1.5)
    if key == "glue_here":
        hatch(pen, ring, layer="Legend")
    elif key == "glue_back":
        pen.path(ring, STROKES["hidden"], "Legend", closed=True)
    elif key == "mark":
        registration(pen, (x + SAMPLE / 2, y), 1.4, 2.0)
    else:
        pen.path(((x, y), (x + SAMPLE, y)), STROKES["dimension" if key == "seam" else key], "Legend")

"""Free room on a drawing for words and signs: where an upright rectangle touches no line. Millimetres on paper.

The paper is a grid of small cells; a cell that a line runs through is taken. A rectangle of free cells is found by sums
over the grid, so that a page full of words takes some milliseconds.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from booklet.drawing.pen import MM_PER_POINT, Pen
from booklet.plane import Line, Point, Ring

CAPITAL = 0.714
"""Height of a capital letter in parts of the letters' size, of the shipped face."""

DESCENT = 0.21
"""How far letters go below the baseline, in parts of their size, of the shipped face."""

_NEAR = (8.0, 30.0, math.inf)
"""mm: a place is looked for within these, one after another, to save time."""

Box = tuple[float, float, float, float]


class Room:
    """What is free in a box on paper. `cell`: size of a cell in mm, as near as a rectangle can come to a line beyond its clearance.

    Two kinds of taken cells are told apart: lines, and tinted or hatched areas on which words can stand with a white rim.
    """

    def __init__(self, box: Box, cell: float = 1.0):
        self.box, self.cell = box, cell
        shape = max(1, math.floor((box[3] - box[1]) / cell + 1e-6)), max(1, math.floor((box[2] - box[0]) / cell + 1e-6))
        self._lines, self._hatched = np.zeros(shape, bool), np.zeros(shape, bool)

    def take(self, box: Box) -> None:
        """Keep a rectangle free from now on."""
        (r0, c0), (r1, c1) = self._floor(box[0], box[1]), self._floor(box[2] - 1e-9, box[3] - 1e-9)
        self._lines[max(r0, 0) : max(r1 + 1, 0), max(c0, 0) : max(c1 + 1, 0)] = True

    def take_lines(self, lines: Iterable[Line]) -> None:
        """Keep lines free from now on."""
        ends = np.array(list(lines), float).reshape(-1, 2, 2)
        if not len(ends):
            return
        long = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
        counts = np.ceil(long / (self.cell / 3)).astype(int) + 1
        which = np.repeat(np.arange(len(ends)), counts)
        step = np.arange(len(which)) - np.repeat(np.cumsum(counts) - counts, counts)
        share = step / np.maximum(counts[which] - 1, 1)
        at = ends[which, 0] + (ends[which, 1] - ends[which, 0]) * share[:, None]
        self._mark(self._lines, at)

    def take_area(self, ring: Ring) -> None:
        """Keep a hatched area free, for words that do not ask to stand on it."""
        shape = shapely.Polygon(ring)
        shapely.prepare(shape)
        x0, y0, x1, y1 = shape.bounds
        x, y = np.meshgrid(np.arange(x0, x1 + self.cell, self.cell / 2), np.arange(y0, y1 + self.cell, self.cell / 2))
        inside = shapely.contains_xy(shape, x, y)
        self._mark(self._hatched, np.column_stack([x[inside], y[inside]]))

    def take_inside(self, rings: Sequence[NDArray[np.float64]]) -> None:
        """Keep an area free, by the even-odd rule over its rings, for words that do not ask to stand on it: by the middles of the cells."""
        rows, columns = self._hatched.shape
        x = self.box[0] + (np.arange(columns) + 0.5) * self.cell
        y = (self.box[1] + (np.arange(rows) + 0.5) * self.cell)[:, None]
        start, end = (np.concatenate(part) for part in zip(*((ring, np.roll(ring, -1, axis=0)) for ring in rings), strict=True))
        crossed = (start[:, 1] > y) != (end[:, 1] > y)
        row, edge = np.nonzero(crossed)
        a, b = start[edge], end[edge]
        at = a[:, 0] + (y[row, 0] - a[:, 1]) * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1])
        turns = np.zeros((rows, columns + 1), int)
        np.add.at(turns, (row, np.searchsorted(x, at)), 1)
        self._hatched |= np.cumsum(turns, axis=1)[:, :-1] % 2 == 1

    def spot(
        self,
        size: tuple[float, float],
        near: Point,
        clear: float = 0.0,
        inside: BaseGeometry | None = None,
        hatched: bool = False,
        far: float = math.inf,
    ) -> Point | None:
        """The middle of a free rectangle as near as can be to a point, `clear` mm off every line; None where there is no room.

        `inside`: an area whose edges are lines of the drawing, in which the rectangle lies. `hatched`: hatching does not count.
        `far`: no place much farther off than this is wanted, mm.
        """
        tall, wide = (math.ceil((side + 2 * clear) / self.cell - 1e-6) for side in (size[1], size[0]))
        if inside is not None:
            shapely.prepare(inside)
        searched = None
        for reach in (min(far, one) for one in _NEAR):
            window = self._window(near, reach, inside, tall, wide)
            found = self._nearest(tall, wide, near, window, inside, hatched) if window != searched else None
            if (found and math.dist(found, near) <= reach) or reach == far:
                return found
            searched = window if found is None else None
        return None

    def _nearest(
        self, tall: int, wide: int, near: Point, window: tuple[int, int, int, int], inside: BaseGeometry | None, hatched: bool
    ) -> Point | None:
        """The nearest of the free blocks among the cells of a window: rows from, columns from, rows to, columns to."""
        low, left, high, right = window
        taken = self._lines[low:high, left:right]
        free = _blocks(taken if hatched else taken | self._hatched[low:high, left:right], tall, wide)
        rows, columns = np.nonzero(free)
        x = self.box[0] + (columns + left + wide / 2) * self.cell
        y = self.box[1] + (rows + low + tall / 2) * self.cell
        if not len(x):
            return None
        away = np.round((x - near[0]) ** 2 + (y - near[1]) ** 2, 6)
        best = int(np.argmin(away)) if inside is None else _first_within(inside, x, y, away, self.cell)
        return None if best is None else (float(x[best]), float(y[best]))

    def _window(self, near: Point, reach: float, inside: BaseGeometry | None, tall: int, wide: int) -> tuple[int, int, int, int]:
        """Rows and columns of cells, from and to, among which a block lies whose middle is near enough, and in an area's bounds."""
        x0, y0, x1, y1 = self.box
        if inside is not None and not inside.is_empty:
            ax, ay, bx, by = inside.bounds
            x0, y0, x1, y1 = max(x0, ax), max(y0, ay), min(x1, bx), min(y1, by)
        if reach < math.inf:
            x0, y0, x1, y1 = max(x0, near[0] - reach), max(y0, near[1] - reach), min(x1, near[0] + reach), min(y1, near[1] + reach)
        if x1 < x0 or y1 < y0:
            return 0, 0, 0, 0
        (r0, c0), (r1, c1) = self._floor(x0, y0), self._floor(x1, y1)
        rows, columns = self._lines.shape
        return max(r0 - tall, 0), max(c0 - wide, 0), min(r1 + 1 + tall, rows), min(c1 + 1 + wide, columns)

    def _floor(self, x: float, y: float) -> tuple[int, int]:
        return math.floor((y - self.box[1]) / self.cell), math.floor((x - self.box[0]) / self.cell)

    def _mark(self, grid: NDArray[np.bool_], at: NDArray[np.float64]) -> None:
        columns, rows = (np.floor((at - np.array(self.box[:2])) / self.cell).astype(int)).T
        kept = (rows >= 0) & (columns >= 0) & (rows < grid.shape[0]) & (columns < grid.shape[1])
        grid[rows[kept], columns[kept]] = True


def _blocks(taken: NDArray[np.bool_], tall: int, wide: int) -> NDArray[np.bool_]:
    """Where a block of free cells can have its lower left corner: where the sum over it is 0."""
    sums = np.zeros((taken.shape[0] + 1, taken.shape[1] + 1), np.int32)
    np.cumsum(taken, 0, out=sums[1:, 1:])
    np.cumsum(sums[1:, 1:], 1, out=sums[1:, 1:])
    if tall >= sums.shape[0] or wide >= sums.shape[1]:
        return np.zeros((0, 0), bool)
    free: NDArray[np.bool_] = sums[tall:, wide:] - sums[:-tall, wide:] - sums[tall:, :-wide] + sums[:-tall, :-wide] == 0
    return free


def _first_within(
    inside: BaseGeometry, x: NDArray[np.floating], y: NDArray[np.floating], away: NDArray[np.floating], cell: float
) -> int | None:
    """Which of some points in an area is the first of the least figure `away`, mm2. The nearest are asked first: to ask all takes long."""
    done, far = -1.0, math.sqrt(float(away.min())) + 8 * cell
    while done < float(away.max()):
        some = np.flatnonzero((away > done) & (away <= far * far))
        some = some[shapely.contains_xy(inside, x[some], y[some])]
        if len(some):
            return int(some[np.argmin(away[some])])
        done, far = far * far, 2 * far
    return None


def steps(ring: Sequence[Point], closed: bool = True) -> list[Line]:
    """The straight lines of a ring or a polyline."""
    ends = (*ring[1:], ring[0]) if closed else ring[1:]
    return list(zip(ring, ends, strict=False))


def size_of(pen: Pen, words: str, size_pt: float, bold: bool = False) -> tuple[float, float]:
    """Width and height in mm of a line of words, from the foot of its letters to the top of its capitals."""
    return pen.width(words, size_pt, bold), (CAPITAL + DESCENT) * size_pt * MM_PER_POINT


def around(at: Point, size: tuple[float, float]) -> Box:
    """The rectangle of a size round a point."""
    return at[0] - size[0] / 2, at[1] - size[1] / 2, at[0] + size[0] / 2, at[1] + size[1] / 2


def blank(pen: Pen, box: Box, rim: float = 0.6) -> None:
    """White paper under words that stand on hatching."""
    x0, y0, x1, y1 = box[0] - rim, box[1] - rim, box[2] + rim, box[3] + rim
    pen.fill([((x0, y0), (x1, y0), (x1, y1), (x0, y1))], 1.0, "Legend")


def write_centred(
    pen: Pen,
    words: str,
    size_pt: float,
    at: Point,
    bold: bool = False,
    angle: float = 0.0,
    halo: bool = False,
    layer: str | None = "Legend",
) -> None:
    """Words with the middle of their rectangle at a point; upright or turned by right angles."""
    low = (CAPITAL - DESCENT) * size_pt * MM_PER_POINT / 2
    t = math.radians(angle)
    pen.text((at[0] + low * math.sin(t), at[1] - low * math.cos(t)), words, size_pt, "middle", bold, angle, halo, layer)

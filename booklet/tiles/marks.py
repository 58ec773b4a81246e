"""Registration marks: three a seam, by which a page that is turned or mirrored is noticed. Millimetres.

Two stand at the ends of a seam in the middle of what its pages share, as far apart as the lines let them. The third stands off
their line and off the middle between them: no turn and no mirroring of a page lays the three on themselves.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import shapely

from booklet.plane import Point
from booklet.tiles.lattice import Box, Mesh
from booklet.tolerance import SAME_POINT

Cell = tuple[int, int]
"""Column and row of a window in its lattice."""

Seam = tuple[Cell, Cell, int]
"""Two cells and the axis on which they differ, the lower cell first."""

MARK = 3.0
"""Half the size of a registration mark in mm where pages overlap enough."""

_ROOM = 1.0
"""mm that are left beside a mark at least, half of the way that the third one stands off the line of the other two."""

_CLEAR = 4.0
_THIRD = (0.36, 0.33, 0.39, 0.3, 0.42)


def mark_size(overlap: float) -> float:
    """Half the size of a mark in mm for pages that overlap so far: small enough to stand off the middle of a seam.

    >>> mark_size(10.0), mark_size(6.0)
    (3.0, 2.0)
    """
    return min(MARK, overlap / 2 - _ROOM)


def whole_in(window: Box, mark: Point, size: float) -> bool:
    """Whether a mark stands whole in a window."""
    x, y = mark
    return min(x - window[0], y - window[1], window[2] - x, window[3] - y) >= size - SAME_POINT


@dataclass(frozen=True)
class Joints:
    """The seams between the windows of a template. `lines`: what is drawn of the template, where it lies under the lattice."""

    mesh: Mesh
    corner: Point
    cells: tuple[Cell, ...]
    lines: Any

    @cached_property
    def seams(self) -> tuple[Seam, ...]:
        """Neighbouring cells."""
        pairs = [(c, (c[0] + 1 - axis, c[1] + axis), axis) for c in self.cells for axis in (0, 1)]
        return tuple(pair for pair in pairs if pair[1] in self._used)

    @cached_property
    def _used(self) -> set[Cell]:
        return set(self.cells)

    @property
    def size(self) -> float:
        """Half the size of a mark."""
        return mark_size(self.mesh.overlap)

    def marks(self) -> list[Point]:
        """The marks of all seams, each once."""
        marks = {(round(x, 6), round(y, 6)): (x, y) for seam in self.seams for x, y in self._on(seam)}
        return [marks[key] for key in sorted(marks)]

    def band(self, seam: Seam) -> Box:
        """What the two windows of a seam have in common."""
        a, b = (self.mesh.window(self.corner, *cell) for cell in seam[:2])
        return max(a[0], b[0]), max(a[1], b[1]), min(a[2], b[2]), min(a[3], b[3])

    def _on(self, seam: Seam) -> Iterator[Point]:
        """The three marks of a seam, clear of the lines where that can be.

        Where other pages meet the seam's end, the mark stands in the middle of the corner that they share.
        """
        band, axis, half = self.band(seam), seam[2], self.mesh.overlap / 2
        low, high, middle = band[1 - axis], band[3 - axis], (band[axis] + band[2 + axis]) / 2
        long = high - low
        reach = [self.size + 1 + step for step in range(0, max(int(0.15 * long), 1), 2)]
        ends = []
        for end, way, next_to in ((low, 1, -1), (high, -1, 1)):
            places = [half] if self._met(seam, next_to) else reach
            ends.append(self._clear([_at(axis, middle, end + way * place) for place in places]))
        yield from ends
        off, apart = half - self.size, 2 * self.size + 2 * _ROOM
        thirds = [_at(axis, middle + off * side, low + long * share) for side in (1, -1) for share in _THIRD]
        yield self._clear([place for place in thirds if min(math.dist(place, end) for end in ends) >= apart] or thirds[:1])

    def _met(self, seam: Seam, step: int) -> bool:
        """Whether a third page reaches over an end of a seam."""
        di, dj = (step, 0) if seam[2] else (0, step)
        return any((i + di, j + dj) in self._used for i, j in seam[:2])

    def _clear(self, places: Sequence[Point]) -> Point:
        """The first place that is clear of the drawing's lines, else the clearest."""
        if len(places) == 1:
            return places[0]
        far = [min(float(shapely.Point(place).distance(self.lines)), _CLEAR) for place in places]
        return places[far.index(max(far))]


def _at(axis: int, across: float, along: float) -> Point:
    """A point on a seam between cells that differ on an axis."""
    return (along, across) if axis else (across, along)

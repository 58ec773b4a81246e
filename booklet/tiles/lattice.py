"""Windows of one lattice over a shape: which of them are needed, at one offset or at thousands at once. Millimetres.

A lattice is told by where its window (0, 0) has its lower left corner; every offset of it has that corner at most one pitch left of
and below the shape's. Cut by the edges of its windows the plane falls into patches that one, two or four windows hold. A patch in
which the shape has a point asks for one of its windows; the fewest windows that meet all that is asked are the fewest at this offset.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet.plane import Point
from booklet.tiles.dots import Dots, Figures, Whole, dots_of
from booklet.tiles.fewest import Picker, bits
from booklet.tolerance import SAME_POINT

Box = tuple[float, float, float, float]
"""x0, y0, x1, y1."""
Flags = NDArray[np.bool_]

_UNSEEN = 1e-3
"""mm2 of a shape outside all windows that are taken for noise."""


@dataclass(frozen=True, slots=True)
class Mesh:
    """The windows of a lattice: width and height of each, and how far neighbours overlap."""

    size: tuple[float, float]
    overlap: float

    def pitch(self, axis: int) -> float:
        """From one window to the next."""
        return self.size[axis] - self.overlap

    def window(self, corner: Point, column: int, row: int) -> Box:
        """A window of the lattice with this corner."""
        x, y = corner[0] + column * self.pitch(0), corner[1] + row * self.pitch(1)
        return x, y, x + self.size[0], y + self.size[1]


def span(used: Flags, axis: int) -> tuple[Whole, Whole]:
    """The first and the last column (axis 0) or row that lattices use: windows as flags, shape (lattices, rows, columns)."""
    lines: Flags = np.max(used, axis=1 + axis)
    return lines.argmax(axis=1), lines.shape[1] - 1 - lines[:, ::-1].argmax(axis=1)


@dataclass
class Asked:
    """What lattices ask for: `bits`, shape (lattices, cells + demands): cells that are forced, then demands that these leave unmet.

    `number`: the fewest windows of each, or one more than was looked for; `cells`: a set of so many, 0 where none is known.
    `learnt`: how many points the field had learnt by then.
    """

    at: Figures
    bits: Flags
    number: Whole
    cells: NDArray[np.object_]
    learnt: int = 0


@dataclass
class Field:
    """A shape under the lattices of one mesh. `learnt`: points of the shape that count beside its dots."""

    shape: Any
    mesh: Mesh
    learnt: list[Point] = field(default_factory=list)
    _known: dict[bytes, tuple[int, int, int]] = field(default_factory=dict)

    @cached_property
    def dots(self) -> Dots:
        """The shape as points."""
        return dots_of(self.shape)

    @cached_property
    def count(self) -> tuple[int, int]:
        """Columns and rows that hold the shape whatever the offset."""
        box = self.shape.bounds
        n, m = (math.ceil((box[axis + 2] - box[axis]) / self.mesh.pitch(axis) - SAME_POINT) + 1 for axis in (0, 1))
        return n, m

    @cached_property
    def picker(self) -> Picker:
        """Chooses windows."""
        return Picker(*self.count)

    @cached_property
    def demands(self) -> list[int]:
        """The cells of each patch that two or four windows hold, in the order of the bits."""
        n, m = self.count

        def one(i: int, j: int) -> int:
            return 1 << (i + j * n)

        beside = [one(i, j) | one(i + 1, j) for j in range(m) for i in range(n - 1)]
        over = [one(i, j) | one(i, j + 1) for j in range(m - 1) for i in range(n)]
        four = [one(i, j) | one(i + 1, j) | one(i, j + 1) | one(i + 1, j + 1) for j in range(m - 1) for i in range(n - 1)]
        return beside + over + four

    @property
    def floor(self) -> int:
        """No lattice has fewer windows: by the area, and by columns and rows that hang together."""
        box = self.shape.bounds
        spans = [math.ceil((box[a + 2] - box[a] - self.mesh.overlap) / self.mesh.pitch(a) - SAME_POINT) for a in (0, 1)]
        return max(math.ceil(self.shape.area / math.prod(self.mesh.size) - SAME_POINT), sum(max(s, 1) for s in spans) - 1)

    def places(self, axis: int, step: float) -> tuple[Figures, float]:
        """The middles of even boxes of corners along an axis, and half the length of a box."""
        pitch = self.mesh.pitch(axis)
        number = math.ceil(pitch / step)
        half = pitch / number / 2
        return self.shape.bounds[axis] - pitch + half * (2 * np.arange(number) + 1), half

    def even(self, axis: int) -> list[float]:
        """Corners of the fewest windows along an axis: in the middle of their play, and at both its ends."""
        low, high = self.shape.bounds[axis], self.shape.bounds[axis + 2]
        pitch = self.mesh.pitch(axis)
        number = max(math.ceil((high - low - self.mesh.overlap) / pitch - SAME_POINT), 1)
        play = number * pitch + self.mesh.overlap - (high - low)
        return [low - play * share for share in (0.5, 0.0, 1.0) if play * share <= pitch]

    def over(self, x: Figures, y: Figures, half: tuple[float, float] = (0.0, 0.0)) -> Asked:
        """What the lattices with all corners of x and y ask for at least, wherever in a box round it each corner lies."""
        cut_x, cut_y = self._cuts(0, x, half[0]), self._cuts(1, y, half[1])
        rows = self.dots.sums[cut_y[:, 1:]] - self.dots.sums[cut_y[:, :-1]]
        cells = np.take(rows, cut_x, axis=2)
        hits = (cells[..., 1:] > cells[..., :-1]).transpose(0, 2, 1, 3)
        at = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
        return self._asked(at, hits.reshape(-1, *hits.shape[2:]), half)

    def at(self, corners: Figures, half: tuple[float, float] = (0.0, 0.0)) -> Asked:
        """The same for a list of corners, shape (n, 2)."""
        cut_x, cut_y = (self._cuts(axis, corners[:, axis], half[axis]) for axis in (0, 1))
        sums = self.dots.sums[cut_y[:, :, None], cut_x[:, None, :]]
        rows = sums[:, 1:] - sums[:, :-1]
        return self._asked(corners, rows[..., 1:] > rows[..., :-1], half)

    def _cuts(self, axis: int, starts: Figures, half: float) -> Whole:
        """Between which lines of the dots the edges of all windows lie, when each window is larger by `half` a side."""
        number, pitch, hair = self.count[axis], self.mesh.pitch(axis), half + SAME_POINT
        lows = starts[:, None] + np.arange(1, number) * pitch - hair
        cuts = np.zeros((len(starts), 2 * number), np.int64)
        cuts[:, 1:-1:2] = self.dots.before(axis, lows, "left")
        cuts[:, 2:-1:2] = self.dots.before(axis, lows - pitch + self.mesh.size[axis] + 2 * hair, "right")
        cuts[:, -1] = len((self.dots.x, self.dots.y)[axis])
        return cuts

    def _asked(self, at: Figures, hits: Flags, half: tuple[float, float]) -> Asked:
        """From patches with points, shape (lattices, rows, columns), to cells and demands."""
        for point in self.learnt:
            column, row = (self._patch(axis, at[:, axis], point[axis], half[axis]) for axis in (0, 1))
            hits[np.arange(len(at)), row, column] = True
        own = hits[:, ::2, ::2]
        beside = hits[:, ::2, 1::2] & ~(own[:, :, 1:] | own[:, :, :-1])
        over = hits[:, 1::2, ::2] & ~(own[:, 1:] | own[:, :-1])
        four = hits[:, 1::2, 1::2] & ~(own[:, 1:, 1:] | own[:, 1:, :-1] | own[:, :-1, 1:] | own[:, :-1, :-1])
        flat = np.concatenate([part.reshape(len(at), -1) for part in (own, beside, over, four)], axis=1)
        return Asked(at, flat, np.zeros(len(at), np.int64), np.zeros(len(at), object), len(self.learnt))

    def _patch(self, axis: int, starts: Figures, place: float, half: float) -> Whole:
        """The patch along an axis in which a point lies: 2 i in window i alone, 2 i - 1 in windows i - 1 and i."""
        pitch, hair = self.mesh.pitch(axis), half + SAME_POINT
        number = np.floor((place - starts) / pitch)
        rest = place - starts - number * pitch
        patch = 2 * number + (rest >= pitch - hair) - ((rest <= self.mesh.overlap + hair) & (rest < pitch - hair))
        return np.clip(patch, 0, 2 * self.count[axis] - 2).astype(np.int64)

    def solve(self, asked: Asked, most: int, all_of_them: bool = False) -> None:
        """Find the fewest windows of each lattice as far as they are at most `most`; the others get `most` + 1.

        Unless `all_of_them` are asked for, no number larger than the least one found is looked for.
        """
        cells = self.count[0] * self.count[1]
        asked.number[:] = asked.bits[:, :cells].sum(1) + asked.bits[:, cells:].any(1)
        some = np.flatnonzero(asked.number <= most)
        packed = _packed(asked.bits[some])
        _, first, like = np.unique(packed, return_index=True, return_inverse=True)
        answers = [(most + 1, 0)] * len(first)
        for n in np.argsort(asked.number[some[first]], kind="stable").tolist():
            row = int(some[first[n]])
            answers[n] = self._fewest(packed[first[n]].tobytes(), asked.bits[row], most)
            if not all_of_them and answers[n][1]:
                most = min(most, answers[n][0])
        asked.number[:] = np.maximum(asked.number, most + 1)
        if answers:
            asked.number[some] = np.array([number for number, _ in answers])[like]
            asked.cells[some] = np.array([cells for _, cells in answers], object)[like]

    def _fewest(self, key: bytes, asked: Flags, most: int) -> tuple[int, int]:
        """The answer for what is asked, looked up or worked out."""
        tried, number, found = self._known.get(key, (-1, 0, 0))
        if number > tried < most:
            cells = self.count[0] * self.count[1]
            forced = sum(1 << int(n) for n in np.flatnonzero(asked[:cells]))
            number, found = self.picker.fewest(forced, [self.demands[n] for n in np.flatnonzero(asked[cells:])], most)
            self._known[key] = most, number, found
        return (number, found) if number <= most else (most + 1, 0)

    def windows(self, corner: Point, cells: int) -> list[Any]:
        """The windows of cells."""
        return [shapely.box(*self.mesh.window(corner, n % self.count[0], n // self.count[0])) for n in bits(cells)]

    def unseen(self, corner: Point, cells: int) -> list[Point]:
        """Points of the shape that no window of the cells holds; none where they hold it all."""
        rest = self.shape.difference(shapely.union_all(self.windows(corner, cells)).buffer(SAME_POINT, join_style="mitre"))
        if rest.area < _UNSEEN:
            return []
        parts = [part.representative_point() for part in shapely.get_parts(rest) if part.area > _UNSEEN / 4]
        return [(part.x, part.y) for part in parts]


def _packed(flags: Flags) -> NDArray[Any]:
    """Each row of flags as one value that can be compared: a number where 64 bits are enough."""
    packed = np.packbits(flags, axis=1)
    if packed.shape[1] > 8:
        return packed.view(f"V{packed.shape[1]}").ravel()
    return np.ascontiguousarray(np.pad(packed, ((0, 0), (0, 8 - packed.shape[1])))).view(np.uint64).ravel()

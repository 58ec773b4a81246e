"""The best offset of a lattice over a shape: the fewest windows, proven over every offset, and of those the one that costs least.

First a grid of offsets is asked, then boxes of offsets are: with windows larger by half a box on each side, which bounds all offsets
in it from below. Boxes that might have fewer are parted until none is left. No clock: what is done is counted, so that the same
shape gives the same answer on every machine.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from booklet.plane import Point
from booklet.tiles.dots import Figures
from booklet.tiles.lattice import Asked, Field, Flags, Mesh, span
from booklet.tolerance import SAME_POINT

Cost = Callable[[int, Figures, Flags], Figures]
"""What lattices cost over a shape (by its number): their corners, shape (n, 2), and which windows they use, (n, rows, columns)."""

STEP = 2.0
"""mm from one offset of the first grid to the next."""

TIGHT = 3.0
"""mm: a shape nearer to what the outer windows end with is at the edge of what pages print (chosen by us)."""

FINEST = 1e-4
"""mm: boxes of offsets are not parted further; what is then left is not proven."""

BOXES = 60_000
"""So many boxes of offsets are parted for a shape at most, fewer where there are many windows."""

_TRIES = 60
_ATOMS = 1_500_000


@dataclass(frozen=True, slots=True)
class Found:
    """The best lattice: number of the shape, its corner, the cells (column, row) that are used.

    `least`: no lattice over any of the shapes has fewer windows; the cells are proven to be the fewest where they are as many.
    """

    shape: int
    corner: Point
    cells: tuple[tuple[int, int], ...]
    least: int

    @property
    def proven(self) -> bool:
        """Whether there is no lattice with fewer windows."""
        return len(self.cells) == self.least


@dataclass(frozen=True, slots=True)
class _Spot:
    """A lattice that holds a shape: cells as bits."""

    shape: int
    corner: Point
    cells: int


def best(shapes: Sequence[Any], mesh: Mesh, cost: Cost) -> Found:
    """The best of all offsets over several shapes (turns of one piece): fewest windows, then off their edge, then the least cost."""
    fields = [Field(shape, mesh) for shape in shapes]
    spot = _settled(fields, [_first(one) for one in fields], cost) or _whole(fields)
    least = min(one.floor for one in fields)
    while spot.cells.bit_count() > least:
        trials, bound = _fewer(fields, spot.cells.bit_count() - 1)
        found = _settled(fields, trials, cost) if trials else None
        if found is None or found.cells.bit_count() >= spot.cells.bit_count():
            least = max(least, min(bound, spot.cells.bit_count()))
            break
        spot = found
    columns = fields[spot.shape].count[0]
    cells = [n for n in range(spot.cells.bit_length()) if spot.cells >> n & 1]
    return Found(spot.shape, spot.corner, tuple((n % columns, n // columns) for n in cells), least)


def _first(field: Field) -> Asked:
    """The first grid of offsets, with those that spread the fewest windows evenly; the fewest windows of each."""
    step = _step(field)
    x, y = (np.concatenate([field.even(axis), field.places(axis, step)[0]]) for axis in (0, 1))
    asked = field.over(x, y)
    field.solve(asked, field.count[0] * field.count[1])
    return asked


def _step(field: Field) -> float:
    """Finer than what a window holds alone, and coarse where there are many windows."""
    (n, m), mesh = field.count, field.mesh
    many = math.sqrt(mesh.pitch(0) * mesh.pitch(1) * 4 * n * m / _ATOMS)
    return min(max(STEP, many), *(size / 2 - mesh.overlap for size in mesh.size))


def _settled(fields: Sequence[Field], trials: Sequence[Asked], cost: Cost) -> _Spot | None:
    """The best of lattices that are tried, held against the true shapes; where one fails, its field learns why.

    `trials`: some of each field, solved. None where none holds its shape within a number of tries.
    """
    for _ in range(_TRIES):
        number = min(int(asked.number.min(initial=10**6)) for asked in trials)
        for which, asked in enumerate(trials):
            _again(fields[which], asked, number)
        spot = _cheapest(fields, trials, number, cost)
        if spot is None:
            if all((asked.number > number).all() for asked in trials):
                if number >= 10**6:
                    return None
                continue
            return None
        missed = fields[spot.shape].unseen(spot.corner, spot.cells)
        if not missed:
            return spot
        fields[spot.shape].learnt += missed
    return None


def _again(field: Field, asked: Asked, number: int) -> None:
    """Solve anew what may have so few windows, with all that was learnt."""
    open_ = asked.number <= number
    rows = np.flatnonzero(open_ if asked.learnt < len(field.learnt) else open_ & (asked.cells == 0))
    if len(rows):
        new = field.at(asked.at[rows])
        field.solve(new, number)
        asked.number[rows], asked.cells[rows] = new.number, new.cells
    if asked.number.min(initial=number + 1) > number:
        return
    asked.learnt = len(field.learnt)


def _cheapest(fields: Sequence[Field], trials: Sequence[Asked], number: int, cost: Cost) -> _Spot | None:
    """Of the lattices with so many windows the one that ranks first."""
    found: list[tuple[tuple[float, ...], _Spot]] = []
    for which, asked in enumerate(trials):
        rows = np.flatnonzero((asked.number == number) & (asked.cells != 0))
        if len(rows):
            at, cells = asked.at[rows], asked.cells[rows].tolist()
            used = _used(fields[which], cells)
            tight, price = _tight(fields[which], at, used), np.round(cost(which, at, used), 2)
            n = int(np.lexsort((at[:, 1], at[:, 0], price, tight))[0])
            found.append(((bool(tight[n]), float(price[n]), which), _Spot(which, (float(at[n, 0]), float(at[n, 1])), cells[n])))
    return min(found, key=lambda pair: pair[0])[1] if found else None


def _used(field: Field, cells: Sequence[int]) -> Flags:
    """Cells as flags, shape (lattices, rows, columns)."""
    kinds = {kind: n for n, kind in enumerate(dict.fromkeys(cells))}
    (n, m) = field.count
    table = np.array([[kind >> cell & 1 for cell in range(n * m)] for kind in kinds], bool)
    return table[[kinds[one] for one in cells]].reshape(-1, m, n)


def _tight(field: Field, at: Figures, used: Flags) -> Flags:
    """Whether the shape lies at the very edge of what the outer windows hold."""
    box, mesh = field.shape.bounds, field.mesh
    tight = np.zeros(len(at), bool)
    for axis in (0, 1):
        first, last = span(used, axis)
        low, high = at[:, axis] + first * mesh.pitch(axis), at[:, axis] + last * mesh.pitch(axis) + mesh.size[axis]
        tight |= np.minimum(box[axis] - low, high - box[axis + 2]) < TIGHT - SAME_POINT
    return tight


def _whole(fields: Sequence[Field]) -> _Spot:
    """Every window of a middle lattice that the shape meets, less those that the others spare: where nothing better was found."""
    field = fields[0]
    corner = (field.even(0)[0], field.even(1)[0])
    cells = sum(1 << n for n in range(field.count[0] * field.count[1]) if field.windows(corner, 1 << n)[0].intersects(field.shape))
    for n in range(field.count[0] * field.count[1]):
        less = cells & ~(1 << n)
        if less and less != cells and field.picker.patch(less) == less and not field.unseen(corner, less):
            cells = less
    return _Spot(0, corner, cells)


@dataclass(frozen=True, slots=True)
class _Boxes:
    """Boxes of corners: their middles, shape (n, 2), and half their sides."""

    at: Figures
    half: tuple[float, float]

    def parted(self, axis: int) -> _Boxes:
        """Each in two along an axis."""
        half = (self.half[0] / (2 - axis), self.half[1] / (1 + axis))
        ways = np.array([(-half[0] * (1 - axis), -half[1] * axis), (half[0] * (1 - axis), half[1] * axis)])
        return _Boxes((self.at[:, None] + ways).reshape(-1, 2), half)


def _fewer(fields: Sequence[Field], most: int) -> tuple[list[Asked], int]:
    """Lattices with at most so many windows, as far as the dots tell, a list for each field; and a bound for what is not found.

    The lists are empty where there is none; the bound is then what no lattice goes below.
    """
    bound = most + 1
    for which, field in enumerate(fields):
        if field.floor <= most:
            found, least = _parted(field, most)
            if found is not None:
                none = Asked(np.zeros((0, 2)), np.zeros((0, 0), bool), np.zeros(0, np.int64), np.zeros(0, object))
                return [found if n == which else none for n in range(len(fields))], min(bound, least)
            bound = min(bound, least)
    return [], bound


def _parted(field: Field, most: int) -> tuple[Asked | None, int]:
    """Part boxes until an offset has at most so many windows, or none can; with the bound of what is left."""
    (x, a), (y, b) = (field.places(axis, _step(field)) for axis in (0, 1))
    asked, half = field.over(x, y, (a, b)), (a, b)
    field.solve(asked, most, all_of_them=True)
    room, cells = BOXES, field.count[0] * field.count[1]
    while True:
        left = asked.number <= most
        if not left.any():
            return None, most + 1
        boxes = _Boxes(asked.at[left], half)
        middles = _true(field, boxes.at, most)
        if middles is not None:
            return middles, most + 1
        room -= 4 * len(boxes.at) * max(cells // 12, 1)
        if room < 0 or max(half) < FINEST:
            return None, int(asked.number.min())
        asked, half = _halved(field, boxes, most)


def _halved(field: Field, boxes: _Boxes, most: int) -> tuple[Asked, tuple[float, float]]:
    """Boxes parted along the axis on which more of them then fall away; along the longer one where that is the same."""
    ways = []
    for axis in (0, 1):
        parted = boxes.parted(axis)
        asked = field.at(parted.at, parted.half)
        field.solve(asked, most, all_of_them=True)
        ways.append((int((asked.number <= most).sum()), -boxes.half[axis], axis, asked, parted.half))
    return min(ways, key=lambda way: way[:3])[3:]


def _true(field: Field, at: Figures, most: int) -> Asked | None:
    """Of some offsets those with at most so many windows, one of them held against the true shape; None where that fails."""
    asked = field.at(at)
    field.solve(asked, most)
    for _ in range(_TRIES):
        rows = np.flatnonzero((asked.number <= most) & (asked.cells != 0))
        if not len(rows):
            return None
        row = int(rows[len(rows) // 2])
        missed = field.unseen((float(at[row, 0]), float(at[row, 1])), asked.cells[row])
        if not missed:
            return asked
        field.learnt += missed
        _again(field, asked, most)
    return None

"""Rectangles packed on sheets: into the largest free rectangles, and row by row.

Each rectangle is turned by right angles and keeps a gap to the next one along x or along y. Millimetres; the room of a sheet is
what is left inside its edge, its origin in the lower left corner. A rectangle takes its gap with it on its right and on top, and
the sheet is given one gap more, so that none is asked for at the edge. Forms are numbers: equal pieces are one form.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import product
from typing import NamedTuple, Protocol

from booklet.free import left
from booklet.tolerance import SAME_POINT

Box = tuple[float, float, float, float]
"""x0, y0, x1, y1."""


class Turned(NamedTuple):
    """A form turned by a number of right angles, and how wide and high it then is."""

    quarter: int
    w: float
    h: float


class Spot(NamedTuple):
    """A form at rest: the lower left corner of the rectangle round it, from the corner of the sheet's room."""

    form: int
    turned: Turned
    x: float
    y: float

    @property
    def right(self) -> float:
        """The greatest x that it takes."""
        return self.x + self.turned.w

    @property
    def top(self) -> float:
        """The greatest y that it takes."""
        return self.y + self.turned.h


Sheet = tuple[Spot, ...]
Layout = tuple[Sheet, ...]


@dataclass(frozen=True, slots=True)
class Job:
    """What is packed: the room of each sheet, the gap, and for each form the ways in which it may lie (all of which go on a sheet)."""

    room: tuple[float, float]
    gap: float
    forms: tuple[tuple[Turned, ...], ...]

    @property
    def grown(self) -> tuple[float, float]:
        """The room with one gap more."""
        return self.room[0] + self.gap, self.room[1] + self.gap


class Blank(Protocol):
    """A sheet with what lies on it so far. It never changes: each piece more makes another one."""

    @property
    def spots(self) -> Sheet:
        """What lies on it, in the order in which it came."""

    def put(self, form: int, rule: int) -> Blank | None:
        """The sheet with one form more, at the best place by a rule; None where there is no place."""


def pack(order: Sequence[int], blank: Blank, rule: int) -> Layout:
    """Each form in turn on the first sheet that has a place for it."""
    sheets: list[Blank] = []
    for form in order:
        for i, sheet in enumerate(sheets):
            if fuller := sheet.put(form, rule):
                sheets[i] = fuller
                break
        else:
            sheets += [sheet for sheet in [blank.put(form, rule)] if sheet]
    return tuple(sheet.spots for sheet in sheets)


def fill(order: Sequence[int], wanted: Sequence[int], blank: Blank, rule: int) -> Sheet:
    """One sheet: of each form in turn as many as go on it, up to the number that is wanted (by form)."""
    for form in order:
        for _ in range(wanted[form]):
            fuller = blank.put(form, rule)
            if fuller is None:
                break
            blank = fuller
    return blank.spots


_Rule = Callable[[Box, float, float], tuple[float, ...]]
RULES: tuple[_Rule, ...] = (
    lambda r, w, h: (r[1] + h, r[0]),
    lambda r, w, h: (r[0] + w, r[1]),
    lambda r, w, h: (min(r[2] - r[0] - w, r[3] - r[1] - h), r[1], r[0]),
    lambda r, w, h: ((r[2] - r[0]) * (r[3] - r[1]), r[1], r[0]),
)
"""Where a rectangle goes, the least figure first: lowest, furthest left, where a side fits best, in the smallest free rectangle."""


@dataclass(frozen=True)
class Free:
    """A sheet by the largest rectangles that are still free on it; they may overlap."""

    job: Job
    spots: Sheet
    free: tuple[Box, ...]
    known: dict[tuple[int, int], Free | None] = field(default_factory=dict, compare=False, repr=False)

    @classmethod
    def blank(cls, job: Job) -> Free:
        """A sheet on which nothing lies."""
        return cls(job, (), ((0.0, 0.0, *job.grown),))

    def put(self, form: int, rule: int) -> Free | None:
        """The sheet with one form more, at the lower left corner of a free rectangle."""
        if (form, rule) not in self.known:
            self.known[form, rule] = self._put(form, RULES[rule])
        return self.known[form, rule]

    def _put(self, form: int, rule: _Rule) -> Free | None:
        gap = self.job.gap
        found = [
            (rule(r, w + gap, h + gap), quarter, r, w, h)
            for quarter, w, h in self.job.forms[form]
            for r in self.free
            if goes((w + gap, h + gap), (r[2] - r[0], r[3] - r[1]))
        ]
        if not found:
            return None
        _, quarter, (x, y, *_), w, h = min(found)
        spot = Spot(form, Turned(quarter, w, h), x, y)
        return Free(self.job, (*self.spots, spot), tuple(left(self.free, (x, y, spot.right + gap, spot.top + gap))))


def goes(size: tuple[float, float], room: tuple[float, float]) -> bool:
    """Whether a rectangle goes into another one."""
    return size[0] <= room[0] + SAME_POINT and size[1] <= room[1] + SAME_POINT


_Lie = tuple[float, float, Turned]
"""What a rectangle takes along and across its row, gap and all, and how it lies."""


@dataclass(frozen=True, slots=True)
class Rows:
    """A way to lay rectangles row by row.

    `prefer`: which way a form lies: 0 as it comes, 1 turned, 2 its long side along the row, 3 across it. `either`: turned the other
    way where only that goes into a row. `back`: earlier rows are tried too, not the last one alone. `upright`: rows run along y.
    `tall_first`: the highest come first, else as they are named.
    """

    prefer: int
    either: bool
    back: bool
    upright: bool
    tall_first: bool

    def ways(self, turned: Sequence[Turned], gap: float) -> list[_Lie]:
        """(along, across) of the row, gap and all, for each way to lie, the one that is preferred first."""
        found = [(t.h + gap, t.w + gap, t) if self.upright else (t.w + gap, t.h + gap, t) for t in turned]
        keys: tuple[Callable[[_Lie], float], ...] = (
            lambda f: f[2].quarter, lambda f: -f[2].quarter, lambda f: f[1], lambda f: -f[1],
        )  # fmt: skip
        found.sort(key=keys[self.prefer])
        return found if self.either else found[:1]


def row_ways(job: Job) -> Iterator[Rows]:
    """Every way to lay the forms of a job row by row, the likeliest first."""
    turns = any(len(turned) > 1 for turned in job.forms)
    for tall, back, upright in product((True, False), (True, False), (False, True)):
        for prefer, either in product((2, 0, 3, 1), (False, True)) if turns else ((0, False),):
            yield Rows(prefer, either, back, upright, tall)


@dataclass(slots=True)
class _Row:
    sheet: int
    across: float
    depth: float
    end: float


@dataclass
class _Shelved:
    """Rows on sheets while they are filled. `open`: the sheets on which a row more might still go, with the last row of each."""

    length: float
    depth: float
    least: float
    rows: list[_Row] = field(default_factory=list)
    open: dict[int, _Row] = field(default_factory=dict)
    sheets: int = 0

    def rooms(self, first: int, ways: Sequence[_Lie]) -> Iterator[tuple[int, _Lie]]:
        """Rows from the first on into which a rectangle goes, and how it then lies."""
        for i in range(first, len(self.rows)):
            row = self.rows[i]
            most = self.depth - row.across if self.open.get(row.sheet) is row else row.depth
            yield from ((i, way) for way in ways if goes(way[:2], (self.length - row.end, most)))

    def new_row(self, deep: float, back: bool) -> None:
        """A row on a sheet that still has the depth for it, else on a new one."""
        for sheet, last in list(self.open.items())[0 if back else -1 :]:
            start = last.across + last.depth
            if start + self.least > self.depth + SAME_POINT:
                del self.open[sheet]
            elif start + deep <= self.depth + SAME_POINT:
                return self._open(_Row(sheet, start, deep, 0.0))
        self.sheets += 1
        return self._open(_Row(self.sheets - 1, 0.0, deep, 0.0))

    def _open(self, row: _Row) -> None:
        self.rows.append(row)
        self.open[row.sheet] = row


def by_rows(order: Sequence[int], job: Job, how: Rows) -> Layout:
    """Row by row: a row is as deep as its deepest rectangle, and only the last one of a sheet may still grow deeper."""
    length, depth = reversed(job.grown) if how.upright else job.grown
    ways = {form: how.ways(job.forms[form], job.gap) for form in set(order)}
    if how.tall_first:
        order = sorted(order, key=lambda form: -ways[form][0][1])
    made = _Shelved(length, depth, min((lie[1] for lies in ways.values() for lie in lies), default=0.0))
    spots: list[list[Spot]] = []
    start = dict.fromkeys(ways, 0)
    for form in order:
        first = start[form] if how.back else max(len(made.rows) - 1, 0)
        at, lie = next(made.rooms(first, ways[form]), (len(made.rows), ways[form][0]))
        if at == len(made.rows):
            made.new_row(lie[1], how.back)
        row, start[form] = made.rows[at], at
        spots += [[] for _ in range(made.sheets - len(spots))]
        x, y = (row.across, row.end) if how.upright else (row.end, row.across)
        spots[row.sheet].append(Spot(form, lie[2], x, y))
        row.end, row.depth = row.end + lie[0], max(row.depth, lie[1])
    return tuple(map(tuple, spots))

"""Where pages end: sections of blocks laid on pages so that few pages are taken and none is half empty by accident.

Pages are filled as platypus fills them, without drawing. For each section both ways are tried, to begin a page and to go on under
the one before, where it allows both; of all ways through a run of sections the cheapest is taken (dynamic programming over the place
on the page that each section ends at). Then drawings that may be larger take what their page leaves.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby, islice, permutations, product
from typing import Any, Literal, get_args

from reportlab.platypus.doctemplate import PageBreak
from reportlab.platypus.flowables import KeepTogether

from booklet.pdf.blocks import page_break, points

Start = Literal["page", "best", "on"]
"""A section begins a page; or one where that is the better way; or goes on unless it has to."""

STARTS = get_args(Start)

PAGE, EMPTY, FULL_ENOUGH, JOINED = 1.0, 8.0, 0.25, 0.1
"""Costs, chosen by us: a page; the square of the share that a page leaves empty beyond `FULL_ENOUGH`; a section that would rather begin a
page and does not."""

FUZZ = 1e-6
WORTH, MOST_LOOSE = 0.3, 5
"""What another order of loose sections has to save, and how many of a run are tried in every order (chosen by us)."""

GIVEN = 0.25
"""The part of their height that drawings give where pages are better filled so (chosen by us)."""

SLACK = points(1.0)
"""What a page keeps free when drawings on it grow."""


@dataclass
class Unit:
    """A section: its blocks, where it may begin, and the room in mm that has to be left for it to go on under another.

    `loose`: it may change places with those beside it that may too, where pages are better filled so. `alone`: none goes on under it.
    """

    blocks: Sequence[Any]
    start: Start = "on"
    room: float = 0.0
    loose: bool = False
    alone: bool = False


@dataclass(frozen=True, slots=True)
class Spot:
    """A place on a page, in points from its top: `used`, the space that the last block asks for after it, and what drawings may grow by."""

    used: float = 0.0
    after: float = 0.0
    growth: float = 0.0
    elastic: tuple[Any, ...] = ()

    @property
    def top(self) -> bool:
        """Whether nothing stands on the page yet."""
        return self.used == 0.0


@dataclass(frozen=True, slots=True)
class _Way:
    """A way through the sections so far: what it costs, where it ends, which sections begin a page, how many pages are full."""

    cost: float = 0.0
    spot: Spot = Spot()
    breaks: tuple[bool, ...] = ()
    pages: int = 0


@dataclass
class Paper:
    """Pages of one size in points, filled without drawing."""

    width: float
    height: float
    _heights: dict[int, float] = field(default_factory=dict)
    _kept: list[Any] = field(default_factory=list)
    _ends: dict[tuple[int, int, int], list[Spot]] = field(default_factory=dict)

    def ends(self, spot: Spot, unit: Unit) -> list[Spot]:
        """The places of `filled` for a section, reckoned once for each place that it begins at."""
        key = id(unit), round(100 * spot.used), round(100 * spot.after)
        if key not in self._ends:
            self._ends[key] = list(self.filled(Spot(spot.used, spot.after), unit.blocks))
        first, *others = self._ends[key]
        return [replace(first, growth=first.growth + spot.growth), *others]

    def filled(self, spot: Spot, blocks: Sequence[Any]) -> Iterator[Spot]:
        """The places at which pages end while blocks are set from a place on, and last the place that they end at."""
        left, free = list(blocks), 0
        while left:
            if not free and isinstance(left[0], PageBreak):
                del left[0]
                yield spot
                spot = Spot()
                continue
            if not free:
                whole, count = self.together(left)
                left[:count], free = whole, len(whole)
                left_over = self.height - spot.used - max(whole[0].getSpaceBefore() - spot.after, 0.0)
                if not spot.top and len(whole) > 1 and self._high(whole) > left_over + FUZZ:
                    yield spot
                    spot = Spot()
            spot, rest = self._set(spot, left.pop(0))
            free += len(rest) - 1
            left[:0] = rest
            if rest:
                yield spot
                spot = Spot()
        yield spot

    @staticmethod
    def together(left: Sequence[Any]) -> tuple[list[Any], int]:
        """The blocks at the head that are kept together, one or more, and of how many they are made."""
        count = 0
        while count < len(left) and left[count].getKeepWithNext():
            count += 1
        count = min(count + 1, len(left))
        inner = [one for block in left[:count] for one in (block._content if isinstance(block, KeepTogether) else [block])]
        return inner, count

    def _set(self, spot: Spot, block: Any) -> tuple[Spot, list[Any]]:
        """One block at a place: where it ends, and what of it goes on the next page."""
        gap = self._gap(spot, block)
        room = self.height - spot.used - gap
        high = self._height(block, room)
        if high <= room + FUZZ:
            return self._after(spot, block, gap, high), []
        parts = list(block.split(self.width, room)) if room > 0 else []
        if len(parts) > 1 and (first := self._height(parts[0], room)) <= room + FUZZ:
            return self._after(spot, parts[0], gap, first), parts[1:]
        if spot.top:  # it cannot be set at all; platypus will say so
            return replace(spot, used=self.height), []
        return spot, [block]

    def _after(self, spot: Spot, block: Any, gap: float, high: float) -> Spot:
        if not high and not block.getSpaceAfter():
            return spot if getattr(block, "_ZEROSIZE", False) else replace(spot, after=0.0)
        more = max(0.0, getattr(block, "most", high) - high)
        elastic = (*spot.elastic, block) if more else spot.elastic
        return Spot(spot.used + gap + high + block.getSpaceAfter(), block.getSpaceAfter(), spot.growth + more, elastic)

    def _gap(self, spot: Spot, block: Any) -> float:
        return 0.0 if spot.top or getattr(block, "_ZEROSIZE", False) else max(block.getSpaceBefore() - spot.after, 0.0)

    def _high(self, blocks: Sequence[Any]) -> float:
        """How high blocks stand under each other as platypus reckons a group: without the space after the last."""
        spot = Spot(used=FUZZ)
        tall = [(block, high) for block in blocks if (high := self._height(block, self.height)) > FUZZ]
        for n, (block, high) in enumerate(tall):
            spot = self._after(spot, block, self._gap(spot, block) if n else 0.0, high)
        return spot.used - spot.after

    def _height(self, block: Any, room: float) -> float:
        """A block's height; those that follow the room that is left are asked each time."""
        if getattr(block, "gives_way", False):
            return float(block.wrap(self.width, max(room, 0.0))[1])
        if id(block) not in self._heights:
            self._heights[id(block)] = float(block.wrap(self.width, self.height)[1])
            self._kept.append(block)  # so that its identity is not given to another
        return self._heights[id(block)]


def settled(units: Sequence[Unit], width_mm: float, height_mm: float) -> list[Any]:
    """All blocks of a run of sections with the page breaks between them, and drawings grown to fill their pages."""
    size = points(width_mm), points(height_mm)
    way, order = _best(units, Paper(*size))
    if _uneven(way):
        drawings = [one for unit in units for one in _drawings(unit.blocks)]
        for one in drawings:
            one.grow(-GIVEN * one.height)
        tighter = _best(units, Paper(*size))
        if tighter[0].cost < way.cost - WORTH:
            way, order = tighter
        else:
            for one in drawings:
                one.grow(one.height * GIVEN / (1 - GIVEN))
    story = [block for unit, begins in zip(order, way.breaks, strict=True) for block in ([page_break()] if begins else []) + [*unit.blocks]]
    paper = Paper(*size)
    for spot in paper.filled(Spot(), story):
        _grow(spot.elastic, paper.height - spot.used - SLACK)
    return grouped(story)


def grouped(story: Sequence[Any]) -> list[Any]:
    """The blocks with what is kept together in one group each: platypus would part a heading from a group that comes after it."""
    left, found = list(story), []
    while left:
        inner, count = Paper.together(left)
        found.append(inner[0] if len(inner) == 1 else KeepTogether(inner))
        del left[:count]
    return found


def _drawings(blocks: Sequence[Any]) -> Iterator[Any]:
    """The drawings that may grow, those in columns and groups too."""
    for block in blocks:
        if inner := getattr(block, "blocks", None) or getattr(block, "_content", None):
            yield from _drawings(inner)
        elif getattr(block, "most", 0.0) > getattr(block, "height", 0.0):  # a page break has neither
            yield block


def _best(units: Sequence[Unit], paper: Paper) -> tuple[_Way, list[Unit]]:
    """The cheapest way, and the sections in its order: another than theirs only where that saves enough."""
    way, order = _cheapest(units, paper), list(units)
    if not _uneven(way):
        return way, order
    others = [(_cheapest(other, paper), other) for other in _orders(units)]
    best = min(others, key=lambda one: one[0].cost, default=(way, order))
    return best if best[0].cost < way.cost - WORTH else (way, order)


def _uneven(way: _Way) -> bool:
    """Whether pages are so empty that other ways are worth a look."""
    return way.cost > PAGE * way.pages + WORTH


def _orders(units: Sequence[Unit]) -> Iterator[list[Unit]]:
    """The sections in other orders: each run of loose ones in every order, where there are few."""
    runs = [(loose, list(run)) for loose, run in groupby(units, key=lambda unit: unit.loose)]
    ways = [permutations(run) if loose and len(run) <= MOST_LOOSE else [tuple(run)] for loose, run in runs]
    for order in islice(product(*ways), 1, None):
        yield [unit for run in order for unit in run]


def _cheapest(units: Sequence[Unit], paper: Paper) -> _Way:
    ways = [_Way()]
    for n, unit in enumerate(units):
        found: dict[int, _Way] = {}
        for way in (longer for one in ways for longer in _longer(one, unit, paper, units[n - 1] if n else None)):
            key = round(way.spot.used)
            if key not in found or way.cost < found[key].cost:
                found[key] = way
        ways = list(found.values())
    return min((_ended(way, paper) for way in ways), key=lambda way: way.cost)


def _ended(way: _Way, paper: Paper) -> _Way:
    """A way with its last page counted."""
    return replace(way, cost=way.cost + _page(way.spot, paper), pages=way.pages + 1)


def _longer(way: _Way, unit: Unit, paper: Paper, before: Unit | None) -> Iterator[_Way]:
    """A way with one more section, begun in each manner that it allows."""
    for begins in (False, True):
        forced = before is not None and (unit.start == "page" or before.alone or not _has_room(way.spot, unit, paper))
        if (begins and not before) or (forced and not begins):
            continue
        cost, spot = way.cost + (JOINED if unit.start == "best" and not begins else 0.0), way.spot
        if begins:
            cost, spot = cost + _page(spot, paper), Spot()
        *ended, last = paper.ends(spot, unit)
        cost += sum(_page(end, paper) for end in ended)
        yield _Way(cost, last, (*way.breaks, begins), way.pages + begins + len(ended))


def _has_room(spot: Spot, unit: Unit, paper: Paper) -> bool:
    return paper.height - spot.used >= points(unit.room)


def _page(spot: Spot, paper: Paper) -> float:
    """What a page costs that ends at a place."""
    empty = 1.0 - min(1.0, (spot.used - spot.after + spot.growth) / paper.height)
    return PAGE + EMPTY * max(0.0, empty - FULL_ENOUGH) ** 2


def _grow(drawings: Sequence[Any], left: float) -> None:
    """Let drawings take what is left of their page, evenly, none higher than it may be."""
    wanting = [one for one in drawings if one.most > one.height]
    while wanting and left > 1.0:
        share = left / len(wanting)
        rooms = [(one, one.most - one.height) for one in wanting]
        for one, most in rooms:
            one.grow(min(share, most))
            left -= min(share, most)
        wanting = [one for one, most in rooms if most > share]

"""Rectangles on as few pages as are found, turned by right angles only, a gap apart: small templates that share pages. Millimetres."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations, product

from booklet.free import left
from booklet.tiles.lattice import Box
from booklet.tolerance import SAME_POINT

Size = tuple[float, float]

_FEW = 5
"""Up to so many rectangles every order is tried where the usual ones leave room for doubt: 120 orders, some tens of ms."""

_Rule = Callable[[Box, float, float], tuple[float, ...]]
_RULES: tuple[_Rule, ...] = (
    lambda r, w, h: (-r[3], r[0]),
    lambda r, w, h: (r[0], -r[3]),
    lambda r, w, h: (min(r[2] - r[0] - w, r[3] - r[1] - h), -r[3], r[0]),
    lambda r, w, h: ((r[2] - r[0]) * (r[3] - r[1]), -r[3], r[0]),
)
"""Where a rectangle goes, the least figure first: highest, furthest left, where a side fits best, in the smallest free rectangle."""


@dataclass(frozen=True, slots=True)
class Place:
    """A rectangle at rest: its number, its page (from 0), its box on the page, right angles by which it is turned."""

    number: int
    page: int
    box: Box
    quarter: int


def share(sizes: Sequence[Sequence[Size]], room: Size, gap: float) -> tuple[Place, ...]:
    """Rectangles on pages with so much room, by number. `sizes`: width and height of each, as it lies and turned by a right angle.

    A rectangle that fits no page raises ValueError: the caller has tiled it.
    """
    best: tuple[Place, ...] = ()
    for order, rule in product(_orders(sizes), _RULES):
        best = _better(best, _packed(sizes, order, room, gap, rule))
    if best and len(sizes) <= _FEW and _pages(best) > least([_smaller(ways) for ways in sizes], room):
        for order, rule in product(permutations(range(len(sizes))), _RULES[:2]):
            best = _better(best, _packed(sizes, order, room, gap, rule))
    return tuple(sorted(best, key=lambda place: place.number))


def _smaller(ways: Sequence[Size]) -> float:
    """The area of a rectangle, the way in which it takes less."""
    return min(math.prod(size) for size in ways)


def least(areas: Sequence[float], room: Size) -> int:
    """No layout has fewer pages: by area alone, and by what is larger than half a page and stands on one of its own.

    With every limit up to a half: what is larger than a page less the limit lets nothing of the limit beside it
    (Martello and Toth's bound for bins, from memory).
    """
    page = math.prod(room) * (1 + SAME_POINT)
    bound = math.ceil(sum(areas) / page)
    for limit in {a for a in areas if a <= page / 2} | {0.0}:
        alone = [a for a in areas if a > page - limit]
        large = [a for a in areas if page / 2 < a <= page - limit]
        small = [a for a in areas if limit <= a <= page / 2]
        spare = len(large) * page - sum(large)
        bound = max(bound, len(alone) + len(large) + max(math.ceil((sum(small) - spare) / page), 0))
    return bound


def _pages(places: Sequence[Place]) -> int:
    return len({place.page for place in places})


def _better(a: tuple[Place, ...], b: tuple[Place, ...]) -> tuple[Place, ...]:
    return min((a, b), key=_rank) if a else b


def _rank(places: Sequence[Place]) -> tuple[float, ...]:
    """Fewest pages, then the fewest turned, then the least that they reach down the page."""
    low = [min(place.box[1] for place in places if place.page == page) for page in {place.page for place in places}]
    return len(low), sum(place.quarter for place in places), -round(sum(low), 3)


def _orders(sizes: Sequence[Sequence[Size]]) -> Iterator[tuple[int, ...]]:
    """Large first, by area, long side, short side, width and height."""
    for of in (math.prod, max, min, lambda wh: wh[0], lambda wh: wh[1]):
        yield tuple(sorted(range(len(sizes)), key=lambda n: (-round(of(sizes[n][0]), 3), n)))


def _packed(sizes: Sequence[Sequence[Size]], order: Sequence[int], room: Size, gap: float, rule: _Rule) -> tuple[Place, ...]:
    """Each in turn on the first page that has room for it; each takes its gap with it, and so has the page one more."""
    free: list[list[Box]] = []
    places: list[Place] = []
    for number in order:
        place = next(filter(None, (_place(number, sizes[number], n, left, gap, rule) for n, left in enumerate(free))), None)
        if place is None:
            free.append([(0.0, -gap, room[0] + gap, room[1])])
            place = _place(number, sizes[number], len(free) - 1, free[-1], gap, rule)
        if place is None:
            raise ValueError(f"a rectangle of {sizes[number][0]} mm fits no page of {room} mm")
        x0, y0, x1, y1 = place.box
        free[place.page] = left(free[place.page], (x0, y0 - gap, x1 + gap, y1))
        places.append(place)
    return tuple(places)


def _place(number: int, ways: Sequence[Size], page: int, free: Sequence[Box], gap: float, rule: _Rule) -> Place | None:
    """The best place on a page, at the upper left corner of a free rectangle; None where there is none."""
    found = []
    for quarter, (w, h) in enumerate(ways):
        fits = [r for r in free if w + gap <= r[2] - r[0] + SAME_POINT and h + gap <= r[3] - r[1] + SAME_POINT]
        found += [(rule(r, w + gap, h + gap), quarter, r, (w, h)) for r in fits]
    if not found:
        return None
    _, quarter, r, (w, h) = min(found)
    return Place(number, page, (r[0], r[3] - h, r[0] + w, r[3]), quarter)

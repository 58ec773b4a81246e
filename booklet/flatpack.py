"""How small a kit is when all of it lies flat, which envelope it goes into, and what it weighs. Millimetres, grams.

Things lie on each other in layers; small ones may lie beside each other in one. Each may be turned by any angle, as a hand lays it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

from booklet.plane import Point, Ring
from booklet.sheets.rectangles import RULES, Free, Job, Turned, pack

Size = tuple[float, float]

ENVELOPES: tuple[tuple[str, Size], ...] = (("DL", (110.0, 220.0)), ("C5", (162.0, 229.0)), ("C4", (229.0, 324.0)))
"""Smallest first (ISO 269)."""

FLUSH = 1e-6
"""mm by which a thing may be larger than its place: float noise."""

_STEPS = 90
"""So many widths a degree apart are tried for the smallest flat size, besides those of things that lie flush on an edge."""


@dataclass(frozen=True)
class Thing:
    """So many alike flat things: outline, thickness and grams of one."""

    outline: Ring
    caliper: float
    grams: float
    count: int = 1

    @cached_property
    def hull(self) -> tuple[Point, ...]:
        """The corners of its convex hull: a rectangle that holds these holds all of it."""
        import shapely

        return tuple(shapely.MultiPoint(self.outline).convex_hull.exterior.coords[:-1])


def rectangle(wide: float, high: float, caliper: float, gsm: float, count: int = 1) -> Thing:
    """A sheet of paper or card, by its grammage in g/m2.

    >>> round(rectangle(210, 297, 0.1, 80).grams, 2)
    4.99
    """
    return Thing(((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)), caliper, wide * high * 1e-6 * gsm, count)


@dataclass(frozen=True, slots=True)
class Flat:
    """A kit that lies flat: the sides of the smallest rectangle under it, longer first, how thick it is, and its weight."""

    size: Size
    thickness: float
    grams: float


def flat(things: Sequence[Thing]) -> Flat:
    """The smallest flat pack that is found: the least area that each thing goes on, and the fewest layers in it."""
    size = smallest([thing.hull for thing in things])
    thick = thickness(things, size)
    assert thick is not None, "a thing does not go on the size that was found for it"
    return Flat(size, thick, weight(things))


def weight(things: Iterable[Thing]) -> float:
    """Grams of all things."""
    return sum(thing.grams * thing.count for thing in things)


def envelope(things: Sequence[Thing], size: Size) -> float | None:
    """How thick the things lie in an envelope of a size, or None where they do not go in.

    Each side of an envelope loses the thickness of what is in it (common practice, no source).
    """
    thick = thickness(things, size)
    while thick is not None:
        again = thickness(things, (size[0] - thick, size[1] - thick))
        if again is None or again <= thick + FLUSH:
            return again
        thick = again
    return None


def thickness(things: Sequence[Thing], size: Size) -> float | None:
    """How thick the things lie on each other on a rectangle, or None where one does not go on it."""
    if min(size) <= 0 or not all(goes(thing.hull, size) for thing in things):
        return None
    found = [(thing, box) for thing in things for box in [_box(thing.hull, size)] for _ in range(thing.count)]
    return min(_layered(found, size, rule) for rule in range(len(RULES)))


def _layered(found: Sequence[tuple[Thing, Size]], size: Size, rule: int) -> float:
    """The thickest thing of each layer, added up; thick things come first, so that they share layers, then large ones."""
    ways = tuple(tuple(t for t in (Turned(0, *box), Turned(1, box[1], box[0])) if _within((t.w, t.h), size)) for _, box in found)
    order = sorted(range(len(found)), key=lambda n: (-found[n][0].caliper, -math.prod(found[n][1]), n))
    room = size[0] + FLUSH, size[1] + FLUSH
    flat_ones, oblique = [n for n in order if ways[n]], [n for n in order if not ways[n]]
    layers = pack(flat_ones, Free.blank(Job(room, 0.0, ways)), rule) if flat_ones else ()
    alone = sum(found[n][0].caliper for n in oblique)  # what goes in slantwise only lies alone
    return round(alone + sum(max(found[spot.form][0].caliper for spot in layer) for layer in layers), 6)


def smallest(hulls: Sequence[Sequence[Point]]) -> Size:
    """The sides, longer first, of the rectangle of least area on which each hull goes, each turned by an angle of its own."""
    best = (math.inf, math.inf)
    unlike = list(dict.fromkeys(tuple(hull) for hull in hulls))
    for wide in sorted({round(w, 6) for hull in unlike for w in _widths(hull)}):
        high = max(least_height(hull, wide) for hull in unlike)
        if (wide * high, max(wide, high)) < (math.prod(best) - FLUSH, math.inf):
            best = (wide, high)
    long, short = (math.ceil(side * 1000 - 1e-2) / 1000 for side in (max(best), min(best)))
    return long, short


def goes(hull: Sequence[Point], size: Size) -> bool:
    """Whether a hull goes on a rectangle at some angle."""
    return least_height(tuple(hull), size[0]) <= size[1] + FLUSH


@lru_cache(maxsize=4096)
def least_height(hull: tuple[Point, ...], wide: float) -> float:
    """How high a hull is at least where it is turned so that it is at most so wide; infinite where it never is.

    Between two turns that lay an edge flush, width and height are arcs of a sine: the height is least at one of the two, or where the width
    is all used.
    """
    return min((high for arc in _arcs(hull) for high in arc.heights(wide)), default=math.inf)


@dataclass(frozen=True, slots=True)
class _Arc:
    """The turns between two at which an edge lies flush: the corners that are farthest apart along x stay the same, and those along y."""

    start: float
    end: float
    x: Point
    y: Point

    def size(self, turned: float) -> Size:
        """Width and height at a turn."""
        c, s = math.cos(turned), math.sin(turned)
        return c * self.x[0] - s * self.x[1], s * self.y[0] + c * self.y[1]

    def heights(self, wide: float) -> Iterator[float]:
        """The heights at both ends, and where the width is just so large, as far as they are within the width."""
        for turned in (self.start, self.end, *self._as_wide(wide)):
            w, h = self.size(turned)
            if w <= wide + FLUSH:
                yield h

    def _as_wide(self, wide: float) -> Iterator[float]:
        far, own = math.hypot(*self.x), math.atan2(self.x[1], self.x[0])
        if far > wide:
            lean = math.acos(wide / far)
            turns = (t + k * math.tau for t in (lean - own, -lean - own) for k in (-1, 0, 1))
            yield from (t for t in turns if self.start < t < self.end)


@lru_cache(maxsize=256)
def _arcs(hull: tuple[Point, ...]) -> tuple[_Arc, ...]:
    """A half turn of a hull in arcs."""
    turns = [*_flush(hull)]
    return tuple(_Arc(a, b, *_farthest(hull, (a + b) / 2)) for a, b in zip(turns, (*turns[1:], turns[0] + math.pi), strict=True))


def _farthest(hull: Sequence[Point], turned: float) -> tuple[Point, Point]:
    """From one corner to the other of the two that are farthest apart along x, and along y, at a turn."""
    c, s = math.cos(turned), math.sin(turned)
    along = [(c * x - s * y, s * x + c * y) for x, y in hull]
    ends = [(max(range(len(hull)), key=lambda n: along[n][k]), min(range(len(hull)), key=lambda n: along[n][k])) for k in (0, 1)]
    (i, j), (k, m) = ends
    return (hull[i][0] - hull[j][0], hull[i][1] - hull[j][1]), (hull[k][0] - hull[m][0], hull[k][1] - hull[m][1])


def _box(hull: tuple[Point, ...], size: Size) -> Size:
    """The rectangle round a hull as it is laid: the smallest one that goes on the place, else that of least area."""
    boxes = sorted((_extent(hull, t) for t in _flush(hull)), key=lambda box: (round(math.prod(box), 6), box))
    return next((box for box in boxes if _within(box, size) or _within(box[::-1], size)), boxes[0])


def _within(box: Size, size: Size) -> bool:
    return box[0] <= size[0] + FLUSH and box[1] <= size[1] + FLUSH


def _widths(hull: tuple[Point, ...]) -> Iterator[float]:
    """Widths that a hull can have: flush on each of its edges, and turned by steps."""
    yield from (_extent(hull, t)[0] for t in _flush(hull))
    yield from (_extent(hull, math.pi / 2 * n / _STEPS)[0] for n in range(_STEPS))


def _flush(hull: Sequence[Point]) -> list[float]:
    """The turns, from 0 to a half, that lay an edge along x or along y, each once."""
    edges = zip(hull, (*hull[1:], hull[0]), strict=True)
    along = [-math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in edges]
    return sorted({round(t % math.pi, 9) for a in along for t in (a, a + math.pi / 2)})


def _extent(hull: Sequence[Point], turned: float) -> Size:
    """Width and height of a hull that is turned anticlockwise by an angle."""
    c, s = math.cos(turned), math.sin(turned)
    xs, ys = [c * x - s * y for x, y in hull], [s * x + c * y for x, y in hull]
    return max(xs) - min(xs), max(ys) - min(ys)

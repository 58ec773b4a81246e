"""The marks by which a ruler finds every line of a piece when nothing may be printed on the piece itself.

All marks lie in the waste: what the knife leaves of a sheet, inside what the page can print. A straight line is told by ticks on its
continuation; a cut that ends in a notch by a corner drawn just outside its edge; a curve by a line just outside of it.
Millimetres on the sheet, true as printed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product
from typing import Any, Literal

import shapely

from booklet import cuts
from booklet.net import Net, Part, Piece
from booklet.plane import Affine, Line, Point, Ring, length, side
from booklet.sheets import Placed
from booklet.tolerance import COMPUTED, SAME_POINT

Kind = Literal["cut", "valley", "mountain"]
KINDS: tuple[Kind, ...] = ("cut", "valley", "mountain")
Shape = Literal["tick", "corner", "curve"]
Box = tuple[float, float, float, float]

WIDTH = 0.25
"""mm: the line of a mark, the thinner of ISO 128-20's pair to the 0.5 mm of a cut line on a template."""

TICK, GAP = 4.0, 1.5
"""mm: the length of a tick and of a corner's arm, and between two ticks on one line (chosen by us)."""

OFF = 0.75
"""mm: ticks keep so far off every piece: more than a hand cuts astray (chosen by us)."""

LEAST, NEAR = 2.0, 8.0
"""mm: a shorter stretch has no room for a tick; one further off its line's end than `NEAR` does not tell the end (chosen by us)."""

_LENGTHS = (TICK, 3.0, 2.2, 1.8)
"""mm: lengths that are tried for ticks that share a stretch (chosen by us)."""

APART, ALIKE = 0.8, 0.98
"""mm, and the cosine of an angle: ticks nearer to each other that run within 11 degrees would be read as one (chosen by us)."""

TICK_ROOM = 6.0
"""mm: so much waste there is at least round every piece (chosen by us)."""

_FRAME = 2 * TICK_ROOM - 2 * OFF - GAP
"""mm: a shorter stretch has no other piece's ticks at its far end."""

LEAST_ARM = 1.0
OUTSIDE = WIDTH / 2 + 0.02
"""mm: a shorter arm of a corner is not seen; the middle of a line that runs just outside an edge, so that no ink is on the edge."""


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark: what kind of line it tells, how it is drawn, and its points. A tick begins at the end nearer to its line."""

    kind: Kind
    shape: Shape
    points: Ring


@dataclass(frozen=True, slots=True)
class Told:
    """A straight line of a piece that has to be found, or the chords of a curve."""

    kind: Kind
    lines: tuple[Line, ...]
    curve: bool = False


@dataclass(frozen=True)
class Lying:
    """A piece where it lies on its sheet, with the lines to be found."""

    placed: Placed
    part: Part
    piece: Piece
    told: tuple[Told, ...]

    @cached_property
    def shape(self) -> Any:
        """What stays of the sheet."""
        place = self.placed.to_sheet
        return shapely.Polygon(place.ring(self.piece.outline), [place.ring(hole) for hole in self.piece.holes])


def lying(net: Net, placed: Sequence[Placed]) -> tuple[Lying, ...]:
    """Every piece that is laid out, with its lines on the sheet."""
    pieces = {(part.name, piece.name): (part, piece) for part in net.parts for piece in part.pieces}
    cut = _cuts(net)
    return tuple(
        Lying(one, *pieces[one.part, one.piece], tuple(_laid(told, one.to_sheet) for told in _told(*pieces[one.part, one.piece], cut)))
        for one in placed
    )


def _laid(told: Told, place: Affine) -> Told:
    return replace(told, lines=tuple((place(a), place(b)) for a, b in told.lines))


def _cuts(net: Net) -> Mapping[tuple[str, str], Sequence[cuts.Cut]]:
    """The cuts of every piece, not of templates alone: on the card each piece has its own lines."""
    parts = tuple(replace(part, pieces=tuple(replace(piece, template=piece.name) for piece in part.pieces)) for part in net.parts)
    found: dict[tuple[str, str], list[cuts.Cut]] = {}
    for cut in cuts.order(replace(net, parts=parts)):
        found.setdefault((cut.part, cut.piece), []).append(cut)
    return found


def _told(part: Part, piece: Piece, cut: Mapping[tuple[str, str], Sequence[cuts.Cut]]) -> Iterator[Told]:
    """The lines of a piece in its part's flat frame. A crease that closes a ring of panels goes the way of the others."""
    angles = {fold.line: fold.bends for fold in part.folds}
    usual = next((fold.bends for fold in part.folds if fold.bends), 1.0)
    for line, _ in cuts.scored(part, piece):
        yield Told("valley" if angles.get(line, usual) > 0 else "mountain", (line,))
    for one in cut.get((part.name, piece.name), ()):
        if one.kind == "cut":
            yield from [Told("cut", one.lines, True)] if one.freehand else [Told("cut", (line,)) for line in one.lines]


def marks(pieces: Sequence[Lying], room: Box) -> tuple[Mark, ...]:
    """All marks of one sheet. `pieces`: those that lie on it; `room`: x0, y0, x1, y1 of what the page prints."""
    card = shapely.union_all([one.shape for one in pieces])
    waste = shapely.box(*room).difference(card.buffer(OFF, join_style="mitre"))
    for shape in (card, waste):
        shapely.prepare(shape)
    found: list[Mark] = []
    wishes: list[_Wish] = []
    for one in pieces:
        corners = dict(_corners(one, card))
        found += [Mark("cut", "corner", points) for points in corners.values()]
        found += [_curve(told, card) for told in one.told if told.curve]
        wishes += [wish for ruler in _rulers(one.told) for wish in _wishes(ruler, waste, set(corners), room)]
    return tuple(dict.fromkeys([*found, *_ticks(wishes)]))


def _key(point: Point) -> Point:
    return round(point[0], 4) + 0.0, round(point[1], 4) + 0.0


def _corners(one: Lying, card: Any) -> Iterator[tuple[Point, Ring]]:
    """The corners at which the card turns inward, each with the two strokes in the waste beside it, where there is room for them."""
    straight = {frozenset((_key(a), _key(b))) for told in one.told if told.kind == "cut" and not told.curve for a, b in told.lines}
    for n, ring in enumerate((one.shape.exterior, *one.shape.interiors)):
        points = list(ring.coords[:-1])
        if not shapely.is_ccw(ring):
            points.reverse()
        for i, p in enumerate(points):
            ends = points[i - 1], points[(i + 1) % len(points)]
            if all(frozenset((_key(p), _key(end))) in straight for end in ends):
                corner = _corner(p, ends, inner=n > 0)
                if corner and _beside(corner, card):
                    yield _key(p), corner


def _corner(p: Point, ends: tuple[Point, Point], inner: bool) -> Ring | None:
    """Two strokes in the waste along the edges that meet in p, which run on a ring anticlockwise; None where the card fills the corner."""
    (ux, uy), (vx, vy) = (_unit(p, end) for end in ends)
    cross, dot = ux * vy - uy * vx, ux * vx + uy * vy
    # on the outline the waste is to the right of the way, in a hole to its left
    if (cross if not inner else -cross) < 1e-3:
        return None
    across = OUTSIDE / abs(cross)
    start = p[0] + (ux + vx) * across, p[1] + (uy + vy) * across
    along = OUTSIDE * (1 + dot) / abs(cross)
    arms = [min(TICK, math.dist(p, end) - OUTSIDE) - along for end in ends]
    if min(arms) < LEAST_ARM:
        return None
    return _on(start, (ux, uy), arms[0]), start, _on(start, (vx, vy), arms[1])


def _unit(a: Point, b: Point) -> Point:
    far = math.dist(a, b)
    return (b[0] - a[0]) / far, (b[1] - a[1]) / far


def _on(p: Point, way: Point, far: float) -> Point:
    return p[0] + way[0] * far, p[1] + way[1] * far


def _beside(points: Ring, card: Any) -> bool:
    """Whether a line of a mark's width touches no card."""
    return bool(card.distance(shapely.LineString(points)) > WIDTH / 2)


def _curve(told: Told, card: Any) -> Mark:
    """A curve, moved just off the card."""
    way = shapely.LineString([told.lines[0][0], *(b for _, b in told.lines)])
    sides = [way.offset_curve(by, join_style="mitre") for by in (-OUTSIDE, OUTSIDE)]
    beside = min(sides, key=lambda line: line.intersection(card).length)
    return Mark("cut", "curve", tuple((float(x), float(y)) for x, y in beside.coords))


@dataclass(frozen=True, eq=False)
class _Ruler:
    """Lines of one piece on one straight line, as stretches along it by kind: one way of laying the ruler."""

    start: Point
    way: Point
    spans: Mapping[Kind, tuple[tuple[float, float], ...]]

    def at(self, along: float) -> Point:
        """A point on the line."""
        return _on(self.start, self.way, along)


def _rulers(told: Sequence[Told]) -> Iterator[_Ruler]:
    """The straight lines of a piece, those on one straight line together, the longest first."""
    left = sorted(((t.kind, line) for t in told if not t.curve for line in t.lines), key=lambda one: -round(length(one[1]), 3))
    while left:
        first = left[0][1]
        own = [one for one in left if all(abs(side(first, end)) <= COMPUTED / 2 for end in one[1])]
        left = [one for one in left if one not in own]
        yield _ruler(first, own)


def _ruler(first: Line, own: Sequence[tuple[Kind, Line]]) -> _Ruler:
    start, way = first[0], _unit(*first)

    def run(p: Point) -> float:
        return (p[0] - start[0]) * way[0] + (p[1] - start[1]) * way[1]

    kinds: dict[Kind, list[tuple[float, float]]] = {}
    for kind, (a, b) in own:
        kinds.setdefault(kind, []).append((min(run(a), run(b)), max(run(a), run(b))))
    return _Ruler(start, way, {kind: _joined(spans) for kind, spans in kinds.items()})


def _joined(spans: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Stretches that meet, made one."""
    done: list[tuple[float, float]] = []
    for low, high in sorted(spans):
        if done and low <= done[-1][1] + COMPUTED:
            done[-1] = done[-1][0], max(high, done[-1][1])
        else:
            done.append((low, high))
    return tuple(done)


@dataclass(frozen=True, slots=True)
class _Wish:
    """A tick that is wanted in a free stretch of waste, from and to along the ruler, on the way out (+1 or -1) from the end `of`."""

    ruler: _Ruler
    kind: Kind
    free: tuple[float, float]
    out: int
    of: float

    @property
    def root(self) -> Point:
        """Where the waste begins."""
        return self.ruler.at(self.free[0] if self.out > 0 else self.free[1])

    @property
    def way(self) -> Point:
        """The way out."""
        return self.ruler.way[0] * self.out, self.ruler.way[1] * self.out

    @property
    def far(self) -> float:
        """From the end of the line to the waste."""
        return self.free[0] - self.of if self.out > 0 else self.of - self.free[1]

    def tick(self, start: float, long: float) -> Mark:
        """A tick so far out in the waste and so long."""
        return Mark(self.kind, "tick", (_on(self.root, self.way, start), _on(self.root, self.way, start + long)))


def _ticks(wishes: Sequence[_Wish]) -> Iterator[Mark]:
    """All ticks of a sheet. Those that would run together stand one after another, that of the nearest line's end first."""
    left = list(dict.fromkeys(wishes))
    while left:
        group = [left.pop(0)]
        for one in group:
            group += [other for other in left if _together(one, other)]
            left = [other for other in left if other not in group]
        first = group[0]
        yield from _in_a_row(sorted(group, key=lambda w: (round(_ahead_of(first, w), 1), round(w.far, 3))), wishes)


def _together(a: _Wish, b: _Wish) -> bool:
    """Whether two ticks side by side would be read as one."""
    aside = abs((b.root[0] - a.root[0]) * a.way[1] - (b.root[1] - a.root[1]) * a.way[0])
    turned = a.way[0] * b.way[0] + a.way[1] * b.way[1]
    return aside < APART and turned > ALIKE and abs(_ahead_of(a, b)) < 2 * TICK + GAP


def _ahead_of(a: _Wish, b: _Wish) -> float:
    """How much further out b's waste begins than a's, mm."""
    return (b.root[0] - a.root[0]) * a.way[0] + (b.root[1] - a.root[1]) * a.way[1]


def _in_a_row(group: Sequence[_Wish], wishes: Sequence[_Wish]) -> Iterator[Mark]:
    """Ticks one after another out into the waste, as long as they can be; where they would be too short, those of a kind side by side."""
    own = list({(w.kind, w.ruler): w for w in reversed(group)}.values())[::-1]
    start = {w: _ahead_of(own[0], w) for w in own}
    end = {w: start[w] + _room(w, wishes) for w in own}
    alike = [[w for w in own if w.kind == kind] for kind in dict.fromkeys(w.kind for w in own)]
    for rows, long in product(([[w] for w in own], alike), _LENGTHS):
        starts = _starts(rows, start, long)
        if all(starts[w] + long <= end[w] + SAME_POINT for w in own):
            yield from (w.tick(starts[w] - start[w], long) for w in own)
            return
    yield from (w.tick(0.0, min(TICK, end[w] - start[w])) for w in own)


def _starts(rows: Sequence[Sequence[_Wish]], root: Mapping[_Wish, float], long: float) -> dict[_Wish, float]:
    """Where ticks of a length begin, row after row, each in its own waste."""
    starts: dict[_Wish, float] = {}
    free = -math.inf
    for row in rows:
        at = max(free, *(root[w] for w in row))
        starts |= dict.fromkeys(row, at)
        free = at + long + GAP
    return starts


def _room(wish: _Wish, wishes: Sequence[_Wish]) -> float:
    """How far ticks may reach into the waste: half-way where others come from its other end."""
    whole = wish.free[1] - wish.free[0]
    facing = any((w.free, w.out) == (wish.free, -wish.out) and w.ruler is wish.ruler for w in wishes)
    return whole if whole <= _FRAME and not facing else (whole - GAP) / 2


def _wishes(ruler: _Ruler, waste: Any, corners: set[Point], room: Box) -> Iterator[_Wish]:
    """At both ends of each stretch a tick near by, where there is waste; at the outer ends one in any case, or the notch's corner."""
    stretches = _free(ruler, waste, room)
    for kind, spans in ruler.spans.items():
        outer = spans[0][0], spans[-1][1]
        for end, out in [(low, -1) for low, _ in spans] + [(high, 1) for _, high in spans]:
            free = _ahead(stretches, end, out)
            wish = free and _Wish(ruler, kind, free, out, end)
            if wish and (wish.far <= NEAR or (end in outer and not (kind == "cut" and _key(ruler.at(end)) in corners))):
                yield wish


def _ahead(stretches: Sequence[tuple[float, float]], end: float, out: int) -> tuple[float, float] | None:
    """The first free stretch beyond an end."""
    if out > 0:
        return next((free for free in stretches if free[0] > end - SAME_POINT), None)
    return next((free for free in reversed(stretches) if free[1] < end + SAME_POINT), None)


def _free(ruler: _Ruler, waste: Any, room: Box) -> list[tuple[float, float]]:
    """Where the ruler runs over waste, long enough for a tick, from and to along it."""
    far = 2 * math.dist(room[:2], room[2:])
    line = shapely.LineString((ruler.at(-far), ruler.at(far)))
    found = []
    for part in shapely.get_parts(line.intersection(waste)):
        if part.geom_type == "LineString" and part.length >= LEAST:
            a, b = sorted((x - ruler.start[0]) * ruler.way[0] + (y - ruler.start[1]) * ruler.way[1] for x, y in part.coords)
            found.append((a, b))
    return sorted(found)

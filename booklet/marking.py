"""Marking out by ruler alone: each template as numbered points from two datum edges, and its lines by the numbers of their ends.

The datum edges are the left and the lower side of the box round the piece, as seen on the face on which the lines are drawn
and scored. Every measure runs from one of them, none from another point, so that errors do not add up.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from booklet import cuts
from booklet.check import Check, at_most
from booklet.cuts import Cut, Kind, runs, templates
from booklet.grid import Grid, Units
from booklet.lengths import HAIR, tell
from booklet.net import Net, Part, Piece
from booklet.plane import Affine, Line, Point, Ring, bounds, length, same, side
from booklet.points import meeting, told
from booklet.thickness import Way
from booklet.tolerance import COMPUTED


@dataclass(frozen=True, slots=True)
class Marked:
    """A point: its number in the piece from 1, where it lies in the net, and the marks of the ruler that are told, mm."""

    number: int
    x: float
    y: float
    told_x: float
    told_y: float


@dataclass(frozen=True, slots=True)
class Ruled:
    """One setting of the ruler by its number in the order of cuts: its lines, each by the numbers of its ends, the lower first."""

    number: int
    kind: Kind
    lines: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Arc:
    """A cut or a score without the ruler, by its number in the order of cuts. `radius`: the mark that is told, mm.

    "corner": the corner that is rounded. "circle": its centre. "curve": points on it in their order, radius 0.
    """

    number: int
    kind: Literal["corner", "circle", "curve"]
    points: tuple[int, ...]
    radius: float
    way: Kind = "cut"


@dataclass(frozen=True, slots=True)
class MarkedPiece:
    """A template as it is marked out. `mirrored`: on the face that is not marked. `size`: told width and height, mm.

    `to_sheet`: from the part's flat frame to x, y from the datum edges. Points are in order from below, then from the left.
    """

    part: str
    piece: str
    mirrored: bool
    size: tuple[float, float]
    points: tuple[Marked, ...]
    scores: tuple[Ruled, ...]
    cuts: tuple[Ruled, ...]
    arcs: tuple[Arc, ...]
    to_sheet: Affine


@dataclass(frozen=True, slots=True)
class _Curve:
    """A curve of a ring before its points have numbers."""

    kind: Literal["corner", "circle", "curve"]
    points: tuple[Point, ...]
    radius: float = 0.0


_POINTS = 7
"""So many points tell a curve that is scored (chosen by us)."""


def marked(net: Net, way: Way, units: Units) -> tuple[MarkedPiece, ...]:
    """Every template of a net as it is marked out, in their order. `way`: how right-angle folds are made in this card.

    Where they are half-cut although the net is marked on the inside, all is drawn on the other face, from which half-cuts are made.
    """
    order, mirrored = cuts.order(net), way == "half-cut" and net.marks == "inside"
    return tuple(_Sheet(part, piece, order, mirrored, units).told() for part, piece in templates(net))


def figure(mm: float, units: Units) -> str:
    """The nearest mark of the ruler without its unit, and a plus or minus for a hair more or less.

    >>> figure(112.5, "mm"), figure(112.8, "mm"), figure(113.0, "in")
    ('112.5', '113-', '4 7/16+')
    """
    mark = Grid(units).nearest(mm)
    off = mm - mark
    return tell(mark, units).rpartition(" ")[0] + ("" if abs(off) <= HAIR else "+" if off > 0 else "-")


class _Sheet:
    """One template in the making."""

    def __init__(self, part: Part, piece: Piece, order: Sequence[Cut], mirrored: bool, units: Units):
        self._part, self._piece, self._mirrored, self._units = part, piece, mirrored, units
        self._own = [cut for cut in order if (cut.part, cut.piece) == (part.name, piece.name)]
        x0, y0, x1, y1 = bounds(piece.outline)
        self._box = x1 - x0, y1 - y0
        self._to_sheet = Affine(a=-1.0, e=x1, f=-y0) if mirrored else Affine(e=-x0, f=-y0)
        self._curves = dict(curve for ring in (piece.outline, *piece.holes) for curve in _curves(ring))
        self._curves |= {cut.lines[0]: _scored(cut.lines) for cut in self._own if cut.freehand and cut.lines[0] not in self._curves}
        self._ends = dict(ends for ring in (piece.outline, *piece.holes) for ends in _ends(ring))

    def told(self) -> MarkedPiece:
        """The finished record."""
        points = self._points()
        number = {self._key((p.x, p.y)): p.number for p in points}
        ruled = [one for cut in self._own if not cut.freehand and (one := self._ruled(cut, number)).lines]
        return MarkedPiece(
            self._part.name, self._piece.name, self._mirrored, (self._mark(self._box[0]), self._mark(self._box[1])), points,
            tuple(one for one in ruled if one.kind != "cut"), tuple(one for one in ruled if one.kind == "cut"),
            tuple(self._arc(cut, number) for cut in self._own if cut.freehand), self._to_sheet,
        )  # fmt: skip

    def _points(self) -> tuple[Marked, ...]:
        """Points that the ruler tells alike are one point."""
        found: dict[tuple[str, str], Point] = {}
        for raw in sorted(self._raw()):
            at = self._seen(raw)
            found.setdefault(self._key(at), at)
        told = sorted((self._mark(y), self._mark(x), y, x) for x, y in found.values())
        return tuple(Marked(n, x, y, mark_x, mark_y) for n, (mark_y, mark_x, y, x) in enumerate(told, 1))

    def _raw(self) -> Iterator[Point]:
        """What has to be marked, in the part's flat frame."""
        for cut in self._own:
            if cut.freehand:
                yield from self._curves[cut.lines[0]].points
            else:
                yield from (end for line in cut.lines for end in self._ends.get(line, line))

    def _ruled(self, cut: Cut, number: dict[tuple[str, str], int]) -> Ruled:
        pairs = [sorted(number[self._key(self._seen(end))] for end in self._ends.get(line, line)) for line in cut.lines]
        return Ruled(cut.number, cut.kind, tuple(sorted({(a, b) for a, b in pairs if a != b})))

    def _arc(self, cut: Cut, number: dict[tuple[str, str], int]) -> Arc:
        curve = self._curves[cut.lines[0]]
        points = tuple(number[self._key(self._seen(p))] for p in curve.points)
        return Arc(cut.number, curve.kind, points, self._mark(curve.radius), cut.kind)

    def _seen(self, raw: Point) -> Point:
        x, y = self._to_sheet(raw)
        return told(x), told(y)

    def _key(self, at: Point) -> tuple[str, str]:
        return figure(at[0], self._units), figure(at[1], self._units)

    def _mark(self, mm: float) -> float:
        return Grid(self._units).nearest(mm)


def _curves(ring: Ring) -> Iterator[tuple[Line, _Curve]]:
    """The curves of a ring by their first chord."""
    found = runs(ring)
    for i, run in enumerate(found):
        if len(run) > 1:
            yield run[0], _curve(found[i - 1], run, found[(i + 1) % len(found)])


def _ends(ring: Ring) -> Iterator[tuple[Line, Line]]:
    """The straight edges of a ring with the ends that are told: where a rounded corner follows, the corner."""
    found = runs(ring)
    curves = [_curve(found[i - 1], run, found[(i + 1) % len(found)]) if len(run) > 1 else None for i, run in enumerate(found)]
    for i, run in enumerate(found):
        if len(run) == 1:
            before, after = curves[i - 1], curves[(i + 1) % len(curves)]
            start = before.points[0] if before and before.kind == "corner" else run[0][0]
            end = after.points[0] if after and after.kind == "corner" else run[0][1]
            yield run[0], (start, end)


def _curve(before: Sequence[Line], run: Sequence[Line], after: Sequence[Line]) -> _Curve:
    """A curve told as simply as it can be."""
    if same(run[0][0], run[-1][1], COMPUTED):
        return _closed(run)
    corner = meeting(before[-1], after[0]) if len(before) == len(after) == 1 else None
    radius = _rounding(corner, run) if corner else 0.0
    if corner and radius:
        return _Curve("corner", (corner,), radius)
    return _Curve("curve", (run[0][0], run[len(run) // 2][0], run[-1][1]))


def _scored(run: Sequence[Line]) -> _Curve:
    """A curve that is scored, by points along it."""
    corners = [line[0] for line in run] + [run[-1][1]]
    count = min(_POINTS, len(corners))
    return _Curve("curve", tuple(corners[round(k * (len(corners) - 1) / (count - 1))] for k in range(count)))


def _closed(run: Sequence[Line]) -> _Curve:
    """A circle by its centre, another closed curve by four points and back to the first."""
    ring = [line[0] for line in run]
    centre = sum(x for x, _ in ring) / len(ring), sum(y for _, y in ring) / len(ring)
    radius = sum(math.dist(centre, p) for p in ring) / len(ring)
    if all(abs(math.dist(centre, p) - radius) <= COMPUTED for p in ring):
        return _Curve("circle", (centre,), radius)
    return _Curve("curve", (*(ring[len(ring) * k // 4] for k in range(4)), ring[0]))


def _rounding(corner: Point, run: Sequence[Line]) -> float:
    """The radius of the arc that rounds a corner, touching both sides; 0 where the curve is another."""
    start, end = run[0][0], run[-1][1]
    reach = math.dist(corner, start)
    if abs(reach - math.dist(corner, end)) > COMPUTED:
        return 0.0
    half = math.asin(min(1.0, math.dist(start, end) / (2 * reach)))
    radius = reach * math.tan(half)
    bx, by = (start[0] + end[0]) / 2 - corner[0], (start[1] + end[1]) / 2 - corner[1]
    far = radius / math.sin(half) / math.hypot(bx, by)
    centre = corner[0] + bx * far, corner[1] + by * far
    return radius if all(abs(math.dist(centre, line[0]) - radius) <= COMPUTED for line in run) else 0.0


def checks(net: Net, sheets: Sequence[MarkedPiece], units: Units) -> list[Check]:
    """Every corner of the net is told to half a mark, and every line of it by two of the points."""
    half, found = round(Grid(units).mark / 2, 3), {(one.part, one.piece): one for one in sheets}
    pairs = [(part, piece, found.get((part.name, piece.name))) for part, piece in templates(net)]
    order = cuts.order(net)
    off = max((_rounded(order, part, piece, one) for part, piece, one in pairs), default=0.0)
    left = sum(_left_out(order, part, piece, one, half) for part, piece, one in pairs)
    return [
        at_most(
            "marking.grid", round(off, 3), half, "mm", "Every measure for marking out is a mark of the ruler, off by half of one at most."
        ),
        at_most("marking.all", left, COMPUTED, "mm", "Every line is told by the numbers of its ends for marking out."),
    ]


def _rounded(order: Sequence[Cut], part: Part, piece: Piece, one: MarkedPiece | None) -> float:
    """How far the farthest end of a straight line is from the nearest point that is told, across or up, mm.

    An end from which a rounded corner goes on is not told: the corner is, and must lie on the lines beside it.
    """
    if one is None:
        return math.inf
    told = [(p.told_x, p.told_y) for p in one.points]
    own = [cut for cut in order if (cut.part, cut.piece) == (part.name, piece.name)]
    corners = {arc.number for arc in one.arcs if arc.kind == "corner"}
    soft = {end for cut in own if cut.number in corners for line in cut.lines for end in line}
    ends = {end for cut in own if not cut.freehand for line in cut.lines for end in line} - soft
    seen = [one.to_sheet(end) for end in ends]
    off = max((min(max(abs(x - a), abs(y - b)) for a, b in told) for x, y in seen), default=0.0)
    return max([off, *_corners_off(own, one)])


def _corners_off(own: Sequence[Cut], one: MarkedPiece) -> Iterator[float]:
    """How far the corners that are told lie off the lines that meet in them, mm across or up: over their slant at most."""
    at = {p.number: (p.told_x, p.told_y) for p in one.points}
    lines = {cut.number: cut.lines for cut in own}
    straight = [line for cut in own if not cut.freehand for line in cut.lines]
    for arc in one.arcs:
        if arc.kind == "corner":
            run = lines[arc.number]
            met = [line for line in straight if {*line} & {run[0][0], run[-1][1]}]
            yield from (abs(side((one.to_sheet(a), one.to_sheet(b)), at[arc.points[0]])) / math.sqrt(2) for a, b in met)


def _left_out(order: Sequence[Cut], part: Part, piece: Piece, one: MarkedPiece | None, half: float) -> float:
    """Length of what is scored or cut in a piece and not told in its list, mm."""
    own = [cut for cut in order if (cut.part, cut.piece) == (part.name, piece.name)]
    if one is None:
        return sum(cut.mm for cut in own)
    at = {p.number: (p.x, p.y) for p in one.points}
    told = {(r.kind, at[a], at[b]) for r in (*one.scores, *one.cuts) for a, b in r.lines}
    arcs = {arc.number for arc in one.arcs}
    left = sum(cut.mm for cut in own if cut.freehand and cut.number not in arcs)
    straight = [(cut.kind, one.to_sheet(a), one.to_sheet(b)) for cut in own if not cut.freehand for a, b in cut.lines]
    return left + sum(math.dist(a, b) for kind, a, b in straight if math.dist(a, b) > 2 * half and not _told(told, kind, (a, b), half))


def _told(lines: set[tuple[Kind, Point, Point]], kind: Kind, line: Line, half: float) -> bool:
    """Whether a line lies on one of the list, which is not much longer unless its corners are rounded."""
    return any(
        kind == k and all(cuts.beside((a, b), end) <= half for end in line) and length(line) > 0.2 * math.dist(a, b) for k, a, b in lines
    )

"""The order in which a hand scores and cuts, and where the lines lie from two datum edges.

Scores come first, while the card is whole; then holes, slits and notches, then the outline, its long lines last, so that the
piece hangs on the sheet as long as it can (common practice, no source). Lines on one straight line are one setting of the ruler.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from booklet.check import Check, at_most
from booklet.net import Net, Part, Piece
from booklet.plane import Line, Point, Ring, area, bounds, length, middle, side
from booklet.tolerance import COMPUTED, SAME_POINT, SQUARE

Kind = Literal["score", "half-cut", "cut"]

CHORD = 4.0
BEND = 20.0
"""Shorter edges than `CHORD` mm that turn by less than `BEND` degrees from one to the next are a curve (chosen by us)."""

_DECIMALS = 4
"""Measures lose their float noise, and 1/16 in (1.5875 mm) stays what it is."""


@dataclass(frozen=True, slots=True)
class Cut:
    """One setting of the ruler on a template: the lines that are drawn along it, in the part's flat frame.

    `number`: from 1 within the template. `kind`: "score" (a crease), "half-cut" or "cut". `mm`: length of line drawn.
    `freehand`: a curve, cut without the ruler; its lines are the chords.
    """

    number: int
    part: str
    piece: str
    kind: Kind
    lines: tuple[Line, ...]
    mm: float
    where: Literal["fold", "inner", "outline"]
    freehand: bool = False


@dataclass(frozen=True, slots=True)
class Measures:
    """Running dimensions in mm: where lines begin, end or run, from the left and from the lower edge of the box round a piece."""

    xs: tuple[float, ...]
    ys: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class _Stroke:
    """Lines that belong together before they have a number. `rank`: scores 0, half-cuts 1, holes 2, slits 3, notches 4, outline 5."""

    rank: int
    lines: tuple[Line, ...]
    freehand: bool = False

    @property
    def mm(self) -> float:
        """Length of line drawn."""
        return sum(length(line) for line in self.lines)


_WHERE: tuple[Literal["fold", "inner", "outline"], ...] = ("fold", "fold", "inner", "inner", "inner", "outline")
_KIND: tuple[Kind, ...] = ("score", "half-cut", "cut", "cut", "cut", "cut")


def order(net: Net) -> tuple[Cut, ...]:
    """The scores and cuts of every template, template by template, numbered from 1 in each."""
    templates = [(part, piece) for part in net.parts for piece in part.pieces if piece.template == piece.name]
    return tuple(cut for part, piece in templates for cut in _cuts(part, piece))


def _cuts(part: Part, piece: Piece) -> Iterator[Cut]:
    whole = sorted(_settings(part, piece), key=_in_turn)
    for number, s in enumerate(whole, 1):
        yield Cut(number, part.name, piece.name, _KIND[s.rank], s.lines, s.mm, _WHERE[s.rank], s.freehand)


def _in_turn(stroke: _Stroke) -> tuple[float, ...]:
    """By rank, short before long, and then from the lower left."""
    x, y = middle(stroke.lines[0])
    return stroke.rank, round(stroke.mm, 3), round(y, 3), round(x, 3)


def _settings(part: Part, piece: Piece) -> Iterator[_Stroke]:
    """All lines of a piece, those on one straight line together."""
    strokes = [*_scores(part, piece), *_rings(piece), *(_Stroke(3, (line,)) for slit in piece.slits for line in _steps(slit))]
    for rank in range(len(_KIND)):
        same = [stroke for stroke in strokes if stroke.rank == rank]
        yield from (stroke for stroke in same if stroke.freehand)
        lines = [line for stroke in same if not stroke.freehand for line in stroke.lines]
        yield from (_Stroke(rank, group) for group in _collinear(lines))


def _scores(part: Part, piece: Piece) -> Iterator[_Stroke]:
    for line, way in scored(part, piece):
        yield _Stroke(int(way == "half-cut"), (line,))


def scored(part: Part, piece: Piece) -> tuple[tuple[Line, str], ...]:
    """The lines that are scored in a piece, each with its way, "crease" or "half-cut".

    Creases with both panels in the piece and the creases that close a ring of panels; not rolls, nor folds that are cut through.
    """
    inside = set(piece.panels)
    folds = [f for f in part.folds if f.kind == "crease" and f.angle and {f.parent, f.child} <= inside]
    ways = Counter(f.way for f in folds)
    loops = [(loop.line, ways.most_common(1)[0][0] if ways else "crease") for loop in part.loops if set(loop.panels) <= inside]
    return (*((f.line, f.way) for f in folds), *loops)


def _steps(points: Sequence[Point], closed: bool = False) -> list[Line]:
    """The straight lines of a polyline or a ring."""
    way = [*points, points[0]] if closed else points
    return [(a, b) for a, b in pairwise(way) if math.dist(a, b) > SAME_POINT]


def _rings(piece: Piece) -> Iterator[_Stroke]:
    """The edges of holes and of the outline; curves are kept in one."""
    for hole in piece.holes:
        yield from (_Stroke(2, run, len(run) > 1) for run in _runs(hole))
    concave = _concave(piece.outline)
    for run in _runs(piece.outline):
        notch = any(end in concave for line in run for end in line)
        yield _Stroke(4 if notch else 5, run, len(run) > 1)


def _concave(ring: Ring) -> set[Point]:
    """The corners at which an outline turns back into the card."""
    way = math.copysign(1.0, area(ring))
    return {p for i, p in enumerate(ring) if way * _turn(ring[i - 1], p, ring[(i + 1) % len(ring)]) < -SQUARE}


def _turn(a: Point, b: Point, c: Point) -> float:
    """Degrees by which a way from a over b to c turns at b, positive to the left."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], c[0] - b[0], c[1] - b[1]
    return math.degrees(math.atan2(ux * vy - uy * vx, ux * vx + uy * vy))


def _runs(ring: Ring) -> list[tuple[Line, ...]]:
    """The edges of a ring one by one, but the chords of a curve together."""
    edges = _steps(ring, closed=True)
    goes_on = [_curves(edges[i - 1], edge) for i, edge in enumerate(edges)]
    first = next((i for i, on in enumerate(goes_on) if not on), 0)
    runs: list[list[Line]] = []
    for i in range(len(edges)):
        edge = edges[(first + i) % len(edges)]
        if i and goes_on[(first + i) % len(edges)]:
            runs[-1].append(edge)
        else:
            runs.append([edge])
    return [tuple(run) for run in runs]


def _curves(a: Line, b: Line) -> bool:
    """Whether an edge goes on the curve of the one before it."""
    return length(a) < CHORD and length(b) < CHORD and abs(_turn(*a, b[1])) < BEND


def _collinear(lines: Sequence[Line]) -> list[tuple[Line, ...]]:
    """Lines in groups that one setting of the ruler serves, each group in order along the ruler."""
    groups: list[list[Line]] = []
    for line in sorted(lines, key=lambda one: (-round(length(one), 3), one)):
        group = next((g for g in groups if _on(g[0], line)), None)
        if group is None:
            groups.append([line])
        else:
            group.append(line)
    return [tuple(sorted(group, key=lambda one: min(one))) for group in groups]


def _on(ruler: Line, line: Line) -> bool:
    return all(abs(side(ruler, end)) <= COMPUTED for end in line)


def checks(net: Net, cuts: Sequence[Cut]) -> list[Check]:
    """Every line of every template is scored or cut, and only once."""
    wanted = Counter(key for part in net.parts for piece in part.pieces if piece.template == piece.name for key in _lines(part, piece))
    have = Counter(_key(cut.part, cut.piece, line, cut.kind) for cut in cuts for line in cut.lines)
    off = sum(length(key[2]) * n for key, n in ((wanted - have) + (have - wanted)).items())
    text = "Every edge, hole, slit and fold is in the order of cuts, once, each as it is made."
    return [at_most("cuts.all", off, COMPUTED, "mm", text)]


_Key = tuple[str, str, Line, str]


def _lines(part: Part, piece: Piece) -> Iterator[_Key]:
    """What has to be drawn in a piece, told from the piece alone."""
    for ring in (piece.outline, *piece.holes):
        yield from (_key(part.name, piece.name, line, "cut") for line in _steps(ring, closed=True))
    for slit in piece.slits:
        yield from (_key(part.name, piece.name, line, "cut") for line in _steps(slit))
    for line, way in scored(part, piece):
        yield _key(part.name, piece.name, line, "half-cut" if way == "half-cut" else "score")


def _key(part: str, piece: str, line: Line, kind: str) -> _Key:
    a, b = sorted((round(x, 6), round(y, 6)) for x, y in line)
    return part, piece, (a, b), kind


def points(part: Part, piece: Piece) -> tuple[Point, ...]:
    """Every corner, slit end and fold end of a piece in mm from its two datum edges, each once.

    The datum edges are the left and the lower side of the box round the piece. Of a rounded corner the corner is told, where
    the straight edges beside it would meet; of any other curve the two ends.
    Sorted from below, then from the left.
    """
    x0, y0, *_ = bounds(piece.outline)
    found = {(_told(x - x0), _told(y - y0)) for x, y in _ends(part, piece)}
    return tuple(sorted(found, key=lambda p: (p[1], p[0])))


def _ends(part: Part, piece: Piece) -> Iterable[Point]:
    for ring in (piece.outline, *piece.holes):
        runs = _runs(ring)
        for i, run in enumerate(runs):
            before, after = runs[i - 1], runs[(i + 1) % len(runs)]
            if len(run) == 1:
                yield from (end for end, beside in ((run[0][0], before), (run[0][1], after)) if len(beside) == 1)
            else:
                met = _meeting(before[-1], after[0]) if len(before) == len(after) == 1 else None
                yield from (run[0][0], run[-1][1]) if met is None else (met,)
    for slit in piece.slits:
        yield from slit
    for line, _ in scored(part, piece):
        yield from line


def _meeting(a: Line, b: Line) -> Point | None:
    """Where two edges drawn out would meet; None for nearly parallel ones."""
    (ax, ay), (bx, by) = a
    ux, uy = bx - ax, by - ay
    vx, vy = b[1][0] - b[0][0], b[1][1] - b[0][1]
    cross = ux * vy - uy * vx
    if abs(cross) < 0.05 * length(a) * length(b):
        return None
    run = ((b[0][0] - ax) * vy - (b[0][1] - ay) * vx) / cross
    return ax + run * ux, ay + run * uy


def _told(mm: float) -> float:
    return round(mm, _DECIMALS) + 0.0


def measures(part: Part, piece: Piece) -> Measures:
    """The distinct positions of `points` across and up, ascending, mm from the datum edges."""
    ends = points(part, piece)
    return Measures(tuple(sorted({x for x, _ in ends})), tuple(sorted({y for _, y in ends})))

"""The order in which a hand scores and cuts, and where the lines lie from two datum edges.

Scores come first, while the card is whole; then holes, slits and notches, then the outline, its long lines last, so that the
piece hangs on the sheet as long as it can (common practice, no source). Lines on one straight line are one setting of the ruler:
an edge of the outline that lies on the line of a notch is cut with it. The sides of the convex hull never do, so they are last.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from booklet.check import Check, at_most
from booklet.net import Fold, Loop, Net, Part, Piece
from booklet.plane import Line, Point, Ring, area, length, middle, side
from booklet.tolerance import COMPUTED, SAME_POINT, SQUARE

Kind = Literal["score", "half-cut", "cut"]
Where = Literal["fold", "inner", "both", "outline"]

FACET, SOFT = 60.0, 12.0
"""mm and degrees: edges of facets shorter than this, of about one length, that bend less are one curve (chosen by us)."""

_LIKE = 1.6

CHORD = 4.0
BEND = 20.0
"""Shorter edges than `CHORD` mm that turn by less than `BEND` degrees from one to the next are a curve (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Cut:
    """One setting of the ruler on a template: the lines that are drawn along it, in the part's flat frame.

    `number`: from 1 within the template. `kind`: "score" (a crease), "half-cut" or "cut". `mm`: length of line drawn.
    `where`: "inner" is a hole, a slit or a notch; "both" an edge of one of them and an edge of the outline on one line.
    `freehand`: a curve, cut without the ruler; its lines are the chords.
    """

    number: int
    part: str
    piece: str
    kind: Kind
    lines: tuple[Line, ...]
    mm: float
    where: Where
    freehand: bool = False


@dataclass(frozen=True, slots=True)
class _Stroke:
    """Lines that belong together before they have a number. `ranks`: scores 0, half-cuts 1, holes 2, slits 3, notches 4, outline 5."""

    ranks: frozenset[int]
    lines: tuple[Line, ...]
    freehand: bool = False

    @property
    def mm(self) -> float:
        """Length of line drawn."""
        return sum(length(line) for line in self.lines)

    @property
    def kind(self) -> Kind:
        """The tool that draws it."""
        return _KIND[min(self.ranks)]

    @property
    def where(self) -> Where:
        """What its lines are edges of."""
        first, last = min(self.ranks), max(self.ranks)
        return "fold" if first < _HOLE else "outline" if first == _OUTLINE else "both" if last == _OUTLINE else "inner"


_HOLE, _SLIT, _NOTCH, _OUTLINE = range(2, 6)
_KIND: tuple[Kind, ...] = ("score", "half-cut", "cut", "cut", "cut", "cut")
_STAGE: tuple[Where, ...] = ("fold", "inner", "both", "outline")


def order(net: Net) -> tuple[Cut, ...]:
    """The scores and cuts of every template, template by template, numbered from 1 in each."""
    return tuple(cut for part, piece in templates(net) for cut in _cuts(part, piece))


def templates(net: Net) -> Iterator[tuple[Part, Piece]]:
    """The pieces that are printed, each with its part."""
    return ((part, piece) for part in net.parts for piece in part.pieces if piece.template == piece.name)


def _cuts(part: Part, piece: Piece) -> Iterator[Cut]:
    whole = sorted(_settings(part, piece), key=_in_turn)
    for number, s in enumerate(whole, 1):
        yield Cut(number, part.name, piece.name, s.kind, s.lines, s.mm, s.where, s.freehand)


def _in_turn(stroke: _Stroke) -> tuple[float, ...]:
    """By stage, within the folds and the inner cuts by rank; curves before straight lines, short before long, from the lower left."""
    x, y = middle(stroke.lines[0])
    rank = min(stroke.ranks) if stroke.where in ("fold", "inner") else 0
    return _STAGE.index(stroke.where), rank, not stroke.freehand, round(stroke.mm, 3), round(y, 3), round(x, 3)


def _settings(part: Part, piece: Piece) -> Iterator[_Stroke]:
    """All lines of a piece: curves by themselves, of each tool those on one straight line together."""
    slits = (_stroke(_SLIT, (line,)) for slit in piece.slits for line in _steps(slit))
    strokes = [*_scores(part, piece), *_rings(piece), *slits]
    yield from (stroke for stroke in strokes if stroke.freehand)
    for kind in dict.fromkeys(_KIND):
        ranks = {stroke.lines[0]: stroke.ranks for stroke in strokes if stroke.kind == kind and not stroke.freehand}
        for group in _collinear(list(ranks)):
            yield _Stroke(frozenset().union(*(ranks[line] for line in group)), group)


def _stroke(rank: int, lines: tuple[Line, ...]) -> _Stroke:
    return _Stroke(frozenset({rank}), lines, len(lines) > 1)


def _scores(part: Part, piece: Piece) -> Iterator[_Stroke]:
    """Scores of a piece; those between the facets of two smooth faces are one curve."""
    curves: dict[object, list[Line]] = {}
    bodies = {frozenset(fold.line): _bodies(part, fold) for fold in part.folds}
    for line, way in scored(part, piece):
        between = bodies.get(frozenset(line))
        curves.setdefault((way, between) if between else (way, line), []).append(line)
    for (way, _), lines in curves.items():  # type: ignore[misc]
        yield _stroke(int(way == "half-cut"), tuple(lines))


def _bodies(part: Part, fold: Fold) -> tuple[str, str] | None:
    """The two smooth faces of facets between which a fold is one chord of a curve; None for any other."""
    bodies = tuple(part.panel[name].body if name in part.panel else "" for name in (fold.parent, fold.child))
    return (bodies[0], bodies[1]) if all(bodies) and {fold.parent, fold.child}.isdisjoint(bodies) else None


def scored(part: Part, piece: Piece) -> tuple[tuple[Line, str], ...]:
    """The lines that are scored in a piece, each with its way, "crease" or "half-cut".

    Creases with both panels in the piece and the creases that close a ring of panels; not rolls, nor folds that are cut through.
    """
    inside = set(piece.panels)
    folds = [f for f in part.folds if f.kind == "crease" and f.bends and {f.parent, f.child} <= inside]
    ways = Counter(f.way for f in folds)
    closing = [loop for loop in part.loops if set(loop.panels) <= inside and not _one_face(part, loop)]
    loops = [(loop.line, ways.most_common(1)[0][0] if ways else "crease") for loop in closing]
    return (*((f.line, f.way) for f in folds), *loops)


def _one_face(part: Part, loop: Loop) -> bool:
    first, second = (part.panel[name].body for name in loop.panels)
    return bool(first) and first == second


def _steps(points: Sequence[Point], closed: bool = False) -> list[Line]:
    """The straight lines of a polyline or a ring."""
    way = [*points, points[0]] if closed else points
    return [(a, b) for a, b in pairwise(way) if math.dist(a, b) > SAME_POINT]


def _rings(piece: Piece) -> Iterator[_Stroke]:
    """The edges of holes and of the outline; curves are kept in one."""
    for hole in piece.holes:
        yield from (_stroke(_HOLE, run) for run in runs(hole))
    concave = _concave(piece.outline)
    for run in runs(piece.outline):
        notch = any(end in concave for line in run for end in line)
        yield _stroke(_NOTCH if notch else _OUTLINE, run)


def _concave(ring: Ring, hollow: bool = False) -> set[Point]:
    """The corners at which the card lies on more than half of what is round them; `hollow`: the ring is a hole's."""
    way = math.copysign(1.0, area(ring)) * (-1 if hollow else 1)
    return {p for i, p in enumerate(ring) if way * _turn(ring[i - 1], p, ring[(i + 1) % len(ring)]) < -SQUARE}


def _turn(a: Point, b: Point, c: Point) -> float:
    """Degrees by which a way from a over b to c turns at b, positive to the left."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], c[0] - b[0], c[1] - b[1]
    return math.degrees(math.atan2(ux * vy - uy * vx, ux * vx + uy * vy))


def runs(ring: Ring) -> list[tuple[Line, ...]]:
    """The edges of a ring one by one, but the chords of a curve together, in their order round the ring."""
    edges = _steps(ring, closed=True)
    goes_on = [_curves(edges[i - 1], edge) for i, edge in enumerate(edges)]
    first = next((i for i, on in enumerate(goes_on) if not on), 0)
    found: list[list[Line]] = []
    for i in range(len(edges)):
        edge = edges[(first + i) % len(edges)]
        if i and goes_on[(first + i) % len(edges)]:
            found[-1].append(edge)
        else:
            found.append([edge])
    return [tuple(run) for run in found]


def _curves(a: Line, b: Line) -> bool:
    """Whether an edge goes on the curve of the one before it."""
    one, two, turn = length(a), length(b), abs(_turn(*a, b[1]))
    even = min(one, two) >= CHORD and max(one, two) < min(FACET, _LIKE * min(one, two)) and turn < SOFT
    return (one < CHORD and two < CHORD and turn < BEND) or even


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


def settings(cuts: Iterable[Cut]) -> int:
    """How often the ruler is placed: curves need none."""
    return sum(not cut.freehand for cut in cuts)


def distinct_lines(net: Net) -> int:
    """Straight lines that are scored or cut in all templates, those drawn by one tool on one line of a template counted once."""
    return sum(_distinct(lines) for part, piece in templates(net) for lines in _straight(part, piece).values())


def _straight(part: Part, piece: Piece) -> dict[str, list[Line]]:
    """The straight lines of a piece by the tool that draws them."""
    lines: dict[str, list[Line]] = {"cut": [line for slit in piece.slits for line in _steps(slit)]}
    lines["cut"] += [run[0] for ring in (piece.outline, *piece.holes) for run in runs(ring) if len(run) == 1]
    for line, way in scored(part, piece):
        lines.setdefault(way, []).append(line)
    return lines


def _distinct(lines: Sequence[Line]) -> int:
    """How many straight lines some lines lie on: each that has none before it on its own line counts."""
    return sum(not any(_one_line(line, other) for other in lines[:i]) for i, line in enumerate(lines))


def _one_line(a: Line, b: Line) -> bool:
    """Whether two lines are parts of one, told as finely as a union of panels keeps its corners."""
    long, short = (a, b) if length(a) >= length(b) else (b, a)
    return all(abs(side(long, end)) <= _SAME_LINE for end in short)


_SAME_LINE = 1e-3


def drawn(net: Net, cuts: Iterable[Cut]) -> tuple[float, float]:
    """mm that the knife cuts and mm that are scored or half-cut in all pieces of one box."""
    names = Counter(piece.template for part in net.parts for piece in part.pieces)
    found = [(cut.kind == "cut", cut.mm * names[cut.piece]) for cut in cuts]
    return sum(mm for knife, mm in found if knife), sum(mm for knife, mm in found if not knife)


def stops(piece: Piece) -> tuple[Point, ...]:
    """Where a blade that runs on would cut into the piece: its inner corners, and the ends of slits within it.

    In the part's flat frame, each once, from below, then from the left. Corners of curves are none.
    """
    rings = (piece.outline, *piece.holes)
    turned = [_concave(piece.outline), *(_concave(hole, hollow=True) for hole in piece.holes)]
    smooth = {p for ring in rings for p in _smooth(ring)}
    ends = {end for slit in piece.slits for end in (slit[0], slit[-1]) if not _on_edge(end, rings)}
    return tuple(sorted(set().union(*turned, ends) - smooth, key=lambda p: (round(p[1], 6), p[0])))


def _smooth(ring: Ring) -> Iterator[Point]:
    """The ends of a curve's chords at which it goes on without a corner."""
    edges = [(edge, len(run) > 1) for run in runs(ring) for edge in run]
    for (before, curve), (edge, goes_on) in zip((edges[-1], *edges), edges, strict=False):
        if (curve or goes_on) and abs(_turn(*before, edge[1])) < BEND:
            yield edge[0]


def _on_edge(point: Point, rings: Iterable[Ring]) -> bool:
    return any(beside(line, point) <= _SAME_LINE for ring in rings for line in _steps(ring, closed=True))


def beside(line: Line, point: Point) -> float:
    """Distance of a point from a line between its ends, mm."""
    (ax, ay), (bx, by) = line
    share = ((point[0] - ax) * (bx - ax) + (point[1] - ay) * (by - ay)) / length(line) ** 2
    share = min(1.0, max(0.0, share))
    return math.dist(point, (ax + share * (bx - ax), ay + share * (by - ay)))


def checks(net: Net, cuts: Sequence[Cut]) -> list[Check]:
    """Every line of every template is scored or cut, only once, in an order that keeps the card whole, with the fewest settings."""
    wanted = Counter(key for part, piece in templates(net) for key in _lines(part, piece))
    have = Counter(_key(cut.part, cut.piece, line, cut.kind) for cut in cuts for line in cut.lines)
    off = sum(length(key[2]) * n for key, n in ((wanted - have) + (have - wanted)).items())
    return [
        at_most("cuts.all", off, COMPUTED, "mm", "Every edge, hole, slit and fold is in the order of cuts, once, each as it is made."),
        at_most("cuts.settings", settings(cuts), distinct_lines(net), "settings", "The ruler is placed once for each straight line."),
        at_most("cuts.order", _out_of_turn(net, cuts), 0, "cuts", "Nothing is cut before a score, no outline before an inner cut."),
    ]


def _out_of_turn(net: Net, cuts: Sequence[Cut]) -> int:
    """Cuts that come before a score of their template, and outlines before an inner cut, told from the lines alone."""
    wrong = 0
    for part, piece in templates(net):
        inner = {_key(part.name, piece.name, line, "cut") for line in _inner(piece)}
        own = sorted((c for c in cuts if (c.part, c.piece) == (part.name, piece.name)), key=lambda c: c.number)
        stage = [0 if c.kind != "cut" else 1 if any(_key(c.part, c.piece, line, "cut") in inner for line in c.lines) else 2 for c in own]
        wrong += sum(at > min(stage[i:]) for i, at in enumerate(stage))
    return wrong


def _inner(piece: Piece) -> Iterator[Line]:
    """The straight edges of holes, slits and inner corners, and the chords of curves there."""
    yield from (line for hole in piece.holes for line in _steps(hole, closed=True))
    yield from (line for slit in piece.slits for line in _steps(slit))
    concave = _concave(piece.outline)
    yield from (line for line in _steps(piece.outline, closed=True) if concave & set(line))


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

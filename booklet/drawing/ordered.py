"""The order of cuts on a template: its lines, on each ruler setting its number in a small ring, and where the blade must stop."""

from __future__ import annotations

import math
from collections.abc import Sequence

from booklet.cuts import Cut, stops
from booklet.drawing.pen import STROKES, Pen, Stroke, circle
from booklet.net import Part, Piece
from booklet.plane import Affine, Line, Point, bounds, length

RADIUS = 2.1
NUMBER_PT = 7.0
"""A number's ring in mm, and its type: labels on drawings are 7 pt or more."""

STOP = 0.75
STOP_LINE = Stroke(0.25)
"""Half the side in mm of the small square on a corner that must not be overcut, and its line (chosen by us)."""

ENOUGH = 2 * RADIUS + 0.3
"""Distance of two numbers in mm at which their rings are clear of each other."""

_ALONG = (0.5, 0.38, 0.62, 0.26, 0.74, 0.14, 0.86)
_BESIDE = (0.0, 2.6, -2.6, 4.8, -4.8, 7.0, -7.0)
"""Where a number is tried: shares of its line's length, and mm beside it."""

Box = tuple[float, float, float, float]


def draw_order(pen: Pen, part: Part, piece: Piece, cuts: Sequence[Cut], box: Box) -> None:
    """Draw a template with its cuts numbered, as large as a box on paper (x0, y0, x1, y1 in mm) allows."""
    place = _place(piece, box)
    folds = {fold.line: fold.bends for fold in part.folds}
    taken: list[Point] = []
    for cut in cuts:
        for line in cut.lines:
            kind = "mountain" if cut.kind != "cut" and folds.get(line, 1.0) < 0 else "valley"
            pen.path(place.ring(line), STROKES["edge" if cut.kind == "cut" else kind])
    kept = [place(at) for at in stops(piece)]
    for at in kept:
        draw_stop(pen, at)
    for cut in cuts:
        a, b = max(cut.lines, key=length)
        spot, foot = _spot((place(a), place(b)), taken, kept, box)
        taken.append(spot)
        pen.path([foot, spot], STROKES["dimension"])
        _number(pen, spot, str(cut.number))


def draw_stop(pen: Pen, at: Point) -> None:
    """The sign of a corner that must not be overcut: a small open square."""
    x, y = at
    ring = (x - STOP, y - STOP), (x + STOP, y - STOP), (x + STOP, y + STOP), (x - STOP, y + STOP)
    pen.fill([ring], 1.0)
    pen.path(ring, STOP_LINE, closed=True)


def _place(piece: Piece, box: Box) -> Affine:
    x0, y0, x1, y1 = bounds(piece.outline)
    rim = 2 * RADIUS + 0.5
    scale = min((box[2] - box[0] - rim) / (x1 - x0), (box[3] - box[1] - rim) / (y1 - y0), 1.0)
    left, low = (box[0] + box[2] - scale * (x0 + x1)) / 2, (box[1] + box[3] - scale * (y0 + y1)) / 2
    return Affine(scale, 0, 0, scale, left, low)


def _spot(line: Line, taken: Sequence[Point], kept: Sequence[Point], box: Box) -> tuple[Point, Point]:
    """A place on, beside or round a line that is clear of the other numbers and of the corners kept free, or of the numbers alone.

    With its foot on the line; where there is none, the place that is clearest.
    """
    first, far = _beside(line, taken, kept, box)
    if far >= 0:
        return first
    clear = _round_about(line, taken, kept, box)
    if clear is None:
        first, far = _beside(line, taken, (), box)
        clear = first if far >= 0 else _round_about(line, taken, (), box)
    return clear or first


def _beside(line: Line, taken: Sequence[Point], kept: Sequence[Point], box: Box) -> tuple[tuple[Point, Point], float]:
    """The first clear place on or beside a line, in the box, or the clearest, with its foot; and what it is clear by, mm."""
    (ax, ay), (bx, by) = line
    long = max(math.dist(*line), 1e-9)
    nx, ny = -(by - ay) / long, (bx - ax) / long
    best, most = (line[0], line[0]), -math.inf
    for beside in _BESIDE:
        for share in _ALONG:
            foot = (ax + (bx - ax) * share, ay + (by - ay) * share)
            spot = (foot[0] + nx * beside, foot[1] + ny * beside)
            if beside and not _within(spot, box):
                continue
            far = _clearance(spot, taken, kept)
            if far >= 0:
                return (spot, foot), far
            if far > most:
                best, most = (spot, foot), far
    return best, most


def _clearance(spot: Point, taken: Sequence[Point], kept: Sequence[Point]) -> float:
    """By how much a number is farther than it must be from all others and from the corners kept free, mm."""
    gaps = [math.dist(spot, other) - ENOUGH for other in taken] + [math.dist(spot, at) - RADIUS - 1.6 * STOP for at in kept]
    return min(gaps, default=math.inf)


def _round_about(line: Line, taken: Sequence[Point], kept: Sequence[Point], box: Box) -> tuple[Point, Point] | None:
    """A clear place round the middle of a line that has none beside it."""
    foot = (line[0][0] + line[1][0]) / 2, (line[0][1] + line[1][1]) / 2
    for far in range(5, 30, 2):
        for turn in range(0, 360, 15):
            spot = foot[0] + far * math.cos(math.radians(turn)), foot[1] + far * math.sin(math.radians(turn))
            if _within(spot, box) and _clearance(spot, taken, kept) >= 0:
                return spot, foot
    return None


def _within(spot: Point, box: Box) -> bool:
    """Whether a number's ring lies in the box."""
    return all(low + RADIUS <= at <= high - RADIUS for at, low, high in zip(spot, box[:2], box[2:], strict=True))


def _number(pen: Pen, at: Point, words: str) -> None:
    ring = circle(at, RADIUS, 24)
    pen.fill([ring], 1.0)
    pen.path(ring, STROKES["dimension"], closed=True)
    pen.text((at[0], at[1] - 0.88), words, NUMBER_PT, "middle")

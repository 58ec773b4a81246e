"""The order of cuts on a template: its lines, and on each ruler setting its number in a small ring."""

from __future__ import annotations

import math
from collections.abc import Sequence

from booklet.cuts import Cut
from booklet.drawing.pen import STROKES, Pen, circle
from booklet.net import Part, Piece
from booklet.plane import Affine, Line, Point, bounds, length

RADIUS = 2.1
NUMBER_PT = 7.0
"""A number's ring in mm, and its type: labels on drawings are 7 pt or more."""

ENOUGH = 2 * RADIUS + 0.3
"""Distance of two numbers in mm at which their rings are clear of each other."""

_ALONG = (0.5, 0.38, 0.62, 0.26, 0.74, 0.14, 0.86)
_BESIDE = (0.0, 2.6, -2.6, 4.8, -4.8)
"""Where a number is tried: shares of its line's length, and mm beside it."""


def draw_order(pen: Pen, part: Part, piece: Piece, cuts: Sequence[Cut], box: tuple[float, float, float, float]) -> None:
    """Draw a template with its cuts numbered, as large as a box on paper (x0, y0, x1, y1 in mm) allows."""
    place = _place(piece, box)
    folds = {fold.line: fold.angle for fold in part.folds}
    taken: list[Point] = []
    for cut in cuts:
        for line in cut.lines:
            kind = "mountain" if cut.kind != "cut" and folds.get(line, 1.0) < 0 else "valley"
            pen.path(place.ring(line), STROKES["edge" if cut.kind == "cut" else kind])
    for cut in cuts:
        a, b = max(cut.lines, key=length)
        spot, foot = _spot((place(a), place(b)), taken)
        taken.append(spot)
        pen.path([foot, spot], STROKES["dimension"])
        _number(pen, spot, str(cut.number))


def _place(piece: Piece, box: tuple[float, float, float, float]) -> Affine:
    x0, y0, x1, y1 = bounds(piece.outline)
    rim = 2 * RADIUS + 0.5
    scale = min((box[2] - box[0] - rim) / (x1 - x0), (box[3] - box[1] - rim) / (y1 - y0))
    left, low = (box[0] + box[2] - scale * (x0 + x1)) / 2, (box[1] + box[3] - scale * (y0 + y1)) / 2
    return Affine(scale, 0, 0, scale, left, low)


def _spot(line: Line, taken: Sequence[Point]) -> tuple[Point, Point]:
    """The first place on or beside a line that is clear of the other numbers, or the clearest of all; and its foot on the line."""
    (ax, ay), (bx, by) = line
    long = max(math.dist(*line), 1e-9)
    nx, ny = -(by - ay) / long, (bx - ax) / long
    best, most = (line[0], line[0]), -1.0
    for beside in _BESIDE:
        for share in _ALONG:
            foot = (ax + (bx - ax) * share, ay + (by - ay) * share)
            spot = (foot[0] + nx * beside, foot[1] + ny * beside)
            far = min((math.dist(spot, other) for other in taken), default=math.inf)
            if far >= ENOUGH:
                return spot, foot
            if far > most:
                best, most = (spot, foot), far
    return best


def _number(pen: Pen, at: Point, words: str) -> None:
    ring = circle(at, RADIUS, 24)
    pen.fill([ring], 1.0)
    pen.path(ring, STROKES["dimension"], closed=True)
    pen.text((at[0], at[1] - 0.88), words, NUMBER_PT, "middle")

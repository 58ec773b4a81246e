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
_BESIDE = (0.0, 2.6, -2.6, 4.8, -4.8, 7.0, -7.0)
"""Where a number is tried: shares of its line's length, and mm beside it."""

Box = tuple[float, float, float, float]


def draw_order(pen: Pen, part: Part, piece: Piece, cuts: Sequence[Cut], box: Box) -> None:
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
        spot, foot = _spot((place(a), place(b)), taken, box)
        taken.append(spot)
        pen.path([foot, spot], STROKES["dimension"])
        _number(pen, spot, str(cut.number))


def _place(piece: Piece, box: Box) -> Affine:
    x0, y0, x1, y1 = bounds(piece.outline)
    rim = 2 * RADIUS + 0.5
    scale = min((box[2] - box[0] - rim) / (x1 - x0), (box[3] - box[1] - rim) / (y1 - y0))
    left, low = (box[0] + box[2] - scale * (x0 + x1)) / 2, (box[1] + box[3] - scale * (y0 + y1)) / 2
    return Affine(scale, 0, 0, scale, left, low)


def _spot(line: Line, taken: Sequence[Point], box: Box) -> tuple[Point, Point]:
    """The first place on or beside a line, in the box, that is clear of the other numbers, or the clearest; and its foot on the line."""
    (ax, ay), (bx, by) = line
    long = max(math.dist(*line), 1e-9)
    nx, ny = -(by - ay) / long, (bx - ax) / long
    best, most = (line[0], line[0]), -1.0
    for beside in _BESIDE:
        for share in _ALONG:
            foot = (ax + (bx - ax) * share, ay + (by - ay) * share)
            spot = (foot[0] + nx * beside, foot[1] + ny * beside)
            if beside and not _within(spot, box):
                continue
            far = min((math.dist(spot, other) for other in taken), default=math.inf)
            if far >= ENOUGH:
                return spot, foot
            if far > most:
                best, most = (spot, foot), far
    return _round_about(line, taken, box) or best


def _round_about(line: Line, taken: Sequence[Point], box: Box) -> tuple[Point, Point] | None:
    """A clear place round the middle of a line that has none beside it."""
    foot = (line[0][0] + line[1][0]) / 2, (line[0][1] + line[1][1]) / 2
    for far in range(5, 30, 2):
        for turn in range(0, 360, 15):
            spot = foot[0] + far * math.cos(math.radians(turn)), foot[1] + far * math.sin(math.radians(turn))
            if _within(spot, box) and all(math.dist(spot, other) >= ENOUGH for other in taken):
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

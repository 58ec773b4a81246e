"""A template for marking out: its lines as seen on the face that is drawn on, every point a dot with its number, the datum corner.

Boxes on paper in mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from booklet.drawing.layout import DOTTED, draw_datum, draw_outline
from booklet.drawing.pen import STROKES, Pen, circle
from booklet.drawing.room import Box, Room, around, size_of, steps, write_centred
from booklet.marking import MarkedPiece
from booklet.net import Part, Piece
from booklet.plane import Affine, Point, bounds, length

NUMBER_PT = 7.0
DOT = 0.5
RIM = 6.0
"""A number's type (labels on drawings are 7 pt or more), a dot's radius, and the room round the piece for numbers and the datum, mm."""

_CELL = 0.25
_CLEAR = 0.3
_OWN = 1.6
_LEADER = 2.8
"""mm: how finely room is found; how far a number is clear of lines; a number nearer to its dot than this, and with no other dot
nearly as near, needs no leader, and none when it is nearer than the last (chosen by us)."""


def height_for(piece: Piece, width: float) -> float:
    """How high a drawing of a width is when the piece fills it, mm; a small piece is drawn no larger than it is."""
    x0, y0, x1, y1 = bounds(piece.outline)
    return min((width - 2 * RIM) / (x1 - x0), 1.0) * (y1 - y0) + 2 * RIM


def draw_marking(pen: Pen, sheet: MarkedPiece, part: Part, piece: Piece, box: Box) -> None:
    """Draw a template with its numbered points as large as a box allows."""
    place = _place(piece, box)
    seen = sheet.to_sheet.then(place)
    x0, y0, x1, y1 = bounds(seen.ring(piece.outline))
    rectangle = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    pen.path(rectangle, DOTTED, closed=True)
    drawn = [line for line in draw_outline(pen, part, piece, seen, STROKES, sheet.mirrored) if length(line)]
    dots = {p.number: place((p.x, p.y)) for p in sheet.points}
    for at in dots.values():
        pen.fill([circle(at, DOT, 16)], 0.0)
    draw_datum(pen, (x0, y0))
    room = Room(box, _CELL)
    room.take_lines([*drawn, *steps(rectangle), ((x0 - 2.6, y0), (x0, y0)), ((x0, y0 - 2.6), (x0, y0)), ((x0 - 1.6, y0), (x0, y0 - 1.6))])
    for at in dots.values():
        room.take(around(at, (2 * DOT + 0.2, 2 * DOT + 0.2)))
    _number(pen, dots, room)


def _place(piece: Piece, box: Box) -> Affine:
    """From the sheet's frame to paper, the piece in the middle of the box."""
    x0, y0, x1, y1 = bounds(piece.outline)
    scale = min((box[2] - box[0] - 2 * RIM) / (x1 - x0), (box[3] - box[1] - 2 * RIM) / (y1 - y0), 1.0)
    left, low = (box[0] + box[2] - scale * (x1 - x0)) / 2, (box[1] + box[3] - scale * (y1 - y0)) / 2
    return Affine(scale, 0, 0, scale, left, low)


def _number(pen: Pen, dots: dict[int, Point], room: Room) -> None:
    """The numbers, those in the thick of others first; each as near to its dot as there is room, led to it where that is not plain."""
    for number in sorted(dots, key=lambda n: (round(_crowd(dots, n), 2), n)):
        at, size = dots[number], size_of(pen, str(number), NUMBER_PT)
        spot = room.spot(size, at, _CLEAR) or at
        if not _plain(spot, number, dots):
            foot = _edge_of(spot, size, at)
            pen.path((at, foot), STROKES["dimension"])
            room.take_lines([(at, foot)])
        write_centred(pen, str(number), NUMBER_PT, spot, layer=None)
        room.take(around(spot, size))


def _crowd(dots: dict[int, Point], number: int) -> float:
    """Distance to the nearest other dot."""
    return min((math.dist(dots[number], at) for n, at in dots.items() if n != number), default=math.inf)


def _plain(spot: Point, number: int, dots: dict[int, Point]) -> bool:
    """Whether a number is seen to belong to its dot: it is near, and no other dot is nearly as near."""
    own = math.dist(spot, dots[number])
    others = min((math.dist(spot, at) for n, at in dots.items() if n != number), default=math.inf)
    return own <= _LEADER and others - own >= _OWN


def _edge_of(spot: Point, size: Sequence[float], towards: Point) -> Point:
    """Where a line from a number's middle to its dot leaves the number's rectangle."""
    dx, dy = towards[0] - spot[0], towards[1] - spot[1]
    share = min(1.0, *(half / abs(d) for half, d in ((size[0] / 2 + 0.2, dx), (size[1] / 2 + 0.2, dy)) if abs(d) > 1e-9))
    return spot[0] + dx * share, spot[1] + dy * share

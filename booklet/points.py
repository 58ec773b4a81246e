"""The points of a piece that are told by two measures, from the left and from the lower side of the box round it. Millimetres."""

from __future__ import annotations

from collections.abc import Iterable

from booklet.cuts import runs, scored
from booklet.net import Part, Piece
from booklet.plane import Line, Point, bounds, length


def points(part: Part, piece: Piece) -> tuple[Point, ...]:
    """Every corner, slit end and fold end of a piece in mm from its two datum edges, each once.

    The datum edges are the left and the lower side of the box round the piece. Of a rounded corner the corner is told, where
    the straight edges beside it would meet; of any other curve the two ends.
    Sorted from below, then from the left.
    """
    x0, y0, *_ = bounds(piece.outline)
    found = {(told(x - x0), told(y - y0)) for x, y in _ends(part, piece)}
    return tuple(sorted(found, key=lambda p: (p[1], p[0])))


def _ends(part: Part, piece: Piece) -> Iterable[Point]:
    for ring in (piece.outline, *piece.holes):
        found = runs(ring)
        for i, run in enumerate(found):
            before, after = found[i - 1], found[(i + 1) % len(found)]
            if len(run) == 1:
                yield from (end for end, beside in ((run[0][0], before), (run[0][1], after)) if len(beside) == 1)
            else:
                met = meeting(before[-1], after[0]) if len(before) == len(after) == 1 else None
                yield from (run[0][0], run[-1][1]) if met is None else (met,)
    for slit in piece.slits:
        yield from slit
    for line, _ in scored(part, piece):
        yield from line


def meeting(a: Line, b: Line) -> Point | None:
    """Where two edges drawn out would meet; None for nearly parallel ones."""
    (ax, ay), (bx, by) = a
    ux, uy = bx - ax, by - ay
    vx, vy = b[1][0] - b[0][0], b[1][1] - b[0][1]
    cross = ux * vy - uy * vx
    if abs(cross) < 0.05 * length(a) * length(b):
        return None
    run = ((b[0][0] - ax) * vy - (b[0][1] - ay) * vx) / cross
    return ax + run * ux, ay + run * uy


def told(mm: float) -> float:
    """A measure without its float noise; 1/16 in (1.5875 mm) stays what it is, and zero has no sign."""
    return round(mm, 4) + 0.0

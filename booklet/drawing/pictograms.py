"""Pictograms of what can hurt, for the safety notes: plain signs of our own, black on white with the one tint.

Each is drawn in a box of 12 mm from its lower left corner and is 10 mm high or more (CLP, table 1.3: 10 mm at least); lines after ISO 128.
Their names are those of the hazards.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from typing import Final

from booklet.drawing.pen import STROKES, TINT, Pen, box, circle
from booklet.plane import Affine, Point, Ring

BOX: Final = 12.0
"""mm: the box in which a pictogram is drawn, and how large it is printed."""

_THICK, _THIN = STROKES["outline"], STROKES["edge"]
_BLACK, _WHITE = 0.0, 1.0


def knife(pen: Pen) -> None:
    """A blade over a fingertip."""
    _finger(pen, (0.4, 0.5), 7.2)
    _solid(pen, ((4.6, 5.2), (9.6, 9.2), (11.6, 6.7), (6.2, 4.6)))
    pen.path([(4.6, 3.6), (3.6, 4.9)], _THICK)
    _shape(pen, ((9.0, 9.9), (10.6, 11.5), (11.6, 11.5), (11.6, 7.4), (11.2, 7.1)), TINT)


def force(pen: Pen) -> None:
    """A blade that snaps on a thick board."""
    _shape(pen, box(0.4, 0.5, 11.6, 3.4), TINT)
    pen.path([(0.4, 1.95), (11.6, 1.95)], _THIN)
    _solid(pen, ((4.2, 3.4), (3.2, 6.2), (5.6, 5.6)))
    _solid(pen, ((4.3, 7.6), (6.9, 6.9), (8.4, 9.6), (6.4, 11.5)))
    for a, b in (((7.2, 5.6), (8.8, 5.0)), ((2.4, 7.2), (0.9, 7.8)), ((7.0, 4.8), (7.6, 3.9)), ((2.9, 8.3), (2.2, 9.7))):
        pen.path([a, b], _THIN)


def awl(pen: Pen) -> None:
    """An awl upright between two fingertips."""
    _finger(pen, (0.4, 0.5), 4.9)
    _finger(pen, (11.6, 0.5), -4.9)
    _solid(pen, ((6.0, 1.2), (5.55, 6.4), (6.45, 6.4)))
    _shape(pen, ((5.0, 6.4), (4.4, 8.6), (4.6, 10.6), *_arc((6.0, 10.6), 1.0, 150.0, 30.0), (7.4, 10.6), (7.6, 8.6), (7.0, 6.4)), TINT)


def pins(pen: Pen) -> None:
    """Two pins with round heads, crossed."""
    for head, point in (((2.0, 9.9), (10.6, 0.5)), ((10.0, 9.9), (1.4, 0.5))):
        pen.path([head, point], _THICK)
        _solid(pen, circle(head, 1.5, 32))


def edges(pen: Pen) -> None:
    """A sheet of card whose edge meets a finger."""
    with pen.placed(Affine(0.0, 1.45, -1.45, 0.0, 5.4, 0.5)) as turned:
        _finger(turned, (0.0, 0.0), 7.6)
    _shape(pen, ((3.2, 6.6), (11.6, 8.2), (11.6, 3.4), (6.0, 2.2)), _WHITE)
    pen.path([(2.1, 6.9), (3.9, 5.9)], _THIN)
    _solid(pen, ((2.6, 5.4), *_arc((2.6, 4.0), 0.75, 140.0, 400.0)))


def hot_melt(pen: Pen) -> None:
    """A glue gun with a hot drop over a finger."""
    _finger(pen, (11.6, 0.5), -8.4)
    _solid(pen, ((2.5, 6.2), *_arc((2.5, 4.6), 0.75, 140.0, 400.0)))
    _shape(pen, ((2.0, 7.0), (3.0, 7.0), (4.4, 8.0), (7.4, 8.0), (8.2, 5.0), (10.8, 5.0), (11.0, 11.0), (4.4, 11.0), (3.6, 9.2)), TINT)
    for x in (0.7, 4.7):
        pen.path(_wave((x, 4.0), 2.4, 0.35), _THIN)
    pen.path([(11.0, 9.5), (11.6, 9.5)], STROKES["outline"])


def contact(pen: Pen) -> None:
    """A drop of glue that gives off vapour, and a flame."""
    _shape(pen, ((3.2, 6.0), *_arc((3.2, 2.9), 2.4, 140.0, 400.0)), TINT)
    for x in (1.4, 3.2, 5.0):
        pen.path(_wave((x, 7.0), 4.4, 0.4), _THIN)
    _flame(pen, (8.7, 0.5), 1.0)


def white_glue(pen: Pen) -> None:
    """A drop of glue beside an eye."""
    upper, lower = _bow((0.4, 3.6), (11.6, 3.6), 3.1), _bow((11.6, 3.6), (0.4, 3.6), 3.1)
    _shape(pen, (*upper, *lower), _WHITE)
    pen.path(circle((6.0, 3.6), 2.1, 32), _THIN, closed=True)
    _solid(pen, circle((6.0, 3.6), 0.9, 24))
    _shape(pen, ((9.4, 11.5), *_arc((9.4, 8.6), 1.5, 145.0, 395.0)), TINT)


def tape(pen: Pen) -> None:
    """A shoe that slips on a strip."""
    pen.path([(0.4, 0.5), (11.6, 0.5)], _THICK)
    pen.path([(3.0, 1.4), (8.6, 1.4), *_arc((8.6, 2.2), 0.8, -90.0, 150.0)], _THICK)
    with pen.placed(Affine(0.94, 0.34, -0.34, 0.94, 4.0, 2.0)) as tilted:
        shoe: Ring = ((0.0, 0.4), (0.2, 8.2), (3.0, 8.2), (3.2, 4.8), (6.6, 3.4), (7.4, 2.0), (7.2, 0.4))
        _shape(tilted, shoe, TINT)
        tilted.path([(0.0, 1.5), (7.3, 1.5)], _THIN)
    for x, y in ((0.4, 9.4), (0.8, 7.2), (1.2, 5.0)):
        pen.path([(x - 0.0, y), (x + 0.9, y + 0.35)], _THIN)


def weights(pen: Pen) -> None:
    """A weight over a foot."""
    _shape(pen, ((2.8, 6.4), (2.2, 10.2), (9.8, 10.2), (9.2, 6.4)), TINT)
    pen.path([(4.8, 10.2), *_arc((6.0, 10.3), 1.2, 180.0, 0.0, 16), (7.2, 10.2)], _THICK)
    for x in (4.2, 6.0, 7.8):
        pen.path([(x, 5.7), (x, 4.6)], _THIN)
    _shape(pen, ((0.4, 0.5), (0.4, 4.6), (2.4, 4.6), (3.0, 3.2), (8.6, 2.9), *_arc((10.0, 1.9), 1.3, 90.0, -60.0, 12), (10.6, 0.5)), _WHITE)


def candle(pen: Pen) -> None:
    """A candle that burns in a box, crossed out."""
    _open_box(pen)
    _shape(pen, box(5.0, 1.2, 7.0, 5.6), TINT)
    pen.path([(6.0, 5.6), (6.0, 6.3)], _THIN)
    _flame(pen, (6.0, 6.2), 0.5)
    _cross(pen)


def lamp(pen: Pen) -> None:
    """A lamp that shines in a box, crossed out."""
    _open_box(pen)
    _shape(pen, (*_arc((6.0, 5.6), 1.9, -55.0, 235.0), (5.1, 2.6), (6.9, 2.6)), _WHITE)
    _solid(pen, box(5.1, 1.2, 6.9, 2.6))
    for degrees in (20, 55, 90, 125, 160):
        x, y = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        pen.path([(6.0 + 2.6 * x, 5.6 + 2.6 * y), (6.0 + 3.8 * x, 5.6 + 3.8 * y)], _THIN)
    _cross(pen)


def food(pen: Pen) -> None:
    """A fruit in a wrapper, in a box."""
    _open_box(pen)
    side = ((0.0, 1.2), (1.2, 1.9), (2.6, 1.5), (2.7, -0.6), (1.6, -2.3), (0.6, -2.4), (0.0, -2.1))
    other = tuple((-x, y) for x, y in reversed(side[:-1]))
    with pen.placed(Affine(0.9, 0.0, 0.0, 0.9, 6.0, 4.5)) as here:
        _shape(here, _rounded((*side, *other)), TINT)
        here.path([(0.0, 1.2), (0.5, 2.7)], _THICK)
    wrapper = _arc((6.0, 4.7), 3.5, 108.0, 432.0, 48)
    pen.path([(4.2, 11.5), (5.6, 9.2), *wrapper, (6.4, 9.2), (7.8, 11.5)], _THIN)
    pen.path([(5.3, 9.0), (6.7, 9.0)], _THICK)


def magnets(pen: Pen) -> None:
    """A magnet with two poles in front of an open mouth."""
    outer, inner = _arc((3.1, 5.4), 2.7, 90.0, 270.0), _arc((3.1, 5.4), 1.1, 270.0, 90.0)
    _shape(pen, (*outer, (5.4, 2.7), (5.4, 4.3), *inner, (5.4, 6.5), (5.4, 8.1)), TINT)
    for y in (2.7, 6.5):
        _solid(pen, box(4.2, y, 5.4, y + 1.6))
    upper = _rounded(((9.6, 11.5), (8.4, 10.8), (8.0, 9.4), (6.7, 7.9), (7.0, 7.4), (7.9, 7.2), (7.6, 6.5), (8.2, 6.2), (10.6, 5.4)))
    lower = _rounded(((10.6, 5.4), (8.4, 4.2), (7.9, 3.8), (8.4, 3.2), (8.0, 2.2), (8.8, 1.4), (10.4, 1.3), (10.6, 0.5)))
    pen.path([*upper, *lower], _THICK)
    _solid(pen, circle((9.7, 8.9), 0.45, 16))


def small_parts(pen: Pen) -> None:
    """Small parts beside the head of a small child."""
    pen.path(circle((7.4, 7.3), 4.0, 48), _THICK, closed=True)
    pen.path(_arc((7.6, 10.7), 0.7, 200.0, -40.0, 12), _THIN)
    for x in (6.0, 8.8):
        _solid(pen, circle((x, 8.0), 0.45, 16))
    _solid(pen, circle((7.4, 5.4), 0.95, 24))
    _shape(pen, box(0.5, 0.5, 2.7, 2.7), TINT)
    _shape(pen, circle((4.4, 1.5), 1.0, 24), _WHITE)
    _shape(pen, ((0.5, 4.2), (2.7, 4.2), (1.6, 6.1)), TINT)


PICTOGRAMS: Final[Mapping[str, Callable[[Pen], None]]] = {
    "candle": candle, "lamp": lamp, "contact": contact, "magnets": magnets, "small-parts": small_parts, "hot-melt": hot_melt,
    "knife": knife, "force": force, "awl": awl, "pins": pins, "food": food, "white-glue": white_glue, "tape": tape,
    "weights": weights, "edges": edges,
}  # fmt: skip
"""All pictograms by the names of their hazards."""


def draw_pictogram(pen: Pen, name: str, at: Point, side: float = BOX) -> None:
    """One pictogram, its box `side` mm wide with the lower left corner at a point."""
    with pen.placed(Affine(side / BOX, 0.0, 0.0, side / BOX, *at)) as here:
        PICTOGRAMS[name](here)


def _shape(pen: Pen, ring: Ring, grey: float) -> None:
    """An area with its outline."""
    pen.fill([ring], grey)
    pen.path(ring, _THICK, closed=True)


def _solid(pen: Pen, ring: Ring) -> None:
    pen.fill([ring], _BLACK)


def _arc(centre: Point, radius: float, first: float, last: float, sides: int = 24) -> list[Point]:
    """Points of an arc from one direction to another, degrees."""
    steps = (math.radians(first + (last - first) * k / sides) for k in range(sides + 1))
    return [(centre[0] + radius * math.cos(t), centre[1] + radius * math.sin(t)) for t in steps]


def _bow(a: Point, b: Point, rise: float, sides: int = 16) -> list[Point]:
    """Points of a flat arch to the left of the way from a to b; level."""
    way = math.copysign(1.0, b[0] - a[0])
    shares = (k / sides for k in range(sides + 1))
    return [(a[0] + (b[0] - a[0]) * s, a[1] + way * rise * 4 * s * (1 - s)) for s in shares]


def _wave(foot: Point, high: float, swing: float, sides: int = 16) -> list[Point]:
    """Points of a line that rises in one wave."""
    return [(foot[0] + swing * math.sin(math.tau * k / sides), foot[1] + high * k / sides) for k in range(sides + 1)]


def _finger(pen: Pen, root: Point, long: float) -> None:
    """A finger that lies on the table, its root below at a point; `long` mm to the right, or to the left where it is negative."""
    way = math.copysign(1.0, long)
    with pen.placed(Affine(way, 0.0, 0.0, 1.0, *root)) as here:
        reach = abs(long) - 1.5
        here.path([(0.0, 0.0), (reach, 0.0), *_arc((reach, 1.5), 1.5, -90.0, 90.0, 16), (0.0, 3.0)], _THICK)
        here.path([(reach - 0.2, 2.9), *_arc((reach + 0.1, 2.0), 0.6, 190.0, 300.0, 8), (reach + 1.35, 2.0)], _THIN)


def _flame(pen: Pen, foot: Point, size: float) -> None:
    """A flame that stands on a point; 9 mm high at size 1."""
    left = _rounded(((0.0, 0.0), (-2.0, 0.4), (-3.0, 2.4), (-1.9, 4.6), (-0.5, 6.2), (-0.3, 9.0)))
    right = _rounded(((-0.3, 9.0), (1.8, 6.4), (3.0, 3.4), (2.4, 0.6), (0.0, 0.0)))
    inner = (*_rounded(((0.0, 0.6), (-1.4, 1.2), (-0.9, 2.6), (-0.1, 4.4))), *_rounded(((-0.1, 4.4), (1.3, 2.6), (1.2, 1.0), (0.0, 0.6))))
    with pen.placed(Affine(size, 0.0, 0.0, size, *foot)) as here:
        here.fill([(*left, *right), inner], _BLACK)


def _rounded(points: Sequence[Point], times: int = 3) -> tuple[Point, ...]:
    """A line whose corners are cut off again and again until they are round; its ends stay."""
    for _ in range(times):
        quarters = [((3 * a + c) / 4, (3 * b + d) / 4, (a + 3 * c) / 4, (b + 3 * d) / 4) for (a, b), (c, d) in pairwise(points)]
        points = [points[0], *((x, y) for a, b, c, d in quarters for x, y in ((a, b), (c, d))), points[-1]]
    return tuple(points)


def _open_box(pen: Pen) -> None:
    pen.path([(0.6, 8.2), (0.6, 0.5), (11.4, 0.5), (11.4, 8.2)], _THICK)


def _cross(pen: Pen) -> None:
    for a, b in (((0.6, 0.5), (11.4, 11.5)), ((0.6, 11.5), (11.4, 0.5))):
        pen.path([a, b], _THICK)

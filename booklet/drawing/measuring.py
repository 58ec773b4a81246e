"""Small pictures of how a thing is measured between two blocks: an invented mug, seen from above and from the front. Not to scale.

Each is drawn in a space of `SIZE` mm and placed in its box; the corner of the stop lines is at `CORNER`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Final

from booklet.drawing.pen import STROKES, TINT, Pen, arrow, box, circle
from booklet.plane import Affine, Point, Ring

SIZE: Final = (60.0, 50.0)
CORNER: Final = (22.0, 14.0)
DEEP: Final = 8.0
"""How wide the rules are in a picture."""

Picture = Callable[[Pen, Mapping[str, str]], None]


def draw(pen: Pen, number: int, at: tuple[float, float, float, float], words: Mapping[str, str]) -> None:
    """Picture 1 (length), 2 (width) or 3 (height) in a box: least x, least y, greatest x, greatest y."""
    x0, y0, x1, y1 = at
    k = min((x1 - x0) / SIZE[0], (y1 - y0) / SIZE[1])
    left = x0 + (x1 - x0 - k * SIZE[0]) / 2
    with pen.placed(Affine(k, 0.0, 0.0, k, left, y0)) as placed:
        (_length, _width, _height)[number - 1](placed, words)


def _length(pen: Pen, words: Mapping[str, str]) -> None:
    """From above: the handle points along the lower rule, block 2 stands across it."""
    _corner(pen)
    _block(pen, box(11.0, 16.0, 22.0, 46.0), "1")
    _mug_from_above(pen, (32.5, 30.0))
    _block(pen, box(50.5, 9.0, 58.5, 46.0), "2")
    _read(pen, [(44.5, 2.6), (50.2, 8.2)], (43.5, 1.6), "end", words)


def _width(pen: Pen, words: Mapping[str, str]) -> None:
    """From above: the mug stands as before, block 1 below it, block 2 across the other rule."""
    _corner(pen)
    _block(pen, box(24.0, 5.0, 57.0, 14.0), "1")
    _mug_from_above(pen, (34.0, 24.5))
    _block(pen, box(16.5, 35.0, 57.0, 44.0), "2")
    _read(pen, [(8.0, 28.0), (16.0, 34.6)], (12.6, 24.4), "end", words)


def _height(pen: Pen, words: Mapping[str, str]) -> None:
    """From the front: the sheet on the wall, folded on the table; block 2 lies on the mug."""
    foot, left = 8.0, CORNER[0]
    pen.path([(left - DEEP, foot), (left - DEEP, 48.0), (59.0, 48.0), (59.0, foot)], STROKES["dimension"])
    _rule(pen, (left, foot), 1, 40.0)
    pen.path([(left, foot), (left, 48.0)], STROKES["outline"])
    pen.path([(2.0, foot), (60.0, foot)], STROKES["outline"])
    _mug_from_front(pen, (36.0, foot))
    _block(pen, box(16.5, foot + 25.0, 49.0, foot + 32.0), "2")
    _read(pen, [(8.0, foot + 18.0), (16.0, foot + 24.6)], (12.6, foot + 14.4), "end", words)
    pen.text((2.0, foot - 3.8), words["fold"], 7)


def _corner(pen: Pen) -> None:
    x, y = CORNER
    for axis, long in ((0, SIZE[0] - x), (1, SIZE[1] - y - 2.0)):
        _rule(pen, CORNER, axis, long)
    pen.path([(x, y - DEEP), (x, SIZE[1] - 2.0)], STROKES["outline"])
    pen.path([(x - DEEP, y), (SIZE[0], y)], STROKES["outline"])


def _rule(pen: Pen, corner: Point, axis: int, long: float) -> None:
    """A rule with its lines, along x (0) or y (1)."""

    def at(run: float, out: float) -> Point:
        return (corner[0] + run, corner[1] - out) if axis == 0 else (corner[0] - out, corner[1] + run)

    pen.path([at(0.0, DEEP), at(long, DEEP)], STROKES["dimension"])
    for n in range(1, math.floor(long / 2) + 1):
        pen.path([at(2.0 * n, 0.0), at(2.0 * n, 2.6 if n % 5 == 0 else 1.5)], STROKES["dimension"])


def _block(pen: Pen, ring: Ring, name: str) -> None:
    """A block, tinted, as it is what is moved; its number in the middle."""
    pen.fill([ring], TINT)
    pen.path(ring, STROKES["outline"], closed=True)
    (x0, y0), (x1, y1) = ring[0], ring[2]
    pen.text(((x0 + x1) / 2, (y0 + y1) / 2 - 1.3), name, 10, "middle", bold=True)


def _solid(pen: Pen, ring: Sequence[Point]) -> None:
    pen.fill([tuple(ring)], 1.0)
    pen.path(ring, STROKES["edge"], closed=True)


def _mug_from_above(pen: Pen, at: Point) -> None:
    x, y = at
    _solid(pen, [(x + 9.5, y - 1.8), (x + 16.2, y - 1.8), (x + 18.0, y), (x + 16.2, y + 1.8), (x + 9.5, y + 1.8)])
    _solid(pen, circle(at, 10.5))
    pen.path(circle(at, 9.2), STROKES["edge"], closed=True)


def _mug_from_front(pen: Pen, foot: Point) -> None:
    x, y = foot
    for wide, high in ((10.0, 8.5), (7.2, 5.8)):
        turns = [math.radians(a) for a in range(90, -91, -10)]
        _solid(pen, [(x + 9.0, y + 13.0 + high), *((x + 9.0 + wide * math.cos(t), y + 13.0 + high * math.sin(t)) for t in turns)])
    _solid(pen, [(x - 9.0, y), (x + 9.0, y), (x + 10.5, y + 2.0), (x + 10.5, y + 25.0), (x - 10.5, y + 25.0), (x - 10.5, y + 2.0)])


def _read(pen: Pen, way: Sequence[Point], at: Point, anchor: str, words: Mapping[str, str]) -> None:
    arrow(pen, way, head=2.4, stroke=STROKES["edge"])
    pen.text(at, words["read"], 7, anchor)  # type: ignore[arg-type]

"""Signs for steps that are told without words: small pictures of our own for what the hands do, with figures where there is one.

Each is drawn in a box of 10 mm from its lower left corner, in black lines of 0.35 and 0.5 mm and the one tint; lines after ISO 128.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from booklet.drawing.pen import MM_PER_POINT, STROKES, TINT, Pen, arrow, box, circle
from booklet.plane import Affine, Point, Ring

BOX: Final = 10.0
"""mm: the box in which a sign is drawn."""

SIDE: Final = 8.2
"""mm: a sign's side under a picture (chosen by looking: those of a step stand in one row)."""

FIGURE_PT: Final = 7.5
GAP: Final = 0.7
"""mm between a sign and its figures, and half of that between signs."""

CAPITAL: Final = 0.714
"""Height of a figure over its size in the shipped face."""

_THICK, _THIN = STROKES["outline"], STROKES["edge"]


@dataclass(frozen=True, slots=True)
class Sign:
    """A sign by its name, with the figures that stand beside it."""

    name: str
    figures: str = ""


def caution(pen: Pen) -> None:
    """A warning stands in the safety notes: a triangle with a stroke and a dot."""
    pen.path([(0.6, 0.9), (9.4, 0.9), (5.0, 8.9)], _THICK, closed=True)
    pen.fill([((4.62, 3.5), (5.38, 3.5), (5.52, 6.4), (4.48, 6.4))], 0.0)
    pen.fill([box(4.55, 2.0, 5.45, 2.9)], 0.0)


def knife(pen: Pen) -> None:
    """Cut: a blade in its holder on a line."""
    pen.path([(0.6, 0.8), (9.4, 0.8)], _THICK)
    pen.fill([((3.6, 3.6), (5.2, 2.6), (2.2, 0.9))], TINT)
    pen.path([(3.6, 3.6), (5.2, 2.6), (2.2, 0.9)], _THIN, closed=True)
    pen.path([(3.2, 3.9), (5.6, 2.4), (9.3, 7.7), (8.0, 9.2), (6.9, 9.2)], _THIN, closed=True)


def score(pen: Pen) -> None:
    """Score: a blunt point on a dashed line, the card pressed down under it."""
    pen.path([(0.4, 1.6), (3.6, 1.6), (4.6, 0.8), (5.6, 1.6), (9.6, 1.6)], _THICK)
    pen.path([(4.6, 1.2), (4.0, 3.6), (7.4, 9.3), (9.0, 8.4), (5.6, 2.6)], _THIN, closed=True)
    pen.path([(4.0, 3.6), (5.6, 2.6)], _THIN)


def half_cut(pen: Pen) -> None:
    """Half-cut: a blade that goes two thirds through the card, seen from its end."""
    pen.fill([((0.4, 0.6), (9.6, 0.6), (9.6, 3.6), (5.0, 3.6), (4.7, 1.6), (4.4, 3.6), (0.4, 3.6))], TINT)
    pen.path([(0.4, 0.6), (9.6, 0.6), (9.6, 3.6), (5.0, 3.6), (4.7, 1.6), (4.4, 3.6), (0.4, 3.6)], _THIN, closed=True)
    pen.path([(4.7, 1.6), (3.7, 5.4), (3.7, 9.4), (6.3, 9.4), (6.3, 5.4)], _THIN, closed=True)


def pre_crease(pen: Pen) -> None:
    """Bend to and fro: card that is bent past a right angle, with an arrow that has a head at both ends."""
    pen.path([(0.4, 1.2), (3.4, 1.2)], _THICK)
    pen.path([(3.4, 1.2), (9.6, 1.2)], STROKES["ghost"])
    pen.path([(3.4, 1.2), (2.2, 9.4)], _THICK)
    _two_ways(pen, _arc((3.4, 1.2), 5.8, 6.0, 88.0))


def turn_over(pen: Pen) -> None:
    """Turn the work over: a sheet and an arrow that goes round it."""
    ring: Ring = ((0.8, 0.8), (7.0, 0.8), (9.2, 4.0), (3.0, 4.0))
    pen.fill([ring], TINT)
    pen.path(ring, _THIN, closed=True)
    arrow(pen, _arc((4.9, 5.0), 3.6, 170.0, 8.0), 2.6)


def stand(pen: Pen) -> None:
    """Stand it upright: a box on the table, dotted as it lay, and an arrow that goes up."""
    pen.path([(0.4, 0.6), (9.6, 0.6)], _THICK)
    pen.path([(4.6, 4.4), (9.4, 4.4), (9.4, 0.9)], STROKES["ghost"])
    pen.fill([box(0.8, 0.85, 4.6, 6.2)], TINT)
    pen.path(box(0.8, 0.85, 4.6, 6.2), _THIN, closed=True)
    arrow(pen, _arc((4.2, 4.2), 4.8, 12.0, 88.0), 2.6)


def glue(pen: Pen) -> None:
    """Glue: a drop."""
    _drop(pen)


def no_glue(pen: Pen) -> None:
    """No glue: a drop that is crossed out."""
    _drop(pen)
    pen.path([(1.4, 0.9), (8.6, 9.1)], _THICK)
    pen.path([(1.4, 9.1), (8.6, 0.9)], _THICK)


def clock(pen: Pen) -> None:
    """So many seconds: a clock."""
    pen.path(circle((5.0, 4.7), 4.0), _THICK, closed=True)
    pen.fill([(*_arc((5.0, 4.7), 3.4, 90.0, 0.0), (5.0, 4.7))], TINT)
    pen.path([(5.0, 8.0), (5.0, 4.7), (7.4, 4.7)], _THIN)
    pen.path([(4.2, 9.6), (5.8, 9.6)], _THICK)
    pen.path([(5.0, 9.6), (5.0, 8.7)], _THICK)


def press(pen: Pen) -> None:
    """Press: a flat hand over two layers, and an arrow down."""
    pen.path([(0.6, 0.6), (9.4, 0.6)], _THICK)
    pen.path([(0.6, 1.5), (9.4, 1.5)], _THICK)
    hand: Ring = ((0.6, 2.2), (6.6, 2.2), (8.4, 3.6), (9.6, 6.4), (7.8, 7.4), (6.4, 5.2), (5.6, 5.6), (4.6, 5.2), (5.0, 4.0), (0.6, 3.5))
    pen.fill([hand], TINT)
    pen.path(hand, _THIN, closed=True)
    arrow(pen, [(2.6, 9.4), (2.6, 4.4)], 2.6)


def inside_press(pen: Pen) -> None:
    """Press from inside against the table: an arrow down into an open box on a ground line."""
    pen.path([(0.4, 0.6), (9.6, 0.6)], _THICK)
    pen.path([(1.4, 7.4), (1.4, 1.4), (8.6, 1.4), (8.6, 7.4)], _THICK)
    pen.fill([box(2.6, 1.8, 7.4, 3.0)], TINT)
    pen.path(box(2.6, 1.8, 7.4, 3.0), _THIN, closed=True)
    arrow(pen, [(5.0, 9.6), (5.0, 3.2)], 2.6)


def angle(pen: Pen) -> None:
    """Fold until the panel stands at so many degrees: two legs and an arc with a head."""
    pen.path([(9.6, 1.0), (1.0, 1.0), (1.0, 9.4)], _THICK)
    arrow(pen, _arc((1.0, 1.0), 6.0, 4.0, 84.0), 2.6, _THIN)


def fold_flat(pen: Pen) -> None:
    """Fold right over until it lies flat: a hem with an arrow."""
    pen.path([(9.4, 1.0), (1.6, 1.0), *_arc((1.6, 1.7), 0.7, 270.0, 90.0), (6.4, 2.4)], _THICK)
    arrow(pen, _arc((4.6, 2.9), 4.0, 165.0, 25.0), 2.6)


def square(pen: Pen) -> None:
    """Square it: a set square in a corner."""
    pen.path([(0.6, 9.6), (0.6, 0.6), (9.6, 0.6)], _THICK)
    pen.fill([((1.5, 1.5), (8.6, 1.5), (1.5, 8.6)), ((3.0, 3.0), (3.0, 5.0), (5.0, 3.0))], TINT)
    pen.path([(1.5, 1.5), (8.6, 1.5), (1.5, 8.6)], _THIN, closed=True)
    pen.path([(3.0, 3.0), (5.0, 3.0), (3.0, 5.0)], _THIN, closed=True)


def item_in(pen: Pen) -> None:
    """Put the item in: a thing over an open box, and an arrow down."""
    pen.path([(0.8, 5.6), (0.8, 0.6), (9.2, 0.6), (9.2, 5.6)], _THICK)
    pen.fill([box(3.0, 6.6, 7.0, 9.6)], TINT)
    pen.path(box(3.0, 6.6, 7.0, 9.6), _THIN, closed=True)
    arrow(pen, [(5.0, 6.4), (5.0, 1.6)], 2.6)


def lid_on(pen: Pen) -> None:
    """Put the lid on: a lid over a box, and an arrow down."""
    _lid(pen)
    arrow(pen, [(5.0, 8.4), (5.0, 2.2)], 2.6)


def try_on(pen: Pen) -> None:
    """Try it on: a lid over a box, and an arrow that goes down and up again."""
    _lid(pen)
    _two_ways(pen, [(5.0, 8.2), (5.0, 1.2)])


def tuck(pen: Pen) -> None:
    """Tuck in: a panel with its flap that goes down behind a wall."""
    pen.path([(0.8, 0.6), (0.8, 7.0)], _THICK)
    pen.path([(9.2, 0.6), (9.2, 7.0)], _THICK)
    pen.path([(0.8, 7.0), (7.4, 8.8), (8.2, 5.4)], _THIN)
    arrow(pen, [(7.6, 5.6), (7.6, 1.4)], 2.6)


def trial(pen: Pen) -> None:
    """A trial from scrap first: a box on card with a torn edge."""
    torn: Ring = ((0.6, 0.6), (8.8, 0.6), (9.4, 2.4), (8.6, 3.8), (9.5, 5.4), (8.5, 7.0), (9.2, 9.4), (0.6, 9.4))
    pen.fill([torn], TINT)
    pen.path(torn, _THIN, closed=True)
    pen.path([(2.4, 2.2), (6.4, 2.2), (6.4, 6.0), (2.4, 6.0)], _THICK, closed=True)
    pen.path([(2.4, 6.0), (3.6, 7.6), (7.6, 7.6), (7.6, 3.8), (6.4, 2.2)], _THIN)
    pen.path([(6.4, 6.0), (7.6, 7.6)], _THIN)


def repeat(pen: Pen) -> None:
    """So many times in the same way: an arrow that runs round in a ring."""
    arrow(pen, _arc((5.0, 5.0), 3.6, 60.0, -255.0), 2.8)


def edges(pen: Pen) -> None:
    """Lay it on with the edges level: a short layer over a long one, their ends in one line."""
    pen.path(box(0.6, 0.9, 9.0, 2.2), _THIN, closed=True)
    pen.fill([box(4.4, 5.0, 9.0, 6.3)], TINT)
    pen.path(box(4.4, 5.0, 9.0, 6.3), _THIN, closed=True)
    pen.path([(9.0, 0.2), (9.0, 9.4)], STROKES["ghost"])
    arrow(pen, [(5.9, 9.4), (5.9, 2.5)], 2.6)


SIGNS: Final[Mapping[str, Callable[[Pen], None]]] = {
    "caution": caution, "trial": trial, "score": score, "half-cut": half_cut, "knife": knife, "pre-crease": pre_crease,
    "turn-over": turn_over, "stand": stand, "angle": angle, "fold-flat": fold_flat, "edges": edges, "glue": glue, "no-glue": no_glue,
    "press": press, "inside-press": inside_press, "clock": clock, "square": square, "try-on": try_on, "item-in": item_in,
    "tuck": tuck, "lid-on": lid_on, "repeat": repeat,
}  # fmt: skip
"""All signs by name, in the order of a legend."""


def _arc(centre: Point, radius: float, first: float, last: float, sides: int = 24) -> list[Point]:
    """Points of an arc from one direction to another, degrees."""
    steps = (math.radians(first + (last - first) * k / sides) for k in range(sides + 1))
    return [(centre[0] + radius * math.cos(t), centre[1] + radius * math.sin(t)) for t in steps]


def _two_ways(pen: Pen, points: Sequence[Point]) -> None:
    middle = len(points) // 2
    half = ((points[0][0] + points[-1][0]) / 2, (points[0][1] + points[-1][1]) / 2) if len(points) == 2 else points[middle]
    arrow(pen, [half, *points[max(middle, 1) :]], 2.6)
    arrow(pen, [half, *reversed(points[: max(middle, 1)])], 2.6)


def _drop(pen: Pen) -> None:
    bowl = _arc((5.0, 3.7), 3.1, 150.0, 390.0)
    ring = ((5.0, 9.4), *bowl)
    pen.fill([ring], TINT)
    pen.path(ring, _THICK, closed=True)


def _lid(pen: Pen) -> None:
    pen.path([(1.6, 4.4), (1.6, 0.6), (8.4, 0.6), (8.4, 4.4)], _THICK)
    lid: Ring = ((0.6, 6.2), (0.6, 9.4), (9.4, 9.4), (9.4, 6.2), (8.6, 6.2), (8.6, 8.6), (1.4, 8.6), (1.4, 6.2))
    pen.fill([lid], TINT)
    pen.path(lid, _THIN, closed=True)


def width(pen: Pen, sign: Sign) -> float:
    """How wide a sign is with its figures, mm."""
    return SIDE + (GAP + max(pen.width(line, FIGURE_PT) for line in lines(sign)) if sign.figures else 0.0)


def lines(sign: Sign) -> list[str]:
    """The figures of a sign, in lines of three numbers at most."""
    parts = sign.figures.split(", ")
    return [", ".join(parts[k : k + 3]) + ("," if k + 3 < len(parts) else "") for k in range(0, len(parts), 3)]


def rows(pen: Pen, signs: Sequence[Sign], wide: float) -> list[list[Sign]]:
    """Signs in rows that are `wide` mm at most."""
    result: list[list[Sign]] = []
    left = 0.0
    for sign in signs:
        own = width(pen, sign)
        if not result or left < own:
            result.append([])
            left = wide
        result[-1].append(sign)
        left -= own + 2 * GAP
    return result


def height(count: int) -> float:
    """How high so many rows of signs are, mm."""
    return count * (SIDE + 2 * GAP)


def draw_signs(pen: Pen, signs: Sequence[Sign], area: tuple[float, float, float, float]) -> None:
    """Signs in rows from the upper left corner of a box."""
    for n, row in enumerate(rows(pen, signs, area[2] - area[0])):
        x, y = area[0], area[3] - (n + 1) * (SIDE + 2 * GAP) + 2 * GAP
        for sign in row:
            draw_sign(pen, sign, (x, y))
            x += width(pen, sign) + 2 * GAP


def draw_sign(pen: Pen, sign: Sign, at: Point, side: float = SIDE) -> None:
    """One sign with its lower left corner at a point, its figures to the right of it."""
    with pen.placed(Affine(side / BOX, 0.0, 0.0, side / BOX, *at)) as here:
        SIGNS[sign.name](here)
    said = lines(sign) if sign.figures else []
    high = FIGURE_PT * MM_PER_POINT
    for n, line in enumerate(said):
        y = at[1] + side / 2 + (len(said) / 2 - n - 1) * high * 1.15 + high * (1.15 - CAPITAL) / 2
        pen.text((at[0] + side + GAP, y), line, FIGURE_PT)

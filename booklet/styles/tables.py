"""A panel on four walls folded down from it, with a hole: a cradle. Millimetres."""

from __future__ import annotations

import math

from booklet import space
from booklet.net import Bond, Part
from booklet.plane import Ring
from booklet.styles.shapes import Sketch, corner_flaps, corner_partners, flap, glue, rectangle, root_of
from booklet.thickness import Thickness
from booklet.tolerance import COMPUTED


def circle(radius: float, about: tuple[float, float] = (0.0, 0.0), clear: bool = False) -> Ring:
    """A round hole as chords, off the arc by less than 0.05 mm, four quarters alike; `clear`: they lie outside the circle, not in it."""
    count = 4 * max(6, math.ceil(math.pi / 4 / math.acos(1 - COMPUTED / radius)))
    out = radius / math.cos(math.pi / count) if clear else radius
    turns = (space.cos_sin(360.0 * k / count) for k in range(count))
    return tuple((about[0] + out * x, about[1] + out * y) for x, y in turns)


def hole(shape: str, length: float, width: float) -> Ring:
    """The hole for a thing with the middle at the origin: round, or a rectangle for a block."""
    return circle(length / 2, clear=True) if shape == "round" else rectangle(-length / 2, -width / 2, length / 2, width / 2)


def free_in(shape: str, length: float, width: float) -> tuple[float, float]:
    """Length and width of the cuboid that goes through a hole: all of a rectangle, the square in a circle."""
    return (length / math.sqrt(2), width / math.sqrt(2)) if shape == "round" else (length, width)


def table(card: Thickness, length: float, width: float, wall: float, ring: Ring, depth: float, taper: float) -> tuple[Part, list[Bond]]:
    """A panel of length x width, fold to fold, over a hole's ring about its middle, and its four walls; flaps hold the corners.

    The flaps hang on the shorter walls and lie on the longer ones.
    """
    long, short = max(length, width), min(length, width)
    sketch = Sketch("insert", "insert", card)
    middle = long / 2, short / 2
    turned = ring if length >= width else tuple((y, -x) for x, y in ring)
    sketch.panel("top", "cradle-top", rectangle(0, 0, long, short), (tuple((middle[0] + x, middle[1] + y) for x, y in turned),))
    edges = (
        ((long, 0.0), (0.0, 0.0)),
        ((long, short), (long, 0.0)),
        ((0.0, short), (long, short)),
        ((0.0, 0.0), (0.0, short)),
    )
    walls = [flap(edge, wall) for edge in edges]
    for i, outline in enumerate(walls, 1):
        sketch.hinge("top", f"leg-{i}", "leg", outline, root_of(outline), carrier="child")
    corner_flaps(sketch, ("leg-2", "leg-4"), (walls[1], walls[3]), depth, taper)
    facing = space.identity() if length >= width else space.turned((0, 0, 1), 90.0)
    part = sketch.part(facing @ space.moved(-middle[0], middle[1], wall + card.pivot()) @ space.turned((1, 0, 0), 180.0))
    lies_on = corner_partners("leg", (2, 4))
    return part, [bond for name, leg in lies_on.items() for bond in glue(part, name, leg, ("back", "marked"))]

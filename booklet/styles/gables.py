"""A roof of two slopes on the long walls of a ring, with a handle of two halves on its ridge that stand face to face. mm, degrees."""

from __future__ import annotations

import math

from booklet.errors import refuse
from booklet.grid import Grid
from booklet.styles.rings import Span, outward
from booklet.styles.shapes import Sketch, flap, rectangle, root_of, rounded

_SLOPE, _BESIDE, _GRIP = 50.0, 6.0, (75.0, 22.0)
"""Degrees of the roof from upright, at most; mm: beside the hole for the fingers, and that hole (chosen by us)."""


def takes_a_hand(length: float) -> None:
    """Raises Refused where a handle as long as the box, mm, has no room for a hand."""
    least = _GRIP[0] + 2 * _BESIDE
    if length < least:
        raise refuse("item.length", f"the handle would be {length:.0f} mm long, and a hand needs {least:.0f} mm; use a longer item.")


def slant(grid: Grid, width: float, t: float) -> float:
    """Depth of a slope, on the ruler grid: as steep as the roof may be, or a little steeper."""
    return grid.up((width - t) / 2 / math.sin(math.radians(_SLOPE)))


def lean(roof: float, width: float, t: float) -> float:
    """How far a slope of `roof` mm leans in from upright, degrees: the handle's halves then stand a caliper apart, face to face."""
    return math.degrees(math.asin((width - t) / 2 / roof))


def dust_flaps(sketch: Sketch, edges: list[float], spans: list[Span], depth: float, taper: float) -> None:
    """A tapered flap on the top of walls 1 and 3; `edges`, `spans`: as `rings.ring` has them."""
    clear = sketch.card.tuck_narrower
    for number, wall in enumerate((1, 3), 1):
        dust = flap(outward(edges[wall - 1], edges[wall], spans[wall - 1][1], 1.0), depth, (taper, taper), (clear, clear))
        sketch.hinge(f"wall-{wall}", f"dust-flap-{number}", "dust-flap", dust, root_of(dust))


def roof(sketch: Sketch, edges: list[float], y: float, slope: tuple[float, float], handle: float) -> None:
    """The roof on walls 2 and 4, whose tops are at y. `slope`: its slant depth and how far it leans in; `handle`: height of the handle."""
    (deep, angle), (wide, high) = slope, _GRIP
    ridge, top = y + deep, y + deep + handle
    for number, wall in enumerate((2, 4), 1):
        x0, x1 = edges[wall - 1], edges[wall]
        side, half = rectangle(x0, y, x1, ridge), rectangle(x0, ridge, x1, top)
        mid, at = (x0 + x1) / 2, (ridge + top) / 2
        grip = rounded(rectangle(mid - wide / 2, at - high / 2, mid + wide / 2, at + high / 2), dict.fromkeys(range(4), high / 2 - 0.5))
        sketch.hinge(f"wall-{wall}", f"roof-{number}", "roof", side, root_of(side), angle)
        sketch.hinge(f"roof-{number}", f"handle-{number}", "handle", half, root_of(half), -angle, holes=(grip,))

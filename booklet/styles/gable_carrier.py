"""A carton with a roof of two slopes and a handle of two halves on its ridge: the hand that carries it holds it shut."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet.errors import refuse
from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note
from booklet.spec import Option
from booklet.styles.cases import flaps, flaps_glued
from booklet.styles.rings import closed_by_flap, outward, ring, standing
from booklet.styles.shapes import Limits, Sketch, flap, on_grid, rectangle, root_of, rounded
from booklet.thickness import HEM_CREASE_MOST, Bears, Thickness

NAME, SUITS, SHOWN = "gable-carrier", ("gift", "sale", "weight"), Item("block", 120.0, 80.0, 70.0)
OPTIONS = (
    Option("handle", "length", 45.0, 1.75, least_mm=30.0, most_mm=80.0),
    Option("glue_flap", "length", 12.0, 0.5, least_mm=5.0),
    Option("taper", "length", 3.0, 1 / 8),
)
BEARS = Bears(crease=HEM_CREASE_MOST, most=HEM_CREASE_MOST)
_SLOPE, _BESIDE, _GRIP = 50.0, 6.0, (75.0, 22.0)
"""Degrees of the roof from upright, at most; mm: beside the hole for the fingers, and that hole (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """Sizes of the net on the ruler grid, mm, fold to fold; `roof`: the slant depth of a slope."""

    card: Thickness
    length: float
    width: float
    height: float
    roof: float
    handle: float
    glue_flap: float
    taper: float
    inside: Inside
    item: Item
    notes: tuple[Note, ...]

    @property
    def slope(self) -> float:
        """How far a slope leans in from upright, degrees: the handle's halves then stand a caliper apart, face to face."""
        return math.degrees(math.asin((self.width - self.card.t) / 2 / self.roof))


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """The glue flap on a side; upward a base flap and a dust flap."""
    return {"length": 1, "width": 0, "height": 2}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused where the handle has no room for a hand."""
    grid, limits, free = fit.grid, Limits(fit.grid), {axis: card.between(n) for axis, n in layers(options).items()}
    length, width = fit.across(fit.read.length, free["length"]), fit.across(fit.read.width, free["width"])
    height, least = fit.upward(free["height"]), _GRIP[0] + 2 * _BESIDE
    if length < least:
        raise refuse("item.length", f"the handle would be {length:.0f} mm long, and a hand needs {least:.0f} mm; use a longer item.")
    limits.room_for_finger("item.width", width)
    limits.room_for_finger("item.height", height - free["height"])
    roof = grid.up((width - card.t) / 2 / math.sin(math.radians(_SLOPE)))
    edge = limits.shorten("glue_flap", on_grid(grid, options, "glue_flap"), width / 2 - 1.0)
    taper = limits.taper("taper", on_grid(grid, options, "taper"), min(width / 2, height - 4 * card.t))
    room = Inside(length - free["length"], width - free["width"], height - free["height"])
    handle = on_grid(grid, options, "handle")
    return Sizes(card, length, width, height, roof, handle, edge, taper, room, fit.item, tuple(limits.notes))


def net(s: Sizes) -> Net:
    """The carrier; its base is glued, nothing of its top is."""
    t, sketch = s.card.t, Sketch("box", "box", s.card)
    spans = [(t, s.height - t), (0.0, s.height)] * 2
    edges = ring(sketch, [s.width, s.length] * 2, spans, seam=((2 * t, s.height - 2 * t), s.glue_flap, s.taper), root=2)
    flaps(sketch, edges, spans, min(s.width, s.length) / 2, top=False)
    clear, depth = s.card.tuck_narrower, s.length / 2 - 1.0
    for number, wall in enumerate((1, 3), 1):
        dust = flap(outward(edges[wall - 1], edges[wall], s.height - t, 1.0), depth, (s.taper, s.taper), (clear, clear))
        sketch.hinge(f"wall-{wall}", f"dust-flap-{number}", "dust-flap", dust, root_of(dust))
    for number, wall in enumerate((2, 4), 1):
        _slope(sketch, s, number, wall, edges[wall - 1])
    part = sketch.part(standing(sketch, s.width + (s.length + t) / 2, t, s.width / 2))
    bonds = (*closed_by_flap(part), *flaps_glued(part))
    return Net("", NAME, t, s.inside, True, s.item, (part,), bonds, interior="other", notes=s.notes, joint=(s.glue_flap, s.taper))


def _slope(sketch: Sketch, s: Sizes, number: int, wall: int, x0: float) -> None:
    """A slope of the roof with its half of the handle."""
    x1, y, top = x0 + s.length, s.height + s.roof, s.height + s.roof + s.handle
    roof, handle = rectangle(x0, s.height, x1, y), rectangle(x0, y, x1, top)
    (wide, high), mid, at = _GRIP, (x0 + x1) / 2, (y + top) / 2
    grip = rounded(rectangle(mid - wide / 2, at - high / 2, mid + wide / 2, at + high / 2), dict.fromkeys(range(4), high / 2 - 0.5))
    sketch.hinge(f"wall-{wall}", f"roof-{number}", "roof", roof, root_of(roof), s.slope)
    sketch.hinge(f"roof-{number}", f"handle-{number}", "handle", handle, root_of(handle), -s.slope, holes=(grip,))

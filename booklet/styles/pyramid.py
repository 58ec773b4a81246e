"""A pyramid with three to eight sides that closes over the item: the last wall comes when the item is in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet.errors import refuse
from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note
from booklet.spec import Option
from booklet.styles.polygons import Flap, Frustum, best_turn, flap_for, flaps_glued, free_cuboid, pointed, standing, walled
from booklet.styles.shapes import Limits, Sketch, on_grid
from booklet.thickness import Bears, Thickness

NAME = "pyramid"
OPTIONS = (
    Option("sides", "count", default=4, least=3, most=8),
    Option("height", "length", None, None, least_mm=20.0),
    Option("glue_flap", "length", 12.0, 0.5, least_mm=5.0),
    Option("taper", "length", 3.0, 1 / 8),
)
SUITS = ("gift", "display")
SHOWN = Item("round", 34.0, 34.0, 24.0)
BEARS = Bears()


@dataclass(frozen=True, slots=True)
class Sizes:
    """Every size that the net is built from, mm; the foot and the height of a wall are on the ruler grid."""

    card: Thickness
    body: Frustum
    glued: Flap
    inside: Inside
    item: Item
    notes: tuple[Note, ...] = ()


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """A flap on each wall."""
    return {"length": 2, "width": 2, "height": 0}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused where a flap has no room, or the item none under the slope."""
    grid, limits, sides = fit.grid, Limits(fit.grid), int(options["sides"])
    top, turn, asked = fit.upward(0.0), best_turn(fit.read, sides), on_grid(fit.grid, options, "height")
    if asked and asked < _LEAST * top:
        raise refuse(
            "box.height", f"over an item that takes {top:.1f} mm with its headroom a pyramid is at least {_LEAST * top:.0f} mm high."
        )
    body = pointed(fit, card, sides, turn, top, asked)
    flap, taper = on_grid(grid, options, "glue_flap"), on_grid(grid, options, "taper")
    glued = flap_for(limits, "glue_flap", body, card, flap, taper)
    inside = free_cuboid(fit.item, sides, turn, body.free(card, 1, top), top)
    return Sizes(card, body, glued, inside, fit.item, tuple(limits.notes))


_LEAST = 1.25
"""Times the item's height: a lower pyramid would be far too wide (chosen by us)."""


def net(s: Sizes) -> Net:
    """The pyramid."""
    sketch = Sketch("box", "box", s.card)
    sketch.panel("base", "base", s.body.base)
    # the glue flaps of walls that lean in would run into each other: a pyramid is cut from one sheet
    walled(sketch, "base", s.body, s.glued, carrier=None)
    part = sketch.part(standing(s.card, s.body.turn))
    bonds = tuple(flaps_glued(part, s.body.sides))
    joint = (s.glued.depth, min(3.0, s.body.foot / 8))
    return Net("", NAME, s.card.t, s.inside, True, s.item, (part,), bonds, interior="other", notes=s.notes, joint=joint)

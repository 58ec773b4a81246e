"""An open tray or cup with three to eight sides whose walls lean outward, held by flaps inside the walls."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note
from booklet.spec import Option
from booklet.styles.polygons import Flap, Frustum, apothem_for, best_turn, flap_for, flaps_glued, free_cuboid, standing, walled
from booklet.styles.shapes import Limits, Sketch, on_grid
from booklet.thickness import Bears, Thickness

NAME = "tapered-tray"
OPTIONS = (
    Option("sides", "count", default=6, least=3, most=8),
    Option("lean", "length", 10.0, 3 / 8, most_mm=150.0),
    Option("glue_flap", "length", 12.0, 0.5, least_mm=5.0),
    Option("taper", "length", 3.0, 1 / 8),
)
SUITS = ("round", "display", "gift")
SHOWN = Item("round", 70.0, 70.0, 40.0)
BEARS = Bears()


@dataclass(frozen=True, slots=True)
class Sizes:
    """Every size that the net is built from, mm; widths and height of a wall are on the ruler grid."""

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
    """All sizes, rounded here once. Raises Refused where a flap has no room."""
    grid, limits, sides = fit.grid, Limits(fit.grid), int(options["sides"])
    half, rise, turn = math.pi / sides, fit.upward(card.inner), best_turn(fit.read, sides)
    # neighbouring walls stay 160/n of the 360/n degrees apart in the flat that upright ones have: there the flaps lie
    farthest = math.asin(math.tan(math.radians(100.0 / sides)) / math.tan(half))
    lean = on_grid(grid, options, "lean")
    lean = limits.shorten("lean", lean, rise * math.tan(farthest)) if lean else 0.0
    spread = grid.down(2 * lean * math.tan(half))
    slant = grid.up(math.hypot(rise, lean))
    foot = grid.up(2 * apothem_for(fit, sides, turn, -Frustum(sides, 0.0, spread, slant).free(card, 1)) * math.tan(half))
    body = Frustum(sides, foot, foot + spread, slant, turn)
    glued = flap_for(limits, "glue_flap", body, card, on_grid(grid, options, "glue_flap"), on_grid(grid, options, "taper"))
    inside = free_cuboid(fit.item, sides, turn, body.free(card, 1), body.rise - card.inner)
    return Sizes(card, body, glued, inside, fit.item, tuple(limits.notes))


def net(s: Sizes) -> Net:
    """The tray."""
    sketch = Sketch("box", "box", s.card)
    sketch.panel("base", "base", s.body.base)
    walled(sketch, "base", s.body, s.glued)
    part = sketch.part(standing(s.card, s.body.turn))
    bonds = tuple(flaps_glued(part, s.body.sides))
    joint = (s.glued.depth, min(3.0, s.body.foot / 8))
    return Net("", NAME, s.card.t, s.inside, False, s.item, (part,), bonds, interior="other", notes=s.notes, joint=joint)

"""A box with three to twelve sides and a lid: two polygon trays, the one over the other."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet import space
from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note
from booklet.spec import Option
from booklet.styles.polygons import Flap, Frustum, apothem_for, best_turn, flap_for, flaps_glued, free_cuboid, standing, walled
from booklet.styles.shapes import Limits, Sketch, on_grid
from booklet.thickness import Bears, Thickness

NAME = "prism-box"
OPTIONS = (
    Option("sides", "count", default=6, least=3, most=12),
    Option("skirt", "length", 25.0, 1.0, least_mm=8.0),
    Option("glue_flap", "length", 12.0, 0.5, least_mm=5.0),
    Option("corner_flap", "length", 12.0, 0.5, least_mm=5.0),
    Option("taper", "length", 3.0, 1 / 8),
)
SUITS = ("round", "gift", "often")
SHOWN = Item("round", 80.0, 80.0, 60.0)
BEARS = Bears()
_LOOSE = 1.6  # mm: how much more than it must the lid's play may be, over both sides; a mark of 1/16 in


@dataclass(frozen=True, slots=True)
class Sizes:
    """Every size that the net is built from, mm; widths and heights of walls and skirts are on the ruler grid where the lid bears it."""

    card: Thickness
    box: Frustum
    lid: Frustum
    box_flap: Flap
    lid_flap: Flap
    inside: Inside
    item: Item
    notes: tuple[Note, ...] = ()


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """A flap on each wall."""
    return {"length": 2, "width": 2, "height": 0}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused where a flap has no room."""
    grid, limits, sides, taper = fit.grid, Limits(fit.grid), int(options["sides"]), on_grid(fit.grid, options, "taper")
    half, height, turn = math.pi / sides, fit.upward(card.inner), best_turn(fit.read, sides)
    foot = grid.up(2 * apothem_for(fit, sides, turn, card.inner + card.t) * math.tan(half))
    box = Frustum(sides, foot, foot, height, turn)
    skirt = limits.shorten("skirt", on_grid(grid, options, "skirt"), height)
    least = math.tan(half) * card.lid_size(2 * box.apothem, 1, max(2 * box.apothem, height))
    # a mark more on the side of a lid of many sides makes it far wider: then the side follows from the play
    over = grid.up(least) if (grid.up(least) - least) / math.tan(half) <= _LOOSE else least
    lid = Frustum(sides, over, over, skirt, turn)
    box_flap = flap_for(limits, "glue_flap", box, card, on_grid(grid, options, "glue_flap"), taper)
    lid_flap = flap_for(limits, "corner_flap", lid, card, on_grid(grid, options, "corner_flap"), taper)
    inside = free_cuboid(fit.item, sides, turn, box.free(card, 1), height - card.inner)
    return Sizes(card, box, lid, box_flap, lid_flap, inside, fit.item, tuple(limits.notes))


def net(s: Sizes) -> Net:
    """The box and its lid."""
    box, lid = Sketch("box", "box", s.card), Sketch("lid", "lid", s.card)
    box.panel("base", "base", s.box.base)
    walled(box, "base", s.box, s.box_flap)
    lid.panel("lid", "lid", s.lid.base)
    walled(lid, "lid", s.lid, s.lid_flap, "skirt", "child")
    over = space.turned((0, 0, 1), s.lid.turn) @ space.moved(0, 0, s.inside.height + s.card.t / 2) @ space.turned((0, 1, 0), 180.0)
    parts = (box.part(standing(s.card, s.box.turn)), lid.part(over))
    bonds = (*flaps_glued(parts[0], s.box.sides), *flaps_glued(parts[1], s.lid.sides, "skirt"))
    joint = (s.box_flap.depth, min(3.0, s.box.foot / 8))
    return Net("", NAME, s.card.t, s.inside, True, s.item, parts, bonds, interior="other", notes=s.notes, joint=joint)

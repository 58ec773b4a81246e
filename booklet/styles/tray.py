"""An open tray: a base with four walls, its corners glued with flaps inside."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet import space
from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note, Part
from booklet.spec import Option
from booklet.styles.shapes import Limits, Sketch, corner_flaps, corner_partners, flap, glue, on_grid, rectangle, root_of
from booklet.thickness import Bears, Thickness
from booklet.tolerance import FINGER

NAME = "tray"
OPTIONS = (
    Option("glue_flap", "length", 12.0, 0.5, least_mm=5.0),
    Option("taper", "length", 3.0, 1 / 8),
)

SUITS = ("display", "class")
SHOWN = Item("block", 120.0, 90.0, 30.0)
BEARS = Bears()


@dataclass(frozen=True, slots=True)
class Sizes:
    """Every size that the net is built from, fold to fold or fold to rim, mm, on the ruler grid."""

    card: Thickness
    length: float
    width: float
    height: float
    glue_flap: float
    taper: float
    flaps_on_ends: bool
    inside: Inside
    item: Item
    notes: tuple[Note, ...] = ()


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """A flap on each wall: a corner flap, or the glue flap of a wall that is cut off to fit the card."""
    return {"length": 2, "width": 2, "height": 0}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused where a flap has no room."""
    count = layers(options)
    limits = Limits(fit.grid)
    length = fit.across(fit.read.length, card.between(count["length"]))
    width = fit.across(fit.read.width, card.between(count["width"]))
    height = fit.upward(card.inner)
    # the walls on which flaps lie must leave room for a finger between them
    narrow = min(length, width) < FINGER
    limits.room_for_finger("item.length", max(length, width))
    lies_on = min(length, width) if narrow else max(length, width)
    depth = limits.shorten("glue_flap", on_grid(fit.grid, options, "glue_flap"), lies_on / 2 - max(1.0, 2 * card.t))
    taper = limits.taper("taper", on_grid(fit.grid, options, "taper"), height)
    inside = Inside(length - card.between(count["length"]), width - card.between(count["width"]), height - card.inner)
    return Sizes(card, length, width, height, depth, taper, narrow, inside, fit.item, tuple(limits.notes))


def net(s: Sizes) -> Net:
    """The tray."""
    part = _part(s)
    lies_on = corner_partners("wall", (1, 3) if s.flaps_on_ends else (2, 4))
    bonds = tuple(b for name, wall in lies_on.items() for b in glue(part, name, wall, ("back", "marked")))
    return Net("", NAME, s.card.t, s.inside, False, s.item, (part,), bonds, notes=s.notes, joint=(s.glue_flap, s.taper))


def _part(s: Sizes) -> Part:
    """Walls 2 and 4 are the shorter ones; they carry the corner flaps, which lie on walls 1 and 3; in a narrow tray the other way."""
    w, d = max(s.length, s.width), min(s.length, s.width)
    sketch = Sketch("box", "box", s.card)
    sketch.panel("base", "base", rectangle(0, 0, w, d))
    sides = (((w, 0.0), (0.0, 0.0)), ((w, d), (w, 0.0)), ((0.0, d), (w, d)), ((0.0, 0.0), (0.0, d)))
    walls = [flap(edge, s.height) for edge in sides]
    for i, outline in enumerate(walls, 1):
        sketch.hinge("base", f"wall-{i}", "wall", outline, root_of(outline), carrier="parent")
    carriers = (1, 3) if s.flaps_on_ends else (2, 4)
    corner_flaps(sketch, [f"wall-{i}" for i in carriers], [walls[i - 1] for i in carriers], s.glue_flap, s.taper)
    facing = space.turned((0, 0, 1), 90.0) if s.width > s.length else space.identity()
    return sketch.part(facing @ space.moved(-w / 2, -d / 2, -s.card.t / 2))

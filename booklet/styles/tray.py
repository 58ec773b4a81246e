"""An open tray: a base with four walls, its corners glued with flaps inside."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note
from booklet.spec import Option
from booklet.styles import trays
from booklet.styles.shapes import Limits, Sketch
from booklet.thickness import Bears, Thickness

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
    walls = trays.sides(limits, card, (length, width), height, options)
    inside = Inside(length - card.between(count["length"]), width - card.between(count["width"]), height - card.inner)
    return Sizes(card, length, width, height, walls.flap, walls.taper, walls.on_ends, inside, fit.item, tuple(limits.notes))


def net(s: Sizes) -> Net:
    """The tray."""
    walls = trays.Sides(
        s.card, max(s.length, s.width), min(s.length, s.width), s.width > s.length, s.height, s.glue_flap, s.taper, s.flaps_on_ends
    )
    sketch = Sketch("box", "box", s.card)
    trays.raised(sketch, walls, ("base", "wall"), "parent")
    part = sketch.part(trays.standing(walls))
    bonds = trays.held(part, "wall", walls.carriers)
    return Net("", NAME, s.card.t, s.inside, False, s.item, (part,), bonds, notes=s.notes, joint=(s.glue_flap, s.taper))

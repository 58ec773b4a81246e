"""An open tray without glue: two double walls rolled over, their feet in slots of the base, hold the end walls by their lock flaps."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet import space
from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note
from booklet.styles import double_walls as walls
from booklet.styles.shapes import Limits, Sketch
from booklet.thickness import Bears, Thickness

NAME = "roll-wall-tray"
OPTIONS = (walls.RIM, walls.LOCK_FLAP)
SUITS = ("no-glue", "display", "often", "class")
SHOWN = Item("block", 120.0, 90.0, 30.0)
BEARS = Bears()


@dataclass(frozen=True, slots=True)
class Sizes:
    """The rolled walls lie along the item's longer side, high ones along the shorter; `turned` where that is its width."""

    roll: walls.Roll
    turned: bool
    inside: Inside
    item: Item
    notes: tuple[Note, ...] = ()


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """Along: a glue flap on each end wall, where one is cut off to fit the card; across: the inner walls; upward: the rim."""
    return {"length": 2, "width": 2, "height": 1}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused where a rim, foot or flap has no room."""
    limits = Limits(fit.grid)
    rim = walls.rim_width(fit.grid, card, options)
    taken = card.between(2), walls.takes(card, rim)
    height = fit.upward(card.inner + card.t)
    along, across = max(fit.read.length, fit.read.width), min(fit.read.length, fit.read.width)
    if height > walls.highest(card, rim, fit.across(across, taken[1])):
        along, across = across, along
    long, wide = fit.across(along, taken[0]), fit.across(across, taken[1])
    roll = walls.roll(fit.grid, card, long, wide, height, options, limits)
    free = long - taken[0], wide - taken[1]
    turned = along != fit.read.length
    inside = Inside(*(free[::-1] if turned else free), roll.low - card.inner)
    return Sizes(roll, turned, inside, fit.item, tuple(limits.notes))


def net(s: Sizes) -> Net:
    """The tray."""
    r = s.roll
    sketch = Sketch("box", "box", r.card)
    walls.base(sketch, r)
    walls.end_wall(sketch, r, "end-wall-1", "end-wall", True, r.low, (1, 2))
    walls.end_wall(sketch, r, "end-wall-2", "end-wall", False, r.low, (3, 4))
    walls.rolled(sketch, r)
    facing = space.turned((0, 0, 1), 90.0) if s.turned else space.identity()
    part = sketch.part(facing @ space.moved(-r.long / 2, -r.across / 2, -r.card.t / 2))
    return Net("", NAME, r.card.t, s.inside, False, s.item, (part,), (), notes=s.notes)

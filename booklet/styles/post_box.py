"""A roll-end tuck-front box for the post, without glue: rolled side walls, a lid on the back wall with ears and a tuck in front."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet import space
from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note
from booklet.styles import double_walls as walls
from booklet.styles import rim_lids
from booklet.styles.shapes import Limits, Sketch
from booklet.thickness import Bears, Thickness

NAME = "post-box"
OPTIONS = (walls.RIM, walls.LOCK_FLAP, *rim_lids.OPTIONS)
SUITS = ("no-glue", "post", "flat", "sale")
SHOWN = Item("block", 200.0, 140.0, 50.0)
BEARS = Bears()


@dataclass(frozen=True, slots=True)
class Sizes:
    """The rolled walls are the ends of the item's longer side; `turned` where that is its width."""

    roll: walls.Roll
    lid: rim_lids.RimLid
    turned: bool
    inside: Inside
    item: Item
    notes: tuple[Note, ...] = ()


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """Along: the inner walls and the ears beside them; across: the tuck, and a glue flap where a wall is cut off; upward: the rim."""
    return {"length": 4, "width": 2, "height": 1}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused where a rim, foot or flap has no room."""
    grid, limits = fit.grid, Limits(fit.grid)
    front, side = max(fit.read.length, fit.read.width), min(fit.read.length, fit.read.width)
    taken = rim_lids.takes(card, walls.rim_width(grid, card, options)), card.between(2)
    across, long, height = fit.across(front, taken[0]), fit.across(side, taken[1]), fit.upward(card.inner)
    roll = walls.roll(grid, card, long, across, height, options, limits, rim_ends=card.inner + 0.5)
    free, turned = (across - taken[0], long - taken[1]), fit.read.width > fit.read.length
    inside = Inside(*(free[::-1] if turned else free), height - card.inner)
    return Sizes(roll, rim_lids.rim_lid(grid, roll, options, limits), turned, inside, fit.item, tuple(limits.notes))


def net(s: Sizes) -> Net:
    """The box: wall 1 is the front, wall 2 the back; the lid lies on the rims."""
    r = s.roll
    sketch = Sketch("box", "box", r.card)
    walls.base(sketch, r)
    walls.end_wall(sketch, r, "wall-1", "wall", True, r.height, (1, 2))
    back = walls.end_wall(sketch, r, "wall-2", "wall", False, r.height + r.card.t, (3, 4))
    walls.rolled(sketch, r)
    rim_lids.lid(sketch, r, s.lid, "wall-2", back[2][0])
    facing = space.turned((0, 0, 1), 0.0 if s.turned else -90.0)
    part = sketch.part(facing @ space.moved(-r.long / 2, -r.across / 2, -r.card.t / 2))
    return Net("", NAME, r.card.t, s.inside, True, s.item, (part,), (), notes=s.notes)

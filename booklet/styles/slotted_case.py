"""The slotted case: four panels in a ring, at each end two inner flaps and two outer flaps that meet in the middle."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet import space
from booklet.errors import refuse
from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note
from booklet.spec import Option
from booklet.styles import cases
from booklet.styles.rings import closed_by_flap, ring, standing
from booklet.styles.shapes import Limits, Sketch, on_grid
from booklet.thickness import Bears, Thickness
from booklet.tolerance import FINGER

NAME = "slotted-case"
OPTIONS = (Option("glue_flap", "length", None, None, least_mm=5.0), Option("taper", "length", 3.0, 1 / 8))
SUITS = ("post", "weight", "stack", "flat")
SHOWN = Item("block", 180.0, 120.0, 110.0)
# in fluted board a crease is crushed, so its axis lies in the mid-surface whatever the caliper
BEARS = Bears(crease=3.0, most=3.0)


@dataclass(frozen=True, slots=True)
class Sizes:
    """Sizes of the net on the ruler grid, mm: `sides` of the opening, long and short, and `height`, score to score on the long panels."""

    card: Thickness
    sides: tuple[float, float]
    turned: bool
    height: float
    glue_flap: float
    taper: float
    inside: Inside
    item: Item
    notes: tuple[Note, ...] = ()


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """On the longer axis a glue flap on each short panel, that of the ring and one where it is cut; an inner flap at each end."""
    return {"length": 2, "width": 2, "height": 2}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused where no finger has room."""
    grid, limits, turned = fit.grid, Limits(fit.grid), fit.read.width > fit.read.length
    free = [card.between(n) for n in (0 if turned else 2, 2 if turned else 0, layers(options)["height"])]
    length, width, height = fit.across(fit.read.length, free[0]), fit.across(fit.read.width, free[1]), fit.upward(free[2])
    if height - free[2] < FINGER:
        why = f"the flaps would lie {height - free[2]:.1f} mm apart, and a finger needs {FINGER:g} mm to press the glue; "
        raise refuse("item.height", why + 'use a higher item or more headroom, or write style = "tray".')
    # a joint in fluted board is twice as wide (common practice, no source)
    asked = on_grid(grid, options, "glue_flap", grid.default(15.0, 5 / 8) * (2 if card.t > 1.0 else 1))
    depth = limits.shorten("glue_flap", asked, min(length, width) / 2)
    taper, inside = limits.taper("taper", on_grid(grid, options, "taper"), height - 4 * card.t), (length, width, height)
    sides, room = (max(length, width), min(length, width)), Inside(*(f - less for f, less in zip(inside, free, strict=True)))
    return Sizes(card, sides, turned, height, depth, taper, room, fit.item, tuple(limits.notes))


def net(s: Sizes) -> Net:
    """The case: panels 1 and 3 are the short ones, 2 and 4 the long ones; outer flaps lie a caliper further out than the inner ones."""
    t, (long, short), sketch = s.card.t, s.sides, Sketch("box", "box", s.card)
    spans = [(t, s.height - t), (0.0, s.height)] * 2
    edges = ring(sketch, [short, long] * 2, spans, root=2, seam=((2 * t, s.height - 2 * t), s.glue_flap, s.taper))
    for top, first in ((True, 1), (False, 3)):
        cases.flaps(sketch, edges, spans, short / 2, top, first)
    facing = space.turned((0, 0, 1), 90.0) if s.turned else space.identity()
    part = sketch.part(facing @ standing(sketch, short + long / 2, t, short / 2))
    bonds = (*closed_by_flap(part), *cases.flaps_glued(part, 1), *cases.flaps_glued(part, 3))
    return Net("", NAME, t, s.inside, True, s.item, (part,), bonds, notes=s.notes, joint=(s.glue_flap, s.taper))

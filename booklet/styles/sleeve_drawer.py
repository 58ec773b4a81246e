"""An open tray that slides in a sleeve: four walls glued to a ring, open at both ends."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet import space
from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note, Part
from booklet.styles import rings, trays
from booklet.styles.shapes import Limits, Sketch, on_grid
from booklet.thickness import Bears, Thickness

NAME = "sleeve-drawer"
OPTIONS = (trays.NOTCH, *trays.FLAPS)
SUITS = ("gift", "often", "sale")
SHOWN = Item("block", 130.0, 80.0, 35.0)
BEARS = Bears(most=1.5)
"""In thicker card the room for glue flaps leaves too wide a slit over the front of a low drawer (chosen by us)."""
_FRONT = 2


@dataclass(frozen=True, slots=True)
class Sizes:
    """Every size that the net is built from, mm, on the ruler grid. `notch`: radius of the notch in the drawer's front, 0 for none.

    `sleeve`: its width and height fold to fold, and its length; `seam`: depth of its glue flap.
    """

    drawer: trays.Sides
    notch: float
    sleeve: tuple[float, float, float]
    seam: float
    inside: Inside
    item: Item
    notes: tuple[Note, ...]


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """Those of a tray; the sleeve's flaps lie outside of it, on the sleeve's base and top."""
    return trays.LAYERS


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once: the play of a lid, across and upward (common practice, no source). Raises Refused."""
    limits, grid, across = Limits(fit.grid), fit.grid, trays.across(fit, card)
    height, narrow, short, long = fit.upward(card.inner), trays.is_narrow(across), min(across), max(across)
    room = short / 2 - max(1.0, 2 * card.t)
    # flaps that lie on the front leave its middle to the notch, and the notch is no way out for what is inside
    notch = trays.notch(limits, options, min(long / 8, room - 4.0 if narrow else short / 2 - trays.BESIDE), height)
    drawer = trays.sides(limits, card, across, height, options, room - notch if narrow else room)
    # a tray's outer height is fold to rim and the outer skin, a box's fold to fold and two of them
    wide, tall = grid.up(card.lid_size(short, 0, long)), grid.up(card.lid_size(height - card.outer, 1, long))
    seam = min(on_grid(grid, options, "glue_flap"), grid.down(room))
    sleeve = wide, tall, grid.nearest(long + 2 * card.outer)
    return Sizes(drawer, notch, sleeve, seam, trays.inside(card, across, height - card.inner), fit.item, tuple(limits.notes))


def net(s: Sizes) -> Net:
    """The drawer and its sleeve. The hollow is more than a cuboid: there is play over the rim, and the front has its notch."""
    card, sketch = s.drawer.card, Sketch("drawer", "drawer", s.drawer.card)
    trays.raised(sketch, s.drawer, ("base", "wall"), "parent", {_FRONT: s.notch})
    parts = sketch.part(trays.standing(s.drawer)), _sleeve(s, card)
    bonds, joint = (*trays.held(parts[0], "wall", s.drawer.carriers), *rings.closed_by_flap(parts[1])), (s.drawer.flap, s.drawer.taper)
    return Net("", NAME, card.t, s.inside, True, s.item, parts, bonds, interior="other", notes=s.notes, joint=joint)


def _sleeve(s: Sizes, card: Thickness) -> Part:
    """Wall 1 is the base, with the seam on it, 3 the top; the root is wall 2, at one side. The drawer lies on the base."""
    wide, tall, deep = s.sleeve
    sketch, ends = Sketch("sleeve", "sleeve", card), (0.0, deep)
    edges = rings.ring(sketch, [wide, tall] * 2, [ends] * 4, root=2, seam=(ends, s.seam, s.drawer.taper))
    along = space.turned((0, 1, 0), -90.0) @ space.turned((1, 0, 0), -90.0) @ space.moved(-edges[1], -deep / 2)
    stand = space.moved(0, -(wide / 2 + card.pivot()), -(2 + card.strips) * card.t - card.inner)
    return sketch.part(s.drawer.facing @ stand @ along)

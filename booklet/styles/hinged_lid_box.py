"""A box in one piece: a tray whose back wall carries the lid by a fold; the lid's three skirts go over the other walls."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note
from booklet.spec import Option
from booklet.styles import trays
from booklet.styles.shapes import Limits, Sketch, glue, on_grid
from booklet.thickness import Bears, Thickness, lid_slip

NAME = "hinged-lid-box"
OPTIONS = (Option("skirt", "length", 25.0, 1.0, least_mm=5.0), *trays.FLAPS)
SUITS = ("often", "display", "class")
SHOWN = Item("block", 120.0, 80.0, 50.0)
BEARS = Bears()


@dataclass(frozen=True, slots=True)
class Sizes:
    """Every size that the net is built from, mm, on the ruler grid; only front and sides are lower than `back`, by calipers.

    `lid`: its size along the hinge and across it; `lid_taper`: that of its corner flaps.
    """

    tray: trays.Sides
    back: float
    lid: tuple[float, float]
    skirt: float
    lid_taper: float
    inside: Inside
    item: Item
    notes: tuple[Note, ...]


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """Those of a tray, and upward the glue flap of a lid that is cut off from its skirts or from the back wall."""
    return {**trays.LAYERS, "height": 1}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused where a flap has no room."""
    limits, across, low = Limits(fit.grid), trays.across(fit, card), 2 * card.t
    back = fit.upward(card.inner + low)
    # front and sides stop under the fold of the lid and under a glue flap on it; deeper flaps would lie on the skirts in the flat
    tray = trays.sides(limits, card, across, back - low, options, back)
    skirt = limits.shorten("skirt", on_grid(fit.grid, options, "skirt"), tray.height)
    taper = limits.taper("taper", tray.taper, skirt)
    trays.holds(card, skirt, taper, "box.skirt")
    longest = max(tray.long, back)
    # the hinge holds the back: all the play is at the front, over the wall, what covers it, and the corner flaps
    deep = tray.short + (2 + card.strips) * card.t + card.covering + lid_slip(longest)
    lid = fit.grid.up(card.lid_size(tray.long, 0, longest)), fit.grid.up(deep)
    inside = trays.inside(card, across, tray.height - card.inner)
    return Sizes(tray, back, lid, skirt, taper, inside, fit.item, tuple(limits.notes))


def net(s: Sizes) -> Net:
    """The box; in the flat its lid is open."""
    card, sketch = s.tray.card, Sketch("box", "box", s.tray.card)
    trays.raised(sketch, s.tray, ("base", "wall"), "parent", heights={3: s.back})
    corners = trays.hinged_lid(sketch, s.tray, s.lid, s.back, s.skirt, s.lid_taper)
    part = sketch.part(trays.standing(s.tray))
    lid = (bond for name, skirt in corners for bond in glue(part, name, skirt, ("back", "marked")))
    bonds = *trays.held(part, "wall", s.tray.carriers), *lid
    return Net("", NAME, card.t, s.inside, True, s.item, (part,), bonds, notes=s.notes, joint=(s.tray.flap, s.tray.taper))

"""A carton with a roof of two slopes and a handle of two halves on its ridge: the hand that carries it holds it shut."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note
from booklet.spec import Option
from booklet.styles import cases, gables
from booklet.styles.rings import closed_by_flap, ring, standing
from booklet.styles.shapes import Limits, Sketch, on_grid
from booklet.thickness import HEM_CREASE_MOST, Bears, Thickness

NAME, SUITS, SHOWN = "gable-carrier", ("gift", "sale", "weight"), Item("block", 120.0, 80.0, 70.0)
OPTIONS = (
    Option("handle", "length", 45.0, 1.75, least_mm=30.0, most_mm=80.0),
    Option("glue_flap", "length", 12.0, 0.5, least_mm=5.0),
    Option("taper", "length", 3.0, 1 / 8),
)
BEARS = Bears(crease=HEM_CREASE_MOST, most=HEM_CREASE_MOST)


@dataclass(frozen=True, slots=True)
class Sizes:
    """Sizes of the net on the ruler grid, mm, fold to fold; `roof`: the slant depth of a slope."""

    card: Thickness
    length: float
    width: float
    height: float
    roof: float
    handle: float
    glue_flap: float
    taper: float
    inside: Inside
    item: Item
    notes: tuple[Note, ...]

    @property
    def slope(self) -> float:
        """How far a slope leans in from upright, degrees: the handle's halves then stand a caliper apart, face to face."""
        return gables.lean(self.roof, self.width, self.card.t)


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """A glue flap on each side, that of the ring and one where it is cut; upward a base flap and a dust flap."""
    return {"length": 2, "width": 0, "height": 2}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused where the handle has no room for a hand."""
    grid, limits, free = fit.grid, Limits(fit.grid), {axis: card.between(n) for axis, n in layers(options).items()}
    length, width = fit.across(fit.read.length, free["length"]), fit.across(fit.read.width, free["width"])
    height = fit.upward(free["height"])
    gables.takes_a_hand(length)
    limits.room_for_finger("item.width", width)
    limits.room_for_finger("item.height", height - free["height"])
    roof = gables.slant(grid, width, card.t)
    edge = limits.shorten("glue_flap", on_grid(grid, options, "glue_flap"), width / 2 - 1.0)
    taper = limits.taper("taper", on_grid(grid, options, "taper"), min(width / 2, height - 4 * card.t))
    room = Inside(length - free["length"], width - free["width"], height - free["height"])
    handle = on_grid(grid, options, "handle")
    return Sizes(card, length, width, height, roof, handle, edge, taper, room, fit.item, tuple(limits.notes))


def net(s: Sizes) -> Net:
    """The carrier; its base is glued, nothing of its top is."""
    t, sketch = s.card.t, Sketch("box", "box", s.card)
    spans = [(t, s.height - t), (0.0, s.height)] * 2
    edges = ring(sketch, [s.width, s.length] * 2, spans, seam=((2 * t, s.height - 2 * t), s.glue_flap, s.taper), root=2)
    cases.flaps(sketch, edges, spans, min(s.width, s.length) / 2, top=False)
    gables.dust_flaps(sketch, edges, spans, s.length / 2 - 1.0, s.taper)
    gables.roof(sketch, edges, s.height, (s.roof, s.slope), s.handle)
    part = sketch.part(standing(sketch, s.width + s.length / 2, t, s.width / 2))
    bonds = (*closed_by_flap(part), *cases.flaps_glued(part))
    return Net("", NAME, t, s.inside, True, s.item, (part,), bonds, interior="other", notes=s.notes, joint=(s.glue_flap, s.taper))

"""A bag of card with gussets at its sides, a base glued as a paper bag's is, a hem, and holes for handles; open on top."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet import space
from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note
from booklet.spec import Option
from booklet.styles.gussets import SPARE, Tube, base_glued, based, hemmed, hems_glued, punched, tube
from booklet.styles.rings import standing
from booklet.styles.shapes import Limits, Sketch, glue, on_grid
from booklet.thickness import HEM_CREASE_MOST, Bears, Thickness

NAME, SUITS, SHOWN = "gift-bag", ("gift", "sale", "flat"), Item("block", 110.0, 70.0, 120.0)
OPTIONS = (
    Option("hem", "length", 25.0, 1.0),
    Option("hole", "length", 5.0, 3 / 16, most_mm=10.0),
    Option("lap", "length", 15.0, 5 / 8, least_mm=6.0),
    Option("base_flap", "length", None, None, least_mm=6.0),
    Option("glue_flap", "length", 12.0, 0.5, least_mm=5.0),
    Option("taper", "length", 3.0, 1 / 8),
)
BEARS = Bears(crease=HEM_CREASE_MOST, most=HEM_CREASE_MOST)


@dataclass(frozen=True, slots=True)
class Sizes:
    """Every size that the net is built from, mm, on the ruler grid. `over`: height over the headroom, for hem and holes."""

    card: Thickness
    body: Tube
    base: float
    base_flap: float
    hem: float
    over: float
    hole: float
    glue_flap: float
    taper: float
    inside: Inside
    item: Item
    notes: tuple[Note, ...] = ()


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """A glue flap inside each wall, and the hem on which it lies; two further layers of the base."""
    across = 2 * (1 + bool(options["hem"]))
    return {"length": across, "width": across, "height": 2}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused where a flap has no room."""
    grid, limits, floor = fit.grid, Limits(fit.grid), card.inner + 2 * card.t
    free = card.between(layers(options)["length"])
    length, width = fit.across(fit.read.length, free), fit.across(fit.read.width, free)
    limits.room_for_finger("item.width", min(length, width))
    hem, most = on_grid(grid, options, "hem"), length / 2 - 1.0
    height = fit.upward(floor) + (over := max(hem, grid.up(SPARE)))
    base = min(grid.up((width + on_grid(grid, options, "lap")) / 2), grid.meeting_wall(width, card.t))
    side = limits.shorten("base_flap", on_grid(grid, options, "base_flap", grid.down(min(most, width / 2))), most)
    edge = limits.shorten("glue_flap", on_grid(grid, options, "glue_flap"), most)
    taper = limits.taper("taper", on_grid(grid, options, "taper"), width / 2)
    inside = Inside(length - free, width - free, height - over - floor)
    body, hole = Tube(length, width, height), on_grid(grid, options, "hole")
    return Sizes(card, body, base, side, hem, over, hole, edge, taper, inside, fit.item, tuple(limits.notes))


def net(s: Sizes) -> Net:
    """The bag. The holes go through walls and hems."""
    sketch, body, t = Sketch("box", "box", s.card), s.body, s.card.t
    tube(sketch, body, (2 * t, body.height - s.hem), s.glue_flap, s.taper, punched(body, body.height - s.over / 2, s.hole))
    based(sketch, body, s.base, s.base_flap, s.taper)
    hemmed(sketch, body, s.hem, s.taper, punched(body, body.height + s.over / 2, s.hole))
    part = sketch.part(space.moved(0, 0, -2 * t) @ standing(sketch, sum(body.across(3)) / 2, 0.0, body.width / 2))
    bonds = (*hems_glued(part), *glue(part, "glue-flap-1", "back", ("back", "marked")), *base_glued(part))
    return Net("", NAME, t, s.inside, False, s.item, (part,), bonds, notes=s.notes, joint=(s.glue_flap, s.taper))

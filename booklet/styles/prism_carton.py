"""A carton with three to eight sides: a ring of walls with a glue flap, closed at both ends by a tucked panel over dust flaps."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from booklet import space
from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note
from booklet.spec import Option
from booklet.styles.polygon_ends import End, closed_end, counted, wrap
from booklet.styles.polygons import apothem_for, best_turn, free_cuboid
from booklet.styles.rings import closed_by_flap, standing
from booklet.styles.shapes import Limits, Sketch, on_grid
from booklet.thickness import Bears, Thickness

NAME = "prism-carton"
OPTIONS = (
    Option("sides", "count", default=6, least=3, most=8),
    Option("tuck", "length", 15.0, 5 / 8, least_mm=8.0, most_mm=40.0),
    Option("dust_flap", "length", 12.0, 0.5, least_mm=5.0),
    Option("glue_flap", "length", 12.0, 0.5, least_mm=5.0),
    Option("taper", "length", 3.0, 1 / 8),
    Option("corner_radius", "length", 4.0, 1 / 8, most_mm=15.0),
)
SUITS = ("round", "sale", "flat")
SHOWN = Item("round", 70.0, 70.0, 90.0)
BEARS = Bears()


@dataclass(frozen=True, slots=True)
class Sizes:
    """Every size that the net is built from, mm; widths and heights of walls are on the ruler grid."""

    end: End
    height: float
    turn: float
    glue_flap: float
    taper: float
    inside: Inside
    item: Item
    notes: tuple[Note, ...] = ()


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """A glue flap, a tuck or nothing on each wall; a dust flap at each end."""
    return {"length": 2, "width": 2, "height": 2}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused where a flap has no room."""
    grid, limits, sides, t = fit.grid, Limits(fit.grid), int(options["sides"]), card.t
    turn, height = best_turn(fit.read, sides), fit.upward(card.between(2))
    least = apothem_for(fit, sides, turn, card.inner + t)
    end = End(sides, grid.up(2 * least * math.tan(math.pi / sides)), card)
    while end.tucked_at - t < least - card.inner - t:
        end = replace(end, side=grid.up(end.side + grid.mark))
    taper = limits.taper("taper", on_grid(grid, options, "taper"), height)
    end = replace(end, tuck=limits.shorten("tuck", on_grid(grid, options, "tuck"), end.most_tuck(height, taper)))
    end = replace(end, dust_flap=limits.shorten("dust_flap", on_grid(grid, options, "dust_flap"), end.most_dust()))
    edge = limits.shorten("glue_flap", on_grid(grid, options, "glue_flap"), end.side / 2 - 1.0)
    end = replace(end, radius=min(on_grid(grid, options, "corner_radius"), end.tuck / 2, end.corner_tuck / 4))
    inside = free_cuboid(fit.item, sides, turn, end.apothem - card.inner - t, height - card.between(2))
    return Sizes(end, height, turn, edge, taper, inside, fit.item, tuple(limits.notes))


def net(s: Sizes) -> Net:
    """The carton, its root the wall that the closing panels hang on."""
    sketch = Sketch("box", "box", s.end.card)
    edges = wrap(sketch, s.end, s.height, s.glue_flap, s.taper)
    closed_end(sketch, s.end, "top", edges, s.height, 1.0)
    closed_end(sketch, s.end, "bottom", edges, 0.0, -1.0)
    part = sketch.part(space.turned((0, 0, 1), s.turn) @ standing(sketch, (edges[-2] + edges[-1]) / 2, s.end.card.t, s.end.apothem))
    part = counted(part, s.end)
    bonds, joint = tuple(closed_by_flap(part)), (s.glue_flap, s.taper)
    return Net("", NAME, s.end.card.t, s.inside, True, s.item, (part,), bonds, interior="other", notes=s.notes, joint=joint)

"""A table with a hole: a panel on four glued legs that stands in a box and holds a thing upright, which stands on the floor in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from booklet.errors import refuse
from booklet.fit import Fit
from booklet.grid import Grid
from booklet.net import Inside, Item, Net, Note
from booklet.spec import Option
from booklet.styles.shapes import Limits, on_grid
from booklet.styles.tables import free_in, hole, table
from booklet.thickness import Bears, Thickness

NAME = "cradle"
OPTIONS = (
    Option("height", "length", None, None, least_mm=15.0),
    Option("rim", "length", 12.0, 1 / 2, least_mm=8.0, most_mm=100.0),
    Option("glue_flap", "length", 12.0, 1 / 2, least_mm=5.0),
    Option("taper", "length", 3.0, 1 / 8),
)
SUITS, SHOWN = ("round", "weight", "insert"), Item("round", 70.0, 70.0, 110.0)
BEARS = Bears()
SHARE, OVER = 2 / 3, 5.0
"""A thing is held at two thirds of its height, and stands out of the hole by 5 mm at least (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """Every size that the net is built from, fold to fold or fold to rim, mm, on the ruler grid; `hole`: its length and width."""

    card: Thickness
    hole: tuple[float, float]
    length: float
    width: float
    wall: float
    glue_flap: float
    taper: float
    free: float
    item: Item
    notes: tuple[Note, ...] = ()

    @property
    def outside(self) -> tuple[float, float, float]:
        """Length, width and height over the card, mm."""
        return self.length + 2 * self.card.outer, self.width + 2 * self.card.outer, self.wall + self.card.outer

    def fitted(self, grid: Grid, length: float, width: float) -> Sizes:
        """The same with walls that take up a length and a width in mm."""
        return replace(self, length=grid.down(length - 2 * self.card.outer), width=grid.down(width - 2 * self.card.outer))


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """A corner flap inside each wall; they stand beside the hole."""
    return {"length": 2, "width": 2, "height": 0}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused for a thing that would not stand out of the hole, or where a flap has no room."""
    grid, limits, t = fit.grid, Limits(fit.grid), card.t
    wall = on_grid(grid, options, "height", grid.nearest(max(SHARE * fit.read.height, 15.0)))
    if wall + OVER > fit.read.height:
        raise refuse("item.height", f"the item would not stand out of a cradle {wall:g} mm high; use a tray, or lower it by its height.")
    across = fit.across(fit.read.length, 0.0), fit.across(fit.read.width, 0.0)
    length, width = (size + 2 * grid.up(on_grid(grid, options, "rim") + 2 * t) for size in across)
    limits.room_for_finger("item.diameter", min(length, width))
    depth = limits.shorten("glue_flap", on_grid(grid, options, "glue_flap"), max(length, width) / 2 - max(1.0, 2 * t))
    taper = limits.taper("taper", on_grid(grid, options, "taper"), wall)
    return Sizes(card, across, length, width, wall, depth, taper, fit.upward(0.0), fit.item, tuple(limits.notes))


def net(s: Sizes) -> Net:
    """The cradle, open below; the inside is what is free over the floor in the hole."""
    part, bonds = table(s.card, s.length, s.width, s.wall, hole(s.item.shape, *s.hole), s.glue_flap, s.taper)
    inside = Inside(*free_in(s.item.shape, *s.hole), s.free)
    return Net("", NAME, s.card.t, inside, False, s.item, (part,), tuple(bonds), interior="other", notes=s.notes)

"""Strips with slots that slip into each other and part a box into cells; nothing is folded or glued."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from booklet import space
from booklet.fit import Fit
from booklet.grid import Grid
from booklet.net import Inside, Item, Net
from booklet.spec import Option
from booklet.styles.shapes import on_grid
from booklet.styles.strips import ACROSS, ALONG, long, middles, spread, strip
from booklet.thickness import LEAST, Bears, Thickness

NAME = "divider"
OPTIONS = (
    Option("rows", "count", default=2, least=2, most=12),
    Option("columns", "count", default=2, least=2, most=12),
    Option("height", "length", None, None, least_mm=10.0),
)
SUITS = ("no-glue", "flat", "insert")
SHOWN = Item("round", 48.0, 48.0, 60.0)
BEARS = Bears(LEAST, 3.0, 3.0, folded=False)
PLAY, DEEPER, LOWEST = 0.3, 0.5, 10.0
"""mm: a slot is wider than the card by the first and deeper than half the strip by the second, at least; lower strips hold nothing (common
practice, no source)."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """Widths of the cells from slot to slot, the slots and the strips, mm, on the ruler grid; `free`: height over the floor of a cell."""

    card: Thickness
    along: tuple[float, ...]
    across: tuple[float, ...]
    slot: float
    depth: float
    height: float
    free: float
    item: Item

    @property
    def outside(self) -> tuple[float, float, float]:
        """Length, width and height over all strips, mm."""
        return long(self.along, self.slot), long(self.across, self.slot), self.height

    def fitted(self, grid: Grid, length: float, width: float) -> Sizes:
        """The same with cells that take up a length and a width in mm."""
        return replace(self, along=spread(grid, self.along, length, self.slot), across=spread(grid, self.across, width, self.slot))


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """None: there are no walls."""
    return {"length": 0, "width": 0, "height": 0}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. A cell holds the item with its play however the strips stand in their slots."""
    along, across = fit.across(fit.read.length, 0.0), fit.across(fit.read.width, 0.0)
    height = on_grid(fit.grid, options, "height", fit.grid.up(max(fit.read.height, LOWEST)))
    slot, depth = fit.grid.up(card.t + PLAY), fit.grid.up(height / 2 + DEEPER)
    cells = (along,) * int(options["columns"]), (across,) * int(options["rows"])
    return Sizes(card, *cells, slot, depth, height, fit.upward(0.0), fit.item)


def net(s: Sizes) -> Net:
    """The strips; the origin is in the middle of the first cell."""
    x, y = -s.along[0] / 2, -s.across[0] / 2
    length, width, _ = s.outside
    rows = [space.moved(x + length / 2, y + at) for at in middles(s.across, s.slot)]
    columns = [space.moved(x + at, y + width / 2) @ space.turned((0, 0, 1), 90.0) for at in middles(s.along, s.slot)]
    slot, high = (s.slot, s.depth), s.height
    parts = [strip(s.card, ALONG, n, s.along, slot, high, at) for n, at in enumerate(rows, 1)]
    parts += [strip(s.card, ACROSS, n, s.across, slot, high, at) for n, at in enumerate(columns, 1)]
    inside = Inside(min(s.along), min(s.across), s.free)
    return Net("", NAME, s.card.t, inside, False, s.item, tuple(parts), (), interior="other")

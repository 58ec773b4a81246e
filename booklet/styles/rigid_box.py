"""An open rigid box: a base and four walls of board that butt, and a paper wrap with corner tabs and turn-ins over the rim."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note
from booklet.spec import Option
from booklet.styles.boards import Boards, facing
from booklet.styles.shapes import Limits, on_grid
from booklet.styles.wraps import Paper, Tray, over_the_rim, pasted, wrap
from booklet.thickness import Bears, Thickness

NAME = "rigid-box"
OPTIONS = (
    Option("paper", "length", 0.15, 0.15 / 25.4, least_mm=0.1, most_mm=0.2),
    Option("turn_in", "length", 15.0, 5 / 8, least_mm=5.0),
    Option("corner_tab", "length", 12.0, 0.5, least_mm=5.0),
)
SUITS = ("gift", "weight", "stack")
SHOWN = Item("block", 120.0, 90.0, 40.0)
BEARS = Bears(least=1.0, crease=3.0, most=3.0, folded=False)


@dataclass(frozen=True, slots=True)
class Sizes:
    """Cut sizes of the boards, mm, on the ruler grid: the base, the walls' height; the short walls are `short_wall` long."""

    card: Thickness
    length: float
    width: float
    height: float
    short_wall: float
    paper: Paper
    inside: Inside
    item: Item
    notes: tuple[Note, ...] = ()


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """The turn-ins are of paper: they are counted by its own thickness."""
    return {"length": 0, "width": 0, "height": 0}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded up here once, a turn-in on each wall. Raises Refused where a turn-in or tab has no room."""
    limits, p = Limits(fit.grid), float(options["paper"])
    height = fit.grid.up(fit.read.height + fit.headroom)
    long = fit.grid.up(fit.read.length + fit.clearance + 2 * (card.t + p))
    short_wall = fit.grid.up(fit.read.width + fit.clearance + 2 * p)
    width = short_wall + 2 * card.t
    least = min(long - 2 * card.t, short_wall)
    limits.room_for_finger("item.length" if least < short_wall else "item.width", least)
    turn_in = limits.shorten("turn_in", on_grid(fit.grid, options, "turn_in"), min(height - 2.0, least / 3))
    tab = limits.shorten("corner_tab", on_grid(fit.grid, options, "corner_tab"), min(width / 2 - 1.0, (height - 2 * card.t) / 2))
    inside = Inside(long - 2 * (card.t + p), short_wall - 2 * p, height)
    off = fit.grid.up(1.5 * card.t)
    paper = Paper(p, turn_in, tab, off if off <= 2 * card.t else 1.75 * card.t)
    return Sizes(card, long, width, height, short_wall, paper, inside, fit.item, tuple(limits.notes))


def net(s: Sizes) -> Net:
    """The boards, and the wrap round them."""
    t, high, boards = s.card.t, s.height / 2, Boards(s.card)
    x, y = (s.length - t) / 2, (s.width - t) / 2
    boards.board("base-board", "base-board", s.length, s.width, facing((0, 0, -t / 2), "+x", "+y"))
    boards.board("long-wall-1", "long-wall", s.length, s.height, facing((0, -y, high), "-x", "+z"))
    boards.board("long-wall-2", "long-wall", s.length, s.height, facing((0, y, high), "+x", "+z"))
    boards.board("short-wall-1", "short-wall", s.short_wall, s.height, facing((-x, 0, high), "+y", "+z"))
    boards.board("short-wall-2", "short-wall", s.short_wall, s.height, facing((x, 0, high), "-y", "+z"))
    base, front, back, left, right = boards.parts
    paper = wrap(s.paper, Tray(s.length, s.width, s.height, t))
    behind = {"base-cover": base, "cover-1": front, "cover-3": back, "cover-2": right, "cover-4": left}
    bonds, butts = pasted(paper, behind), (*boards.butts(), *over_the_rim(paper, behind))
    return Net("", NAME, t, s.inside, False, s.item, (*boards.parts, paper), bonds, notes=s.notes, butts=butts)

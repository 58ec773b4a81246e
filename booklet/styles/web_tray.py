"""An open tray whose corners are not cut: each is a web, folded double and glued on the outside of a wall."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet import space
from booklet.errors import refuse
from booklet.fit import Fit
from booklet.net import Inside, Item, Net
from booklet.spec import Option
from booklet.styles import webs
from booklet.styles.shapes import Limits, Sketch
from booklet.thickness import HEM_CREASE_MOST, Bears, Thickness

NAME = "web-tray"
OPTIONS: tuple[Option, ...] = ()
SUITS = ("damp", "class")
SHOWN = Item("block", 120.0, 90.0, 30.0)
BEARS = Bears(crease=HEM_CREASE_MOST, most=HEM_CREASE_MOST)
_APART = 2.0
"""mm: two webs on one wall stay this far from each other (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """Every size that the net is built from, mm, on the ruler grid.

    `along`: the item is longer than wide. `on_ends`: the webs lie on the walls across its longer side.
    """

    card: Thickness
    length: float
    width: float
    height: float
    along: bool
    on_ends: bool
    inside: Inside
    item: Item


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """A web, which is two layers, on each of two walls that face each other: on either axis, as the sizes ask."""
    return {"length": 4, "width": 4, "height": 0}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused for card that cannot be folded double, or where two webs meet."""
    webs.bears(card)
    count, height, along = layers(options)["length"], fit.upward(card.inner), fit.read.length >= fit.read.width
    on_ends = 2 * height + _APART <= min(fit.read.length, fit.read.width)
    n_length, n_width = (count, 0) if on_ends == along else (0, count)
    length = fit.across(fit.read.length, card.between(n_length))
    width = fit.across(fit.read.width, card.between(n_width))
    carrying, free = (width, length) if on_ends == along else (length, width)
    if 2 * height + _APART > carrying:
        raise refuse(
            "item.height",
            f"webs of {height:.1f} mm would meet on a wall of {carrying:.1f} mm; use a lower item, or write "
            'style = "tray", whose corners have flaps.',
        )
    Limits(fit.grid).room_for_finger("item.length", free)
    inside = Inside(length - card.between(n_length), width - card.between(n_width), height - card.inner)
    return Sizes(card, length, width, height, along, on_ends, inside, fit.item)


def net(s: Sizes) -> Net:
    """The tray; walls 2 and 4 are the shorter ones."""
    w, d = (s.length, s.width) if s.along else (s.width, s.length)
    sketch, facing = Sketch("box", "box", s.card), space.identity() if s.along else space.turned((0, 0, 1), 90.0)
    webs.raised(sketch, w, d, s.height, s.on_ends)
    part = sketch.part(facing @ space.moved(-w / 2, -d / 2, -s.card.t / 2))
    return Net("", NAME, s.card.t, s.inside, False, s.item, (part,), webs.held(part))

"""A wallet that opens like bellows: a back, a front, gussets at the bottom and at the sides, and a flap that closes it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet import space
from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note
from booklet.spec import Option
from booklet.styles.gussets import APART, Bellows, closed_by, folded_wallet, half_for
from booklet.styles.shapes import Limits, Sketch, glue, on_grid, rectangle
from booklet.thickness import HEM_CREASE_MOST, Bears, Thickness

NAME, SUITS, SHOWN = "wallet", ("flat", "gift", "sale"), Item("block", 150.0, 105.0, 12.0)
OPTIONS = (
    Option("closing", "choice", choices=("tuck", "over"), default="tuck"),
    Option("closing_flap", "length", 20.0, 3 / 4, least_mm=8.0),
    Option("glue_flap", "length", 10.0, 3 / 8, least_mm=5.0),
    Option("corner_radius", "length", 5.0, 3 / 16, most_mm=15.0),
)
BEARS = Bears(crease=HEM_CREASE_MOST, most=HEM_CREASE_MOST)


@dataclass(frozen=True, slots=True)
class Sizes:
    """Every size that the net is built from, fold to fold, mm, on the ruler grid but for `strip`, the depth of the closing panel."""

    card: Thickness
    length: float
    width: float
    body: Bellows
    strip: float
    tucked: bool
    closing_flap: float
    glue_flap: float
    radius: float
    inside: Inside
    item: Item
    notes: tuple[Note, ...] = ()


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """Under the front its glue flaps, and a tuck. What the gussets take is no layer, but the reach of their V."""
    return {"length": 0, "width": 0, "height": 2 if options["closing"] == "tuck" else 1}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused where gussets have no room, or are too narrow to fold."""
    grid, t, limits, tucked = fit.grid, card.t, Limits(fit.grid), options["closing"] == "tuck"
    free = card.between(layers(options)["height"])
    depth = fit.upward(free)
    body = Bellows(depth, grid.up(half_for(depth)))
    reach = body.reach(card)
    length, width = fit.across(fit.read.length, 2 * reach), fit.across(fit.read.width, reach + card.inner)
    body.bears(length, width)
    # a tuck passes under the glue flaps, and slides in where its panel is deeper than itself
    strip, most = (depth - 2 * t, min(width - body.half, depth - t)) if tucked else (depth + t, width)
    closing = limits.shorten("closing_flap", on_grid(grid, options, "closing_flap"), most - 2 * t - APART)
    edge = limits.shorten("glue_flap", on_grid(grid, options, "glue_flap"), min(length / 2, (width - t) / 2) - APART)
    radius = min(on_grid(grid, options, "corner_radius"), closing / 2, length / 4)
    inside = Inside(length - 2 * reach, width - reach - card.inner, depth - free)
    return Sizes(card, length, width, body, strip, tucked, closing, edge, radius, inside, fit.item, tuple(limits.notes))


def net(s: Sizes) -> Net:
    """The wallet; its root is the back, on which the thing lies."""
    sketch, t, w = Sketch("box", "box", s.card), s.card.t, s.width
    sketch.panel("back", "back", rectangle(0, 0, s.length, w))
    folded_wallet(sketch, s.body, s.length, w, s.glue_flap)
    closed_by(sketch, s.length, w, s.strip, s.tucked, s.closing_flap, s.radius)
    part = sketch.part(space.moved(-s.length / 2, s.inside.width / 2 + s.card.inner - w, -t / 2))
    bonds = tuple(b for n in (1, 2) for b in glue(part, f"glue-flap-{n}", "front", ("back", "marked")))
    return Net("", NAME, t, s.inside, True, s.item, (part,), bonds, interior="other", notes=s.notes, joint=(s.glue_flap, s.glue_flap))

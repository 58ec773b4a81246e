"""A tray and a lid over it that is as deep as the tray: two trays, one over the other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note
from booklet.styles import trays
from booklet.styles.shapes import Limits, Sketch
from booklet.thickness import AIR, Bears, Thickness

NAME = "full-lid-box"
OPTIONS = (trays.NOTCH, *trays.FLAPS)
SUITS = ("weight", "stack", "gift")
SHOWN = Item("block", 150.0, 110.0, 40.0)
BEARS = Bears()


@dataclass(frozen=True, slots=True)
class Sizes:
    """Every size that the net is built from, mm, on the ruler grid. `notch`: radius of the notches in two of the skirts, 0 for none."""

    tray: trays.Sides
    lid: trays.Sides
    notch: float
    inside: Inside
    item: Item
    notes: tuple[Note, ...]


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """Those of a tray, and upward the glue flap of a lid that is cut off from its skirts."""
    return {**trays.LAYERS, "height": 1}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused where a flap has no room."""
    limits, across = Limits(fit.grid), trays.across(fit, card)
    height = fit.upward(card.inner + card.t)
    tray = trays.sides(limits, card, across, height, options)
    notch = trays.notch(limits, options, (tray.long if tray.on_ends else tray.short) / 2 - trays.BESIDE, height)
    longest, air = max(tray.long, height), 0.0 if notch else AIR
    long, short = (
        fit.grid.up(trays.lid_over(card, base, n, longest, air)) for base, n in zip((tray.long, tray.short), tray.layers, strict=True)
    )
    inside = trays.inside(card, across, height - card.inner - card.t)
    return Sizes(tray, replace(tray, long=long, short=short), notch, inside, fit.item, tuple(limits.notes))


def net(s: Sizes) -> Net:
    """The tray and its lid."""
    card, tray, lid = s.tray.card, Sketch("box", "box", s.tray.card), Sketch("lid", "lid", s.tray.card)
    trays.raised(tray, s.tray, ("base", "wall"), "parent")
    trays.raised(lid, s.lid, ("lid", "skirt"), "child", dict.fromkeys(s.lid.carriers, s.notch))
    parts = tray.part(trays.standing(s.tray)), lid.part(trays.turned_over(s.lid, s.tray.height - card.inner))
    bonds = *trays.held(parts[0], "wall", s.tray.carriers), *trays.held(parts[1], "skirt", s.lid.carriers)
    return Net("", NAME, card.t, s.inside, True, s.item, parts, bonds, notes=s.notes, joint=(s.tray.flap, s.tray.taper))

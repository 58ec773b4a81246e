"""The table of what folds but is weak. Refusals stand where their figure is known: `thickness`, `pieces`, the styles.

| refused | where |
|---|---|
| card thinner than 0.15 or thicker than 2 mm, a crease over 0.6 mm, a hem over 1 mm | thickness |
| a hem, flap or tuck with under 3 mm of room; a box too narrow for a finger | styles |
| a piece that cannot be cut further and does not fit the card | pieces |
| what the spec itself gets wrong | spec |
"""

from __future__ import annotations

import math

from booklet import load
from booklet.check import Check, warning
from booklet.lengths import tell
from booklet.net import Net
from booklet.plane import length, side
from booklet.sheets import Placed
from booklet.spec import Spec
from booklet.styles.shapes import WEAK_FLAP
from booklet.thickness import Thickness

GRAIN_FROM = 0.30
THIN_HALF_CUT = 0.5
GLUE_STICK_MOST = 0.4
HEAVIEST_PRINTED = 220.0
"""g/m2: home printers usually take card up to 220 to 300 (common practice, no source)."""


def checks(spec: Spec, card: Thickness, net: Net, placed: tuple[Placed, ...]) -> list[Check]:
    """Every warning that applies; none for a sound box."""
    found = [
        _shortened(spec, net),
        _weak_flaps(net),
        _bowed(spec, net),
        _across_grain(spec, net, placed),
        _raw_hem(card, net),
        _glue_stick(spec, card),
        *(() if net.ready else (_other_face(card, net), _shallow(card))),  # whoever cuts the card knows
        _unprinted(spec),
        _heavy(spec),
    ]
    return [check for check in found if check is not None]


def _shortened(spec: Spec, net: Net) -> Check | None:
    if not net.notes:
        return None
    told = "; ".join(f"{n.option} {tell(n.got, spec.units)} instead of {tell(n.asked, spec.units)}" for n in net.notes)
    return warning("warn.shortened", len(net.notes), 0, "sizes", f"In a box of this size some parts were made smaller: {told}.")


def _weak_flaps(net: Net) -> Check | None:
    roles = ("glue-flap", "corner-flap", "hem")
    depths = {f"{p.name}": _depth(net, part.name, p.name) for part in net.parts for p in part.panels if p.role in roles}
    weak = {name: depth for name, depth in depths.items() if depth < WEAK_FLAP - 1e-6}
    if not weak:
        return None
    least = min(weak, key=lambda name: weak[name])
    return warning(
        "warn.weak-flap",
        weak[least],
        WEAK_FLAP,
        "mm",
        f"{len(weak)} flaps are under {WEAK_FLAP:g} mm ({least}: {weak[least]:.1f} mm) and hold little.",
    )


def _depth(net: Net, part: str, name: str) -> float:
    """How far a flap reaches from its fold, mm."""
    fold = next((f for f in net.part[part].folds if f.child == name), None)
    return max(abs(side(fold.line, p)) for p in net.part[part].panel[name].outline) if fold else math.inf


def _bowed(spec: Spec, net: Net) -> Check | None:
    """The base bows under the item when the box is lifted: see `load`."""
    found = load.load_of(net, spec.item.weight)
    if found is None or not found.bows:
        return None
    text = f"Under {found.weight:.0f} g the base would bow; lay a stiff board into it or carry the box from below."
    return warning("warn.base-bows", min(found.bow, 999.0), load.MOST, "mm", text)


def _across_grain(spec: Spec, net: Net, placed: tuple[Placed, ...]) -> Check | None:
    """By hand a fold along the grain is easier and cracks less (from memory).

    Told for card over 0.3 mm, and where more hems run across the grain than along it.
    """
    if spec.card.grain == "unknown":
        return None
    folds, hems = _lengths(spec, net, placed), _lengths(spec, net, placed, hems=True)
    across = folds[1] if net.caliper > GRAIN_FROM else hems[1] if hems[1] > hems[0] else 0.0
    if not across:
        return None
    care = "bend them slowly" if net.ready else "score them deeper and bend them slowly"
    text = f"{across:.0f} mm of folds run across the grain, where thick card and hems crack: {care}."
    return warning("warn.grain", round(across), 0, "mm", text)


def _lengths(spec: Spec, net: Net, placed: tuple[Placed, ...], hems: bool = False) -> tuple[float, float]:
    """Length of all folds, or of the hems' alone, along and across the grain as the pieces lie on the card, mm."""
    found = [0.0, 0.0]
    for place in placed:
        part = net.part[place.part]
        if part.caliper != net.caliper:
            continue
        piece = next(p for p in part.pieces if p.name == place.piece)
        for fold in part.folds:
            if fold.parent in piece.panels and fold.child in piece.panels and (abs(fold.angle) == 180 or not hems):
                (ax, ay), (bx, by) = (place.to_sheet(p) for p in fold.line)
                upright = abs(bx - ax) < abs(by - ay)
                found[int(upright == (spec.card.grain == "first"))] += length(fold.line)
    return found[0], found[1]


def _other_face(card: Thickness, net: Net) -> Check | None:
    if net.marks == "outside" or card.way != "half-cut":
        return None
    return warning(
        "warn.half-cut-face",
        card.t,
        0,
        "mm",
        "Half-cuts are made from outside, but the net is marked on the inside: prick the folds' ends through and cut on the other face.",
    )


def _raw_hem(card: Thickness, net: Net) -> Check | None:
    hems = [f for part in net.parts for f in part.folds if abs(f.angle) == 180 and f.way == "half-cut"]
    if not hems:
        return None
    how = "are scored through the skin of the card" if net.ready else "are half-cut"
    text = f"The hems {how}, so the raw core of the card shows along the rim: cover it with paper tape."
    return warning("warn.raw-hem", card.t, 0.5, "mm", text)


def _glue_stick(spec: Spec, card: Thickness) -> Check | None:
    """A glue stick holds paper and thin card (common practice, no source)."""
    if spec.glue.kind != "glue-stick" or card.t <= GLUE_STICK_MOST:
        return None
    return warning(
        "warn.glue-stick", card.t, GLUE_STICK_MOST, "mm", "A glue stick does not hold card as thick as this for long: use white glue."
    )


def _shallow(card: Thickness) -> Check | None:
    if card.way != "half-cut" or card.t >= THIN_HALF_CUT:
        return None
    return warning(
        "warn.thin-half-cut", card.t, THIN_HALF_CUT, "mm", "A half-cut in card as thin as this goes through easily: crease it instead."
    )


def _unprinted(spec: Spec) -> Check | None:
    """Artwork and a logo go on what a kit is sold with, and nowhere else."""
    found = spec.artwork.named
    if not found or spec.booklet.shipped == "kit":
        return None
    text = f"The drawings for {', '.join(found)} are printed by the layout kit only: its print-shop file has those of panels."
    return warning("warn.artwork", len(found), 0, "drawings", text)


def _heavy(spec: Spec) -> Check | None:
    if spec.page.print_on != "card" or spec.card.grammage <= HEAVIEST_PRINTED:
        return None
    text = "Card as heavy as this jams in many home printers: look up the heaviest that yours takes, or print templates on paper."
    return warning("warn.heavy-card", spec.card.grammage, HEAVIEST_PRINTED, "g/m2", text)

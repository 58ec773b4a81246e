"""A box of four walls in a wrap, with a doubled base and hems, and a lid with skirts over it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from booklet.fit import Fit
from booklet.net import Inside, Item, Net
from booklet.spec import Option
from booklet.styles import hemmed
from booklet.styles.hemmed import Sizes
from booklet.styles.shapes import Limits, on_grid
from booklet.thickness import HEM_CREASE_MOST, Bears, Thickness

NAME = "lidded-box"
OPTIONS = (
    Option("hem", "length", 25.0, 1.0),
    Option("glue_flap", "length", 12.0, 0.5, least_mm=5.0),
    Option("skirt", "length", 25.0, 1.0, least_mm=8.0),
    Option("taper", "length", 3.0, 1 / 8),
    Option("base_taper", "length", 6.0, 1 / 4),
    Option("lid_hem", "length", None, None),
    Option("lid_hem_taper", "length", 6.0, 1 / 4),
    Option("corner_flap", "length", None, None, least_mm=5.0),
)
SUITS = ("weight", "gift", "often")
SHOWN = Item("block", 95.0, 80.0, 60.0)
BEARS = Bears(crease=HEM_CREASE_MOST)


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """In the worst cut-up: a hem and a glue flap on each wall; upward the doubled base and the glue flap of a lid that is cut."""
    across = 2 * (1 + bool(options["hem"]))
    return {"length": across, "width": across, "height": 5}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused where a hem or flap has no room."""
    grid, t, limits, free = fit.grid, card.t, Limits(fit.grid), card.between(layers(options)["length"])
    hem, taper = on_grid(grid, options, "hem"), on_grid(grid, options, "taper")
    if hem:
        card.hem_way()
    length, width = fit.across(fit.read.length, free), fit.across(fit.read.width, free)
    long, short = max(length, width), min(length, width)
    base, rank, lap = hemmed.base_ranks(card, grid, long, short)
    floor = card.inner + (0.0 if any(rank) else lap)
    height = fit.upward(floor + t)
    hem = limits.shorten("hem", hem, height - max(3.0, lap)) if hem else 0.0
    skirt = limits.shorten("skirt", on_grid(grid, options, "skirt"), height)
    back = grid.default(3.0, 1 / 8)
    lid_hem = hemmed.lid_hem(limits, card, on_grid(grid, options, "lid_hem", max(skirt - back, back) if hem else 0.0), skirt, short)
    # the skirts on which flaps and hems lie must leave room for a finger between them
    limits.room_for_finger("box.hem" if lid_hem else "item.length", short if lid_hem else long, bool(lid_hem))
    lid_long, lid_short, narrow = hemmed.lid_across(grid, card, long, short, height, lid_hem)
    corner = on_grid(grid, options, "corner_flap", skirt)
    corner = limits.shorten("corner_flap", corner, (lid_short if narrow else lid_long) / 2 - max(1.0, 2 * t))
    return Sizes(
        card, long, short, width > length, height, base, rank,
        limits.taper("base_taper", on_grid(grid, options, "base_taper"), short), hem,
        limits.shorten("glue_flap", on_grid(grid, options, "glue_flap"), short / 2),
        limits.taper("taper", taper, min(short, height)), lid_long, lid_short, narrow, skirt, lid_hem,
        limits.taper("lid_hem_taper", on_grid(grid, options, "lid_hem_taper"), lid_short), corner,
        limits.taper("taper", taper, skirt), floor, Inside(length - free, width - free, height - floor - t), fit.item, tuple(limits.notes),
    )  # fmt: skip


def net(s: Sizes) -> Net:
    """The box and its lid."""
    box, lid = hemmed.box(s), hemmed.lid(s)
    bonds = (*hemmed.box_bonds(s, box), *hemmed.lid_bonds(s, lid))
    return Net("", NAME, s.card.t, s.inside, True, s.item, (box, lid), bonds, notes=s.notes, joint=(s.glue_flap, s.taper))

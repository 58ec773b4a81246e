"""A round box: a rolled wall on a round base, glued with teeth, and a lid made the same way that slides over it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet import space
from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note, Part
from booklet.spec import Option
from booklet.styles.rings import standing
from booklet.styles.round_walls import Round, facets_for, glued, rolled
from booklet.styles.shapes import Limits, Sketch, on_grid
from booklet.thickness import HEM_CREASE_MOST, Bears, Thickness

NAME, SUITS, SHOWN = "round-box", ("round", "gift", "often"), Item("round", 75.0, 75.0, 55.0)
OPTIONS = (
    Option("skirt", "length", 25.0, 1.0, least_mm=8.0),
    Option("tooth", "length", 10.0, 3 / 8, least_mm=5.0),
    Option("glue_flap", "length", 12.0, 0.5, least_mm=5.0),
)
BEARS = Bears(crease=HEM_CREASE_MOST, most=HEM_CREASE_MOST)


@dataclass(frozen=True, slots=True)
class Sizes:
    """Box and lid, mm: the widths across and the heights are on the ruler grid, and from these the facets follow."""

    card: Thickness
    box: Round
    lid: Round
    inside: Inside
    item: Item
    notes: tuple[Note, ...] = ()


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """The glue flap on the wall, counted all round; the teeth on the base."""
    return {"length": 2, "width": 2, "height": 1}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. A block stands with its corners at the wall. Raises Refused where a flap has no room."""
    grid, t, limits, count = fit.grid, card.t, Limits(fit.grid), layers(options)
    free = card.between(count["length"])
    # a block has its play along and across, between its corners and the wall less
    play = grid.least_play(fit.clearance)
    ways = fit.read.length + play, fit.read.width + play
    across = grid.up((ways[0] if fit.read.shape == "round" else math.hypot(*ways)) + free)
    height = fit.upward(card.inner + count["height"] * t)
    limits.room_for_finger("item.length", across)
    facets = facets_for(across)
    over = grid.up(card.lid_size(across, 1, max(across, height)))
    skirt = limits.shorten("skirt", on_grid(grid, options, "skirt"), height)
    tooth = limits.shorten("tooth", on_grid(grid, options, "tooth"), across / 4)
    edge = limits.shorten("glue_flap", on_grid(grid, options, "glue_flap"), across * math.tan(math.pi / facets))
    scale = (across - free) / math.hypot(*ways)
    inside = Inside(ways[0] * scale, ways[1] * scale, height - card.inner - t)
    box, lid = (Round(facets, size, high, tooth, edge) for size, high in ((across, height), (over, skirt)))
    return Sizes(card, box, lid, inside, fit.item, tuple(limits.notes))


def net(s: Sizes) -> Net:
    """The box and its lid."""
    up, t = s.inside.height, s.card.t
    box = _part(s, "box", s.box, "wall", "base", space.moved(0, 0, -t))
    lid = _part(s, "lid", s.lid, "skirt", "lid", space.moved(0, 0, up + t) @ space.turned((1, 0, 0), 180.0))
    bonds = (*glued(box, "wall", "base"), *glued(lid, "skirt", "lid"))
    return Net("", NAME, t, s.inside, True, s.item, (box, lid), bonds, interior="other", notes=s.notes, joint=(s.box.glue_flap, 3.0))


def _part(s: Sizes, name: str, body: Round, wall: str, end: str, place: space.Matrix) -> Part:
    sketch = Sketch(name, name, s.card)
    rolled(sketch, body, wall, end)
    return sketch.part(place @ standing(sketch, (body.root - 0.5) * body.width, 0.0, body.across / 2))

"""How much card, glue and time a box takes. Estimates are said to be estimates."""

from __future__ import annotations

import math
from dataclasses import dataclass

from booklet import butts
from booklet.cuts import scored
from booklet.net import Net

GLUE_G_PER_M2 = 120.0
"""White glue spread thinly on one face (common practice, no source)."""
MINUTES = {"cut_per_m": 2.5, "fold": 0.5, "bond": 2.0, "tile": 3.0, "step": 1.0}
"""A beginner's pace (chosen by us, from memory)."""


@dataclass(frozen=True, slots=True)
class Materials:
    """For one box: mm of knife cut and of score, mm2 of glue (butted edges too) and of card in pieces, g, minutes, sheets.

    `paper_mm2`: mm2 in pieces of another material than the card.
    """

    cut_mm: float
    score_mm: float
    glue_mm2: float
    card_mm2: float
    glue_g: float
    card_g: float
    minutes: int
    sheets: int
    paper_mm2: float = 0.0


def reckon(net: Net, gsm: float, sheets: int, tiles: int) -> Materials:
    """Add everything up. `gsm`: g/m2 of the card; `tiles`: pages to tape. Parts of another caliper than the net's are paper, not card."""
    import shapely

    pieces = [piece for part in net.parts for piece in part.pieces]
    cut = sum(shapely.Polygon(p.outline, p.holes).length + sum(shapely.LineString(s).length for s in p.slits) for p in pieces)
    areas = {part.name: sum(shapely.Polygon(p.outline, p.holes).area for p in part.pieces) for part in net.parts}
    card = sum(areas[part.name] for part in net.parts if part.caliper == net.caliper)
    lines = [line for part in net.parts for piece in part.pieces for line, _ in scored(part, piece)]
    score = sum(math.dist(*line) for line in lines)
    glue = sum(shapely.Polygon(b.region).area for b in net.bonds) + butts.area(net)
    minutes = (
        MINUTES["cut_per_m"] * (cut + score) / 1000 + MINUTES["fold"] * len(lines) + MINUTES["bond"] * (len(net.bonds) + len(net.butts))
    )
    minutes += MINUTES["tile"] * tiles + MINUTES["step"] * len(net.steps)
    grams = glue * 1e-6 * GLUE_G_PER_M2
    return Materials(cut, score, glue, card, grams, card * 1e-6 * gsm, 5 * math.ceil(minutes / 5), sheets, sum(areas.values()) - card)

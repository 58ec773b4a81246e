"""How much card, glue and time a box takes. Estimates are said to be estimates."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

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

    `paper_mm2`: mm2 in pieces of another material than the card. `tape_mm`: mm of tape where the box is held by tape, a strip along each
    bond. `spent`: the minutes before they are rounded up, by what they are spent on: "cut", "fold", "bond", "tile", "hand".
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
    tape_mm: float = 0.0
    spent: tuple[tuple[str, float], ...] = ()


def reckon(net: Net, gsm: float, sheets: int, tiles: int) -> Materials:
    """Add everything up; nothing is cut or scored of what comes so. `gsm`: g/m2 of the card; `tiles`: pages to tape.

    Parts of another caliper than the net's are paper, not card.
    """
    import shapely

    pieces = [piece for part in net.parts for piece in part.pieces]
    cut = (
        0.0
        if net.ready
        else sum(shapely.Polygon(p.outline, p.holes).length + sum(shapely.LineString(s).length for s in p.slits) for p in pieces)
    )
    areas = {part.name: sum(shapely.Polygon(p.outline, p.holes).area for p in part.pieces) for part in net.parts}
    card = sum(areas[part.name] for part in net.parts if part.caliper == net.caliper)
    lines = [line for part in net.parts for piece in part.pieces for line, _ in scored(part, piece)]
    score = 0.0 if net.ready else sum(math.dist(*line) for line in lines)
    glue = sum(shapely.Polygon(b.region).area for b in net.bonds) + butts.area(net)
    bonds = len(net.bonds) + len(net.butts)
    spent = {
        "cut": MINUTES["cut_per_m"] * cut / 1000,
        "fold": MINUTES["cut_per_m"] * score / 1000 + MINUTES["fold"] * len(lines),
        "bond": MINUTES["bond"] * bonds,
        "tile": MINUTES["tile"] * tiles,
        "hand": MINUTES["step"] * len(net.steps),
    }
    minutes = 5 * math.ceil(sum(spent.values()) / 5)
    grams = glue * 1e-6 * GLUE_G_PER_M2
    paper = sum(areas.values()) - card
    return Materials(cut, score, glue, card, grams, card * 1e-6 * gsm, minutes, sheets, paper, _tape(net), tuple(spent.items()))


def whole(shares: Sequence[float], total: int) -> list[int]:
    """Whole numbers as near to shares as can be that make up a total: the largest remainders are rounded up first.

    >>> whole([1.2, 0.7, 2.1], 4)
    [1, 1, 2]
    """
    found = [math.floor(share) for share in shares]
    for k in sorted(range(len(found)), key=lambda k: (found[k] - shares[k], k))[: total - sum(found)]:
        found[k] += 1
    return found


def _tape(net: Net) -> float:
    """A strip of tape along the middle of each bonded area, and along each edge that butts, mm."""
    import shapely

    strips = [shapely.minimum_rotated_rectangle(shapely.Polygon(bond.region)).exterior.coords for bond in net.bonds]
    return sum(max(math.dist(a, b) for a, b in pairwise(ring)) for ring in strips) + sum(math.dist(*butt.line) for butt in net.butts)

"""The card: its thickness, its sheet, and what can be told of one from the other. Millimetres, g/m2."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from booklet.check import Check, warning

CALIPERS = ((0.0, 0.0), (200.0, 0.23), (250.0, 0.30), (300.0, 0.375), (970.0, 1.50), (1290.0, 2.00), (3226.0, 5.0))
"""Grammage in g/m2 against a typical caliper in mm. 200 to 300: the middle of the usual ranges 0.20-0.26,
0.25-0.35 and 0.30-0.45 (from memory); greyboard mm = 1.55 x (g/m2) / 1000 (a box maker's table); straight between."""

LIGHTEST, HEAVIEST = 400.0, 1400.0
"""Densities in kg/m3 between which paper and board lie, with room on both sides (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Card:
    """The card at hand. `sheet`: width and height in mm; `edge` is kept clear on each side, `gap` between pieces.

    `gsm`: g/m2 as given, or None. `grain` runs along the first or the second figure of `sheet`.
    `fold`: how it is folded, None by its thickness. `caliper_from`: how the caliper is known.
    `pack`: how many sheets are sold together, or None.
    """

    caliper: float
    sheet: tuple[float, float]
    edge: float = 6.0
    gap: float = 3.0
    gsm: float | None = None
    grain: Literal["first", "second", "unknown"] = "unknown"
    keep_grain: bool = False
    splice: bool = False
    fold: Literal["crease", "half-cut"] | None = None
    caliper_from: Literal["given", "weight", "assumed"] = "given"
    sheet_name: str = ""
    pack: int | None = None

    @property
    def usable(self) -> tuple[float, float]:
        """Width and height of the sheet in mm, less the edge on each side."""
        return self.sheet[0] - 2 * self.edge, self.sheet[1] - 2 * self.edge

    @property
    def grammage(self) -> float:
        """g/m2 as given, else the typical one of this caliper."""
        return typical_grammage(self.caliper) if self.gsm is None else self.gsm

    @property
    def density(self) -> float:
        """kg/m3 = 1000 x (g/m2) / um (ISO 534)."""
        return self.grammage / self.caliper


def typical_caliper(gsm: float) -> float:
    """The usual thickness in mm of card of this many g/m2, to 0.01 mm (see `CALIPERS`).

    >>> typical_caliper(250.0), typical_caliper(1290.0)
    (0.3, 2.0)
    """
    return round(_between(gsm, CALIPERS), 2)


def typical_grammage(caliper: float) -> float:
    """The usual g/m2 of card of this many mm, to a whole gram (see `CALIPERS`)."""
    return float(round(_between(caliper, tuple((mm, gsm) for gsm, mm in CALIPERS))))


def _between(x: float, points: tuple[tuple[float, float], ...]) -> float:
    """Straight-line interpolation; the last slope goes on past the end."""
    (ax, ay), (bx, by) = next((pair for pair in pairwise(points) if x <= pair[1][0]), points[-2:])
    return ay + (x - ax) * (by - ay) / (bx - ax)


def checks(card: Card) -> tuple[Check, ...]:
    """What looks wrong in the card itself, all warnings: a caliper nobody measured, a weight that contradicts it."""
    if card.caliper_from != "given":
        return (warning("card-caliper", card.caliper, card.caliper, "mm", _unmeasured(card)),)
    return (_density(card),) if card.gsm is not None else ()


def _unmeasured(card: Card) -> str:
    known = "usual for its weight" if card.caliper_from == "weight" else "assumed, as the spec gives neither caliper nor weight"
    return f"A caliper of {card.caliper:.2f} mm is {known}: measure ten sheets, divide by ten, and write it as [card] caliper."


def _density(card: Card) -> Check:
    ok = LIGHTEST <= card.density <= HEAVIEST
    limit = LIGHTEST if card.density < LIGHTEST else HEAVIEST
    return Check("card-density", round(card.density, 1), limit, "kg/m3", ok, _contradicted(card, ok), "warning")


def _contradicted(card: Card, ok: bool) -> str:
    told = f"Card of {card.grammage:.0f} g/m2 and {card.caliper:.2f} mm has a density of {card.density:.0f} kg/m3"
    if ok:
        return f"{told}, as paper and board have."
    usual = typical_caliper(card.grammage)
    return f"{told}, outside {LIGHTEST:.0f} to {HEAVIEST:.0f}: measure it again; {usual:.2f} mm is usual for that weight."

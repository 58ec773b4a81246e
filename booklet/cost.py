"""What the boxes cost by the prices of a spec: of what has a price, and of nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal

from booklet import sheets, wrapping
from booklet.butts import needs_glue
from booklet.plan import Plan

What = Literal["sheet", "page", "glue", "tape", "covering", "ribbon"]

_CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Line:
    """What all boxes take of one thing, and what that costs.

    `amount`: sheets, pages, g of glue, mm of tape or ribbon; `price`: as the spec has it, of a sheet, a page, 100 g, 10 m, a sheet, 1 m;
    `total`: rounded to hundredths.
    """

    what: What
    amount: float
    price: float
    total: Decimal


@dataclass(frozen=True, slots=True)
class Cost:
    """The cost of all boxes, in the spec's currency as it is written there."""

    currency: str
    lines: tuple[Line, ...]
    copies: int

    @property
    def total(self) -> Decimal:
        """For all boxes: the sum of the lines as they are told."""
        return sum((line.total for line in self.lines), Decimal(0))

    @property
    def each(self) -> Decimal:
        """For one box, rounded to hundredths."""
        return (self.total / self.copies).quantize(_CENT, ROUND_HALF_UP)


UNITS: dict[What, float] = {"sheet": 1, "page": 1, "glue": 100, "tape": 10_000, "covering": 1, "ribbon": 1000}
"""How much of each a price is for: pieces, g, mm."""


def cost_of(plan: Plan) -> Cost | None:
    """The cost of a plan's boxes; None where the spec has no prices, or none of what they take."""
    prices = plan.spec.prices
    if prices is None:
        return None
    lines = []
    for what, amount in amounts(plan):
        price = getattr(prices, what)
        if price is not None and amount > 0:
            total = Decimal(repr(float(amount))) * Decimal(repr(float(price))) / Decimal(UNITS[what])
            lines.append(Line(what, amount, price, total.quantize(_CENT, ROUND_HALF_UP)))
    return Cost(prices.currency, tuple(lines), plan.spec.booklet.copies) if lines else None


def amounts(plan: Plan) -> Iterator[tuple[What, float]]:
    """What all boxes of a plan take: in sheets, pages, g, mm.

    Pages are those that have to be printed: the templates, once for all boxes, or the sheets of card for each, and the print check.
    """
    copies, needs, taped = plan.spec.booklet.copies, plan.materials, plan.spec.glue.kind == "tape"
    card, wraps = sheets_of(plan)
    yield "sheet", card
    yield "page", pages(plan)
    if needs_glue(plan.net) and not taped:
        yield "glue", max(1, round(needs.glue_g * copies))
    if needs_glue(plan.net) and taped:
        yield "tape", needs.tape_mm * copies
    yield "covering", wraps or plan.covering.sheets_all  # a box with a wrap needs no panels
    yield "ribbon", wrapping.ribbon(plan.solid, plan.spec.units) * copies


def sheets_of(plan: Plan) -> tuple[int, int]:
    """Sheets of card that all boxes take, and of the paper of their wraps."""
    if plan.many:
        times = [(plan.net.part[pattern.placed[0].part].caliper, pattern.times) for pattern in plan.many.patterns]
    else:
        times = [(caliper, count * plan.spec.booklet.copies) for caliper, count in sheets.counted(plan.net, plan.placed)]
    wraps = {part.caliper for part in plan.net.parts if part.role == "wrap"}
    card = sum(count for caliper, count in times if caliper == plan.net.caliper)
    return card, sum(count for caliper, count in times if caliper in wraps)


def pages(plan: Plan) -> int:
    """Pages that have to be printed for all boxes, with the print check; none where there is no template."""
    printed = plan.leaves * (plan.spec.booklet.copies if plan.spec.page.print_on == "card" else 1)
    return printed + 1 if printed else 0

"""What the texts ask for of money, time and weight: the cost, how the time is made up, how far the base bows.

What a template sees: `amounts.cost` (`CostFacts` or None), `amounts.time` (`TimeFacts`), `amounts.load` (`LoadFacts` or None).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from booklet import materials
from booklet.cost import Line, cost_of
from booklet.grid import INCH
from booklet.load import MOST, Load, load_of
from booklet.pages.figures import figures_of
from booklet.pages.texts import plain
from booklet.pages.words import Words
from booklet.plan import Plan


@dataclass(frozen=True, slots=True)
class CostRow:
    """What all boxes take of one thing, what that is sold for, and what it costs."""

    name: str
    amount: str
    price: str
    total: str


@dataclass(frozen=True, slots=True)
class CostFacts:
    """The cost in a currency: rows, the sum for all boxes, and for each."""

    currency: str
    rows: tuple[CostRow, ...]
    total: str
    each: str


@dataclass(frozen=True, slots=True)
class TimeRow:
    """Minutes for one kind of work."""

    work: str
    minutes: int


@dataclass(frozen=True, slots=True)
class TimeFacts:
    """How the time for one box is made up: rows in whole minutes, their sum, and the time as it is told."""

    rows: tuple[TimeRow, ...]
    sum: int
    told: str


@dataclass(frozen=True, slots=True)
class LoadFacts:
    """The load note: sentences that tell the figure and what it was reckoned from, and what to do."""

    figure: str
    basis: tuple[str, ...]
    advice: tuple[str, ...]


class Amounts:
    """The amounts of a plan. Raises `BookletError` where a language has no words for something."""

    def __init__(self, plan: Plan, words: Words):
        self._plan, self._words, self._tell = plan, words, figures_of(plan, words)

    # -- cost ---------------------------------------------------------------------------------------------------------

    @property
    def cost(self) -> CostFacts | None:
        """The cost; None where the spec has no prices for what the boxes take."""
        found = cost_of(self._plan)
        if found is None:
            return None
        rows = tuple(self._cost_row(line) for line in found.lines)
        return CostFacts(plain(found.currency), rows, self._money(f"{found.total:.2f}"), self._money(f"{found.each:.2f}"))

    def _cost_row(self, line: Line) -> CostRow:
        name = self._words.said(f"amounts.{'card' if line.what == 'page' and self._on_card else ''}{line.what}")
        price = self._words.said(f"amounts.per_{line.what}", price=self._money(_priced(line.price)))
        return CostRow(name, self._amount(line), price, self._money(f"{line.total:.2f}"))

    @property
    def _on_card(self) -> bool:
        return self._plan.spec.page.print_on == "card"

    def _amount(self, line: Line) -> str:
        if line.what == "glue":
            return f"{line.amount:.0f} g"
        if line.what in ("tape", "ribbon"):
            return self._tell.marked(f"{line.amount / 1000:.2f} m")
        return f"{line.amount:.0f}"

    def _money(self, text: str) -> str:
        return self._tell.marked(text)

    # -- time ---------------------------------------------------------------------------------------------------------

    @property
    def time(self) -> TimeFacts:
        """The time, by the work that it goes into."""
        needs, plan = self._plan.materials, self._plan
        spent = [(kind, minutes) for kind, minutes in needs.spent if minutes > 0]
        counts = {"bond": len(plan.net.bonds) + len(plan.net.butts), "tile": sum(bool(tile.neighbours) for tile in plan.tiles)}
        taped = plan.spec.glue.kind == "tape"
        rows = []
        for (kind, _), whole in zip(spent, _whole([minutes for _, minutes in spent]), strict=True):
            key = f"amounts.work_{kind}{'_taped' if kind == 'bond' and taped else ''}"
            given = {
                "cuts": self._tell.long(needs.cut_mm),
                "scores": self._tell.long(needs.score_mm),
                "n": counts.get(kind, len(plan.net.steps)),
            }
            rows.append(TimeRow(self._words.said(key, **given), whole))
        return TimeFacts(tuple(rows), sum(row.minutes for row in rows), self._tell.time(needs.minutes))

    # -- load ---------------------------------------------------------------------------------------------------------

    @property
    def load(self) -> LoadFacts | None:
        """The load note; None without a weight or a base."""
        found = load_of(self._plan.net, self._plan.spec.item.weight)
        if found is None:
            return None
        weight, size = self._tell.mass(found.weight), self._tell.size(*(self._plan.spec.booklet.grid.nearest(side) for side in found.span))
        said = self._words.said
        basis = [said("load.lifted", weight=weight, size=size), said("load.bow", layers=self._layers(found), bow=self._bow(found.bow))]
        if found.enclosed:
            basis.append(said("load.enclosed"))
        if found.bow > _THICK * sum(map(sum, found.layers)):
            basis.append(said("load.large"))
        return LoadFacts(self._bow(found.bow), tuple(basis), tuple(self._advice(found)))

    def _layers(self, found: Load) -> str:
        if found.count == 1:
            return self._words.said("load.one_layer")
        return self._words.said("load.glued" if found.glued else "load.loose" if _all_loose(found) else "load.mixed", count=found.count)

    def _advice(self, found: Load) -> Sequence[str]:
        said, caliper = self._words.said, self._tell.caliper(self._plan.net.caliper)
        advice = []
        if found.bows:
            advice.append(said("load.more", caliper=caliper, bow=self._bow(found.more)))
            if found.more > MOST:
                enough = found.enough > found.count
                limit = "0.04 in" if self._tell.units == "in" else "1 mm"
                advice.append(said("load.enough", count=found.enough, limit=self._tell.marked(limit)) if enough else said("load.board"))
        return [*advice, said("load.by_the_base"), said("load.handles")]

    def _bow(self, mm: float) -> str:
        """A bow: to a tenth of a millimetre under ten of them, else whole, or to a hundredth of an inch; no ruler shows it."""
        inches = self._tell.units == "in"
        figure, least = (mm / INCH, 0.01) if inches else (mm, 0.1)
        if figure < least / 2:
            return self._words.said("load.under", figure=self._tell.marked(f"{least:g} {self._tell.units}"))
        return self._tell.marked(f"{figure:.2f} in" if inches else f"{mm:.1f} mm" if mm < 9.95 else f"{mm:.0f} mm")


_THICK = 0.5
"""A plate that bows farther than this share of its thickness is stiffer than the theory has it (Timoshenko, from memory)."""


def _all_loose(found: Load) -> bool:
    return all(len(group) == 1 for group in found.layers)


def _priced(price: float) -> str:
    """A price as it is written, with two decimals at least."""
    text = f"{price:.4f}".rstrip("0")
    return text if len(text.partition(".")[2]) > 2 else f"{price:.2f}"


def _whole(minutes: Sequence[float]) -> list[int]:
    """Minutes in whole ones that make up their sum, rounded up."""
    return materials.whole(minutes, math.ceil(sum(minutes) - 1e-9))

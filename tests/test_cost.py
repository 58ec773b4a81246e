"""The cost by the prices of a spec, and how the time is made up."""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from booklet import cost, sheets
from booklet.pages.amounts import Amounts
from booklet.pages.words import words
from booklet.plan import Plan
from booklet.planning import plan_of
from booklet.spec import Glue, load
from booklet.spec.model import Prices
from booklet.styles import shelf
from tests import plans

ALL = Prices("EUR", sheet=0.9, page=0.05, glue=2.4, tape=3.2, covering=0.75, ribbon=0.6)


def priced(prices: Prices | None = ALL, copies: int = 1, kind: str = "pva", style: str = "lidded-box") -> Plan:
    made = plans.plan(style)
    spec = replace(made.spec, prices=prices, glue=Glue(kind), booklet=replace(made.spec.booklet, copies=copies))  # type: ignore[arg-type]
    return replace(made, spec=spec)


def lines(plan: Plan) -> dict[str, cost.Line]:
    found = cost.cost_of(plan)
    return {line.what: line for line in found.lines} if found else {}


def test_every_line_is_its_amount_by_its_price() -> None:
    plan = priced()
    found = lines(plan)
    assert list(found) == ["sheet", "page", "glue", "covering", "ribbon"]
    assert found["sheet"].total == Decimal("0.90") * plan.sheets
    assert found["page"].amount == plan.leaves + 1
    grams = round(plan.materials.glue_g)
    assert found["glue"].total == (Decimal(grams) * Decimal("0.024")).quantize(Decimal("0.01"))
    assert found["covering"].total == Decimal("0.75") * plan.covering.sheets
    assert found["ribbon"].total == Decimal("0.60") * Decimal(str(found["ribbon"].amount)) / 1000


def test_the_sum_is_that_of_the_lines_and_a_box_has_its_share() -> None:
    found = cost.cost_of(priced(copies=7))
    assert found and found.total == sum(line.total for line in found.lines)
    assert found.each == (found.total / 7).quantize(Decimal("0.01")) and found.copies == 7


def test_templates_are_printed_once_for_all_boxes() -> None:
    one, many = lines(priced()), lines(priced(copies=5))
    assert one["page"].amount == many["page"].amount
    assert many["sheet"].amount == 5 * one["sheet"].amount and many["ribbon"].amount == 5 * one["ribbon"].amount


def test_only_what_has_a_price_is_counted() -> None:
    assert list(lines(priced(Prices("GBP", page=0.07)))) == ["page"]
    assert cost.cost_of(priced(None)) is None
    assert cost.cost_of(priced(Prices("GBP"))) is None
    assert Amounts(priced(None), words()).cost is None


def test_a_box_held_by_tape_takes_tape_by_its_length_and_no_glue() -> None:
    plan = priced(kind="tape")
    found = lines(plan)
    assert "glue" not in found and found["tape"].amount == pytest.approx(plan.materials.tape_mm)
    longest = sum(max(math.dist(a, b) for a in bond.region for b in bond.region) for bond in plan.net.bonds)
    assert 0.7 * longest < plan.materials.tape_mm <= longest


def test_a_free_thing_costs_nothing_and_is_told() -> None:
    found = lines(priced(Prices("EUR", sheet=0.0)))
    assert found["sheet"].total == Decimal("0.00")


def test_an_open_tray_has_no_ribbon_to_pay() -> None:
    assert "ribbon" not in lines(priced(style="tray"))


def test_the_table_has_two_decimals_and_the_currency_as_written() -> None:
    told = Amounts(priced(replace(ALL, currency="Fr. |", page=0.005)), words()).cost
    assert told and told.currency == r"Fr. \|"
    assert all(len(row.total.partition(".")[2]) == 2 for row in told.rows) and len(told.total.partition(".")[2]) == 2
    assert [row.price for row in told.rows][:2] == ["0.90 a sheet", "0.005 a page"]


def test_the_time_is_made_up_of_its_work_and_rounded_up_to_five_minutes() -> None:
    plan = plans.plan("lidded-box")
    spent, told = dict(plan.materials.spent), Amounts(plan, words()).time
    assert set(spent) == {"cut", "fold", "bond", "tile", "hand"}
    assert plan.materials.minutes == 5 * math.ceil(sum(spent.values()) / 5)
    assert sum(row.minutes for row in told.rows) == told.sum == math.ceil(sum(spent.values()))
    assert all(abs(row.minutes - minutes) < 1 for row, minutes in zip(told.rows, spent.values(), strict=True))
    assert spent["bond"] == 2.0 * len(plan.net.bonds) and spent["cut"] == pytest.approx(2.5 * plan.materials.cut_mm / 1000)
    assert "estimate" in words().said("amounts.time_note", time=told.told)


@pytest.mark.parametrize("copies", [1, 3])
def test_the_sheet_of_a_wrap_is_decorative_paper_and_no_card(copies: int, tmp_path: Path) -> None:
    box = 'style = "rigid-box"\n[item]\nlength = "110 mm"\nwidth = "76 mm"\nheight = "34 mm"\n[card]\nsheet = "A2"\ncaliper = "2 mm"\n'
    path = tmp_path / "box.toml"
    path.write_text(f"{box}[prices]\nsheet = 1.0\ncovering = 0.5\n[booklet]\ncopies = {copies}\n")
    made = plan_of(load(path, {name: style.OPTIONS for name, style in shelf().items()}))
    found, (_, wrap) = lines(made), sheets.kinds(made.net)
    wraps = sheets.gang(wrap, made.card, copies).sheets
    assert made.sheets == 2  # boards on one, the wrap on the other
    assert (found["sheet"].amount, found["covering"].amount) == (made.sheets_all - wraps, wraps)

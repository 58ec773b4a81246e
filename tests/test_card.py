"""The card: what can be used of its sheet, and what its weight and its caliper tell of each other."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from booklet.card import CALIPERS, Card, checks, typical_caliper, typical_grammage


def test_the_usable_sheet_is_the_sheet_less_an_edge_on_each_side() -> None:
    assert Card(0.3, (304.8, 304.8), edge=6.35).usable == pytest.approx((292.1, 292.1))


@pytest.mark.parametrize(("gsm", "least", "most"), [(200, 0.20, 0.26), (250, 0.25, 0.35), (300, 0.30, 0.45)])
def test_a_typical_caliper_lies_in_the_usual_range(gsm: float, least: float, most: float) -> None:
    """Ranges from memory."""
    assert least < typical_caliper(gsm) < most


@pytest.mark.parametrize(("gsm", "mm"), [(1290, 2.0), (970, 1.5)])
def test_greyboard_has_the_caliper_of_a_box_makers_table(gsm: float, mm: float) -> None:
    assert typical_caliper(gsm) == mm


@given(st.floats(45, 3200), st.floats(1, 500))
def test_heavier_card_is_never_thinner(gsm: float, more: float) -> None:
    assert typical_caliper(gsm + more) >= typical_caliper(gsm) > 0


@given(st.sampled_from(CALIPERS[1:]))
def test_weight_and_caliper_are_told_from_each_other(pair: tuple[float, float]) -> None:
    assert typical_grammage(pair[1]) == pytest.approx(pair[0], abs=1)


def test_the_grammage_is_the_one_given_else_the_usual_one() -> None:
    assert Card(0.3, (210, 297), gsm=216.0).grammage == 216.0
    assert Card(0.3, (210, 297)).grammage == 250.0


def test_density_is_grammage_over_caliper() -> None:
    """ISO 534: 250 g/m2 at 300 um is 833 kg/m3."""
    assert Card(0.3, (210, 297), gsm=250.0).density == pytest.approx(833.33, abs=0.01)


def test_a_weight_and_a_caliper_that_agree_pass() -> None:
    (check,) = checks(Card(0.3, (210, 297), gsm=216.0))
    assert check.ok and check.name == "card-density"


@pytest.mark.parametrize(("caliper", "gsm", "limit"), [(0.1, 300.0, 1400.0), (1.0, 200.0, 400.0)])
def test_a_weight_and_a_caliper_that_contradict_each_other_are_a_warning(caliper: float, gsm: float, limit: float) -> None:
    (check,) = checks(Card(caliper, (210, 297), gsm=gsm))
    assert not check.ok
    assert (check.level, check.limit, check.figure) == ("warning", limit, gsm / caliper)
    assert "measure it again" in check.text


@pytest.mark.parametrize("source", ["weight", "assumed"])
def test_a_caliper_that_nobody_measured_is_a_warning(source: str) -> None:
    (check,) = checks(Card(0.3, (210, 297), gsm=250.0, caliper_from=source))  # type: ignore[arg-type]
    assert (check.name, check.level, check.ok) == ("card-caliper", "warning", False)


def test_a_caliper_that_was_measured_is_not_warned_of() -> None:
    assert checks(Card(0.3, (210, 297))) == ()

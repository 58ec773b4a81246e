"""Outside: pound weights of paper as g/m2.

Kind: published figures of the paper trade's conversion lists, rounded to a whole gram (20 lb bond to a tenth), and a
closed formula: 500 basic sheets weigh the pounds, so g/m2 = lb x 453.59237 / (500 x area), 1 in = 25.4 mm.
"""

from __future__ import annotations

import pytest
from scipy import constants

from booklet.lengths import BASIC_SIZES, MM_PER, gsm_per_pound, parse_caliper, parse_grammage, parse_mass


@pytest.mark.parametrize(
    ("text", "gsm", "within"),
    [
        ("65 lb cover", 176, 0.5),
        ("80 lb cover", 216, 0.5),
        ("100 lb cover", 270, 0.5),
        ("110 lb cover", 297, 0.6),  # 297.45 computed
        ("110 lb index", 199, 0.5),
        ("20 lb bond", 75.2, 0.05),
    ],
)
def test_a_pound_weight_is_the_published_grammage(text: str, gsm: float, within: float) -> None:
    assert parse_grammage(text) == pytest.approx(gsm, abs=within)


def test_110_pounds_span_the_published_range_over_the_categories() -> None:
    spans = [110 * gsm_per_pound(category) for category in BASIC_SIZES]
    assert (round(min(spans)), round(max(spans))) == (163, 414)


@pytest.mark.parametrize("category", BASIC_SIZES)
def test_the_factor_is_1406_139_over_the_basic_area(category: str) -> None:
    wide, high = BASIC_SIZES[category]
    assert gsm_per_pound(category) == pytest.approx(1406.139 / (wide * high), rel=1e-6)


def test_units_are_those_of_a_library_of_constants() -> None:
    """Kind: other library (scipy.constants, after the international yard and pound agreement)."""
    assert MM_PER["in"] / 1000 == constants.inch
    assert parse_mass("1 lb") == pytest.approx(constants.pound * 1000, rel=1e-12)
    assert parse_mass("1 oz") == pytest.approx(constants.ounce * 1000, rel=1e-12)
    assert parse_caliper("1 pt").mm == pytest.approx(constants.mil * 1000, rel=1e-12)

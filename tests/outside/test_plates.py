"""Bow of a base: w = k q a^4 / D, a simply supported rectangular plate under an even load.

Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells: k = 0.00406, 0.00772 and 0.01013 for sides as 1, 1.5 and 2 to 1, and 5/384 for
a long strip, which is a beam; D = E t^3 / 12 (1 - nu^2). From memory. Levy's single series for the same plate is the second check.
"""

from __future__ import annotations

import math

import pytest

from booklet import load


@pytest.mark.parametrize(("ratio", "k"), [(1.0, 0.00406), (1.5, 0.00772), (2.0, 0.01013)])
def test_the_series_gives_the_handbooks_coefficients(ratio: float, k: float) -> None:
    assert load.coefficient(ratio) == pytest.approx(k, abs=6e-6)


def test_a_long_plate_bows_as_a_beam_across_it() -> None:
    assert load.coefficient(40.0) == pytest.approx(5 / 384, rel=1e-3)


def levy(ratio: float) -> float:
    """Levy's single series for the middle, with q = a = D = 1."""
    total = 0.0
    for m in range(1, 40, 2):
        alpha = m * math.pi * ratio / 2
        term = 1 - (alpha * math.tanh(alpha) + 2) / (2 * math.cosh(alpha))
        total += (-1) ** ((m - 1) // 2) / m**5 * term
    return 4 / math.pi**5 * total


@pytest.mark.parametrize("ratio", [1.0, 1.15, 1.37, 2.6, 5.0, 9.0])
def test_both_series_agree_at_any_ratio_of_the_sides(ratio: float) -> None:
    assert load.coefficient(ratio) == pytest.approx(levy(ratio), rel=1e-6)


def test_a_square_base_by_hand() -> None:
    """400 g on 100 x 100 mm of 0.5 mm card: q = 392.4 Pa, D = 2e9 x 0.5e-3^3 / 10.92 = 0.022894 N m, w = 0.00406 q 0.1^4 / D."""
    stiff = 2e9 * 0.5e-3**3 / (12 * (1 - 0.3**2))
    by_hand = 0.00406 * (0.4 * 9.81 / 0.01) * 0.1**4 / stiff * 1000
    assert load.bow(400.0, (100.0, 100.0), ((0.5,),)) == pytest.approx(by_hand, rel=2e-3)
    assert by_hand == pytest.approx(6.96, abs=0.01)


def test_glued_layers_are_n_cubed_as_stiff_and_loose_ones_n() -> None:
    """Common practice, no source: for layers of one kind it follows from D."""
    one, span = load.bow(400.0, (120.0, 90.0), ((0.3,),)), (120.0, 90.0)
    for n in (2, 3, 4):
        assert load.bow(400.0, span, ((0.3,) * n,)) == pytest.approx(one / n**3)
        assert load.bow(400.0, span, ((0.3,),) * n) == pytest.approx(one / n)
    assert load.bow(400.0, span, ((0.3, 0.3), (0.3,))) == pytest.approx(one / 9)


def test_the_stiffness_taken_is_the_lower_of_the_usual_range() -> None:
    assert (load.CARD_E, load.NU) == (2e9, 0.3)

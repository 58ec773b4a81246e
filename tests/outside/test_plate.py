"""Sag of a plate: w = 0.00406 q a^4 / D, simply supported square plate under uniform load.

Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells; the coefficient is from memory. Checked here against
Navier's double series for the same plate (closed form, summed).
"""

from __future__ import annotations

import math

import pytest

from booklet import warnings


def navier(terms: int = 41) -> float:
    """Deflection at the middle of a square plate with q = a = D = 1."""
    odd = range(1, terms, 2)
    return sum(
        16 / math.pi**6 * math.sin(m * math.pi / 2) * math.sin(n * math.pi / 2) / (m * n * (m * m + n * n) ** 2) for m in odd for n in odd
    )


def test_the_coefficient_is_naviers() -> None:
    assert navier() == pytest.approx(0.00406, rel=2e-3)


def test_the_stiffness_taken_is_the_lower_of_the_usual_range() -> None:
    assert warnings.CARD_E == 2e9

"""The record in which every room reports what it found out about its own work."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Check:
    """One check: a figure against a limit in a unit, whether it holds, and a plain sentence.

    `level`: a "fault" stops the booklet, a "warning" is told in it.
    """

    name: str
    figure: float
    limit: float
    unit: str
    ok: bool
    text: str
    level: Literal["fault", "warning"] = "fault"


_UNKNOWN = 1e9
"""Stands for a figure that cannot be measured: such a check fails."""


def at_most(name: str, figure: float, limit: float, unit: str, text: str) -> Check:
    """A check that holds while the figure is at most the limit (NaN fails)."""
    figure = _UNKNOWN if math.isnan(figure) else figure
    return Check(name, round(float(figure), 6), limit, unit, bool(figure <= limit), text)


def at_least(name: str, figure: float, limit: float, unit: str, text: str) -> Check:
    """A check that holds while the figure is at least the limit (NaN fails)."""
    figure = -_UNKNOWN if math.isnan(figure) else figure
    return Check(name, round(float(figure), 6), limit, unit, bool(figure >= limit), text)


def warning(name: str, figure: float, limit: float, unit: str, text: str) -> Check:
    """Something that folds but is weak."""
    return Check(name, round(float(figure), 6), limit, unit, False, text, "warning")

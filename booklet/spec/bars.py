"""The bars that tell a printer's scale: how long they are, and what is believed of what somebody measured on them. Millimetres."""

from __future__ import annotations

from typing import Final

SHORT: Final = 100.0
"""Both bars of the booklet's print check."""

LONG: Final = (180.0, 240.0)
"""The bars of the test print, across and up: as long as A4 and Letter hold."""

READING: Final = 0.5
"""A ruler with whole millimetres is read to the half (common practice): what is off by less is not corrected."""

FARTHEST: Final = 0.04
"""A printer is out by 1 % at most; 2.7 % is a Letter page shrunk to A4, 6 % the other way (computed). Limit chosen by us."""

ALIKE: Final = 0.003
SHRUNK: Final = 0.985
"""Scales in both directions that are equal to the first and lie below the second look like a page fitted to the paper (chosen by us)."""

FITTED: Final = ((0.9727, "a Letter page on A4"), (0.9407, "an A4 page on Letter"))
"""How large a page comes out that is fitted to the other paper: 210 / 215.9 and 279.4 / 297."""

NEAR_FITTED: Final = 0.004
"""A scale so near to one of those is taken for it: half a millimetre on 100 mm is 0.005 (chosen by us)."""


def nominal(mm: float, axis: int) -> float:
    """The length of the bar that was measured, across (0) or up (1): the nearer one, by their ratio.

    >>> nominal(98.6, 0), nominal(177.3, 0), nominal(238.1, 1)
    (100.0, 180.0, 240.0)
    """
    return min((SHORT, LONG[axis]), key=lambda bar: abs(mm / bar - 1))


def scale(mm: float, axis: int) -> float:
    """How large the printer prints on an axis; exactly 1 where the bar is off by less than can be read.

    >>> scale(98.5, 0), scale(99.6, 0), scale(239.6, 1)
    (0.985, 1.0, 1.0)
    """
    bar = nominal(mm, axis)
    return 1.0 if abs(mm - bar) < READING - 1e-9 else mm / bar


def believed(mm: float, bar: float) -> bool:
    """Whether a bar can have come out at so many mm, or it is a misprint."""
    return abs(mm / bar - 1) <= FARTHEST + 1e-9


def fitted(scales: tuple[float, float]) -> bool:
    """Whether both scales are alike and so small that the page was likely fitted to the paper."""
    return abs(scales[0] - scales[1]) <= ALIKE + 1e-9 and max(scales) < SHRUNK - 1e-9


def known_fit(scale: float) -> str:
    """Which page on which paper comes out at this scale: "a Letter page on A4", or "" for none that is known.

    >>> known_fit(0.973), known_fit(0.942), known_fit(0.98)
    ('a Letter page on A4', 'an A4 page on Letter', '')
    """
    return next((told for known, told in FITTED if abs(scale - known) <= NEAR_FITTED), "")

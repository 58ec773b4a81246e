"""How far the inner leaves of a stapled booklet stand out at its front edge. Millimetres."""

from __future__ import annotations

PAPER = 0.1
"""mm, the caliper of paper of 80 g/m2 (common practice, no source)."""

GRAMMAGE = 80.0
"""g/m2 of the paper that a booklet is printed on."""

TOLD = 1.0
"""mm: less is seen by nobody and cut off by nobody (chosen by us)."""


def creep(leaves: int, caliper: float = PAPER) -> float:
    """How far the innermost leaf stands out over the outermost: each leaf pushes by its caliper (common practice, no source).

    >>> creep(3), creep(12)
    (0.3, 1.2)
    """
    return round(leaves * caliper, 6)


def told(leaves: int, caliper: float = PAPER) -> bool:
    """Whether it is more than a reader is left alone with."""
    return creep(leaves, caliper) > TOLD + 1e-9

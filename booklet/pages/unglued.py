"""What is not told of a box that holds without glue."""

from __future__ import annotations

from booklet.butts import needs_glue
from booklet.check import Check
from booklet.plan import Plan

ON_BONDS = frozenset(
    f"{of}.{what}"
    for of, some in {"bonds": "touch within faces held", "order": "undo touch once layers reach bonds"}.items()
    for what in some.split()
)
"""Checks of bonds."""


def checks_told(plan: Plan) -> tuple[Check, ...]:
    """The checks of a plan, those of bonds only where panels are glued."""
    return tuple(check for check in plan.checks if needs_glue(plan.net) or check.name not in ON_BONDS)

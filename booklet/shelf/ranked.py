"""The ranking as it is printed: lines to read, or records for another program."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from booklet.shelf.suggest import Cannot, Figures, Suggestion


def lines(found: Sequence[Suggestion], cannot: Sequence[Cannot]) -> Iterator[str]:
    """Those that can, each with its figures and a sentence on why; then those that cannot, with the reason."""
    if not found:
        yield "No style can hold the thing in this card."
    for rank, one in enumerate(found, 1):
        yield f"{rank:>2}  {one.name}: {figures(one.figures)}"
        yield f"    {one.why}"
    if any(not one.figures.true for one in found):
        yield "    (>= marks a bound: only the best three are planned in full)"
    if cannot:
        yield "Cannot hold it:"
    for no in cannot:
        yield f"    {no.name}: {no.why}"


def figures(f: Figures) -> str:
    """As "2 pieces, 1 sheet, 42 % wasted, 3 glue spots, 14 steps, 45 minutes"; >= before a figure that is a bound."""
    laid, true = "" if f.laid else ">= ", "" if f.true else ">= "
    glue = _count(f.glue, "glue spot") if f.glue else "no glue"
    return ", ".join(
        (
            _count(f.pieces, "piece"),
            f"{laid}{_count(f.sheets, 'sheet')}",
            f"{laid}{100 * f.waste:.0f} % wasted",
            glue,
            f"{true}{_count(f.steps, 'step')}",
            f"{true}{f.minutes} minutes",
        )
    )


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def as_json(found: Sequence[Suggestion], cannot: Sequence[Cannot]) -> dict[str, Any]:
    """`bounds`: the names of the figures that are bounds. `points`: what it was ranked by, fewer are better."""
    return {
        "suggestions": [_record(rank, one) for rank, one in enumerate(found, 1)],
        "refused": [{"name": no.name, "why": no.why} for no in cannot],
    }


def _record(rank: int, one: Suggestion) -> dict[str, Any]:
    f = one.figures
    bounds = (() if f.laid else ("sheets", "waste")) + (() if f.true else ("steps", "minutes"))
    return {
        "rank": rank,
        "name": one.name,
        "planned": f.true,
        "pieces": f.pieces,
        "sheets": f.sheets,
        "waste": round(f.waste, 4),
        "glue_spots": f.glue,
        "panels": f.panels,
        "steps": f.steps,
        "minutes": f.minutes,
        "closed": one.closed,
        "points": round(one.points, 1),
        "bounds": list(bounds),
        "why": one.why,
    }

"""Why a style stands where it does among those that are suggested: one sentence."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

MORE_MINUTES = 10
"""Less than this longer than the quickest is not told (chosen by us)."""

_ASKS = {"weight": "it bears a heavy thing", "round": "it is made for round things", "flat": "it can be kept flat until it is filled"}


@dataclass(frozen=True)
class Reason:
    """What the sentence is made from. `laid`: the sheets are those of a layout, `true`: the minutes those of a plan, else bounds."""

    name: str
    sheets: int
    pieces: int
    glue: int
    minutes: int
    closed: bool
    good_for: tuple[str, ...]
    laid: bool
    true: bool


def reasons(ranked: Sequence[Reason], own: str, closed: bool) -> list[str]:
    """A sentence for each, in their order. `own`: the style that the maker has now; `closed`: it closes."""
    return [_sentence(one, ranked, own, closed) for one in ranked]


def _sentence(one: Reason, ranked: Sequence[Reason], own: str, closed: bool) -> str:
    first = ranked[0]
    for_it, against = _strengths(one, ranked), _weaknesses(one, first, closed)
    if one.name == own:
        for_it.append("it is the style that you have")
    if not for_it:
        for_it = ["it holds the thing"]
    told = _listed(for_it)
    return f"{told[:1].upper()}{told[1:]}{f', but {_listed(against)}' if against else ''}."


def _strengths(one: Reason, ranked: Sequence[Reason]) -> list[str]:
    """In what it is among the best, where not all are."""

    def best(figure: Callable[[Reason], int], among: Sequence[Reason] = ranked) -> bool:
        """Whether it has the least, and some have more."""
        every = [figure(other) for other in among]
        return figure(one) == min(every) < max(every)

    found = []
    if one.laid and best(lambda r: r.sheets, [r for r in ranked if r.laid]):
        found.append(f"it takes the least card ({_count(one.sheets, 'sheet')})")
    if one.pieces == 1 and best(lambda r: r.pieces):
        found.append("it is cut from one piece")
    elif best(lambda r: r.pieces):
        found.append(f"it has the fewest pieces ({one.pieces})")
    if not one.glue and best(lambda r: r.glue):
        found.append("it needs no glue")
    if one.true and one.minutes == min(r.minutes for r in ranked if r.true) and len(ranked) > 1:
        found.append("it is the quickest of those planned" if sum(r.true for r in ranked) > 1 else "it is quick")
    return found + [_ASKS[key] for key in one.good_for]


def _weaknesses(one: Reason, first: Reason, closed: bool) -> list[str]:
    """What it has against it, beside the first."""
    found = []
    if closed and not one.closed:
        found.append("it stays open")
    if one is first:
        return found
    if one.sheets > first.sheets:
        found.append(f"it takes {'' if one.laid else 'at least '}{_count(one.sheets - first.sheets, 'sheet')} more than {first.name}")
    elif one.pieces > first.pieces:
        found.append(f"it has {_count(one.pieces - first.pieces, 'piece')} more than {first.name}")
    if one.glue > first.glue:
        found.append(f"it is glued in {_count(one.glue - first.glue, 'spot')} more")
    if one.true and one.minutes - first.minutes >= MORE_MINUTES:
        found.append(f"it takes {one.minutes - first.minutes} minutes longer")
    return found


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _listed(items: Sequence[str]) -> str:
    """As a, "a and b", "a, b and c"; what all have as their subject is said once."""
    told = [items[0], *(item.removeprefix("it ") if items[0].startswith("it ") else item for item in items[1:])]
    return told[0] if len(told) == 1 else f"{', '.join(told[:-1])} and {told[-1]}"

"""What can hurt with one box: by what it is cut and glued with, and by what goes into it. Ids only; their words are in `layouts/`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from booklet.butts import needs_glue
from booklet.plan import Plan

Reader = Literal["maker", "pupil", "buyer"]
"""Who reads it: who cuts and makes it all (so does a teacher), who makes it in a lesson, who bought the kit."""


@dataclass(frozen=True, slots=True)
class Hazard:
    """One hazard by its name, which is that of its words and of its pictogram. `aid`: the name of its first aid, empty for none."""

    name: str
    aid: str = ""


KNOWN: Mapping[str, Hazard] = MappingProxyType(
    {
        name: Hazard(name, aid)
        for name, aid in {
            "candle": "burn",
            "lamp": "burn",
            "contact": "fumes",
            "magnets": "",
            "small-parts": "",
            "hot-melt": "hot-glue",
            "knife": "cut",
            "force": "cut",
            "awl": "cut",
            "pins": "cut",
            "food": "",
            "white-glue": "eye",
            "tape": "",
            "weights": "",
            "edges": "cut",
        }.items()
    }
)
"""Every hazard that there are words for, the worst first: so they are told. A swallowed thing and a choking one have their
first aid in their own text."""

GLUES: Mapping[str, str] = MappingProxyType(
    {"pva": "white-glue", "glue-stick": "white-glue", "tape": "tape", "hot-melt": "hot-melt", "contact": "contact"}
)
"""The hazard of each kind of glue."""

PRESSED = ("pva", "glue-stick")
"""Glues whose bonds dry under a weight; the others hold as soon as they are pressed."""

EYES = ("pva", "glue-stick", "hot-melt", "contact")
"""Glues that can get into an eye."""


def reader_of(plan: Plan) -> Reader:
    """For whom the steps of the plan's layout are written."""
    readers: Mapping[str, Reader] = {"class": "pupil", "kit": "buyer"}
    return readers.get(plan.spec.booklet.shipped, "maker")


def hazards(plan: Plan, reader: Reader = "maker") -> tuple[Hazard, ...]:
    """The hazards that this box has for a reader, the worst first; each once."""
    found = {*_of_tools(plan, reader), *_of_glue(plan, reader), *plan.spec.safety.hazards}
    if reader == "pupil":  # whoever buys card and a knife knows its edges
        found.add("edges")
    return tuple(hazard for name, hazard in KNOWN.items() if name in found)


def cuts(plan: Plan, reader: Reader = "maker") -> bool:
    """Whether the reader cuts: not where the card comes cut and no covering is asked for, nor a pupil who is too young for a blade."""
    covers = reader == "maker" and plan.spec.covering is not None
    return (covers or plan.spec.supplied != "pre-cut") and not (reader == "pupil" and plan.spec.safety.no_blades)


def pricks(plan: Plan, reader: Reader = "maker") -> bool:
    """Whether the reader pricks points through: printed templates on paper, or half-cuts that are made on the face that is not printed."""
    if not cuts(plan, reader):
        return False
    if plan.spec.page.print_on == "paper":
        return plan.leaves > 0
    return plan.thickness.way == "half-cut" and plan.net.marks == "inside"


def pressed_hard(plan: Plan) -> bool:
    """Whether the card is so thick that a blade is pressed: half-cut or cut as boards, not creased."""
    return plan.thickness.way != "crease" or any(part.role == "board" for part in plan.net.parts)


def glued(plan: Plan) -> bool:
    """Whether the box needs glue at all: for its panels, or for the film of its window."""
    window = plan.spec.window
    return needs_glue(plan.net) or bool(window and window.film)


def aids(plan: Plan, reader: Reader = "maker") -> tuple[str, ...]:
    """The names of the first aid for what the box has, each once."""
    found = [hazard.aid for hazard in hazards(plan, reader) if hazard.aid]
    if glued(plan) and plan.spec.glue.kind in EYES:
        found.append("eye")
    return tuple(dict.fromkeys(found))


def _of_tools(plan: Plan, reader: Reader) -> Iterator[str]:
    if cuts(plan, reader):
        yield "knife"
        if pressed_hard(plan):
            yield "force"
    if pricks(plan, reader):
        yield "awl"


def _of_glue(plan: Plan, reader: Reader) -> Iterator[str]:
    if not glued(plan):
        return
    kind = plan.spec.glue.kind
    yield GLUES[kind]
    boards = any(step.words == "close-board-over" for step in plan.net.steps)
    if boards or (reader == "pupil" and kind in PRESSED):  # a book on a box of thin card is no danger to a grown maker
        yield "weights"

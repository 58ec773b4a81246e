"""Steps without words: what stands under each picture as signs and figures, and which signs a booklet has to explain.

The signs follow from the facts of a step, as its sentence does; of the layout only the seconds that a glue is pressed are taken.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from booklet.drawing.labels import marked
from booklet.drawing.pen import Pen
from booklet.drawing.signs import GAP, SIDE, SIGNS, Sign, draw_sign, draw_signs, height, rows
from booklet.net import Step
from booklet.pages.sentences import StepFacts
from booklet.pages.telling import Telling
from booklet.pages.words import Words, faced
from booklet.pdf.flow import Picture
from booklet.plan import Plan

TIMES = "\u00d7"
"""Before a number: so many times. No letter."""

DEGREES = "\u00b0"

TEXT_PT = 9.0
"""Type of the legend, points."""

_DONE: dict[str, tuple[str, ...]] = {
    "trial": ("trial",),
    "crease": ("pre-crease",),
    "lay-wrap": (),
    "lay-board": (),
    "lay-strip": ("stand",),
    "turn-flat": ("turn-over",),
    "turn-over": ("turn-over",),
    "turn-upright": ("stand",),
    "hem": ("fold-flat",),
    "hem-over": ("fold-flat",),
    "join": ("edges",),
    "join-across": ("edges",),
    "over": ("fold-flat", "no-glue"),
    "over-glue": ("fold-flat",),
    "square": ("square",),
    "fold-flat": ("fold-flat",),
    "close": ("tuck",),
    "put-item": ("item-in",),
    "dry-fit": ("angle", "try-on", "no-glue"),
    "close-lid": ("lid-on",),
    "score-boards": ("knife",),
    "close-board-on-wrap": ("knife", "edges"),
    "wrap": ("angle",),
    "close-board": ("edges", "press"),
    "close-board-over": ("edges", "press"),
}
"""Signs by the key of a step; a step that is not named here folds to an angle, or brings a part to its place."""


def signs_of(plan: Plan, words: Words, step: Step, warned: bool) -> tuple[Sign, ...]:
    """The signs of a step in the order in which they are read. `warned`: a warning stands before it."""
    told = Telling(plan, step)
    found = [Sign("caution")] if warned else []
    found += [Sign(name, _degrees(told, words) if name in ("angle", "square") else "") for name in _names(plan, told)]
    found += _times(plan, told)
    return (*found, *(_glued(words, told) if step.bonds else ()))


def _names(plan: Plan, told: Telling) -> tuple[str, ...]:
    key = told.step.words
    if plan.net.ready and key == "close-board-on-wrap":
        return ("edges",)
    if key == "score":
        return ("half-cut" if plan.thickness.way == "half-cut" else "score", "knife")
    if key == "fold" and (told.tucked or told.cornered):
        return _DONE["close"]
    if key == "square" and told.corners != (90.0,):
        return ("angle",)  # no set square has it
    return _DONE.get(key, ("angle",) if told.folds else ("lid-on",))


def _degrees(told: Telling, words: Words) -> str:
    return ", ".join(f"{marked(f'{round(angle, 1):g}', words.decimal)}{DEGREES}" for angle in told.corners)


def _times(plan: Plan, told: Telling) -> Iterator[Sign]:
    """How many panels or pieces are done alike, where no numbers of glue tell it; at the end, how many boxes."""
    step, copies = told.step, plan.spec.booklet.copies
    count = len(told.part.pieces) if step.words == "score" else len({faced(name) for name in told.moved})
    if count > 1 and not step.bonds and step.words not in ("crease", "square", "trial", "dry-fit"):
        yield Sign("repeat", f"{TIMES}{count}")
    if step.number == len(plan.net.steps) and copies > 1 and plan.spec.booklet.shipped != "kit":  # who buys a kit makes one
        yield Sign("repeat", f"{TIMES}{copies}")


def _glued(words: Words, told: Telling) -> tuple[Sign, ...]:
    """The numbers of the bonds as on the glue map, how they are pressed, and for how long."""
    numbers = _runs([number + 1 for number in told.step.bonds])
    press = "inside-press" if told.step.words == "fold-last" else "press"
    return Sign("glue", numbers), Sign(press), Sign("clock", f"{words('glue', told.plan.spec.glue.kind, 'seconds')} s")


def _runs(numbers: Sequence[int]) -> str:
    """Numbers, a run of four or more by its ends: "1-4", "3, 7"."""
    each = sorted(numbers)
    if len(each) > 3 and each[-1] - each[0] == len(each) - 1:
        return f"{each[0]}-{each[-1]}"
    return ", ".join(map(str, each))


def strips(plan: Plan, words: Words, steps: Iterable[StepFacts]) -> tuple[tuple[Sign, ...], ...]:
    """The signs of every step."""
    return tuple(signs_of(plan, words, step, fact.warning is not None) for step, fact in zip(plan.net.steps, steps, strict=True))


class Strip(Picture):
    """The signs of a step, in as many rows as the width of its cell asks for, mm."""

    def __init__(self, signs: Sequence[Sign], width: float, pen: Pen):
        high = height(len(rows(pen, signs, width)))
        super().__init__(width, high, lambda own: draw_signs(own, signs, (0.0, 0.0, width, high)))


def used(found: Iterable[Sequence[Sign]]) -> list[str]:
    """The names of all signs, each once, in the order of the legend."""
    names = {sign.name for strip in found for sign in strip}
    return [name for name in SIGNS if name in names]


ROW = 11.0
"""mm from sign to sign in the legend (chosen by looking)."""


def legend_height(names: Sequence[str], columns: int) -> float:
    """How high the legend is, mm."""
    return -(-len(names) // columns) * ROW


def draw_legend(pen: Pen, names: Sequence[str], said: Sequence[str], columns: int, area: tuple[float, float, float, float]) -> None:
    """The signs down several columns, each with its words."""
    deep, wide = -(-len(names) // columns), (area[2] - area[0]) / columns
    for n, (name, text) in enumerate(zip(names, said, strict=True)):
        x, y = area[0] + n // deep * wide, area[3] - n % deep * ROW - SIDE
        draw_sign(pen, Sign(name), (x, y))
        pen.text((x + SIDE + 4 * GAP, y + SIDE / 2 - 1.1), text, TEXT_PT)

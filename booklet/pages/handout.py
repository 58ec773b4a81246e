"""A pupil's handout: the steps of `booklet.handout` in words and pictures, six a side. The part `handout` and its drawing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import Any

from booklet import handout, hazards
from booklet.drawing.recording import RecordingPen
from booklet.drawing.signs import Sign
from booklet.handout import Cell, Side
from booklet.pages import strips
from booklet.pages.sentences import Signal, sentence, signal
from booklet.pages.steps import in_signs, in_words
from booklet.pages.words import Words
from booklet.pdf import blocks
from booklet.pdf.cells import CellRow, cell_rows
from booklet.plan import Plan

LEAST, MOST = 52.0, 125.0
"""mm: the first row of steps is at least and at most so high; the head has the rest of its side (chosen by looking)."""


class Handout:
    """What a pupil needs and reads. Raises `BookletError` where a language lacks words."""

    def __init__(self, plan: Plan, words: Words):
        self._plan, self._words = plan, words

    @cached_property
    def cells(self) -> tuple[Cell, ...]:
        """The steps."""
        return handout.cells(self._plan)

    @property
    def pre_cut(self) -> bool:
        """Whether the pupil gets pieces that are ready to fold."""
        return handout.pre_cut(self._plan)

    @property
    def sides(self) -> int:
        """Printed sides."""
        return len(handout.sides(self._plan))

    @property
    def leaves(self) -> int:
        """Leaves of paper."""
        return handout.leaves(self._plan)

    @cached_property
    def numbers(self) -> dict[int, int | str]:
        """The number in the handout of each step of the net, by its own; "" for one that is the teacher's."""
        told: dict[int, int | str] = {step.number: "" for step in self._plan.net.steps}
        return told | {self._plan.net.steps[n].number: k for k, cell in enumerate(self.cells, 1) for n in cell.steps}

    @property
    def adult_glues(self) -> bool:
        """Whether the glue is in an adult's hand."""
        return handout.adult_glues(self._plan)

    @cached_property
    def notes(self) -> tuple[Signal, ...]:
        """The warnings that concern a pupil, the worst first."""
        return tuple(signal(self._words, name) for name in handout.notes(self._plan))

    @cached_property
    def needs(self) -> tuple[str, ...]:
        """What lies on the table, a sentence each."""
        return tuple(self._words.said(f"handout.need.{key}", **given) for key, given in self._needs())

    def _needs(self) -> list[tuple[str, dict[str, Any]]]:
        plan = self._plan
        folded = plan.net.folded
        pieces = len(plan.pieces)
        found: list[tuple[str, dict[str, Any]]] = [("pieces" if self.pre_cut else "card", {"n": pieces if self.pre_cut else plan.sheets})]
        if not self.pre_cut:
            found += [("templates", {"n": plan.leaves})] * (plan.leaves > 0 and plan.spec.page.print_on == "paper")
            found += [("needle", {})] * hazards.pricks(plan, "pupil")
            found += [("knife", {}), *([("scorer", {})] if folded and plan.thickness.way == "crease" else [])]
        found.append(("ruler", {}))
        if hazards.glued(plan):
            found.append((f"glue.{'adult' if self.adult_glues else plan.spec.glue.kind}", {}))
        found.append(("pencil", {}))
        return found

    def text(self, cell: Cell) -> str:
        """The sentences of a cell, those of all its steps."""
        return " ".join(self._sentence(n) for n in cell.steps)

    def _sentence(self, n: int) -> str:
        step = self._plan.net.steps[n]
        return sentence(self._plan, self._words, step, self.pre_cut)


def at_the_head(plan: Plan, cell: int | None = None) -> tuple[str, ...]:
    """The hazards whose warnings are not told again before a step, by the index of its cell from 0; of none, on the other sides.

    That of the knife stands over the first step already, as all do over the steps of the first side. On a narrow page a warning leaves
    no room for the picture of its step, and all of them have a side of their own.
    """
    under = cell is not None and cell < handout.first(plan)
    return handout.notes(plan) if under or plan.spec.page.paper[0] < handout.NARROW else ("knife",)


class _Row(CellRow):
    """A row that takes what its page leaves."""

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Called by platypus."""
        self.height = min(max(height - 1.0, blocks.points(LEAST)), blocks.points(MOST))
        return super().wrap(width, self.height)


def steps(pictures: Any, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
    """The steps of the first side, with `first`, as a row that takes what the head leaves; else those of all other sides."""
    part = pictures.more["handout"]
    cells = [_cell(pictures, part, n, cell) for n, cell in enumerate(part.cells)]
    first, *others = handout.sides(pictures.plan)[handout.heads(pictures.plan) - 1 :]
    gutter, number = pictures.settings.steps_gutter, pictures.settings.type.step_number
    if "first" in arguments:
        wide = blocks.points((width - gutter) / 2)
        return [_Row(cells[: first.end], blocks.points(LEAST), wide, blocks.points(gutter), number)] if first.end else []
    rows = []
    for side in others:
        grid = side.columns, side.rows
        rows += list(cell_rows(_some(cells, side), grid, width, pictures.frame_height - 1.0, gutter, number))
    return rows


def _some(cells: Sequence[Any], side: Side) -> Sequence[Any]:
    return cells[side.first : side.end]


def _cell(pictures: Any, part: Handout, n: int, cell: Cell) -> Any:
    """A step as a pupil sees it: in words, or with signs alone."""
    plan, told = pictures.plan, [pictures.facts.steps[k] for k in cell.steps]
    alt = " ".join(pictures.told.step(k) for k in cell.steps)
    if pictures.facts.wordless:
        signs = [sign for k in cell.steps for sign in strips.signs_of(plan, pictures.words, plan.net.steps[k], False)]
        own = [sign for sign in signs if sign != _of_all(plan)]
        strip = strips.Strip(own, 0.45 * plan.spec.page.paper[0] - 12, RecordingPen())
        return in_signs(pictures, n + 1, cell.shown, strip, alt)
    above = at_the_head(plan, n)
    warned = next((fact.warning for fact in told if fact.warning and fact.warning.sign not in above), None)
    return in_words(pictures, n + 1, cell.shown, part.text(cell), warned, alt)


def _of_all(plan: Plan) -> Sign:
    """The sign that tells how many boxes are made: a pupil makes one."""
    return Sign("repeat", f"{strips.TIMES}{plan.spec.booklet.copies}")

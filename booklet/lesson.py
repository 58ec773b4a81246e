"""A box made by a class in lessons: the minutes of each part of the work, what is prepared, totals with a spare. Ids and figures only.

All times are estimates, by the pace of `materials`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from booklet import cuts, handout, hazards, materials, sheets, worksheet
from booklet.handout import Cell
from booklet.materials import MINUTES
from booklet.net import Step
from booklet.plan import Plan

DRY = {"pva": 20, "glue-stick": 10, "tape": 0, "hot-melt": 2, "contact": 10}
"""Minutes until a box can be loaded, by the kind of glue (common practice, no source; those of the words for the glue)."""

INTRODUCE, AGAIN, TIDY, FIT = 8, 3, 5, 4
"""Minutes to introduce the box and hand out, to hand out again in a further lesson, to tidy, to check the fit (chosen by us)."""

A_CHECK, A_QUESTION = 1.5, 2.0
"""Minutes to measure one thing on the pieces, and to answer one question of the worksheet (chosen by us)."""

BEND = 0.25
"""Minutes to bend one fold line to and fro before the gluing (chosen by us)."""

SETTING, PRICKED = 0.25, 2.0
"""Minutes to lay the ruler on once, and to bring one template on to the card: fix it, and prick its corners through (chosen by us)."""

BY_ADULT = 0.5
"""Minutes in which an adult makes one bond on the box of a pupil, who holds the parts (chosen by us)."""

IN_HAND = 3
"""Minutes at least that are told as time in hand (chosen by us)."""

PACES = ((10, 1.5), (12, 1.25))
"""Under an age in years hands take so many times as long (chosen by us)."""

WHOLE = ("dry", "worksheet", "finish", "fit")
"""Phases that are better not parted by the end of a lesson."""

SPARE = 0.25
"""Share by which the phases are made longer where the lesson is; what is over that is time in hand (chosen by us)."""

A_TABLE = 4
"""Pupils who share the tools of one table (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Phase:
    """A part of a lesson. `first`, `last`: the steps of the handout that it holds, from 1; 0 for none. `goes_on`: it was begun before."""

    key: str
    minutes: int
    first: int = 0
    last: int = 0
    goes_on: bool = False


@dataclass(frozen=True, slots=True)
class Work:
    """A part of the work before it is laid into lessons, in minutes as reckoned."""

    key: str
    minutes: float
    first: int = 0
    last: int = 0


def spared(number: float) -> int:
    """A number with a tenth to spare, rounded up.

    >>> spared(24), spared(10), spared(2.64)
    (27, 11, 3)
    """
    return math.ceil(round(number * 11, 6) / 10)


def pace(age: int | None) -> float:
    """How many times as long as a beginner an age takes."""
    return next((times for under, times in PACES if age is not None and age < under), 1.0)


def timed(work: Sequence[Work], minutes: int) -> tuple[tuple[Phase, ...], ...]:
    """The work in as few lessons as it takes, each of so many minutes, whole and at least 1 for each phase.

    `minutes` is 20 or more. Each lesson begins with handing out and ends with tidying; several are about equally full. What is over
    makes the phases longer, and what is over still stands as time in hand before the tidying.
    """
    needs = [(one, max(1, math.ceil(one.minutes - 1e-9))) for one in work]
    fewest = len(_laid(needs, minutes, minutes))
    first = math.ceil(sum(need for _, need in needs) / fewest)
    laid = next(found for most in range(first, minutes + 1) if len(found := _laid(needs, minutes, most)) == fewest)
    return tuple((*_widened(phases, minutes - TIDY - sum(one.minutes for one in phases)), Phase("tidy", TIDY)) for phases in laid)


def _laid(needs: Sequence[tuple[Work, int]], minutes: int, most: int) -> list[list[Phase]]:
    """The work laid into lessons in its order, at most so many minutes of it in each; what is better not parted goes over whole."""
    lessons: list[list[Phase]] = []
    left = [(one, need, False) for one, need in needs]
    while left:
        start = Phase("again", AGAIN) if lessons else Phase("introduce", INTRODUCE)
        room, phases = min(minutes - start.minutes - TIDY, most), [start]
        while left and room:
            one, need, on = left[0]
            whole = minutes - AGAIN - TIDY
            if need > room and one.key in WHOLE and need <= min(whole, most) and len(phases) > 1:
                break
            taken = min(need, room)
            room -= taken
            phases.append(Phase(one.key, taken, one.first, one.last, on))
            left[:1] = [(one, need - taken, True)] if need > taken else []
        lessons.append(phases)
    return lessons


def _widened(phases: Sequence[Phase], room: int) -> list[Phase]:
    """Phases of work made longer by what is over, as evenly as whole minutes allow; the rest in hand."""
    work = phases[1:]
    whole = sum(one.minutes for one in work)
    more = min(room, int(SPARE * whole))
    more = room if room - more < IN_HAND else more
    shares = [more * one.minutes / whole for one in work]
    longer = [replace(one, minutes=one.minutes + plus) for one, plus in zip(work, materials.whole(shares, more), strict=True)]
    return [phases[0], *longer, *([Phase("spare", room - more)] if room > more else [])]


@dataclass(frozen=True)
class Lesson:
    """The lesson of a plan."""

    plan: Plan

    @property
    def pupils(self) -> int:
        """How many make a box."""
        return self.plan.spec.booklet.copies

    @cached_property
    def pre_cut(self) -> bool:
        """Whether pupils get pieces that are cut and scored."""
        return handout.pre_cut(self.plan)

    @property
    def prepared(self) -> bool:
        """Whether the teacher cuts and scores the pieces."""
        return self.pre_cut and self.plan.spec.supplied != "pre-cut"

    @cached_property
    def cells(self) -> tuple[Cell, ...]:
        """The steps of the handout."""
        return handout.cells(self.plan)

    @cached_property
    def glued(self) -> bool:
        """Whether the box needs glue."""
        return hazards.glued(self.plan)

    @cached_property
    def work(self) -> tuple[Work, ...]:
        """What is done between the introduction and the tidying, in its order."""
        slow = pace(self.plan.spec.safety.age)
        found = [Work(key, slow * sum(self._minutes(k - 1) for k in range(a, b + 1)), a, b) for key, a, b in self._runs if b >= a]
        checks = Work("check", slow * A_CHECK * self.measured)
        found = [*(one for one in found if one.key == "cut"), checks, *(one for one in found if one.key != "cut")]
        questions = Work("dry" if self.glued and DRY[self.kind] else "worksheet", self._worksheet)
        fit = Work("fit", FIT)
        at = next((n for n, one in enumerate(found) if one.key == "finish"), len(found))
        return tuple([*found[:at], questions, *found[at:], fit] if self.glued else [*found, fit, questions])

    @property
    def kind(self) -> str:
        """The kind of glue."""
        return self.plan.spec.glue.kind

    @property
    def _worksheet(self) -> float:
        """Minutes for the worksheet, but no fewer than the glue dries."""
        return max(A_QUESTION * len(worksheet.questions(self.plan)), DRY[self.kind] if self.glued else 0.0)

    @cached_property
    def measured(self) -> int:
        """How many things are measured on the pieces."""
        from booklet import selftest

        return max(1, len(selftest.tests(self.plan.net, self.plan.spec.booklet.grid.mark)))

    @property
    def _runs(self) -> list[tuple[str, int, int]]:
        """The steps of the handout by what is done: cut, fold, glue from the first bond to the last, then finish. From 1."""
        cut = sum(any(self._steps(k)[n].words in handout.CUT_OUT for n in range(len(self._steps(k)))) for k in range(len(self.cells)))
        glue = [k + 1 for k in range(len(self.cells)) if any(self._bonds(step) for step in self._steps(k))]
        put = [k + 1 for k in range(len(self.cells)) if self._steps(k)[-1].kind in ("put", "close")]
        first, last = (min(glue), max(glue)) if glue else (min(put, default=len(self.cells) + 1), 0)
        end = max(last, first - 1, cut)
        bend = "fold" if self.plan.net.folded else "lay"
        return [("cut", 1, cut), (bend, cut + 1, first - 1), ("glue", max(first, cut + 1), last), ("finish", end + 1, len(self.cells))]

    def _steps(self, k: int) -> list[Step]:
        return [self.plan.net.steps[n] for n in self.cells[k].steps]

    def _bonds(self, step: Step) -> int:
        """Bonds that a step makes, and edges of boards that it glues."""
        boards = step.words.startswith("close-board") and any(part.role == "board" for part in self.plan.net.parts)
        return len(step.bonds) + boards * sum(
            butt.parts[0][0] == step.part or butt.parts[1][0] == step.part for butt in self.plan.net.butts
        )

    def _minutes(self, k: int) -> float:
        """Minutes that a cell of the handout takes, at the pace of `materials`."""
        return sum(self._of_step(step) for step in self._steps(k))

    def _of_step(self, step: Step) -> float:
        part = self.plan.net.part[step.part]
        creases = [fold.name for fold in part.folds if fold.kind == "crease" and fold.bends]
        if step.words in handout.CUT_OUT:
            parts = sum(one.words in handout.CUT_OUT for one in self.plan.net.steps)
            return MINUTES["step"] + self.cutting / parts
        if step.words == "crease":
            return MINUTES["step"] + BEND * len(creases)
        turned = sum(name in creases for name, _ in step.folds)
        bond = (
            max(MINUTES["bond"], BY_ADULT * self.pupils / self.plan.spec.lesson.adults)
            if handout.adult_glues(self.plan)
            else MINUTES["bond"]
        )
        return MINUTES["step"] + MINUTES["fold"] * turned + bond * self._bonds(step)

    @cached_property
    def cutting(self) -> float:
        """Minutes to bring the templates of one box on to the card, and to score and cut it."""
        plan, needs = self.plan, self.plan.materials
        laid = sum(
            count * cuts.settings(one for one in plan.cuts if (one.part, one.piece) == (part.name, piece.name))
            for part, piece, count in plan.templates
        )
        pricked = PRICKED * len(plan.pieces) if hazards.pricks(plan) else 0.0
        return MINUTES["cut_per_m"] * (needs.cut_mm + needs.score_mm) / 1000 + SETTING * laid + pricked

    @cached_property
    def lessons(self) -> tuple[tuple[Phase, ...], ...]:
        """The time plan of each lesson."""
        return timed(self.work, self.plan.spec.lesson.minutes)

    @property
    def needed(self) -> int:
        """Minutes that all of it takes in one lesson."""
        return INTRODUCE + TIDY + sum(max(1, math.ceil(one.minutes - 1e-9)) for one in self.work)

    @cached_property
    def if_prepared(self) -> int:
        """In how many lessons it is done where what pupils cut is cut before."""
        return len(timed([one for one in self.work if one.key != "cut"], self.plan.spec.lesson.minutes))

    @property
    def to_prepare(self) -> int:
        """Minutes that the teacher cuts and scores for all boxes and the spare ones, to the next 5."""
        return 5 * math.ceil(spared(self.pupils) * self.cutting / 5)

    @property
    def tables(self) -> int:
        """Tables of four."""
        return math.ceil(self.pupils / A_TABLE)

    @property
    def templates(self) -> int:
        """Template pages to print: one set for whoever cuts."""
        plan = self.plan
        if plan.spec.supplied == "pre-cut" or plan.spec.page.print_on == "card":
            return 0
        return plan.leaves * (1 if self.pre_cut else self.pupils)

    def sheets_for(self, boxes: int) -> tuple[int, int]:
        """Sheets of card, and of the paper of wraps, that so many boxes take."""
        plan = self.plan
        if plan.many:
            each = [sheets.gang(kind, plan.card, boxes).sheets for kind in sheets.kinds(plan.net)]
        else:
            each = [count * boxes for _, count in sheets.counted(plan.net, plan.placed)]
        return each[0], sum(each[1:])

    @property
    def leaves(self) -> int:
        """Leaves of one handout."""
        return handout.leaves(self.plan)


def mistakes(plan: Plan) -> tuple[str, ...]:
    """What often goes wrong with this box, by the names of the words: only what it can have, the most likely first."""
    net, steps = plan.net, {step.words for step in plan.net.steps}
    roles, parts = {panel.role for part in net.parts for panel in part.panels}, {part.role for part in net.parts}
    glued, folded = hazards.glued(plan), net.folded
    found = {
        "half-cut-face": folded and plan.thickness.way == "half-cut",
        "fold-way": folded,
        "springs": folded and glued,
        "flap-side": glued and any("flap" in role for role in roles) and bool(net.bonds),
        "ring": "square" in steps,
        "hem": "hem" in roles,
        "web": "inner-web" in roles,
        "lid": "lid" in parts,
        "hinged": "close-hinged" in steps,
        "drawer": "drawer" in parts,
        "tuck": "tuck" in roles,
        "tongue": "tongue" in roles,
        "feet": "roll-over-feet" in steps,
        "teeth": "tooth" in roles,
        "roll": any(fold.kind == "roll" for part in net.parts for fold in part.folds),
        "boards": bool(net.butts),
        "wrap": "wrap" in parts,
        "slots": not folded and "insert" in parts,
        "alike": any(len(part.pieces) > 1 and len({piece.template for piece in part.pieces}) > 1 for part in net.parts),
        "warp": glued and plan.spec.glue.kind == "pva",
        "early": glued and plan.spec.glue.kind == "contact",
        "late": glued and plan.spec.glue.kind in ("hot-melt", "glue-stick"),
        "tape": glued and plan.spec.glue.kind == "tape",
    }
    return tuple(name for name, has in found.items() if has)

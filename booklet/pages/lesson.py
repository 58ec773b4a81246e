"""The teacher's sheet in words: time plan, preparation, totals, bags, mistakes. The part `lesson` of the templates.

What a template sees: `pupils`, `age`, `minutes`, `adults` and `per_adult`; `aims`, `prepare` and `bag`, sentences; `days`, the lessons as
`Day`s; `totals`, `tools` and `mistakes`, rows of tables; `pre_cut`, `prepared`, `fits`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from booklet import handout, hazards, lesson, worksheet
from booklet.lesson import Phase, spared
from booklet.pages.figures import figures_of
from booklet.pages.texts import plain
from booklet.pages.words import Words
from booklet.plan import Plan

TAPE = 10.0
"""mm: width of the tape that is laid along the bonds (chosen by us; tapes are 6 to 12 mm wide)."""


@dataclass(frozen=True, slots=True)
class Row:
    """A phase of a lesson: from and to which minute, how many they are, what is done, and what the teacher does meanwhile."""

    time: str
    minutes: int
    pupils: str
    teacher: str


@dataclass(frozen=True, slots=True)
class Day:
    """One lesson: its number from 1, and its phases."""

    number: int
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Total:
    """What is needed in all: for the group, and with a tenth to spare."""

    name: str
    plain: str
    spare: str


@dataclass(frozen=True, slots=True)
class Mistake:
    """What is seen, and how it is mended."""

    seen: str
    mend: str


class Lesson:
    """The lesson of a plan. Raises `BookletError` where a language lacks words, and what `handout.allowed` refuses."""

    def __init__(self, plan: Plan, words: Words):
        handout.allowed(plan)
        self._plan, self._words, self._tell = plan, words, figures_of(plan, words)
        self._lesson = lesson.Lesson(plan)
        self.age, self.knife_age = plan.spec.safety.age or 0, plan.spec.safety.knife_age
        self.pupils, self.minutes, self.adults = plan.spec.booklet.copies, plan.spec.lesson.minutes, plan.spec.lesson.adults

    def _said(self, key: str, **given: Any) -> str:
        return self._words.said(f"class.{key}", **given)

    @property
    def pre_cut(self) -> bool:
        """Whether the pupils get pieces that are cut and scored."""
        return self._lesson.pre_cut

    @property
    def prepared(self) -> bool:
        """Whether the teacher cuts and scores them."""
        return self._lesson.prepared

    @property
    def per_adult(self) -> int:
        """Pupils to an adult."""
        return math.ceil(self.pupils / self.adults)

    @property
    def fits(self) -> bool:
        """Whether all of it is done in one lesson."""
        return len(self._lesson.lessons) == 1

    @property
    def needed(self) -> str:
        """How long all of it takes in one go."""
        return self._tell.time(self._lesson.needed)

    @property
    def count(self) -> int:
        """How many lessons it takes."""
        return len(self._lesson.lessons)

    @property
    def if_prepared(self) -> int:
        """How many it takes where all is cut before; as many as `count` where that saves none."""
        return self._lesson.if_prepared

    @cached_property
    def aims(self) -> tuple[str, ...]:
        """What is learned."""
        plan = self._plan
        folded = plan.net.folded
        kinds = {one.kind for one in worksheet.questions(plan)}
        found = ["net" if folded else "boards", "measure_in" if plan.spec.units == "in" else "measure"]
        found += ["fold"] * folded + ["cut"] * (not self.pre_cut) + ["glue"] * hazards.glued(plan)
        found += ["volume" if "volume" in kinds else "area"]
        return tuple(self._said(f"aim.{key}") for key in found)

    @cached_property
    def days(self) -> tuple[Day, ...]:
        """The time plan of each lesson; the minutes of each add up to its length."""
        return tuple(Day(n, tuple(self._rows(phases))) for n, phases in enumerate(self._lesson.lessons, 1))

    def _rows(self, phases: tuple[Phase, ...]) -> Iterator[Row]:
        at = 0
        for phase in phases:
            to = self._said("minutes", first=at, last=at + phase.minutes)
            yield Row(to, phase.minutes, self._phase(phase, "pupils"), self._phase(phase, "teacher"))
            at += phase.minutes

    def _phase(self, phase: Phase, who: str) -> str:
        """What is done in a phase; where it has steps of the handout, these are named."""
        key = f"phase.{phase.key}.{who}"
        if phase.key == "dry" and who == "teacher":
            return self._said(key, dry=self._words("glue", self._plan.spec.glue.kind, "dry_time"))
        given = {"checks": self._lesson.measured} if phase.key == "check" and who == "pupils" else {}
        if phase.key == "glue" and handout.adult_glues(self._plan):
            apart = self._plan.spec.glue.kind == "contact"
            key = f"phase.glue.{_BY_ADULT[who, apart]}"
        text = self._said(key, **given)
        if who == "pupils" and phase.first:
            count = phase.last - phase.first + 1
            text = self._said("steps", n=count, numbers=self._words.numbers(range(phase.first, phase.last + 1)), text=text)
        return self._said("goes_on", text=text) if phase.goes_on and who == "pupils" else text

    @cached_property
    def prepare(self) -> tuple[str, ...]:
        """What is done before the lesson, in its order."""
        return tuple(self._said(f"prepare.{key}", **given) for key, given in self._prepared())

    def _prepared(self) -> Iterator[tuple[str, dict[str, Any]]]:
        plan, boxes = self._plan, spared(self.pupils)
        yield "trial", {}
        if plan.spec.supplied != "pre-cut":
            pages = self._lesson.templates and plan.leaves * (1 if self.pre_cut else boxes)
            yield ("print_card" if plan.spec.page.print_on == "card" else "print"), {"n": pages or plan.leaves}
        if self.prepared:
            scored = "score" if plan.net.folded else "plain"
            yield f"cut_{scored}", {"n": boxes, "time": self._tell.time(self._lesson.to_prepare)}
        if not self.pre_cut:
            on_card = plan.spec.page.print_on == "card"
            titles = {"first": self._words.said("transfer.title")} if not on_card else {}
            yield f"order{'_card' * on_card}", {**titles, "second": self._words.said("cuts.title")}
        if plan.spec.glue.kind == "tape" and self.pre_cut and hazards.glued(plan):
            yield "tape", {}
        yield "handouts", {"n": self._lesson.leaves}
        yield "bags", {"n": boxes}
        yield "answers", {}

    @cached_property
    def totals(self) -> tuple[Total, ...]:
        """Card, glue and paper for all, and with a tenth to spare, rounded up."""
        return tuple(Total(self._said(f"total.{key}", **given), *told) for key, given, told in self._totals())

    def _totals(self) -> Iterator[tuple[str, dict[str, Any], tuple[str, str]]]:
        """What is counted by the box is enough for the spare bags too."""
        plan, one = self._plan, self._lesson
        bags = self.pupils, spared(self.pupils)
        if plan.spec.supplied == "pre-cut":
            yield "sets", {}, _counted(self.pupils)
        else:
            (card, papers), (more, more_papers) = (one.sheets_for(boxes) for boxes in bags)
            size = {"size": self._tell.size(*plan.card.sheet), "caliper": self._tell.caliper(plan.card.caliper)}
            yield "card", size, (str(card), str(max(more, spared(card))))
            if papers:
                yield "wrap", {"size": size["size"]}, (str(papers), str(max(more_papers, spared(papers))))
        yield "handouts", {"n": one.leaves}, _counted(self.pupils)
        yield "worksheets", {}, _counted(self.pupils)
        sets = one.templates, spared(one.templates) if self.pre_cut else one.templates // self.pupils * bags[1]
        if one.templates:
            yield "templates", {}, (str(sets[0]), str(sets[1]))
        papers, more_papers = (boxes * (one.leaves + 1) + pages for boxes, pages in zip(bags, sets, strict=True))
        yield "paper", {"paper": plan.spec.page.name}, (str(papers), str(more_papers))
        if hazards.glued(plan):
            yield from self._glue()

    def _glue(self) -> Iterator[tuple[str, dict[str, Any], tuple[str, str]]]:
        """White glue by weight, tape by length, others by the area that they cover."""
        kind, needs = self._plan.spec.glue.kind, self._plan.materials
        name = {"name": self._words("glue", kind, "name")}
        if kind == "pva":
            grams = math.ceil(needs.glue_g * self.pupils)
            yield "glue", name, (f"{grams} g", f"{spared(grams)} g")
        elif kind == "tape":
            metres = math.ceil(needs.glue_mm2 * self.pupils / TAPE / 1000)
            yield "tape", name, (f"{metres} m", f"{spared(metres)} m")
        else:
            area = needs.glue_mm2 * self.pupils
            yield "area", name, (self._tell.area(area), self._tell.area(area * 1.1))

    @cached_property
    def tools(self) -> tuple[Total, ...]:
        """What a table of four shares: on each table, and on all of them with a tenth to spare."""
        return tuple(
            Total(self._said(f"tool.{key}"), str(each), str(spared(each * self._lesson.tables))) for key, each in self._tools() if each
        )

    def _tools(self) -> Iterator[tuple[str, int]]:
        plan = self._plan
        folded, kind = plan.net.folded, plan.spec.glue.kind
        yield "ruler", 2
        yield "square", 1
        yield "pencil", lesson.A_TABLE
        if folded:
            yield "folder", 2
        if not self.pre_cut:
            yield from (("knife", 2), ("straight_edge", 2), ("mat", 2))
            if hazards.pricks(plan, "pupil"):
                yield "awl", 1
        if hazards.glued(plan) and not handout.adult_glues(plan):
            yield kind.replace("-", "_"), {"glue-stick": lesson.A_TABLE, "pva": 2, "tape": 2, "hot-melt": 1}.get(kind, 0)
        yield "item", 1

    @property
    def play(self) -> str:
        """How far a piece may be out: half of the ruler's mark."""
        return self._tell.marked("1/32 in" if self._plan.spec.units == "in" else "0.5 mm")

    @property
    def tables(self) -> int:
        """Tables of four."""
        return self._lesson.tables

    @cached_property
    def bag(self) -> tuple[str, ...]:
        """What goes into each bag."""
        plan, one = self._plan, self._lesson
        if self.pre_cut:
            names = self._words.listed(plain(self._words.piece(part, piece)) for part, piece in plan.pieces)
            found = [self._said("bag.pieces", n=len(plan.pieces), names=names)]
        else:
            found = [self._said("bag.card", n=plan.sheets)]
            found += [self._said("bag.templates", n=plan.leaves)] if one.templates else []
        film = plan.spec.window is not None and plan.spec.window.film
        return (*found, *([self._said("bag.film")] if film else []), self._said("bag.handout", n=one.leaves), self._said("bag.worksheet"))

    @cached_property
    def mistakes(self) -> tuple[Mistake, ...]:
        """What often goes wrong with this box, and its mend."""
        return tuple(Mistake(self._wrong(name, "seen"), self._wrong(name, "mend")) for name in lesson.mistakes(self._plan))

    def _wrong(self, name: str, what: str) -> str:
        inside = self._plan.net.inside
        given = {"diagonal": self._tell.length(math.hypot(inside.length, inside.width))} if name == "ring" and what == "mend" else {}
        text = f"{name}_{'square' if name == 'ring' and self._right else 'other'}" if name == "ring" else name
        return self._said(f"mistake.{text.replace('-', '_')}.{what}", **(given if "square" in text else {}))

    @property
    def _right(self) -> bool:
        """Whether the inside is a cuboid, so that its diagonals tell whether it is square."""
        return self._plan.net.interior == "cuboid"


_BY_ADULT = {
    ("teacher", True): "apart",
    ("teacher", False): "adult",
    ("pupils", True): "pupils_apart",
    ("pupils", False): "pupils",
}
"""What is done where an adult glues, by who does it and whether that is in another room: contact glue is not for where pupils are."""


def _counted(number: int) -> tuple[str, str]:
    return str(number), str(spared(number))

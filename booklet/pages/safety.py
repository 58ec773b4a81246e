"""The safety notes of one box in words: the part `safety` of the templates. What it has is told by `booklet.hazards`.

What a template sees:

- `safety.maker`, `safety.pupil`, `safety.buyer`: what each needs to read (`Told`), the same but for what they do not do: a pupil under the
  age for knives has no blade, and nobody has one where the card comes cut.
- `.notes`: the warnings, the worst first, each with `kind` ("warning"), `word` ("WARNING"), `text`, `sign` (its pictogram) and `alt` (that
  in words). In a template: `::: {{ note.kind }} {{ note.sign }}`, the text, `:::`. `.groups`: the same, each signal word by itself.
- `.practice`: sentences on how the work is done safely. `.aid`: sentences of first aid for what can happen with this box.
- `safety.risks`: the rows of a teacher's sheet, each with `hazard`, `who`, `measure`, for an adult and for the group.
- `safety.first`: that data sheets, the rules of the place and the school's own come first. `safety.age`: the age notice, empty where the
  spec has no age. `safety.conformity`: that the notes are no conformity check.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

from booklet import hazards
from booklet.hazards import Reader
from booklet.pages.sentences import Signal, signal
from booklet.pages.words import Words
from booklet.plan import Plan


@dataclass(frozen=True, slots=True)
class Told:
    """What one reader needs: warnings, sentences on the work, and first aid."""

    notes: tuple[Signal, ...]
    practice: tuple[str, ...]
    aid: tuple[str, ...]

    @property
    def groups(self) -> tuple[tuple[Signal, ...], ...]:
        """The warnings in groups of one signal word."""
        return tuple(tuple(run) for _, run in groupby(self.notes, lambda note: note.kind))


@dataclass(frozen=True, slots=True)
class Risk:
    """A row of a teacher's sheet: the hazard, who may be harmed, and what is done about it."""

    hazard: str
    who: str
    measure: str


class Safety:
    """The safety notes of a plan. Raises `BookletError` where a language has no words for one."""

    def __init__(self, plan: Plan, words: Words):
        self._plan, self._words = plan, words

    @cached_property
    def maker(self) -> Told:
        """For who cuts and makes it all."""
        return self._told("maker")

    @cached_property
    def pupil(self) -> Told:
        """For who makes it in a lesson."""
        return self._told("pupil")

    @cached_property
    def buyer(self) -> Told:
        """For who bought the kit."""
        return self._told("buyer")

    @cached_property
    def risks(self) -> tuple[Risk, ...]:
        """Hazard, who may be harmed, and the measures, the worst first: those of who prepares the lesson too."""
        of_pupils = hazards.hazards(self._plan, "pupil") if hazards.reader_of(self._plan) == "pupil" else ()
        found = {*hazards.hazards(self._plan, "maker"), *of_pupils}
        return tuple(self._risk(hazard.name) for hazard in hazards.KNOWN.values() if hazard in found)

    @property
    def first(self) -> str:
        """That data sheets, the rules of the place and a school's own come before these notes."""
        return self._words.said("safety.first")

    @property
    def age(self) -> str:
        """From which age it is made; empty where the spec does not say."""
        age = self._plan.spec.safety.age
        return "" if age is None else self._words.said("safety.age", age=age)

    @property
    def conformity(self) -> str:
        """That the notes are no conformity check."""
        return self._words.said("safety.conformity")

    def _told(self, reader: Reader) -> Told:
        notes = tuple(signal(self._words, hazard.name) for hazard in hazards.hazards(self._plan, reader))
        practice = tuple(self._words.said(f"safety.{key}", age=self._plan.spec.safety.knife_age) for key in self._practice(reader))
        return Told(notes, practice, tuple(self._words("first_aid", name) for name in hazards.aids(self._plan, reader)))

    def _practice(self, reader: Reader) -> Iterator[str]:
        """Keys of what is told of the work besides the warnings."""
        if hazards.cuts(self._plan, reader):
            yield from ("ruler", "blades")
        if hazards.glued(self._plan):
            yield from {"hot-melt": ("gun",), "contact": ("tin",)}.get(self._plan.spec.glue.kind, ())
        if reader == "maker":
            yield from self._children()

    def _children(self) -> Iterator[str]:
        """What of the work children do, and what they leave to an adult."""
        plan, cut = self._plan, hazards.cuts(self._plan)
        half_cut, folded = plan.thickness.way == "half-cut", plan.net.folded
        if cut:
            yield "young" if plan.spec.safety.no_blades else "children_half_cut" if half_cut and folded else "children_cut"
        glue = {"contact": "", "tape": "tape"}.get(plan.spec.glue.kind, "glue") if hazards.glued(plan) else ""
        fold = "" if not folded else "score" if cut and not half_cut else "fold"
        can = "_".join(word for word in (fold, glue) if word)
        if can or not hazards.glued(plan):
            yield f"can_{can or 'join'}"
        if hazards.glued(plan) and not glue:
            yield "adults_glue"

    def _risk(self, name: str) -> Risk:
        words, safety = self._words, self._plan.spec.safety
        own = safety.no_blades and name not in {hazard.name for hazard in hazards.hazards(self._plan, "pupil")}
        who = words.said("safety.adults_who") if own else words("hazards", name, "who")
        group = None if own else words.get("hazards", name, "group")
        measures = (words("hazards", name, "avoid"), *((group,) if group else ()))
        return Risk(words("hazards", name, "harm"), who, " ".join(measures))

"""The sentence of each step: the layout's words, filled in with the panels that move and those that they are glued to."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from booklet import hazards, selftest
from booklet.errors import refuse
from booklet.net import Step
from booklet.pages.figures import Figures, figures_of
from booklet.pages.telling import Telling
from booklet.pages.words import Words, faced, formed
from booklet.plan import Plan


@dataclass(frozen=True, slots=True)
class Signal:
    """A warning: its kind (danger, warning, caution, notice), the word as it is printed, and the text.

    `sign`: the name of its pictogram, `alt`: what that shows, in words.
    """

    kind: str
    word: str
    text: str
    sign: str = ""
    alt: str = ""


@dataclass(frozen=True, slots=True)
class StepFacts:
    """One step as it is told. `warning` stands before it."""

    number: int
    kind: str
    part: str
    text: str
    warning: Signal | None


def signal(words: Words, key: str) -> Signal:
    """The warning of a hazard by its name: what it does, and how it is avoided."""
    kind, text = words("hazards", key, "signal"), " ".join(words("hazards", key, part) for part in ("harm", "avoid"))
    return Signal(kind, words("signals", kind), text, key, words("hazards", key, "alt"))


def steps_of(plan: Plan, words: Words) -> tuple[StepFacts, ...]:
    """Every step with its sentence; a warning only before the first step that it concerns."""
    told: set[str] = set()
    result = []
    for step in plan.net.steps:
        key = _warning_key(plan, words, step)
        warned = signal(words, key) if key and key not in told else None
        told.add(key)
        part = plan.net.part[step.part]
        result.append(StepFacts(step.number, step.kind, words("parts", part.role), sentence(plan, words, step), warned))
    return tuple(result)


def _warning_key(plan: Plan, words: Words, step: Step) -> str:
    """The hazard of the step's kind, else that of the glue where it glues; none that its reader has not."""
    own = words.get("step_warnings", step.kind) or ""
    key = own or (words("glue", plan.spec.glue.kind, "hazard") if step.bonds or step.words.startswith("close-board") else "")
    return key if key in {hazard.name for hazard in hazards.hazards(plan, hazards.reader_of(plan))} else ""


def sentence(plan: Plan, words: Words, step: Step, ready: bool | None = None) -> str:
    """The words of a step; `ready`: whether its card is cut and scored, where it is not the net that tells.

    Raises `BookletError` when the layout has none for it.
    """
    told = Telling(plan, step)
    key = _key(told, words)
    way = plan.thickness.way
    kinds = (("pre-cut", f"{key}-{way}"), ("pre-cut", key)) if (plan.net.ready if ready is None else ready) else ((way, key),)
    text = next((said for path in kinds if (said := words.get("steps", *path))), None) or words("steps", key)
    return words.filled(text, f"steps.{key}", **_Given(told, words.with_forms).all())


def _key(told: Telling, words: Words) -> str:
    """The key of a step's sentence: a closing panel whose tuck flap goes in is told as closing, a flap that comes along has its own."""
    if told.step.words == "fold" and told.tucked:
        return "close"
    if told.step.words == "fold" and told.cornered:
        return "close-corner"
    if told.step.words == "score" and not told.part.folds:
        return "score-plain"
    if told.step.words == "square":
        return _squared(told)
    if told.step.words == "dry-fit" and any(fold.kind == "roll" for fold in told.folds):
        return "dry-fit-rolled"
    carried = f"{told.step.words}-carried"
    return carried if told.carries_flap and words.get("steps", carried) else told.step.words


def _squared(told: Telling) -> str:
    """How a ring is opened: by a set square, to an angle that none has, or a box of gussets to its full depth; a base may come along."""
    roles = {told.part.panel[name].role for fold in told.folds for name in (fold.parent, fold.child)}
    if any("gusset" in role for role in roles) and told.corners != (90.0,):
        return "square-gussets"
    if told.corners != (90.0,):
        return "square-angle"
    return "square-base" if any("base" in role for role in roles) else "square"


@dataclass(frozen=True)
class _Given:
    """All that a sentence may ask for, in words."""

    told: Telling
    words: Words

    def all(self) -> Mapping[str, str]:
        """What may stand in braces, by name."""
        return {**self._part(), **self._moved(), **self._glued(), **self._measures()}

    def _part(self) -> Mapping[str, str]:
        told, role = self.told, self.words("parts", self.told.part.role)
        count = len(told.part.pieces)
        parted = self._said("pieces", n=self.words.count(count), part=role) if told.parted and count > 1 else self._said("whole", part=role)
        return {
            "part": role,
            "panels": self._names(panel.name for panel in told.part.panels),
            "whole": parted,
            "alike": self._said("alike") if any(piece.template != piece.name for piece in told.part.pieces) else "",
            "face_up": self.words("faces", told.face_up),
            "end_up": self._end_up(told.end_up),
            "copies": str(told.plan.spec.booklet.copies),
        }

    def _moved(self) -> Mapping[str, str]:
        told, one = self.told, len({faced(name) for name in self.told.moved}) == 1
        return {
            "moved": self._names(told.moved),
            "moved_roots": self._names(told.roots),
            "moved_they_stand": self._said("stands" if one else "stand"),
            "moved_they_lie": self._said("lies" if one else "lie"),
            "moved_them": self._them(told.moved, one),
            "way": self._said(told.way) if told.way else "",
            "lies_on": self._names(told.lies_on),
            "end": self._end(told.moved),
            "tucks": self._names(told.tucks),
            "slot": self._names((told.slot,) if told.slot else ()),
        }

    def _glued(self) -> Mapping[str, str]:
        told, kind = self.told, self.told.plan.spec.glue.kind
        held = {key: self.words("glue", kind, key) for key in ("press", "press_inside")}
        return {
            "flaps": self._names(told.flaps),
            "flaps_lie": self._said("lies_on" if len(told.flaps) == 1 else "lie_on", flaps=self._names(told.flaps)),
            "flaps_them": self._them(told.flaps, len(told.flaps) == 1),
            "seams": self._said("seam" if len(told.flaps) == 1 else "seams"),
            "onto": self._names(told.onto),
            "over": self._names(told.over),
            "face": self.words("faces", told.face),
            "glue": self.words("glue", kind, "verb"),
            "glue_noun": self.words("glue", kind, "mark"),
            **{key: self.words.filled(text, f"glue.{kind}.{key}", s=self.words("glue", kind, "seconds")) for key, text in held.items()},
        }

    def _measures(self) -> Mapping[str, str]:
        return {"angle": self._degrees(self.told.turned), "corner": self._degrees(self.told.corners)}

    def _degrees(self, found: Iterable[float]) -> str:
        tell = figures_of(self.told.plan, self.words)
        figures = self.words.listed(tell.number(round(angle, 1)) for angle in found)
        return self._said("degrees", n=figures)

    def _them(self, panels: Iterable[str], one: bool) -> str:
        """What panels are called once they are named: by their role where the language tells that, as one with genders does."""
        key, roles = ("it" if one else "them"), {self.told.part.panel[name].role for name in panels}
        own = self.words.get("roles", roles.pop(), key) if len(roles) == 1 else None
        return own or self.words("lists", key)

    def _said(self, key: str, **given: str) -> str:
        return self.words.filled(self.words("said", key), f"said.{key}", **given)

    def _end_up(self, end: str) -> str:
        said = self.words.get("ends", end)
        return self._said("its_end", end=said) if said else self._names((end,))

    def _end(self, moved: Iterable[str]) -> str:
        """Which end a closing panel closes, "the top"; where its name tells none, the part that it closes."""
        ends = (self.words.get("ends", name.partition(".")[0].rpartition("-")[2]) for name in moved)
        return self._said("whole", part=next((end for end in ends if end), self.words("parts", self.told.part.role)))

    def _names(self, panels: Iterable[str]) -> str:
        panel = self.told.part.panel
        return self.words.panels(((name, panel[name].role) for name in dict.fromkeys(panels)), told=True)


def selftest_of(plan: Plan, words: Words) -> tuple[str, ...]:
    """The checks before anything is glued, a sentence each, with figures as a ruler shows them."""
    tell = figures_of(plan, words)
    return tuple(formed(_checked(plan, words.with_forms, tell, one)) for one in selftest.tests(plan.net, plan.spec.booklet.grid.mark))


def _checked(plan: Plan, words: Words, tell: Figures, one: selftest.Test) -> str:
    part = plan.net.part[one.panels[0][0]]
    given = {"part": words("parts", part.role), "length": tell.length(one.mm)}
    match one:
        case selftest.Meeting():
            given |= {"first": _panels(plan, words, [one.first]), "second": _panels(plan, words, [one.second])}
        case selftest.Sums():
            given |= {"ones": _panels(plan, words, one.ones), "others": _panels(plan, words, one.others)}
        case selftest.Longer():
            given |= {"panel": _panels(plan, words, [one.panel]), "over": _panels(plan, words, [one.over]), "by": tell.length(one.by)}
        case _:
            given["panel"] = _panels(plan, words, [one.panel])
    return words.filled(words("selftest", one.kind), f"selftest.{one.kind}", **given)


def _panels(plan: Plan, words: Words, named: Iterable[selftest.Named]) -> str:
    """Panels of one part in a sentence, with the part where another has a panel of that name."""
    found = list(named)
    part = plan.net.part[found[0][0]]
    said = words.panels(((name, part.panel[name].role) for _, name in found), told=True)
    twice = any(name in other.panel for other in plan.net.parts if other is not part for _, name in found)
    return words.filled(words("selftest", "of"), "selftest.of", panel=said, part=words("parts", part.role)) if twice else said


def labels(plan: Plan, words: Words) -> Labels:
    """Short words for drawings: the layout's labels, panels by "part/panel", pieces by "piece/name", what one panel of a role is called."""
    panels = {f"{part.name}/{panel.name}": words.panel(panel.name, panel.role) for part in plan.net.parts for panel in part.panels}
    roles = {panel.role: words("roles", panel.role, "one") for part in plan.net.parts for panel in part.panels}
    mark = words("glue", plan.spec.glue.kind, "mark")
    pieces = {f"piece/{piece.name}": words.piece(part, piece) for part, piece in plan.pieces}
    own = {key: formed(text).replace("{mark}", mark) for key, text in words.table("labels").items()}
    return Labels({**roles, **panels, **pieces, "decimal": words.decimal, **own}, words.file)


class Labels(dict[str, str]):
    """Labels by their keys, from a words file. Raises `BookletError` for one that is not there, naming the file and the key."""

    def __init__(self, found: Mapping[str, str], file: str):
        super().__init__(found)
        self._file = file

    def __missing__(self, key: str) -> str:
        raise refuse(self._file, f"has no words for labels.{key}; add them")

    def also(self, **more: str) -> Labels:
        """The same labels with more of them."""
        return Labels({**self, **more}, self._file)

"""The sentence of each step: the layout's words, filled in with the panels that move and those that they are glued to."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from booklet import space
from booklet.folding import folder
from booklet.net import Bond, Fold, Part, Step
from booklet.pages.words import Words
from booklet.plan import Plan


@dataclass(frozen=True, slots=True)
class Signal:
    """A warning: its kind (danger, warning, caution, notice), the word as it is printed, and the text."""

    kind: str
    word: str
    text: str


@dataclass(frozen=True, slots=True)
class StepFacts:
    """One step as it is told. `warning` stands before it."""

    number: int
    kind: str
    part: str
    text: str
    warning: Signal | None


def signal(words: Words, key: str) -> Signal:
    """A warning of the words file by its key."""
    kind = words("warnings", key, "signal")
    return Signal(kind, words("signals", kind), words("warnings", key, "text"))


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
    """The step's own warning, else that of its kind, else that of the glue where it glues."""
    own = words.get("step_warnings", step.kind) or ""
    return own or (words("glue", plan.spec.glue.kind, "hazard") if step.bonds else "")


def sentence(plan: Plan, words: Words, step: Step) -> str:
    """The words of a step. Raises `BookletError` when the layout has none for it."""
    way = plan.thickness.way
    text = words.get("steps", way, step.words) or words("steps", step.words)
    return words.filled(text, f"steps.{step.words}", **_given(plan, words, step))


def _given(plan: Plan, words: Words, step: Step) -> Mapping[str, str]:
    """All that a sentence may ask for."""
    part, glue = plan.net.part[step.part], plan.spec.glue.kind
    folds = [part.fold[name] for name, _ in step.folds]
    bonds = [plan.net.bonds[b] for b in step.bonds]
    flaps = list(dict.fromkeys(b.panels[0][1] for b in bonds if b.panels[0][0] == part.name))
    onto = list(dict.fromkeys(b.panels[1][1] for b in bonds if b.panels[1][0] == part.name))
    moved, roots = _moved(part, folds), [f.parent for f in folds]
    return {
        "part": words("parts", part.role),
        "count": words.count(len(folds)),
        "angle": _angle(words, step),
        "end": _end(words, folds),
        "face_up": words("faces", _face_up(plan, part, step)),
        "moved_they_stand": words("said", "stands" if len(moved) == 1 else "stand"),
        "moved_they_lie": words("said", "lies" if len(moved) == 1 else "lie"),
        "moved_them": words("lists", "it" if len(moved) == 1 else "them"),
        "glue_noun": words("glue", glue, "mark"),
        "moved": _names(words, part, moved),
        "moved_roles": _roles(words, part, moved),
        "moved_roots": _names(words, part, roots),
        "moved_root_roles": _roles(words, part, roots),
        "flaps": _names(words, part, flaps),
        "flaps_them": words("lists", "it" if len(flaps) == 1 else "them"),
        "onto": _names(words, part, onto),
        "ring_wall": _names(words, part, [_wall_of(part, name) for name in onto[:1]]),
        "face": words("faces", _face(plan, bonds)),
        "side": _names(words, part, _opposite(part, moved)),
        "glue": words("glue", glue, "verb"),
        "press": words("glue", glue, "press"),
    }


def _angle(words: Words, step: Step) -> str:
    """How far the first fold of a step is turned at its end, or at most on its way."""
    frames = [step.folds, *step.path]
    most = max((abs(angle) for frame in frames for name, angle in frame if name == step.folds[0][0]), default=0.0) if step.folds else 0.0
    return words.filled(words("said", "degrees"), "said.degrees", n=f"{most:g}")


def _end(words: Words, folds: list[Fold]) -> str:
    """Which end a closing panel closes."""
    ends = (words.get("ends", fold.child.rpartition("-")[2]) for fold in folds)
    return next((end for end in ends if end), "")


def _face_up(plan: Plan, part: Part, step: Step) -> str:
    """Which face of a flat part is up."""
    normal = space.matrix(part.places[0])[:3, 2]
    marked = step.up is None or float(normal @ np.array(step.up)) > 0
    return "inside" if marked == (plan.net.marks == "inside") else "outside"


def _moved(part: Part, folds: list[Fold]) -> list[str]:
    """The panels that a step moves; glue flaps that are joined to one of them, and what hangs on one, go with it unsaid."""
    names = [f.child for f in folds]
    led = [f.child for f in folds if f.parent not in names]
    return [name for name in led if part.panel[name].role != "glue-flap"] or names


def _names(words: Words, part: Part, panels: Iterable[str]) -> str:
    return words.panels(((name, part.panel[name].role) for name in dict.fromkeys(panels)), told=True)


def _wall_of(part: Part, name: str) -> str:
    """A flap may meet the hem of a low wall alone: the wall that the hem hangs on is what is folded."""
    hem = part.panel[name].role == "hem"
    return next(fold.parent for fold in part.folds if fold.child == name) if hem else name


def _roles(words: Words, part: Part, panels: Iterable[str]) -> str:
    """What panels are, without their numbers: "hems"."""
    roles = dict.fromkeys(part.panel[name].role for name in panels)
    return words.listed(words("roles", role, "many") for role in roles)


def _face(plan: Plan, bonds: list[Bond]) -> str:
    """Whether the flaps of the bonds lie on the inside or on the outside of what they are glued to."""
    marked = not bonds or bonds[0].faces[1] == "marked"
    return "inside" if marked == (plan.net.marks == "inside") else "outside"


def _opposite(part: Part, moved: list[str]) -> list[str]:
    """The wall across from the one that a closing panel hangs on: its tuck flap slides behind that one."""
    hung = [f.parent for f in part.folds if f.child in moved and part.panel[f.child].role == "closing"]
    if not hung:
        return []
    fold = folder(part)
    normals = fold.places(fold.final)[:, :3, 2]
    own = normals[fold.index[hung[0]]]
    walls = [panel.name for panel in part.panels if panel.role == "wall"]
    return [name for name in walls if float(own @ normals[fold.index[name]]) < -0.9][:1]


def labels(plan: Plan, words: Words) -> dict[str, str]:
    """Short words for drawings: the layout's labels, panels by "part/panel", and what one panel of a role is called."""
    panels = {f"{part.name}/{panel.name}": words.panel(panel.name, panel.role) for part in plan.net.parts for panel in part.panels}
    roles = {panel.role: words("roles", panel.role, "one") for part in plan.net.parts for panel in part.panels}
    mark = words("glue", plan.spec.glue.kind, "mark")
    return {**roles, **panels, **{key: text.replace("{mark}", mark) for key, text in words.table("labels").items()}}

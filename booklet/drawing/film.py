"""Pictures of the steps one after another: what of each is shown, from which side, and in what it is told from the one before.

Steps of one part in one state, lying or standing, are a run: seen from one side where that shows enough, and drawn at one scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from booklet import plane, space
from booklet.drawing import acts
from booklet.drawing.motion import Group, arrows, carried, ghosts, longest, shifts_apart
from booklet.drawing.naming import Named
from booklet.drawing.pose import ENOUGH, HIDDEN, HOME, Look, Pose, Take, chosen, held, seen
from booklet.drawing.scene import Points, Scene
from booklet.drawing.sight import Patch
from booklet.drawing.stage import UPRIGHT, Bench, Stage, acted, key_of, shown_flat, staged
from booklet.drawing.steps import FlatShot, Run, Shot, Sign, StepPicture, TrialShot, TurnShot
from booklet.drawing.surface import View
from booklet.net import Fold, Part
from booklet.replay import Moment
from booklet.steps.upright import STANDING, Up
from booklet.tolerance import HAND

FIRST_CHOICE = 0.45
"""Glue is shown on a bond's first panel where at least this share of it is seen, else on the one that shows more (chosen by us)."""

SQUARING = 0.7
"""How far a ring that is squared has opened in its picture (chosen by us)."""

_SHORT = 0.1
"""An arrow that would look shorter than this share of the part's length is left whole (chosen by us)."""

_PUSH = 0.12
"""The arrows that open a ring reach out at least this share of the part's length (chosen by us)."""

LEAST_ARROW = 0.4
"""An arrow is cut back to where it is seen, but to no less than this share of its way (chosen by us)."""

_FRONT = 2
"""So many poses, the first, are from the front."""

_FEW, _SOME = 2, 4
"""So many panels that are led at once are named with leaders where there is glue, whose numbers take room, and where not (chosen by us)."""

_LONG = 0.85
"""The arrows of a ring that is squared look long enough at this share of their greatest length from the front (chosen by us)."""

_ROLLED = 0.5
"""A face that is rolled to a ring is shown when it is bent by this share (chosen by us)."""

LAID = ("lay-wrap", "lay-board", "lay-strip")
"""What comes cut and is laid down: it is shown as what is cut out is."""

_LOOSE = ("trial", "score", "carry", "dry-fit")
"""Pictures that stand by themselves, not in a run."""


Shares = Sequence[Sequence[float]]
"""For each bond the shares seen of its areas."""


@dataclass(frozen=True, eq=False)
class Frame:
    """One step with the way in which it is shown: a kind of picture, and for those of a run what it can be shown as."""

    moment: Moment
    kind: str
    state: str
    take: Take | None = None


def film(bench: Bench) -> tuple[StepPicture, ...]:
    """A picture of every step."""
    made: list[StepPicture] = []
    seen_from: dict[str, float] = {}
    for run in _runs([_frame(bench, moment) for moment in bench.played.moments]):
        made += _pictures(bench, run, seen_from)
    return tuple(made)


def _runs(frames: Sequence[Frame]) -> list[list[Frame]]:
    """Steps of one part in one state; a turn begins a run, and what is no part of any stands alone."""
    runs: list[list[Frame]] = []
    for frame in frames:
        last = runs[-1][-1] if runs else None
        if last and frame.take and last.take and frame.kind != "turn" and _whose(frame) == _whose(last):
            runs[-1].append(frame)
        else:
            runs.append([frame])
    return runs


def _whose(frame: Frame) -> tuple[str, str]:
    return frame.moment.part.name, frame.state


def _frame(bench: Bench, moment: Moment) -> Frame:
    kind = _kind(moment)
    if kind in _LOOSE:
        return Frame(moment, kind, "")
    state = "flat" if shown_flat(bench, moment) else "stands"
    if kind in ("put", "turn"):
        return Frame(moment, kind, state, Take([staged(bench, moment, acted(bench, moment), 1.0)], None, _all_seen))
    if kind == "crease":
        return Frame(moment, kind, state, Take(acts.creased(bench, moment)))
    act = acted(bench, moment)
    stages = (staged(bench, moment, act, share) for share in _shares(moment))
    if kind != "square":
        return Frame(moment, kind, state, Take(stages))
    return Frame(moment, kind, state, Take(stages, _squared_up(bench, moment), partial(_pushing, bench, moment)))


def _kind(moment: Moment) -> str:
    """What kind of picture a step gets."""
    step = moment.step
    if step.kind in ("put", "square", "turn") and step.words not in LAID:
        return step.kind
    if step.kind in ("score", "turn"):
        return "trial" if step.words == "trial" else "score"
    if step.move:
        return "carry"
    return step.words if step.words in ("crease", "dry-fit") else "fold"


def _squared_up(bench: Bench, moment: Moment) -> Up:
    """A ring is opened on the table with that end up which is worked on next."""
    later = (m.step.up for m in bench.played.moments[moment.step.number :] if m.part is moment.part)
    return next((up for up in later if up and abs(up[2]) > UPRIGHT), STANDING[0])


def _shares(moment: Moment) -> tuple[float, ...]:
    """How far a step is shown, the first choice first: at its end where that hides nothing."""
    step = moment.step
    if step.kind == "square":
        return (SQUARING,)
    if step.kind == "join":
        return (0.4,)
    if step.words == "raise":
        return (0.5, 0.4, 0.6, 0.3)
    if step.words == "roll-glue":
        return (_half_rolled(moment),)
    if step.words == "close-hinged":
        return (0.6, 0.4, 0.25)
    if step.path or _tucking(moment):
        return (0.6, 0.4)
    half_turn = max((abs(angle) for _, angle in step.folds), default=0.0) > 135
    if half_turn:
        return (0.42, 0.7) if step.bonds else (0.6, 0.42)
    return (0.5, 0.3, 0.7) if step.bonds else (1.0, 0.6, 0.4)


def _tucking(moment: Moment) -> bool:
    """Whether a tuck flap goes along with what is folded: at the end it would be hidden."""
    part, turned = moment.part, {name for name, _ in moment.step.folds}
    faces = {part.panel[part.fold[name].child].body or part.fold[name].child for name in turned}
    hung = [fold for fold in part.folds if part.panel[fold.child].role == "tuck" and fold.name not in turned]
    return any((part.panel[fold.parent].body or fold.parent) in faces for fold in hung)


def _half_rolled(moment: Moment) -> float:
    """The share of a step at which a face that is rolled to a ring is bent by more than half."""
    ends = {name: angle for name, angle in moment.step.folds if moment.part.fold[name].kind == "roll"}
    name = max(ends, key=lambda one: abs(ends[one]))
    bent = [abs(dict(frame).get(name, 0.0)) for frame in moment.step.path]
    return next((k + 1 for k, angle in enumerate(bent) if angle > _ROLLED * abs(ends[name])), len(bent)) / max(len(moment.frames) - 1, 1)


def _pictures(bench: Bench, frames: Sequence[Frame], seen_from: dict[str, float]) -> list[StepPicture]:
    """Of one run. `seen_from`: the azimuth of the last picture of each part."""
    first = frames[0]
    if first.take is None:
        return [_loose(bench, first, seen_from)]
    run = Run()
    made: list[StepPicture] = []
    name = first.moment.part.name
    before = None if first.kind == "turn" else seen_from.get(name)
    for frame, (stage, pose) in zip(frames, chosen([f.take for f in frames if f.take], before), strict=True):
        made.append(_picture(bench, frame, stage, pose, run, seen_from.get(name)))
        seen_from[name] = pose.view.azimuth
    return made


def _loose(bench: Bench, frame: Frame, seen_from: dict[str, float]) -> StepPicture:
    moment = frame.moment
    if frame.kind == "trial":
        return TrialShot(acts.closed_scene(bench, 0.0), HOME.view)
    if frame.kind == "score":
        return FlatShot(moment.part, shifts_apart(moment.part, moment.joined))
    scene_of = acts.carrying if frame.kind == "carry" else acts.dry_fitting
    stands = next((name for name in moment.present if name != moment.part.name), moment.part.name)
    view = View(seen_from.get(stands, HOME.view.azimuth), HOME.view.elevation)
    scene = scene_of(bench, moment, view)
    if frame.kind == "carry":
        scene = held(scene, Pose(moment.step.up or STANDING[0]))
    shot = Shot(scene, view, Run(), closer=False)
    shot.run.shots.append(shot)
    return shot


def _picture(bench: Bench, frame: Frame, stage: Stage, pose: Pose, run: Run, before: float | None) -> StepPicture:
    if frame.kind == "turn":
        return _turned(stage, pose, run, before)
    sign: Sign = "" if before in (None, pose.view.azimuth) else "round"
    if frame.kind == "put":
        shot = Shot(acts.putting(bench, frame.moment, pose.view), pose.view, Run(), sign)
    else:
        ((moving, glue),) = seen(stage, [pose])
        scene = held(_scene(bench, frame, stage, pose, glue), pose)
        shot = Shot(scene, pose.view, run, sign, _groups(stage, moving, glue), _named(bench, frame.moment, stage))
    shot.run.shots.append(shot)
    return shot


def _turned(stage: Stage, pose: Pose, run: Run, before: float | None) -> TurnShot:
    """As it is after the turn, and as it was before, seen as in the picture before."""
    x, y, z = stage.up
    view = pose.view if before is None else View(before, pose.view.elevation)
    scene = Scene(stage.faces())
    return TurnShot(held(scene, replace(pose, up=(-x, -y, -z))), view, held(scene, pose), pose.view, run)


def _scene(bench: Bench, frame: Frame, stage: Stage, pose: Pose, glue: Shares) -> Scene:
    if frame.kind == "square":
        return Scene(stage.faces(), (), _squeezed(bench, frame.moment, stage))
    lines = _cut_back(stage, pose) if frame.kind == "fold" else tuple(arrows(stage.act))
    return Scene(stage.faces(_hatched(stage, glue)), tuple(ghosts(stage.act)), lines, both_ways=frame.kind == "crease")


def _groups(stage: Stage, moving: Sequence[float], glue: Shares) -> tuple[frozenset[str], ...]:
    """Keys of the faces of each group that moves, the one that shows best first."""
    share = dict(zip(sorted(stage.act.moved), moving, strict=True))

    def worth(group: Group) -> float:
        glued = [max(shares) for areas, shares in zip(stage.glue, glue, strict=True) if any(p.panel in group.panels for p in areas)]
        return round(sum(glued) + max(share[i] for i in group.panels), 2)

    panels = stage.part.panels
    groups = sorted(stage.act.groups, key=worth, reverse=True)
    return tuple(frozenset(key_of(stage.part.name, panels[i].name) for i in group.panels) for group in groups)


def _once(part: Part, names: Sequence[str]) -> list[str]:
    """Names of panels, each once, and one in the middle for all facets of a smooth face."""
    faces: dict[str, list[str]] = {}
    for name in dict.fromkeys(names):
        faces.setdefault(part.panel[name].body or name, []).append(name)
    return [facets[len(facets) // 2] for facets in faces.values()]


def _named(bench: Bench, moment: Moment, stage: Stage) -> tuple[Named, ...]:
    """The panels to be named: what is led first, then what that is glued to, then what it turns on."""
    if moment.step.kind == "square" or moment.step.words == "crease":
        return ()
    panels, part = stage.part.panels, stage.part
    led = _once(part, [panels[group.hinge].name for group in stage.act.groups if not carried(stage.act, group)])
    leaders = len(led) <= (_FEW if moment.step.bonds else _SOME)
    glued = [name for n in moment.step.bonds for p, name in bench.net.bonds[n].panels if p == part.name]
    roots = [end for group in stage.act.groups if group.fold for end in (group.fold.parent, group.fold.child)]
    return tuple(Named(key_of(part.name, name), leaders and name in led) for name in _once(part, [*led, *glued, *roots]))


def _hatched(stage: Stage, glue: Shares) -> list[Patch]:
    """Where glue is shown: on one panel of each bond of the step."""
    return [_better(bond, share) for bond, share in zip(stage.glue, glue, strict=True) if bond]


def _better(bond: Sequence[Patch], shares: Sequence[float]) -> Patch:
    if shares[0] >= FIRST_CHOICE or len(bond) == 1:
        return bond[0]
    return bond[int(np.argmax(shares))]


def _cut_back(stage: Stage, pose: Pose) -> tuple[Points, ...]:
    """The arrows as far as nothing that stands still hides them: a head that ends behind a wall would be read in front of it."""
    still = [i for i in range(len(stage.places)) if i not in stage.act.moved]
    least = _SHORT * longest(stage.part)
    found = []
    for line in arrows(stage.act):
        part = _seen_part(line, stage.sight.seen(line, pose.way[None], still)[0])
        found.append(part if _length_seen(part, pose) >= least else line)
    return tuple(found)


def _seen_part(line: Points, seen: NDArray[np.bool_]) -> Points:
    """The longest stretch of a line that is seen, or all of it where that is too short."""
    ends = np.flatnonzero(np.diff(np.concatenate([[False], seen, [False]]).astype(int)))
    first, last = max(zip(ends[::2], ends[1::2], strict=True), key=lambda run: run[1] - run[0], default=(0, 0))
    return line[first:last] if last - first >= max(2, LEAST_ARROW * len(line)) else line


def _length_seen(line: Points, pose: Pose) -> float:
    """How far apart the ends of a line look, mm."""
    ends = pose.view.project(space.applied(pose.turn, line[[0, -1]]))[:, :2]
    return float(np.linalg.norm(ends[1] - ends[0]))


def _squeezed(bench: Bench, moment: Moment, stage: Stage) -> tuple[Points, ...]:
    """Two arrows that push the folded edges of a flat ring to each other; what is glued on beside an edge goes with it."""
    edges = _edges(bench, moment, seam=False)
    edges = edges if len(edges) > 1 else _edges(bench, moment, seam=True)
    if len(edges) != 2:
        return ()
    a, b = (_middle(stage, folds) for folds in edges)
    way = (b - a) / np.linalg.norm(b - a)
    long = longest(moment.part)
    far, near = max(0.35 * float(np.linalg.norm(b - a)), _PUSH * long), max(4.0, 0.015 * long)
    return np.array([a - way * far, a - way * near]), np.array([b + way * far, b + way * near])


def _edges(bench: Bench, moment: Moment, seam: bool) -> list[list[Fold]]:
    """The folds between walls that are folded over before a ring is opened, those in one line together; `seam`: those of glue flaps too."""
    part, found = moment.part, list[list[Fold]]()
    for name, _ in moment.step.folds:
        fold, flat = part.fold[name], abs(abs(_angle_before(bench, moment, name)) - 180) < 1
        roles = part.panel[fold.parent].role, part.panel[fold.child].role
        if not flat or any("base" in role for role in roles) or (roles[1] == "glue-flap" and not seam):
            continue
        line = next((one for one in found if abs(plane.side(one[0].line, plane.middle(fold.line))) < HAND), None)
        if line is None:
            found.append([fold])
        else:
            line.append(fold)
    return found


def _middle(stage: Stage, folds: Sequence[Fold]) -> Points:
    """The middle of some folds in space."""
    index = stage.act.index
    at = [space.applied(stage.places[index[f.parent]], np.array([[*plane.middle(f.line), 0.0]]))[0] for f in folds]
    middle: Points = np.mean(at, axis=0)
    return middle


def _pushing(bench: Bench, moment: Moment, stage: Stage, poses: Sequence[Pose]) -> list[Look]:
    """A ring that is squared is seen well from where the arrows that push it look long."""
    lines = _squeezed(bench, moment, stage)
    long = [sum(_length_seen(line, pose) for line in lines) for pose in poses]
    shares = [one / max(*long[:_FRONT], 1.0) if lines else 1.0 for one in long]
    return [(1.0, ENOUGH) if share >= _LONG else (HIDDEN * share * 0.5, 0.0) for share in shares]


def _all_seen(stage: Stage, poses: Sequence[Pose]) -> list[Look]:
    """Nothing moves that could be hidden."""
    return [(1.0, 1.0)] * len(poses)


def _angle_before(bench: Bench, moment: Moment, fold: str) -> float:
    before = bench.played.last_before(moment.part.name, moment)
    return before.angles[fold] if before else 0.0

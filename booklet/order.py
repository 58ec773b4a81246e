"""The proof of the order: hands can do each step, and no step undoes another."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import across, space
from booklet.check import Check, at_most
from booklet.folding import folder
from booklet.net import Bond, Net
from booklet.overlap import shared
from booklet.passing import carried_into, crossing, deepest_crossing, passed
from booklet.reach import pressed
from booklet.replay import Moment, Replay
from booklet.tolerance import COMPUTED, SAME_POINT, THROUGH, TORN

Places = NDArray[np.float64]

PULL = 2 * COMPUTED
"""mm: how far a glued bond may be off on the way of a later step; it gives that much."""


def checks(played: Replay) -> list[Check]:
    """All checks of the order."""
    net = played.net
    return [
        _collision(played),
        _passing(played),
        _loops(played),
        _held(played),
        *_touch(played),
        _between(played),
        _reached(played),
        *_finished(net, played),
    ]


@dataclass(frozen=True, slots=True)
class Wrong:
    """What hands cannot do, as a part of a sentence. `between`: two panels of which one runs into the other or through it."""

    why: str
    between: tuple[str, str] | None = None


def wrong(net: Net, moment: Moment) -> Wrong | None:
    """What a step that carries nothing does that hands cannot; None where all is well. Quick tests come first."""
    names = [panel.name for panel in moment.part.panels]
    gap, where = missed(net, moment)
    if gap > COMPUTED:
        return Wrong(f"{where} do not touch")
    if bonds := hidden(net, moment):
        return Wrong(f"other card lies between {_names(bonds[0])}, or it is on the wrong side")
    pull, where = pulled(net, moment)
    if pull > PULL:
        return Wrong(f"it pulls {where} apart")
    if torn(moment) > TORN:
        return Wrong("it tears the card at a corner that is not cut")
    if pairs := passed(moment):
        mover, passed_by = (names[i] for i in pairs[0])
        return Wrong(f"{mover} would pass through {passed_by}", (mover, passed_by))
    depth, a, b = deepest_crossing(moment)
    if depth > round(THROUGH * moment.part.caliper, 4):
        return Wrong(f"{names[a]} and {names[b]} run into each other", (names[a], names[b]))
    if panel := across.astray(net, moment):
        return Wrong(f"{panel} would wipe along its board, or go through it")
    depth, where = across.into_boards(net, moment)
    if depth:
        return Wrong(f"{where} run into each other")
    if bonds := unreached(net, moment):
        return Wrong(f"no finger reaches {_names(bonds[0])} to press it")
    return None


def _worst(found: Iterable[tuple[float, str]]) -> tuple[float, str]:
    """The largest figure, with where it is."""
    return max(found, key=lambda each: each[0], default=(0.0, ""))


def _collision(played: Replay) -> Check:
    """No panel runs through another on its way, beyond the give of card."""
    worst, where = _worst(_crossed(played, moment) for moment in played.moments)
    limit = round(THROUGH * played.net.caliper, 4)
    return at_most("order.collision", worst, limit, "mm", f"No step drives card through card{where}.")


def _crossed(played: Replay, moment: Moment) -> tuple[float, str]:
    if moment.step.move:
        return _on_the_way(played, moment)
    depth, where = _worst([crossing(moment), across.into_boards(played.net, moment)])
    return depth, f" (step {moment.step.number}: {where} come {depth:.2f} mm into each other)" if depth else ""


def _on_the_way(played: Replay, moment: Moment) -> tuple[float, str]:
    """A part that is carried to the others: only its crossings with them count."""
    others = [played.last_before(name, moment) for name in moment.present if name != moment.part.name]
    depth = carried_into(moment, [m for m in others if m is not None])
    return depth, f" (step {moment.step.number}: the {moment.part.name} runs {depth:.2f} mm into the box)" if depth else ""


def _loops(played: Replay) -> Check:
    """Where card is not cut round a point, what lies on both sides of a crease stays together."""
    worst, where = _worst((torn(m), f" (step {m.step.number}: by {torn(m):.2f} mm)") for m in played.moments if not m.step.move)
    return at_most("order.loops", worst, TORN, "mm", f"No step tears the card at a corner that is not cut{where if worst > TORN else ''}.")


def torn(moment: Moment) -> float:
    """How far the two sides of a crease that closes a loop come apart on the way of a step, mm."""
    index, worst = moment.folder.index, 0.0
    for loop in moment.part.loops:
        line = space.lifted(loop.line)
        one, two = (moment.frames[:, index[name]] for name in loop.panels)
        gap = space.applied(one - two, line)
        worst = max(worst, float(np.sqrt((gap**2).sum(2)).max()))
    return worst


def _passing(played: Replay) -> Check:
    """No panel gets to its side of another by going through it: two that end flat on each other hardly cross on the way."""
    bad = [(m, i, j) for m in played.moments for i, j in passed(m)]
    names = [f"{m.part.panels[i].name} through {m.part.panels[j].name}" for m, i, j in bad]
    where = "".join(f" (step {m.step.number}: {name})" for (m, _, _), name in zip(bad[:3], names, strict=False))
    return at_most("order.through", len(bad), 0, "panels", f"No panel comes to lie on another by passing through it{where}.")


def strain(net: Net, bond: Bond, frames: Places) -> float:
    """Farthest that a bond within a part is from its final state over the frames, mm."""
    (name, first), (other, second) = bond.panels
    if name != other:
        return 0.0
    fold = folder(net.part[name])
    i, j = fold.index[first], fold.index[second]
    final = fold.closed
    region = space.lifted(bond.region)
    goal = space.applied(space.relative(final[i], final[j]), region)
    seen = space.relative(frames[:, i], frames[:, j])
    return float(np.abs(space.applied(seen, region) - goal).max())


def _held(played: Replay) -> Check:
    """A bond once made stays closed in every later step of its part."""
    found = ((pulled(played.net, m), m.step.number) for m in played.moments if not m.step.move)
    worst, where = _worst((pull, f" (step {number} pulls {names} apart by {pull:.2f} mm)") for (pull, names), number in found)
    return at_most("order.undo", worst, PULL, "mm", f"No step pulls a glued bond open again{where if worst else ''}.")


def pulled(net: Net, moment: Moment) -> tuple[float, str]:
    """How far a step pulls the bonds that were made before it apart, mm, and which one most."""
    before = [net.bonds[b] for b in moment.made if b not in moment.step.bonds]
    own = [bond for bond in before if bond.panels[0][0] == moment.part.name]
    return _worst((_strained(net, bond, moment), _names(bond)) for bond in own)


def _strained(net: Net, bond: Bond, moment: Moment) -> float:
    return float(across.strain(net, moment, bond).max()) if across.is_across(bond) else strain(net, bond, moment.frames)


def _touch(played: Replay) -> list[Check]:
    """A bond is made only where its faces touch at that moment."""
    found = ((missed(played.net, m), m.step.number) for m in played.moments)
    worst, where = _worst((gap, f" (step {number} misses by {gap:.2f} mm)") for (gap, _), number in found)
    twice = [number for m in played.moments for number in m.step.bonds]
    return [
        at_most("order.touch", worst, COMPUTED, "mm", f"Every bond is made when its faces touch{where if worst else ''}."),
        at_most("order.once", len(twice) - len(set(twice)), 0, "bonds", "No bond is made twice."),
    ]


def missed(net: Net, moment: Moment) -> tuple[float, str]:
    """How far the faces that a step glues are from their final state to each other, mm, and which ones most."""
    bonds = [net.bonds[number] for number in moment.step.bonds]
    return _worst((_missed(net, bond, moment), _names(bond)) for bond in bonds)


def _missed(net: Net, bond: Bond, moment: Moment) -> float:
    return float(across.strain(net, moment, bond)[-1]) if across.is_across(bond) else strain(net, bond, moment.frames[-1:])


def _between(played: Replay) -> Check:
    """When a bond is made, its panels lie on each other in the right order with no other card between."""
    bad = [(m, bond) for m in played.moments for bond in hidden(played.net, m)]
    where = "".join(f" (step {m.step.number}: {_names(bond)})" for m, bond in bad[:3])
    return at_most("order.layers", len(bad), 0, "bonds", f"Glued faces meet with no other card between them{where}.")


def hidden(net: Net, moment: Moment) -> list[Bond]:
    """Bonds of a step whose faces do not meet: other card lies between, or one came from the wrong side."""
    return [net.bonds[b] for b in moment.step.bonds if not _face_to_face(moment, net.bonds[b])]


def _names(bond: Bond) -> str:
    return f"{bond.panels[0][1]} on {bond.panels[1][1]}"


def _face_to_face(moment: Moment, bond: Bond) -> bool:
    (name, first), (other, second) = bond.panels
    if name != other:
        return True
    index = moment.folder.index
    i, j = index[first], index[second]
    side = 1 if bond.faces[1] == "marked" else -1
    if moment.stack.on(i, j) != side or not _open_before(moment, i, j):
        return False
    own = 1 if bond.faces[0] == "marked" else -1
    third = (k for k in range(len(moment.after)) if k not in (i, j))
    return not any(moment.stack.on(k, j) == side and moment.stack.on(k, i) == own and _covers(moment, k, i, bond) for k in third)


def _open_before(moment: Moment, i: int, j: int) -> bool:
    """Whether glue can be put between two panels: they come together in the step, or pieces are joined."""
    if moment.step.kind == "join":
        return True
    relative = space.relative(moment.frames[:, i], moment.frames[:, j])
    return float(np.abs(relative - relative[-1]).max()) > SAME_POINT


def _covers(moment: Moment, k: int, i: int, bond: Bond) -> bool:
    """Whether panel k lies over the bonded region by a strip of over 3 mm."""
    relative = space.relative(moment.after[k], moment.after[i])
    outline = space.applied(relative, moment.folder.outlines[k])[:, :2]
    return not shared(shapely.Polygon(outline), shapely.Polygon(bond.region)).buffer(-1.5).is_empty


def _reached(played: Replay) -> Check:
    """Every bond can be pressed when it is made."""
    bad = [(m, bond) for m in played.moments for bond in unreached(played.net, m)]
    where = "".join(f" (step {m.step.number}: {_names(bond)})" for m, bond in bad[:3])
    return at_most("order.reach", len(bad), 0, "bonds", f"A finger can press every bond when it is made{where}.")


def unreached(net: Net, moment: Moment) -> list[Bond]:
    """Bonds of a step that no finger can press."""
    return [net.bonds[b] for b in moment.step.bonds if not pressed(moment, net.bonds[b])]


def _finished(net: Net, played: Replay) -> list[Check]:
    """At the end every fold has its angle, every bond is made and every carried part is in its place."""
    off = [abs(m.angles[f.name] - f.angle) for part in net.parts if (m := played.last(part.name)) for f in part.folds]
    unplayed = [f for part in net.parts if played.last(part.name) is None for f in part.folds]
    angle = max([*off, *(abs(f.angle) for f in unplayed)], default=0.0)
    made = {b for m in played.moments for b in m.step.bonds}
    shift = max((_away(net, m) for m in played.moments if m.step.move), default=0.0)
    unscored = {p.name for p in net.parts if p.folds} - {m.part.name for m in played.moments if m.step.kind == "score"}
    scored = () if net.ready else (at_most("order.scored", len(unscored), 0, "parts", "Every part is scored before it is folded."),)
    return [
        at_most("order.angles", angle, SAME_POINT, "degrees", "After the last step every fold stands at its angle."),
        at_most("order.bonds", len(net.bonds) - len(made), 0, "bonds", "After the last step every bond is made."),
        at_most("order.places", shift, COMPUTED, "mm", "Every part that is carried ends in its place."),
        *scored,
    ]


def _away(net: Net, moment: Moment) -> float:
    end = space.matrix(moment.step.move[-1])
    later = [s for s in net.steps if s.part == moment.part.name and s.move and s.number > moment.step.number]
    goal = space.matrix(moment.part.places[0])
    return 0.0 if later else float(np.abs(end - goal).max())

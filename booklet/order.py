"""The proof of the order: hands can do each step, and no step undoes another."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import space
from booklet.check import Check, at_most
from booklet.collide import Bodies, deepest
from booklet.folding import folder
from booklet.net import Bond, Net, Part
from booklet.plane import Ring
from booklet.reach import pressed
from booklet.replay import Moment, Replay
from booklet.tolerance import COMPUTED, SAME_POINT, THROUGH

Places = NDArray[np.float64]
_CLEAR_OF = 0.75
"""In calipers: nearer than this two mid-surfaces lie on each other and have no sides (half-cut hems stand 2/3 off)."""


def checks(played: Replay) -> list[Check]:
    """All checks of the order."""
    net = played.net
    return [
        _collision(played),
        _passing(played),
        _held(played),
        *_touch(played),
        _between(played),
        _reached(played),
        *_finished(net, played),
    ]


def _collision(played: Replay) -> Check:
    """No panel runs through another on its way, beyond the give of card."""
    worst, where = 0.0, ""
    for moment in played.moments:
        depth, text = _deepest(played, moment)
        if depth > worst:
            worst, where = depth, text
    limit = round(THROUGH * played.net.caliper, 4)
    return at_most("order.collision", worst, limit, "mm", f"No step drives card through card{where}.")


def _deepest(played: Replay, moment: Moment) -> tuple[float, str]:
    part, names = moment.part, [panel.name for panel in moment.part.panels]
    limit = played.net.caliper / 2
    if moment.step.move:
        return _on_the_way(played, moment, limit)
    depth, _, a, b = deepest(Bodies([p.outline for p in part.panels]), moment.frames, apart(part, moment.joined), limit)
    return depth, f" (step {moment.step.number}: {names[a]} and {names[b]} come {depth:.2f} mm into each other)" if depth else ""


def _on_the_way(played: Replay, moment: Moment, limit: float) -> tuple[float, str]:
    """A part that is carried to the others: only its crossings with them count."""
    others = [played.last_before(name, moment) for name in moment.present if name != moment.part.name]
    still = [m for m in others if m is not None]
    if not still:
        return 0.0, ""
    outlines: list[Ring] = [p.outline for m in (moment, *still) for p in m.part.panels]
    count = len(moment.part.panels)
    rest = np.concatenate([m.after for m in still])
    frames = np.array([np.concatenate([own, rest]) for own in moment.frames])
    pairs = np.zeros((len(outlines), len(outlines)), bool)
    pairs[:count, count:] = pairs[count:, :count] = True
    depth, *_ = deepest(Bodies(outlines), frames, pairs, limit)
    return depth, f" (step {moment.step.number}: the {moment.part.name} runs {depth:.2f} mm into the box)" if depth else ""


def _passing(played: Replay) -> Check:
    """No panel gets to its side of another by going through it: two that end flat on each other hardly cross on the way."""
    bad = [(m, i, j) for m in played.moments if len(m.frames) > 2 for i, j in m.stack.sides if _goes_through(m, i, j)]
    names = [f"{m.part.panels[i].name} through {m.part.panels[j].name}" for m, i, j in bad]
    where = "".join(f" (step {m.step.number}: {name})" for (m, _, _), name in zip(bad[:3], names, strict=False))
    return at_most("order.through", len(bad), 0, "panels", f"No panel comes to lie on another by passing through it{where}.")


def _goes_through(moment: Moment, i: int, j: int) -> bool:
    """Whether a corner of panel i changes sides of panel j between two frames while it stands over j both times."""
    relative = space.relative(moment.frames[:, i], moment.frames[:, j])
    if float(np.abs(relative - relative[-1]).max()) < SAME_POINT:
        return False
    points = moment.folder.outlines[i]
    seen = points @ relative[:, :3, :3].transpose(0, 2, 1) + relative[:, None, :3, 3]
    inner = moment.folder.shapes[j].buffer(-COMPUTED)
    over = shapely.contains_xy(inner, seen[..., 0], seen[..., 1])
    clear = np.abs(seen[..., 2]) > _CLEAR_OF * moment.part.caliper
    turned = seen[:-1, :, 2] * seen[1:, :, 2] < 0
    return bool((turned & (over & clear)[:-1] & (over & clear)[1:]).any())


def apart(part: Part, joined: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Pairs of panels that could run through each other: joined ones that no fold hinges on each other."""
    index = folder(part).index
    pairs = joined.copy()
    np.fill_diagonal(pairs, False)
    for fold in part.folds:
        a, b = index[fold.parent], index[fold.child]
        pairs[a, b] = pairs[b, a] = False
    return pairs


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
    now = np.einsum("fxy,py->fpx", seen[:, :3, :3], region) + seen[:, None, :3, 3]
    return float(np.abs(now - goal).max())


def _held(played: Replay) -> Check:
    """A bond once made stays closed in every later step of its part."""
    worst, where = 0.0, ""
    for moment in played.moments:
        if moment.step.move:
            continue
        for number in moment.made:
            bond = played.net.bonds[number]
            if number in moment.step.bonds or bond.panels[0][0] != moment.part.name:
                continue
            pull = strain(played.net, bond, moment.frames)
            if pull > worst:
                worst, where = pull, f" (step {moment.step.number} pulls {bond.panels[0][1]} off {bond.panels[1][1]} by {pull:.2f} mm)"
    return at_most("order.undo", worst, 2 * COMPUTED, "mm", f"No step pulls a glued bond open again{where}.")


def _touch(played: Replay) -> list[Check]:
    """A bond is made only where its faces touch at that moment."""
    worst, where, twice = 0.0, "", []
    for moment in played.moments:
        for number in moment.step.bonds:
            twice.append(number)
            gap = strain(played.net, played.net.bonds[number], moment.frames[-1:])
            if gap > worst:
                worst, where = gap, f" (step {moment.step.number} misses by {gap:.2f} mm)"
    return [
        at_most("order.touch", worst, COMPUTED, "mm", f"Every bond is made when its faces touch{where}."),
        at_most("order.once", len(twice) - len(set(twice)), 0, "bonds", "No bond is made twice."),
    ]


def _between(played: Replay) -> Check:
    """When a bond is made, its panels lie on each other in the right order with no other card between."""
    bad = [(m, b) for m in played.moments for b in m.step.bonds if not _face_to_face(played.net, m, played.net.bonds[b])]
    where = "".join(f" (step {m.step.number}: {_names(played.net.bonds[b])})" for m, b in bad[:3])
    return at_most("order.layers", len(bad), 0, "bonds", f"Glued faces meet with no other card between them{where}.")


def _names(bond: Bond) -> str:
    return f"{bond.panels[0][1]} on {bond.panels[1][1]}"


def _face_to_face(net: Net, moment: Moment, bond: Bond) -> bool:
    (name, first), (other, second) = bond.panels
    if name != other:
        return True
    index = moment.folder.index
    i, j = index[first], index[second]
    side = 1 if bond.faces[1] == "marked" else -1
    if moment.stack.on(i, j) != side:
        return False
    own = 1 if bond.faces[0] == "marked" else -1
    third = (k for k in range(len(moment.after)) if k not in (i, j))
    return not any(moment.stack.on(k, j) == side and moment.stack.on(k, i) == own and _covers(moment, k, i, bond) for k in third)


def _covers(moment: Moment, k: int, i: int, bond: Bond) -> bool:
    """Whether panel k lies over the bonded region by a strip of over 3 mm."""
    relative = space.relative(moment.after[k], moment.after[i])
    outline = space.applied(relative, moment.folder.outlines[k])[:, :2]
    return not shapely.Polygon(outline).intersection(shapely.Polygon(bond.region)).buffer(-1.5).is_empty


def _reached(played: Replay) -> Check:
    """Every bond can be pressed when it is made."""
    bad = [(m, b) for m in played.moments for b in m.step.bonds if not pressed(m, played.net.bonds[b])]
    where = "".join(f" (step {m.step.number}: {_names(played.net.bonds[b])})" for m, b in bad[:3])
    return at_most("order.reach", len(bad), 0, "bonds", f"A finger can press every bond when it is made{where}.")


def _finished(net: Net, played: Replay) -> list[Check]:
    """At the end every fold has its angle, every bond is made and every carried part is in its place."""
    off = [abs(m.angles[f.name] - f.angle) for part in net.parts if (m := played.last(part.name)) for f in part.folds]
    unplayed = [f for part in net.parts if played.last(part.name) is None for f in part.folds]
    angle = max([*off, *(abs(f.angle) for f in unplayed)], default=0.0)
    made = {b for m in played.moments for b in m.step.bonds}
    shift = max((_away(net, m) for m in played.moments if m.step.move), default=0.0)
    unscored = {p.name for p in net.parts} - {m.part.name for m in played.moments if m.step.kind == "score"}
    return [
        at_most("order.angles", angle, SAME_POINT, "degrees", "After the last step every fold stands at its angle."),
        at_most("order.bonds", len(net.bonds) - len(made), 0, "bonds", "After the last step every bond is made."),
        at_most("order.places", shift, COMPUTED, "mm", "Every part that is carried ends in its place."),
        at_most("order.scored", len(unscored), 0, "parts", "Every part is scored before it is folded."),
    ]


def _away(net: Net, moment: Moment) -> float:
    end = space.matrix(moment.step.move[-1])
    later = [s for s in net.steps if s.part == moment.part.name and s.move and s.number > moment.step.number]
    goal = space.matrix(moment.part.places[0])
    return 0.0 if later else float(np.abs(end - goal).max())

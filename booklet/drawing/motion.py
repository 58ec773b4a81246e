"""What moves in a step: rigid groups of panels, the places that they pass, their ghosts and arrows.

A picture holds one group still, that which rests while hands do the step. Places are told in the flat frame of one panel
of that group. Pieces that are not joined yet stand apart, and slide to each other when they are. Millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import plane, space
from booklet.drawing.scene import Points
from booklet.drawing.ways import arc
from booklet.folding import child_side
from booklet.net import Bond, Fold, Net, Part
from booklet.replay import PARTS, Moment, Replay
from booklet.steps.upright import resting

Places = NDArray[np.float64]
_STILL = 1e-6
_FLAT = 2.5
"""mm: panels that lie about as near as this to one plane have one ghost, their common outline (chosen by us)."""

OFFSET = 8.0
_RADIUS = 0.1
"""An arrow's arc lies this many mm outside the way of the panel, and has a radius of at least this share of the part's length."""

_ENDS = 0.15
ARC = 24
"""Where several things move, each arrow ends this share of its way before its end, so that two that meet stay apart (chosen by us)."""

_ARROWS = 12
"""Of more groups that move at once, as the teeth of a round box, only every second or third has its arrow (chosen by us)."""

_SLIDE = 0.2
"""The arrow of a piece that slides is at least this share of the part's length (chosen by us)."""

_APART = 0.12
"""Pieces that are not joined yet stand apart by this share of their part's length (chosen by us)."""


@dataclass(frozen=True)
class Group:
    """Panels that move as one, by index. `hinge`: the one that is joined to what they move on; `point`: whose way the arrow shows."""

    hinge: int
    panels: tuple[int, ...]
    fold: Fold | None
    point: plane.Point


@dataclass(frozen=True)
class Motion:
    """One step of one part, with one group held still.

    `frames`: places of all panels, (frames, panels, 4, 4), in the flat frame of the panel `still`.
    """

    part: Part
    frames: Places
    still: int
    groups: tuple[Group, ...]

    @cached_property
    def moved(self) -> frozenset[int]:
        """Indices of all panels that move."""
        return frozenset(i for group in self.groups for i in group.panels)

    @cached_property
    def index(self) -> dict[str, int]:
        """Panel names to indices."""
        return {panel.name: i for i, panel in enumerate(self.part.panels)}

    def based(self, base: space.Matrix) -> Motion:
        """The same motion seen from another frame."""
        return replace(self, frames=base @ self.frames)


def motion(played: Replay, moment: Moment) -> Motion:
    """The motion of a step, one group held still."""
    if moment.step.kind == "join":
        return _joining(played, moment)
    still = min(resting(moment))
    frames = space.relative(moment.frames, moment.frames[:, still, None])
    found = [group for group in _rigid(played.net, moment) if still not in group and _moves(frames, group[0])]
    at_rest = frozenset(range(len(moment.part.panels))) - {i for group in found for i in group}
    moving = tuple(_group(moment, group, at_rest) for group in found)
    return Motion(moment.part, _shifted(frames, shifts_apart(moment.part, moment.joined)), still, moving)


def _joining(played: Replay, moment: Moment) -> Motion:
    """Pieces slide to those that they are joined to, from where they stood apart."""
    before = played.last_before(moment.part.name, moment)
    joined = before.joined if before else np.eye(len(moment.part.panels), dtype=bool)
    first, last = shifts_apart(moment.part, joined), shifts_apart(moment.part, moment.joined)
    still = moment.folder.index[moment.part.root]
    rest = space.inverse(moment.after[still]) @ moment.after
    frames = np.array([_shifted(rest[None], first + (last - first) * k / PARTS)[0] for k in range(PARTS + 1)])
    slides = np.abs(last - first).max(axis=1) > _STILL
    return Motion(moment.part, frames, still, tuple(_sliding(moment, joined, slides)))


def _sliding(moment: Moment, joined: NDArray[np.bool_], slides: NDArray[np.bool_]) -> list[Group]:
    """One group for each piece that slides; of the seams on which it is joined the middle one tells its way."""
    index = moment.folder.index
    seams: dict[tuple[int, ...], list[tuple[int, plane.Point]]] = {}
    for fold in moment.part.cut_folds():
        ends = index[fold.parent], index[fold.child]
        if joined[ends] or not moment.joined[ends]:
            continue
        new = next((i for i in reversed(ends) if slides[i]), None)
        if new is not None:
            panels = tuple(np.flatnonzero(joined[new] & slides).tolist())
            seams.setdefault(panels, []).append((new, plane.middle(fold.line)))
    return [Group(new, panels, None, at) for panels, found in seams.items() for new, at in [found[(len(found) - 1) // 2]]]


def _shifted(frames: Places, shifts: Points) -> Places:
    moved = frames.copy()
    moved[:, :, :3, 3] += shifts
    return moved


def _rigid(net: Net, moment: Moment) -> list[tuple[int, ...]]:
    """Panels that keep their places to each other in a step: by folds that do not turn, and by bonds made before."""
    index, turned = moment.folder.index, {name for angles in (moment.step.folds, *moment.step.path) for name, _ in angles}
    links = [(index[f.parent], index[f.child]) for f in moment.part.folds if f.name not in turned]
    for number in set(moment.made) - set(moment.step.bonds):
        links += _links(moment, net.bonds[number])
    group = list(range(len(moment.part.panels)))
    for a, b in links:
        low, high = sorted((group[a], group[b]))
        group = [low if g == high else g for g in group]
    return [tuple(i for i, g in enumerate(group) if g == number) for number in sorted(set(group))]


def _links(moment: Moment, bond: Bond) -> list[tuple[int, int]]:
    (p, a), (q, b) = bond.panels
    index = moment.folder.index
    return [(index[a], index[b])] if p == q == moment.part.name else []


def _moves(frames: Places, i: int) -> bool:
    return float(np.abs(frames[:, i] - frames[0, i]).max()) > _STILL


def _group(moment: Moment, group: tuple[int, ...], at_rest: frozenset[int]) -> Group:
    """A group that turns on a fold of the step: the first that joins it to what is at rest, else the first that has one end in it."""
    members, index = set(group), moment.folder.index
    folds = [moment.part.fold[name] for name, _ in moment.step.folds]
    ends = [(fold, {index[fold.parent], index[fold.child]}) for fold in folds]
    ends = [(fold, both) for fold, both in ends if len(both & members) == 1]
    if ends:
        fold, both = min(ends, key=lambda one: not one[1] & at_rest)
        (hinge,) = both & members
        return Group(hinge, group, fold, free_middle(moment.part, hinge, fold))
    return Group(group[0], group, None, moment.part.panels[group[0]].outline[0])


def ghosts(act: Motion) -> list[Points]:
    """Closed outlines of what turns as it was before the step; groups that lay in one plane have one in common, and so has a bent face."""
    level: dict[tuple[float, ...], list[int]] = {}
    turned = [i for group in act.groups if group.fold for i in group.panels]
    faces: dict[str, list[int]] = {}
    for i in turned:
        faces.setdefault(act.part.panels[i].body or act.part.panels[i].name, []).append(i)
    bent = [facets for facets in faces.values() if len({_plane(act.frames[0, i]) for i in facets}) > 1]
    apart = {i for facets in bent for i in facets}
    for i in turned:
        if i not in apart:
            level.setdefault(_plane(act.frames[0, i]), []).append(i)
    return [*(ring for panels in level.values() for ring in _ghost(act, panels)), *(_bent_ghost(act, facets) for facets in bent)]


def _bent_ghost(act: Motion, facets: Sequence[int]) -> Points:
    """The outline of a face that is bent: that of its flat facets together, each corner where its facet was."""
    shapes = [shapely.Polygon(act.part.panels[i].outline) for i in facets]
    whole = max(shapely.get_parts(shapely.union_all(shapes, grid_size=1e-6)), key=lambda one: one.area)
    corners = shapely.get_coordinates(whole.exterior)
    on = [min(range(len(facets)), key=lambda n: round(float(shapes[n].distance(shapely.Point(corner))), 3)) for corner in corners]
    return np.array([space.applied(act.frames[0, facets[n]], np.array([[x, y, 0.0]]))[0] for n, (x, y) in zip(on, corners, strict=True)])


def _plane(place: space.Matrix) -> tuple[float, ...]:
    """The plane of a panel, whichever way it faces: what differs by less than layers of card is one."""
    normal = np.round(place[:3, 2], 2)
    first = next(v for v in normal if v)
    normal = normal * np.sign(first) + 0.0
    return (*normal.tolist(), float(np.round(normal @ place[:3, 3] / _FLAT)))


def _ghost(act: Motion, panels: Sequence[int]) -> list[Points]:
    before = act.frames[0]
    level = space.inverse(before[panels[0]])
    rings = [space.applied(level @ before[i], space.lifted(act.part.panels[i].outline)) for i in panels]
    whole = shapely.union_all([shapely.Polygon(ring[:, :2]) for ring in rings], grid_size=1e-3)
    parts = [shapely.get_coordinates(part.exterior) for part in shapely.get_parts(whole)]
    return [space.applied(before[panels[0]], np.column_stack([part, np.zeros(len(part))])) for part in parts]


def arrows(act: Motion) -> list[Points]:
    """One line for each group that moves on what stands still: the way of the middle of its free edge."""
    long = longest(act.part)
    led = [group for group in act.groups if not carried(act, group)]
    return [_arrow(act, group, long) for group in led[:: max(1, -(-len(led) // _ARROWS))]]


def _arrow(act: Motion, group: Group, long: float) -> Points:
    if group.fold is not None:
        short = _ENDS if len(act.groups) > 1 else 0.0
        return arc(way_of(act, group), max(OFFSET, _RADIUS * long - _radius(group)))[: round(-short * ARC) or None]
    first, *_, last = np.array(way_of(act, group))
    way = last - first
    return np.array([last - way * max(1.0, _SLIDE * long / max(float(np.linalg.norm(way)), _STILL)), last])


def longest(part: Part) -> float:
    """The longer side of a flat part, mm."""
    x0, y0, x1, y1 = plane.bounds(p for panel in part.panels for p in panel.outline)
    return max(x1 - x0, y1 - y0)


def _radius(group: Group) -> float:
    return abs(plane.side(group.fold.line, group.point)) if group.fold else 0.0


def carried(act: Motion, group: Group) -> bool:
    """Whether a group turns on one that moves itself."""
    return group.fold is not None and {act.index[group.fold.parent], act.index[group.fold.child]} <= act.moved


def free_middle(part: Part, i: int, fold: Fold) -> plane.Point:
    """The middle of the edge of a panel that lies farthest from a fold's line, in the flat frame."""
    ring = part.panels[i].outline
    edges = [(a, b) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True) if plane.length((a, b)) > 1.0]
    return max((plane.middle(edge) for edge in edges), key=lambda p: round(abs(plane.side(fold.line, p)), 3))


def way_of(act: Motion, group: Group, count: int = 9) -> list[list[float]]:
    """Where the point of a group passes in the step, in at most `count` places."""
    picks = sorted(set(np.linspace(0, len(act.frames) - 1, count).round().astype(int).tolist()))
    at = np.array([[*group.point, 0.0]])
    return [space.applied(act.frames[k, group.hinge], at)[0].tolist() for k in picks]


def shifts_apart(part: Part, joined: NDArray[np.bool_]) -> Points:
    """Shift of every panel in the flat frame, (panels, 3) in mm, that sets pieces apart which are not joined yet."""
    index = {panel.name: i for i, panel in enumerate(part.panels)}
    gap = _gap(part)
    shifts = np.zeros((len(part.panels), 3))
    if joined.all():
        return shifts
    done = set(np.flatnonzero(joined[index[part.root]]).tolist())
    folds = list(part.cut_folds())
    while ready := [f for f in folds if (index[f.parent] in done) != (index[f.child] in done)]:
        fold = ready[0]
        child = index[fold.child] not in done
        known, new = (index[fold.parent], index[fold.child]) if child else (index[fold.child], index[fold.parent])
        group = np.flatnonzero(joined[new])
        shifts[group] = shifts[known] + gap * _outward(part, fold) * (1 if child else -1)
        done |= set(group.tolist())
    return shifts


def _gap(part: Part) -> float:
    return max(30.0, _APART * longest(part))


def _outward(part: Part, fold: Fold) -> Points:
    (ax, ay), (bx, by) = fold.line
    size, side = plane.length(fold.line), child_side(part, fold)
    return np.array([-(by - ay) * side / size, (bx - ax) * side / size, 0.0])

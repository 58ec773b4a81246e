"""What moves in a step: rigid groups of panels, the places that they pass, their ghosts and arrows.

A picture holds one group still: the largest, of equals that of the root. Places are told in the flat frame of one
panel of that group. Millimetres.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import plane, space
from booklet.drawing.picture import arc
from booklet.drawing.scene import Points
from booklet.folding import child_side
from booklet.net import Bond, Fold, Net, Part
from booklet.plane import Ring
from booklet.replay import Moment

Places = NDArray[np.float64]
_STILL = 1e-6
_FLAT = 2.5
"""mm: panels of a group that lie within this of one plane have one ghost, their common outline (chosen by us)."""

_APART = 0.12
"""Pieces that are not joined yet stand apart by this share of their part's length (chosen by us)."""


@dataclass(frozen=True)
class Motion:
    """One step of one part, with one group held still.

    `frames`: places of all panels, (frames, panels, 4, 4), in the flat frame of the panel `still`. `moving`: the other
    groups, as indices of panels, each with the index of the panel on which it turns first.
    """

    net: Net
    moment: Moment
    frames: Places
    still: int
    moving: tuple[tuple[int, tuple[int, ...]], ...]

    @property
    def part(self) -> Part:
        """The part that the step is about."""
        return self.moment.part

    @cached_property
    def moved(self) -> frozenset[int]:
        """Indices of all panels that move."""
        return frozenset(i for _, group in self.moving for i in group)

    def place_of_still(self, final: Places) -> space.Matrix:
        """Where the panel that is held still stands in the closed box, when `final` are its part's places there."""
        place: space.Matrix = final[self.still]
        return place


def motion(net: Net, moment: Moment) -> Motion:
    """The motion of a step, the largest group held still."""
    groups = _rigid(net, moment)
    still_group = _still_group(moment, groups)
    still = min(still_group)
    frames = np.array([space.inverse(frame[still]) @ frame for frame in moment.frames])
    moving = tuple((_hinged(moment, group), group) for group in groups if group != still_group and _moves(frames, group[0]))
    return Motion(net, moment, frames, still, moving)


def _rigid(net: Net, moment: Moment) -> list[tuple[int, ...]]:
    """Panels that keep their places to each other in a step: by folds that do not turn, and by bonds made before."""
    index, turned = moment.folder.index, dict(moment.step.folds)
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


def _still_group(moment: Moment, groups: Sequence[tuple[int, ...]]) -> tuple[int, ...]:
    root = moment.folder.index[moment.part.root]
    if moment.step.kind == "square":
        return next(group for group in groups if root in group)
    areas = [abs(plane.area(panel.outline)) for panel in moment.part.panels]
    return max(groups, key=lambda group: (round(sum(areas[i] for i in group), 3), root in group))


def _moves(frames: Places, i: int) -> bool:
    return float(np.abs(frames[:, i] - frames[0, i]).max()) > _STILL


def _hinged(moment: Moment, group: Iterable[int]) -> int:
    """The panel of a group on which it turns: an end of the fold nearest to the part's root that the step moves."""
    members, index = set(group), moment.folder.index
    for name, _ in moment.step.folds:
        fold = moment.part.fold[name]
        ends = {index[fold.parent], index[fold.child]}
        if len(ends & members) == 1:
            return next(iter(ends & members))
    return min(members)


def ghosts(act: Motion) -> list[Points]:
    """Closed outlines of the moving groups as they were before the step."""
    return [ring for _, group in act.moving for ring in _ghost(act, group)]


def _ghost(act: Motion, group: Sequence[int]) -> list[Points]:
    before, outlines = act.frames[0], act.moment.folder.outlines
    level = space.inverse(before[group[0]])
    rings = [space.applied(level @ before[i], outlines[i]) for i in group]
    if max(float(np.abs(ring[:, 2]).max()) for ring in rings) > _FLAT:
        return [_closed(space.applied(before[i], outlines[i])) for i in group]
    whole = shapely.union_all([shapely.Polygon(ring[:, :2]) for ring in rings], grid_size=1e-6)
    parts = [shapely.get_coordinates(part.exterior) for part in shapely.get_parts(whole)]
    return [space.applied(before[group[0]], np.column_stack([part, np.zeros(len(part))])) for part in parts]


def _closed(ring: Points) -> Points:
    return np.concatenate([ring, ring[:1]])


def arrows(act: Motion) -> list[Points]:
    """One arc for each moving group that turns on what stands still: the way of the middle of its free edge."""
    moved, index = act.moved, act.moment.folder.index
    found = []
    for hinge, group in act.moving:
        fold = _fold_of(act, hinge, group)
        if fold is None or {index[fold.parent], index[fold.child]} <= moved:
            continue
        found.append(arc(way_of(act, hinge, free_middle(act.part, hinge, fold))))
    return found


def _fold_of(act: Motion, hinge: int, group: Sequence[int]) -> Fold | None:
    index, members = act.moment.folder.index, set(group)
    for name, _ in act.moment.step.folds:
        fold = act.part.fold[name]
        ends = {index[fold.parent], index[fold.child]}
        if hinge in ends and not ends <= members:
            return fold
    return None


def free_middle(part: Part, i: int, fold: Fold) -> plane.Point:
    """The middle of the edge of a panel that lies farthest from a fold's line, in the flat frame."""
    ring = part.panels[i].outline
    edges = [(a, b) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True) if plane.length((a, b)) > 1.0]
    return max((plane.middle(edge) for edge in edges), key=lambda p: round(abs(plane.side(fold.line, p)), 3))


def way_of(act: Motion, i: int, point: plane.Point, count: int = 9) -> list[Points]:
    """Where a point of a panel passes in the step, in at most `count` places."""
    picks = np.unique(np.linspace(0, len(act.frames) - 1, count).round().astype(int))
    at = np.array([[*point, 0.0]])
    return [space.applied(act.frames[k, i], at)[0] for k in picks]


def shifts_apart(part: Part, joined: NDArray[np.bool_]) -> Points:
    """Shift of every panel in the flat frame, (panels, 3) in mm, that sets pieces apart which are not joined yet."""
    index = {panel.name: i for i, panel in enumerate(part.panels)}
    gap = _gap(part)
    shifts = np.zeros((len(part.panels), 3))
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
    x0, y0, x1, y1 = plane.bounds(p for panel in part.panels for p in panel.outline)
    return max(30.0, _APART * max(x1 - x0, y1 - y0))


def _outward(part: Part, fold: Fold) -> Points:
    (ax, ay), (bx, by) = fold.line
    size, side = plane.length(fold.line), child_side(part, fold)
    return np.array([-(by - ay) * side / size, (bx - ax) * side / size, 0.0])


def glued(net: Net, bond: Bond, final: dict[str, Places]) -> tuple[tuple[str, str, Ring, int], tuple[str, str, Ring, int]]:
    """Both areas of a bond: part, panel, ring in the part's flat frame, and +1 on the marked face or -1 on the back.

    `final`: places of all parts in the closed box.
    """
    (p, a), (q, b) = bond.panels
    first = final[p][_index(net, p, a)]
    second = final[q][_index(net, q, b)]
    seen = space.applied(space.inverse(second) @ first, space.lifted(bond.region))
    ring = tuple((float(x), float(y)) for x, y in np.round(seen[:, :2], 6))
    sides = [1 if face == "marked" else -1 for face in bond.faces]
    return (p, a, bond.region, sides[0]), (q, b, ring, sides[1])


def _index(net: Net, part: str, panel: str) -> int:
    return next(i for i, one in enumerate(net.part[part].panels) if one.name == panel)

"""Which way up a part lies or stands while hands work on it. Directions are unit vectors in the frame of the closed box, its root in place.

A step can be done with a direction up when nothing that moves comes lower than what stays: the table is there.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import plane, space
from booklet.net import Net
from booklet.passing import parted
from booklet.replay import Moment

Up = tuple[float, float, float]
Ways = dict[Up, frozenset[Up]]
"""Each direction that may be up before a step, with the directions that may be up after it."""

Places = NDArray[np.float64]
Slot = tuple[NDArray[np.float64], shapely.Polygon]
"""What takes points into the frame of a panel that rests, and a hole of that panel."""

_DIPS = 1.5
"""mm: the edge of a table and the give of card (chosen by us)."""

STANDING: tuple[Up, Up] = ((0.0, 0.0, 1.0), (0.0, 0.0, -1.0))


def told(vector: NDArray[np.float64]) -> Up:
    """A direction that can be compared."""
    x, y, z = (round(float(v), 3) + 0.0 for v in vector)
    return x, y, z


def lying(moment: Moment) -> tuple[Up, Up]:
    """Up for a flat part: out of the root's marked face, or out of its back."""
    normal = moment.before[moment.folder.index[moment.part.root]][:3, 2]
    return told(normal), told(-normal)


def held(net: Net, moment: Moment, was_flat: bool) -> Ways:
    """The ways in which a step can be held. `was_flat`: whether the part lay flat before it."""
    if moment.step.kind == "join":
        return _by_glued_face(net, moment)
    tries = lying(moment) if was_flat else STANDING
    upright = abs(tries[0][2]) > 0.99
    rest = resting(moment)
    still = moment.frames[:, min(rest)]
    frames = _seen_still(moment, rest)
    turn = (still[0] @ space.inverse(still[-1]))[:3, :3]
    free = was_flat and not moment.flat and not upright
    good = [up for up in tries if _stays_over(moment, frames, rest, np.array(up))]
    if moment.step.kind == "square":
        good = list(tries)
    return {up: frozenset(STANDING) if free else frozenset({told(turn.T @ np.array(up))}) for up in good}


def _by_glued_face(net: Net, moment: Moment) -> Ways:
    """Glue flaps are laid on the face that is up."""
    ways: Ways = {}
    for number in moment.step.bonds:
        (_, name), face = net.bonds[number].panels[1], net.bonds[number].faces[1]
        normal = moment.after[moment.folder.index[name]][:3, 2]
        up = told(normal if face == "marked" else -normal)
        ways[up] = frozenset({up})
    return ways


def _stays_over(moment: Moment, frames: Places, rest: frozenset[int], up: NDArray[np.float64]) -> bool:
    """Whether nothing that moves dips under what rests, with a direction up."""
    slots = [(space.inverse(frames[0, i]), shapely.Polygon(hole)) for i in rest for hole in moment.part.panels[i].holes]
    lows = np.array([_lowest(moment, frames, i, up, () if i in rest else slots) for i in range(len(moment.part.panels))])
    still = min(float(lows[i][0]) for i in rest)
    return all(float(lows[i].min()) > still - _DIPS - moment.part.caliper for i in range(len(lows)) if i not in rest)


def _lowest(moment: Moment, frames: Places, panel: int, up: NDArray[np.float64], slots: Sequence[Slot] = ()) -> NDArray[np.float64]:
    """The lowest height of a panel's corners in each frame; a foot in a slot of what rests is past the table's edge."""
    points = space.applied(frames[:, panel], moment.folder.outlines[panel])
    heights = points @ up
    for seen, hole in slots:
        over = space.applied(seen, points.reshape(-1, 3)).reshape(points.shape)
        heights = np.where(shapely.contains_xy(hole, over[..., 0], over[..., 1]), np.inf, heights)
    lowest: NDArray[np.float64] = heights.min(1)
    return lowest


def resting(moment: Moment) -> frozenset[int]:
    """The panels, by index, that stay in a step: those on which several others turn, else the largest group that moves as one."""
    groups = _groups(moment)
    index, part = moment.folder.index, moment.part
    if moment.step.kind == "square":
        return next(group for group in groups if index[part.root] in group)
    parents = {index[part.fold[name].parent] for name, _ in moment.step.folds if not _inner(moment, name)}
    common = [group for group in groups if parents and parents <= group]
    if common and len(groups) > 2:
        return common[0]
    areas = [abs(plane.area(panel.outline)) for panel in part.panels]
    largest = max(groups, key=lambda group: (round(sum(areas[i] for i in group), 3), index[part.root] in group))
    if index[part.root] in largest or _can_rest(moment, largest):
        return largest
    return next(group for group in groups if index[part.root] in group)


def _can_rest(moment: Moment, rest: frozenset[int]) -> bool:
    """Whether a group can lie or stand still while the others turn, be it this way up or that."""
    frames = _seen_still(moment, rest)
    return any(_stays_over(moment, frames, rest, np.array(up)) for up in (*lying(moment), *STANDING))


def _seen_still(moment: Moment, rest: frozenset[int]) -> Places:
    """The frames of a step with a group kept where it is at first."""
    still = moment.frames[:, min(rest)]
    seen: Places = (still[0] @ np.array([space.inverse(m) for m in still]))[:, None] @ moment.frames
    return seen


def _inner(moment: Moment, name: str) -> bool:
    """Whether a fold hangs on a panel that moves in the step itself, as a web on its wall."""
    moved = {moment.part.fold[other].child for other, _ in moment.step.folds}
    return moment.part.fold[name].parent in moved


def _groups(moment: Moment) -> list[frozenset[int]]:
    """Panels that keep their places to each other in a step."""
    part = parted(moment)
    left, groups = set(range(len(part))), []
    while left:
        first = min(left)
        group = frozenset(np.flatnonzero(~part[first]).tolist())
        groups.append(group)
        left -= group
    return groups

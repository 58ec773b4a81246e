"""A box as it stands closed, and as it stands open: from its folded net alone, without the search for steps where that can be.

Open is the moment before the thing is covered: a lid lifted, a drawer drawn out, or the folds opened that stand in the thing's way. What
covers nothing is shown half folded, boards that only butt are shown apart. Corners that are not cut stay closed. Millimetres, degrees.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from booklet import space, steps
from booklet.folding import Folder, folder
from booklet.net import Fold, Item, Net, Part
from booklet.replay import Replay, replay
from booklet.shelf.stacked import stack_of
from booklet.stack import Stack
from booklet.steps.chains import Tree
from booklet.steps.corners import Corners
from booklet.steps.opening import WAYS, Opening, Way
from booklet.tolerance import TORN

Places = NDArray[np.float64]
Vector = tuple[float, float, float]

COVERS = ("lid", "insert")
"""Parts that are lifted; a sleeve stays, and what is in it is drawn out (by role)."""

LIFT = 0.6
DRAWN = 0.5
APART = 0.3
"""Shares: of the inside's height that a lid is lifted over the rim, of a side that a drawer is out, of their distance from the middle
that boards are moved apart (chosen by looking)."""

HALF = 0.5
"""The share of its angles at which a box that covers nothing is shown (chosen by looking)."""

TURNS = (105.0, 75.0, 140.0, 50.0)
"""Degrees by which a fold in the way is opened, the first that frees the way (chosen by looking)."""

LOOSE = 0.6
"""The share of its angle that a flap keeps which hangs on what is opened (chosen by looking)."""

_TIMES = 4
_CUT_OFF = ((1, -1), (0, -1), (1, 1), (0, 1))
"""Ways to draw something out, those towards the viewer first."""


@dataclass(frozen=True, eq=False)
class Stands:
    """A part where it stands, once for each of its places: panels by the folds alone, (panels, 4, 4), and what lies on what."""

    part: Part
    places: Places
    stack: Stack


def closed(net: Net) -> tuple[Stands, ...]:
    """All parts in the closed box."""
    return tuple(_standing(net, part, _final(part)) for part in net.parts for part in _copies(part))


def opened(net: Net) -> tuple[Stands, ...]:
    """All parts as the box stands open. Raises Refused where only the search for steps could tell, and it finds none."""
    away = _moved(net)
    if away:
        return tuple(_shifted(one, away.get(one.part.name)) for one in closed(net))
    if not any(fold.angle for part in net.parts for fold in part.folds):
        return _apart(net)
    found = [_part_open(net, part) for part in net.parts]
    if any(angles is None for angles in found):
        return _by_steps(net)
    return tuple(_standing(net, copy, angles or {}) for part, angles in zip(net.parts, found, strict=True) for copy in _copies(part))


def _final(part: Part) -> Mapping[str, float]:
    return folder(part).final


def _copies(part: Part) -> Iterator[Part]:
    """The part once for each of its places."""
    return (part if len(part.places) == 1 else replace(part, places=(place,)) for place in part.places)


def _standing(net: Net, part: Part, angles: Mapping[str, float]) -> Stands:
    places = folder(part).places(angles, space.matrix(part.places[0]))
    return Stands(part, places, stack_of(net, part, places))


def _shifted(one: Stands, by: Vector | None) -> Stands:
    return one if by is None else Stands(one.part, space.moved(*by) @ one.places, one.stack)


def _moved(net: Net) -> dict[str, Vector]:
    """How far parts are moved from where they are in the closed box, by name."""
    sleeve = next((part for part in net.parts if part.role == "sleeve"), None)
    if sleeve:
        axis, sign = next((way for way in _CUT_OFF if _free(sleeve, net.item, way)), (0, -1))
        far = DRAWN * (net.inside.length if axis == 0 else net.inside.width)
        by = tuple(sign * far if k == axis else 0.0 for k in range(3))
        return {part.name: by for part in net.parts if part is not sleeve}  # type: ignore[misc]
    covers = [part for part in net.parts if part.role in COVERS]
    if len(covers) == len(net.parts):
        covers = covers[1:]
    return {part.name: (0.0, 0.0, _over(net, part) + LIFT * net.inside.height) for part in covers}


def _over(net: Net, part: Part) -> float:
    """How far a cover reaches down over the rim: so far it is lifted first."""
    rims = [one for one in net.parts if one is not part and one.role not in COVERS]
    top = max((float(_points(one)[:, 2].max()) for one in rims), default=0.0)
    return max(0.0, top - float(_points(part)[:, 2].min()))


def _points(part: Part) -> Places:
    found: Places = np.concatenate([space.applied(m, o) for m, o in zip(folder(part).stood, folder(part).outlines, strict=True)])
    return found


def _free(part: Part, item: Item, way: Way) -> bool:
    return Opening(folder(part), item).free(folder(part).stood, way)


def _apart(net: Net) -> tuple[Stands, ...]:
    """Parts that have no folds, moved from each other."""
    parts = closed(net)
    middles = np.array([folder(one.part).middles_at(one.places).mean(0) for one in parts])
    away = APART * (middles - middles.mean(0))
    return tuple(_shifted(one, (float(x), float(y), float(z))) for one, (x, y, z) in zip(parts, away, strict=True))


def _part_open(net: Net, part: Part) -> Mapping[str, float] | None:
    """Angles of a part as it stands open; None where its corners tear."""
    if not part.folds:
        return {}
    found = _freed(net, part)
    angles = _half(part) if found is None else found
    return angles if angles is not None and _whole(part, angles) else None


def _freed(net: Net, part: Part) -> dict[str, float] | None:
    """Angles with the folds opened that stand in the item's way; None where a way is free, or none can be freed.

    Of all ways the one that pulls the fewest bonds apart, and then opens the fewest folds.
    """
    fold, look = folder(part), Opening(folder(part), net.item)
    if any(look.free(fold.stood, way) for way in WAYS):
        return None
    tree = Tree(fold)
    held = [tree.chain(b.panels[0][1], b.panels[1][1]).folds for b in net.bonds if {name for name, _ in b.panels} == {part.name}]

    def cost(angles: Mapping[str, float]) -> tuple[int, int]:
        turned = {f.name for f in part.folds if angles[f.name] != f.angle}
        return sum(bool(turned & set(folds)) for folds in held), len(turned)

    return min((angles for way in WAYS if (angles := _way_freed(part, fold, look, way)) is not None), key=cost, default=None)


def _way_freed(part: Part, fold: Folder, look: Opening, way: Way) -> dict[str, float] | None:
    """Angles with everything on one way opened; None where that cannot be."""
    angles = dict(fold.final)
    hung = {f.child: f for f in part.folds}
    for _ in range(_TIMES):
        places = fold.places(angles, space.matrix(part.places[0]))
        bars = {panel.name for i, panel in enumerate(part.panels) if look.bars(places[i], i, way)}
        if not bars:
            return _let_hang(part, angles)
        if part.root in bars:
            return None
        for name in sorted(bars):
            one = hung[name]
            if one.parent not in bars:
                angles[one.name] = _turned_back(part, fold, look, way, angles, one)
    return None


def _turned_back(part: Part, fold: Folder, look: Opening, way: Way, angles: Mapping[str, float], one: Fold) -> float:
    """The angle of a fold at which its panel is out of the way."""
    back = math.copysign(1.0, one.angle)
    tries = [one.angle - back * turn for turn in TURNS]
    i, root = fold.index[one.child], space.matrix(part.places[0])
    free = (a for a in tries if not look.bars(fold.places({**angles, one.name: a}, root)[i], i, way))
    return next(free, tries[0])


def _let_hang(part: Part, angles: dict[str, float]) -> dict[str, float]:
    """Loose flaps on what is opened stand half open too."""
    parents = {f.parent for f in part.folds}
    moved = {f.child for f in part.folds if angles[f.name] != f.angle}
    for one in part.folds:
        if one.parent in moved and one.child not in parents and angles[one.name] == one.angle and abs(one.angle) < 120:
            angles[one.name] = LOOSE * one.angle
    return angles


def _half(part: Part) -> Mapping[str, float] | None:
    """Angles of a part half folded, its corners that are not cut kept closed; None where they cannot be."""
    final = folder(part).final
    if not part.loops:
        return {name: HALF * angle for name, angle in final.items()}
    ends = {fold.name: fold.angle for fold in part.folds if fold.parent == part.root}
    found = Corners(Tree(folder(part))).kept_closed(dict.fromkeys(final, 0.0), ends)
    if found is None:
        return None
    last, path = found
    frames: Sequence[Mapping[str, float]] = (*path, last)
    return {**dict.fromkeys(final, 0.0), **frames[round(HALF * (len(frames) - 1))]}


def _whole(part: Part, angles: Mapping[str, float]) -> bool:
    """Whether every corner that is not cut is closed at some angles, as nearly as hands can tell."""
    places, index = folder(part).places(angles), folder(part).index
    for loop in part.loops:
        one, two = (places[index[name]] for name in loop.panels)
        line = space.lifted(loop.line)
        if float(np.abs(space.applied(one, line) - space.applied(two, line)).max()) > TORN:
            return False
    return True


def _by_steps(net: Net) -> tuple[Stands, ...]:
    """The box as the steps have it before the item is covered; where they cover nothing, half through the last fold."""
    played = replay(steps.found(net))
    before = [m for m in played.moments if m.step.number <= _filled(played)]
    found = []
    for part in played.net.parts:
        own = [moment for moment in before if moment.part.name == part.name]
        last = own[-1] if own else None
        whole = last is not None and all(abs(last.angles[f.name] - f.angle) < 1e-6 for f in part.folds)
        if last is None:
            found.append(_standing(net, part, _final(part)))
        elif whole:
            turned = next((m for m in reversed(own) if len(m.frames) > 1 and m.step.folds), last)
            places = turned.frames[round(HALF * (len(turned.frames) - 1))]
            found.append(Stands(part, places, stack_of(net, part, places)))
        else:
            found.append(Stands(part, last.after, last.stack))
    return tuple(found)


def _filled(played: Replay) -> int:
    """The number of the step that puts the item in, or of the last one."""
    return next((m.step.number for m in played.moments if m.step.kind == "put"), len(played.moments))

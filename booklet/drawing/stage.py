"""What stands on the table in a step, as a scene: panels at their places in the stack, glue, ghosts and arrows. Millimetres."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from booklet import plane, space
from booklet.drawing.motion import Motion, arrows, ghosts, glued, motion, shifts_apart
from booklet.drawing.scene import Face3, Points, Scene
from booklet.folding import Folder, folder
from booklet.net import Net, Part
from booklet.replay import Moment, Replay, final_places
from booklet.stack import Stack, levels, lying

Places = NDArray[np.float64]

LAYER = 0.3
"""mm: thinner card is drawn with its layers this far apart, so that they can be told (chosen by us)."""


@dataclass(frozen=True, eq=False)
class Stage:
    """A scene of one step and what must be seen in it.

    `moving`: keys of the faces that move; `glue`: for each bond of the step the keys and sides of its two faces; `inside`: +1
    where the marked face is the inside of the box, -1 where it is its outside; `flat`: whether the part lies flat before and after.
    """

    scene: Scene
    moving: frozenset[str]
    glue: tuple[tuple[tuple[str, int], tuple[str, int]], ...]
    inside: int
    flat: bool
    opens_down: bool = False


def key_of(part: str, panel: str) -> str:
    """The key of a panel's face."""
    return f"{part}/{panel}"


@lru_cache(maxsize=16)
def finals(net: Net) -> dict[str, Places]:
    """Places of all parts in the closed box, computed once."""
    return final_places(net)


@lru_cache(maxsize=64)
def _thick(part: Part) -> Folder:
    return folder(replace(part, caliper=max(part.caliper, LAYER)))


def faces(part: Part, places: Places, stack: Stack, moving: Collection[int] = (), apart: Points | None = None) -> list[Face3]:
    """The panels of a part at their places in the stack. `apart`: a further shift of every panel, (panels, 3)."""
    shifts = levels(stack, _thick(part), places) if stack.sides else np.zeros((len(places), 3))
    if apart is not None:
        shifts = shifts + apart
    outlines = folder(part).outlines
    return [
        Face3(key_of(part.name, panel.name), *_rings(places[i], outlines[i], panel.holes, shifts[i]), i in moving, panel.body)
        for i, panel in enumerate(part.panels)
    ]


def _rings(place: space.Matrix, outline: Points, holes: Sequence[plane.Ring], shift: Points) -> tuple[Points, tuple[Points, ...]]:
    return space.applied(place, outline) + shift, tuple(space.applied(place, space.lifted(h)) + shift for h in holes)


def stack_at(played: Replay, moment: Moment, places: Places) -> Stack:
    """What lies on what while a step goes on: pairs that lie so before the step or after it, and at these places."""
    before = played.last_before(moment.part.name, moment)
    sides = {**(before.stack.sides if before else {}), **moment.stack.sides}
    if not sides:
        return Stack({})
    now = lying(moment.folder, places)
    return Stack({(i, j): side for (i, j), side in sides.items() if (min(i, j), max(i, j)) in now})


def staged(played: Replay, moment: Moment, share: float) -> Stage:
    """The stage of a step, `share` of its way done."""
    act = motion(played.net, moment)
    flat = moment.flat and _was_flat(played, moment)
    base = space.identity() if flat else act.place_of_still(finals(played.net)[moment.part.name])
    act = replace(act, frames=np.array([base @ frame for frame in act.frames]))
    places = act.frames[round(share * (len(act.frames) - 1))]
    apart, slid = _apart(played, moment, base)
    moving = act.moved | slid
    shown = faces(moment.part, places, stack_at(played, moment, places), moving, apart)
    scene = Scene(tuple(shown), tuple(_shifted(act, apart, ghosts(act))), tuple(_shifted(act, apart, [*arrows(act), *_slides(shown, act, slid)])))
    inside = 1 if played.net.marks == "inside" else -1
    names = frozenset(shown[i].key for i in moving)
    return Stage(scene, names, _glue_of(played.net, moment), inside, flat, _opens_down(played.net, moment))


def _was_flat(played: Replay, moment: Moment) -> bool:
    before = played.last_before(moment.part.name, moment)
    return before is None or before.flat


def _opens_down(net: Net, moment: Moment) -> bool:
    """Whether the part lies under its root in the closed box, as a lid does: then it is made the other way up."""
    final = finals(net)[moment.part.name]
    root = final[moment.folder.index[moment.part.root]]
    if abs(root[2, 2]) < 0.5:
        return False
    middles = [space.applied(m, o).mean(axis=0)[2] for m, o in zip(final, moment.folder.outlines, strict=True)]
    return float(np.mean(middles)) < float(root[2, 3])


def _apart(played: Replay, moment: Moment, base: space.Matrix) -> tuple[Points | None, frozenset[int]]:
    """Shifts of pieces that are not joined, and the panels that this step slides to the others."""
    before = played.last_before(moment.part.name, moment)
    joined = before.joined if before and moment.step.kind == "join" else moment.joined
    if joined.all():
        return None, frozenset()
    shifts = shifts_apart(moment.part, joined) @ base[:3, :3].T
    if moment.step.kind != "join":
        return shifts, frozenset()
    root = moment.folder.index[moment.part.root]
    slid = frozenset(np.flatnonzero(moment.joined[root] & ~joined[root]).tolist())
    return shifts, slid


def _shifted(act: Motion, apart: Points | None, lines: Iterable[Points]) -> list[Points]:
    return list(lines)


def _slides(shown: Sequence[Face3], act: Motion, slid: frozenset[int]) -> list[Points]:
    return []


def _glue_of(net: Net, moment: Moment) -> tuple[tuple[tuple[str, int], tuple[str, int]], ...]:
    areas = (glued(net, net.bonds[number], finals(net)) for number in moment.step.bonds)
    return tuple(((key_of(p, a), s), (key_of(q, b), t)) for (p, a, _, s), (q, b, _, t) in areas)

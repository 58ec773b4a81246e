"""A wrap that is folded round boards: where it comes to lie on them, and what stands in its way. Millimetres.

Boards stand at their places while a wrap is folded round them; its root lies still under them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import plane, space
from booklet.collide import Bodies, deepest
from booklet.folding import folder
from booklet.net import Bond, Net, Panel, Part
from booklet.replay import Moment
from booklet.tolerance import SAME_POINT

Vector = NDArray[np.float64]

_NEAR = 1.0
"""mm: so far before its end the way of a panel tells from where it comes."""

_SQUARE = 0.5
"""Cosine of the angle to the board's normal within which paper is laid on it, not wiped along it (chosen by us)."""


def is_across(bond: Bond) -> bool:
    """Whether a bond holds two parts together."""
    return bond.panels[0][0] != bond.panels[1][0]


def landed(net: Net, moment: Moment) -> list[int]:
    """Bonds to boards whose panel of the part comes to its last place in a step."""
    own = [(n, bond.panels[0][1]) for n, bond in enumerate(net.bonds) if is_across(bond) and bond.panels[0][0] == moment.part.name]
    return [n for n, panel in own if _lands(moment, panel)]


def laid_on(net: Net, board: Part, last: Mapping[str, Moment]) -> list[int]:
    """Bonds that a board makes when it comes to its place: with panels of other parts that are at theirs. `last`: how these were left."""
    found = [(n, *bond.panels[0]) for n, bond in enumerate(net.bonds) if is_across(bond) and bond.panels[1][0] == board.name]
    return [n for n, name, panel in found if name in last and _in_place(last[name], panel)]


def _in_place(moment: Moment, panel: str) -> bool:
    i = moment.folder.index[panel]
    return float(np.abs(moment.after[i] - moment.folder.stood[i]).max()) < SAME_POINT


def meets(net: Net, moment: Moment) -> bool:
    """Whether a panel of the part comes to lie on a board in a step, on its face or on its edge."""
    return any(_lands(moment, panel) for panel, _, _ in _glued(net, moment.part))


def _lands(moment: Moment, panel: str) -> bool:
    i = moment.folder.index[panel]
    at_first, at_last = (float(np.abs(moment.frames[k, i] - moment.folder.stood[i]).max()) for k in (0, -1))
    return at_last < SAME_POINT < at_first


def strain(net: Net, moment: Moment, bond: Bond) -> Vector:
    """How far the glued area of a moment's part is from its last place in each frame, mm: the largest over its corners."""
    part = net.part[moment.part.name]
    (one, first), (two, second) = bond.panels
    if part.name not in (one, two):
        return np.zeros(len(moment.frames))
    made, own = folder(part), first if part.name == one else second
    final = made.stood[made.index[own]]
    there = folder(net.part[one])
    region = space.applied(space.inverse(final) @ there.stood[there.index[first]], space.lifted(bond.region))
    gaps = np.abs(space.applied(moment.frames[:, made.index[own]], region) - space.applied(final, region))
    farthest: Vector = gaps.max((1, 2))
    return farthest


def astray(net: Net, moment: Moment) -> str:
    """A panel of a wrap that comes to its board along it, so that it wipes the glue off, or through it; "" where none does."""
    return next(
        (panel for panel, middle, board in _glued(net, moment.part) if _lands(moment, panel) and _strays(moment, panel, middle, board)), ""
    )


def _glued(net: Net, part: Part) -> Iterator[tuple[str, plane.Point, Part]]:
    """Panels that are glued to boards, each with a point of the glued area."""
    for bond in net.bonds:
        if is_across(bond) and bond.panels[0][0] == part.name:
            point = shapely.Polygon(bond.region).representative_point()
            yield bond.panels[0][1], (point.x, point.y), net.part[bond.panels[1][0]]
    for butt in net.butts:
        (one, first), (two, second) = butt.parts
        if two == part.name:
            made, there = folder(part), folder(net.part[one])
            seen = space.inverse(made.stood[made.index[second]]) @ there.stood[there.index[first]]
            x, y, _ = space.applied(seen, np.array([[*plane.middle(butt.line), 0.0]]))[0]
            yield second, (float(x), float(y)), net.part[one]


def _strays(moment: Moment, panel: str, middle: plane.Point, board: Part) -> bool:
    """Whether the last of its way does not lead square enough to the board, from the side on which the panel lies on it."""
    i = moment.folder.index[panel]
    way = space.applied(moment.frames[:, i], np.array([[*middle, 0.0]]))[:, 0]
    off = way - way[-1]
    far = np.flatnonzero(np.sqrt((off**2).sum(1)) > _NEAR)
    if not len(far):
        return False
    normal, last = moment.frames[-1, i, :3, 2], off[far[-1]]
    side = float((way[-1] - folder(board).middles_at(folder(board).stood).mean(0)) @ normal)
    return float(last @ normal) * (1 if side > 0 else -1) < _SQUARE * float(np.sqrt(last @ last))


def into_boards(net: Net, moment: Moment) -> tuple[float, str]:
    """How deep a wrap that is folded cuts into boards on its way, mm, and what into which; (0, "") for any other part.

    A board is there with both its faces, each a caliper of the paper under its skin.
    """
    boards = [part for part in net.parts if part.role == "board"]
    there = [part for part in boards if part.name in moment.present or not moment.step.number]
    if moment.part.role != "wrap" or not there or not moment.step.folds:
        return 0.0, ""
    panels: list[Panel] = list(moment.part.panels)
    rest = []
    for part in there:
        deep = part.caliper / 2 - moment.part.caliper
        for panel, place in zip(part.panels, folder(part).stood, strict=True):
            panels += [panel, panel]
            rest += [place @ space.moved(dz=deep), place @ space.moved(dz=-deep)]
    count = len(moment.part.panels)
    frames = np.concatenate([moment.frames, np.broadcast_to(np.array(rest), (len(moment.frames), len(rest), 4, 4))], axis=1)
    pairs = np.zeros((len(panels), len(panels)), bool)
    pairs[:count, count:] = pairs[count:, :count] = True
    depth, _, a, b = deepest(Bodies(panels), frames, pairs, moment.part.caliper)
    return depth, f"{panels[a].name} and {panels[b].name}" if depth else ""

"""How far the base bows when a box is lifted by its walls: the base as a thin plate that rests on them.

A rectangular plate, simply supported on all sides, under an even load (Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells:
Navier's solution as a double series; from memory). Lengths in mm, weights in g; inside the formulas metres, pascals, newtons.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from booklet import inserts, space
from booklet.folding import folder
from booklet.net import Net
from booklet.replay import final_places

CARD_E = 2e9
"""Pa: stiffness of card across its grain, the lower end of 2 to 5 GPa and half of it (common practice, no source)."""

NU = 0.3
"""Poisson's ratio of card (common practice, no source)."""

G = 9.81
"""m/s2."""

MOST = 1.0
"""mm: a base that bows farther is told to be stiffened (chosen by us)."""

LAYERS_MOST = 12
"""More layers than this are not advised: a board is (chosen by us)."""

_TERMS = 199
_LOOKS = 5
_FLOOR = 1.0
"""mm over the inside's floor under which level panels belong to the base."""

Stack = tuple[tuple[float, ...], ...]
"""The base's layers: calipers of those that are glued to each other, a group for each."""


@dataclass(frozen=True, slots=True)
class Load:
    """The base under a weight. `span`: its sides, mm; `layers`: see `Stack`; `bow`: mm in the middle.

    `more`: the bow with one more layer of the box's card glued on; `enough`: layers of it in all, glued to each other, with which the base
    bows no farther than `MOST`, 0 where that takes too many. `enclosed`: whether the base is no rectangle, and the one round it was taken.
    """

    weight: float
    span: tuple[float, float]
    layers: Stack
    bow: float
    more: float
    enough: int
    enclosed: bool

    @property
    def bows(self) -> bool:
        """Whether it bows so far that a layer more is advised."""
        return self.bow > MOST

    @property
    def count(self) -> int:
        """Layers of card in the base."""
        return sum(map(len, self.layers))

    @property
    def glued(self) -> bool:
        """Whether all of them are glued to each other."""
        return len(self.layers) == 1


def coefficient(ratio: float) -> float:
    """k in w = k q a^4 / D for a plate whose longer side is `ratio` times the shorter, a: Navier's double series, summed.

    >>> round(coefficient(1.0), 5), round(coefficient(1.5), 5), round(coefficient(2.0), 5)
    (0.00406, 0.00772, 0.01013)
    """
    odd = np.arange(1, _TERMS + 1, 2, dtype=float)
    signs = np.where(odd % 4 == 1, 1.0, -1.0)
    m, n = odd[:, None], odd[None, :]
    terms = signs[:, None] * signs[None, :] / (m * n * (m**2 + (n / ratio) ** 2) ** 2)
    return float(16 / math.pi**6 * terms.sum())


def rigidity(layers: Stack) -> float:
    """D of a plate of layers, N m: E t^3 / 12 (1 - nu^2); layers that are glued to each other are one, loose ones are added up."""
    return CARD_E / (12 * (1 - NU**2)) * sum((sum(group) / 1000) ** 3 for group in layers)


def bow(weight: float, span: tuple[float, float], layers: Stack) -> float:
    """How far the middle of a base goes down, mm, under a weight in g that lies evenly on it. `span`: its sides in mm."""
    short, long = min(span) / 1000, max(span) / 1000
    pressure = weight / 1000 * G / (short * long)
    return coefficient(long / short) * pressure * short**4 / rigidity(layers) * 1000


def load_of(net: Net, weight: float | None) -> Load | None:
    """The base under the thing, or under all things of an insert, each of a weight in g.

    None without a weight, and where there is no base.
    """
    if not weight or all(part.role == "insert" for part in net.parts):
        return None
    layers, span, enclosed = base_of(net)
    if not layers or min(span) <= 0:
        return None
    whole = weight * len(inserts.stands(net))
    more = (*layers[:-1], (*layers[-1], net.caliper))
    enough = next((n for n in range(1, LAYERS_MOST + 1) if bow(whole, span, ((net.caliper,) * n,)) <= MOST), 0)
    return Load(whole, span, layers, bow(whole, span, layers), bow(whole, span, more), enough, enclosed)


def base_of(net: Net) -> tuple[Stack, tuple[float, float], bool]:
    """The layers of the base where it is weakest, its sides in mm, and whether it is no rectangle.

    A cuboid inside spans the base; else the rectangle round the panels that lie under the floor does.
    """
    found = _under_the_floor(net)
    if not found:
        return (), (0.0, 0.0), False
    whole = shapely.union_all([shape.buffer(0.1, join_style="mitre") for _, _, shape, _ in found])
    x0, y0, x1, y1 = whole.bounds
    looks = [(u, v) for u in np.linspace(0.2, 0.8, _LOOKS) for v in np.linspace(0.2, 0.8, _LOOKS)]
    stacks = [_stack_at(net, found, shapely.Point(x0 + u * (x1 - x0), y0 + v * (y1 - y0))) for u, v in looks]
    stacks = [stack for stack in stacks if stack]
    cuboid = net.interior == "cuboid"
    span = (net.inside.length, net.inside.width) if cuboid else (x1 - x0, y1 - y0)
    enclosed = not cuboid and float(whole.convex_hull.area) < 0.97 * (x1 - x0) * (y1 - y0)
    return min(stacks, key=rigidity, default=()), span, enclosed


Under = tuple[str, str, shapely.Polygon, float]


def _under_the_floor(net: Net) -> list[Under]:
    """Part, name, shape as seen from above, and caliper of every level panel under the floor of the inside."""
    places, found = final_places(net), []
    for part in net.parts:
        for panel, place, outline in zip(part.panels, places[part.name], folder(part).outlines, strict=True):
            if part.role != "insert" and abs(abs(float(place[2, 2])) - 1) < 1e-6 and float(place[2, 3]) < _FLOOR:
                seen = space.applied(place, outline)
                holes = [space.applied(place, space.lifted(hole))[:, :2] for hole in panel.holes]
                if abs(float(seen[:, 2].mean())) < max(_LOW, 6 * net.caliper):
                    found.append((part.name, panel.name, shapely.Polygon(seen[:, :2], holes), part.caliper))
    return found


_LOW = 6.0
"""mm under the floor: level panels lower than this, and than six calipers, belong to something else."""


def _stack_at(net: Net, found: Sequence[Under], at: shapely.Point) -> Stack:
    """The layers over a point of the base, those bonded to each other in one group."""
    here = [(part, name, t) for part, name, shape, t in found if shape.contains(at)]
    group = {(part, name): {(part, name)} for part, name, _ in here}
    for bond in net.bonds:
        one, two = bond.panels
        if one in group and two in group:
            joined = group[one] | group[two]
            group |= dict.fromkeys(joined, joined)
    caliper = {(part, name): t for part, name, t in here}
    groups = {min(some): some for some in group.values()}
    return tuple(tuple(caliper[one] for one in sorted(some)) for _, some in sorted(groups.items()))

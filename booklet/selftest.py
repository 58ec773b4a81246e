"""Three things to check by eye or ruler on the cut pieces before they are glued, found in the net alone.

Candidates are gathered over all parts: both diagonals of a rectangle; a lid against the wall that it goes over; edges of two
panels that meet in the closed box; walls that stand round a part, one half of them against the other; a face that will be bent, and a
nearly round one, by its width. The three that tell most are taken, of three kinds and of different panels where the box gives that
many. All figures are those of the flat, mm, from fold centre to fold centre.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from booklet import plane, space
from booklet.folding import folder
from booklet.net import Net, Panel, Part
from booklet.plane import Line, Ring
from booklet.tolerance import HAND

Places = NDArray[np.float64]
Named = tuple[str, str]
"""A part and one of its panels."""

COUNT = 3
LEAST = 8.0
"""mm: a shorter edge tells a ruler little (chosen by us)."""

_SAME = 0.02
"""mm: lengths that differ by less are one length (chosen by us; half-cut folds move an edge by more)."""

_LAYERS = 4.0
_NEAR = 1.0
"""Ends of edges that meet lie within so many calipers and mm of each other (chosen by us)."""

_SQUARE = 1e-6


@dataclass(frozen=True, slots=True)
class _OfOne:
    """A check that measures one panel: `mm`."""

    panel: Named
    mm: float

    @property
    def panels(self) -> tuple[Named, ...]:
        """All panels that are named."""
        return (self.panel,)


@dataclass(frozen=True, slots=True)
class Diagonals(_OfOne):
    """Both diagonals of a rectangular panel measure `mm`."""

    kind: ClassVar = "diagonals"


@dataclass(frozen=True, slots=True)
class Meeting:
    """The first panel has an edge that meets one of the second in the closed box: both measure `mm`."""

    kind: ClassVar = "meeting"
    first: Named
    second: Named
    mm: float

    @property
    def panels(self) -> tuple[Named, ...]:
        """All panels that are named."""
        return self.first, self.second


@dataclass(frozen=True, slots=True)
class Longer:
    """A panel of a lid measures `mm`, which is `by` mm more than the panel of the box over which that edge of it goes."""

    kind: ClassVar = "longer"
    panel: Named
    over: Named
    mm: float
    by: float

    @property
    def panels(self) -> tuple[Named, ...]:
        """All panels that are named."""
        return self.panel, self.over


@dataclass(frozen=True, slots=True)
class Sums:
    """Panels that stand round a part: the widths of the ones and those of the others both add up to `mm`."""

    kind: ClassVar = "sums"
    ones: tuple[Named, ...]
    others: tuple[Named, ...]
    mm: float

    @property
    def panels(self) -> tuple[Named, ...]:
        """All panels that are named."""
        return self.ones + self.others


@dataclass(frozen=True, slots=True)
class Edge(_OfOne):
    """The longest edge of a panel measures `mm`: for a box that gives nothing else."""

    kind: ClassVar = "edge"


@dataclass(frozen=True, slots=True)
class Bent(_OfOne):
    """A face that will be bent measures `mm` in the flat, square to its bends."""

    kind: ClassVar = "bent"


@dataclass(frozen=True, slots=True)
class Across(_OfOne):
    """A panel of so many sides that it is nearly round measures `mm` from corner to corner where it is widest."""

    kind: ClassVar = "across"


Test = Diagonals | Meeting | Longer | Sums | Edge | Bent | Across


def tests(net: Net, mark: float) -> tuple[Test, ...]:
    """Three checks of a net; those that a ruler with marks `mark` mm apart tells well come before others of their kind."""

    def first(found: Iterable[Test]) -> list[Test]:
        return sorted(found, key=lambda one: (not isinstance(one, Diagonals) and _off(one.mm, mark) > _READ, -one.mm))

    kinds = [first(found(net)) for found in (_longer, _diagonals, _meetings, _sums, _bent, _across)]
    chosen: list[Test] = []
    every = [one for kind in kinds for one in kind]
    for found in (*kinds, every, every, *([first(_edges(net))] * COUNT)):
        if len(chosen) < COUNT and (left := [one for one in found if one not in chosen]):
            chosen.append(_freshest(left, chosen))
    return tuple(sorted(chosen, key=lambda one: _ORDER.index(one.kind)))


_READ = 0.15
"""mm off a mark that an eye does not see on a ruler (chosen by us)."""

_ORDER = ("diagonals", "meeting", "longer", "sums", "bent", "across", "edge")

_ROUND = 10
"""A panel with so many sides is told by its width (chosen by us)."""


def _off(mm: float, mark: float) -> float:
    """How far a figure is off the nearest mark, mm."""
    return abs(mm - mark * round(mm / mark))


def _freshest(found: Sequence[Test], chosen: Sequence[Test]) -> Test:
    """The first one with the fewest panels that are named already."""
    named = {panel for one in chosen for panel in one.panels}
    return min(found, key=lambda one: sum(panel in named for panel in one.panels))


def _whole(part: Part) -> list[Panel]:
    """The panels that are one face each, and are no strips."""
    return [panel for panel in part.panels if panel.body in ("", panel.name) and panel.role != "splice-strip"]


def sides(panel: Panel) -> list[Line]:
    """The straight edges of a panel, each from corner to corner."""
    ring = plane.cleaned(panel.outline)
    return list(zip(ring, (*ring[1:], ring[0]), strict=True))


def rectangle(panel: Panel) -> tuple[float, float] | None:
    """Two sides of a panel that is a rectangle without holes, mm; None for any other."""
    ring: Ring = plane.cleaned(panel.outline)
    if len(ring) != 4 or panel.holes:
        return None
    a, b, c, d = (np.array(point) for point in ring)
    square = abs(float((b - a) @ (c - b))) < _SQUARE * math.dist(a, b) * math.dist(b, c) and float(np.abs(a - b + c - d).max()) < _SAME
    return (math.dist(ring[0], ring[1]), math.dist(ring[1], ring[2])) if square else None


def _diagonals(net: Net) -> Iterator[Diagonals]:
    for part in net.parts:
        for panel in _whole(part):
            if (size := rectangle(panel)) and min(size) >= LEAST:
                yield Diagonals((part.name, panel.name), math.hypot(*size))


def _edges(net: Net) -> Iterator[Edge]:
    for part in net.parts:
        for panel in _whole(part):
            yield Edge((part.name, panel.name), max(plane.length(side) for side in sides(panel)))


def _bent(net: Net) -> Iterator[Bent]:
    for part in net.parts:
        bent = {part.panel[fold.parent].body: fold.line for fold in part.folds if fold.kind == "roll"}
        for body, (a, b) in bent.items():
            facets = [panel for panel in part.panels if panel.body == body]
            way = np.array([b[1] - a[1], a[0] - b[0]]) / math.dist(a, b)
            along = [float(way @ np.array(p)) for panel in facets for p in panel.outline]
            yield Bent((part.name, facets[0].name), max(along) - min(along))


def _across(net: Net) -> Iterator[Across]:
    for part in net.parts:
        for panel in _whole(part):
            ring = plane.cleaned(panel.outline)
            if len(ring) >= _ROUND and len({round(plane.length(side), 1) for side in sides(panel)}) == 1:
                yield Across((part.name, panel.name), max(math.dist(p, q) for p in ring for q in ring))


def _stood(part: Part, panel: Panel) -> NDArray[np.float64]:
    """The place of a panel in the closed box."""
    place: NDArray[np.float64] = folder(part).stood[folder(part).index[panel.name]]
    return place


def _ends(part: Part, panel: Panel) -> list[tuple[float, NDArray[np.float64]]]:
    """Each edge of a panel that is long enough: its length, and its two ends in the closed box, shape (2, 3)."""
    place = _stood(part, panel)
    return [(plane.length(s), space.applied(place, space.lifted(s))) for s in sides(panel) if plane.length(s) >= LEAST]


def _meetings(net: Net) -> Iterator[Meeting]:
    """Edges of two panels of a part that are not hinged on each other, and come to lie on each other."""
    for part in net.parts:
        panels = [panel for panel in _whole(part) if panel.role != "tooth"]
        hinged = {frozenset((f.parent, f.child)) for f in part.folds} | {frozenset(loop.panels) for loop in part.loops}
        ends = {panel.name: _ends(part, panel) for panel in panels}
        near = _LAYERS * part.caliper + _NEAR
        for n, first in enumerate(panels):
            for second in panels[n + 1 :]:
                if frozenset((first.name, second.name)) not in hinged:
                    found = _met(ends[first.name], ends[second.name], near)
                    if found:
                        yield Meeting((part.name, first.name), (part.name, second.name), max(found))


def _met(ones: Iterable[tuple[float, Places]], others: Sequence[tuple[float, Places]], near: float) -> list[float]:
    """The lengths of edges of two panels that lie on each other and are of one length."""
    return [long for long, a in ones for other, b in others if abs(long - other) < _SAME and _on(a, b, near)]


def _on(a: Places, b: Places, near: float) -> bool:
    """Whether the ends of two edges lie on each other, in either order."""
    return min(float(np.abs(a - b).max()), float(np.abs(a - b[::-1]).max())) < near


def _longer(net: Net) -> Iterator[Longer]:
    """The panel that closes a lid against the walls under its edges: those that run along its middle lines, and are shorter."""
    boxes = [part for part in net.parts if part.role in ("box", "drawer")]
    for lid in (part for part in net.parts if part.role == "lid"):
        top = lid.panel[lid.root]
        if rectangle(top):
            for part in boxes:
                yield from _over(lid, top, part)


def _over(lid: Part, top: Panel, part: Part) -> Iterator[Longer]:
    for long, edge in _ends(lid, top):
        way = (edge[1] - edge[0]) / long
        for panel in _whole(part):
            for short, own in _ends(part, panel) if panel.role == "wall" else ():
                level = float(np.abs(own[:, 2] - edge[0, 2]).max()) < 10 * part.caliper + 2
                along = abs(abs(float((own[1] - own[0]) @ way)) - short) < _SAME
                if level and along and 0 < long - short < 20 * part.caliper + 10:
                    yield Longer((lid.name, top.name), (part.name, panel.name), long, long - short)


def _sums(net: Net) -> Iterator[Sums]:
    """Four or more panels of one role that stand round a part, parted into two runs of one length; none of them joined across."""
    for part in net.parts:
        panels = [panel for panel in _whole(part) if "." not in panel.name]
        for role in dict.fromkeys(panel.role for panel in panels):
            round_it = _standing(part, [panel for panel in panels if panel.role == role])
            half = len(round_it) // 2
            ones, others = round_it[:half], round_it[half:]
            if half > 1 and abs((total := sum(w for _, w in ones)) - sum(w for _, w in others)) < _SAME:
                yield Sums(tuple((part.name, n) for n, _ in ones), tuple((part.name, n) for n, _ in others), total)


def _standing(part: Part, panels: Sequence[Panel]) -> list[tuple[str, float]]:
    """Upright rectangles in the order in which they stand round the middle: name, and width along the ground in mm; else none."""
    found: list[tuple[float, str, float]] = []
    for panel in panels:
        # a window takes nothing from a wall's width
        place, size = _stood(part, panel), rectangle(replace(panel, holes=()))
        if size is None or abs(float(place[2, 2])) > 1e-6:
            return []
        middle = space.applied(place, space.lifted(panel.outline)).mean(0)
        level = [long for long, ends in _ends(part, panel) if abs(float(ends[1, 2] - ends[0, 2])) < HAND]
        if not level:
            return []
        found.append((math.atan2(middle[1], middle[0]), panel.name, max(level)))
    first = min((n for n in range(len(found))), key=lambda n: found[n][1], default=0)
    turned = sorted(((angle - found[first][0] + 1e-9) % math.tau, name, wide) for angle, name, wide in found)
    return [(name, wide) for _, name, wide in turned] if len(turned) % 2 == 0 else []

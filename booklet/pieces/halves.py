"""A panel parted by a straight line, with all that the line goes through, in a net that stays one tree. Millimetres."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any

import shapely

from booklet.folding import folder
from booklet.net import Bond, Fold, Net, Panel, Part
from booklet.overlap import largest, seen_from
from booklet.pieces.cutting import ACROSS, Spliced
from booklet.plane import Line, Point, Ring, cleaned, length, middle
from booklet.tolerance import SAME_POINT

_LEAST_HALF = 20.0
"""mm: a half of the panel that is joined across is not made narrower (chosen by us)."""

_LEAST_SHARE = 3.0
"""mm: nor one of what hangs on it (chosen by us)."""

_MOST_PANELS = 80
"""A part of more panels than this is no work for a hand (chosen by us); it also keeps the letters from running out."""

_NARROW = 3.0
_GLUED = ("glue-flap", "corner-flap", "hem")


def across(state: Spliced, panel: str, axis: int, at: float, through: bool) -> tuple[Spliced, str] | None:
    """The part with a panel parted where its coordinate of an axis is `at`, and the name of the half beyond.

    `through`: whether the line goes on over folds that could be cut there. None where the line leaves no sound halves.
    """
    cut = _Line(axis, at)
    reach = _reach(state.part, panel, cut, through)
    taken = {p.name for p in state.part.panels}
    halves = {p.name: _halves(p, cut, p.name == panel, taken) for p in state.part.panels if p.name in reach}
    if len(taken) > _MOST_PANELS or not all(halves.values()) or any(set(loop.panels) & reach for loop in state.part.loops):
        return None
    parting = _Parting(state, cut, {name: both for name, both in halves.items() if both})
    made = parting.made()
    return (made, parting.halves[panel][1].name) if made else None


@dataclass(frozen=True, slots=True)
class _Line:
    """A line of one x (axis 0) or one y (axis 1)."""

    axis: int
    at: float

    def crosses(self, line: Line) -> bool:
        """Whether it meets a line inside, not at its ends."""
        low, high = sorted(p[self.axis] for p in line)
        return low < self.at - SAME_POINT and high > self.at + SAME_POINT

    def beyond(self, point: Point) -> int:
        """1 for a point on the side of the larger coordinates, else 0."""
        return int(point[self.axis] > self.at)

    def parts(self, line: Line) -> tuple[Line, Line]:
        """The two parts of a line that it crosses, the lower coordinates' first, each run as the line is."""
        (ax, ay), (bx, by) = line
        share = (self.at - line[0][self.axis]) / (line[1][self.axis] - line[0][self.axis])
        met = (ax + (bx - ax) * share, ay + (by - ay) * share)
        first, last = (line[0], met), (met, line[1])
        return (last, first) if self.beyond(line[0]) else (first, last)

    def box(self, side: int) -> Any:
        """All that lies on one side."""
        far = 1e6
        low, high = ((-far, self.at), (self.at, far))[side]
        return shapely.box(low, -far, high, far) if self.axis == 0 else shapely.box(-far, low, far, high)


def _reach(part: Part, panel: str, cut: _Line, through: bool) -> set[str]:
    """The panels that the line parts: the one that is asked for, and those that hang on them over folds that it crosses."""
    found, todo = {panel}, [panel]
    while todo:
        name = todo.pop()
        for fold in part.folds:
            other = fold.child if fold.parent == name else fold.parent if fold.child == name else None
            if other and other not in found and cut.crosses(fold.line) and (through or not fold.carrier):
                found.add(other)
                todo.append(other)
    return found


def _halves(panel: Panel, cut: _Line, main: bool, taken: set[str]) -> tuple[Panel, Panel] | None:
    """A panel's two halves, each one ring, with names that are not taken yet; None where they are not sound."""
    least = _LEAST_HALF if main else _LEAST_SHARE
    rings: list[Ring] = []
    for side in (0, 1):
        half = shapely.Polygon(panel.outline).intersection(cut.box(side), grid_size=1e-6)
        if half.geom_type != "Polygon" or half.is_empty:
            return None
        x0, y0, x1, y1 = half.bounds
        if ((x1 - x0), (y1 - y0))[cut.axis] < least:
            return None
        rings.append(cleaned(tuple((float(x), float(y)) for x, y in shapely.geometry.polygon.orient(half).exterior.coords[:-1])))
    if any(len({cut.beyond(p) for p in hole}) > 1 for hole in panel.holes):
        return None
    made = [
        replace(panel, name=own, body=own, outline=ring, holes=tuple(h for h in panel.holes if cut.beyond(h[0]) == side))
        for side, (own, ring) in enumerate(zip(_names(panel.name, taken), rings, strict=True))
    ]
    return made[0], made[1]


def _names(name: str, taken: set[str]) -> tuple[str, str]:
    """Names of the halves: wall-1.a and wall-1.b; of a half that is parted again its own and the next letter."""
    stem, _, letter = name.partition(".")
    free = (f"{stem}.{c}" for c in "abcdefghijklmnopqrstuvwxyz" if f"{stem}.{c}" not in taken)
    first = name if letter else next(free)
    taken.add(first)
    last = next(free, f"{stem}.{len(taken)}")
    taken.add(last)
    return first, last


@dataclass
class _Parting:
    """A part being parted by one line."""

    state: Spliced
    cut: _Line
    halves: dict[str, tuple[Panel, Panel]]
    folds: list[Fold] = field(default_factory=list)
    forced: set[str] = field(default_factory=set)
    beside: list[Fold] = field(default_factory=list)
    became: dict[str, list[str]] = field(default_factory=dict)

    def made(self) -> Spliced | None:
        """The parted part with its net; None where a bond is lost."""
        part = self.state.part
        must = {fold.name for fold in self.state.forced}
        for fold in part.folds:
            self._fold(fold, fold.name in must)
        for fold in self.state.beside:
            self.beside += self._beside(fold)
        self._seam()
        panels = tuple(half for p in part.panels for half in self.halves.get(p.name, (p,)))
        root = self.halves[part.root][0].name if part.root in self.halves else part.root
        new = replace(part, root=root, panels=panels, folds=tuple(self.folds))
        net = self._net(new)
        return Spliced(net, new, tuple(f for f in self.folds if f.name in self.forced), tuple(self.beside)) if net else None

    def _on(self, name: str, side: int) -> str:
        return self.halves[name][side].name if name in self.halves else name

    def _named(self, fold: Fold, parent: str, child: str, line: Line) -> Fold:
        return replace(fold, name=f"{parent}/{child}", parent=parent, child=child, line=line)

    def _fold(self, fold: Fold, forced: bool) -> None:
        """The folds that a fold becomes: itself, or two halves, or one that is cut with a joint beside it."""
        whole = fold.parent not in self.halves or fold.child not in self.halves
        if not self.cut.crosses(fold.line) or (fold.parent not in self.halves and fold.child not in self.halves):
            side = self.cut.beyond(middle(fold.line))
            made = [self._named(fold, self._on(fold.parent, side), self._on(fold.child, side), fold.line)]
        else:
            made = [self._named(fold, self._on(fold.parent, s), self._on(fold.child, s), self.cut.parts(fold.line)[s]) for s in (0, 1)]
        if len(made) == 2 and whole:
            kept, other = sorted(made, key=lambda f: -length(f.line))
            self.beside.append(replace(other, name=kept.name))
            made, forced = [kept], True
        self.folds += made
        self.became[fold.name] = [f.name for f in made]
        self.forced |= {f.name for f in made} if forced else set()

    def _beside(self, fold: Fold) -> Iterator[Fold]:
        name = self.became[fold.name][0]
        split = fold.parent in self.halves or fold.child in self.halves
        sides = (0, 1) if split and self.cut.crosses(fold.line) else (self.cut.beyond(middle(fold.line)),)
        for side in sides:
            line = self.cut.parts(fold.line)[side] if len(sides) == 2 else fold.line
            yield replace(self._named(fold, self._on(fold.parent, side), self._on(fold.child, side), line), name=name)

    def _seam(self) -> None:
        """The fold of angle 0 that holds the two sides together: at the panel nearest to the root."""
        top = next(name for name in self.halves if not any(f.child == name and f.parent in self.halves for f in self.state.part.folds))
        child_of = {f.child for f in self.folds}
        own = self.halves[top]
        first, last = own if own[0].name in child_of or own[1].name not in child_of else own[::-1]
        if top == self.state.part.root:
            first, last = own
        line = _shared(own[0], own[1])
        fold = Fold(f"{first.name}/{last.name}", first.name, last.name, line, 0.0, kind=ACROSS)
        self.folds.append(fold)
        self.forced.add(fold.name)

    def _net(self, part: Part) -> Net | None:
        net = self.state.net
        parts = tuple(part if p.name == part.name else p for p in net.parts)
        bonds: list[Bond] = []
        for bond in net.bonds:
            made = list(self._bonds(part, bond))
            if not made:
                return None
            bonds += made
        glued = {panel for bond in bonds for panel in bond.panels}
        halves = (half for both in self.halves.values() for half in both)
        if any(half.role in _GLUED and (part.name, half.name) not in glued for half in halves):
            return None
        return replace(net, parts=parts, bonds=tuple(bonds))

    def _bonds(self, part: Part, bond: Bond) -> Iterator[Bond]:
        """A bond between those halves that have a strip of it in common; none where it holds a parted panel to another part, as a wrap."""
        own = [panel for name, panel in bond.panels if name == part.name]
        if not set(own) & self.halves.keys():
            yield bond
            return
        if len(own) == 1:
            return
        first, second = own
        fold = folder(part)
        for a in self._either(first):
            for b in self._either(second):
                shape = shapely.Polygon(bond.region).intersection(shapely.Polygon(part.panel[a].outline))
                shape = shape.intersection(seen_from(fold, fold.closed, a, b))
                if not shape.buffer(-_NARROW / 2).is_empty:
                    yield replace(bond, panels=((part.name, a), (part.name, b)), region=largest(shape))

    def _either(self, name: str) -> tuple[str, ...]:
        return tuple(half.name for half in self.halves[name]) if name in self.halves else (name,)


def _shared(a: Panel, b: Panel) -> Line:
    """The seam of two halves."""
    met = shapely.line_merge(shapely.LinearRing(a.outline).intersection(shapely.LinearRing(b.outline), grid_size=1e-6))
    line = max((g for g in shapely.get_parts(met) if g.geom_type == "LineString"), key=lambda g: g.length)
    (ax, ay), *_, (bx, by) = line.coords
    return (float(ax), float(ay)), (float(bx), float(by))

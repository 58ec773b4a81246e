"""A part to be put together: what there is to fold and to glue, what hangs together, and how the item goes in. Degrees."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

import numpy as np

from booklet import sliding
from booklet.folding import Angles, folder
from booklet.net import Bond, Fold, Net, Part
from booklet.order import PULL
from booklet.steps import like
from booklet.steps.chains import Tree, by_line, parallel
from booklet.steps.corners import Corners
from booklet.steps.even import Unfolding, evenly, through
from booklet.steps.glued import Glued
from booklet.steps.opening import WAYS, Opening, Way
from booklet.steps.state import TINY, State

_BENT_IN = 60.0
"""Degrees: how far the flap of a rolled wall's seam is bent in on the way (chosen by us)."""


class Work:
    """A part to be put together: what there is to fold and to glue, and how the item goes in.

    `holds`: whether the item goes into this part. `strict`: what can be glued flat must be, and an end that is begun is
    finished first; few ways are left then, most often enough.
    """

    def __init__(self, net: Net, part: Part, holds: bool = False):
        self.net, self.part, self.folder = net, part, folder(part)
        self.holds, self.strict = holds, True
        self.tree = Tree(self.folder)
        self.names = tuple(fold.name for fold in part.folds)
        self.at = {name: i for i, name in enumerate(self.names)}
        self.final = {fold.name: fold.angle for fold in part.folds}
        numbers = [n for n, bond in enumerate(net.bonds) if bond.panels[0][0] == bond.panels[1][0] == part.name]
        self.glued = {n: Glued(n, net.bonds[n], self.tree) for n in numbers}
        self.corners = Corners(self.tree)
        self.opening = Opening(self.folder, net.item)
        self._opened: dict[object, list[dict[str, float]] | None] = {}

    # -- what is given ------------------------------------------------------------------------------------------

    def start(self) -> State:
        """Flat, nothing glued."""
        return State(tuple(0.0 for _ in self.names))

    def angles(self, state: State) -> dict[str, float]:
        """Angles by fold."""
        return dict(zip(self.names, state.angles, strict=True))

    @cached_property
    def rises(self) -> tuple[str, ...]:
        """Folds that turn at all, be it only on the way."""
        return tuple(fold.name for fold in self.part.folds if abs(fold.bends) > TINY)

    @cached_property
    def bars(self) -> dict[str, frozenset[Way]]:
        """For each panel the ways of the item that it bars once it is in its last place."""
        return {
            panel.name: frozenset(way for way in WAYS if self.opening.bars(self.folder.stood[i], i, way))
            for i, panel in enumerate(self.part.panels)
        }

    @cached_property
    def closes(self) -> bool:
        """Whether the item can no longer go in when all is folded."""
        return self.holds and not set(WAYS) - {way for ways in self.bars.values() for way in ways}

    def goal(self, state: State) -> bool:
        """Whether all is done."""
        done = all(abs(a - self.final[n]) < TINY for n, a in zip(self.names, state.angles, strict=True))
        return done and len(state.made) == len(self.glued) and (state.filled or not self.closes)

    # -- what hangs together ------------------------------------------------------------------------------------

    def twins(self, state: State) -> dict[str, str]:
        """Folds that follow another on the same line, to which bonds hold them: follower to leader."""
        found: dict[str, str] = {}
        angles = self.angles(state)
        for number in sorted(state.made):
            if self._there_and_back(number, angles):
                for some in self._open_lines(number, angles):
                    leader, *rest = sorted(some, key=self._leads)
                    found |= {name: _first(found, leader) for name in rest if name != _first(found, leader)}
        return {name: _first(found, leader) for name, leader in found.items()}

    @cached_property
    def _lines(self) -> dict[int, list[tuple[str, ...]]]:
        """For each bond the folds that turn between its panels, by the lines on which they lie."""
        return {n: by_line(self.part, [name for name in own.folds if name in self.rises]) for n, own in self.glued.items()}

    def _open_lines(self, number: int, angles: Angles) -> list[tuple[str, ...]]:
        """Of those lines the ones on which folds are still to be turned: a hem that is down is one with its wall."""
        return [some for some in self._lines[number] if not self.done(angles, *some)]

    def _there_and_back(self, number: int, angles: Angles) -> bool:
        """Whether each turn between a bond's panels is turned back on the same line: such folds move together."""
        return all(len(some) > 1 for some in self._open_lines(number, angles))

    def _leads(self, name: str) -> tuple[bool, int]:
        role = self.part.panel[self.part.fold[name].child].role
        return role in ("glue-flap", "splice-strip"), self.at[name]

    def rings(self, state: State, angles: Angles, twins: Mapping[str, str]) -> list[tuple[str, ...]]:
        """Folds that bonds hold in rings and that are not yet at their last angles, ring by ring."""
        rings: list[set[str]] = []
        for number in sorted(state.made):
            turning = {twins.get(n, n) for n in self.glued[number].folds if n in self.rises}
            some = len(turning) > 1 and not self._there_and_back(number, angles)
            if some and any(abs(angles[n] - self.final[n]) > TINY for n in turning):
                meeting = [ring for ring in rings if ring & turning]
                rings = [ring for ring in rings if not ring & turning] + [turning.union(*meeting)]
        return [tuple(n for n in self.names if n in ring and abs(angles[n] - self.final[n]) > TINY) for ring in rings]

    def pulled(self, state: State, angles: Angles, ends: Angles, path: Sequence[Angles]) -> tuple[int, ...]:
        """Bonds already made that a motion would pull open: they hold rings that do not open evenly."""
        touched = [n for n in sorted(state.made) if any(name in ends for name in self.glued[n].folds)]
        if not touched:
            return ()
        states = [{**angles, **frame} for frame in (path or evenly(angles, ends))]
        # where one bond bars an even motion, the others must be kept closed on the other way too
        pulled = any(float(np.abs(self.glued[n].gaps(states)).max()) > PULL / 2 for n in touched)
        return tuple(touched) if pulled else ()

    def opened(self, angles: Angles, ends: Angles, pulled: Sequence[int]) -> tuple[Angles, tuple[Angles, ...]] | None:
        """The same motion with all its folds turning so that the rings stay closed; None where they bar it."""
        key = tuple(ends.items()), tuple(pulled), tuple(angles.values())
        if key not in self._opened:
            corners = [corner for corner in self.corners.loops if set(corner.folds) & set(ends)]
            self._opened[key] = Unfolding([*(self.glued[n] for n in pulled), *corners], angles, ends).frames()
        frames = self._opened[key]
        return None if frames is None else (frames[-1], tuple(frames[:-1]))

    def at_ring(self, name: str) -> bool:
        """Whether a fold is one of the walls of a ring: panels hang on both its sides that stand on end."""
        roles = [self.part.panel[panel].role for panel in (self.part.fold[name].parent, self.part.fold[name].child)]
        return roles[0] == roles[1]

    @cached_property
    def goes_along(self) -> dict[str, list[str]]:
        """Folds of rims with the fold of the wall that hangs on it and comes down inside; of rolled walls with those of their seams."""
        part = self.part
        rims = [fold for fold in part.folds if part.panel[fold.child].role == "rim"]
        walls = {rim.name: [f.name for f in part.folds if f.parent == rim.child and f.angle == rim.angle] for rim in rims}
        rolls = [fold.name for fold in part.folds if fold.kind == "roll"]
        bound = {name: sorted(some, key=lambda n: self.at[n]) for some in self.corners.linked for name in some}
        return walls | {name: bound.get(name, self.seams) for name in rolls}

    @cached_property
    def seams(self) -> list[str]:
        """Folds of the flaps that close a rolled wall to a ring."""
        part = self.part
        body = {panel.name: panel.body for panel in part.panels}
        smooth = {body[fold.child] for fold in part.folds if fold.kind == "roll"}
        rounds = {own.first for number, own in self.glued.items() if body[own.second] in smooth and not self.joins(number)}
        return [f.name for f in part.folds if f.child in rounds and body[f.parent] in smooth and f.angle and self._on_end(f)]

    def _on_end(self, fold: Fold) -> bool:
        """Whether a flap hangs on a rolled wall by a line along which it is rolled."""
        return any(parallel(other.line, fold.line) for other in self.part.folds if other.kind == "roll")

    def bent(self, angles: Angles, ends: Mapping[str, float]) -> tuple[Angles, tuple[Angles, ...]] | None:
        """The way of a rolled wall: the flap of its seam is bent well inward first and ends inside; None for other folds."""
        if not any(self.part.fold[name].kind == "roll" for name in ends):
            return None
        flaps = {name: math.copysign(_BENT_IN, ends[name]) for name in self.seams if name in ends}
        rest = {name: end for name, end in ends.items() if name not in flaps}
        frames = through(angles, [flaps, rest, {name: ends[name] for name in flaps}] if flaps else [rest])
        return frames[-1], tuple(frames[:-1])

    @cached_property
    def rims(self) -> set[str]:
        """Panels over which walls are rolled."""
        return {panel.name for panel in self.part.panels if panel.role == "rim"}

    def loose(self, state: State) -> list[str]:
        """Folds that spring and are held by nothing but hands: by no bond, and by no flap that has slid in."""
        angles = self.angles(state)
        held = {name for number in state.made for name in self.glued[number].folds}
        shut = {like.end_of(self.folder, panel.child) for panel, flap in self.slides if self.done(angles, panel.name, flap.name)}
        loose = [n for n in self.rises if abs(angles[n]) > TINY and n not in held]
        if self.rims and self.rims <= (fixed := self.fixed(angles)):
            # rims that are down hold all that stands on the base
            loose = [n for n in loose if self.part.fold[n].child not in fixed]
        return [n for n in loose if like.end_of(self.folder, self.part.fold[n].child) not in shut]

    @cached_property
    def never_held(self) -> frozenset[str]:
        """Folds that no bond, no rim and no flap that slides in will hold, so that they spring from when they are turned."""
        if self.rims:
            return frozenset()
        held = {name for own in self.glued.values() for name in own.folds}
        shut = {like.end_of(self.folder, panel.child) for panel, _ in self.slides}
        return frozenset(n for n in self.rises if n not in held and like.end_of(self.folder, self.part.fold[n].child) not in shut)

    def faces(self, folds: Iterable[str]) -> set[str]:
        """The faces that hang on some folds: one, where many facets make a smooth one."""
        return {self.part.panel[self.part.fold[name].child].body for name in folds}

    @cached_property
    def slides(self) -> list[tuple[Fold, Fold]]:
        """Panels that close with a flap that slides in: one on which nothing hangs and that is not glued."""
        parents = {self.part.fold[name].parent for name in self.rises}
        strips = {panel.name for panel in self.part.panels if panel.role == "splice-strip"}
        glued = {name for own in self.glued.values() if own.first not in strips for name in (own.first, own.second)}
        # a wall on a rim is rolled over with it
        ends = [f for f in self.part.folds if f.angle and f.child not in parents | glued and f.parent not in self.rims]
        return [(panel, flap) for flap in ends for panel in self.part.folds if sliding.slides(self.part, panel, flap)]

    def done(self, angles: Angles, *names: str) -> bool:
        """Whether some folds are at their last angles."""
        return all(abs(angles[name] - self.final[name]) < TINY for name in names)

    def to_lay_flat(self, state: State, angles: Angles) -> tuple[int, set[str]]:
        """For rings that can be glued flat and are not: how many actions it takes to lay, glue and open them, and their folds."""
        count = 0
        names: set[str] = set()
        for number, own in self.glued.items():
            turning = {n for n in own.folds if n in self.rises}
            if number in state.made or turning & names or not own.may_be_flat(angles):
                continue
            over = min(sum(a != angles[n] for n, a in one.items()) for one in own.flat)
            if any(a != own.final[n] for n, a in own.flat[0].items()) and len(turning) > 2:
                count, names = count + over + 1, names | turning
        return count, names

    def apart(self, state: State) -> bool:
        """Whether pieces are still to be joined."""
        return any(self.joins(n) and n not in state.made for n in self.glued)

    def joins(self, number: int) -> bool:
        """Whether a bond joins two pieces flat."""
        return number in self._joining_bonds

    @cached_property
    def _joining_bonds(self) -> frozenset[int]:
        piece = self.part.piece_of
        across = [own for own in self.glued.values() if piece and piece[own.first] is not piece[own.second]]
        return frozenset(own.number for own in across if any(not own.over(one) for one in own.flat))

    def kinds(self, angles: Angles, twins: Mapping[str, str], rings: Iterable[Iterable[str]]) -> list[tuple[str, ...]]:
        """Folds that are still to be turned, by what they are like; neither those that follow others nor those in rings."""
        bound = {name for ring in rings for name in ring}
        free = [n for n in self.rises if n not in twins and n not in bound and abs(angles[n] - self.final[n]) > TINY]
        free = [n for n in free if abs(abs(angles[n]) - 180.0) > TINY]
        free = [n for n in free if not self._locks_too_soon(n, angles)]
        return like.groups(self.folder, self.bonds, free)

    def _locks_too_soon(self, name: str, angles: Angles) -> bool:
        """Whether a panel with a tongue would turn before others at its end of the box: a tongue locks only what lies there already."""
        panel = self.part.fold[name].child
        if not any(fold.parent == panel and self.part.panel[fold.child].role == "tongue" for fold in self.part.folds):
            return False
        end = like.end_of(self.folder, panel)
        others = [n for n in self.rises if n != name and self.part.fold[n].parent != panel]
        return any(not self.done(angles, n) and like.end_of(self.folder, self.part.fold[n].child) == end for n in others)

    @cached_property
    def bonds(self) -> list[Bond]:
        """The bonds within this part."""
        return [own.bond for own in self.glued.values()]

    @cached_property
    def floor(self) -> set[str]:
        """Panels that lie under the item in the closed box."""
        return {panel.name for i, panel in enumerate(self.part.panels) if self.opening.carries(self.folder.stood[i], i)}

    def fixed(self, angles: Angles) -> set[str]:
        """Panels that are in their last places."""
        found: set[str] = {self.part.root}
        for fold in self.folder.outward:
            if fold.parent in found and abs(angles[fold.name] - fold.angle) < TINY:
                found.add(fold.child)
        return found


def _first(found: Mapping[str, str], name: str) -> str:
    while name in found:
        name = found[name]
    return name

"""Where a part is in the search, and what may be done with it next. Degrees."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from booklet import plane, sliding, space
from booklet.folding import folder
from booklet.net import Bond, Fold, Loop, Net, Part, StepKind
from booklet.steps import like
from booklet.steps.chains import Tree, by_line
from booklet.steps.glued import Glued
from booklet.steps.linkage import Following
from booklet.steps.opening import WAYS, Opening, Way
from booklet.tolerance import TORN

Angles = Mapping[str, float]
Frames = list[tuple[float, dict[str, float]]]
"""Angles along a way, each with the share of it that is done."""

_TINY = 1e-6

_FEW = 4
"""Bonds with more folds still to turn are not looked into: something will be found (chosen by us)."""


@dataclass(frozen=True, slots=True)
class State:
    """Angles of all folds, the bonds that are made, and whether the item is in."""

    angles: tuple[float, ...]
    made: frozenset[int] = frozenset()
    filled: bool = False


@dataclass(frozen=True)
class Action:
    """What hands do next: folds turn to new angles, bonds are made at the end. `path`: where an even motion would tear card."""

    kind: StepKind
    targets: Mapping[str, float] = field(default_factory=dict)
    bonds: tuple[int, ...] = ()
    path: tuple[Mapping[str, float], ...] = ()


@dataclass(frozen=True)
class Choice:
    """Something that may be done next.

    `some`: folds to their angles, the first choice first; a later one is tried where an earlier one cannot be done.
    Or `whole`: an action that turns nothing, with what comes of it.
    """

    kind: StepKind
    some: tuple[Mapping[str, float], ...] = ()
    whole: tuple[Action, State] | None = None

    @property
    def stands(self) -> bool:
        """Whether it leaves something standing up."""
        return any(abs(angle) not in (0.0, 180.0) for angle in (self.some[0].values() if self.some else ()))


class Loose:
    """A ring of panels round a corner that is not cut: closed where both sides of its last crease are together."""

    def __init__(self, loop: Loop, tree: Tree):
        self.loop, self.chain = loop, tree.chain(*loop.panels)
        self._line = space.lifted(loop.line)
        self.shape = self._shape(tree.part)

    def _shape(self, part: Part) -> tuple[float, ...]:
        """The angles between its creases, one after another: corners with the same ones move alike, be they mirrored."""
        lines = [*(part.fold[name].line for name in self.chain.folds), self.loop.line]
        centre = max((end for end in lines[0]), key=lambda p: sum(any(plane.same(p, end, 1e-3) for end in line) for line in lines))
        ways = [np.subtract(max(line, key=lambda p: math.dist(p, centre)), centre) for line in lines]
        units = [way / np.hypot(*way) for way in ways]
        return tuple(round(float(a @ b), 6) for a, b in zip(units, [*units[1:], units[0]], strict=True))

    @property
    def folds(self) -> tuple[str, ...]:
        """The folds on which it depends."""
        return self.chain.folds

    def gaps(self, states: Any) -> Any:
        """How far the ends of its last crease are apart, mm, (states, 6)."""
        seen = self.chain.seen(states)
        now = np.einsum("fxy,py->fpx", seen[:, :3, :3], self._line) + seen[:, None, :3, 3] - self._line
        return now.reshape(len(now), -1)


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
        self.loops = [Loose(loop, self.tree) for loop in part.loops]
        self.opening = Opening(self.folder, net.item)
        self._corners: dict[object, list[tuple[float, tuple[float, ...]]] | None] = {}
        self._solved: dict[object, tuple[Mapping[str, float], tuple[Mapping[str, float], ...]] | None] = {}
        self._places = self.folder.places(self.final, space.matrix(part.places[0]))

    # -- what is given ------------------------------------------------------------------------------------------

    def start(self) -> State:
        """Flat, nothing glued."""
        return State(tuple(0.0 for _ in self.names))

    def angles(self, state: State) -> dict[str, float]:
        """Angles by fold."""
        return dict(zip(self.names, state.angles, strict=True))

    @cached_property
    def rises(self) -> tuple[str, ...]:
        """Folds that turn at all."""
        return tuple(fold.name for fold in self.part.folds if abs(fold.angle) > _TINY)

    @cached_property
    def _bars(self) -> dict[str, frozenset[Way]]:
        """For each panel the ways of the item that it bars once it is in its last place."""
        return {
            panel.name: frozenset(way for way in WAYS if self.opening.bars(self._places[i], i, way))
            for i, panel in enumerate(self.part.panels)
        }

    @cached_property
    def closes(self) -> bool:
        """Whether the item can no longer go in when all is folded."""
        return self.holds and not set(WAYS) - {way for ways in self._bars.values() for way in ways}

    def goal(self, state: State) -> bool:
        """Whether all is done."""
        done = all(abs(a - self.final[n]) < _TINY for n, a in zip(self.names, state.angles, strict=True))
        return done and len(state.made) == len(self.glued) and (state.filled or not self.closes)

    # -- what hangs together ------------------------------------------------------------------------------------

    def twins(self, state: State) -> dict[str, str]:
        """Folds that follow another on the same line, to which bonds hold them: follower to leader."""
        found: dict[str, str] = {}
        for number in sorted(state.made):
            if self._there_and_back(number):
                for some in self._lines[number]:
                    leader, *rest = sorted(some, key=self._leads)
                    found |= {name: _first(found, leader) for name in rest if name != _first(found, leader)}
        return {name: _first(found, leader) for name, leader in found.items()}

    @cached_property
    def _lines(self) -> dict[int, list[tuple[str, ...]]]:
        """For each bond the folds that turn between its panels, by the lines on which they lie."""
        return {n: by_line(self.part, [name for name in own.folds if name in self.rises]) for n, own in self.glued.items()}

    def _there_and_back(self, number: int) -> bool:
        """Whether each turn between a bond's panels is turned back on the same line: such folds move together."""
        lines = self._lines[number]
        return bool(lines) and all(len(some) > 1 for some in lines)

    def _leads(self, name: str) -> tuple[bool, int]:
        role = self.part.panel[self.part.fold[name].child].role
        return role in ("glue-flap", "splice-strip"), self.at[name]

    def rings(self, state: State, angles: Angles, twins: Mapping[str, str]) -> list[tuple[str, ...]]:
        """Folds that bonds hold in rings and that are not yet at their last angles, ring by ring."""
        rings: list[set[str]] = []
        for number in sorted(state.made):
            turning = {twins.get(n, n) for n in self.glued[number].folds if n in self.rises}
            some = len(turning) > 1 and not self._there_and_back(number)
            if some and any(abs(angles[n] - self.final[n]) > _TINY for n in turning):
                meeting = [ring for ring in rings if ring & turning]
                rings = [ring for ring in rings if not ring & turning] + [turning.union(*meeting)]
        return [tuple(n for n in self.names if n in ring and abs(angles[n] - self.final[n]) > _TINY) for ring in rings]

    def loose(self, state: State) -> list[str]:
        """Folds that spring and are held by nothing but hands: by no bond, and by no flap that has slid in."""
        angles = self.angles(state)
        held = {name for number in state.made for name in self.glued[number].folds}
        shut = {like.end_of(self.folder, panel.child) for panel, flap in self.slides if self._done(angles, panel.name, flap.name)}
        loose = [n for n in self.rises if abs(angles[n]) > _TINY and n not in held]
        return [n for n in loose if like.end_of(self.folder, self.part.fold[n].child) not in shut]

    @cached_property
    def slides(self) -> list[tuple[Fold, Fold]]:
        """Panels that close with a flap that slides in: one on which nothing hangs and that is not glued."""
        parents = {self.part.fold[name].parent for name in self.rises}
        strips = {panel.name for panel in self.part.panels if panel.role == "splice-strip"}
        glued = {name for own in self.glued.values() if own.first not in strips for name in (own.first, own.second)}
        ends = [fold for fold in self.part.folds if fold.angle and fold.child not in parents | glued]
        return [(panel, flap) for flap in ends for panel in self.part.folds if sliding.slides(self.part, panel, flap)]

    def _done(self, angles: Angles, *names: str) -> bool:
        return all(abs(angles[name] - self.final[name]) < _TINY for name in names)

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
        return any(self._joins(n) and n not in state.made for n in self.glued)

    def _joins(self, number: int) -> bool:
        """Whether a bond joins two pieces flat."""
        return number in self._joining_bonds

    @cached_property
    def _joining_bonds(self) -> frozenset[int]:
        piece = self.part.piece_of
        across = [own for own in self.glued.values() if piece and piece[own.first] is not piece[own.second]]
        return frozenset(own.number for own in across if any(not own.over(one) for one in own.flat))

    # -- what may be done next ----------------------------------------------------------------------------------

    def choices(self, state: State) -> tuple[list[Choice], list[Choice]]:
        """All that may be done next as far as the angles tell: what is done on the flat part, and the rest.

        While pieces are apart nothing is stood up; a ring that is glued flat is opened before anything else stands up; what is
        begun at one end of the box is gone on with there.
        """
        angles, twins = self.angles(state), self.twins(state)
        rings = self.rings(state, angles, twins)
        turns = list(self._turns(state, angles, twins, rings))
        lies = all(abs(angle) in (0.0, 180.0) for angle in state.angles)
        flat = [*self._joining(state, angles), *(choice for choice in turns if lies and not choice.stands)]
        if self.apart(state):
            return flat, []
        if opened := [choice for choice in turns if choice.kind == "square"]:
            return flat, opened
        standing = [*self._filling(state, angles), *(choice for choice in turns if not lies or choice.stands)]
        begun = [choice for choice in standing if self._ends(choice) & self._ends_of(self.loose(state))]
        return flat, begun if begun and self.strict else standing

    def _ends(self, choice: Choice) -> set[int]:
        return self._ends_of(name for some in choice.some[:1] for name in some)

    def _ends_of(self, folds: Iterable[str]) -> set[int]:
        """At which ends of the box panels come to lie."""
        return {like.end_of(self.folder, self.part.fold[name].child) for name in folds}

    def tried(self, state: State, kind: StepKind, targets: Mapping[str, float]) -> tuple[Action, State] | None:
        """What comes of turning some folds; None where rings cannot stay closed, faces meet wrongly or something can no longer be done."""
        made = self._turned(state, self.angles(state), targets, self.twins(state), kind)
        return made if made is not None and not self.dead(made[1]) else None

    def _filling(self, state: State, angles: Angles) -> Iterator[Choice]:
        if self.closes and not state.filled and self._carried(angles):
            yield Choice("put", whole=(Action("put"), State(state.angles, state.made, True)))

    def _joining(self, state: State, angles: Angles) -> Iterator[Choice]:
        """Pieces joined flat: strips first, each kind of flap together."""
        ready = [n for n in self.glued if n not in state.made and self._joins(n) and self.glued[n].is_flat(angles)]
        roles = dict.fromkeys(self.part.panel[self.glued[n].first].role for n in ready)
        for role in sorted(roles, key=lambda r: r != "splice-strip")[:1]:
            some = tuple(n for n in ready if self.part.panel[self.glued[n].first].role == role)
            yield Choice("join", whole=(Action("join", {}, some), State(state.angles, state.made | set(some), state.filled)))

    def _turns(self, state: State, angles: Angles, twins: Mapping[str, str], rings: Sequence[tuple[str, ...]]) -> Iterator[Choice]:
        for ring in rings:
            yield Choice("square", ({name: self.final[name] for name in ring},))
        for name, angle in self._over(state, angles):
            yield Choice("fold", ({name: angle},))
        for group in self.kinds(angles, twins, rings):
            yield Choice("fold", tuple({name: self.final[name] for name in some} for some in like.some_of(self.folder, group)))

    def kinds(self, angles: Angles, twins: Mapping[str, str], rings: Iterable[Iterable[str]]) -> list[tuple[str, ...]]:
        """Folds that are still to be turned, by what they are like; neither those that follow others nor those in rings."""
        bound = {name for ring in rings for name in ring}
        free = [n for n in self.rises if n not in twins and n not in bound and abs(angles[n] - self.final[n]) > _TINY]
        free = [n for n in free if abs(abs(angles[n]) - 180.0) > _TINY]
        return like.groups(self.folder, self._bonds, free)

    @cached_property
    def _bonds(self) -> list[Bond]:
        return [own.bond for own in self.glued.values()]

    def _over(self, state: State, angles: Angles) -> Iterator[tuple[str, float]]:
        """Folds to be folded right over, so that a bond can be made flat."""
        wanted: dict[tuple[str, float], None] = {}
        for number, own in self.glued.items():
            if number in state.made:
                continue
            for one in own.flat:
                if all(angles[name] in (0.0, angle) for name, angle in one.items()):
                    wanted |= {(n, a): None for n, a in one.items() if a and a != self.final[n] and angles[n] == 0.0}
        yield from wanted

    def _turned(
        self, state: State, angles: Angles, targets: Mapping[str, float], twins: Mapping[str, str], kind: StepKind
    ) -> tuple[Action, State] | None:
        """An action that turns some folds, and those that go with them; None where rings cannot stay closed or faces meet wrongly."""
        all_of = {**targets, **{name: targets[leader] for name, leader in twins.items() if leader in targets}}
        moved = self._kept_closed(angles, all_of)
        if moved is None:
            return None
        ends, path = moved
        after = {**angles, **ends}
        bonds = []
        for number, own in self.glued.items():
            if number in state.made or self._joins(number) or not any(name in ends for name in own.folds):
                continue
            if own.is_flat(after) or all(abs(after[n] - a) < _TINY for n, a in own.final.items()):
                if not own.meets(angles, after):
                    return None
                bonds.append(number)
        told: StepKind = "bond" if bonds and kind == "fold" else kind
        new = State(tuple(after[n] for n in self.names), state.made | set(bonds), state.filled)
        return Action(told, ends, tuple(bonds), path), new

    def _kept_closed(self, angles: Angles, ends: Mapping[str, float]) -> tuple[Mapping[str, float], tuple[Mapping[str, float], ...]] | None:
        """The folds that turn, with those that have to follow so that no corner is torn, and the path where they do."""
        touched = [loop for loop in self.loops if set(loop.folds) & set(ends)]
        key = tuple(ends.items()), tuple(angles[name] for loop in touched for name in loop.folds)
        if touched and key not in self._solved:
            self._solved[key] = self._following(touched, angles, ends)
        return self._solved[key] if touched else (ends, ())

    def _following(self, loops: list[Loose], angles: Angles, ends: Mapping[str, float]) -> Any:
        even = [{**angles, **_part_way(angles, ends, k / 12)} for k in range(13)]
        torn = [loop for loop in loops if float(np.abs(loop.gaps(even)).max()) > TORN / 2]
        if not torn:
            return ends, ()
        solved = [self._followed(loop, angles, ends) for loop in torn]
        if any(one is None for one in solved):
            return None
        shares = sorted({share for one in solved if one for share, _ in one})
        frames = [_at_share([one for one in solved if one], share) for share in shares]
        rest = {n: a for n, a in ends.items() if n not in frames[-1]}
        path = tuple({**one, **_part_way(angles, rest, share)} for one, share in zip(frames, shares, strict=True))
        return path[-1], path[:-1]

    def _followed(self, loop: Loose, angles: Angles, ends: Angles) -> Frames | None:
        """The way of one corner: what hangs on the panels that turn follows them. Corners that are the same are solved once."""
        goal = {n: a for n, a in ends.items() if n in loop.folds}
        hung = {name for n in goal for name in self.tree.under(n)}
        follow = tuple(n for n in loop.folds if n not in goal and self.part.fold[n].child in hung)
        if not follow:
            return None
        key = loop.shape, tuple((angles[n], goal.get(n)) for n in loop.folds)
        if key not in self._corners:
            signs = {n: float(np.sign(self.final[n] - angles[n])) for n in follow}
            self._corners[key] = self._solved_frames(loop, Following([loop], {n: angles[n] for n in loop.folds}, goal, follow, signs))
        found = self._corners[key]
        names = {n: k for k, n in enumerate(loop.folds)}
        return None if found is None else [(share, {n: frame[names[n]] for n in (*goal, *follow)}) for share, frame in found]

    def _solved_frames(self, loop: Loose, following: Following) -> list[tuple[float, tuple[float, ...]]] | None:
        frames = following.frames()
        return None if frames is None else [(share, tuple(frame[n] for n in loop.folds)) for share, frame in frames]

    # -- what cannot come to an end -----------------------------------------------------------------------------

    def dead(self, state: State) -> bool:
        """Whether a bond can no longer be made, or the item no longer goes in."""
        angles = self.angles(state)
        if self.closes and not state.filled and self._shut(angles):
            return True
        left = [own for number, own in self.glued.items() if number not in state.made]
        return any(self._lost(own, angles) for own in left) or self._at_odds(left, angles)

    def _at_odds(self, left: Sequence[Glued], angles: Angles) -> bool:
        """Whether bonds that come about at the same moment ask for different folds to come last."""
        lasts: dict[frozenset[str], frozenset[str]] = {}
        for own in left:
            turning = frozenset(n for n in own.folds if abs(angles[n] - own.final[n]) > _TINY)
            if not own.flat and 1 < len(turning) <= _FEW:
                good = frozenset(n for n in turning if own.meets({**own.final, n: angles[n]}, own.final))
                lasts[turning] = lasts.get(turning, good) & good
        return self.strict and not all(lasts.values())

    def _shut(self, angles: Angles) -> bool:
        return not set(WAYS) - {way for name in self._fixed(angles) for way in self._bars[name]}

    def _carried(self, angles: Angles) -> bool:
        return bool(self._floor & self._fixed(angles))

    @cached_property
    def _floor(self) -> set[str]:
        """Panels that lie under the item in the closed box."""
        return {panel.name for i, panel in enumerate(self.part.panels) if self.opening.carries(self._places[i], i)}

    def _fixed(self, angles: Angles) -> set[str]:
        """Panels that are in their last places."""
        fixed: set[str] = {self.part.root}
        for fold in self.folder.outward:
            if fold.parent in fixed and abs(angles[fold.name] - fold.angle) < _TINY:
                fixed.add(fold.child)
        return fixed

    def _lost(self, own: Glued, angles: Angles) -> bool:
        """Whether a bond's faces can meet neither flat nor in the closed box, from the side on which they are glued."""
        ends = [one for one in own.flat if all(angles[name] in (0.0, angle) for name, angle in one.items())]
        last = () if own.flat and self.strict else (own.final,)
        return not any(self._comes(own, angles, end) for end in (*ends, *last))

    def _comes(self, own: Glued, angles: Angles, end: Angles) -> bool:
        left = [name for name in own.folds if abs(angles[name] - end[name]) > _TINY]
        if not left:
            return self._joins(own.number)
        if len(left) > _FEW or self._joins(own.number):
            return True
        # one of them comes last, or like ones come at once
        like_each_other = len({like.kind(self.folder, self._bonds, self.part.fold[name]) for name in left}) == 1
        befores = [{**end, name: angles[name]} for name in left] + [dict(angles)] * like_each_other
        return any(own.meets(before, end) for before in befores)


def _first(found: Mapping[str, str], name: str) -> str:
    while name in found:
        name = found[name]
    return name


def _part_way(angles: Angles, ends: Angles, share: float) -> dict[str, float]:
    """Folds on an even way to their ends."""
    return {name: angles[name] + (end - angles[name]) * share for name, end in ends.items()}


def _at_share(ways: Iterable[Frames], share: float) -> dict[str, float]:
    """Several ways that go on at once, at a share of them all."""
    frame: dict[str, float] = {}
    for way in ways:
        high = next(k for k, (at, _) in enumerate(way) if at >= share)
        (a, one), (b, two) = way[max(high - 1, 0)], way[high]
        part = (share - a) / (b - a) if b > a else 1.0
        frame |= {name: one[name] + (two[name] - one[name]) * part for name in two}
    return frame

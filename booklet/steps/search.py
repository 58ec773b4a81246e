"""The order that is easiest for hands, found among those that are allowed: a best-first search with a bound.

A state is told by angles and bonds. What a step costs is told by its angles at once; whether hands can do it is asked of the folded
model only when the step is next in line, so that few motions are folded. The bound never says more than what is left costs
at least, so the first way that ends is the cheapest one by these costs.
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import count

from booklet import space
from booklet.errors import refuse
from booklet.net import Net, Part, Step
from booklet.order import Wrong, wrong
from booklet.replay import Moment, play
from booklet.replay import State as Played
from booklet.replay import start as at_first
from booklet.steps.chains import collinear
from booklet.steps.choices import choices, tried
from booklet.steps.opening import WAYS
from booklet.steps.state import TINY, Action, Choice, State, Turns
from booklet.steps.upright import STANDING, Up, Ways, held, told
from booklet.steps.ways import variants
from booklet.steps.work import Work

ACTION = 1.0
"""What every action costs; the other costs are shares of it (all chosen by us)."""

AFTER_ANOTHER = 0.4
"""For each further motion of an action in which like panels are turned one after another."""

LOOSE = 0.05
"""For each face that springs and is held by nothing but hands after the action."""

STANDS = 3.0
"""For glue on a part that stands, where the same faces could have been glued flat."""

TURN = 0.7
"""For turning the part over."""

AT_ONCE = 2.0
"""For glue between panels that must both be brought to each other in one go."""

HANGS = 0.6
"""For a fold of a part that is not glued whose panel hangs on one that does not stand yet."""

WET = 0.5
"""For putting the item in before all is glued."""

EARLY = 0.1
"""For each face that is still to be turned when the item goes in."""

_MANY = 20
"""Faces; more than these cost no more."""

FILLED = 2.0
"""For turning the part over, besides, with the item in it."""

MOST = 400
"""Motions that are folded before the search gives up."""


@dataclass(frozen=True)
class Done:
    """A step that was found: what is done, how it happened, and the directions that may be up before and after it."""

    action: Action
    moment: Moment
    ways: Ways


@dataclass(eq=False)
class _Node:
    """A state in the search with the action that leads to it.

    `choice` and `tried`: what is tried instead where that cannot be done, from which one on. `ups`: directions that may be up.
    `played` and `done`: how it happened, once it is folded.
    """

    state: State
    cost: float
    before: _Node | None = None
    action: Action | None = None
    choice: Choice | None = None
    tried: int = 0
    ups: frozenset[Up] = frozenset()
    played: Played | None = None
    done: Done | None = None

    @property
    def flat(self) -> bool:
        """Whether the part lies flat."""
        return self.done is None or self.done.moment.flat

    @property
    def way(self) -> list[Done]:
        """The steps from the start to here."""
        found, node = [], self
        while node.before is not None:
            assert node.done is not None
            found.append(node.done)
            node = node.before
        return found[::-1]


def found(net: Net, part: Part, holds: bool) -> list[Done]:
    """The steps that fold and glue one part; `holds`: the item goes into it. Raises Refused with the reason where there are none."""
    return _Search(Work(net, part, holds)).best()


@dataclass(eq=False)
class _Search:
    work: Work
    queue: list[tuple[float, float, int, _Node]] = field(default_factory=list)
    closed: set[tuple[State, frozenset[Up]]] = field(default_factory=set)
    held: dict[State, set[Up]] = field(default_factory=dict)
    ticket: count[int] = field(default_factory=count)
    folded: int = 0
    cost: float = 0.0
    most: tuple[int, str] = (-1, "")
    stuck: list[Mapping[str, float]] = field(default_factory=list)
    traps: list[tuple[Mapping[str, tuple[float, float]], Wrong]] = field(default_factory=list)

    def best(self) -> list[Done]:
        """The cheapest way, glue on what lies flat first; where there is none, glue wherever it can be pressed."""
        for strict in (True, False):
            found = self._best(strict)
            if found is not None:
                return found
        why = self.most[1] or "its faces cannot be brought together to be glued"
        raise refuse("style", f"no order of folding was found for the {self.work.part.name}: {why}; report this box.")

    def _best(self, strict: bool) -> list[Done] | None:
        work = self.work
        work.strict = strict
        self.queue, self.closed, self.held, self.folded = [], set(), {}, 0
        up = told(space.matrix(work.part.places[0])[:3, 2])
        self._push(_Node(work.start(), 0.0, played=at_first(work.net), ups=frozenset({up})))
        while self.queue and self.folded < MOST:
            *_, node = heapq.heappop(self.queue)
            if self._is_stuck(node.state) or self._was_here(node) or (node.played is None and not self._folded(node)):
                continue
            if (node.state, node.ups) not in self.closed:
                self.closed.add((node.state, node.ups))
                self.held.setdefault(node.state, set()).update(node.ups)
                if work.goal(node.state):
                    self.cost = node.cost
                    return node.way
                self._offer_next(node)
        return None

    def _was_here(self, node: _Node) -> bool:
        """Whether the same state was reached before at no more cost, held in every way in which it is held now: it need not be folded."""
        before = node.before
        return before is not None and node.played is None and before.ups <= self.held.get(node.state, set())

    def _offer_next(self, node: _Node) -> None:
        """Put in line all that may be done next; what stands up only where nothing can be done on the flat part, or on the second try."""
        flat, standing = choices(self.work, node.state)
        before = len(self.queue)
        for choice in flat:
            self._offer(node, choice)
        if len(self.queue) == before or not self.work.strict:
            for choice in standing:
                self._offer(node, choice)

    def _offer(self, node: _Node, choice: Choice, first: int = 0) -> None:
        """Put the next way of a choice in line: all like panels at once, or where that cannot be done, some of them."""
        if choice.whole:
            action, after = choice.whole
            self._push(_Node(after, node.cost + self._cost(action, after), node, action, choice))
            return
        size, found = 0, False
        for number in range(first, len(choice.some)):
            if found and _folds(choice.some[number]) < size:
                break
            made = tried(self.work, node.state, choice.kind, choice.some[number])
            if made is not None:
                action, after = made
                found, size = True, _folds(choice.some[number])
                self._push(_Node(after, node.cost + self._cost(action, after), node, action, choice, number + 1))

    def _push(self, node: _Node) -> None:
        if self._is_stuck(node.state):
            return
        left = self._left(node.state)
        heapq.heappush(self.queue, (round(node.cost + left, 6), left, next(self.ticket), node))

    def _left(self, state: State) -> float:
        """The least that is still to come: one action for each kind of fold and for each ring, and those that lay a ring flat."""
        work, angles = self.work, self.work.angles(state)
        twins = work.twins(state)
        rings = work.rings(state, angles, twins)
        over, ringed = work.to_lay_flat(state, angles)
        # a wall that goes along with its rim is no action of its own
        rims = [n for n in work.rises if work.part.fold[n].child in work.rims and abs(angles[n] - work.final[n]) > TINY]
        along = {n for rim in rims for n in work.goes_along[rim]}
        kinds = [kind for kind in work.kinds(angles, twins, rings) if not set(kind) <= ringed and not set(kind) <= along]
        count = len(kinds) + len(rings) + over + (work.closes and not state.filled) + work.apart(state)
        return ACTION * count + LOOSE * self._springing(angles, kinds, count)

    def _springing(self, angles: Mapping[str, float], kinds: Sequence[Sequence[str]], count: int) -> int:
        """The least sum, over all actions that are left, of the faces that nothing will ever hold and that spring after each."""
        work = self.work
        now = len(work.faces(name for name in work.never_held if abs(angles[name]) > TINY))
        later = sorted((len(work.faces(work.never_held.intersection(kind))) for kind in kinds), reverse=True)
        return now * count + sum(size * place for place, size in enumerate(later, 1))

    def _cost(self, action: Action, after: State) -> float:
        """What an action costs as far as angles tell."""
        work = self.work
        angles = work.angles(after)
        stands = any(work.glued[n].flat and not work.glued[n].is_flat(angles) for n in action.bonds)
        wet = action.kind == "put" and len(after.made) < len(work.glued)
        early = min(len(work.faces(n for n, a in angles.items() if abs(a - work.final[n]) > TINY)), _MANY) if action.kind == "put" else 0
        each = ACTION + AFTER_ANOTHER * (action.turns - 1)
        glue = STANDS * stands + AT_ONCE * self._at_once(action)
        hangs = not work.glued and bool({work.part.fold[n].parent for n in action.targets} - work.fixed(angles))
        return each + HANGS * hangs + LOOSE * len(work.faces(work.loose(after))) + glue + WET * wet + EARLY * early

    def _at_once(self, action: Action) -> bool:
        """Whether a bond is made between panels that both move, other than by folds on one line."""
        if action.turns > 1:
            return False
        movers = (set(self.work.glued[n].folds) & set(action.targets) for n in action.bonds)
        return any(len(some) > 1 and not collinear(self.work.part, sorted(some)) for some in movers)

    # -- what the folded model says -------------------------------------------------------------------------------

    def _folded(self, node: _Node) -> bool:
        """Whether hands can do the step that leads to a node; where they must turn the part first, the node goes back in line."""
        assert node.before is not None and node.action is not None
        before = node.before
        found = self._put(before) if node.action.kind == "put" else self._moved(before, node.action)
        self.folded += 1
        if node.choice is not None and (found is None or self._at_once(node.action)):
            self._offer_rest(before, node)
        if found is None:
            return False
        node.done, node.played = found
        ways = {up: after for up, after in node.done.ways.items() if up in before.ups}
        turned = not ways
        node.ups = frozenset(up for after in (ways or node.done.ways).values() for up in after)
        node.cost += (TURN + FILLED * before.state.filled) * turned
        if turned:
            self._push(node)
        return not turned

    def _offer_rest(self, before: _Node, node: _Node) -> None:
        choice, node.choice = node.choice, None
        if choice is not None and choice.some:
            self._offer(before, choice, node.tried)

    def _moved(self, before: _Node, action: Action) -> tuple[Done, Played] | None:
        """The first way of doing an action that hands can do, and where all is after it."""
        why: Wrong | None = None
        for one in variants(self.work, self.work.angles(before.state), action):
            why = self._known(before, one)
            if why is None:
                moment, played = self._play(before, one)
                why = wrong(self.work.net, moment)
                if why is None:
                    ways = held(self.work.net, moment, before.flat)
                    if ways:
                        return Done(one, moment, ways), played
                    why = Wrong("it would have to move through the table")
                self._learnt(before, one, why)
            if why.between is None:
                break
        self._noted(before, action, why.why if why else "")
        if why and why.between:
            self._stuck_for_good(before, action, why.between)
        return None

    def _stuck_for_good(self, before: _Node, action: Action, between: tuple[str, str]) -> None:
        """Where what is in the way is in its last place, the same motion will never be free."""
        angles, final = self.work.angles(before.state), self.work.final
        chain = self.work.tree.chain(*between)
        if set(chain.one) & set(action.targets) and set(chain.two) & set(action.targets):
            # what both move at once may be free one after the other
            return
        folds = chain.folds
        if all(action.targets.get(name, angles[name]) == final[name] for name in folds):
            self.stuck.append({name: angles[name] for name in folds})

    def _is_stuck(self, state: State) -> bool:
        angles = self.work.angles(state)
        return any(all(angles[name] == angle for name, angle in one.items()) for one in self.stuck)

    def _known(self, before: _Node, action: Action) -> Wrong | None:
        """Whether two panels are known to run into each other when the folds between them turn so."""
        angles = self.work.angles(before.state)
        for turns, why in self.traps:
            if not action.path and all(self._turn(angles, action, name) == turn for name, turn in turns.items()):
                return why
        return None

    def _learnt(self, before: _Node, action: Action, why: Wrong) -> None:
        """What two panels do to each other depends on the folds between them alone: it need not be folded again."""
        if why.between and not action.path:
            angles = self.work.angles(before.state)
            folds = self.work.tree.chain(*why.between).folds
            self.traps.append(({name: self._turn(angles, action, name) for name in folds}, why))

    def _turn(self, angles: Mapping[str, float], action: Action, name: str) -> tuple[float, float]:
        return angles[name], action.targets.get(name, angles[name])

    def _noted(self, before: _Node, action: Action, why: str) -> None:
        """Keep the reason from where the search came farthest."""
        far = len(before.state.made) * 100 + sum(a == f for a, f in zip(before.state.angles, self.work.final.values(), strict=True))
        if far > self.most[0]:
            names = ", ".join(self.work.part.fold[name].child for name in action.targets)
            self.most = far, f"when {names or 'the pieces'} should follow, {why}"

    def _play(self, before: _Node, action: Action) -> tuple[Moment, Played]:
        assert before.played is not None
        path = tuple(tuple(frame.items()) for frame in action.path)
        step = Step(0, action.kind, self.work.part.name, tuple(action.targets.items()), path, action.bonds)
        return play(self.work.net, before.played, step)

    def _bent_aside(self, state: State) -> set[int]:
        """Panels that a hand bends out of the item's way: what hangs on a fold that is still open and in no ring."""
        work, angles = self.work, self.work.angles(state)
        held = {name for ring in work.rings(state, angles, work.twins(state)) for name in ring}
        aside = {panel for n in work.rises if angles[n] == 0.0 and n not in held for panel in work.tree.under(n)}
        return {work.folder.index[panel] for panel in aside}

    def _put(self, before: _Node) -> tuple[Done, Played] | None:
        moment, played = self._play(before, Action("put"))
        opening, aside = self.work.opening, self._bent_aside(before.state)
        carried = any(opening.carries(place, i) for i, place in enumerate(moment.after))
        way = next((way for way in WAYS if opening.free(moment.after, way, aside)), None) if carried else None
        if way is None:
            self._noted(before, Action("put"), "the item cannot go in")
            return None
        ups = STANDING[:1] if way == WAYS[0] else STANDING
        return Done(Action("put"), moment, {up: frozenset({up}) for up in ups}), played


def _folds(turns: Turns) -> int:
    """How many folds are turned at once."""
    return max(len(turn) for turn in turns) if len(turns) > 1 else len(turns[0])


__all__ = ("Done", "found")

"""All steps of a box: each part scored, creased, folded and glued in turn, tried on, filled and closed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from booklet import across, space
from booklet.errors import refuse
from booklet.folding import folder
from booklet.net import Item, Net, Part, Step, StepKind
from booklet.passing import carried_into
from booklet.replay import Moment, State, play, start
from booklet.space import Rows
from booklet.steps import boards, search
from booklet.steps.even import evenly
from booklet.steps.opening import WAYS, Way
from booklet.steps.told import key_of
from booklet.steps.upright import STANDING, Up, told
from booklet.tolerance import THROUGH

_RANK = {"box": 0, "drawer": 0, "board": 0, "wrap": 1, "sleeve": 2, "insert": 3, "film": 3, "lid": 4}
"""The base before the lid, what holds the item before what goes over it."""

_HOLDS = ("box", "drawer")

_LIFT = 20.0
"""mm: how far beyond the box a part is carried from, with a third of the box's height besides (chosen by us)."""


@dataclass
class _Script:
    """Steps as they are added, and how each part was left by the last one that moved it."""

    net: Net
    steps: list[Step] = field(default_factory=list)
    last: dict[str, Moment] = field(default_factory=dict)

    def add(self, kind: StepKind, part: Part, words: str, up: Up | None = None, **more: object) -> None:
        """One more step; what it does is told by `folds`, `path`, `bonds` and `move`."""
        self.steps.append(Step(len(self.steps) + 1, kind, part.name, words=words, up=up, **more))  # type: ignore[arg-type]

    def angles(self, part: Part) -> Mapping[str, float]:
        """Angles of a part's folds as it was left."""
        return self.last[part.name].angles if part.name in self.last else {fold.name: 0.0 for fold in part.folds}

    def state(self) -> State:
        """Where everything is."""
        first = start(self.net)
        angles = {part.name: self.angles(part) for part in self.net.parts}
        stacks = {**first.stacks, **{name: moment.stack for name, moment in self.last.items()}}
        made = tuple(b for step in self.steps for b in step.bonds)
        return State(angles, first.roots, stacks, made, tuple(self.last))


def found(net: Net, batch: bool = False) -> Net:
    """The net with the steps that put it together, and its bonds numbered as they are made.

    `batch`: a trial box comes first, unless the card comes cut: then nothing is cut or scored, and what would be laid out with that is
    laid down by itself. Raises Refused with the reason where no order is found.
    """
    script = _Script(net)
    parts = sorted(net.parts, key=lambda part: _RANK[part.role])
    holder = next((part for part in parts if part.role in _HOLDS), parts[0])
    if batch and not net.ready:
        script.add("score", parts[0], "trial")
    rigid = [part for part in parts if part.role == "board"]
    wraps = [part for part in parts if part.role == "wrap" and rigid]
    _boarded(script, rigid, wraps)
    added = [part for part in parts if part.role == "insert" and part is not holder]
    rest = [part for part in parts if part is not holder and part not in (*rigid, *wraps, *added)]
    filled = _made(script, holder, True, added) if holder not in rigid else False
    if not filled:
        _inserted(script, added)
    for part in rest:
        _made(script, part)
    if not filled:
        script.add("put", holder, _put(added), STANDING[0])
    for part in rest:
        _carried(script, part)
    return _in_turn(replace(net, steps=tuple(script.steps)))


def _in_turn(net: Net) -> Net:
    """The net with its bonds numbered in the order in which they are made."""
    order = [bond for step in net.steps for bond in step.bonds]
    number = {old: new for new, old in enumerate(order)}
    steps = tuple(replace(step, bonds=tuple(number[b] for b in step.bonds)) for step in net.steps)
    return replace(net, bonds=tuple(net.bonds[b] for b in order), steps=steps)


def _put(added: Sequence[Part]) -> str:
    """Words for the item that goes in: one thing, or one in each cell between strips."""
    return "put-items" if any(not part.folds for part in added) else "put-item"


def _inserted(script: _Script, added: Sequence[Part]) -> None:
    """Inserts made and carried to their places one after another, before the item."""
    for part in added:
        _made(script, part)
        _carried(script, part)


def _turn_of(net: Net, done: Sequence[search.Done], added: Sequence[Part]) -> search.Done | None:
    """The step before which inserts go in where the box closes over its item: that of the item, or an earlier one while they can pass.

    A thing goes in past a flap that a hand bends aside; a strip as long as the box does not.
    """
    put = next((k for k, one in enumerate(done) if one.action.kind == "put"), None)
    if put is None:
        return None
    free = (k for k in range(put, 0, -1) if all(_passes(net, one, done[k - 1].moment) for one in added))
    return done[next(free, put)]


def _passes(net: Net, part: Part, box: Moment) -> bool:
    """Whether a part can be carried straight down into the box as it stands."""
    first = start(net)
    state = replace(first, angles={**first.angles, part.name: {fold.name: fold.angle for fold in part.folds}})
    last, _ = play(net, state, Step(0, "score", part.name))
    moved, _ = play(net, state, Step(0, "close", part.name, move=_way(net, part, last, [box], WAYS[0])))
    return carried_into(moved, [box]) <= THROUGH * part.caliper


def _packed(net: Net, part: Part, added: Sequence[Part]) -> Net:
    """The net whose item is all that has to go into a part: inserts, as a block about the middle of the floor, and what stands in them."""
    if not added or part.role not in _HOLDS:
        return net
    corners = np.concatenate(
        [space.applied(m, o) for part in added for m, o in zip(folder(part).stood, folder(part).outlines, strict=True)]
    )
    (x, y, _), high = 2 * np.abs(corners).max(0), max(float(corners[:, 2].max()), net.item.height)
    return replace(net, item=Item("block", float(x), float(y), high))


def _made(script: _Script, part: Part, holds: bool = False, added: Sequence[Part] = ()) -> bool:
    """One part from flat pieces to its last bond; whether the item went in on the way, after the inserts that were added."""
    done = search.found(_packed(script.net, part, added), part, holds)
    up = told(space.matrix(part.places[0])[:3, 2])
    _readied(script, part, up, holds)
    if creases := tuple((fold.name, 0.0) for fold in part.folds if fold.kind == "crease" and fold.bends):
        script.add("fold", part, "crease", up, folds=creases)
    fitted, turn = part.role != "lid", _turn_of(script.net, done, added)
    for one, (before, after) in zip(done, _held(done, up, holds), strict=True):
        if before != up:
            script.add("turn", part, "turn-flat" if _lies(script, part) else "turn-over", before)
        if not fitted and one.action.bonds and not one.moment.flat:
            _tried_on(script, part, one, before)
            fitted = True
        if one is turn:
            _inserted(script, added)
        # a ring is laid aside standing
        _added(script, part, one, after if one.action.kind == "square" else before)
        up = after
    if holds and up == STANDING[1]:
        script.add("turn", part, "turn-upright", STANDING[0])
    if holds and not part.folds:
        # a strip stands where it is, and others are put to it
        script.last[part.name], _ = play(script.net, script.state(), script.steps[-1])
    return any(one.action.kind == "put" for one in done)


def _readied(script: _Script, part: Part, up: Up, holds: bool) -> None:
    """A part cut out and scored; where that is done already, one without folds that stands where others are put to it."""
    if not script.net.ready:
        script.add("score", part, "score", up)
    elif holds and not part.folds:
        script.add("turn", part, "lay-strip", up)


def _lies(script: _Script, part: Part) -> bool:
    return part.name not in script.last or script.last[part.name].flat


def _held(done: Sequence[search.Done], first: Up, holds: bool) -> list[tuple[Up, Up]]:
    """How each step is held, before and after it, with the fewest turns; a turn comes as late as it can.

    What holds the item ends upright, however many turns that takes.
    """
    ways: dict[Up, tuple[int, list[tuple[Up, Up]]]] = {first: (0, [])}
    for one in done:
        new: dict[Up, tuple[int, list[tuple[Up, Up]]]] = {}
        for at, (turns, way) in ways.items():
            for before, afters in one.ways.items():
                for after in sorted(afters, reverse=True):
                    cost = turns + (before != at)
                    if after not in new or cost < new[after][0]:
                        new[after] = cost, [*way, (before, after)]
        ways = new
    wanted = holds and STANDING[0] in ways
    end = min(ways, key=lambda up: (ways[up][0] + (wanted and up != STANDING[0]), up != STANDING[0]))
    return ways[end][1]


def _added(script: _Script, part: Part, one: search.Done, up: Up) -> None:
    """A step of the search in the script."""
    action = one.action
    path = tuple(tuple(frame.items()) for frame in action.path)
    words = key_of(script.net, part, one)
    if action.kind == "put":
        words = _put([moment.part for moment in script.last.values() if moment.part.role == "insert"])
    kind: StepKind = "close" if _closes(one, part, script) else action.kind
    script.add(kind, part, words, up, folds=tuple(action.targets.items()), path=path, bonds=action.bonds)
    script.last[part.name] = one.moment


def _closes(one: search.Done, part: Part, script: _Script) -> bool:
    """Whether a fold without glue is what closes the box over the item."""
    filled = any(step.kind == "put" and step.part == part.name for step in script.steps)
    return filled and one.action.kind == "fold" and all(abs(one.moment.angles[f.name] - f.angle) < 1e-6 for f in part.folds)


def _tried_on(script: _Script, part: Part, one: search.Done, up: Up) -> None:
    """The same motion there and back, without glue: whether the lid goes over the box."""
    start_of = script.angles(part)
    before = {name: start_of[name] for name in one.action.targets}
    there = list(one.action.path) or evenly(before, one.action.targets)[:-1]
    path = [*there, dict(one.action.targets), *reversed(there)]
    script.add("fold", part, "dry-fit", up, folds=tuple(before.items()), path=tuple(tuple(frame.items()) for frame in path))


def _boarded(script: _Script, rigid: Sequence[Part], wraps: Sequence[Part]) -> None:
    """Rigid boards set together one after another on the first, which lies on the table or on a wrap; wraps are folded round them last."""
    if not rigid:
        return
    for wrap in wraps:
        kind, words = _first(script, "score", "lay-wrap")
        script.add(kind, wrap, words, told(space.matrix(wrap.places[0])[:3, 2]))
        script.last[wrap.name], _ = play(script.net, script.state(), script.steps[-1])
    order, inside = boards.in_order(script.net, rigid), script.net.inside
    up, far = boards.up_of(order), _LIFT + max(inside.length, inside.width, inside.height) / 5
    for n, laid in enumerate(order):
        way, words = (
            (laid.way, laid.words) if n else (up, "close-board-on-wrap" if wraps else _first(script, "score-boards", "lay-board")[1])
        )
        move = boards.places(laid.part, way, far) if n or wraps else ()
        _set_down(script, laid.part, words, told(up), move)
    for wrap in wraps:
        _wrapped(script, wrap)
    if not boards.can_be_filled(script.net, (*rigid, *wraps)):
        raise refuse("style", "the item cannot go in between the boards; report this box.")


def _first(script: _Script, cut: str, laid: str) -> tuple[StepKind, str]:
    """The kind and words of a step that brings what is cut out on to the table, or what comes cut."""
    return ("turn", laid) if script.net.ready else ("score", cut)


def _set_down(script: _Script, part: Part, words: str, up: Up, move: tuple[Rows, ...]) -> None:
    """A board brought to its place, on a wrap that lies there too."""
    others = list(script.last.values())
    bonds = across.laid_on(script.net, part, script.last)
    kind: StepKind = "close" if move else "turn" if script.net.ready else "score"
    script.add(kind, part, words, up, move=move, bonds=tuple(bonds))
    script.last[part.name], _ = play(script.net, script.state(), script.steps[-1])
    if move and carried_into(script.last[part.name], others) > THROUGH * part.caliper:
        raise refuse("style", f"the {part.name} cannot be brought to its place: another board stands in the way; report this box.")


def _wrapped(script: _Script, wrap: Part) -> None:
    """A wrap folded round the boards that stand on it: what comes to lie on a board is glued to it."""
    done = search.found(script.net, wrap, False)
    first = told(space.matrix(wrap.places[0])[:3, 2])
    for one, (up, _) in zip(done, _held(done, first, False), strict=True):
        bonds = (*one.action.bonds, *across.landed(script.net, one.moment))
        words = "wrap" if across.meets(script.net, one.moment) else key_of(script.net, wrap, one)
        path = tuple(tuple(frame.items()) for frame in one.action.path)
        folds = tuple(one.action.targets.items())
        script.add("bond" if bonds else one.action.kind, wrap, words, up, folds=folds, path=path, bonds=bonds)
        script.last[wrap.name], _ = play(script.net, script.state(), script.steps[-1])


def _carried(script: _Script, part: Part) -> None:
    """A part brought to the others along the first straight way that is free."""
    state = script.state()
    last = script.last.get(part.name) or play(script.net, state, Step(0, "score", part.name))[0]
    others = [moment for name, moment in script.last.items() if name != part.name]
    for way in WAYS:
        places = _way(script.net, part, last, others, way)
        step = Step(0, "close", part.name, move=places)
        moment, _ = play(script.net, state, step)
        if carried_into(moment, others) <= THROUGH * part.caliper:
            script.add("close", part, _way_in(part, others), STANDING[0], move=places)
            script.last[part.name] = moment
            return
    raise refuse("style", f"the {part.name} cannot be brought to its place: card stands in the way from every side; report this box.")


def _way_in(part: Part, others: Sequence[Moment]) -> str:
    """Words for a part that is carried: a strip that crosses one that stands there is pushed over it."""
    if part.folds or part.role != "insert":
        return f"close-{part.role}"
    normal = folder(part).stood[0, :3, 2]
    strips = [moment for moment in others if not moment.part.folds and moment.part.role == "insert"]
    return "close-strip-over" if any(abs(float(m.after[0, :3, 2] @ normal)) < 0.5 for m in strips) else "close-strip"


def _way(net: Net, part: Part, last: Moment, others: Sequence[Moment], way: Way) -> tuple[Rows, ...]:
    """Places along a straight way, the last one the final place: from beyond the others."""
    axis, sign = way
    own = _reach(last, axis, -sign)
    rest = max((_reach(other, axis, sign) for other in others), default=-own)
    far = max(own + rest, 0.0) + net.inside.height / 3 + _LIFT
    end = space.matrix(part.places[0])
    return tuple(space.rows(space.moved(*(far * sign * (3 - k) / 3 if i == axis else 0.0 for i in range(3))) @ end) for k in range(4))


def _reach(moment: Moment, axis: int, sign: float) -> float:
    """How far a part reaches along an axis to one side, mm from the origin."""
    corners = [space.applied(m, o) for m, o in zip(moment.after, moment.folder.outlines, strict=True)]
    return max(float((points[:, axis] * sign).max()) for points in corners)

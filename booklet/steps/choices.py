"""What may be done next with a part, as far as its angles tell. Degrees."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from booklet.folding import Angles
from booklet.net import StepKind
from booklet.steps import like
from booklet.steps.dead import dead
from booklet.steps.even import evenly
from booklet.steps.state import TINY, Action, Choice, State, Turns
from booklet.steps.work import Work


def choices(work: Work, state: State) -> tuple[list[Choice], list[Choice]]:
    """All that may be done next: what is done on the flat part, and the rest.

    While pieces are apart nothing is stood up; a ring that is glued flat is opened before anything else stands up; where the
    work is strict, what is begun at one end of the box is gone on with there.
    """
    angles = work.angles(state)
    turns = list(_turns(work, state, angles))
    lies = all(abs(angle) in (0.0, 180.0) for angle in state.angles)
    hems = [choice for choice in turns if lies and not choice.stands and _glues(work, choice)]
    flat = [*_joining(work, state, angles), *hems]
    if work.apart(state):
        return flat, []
    if opened := [choice for choice in turns if choice.kind == "square"]:
        return flat, opened
    standing = [*_filling(work, state, angles), *(choice for choice in turns if choice not in hems)]
    # where only one motion is left the item may go in before it, whatever springs
    last = len(turns) == 1
    begun = [c for c in standing if _ends(work, c) & _ends_of(work, work.loose(state)) or (last and c.kind == "put")]
    return flat, begun if begun and work.strict else standing


def _glues(work: Work, choice: Choice) -> bool:
    """Whether a fold of a choice is one that some glue depends on: an ear that is only laid over can wait."""
    return any(name in own.folds for own in work.glued.values() for turn in choice.some[:1] for some in turn for name in some)


def _ends(work: Work, choice: Choice) -> set[int]:
    return _ends_of(work, (name for some in choice.some[:1] for turn in some for name in turn))


def _ends_of(work: Work, folds: Iterable[str]) -> set[int]:
    """At which ends of the box panels come to lie."""
    return {like.end_of(work.folder, work.part.fold[name].child) for name in folds}


def _filling(work: Work, state: State, angles: Angles) -> Iterator[Choice]:
    if work.closes and not state.filled and work.floor & work.fixed(angles):
        yield Choice("put", whole=(Action("put"), State(state.angles, state.made, True)))


def _joining(work: Work, state: State, angles: Angles) -> Iterator[Choice]:
    """Pieces joined flat: strips first, each kind of flap together."""
    ready = [n for n in work.glued if n not in state.made and work.joins(n) and work.glued[n].is_flat(angles)]
    roles = {n: work.part.panel[work.glued[n].first].role for n in ready}
    for role in sorted(dict.fromkeys(roles.values()), key=lambda r: r != "splice-strip")[:1]:
        some = tuple(n for n in ready if roles[n] == role)
        yield Choice("join", whole=(Action("join", {}, some), State(state.angles, state.made | set(some), state.filled)))


def _turns(work: Work, state: State, angles: Angles) -> Iterator[Choice]:
    twins = work.twins(state)
    rings = work.rings(state, angles, twins)
    for ring in rings:
        yield Choice("square", (({name: work.final[name] for name in ring},),))
    for targets in _over(work, state, angles):
        yield Choice(
            "fold", tuple((some,) for some in ([targets] if len(targets) < 2 else [targets, *({n: a} for n, a in targets.items())]))
        )
    for group in work.kinds(angles, twins, rings):
        some = [tuple(names) for names in like.some_of(work.folder, work.bonds, group)]
        yield Choice("fold", tuple(_to_their_ends(work, angles, names) for names in some) + _in_turn(work, group))


def _to_their_ends(work: Work, angles: Angles, names: tuple[str, ...]) -> Turns:
    """Folds to their last angles; a rim takes the wall along that hangs on it, a wall that is rolled the flap at its end."""
    along = [other for name in names for other in work.goes_along.get(name, ())]
    return ({name: work.final[name] for name in dict.fromkeys([*names, *along]) if abs(angles[name] - work.final[name]) > TINY},)


_FEWEST_IN_TURN = 3


def _in_turn(work: Work, group: tuple[str, ...]) -> tuple[Turns, ...]:
    """Like folds one after another round a ring, in one step, where there are enough of them."""
    smooth = any(work.part.fold[name].kind == "roll" for name in group)
    return () if smooth or len(group) < _FEWEST_IN_TURN else (tuple({name: work.final[name]} for name in group),)


def _over(work: Work, state: State, angles: Angles) -> list[dict[str, float]]:
    """Folds to be folded right over, like ones together, so that a bond can be made flat."""
    wanted: dict[tuple[str, float], None] = {}
    for number, own in work.glued.items():
        for one in own.flat if number not in state.made else ():
            if all(angles[name] in (0.0, angle) for name, angle in one.items()):
                wanted |= {(n, a): None for n, a in one.items() if a and a != own.final[n] and angles[n] == 0.0}
    kinds: dict[object, dict[str, float]] = {}
    for name, angle in wanted:
        # walls lie down one by one, what hangs on them with its likes
        apart = name if work.at_ring(name) else like.kind(work.folder, work.bonds, work.part.fold[name])
        kinds.setdefault((apart, angle), {})[name] = angle
    return list(kinds.values())


def tried(work: Work, state: State, kind: StepKind, turns: Turns) -> tuple[Action, State] | None:
    """What comes of turning some folds, at once or one after another, and those that go with them.

    None where corners or rings cannot stay whole, faces meet wrongly or something can no longer be done.
    """
    if len(turns) == 1:
        return _turned(work, state, kind, turns[0])
    frames: list[dict[str, float]] = []
    ends: dict[str, float] = {}
    bonds: tuple[int, ...] = ()
    for turn in turns:
        made = _turned(work, state, kind, turn)
        if made is None:
            return None
        action, after = made
        way = list(action.path) or evenly(work.angles(state), action.targets)[:-1]
        frames += [{**ends, **frame} for frame in (*way, action.targets)]
        ends |= action.targets
        bonds += action.bonds
        state = after
    return Action("bond" if bonds else kind, ends, bonds, tuple(frames[:-1]), len(turns)), state


def _turned(work: Work, state: State, kind: StepKind, targets: Mapping[str, float]) -> tuple[Action, State] | None:
    angles, twins = work.angles(state), work.twins(state)
    all_of = {**targets, **{name: targets[leader] for name, leader in twins.items() if leader in targets}}
    moved = work.corners.kept_closed(angles, all_of)
    if moved is not None and (pulled := work.pulled(state, angles, moved[0], moved[1])):
        moved = work.opened(angles, all_of, pulled)
    if moved is not None and not moved[1] and (bent := work.bent(angles, moved[0])):
        moved = bent
    if moved is None:
        return None
    ends, path = moved
    after = {**angles, **ends}
    met = _met(work, state, ends, after)
    way = [angles, *({**angles, **frame} for frame in path), after]
    if not all(work.glued[n].meets_along(way) if path else work.glued[n].meets(angles, after) for n in met):
        return None
    new = State(tuple(after[n] for n in work.names), state.made | set(met), state.filled)
    return None if dead(work, new) else (Action("bond" if met and kind == "fold" else kind, ends, met, path), new)


def _met(work: Work, state: State, ends: Angles, after: Angles) -> tuple[int, ...]:
    """Bonds whose faces come to touch when some folds turn."""
    turned = (n for n, own in work.glued.items() if n not in state.made and not work.joins(n) and any(name in ends for name in own.folds))
    return tuple(n for n in turned if work.glued[n].is_flat(after) or work.done(after, *work.glued[n].folds))

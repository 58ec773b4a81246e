"""What may be done next with a part, as far as its angles tell. Degrees."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from booklet.folding import Angles
from booklet.net import StepKind
from booklet.steps import like
from booklet.steps.dead import dead
from booklet.steps.state import Action, Choice, State
from booklet.steps.work import Work


def choices(work: Work, state: State) -> tuple[list[Choice], list[Choice]]:
    """All that may be done next: what is done on the flat part, and the rest.

    While pieces are apart nothing is stood up; a ring that is glued flat is opened before anything else stands up; where the
    work is strict, what is begun at one end of the box is gone on with there.
    """
    angles = work.angles(state)
    turns = list(_turns(work, state, angles))
    lies = all(abs(angle) in (0.0, 180.0) for angle in state.angles)
    flat = [*_joining(work, state, angles), *(choice for choice in turns if lies and not choice.stands)]
    if work.apart(state):
        return flat, []
    if opened := [choice for choice in turns if choice.kind == "square"]:
        return flat, opened
    standing = [*_filling(work, state, angles), *(choice for choice in turns if not lies or choice.stands)]
    begun = [choice for choice in standing if _ends(work, choice) & _ends_of(work, work.loose(state))]
    return flat, begun if begun and work.strict else standing


def _ends(work: Work, choice: Choice) -> set[int]:
    return _ends_of(work, (name for some in choice.some[:1] for name in some))


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
        yield Choice("square", ({name: work.final[name] for name in ring},))
    for name, angle in _over(work, state, angles):
        yield Choice("fold", ({name: angle},))
    for group in work.kinds(angles, twins, rings):
        yield Choice("fold", tuple({name: work.final[name] for name in some} for some in like.some_of(work.folder, group)))


def _over(work: Work, state: State, angles: Angles) -> Iterable[tuple[str, float]]:
    """Folds to be folded right over, so that a bond can be made flat."""
    wanted: dict[tuple[str, float], None] = {}
    for number, own in work.glued.items():
        for one in own.flat if number not in state.made else ():
            if all(angles[name] in (0.0, angle) for name, angle in one.items()):
                wanted |= {(n, a): None for n, a in one.items() if a and a != own.final[n] and angles[n] == 0.0}
    return wanted


def tried(work: Work, state: State, kind: StepKind, targets: Mapping[str, float]) -> tuple[Action, State] | None:
    """What comes of turning some folds, and those that go with them.

    None where corners cannot stay whole, faces meet wrongly or something can no longer be done.
    """
    angles, twins = work.angles(state), work.twins(state)
    all_of = {**targets, **{name: targets[leader] for name, leader in twins.items() if leader in targets}}
    moved = work.corners.kept_closed(angles, all_of)
    if moved is None:
        return None
    ends, path = moved
    after = {**angles, **ends}
    met = _met(work, state, ends, after)
    if not all(work.glued[n].meets(angles, after) for n in met):
        return None
    new = State(tuple(after[n] for n in work.names), state.made | set(met), state.filled)
    return None if dead(work, new) else (Action("bond" if met and kind == "fold" else kind, ends, met, path), new)


def _met(work: Work, state: State, ends: Angles, after: Angles) -> tuple[int, ...]:
    """Bonds whose faces come to touch when some folds turn."""
    turned = (n for n, own in work.glued.items() if n not in state.made and not work.joins(n) and any(name in ends for name in own.folds))
    return tuple(n for n in turned if work.glued[n].is_flat(after) or work.done(after, *work.glued[n].folds))

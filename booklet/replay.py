"""The steps played back on the folded model, as anybody could from the exported net alone.

Angles move evenly in 24 parts from one step's end to the next, or along the step's `path`; a part with a
`move` goes through its places in turn.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from booklet import space
from booklet.folding import Folder, folder
from booklet.net import Bond, Net, Part, Step
from booklet.stack import Stack, both, grown, lying

Places = NDArray[np.float64]
PARTS = 24


@dataclass(frozen=True)
class Moment:
    """One step as it happens to its part.

    `frames`: places of all its panels, (frames, panels, 4, 4), the first before the step and the last after it.
    `angles`: of every fold at the end. `stack`: what lies on what at the end. `made`: bonds made up to the end.
    `joined`: (panels, panels), whether two panels are in pieces that hang together at the end.
    """

    step: Step
    part: Part
    frames: Places
    angles: Mapping[str, float]
    stack: Stack
    made: tuple[int, ...]
    joined: NDArray[np.bool_]
    present: tuple[str, ...] = ()

    @property
    def before(self) -> Places:
        """Places before the step."""
        return self.frames[0]

    @property
    def after(self) -> Places:
        """Places after the step."""
        return self.frames[-1]

    @cached_property
    def folder(self) -> Folder:
        """The part's folder."""
        return folder(self.part)

    @cached_property
    def flat(self) -> bool:
        """Whether the part lies flat at the end: every fold open or folded right over."""
        return all(abs(angle) < 1e-9 or abs(abs(angle) - 180) < 1e-9 for angle in self.angles.values())


@dataclass(frozen=True)
class Replay:
    """All moments of a net, in the order of its steps."""

    net: Net
    moments: tuple[Moment, ...]

    def last(self, part: str) -> Moment | None:
        """The last moment of a part."""
        return next((m for m in reversed(self.moments) if m.part.name == part), None)

    def last_before(self, part: str, moment: Moment) -> Moment | None:
        """The last moment of a part before the given one."""
        earlier = self.moments[: moment.step.number - 1]
        return next((m for m in reversed(earlier) if m.part.name == part), None)


def replay(net: Net) -> Replay:
    """Play the steps of a net back."""
    state, moments = start(net), []
    for step in net.steps:
        moment, state = play(net, state, step)
        moments.append(moment)
    return Replay(net, tuple(moments))


@dataclass(frozen=True)
class State:
    """Where everything is between two steps. `shown`: parts in the order in which they came on the bench.

    `angles`, `roots` (places of the parts' roots) and `stacks` by part; `made`: bonds by their number.
    """

    angles: Mapping[str, Mapping[str, float]]
    roots: Mapping[str, Places]
    stacks: Mapping[str, Stack]
    made: tuple[int, ...] = ()
    shown: tuple[str, ...] = ()


def start(net: Net) -> State:
    """Every part flat, nothing glued."""
    return State(
        {part.name: {fold.name: 0.0 for fold in part.folds} for part in net.parts},
        {part.name: space.matrix(part.places[0]) for part in net.parts},
        {part.name: Stack({}) for part in net.parts},
    )


def play(net: Net, state: State, step: Step) -> tuple[Moment, State]:
    """One step as it happens, and where everything is after it."""
    part, name = net.part[step.part], step.part
    fold, before = folder(part), state.angles[step.part]
    frames, root = _frames(step, fold, before, state.roots[name])
    angles = {**before, **dict(step.folds)}
    made = (*state.made, *step.bonds)
    joined = _joined(net, part, made)
    stack = _pressed(net, grown(state.stacks[name], fold, frames, joined), fold, frames[-1], joined, step)
    shown = state.shown if name in state.shown else (*state.shown, name)
    after = State({**state.angles, name: angles}, {**state.roots, name: root}, {**state.stacks, name: stack}, made, shown)
    return Moment(step, part, frames, angles, stack, made, joined, shown), after


def _frames(step: Step, fold: Folder, before: Mapping[str, float], root: space.Matrix) -> tuple[Places, space.Matrix]:
    """Places along a step, and where the part's root is after it."""
    if not step.move:
        return fold.frames(angle_frames(step, before), root), root
    ways = [space.matrix(place) for place in step.move]
    still = fold.places(before)
    return np.array([way @ still for way in _between(ways)]), ways[-1]


def _joined(net: Net, part: Part, made: Sequence[int]) -> NDArray[np.bool_]:
    group = _groups(part, [net.bonds[b] for b in made])
    order = np.array([group[panel.name] for panel in part.panels])
    same: NDArray[np.bool_] = order[:, None] == order[None]
    return same


def _pressed(net: Net, stack: Stack, fold: Folder, places: Places, joined: NDArray[np.bool_], step: Step) -> Stack:
    """Pieces that are joined do not move on the model: there the faces that are glued tell what is on top."""
    if step.kind != "join":
        return stack
    sides: dict[tuple[int, int], int] = dict(stack.sides)
    told: dict[int, int] = {}
    touching = lying(fold, places)
    for number in step.bonds:
        (part, a), (other, b) = net.bonds[number].panels
        if part != fold.part.name or other != part:
            continue
        i, j = fold.index[a], fold.index[b]
        side = 1 if net.bonds[number].faces[1] == "marked" else -1
        told[i] = side * (1 if places[j, :3, 2] @ places[i, :3, 2] > 0 else -1)
        if (i, j) not in sides and (min(i, j), max(i, j)) in touching:
            sides.update(both(places, i, j, side))
    for i, j in touching:
        if (i, j) not in sides and joined[i, j] and (i in told or j in told):
            sides.update(_as_told(places, i, j, told))
    return Stack(sides)


def _as_told(places: Places, i: int, j: int, told: dict[int, int]) -> dict[tuple[int, int], int]:
    """A glue flap lies on all panels of the other piece on the same side as on the one that it is glued to."""
    if i not in told:
        i, j = j, i
    return both(places, i, j, told[i] * (1 if places[i, :3, 2] @ places[j, :3, 2] > 0 else -1))


def angle_frames(step: Step, before: Mapping[str, float]) -> list[dict[str, float]]:
    """Angles of every fold along a step, the first before it and the last at its end."""
    if not step.folds:
        return [dict(before)]
    goal = dict(step.folds)
    if step.path:
        return [dict(before), *({**before, **dict(frame)} for frame in step.path), {**before, **goal}]
    parts = [k / PARTS for k in range(PARTS + 1)]
    return [{**before, **{name: before[name] + (end - before[name]) * share for name, end in goal.items()}} for share in parts]


def _between(ways: list[space.Matrix]) -> list[space.Matrix]:
    """Even motion through the places, 24 parts in all, at least one between two."""
    if len(ways) == 1:
        return ways
    share = max(1, PARTS // (len(ways) - 1))
    steps = [space.blend(a, b, k / share) for a, b in pairwise(ways) for k in range(share)]
    return [*steps, ways[-1]]


def _groups(part: Part, bonds: Sequence[Bond]) -> dict[str, int]:
    """Panel name to a number, the same for panels that hang together by pieces and bonds made."""
    piece = part.piece_of
    number = {panel.name: (part.pieces.index(piece[panel.name]) if piece else 0) for panel in part.panels}
    for bond in bonds:
        (a_part, a), (b_part, b) = bond.panels
        if a_part == b_part == part.name and number[a] != number[b]:
            low, high = sorted((number[a], number[b]))
            number = {name: low if n == high else n for name, n in number.items()}
    return number


def final_places(net: Net) -> dict[str, Any]:
    """Places of the panels of every part in the closed box, (panels, 4, 4) by part, for its first copy."""
    return {part.name: folder(part).stood for part in net.parts}

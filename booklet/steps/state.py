"""Where a part is in the search, and what may be done with it next. Degrees."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from booklet.net import StepKind

TINY = 1e-6
"""Degrees: a fold this near to an angle is at it."""


@dataclass(frozen=True, slots=True)
class State:
    """Angles of all folds, the bonds that are made, and whether the item is in."""

    angles: tuple[float, ...]
    made: frozenset[int] = frozenset()
    filled: bool = False


@dataclass(frozen=True)
class Action:
    """What hands do next: folds turn to new angles, bonds are made at the end. `path`: where an even motion would tear card.

    `turns`: how many motions follow one another in it.
    """

    kind: StepKind
    targets: Mapping[str, float] = field(default_factory=dict)
    bonds: tuple[int, ...] = ()
    path: tuple[Mapping[str, float], ...] = ()
    turns: int = 1


Turns = tuple[Mapping[str, float], ...]
"""Folds to their angles: at once, or several of these one after another."""


@dataclass(frozen=True)
class Choice:
    """Something that may be done next.

    `some`: folds to their angles, the first choice first; a later one is tried where an earlier one cannot be done.
    Or `whole`: an action that turns nothing, with what comes of it.
    """

    kind: StepKind
    some: tuple[Turns, ...] = ()
    whole: tuple[Action, State] | None = None

    @property
    def stands(self) -> bool:
        """Whether it leaves something standing up."""
        return any(abs(angle) not in (0.0, 180.0) for turn in self.some[:1] for angle in turn[-1].values())

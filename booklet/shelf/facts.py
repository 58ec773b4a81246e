"""What a style is chosen by. All of it is worked out from the net of the thing that the style is shown with; nothing is written by hand.

The net is cut for a very large sheet, and the checks of the closed box that need no order of work are run on it: what fails them is not
shown. Millimetres.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from booklet import pieces, proof
from booklet.butts import needs_glue
from booklet.card import Card
from booklet.check import Check
from booklet.errors import BookletError, Refused
from booklet.fit import Fit
from booklet.grid import Grid
from booklet.net import Net, Part
from booklet.replay import Replay
from booklet.shelf.stacked import stack_of
from booklet.stack import Stack
from booklet.styles import Style, shelf
from booklet.thickness import Thickness, way_of

CALIPER = 0.3
"""mm: the card that boxes are shown in, where the style bears it (card of about 250 g/m2)."""

PLAY = (6.0, 8.0)
"""mm: clearance and headroom of the boxes that are shown, those that a spec has where it says nothing."""

STEP = 0.05
"""mm: so finely the thickest card is told (chosen by us)."""

LARGE = (2000.0, 2000.0)
"""mm: a sheet on which every style is cut into as few pieces as it can be."""


@dataclass(frozen=True)
class Shown:
    """A style with the net of the thing that it is shown with, proven to close."""

    name: str
    style: Style
    net: Net

    @property
    def glue(self) -> bool:
        """Whether anything is glued."""
        return needs_glue(self.net)

    @cached_property
    def pieces(self) -> int:
        """Pieces of one box, on a sheet that is large enough for all."""
        return sum(len(part.pieces) * len(part.places) for part in self.net.parts)

    @property
    def parts(self) -> int:
        """Parts of one box: those that come off each other."""
        return sum(len(part.places) for part in self.net.parts)

    @cached_property
    def card(self) -> tuple[float, float]:
        """The thinnest and the thickest card that this box can be made of, mm: what the style bears, less what its sizes refuse."""
        bears, good = self.style.BEARS, _caliper(self.style)
        return _farthest(self.style, good, bears.least), _farthest(self.style, good, bears.most)

    @property
    def suits(self) -> tuple[str, ...]:
        """What it is good for, as keys of the words [suits]."""
        return tuple(self.style.SUITS)


@dataclass(frozen=True, slots=True)
class Unshown:
    """A style that cannot be shown, and why: one sentence."""

    name: str
    why: str


def shown(name: str) -> Shown | Unshown:
    """A style by name with its facts. Whatever goes wrong in it is told, so that one style never hides the others."""
    try:
        style = shelf()[name]
        net, fit = _net(style)
        failed = [check for check in closes(net, fit) if not check.ok and check.level == "fault"]
    except BookletError as error:
        return Unshown(name, "; ".join(str(fault) for fault in error.faults))
    except Exception as error:  # a style is a module that anybody may write
        return Unshown(name, f"its net cannot be made ({type(error).__name__}: {' '.join(str(error).split())[:120]})")
    return Unshown(name, "; ".join(_told(check) for check in failed)) if failed else Shown(name, style, net)


def all_shown(names: Sequence[str] | None = None) -> Iterator[Shown | Unshown]:
    """Every style of the shelf, or those named, in its order."""
    return (shown(name) for name in (shelf() if names is None else names))


def _net(style: Style) -> tuple[Net, Fit]:
    """The net of a style around the thing it is shown with, every option as it is by default."""
    t = _caliper(style)
    return pieces.cut(style.net(_sizes(style, t)), Card(t, LARGE)), _fit(style)


def _caliper(style: Style) -> float:
    """The card that a style is shown in."""
    return min(max(CALIPER, style.BEARS.least), style.BEARS.most)


def _fit(style: Style) -> Fit:
    return Fit(style.SHOWN, style.SHOWN, *PLAY, Grid("mm"))


def _sizes(style: Style, t: float) -> Any:
    return style.sizes(_fit(style), Thickness(t, way_of(t, None, style.BEARS)), defaults(style))


def _farthest(style: Style, good: float, end: float) -> float:
    """The caliper nearest to `end` that the style takes, from one that it does take on, found by halving."""
    if _takes(style, end):
        return end
    low, high = 0, max(1, round(abs(end - good) / STEP))
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if _takes(style, good + (end - good) * middle * STEP / abs(end - good)) else (low, middle)
    return round(good + (STEP if end > good else -STEP) * low, 3)


def _takes(style: Style, t: float) -> bool:
    """Whether the sizes of the thing that is shown can be had in this card."""
    try:
        _sizes(style, t)
    except Refused:
        return False
    return True


def defaults(style: Style) -> Mapping[str, float | str | bool | None]:
    """Every option of a style at its default, in mm."""
    return {option.name: option.resolved("mm") for option in style.OPTIONS}


class _Still(proof.Solid):
    """A net folded shut whose stack is told without steps."""

    def stack(self, part: Part) -> Stack:
        """What lies on what in a part, as its bonds and folds tell it."""
        return stack_of(self.net, part, self.nominal[part.name])


def closes(net: Net, fit: Fit) -> list[Check]:
    """The checks of the closed box that need no steps."""
    simple = proof.outlines(net)
    return proof.shut(_Still(net, Replay(net, ())), fit, simple) if simple.ok else [simple]


def _told(check: Check) -> str:
    return f"{check.name}: {check.text} Found {check.figure:g} {check.unit}, limit {check.limit:g}"

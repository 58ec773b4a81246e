"""Boxes of any style by chance: what hypothesis draws them from, and how they are made."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from hypothesis import strategies as st

from booklet import steps
from booklet.errors import Refused
from booklet.net import Item, Net
from booklet.styles import shelf
from tests import boxes


@dataclass(frozen=True)
class Wanted:
    """A thing, its play, the card and the marked face; mm. `item`: a flat tin to a bottle, round or not."""

    item: Item
    t: float
    clearance: float
    headroom: float
    units: str
    outside: bool

    def made(self, style: str) -> Net | None:
        """The box with its steps; None where the style refuses it."""
        more: dict[str, Any] = {"clearance": self.clearance, "headroom": self.headroom, "units": self.units, "outside": self.outside}
        try:
            return steps.found(boxes.net(style, self.item, self.t, **more))
        except Refused as refused:
            # a refusal tells what to do; an order that was not found is a fault of the program
            assert "report this box" not in str(refused), refused
            return None


def _sized(side: float, ratio: float, tall: float, is_round: bool) -> Item:
    if is_round:
        return Item("round", side, side, _within(side * tall))
    return Item("block", side, _within(side * ratio), _within(side * math.sqrt(ratio) * tall))


def _within(size: float) -> float:
    return round(min(max(size, 10.0), 300.0), 1)


def _like(shown: Item, by: float, along: float, above: float, is_round: bool) -> Item:
    """A thing of about the proportions of another, larger or smaller."""
    length, width = _within(shown.length * by * along), _within(shown.width * by)
    side = length if is_round else width
    return Item("round" if is_round else "block", length, side, _within(shown.height * by * above))


def wanted(style: str) -> st.SearchStrategy[Wanted]:
    """Things of any ratio, and such as the style is shown with, in any card that it bears."""
    bears, shown = shelf()[style].BEARS, shelf()[style].SHOWN
    of_any = st.builds(
        _sized, st.floats(30, 200).map(lambda x: round(x, 1)), st.floats(0.4, 2.5), st.floats(0.1, 3.0) | st.floats(0.4, 1.5), st.booleans()
    )
    is_round = st.booleans() if shown.shape == "block" else st.just(True)
    usual = st.builds(_like, st.just(shown), st.floats(0.5, 2.0), st.floats(0.8, 1.25), st.floats(0.6, 1.6), is_round)
    items = usual | of_any
    calipers = st.sampled_from([t for t in (0.15, 0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.5, 2.0, 2.5, 3.0) if bears.least <= t <= bears.most])
    play = st.sampled_from([0.0, 1.0, 2.0, 4.0, 6.0, 10.0])
    return st.builds(Wanted, items, calipers, play, play, st.sampled_from(["mm", "mm", "in"]), st.booleans())

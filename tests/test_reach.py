"""A bond can be pressed where a finger gets in, or where the part lies flat."""

from __future__ import annotations

from dataclasses import replace

import pytest

from booklet import steps
from booklet.errors import Refused
from booklet.net import Item
from booklet.reach import pressed
from booklet.replay import Moment, replay
from booklet.styles import shelf
from tests import boxes


def made(style: str, words: str, **sizes: float) -> list[bool]:
    """Whether each bond of a step can be pressed, in a box of changed sizes."""
    base = boxes.sizes(style, Item("block", 60.0, 40.0, 40.0))
    net = steps.found(shelf()[style].net(replace(base, **sizes)))
    moment: Moment = next(m for m in replay(net).moments if m.step.words == words)
    return [pressed(moment, net.bonds[b]) for b in moment.step.bonds]


def test_a_finger_presses_a_corner_from_the_open_top() -> None:
    assert all(made("tray", "on-to-flaps"))


def test_a_finger_needs_25_mm_between_the_walls() -> None:
    assert all(made("tray", "on-to-flaps", width=26.0))
    with pytest.raises(Refused, match="no finger reaches corner-flap"):
        made("tray", "on-to-flaps", width=24.0)


def test_a_ring_is_pressed_flat_however_narrow_it_is() -> None:
    net = boxes.whole("tuck-carton", Item("block", 60.0, 14.0, 60.0), clearance=1.0)
    moment = next(m for m in replay(net).moments if m.step.words == "over-glue")
    assert moment.flat
    assert all(pressed(moment, net.bonds[b]) for b in moment.step.bonds)


def test_hems_are_pressed_while_the_card_lies_flat() -> None:
    net = boxes.whole("lidded-box", Item("block", 60.0, 30.0, 40.0))
    moment = next(m for m in replay(net).moments if m.step.words == "hem")
    assert moment.flat
    assert all(pressed(moment, net.bonds[b]) for b in moment.step.bonds)

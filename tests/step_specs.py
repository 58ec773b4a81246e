"""Plans of boxes of all styles and many shapes, for the tests of the pictures of their steps."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from functools import cache

from booklet.errors import BookletError
from booklet.lengths import Length
from booklet.plan import Plan
from booklet.planning import plan_of
from booklet.spec import Item
from booklet.styles import shelf
from tests.plans import plan


def reshaped(style: str, length: float, width: float, height: float, caliper: float = 0.3, **box: float) -> Plan:
    """A box of a style for a block, mm, of card that is large enough."""
    spec = plan(style, height=32.0).spec
    card = replace(spec.card, sheet=(500.0, 700.0), caliper=caliper)
    return plan_of(replace(spec, card=card, box={**spec.box, **box}, item=Item("block", Length(length), Length(width), Length(height))))


@cache
def some() -> tuple[Plan, ...]:
    """Three boxes of each style, the shapes by chance but always the same."""
    chance = random.Random(4)
    return tuple(made for style in shelf() for _, made in zip(range(3), _of(style, chance), strict=False))


def _of(style: str, chance: random.Random) -> Iterator[Plan]:
    while True:
        sides = [round(chance.uniform(low, high)) for low, high in ((60, 180), (40, 150), (20, 45) if "web" in style else (25, 150))]
        try:
            yield reshaped(style, *sides, caliper=chance.choice((0.25, 0.4, 0.9)))
        except BookletError:
            continue  # a shape that this style does not make

"""Plans of boxes of all styles and many shapes, for the tests of the pictures of their steps."""

from __future__ import annotations

import random
from dataclasses import replace

from booklet.errors import BookletError
from booklet.lengths import Length
from booklet.plan import Plan
from booklet.planning import plan_of
from booklet.spec import Item
from booklet.styles import shelf
from tests.plans import plan
from tests.shared import once


def reshaped(style: str, length: float, width: float, height: float, caliper: float = 0.3, **box: float) -> Plan:
    """A box of a style for a block, mm, of card that is large enough."""
    spec = plan("tray", height=32.0).spec
    card = replace(spec.card, sheet=(700.0, 1000.0), caliper=caliper)
    options = {option.name: option.resolved("mm") for option in shelf()[style].OPTIONS}
    item = Item("block", Length(length), Length(width), Length(height))
    return plan_of(replace(spec, style=style, card=card, box={**options, **box}, item=item))


STYLES = (
    "lidded-box", "tray", "tuck-carton", "web-tray", "crash-lock-carton", "snap-lock-carton",
    "post-box", "prism-box", "pillow-pack", "sleeve-drawer", "wallet", "hinged-lid-box",
)  # fmt: skip
"""Those whose steps differ most from each other."""


@once
def some(number: int) -> Plan:
    """A box of one of those styles, its shape by chance but always the same."""
    style, chance = STYLES[number], random.Random(number)
    while True:
        shown = shelf()[style].SHOWN
        sides = [round(side * chance.uniform(0.7, 1.4)) for side in (shown.length, shown.width, shown.height)]
        try:
            return reshaped(style, *sides, caliper=chance.choice((0.25, 0.4)))
        except BookletError:
            continue  # a shape that this style does not make

"""Every style of the shelf, for things and card by chance: all checks of the proof hold, and another program folds the same box.

That program (`replaying`, `closing`) has the exported net alone. Six boxes a style, two of a slow one; two hundred with BOOKLET_LONG=1.
"""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from booklet.export import net_document
from booklet.net import Net
from booklet.proof import prove
from booklet.styles import shelf
from tests import boxes
from tests.any_box import Wanted, wanted
from tests.mixes import LONG
from tests.outside import closing
from tests.outside.replaying import Playing

EACH = 200 if LONG else 6
SLOW = ("round-box", "pillow-pack", "post-box", "wallet", "gift-bag", "crash-lock-carton", "prism-carton")
"""Styles whose steps take a second or more to find: fewer boxes of each, unless BOOKLET_LONG=1."""

MOST_REFUSED = 0.8


def exported(net: Net) -> dict[str, Any]:
    """What another program gets: text, read back."""
    found: dict[str, Any] = json.loads(json.dumps(net_document(net)))
    return found


@pytest.mark.parametrize("style", list(shelf()))
def test_any_box_of_a_style_stands_every_check_and_folds_from_the_json_alone(style: str) -> None:
    refused = []

    # a failure tells its box; shrinking it would take minutes
    @settings(
        max_examples=2 if style in SLOW and not LONG else EACH,
        deadline=None,
        derandomize=True,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(wanted(style), st.none())
    def of_any(some: Wanted, _: None) -> None:
        made = some.made(style)
        refused.append(made is None)
        if made is not None:
            checks, _played = prove(made, boxes.fit(some.item, some.units, some.clearance, some.headroom))
            assert [(c.name, c.figure, c.limit) for c in checks if not c.ok and c.level == "fault"] == []
            data = exported(made)
            assert Playing(data).faults == []
            assert closing.faults(data) == []

    of_any()
    assert sum(refused) <= MOST_REFUSED * len(refused), "more than so many things get no box of this style"

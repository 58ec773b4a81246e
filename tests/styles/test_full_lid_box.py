"""A box with a full-depth lid: the lid is as deep as the tray, and the air has a way out of it."""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely

from booklet.errors import Refused
from booklet.net import Item, Net
from booklet.proof import prove
from tests import boxes

DISHES = Item("block", 150.0, 110.0, 40.0)


def play(made: Net) -> list[float]:
    checks, _ = prove(made, boxes.fit(made.item))
    return [boxes.named(checks, f"lid.slides.{axis}").figure for axis in ("length", "width")]


def rim_lost(made: Net, part: str, panel: str) -> float:
    """Area that a wall lacks of the rectangle round it, mm2."""
    shape = shapely.Polygon(made.part[part].panel[panel].outline)
    return float(shape.envelope.area - shape.area)


def test_the_lid_is_as_deep_as_the_tray() -> None:
    made = boxes.net("full-lid-box", DISHES)
    heights = {p.name: max(y for _, y in p.outline) - min(y for _, y in p.outline) for part in made.parts for p in part.panels}
    assert heights["skirt-1"] == heights["wall-1"]


def test_sizes_are_those_of_a_hand_calculation() -> None:
    # 0.3 mm card, 6 mm of play across, 8 mm above: 150 + 6 - 0.5 + 3 t = 156.4, 110 + 6 - 0.5 + 3 t = 116.4, 40 + 8 - 0.5 + 1.5 t = 47.95
    sizes = boxes.sizes("full-lid-box", DISHES)
    assert (sizes.tray.long, sizes.tray.short, sizes.tray.height) == (156.5, 116.5, 48.0)
    # the lid: 2 t of walls, 2 t more where its corner flaps lie on the long skirts, 1.2 mm of slip (design rule: 0.5 + 0.4 % is less)
    assert (sizes.lid.long, sizes.lid.short, sizes.lid.height) == (158.5, 119.0, 48.0)


def test_two_opposite_skirts_on_which_no_flap_lies_have_a_half_round_notch() -> None:
    made = boxes.net("full-lid-box", DISHES)
    lost = [rim_lost(made, "lid", f"skirt-{i}") for i in (1, 2, 3, 4)]
    assert lost == pytest.approx([0.0, math.pi * 50, 0.0, math.pi * 50], rel=0.005)
    assert not {bond.panels[1][1] for bond in made.bonds} & {"skirt-2", "skirt-4"}


@pytest.mark.parametrize("options, least", [({}, 1.2), ({"notch": 0.0}, 2.0)])
def test_a_lid_without_a_notch_has_two_mm_of_play_for_the_air(options: dict[str, Any], least: float) -> None:
    # a thumb notch or 2 mm of slip for the air: common practice, no source
    made = boxes.whole("full-lid-box", DISHES, **options)
    assert all(least - 1e-6 <= found < least + 0.5 for found in play(made))
    assert boxes.failed(made) == set()


def test_a_lid_too_small_for_a_notch_gets_the_play_instead_and_says_so() -> None:
    small = boxes.sizes("full-lid-box", Item("block", 60, 50, 4), clearance=0, headroom=1)
    assert small.notch == 0.0 and "notch" in {note.option for note in small.notes}
    assert small.lid.long - small.tray.long >= 2 * 0.3 + 2.0


def test_a_wall_too_low_for_its_flaps_is_refused_with_the_figure() -> None:
    with pytest.raises(Refused, match=r"2\.5 mm is too low for the corner flaps, which need 3\.\d mm"):
        boxes.sizes("full-lid-box", Item("block", 60, 50, 2), clearance=0, headroom=0)


def test_a_square_tray_and_its_lid_lie_the_same_way_round() -> None:
    made = boxes.whole("full-lid-box", Item("block", 80, 80, 30), t=0.8, outside=True)
    assert boxes.failed(made) == set()

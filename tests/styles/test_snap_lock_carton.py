"""The base that locks without glue: its tongue goes through its gap as a stiff panel, and lies inside on the back base panel."""

from __future__ import annotations

import math

import pytest
import shapely

from booklet.errors import Refused
from booklet.net import Item
from tests import boxes

SIDES = [(70.0, 55.0, 110.0), (30.0, 28.0, 90.0), (200.0, 60.0, 40.0), (60.0, 180.0, 60.0)]


def of(outline: tuple[tuple[float, float], ...]) -> shapely.Polygon:
    return shapely.Polygon(outline)


@pytest.mark.parametrize("sides", SIDES)
def test_a_tongue_held_at_right_angles_swings_up_past_the_back_base_panel(sides: tuple[float, float, float]) -> None:
    """Where its panel stands e under the floor a point s along the tongue is at height s cos e - F sin e and F cos e + s sin e in."""
    s = boxes.sizes("snap-lock-carton", Item("block", *sides))
    nearest = max(
        s.front * math.cos(e) + along * math.sin(e)
        for e in (math.radians(k / 4) for k in range(361))
        if (along := s.front * math.tan(e)) <= s.tongue
    )
    assert 0.25 < s.front + s.gap - nearest < 1.0


@pytest.mark.parametrize("sides", SIDES)
def test_the_tongue_ends_on_the_back_base_panel_and_short_of_the_wall(sides: tuple[float, float, float]) -> None:
    s = boxes.sizes("snap-lock-carton", Item("block", *sides))
    made = boxes.net("snap-lock-carton", Item("block", *sides)).part["box"]
    x0, y0, x1, _ = of(made.panel["tongue"].outline).bounds
    depth = -y0
    assert depth == pytest.approx(s.front + s.tongue)
    assert depth <= s.width - s.card.t
    assert s.tongue - s.gap >= (10.0 if s.width > 40.0 else 4.0)
    # between the legs of the back base panel
    legs = of(made.panel["back-base"].outline)
    assert legs.area < legs.envelope.area
    assert x1 - x0 < s.length / 2 + 0.01


@pytest.mark.parametrize("sides", SIDES)
def test_the_base_flaps_leave_the_tongues_way_free(sides: tuple[float, float, float]) -> None:
    s = boxes.sizes("snap-lock-carton", Item("block", *sides))
    made = boxes.net("snap-lock-carton", Item("block", *sides)).part["box"]
    for name in ("base-flap-1", "base-flap-2"):
        assert -min(y for _, y in made.panel[name].outline) <= (s.length - s.free) / 2 - 1.0 + 1e-9


def test_the_base_is_locked_in_the_order_back_base_flaps_front() -> None:
    made = boxes.whole("snap-lock-carton")
    order = [boxes.turning(made, name).number for name in ("wall-4/back-base", "wall-1/base-flap-1", "wall-2/front-base")]
    assert order == sorted(order)
    assert boxes.turning(made, "wall-1/base-flap-1") is boxes.turning(made, "wall-3/base-flap-2")
    assert boxes.turning(made, "wall-2/front-base").words == "tongue"


def test_a_narrow_carton_has_a_shorter_tongue_and_says_so() -> None:
    s = boxes.sizes("snap-lock-carton", Item("block", 60, 20, 90), clearance=1)
    assert s.tongue < 15.0
    assert [note.option for note in s.notes if note.option == "tongue"] == ["tongue"]


def test_card_over_0_6_mm_is_refused_since_four_layers_lie_on_the_floor() -> None:
    with pytest.raises(Refused, match=r"0\.8 mm is too thick for this style: it is creased, in card to 0\.6 mm"):
        boxes.sizes("snap-lock-carton", t=0.8)

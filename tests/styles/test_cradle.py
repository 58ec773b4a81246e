"""A cradle: its hole by hand, its legs, and the thing that stands in it."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from booklet import inserts, planning
from booklet.errors import Refused
from booklet.net import Item, Net
from booklet.replay import final_places
from booklet.styles.tables import circle
from tests import boxes

JAR = Item("round", 70.0, 70.0, 110.0)


def bad(made: Net, item: Item = JAR, units: str = "mm") -> set[str]:
    return {check.name for check in planning.proven(made, boxes.fit(item, units))[0] if not check.ok}


@pytest.fixture(scope="module")
def cradle() -> Net:
    return boxes.whole("cradle", JAR, t=0.4)


def test_sizes_are_those_of_a_hand_calculation() -> None:
    # 70 mm and 6 mm of play, less a mark; a rim of 12 mm and two layers of card beside it; two thirds of 110 mm
    s = boxes.sizes("cradle", JAR, t=0.4)
    assert s.hole == (75.5, 75.5)
    assert (s.length, s.width, s.wall) == (75.5 + 2 * 13.0, 75.5 + 2 * 13.0, 73.5)
    assert s.outside == pytest.approx((101.5 + 0.4, 101.5 + 0.4, 73.5 + 0.2))


def test_the_hole_is_round_and_wide_enough_all_round(cradle: Net) -> None:
    (hole,) = cradle.parts[0].panel["top"].holes
    middle = (101.5 / 2, 101.5 / 2)
    assert min(math.dist(middle, p) for p in hole) >= 75.5 / 2
    assert max(math.dist(middle, p) for p in hole) <= 75.5 / 2 + 0.05
    # the chords lie outside the circle: half-way along each there is still its radius
    ends = zip(hole, (*hole[1:], hole[0]), strict=True)
    assert all(math.dist(middle, ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)) >= 75.5 / 2 - 1e-6 for a, b in ends)


def test_four_legs_reach_the_floor_and_the_thing_stands_on_it(cradle: Net) -> None:
    assert bad(cradle) == set()
    low, high = inserts.extent(cradle.parts, final_places(cradle))
    assert (low[2], high[2]) == pytest.approx((0.0, 73.7))


def test_a_hole_that_is_too_small_for_the_thing_is_found(cradle: Net) -> None:
    top = cradle.parts[0].panel["top"]
    narrow = boxes.with_panel(cradle, "insert", replace(top, holes=(circle(36.0, (50.75, 50.75)),)))
    assert {"item.fits"} <= bad(narrow)


def test_a_block_gets_a_hole_with_corners() -> None:
    item = Item("block", 60.0, 40.0, 90.0)
    made = boxes.whole("cradle", item)
    assert len(made.parts[0].panel["top"].holes[0]) == 4
    assert bad(made, item) == set()


def test_a_thing_that_would_not_stand_out_of_it_is_refused_with_the_height() -> None:
    with pytest.raises(Refused, match=r"item\.height: the item would not stand out of a cradle 15 mm high"):
        boxes.sizes("cradle", Item("round", 70.0, 70.0, 18.0))


def test_its_height_can_be_chosen(cradle: Net) -> None:
    assert boxes.sizes("cradle", JAR, height=40.0).wall == 40.0
    with pytest.raises(Refused, match="106 mm high"):
        boxes.sizes("cradle", JAR, height=106.0)


@settings(max_examples=10, deadline=None)
@given(
    st.floats(20, 200), st.floats(21, 300), st.sampled_from([0.15, 0.3, 0.6, 1.0, 2.0]), st.sampled_from(["mm", "in"]), st.booleans(),
)  # fmt: skip
def test_any_cradle_stands_every_check(d: float, h: float, t: float, units: str, outside: bool) -> None:
    item = Item("round", d, d, h)
    made = boxes.whole("cradle", item, t=t, units=units, outside=outside)
    assert bad(made, item, units) == set()

"""Tapered tray: sizes by hand, flaps that stay out of the next wall, and what a small one cannot have."""

from __future__ import annotations

import math
from itertools import combinations
from typing import Any

import pytest
import shapely

from booklet.errors import Refused
from booklet.net import Item, Net
from booklet.styles import shelf
from booklet.styles.polygons import flaps_of
from tests import boxes

POT = Item("round", 70.0, 70.0, 40.0)


def net_of(item: Item = POT, **more: Any) -> Net:
    return shelf()["tapered-tray"].net(boxes.sizes("tapered-tray", item, **more))


def test_the_sizes_of_a_square_tray_follow_by_hand_calculation() -> None:
    body = boxes.sizes("tapered-tray", POT, clearance=4.0, headroom=5.0, sides=4, lean=10.0).body
    # 40 + 5, less a mark, and half the card: 44.65, so 45 upright; leaning 10 mm out that is 46.1 mm of wall
    assert (body.slant, body.rim - body.foot) == (46.5, 20.0)
    # the thing's 35, half of 4 less a mark, and 1.5 t of card across a wall that leans by asin(10 / 46.5) = 12.42 degrees
    assert body.lean == pytest.approx(12.42, abs=0.01)
    lean = math.radians(12.42)
    assert 2 * (36.75 + 0.45 / math.cos(lean) - 0.15 * math.tan(lean)) == pytest.approx(74.35, abs=0.01)
    assert body.foot == 74.5


@pytest.mark.parametrize("sides", [3, 4, 5, 6, 7, 8])
def test_upright_walls_turn_by_the_angle_between_the_sides(sides: int) -> None:
    part = net_of(Item("round", 90.0, 90.0, 40.0), sides=sides, lean=0.0).part["box"]
    turns = [fold.angle for fold in part.folds if fold.child.startswith("corner-flap")]
    assert turns == [pytest.approx(360 / sides)] * sides


@pytest.mark.parametrize("sides", [3, 5, 6, 8])
def test_in_the_flat_no_flap_touches_the_next_wall(sides: int) -> None:
    part = net_of(Item("round", 90.0, 90.0, 40.0), sides=sides, lean=20.0).part["box"]
    hung = {fold.child: fold.parent for fold in part.folds}
    shapes = {panel.name: shapely.Polygon(panel.outline).buffer(-0.01) for panel in part.panels}
    for one, other in combinations(shapes, 2):
        if other.startswith("corner") and hung[other] != one:
            corner = shapely.distance(shapes[one], shapes[other])
            assert corner > 0.0, (one, other)


@pytest.mark.parametrize("sides", [3, 4, 5, 6, 7, 8, 11, 12])
def test_every_corner_has_one_flap_and_of_walls_in_turn_each_comes_on_to_flaps_that_are_there(sides: int) -> None:
    pairs = flaps_of(sides)
    assert {frozenset(pair) for pair in pairs} == {frozenset((k, k % sides + 1)) for k in range(1, sides + 1)}
    # even: the walls that carry two come first; odd: by their numbers
    order = [*range(1, sides + 1, 2), *range(2, sides + 1, 2)] if sides % 2 == 0 else list(range(1, sides + 1))
    assert all(order.index(wall) < order.index(to) for wall, to in pairs)


def test_walls_lean_no_farther_than_the_flaps_between_them_bear() -> None:
    sizes = boxes.sizes("tapered-tray", POT, sides=6, lean=60.0)
    (note,) = (note for note in sizes.notes if note.option == "lean")
    assert note.asked == 60.0
    assert note.got < 60.0
    assert sizes.body.gap >= 160 / 6 - 1.0


def test_a_sharp_corner_gets_flaps_deep_enough_for_a_finger() -> None:
    sharp, square = (boxes.sizes("tapered-tray", POT, sides=n, lean=0.0).glued.depth for n in (3, 4))
    # 25 mm square to a wall are reached 25 / tan 60 = 14.4 mm from a corner of 60 degrees: the middle of the flap lies there
    assert sharp > 2 * 14.4
    assert square == 12.0


def test_a_small_three_sided_tray_is_refused_with_the_room_that_a_finger_needs() -> None:
    with pytest.raises(Refused, match="a finger needs 25 mm over the glue"):
        boxes.sizes("tapered-tray", Item("round", 16.0, 16.0, 30.0), clearance=1.0, sides=3, lean=0.0)


def test_the_polygon_turns_to_where_it_is_smallest() -> None:
    long, wide = Item("block", 120.0, 40.0, 30.0), Item("block", 40.0, 120.0, 30.0)
    one, other = (boxes.sizes("tapered-tray", item, sides=6).body for item in (long, wide))
    assert one.foot == other.foot
    assert one.turn != other.turn

"""Pyramid: the item stands under the slope, and goes in before the last wall."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from booklet import space
from booklet.errors import Refused
from booklet.folding import folder
from booklet.net import Item
from booklet.styles import shelf
from booklet.styles.polygons import Frustum
from tests import boxes

SOAP = Item("block", 60.0, 40.0, 25.0)


def built(**more: Any) -> Any:
    return boxes.sizes("pyramid", SOAP, **more)


@pytest.mark.parametrize("sides", [3, 4, 5, 6, 7, 8])
def test_all_walls_meet_in_one_point_over_the_middle(sides: int) -> None:
    part = shelf()["pyramid"].net(built(sides=sides)).part["box"]
    fold = folder(part)
    points = np.concatenate(
        [space.applied(fold.stood[fold.index[f"wall-{k}"]], fold.outlines[fold.index[f"wall-{k}"]]) for k in range(1, sides + 1)]
    )
    tops = points[points[:, 2] > points[:, 2].max() - 1.0]
    assert len(tops) >= sides
    assert np.ptp(tops, axis=0).max() < 1e-4
    assert np.abs(tops[:, :2]).max() < 1e-4


@pytest.mark.parametrize("sides", [3, 4, 6, 8])
def test_the_items_top_corners_stay_under_the_slope_with_their_play(sides: int) -> None:
    s = built(sides=sides, clearance=4.0, headroom=5.0)
    corners = [(x, y) for x in (-32.0 + 0.25, 32.0 - 0.25) for y in (-22.0 + 0.25, 22.0 - 0.25)]
    ways = [math.radians(-90.0 + s.body.turn + 360.0 * k / sides) for k in range(sides)]
    # a wall's inner face at the height of the item's top, by similar triangles
    share = 1 - (25.0 + s.card.inner) / s.body.rise
    inner = s.body.apothem * share - (s.card.inner + s.card.t) / math.cos(math.radians(s.body.lean))
    assert max(x * math.cos(a) + y * math.sin(a) for x, y in corners for a in ways) <= inner


def test_a_pyramid_of_a_given_height_is_that_high_or_little_more() -> None:
    assert 100.0 <= built(height=100.0).body.rise < 103.0


def test_a_pyramid_hardly_higher_than_its_item_is_refused_with_the_least_height() -> None:
    with pytest.raises(Refused, match="at least 41 mm high"):
        built(height=35.0)


def test_walls_slope_no_flatter_than_half_way_up() -> None:
    body = boxes.sizes("pyramid", Item("block", 200.0, 200.0, 5.0), headroom=1.0).body
    assert body.rise >= body.apothem


def test_the_item_goes_in_before_the_last_wall_is_glued() -> None:
    made = boxes.whole("pyramid", SOAP, sides=4)
    put = next(step.number for step in made.steps if step.kind == "put")
    last = max(step.number for step in made.steps if step.bonds)
    assert put < last


def test_the_square_pyramid_of_base_6_and_slant_5_is_4_high() -> None:
    body = Frustum(4, 6.0, 0.0, 5.0)
    assert [body.apothem, body.rise] == pytest.approx([3.0, 4.0])

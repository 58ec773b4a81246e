"""The gift bag: gussets that fold inward, a base of flaps, and holes that go through wall and hem."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from booklet import space
from booklet.errors import Refused
from booklet.folding import folder
from booklet.net import Item
from booklet.plane import bounds
from tests import boxes

GIFT = Item("block", 110.0, 70.0, 120.0)


def sizes(item: Item = GIFT, **more: Any) -> Any:
    return boxes.sizes("gift-bag", item, **more)


def test_sizes_are_as_worked_out_by_hand() -> None:
    s = sizes()
    # across: 6 - 0.5 play and 5 layers of 0.3; up: 8 - 0.5 play, half a layer and two, and 25 for the hem
    assert (s.body.length, s.body.width, s.body.height) == (117.0, 77.0, 153.5)
    assert (s.base, s.base_flap) == (46.0, 38.5)
    assert s.inside.height == pytest.approx(153.5 - 25.0 - 0.75)


def test_a_gusset_is_creased_in_the_middle_flat_in_the_open_bag_and_may_be_folded_right_over() -> None:
    part = boxes.net("gift-bag").part["box"]
    for a, b in (("gusset-2", "gusset-1"), ("gusset-3", "gusset-4")):
        crease = next(fold for fold in part.folds if {fold.parent, fold.child} == {a, b})
        assert (crease.angle, crease.over) == (0.0, -180.0)
        x0, _, x1, _ = bounds((*part.panel[a].outline, *part.panel[b].outline))
        assert crease.line[0][0] == pytest.approx((x0 + x1) / 2)


def test_the_base_panels_lie_over_each_other_by_the_lap_to_a_mark() -> None:
    s = sizes(lap=20.0)
    assert 20.0 <= 2 * s.base - s.body.width < 21.0
    narrow = sizes(Item("block", 110.0, 25.0, 120.0), lap=40.0)
    assert narrow.base <= narrow.body.width - narrow.card.t + 0.4


def test_a_hole_goes_through_the_wall_and_its_hem_at_one_place_over_the_thing() -> None:
    made = boxes.net("gift-bag", GIFT)
    part, top = made.part["box"], made.inside.height
    fold = folder(part)
    for wall, hem in (("back", "hem-1"), ("front", "hem-4")):
        rings = [
            sorted(tuple(space.applied(fold.stood[fold.index[name]], space.lifted(hole)).mean(0)) for hole in part.panel[name].holes)
            for name in (wall, hem)
        ]
        assert len(rings[0]) == 2
        assert np.array(rings[0]) == pytest.approx(np.array(rings[1]))
        assert min(z for *_, z in rings[0]) > top


def test_hem_and_holes_can_be_left_out() -> None:
    part = boxes.net("gift-bag", GIFT, hem=0.0, hole=0.0).part["box"]
    assert not any(panel.role == "hem" or panel.holes for panel in part.panels)
    assert boxes.net("gift-bag", GIFT, hem=0.0).part["box"].panel["front"].holes


def test_a_bag_too_narrow_for_a_hand_is_refused_with_the_figure() -> None:
    with pytest.raises(Refused, match="25 mm"):
        sizes(Item("block", 110.0, 12.0, 120.0))


def test_card_that_does_not_fold_double_is_refused() -> None:
    with pytest.raises(Refused, match=r"0\.5 mm"):
        sizes(t=0.6)

"""A tray without glue: its sizes by hand, feet over their slots, the flaps that the rims lock, and what is refused."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import shapely

from booklet import space
from booklet.errors import Refused
from booklet.folding import folder
from booklet.net import Item, Net
from booklet.replay import final_places
from booklet.styles import double_walls
from booklet.thickness import Thickness
from tests import boxes

SET = Item("block", 120.0, 90.0, 30.0)


@pytest.fixture(scope="module")
def made() -> Net:
    return boxes.net("roll-wall-tray", SET)


def test_sizes_are_those_of_a_hand_calculation() -> None:
    s = boxes.sizes("roll-wall-tray", SET)
    # 120 and 6 mm of play less a mark, with a wall and a flap of 0.3 mm; across two rims of 10 mm and the inner walls
    assert (s.roll.long, s.roll.across, s.roll.height) == (126.5, 116.0, 38.0)
    assert (s.inside.length, s.inside.width, s.inside.height) == pytest.approx((126.5 - 0.9, 116.0 - 20.3, 38.0 - 0.45))
    # the inner wall reaches from the rim to the base's face; a foot is 3 mm and the caliper longer
    assert (s.roll.inner, s.roll.foot) == pytest.approx((37.85, 3.3))


def test_nothing_is_glued(made: Net) -> None:
    assert made.bonds == ()


def test_every_foot_stands_in_a_slot_of_the_base(made: Net) -> None:
    part, places = made.parts[0], final_places(made)["box"]
    fold = folder(part)
    slots = [shapely.Polygon(hole) for hole in part.panel["base"].holes]
    under = []
    for name in ("inner-wall-1", "inner-wall-2"):
        seen = space.relative(places[fold.index[name]], places[fold.index["base"]])
        points = space.applied(seen, fold.outlines[fold.index[name]])
        under += [p for p in points if p[2] < 0.0]
    assert len(slots) == 4 and len(under) == 2 * 4
    # half a caliper round the mid-surface of each tip
    assert all(any(slot.contains(shapely.Point(p[:2]).buffer(0.15)) for slot in slots) for p in under)


def test_a_slot_is_as_wide_as_the_foot_moves_on_its_way_down() -> None:
    r = boxes.sizes("roll-wall-tray", SET).roll
    # w (1 - cos a) with sin a = f / w, f with half a millimetre of play
    swing = 10.0 * (1 - math.cos(math.asin(3.8 / 10.0)))
    assert r.slot[1] - r.slot[0] >= 0.3 + swing + 0.4
    assert r.slot[0] <= 10.0 - swing - 0.15 and r.slot[1] >= 10.15


def test_without_slots_the_feet_run_into_the_base(made: Net) -> None:
    base = made.parts[0].panel["base"]
    whole = boxes.with_panel(made, "box", replace(base, holes=()))
    with pytest.raises(Refused, match=r"inner-wall-. and base|base and inner-wall-."):
        boxes.steps.found(whole)


def test_end_walls_stand_before_the_walls_are_rolled_over() -> None:
    steps = boxes.steps.found(boxes.net("roll-wall-tray", SET)).steps
    number = {fold: step.number for step in steps for fold, angle in step.folds if angle}
    rolled = min(number["side-wall-1/rim-1"], number["side-wall-2/rim-2"])
    assert max(n for name, n in number.items() if "end-wall" in name) < rolled


def test_a_lock_flap_cannot_rise_under_the_rim() -> None:
    made = boxes.net("roll-wall-tray", SET)
    part, fold = made.parts[0], folder(made.parts[0])
    tilted = fold.places(
        {f.name: f.angle - (8.0 if f.name == "base/end-wall-1" else 0.0) for f in part.folds}, space.matrix(part.places[0])
    )
    tops = [space.applied(tilted[fold.index[n]], fold.outlines[fold.index[n]])[:, 2].max() for n in ("lock-flap-1", "lock-flap-2")]
    rim = fold.stood[fold.index["rim-1"]][2, 3]
    # the end wall lets the flap rise by 25 mm x sin 8 degrees less what it leans; the rim's underside is there before
    assert min(tops) > rim


def test_high_walls_are_rolled_on_the_shorter_sides() -> None:
    assert not boxes.sizes("roll-wall-tray", Item("block", 120.0, 60.0, 50.0)).turned
    assert boxes.sizes("roll-wall-tray", Item("block", 120.0, 60.0, 80.0)).turned


@pytest.mark.parametrize(
    "item, more, said",
    [
        (Item("block", 120.0, 60.0, 200.0), {}, "walls 208.0 mm high do not swing in"),
        (Item("block", 15.0, 15.0, 15.0), {}, "two feet need 20 mm"),
        (Item("block", 120.0, 90.0, 5.0), {"headroom": 0.0}, "walls under 8.3 mm do not roll over"),
        (SET, {"t": 2.0, "rim": 8.0}, "a rim of 8 mm does not lift feet of 5 mm clear of the base; make it 11.0 mm"),
    ],
)
def test_what_cannot_be_rolled_is_refused_with_its_figure(item: Item, more: dict[str, float], said: str) -> None:
    with pytest.raises(Refused, match=said):
        boxes.sizes("roll-wall-tray", item, **more)


def test_a_rim_lifts_its_feet_by_less_than_30_degrees() -> None:
    for t in (0.15, 0.3, 0.6, 1.0, 2.0):
        card = Thickness(t, "crease" if t <= 0.6 else "half-cut")
        rim = double_walls.rim_width(boxes.fit().grid, card, {})
        assert (double_walls.foot_length(card) + 0.5) / rim <= 0.5

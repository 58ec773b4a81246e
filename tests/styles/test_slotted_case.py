"""The slotted case follows the trade's rule: flaps B/2 + t/2, panels L + t and B + t, height + 2 t (common practice, no source)."""

from __future__ import annotations

import pytest
import shapely

from booklet.errors import Refused
from booklet.net import Item, Net
from tests import boxes

CASE = Item("block", 180, 120, 110)


def spans(made: Net) -> dict[str, tuple[float, float]]:
    """Width and height of each panel in the flat, mm."""
    found = {}
    for panel in made.parts[0].panels:
        x0, y0, x1, y1 = shapely.Polygon(panel.outline).bounds
        found[panel.name] = x1 - x0, y1 - y0
    return found


@pytest.mark.parametrize("t", [0.3, 1.5, 3.0])
def test_panels_and_flaps_of_a_slotted_case_follow_the_trades_rule(t: float) -> None:
    made, inside = boxes.net("slotted-case", CASE, t, clearance=0, headroom=0), boxes.sizes("slotted-case", CASE, t, clearance=0).inside
    size = spans(made)
    # glue flaps lie on both short panels where the ring is cut, so the long ones have two calipers for them besides the rule's L + t
    assert size["wall-2"][0] == size["wall-4"][0] == pytest.approx(inside.length + 3 * t)
    assert size["wall-1"][0] == size["wall-3"][0] == pytest.approx(inside.width + t)
    for n in range(1, 5):
        depths = size[f"outer-flap-{n}"][1], size[f"inner-flap-{n}"][1]
        assert depths == pytest.approx((inside.width / 2 + t / 2,) * 2)


@pytest.mark.parametrize("t", [0.3, 1.5, 3.0])
def test_the_rules_height_is_the_middle_between_long_and_short_panels(t: float) -> None:
    """Outer flaps lie a caliper over the inner ones, so their scores are as much further apart as the inner ones' are nearer."""
    made = boxes.net("slotted-case", CASE, t)
    size = spans(made)
    assert size["wall-2"][1] - size["wall-1"][1] == pytest.approx(2 * t)
    assert (size["wall-1"][1] + size["wall-2"][1]) / 2 == pytest.approx(made.inside.height + 2 * t)


def test_outer_flaps_meet_in_the_middle_and_inner_ones_of_a_long_case_do_not() -> None:
    made = boxes.net("slotted-case", Item("block", 90, 250, 60), 1.5)
    size = spans(made)
    assert 2 * size["outer-flap-1"][1] == pytest.approx(size["wall-1"][0])
    assert 2 * size["inner-flap-1"][1] < size["wall-2"][0] - 100


def test_board_of_3_mm_is_creased_and_the_case_closes() -> None:
    made = boxes.whole("slotted-case", CASE, t=3.0, outside=True)
    assert {fold.way for fold in made.parts[0].folds} == {"crease"}
    assert boxes.failed(made) == set()


def test_the_bottom_is_glued_before_the_item_is_put_in_and_the_top_after_it() -> None:
    made = boxes.whole("slotted-case", CASE, t=1.5)
    put = next(step.number for step in made.steps if step.kind == "put")
    glued = {panel: step.number for step in made.steps for b in step.bonds for panel in (made.bonds[b].panels[1][1],)}
    assert glued["outer-flap-3"] == glued["outer-flap-4"] < put < glued["outer-flap-1"] == glued["outer-flap-2"]


def test_a_case_too_low_for_a_finger_is_refused_with_the_figure() -> None:
    with pytest.raises(Refused, match=r"the flaps would lie 15\.\d mm apart, and a finger needs 25 mm"):
        boxes.sizes("slotted-case", Item("block", 200, 200, 15), headroom=0.5)

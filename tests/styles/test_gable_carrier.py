"""A carrier's roof meets on the middle, and its handle takes a hand."""

from __future__ import annotations

import math

import pytest

from booklet import space
from booklet.errors import Refused
from booklet.folding import folder
from booklet.net import Item
from tests import boxes


@pytest.mark.parametrize("t", [0.2, 0.5])
def test_the_halves_of_the_handle_stand_face_to_face_over_the_middle(t: float) -> None:
    part = boxes.net("gable-carrier", Item("block", 120, 80, 70), t).parts[0]
    made = folder(part)
    ys = [space.applied(made.stood[made.index[f"handle-{n}"]], made.outlines[made.index[f"handle-{n}"]])[:, 1] for n in (1, 2)]
    assert all(max(side) - min(side) < 1e-6 for side in ys)
    assert ys[1].mean() - ys[0].mean() == pytest.approx(t, abs=1e-6)


def test_the_roof_is_as_steep_as_its_slant_and_half_the_width_say() -> None:
    sizes = boxes.sizes("gable-carrier", Item("block", 120, 80, 70))
    assert sizes.roof * math.sin(math.radians(sizes.slope)) == pytest.approx((sizes.width - 0.3) / 2)
    assert 45 < sizes.slope <= 50


def test_the_hole_takes_four_fingers() -> None:
    part = boxes.net("gable-carrier", Item("block", 120, 80, 70)).parts[0]
    for n in (1, 2):
        (hole,) = part.panel[f"handle-{n}"].holes
        xs, ys = zip(*hole, strict=True)
        # a hand of four fingers is about 75 mm wide (common practice, no source)
        assert max(xs) - min(xs) >= 75 - 1e-6
        assert max(ys) - min(ys) >= 20


def test_a_carrier_too_short_for_a_hand_is_refused_with_the_figure() -> None:
    with pytest.raises(Refused, match="a hand needs 87 mm"):
        boxes.sizes("gable-carrier", Item("block", 60, 50, 50))


def test_the_roof_closes_over_the_item_last() -> None:
    made = boxes.whole("gable-carrier")
    assert boxes.failed(made) == set()
    assert made.steps[-1].kind == "close"
    assert {made.parts[0].fold[name].child for name, _ in made.steps[-1].folds} == {"roof-1", "roof-2"}

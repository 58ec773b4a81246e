"""A roll-end tuck-front box: its lid over the rims, ears and tuck inside, and what is refused."""

from __future__ import annotations

import math

import pytest

from booklet import space
from booklet.errors import Refused
from booklet.folding import folder
from booklet.net import Item, Net
from booklet.replay import final_places
from tests import boxes

VASE = Item("block", 200.0, 140.0, 50.0)


@pytest.fixture(scope="module")
def made() -> Net:
    return boxes.net("post-box", VASE)


def corners(made: Net, name: str) -> list[tuple[float, float, float]]:
    """Where the corners of a panel's mid-surface are in the closed box."""
    fold = folder(made.parts[0])
    at = final_places(made)["box"][fold.index[name]]
    return [tuple(p) for p in space.applied(at, fold.outlines[fold.index[name]])]  # type: ignore[misc]


def test_sizes_are_those_of_a_hand_calculation() -> None:
    s = boxes.sizes("post-box", VASE)
    # 140 and 6 mm of play less a mark, with front, back and two layers of 0.3 mm; upward 50 and 8 less a mark over half a caliper
    assert (s.roll.long, s.roll.height) == (146.5, 58.0)
    # a rim of 10 mm, the inner wall's half caliper, 0.55 mm of play and half the ear: on both sides, with the ear's inner half
    assert s.lid.inset == pytest.approx(10.0 + 0.15 + 0.55 + 0.15)
    assert s.roll.across - s.inside.length == pytest.approx(2 * (10.85 + 0.15))
    # common practice, no source: a closing panel is fold to fold less a caliper
    assert s.lid.depth == pytest.approx(146.5 - 0.3)


def test_nothing_is_glued(made: Net) -> None:
    assert made.bonds == ()


def test_the_lid_lies_on_the_rims(made: Net) -> None:
    rim, lid = (max(z for *_, z in corners(made, name)) for name in ("rim-1", "lid"))
    assert lid - rim == pytest.approx(0.3)
    x = [p[0] for p in corners(made, "lid")]
    sides = [p[0] for name in ("side-wall-1", "side-wall-2") for p in corners(made, name)]
    assert (min(x), max(x)) == pytest.approx((min(sides), max(sides)))


def test_ears_hang_between_the_inner_walls_with_the_play_of_a_tuck(made: Net) -> None:
    ears = sorted({round(p[0], 6) for n in (1, 2) for p in corners(made, f"ear-{n}")})
    inner = sorted({round(p[0], 6) for n in (1, 2) for p in corners(made, f"inner-wall-{n}")})
    assert len(ears) == len(inner) == 2
    assert ears[0] - inner[0] == inner[1] - ears[1] == pytest.approx(0.3 + 0.55)
    tuck = [p[0] for p in corners(made, "tuck")]
    assert ears[0] + 0.3 < min(tuck) and max(tuck) < ears[1] - 0.3


def test_an_ear_passes_the_front_wall_with_a_millimetre_of_play_while_the_lid_turns() -> None:
    for item, ear in ((VASE, 20.0), (Item("block", 60.0, 30.0, 30.0), 20.0), (Item("block", 200.0, 114.0, 80.0), 60.0)):
        made = boxes.net("post-box", item, ear=ear)
        y, z = corners(made, "wall-2")[2][1:]
        front = min(p[1] for p in corners(made, "wall-1"))
        far = max(math.hypot(p[1] - y, p[2] - z) for n in (1, 2) for p in corners(made, f"ear-{n}"))
        assert far < abs(front - y) - 0.15 - 0.9


def test_the_tuck_slides_in_behind_the_front_wall_last() -> None:
    steps = boxes.steps.found(boxes.net("post-box", VASE)).steps
    last = dict(steps[-1].folds)
    assert steps[-1].kind == "close" and last == {"wall-2/lid": 90.0, "lid/tuck": 90.0} and steps[-1].path
    put = next(step for step in steps if step.kind == "put")
    rolled = [step.number for step in steps if any("rim" in name and angle for name, angle in step.folds)]
    assert max(rolled) < put.number


def test_the_front_is_as_wide_as_the_longer_side() -> None:
    along, across = boxes.sizes("post-box", VASE), boxes.sizes("post-box", Item("block", 140.0, 200.0, 50.0))
    assert along.roll == across.roll and (along.turned, across.turned) == (False, True)
    assert (along.inside.length, along.inside.width) == (across.inside.width, across.inside.length)


def test_a_low_box_gets_a_shorter_tuck_and_is_told_so() -> None:
    s = boxes.sizes("post-box", Item("block", 100.0, 80.0, 10.0))
    assert s.lid.tuck == s.lid.ear < 19.0
    assert {note.option for note in s.notes} == {"tuck", "ear"}


def test_a_box_higher_than_it_is_wide_is_refused_with_the_limit() -> None:
    with pytest.raises(Refused, match=r"do not swing in between rolled walls .* where they can be"):
        boxes.sizes("post-box", Item("block", 60.0, 60.0, 250.0))

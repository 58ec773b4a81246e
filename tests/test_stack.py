"""What lies on what is told by the side from which it came; each panel then has its place in the pile."""

from __future__ import annotations

import numpy as np
import pytest

from booklet.folding import folder
from booklet.replay import Moment, replay
from booklet.stack import Stack, both, levels
from booklet.styles.shapes import rectangle
from tests import boxes
from tests.test_folding import two


def moment(words: str, style: str = "lidded-box", **more: object) -> Moment:
    return next(m for m in replay(boxes.whole(style, **more)).moments if m.step.words == words)  # type: ignore[arg-type]


def side(m: Moment, first: str, second: str) -> int:
    return m.stack.on(m.folder.index[first], m.folder.index[second])


def test_a_hem_lies_on_the_marked_side_of_its_wall() -> None:
    assert side(moment("hem"), "hem-1", "wall-1") == 1
    assert side(moment("hem"), "wall-1", "hem-1") == 1


def test_marked_outside_the_same_hem_lies_on_the_back() -> None:
    assert side(moment("hem", outside=True), "hem-1", "wall-1") == -1


def test_a_glue_flap_lies_over_the_hem_that_lies_on_the_wall() -> None:
    ring = moment("over-glue")
    assert side(ring, "glue-flap-1", "hem-1") == -1
    assert side(ring, "glue-flap-1", "wall-1") == 1
    assert side(ring, "hem-1", "wall-1") == 1


def test_panels_that_no_longer_lie_on_each_other_leave_the_stack() -> None:
    assert side(moment("over-glue"), "wall-1", "wall-2") != 0
    assert side(moment("square"), "wall-1", "wall-2") == 0


def test_glue_flaps_of_a_cut_lie_on_the_wall_before_anything_has_moved() -> None:
    join = moment("join", sheet=(304.8, 304.8))
    assert side(join, "glue-flap-2", "wall-3") == 1


def test_each_layer_lies_one_caliper_further_in() -> None:
    made = boxes.whole("lidded-box")
    last = replay(made).last("lid")
    assert last is not None
    shifts = levels(last.stack, last.folder, last.after)
    index = last.folder.index
    assert np.linalg.norm(shifts[index["skirt-1"]]) == pytest.approx(0)
    assert np.linalg.norm(shifts[index["corner-flap-1"]]) == pytest.approx(0.3)
    assert np.linalg.norm(shifts[index["lid-hem-1"]]) == pytest.approx(0.6)
    assert np.linalg.norm(shifts[index["lid-hem-2"]]) == pytest.approx(0.3)


def test_stepped_panels_stay_where_their_folds_put_them() -> None:
    last = replay(boxes.whole("lidded-box", t=0.5)).last("box")
    assert last is not None
    shifts = levels(last.stack, last.folder, last.after)
    for name in ("base-1", "base-flap-1", "base-flap-2", "base-2"):
        assert np.abs(shifts[last.folder.index[name]]).max() < 1e-9


def test_both_orders_of_a_pair_agree() -> None:
    fold = folder(two(180))
    flat = fold.places({})
    over = fold.places({"a/b": 180.0})
    assert both(flat, 0, 1, 1) == {(0, 1): 1, (1, 0): -1}
    assert both(over, 0, 1, 1) == {(0, 1): 1, (1, 0): 1}
    assert Stack(both(over, 0, 1, 1)).neighbours(0) == {1}


def test_rectangles_run_anticlockwise() -> None:
    from booklet.plane import area

    assert area(rectangle(0, 0, 2, 3)) == 6

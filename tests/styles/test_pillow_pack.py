"""A pillow's faces lie on cylinders, its curved folds in slanting planes, and its ends come down on the other face."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from booklet import cuts, space
from booklet.folding import folder
from booklet.net import Item, Net
from booklet.styles import curved
from tests import boxes


@pytest.fixture(scope="module")
def pillow() -> Net:
    return boxes.whole("pillow-pack")


def corners(net: Net, panel: str) -> np.ndarray:
    made = folder(net.parts[0])
    return space.applied(made.stood[made.index[panel]], made.outlines[made.index[panel]])


@pytest.mark.parametrize("facet", [3.0, 8.5, 20.0])
def test_the_edges_of_a_faces_facets_lie_on_one_circle(facet: float) -> None:
    # a chord of a circle subtends twice the angle between tangent and chord (Euclid III.32): radius = chord / (2 sin(step / 2))
    radius = facet / (2 * math.sin(math.radians(curved.STEP / 2)))
    middle = curved.bulge(facet) - radius * math.cos(math.radians(curved.STEP / 2))
    for y, z in zip(curved.across(facet), curved.heights(facet), strict=True):
        assert math.hypot(y, z - middle) == pytest.approx(radius, abs=1e-6)


def test_a_curved_fold_lies_in_a_plane_at_45_degrees_and_its_end_stands_upright(pillow: Net) -> None:
    ends = [corners(pillow, f"end-flap-1.{k}") for k in range(1, curved.FACETS + 1)]
    points = np.concatenate(ends)
    upper = points[points[:, 2] > pillow.inside.height / 2 + 1e-6]
    # mirrored in that plane, what ran along x runs straight down (a fold along a plane curve mirrors a developable surface; from memory)
    sums = upper[:, 0] + upper[:, 2]
    assert np.ptp(sums) < 1e-5
    for one in ends:
        edges = np.roll(one, -1, axis=0) - one
        assert any(abs(edge[0]) < 1e-6 and abs(edge[1]) < 1e-6 for edge in edges)


def test_both_sides_of_a_curved_fold_are_as_long(pillow: Net) -> None:
    part = pillow.parts[0]
    folds = [fold for fold in part.folds if fold.child.startswith("end-flap-1")]
    of_face = sum(math.dist(*fold.line) for fold in folds)
    points = [corners(pillow, fold.child) for fold in folds]
    on_face = [corners(pillow, fold.parent) for fold in folds]
    seam = sum(_shared(a, b) for a, b in zip(points, on_face, strict=True))
    assert seam == pytest.approx(of_face, abs=0.05)


def _shared(one: np.ndarray, two: np.ndarray) -> float:
    """Length of the edge that two facets share in space."""
    common = [p for p in one if np.linalg.norm(two - p, axis=1).min() < 0.01]
    return float(np.linalg.norm(common[0] - common[-1]))


def test_an_end_reaches_down_to_the_back(pillow: Net) -> None:
    lowest = min(corners(pillow, f"end-flap-2.{k}")[:, 2].min() for k in range(1, curved.FACETS + 1))
    back = min(corners(pillow, f"back.{k}")[:, 2].min() for k in range(1, curved.FACETS + 1))
    assert 0 <= lowest - back <= 2 * pillow.caliper


def test_faces_and_ends_bend_together_along_a_path_that_stays_whole(pillow: Net) -> None:
    step = next(step for step in pillow.steps if step.words == "roll-ends")
    assert len(step.folds) > 30
    frames = [dict(frame) for frame in (*step.path, step.folds)]
    assert max(abs(b[n] - a[n]) for a, b in pairwise(frames) for n in a) <= 2.0 + 1e-6


def test_the_item_goes_in_before_the_front_closes(pillow: Net) -> None:
    assert [step.kind for step in pillow.steps[-2:]] == ["put", "close"]


def test_facets_are_neither_scored_nor_named_one_by_one(pillow: Net) -> None:
    scores = [cut for cut in cuts.order(pillow) if cut.kind == "score"]
    assert len(scores) == 4  # two curves, the hinge of the front, the tuck
    assert sum(cut.freehand for cut in scores) == 2


def test_nothing_is_glued(pillow: Net) -> None:
    assert pillow.bonds == ()


@pytest.mark.parametrize("item", [Item("block", 60, 60, 60), Item("block", 200, 80, 10), Item("round", 40, 40, 30)])
def test_any_thing_lies_in_its_pillow(item: Item) -> None:
    assert boxes.failed(boxes.whole("pillow-pack", item)) == set()

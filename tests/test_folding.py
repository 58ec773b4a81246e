"""Folding: a valley lifts, a pivot moves the axis, the tree is checked, a mark outside changes nothing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from booklet import space
from booklet.folding import child_side, folder
from booklet.marked import marked_outside
from booklet.net import Fold, Panel, Part
from booklet.replay import final_places
from booklet.styles.shapes import rectangle
from tests import boxes

FLAT = space.rows(space.identity())


def two(angle: float, pivot: float = 0.0, line: tuple = ((10.0, 0.0), (10.0, 20.0))) -> Part:
    panels = (Panel("a", "base", rectangle(0, 0, 10, 20)), Panel("b", "wall", rectangle(10, 0, 40, 20)))
    return Part("p", "box", 0.3, "a", (FLAT,), panels, (Fold("a/b", "a", "b", line, angle, pivot),))


def corner(part: Part, angle: float) -> np.ndarray:
    """The far corner of panel b when its fold stands at an angle."""
    fold = folder(part)
    return space.applied(fold.places({"a/b": angle})[1], np.array([[40.0, 0.0, 0.0]]))[0]


def test_a_valley_lifts_the_child_towards_the_reader() -> None:
    assert corner(two(90), 90) == pytest.approx([10, 0, 30])


def test_a_mountain_lowers_it() -> None:
    assert corner(two(-90), -90) == pytest.approx([10, 0, -30])


def test_a_hem_lies_back_on_its_parent() -> None:
    assert corner(two(180), 180) == pytest.approx([-20, 0, 0])


def test_the_direction_in_which_a_fold_line_is_written_does_not_matter() -> None:
    turned = two(90, line=((10.0, 20.0), (10.0, 0.0)))
    assert corner(turned, 90) == pytest.approx(corner(two(90), 90))
    assert child_side(turned, turned.folds[0]) == -child_side(two(90), two(90).folds[0])


def test_a_pivot_sets_the_folded_panel_outward_by_its_height() -> None:
    assert corner(two(90, pivot=0.5), 90) == pytest.approx([10.5, 0, 30.5])


def test_a_half_cut_box_has_the_inside_of_its_rule() -> None:
    """Two walls on half-cut folds f apart stand f + 2 t/3 apart mid to mid: inside f - t/3, outside f + 5 t/3."""
    t, made = 1.5, boxes.net("tray", t=1.5)
    places = final_places(made)["box"]
    part = made.part["box"]
    index = folder(part).index
    across = abs(places[index["wall-2"]][0, 3] + (places[index["wall-2"]] @ [*np.mean(part.panel["wall-2"].outline, 0), 0, 0])[0])
    sizes = boxes.sizes("tray", t=t)
    assert 2 * across - t == pytest.approx(sizes.length - t / 3)
    assert 2 * across + t == pytest.approx(sizes.length + 5 * t / 3)


def test_folds_that_make_no_tree_are_refused() -> None:
    loose = replace(two(90), root="b")
    with pytest.raises(ValueError, match="does not hang on the root"):
        folder(loose)


def test_a_panel_that_hangs_on_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="hang on nothing"):
        folder(replace(two(90), folds=()))


@pytest.mark.parametrize("style", boxes.STYLES)
@pytest.mark.parametrize("t", [0.3, 0.9])
def test_marking_on_the_outside_folds_to_the_same_box(style: str, t: float) -> None:
    inside = boxes.net(style, t=t, sheet=(304.8, 304.8))
    outside = marked_outside(inside)
    for part in inside.parts:
        one, two_ = final_places(inside)[part.name], final_places(outside)[part.name]
        for i, panel in enumerate(part.panels):
            a = space.applied(one[i], space.lifted(panel.outline))
            b = space.applied(two_[i], space.lifted(outside.part[part.name].panels[i].outline))
            assert sorted(map(tuple, a.round(6) + 0.0)) == sorted(map(tuple, b.round(6) + 0.0))


def test_valleys_become_mountains_and_faces_change_when_the_outside_is_marked() -> None:
    inside = boxes.net("tray")
    outside = marked_outside(inside)
    assert [f.angle for f in outside.part["box"].folds] == [-f.angle for f in inside.part["box"].folds]
    assert outside.bonds[0].faces == ("marked", "back")
    assert inside.bonds[0].faces == ("back", "marked")


@settings(max_examples=50, deadline=None)
@given(st.floats(-180, 180), st.floats(0, 1), st.floats(0, 180), st.floats(-1, 1), st.floats(-1, 1), st.floats(0.1, 1))
def test_a_blend_of_two_places_starts_and_ends_at_them_and_stays_rigid(
    a: float, share: float, b: float, x: float, y: float, z: float
) -> None:
    first = space.moved(1, 2, 3) @ space.turned((x, y, z), a)
    second = space.moved(-4, 0, 9) @ space.turned((z, x, y), b)
    assert np.abs(space.blend(first, second, 0.0) - first).max() < 1e-6
    assert np.abs(space.blend(first, second, 1.0) - second).max() < 1e-6
    between = space.blend(first, second, share)
    assert np.abs(between[:3, :3] @ between[:3, :3].T - np.eye(3)).max() < 1e-9

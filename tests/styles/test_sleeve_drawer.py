"""A sleeve and its drawer: the drawer slides with the play of a lid, and is as long as the sleeve."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely

from booklet import space
from booklet.errors import Refused
from booklet.folding import folder
from booklet.net import Item, Net
from booklet.thickness import lid_slip
from tests import boxes

TILES = Item("block", 130.0, 80.0, 35.0)


def bounds(made: Net, part: str, panel: str) -> np.ndarray:
    """Least and greatest x, y, z of a panel's mid-surface in the closed box."""
    one = made.part[part]
    points = space.applied(folder(one).stood[folder(one).index[panel]], space.lifted(one.panel[panel].outline))
    return np.array([points.min(0), points.max(0)])


@pytest.mark.parametrize("t", [0.15, 0.3, 0.6, 1.0, 1.5])
@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_drawer_slides_with_the_play_of_a_lid_across_and_upward(t: float, units: str) -> None:
    # rule of this style (common practice, no source): the slip of a lid, over both sides
    made = boxes.net("sleeve-drawer", TILES, t, units=units)
    slip, mark = lid_slip(137.0), 0.5 if units == "mm" else 25.4 / 16
    near, far = (bounds(made, "sleeve", f"wall-{i}")[0, 1] for i in (2, 4))
    walls = [bounds(made, "drawer", f"wall-{i}")[0, 1] for i in (1, 3)]
    assert slip - 1e-6 <= abs(far - near) - (max(walls) - min(walls)) - 2 * t < slip + mark
    # upward a glue flap lies on the sleeve's base and, in a sleeve that is cut, on its top
    low, high = (bounds(made, "sleeve", f"wall-{i}")[0, 2] for i in (1, 3))
    rim, under = bounds(made, "drawer", "wall-1")[1, 2], bounds(made, "drawer", "base")[0, 2] - t / 2
    assert under - (low + t / 2) == pytest.approx(t)
    assert slip - 1e-6 <= (high - t / 2 - t) - rim < slip + mark


@pytest.mark.parametrize("item", [TILES, Item("block", 80.0, 130.0, 35.0)])
def test_the_sleeve_runs_along_the_longer_side_and_is_as_long_as_the_drawer(item: Item) -> None:
    made = boxes.net("sleeve-drawer", item)
    axis = 0 if item.length > item.width else 1
    sleeve, front, back = bounds(made, "sleeve", "wall-2"), bounds(made, "drawer", "wall-2"), bounds(made, "drawer", "wall-4")
    drawer = abs(front[0, axis] - back[0, axis]) + 0.3
    assert sleeve[1, axis] - sleeve[0, axis] == pytest.approx(drawer, abs=0.25)


def test_sizes_are_those_of_a_hand_calculation() -> None:
    # 0.3 mm card: the drawer 130 + 6 - 0.5 + 3 t = 136.4, 80 + 6 - 0.5 + 3 t = 86.4, 35 + 8 - 0.5 + t / 2 = 42.65
    sizes = boxes.sizes("sleeve-drawer", TILES)
    assert (sizes.drawer.long, sizes.drawer.short, sizes.drawer.height) == (136.5, 86.5, 43.0)
    # the sleeve 86.5 + 2 t + 1.2 = 88.3 wide; 43 + t/2 outside, t/2 + t/2 to its folds, 2 t of flaps, 1.2: 45.25 tall; 136.5 + t long
    assert sizes.sleeve == (88.5, 45.5, 137.0)


def test_the_front_alone_has_a_half_round_notch_and_no_flap_lies_over_it() -> None:
    made = boxes.net("sleeve-drawer", TILES).part["drawer"]
    lost = {name: shapely.Polygon(p.outline).envelope.area - shapely.Polygon(p.outline).area for name, p in made.panel.items()}
    assert lost["wall-2"] == pytest.approx(math.pi * 50, rel=0.005)
    assert lost["wall-4"] == pytest.approx(0.0, abs=1e-6)
    # in a narrow drawer the flaps lie on the front, and leave its middle free
    narrow = boxes.sizes("sleeve-drawer", Item("block", 120.0, 15.0, 20.0), clearance=2.0)
    assert narrow.drawer.on_ends and narrow.notch >= 3.0
    assert 2 * (narrow.drawer.flap + narrow.notch) < narrow.drawer.short


def test_the_chords_of_a_notch_are_off_its_arc_by_less_than_we_compute_to() -> None:
    ring = boxes.net("sleeve-drawer", TILES, notch=15.0).part["drawer"].panel["wall-2"].outline[3:-1]
    (ax, ay), (bx, by) = ring[0], ring[-1]
    centre = (ax + bx) / 2, (ay + by) / 2
    assert min(math.dist(((x0 + x1) / 2, (y0 + y1) / 2), centre) for (x0, y0), (x1, y1) in pairwise(ring)) > 15.0 - 0.05


def test_the_item_goes_into_the_drawer_and_the_sleeve_over_it_last() -> None:
    made = boxes.whole("sleeve-drawer", TILES)
    assert [(step.kind, step.part) for step in made.steps[-2:]] == [("put", "drawer"), ("close", "sleeve")]
    assert made.closed and boxes.failed(made) == set()


def test_a_sleeve_of_thick_board_is_refused_with_the_limit() -> None:
    with pytest.raises(Refused, match=r"1\.6 mm is too thick .* half-cuts to 1\.5 mm"):
        boxes.sizes("sleeve-drawer", TILES, 1.6)


def test_a_small_drawer_has_a_smaller_notch_and_says_so() -> None:
    sizes = boxes.sizes("sleeve-drawer", Item("block", 50.0, 40.0, 30.0))
    assert sizes.notch == 7.0  # an eighth of 50 + 6 - 0.5 + 3 t, on the ruler
    assert ("notch", 10.0, 7.0) in {(note.option, note.asked, note.got) for note in sizes.notes}

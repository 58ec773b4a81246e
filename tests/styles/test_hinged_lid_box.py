"""A box with a hinged lid: one piece, its lid clear of the walls all round, and closed last."""

from __future__ import annotations

import numpy as np
import pytest

from booklet import space
from booklet.errors import Refused
from booklet.folding import folder
from booklet.net import Item, Net
from booklet.thickness import lid_slip
from tests import boxes

CARD = [0.15, 0.3, 0.6, 1.0, 2.0]
TEA = Item("block", 120.0, 80.0, 50.0)


def middle(made: Net, panel: str) -> np.ndarray:
    """The middle of a panel's mid-surface in the closed box."""
    part = made.parts[0]
    i = folder(part).index[panel]
    return space.applied(folder(part).stood[i], space.lifted(part.panel[panel].outline)).mean(0)


@pytest.mark.parametrize("t", CARD)
@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_closed_skirts_clear_the_walls_by_the_play_of_a_lid(t: float, units: str) -> None:
    made = boxes.net("hinged-lid-box", TEA, t, units=units)
    slip, mark = lid_slip(128.0), 0.5 if units == "mm" else 25.4 / 16
    ends = middle(made, "skirt-2")[0] - middle(made, "wall-2")[0] + middle(made, "wall-4")[0] - middle(made, "skirt-3")[0] - 2 * t
    assert slip - 1e-6 <= ends < slip + mark
    # in front the corner flaps lie between; the hinge leaves no play behind
    front = middle(made, "wall-1")[1] - middle(made, "skirt-1")[1] - 2 * t
    assert slip - 1e-6 <= front < slip + mark


def test_sizes_are_those_of_a_hand_calculation() -> None:
    # 0.3 mm card: 120 + 6 - 0.5 + 3 t = 126.4, 80 + 6 - 0.5 + 3 t = 86.4, 50 + 8 - 0.5 + 2.5 t = 58.25
    sizes = boxes.sizes("hinged-lid-box", TEA)
    assert (sizes.tray.long, sizes.tray.short, sizes.back) == (126.5, 86.5, 58.5)
    # front and sides stop 2 t lower; the lid is 2 t + 1.2 mm longer, and t + t + 1.2 mm deeper for its wall, flap and slip
    assert sizes.tray.height == pytest.approx(57.9)
    assert sizes.lid == (128.5, 88.5)


@pytest.mark.parametrize("t", CARD)
def test_the_lid_lies_over_the_rims_with_room_for_a_glue_flap(t: float) -> None:
    made = boxes.net("hinged-lid-box", TEA, t)
    part = made.parts[0]
    rim = max(space.applied(folder(part).stood[folder(part).index["wall-1"]], space.lifted(part.panel["wall-1"].outline))[:, 2])
    assert middle(made, "lid")[2] - t / 2 - rim >= t


def test_the_box_is_one_piece_and_its_lid_is_closed_last() -> None:
    made = boxes.whole("hinged-lid-box", TEA)
    assert len(made.parts) == len(made.parts[0].pieces) == 1
    assert made.steps[-1].kind == "close" and dict(made.steps[-1].folds) == {"wall-3/lid": 90.0}
    assert any(step.kind == "put" for step in made.steps[:-1])


def test_flaps_of_the_tray_stay_clear_of_the_lids_skirts_in_the_flat() -> None:
    low = boxes.sizes("hinged-lid-box", Item("block", 150, 100, 5), clearance=0, headroom=1)
    assert low.tray.flap <= low.back
    assert boxes.failed(boxes.whole("hinged-lid-box", Item("block", 150, 100, 8))) == set()


def test_a_skirt_is_at_most_as_high_as_the_front_and_its_shortening_is_told() -> None:
    sizes = boxes.sizes("hinged-lid-box", Item("block", 80, 60, 12), headroom=1)
    assert sizes.skirt <= sizes.tray.height and "skirt" in {note.option for note in sizes.notes}


def test_a_box_too_low_for_its_flaps_is_refused_with_the_figure() -> None:
    with pytest.raises(Refused, match=r"is too low for the corner flaps, which need 3\.\d mm"):
        boxes.sizes("hinged-lid-box", Item("block", 80, 60, 2), clearance=0, headroom=0)


def test_a_skirt_too_low_for_its_flaps_is_refused_with_the_figure() -> None:
    # half-cut board of 2 mm: 3 mm that hold, 2 mm set in at the root, 1 mm of taper
    with pytest.raises(Refused, match=r"box\.skirt: a side of 5\.0 mm is too low for the corner flaps, which need 6\.2 mm"):
        boxes.sizes("hinged-lid-box", TEA, 2.0, skirt=5.0)

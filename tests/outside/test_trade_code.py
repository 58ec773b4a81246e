"""Sizes as the trade's code for cases tells them (FEFCO/ESBO code): inside, in mm, L x B x H.

L is the longer side of the opening; a telescope box reads L x B x H/h, h the inside height of its lid; flat sizes run from crease
centre to crease centre. What lies inside what is measured here from the folded panels by numpy and shapely, not by the program's proof.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import product

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from booklet import make, trade
from booklet.folding import folder
from booklet.net import Item, Net
from booklet.pages.facts import facts_of
from booklet.pages.words import words
from booklet.plan import Plan
from booklet.styles import shelf
from tests import boxes, samples
from tests.told import texts_of

TELESCOPES = ("lidded-box", "full-lid-box")
PLAIN = (
    "hinged-lid-box", "tray", "web-tray", "roll-wall-tray", "tuck-carton", "snap-lock-carton", "crash-lock-carton", "gable-carrier",
    "post-box", "slotted-case", "gift-bag", "slipcase", "rigid-box",
)  # fmt: skip
NO_RECTANGLE = ("prism-box", "round-box", "pyramid", "tapered-tray", "prism-carton", "pillow-pack", "wallet", "divider", "cradle")
LIDS = list(product(TELESCOPES, (0.3, 0.9)))
THINGS = {"gable-carrier": Item("block", 130.0, 100.0, 70.0)}
"""Its handle is long enough for a hand whichever way the thing is given."""


def turned(item: Item) -> Item:
    return replace(item, length=item.width, width=item.length)


@cache
def made(style: str, t: float = 0.3, across: bool = False, hem: bool = True) -> Net:
    item = THINGS.get(style, shelf()[style].SHOWN)
    options = {} if hem or style != "lidded-box" else {"hem": 0.0}
    return boxes.net(style, turned(item) if across else item, t, **options)


def labelled(net: Net) -> trade.Label:
    found = trade.label(net)
    assert found
    return found


def corners(net: Net, *roles: str, part: int = 0) -> list[NDArray[np.float64]]:
    """Corners of the panels of some roles in the closed box, in the middle of the card, mm."""
    own = net.parts[part]
    stood = folder(own).stood
    return [
        np.column_stack([panel.outline, np.zeros(len(panel.outline)), np.ones(len(panel.outline))]) @ stood[i].T[:, :3]
        for i, panel in enumerate(own.panels)
        if panel.role in roles
    ]


def between(net: Net) -> tuple[float, float]:
    """The larger and the smaller distance between the upright panels of the box that face each other, crease centre to crease centre."""
    found = []
    for number, part in enumerate(net.parts):
        stood = folder(part).stood
        standing = {panel.role for i, panel in enumerate(part.panels) if abs(stood[i][2, 2]) < 1e-9}
        if part.role in ("box", "board"):
            found += corners(net, *standing - {"skirt"}, part=number)
    ends = np.max([c.max(axis=0) for c in found], axis=0) - np.min([c.min(axis=0) for c in found], axis=0)
    return max(ends[:2]), min(ends[:2])


# -- the order of the dimensions ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("style", [*TELESCOPES, *PLAIN])
def test_the_longer_side_of_the_opening_comes_first_whichever_way_the_item_was_given(style: str) -> None:
    for across in (False, True):
        net = made(style, across=across)
        told, (longer, shorter) = labelled(net), between(net)
        assert shorter < told.length < longer and told.breadth < shorter
        assert (net.inside.width > net.inside.length) == across
        assert (told.lid is not None) == (style in TELESCOPES)


@pytest.mark.parametrize("style", [*TELESCOPES, "tray", "web-tray", "slotted-case", "hinged-lid-box"])
def test_the_label_is_the_same_whichever_way_the_item_was_given_where_the_box_is(style: str) -> None:
    assert labelled(made(style, across=True)).told() == labelled(made(style)).told()


@pytest.mark.parametrize("across", [False, True])
def test_a_case_higher_than_it_is_long_has_its_height_last(across: bool) -> None:
    """The opening gives L and B, not the largest size of the box: a bottle's carton is higher than L."""
    told = labelled(boxes.net("slotted-case", Item("block", *((80.0, 70.0) if across else (70.0, 80.0)), 300.0)))
    assert told.height > told.length > told.breadth
    assert told.told() == "86 \u00d7 76 \u00d7 308 mm"


# -- what the sizes are -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("style", ["lidded-box", "full-lid-box", "tray", "web-tray", "tuck-carton", "slotted-case", "gift-bag"])
@pytest.mark.parametrize("t", [0.2, 0.3])
def test_sizes_are_inside_and_the_flat_ones_run_from_crease_centre(style: str, t: float) -> None:
    """Between crease centres is a caliper more than between the faces of two walls, and four calipers at most lie on the walls."""
    net = boxes.net(style, shelf()[style].SHOWN, t)
    told = labelled(net)
    for clear, centres in zip((told.length, told.breadth), between(net), strict=True):
        assert t - 1e-6 <= centres - clear <= 5 * t + 1e-6


@pytest.mark.parametrize(("style", "t"), LIDS)
def test_the_height_of_a_lid_runs_from_its_inner_face_to_the_rim_of_its_skirts(style: str, t: float) -> None:
    net = made(style, t, hem=t < 0.5)
    (lid,), skirts = corners(net, "lid", part=1), corners(net, "skirt", part=1)
    inner = float(lid[:, 2].min()) - t / 2
    assert np.ptp(lid[:, 2]) < 1e-6 and len(skirts) == 4
    assert labelled(net).lid == pytest.approx(inner - min(float(c[:, 2].min()) for c in skirts))


@pytest.mark.parametrize(("style", "t"), LIDS)
def test_a_lid_is_its_skirt_less_what_the_card_takes_at_the_crease(style: str, t: float) -> None:
    """From the crease centre to the inner face is t/2; where the crease is a half-cut of two thirds it is t/6."""
    sizes = boxes.sizes(style, shelf()[style].SHOWN, t, **({} if t < 0.5 or style != "lidded-box" else {"hem": 0.0}))
    skirt = sizes.skirt if style == "lidded-box" else sizes.lid.height
    assert labelled(made(style, t, hem=t < 0.5)).lid == pytest.approx(skirt - (t / 2 if t <= 0.5 else t / 6))


def test_a_lid_as_deep_as_its_box_reaches_down_to_the_base() -> None:
    told = labelled(made("full-lid-box"))
    assert told.lid is not None and 0 <= told.lid - told.height <= 2 * 0.3


# -- how it is told -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("style", "told"),
    [
        # by hand from the sizes: item, 6 mm of play and 8 of headroom, up to the next mark, less the card
        ("lidded-box", "101 \u00d7 86 \u00d7 68/25 mm"),
        ("full-lid-box", "156 \u00d7 116 \u00d7 48/48 mm"),
        ("tray", "126 \u00d7 96 \u00d7 38 mm"),
        ("slotted-case", "186 \u00d7 126 \u00d7 118 mm"),
    ],
)
def test_a_telescope_box_reads_with_its_lids_height_after_a_stroke_and_a_plain_one_without(style: str, told: str) -> None:
    assert labelled(made(style)).told() == told


@pytest.mark.parametrize("style", TELESCOPES)
def test_the_label_is_that_of_the_box_whatever_face_is_marked_and_however_it_is_cut(style: str) -> None:
    item = shelf()[style].SHOWN
    cut = boxes.net(style, item, sheet=(210.0, 297.0))
    small = boxes.net(style, item, sheet=(210.0, 190.0))
    assert sum(len(part.pieces) for part in small.parts) > 2
    assert {labelled(net).told() for net in (cut, small, boxes.net(style, item, outside=True))} == {labelled(made(style)).told()}


@pytest.mark.parametrize("style", NO_RECTANGLE)
def test_a_box_without_a_rectangular_opening_and_an_insert_have_no_such_size(style: str) -> None:
    assert trade.label(boxes.net(style, shelf()[style].SHOWN)) is None


def test_a_prism_of_four_sides_has_one_and_of_twelve_has_none() -> None:
    """Some walls of a prism of twelve sides stand as those of a box, others across its corners."""
    square, twelve = (boxes.net("prism-box", Item("round", 60.0, 60.0, 60.0), sides=n) for n in (4, 12))
    told = labelled(square)
    assert told.length == told.breadth >= 60.0 and told.lid is not None
    assert trade.label(twelve) is None


@cache
def plan(name: str) -> Plan:
    return samples.plan(name)


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("mug", "Trade size, inside: 131 \u00d7 101 \u00d7 112/25 mm, the height as box/lid."),
        ("jar", "Trade size, inside: 4 7/16 \u00d7 4 7/16 \u00d7 4 11/16 / 1 in, the height as box/lid."),
        ("egg-cups", "Trade size, inside: 101 \u00d7 51 \u00d7 30 mm."),
    ],
)
def test_the_cover_tells_the_label(name: str, line: str) -> None:
    assert line in texts_of(plan(name)).markdown("cover").splitlines()


def test_the_cover_of_a_box_without_a_rectangular_opening_tells_no_trade_size() -> None:
    facts = facts_of(plan("mug"), words())
    assert "Trade size" not in texts_of(plan("mug"), box=replace(facts.box, trade="")).markdown("cover")


@pytest.mark.parametrize(
    ("name", "told"),
    [("mug", "131 \u00d7 101 \u00d7 112/25 mm"), ("jar", "113 \u00d7 113 \u00d7 119/25 mm"), ("egg-cups", "101 \u00d7 51 \u00d7 30 mm")],
)
def test_the_summary_of_a_check_gives_the_label_in_mm(name: str, told: str) -> None:
    assert make.summary(plan(name), 1)["trade"] == told


def test_the_summary_of_a_box_without_a_rectangular_opening_gives_no_label() -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(trade, "label", lambda net: None)
        assert "trade" not in make.summary(plan("mug"), 1)


# -- the flaps of a case ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("across", [False, True])
@pytest.mark.parametrize("t", [0.3, 1.5, 3.0])
def test_closing_flaps_hang_on_the_long_panels_and_dust_flaps_on_the_short_ones(t: float, across: bool) -> None:
    """The rule's B is the shorter side of the opening, whichever way the item was given: all flaps are B/2 + t/2 (common practice,
    no source), the closing ones as long as the long panels from crease centre to crease centre.
    """
    net = made("slotted-case", t, across)
    told, part = labelled(net), net.parts[0]
    for fold in part.folds:
        role = part.panel[fold.child].role
        if role in ("inner-flap", "outer-flap"):
            x0, y0, x1, y1 = shapely.Polygon(part.panel[fold.child].outline).bounds
            wall = shapely.Polygon(part.panel[fold.parent].outline).bounds
            assert y1 - y0 == pytest.approx(told.breadth / 2 + t / 2)
            assert wall[2] - wall[0] == pytest.approx(told.length + 3 * t if role == "outer-flap" else told.breadth + t)
            assert x1 - x0 <= wall[2] - wall[0] - (0.0 if role == "outer-flap" else t)


@pytest.mark.parametrize("item", [Item("block", 180, 120, 110), Item("block", 60, 240, 90), Item("block", 100, 100, 150)])
@pytest.mark.parametrize("t", [0.3, 3.0])
def test_folded_closing_flaps_meet_on_the_middle_and_dust_flaps_do_not_pass_it(item: Item, t: float) -> None:
    net = boxes.net("slotted-case", item, t)
    axis = 1 if item.length >= item.width else 0
    for role, along in (("outer-flap", axis), ("inner-flap", 1 - axis)):
        top = [c for c in corners(net, role) if c[:, 2].mean() > 0]
        left, right = sorted(top, key=lambda c: float(c[:, along].mean()))
        gap = float(right[:, along].min() - left[:, along].max())
        assert abs(float(left[:, along].max() + right[:, along].min())) < 2 * t + 1e-6
        assert gap == pytest.approx(0.0, abs=1e-6) if role == "outer-flap" else gap >= -1e-6

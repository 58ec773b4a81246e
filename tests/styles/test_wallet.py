"""The wallet: bellows of gussets that fold flat, and what closes them."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from booklet import space
from booklet.errors import Refused
from booklet.folding import folder
from booklet.net import Item, Net
from booklet.styles import wallet
from booklet.thickness import Thickness, way_of
from tests.boxes import fit

CARDS = Item("block", 150.0, 105.0, 12.0)


def sizes(item: Item = CARDS, t: float = 0.3, **changes: Any) -> wallet.Sizes:
    options = {o.name: o.resolved("mm") for o in wallet.OPTIONS} | {k: v for k, v in changes.items() if k not in ("headroom", "clearance")}
    play = {k: v for k, v in changes.items() if k in ("headroom", "clearance")}
    return wallet.sizes(fit(item, **play), Thickness(t, way_of(t, None, wallet.BEARS)), options)


def net(**changes: Any) -> Net:
    return wallet.net(sizes(**changes))


def test_sizes_are_as_worked_out_by_hand() -> None:
    s = sizes()
    # 12 + 8 - 0.5 play, 3 layers of 0.3: 20.4; half of it and a tenth more: 11.3; a V of two such halves reaches in 5.2 + 0.17
    assert (s.body.depth, s.body.half) == (20.5, 11.5)
    assert s.body.reach(s.card) == pytest.approx(math.sqrt(11.5**2 - 10.25**2) + 0.15 * 11.5 / 10.25)
    assert (s.length, s.width) == (166.5, 116.5)


def test_both_halves_of_a_gusset_reach_from_the_back_to_the_front() -> None:
    body = sizes().body
    assert 2 * body.half * math.sin(math.radians(body.angle)) == pytest.approx(body.depth)
    assert 90 < body.angle < 180 and body.crease == pytest.approx(180 - 2 * body.angle)


def test_the_front_stands_over_the_back_and_the_gussets_point_inward() -> None:
    made = net()
    (part,) = made.parts
    fold, s = folder(part), sizes()
    back, front = (space.applied(fold.stood[fold.index[name]], space.lifted(part.panel[name].outline)) for name in ("back", "front"))
    assert front[:, 2] - back[0, 2] == pytest.approx(s.body.depth)
    for axis in (0, 1):
        assert (front[:, axis].min(), front[:, axis].max()) == pytest.approx((back[:, axis].min(), back[:, axis].max()))
    for name in ("inner-gusset-1", "inner-gusset-2", "outer-gusset-1", "bottom-gusset-1"):
        points = space.applied(fold.stood[fold.index[name]], space.lifted(part.panel[name].outline))
        assert (np.abs(points[:, :2]) <= np.abs(back[:, :2]).max(0) + 1e-9).all(), name


def test_gussets_are_mitred_so_that_none_lies_on_another_where_all_are_folded_flat() -> None:
    import shapely

    (part,) = net().parts
    fold = folder(part)
    flat = fold.places({f.name: math.copysign(180.0, f.angle) for f in part.folds if "gusset" in f.child})
    shapes = {
        panel.name: shapely.Polygon(space.applied(flat[i], space.lifted(panel.outline))[:, :2])
        for i, panel in enumerate(part.panels)
        if "gusset" in panel.name
    }
    for side in (1, 2):
        for half in ("inner", "outer"):
            for low in (1, 2):
                assert shapes[f"{half}-gusset-{side}"].intersection(shapes[f"bottom-gusset-{low}"]).area < 1e-6


@pytest.mark.parametrize("closing, deeper", [("tuck", -0.6), ("over", 0.3)])
def test_a_tuck_passes_under_the_glue_flaps_and_a_flap_over_the_front(closing: str, deeper: float) -> None:
    s = sizes(closing=closing)
    assert s.strip == pytest.approx(s.body.depth + deeper)


def test_a_tuck_is_no_longer_than_its_panel_is_deep_and_that_is_told() -> None:
    s = sizes(Item("block", 150.0, 105.0, 6.0), headroom=2.0)
    assert s.closing_flap < s.strip < 20.0
    assert [note.option for note in s.notes] == ["closing_flap"]
    assert sizes(Item("block", 150.0, 105.0, 6.0), headroom=2.0, closing="over").notes == ()


@pytest.mark.parametrize(
    "item, told", [(Item("block", 150, 105, 1), r"halves of \d\.\d mm"), (Item("block", 80, 60, 60), r"61\.0 mm deep .* \d\d\.\d mm deep")]
)
def test_what_is_too_thin_or_too_thick_for_gussets_is_refused_with_the_figure(item: Item, told: str) -> None:
    with pytest.raises(Refused, match=told):
        sizes(item, headroom=0.0, closing="over")


def test_card_that_does_not_fold_double_is_refused() -> None:
    with pytest.raises(Refused, match=r"0\.5 mm"):
        sizes(t=0.6)

"""The base that is glued flat and opens by itself: one closed motion from the flat ring to the square one."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from booklet import space
from booklet.errors import Refused
from booklet.folding import folder
from booklet.net import Item, Net
from tests import boxes

SIDES = [(80.0, 60.0, 110.0), (25.0, 22.0, 90.0), (220.0, 60.0, 40.0), (60.0, 150.0, 60.0)]


def base_at(angle: float) -> dict[str, float]:
    """Fold angles where the corners at which the base is glued stand at `angle` between the walls, 0 flat to 90 square; degrees.

    A symmetric spherical linkage of four links, 90, 45, 45 and 90 degrees, solved by hand with the rules of right-angled spherical
    triangles: the base panels rise by e with cos e = tan(angle / 2), the diagonals stand at d with sin(d / 2) = sin(angle / 2) / sin 45.
    """
    half = math.radians(angle / 2)
    rise = math.degrees(math.acos(min(1.0, math.tan(half))))
    diagonal = 2 * math.degrees(math.asin(min(1.0, math.sin(half) / math.sin(math.pi / 4))))
    up = dict.fromkeys(("wall-2/base-1", "wall-4/base-2", "wall-1/base-flap-1", "wall-3/base-flap-2"), 90.0 + rise)
    ring = {"wall-2/wall-1": 180.0 - angle, "wall-3/wall-4": 180.0 - angle, "wall-2/wall-3": angle, "wall-4/glue-flap-1": angle}
    return {**up, **ring, "base-1/glue-flap-2": diagonal - 180.0, "base-2/glue-flap-3": diagonal - 180.0}


def gaps(made: Net, angles: dict[str, float]) -> list[float]:
    """How far each bond's region is from where it lies on its panel in the closed box, mm."""
    made_ready = folder(made.part["box"])
    found = []
    for bond in made.bonds:
        i, j = (made_ready.index[name] for _, name in bond.panels)
        seen = [
            space.applied(space.relative(p[i], p[j]), space.lifted(bond.region)) for p in (made_ready.places(angles), made_ready.closed)
        ]
        found.append(float(np.abs(seen[0] - seen[1]).max()))
    return found


@pytest.mark.parametrize("sides", SIDES)
@pytest.mark.parametrize("angle", [0.0, 5.0, 20.0, 45.0, 70.0, 88.0, 90.0])
def test_every_bond_stays_closed_from_the_flat_carton_to_the_square_one(sides: tuple[float, float, float], angle: float) -> None:
    assert max(gaps(boxes.net("crash-lock-carton", Item("block", *sides)), base_at(angle))) < 1e-3


def test_the_hand_made_linkage_fails_where_an_angle_is_off() -> None:
    made = boxes.net("crash-lock-carton", Item("block", *SIDES[0]))
    assert max(gaps(made, {**base_at(45.0), "base-1/glue-flap-2": -100.0})) > 1.0


def test_the_glued_corner_folds_flat_by_the_theorems() -> None:
    """Kawasaki, for a corner that is no full turn: alternate angles add up alike; Maekawa: mountains less valleys are +-2 (Hull 1994)."""
    made = boxes.net("crash-lock-carton", Item("block", *SIDES[0])).part["box"]
    (ax, ay), (bx, by) = made.fold["base-1/glue-flap-2"].line
    diagonal = math.degrees(math.atan2(abs(by - ay), abs(bx - ax)))
    wall, panel, flap = 90.0, diagonal, 90.0 - diagonal
    assert wall + flap == pytest.approx(panel + wall)
    folds = [base_at(0.0)[name] for name in ("wall-2/wall-1", "wall-2/base-1", "wall-1/base-flap-1", "base-1/glue-flap-2")]
    assert sum(math.copysign(1, angle) for angle in folds) == 2
    assert {abs(angle) for angle in folds} == {180.0}


@pytest.mark.parametrize("sides", SIDES)
def test_the_front_base_panel_lies_over_the_back_one_and_covers_the_middle(sides: tuple[float, float, float]) -> None:
    s = boxes.sizes("crash-lock-carton", Item("block", *sides))
    made = boxes.net("crash-lock-carton", Item("block", *sides)).part["box"]
    deep = {name: -min(y for _, y in made.panel[name].outline) for name in ("base-1", "base-2")}
    assert deep["base-1"] > s.width / 2 >= deep["base-2"]
    assert sum(deep.values()) > s.width + 0.4
    # the nearer corner of a base panel passes the wall beside it only where it is less than twice as deep as it is far from the corner
    assert deep["base-1"] < 2 * s.diagonal


def test_base_and_ring_are_glued_while_all_lies_flat_and_open_in_one_step() -> None:
    made = boxes.whole("crash-lock-carton")
    opening = next(step for step in made.steps if step.kind == "square")
    assert {b for step in made.steps if step.number < opening.number for b in step.bonds} == {0, 1, 2}
    assert dict(opening.folds)["wall-2/base-1"] == 90.0
    assert dict(opening.folds)["base-1/glue-flap-2"] == 0.0
    assert boxes.failed(made) == set()


def test_glue_flaps_are_large_enough_to_hold() -> None:
    made = boxes.net("crash-lock-carton", Item("block", *SIDES[0]))
    areas = [shapely.Polygon(bond.region).area for bond in made.bonds if bond.panels[1][1].startswith("base-flap")]
    assert len(areas) == 2
    assert min(areas) > 150.0


def test_a_front_too_narrow_for_the_base_is_refused_with_the_figure() -> None:
    with pytest.raises(Refused, match=r"goes to about \d+ mm of width in a carton \d+\.\d mm long"):
        boxes.sizes("crash-lock-carton", Item("block", 40, 250, 100))


def test_card_over_half_a_millimetre_is_refused_since_the_base_folds_right_over() -> None:
    with pytest.raises(Refused, match=r"creased, in card to 0\.5 mm"):
        boxes.sizes("crash-lock-carton", t=0.6)

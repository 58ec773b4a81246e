"""Prism carton: the ring's angles, tapers by the hull rule, and an odd ring that lies flat to be glued."""

from __future__ import annotations

import math
from itertools import combinations
from typing import Any

import pytest
import shapely

from booklet.errors import Refused
from booklet.net import Item, Net
from booklet.plane import length
from booklet.styles import shelf
from tests import boxes

TEA = Item("round", 70.0, 70.0, 90.0)
EVERY = range(3, 9)


def net_of(sides: int, **more: Any) -> Net:
    return shelf()["prism-carton"].net(boxes.sizes("prism-carton", TEA, sides=sides, **more))


@pytest.mark.parametrize("sides", EVERY)
def test_the_ring_turns_once_round(sides: int) -> None:
    part = net_of(sides).part["box"]
    ring = [fold.angle for fold in part.folds if fold.child.startswith(("wall", "glue"))]
    assert sum(ring) == pytest.approx(360.0)
    assert ring.count(0.0) == sides % 2


@pytest.mark.parametrize("sides", EVERY)
def test_dust_flaps_taper_by_ninety_degrees_less_half_the_corner_angle_and_do_not_overlap(sides: int) -> None:
    part = net_of(sides).part["box"]
    # common practice, no source
    least = math.tan(math.radians(90.0 - (180.0 - 360.0 / sides) / 2))
    for panel in part.panels:
        if panel.role == "dust-flap":
            root, free = length((panel.outline[0], panel.outline[1])), length((panel.outline[2], panel.outline[3]))
            depth = boxes.sizes("prism-carton", TEA, sides=sides).end.dust_flap
            assert root - free >= 2 * least * depth - 1e-6
    shapes = [shapely.Polygon(panel.outline).buffer(-1e-3) for panel in part.panels]
    assert not any(one.intersects(other) for one, other in combinations(shapes, 2))


@pytest.mark.parametrize("sides", [4, 6, 8])
def test_a_closing_panel_is_one_caliper_less_deep_than_the_walls_are_apart(sides: int) -> None:
    end = boxes.sizes("prism-carton", TEA, t=0.4, sides=sides).end
    assert end.apothem + end.tucked_at == pytest.approx(2 * end.apothem - 0.4)


@pytest.mark.parametrize("sides", [3, 5, 7])
def test_in_an_odd_carton_the_tuck_fits_into_the_corner_that_faces_its_panel(sides: int) -> None:
    s = boxes.sizes("prism-carton", TEA, sides=sides)
    corner = s.end.apothem / math.cos(math.pi / sides)
    room = 2 * (corner - s.end.tucked_at) / math.tan(math.pi / sides)
    assert s.end.corner_tuck < room
    assert s.end.tucked_at < corner


@pytest.mark.parametrize("sides", [3, 5])
def test_the_ring_is_glued_flat(sides: int) -> None:
    made = boxes.whole("prism-carton", TEA, sides=sides)
    glued = boxes.gluing(made, "glue-flap-1")
    assert all(angle in (0.0, 180.0) for _, angle in glued.folds)
    opened = next(step for step in made.steps if step.kind == "square")
    assert opened.number > glued.number


def test_a_carton_too_low_for_its_tucks_is_refused() -> None:
    with pytest.raises(Refused, match=r"box\.tuck"):
        boxes.sizes("prism-carton", Item("round", 60.0, 60.0, 4.0), headroom=0.0, sides=6)

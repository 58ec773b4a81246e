"""Prism box: the rule of the lid on a polygon, and many sides on a coarse ruler."""

from __future__ import annotations

import math

import pytest

from booklet.errors import Refused
from booklet.net import Item
from booklet.styles import shelf
from booklet.thickness import lid_slip
from tests import boxes

JAR = Item("round", 80.0, 80.0, 60.0)


@pytest.mark.parametrize(("sides", "t"), [(3, 0.3), (4, 0.8), (6, 0.3), (8, 2.0), (12, 0.5)])
def test_the_lid_is_larger_by_its_walls_its_flaps_and_the_slip(sides: int, t: float) -> None:
    s = boxes.sizes("prism-box", JAR, t=t, sides=sides)
    # common practice, no source: lid = base + (2 + 2 n) t + slip, n = 1 flap inside each skirt
    least = 2 * s.box.apothem + 4 * t + lid_slip(2 * s.box.apothem)
    mark = 0.5 / math.tan(math.pi / sides)
    assert least - 1e-9 <= 2 * s.lid.apothem < least + max(mark, 1e-9) + 0.1


def test_a_lid_of_twelve_sides_is_not_loose_though_a_mark_on_its_side_is_6_mm_across() -> None:
    s = boxes.sizes("prism-box", JAR, units="in", sides=12)
    assert 25.4 / 16 / math.tan(math.pi / 12) == pytest.approx(5.92, abs=0.01)
    play = 2 * (s.lid.apothem - s.box.apothem) - 4 * 0.3
    assert lid_slip(90.0) - 0.05 < play < lid_slip(90.0) + 1.6


def test_the_lid_stands_with_its_sides_over_those_of_the_box() -> None:
    net = shelf()["prism-box"].net(boxes.sizes("prism-box", JAR, sides=5))
    walls, skirts = (_ways(net.part[name], role) for name, role in (("box", "wall"), ("lid", "skirt")))
    assert walls == skirts


def _ways(part: object, role: str) -> list[float]:
    """Directions in which the panels of a role look in the closed box, degrees."""
    from booklet.folding import folder

    fold = folder(part)  # type: ignore[arg-type]
    places = [fold.stood[i] for i, panel in enumerate(fold.part.panels) if panel.role == role]
    return sorted(round(math.degrees(math.atan2(place[1, 2], place[0, 2])) % 360, 3) % 360 for place in places)


def test_a_skirt_is_no_higher_than_the_box() -> None:
    s = boxes.sizes("prism-box", Item("round", 80.0, 80.0, 8.0), headroom=2.0, skirt=25.0)
    assert s.lid.slant <= s.box.slant
    assert any(note.option == "skirt" for note in s.notes)


def test_more_sides_than_the_walls_have_room_for_flaps_are_refused() -> None:
    with pytest.raises(Refused, match=r"mm has room"):
        boxes.sizes("prism-box", Item("round", 20.0, 20.0, 10.0), clearance=1.0, sides=12)

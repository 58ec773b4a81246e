"""The slipcase against the worked sizes of a bookbinding sheet."""

from __future__ import annotations

import math

import pytest

from booklet.net import Item
from tests import boxes

BOOK = Item("block", 157.0, 12.0, 113.0)
"""Head to tail, thickness, fore-edge to spine, as the book stands in the finished case."""


def test_the_five_boards_have_the_sizes_of_the_sheet() -> None:
    """University of Brighton, bookbinding sheet: in 2 mm board for a book of 113 x 157 x 12 mm the faces are 115 x 163 mm (2),
    the walls 163 x 14 and 113 x 14 mm (2), with 1 mm of play on each side.
    """
    made = boxes.net("slipcase", BOOK, t=2.0, clearance=2.0, headroom=0.0)
    sizes = {part.name: tuple(sorted(part.pieces[0].size)) for part in made.parts}
    assert sizes == {
        "face-1": (115.0, 163.0),
        "face-2": (115.0, 163.0),
        "long-wall": (14.0, 163.0),
        "short-wall-1": (14.0, 113.0),
        "short-wall-2": (14.0, 113.0),
    }


@pytest.mark.parametrize("t", [1.0, 1.5, 2.0, 2.5, 3.0])
def test_the_boards_fill_the_shell_between_its_outside_and_its_inside(t: float) -> None:
    """Closed form: a cuboid less the cuboid inside it, which is open at one side; nothing is left out or there twice."""
    made = boxes.net("slipcase", BOOK, t=t, clearance=2.0, headroom=0.0)
    i = made.inside
    shell = (i.length + 2 * t) * (i.width + 2 * t) * (i.height + t) - i.length * i.width * i.height
    assert math.isclose(sum(math.prod(part.pieces[0].size) * t for part in made.parts), shell, rel_tol=1e-9)

"""What stays free when rectangles are taken: all of it, nothing of what is taken, no rectangle within another."""

from __future__ import annotations

import shapely
from hypothesis import given
from hypothesis import strategies as st

from booklet.free import Box, left

ROOM: Box = (0.0, 0.0, 100.0, 60.0)
sides = st.integers(0, 90).map(float)
boxes = st.builds(lambda x, y, w, h: (x, y, x + w + 1, y + h + 1), sides, sides, sides, sides)


@given(st.lists(boxes, max_size=5))
def test_the_free_rectangles_are_the_room_without_what_is_taken(taken: list[Box]) -> None:
    free: list[Box] = [ROOM]
    for one in taken:
        free = left(free, one)
    wanted = shapely.box(*ROOM).difference(shapely.union_all([shapely.box(*one) for one in taken]))
    assert shapely.union_all([shapely.box(*one) for one in free]).symmetric_difference(wanted).area < 1e-6
    shapes = [shapely.box(*one) for one in free]
    assert not any(a is not b and b.contains(a) for a in shapes for b in shapes)

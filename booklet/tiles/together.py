"""Whether two pieces can lie on one page at all, true to shape: a bound for templates that share pages. Millimetres.

For two convex areas the shifts at which they overlap are the sums of one's points with the other's, turned round: again a convex
area. Two pieces of convex panels go together where such areas, of every panel with every panel, leave a shift that the page allows.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from typing import Any

import numpy as np
import shapely

from booklet.plane import Ring, bounds, turn
from booklet.tolerance import SAME_POINT

Size = tuple[float, float]


def together(a: Sequence[Ring], b: Sequence[Ring], room: Size) -> bool:
    """Whether two pieces, each of some areas, lie on a page with so much room and do not overlap, turned by right angles only.

    Areas that are not convex count as nothing: the answer can then be yes where it is no, never the other way. No gap is kept.
    """
    if not a or not b:
        return True
    return any(_room_for(_turned(a, p), _turned(b, q), room) for p, q in product((0, 1), (0, 1, 2, 3)))


def _turned(rings: Sequence[Ring], quarter: int) -> list[Ring]:
    return [turn(quarter).ring(ring) for ring in rings]


def _room_for(a: Sequence[Ring], b: Sequence[Ring], room: Size) -> bool:
    """Whether some shift of b against a leaves both on the page and apart."""
    (ax0, ay0, ax1, ay1), (bx0, by0, bx1, by1) = (bounds(p for ring in rings for p in ring) for rings in (a, b))
    slack = [room[0] - (ax1 - ax0), room[1] - (ay1 - ay0), room[0] - (bx1 - bx0), room[1] - (by1 - by0)]
    if min(slack) < -SAME_POINT:
        return False
    start = ax0 - bx0, ay0 - by0
    shifts = shapely.box(start[0] - slack[0], start[1] - slack[1], start[0] + slack[2], start[1] + slack[3])
    shifts = shifts.buffer(SAME_POINT, join_style="mitre")
    return not shifts.difference(shapely.union_all(_overlaps(a, b))).is_empty


def _overlaps(a: Sequence[Ring], b: Sequence[Ring]) -> Any:
    """For every pair of convex areas the shifts of the second at which they overlap, a hair less than all."""
    parts = [[np.array(ring) for ring in rings if _convex(ring)] for rings in (a, b)]
    sums = [shapely.multipoints((p[:, None] - q[None]).reshape(-1, 2)) for p, q in product(*parts)]
    return shapely.buffer(shapely.convex_hull(sums), -2 * SAME_POINT, join_style="mitre")


def _convex(ring: Ring) -> bool:
    shape = shapely.Polygon(ring)
    return bool(shape.convex_hull.area - shape.area < SAME_POINT)

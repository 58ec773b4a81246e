"""The largest rectangles that stay free on a page or a sheet when others are taken. Boxes are x0, y0, x1, y1."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from booklet.tolerance import SAME_POINT

Box = tuple[float, float, float, float]


def left(free: Sequence[Box], taken: Box) -> list[Box]:
    """The largest rectangles that stay free when one is taken; they may overlap."""
    parts = list(dict.fromkeys(part for room in free for part in _less(room, taken)))
    return [r for r in parts if not any(r is not o and _within(r, o) for o in parts)]


def _less(room: Box, taken: Box) -> Iterator[Box]:
    x0, y0, x1, y1 = room
    a, b, c, d = taken
    if a >= x1 - SAME_POINT or c <= x0 + SAME_POINT or b >= y1 - SAME_POINT or d <= y0 + SAME_POINT:
        yield room
        return
    parts = ((x0, y0, a, y1), (c, y0, x1, y1), (x0, y0, x1, b), (x0, d, x1, y1))
    yield from (p for p in parts if p[2] - p[0] > SAME_POINT and p[3] - p[1] > SAME_POINT)


def _within(a: Box, b: Box) -> bool:
    return a[0] >= b[0] and a[1] >= b[1] and a[2] <= b[2] and a[3] <= b[3]

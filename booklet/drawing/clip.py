"""Lines cut off at a window, by geometry: what is not on a page is not in its content. Millimetres."""

from __future__ import annotations

from collections.abc import Sequence

from booklet.plane import Line, Point, Ring, same

Box = tuple[float, float, float, float]


def clipped(line: Line, box: Box) -> Line | None:
    """The part of a line inside a box, x0, y0, x1, y1 (Liang and Barsky's method); None where there is none.

    >>> clipped(((0.0, 5.0), (20.0, 5.0)), (5.0, 0.0, 10.0, 10.0))
    ((5.0, 5.0), (10.0, 5.0))
    """
    (ax, ay), (bx, by) = line
    dx, dy = bx - ax, by - ay
    first, last = 0.0, 1.0
    for step, room in ((-dx, ax - box[0]), (dx, box[2] - ax), (-dy, ay - box[1]), (dy, box[3] - ay)):
        if step == 0:
            if room < 0:
                return None
        elif step < 0:
            first = max(first, room / step)
        else:
            last = min(last, room / step)
    if first >= last:
        return None
    start = (ax, ay) if first == 0.0 else (ax + first * dx, ay + first * dy)
    end = (bx, by) if last == 1.0 else (ax + last * dx, ay + last * dy)
    return start, end


def runs(points: Sequence[Point], box: Box, closed: bool = False) -> list[tuple[Ring, bool]]:
    """The parts of a polyline inside a box, each with whether it is the whole of a closed one."""
    ends = (*points[1:], points[0]) if closed else points[1:]
    kept: list[list[Point]] = []
    for line in zip(points, ends, strict=False):
        part = clipped(line, box)
        if part is None:
            continue
        if kept and same(kept[-1][-1], part[0]) and same(part[0], line[0]):
            kept[-1].append(part[1])
        else:
            kept.append([*part])
    if closed and len(kept) == 1 and len(kept[0]) == len(points) + 1 and same(kept[0][0], kept[0][-1]):
        return [(tuple(kept[0][:-1]), True)]
    if closed and len(kept) > 1 and same(kept[-1][-1], kept[0][0]):
        kept[0] = kept.pop() + kept[0][1:]
    return [(tuple(run), False) for run in kept]

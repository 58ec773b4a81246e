"""The thing that goes into the box, as lines: the edges of a block or a cylinder that its own body does not hide. Millimetres."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from booklet.drawing.scene import Points
from booklet.drawing.surface import View
from booklet.net import Item
from booklet.plane import Point

_SIDES = 48


def outlines(item: Item, z: float, view: View, stands: Sequence[Point] = ((0.0, 0.0),)) -> tuple[Points, ...]:
    """The seen edges of the things that stand with their middles at these points of the floor, their feet at height z."""
    lines = _cylinder(item, z, view) if item.shape == "round" else _block(item, z, view)
    return tuple(line + np.array([x, y, 0.0]) for x, y in stands for line in lines)


def _block(item: Item, z: float, view: View) -> tuple[Points, ...]:
    """Edges of a cuboid with a face turned to the viewer at one side or both."""
    half = np.array([item.length / 2, item.width / 2, item.height / 2])
    middle, way = np.array([0.0, 0.0, z + item.height / 2]), view.frame[2]
    lines = []
    for axis in range(3):
        a, b = (k for k in range(3) if k != axis)
        for s, t in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
            if s * way[a] > 1e-9 or t * way[b] > 1e-9:
                ends = np.zeros((2, 3))
                ends[:, a], ends[:, b], ends[:, axis] = s, t, (-1, 1)
                lines.append(middle + ends * half)
    return tuple(lines)


def _cylinder(item: Item, z: float, view: View) -> tuple[Points, ...]:
    """The upper rim, the half of the lower one that is in front, and the two outer lines of the side."""
    radius, way = item.length / 2, view.frame[2]
    front = math.atan2(way[1], way[0])

    def arc(first: float, last: float, height: float) -> Points:
        angles = np.linspace(first, last, _SIDES + 1)
        return np.column_stack([radius * np.cos(angles), radius * np.sin(angles), np.full(len(angles), height)])

    top, foot = z + item.height, z
    sides = [np.concatenate([arc(a, a, foot)[:1], arc(a, a, top)[:1]]) for a in (front - math.pi / 2, front + math.pi / 2)]
    return arc(0.0, math.tau, top), arc(front - math.pi / 2, front + math.pi / 2, foot), *sides

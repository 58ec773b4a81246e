"""Whether a hand can press a bond.

Common practice, no source: from the middle of the glued area a finger needs a gap of 25 mm at right angles
to the panels; it comes in from an opening at most 75 mm away where that opening is under 90 mm wide, else at
most 300 mm. The other side is free, or rests on the table. Or the part lies flat and is pressed on the table.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import space
from booklet.net import Bond
from booklet.replay import Moment
from booklet.tolerance import FINGER

Vector = NDArray[np.float64]

NARROW = 90.0
SHORT, LONG = 75.0, 300.0
_FAR = 1e6
_LAYERS = 6.0


def pressed(moment: Moment, bond: Bond) -> bool:
    """Whether the bond can be pressed at the end of a step."""
    if moment.flat or bond.panels[0][0] != bond.panels[1][0]:
        return True
    place = moment.after[moment.folder.index[bond.panels[0][1]]]
    region = shapely.Polygon(bond.region)
    point = region.centroid if region.contains(region.centroid) else region.representative_point()
    middle = space.applied(place, np.array([[point.x, point.y, 0.0]]))[0]
    walls = _walls(moment)
    sides = [(place[:3, 2] * sign) for sign in (1.0, -1.0)]
    free = [walls.gap(middle, side) >= FINGER for side in sides]
    return all(free) and any(walls.reached(middle + side * FINGER / 2, side) for side in sides)


def _walls(moment: Moment) -> _Walls:
    """The walls of a moment, made once and kept with it: a step may glue many flaps."""
    made: _Walls | None = moment.__dict__.get("_walls")
    if made is None:
        made = moment.__dict__["_walls"] = _Walls(moment)
    return made


class _Walls:
    """The panels of a part at the end of a step, as rays see them."""

    def __init__(self, moment: Moment):
        self.layer = _LAYERS * moment.part.caliper
        self.inverses = [space.inverse(place) for place in moment.after]
        self.shapes = [shapely.Polygon(panel.outline, panel.holes) for panel in moment.part.panels]
        corners = [space.applied(m, o) for m, o in zip(moment.after, moment.folder.outlines, strict=True)]
        points = np.concatenate(corners)
        self.low, self.high = points.min(0), points.max(0)

    def hit(self, start: Vector, way: Vector, after: float = 1e-6) -> float:
        """Distance to the first panel along a ray, from `after` mm on; a great number where there is none."""
        best = _FAR
        for inverse, shape in zip(self.inverses, self.shapes, strict=True):
            p, d = inverse[:3, :3] @ start + inverse[:3, 3], inverse[:3, :3] @ way
            if abs(d[2]) < 1e-9:
                continue
            run = -p[2] / d[2]
            if after < run < best and shapely.contains_xy(shape, *(p + run * d)[:2]):
                best = float(run)
        return best

    def gap(self, middle: Vector, way: Vector) -> float:
        """Free depth over the glued layers, mm."""
        return self.hit(middle, way, self.layer)

    def reached(self, finger: Vector, normal: Vector) -> bool:
        """Whether a finger at this point comes in from an opening that is near or wide enough."""
        return any(self._comes_in(finger, way) for way in _ways(normal))

    def _comes_in(self, finger: Vector, way: Vector) -> bool:
        if self.hit(finger, way) < _FAR:
            return False
        far = self._to_outside(finger, way)
        if far <= SHORT:
            return True
        return far <= LONG and self._width(finger + way * (far - 1.0), way) >= NARROW

    def _to_outside(self, point: Vector, way: Vector) -> float:
        """Distance along a ray to where it leaves the box round all panels; 0 outside."""
        with np.errstate(divide="ignore", invalid="ignore"):
            runs = np.where(way > 1e-9, (self.high - point) / way, np.where(way < -1e-9, (self.low - point) / way, _FAR))
        return max(0.0, float(runs.min()))

    def _width(self, point: Vector, way: Vector) -> float:
        """The lesser width of an opening at right angles to the way through it, mm."""
        helper = np.eye(3)[int(np.argmin(np.abs(way)))]
        u = np.cross(way, helper)
        u /= np.linalg.norm(u)
        v = np.cross(way, u)
        return min(self.hit(point, a) + self.hit(point, -a) for a in (u, v))


def _ways(normal: Vector) -> list[Vector]:
    """Twenty-six directions: along the normal, across it and between."""
    helper = np.eye(3)[int(np.argmin(np.abs(normal)))]
    u = np.cross(normal, helper)
    u /= np.linalg.norm(u)
    v = np.cross(normal, u)
    basis = np.array([normal, u, v])
    grid = [(a, b, c) for a in (1, 0, -1) for b in (0, 1, -1) for c in (0, 1, -1) if (a, b, c) != (0, 0, 0)]
    return [np.array(g) @ basis / np.linalg.norm(g) for g in grid]

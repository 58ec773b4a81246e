"""A direction of sight, and faces as they are projected along it. Parallel projection; millimetres."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely import Polygon

from booklet.drawing.scene import Face3, Points
from booklet.space import cos_sin
from booklet.tolerance import SAME_POINT

GRID = 1e-4
"""mm: flat geometry is computed on a grid this fine. On plain floats a union of several faces can lose whole areas."""

EDGE_ON = 3e-3
"""Sine of the angle under which a face counts as seen edge-on: it is a line, hides nothing and has no seen area."""


@dataclass(frozen=True, slots=True)
class View:
    """A direction of sight. Degrees.

    At azimuth 0 the viewer stands in front (on the side of -y) and sees x run to the right; a positive azimuth takes
    the viewer round to the right, anticlockwise as seen from above. The elevation is how far the view looks down.
    """

    azimuth: float = -32.0
    elevation: float = 30.0

    @property
    def frame(self) -> Points:
        """Three unit rows: right, up and towards the viewer."""
        (ca, sa), (ce, se) = cos_sin(self.azimuth), cos_sin(self.elevation)
        return np.array([[ca, sa, 0.0], [-sa * se, ca * se, ce], [sa * ce, -ca * ce, se]])

    def project(self, points: Points) -> Points:
        """Points of shape (n, 3) as x to the right, y up and depth, which grows towards the viewer; mm, true to scale."""
        return np.asarray(points, float) @ self.frame.T


@dataclass(frozen=True)
class Surface:
    """A face as projected: rings of (x, y, depth), and its plane as depth = slope . (x, y) + rise."""

    face: Face3
    rings: tuple[Points, ...]

    @cached_property
    def normal(self) -> Points:
        """Unit normal of the marked face in the frame of the view."""
        x, y, z = (self.rings[0] - self.rings[0][0]).T
        total = np.array([_turning(y, z), _turning(z, x), _turning(x, y)])
        return total / max(float(np.sqrt(total @ total)), SAME_POINT)

    @property
    def edge_on(self) -> bool:
        """Whether the face is seen as a line."""
        return abs(float(self.normal[2])) < EDGE_ON

    @cached_property
    def plane(self) -> Points:
        """Three figures: depth = p[0] x + p[1] y + p[2]. Only for a face that is not edge-on."""
        nx, ny, nz = self.normal
        at = self.rings[0].mean(axis=0)
        return np.array([-nx / nz, -ny / nz, float(self.normal @ at) / nz])

    @cached_property
    def polygon(self) -> Polygon:
        """The projection, its corners on the grid."""
        shell, *holes = (np.round(ring[:, :2] / GRID) * GRID for ring in self.rings)
        shape: Polygon = shapely.polygons(shell, holes or None)
        return shape if shape.is_valid else shape.buffer(0)

    @cached_property
    def edges(self) -> Points:
        """Every edge, shape (m, 2, 3)."""
        return np.concatenate([np.stack([ring, np.concatenate([ring[1:], ring[:1]])], axis=1) for ring in self.rings])


def _turning(a: Points, b: Points) -> float:
    """Twice the area of a ring in the plane of two coordinates; the first corner is the origin."""
    return float(a[:-1] @ b[1:] - b[:-1] @ a[1:])


def surfaces(faces: Iterable[Face3], view: View) -> list[Surface]:
    """The faces projected."""
    return [Surface(f, tuple(view.project(ring) for ring in f.rings)) for f in faces]

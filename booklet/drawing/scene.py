"""What a picture shows: faces in space, where they were, how they move, and what they are called.

Millimetres, z up. Everything here is a frozen record; nothing is computed but by properties.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
"""Points in space, shape (n, 3), mm."""


@dataclass(frozen=True, slots=True, eq=False)
class Face3:
    """One flat panel in space, without thickness.

    `points` and `holes` are simple rings in one plane, not closed, concave or not. The marked face is the side
    from which `points` run anticlockwise. Faces with the same `body` are one smooth face: the edges they share
    are not drawn, unless the surface turns away there. `glue` are rings in the same plane to be hatched;
    `glue_side` says for each whether the glue lies on the marked face (+1, also where nothing is said) or on the back (-1),
    `glue_number` the number that stands on it, 0 for none.
    Faces that lie exactly on each other are taken as layers in the order given, the later one nearer to the viewer:
    who knows the order of the layers sets them apart by their thickness.
    """

    key: str
    points: Points
    holes: tuple[Points, ...] = ()
    moves: bool = False
    body: str = ""
    glue: tuple[Points, ...] = ()
    glue_side: tuple[int, ...] = ()
    glue_number: tuple[int, ...] = ()

    @property
    def rings(self) -> tuple[Points, ...]:
        """The outline and then the holes."""
        return (self.points, *self.holes)

    @property
    def normal(self) -> Points:
        """Unit normal out of the marked face (Newell's sum); zeros for a face of no area."""
        p = self.points - self.points[0]
        total = np.cross(p, np.roll(p, -1, axis=0)).sum(axis=0)
        size = float(np.sqrt(total @ total))
        return total / size if size > 0 else np.zeros(3)

    @property
    def centre(self) -> Points:
        """The middle of the outline's corners."""
        return self.points.mean(axis=0)


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """One picture. `ghosts` and `arrows` are polylines in space; an arrow has its head at its last point.

    Where arrows go `both_ways` each has another at its first. `labels` are words with the point in space that they stand on.
    """

    faces: tuple[Face3, ...]
    ghosts: tuple[Points, ...] = ()
    arrows: tuple[Points, ...] = ()
    labels: tuple[tuple[tuple[float, float, float], str], ...] = ()
    both_ways: bool = False

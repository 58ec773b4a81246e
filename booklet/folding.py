"""Folding: forward kinematics along the tree of a part.

A carton is a tree of bodies with revolute joints (LaValle, Planning Algorithms, chapter 7). Each panel's
place is its parent's place times a turn about the fold's axis, which lies `pivot` over the mid-surface.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from booklet import plane, space
from booklet.net import Fold, Loop, Part, Piece
from booklet.space import Matrix
from booklet.tolerance import COMPUTED

Angles = Mapping[str, float]


def child_side(part: Part, fold: Fold) -> float:
    """+1 where the child lies to the left of the fold's line at its middle, -1 to the right."""
    (ax, ay), (bx, by) = fold.line
    mx, my = plane.middle(fold.line)
    long = plane.length(fold.line)
    reach = min(0.01, long / 100)
    left = (mx - (by - ay) / long * reach, my + (bx - ax) / long * reach)
    return 1.0 if plane.contains(part.panel[fold.child].outline, left) else -1.0


class Folder:
    """A part made ready to be folded many times. `hinge`: fold name to its axis and a point on it, in the flat."""

    def __init__(self, part: Part):
        self.part = part
        self.index = {panel.name: i for i, panel in enumerate(part.panels)}
        self.outlines = [space.lifted(panel.outline) for panel in part.panels]
        self.outward = tuple(outward(part))
        self._order = tuple(self._hinge(fold) for fold in self.outward)
        self.hinge = {name: (axis, through) for name, _, _, axis, through in self._order}
        self.final = {fold.name: fold.angle for fold in part.folds}

    @cached_property
    def middles(self) -> NDArray[np.float64]:
        """The middle of each panel's area in the flat, shape (panels, 3): many corners in one place, as a notch has, do not draw it."""
        return np.array([[*plane.centroid(panel.outline), 0.0] for panel in self.part.panels])

    @cached_property
    def closed(self) -> NDArray[np.float64]:
        """Places of every panel with all folds at their angles, the root at rest."""
        return self.places(self.final)

    @cached_property
    def stood(self) -> NDArray[np.float64]:
        """As `closed`, the root where the part's first copy has it in the closed box."""
        return self.places(self.final, space.matrix(self.part.places[0]))

    def middles_at(self, places: NDArray[np.float64]) -> NDArray[np.float64]:
        """The middles of the panels at places of shape (panels, 4, 4): (panels, 3)."""
        moved: NDArray[np.float64] = space.applied(places, self.middles[:, None])[:, 0]
        return moved

    @cached_property
    def heights(self) -> list[float]:
        """How high the middle of each panel is in the closed box, mm."""
        found: list[float] = self.middles_at(self.stood)[:, 2].tolist()
        return found

    @cached_property
    def levelled(self) -> list[float]:
        """How far the normal of each panel's marked face points up in the closed box: 1 up, -1 down, 0 level."""
        found: list[float] = self.stood[:, 2, 2].tolist()
        return found

    @cached_property
    def shapes(self) -> list[Any]:
        """The panels as shapely polygons, with their holes."""
        import shapely

        return [shapely.Polygon(panel.outline, panel.holes) for panel in self.part.panels]

    @cached_property
    def shrunk(self) -> list[Any]:
        """The panels as polygons less a hair at their edges."""
        return [shape.buffer(-COMPUTED) for shape in self.shapes]

    def within(self, panel: int, share: float) -> NDArray[np.float64]:
        """Points of a panel in the flat at a share of the way from a point inside to its corners, those that are its own."""
        import shapely

        inside = np.array([*self.shapes[panel].representative_point().coords[0], 0.0])
        points = inside + share * (self.outlines[panel] - inside)
        own: NDArray[np.float64] = points[shapely.contains_xy(self.shapes[panel], points[:, 0], points[:, 1])]
        return own if len(own) else inside[None]

    @cached_property
    def bodies(self) -> Any:
        """The panels as convex bodies, for `collide`."""
        from booklet.collide import Bodies

        return Bodies(self.part.panels)

    def _hinge(self, fold: Fold) -> tuple[str, int, int, tuple[float, float, float], tuple[float, float, float]]:
        sign = child_side(self.part, fold)
        (ax, ay), (bx, by) = fold.line
        axis = (sign * (bx - ax), sign * (by - ay), 0.0)
        return fold.name, self.index[fold.parent], self.index[fold.child], axis, (ax, ay, fold.pivot)

    def places(self, angles: Angles, root: Matrix | None = None) -> NDArray[np.float64]:
        """Place of every panel, shape (panels, 4, 4), in the order of `part.panels`; missing angles are 0.

        A pivot follows the sign of its fold in the record, so a fold at 0 is flat whatever its pivot.
        """
        places: NDArray[np.float64] = self.frames((angles,), root)[0]
        return places

    def frames(self, angles: Sequence[Angles], root: Matrix | None = None) -> NDArray[np.float64]:
        """Places of every panel in many frames of a motion, shape (frames, panels, 4, 4), each as `places`."""
        result = np.empty((len(angles), len(self.part.panels), 4, 4))
        result[:, self.index[self.part.root]] = space.identity() if root is None else root
        for name, parent, child, axis, through in self._order:
            run = [frame.get(name, 0.0) for frame in angles]
            if any(run):
                result[:, child] = result[:, parent] @ space.turns(axis, run, through)
            else:
                result[:, child] = result[:, parent]
        return result


def outward(part: Part) -> list[Fold]:
    """Folds in the order root to leaves. Raises ValueError when they do not make one tree."""
    found, left = {part.root}, list(part.folds)
    order: list[Fold] = []
    while left:
        ready = [fold for fold in left if fold.parent in found and fold.child not in found]
        if not ready:
            raise ValueError(f"part {part.name!r}: {left[0].name!r} does not hang on the root {part.root!r}")
        order += ready
        found |= {fold.child for fold in ready}
        left = [fold for fold in left if fold not in ready]
    if len(found) != len(part.panels):
        raise ValueError(f"part {part.name!r}: {len(part.panels) - len(found)} panels hang on nothing")
    return order


def closing_folds(part: Part) -> tuple[Fold, ...]:
    """The creases that close loops as folds, each with the angle at which it stands in the closed box. Degrees.

    They are no part of the tree: nothing hangs on them.
    """
    made = folder(part)
    return tuple(_closing(part, made, loop) for loop in part.loops)


def folds_of(part: Part, piece: Piece) -> list[Fold]:
    """The folds that are scored in the piece: creases with both panels in it. Rolls and cut folds are not."""
    inside = set(piece.panels)
    folds = (*part.folds, *closing_folds(part))
    return [f for f in folds if f.kind == "crease" and f.bends and f.parent in inside and f.child in inside]


def _closing(part: Part, made: Folder, loop: Loop) -> Fold:
    first, second = loop.panels
    fold = Fold(f"{first}/{second}", first, second, loop.line, 0.0)
    (ax, ay), (bx, by) = loop.line
    axis = np.array([bx - ax, by - ay, 0.0]) * child_side(part, fold)
    seen = space.relative(made.closed[made.index[second]], made.closed[made.index[first]])[:3, :3]
    axis /= math.sqrt(float(axis @ axis))
    square = np.cross((0.0, 0.0, 1.0), axis)
    turned = seen @ square
    angle = math.degrees(math.atan2(float(turned[2]), float(turned @ square)))
    smooth = bool(part.panel[first].body) and part.panel[first].body == part.panel[second].body
    return Fold(fold.name, first, second, loop.line, round(angle, 6), kind="roll" if smooth else "crease")


def folder(part: Part) -> Folder:
    """The `Folder` of a part, made once and kept with it: to find it by its hash would cost more than many of its uses."""
    made: Folder | None = part.__dict__.get("_folder")
    if made is None:
        made = part.__dict__["_folder"] = Folder(part)
    return made

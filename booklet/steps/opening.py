"""Whether the item can still go in: the way from outside to its place, straight along one direction. Millimetres."""

from __future__ import annotations

from collections.abc import Sequence, Set

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import plane, space
from booklet.collide import convex_parts
from booklet.folding import Folder
from booklet.net import Item

Places = NDArray[np.float64]
Way = tuple[int, int]
"""An axis of the closed box, 0 to 2, and the side from which the item comes, +1 or -1."""

WAYS: tuple[Way, ...] = ((2, 1), (0, 1), (0, -1), (1, 1), (1, -1))
"""From above first; never from below."""

_FAR = 1e5
_EASE = 0.5
"""mm: what stands less far in the way gives (the hand's tolerance)."""


class Opening:
    """The item's ways into a part, in the frame of the closed box."""

    def __init__(self, folder: Folder, item: Item):
        self.folder, self.item = folder, item
        half = np.array([item.length / 2, item.width / 2, 0.0])
        self._low = -half + np.array([_EASE, _EASE, _EASE])
        self._high = half + np.array([-_EASE, -_EASE, item.height - _EASE])
        holed = {i for i, panel in enumerate(folder.part.panels) if panel.holes}
        self._pieces = {i: [space.lifted(ring) for ring in self._rings(i, i in holed)] for i in range(len(folder.part.panels))}
        self._truly = set(self._pieces) if item.shape == "round" else holed

    def _rings(self, panel: int, holed: bool) -> Sequence[plane.Ring]:
        one = self.folder.part.panels[panel]
        return convex_parts(one.outline, one.holes) if holed else (one.outline,)

    def bars(self, place: NDArray[np.float64], panel: int, way: Way) -> bool:
        """Whether a panel at a place stands in the item's way."""
        low, high = self._low.copy(), self._high.copy()
        (high if way[1] > 0 else low)[way[0]] = _FAR * way[1]
        met = (_within(space.applied(place, ring), low, high) for ring in self._pieces[panel])
        if way[0] == 2 and panel in self._truly:
            return any(len(points) > 0 and self._under(points) for points in met)
        return any(len(points) > 0 for points in met)

    def _under(self, points: NDArray[np.float64]) -> bool:
        """Whether card over or beside the item is over it, as its true outline is, seen from above."""
        across = self.item.length / 2 - _EASE
        seen = shapely.MultiPoint(points[:, :2]).convex_hull
        return self.item.shape == "block" or float(seen.distance(shapely.Point(0.0, 0.0))) < across

    def free(self, places: Places, way: Way, aside: Set[int] = frozenset()) -> bool:
        """Whether no panel stands in the way, those apart that are bent aside."""
        return not any(self.bars(place, i, way) for i, place in enumerate(places) if i not in aside)

    def carries(self, place: NDArray[np.float64], panel: int) -> bool:
        """Whether a panel at a place lies under the middle of the item: under its floor, or under it in a trough that bulges."""
        points = space.applied(place, self.folder.outlines[panel])
        thick = 8 * self.folder.part.caliper + 1.0
        if float(points[:, 2].max()) > thick or float(points[:, 2].min()) < -max(thick, self.item.height, self.item.width / 2):
            return False
        return plane.contains([(float(x), float(y)) for x, y in points[:, :2]], (0.01, 0.013))


def _within(points: NDArray[np.float64], low: NDArray[np.float64], high: NDArray[np.float64]) -> NDArray[np.float64]:
    """A convex outline clipped to a cuboid; empty where nothing of it is there."""
    for axis in range(3):
        for bound, keep in ((low[axis], 1.0), (high[axis], -1.0)):
            points = space.clipped(points, axis, float(bound), keep)
            if len(points) < 3:
                return points[:0]
    return points

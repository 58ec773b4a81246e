"""Whether the item can still go in: the way from outside to its place, straight along one direction. Millimetres."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from booklet import plane, space
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
        self.folder = folder
        half = np.array([item.length / 2, item.width / 2, 0.0])
        self._low = -half + np.array([_EASE, _EASE, _EASE])
        self._high = half + np.array([-_EASE, -_EASE, item.height - _EASE])

    def bars(self, place: NDArray[np.float64], panel: int, way: Way) -> bool:
        """Whether a panel at a place stands in the item's way."""
        low, high = self._low.copy(), self._high.copy()
        (high if way[1] > 0 else low)[way[0]] = _FAR * way[1]
        points = space.applied(place, self.folder.outlines[panel])
        for axis in range(3):
            for bound, keep in ((low[axis], 1.0), (high[axis], -1.0)):
                points = space.clipped(points, axis, float(bound), keep)
                if len(points) < 3:
                    return False
        return True

    def free(self, places: Places, way: Way) -> bool:
        """Whether no panel stands in the way."""
        return not any(self.bars(place, i, way) for i, place in enumerate(places))

    def carries(self, place: NDArray[np.float64], panel: int) -> bool:
        """Whether a panel at a place lies under the middle of the item."""
        points = space.applied(place, self.folder.outlines[panel])
        if float(np.abs(points[:, 2]).max()) > 8 * self.folder.part.caliper + 1.0:
            return False
        return plane.contains([(float(x), float(y)) for x, y in points[:, :2]], (0.01, 0.013))

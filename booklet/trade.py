"""The size of a box as the trade's code for cases tells it (FEFCO/ESBO): inside, in mm, L x B x H.

L is the longer side of the opening, B the shorter one, H runs from the opening to the base; of a telescope box, which has a lid of its own,
it is L x B x H/h, h the inside height of the lid. A box whose opening is no rectangle has no such size.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from booklet.folding import folder
from booklet.grid import Units
from booklet.lengths import read_off
from booklet.net import Net, Part
from booklet.tolerance import SAME_POINT

_SIDES = {(1, 0), (-1, 0), (0, 1), (0, -1)}


@dataclass(frozen=True, slots=True)
class Label:
    """Inside sizes, mm, as they are; `lid`: from the inner face of a lid of its own to the lower rim of its skirts, None without one."""

    length: float
    breadth: float
    height: float
    lid: float | None

    @property
    def kind(self) -> str:
        """What the label is of, as in [trade] of the words: a telescope box or a plain one."""
        return "plain" if self.lid is None else "telescope"

    def told(self, units: Units = "mm") -> str:
        """In whole mm, as a case is labelled, or to 1/16 in, the stroke then apart from those of fractions.

        >>> Label(100.5, 85.5, 44.2, 23.85).told(), Label(125.6, 95.6, 37.85, None).told()
        ('101 \u00d7 86 \u00d7 44/24 mm', '126 \u00d7 96 \u00d7 38 mm')
        >>> Label(101.6, 76.2, 38.1, 25.4).told("in")
        '4 \u00d7 3 \u00d7 1 1/2 / 1 in'
        """
        figure, stroke = (_sixteenths, " / ") if units == "in" else (_whole, "/")
        size = " \u00d7 ".join(map(figure, (self.length, self.breadth, self.height)))
        return f"{size} {units}" if self.lid is None else f"{size}{stroke}{figure(self.lid)} {units}"


def _whole(mm: float) -> str:
    """Halves go up, those that a sum of floats lies a hair under too."""
    return str(math.floor(mm + 0.5 + SAME_POINT))


def _sixteenths(mm: float) -> str:
    return read_off(mm, "in").removesuffix(" in")


def label(net: Net) -> Label | None:
    """The trade's size of a box; None where its opening, which is its upper end, is no rectangle, and for an insert alone.

    Its inside is what the proof finds free in the folded box.
    """
    parts = [part for part in net.parts if part.role != "insert"]
    if not _rectangular(parts):
        return None
    i, lids = net.inside, [part for part in parts if part.role == "lid"]
    return Label(max(i.length, i.width), min(i.length, i.width), i.height, _lid_height(lids[0]) if lids else None)


def _rectangular(parts: list[Part]) -> bool:
    """Whether upright panels of the folded parts stand on all four sides, and none across a corner."""
    normals = np.concatenate([folder(part).stood[:, :3, 2] for part in parts]) if parts else np.empty((0, 3))
    upright = normals[np.abs(normals[:, 2]) < SAME_POINT, :2]
    square = np.abs(upright - np.rint(upright)).max(axis=1, initial=0.0) < SAME_POINT
    return bool(square.all()) and {(int(x), int(y)) for x, y in np.rint(upright)} >= _SIDES


def _lid_height(part: Part) -> float:
    """From the lower face of a lid's panel, in the closed box, to the lowest corner of its skirts."""
    made = folder(part)

    def lowest(role: str) -> float:
        corners = ((made.stood[i], made.outlines[i]) for i, panel in enumerate(part.panels) if panel.role == role)
        return min(float((points @ place[:3, :3].T + place[:3, 3])[:, 2].min()) for place, points in corners)

    return lowest("lid") - part.caliper / 2 - lowest("skirt")

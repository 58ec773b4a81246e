"""What goes round a finished box: a belly band, a ribbon tied crosswise, and a tag. Millimetres."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import space
from booklet.grid import INCH, Grid, Units
from booklet.plane import Ring
from booklet.proof import Solid

Vector = NDArray[np.float64]

LAP = 15.0
"""mm by which a band laps over itself, or over the next strip (common practice, no source)."""

BOW = 500.0
"""mm of ribbon for a bow with its tails (common practice, no source)."""

STEP: dict[Units, float] = {"mm": 50.0, "in": 2 * INCH}
"""A ribbon is cut to whole steps of 5 cm or 2 in."""

TAG: dict[Units, tuple[float, float]] = {"mm": (85.0, 50.0), "in": (3.5 * INCH, 2 * INCH)}
HOLE: dict[Units, float] = {"mm": 5.0, "in": 3 / 16 * INCH}
"""Length and height of a tag, and the diameter of its hole (chosen by us)."""

_THIN, _FLAT = 12.0, 0.15
"""A thing that is thinner than so many mm, or than this share of its length, is no box that a band or a ribbon goes round, as a wallet
(chosen by us)."""

_LEAST_BAND = 10.0
_EVEN, _BULGE = 0.08, 1.0
"""The share by which the way round may change over the width of a band, as it does over the edge of a lid; mm by which it may be longer
in the middle, or the band slips (chosen by us)."""

_TOP_FROM, _TOP_SHARE = 0.85, 0.4
"""A ribbon needs a top: at this share of the height the box has this share of its footprint left (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Band:
    """A belly band: how long it is with its lap, how wide, of how many strips, each of a length.

    `upright`: whether it goes round the walls; else over top and base, round the middle. `middle`: where its middle is, upward or along.
    """

    length: float
    width: float
    strips: int
    strip: float
    upright: bool
    middle: float


@dataclass(frozen=True, slots=True)
class Outer:
    """The outside of the closed box: its size and its lower corner; its panels in space by half of their caliper, in their mid-surface."""

    size: tuple[float, float, float]
    low: tuple[float, float, float]
    panels: Mapping[float, Sequence[Vector]]


def outer(solid: Solid) -> Outer:
    """The closed box as seen from outside, without inserts."""
    panels: dict[float, list[Vector]] = {}
    faces = []
    for part in solid.net.parts:
        if part.role == "insert":
            continue
        half = part.caliper / 2
        for rows in part.places:
            way = space.matrix(rows) @ space.inverse(space.matrix(part.places[0]))
            for panel, place in zip(part.panels, solid.stacked[part.name], strict=True):
                panels.setdefault(half, []).append(space.applied(way @ place, space.lifted(panel.outline)))
                faces += [space.applied(way @ place, space.lifted(panel.outline, z)) for z in (-half, half)]
    if not faces:
        return Outer((0.0, 0.0, 0.0), (0.0, 0.0, 0.0), panels)
    points = np.concatenate(faces)
    low, high = points.min(0), points.max(0)
    x, y, z = (float(v) for v in high - low)
    return Outer((x, y, z), (float(low[0]), float(low[1]), float(low[2])), panels)


def _section(box: Outer, axis: int, low: float, high: float) -> Any:
    """The hull of what lies between two heights on an axis, seen along it, its corners sharp."""
    hulls = []
    for half, rings in box.panels.items():
        found = []
        for ring in rings:
            cut = space.clipped(ring, axis, low, 1.0)
            cut = space.clipped(cut, axis, high, -1.0) if len(cut) else cut
            if len(cut):
                found.append(np.delete(cut, axis, 1))
        if found:
            hulls.append(shapely.MultiPoint(np.concatenate(found)).convex_hull.buffer(half, join_style="mitre"))
    return shapely.union_all(hulls).convex_hull if hulls else shapely.Polygon()


def hull_across(box: Outer, axis: int, middle: float, width: float) -> Ring:
    """The hull of what lies within a width about a point of an axis, seen along it: anticlockwise in the other two axes."""
    hull = shapely.geometry.polygon.orient(_section(box, axis, middle - width / 2, middle + width / 2))
    return tuple((float(x), float(y)) for x, y in hull.exterior.coords[:-1])


def wrapped(solid: Solid, box: Outer) -> bool:
    """Whether a band or a ribbon makes sense: the box is closed and no flat thing."""
    return solid.net.closed and bool(box.panels) and min(box.size) >= max(_THIN, _FLAT * max(box.size))


def band(solid: Solid, grid: Grid, sheet: tuple[float, float], edge: float) -> Band | None:
    """The band round the middle of the closed box, of paper of this sheet; None where it would slip or the box is open.

    It goes round the walls, its middle at half of the inside's height; where those lean, over top and base across the length.
    """
    box = outer(solid)
    if not wrapped(solid, box):
        return None
    upward = min(box.size[2], solid.net.inside.height + 2 * solid.net.caliper)
    for axis, long, middle in ((2, upward, solid.net.inside.height / 2), (0, box.size[0], box.low[0] + box.size[0] / 2)):
        width = max(grid.nearest(long / 3), grid.up(_LEAST_BAND))
        girth = _even_girth(box, axis, middle, width)
        if girth:
            return replace(_cut(girth, width, grid, sheet, edge, axis == 2), middle=middle)
    return None


def _even_girth(box: Outer, axis: int, middle: float, width: float) -> float:
    """The way round the box over the width of a band, mm; 0 where it is not even there, or the box bulges."""
    whole = _section(box, axis, middle - width / 2, middle + width / 2)
    low, mid, high = (_section(box, axis, at - 0.25, at + 0.25).length for at in (middle - width / 2, middle, middle + width / 2))
    even = min(low, mid, high) >= (1 - _EVEN) * whole.length > 0
    return float(whole.length) if even and mid <= max(low, high) + _BULGE else 0.0


def _cut(girth: float, width: float, grid: Grid, sheet: tuple[float, float], edge: float, upright: bool) -> Band:
    """The band cut of the paper, in as many strips as it takes."""
    long = grid.up(girth + LAP)
    room = [side - 2 * edge for side, other in (sheet, sheet[::-1]) if other - 2 * edge >= width]
    most = max(room, default=max(sheet) - 2 * edge)
    strips = 1 if long <= most or most <= 2 * LAP else math.ceil((long - LAP) / (most - LAP - grid.mark))
    return Band(long, width, strips, grid.up((long + (strips - 1) * LAP) / strips), upright, 0.0)


def ribbon(solid: Solid, units: Units) -> float:
    """mm of ribbon for a cross tie with a bow: 2 lengths, 2 widths, 4 heights and the bow (common practice, no source); 0 for none."""
    box = outer(solid)
    if not wrapped(solid, box) or not _has_a_top(box):
        return 0.0
    length, width, height = box.size
    return math.ceil((2 * length + 2 * width + 4 * height + BOW) / STEP[units] - 1e-9) * STEP[units]


def _has_a_top(box: Outer) -> bool:
    """Whether the box is wide enough at its top for a ribbon to lie there crosswise."""
    low, high = box.low[2], box.size[2]
    foot = _section(box, 2, low - 1.0, low + high + 1.0).area
    top = _section(box, 2, low + _TOP_FROM * high, low + high + 1.0).area
    return bool(top >= _TOP_SHARE * foot > 0)

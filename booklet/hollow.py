"""What is inside a folded box, whatever its shape: whether card closes it all round, and how much room the thing has. Millimetres.

A box with a cuboid inside is measured by its cuboid too (see `proof`); here nothing is asked of its shape.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import space
from booklet.check import Check, at_least, at_most
from booklet.collide import convex_parts
from booklet.fit import Fit
from booklet.net import Net, Part
from booklet.thickness import AIR, lid_slip
from booklet.tolerance import COMPUTED, SAME_POINT

if TYPE_CHECKING:
    from booklet.proof import Solid

Vector = NDArray[np.float64]

_LOOKS = 600
"""Directions in which the middle of the box looks for a way out."""

_SEEN = 2.0
"""Percent of them that may find one: thumb notches, and the play at the ends of flaps (chosen by us)."""

_GAP = 1.5
"""mm: a gap as wide as twice this between two panels is the play that flaps and tucks need (chosen by us)."""

_OVER_FLOOR = 0.05


def closed(solid: Solid) -> list[Check]:
    """From the middle of the inside card is seen in every direction; in an open box in every direction that is not up."""
    net = solid.net
    if all(part.role == "insert" for part in net.parts):
        return []
    start = np.array([0.0, 0.0, net.inside.height / 2])
    looks = _directions()
    looks = looks if net.closed else looks[looks[:, 2] <= 0]
    out = float(np.mean(~_meet_card(solid, start, looks))) * 100
    text = f"From the middle of the box card is seen all round{'' if net.closed else ' and below'}."
    return [at_most("closed.round", round(out, 3), _SEEN, "percent", text)]


def _directions() -> Vector:
    """Evenly spread over a sphere, by the golden angle, (looks, 3)."""
    k = np.arange(_LOOKS)
    turns, heights = k * math.pi * (3 - math.sqrt(5)), 1 - (2 * k + 1) / _LOOKS
    across = np.sqrt(1 - heights**2)
    return np.stack([across * np.cos(turns), across * np.sin(turns), heights], axis=1)


def _meet_card(solid: Solid, start: Vector, looks: Vector) -> NDArray[np.bool_]:
    """Which looks meet a panel."""
    met = np.zeros(len(looks), bool)
    for part in solid.net.parts:
        for shape, inverse in zip(solid.wide[part.name], solid.inverse[part.name], strict=True):
            met |= _hit(shape, inverse, start, looks)
    return met


def _hit(shape: Any, inverse: Vector, start: Vector, looks: Vector) -> NDArray[np.bool_]:
    p, ways = inverse[:3, :3] @ start + inverse[:3, 3], looks @ inverse[:3, :3].T
    with np.errstate(divide="ignore", invalid="ignore"):
        runs = -p[2] / ways[:, 2]
        points = p + runs[:, None] * ways
    ahead = (runs > 0) & np.isfinite(runs)
    ahead[ahead] = shapely.contains_xy(shape, points[ahead, 0], points[ahead, 1])
    return ahead


def wide(part: Part) -> list[Any]:
    """Panels grown by the play that is left between panels, without their holes: what is cut on purpose is no gap."""
    return [shapely.Polygon(panel.outline).buffer(_GAP, join_style="mitre") for panel in part.panels]


def item_fits(solid: Solid, fit: Fit) -> Check:
    """A round thing in a hollow of any shape: from its axis to the nearest card below its top there is room for it and its play."""
    across, above = round_plays(solid)
    worst, least = fit.enough((across,), above)
    text = f"The item fits with its play: {across:.1f} mm across, {above:.1f} mm above."
    return at_least("item.fits", worst + SAME_POINT, round(least, 4), "mm", text)


def round_plays(solid: Solid) -> tuple[float, float]:
    """The play of a round thing in a hollow of any shape, in all, mm: across, and above."""
    item = solid.net.item
    return 2 * _free_radius(solid) - item.length, solid.net.inside.height - item.height


def _free_radius(solid: Solid) -> float:
    """Radius of the largest upright cylinder about the axis of the box, as high as the item, that no card enters."""
    axis, least = shapely.Point(0.0, 0.0), math.inf
    for points in _beside(solid, solid.net.item.height - _OVER_FLOOR):
        least = min(least, float(shapely.MultiPoint(points[:, :2]).convex_hull.distance(axis)))
    return least


def _beside(solid: Solid, top: float) -> Iterator[Vector]:
    """Convex shares of the panels' faces that stand between the floor and a height, in space."""
    for part in solid.net.parts:
        for panel, place in zip(part.panels, solid.stacked[part.name], strict=True):
            for ring in convex_parts(panel.outline, panel.holes):
                for z in (-part.caliper / 2, part.caliper / 2):
                    points = space.applied(place, space.lifted(ring, z))
                    points = space.clipped(points, 2, _OVER_FLOOR, 1.0)
                    points = space.clipped(points, 2, top, -1.0) if len(points) else points
                    if len(points):
                        yield points


def lid_fits(solid: Solid) -> list[Check]:
    """Between the box and a lid with sides at any angle there is play on every side, and not too much."""
    net = solid.net
    box, lid = (next(part for part in net.parts if part.role == role) for role in ("box", "lid"))
    slip = lid_slip(max(net.inside.length, net.inside.width, net.inside.height))
    play = 2 * _least(solid, lid, box, _faces_aside)
    loose = max(slip, AIR) + 2 * net.caliper + 1.6 + COMPUTED
    return [
        at_least("lid.slides", play, round(slip - COMPUTED, 3), "mm", f"The lid slides over the box with {play:.2f} mm of play."),
        at_most("lid.holds", play, round(loose, 3), "mm", "The lid is not loose."),
    ]


def drawer_slides(solid: Solid) -> list[Check]:
    """Between a drawer and the sleeve round it there is play across and upward, and not too much."""
    net = solid.net
    drawer, sleeve = (next(part for part in net.parts if part.role == role) for role in ("drawer", "sleeve"))
    slip = lid_slip(max(net.inside.length, net.inside.width))
    above, below = _least(solid, sleeve, drawer, _faces_up), _least(solid, sleeve, drawer, _faces_down)
    # where it stands, high or low, is left to it, but not in the sleeve's card
    upright = above + below if min(above, below) >= -COMPUTED else min(above, below)
    across = 2 * _least(solid, sleeve, drawer, _faces_aside)
    loose = slip + 2 * net.caliper + 1.6 + COMPUTED
    plays = f"{across:.2f} mm of play across and {upright:.2f} mm upward"
    return [
        at_least("drawer.slides", min(across, upright), round(slip - COMPUTED, 3), "mm", f"The drawer slides in its sleeve with {plays}."),
        at_most("drawer.holds", max(across, upright), round(loose, 3), "mm", "The drawer is not loose in its sleeve."),
    ]


def _faces_aside(place: Vector) -> bool:
    return abs(float(place[2, 2])) < 1e-6


def _faces_up(place: Vector) -> bool:
    return float(place[2, 2]) > 1 - 1e-6


def _faces_down(place: Vector) -> bool:
    return float(place[2, 2]) < 1e-6 - 1


def _least(solid: Solid, outer: Part, inner: Part, sides: Callable[[Vector], bool]) -> float:
    return min(slacks(solid, outer, inner, sides), default=math.nan)


def slacks(solid: Solid, outer: Part, inner: Part, sides: Callable[[Vector], bool]) -> list[float]:
    """For the panels of the outer part that are its sides, in their places in the stack: how far the inner part stays within each, mm."""
    middle = np.array([0.0, 0.0, solid.net.inside.height / 2])
    corners = np.concatenate(
        [space.applied(place, space.lifted(panel.outline)) for panel, place in zip(inner.panels, solid.nominal[inner.name], strict=True)]
    )
    found = []
    for panel, place in zip(outer.panels, solid.stacked[outer.name], strict=True):
        if sides(place):
            at = float(np.mean(space.applied(place, space.lifted(panel.outline)) - middle, axis=0) @ place[:3, 2])
            way = place[:3, 2] * math.copysign(1.0, at)
            within = float(((corners - middle) @ way).max()) + inner.caliper / 2
            found.append(abs(at) - outer.caliper / 2 - within)
    return found


def round_in_other(net: Net) -> bool:
    """Whether the thing is measured here: a round one in a hollow that is no cuboid."""
    return net.interior != "cuboid" and net.item.shape == "round"

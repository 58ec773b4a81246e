"""Where panels lie on each other when a part is folded. Regions are rings in mm in a flat frame."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import shapely

from booklet import space
from booklet.folding import Folder
from booklet.plane import Ring, cleaned

_LEAST_AREA = 1.0
_NARROW = 3.0
_GRID = 1e-4
_OFF_HOLE = 0.5
"""mm: glue keeps so far off a hole."""


def seen_from(folder: Folder, places: Any, first: str, second: str) -> shapely.Polygon:
    """The outline of the second panel in the flat frame of the first, both folded."""
    relative = space.relative(places[folder.index[second]], places[folder.index[first]])
    points = space.applied(relative, folder.outlines[folder.index[second]])
    return shapely.Polygon(np.round(points[:, :2], 9))


def shared(one: Any, other: Any) -> Any:
    """What two polygons have in common, on a grid of a tenth of a micrometre: edges that nearly coincide lose or double areas without."""
    try:
        return shapely.intersection(one, other, grid_size=_GRID)
    except shapely.errors.GEOSException:
        return one.intersection(other)


def largest(shape: Any) -> Ring:
    """The largest polygon of a shape, anticlockwise, without collinear points. Empty where there is none."""
    polygons = [g for g in shapely.get_parts(shape) if g.geom_type == "Polygon" and g.area > _LEAST_AREA]
    if not polygons:
        return ()
    best = shapely.geometry.polygon.orient(max(polygons, key=lambda g: g.area))
    return cleaned(tuple((float(x), float(y)) for x, y in best.exterior.coords[:-1]))


def common(folder: Folder, first: str, second: str, without: Sequence[str] = (), angles: Mapping[str, float] | None = None) -> Ring:
    """The largest region where the first panel lies on the second, less what other panels cover, in the first's frame.

    Empty where they have no strip of 3 mm in common.
    """
    places = folder.closed if angles is None else folder.places(angles)
    shape: Any = shapely.Polygon(folder.part.panel[first].outline)
    shape = shared(shape, seen_from(folder, places, first, second))
    shape = _beside_holes(shape, [*_holes(folder, places, first, first), *_holes(folder, places, first, second)])
    for other in without:
        shape = shape.difference(seen_from(folder, places, first, other).buffer(0.5, join_style="mitre"))
    return () if shape.buffer(-_NARROW / 2).is_empty else largest(shape)


def _holes(folder: Folder, places: Any, first: str, name: str) -> list[Any]:
    """The holes of a panel in the flat frame of the first one, both folded."""
    relative = space.relative(places[folder.index[name]], places[folder.index[first]])
    return [shapely.Polygon(space.applied(relative, space.lifted(hole))[:, :2]) for hole in folder.part.panel[name].holes]


def _beside_holes(shape: Any, holes: Sequence[Any]) -> Any:
    """A region without a band over its holes, along it or across it, whichever leaves more in one: glue goes beside what is cut out."""
    cut = shapely.union_all([hole for hole in holes if hole.intersects(shape)])
    if cut.is_empty:
        return shape
    (x0, y0, x1, y1), (left, low, right, high) = cut.buffer(_OFF_HOLE).bounds, shape.buffer(1.0).bounds
    bands = shapely.box(left, y0, right, y1), shapely.box(x0, low, x1, high)
    return max((shape.difference(band) for band in bands), key=lambda rest: max((g.area for g in shapely.get_parts(rest)), default=0.0))

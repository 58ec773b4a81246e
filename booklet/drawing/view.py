"""What is seen of faces in space from one side: parallel projection with exact hidden-line removal.

No order of painting and no splitting of faces: two flat faces hide each other on the overlap of their projections, and there the difference
of their depths is linear, so its sign at the corners of the overlap says which lies in front, or along which line they change places.
What is seen of a face is its projection less all that lies in front. Faces that cut through each other by no more than a hand's error
(a base panel that bites a little into its wall) are taken to touch.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiLineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from booklet.drawing.edges import FAR, drawn_edges, edge_on_lines
from booklet.drawing.scene import Face3, Points
from booklet.drawing.surface import GRID, Surface, View, surfaces
from booklet.tolerance import COMPUTED, HAND

SLIVER = 0.05
"""mm2: smaller pieces of what is seen are dropped; they are float noise or gaps that no pen can show."""

INSET = 0.01
"""mm: what hides an edge is drawn in by this, so that an edge along the border of what lies in front stays seen."""

Pair = tuple[int, int]


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """What is seen of one face, in the drawing plane, mm before any scale.

    `region` is what is seen of its area (empty when edge-on). `edges` are its seen edges: true edges and lines along which another face
    cuts through it, each whole as far as it is seen, never the borders of what hides it; two faces that share an edge both have it.
    `marked` tells whether the marked face is the one turned to the viewer, `area` is the whole projected area, hidden or not.
    """

    face: Face3
    region: BaseGeometry
    edges: BaseGeometry
    marked: bool
    area: float

    @property
    def share(self) -> float:
        """The share of the projected area that is seen; 0 edge-on."""
        return self.region.area / self.area if self.area > 0 else 0.0


def visible(faces: Sequence[Face3], view: View, sliver: float = SLIVER) -> list[Seen]:
    """What is seen of each face, in the order given. `sliver`, mm2: smaller pieces are left out."""
    return visible_of(surfaces(faces, view), sliver)


def visible_of(projected: Sequence[Surface], sliver: float = SLIVER) -> list[Seen]:
    """As `visible`, of faces that are projected already."""
    return visible_with_union(projected, sliver)[0]


def visible_with_union(projected: Sequence[Surface], sliver: float = SLIVER) -> tuple[list[Seen], BaseGeometry]:
    """As `visible_of`, and all that the faces cover."""
    cover, crossings = _covers(projected)
    left = [_areas(r) for r in _less([_area_of(s) for s in projected], cover)]
    # what is hidden whole adds nothing to what is covered, and its edges are those of what hides it where they are seen at all
    whole = union([s.polygon for s, r in zip(projected, left, strict=True) if not r.is_empty])
    regions = _mended(left, projected, whole)
    shown = [n for n, r in enumerate(regions) if not r.is_empty]
    lines: list[BaseGeometry] = [MultiLineString() for _ in projected]
    drawn = [drawn_edges(projected[n], projected, crossings[n]) for n in shown]
    for n, line in zip(shown, _less(drawn, offset([cover[n] for n in shown], -INSET)), strict=True):
        lines[n] = line
    if any(s.edge_on for s in projected):
        solid = [s for s in projected if not s.edge_on]
        shapes = offset([s.polygon for s in solid], -INSET)
        lines = [edge_on_lines(s, solid, shapes) if s.edge_on else line for s, line in zip(projected, lines, strict=True)]
    seen = [
        Seen(s.face, without_slivers(r, sliver), e, bool(s.normal[2] > 0), _area_of(s).area)
        for s, r, e in zip(projected, regions, lines, strict=True)
    ]
    return seen, whole


def outline(seen: Sequence[Seen], sliver: float = SLIVER) -> tuple[BaseGeometry, BaseGeometry]:
    """The outer contour of all that is seen, as polygons, and of the seen edges those that do not lie on it."""
    outer = contour([s.region for s in seen], sliver)
    band = shapely.buffer(outer.boundary, 2 * INSET, quad_segs=1)
    return outer, shapely.difference(shapely.MultiLineString([p for s in seen for p in shapely.get_parts(s.edges)]), band)


def shares(faces: Sequence[Face3], view: View, keys: Collection[str]) -> dict[str, tuple[float, float]]:
    """For each face named in `keys`: its projected area in mm2, and the share of it that is seen (0 edge-on)."""
    projected = surfaces(faces, view)
    wanted = [n for n, s in enumerate(projected) if s.face.key in keys]
    cover, _ = _covers(projected, frozenset(wanted))
    left = _less([_area_of(projected[n]) for n in wanted], [cover[n] for n in wanted])
    found = {}
    for n, region in zip(wanted, left, strict=True):
        whole = _area_of(projected[n]).area
        found[projected[n].face.key] = (whole, region.area / whole if whole > 0 else 0.0)
    return found


def contour(polygons: Sequence[BaseGeometry], sliver: float = SLIVER) -> BaseGeometry:
    """The union of projections, without cracks and specks of less than `sliver` mm2."""
    whole = union(polygons)
    return without_slivers(whole, sliver)


def without_slivers(shape: BaseGeometry, sliver: float) -> BaseGeometry:
    """The polygons of a shape that are not smaller than `sliver` mm2, with their holes that are not."""
    kept = [p for p in polygons_of(shape) if p.area >= sliver]
    return MultiPolygon([_without_specks(p, sliver) for p in kept]) if len(kept) != 1 else _without_specks(kept[0], sliver)


def polygons_of(shapes: Any) -> list[Polygon]:
    """The polygons of a shape or of several."""
    return [p for p in shapely.get_parts(shapes) if p.geom_type == "Polygon" and not p.is_empty]


def union(shapes: Sequence[BaseGeometry]) -> BaseGeometry:
    """Shapes as one, on the grid; one alone is on it already."""
    if len(shapes) < 2:
        return shapes[0] if len(shapes) else Polygon()
    return shapely.union_all(shapes, grid_size=GRID)


def _without_specks(shape: Polygon, sliver: float) -> Polygon:
    return shape if not len(shape.interiors) else Polygon(shape.exterior, [h for h in shape.interiors if Polygon(h).area >= sliver])


def _area_of(surface: Surface) -> Polygon:
    return Polygon() if surface.edge_on else surface.polygon


def _less(shapes: Sequence[BaseGeometry], covers: Sequence[BaseGeometry]) -> list[BaseGeometry]:
    left, over = np.array(shapes, object), np.array(covers, object)
    some = ~(shapely.is_empty(left) | shapely.is_empty(over)) if len(left) else np.zeros(0, bool)
    left[some] = shapely.difference(left[some], over[some], grid_size=GRID)
    return list(left)


def offset(shape: Any, by: float) -> Any:
    """A shape, or an array of them, grown by so many mm with its corners kept sharp; shrunk where `by` is negative."""
    # a mitre at a corner that turns straight back divides by zero on its way to a sound result
    with np.errstate(divide="ignore", invalid="ignore"):
        return shapely.buffer(shape, by, join_style="mitre")


def _areas(shape: BaseGeometry) -> BaseGeometry:
    """A shape without the lines and points that an overlay on a grid can leave beside its polygons."""
    if shape.geom_type == "GeometryCollection":
        return MultiPolygon([p for p in shape.geoms if p.geom_type == "Polygon"])
    return shape


def _mended(regions: list[BaseGeometry], projected: Sequence[Surface], whole: BaseGeometry) -> list[BaseGeometry]:
    """Small areas that three faces hide from one another in a ring, because shallow cuts count as touching, go to the nearest face."""
    if whole.area - sum(r.area for r in regions) < COMPUTED**2:
        return regions
    mended = list(regions)
    for hole in shapely.get_parts(_areas(shapely.difference(_areas(whole), _areas(union(regions)), grid_size=GRID))):
        inside = hole.representative_point()
        over = [n for n, s in enumerate(projected) if _area_of(s).contains(inside)] if hole.area > COMPUTED**2 else []
        if over:
            nearest = max(over, key=lambda n: float(projected[n].plane @ np.array([inside.x, inside.y, 1.0])))
            mended[nearest] = union([mended[nearest], hole])
    return mended


def _covers(projected: Sequence[Surface], wanted: Collection[int] | None = None) -> tuple[list[BaseGeometry], list[list[Points]]]:
    """For each face the union of what lies in front of it, and the lines along which others cut through it, each told of one of the two."""
    fronts: list[list[BaseGeometry]] = [[] for _ in projected]
    crossings: list[list[Points]] = [[] for _ in projected]
    for i, j, low, high in _overlaps(projected, wanted):
        a, b = projected[i].polygon, projected[j].polygon
        if min(low, high) > HAND:
            line = projected[j].plane - projected[i].plane
            fronts[i].append(_overlap(b, half_plane(line)))
            fronts[j].append(_overlap(a, half_plane(-line)))
            crossings[i] += [shapely.get_coordinates(p) for p in shapely.get_parts(_border(line) & a & b)]
        elif high >= low or max(low, high) < 10 * GRID:
            fronts[i].append(b)
        else:
            fronts[j].append(a)
    return [_cover(s, f) for s, f in zip(projected, fronts, strict=True)], crossings


def _cover(surface: Surface, fronts: Sequence[BaseGeometry]) -> BaseGeometry:
    """The union of what lies in front of a face; where one of them hides it whole, that one."""
    if len(fronts) < 2:
        return union(fronts)
    whole = np.flatnonzero(shapely.covers(fronts, surface.polygon))
    return fronts[whole[0]] if len(whole) else union(fronts)


def _overlaps(projected: Sequence[Surface], wanted: Collection[int] | None) -> Iterable[tuple[int, int, float, float]]:
    """Pairs i < j whose projections overlap, and how far at most j lies behind i, and before i, mm square to the steeper plane."""
    solid = [n for n, s in enumerate(projected) if not s.edge_on]
    shapes = np.array([projected[n].polygon for n in solid])
    # drawn in a little, so that the many that only share an edge are not asked what they have in common
    shrunk = offset(shapes, -10 * GRID)
    first, second = shapely.STRtree(shrunk).query(shrunk, predicate="intersects")
    keep = first < second
    pairs = [(solid[a], solid[b]) for a, b in zip(first[keep], second[keep], strict=True)]
    pairs = sorted(p for p in pairs if wanted is None or p[0] in wanted or p[1] in wanted)
    plain, pairs = _apart(projected, pairs)
    yield from plain
    for (i, j), gap in zip(pairs, _gaps(projected, pairs), strict=True):
        if len(gap):
            weight = min(abs(projected[i].normal[2]), abs(projected[j].normal[2]))
            yield i, j, max(0.0, -float(gap.min()) * weight), max(0.0, float(gap.max()) * weight)


def _apart(projected: Sequence[Surface], pairs: Sequence[Pair]) -> tuple[list[tuple[int, int, float, float]], list[Pair]]:
    """Pairs of which one lies behind the other all over the upright rectangle that both are in, as `_overlaps` tells them; and the rest."""
    if not pairs:
        return [], []
    shapes = np.array([s.polygon for s in projected])
    left, right = np.array(pairs, int).T
    one, two = shapely.bounds(shapes[left]), shapely.bounds(shapes[right])
    low, high = np.maximum(one[:, :2], two[:, :2]), np.minimum(one[:, 2:], two[:, 2:])
    planes = np.array([np.zeros(3) if s.edge_on else s.plane for s in projected])
    slope = planes[right] - planes[left]
    x, y = np.stack([low[:, 0], high[:, 0]]), np.stack([low[:, 1], high[:, 1]])
    gaps = slope[:, 0] * x[:, None] + slope[:, 1] * y[None] + slope[:, 2]
    least, most = gaps.min(axis=(0, 1)), gaps.max(axis=(0, 1))
    plain = (least > HAND) | (most < -HAND)
    told = [(i, j, -min(a, 0.0), max(b, 0.0)) for (i, j), a, b, p in zip(pairs, least.tolist(), most.tolist(), plain, strict=True) if p]
    return told, [pair for pair, p in zip(pairs, plain, strict=True) if not p]


def _gaps(projected: Sequence[Surface], pairs: Sequence[Pair]) -> list[NDArray[np.float64]]:
    """For each pair the depth of the second less that of the first at the corners of their overlap; none when they only touch."""
    shapes = np.array([s.polygon for s in projected])
    left, right = (np.array([p[k] for p in pairs], int) for k in (0, 1))
    # only signs are read off the corners: plain floats will do, and take half the time
    common = _overlap(shapes[left], shapes[right], None)
    at, owner = shapely.get_coordinates(common, return_index=True)
    planes = np.array([np.zeros(3) if s.edge_on else s.plane for s in projected])
    slope = (planes[right] - planes[left])[owner] if len(owner) else np.zeros((0, 3))
    gap = slope[:, 0] * at[:, 0] + slope[:, 1] * at[:, 1] + slope[:, 2]
    return np.split(gap, np.searchsorted(owner, np.arange(1, len(pairs)))) if pairs else []


def _overlap(a: Any, b: Any, grid: float | None = GRID) -> Any:
    """The area that two shapes, or each two of two arrays, have in common, without lines along which they only touch.

    Empty when it is nothing but noise.
    """
    common = shapely.intersection(a, b, grid_size=grid)
    common = np.array([_areas(shape) for shape in np.atleast_1d(common)], object)
    common[shapely.area(common) <= INSET * INSET] = Polygon()
    return common if np.ndim(a) else common[0]


def half_plane(line: Points) -> Polygon:
    """Where line[0] x + line[1] y + line[2] > 0, as a very large rectangle. The line has a direction."""
    (start, end), inward = _border(line).coords, line[:2] / np.hypot(*line[:2]) * FAR
    return Polygon([start, start + inward, end + inward, end])


def _border(line: Points) -> LineString:
    size = float(np.hypot(line[0], line[1]))
    inward = line[:2] / size
    foot, along = -inward * line[2] / size, np.array([-inward[1], inward[0]]) * FAR
    return LineString([foot - along, foot + along])

"""A scene drawn with a pen: white faces, one tint for what moves, seen edges, glue hatched in its own plane, ghosts, arrows, words.

All but the scene is in mm on paper. Lines that would run into each other on paper (layers of thin card) are drawn once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from booklet.drawing.edges import seen_lines
from booklet.drawing.lines import NEAR, Lines, Near, apart, joined, lines_of, pieces, steps, tidy
from booklet.drawing.pen import HATCH_ANGLE, HATCH_SPACING, STROKES, TINT, Pen, Stroke, cut_back, hatch_lines, head_ring
from booklet.drawing.scene import Face3, Points, Scene
from booklet.drawing.surface import Surface, View, surfaces
from booklet.drawing.view import (
    INSET,
    SLIVER,
    Seen,
    offset,
    polygons_of,
    visible_with_union,
    without_slivers,
)
from booklet.plane import Affine, Point
from booklet.tolerance import SAME_POINT

Box = tuple[float, float, float, float]
Label = tuple[tuple[float, float, float], str]
VIEWS = (
    *(View(azimuth, elevation) for elevation in (30.0, 45.0) for azimuth in (-32.0, 32.0, 148.0, -148.0)),
    *(View(azimuth, 40.0) for azimuth in (-14.0, 14.0, 76.0, -76.0)),
)
"""Where a picture may be seen from, the view of habit first: three-quarter from the front, then behind, then steeper, then nearly
square to a side, which shows what stands behind a wall (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Look:
    """How a picture looks: greys from 0 black to 1 white, lengths in mm on paper, words in points."""

    plain: float = 1.0
    marked: float = 0.96
    moving: float = TINT
    moving_marked: float = TINT - 0.04
    head: float = 2.5
    halo: float = 0.6
    least_arrow: float = 6.0
    least_both: float = 10.0
    outline: str = "outline"
    edge: str = "edge"
    label_pt: float = 7.0
    hatch: float = HATCH_SPACING
    near: Near = NEAR

    def grey(self, seen: Seen) -> float:
        """The grey of a face as it is seen."""
        if seen.face.moves:
            return self.moving_marked if seen.marked else self.moving
        return self.marked if seen.marked else self.plain


LOOK = Look()


@dataclass(frozen=True, eq=False)
class Looked:
    """A scene from one side: projected, and what is seen of it. To be painted once or more, at any scale.

    `whole` is the union of all projections. Pieces smaller than `sliver` mm2 are left out.
    """

    scene: Scene
    view: View
    sliver: float

    @cached_property
    def projected(self) -> list[Surface]:
        """The faces as projected."""
        return surfaces(self.scene.faces, self.view)

    @cached_property
    def _found(self) -> tuple[list[Seen], BaseGeometry]:
        return visible_with_union(self.projected, self.sliver)

    @property
    def seen(self) -> list[Seen]:
        """What is seen of each face."""
        return self._found[0]

    @property
    def whole(self) -> BaseGeometry:
        """All that is covered."""
        return without_slivers(self._found[1], self.sliver)

    @cached_property
    def ghosts(self) -> list[BaseGeometry]:
        """What is seen of the ghosts."""
        return list(seen_lines(self.scene.ghosts, self.projected, self.view)) if self.scene.ghosts else []


@dataclass(frozen=True, eq=False)
class Painted:
    """A picture on paper: where it stands, and its strokes other than hatching, straight pieces of shape (m, 2, 2).

    `arrows`: those of them that are arrows.
    """

    looked: Looked
    place: Affine
    strokes: Lines
    arrows: Lines

    def region(self, shape: BaseGeometry) -> BaseGeometry:
        """A shape of the drawing plane on paper."""
        return shapely.transform(shape, lambda at: _mapped(at, self.place))


def draw(pen: Pen, scene: Scene, view: View, box: Box, scale: float | None = None, look: Look = LOOK) -> float:
    """Draws a scene in the middle of a box on paper, as large as the box allows or at a scale; gives the scale used."""
    used = fit(pen, scene, view, box, look) if scale is None else scale
    paint(pen, Looked(scene, view, SLIVER / used**2), box, used, look)
    return used


def paint(pen: Pen, looked: Looked, box: Box, scale: float, look: Look = LOOK) -> Painted:
    """Draws what is seen of a scene in the middle of a box on paper at a scale."""
    scene, view = looked.scene, looked.view
    place, seen = _place(pen, scene, view, box, scale, look), looked.seen
    outer = _closed(looked.whole, look.near.blur / scale)
    _fill_faces(pen, seen, outer, place, look)
    for s in seen:
        _hatch_glue(pen, s, view, place, look)
    drawn = _draw_edges(pen, seen, outer, place, look)
    ghosts = _draw_ghosts(pen, looked.ghosts, place, drawn, look) if looked.ghosts else drawn[:0]
    least = look.least_both if scene.both_ways else look.least_arrow
    lines = [_long_enough(_mapped(view.project(line), place), box, least, look.head) for line in scene.arrows]
    arrows = [_draw_arrow(pen, line, look, scene.both_ways) for line in lines]
    for at, words in scene.labels:
        (x, y), *_ = _polyline(view.project(np.array([at])), place)
        pen.text((x, y - _low(look)), words, look.label_pt, "middle", halo=True)
    over = np.concatenate([drawn[:0], *arrows])
    return Painted(looked, place, np.concatenate([drawn, ghosts, over]), over)


def fit(pen: Pen, scene: Scene, view: View, box: Box, look: Look = LOOK) -> float:
    """The largest scale at which a scene, its arrows and its words fit into a box on paper.

    A run of pictures is drawn at the least of their scales. Raises ValueError for a scene without points.
    """
    wide, high = box[2] - box[0], box[3] - box[1]
    flat = _flat(scene, view)
    scale = _share(_extent(pen, scene.labels, flat, 1.0, look, rims=False), wide, high)
    for _ in range(6):
        scale *= min(1.0, _share(_extent(pen, scene.labels, flat, scale, look), wide, high))
    return scale


def _share(extent: Box, wide: float, high: float) -> float:
    x0, y0, x1, y1 = extent
    return min(wide / max(x1 - x0, SAME_POINT), high / max(y1 - y0, SAME_POINT))


def _flat(scene: Scene, view: View) -> tuple[Points, Points, Points]:
    """Corners of all lines, tips of arrows and points of labels in the drawing plane, each of shape (n, 2)."""
    lines = [*(ring for f in scene.faces for ring in f.rings), *scene.ghosts, *scene.arrows]
    tips = np.array([line[k] for line in scene.arrows for k in (0, -1)]).reshape(-1, 3)
    spots = np.array([at for at, _ in scene.labels], float).reshape(-1, 3)
    corners = np.concatenate(lines) if lines else np.zeros((0, 3))
    return view.project(corners)[:, :2], view.project(tips)[:, :2], view.project(spots)[:, :2]


def _extent(pen: Pen, labels: Sequence[Label], flat: tuple[Points, Points, Points], scale: float, look: Look, rims: bool = True) -> Box:
    """What a scene takes up on paper at a scale, seen from its origin: lines, and where `rims`, their widths, arrow heads and words."""
    corners, tips, spots = (part * scale for part in flat)
    rim = STROKES["outline"].width_mm / 2 if rims else 0.0
    spread = _spread(corners, rim, rim)
    if rims:
        spread += _spread(tips, look.head / 2, look.head / 2)
        for spot, (_, words) in zip(spots, labels, strict=True):
            spread += _spread(spot[None], pen.width(words, look.label_pt) / 2 + rim, 2 * _low(look))
    every = np.concatenate(spread)
    (x0, y0), (x1, y1) = every.min(axis=0).tolist(), every.max(axis=0).tolist()
    return x0, y0, x1, y1


def _spread(points: Points, dx: float, dy: float) -> list[Points]:
    room = np.array([dx, dy])
    return [points - room, points + room]


def _low(look: Look) -> float:
    """Half the height of a capital letter in mm, from the baseline to its middle."""
    return look.label_pt * 25.4 / 72 * 0.35


def _place(pen: Pen, scene: Scene, view: View, box: Box, scale: float, look: Look) -> Affine:
    """From the drawing plane to paper: the scene in the middle of the box."""
    x0, y0, x1, y1 = _extent(pen, scene.labels, _flat(scene, view), scale, look)
    return Affine(scale, 0, 0, scale, (box[0] + box[2] - x0 - x1) / 2, (box[1] + box[3] - y0 - y1) / 2)


def _mapped(points: Points, place: Affine) -> Points:
    """Points of the drawing plane, depth left out, on paper."""
    return points[:, :2] * place.a + np.array([place.e, place.f])


def _polyline(projected: Points, place: Affine) -> list[Point]:
    return [(x, y) for x, y in _mapped(projected, place).tolist()]


def _closed(shape: BaseGeometry, gap: float) -> BaseGeometry:
    """The shape, or polygons that may touch, with cracks up to `gap` wide filled, its corners as they were."""
    wide = offset(shape, gap / 2)
    return offset(wide, -gap / 2)


def _rings(shape: BaseGeometry, place: Affine) -> list[tuple[Point, ...]]:
    """The rings of polygons on paper."""
    rings = [ring for p in polygons_of(shape) for ring in (p.exterior, *p.interiors)]
    return [tuple(_polyline(shapely.get_coordinates(r)[:-1], place)) for r in rings if not r.is_empty]


def _fill_faces(pen: Pen, seen: Sequence[Seen], outer: BaseGeometry, place: Affine, look: Look) -> None:
    """One area for each grey, so that no seam shows between two faces of the same grey."""
    pen.fill(_rings(outer, place), 1.0)
    for grey in sorted({look.grey(s) for s in seen} - {1.0}, reverse=True):
        same = MultiPolygon(polygons_of([s.region for s in seen if look.grey(s) == grey]))
        if rings := _rings(_closed(same, look.near.blur / place.a), place):
            pen.fill(rings, grey)


def _hatch_glue(pen: Pen, seen: Seen, view: View, place: Affine, look: Look) -> None:
    """Lines at 45 degrees to the panel's longest edge, in the panel's plane, on the side that is turned to the viewer."""
    sides = (*seen.face.glue_side, *(1,) * len(seen.face.glue))
    for ring, side in zip(seen.face.glue, sides, strict=False):
        if (side > 0) == seen.marked and not seen.region.is_empty:
            lines = shapely.linestrings(_hatching(seen.face, ring, view, look.hatch / place.a))
            for piece in pieces(shapely.intersection(lines, seen.region)):
                pen.path(_polyline(piece, place), STROKES["glue"])


def _hatching(face: Face3, ring: Points, view: View, spacing: float) -> Points:
    """Hatch lines of a ring, computed in the face's plane and projected; shape (m, 2, 2)."""
    edges = np.roll(face.points, -1, axis=0) - face.points
    u = edges[np.argmax(np.linalg.norm(edges, axis=1))]
    u = u / np.linalg.norm(u)
    frame = np.array([u, np.cross(face.normal, u)])
    flat = [(float(x), float(y)) for x, y in (ring - face.points[0]) @ frame.T]
    lines = np.array(hatch_lines([flat], spacing, HATCH_ANGLE)).reshape(-1, 2, 2)
    return view.project(lines @ frame + face.points[0])[:, :, :2]


def _segments(shapes: Sequence[BaseGeometry], place: Affine) -> Lines:
    """The straight pieces of lines, on paper."""
    at, owner = shapely.get_coordinates(lines_of(shapes), return_index=True)
    found = steps(_mapped(at, place))
    return found[owner[:-1] == owner[1:]]


def _draw_edges(pen: Pen, seen: Sequence[Seen], outer: BaseGeometry, place: Affine, look: Look) -> Lines:
    """The outer contour in the thick line, every other seen edge once in the thinner one; gives all that was drawn."""
    contours = [_mapped(piece, place) for piece in pieces(_rim(outer, look.near, place.a))]
    around = np.concatenate([np.zeros((0, 2, 2)), *(steps(c) for c in contours)])
    drawn = apart(_segments([s.edges for s in seen], place), around, look.near)
    for line in tidy(joined(drawn[len(around) :]), around, look.near):
        _stroke(pen, line, look.edge)
    for contour_line in contours:
        _stroke(pen, [(x, y) for x, y in contour_line.tolist()], look.outline)
    return drawn


def _rim(outer: BaseGeometry, near: Near, scale: float) -> BaseGeometry:
    """The contour as lines, but not the sides of slits too narrow to be seen through: the thick line would fill them."""
    core = offset(_closed(outer, near.slit / scale), -INSET)
    return shapely.line_merge(shapely.difference(shapely.simplify(outer, 0.01 / scale).boundary, core))


def _stroke(pen: Pen, line: list[Point], name: str) -> None:
    closed = line[0] == line[-1] and len(line) > 3
    pen.path(line[:-1] if closed else line, STROKES[name], closed=closed)


def _draw_ghosts(pen: Pen, ghosts: Sequence[BaseGeometry], place: Affine, drawn: Lines, look: Look) -> Lines:
    """Dotted, where nothing stands before them and no edge is drawn already; gives what was drawn."""
    left = apart(_segments(ghosts, place), drawn, look.near)[len(drawn) :]
    for line in joined(left):
        pen.path(line, STROKES["ghost"])
    return left


def _long_enough(line: Points, box: Box, least: float, head: float) -> Points:
    """A line on paper that is long enough for an arrow: grown about its middle where it is not, and kept in the box."""
    run = float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
    if run >= least:
        return line
    middle = (line.min(axis=0) + line.max(axis=0)) / 2
    grown = middle + (line - middle) * (least / max(run, SAME_POINT))
    low, high = np.array(box[:2]) + head / 2, np.array(box[2:]) - head / 2
    return grown + np.maximum(low - grown.min(axis=0), 0.0) + np.minimum(high - grown.max(axis=0), 0.0)


def _draw_arrow(pen: Pen, line: Points, look: Look, both_ways: bool = False) -> Lines:
    """An arrow over everything, with a white rim round it; gives its strokes."""
    points = [(x, y) for x, y in line.tolist()]
    shaft = cut_back(points, look.head * 0.9)
    heads = [head_ring(shaft[-1], points[-1], look.head)]
    if both_ways:
        shaft = cut_back(shaft[::-1], look.head * 0.9)
        heads.append(head_ring(shaft[-1], points[0], look.head))
    pen.path(shaft, Stroke(STROKES["arrow"].width_mm + 2 * look.halo, grey=1.0, round_ends=True))
    for head in heads:
        pen.path(head, Stroke(2 * look.halo, grey=1.0, round_ends=True), closed=True)
    pen.path(shaft, STROKES["arrow"])
    for head in heads:
        pen.fill([head], STROKES["arrow"].grey)
    return np.concatenate([steps(np.array(part)) for part in (shaft, *((*head, head[0]) for head in heads))])

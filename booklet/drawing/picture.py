"""A scene drawn with a pen: white faces, one tint for what moves, seen edges, glue hatched in its own plane, ghosts, arrows, words.

All but the scene is in mm on paper. Lines that would run into each other on paper (layers of thin card) are drawn once.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from booklet.drawing.lines import NEAR, Lines, Near, apart, joined, lines_of, pieces, steps, tidy
from booklet.drawing.pen import HATCH_ANGLE, HATCH_SPACING, STROKES, TINT, Pen, arrow, cut_back, hatch_lines, head_ring
from booklet.drawing.scene import Face3, Points, Scene
from booklet.drawing.view import INSET, SLIVER, Seen, View, contour, offset, seen_lines, shares, surfaces, union, visible_of
from booklet.plane import Affine, Point
from booklet.tolerance import SAME_POINT

Box = tuple[float, float, float, float]
Label = tuple[tuple[float, float, float], str]
VIEWS = tuple(View(azimuth, elevation) for elevation in (30.0, 45.0) for azimuth in (-32.0, 32.0, 148.0, -148.0))
"""Where a picture may be seen from, the view of habit first: three-quarter from the front, then behind, then steeper (chosen by us)."""

ENOUGH = 0.35
"""The share of a moving face that must be seen for the view of habit to be kept (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Look:
    """How a picture looks: greys from 0 black to 1 white, lengths in mm on paper, words in points."""

    plain: float = 1.0
    marked: float = 0.96
    moving: float = TINT
    moving_marked: float = TINT - 0.04
    head: float = 2.5
    halo: float = 0.6
    label_pt: float = 7.0
    hatch: float = HATCH_SPACING
    near: Near = NEAR

    def grey(self, seen: Seen) -> float:
        """The grey of a face as it is seen."""
        if seen.face.moves:
            return self.moving_marked if seen.marked else self.moving
        return self.marked if seen.marked else self.plain


LOOK = Look()


def draw(pen: Pen, scene: Scene, view: View, box: Box, scale: float | None = None, look: Look = LOOK) -> float:
    """Draws a scene in the middle of a box on paper, as large as the box allows or at a scale; gives the scale used."""
    used = fit(pen, scene, view, box, look) if scale is None else scale
    place = _place(pen, scene, view, box, used, look)
    projected = surfaces(scene.faces, view)
    seen = visible_of(projected, SLIVER / used**2)
    outer = _closed(contour([s.region for s in seen], SLIVER / used**2), look.near.blur / used)
    _fill_faces(pen, seen, outer, place, look)
    for s in seen:
        _hatch_glue(pen, s, view, place, look)
    drawn = _draw_edges(pen, seen, outer, place, look)
    if scene.ghosts:
        _draw_ghosts(pen, seen_lines(scene.ghosts, projected, view), place, drawn, look)
    for line in scene.arrows:
        _draw_arrow(pen, _polyline(view.project(line), place), look)
    for at, words in scene.labels:
        (x, y), *_ = _polyline(view.project(np.array([at])), place)
        pen.text((x, y - _low(look)), words, look.label_pt, "middle", halo=True)
    return used


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
    tips = np.array([line[-1] for line in scene.arrows]).reshape(-1, 3)
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
    """The shape with cracks up to `gap` wide filled, its corners as they were."""
    wide = offset(shape, gap / 2)
    return offset(wide, -gap / 2)


def _rings(shape: BaseGeometry, place: Affine) -> list[tuple[Point, ...]]:
    """The rings of polygons on paper."""
    whole = [p for p in shapely.get_parts(shape) if p.geom_type == "Polygon"]
    rings = [ring for p in whole for ring in (p.exterior, *p.interiors)]
    return [tuple(_polyline(shapely.get_coordinates(r)[:-1], place)) for r in rings if not r.is_empty]


def _fill_faces(pen: Pen, seen: Sequence[Seen], outer: BaseGeometry, place: Affine, look: Look) -> None:
    """One area for each grey, so that no seam shows between two faces of the same grey."""
    pen.fill(_rings(outer, place), 1.0)
    for grey in sorted({look.grey(s) for s in seen} - {1.0}, reverse=True):
        same = union([s.region for s in seen if look.grey(s) == grey])
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
        _stroke(pen, line, "edge")
    for contour_line in contours:
        _stroke(pen, [(x, y) for x, y in contour_line.tolist()], "outline")
    return drawn


def _rim(outer: BaseGeometry, near: Near, scale: float) -> BaseGeometry:
    """The contour as lines, but not the sides of slits too narrow to be seen through: the thick line would fill them."""
    core = offset(_closed(outer, near.slit / scale), -INSET)
    return shapely.line_merge(shapely.difference(shapely.simplify(outer, 0.01 / scale).boundary, core))


def _stroke(pen: Pen, line: list[Point], name: str) -> None:
    closed = line[0] == line[-1] and len(line) > 3
    pen.path(line[:-1] if closed else line, STROKES[name], closed=closed)


def _draw_ghosts(pen: Pen, ghosts: Sequence[BaseGeometry], place: Affine, drawn: Lines, look: Look) -> None:
    """Dotted, where nothing stands before them and no edge is drawn already."""
    for line in joined(apart(_segments(ghosts, place), drawn, look.near)[len(drawn) :]):
        pen.path(line, STROKES["ghost"])


def _draw_arrow(pen: Pen, points: list[Point], look: Look) -> None:
    """An arrow over everything, with a white rim round it."""
    shaft = cut_back(points, look.head * 0.9)
    head = shapely.buffer(Polygon(head_ring(shaft[-1], points[-1], look.head)), look.halo)
    rim = shapely.buffer(LineString(shaft), STROKES["arrow"].width_mm / 2 + look.halo)
    pen.fill(_rings(head | rim, Affine()), 1.0)
    arrow(pen, points, look.head)


def share_seen(faces: Sequence[Face3], view: View, keys: Collection[str] | None = None) -> dict[str, float]:
    """For each face, or each one named, the share of its projected area that is seen, 0 to 1; 0 edge-on."""
    wanted = {f.key for f in faces} if keys is None else keys
    return {key: share for key, (_, share) in shares(faces, view, wanted).items()}


def best_view(frames: Sequence[Sequence[Face3]], moving: Collection[str], candidates: Sequence[View] = VIEWS) -> View:
    """The view for a run of pictures, one list of faces each.

    The first candidate, when it shows enough of each moving face in each picture; else the one that shows the most of what moves,
    over all pictures; of equals the first.
    """
    home = candidates[0]
    if all(share >= ENOUGH for faces in frames for share in share_seen(faces, home, moving).values()):
        return home
    return max(candidates, key=lambda view: round(_shown(frames, moving, view), 3))


def _shown(frames: Sequence[Sequence[Face3]], moving: Collection[str], view: View) -> float:
    """Seen area of what moves, mm2, in all frames."""
    return sum(area * share for faces in frames for area, share in shares(faces, view, moving).values())


def arc(places: Sequence[Sequence[float]], offset: float = 8.0, trim: float = 0.06, steps: int = 24) -> Points:
    """A smooth line in space along the places that a panel's middle passes, for an arrow; shape (steps + 1, 3).

    Where the way bends, the line is moved `offset` mm outward from the middle of the bend, so that it stands clear of the
    panel; a straight way stays where it is. `trim` is the share of the way left free at both ends.
    """
    way = _smooth(np.asarray(places, float), trim, steps)
    middle = _bend(way[0], way[steps // 2], way[-1])
    if middle is None:
        return way
    out = way - middle
    return way + offset * out / np.linalg.norm(out, axis=1)[:, None]


def _smooth(places: Points, trim: float, steps: int) -> Points:
    """Evenly spaced points on the curve of Catmull and Rom through the places."""
    p = np.concatenate([_before(places), places, _before(places[::-1])])
    at = np.linspace(0, len(places) - 1, 8 * steps + 1)
    k = np.minimum(at.astype(int), len(places) - 2)
    t = (at - k)[:, None]
    a, b, c, d = p[k], p[k + 1], p[k + 2], p[k + 3]
    dense = (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3) / 2
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(dense, axis=0), axis=1))])
    wanted = np.linspace(trim, 1 - trim, steps + 1) * run[-1]
    return np.stack([np.interp(wanted, run, dense[:, axis]) for axis in range(3)], axis=1)


def _before(places: Points) -> Points:
    """The place before the first, as the first three or two lead to expect."""
    a, b, *more = places
    return (3 * a - 3 * b + more[0] if more else 2 * a - b)[None]


def _bend(first: Points, middle: Points, last: Points) -> Points | None:
    """The centre of the circle through three points in space; None when they are as good as in line."""
    a, b = first - last, middle - last
    square = np.cross(a, b)
    size = float(square @ square)
    if size <= 1e-4 * float(a @ a) * float(b @ b):
        return None
    return last + np.cross(float(a @ a) * b - float(b @ b) * a, square) / (2 * size)

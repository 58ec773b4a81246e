"""What a finished box is dressed with: it in its band and its ribbon, and a tag at true size. Boxes on paper in mm."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from booklet.drawing.pen import MM_PER_POINT, STROKES, TINT, Pen, circle
from booklet.drawing.picture import draw
from booklet.drawing.pose import HOME
from booklet.drawing.room import Box
from booklet.drawing.scenes import finished
from booklet.drawing.steps import extent, fitting
from booklet.drawing.textlines import set_by, wrapped
from booklet.plan import Plan
from booklet.plane import Affine, Point, Ring
from booklet.wrapping import HOLE, TAG, Band, hull_across, outer

Vector = NDArray[np.float64]

RIBBON = 7.0
"""mm: the width that a ribbon is drawn with (chosen by looking)."""

_BOW = 22.0
"""mm of paper that a bow is wide (chosen by looking)."""

_LARGEST_PT, _LEAST_PT = 22.0, 7.0
_LINE = 1.25
_INSET = 3.0
"""mm from the edge of a tag to its border."""

_CORNER = 0.22
"""The share of a tag's height that its corners are cut off at the hole (chosen by looking)."""


def draw_band(pen: Pen, plan: Plan, band: Band, box: Box) -> None:
    """The finished box with its band, tinted."""
    place = _draw_box(pen, plan, box)
    axis = 2 if band.upright else 0
    around = hull_across(outer(plan.solid), axis, band.middle, band.width)
    _wind(pen, place, _strip(around, axis, band.middle, band.width))


def draw_ribbon(pen: Pen, plan: Plan, box: Box) -> None:
    """The finished box tied crosswise, with a bow on top."""
    place = _draw_box(pen, plan, box)
    whole = outer(plan.solid)
    for axis in (0, 1):
        middle = whole.low[axis] + whole.size[axis] / 2
        _wind(pen, place, _strip(hull_across(whole, axis, middle, RIBBON), axis, middle, RIBBON))
    top = np.array([[whole.low[0] + whole.size[0] / 2, whole.low[1] + whole.size[1] / 2, whole.low[2] + whole.size[2]]])
    _bow(pen, place(HOME.view.project(top))[0])


class _Place:
    """From the drawing plane to paper."""

    def __init__(self, scale: float, x: float, y: float):
        self.scale, self.shift = scale, np.array([x, y])

    def __call__(self, flat: Vector) -> list[Point]:
        """Points on paper."""
        return [(float(x), float(y)) for x, y in flat[:, :2] * self.scale + self.shift]


def _draw_box(pen: Pen, plan: Plan, box: Box) -> _Place:
    """The closed box in the middle of a box on paper, with room over it."""
    picture, x0, y0, x1, y1 = finished(plan), *box
    area = extent(picture.scene, picture.view)
    scale = fitting(area, x1 - x0, y1 - y0)
    draw(pen, picture.scene, picture.view, box, scale)
    return _Place(scale, (x0 + x1 - scale * (area[0] + area[2])) / 2, (y0 + y1 - scale * (area[1] + area[3])) / 2)


def _strip(around: Sequence[Point], axis: int, middle: float, width: float) -> Iterator[Vector]:
    """The flat stretches of a strip that goes round a convex section across an axis, each as four corners seen from outside.

    A stretch's second corner is the first one of the next.
    """
    low, high = middle - width / 2, middle + width / 2
    if axis == 1:  # x and z are no right-handed pair
        low, high = high, low
    for a, b in zip(around, [*around[1:], around[0]], strict=True):
        corners = [_lifted(p, axis, at) for p, at in ((a, low), (b, low), (b, high), (a, high))]
        yield np.array(corners)


def _lifted(p: Point, axis: int, at: float) -> list[float]:
    """A point of a section across an axis, in space."""
    found = list(p)
    found.insert(axis, at)
    return found


def _wind(pen: Pen, place: _Place, strips: Iterator[Vector]) -> None:
    """The flat stretches that look towards the viewer: tinted, with a line round them and one where they bend by much."""
    import shapely

    rings = [(corners, place(HOME.view.project(corners))) for corners in strips]
    seen = [(corners, ring) for corners, ring in rings if _turning(ring) > 0.05]
    whole = shapely.union_all([shapely.Polygon(ring).buffer(0.02, join_style="mitre") for _, ring in seen])
    for one in shapely.get_parts(whole):
        ring = [(float(x), float(y)) for x, y in one.exterior.coords[:-1]]
        pen.fill([tuple(ring)], TINT)
        pen.path(ring, STROKES["edge"], closed=True)
    for (before, _), (after, ring) in zip(seen, seen[1:] + seen[:1], strict=True):
        if np.allclose(before[1], after[0]) and _bend(before, after) > _SHARP:
            pen.path((ring[0], ring[3]), STROKES["edge"])


_SHARP = 25.0
"""Degrees: where a strip bends by less it is drawn smooth (chosen by looking)."""


def _turning(ring: Sequence[Point]) -> float:
    """Twice the signed area of a ring: above zero where it runs anticlockwise."""
    return sum(ax * by - bx * ay for (ax, ay), (bx, by) in zip(ring, [*ring[1:], ring[0]], strict=True))


def _bend(one: Vector, other: Vector) -> float:
    """Degrees by which two stretches bend."""
    a, b = (np.cross(corners[1] - corners[0], corners[3] - corners[0]) for corners in (one, other))
    return math.degrees(math.acos(max(-1.0, min(1.0, float(a @ b) / math.sqrt(float(a @ a) * float(b @ b))))))


def _bow(pen: Pen, at: Point) -> None:
    """Two loops, two tails and a knot."""
    x, y = at
    for side in (-1.0, 1.0):
        tail = [(0.0, 0.0), (0.22, -0.3), (0.34, -0.22), (0.08, 0.04)]
        loop = [(0.5 * (1 - math.cos(t)) * 0.5 * 2, 0.32 * math.sin(t) * (0.55 + 0.45 * (1 - math.cos(t)) / 2)) for t in _AROUND]
        for shape in (tail, loop):
            ring = [(x + side * _BOW / 2 * px, y + _BOW / 2 * py + 0.06 * _BOW * px) for px, py in shape]
            pen.fill([tuple(ring)], TINT if shape is tail else 1.0)
            pen.path(ring, STROKES["edge"], closed=True)
    knot = circle((x, y), _BOW * 0.07, 24)
    pen.fill([knot], TINT)
    pen.path(knot, STROKES["edge"], closed=True)


_AROUND = [k * math.pi / 20 for k in range(41)]


# -- the tag ----------------------------------------------------------------------------------------------------------


def tag_size(plan: Plan) -> tuple[float, float]:
    """Length and height of the tag, mm."""
    return TAG[plan.spec.units]


def tag_outline(plan: Plan, inset: float = 0.0) -> Ring:
    """The outline of the tag, or a line so far within it: its two corners at the hole are cut off."""
    (long, high), i = tag_size(plan), inset
    off = _CORNER * high + i * (math.sqrt(2) - 1) - i
    return (i, i + off), (i + off, i), (long - i, i), (long - i, high - i), (i + off, high - i), (i, high - i - off)


def draw_tag(pen: Pen, plan: Plan, title: str, box: Box) -> None:
    """The tag at true size, its lower left corner at that of the box: cut line, border, hole and title."""
    (long, high), hole = tag_size(plan), HOLE[plan.spec.units]
    with pen.placed(_true(plan, box)) as true:
        true.path(tag_outline(plan), STROKES["cut"], closed=True)
        true.path(tag_outline(plan, _INSET), STROKES["dimension"], closed=True)
        true.path(circle((_hole_at(high), high / 2), hole / 2, 32), STROKES["cut"], closed=True)
        left, right = 2 * _hole_at(high), long - 2 * _INSET
        lines, size = fitted(true, title, right - left, high - 4 * _INSET)
        step = size * MM_PER_POINT * _LINE
        top = high / 2 + step * (len(lines) - 1) / 2 - 0.35 * size * MM_PER_POINT
        for n, line in enumerate(lines):
            true.text(((left + right) / 2, top - n * step), line, size, "middle", bold=True)


def _hole_at(high: float) -> float:
    """How far the hole's middle is from the end of a tag."""
    return 0.24 * high


def _true(plan: Plan, box: Box) -> Affine:
    """Drawn so that it comes out true on the printer."""
    x, y = plan.spec.page.scale
    return Affine(1 / x, 0, 0, 1 / y, box[0], box[1])


def fitted(pen: Pen, words: str, wide: float, high: float) -> tuple[list[str], float]:
    """Words in lines that fit into a place, as large as it lets them be, and their size in points; a word too long for it is parted."""
    size = _LARGEST_PT
    while True:
        width = set_by(pen, size, bold=True)
        lines = wrapped(words, wide, width)
        deep = len(lines) * size * MM_PER_POINT * _LINE
        if size <= _LEAST_PT or (deep <= high and all(width(line) <= wide for line in lines)):
            most = max(1, int(high / (size * MM_PER_POINT * _LINE)))
            return wrapped(words, wide, width, parted=True)[:most], size
        size -= 1.0

"""The pen: what every drawing is made with, and the few figures that are drawn in many places.

Millimetres, y up, origin at the lower left corner; text sizes alone are in points. A drawing does not know
whether its pen writes a page, an SVG file or a list for a test. Widths and dashes are never scaled.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from typing import Final, Literal, Protocol

from booklet.plane import Affine, Line, Point, Ring

Layer = Literal["Cutting", "Creasing", "ReverseCreasing", "Gluing", "Dimensions", "Legend"]
Anchor = Literal["start", "middle", "end"]

LAYERS: Final[tuple[Layer, ...]] = ("Cutting", "Creasing", "ReverseCreasing", "Gluing", "Dimensions", "Legend")
"""A layer a kind of line, in drawing order. Words of ISO 19593-1:2018; the first four are its structural types,
the last two are groups without types. Which side is "reverse" is chosen by us: the mountain folds."""

MM_PER_POINT: Final = 25.4 / 72
"""Exact: an inch has 72 points (ISO 32000) and 25.4 mm."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """How a line looks: width in mm, dash as lengths on and off in mm, grey from 0 (black) to 1 (white).

    `round_ends`: for pictures, whose lines meet in corners without notches. A line that is measured ends square.
    """

    width_mm: float
    dash: tuple[float, ...] = ()
    grey: float = 0.0
    round_ends: bool = False


def dashed(width_mm: float, *in_widths: float) -> Stroke:
    """A stroke whose dash is given in line widths, as ISO 128-20 does."""
    return Stroke(width_mm, tuple(round(width_mm * n, 6) for n in in_widths))


# ISO 128-20:1996: widths 0.13 0.18 0.25 0.35 0.5 0.7 1 mm, thick to thin 2:1; parts of a line in widths d:
# dot 0.5, gap 3, short dash 6, dash 12, long dash 24. Types: 01 continuous, 02 dashed, 05 long-dashed
# double-dotted, 07 dotted. Which line means what: 02 a valley, 05 a mountain, chosen by us after the
# common practice of origami diagrams. Hatch lines are more than two thick widths apart (same standard).
STROKES: Final[dict[str, Stroke]] = {
    "cut": Stroke(0.5),
    "valley": dashed(0.25, 12, 3),
    "mountain": dashed(0.25, 24, 3, 0.5, 3, 0.5, 3),
    "outline": Stroke(0.5, round_ends=True),
    "edge": Stroke(0.35, round_ends=True),
    "hidden": dashed(0.18, 1, 3),
    "ghost": dashed(0.18, 1, 3),
    "glue": Stroke(0.18),
    "dimension": Stroke(0.18),
    "arrow": Stroke(0.5),
    "mark": Stroke(0.25),
    "rule": Stroke(0.25),
}
"""The strokes by what they mean. A dot is 1 d here, not 0.5 d: half of 0.18 mm is lost on an office printer."""

LAYER_OF: Final[dict[str, Layer]] = {
    "cut": "Cutting",
    "valley": "Creasing",
    "mountain": "ReverseCreasing",
    "glue": "Gluing",
    "dimension": "Dimensions",
}
"""The layer of a stroke's name; other strokes have none of their own."""

TINT: Final = 0.88
"""Grey of the one tint, 12 % ink: for what moves."""

HATCH_SPACING: Final = 1.5
HATCH_ANGLE: Final = 45.0
"""Glue hatching: mm between lines, and degrees."""


class Pen(Protocol):
    """What can be drawn with. All coordinates in mm, y up."""

    def path(self, points: Sequence[Point], stroke: Stroke, layer: str | None = None, closed: bool = False) -> None:
        """A polyline through two points or more; `closed` joins the last to the first."""

    def fill(self, rings: Sequence[Ring], grey: float, layer: str | None = None) -> None:
        """An area by the even-odd rule; grey 0 is black, 1 white."""

    def text(
        self,
        at: Point,
        words: str,
        size_pt: float,
        anchor: Anchor = "start",
        bold: bool = False,
        angle: float = 0,
        halo: bool = False,
        layer: str | None = None,
    ) -> None:
        """One line of words, its baseline at `at`, turned anticlockwise by `angle` degrees about `at`.

        Under `placed` the foot of the baseline moves and the turn is added to the angle; the size stays,
        and the words are never mirrored. `halo` lays a white rim under the letters.
        """

    def clipped(self, ring: Ring) -> AbstractContextManager[Pen]:
        """Everything drawn within is cut off at the ring."""

    def placed(self, affine: Affine) -> AbstractContextManager[Pen]:
        """Everything drawn within is mapped first; widths, dashes and letters are not scaled."""

    def width(self, words: str, size_pt: float, bold: bool = False) -> float:
        """The width of the words in mm, by the metrics of the shipped fonts."""


def circle(centre: Point, radius: float, sides: int = 64) -> Ring:
    """A circle as a ring of `sides` points; 64 leave 0.12 % of the radius."""
    steps = (math.tau * k / sides for k in range(sides))
    return tuple((centre[0] + radius * math.cos(t), centre[1] + radius * math.sin(t)) for t in steps)


def box(x0: float, y0: float, x1: float, y1: float) -> Ring:
    """An upright rectangle as a ring, anticlockwise from its lower left corner."""
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def hatch_lines(rings: Sequence[Sequence[Point]], spacing: float = HATCH_SPACING, angle: float = HATCH_ANGLE) -> tuple[Line, ...]:
    """Parallel lines across an area (even-odd rule over all rings), cut at its edge.

    Lines keep to one grid through the origin, so that two parts of one area, drawn apart, still meet.
    An area thinner than the spacing may fall between two lines and get none.
    """
    t = math.radians(angle)
    to, back = Affine(math.cos(t), -math.sin(t), math.sin(t), math.cos(t)), Affine(math.cos(t), math.sin(t), -math.sin(t), math.cos(t))
    edges = [edge for ring in rings for edge in _edges(to.ring(ring))]
    heights = [y for edge in edges for _, y in edge]
    if not heights:
        return ()
    # Half a spacing off the grid's origin: regions often have a corner on whole figures.
    first, last = math.ceil(min(heights) / spacing - 0.5), math.floor(max(heights) / spacing - 0.5)
    rows = ((k + 0.5) * spacing for k in range(first, last + 1))
    return tuple((back((a, y)), back((b, y))) for y in rows for a, b in _spans(edges, y))


def _edges(ring: Sequence[Point]) -> Iterable[Line]:
    return zip(ring, (*ring[1:], *ring[:1]), strict=True)


def _spans(edges: Sequence[Line], y: float) -> list[tuple[float, float]]:
    """The parts of the level line at `y` that are inside, by the crossings in order."""
    crossed = sorted(ax + (y - ay) * (bx - ax) / (by - ay) for (ax, ay), (bx, by) in edges if (ay > y) != (by > y))
    return [(a, b) for a, b in zip(crossed[::2], crossed[1::2], strict=True) if b - a > 0.01]


def cut_to_ring(line: Line, ring: Sequence[Point]) -> list[Line]:
    """The parts of a line inside a ring (even-odd rule); nothing of a line that only runs along its edge, or all."""
    (ax, ay), (bx, by) = line
    long = math.dist(*line)
    if not long:
        return []
    ux, uy = (bx - ax) / long, (by - ay) / long
    level = Affine(ux, -uy, uy, ux, -(ax * ux + ay * uy), ax * uy - ay * ux)
    inside = ((max(a, 0.0), min(b, long)) for a, b in _spans(list(_edges(level.ring(ring))), 0.0))
    return [((ax + a * ux, ay + a * uy), (ax + b * ux, ay + b * uy)) for a, b in inside if b > a]


def hatch(
    pen: Pen,
    area: Ring | Sequence[Ring],
    spacing: float = HATCH_SPACING,
    angle: float = HATCH_ANGLE,
    stroke: Stroke = STROKES["glue"],
    layer: str | None = "Gluing",
) -> None:
    """Fine hatching of one ring, or of rings by the even-odd rule, as lines and not as a pattern."""
    for line in hatch_lines(_rings(area), spacing, angle):
        pen.path(line, stroke, layer)


def _rings(area: Ring | Sequence[Ring]) -> Sequence[Ring]:
    """One ring or many: a ring's first item is a pair of figures."""
    return (area,) if area and isinstance(area[0][0], (int, float)) else area  # type: ignore[return-value]


def arrow(
    pen: Pen,
    points: Sequence[Point],
    head: float = 3.0,
    stroke: Stroke = STROKES["arrow"],
    layer: str | None = None,
) -> None:
    """A line along the points with a filled head at the last one, `head` mm long and a third as wide a side."""
    if len(points) < 2:
        return
    shaft, tip = cut_back(points, head * 0.9), points[-1]
    pen.path(shaft, stroke, layer)
    pen.fill([head_ring(shaft[-1], tip, head)], stroke.grey, layer)


def cut_back(points: Sequence[Point], by: float) -> list[Point]:
    """The polyline shortened at its end by `by` mm along its way, but never to nothing."""
    kept, left = list(points), by
    while len(kept) > 2 and math.dist(kept[-1], kept[-2]) <= left:
        left -= math.dist(kept[-1], kept[-2])
        kept.pop()
    a, b = kept[-2], kept[-1]
    share = 1 - min(left / (math.dist(a, b) or 1.0), 0.98)
    return [*kept[:-1], (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)]


def head_ring(come_from: Point, tip: Point, head: float, slim: float = 1 / 3) -> Ring:
    """The triangle of an arrow head at `tip`; `slim` is half its width over its length."""
    far = math.dist(come_from, tip) or 1.0
    ux, uy = (tip[0] - come_from[0]) / far, (tip[1] - come_from[1]) / far
    bx, by, w = tip[0] - ux * head, tip[1] - uy * head, head * slim
    return tip, (bx - uy * w, by + ux * w), (bx + uy * w, by - ux * w)


def upright(angle: float) -> float:
    """The angle or its opposite, whichever can be read from below or from the right: above -90, up to 90."""
    turned = (angle + 180) % 360 - 180
    if turned > 90 + 1e-6:
        return turned - 180
    return turned + 180 if turned <= -90 + 1e-6 else turned


def dimension(
    pen: Pen,
    a: Point,
    b: Point,
    offset: float,
    words: str,
    *,
    size_pt: float = 7.0,
    clear: float = 1.0,
    head: float = 2.5,
    bold: bool = False,
    layer: str | None = "Dimensions",
) -> None:
    """A measure from `a` to `b` after ISO 129-1: extension lines clear of the outline, arrows, words above the line.

    `offset` in mm is the distance of the dimension line, to the left of the way from a to b when positive.
    Extension lines start `clear` mm off the points and pass the dimension line by 1.5 mm. Where the room is too
    small the arrows come from outside; where the words are too wide they stand beyond b.
    """
    long = math.dist(a, b)
    if not long:
        return
    u = ((b[0] - a[0]) / long, (b[1] - a[1]) / long)
    n = (-u[1] * math.copysign(1, offset), u[0] * math.copysign(1, offset))
    for p in (a, b):
        if abs(offset) > clear:
            pen.path([_along(p, n, clear), _along(p, n, abs(offset) + 1.5)], STROKES["dimension"], layer)
    p, q = _along(a, n, abs(offset)), _along(b, n, abs(offset))
    _dimension_line(pen, p, q, u, head, layer)
    _dimension_words(pen, p, q, u, words, size_pt, head, bold, layer)


def _along(p: Point, way: Point, far: float) -> Point:
    return p[0] + way[0] * far, p[1] + way[1] * far


def _dimension_line(pen: Pen, p: Point, q: Point, u: Point, head: float, layer: str | None) -> None:
    """Arrows inside when two and some line fit between the ends, else from outside."""
    inside = math.dist(p, q) >= 2.6 * head
    out = 0.0 if inside else 2 * head
    pen.path([_along(p, u, -out), _along(q, u, out)], STROKES["dimension"], layer)
    for tip, way in ((p, 1.0), (q, -1.0)):
        start = _along(tip, u, way if inside else -way)
        pen.fill([head_ring(start, tip, head, slim=0.16)], 0.0, layer)


def _dimension_words(
    pen: Pen, p: Point, q: Point, u: Point, words: str, size_pt: float, head: float, bold: bool, layer: str | None
) -> None:
    """Words 0.8 mm over the line in its middle, or beyond q on a longer line when they are too wide."""
    angle = math.degrees(math.atan2(u[1], u[0]))
    read = upright(angle)
    t = math.radians(read)
    up = (-math.sin(t), math.cos(t))
    wide = pen.width(words, size_pt, bold)
    if wide + 1 <= math.dist(p, q):
        at = _along(((p[0] + q[0]) / 2, (p[1] + q[1]) / 2), up, 0.8)
    else:
        start = 2 * head if math.dist(p, q) < 2.6 * head else 0.0
        pen.path([_along(q, u, start), _along(q, u, start + wide + 2)], STROKES["dimension"], layer)
        at = _along(_along(q, u, start + 1 + wide / 2), up, 0.8)
    pen.text(at, words, size_pt, "middle", bold, read, layer=layer)


def registration(
    pen: Pen,
    at: Point,
    radius: float = 2.5,
    arm: float | None = None,
    stroke: Stroke = STROKES["mark"],
    layer: str | None = "Legend",
) -> None:
    """A registration mark: a circle with crossing lines that pass it; `arm` mm from the centre, else 1.6 radii."""
    long = radius * 1.6 if arm is None else arm
    x, y = at
    pen.path(circle(at, radius), stroke, layer, closed=True)
    pen.path([(x - long, y), (x + long, y)], stroke, layer)
    pen.path([(x, y - long), (x, y + long)], stroke, layer)

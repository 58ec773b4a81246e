"""Names of panels and numbers of bonds in a picture on paper: each where there is room, upright, never on a line. Millimetres."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import shapely
from shapely.geometry.base import BaseGeometry

from booklet.drawing.gluemap import RADIUS, draw_number
from booklet.drawing.pen import STROKES, Pen, box, circle
from booklet.drawing.picture import Box, Painted
from booklet.drawing.room import Room, around, size_of, steps, write_centred
from booklet.drawing.view import Seen
from booklet.plane import Line, Point

NAME_PT = 7.0
"""Labels on drawings are 7 pt or more."""

CLEAR = 0.5
"""mm from a label to the nearest line, at least (chosen by us)."""

CELL = 0.5

REACH = 18.0
"""mm: a label that finds no room in its panel stands no farther off than this, with a leader (chosen by us)."""

SPECK = 1.0
"""mm2: smaller areas are neither numbered nor named (chosen by us)."""

DOT = 0.45
_GAP = 0.4
_SIDES = ((0, 0), (1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (-1, 1), (1, -1), (-1, -1))
"""Where a label is looked for beside a drawing: nearest, then to each side."""

_LEADERS = 6
"""A picture has no more leaders than this (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Named:
    """A panel to be named, by its face's key. `leader`: beside the box where the panel has no room, else not at all."""

    key: str
    leader: bool = False


class Notes:
    """Words and numbers that are laid into one picture one after another."""

    def __init__(self, pen: Pen, painted: Painted, area: Box):
        self.pen, self.painted, self.box = pen, painted, area
        self.room = Room(area, CELL)
        self.room.take_lines(painted.strokes)
        self.seen = {s.face.key: s for s in painted.looked.seen}
        self.leaders, self.outlined = 0, False
        self.led: list[BaseGeometry] = []

    @cached_property
    def arrows(self) -> BaseGeometry:
        """What arrows take up."""
        near = shapely.buffer(shapely.MultiLineString(list(self.painted.arrows)), CLEAR, quad_segs=1)
        shapely.prepare(near)
        return near

    def corner(self, size: float) -> Point:
        """The middle of a free square as near as can be to the lower left corner, taken from now on."""
        low = (self.box[0] + size / 2, self.box[1] + size / 2)
        at = self.room.spot((size, size), low, 0.3) or low
        self._take(around(at, (size, size)))
        return at

    def frame(self, shown: Box) -> None:
        """A thin frame round what is shown again larger; `shown`: its bounds in the drawing plane."""
        x0, y0, x1, y1 = self.painted.region(shapely.box(*shown)).bounds
        low, high = self.box[:2], self.box[2:]
        ring = box(max(x0 - CLEAR, low[0]), max(y0 - CLEAR, low[1]), min(x1 + CLEAR, high[0]), min(y1 + CLEAR, high[1]))
        self.pen.path(ring, STROKES["dimension"], closed=True)
        self.room.take_lines(steps(ring))

    def number(self, leave: frozenset[str] = frozenset()) -> None:
        """Number the glued areas that are seen, the smallest first: they have the least choice. `leave`: faces that are left out."""
        spots = [spot for key, s in self.seen.items() if key not in leave for spot in self._glued(s)]
        for number, area in sorted(spots, key=lambda spot: (round(spot[1].area, 2), spot[0])):
            self._number(number, area)

    def _glued(self, seen: Seen) -> list[tuple[int, BaseGeometry]]:
        """Numbers with what is seen of their areas on paper."""
        view, face = self.painted.looked.view, seen.face
        found = []
        for ring, side, number in zip(face.glue, face.glue_side, face.glue_number, strict=False):
            if number and (side > 0) == seen.marked and not seen.region.is_empty:
                area = shapely.Polygon(view.project(ring)[:, :2]).intersection(seen.region)
                found += [(number, largest)] if (largest := self._on_paper(area)).area > SPECK else []
        return found

    def _on_paper(self, shape: BaseGeometry) -> BaseGeometry:
        """The largest part of a shape of the drawing plane that is seen in the box on paper."""
        return _largest(shapely.clip_by_rect(self.painted.region(shape), *self.box))

    def _number(self, number: int, area: BaseGeometry) -> None:
        size = (2 * RADIUS, 2 * RADIUS)
        at = self._within(size, area)
        if at is None:
            at = self._aside(size, area)
        if at is not None:
            draw_number(self.pen, at, number, True)
            self._take(around(at, size))

    def name(self, named: Sequence[Named], labels: Mapping[str, str]) -> None:
        """Name panels, in the order of their weight."""
        for one in named:
            self._name(one, labels.get(one.key, one.key.partition("/")[2].replace("-", " ")))

    def _name(self, one: Named, words: str) -> None:
        seen = self.seen.get(one.key)
        if seen is None or seen.region.is_empty:
            return
        area = self._on_paper(seen.region)
        if area.area < SPECK:
            return
        size = size_of(self.pen, words, NAME_PT)
        at = self._within(size, area)
        if at is None and one.leader and self.leaders < _LEADERS:
            at = self._aside(size, area)
        if at is not None:
            write_centred(self.pen, words, NAME_PT, at, halo=self._on_glue(seen, around(at, size)))
            self._take(around(at, size))

    def _on_glue(self, seen: Seen, box: Box) -> bool:
        """Whether words would stand on hatching."""
        return any(area.intersects(shapely.box(*box)) for _, area in self._glued(seen))

    def _within(self, size: tuple[float, float], area: BaseGeometry) -> Point | None:
        """A free place inside an area."""
        x0, y0, x1, y1 = area.bounds
        if x1 - x0 < size[0] or y1 - y0 < size[1] or area.area < size[0] * size[1]:
            return None
        return self.room.spot(size, _middle(area), CLEAR, area, hatched=True)

    def _aside(self, size: tuple[float, float], area: BaseGeometry) -> Point | None:
        """A place beside the drawing with its leader drawn; None where there is none near."""
        self._outline()
        for target, (dx, dy) in product(_targets(area), _SIDES):
            at = self.room.spot(size, (target[0] + dx * REACH / 2, target[1] + dy * REACH / 2), CLEAR + 0.5, far=REACH)
            line = (_from_box(around(at, size), target), target) if at else None
            if line and math.dist(*line) <= REACH and not self._crosses(line):
                self._lead(line)
                return at
        return None

    def _outline(self) -> None:
        """Keep the drawing itself free from what stands beside it."""
        if not self.outlined:
            whole = [p for p in shapely.get_parts(self.painted.region(self.painted.looked.whole)) if not p.is_empty]
            self.room.take_inside([shapely.get_coordinates(ring)[:-1] for p in whole for ring in (p.exterior, *p.interiors)])
            self.outlined = True

    def _lead(self, line: Line) -> None:
        self.pen.path(line, STROKES["dimension"])
        self.pen.fill([circle(line[1], DOT, 12)], 0.0)
        self.leaders += 1
        self.led.append(shapely.LineString(line))
        self.room.take_lines([line])

    def _crosses(self, line: Line) -> bool:
        """Whether a leader would run through words, an arrow or another leader."""
        way = shapely.LineString(line)
        return bool(way.intersects(self.arrows)) or any(way.intersects(one) for one in self.led)

    def _take(self, box: Box) -> None:
        self.led.append(shapely.box(*box))
        self.room.take(box)


def _from_box(box: Box, target: Point) -> Point:
    """Where a leader leaves a label: a little off the nearest point of its edge."""
    x, y = min(max(target[0], box[0]), box[2]), min(max(target[1], box[1]), box[3])
    far = math.dist((x, y), target) or 1.0
    return x + (target[0] - x) * _GAP / far, y + (target[1] - y) * _GAP / far


def _middle(area: BaseGeometry) -> Point:
    at = area.centroid if area.contains(area.centroid) else area.representative_point()
    return at.x, at.y


def _targets(area: BaseGeometry) -> Iterator[Point]:
    """Where a leader can end in an area: in its middle, or in the middle of one half of it."""
    yield _middle(area)
    x0, y0, x1, y1 = area.bounds
    lying = x1 - x0 > y1 - y0
    for low, high in ((0.0, 0.3), (0.7, 1.0)):
        part = (x0 + low * (x1 - x0), y0, x0 + high * (x1 - x0), y1) if lying else (x0, y0 + low * (y1 - y0), x1, y0 + high * (y1 - y0))
        if (half := _largest(area.intersection(shapely.box(*part)))).area > 0:
            yield _middle(half)


def _largest(shape: BaseGeometry) -> BaseGeometry:
    """The largest polygon of a shape."""
    whole = [p for p in shapely.get_parts(shape) if p.geom_type == "Polygon"]
    return max(whole, key=lambda p: round(p.area, 4), default=shapely.Polygon())

"""The card layout: sheets of card with their pieces and where these lie. Boxes on paper in mm.

Measures run from two datum edges, the left and the lower one, after ISO 129-1: extension lines clear of the outline, no
dimension line across another. They are true lengths, told in the units of the spec.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from booklet.card import Card
from booklet.drawing.labels import LABELS, marked, piece_name, say
from booklet.drawing.pen import MM_PER_POINT, STROKES, Pen, Stroke
from booklet.drawing.room import CAPITAL, Box, Room, around, size_of, steps, write_centred
from booklet.folding import folds_of
from booklet.grid import Units
from booklet.lengths import read_off, tell
from booklet.net import Part, Piece
from booklet.plan import Plan
from booklet.plane import Affine, Line, Point, bounds, length
from booklet.sheets import Placed

SIZE_PT = 7.0
NAME_PT = 8.0
THIN = Stroke(0.13)
DOTTED = Stroke(0.13, (0.13, 0.6))
ROW = 4.2
TITLE = 6.0
RIGHT = 4.0
CLEAR = 1.0
"""mm from a datum edge to its figures, for a title above, for figures that are moved aside, and between an outline and an
extension line (chosen by us)."""

_CAP = CAPITAL * SIZE_PT * MM_PER_POINT


def figure(mm: float, units: Units) -> str:
    """A length without its unit."""
    return read_off(mm, units, hair=True).rpartition(" ")[0]


def draw_sheet(pen: Pen, plan: Plan, number: int, box: Box, words: Mapping[str, str] = LABELS) -> None:
    """A sheet of card to scale with its pieces, and where the box round each piece lies, from the left and the lower edge."""
    draw_laid(pen, Laid(plan.spec.units, plan.card, plan.pieces, plan.placed), number, box, words)


def draw_pattern(pen: Pen, plan: Plan, number: int, box: Box, words: Mapping[str, str] = LABELS) -> None:
    """A sheet that is cut several times for many boxes, drawn as `draw_sheet` does."""
    pattern = plan.many.patterns[number - 1] if plan.many else None
    if pattern:
        title = say(words, "pattern" if pattern.times > 1 else "pattern_once", n=str(number), times=str(pattern.times))
        _SheetPicture(pen, Laid(plan.spec.units, plan.card, plan.pieces, pattern.placed), pattern.placed, box, words).draw(title)


@dataclass(frozen=True)
class Laid:
    """Pieces with their parts on sheets of card or paper, in the units that their measures are told in."""

    units: Units
    card: Card
    pieces: Sequence[tuple[Part, Piece]]
    placed: Sequence[Placed]


def draw_laid(pen: Pen, laid: Laid, number: int, box: Box, words: Mapping[str, str] = LABELS) -> None:
    """One of the sheets, as `draw_sheet` draws it."""
    placed = [one for one in laid.placed if one.sheet == number]
    _SheetPicture(pen, laid, placed, box, words).draw(say(words, "sheet", n=str(number)))


@dataclass(frozen=True)
class _Mark:
    """A figure on a datum edge: where it stands on paper along the edge, how far in its extension line reaches, its words."""

    at: float
    reach: float
    words: str


class _SheetPicture:
    """One sheet in its box."""

    def __init__(self, pen: Pen, laid: Laid, placed: Sequence[Placed], box: Box, words: Mapping[str, str]):
        self.pen, self.laid, self.placed, self.box, self.words = pen, laid, placed, box, words
        self.units = laid.units
        self.card = laid.card
        self.left, self.low = (_deep(pen, self._figures(axis), self.units) for axis in (1, 0))
        wide, high = self.card.sheet
        free = box[2] - box[0] - self.left - RIGHT, box[3] - box[1] - self.low - TITLE
        scale = min(free[0] / wide, free[1] / high)
        x, y = (box[0] + box[2] + self.left - RIGHT - scale * wide) / 2, box[1] + self.low + (free[1] - scale * high) / 2
        self.place = Affine(scale, 0, 0, scale, x, y)

    def _figures(self, axis: int) -> list[float]:
        return sorted({round(v, 3) for one in self.placed for v in (self._bounds(one)[axis], self._bounds(one)[axis + 2])})

    def _bounds(self, placed: Placed) -> Box:
        _, piece = self._piece(placed)
        return bounds(placed.to_sheet.ring(piece.outline))

    def _piece(self, placed: Placed) -> tuple[Part, Piece]:
        return next((part, piece) for part, piece in self.laid.pieces if (part.name, piece.name) == (placed.part, placed.piece))

    def draw(self, title: str) -> None:
        wide, high = self.card.sheet
        sheet = self.place.ring(((0, 0), (wide, 0), (wide, high), (0, high)))
        self.pen.path(sheet, STROKES["edge"], closed=True)
        said = f"{title}   {self._told(tell(wide, self.units)).rpartition(' ')[0]} \u00d7 {self._told(tell(high, self.units))}"
        said = said if self.pen.width(said, NAME_PT, True) <= self.box[2] - self.box[0] else title
        left = min(sheet[3][0], self.box[2] - self.pen.width(said, NAME_PT, True))
        self.pen.text((left, sheet[3][1] + 1.5), said, NAME_PT, bold=True)
        lines = [line for placed in self.placed for line in self._draw_piece(placed)]
        self._dimensions(0)
        self._dimensions(1)
        self._names(lines, bounds(sheet))
        draw_datum(self.pen, sheet[0])

    def _draw_piece(self, placed: Placed) -> list[Line]:
        part, piece = self._piece(placed)
        return draw_outline(self.pen, part, piece, placed.to_sheet.then(self.place))

    def _names(self, lines: Sequence[Line], sheet: Box) -> None:
        room = Room(sheet, 0.5)
        room.take_lines(lines)
        for placed in self.placed:
            _, piece = self._piece(placed)
            shape = shapely.Polygon(placed.to_sheet.then(self.place).ring(piece.outline))
            middle = shape.centroid
            name = piece_name(self.words, piece)
            size, near = size_of(self.pen, name, NAME_PT, True), (middle.x, middle.y)
            ways = [(turned, clear) for turned in (False, True) for clear in (CLEAR, CLEAR / 4)]  # a narrow strip has its name too
            for turned, clear in ways:
                wanted = size[::-1] if turned else size
                if at := room.spot(wanted, near, clear, shape):
                    write_centred(self.pen, name, NAME_PT, at, bold=True, angle=90.0 * turned, halo=True, layer=None)
                    room.take(around(at, wanted))
                    break

    def _dimensions(self, axis: int) -> None:
        """The edges of the boxes round the pieces, along one datum edge."""
        marks = []
        for value in self._figures(axis):
            at = self.place((value, value))[axis]
            near = min(self._bounds(one)[1 - axis] for one in self.placed if _touches(self._bounds(one), axis, value))
            marks.append(_Mark(at, self.place((near, near))[1 - axis], self._told(figure(value, self.units))))
        draw_running(self.pen, marks, self.place((0, 0))[1 - axis], axis, self._pieces(), self.box[2 + axis] - 0.5)

    def _told(self, figures: str) -> str:
        return marked(figures, say(self.words, "decimal"))

    def _pieces(self) -> BaseGeometry:
        shapes = [shapely.Polygon(one.to_sheet.then(self.place).ring(self._piece(one)[1].outline)) for one in self.placed]
        return shapely.union_all(shapes)


def _touches(box: Box, axis: int, value: float) -> bool:
    return min(abs(box[axis] - value), abs(box[axis + 2] - value)) < 1e-3


_SMALL = {"valley": Stroke(0.13, (1.56, 0.39)), "mountain": Stroke(0.13, (3.12, 0.39, 0.13, 0.39, 0.13, 0.39))}
"""Folds in small drawings, in the thinnest width of ISO 128-20."""


def draw_outline(
    pen: Pen, part: Part, piece: Piece, place: Affine, folds: Mapping[str, Stroke] = _SMALL, mirrored: bool = False
) -> list[Line]:
    """A piece small: its cuts, its folds thin and dashed; gives its lines on paper.

    `mirrored`: it is seen on its other face, where a valley is a mountain.
    """
    drawn: list[Line] = []
    for fold in folds_of(part, piece):
        line = (place(fold.line[0]), place(fold.line[1]))
        pen.path(line, folds["valley" if (fold.bends > 0) != mirrored else "mountain"])
        drawn.append(line)
    for ring in (piece.outline, *piece.holes):
        pen.path(place.ring(ring), STROKES["edge"], closed=True)
        drawn += steps(place.ring(ring))
    for slit in piece.slits:
        pen.path(place.ring(slit), STROKES["edge"])
        drawn += steps(place.ring(slit), closed=False)
    return drawn


def draw_datum(pen: Pen, at: Point) -> None:
    """A small filled corner where the two datum edges meet, outside of it."""
    x, y = at
    pen.path(((x - 2.6, y), (x, y), (x, y - 2.6)), STROKES["edge"])
    pen.fill([((x, y), (x - 1.6, y), (x, y - 1.6))], 0.0)


def draw_running(pen: Pen, marks: Sequence[_Mark], edge: float, axis: int, over: BaseGeometry, most: float = math.inf) -> None:
    """Running dimensions outside a datum edge at `edge`: axis 0 below it, words turned; axis 1 left of it.

    Words that would come too near to each other are moved apart and joined to their lines by a bend. Extension lines are dotted
    where they lie over pieces, so that nobody takes them for folds. `most`: how far along the edge words may stand.
    """
    order = sorted(marks, key=lambda mark: mark.at)
    out = edge - ROW
    for mark, spot in zip(order, spread([mark.at for mark in order], _CAP + 0.9, most - _CAP / 2), strict=True):
        start = _turned((mark.at, mark.reach - CLEAR), axis)
        bend = [_turned(p, axis) for p in ((mark.at, edge - CLEAR), (mark.at, out + 1.2), (spot, out - 1.2))]
        pen.path(bend, THIN, "Dimensions")
        _extension(pen, (start, bend[0]), over)
        _words(pen, mark.words, spot, out - 1.8, axis)


def _turned(p: Point, axis: int) -> Point:
    return p if axis == 0 else (p[1], p[0])


def _extension(pen: Pen, line: Line, over: BaseGeometry) -> None:
    """From the datum edge to where it is told of: whole over blank paper, dotted over pieces."""
    if length(line) < CLEAR:
        return
    whole = shapely.LineString(line)
    for stroke, shape in ((THIN, whole.difference(over)), (DOTTED, whole.intersection(over))):
        for part in shapely.get_parts(shape):
            if part.geom_type == "LineString" and part.length > 0.1:
                pen.path([(float(x), float(y)) for x, y in part.coords], stroke, "Dimensions")


def _words(pen: Pen, words: str, spot: float, out: float, axis: int) -> None:
    """Words that end at `out`, their middle at `spot` along the edge."""
    if axis == 0:
        pen.text((spot + _CAP / 2, out), words, SIZE_PT, "end", angle=90, layer="Dimensions")
    else:
        pen.text((out, spot - _CAP / 2), words, SIZE_PT, "end", layer="Dimensions")


def spread(places: Sequence[float], step: float, most: float = math.inf) -> list[float]:
    """Ascending places moved as little as can be so that they are at least `step` apart, and none beyond `most`.

    >>> spread([0.0, 1.0, 10.0], 3.0)
    [-1.0, 2.0, 10.0]
    >>> spread([0.0, 9.0, 10.0], 3.0, 11.0)
    [0.0, 8.0, 11.0]
    """
    groups: list[list[float]] = []
    for place in places:
        groups.append([place])
        while len(groups) > 1 and _middle(groups[-1]) - _middle(groups[-2]) < step * (len(groups[-1]) + len(groups[-2])) / 2 - 1e-9:
            last = groups.pop()
            groups[-1] += last
    spots = [_middle(group) + step * (n - (len(group) - 1) / 2) for group in groups for n in range(len(group))]
    return [min(spot, most - step * (len(spots) - 1 - n)) for n, spot in enumerate(spots)]


def _middle(group: Sequence[float]) -> float:
    return sum(group) / len(group)


def _deep(pen: Pen, values: Sequence[float], units: Units) -> float:
    """How far running dimensions reach out from their datum edge."""
    return max((pen.width(figure(value, units), SIZE_PT) for value in values), default=0.0) + ROW + 3.0

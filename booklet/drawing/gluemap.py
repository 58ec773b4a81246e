"""The glue map: the flat pieces of a part, marked face up, with the areas that meet under one number. Millimetres."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely

from booklet.drawing.labels import LABELS, say
from booklet.drawing.pen import MM_PER_POINT, STROKES, Pen, Stroke, circle, hatch
from booklet.drawing.picture import Box
from booklet.drawing.room import CAPITAL, Room, around, steps
from booklet.drawing.scene import Points
from booklet.folding import folds_of
from booklet.net import Part, Piece
from booklet.plane import Affine, Line, Point, Ring, bounds, shift

NUMBER_PT = 7.0
RADIUS = 1.9
CLEAR = 0.2
CELL = 0.3
THIN = Stroke(0.13)
SPLIT = 8.0
ROW = 5.5
"""mm on paper below the map for its legend, and for each further row of it (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Spot:
    """One of the two areas of a bond: its number, its ring in the part's flat frame, and whether it is on the marked face."""

    number: int
    panel: str
    ring: Ring
    marked: bool


@dataclass(frozen=True, eq=False)
class GlueMap:
    """The map of one part. `shifts` sets its pieces apart, by panel."""

    part: Part
    spots: tuple[Spot, ...]
    shifts: Mapping[str, Point]

    def draw(self, pen: Pen, box: Box, words: Mapping[str, str] = LABELS) -> None:
        """Draw it in a box on paper with its legend at the foot."""
        x0, y0, x1, y1 = box
        foot = y0 + SPLIT + (0.0 if legend_width(pen, words) < x1 - x0 else ROW)
        place = self._place((x0, foot, x1, y1))
        draw_legend(pen, (x0, y0), words, stacked=foot > y0 + SPLIT)
        drawn = {piece.name: self._piece_place(piece, place) for piece in self.part.pieces}
        room = Room(box, CELL)
        for piece in self.part.pieces:
            self._draw_piece(pen, piece, drawn[piece.name], room)
        room.take((x0, y0, x1, foot))
        placed = self._placed(drawn)
        room.take_lines(line for _, ring in placed for line in steps(ring))
        for spot, ring in placed:
            _draw_number(pen, spot, ring, room)

    @property
    def steep(self) -> float:
        """Its height over its width."""
        x0, y0, x1, y1 = self._bounds
        return (y1 - y0) / (x1 - x0)

    @property
    def _bounds(self) -> Box:
        return bounds([(x + dx, y + dy) for p in self.part.pieces for dx, dy in [self.shifts[p.panels[0]]] for x, y in p.outline])

    def _place(self, box: Box) -> Affine:
        x0, y0, x1, y1 = self._bounds
        scale = min((box[2] - box[0] - 1) / (x1 - x0), (box[3] - box[1] - 1) / (y1 - y0))
        return Affine(scale, 0, 0, scale, (box[0] + box[2] - scale * (x0 + x1)) / 2, (box[1] + box[3] - scale * (y0 + y1)) / 2)

    def _piece_place(self, piece: Piece, place: Affine) -> Affine:
        return shift(*self.shifts[piece.panels[0]]).then(place)

    def _placed(self, drawn: Mapping[str, Affine]) -> list[tuple[Spot, Ring]]:
        """The spots on paper, the smallest first: they have the least choice of where their number stands."""
        of = self.part.piece_of
        placed = [(spot, drawn[of[spot.panel].name].ring(spot.ring)) for spot in self.spots]
        return sorted(placed, key=lambda pair: round(shapely.Polygon(pair[1]).area, 2))

    def _draw_piece(self, pen: Pen, piece: Piece, place: Affine, room: Room) -> None:
        for spot in self.spots:
            if spot.panel in piece.panels:
                _draw_area(pen, spot, place.ring(spot.ring))
        for ring in (piece.outline, *piece.holes):
            pen.path(place.ring(ring), STROKES["edge"], closed=True)
        for slit in piece.slits:
            pen.path(place.ring(slit), STROKES["edge"])
        for fold in folds_of(self.part, piece):
            pen.path(place.ring(fold.line), THIN)
        room.take_lines(lines_of(self.part, piece, place))


def _draw_number(pen: Pen, spot: Spot, ring: Ring, room: Room) -> None:
    """In its area where there is room, else beside it with a line to it."""
    size, shape = (2 * RADIUS, 2 * RADIUS), shapely.Polygon(ring)
    middle = shape.centroid if shape.contains(shape.centroid) else shape.representative_point()
    near = middle.x, middle.y
    at = room.spot(size, near, CLEAR, shape)
    if at is None:
        at = room.spot(size, near, CLEAR + 0.5)
        if at is None:
            return
        _leader(pen, at, room.spot((1.0, 1.0), at, 0.0, shape) or near)
    draw_number(pen, at, spot.number, spot.marked)
    room.take(around(at, size))


def _draw_area(pen: Pen, spot: Spot, ring: Ring) -> None:
    if spot.marked:
        hatch(pen, ring)
        pen.path(ring, THIN, "Gluing", closed=True)
    else:
        pen.path(ring, STROKES["hidden"], "Gluing", closed=True)


def draw_number(pen: Pen, at: Point, number: int, marked: bool) -> None:
    """A number in a circle, on white; the circle is dotted where the glue goes on the other face."""
    pen.fill([circle(at, RADIUS + 0.4, 32)], 1.0, "Legend")
    pen.path(circle(at, RADIUS, 32), STROKES["mark"] if marked else STROKES["hidden"], "Legend", closed=True)
    low = CAPITAL * NUMBER_PT * MM_PER_POINT / 2
    pen.text((at[0], at[1] - low), str(number), NUMBER_PT, "middle", bold=marked, layer="Legend")


def _leader(pen: Pen, start: Point, end: Point) -> None:
    pen.path((start, end), STROKES["dimension"], "Legend")
    pen.fill([circle(end, 0.45, 12)], 0.0, "Legend")


def legend_width(pen: Pen, words: Mapping[str, str]) -> float:
    """What the legend takes in one row, mm."""
    return 1.0 + 2 * 9.5 + 8 + sum(pen.width(say(words, key), 8) for key in ("glue_here", "glue_back"))


def draw_legend(pen: Pen, at: Point, words: Mapping[str, str], stacked: bool = False) -> None:
    """What hatching and dotted lines mean, in one row, or `stacked` in two."""
    x, y = at[0] + 0.5, at[1] + 1.0 + (ROW if stacked else 0.0)
    for marked, key in ((True, "glue_here"), (False, "glue_back")):
        ring = ((x, y), (x + 8, y), (x + 8, y + 4), (x, y + 4))
        _draw_area(pen, Spot(0, "", ring, marked), ring)
        text = say(words, key)
        pen.text((x + 9.5, y + 1.0), text, 8, layer="Legend")
        x, y = (x, y - ROW) if stacked else (x + 9.5 + pen.width(text, 8) + 8, y)


def shifted(part: Part, spots: Sequence[Spot], shifts: Points) -> GlueMap:
    """The map of a part, its pieces set apart by a shift of every panel, (panels, 3)."""
    return GlueMap(part, tuple(spots), {panel.name: (float(s[0]), float(s[1])) for panel, s in zip(part.panels, shifts, strict=True)})


def lines_of(part: Part, piece: Piece, place: Affine) -> list[Line]:
    """All drawn lines of a piece on paper."""
    rings = [line for ring in (piece.outline, *piece.holes) for line in steps(place.ring(ring))]
    slits = [line for slit in piece.slits for line in steps(place.ring(slit), closed=False)]
    return [*rings, *slits, *((place(f.line[0]), place(f.line[1])) for f in folds_of(part, piece))]

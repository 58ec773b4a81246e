"""The flat net for pupils: its outlines and folds to a plain scale, the faces numbered, nothing else. Boxes on paper in mm."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import shapely

from booklet.drawing.pen import STROKES, Pen
from booklet.drawing.room import Box, Room, size_of, steps, write_centred
from booklet.flatfaces import faces, parts_of
from booklet.folding import folds_of
from booklet.net import Net, Part, Piece
from booklet.plane import Affine, Line, bounds, shift, turn

SCALES = (
    (1, 1),
    (2, 3),
    (1, 2),
    (2, 5),
    (1, 3),
    (1, 4),
    (1, 5),
    (1, 6),
    (1, 8),
    (1, 10),
    (1, 12),
    (1, 15),
    (1, 20),
    (1, 25),
    (1, 30),
    (1, 50),
)
"""Drawing to card: the scales that are used, the largest first."""

GAP = 6.0
"""mm on paper between pieces (chosen by us)."""

NUMBER_PT = (16.0, 12.0, 9.0, 7.0)
"""Sizes of the numbers, the largest that has room."""

_CLEAR = 1.0


@dataclass(frozen=True)
class NetDrawing:
    """The pieces of a net in a room of a width and a height on paper: `scale` as two whole numbers, `size` what is taken."""

    net: Net
    wide: float
    high: float

    @cached_property
    def _chosen(self) -> tuple[tuple[int, int], int, int]:
        """The largest scale at which the pieces have room, turned by quarters or not, in how many rows."""
        pieces = list(self._pieces)
        for scale in SCALES:
            for quarter in (0, 1):
                for rows in range(1, len(pieces) + 1):
                    x, y = self._size(scale[0] / scale[1], quarter, rows)
                    if x <= self.wide and y <= self.high:
                        return scale, quarter, rows
        return SCALES[-1], 0, 1

    @property
    def scale(self) -> tuple[int, int]:
        """Drawing to card."""
        return self._chosen[0]

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the drawing on paper."""
        (up, down), quarter, rows = self._chosen
        return self._size(up / down, quarter, rows)

    @property
    def _pieces(self) -> Iterator[tuple[Part, Piece]]:
        return ((part, piece) for part in parts_of(self.net) for piece in part.pieces)

    def _rows(self, rows: int) -> list[list[tuple[Part, Piece]]]:
        pieces = list(self._pieces)
        each = -(-len(pieces) // rows)
        return [pieces[k : k + each] for k in range(0, len(pieces), each)]

    def _size(self, scale: float, quarter: int, rows: int) -> tuple[float, float]:
        sizes = [[_size(piece, quarter) for _, piece in row] for row in self._rows(rows)]
        wide = max(scale * sum(w for w, _ in row) + GAP * (len(row) - 1) for row in sizes)
        return wide, sum(scale * max(h for _, h in row) for row in sizes) + GAP * (len(sizes) - 1)

    def places(self, box: Box) -> list[tuple[Part, Piece, Affine]]:
        """Where each piece lies in the middle of a box on paper, row by row from the top."""
        (up, down), quarter, rows = self._chosen
        scale, high = up / down, self.size[1]
        y, found = (box[1] + box[3] + high) / 2, []
        for row in self._rows(rows):
            deep = scale * max(_size(piece, quarter)[1] for _, piece in row)
            long = scale * sum(_size(piece, quarter)[0] for _, piece in row) + GAP * (len(row) - 1)
            x = (box[0] + box[2] - long) / 2
            for part, piece in row:
                turned = turn(quarter)
                x0, y0, _, _ = bounds(turned.ring(piece.outline))
                w, h = _size(piece, quarter)
                at = turned.then(shift(-x0, -y0)).then(Affine(scale, 0, 0, scale, x, y - (deep + scale * h) / 2))
                found.append((part, piece, at))
                x += scale * w + GAP
            y -= deep + GAP
        return found

    def draw(self, pen: Pen, box: Box) -> None:
        """Draw the pieces, then the numbers where there is room for them."""
        room, places = Room(box, 0.5), self.places(box)
        for part, piece, place in places:
            room.take_lines(_drawn(pen, part, piece, place))
        for face in faces(self.net):
            for part, piece, place in places:
                if part.name == face.part.name and set(face.names) & set(piece.panels):
                    a = place
                    own = [panel for panel in face.panels if panel.name in piece.panels]
                    shape = shapely.union_all([shapely.Polygon(a.ring(p.outline), [a.ring(h) for h in p.holes]) for p in own])
                    _number(pen, room, str(face.number), shape)


def _size(piece: Piece, quarter: int) -> tuple[float, float]:
    x0, y0, x1, y1 = bounds(piece.outline)
    return (x1 - x0, y1 - y0) if quarter % 2 == 0 else (y1 - y0, x1 - x0)


def _drawn(pen: Pen, part: Part, piece: Piece, place: Affine) -> list[Line]:
    """A piece: outline, holes and slits thick, folds thin and dashed; gives its lines on paper."""
    found: list[Line] = []
    for fold in folds_of(part, piece):
        line = place(fold.line[0]), place(fold.line[1])
        pen.path(line, STROKES["valley" if fold.bends > 0 else "mountain"])
        found.append(line)
    rings: Sequence[tuple[Sequence[tuple[float, float]], bool]] = [
        *((ring, True) for ring in (piece.outline, *piece.holes)),
        *((slit, False) for slit in piece.slits),
    ]
    for ring, closed in rings:
        pen.path(place.ring(ring), STROKES["edge"], closed=closed)
        found += steps(place.ring(ring), closed)
    return found


def _number(pen: Pen, room: Room, words: str, shape: shapely.geometry.base.BaseGeometry) -> None:
    """A number as near as can be to the middle of its face, as large as there is room."""
    middle = shape.centroid if shape.contains(shape.centroid) else shape.representative_point()
    for size in NUMBER_PT:
        spot = room.spot(size_of(pen, words, size, True), (middle.x, middle.y), _CLEAR, shape)
        if spot and math.dist(spot, (middle.x, middle.y)) < 0.5 * math.sqrt(shape.area):
            break
    write_centred(pen, words, size, spot or (middle.x, middle.y), bold=True, halo=spot is None, layer=None)

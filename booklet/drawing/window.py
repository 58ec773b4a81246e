"""A tile as it is drawn: maps, lines and areas on paper, cut off at its window. Millimetres on paper.

All is drawn smaller by the printer's scale, so that it comes out true.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import shapely

from booklet import tiles
from booklet.drawing.clip import clipped, runs
from booklet.drawing.labels import piece_name, say
from booklet.drawing.pen import LAYER_OF, STROKES, Pen, hatch, registration
from booklet.drawing.room import Box, Room, around, steps
from booklet.drawing.sight import Patch
from booklet.drawing.stage import bench_of
from booklet.folding import folds_of
from booklet.net import Part, Piece
from booklet.plan import Plan
from booklet.plane import Affine, Line, Point, Ring, bounds
from booklet.tiles import Tile

RIM = 0.5
"""mm by which the cross of a registration mark reaches out of its circle (chosen by us)."""


@dataclass(frozen=True)
class Window:
    """A tile on its page, as drawn."""

    plan: Plan
    tile: Tile

    @cached_property
    def part(self) -> Part:
        """The part that the tile shows."""
        return self.plan.net.part[self.tile.part]

    @cached_property
    def piece(self) -> Piece:
        """The template."""
        return next(piece for piece in self.part.pieces if piece.name == self.tile.piece)

    @cached_property
    def place(self) -> Affine:
        """From the part's flat frame to the page as drawn."""
        sx, sy = self.tile.scale
        return self.tile.to_page.then(Affine(1 / sx, 0, 0, 1 / sy, 0, 0))

    @cached_property
    def box(self) -> Box:
        """The window on paper."""
        x0, y0, x1, y1 = self.tile.window
        return bounds(self.place.ring(((x0, y0), (x1, y1))))

    @property
    def inner(self) -> Box:
        """The window less a hair: what was cut off along its edge has no line there."""
        x0, y0, x1, y1 = self.box
        return x0 + 1e-3, y0 + 1e-3, x1 - 1e-3, y1 - 1e-3

    @cached_property
    def folds(self) -> list[tuple[str, Line]]:
        """Folds in the window, by kind."""
        found = []
        for fold in folds_of(self.part, self.piece):
            line = clipped((self.place(fold.line[0]), self.place(fold.line[1])), self.box)
            if line:
                found.append(("valley" if fold.bends > 0 else "mountain", line))
        return found

    @cached_property
    def cuts(self) -> list[tuple[Ring, bool]]:
        """Cut lines in the window: polylines, and whether each is closed."""
        rings = [(self.place.ring(ring), True) for ring in (self.piece.outline, *self.piece.holes)]
        slits = [(self.place.ring(slit), False) for slit in self.piece.slits]
        return [run for points, closed in (*rings, *slits) for run in runs(points, self.box, closed)]

    @cached_property
    def glue(self) -> list[tuple[bool, Ring]]:
        """Glued areas in the window: on the marked face or not, and their rings."""
        frame = shapely.box(*self.box)
        found = []
        for patch in self._patches():
            shape = shapely.Polygon(self.place.ring(patch.ring)).intersection(frame)
            rings = [tuple(g.exterior.coords[:-1]) for g in shapely.get_parts(shape) if g.geom_type == "Polygon" and g.area > 1]
            found += [(patch.side > 0, ring) for ring in rings]
        return found

    def _patches(self) -> Iterator[Patch]:
        """One area of each bond: the first on the marked face, or the first; those on this piece."""
        for areas in bench_of(self.plan).glue:
            name, patch = next((area for area in areas if area[1].side > 0), areas[0])
            if name == self.part.name and self.part.panels[patch.panel].name in self.piece.panels:
                yield patch

    @cached_property
    def shape(self) -> shapely.Polygon:
        """The piece in the window."""
        whole = shapely.Polygon(self.place.ring(self.piece.outline), [self.place.ring(hole) for hole in self.piece.holes])
        return whole.intersection(shapely.box(*self.box))

    @cached_property
    def paper(self) -> shapely.Polygon:
        """What the piece leaves free of the window."""
        return shapely.box(*self.box).difference(self.shape)

    @cached_property
    def seams(self) -> list[tuple[str, str, Line]]:
        """Side, name of the neighbour, and the line half-way through what the two pages share."""
        x0, y0, x1, y1 = self.box
        sx, sy = self.tile.scale
        half = tiles.overlap(self.plan.spec.page) / 2
        lines: dict[str, Line] = {
            "left": ((x0 + half / sx, y0), (x0 + half / sx, y1)),
            "right": ((x1 - half / sx, y0), (x1 - half / sx, y1)),
            "below": ((x0, y0 + half / sy), (x1, y0 + half / sy)),
            "above": ((x0, y1 - half / sy), (x1, y1 - half / sy)),
        }
        return [(side, name, lines[side]) for side, name in self.tile.neighbours]

    def count(self, words: Mapping[str, str]) -> str:
        """How many pieces are cut from the template, in words."""
        return say(words, "cut_many", piece=piece_name(words, self.piece), count=str(self.copies))

    @property
    def copies(self) -> int:
        """How many pieces are cut from the template."""
        return sum(piece.template == self.piece.template for _, piece in self.plan.pieces)

    @property
    def mark(self) -> float:
        """Half the size of a registration mark."""
        return tiles.mark(self.plan.spec.page)


def draw_lines(pen: Pen, window: Window, room: Room) -> None:
    """Glue under, folds and cuts over, each in its layer; their room is taken."""
    for marked, ring in window.glue:
        if marked:
            hatch(pen, ring)
            room.take_area(ring)
        else:
            for points, closed in runs(ring, window.inner, closed=True):
                pen.path(points, STROKES["hidden"], "Gluing", closed)
        room.take_lines(steps(ring))
    for kind, line in window.folds:
        pen.path(line, STROKES[kind], LAYER_OF[kind])
    room.take_lines(line for _, line in window.folds)
    for points, closed in window.cuts:
        pen.path(points, STROKES["cut"], "Cutting", closed)
        room.take_lines(steps(points, closed))


def draw_marks(pen: Pen, window: Window, room: Room) -> None:
    """Registration marks, and thin lines in the middle of what two pages share."""
    for _, _, line in window.seams:
        pen.path(line, STROKES["dimension"], "Legend")
        room.take_lines([line])
    for mark in window.tile.marks:
        at = window.place(mark)
        registration(pen, at, window.mark - RIM, window.mark)
        room.take(around(at, (2 * window.mark, 2 * window.mark)))


def grain_of(plan: Plan, piece: Piece) -> Point | None:
    """The direction of the grain in the part's flat frame; None where it is not known or not the same for all copies."""
    grain = plan.card.grain
    if grain == "unknown":
        return None
    copies = {one.name for _, one in plan.pieces if one.template == piece.template}
    along = (1.0, 0.0) if grain == "first" else (0.0, 1.0)
    ways = set()
    for placed in plan.placed:
        if placed.piece in copies:
            back = placed.to_sheet.inverse()
            x, y = back.a * along[0] + back.c * along[1], back.b * along[0] + back.d * along[1]
            ways.add((round(abs(x)), round(abs(y))))
    return (float(next(iter(ways))[0]), float(next(iter(ways))[1])) if len(ways) == 1 else None

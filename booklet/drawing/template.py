"""One template page: the piece's lines inside its window, and round them all that is told about it.

Lines come first: words and signs stand where the lines leave room, over blank paper or inside the piece. All is drawn
smaller by the printer's scale, so that it comes out true. Millimetres on paper; layers named by ISO 19593-1.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import shapely

from booklet import tiles
from booklet.drawing.clip import clipped, runs
from booklet.drawing.flat import folds_of
from booklet.drawing.labels import common_name, in_two, say
from booklet.drawing.legend import Legend, Row
from booklet.drawing.pen import LAYER_OF, STROKES, Pen, arrow, hatch, registration
from booklet.drawing.room import Box, Room, around, blank, size_of, steps, write_centred
from booklet.drawing.sight import Patch
from booklet.drawing.stage import bench_of
from booklet.net import Panel, Part, Piece
from booklet.plan import Plan
from booklet.plane import Affine, Line, Point, Ring, bounds
from booklet.tiles import Tile

NAME_PT = 28.0
PANEL_PT = 8.0
SMALL_PT = 7.0
FOOT_PT = 8.0
"""Type: the tile's name, panels, neighbours, the foot."""

PANEL_LEADING = 3.4
"""mm from line to line of a panel's name (chosen by us)."""

PANEL_CLEAR = 3.0
"""mm between a panel's name and any line."""

CLEAR = 1.0
"""mm between other words and any line (chosen by us)."""

TICK = 50.0
"""True length in mm of the two lines by which a loose page is checked."""


@dataclass(frozen=True)
class _Sheet:
    """A tile on its page: maps, window and lines on paper as drawn."""

    plan: Plan
    tile: Tile

    @cached_property
    def part(self) -> Part:
        return self.plan.net.part[self.tile.part]

    @cached_property
    def piece(self) -> Piece:
        return next(piece for piece in self.part.pieces if piece.name == self.tile.piece)

    @cached_property
    def place(self) -> Affine:
        """From the part's flat frame to the page as drawn."""
        sx, sy = self.tile.scale
        return self.tile.to_page.then(Affine(1 / sx, 0, 0, 1 / sy, 0, 0))

    @cached_property
    def window(self) -> Box:
        x0, y0, x1, y1 = self.tile.window
        return bounds(self.place.ring(((x0, y0), (x1, y1))))

    @property
    def inner(self) -> Box:
        """The window less a hair: what was cut off along its edge has no line there."""
        x0, y0, x1, y1 = self.window
        return x0 + 1e-3, y0 + 1e-3, x1 - 1e-3, y1 - 1e-3

    @cached_property
    def folds(self) -> list[tuple[str, Line]]:
        """Folds in the window, by kind."""
        found = []
        for fold in folds_of(self.part, self.piece):
            line = clipped((self.place(fold.line[0]), self.place(fold.line[1])), self.window)
            if line:
                found.append(("valley" if fold.angle > 0 else "mountain", line))
        return found

    @cached_property
    def cuts(self) -> list[tuple[Ring, bool]]:
        """Cut lines in the window: polylines, and whether each is closed."""
        rings = [(self.place.ring(ring), True) for ring in (self.piece.outline, *self.piece.holes)]
        slits = [(self.place.ring(slit), False) for slit in self.piece.slits]
        return [run for points, closed in (*rings, *slits) for run in runs(points, self.window, closed)]

    @cached_property
    def glue(self) -> list[tuple[bool, Ring]]:
        """Glued areas in the window: on the marked face or not, and their rings."""
        frame = shapely.box(*self.window)
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
        return whole.intersection(shapely.box(*self.window))

    @cached_property
    def paper(self) -> shapely.Polygon:
        """What the piece leaves free of the window."""
        return shapely.box(*self.window).difference(self.shape)

    @cached_property
    def seams(self) -> list[tuple[str, str, Line]]:
        """Side, name of the neighbour, and the line half-way through what the two pages share."""
        x0, y0, x1, y1 = self.window
        sx, sy = self.tile.scale
        half = tiles.overlap(self.plan.spec.page) / 2
        lines: dict[str, Line] = {
            "left": ((x0 + half / sx, y0), (x0 + half / sx, y1)),
            "right": ((x1 - half / sx, y0), (x1 - half / sx, y1)),
            "below": ((x0, y0 + half / sy), (x1, y0 + half / sy)),
            "above": ((x0, y1 - half / sy), (x1, y1 - half / sy)),
        }
        return [(side, name, lines[side]) for side, name in self.tile.neighbours]


def draw_leaf(pen: Pen, plan: Plan, leaf: int, words: Mapping[str, str]) -> None:
    """Draw all windows of a template page."""
    for tile in plan.tiles:
        if tile.leaf == leaf:
            draw_tile(pen, plan, tile, words)


def draw_tile(pen: Pen, plan: Plan, tile: Tile, words: Mapping[str, str]) -> None:
    """Draw a template page. `words`: the labels, `page_of` filled in; see `labels.LABELS`."""
    sheet = _Sheet(plan, tile)
    room = Room(sheet.window)
    _draw_lines(pen, sheet, room)
    _draw_marks(pen, sheet, room)
    _Words(pen, sheet, room, words).draw()


def _draw_lines(pen: Pen, sheet: _Sheet, room: Room) -> None:
    for marked, ring in sheet.glue:
        if marked:
            hatch(pen, ring)
            room.take_area(ring)
        else:
            for points, closed in runs(ring, sheet.inner, closed=True):
                pen.path(points, STROKES["hidden"], "Gluing", closed)
        room.take_lines(steps(ring))
    for kind, line in sheet.folds:
        pen.path(line, STROKES[kind], LAYER_OF[kind])
    room.take_lines(line for _, line in sheet.folds)
    for points, closed in sheet.cuts:
        pen.path(points, STROKES["cut"], "Cutting", closed)
        room.take_lines(steps(points, closed))


def _draw_marks(pen: Pen, sheet: _Sheet, room: Room) -> None:
    """Registration marks, and thin lines in the middle of what two pages share."""
    for _, _, line in sheet.seams:
        pen.path(line, STROKES["dimension"], "Legend")
        room.take_lines([line])
    for mark in sheet.tile.marks:
        at = sheet.place(mark)
        registration(pen, at, arm=tiles.MARK)
        room.take(around(at, (2 * tiles.MARK, 2 * tiles.MARK)))


class _Words:
    """Words and signs, one after another, each where there is room left: the most needed first."""

    def __init__(self, pen: Pen, sheet: _Sheet, room: Room, words: Mapping[str, str]):
        self.pen, self.sheet, self.room, self.words = pen, sheet, room, words

    def draw(self) -> None:
        self._ticks()
        self._tile_name()
        self._neighbours()
        self._legend()
        self._foot()
        self._panels()
        self._grain()

    def _write(self, text: str, size_pt: float, at: Point, bold: bool = False, angle: float = 0.0, halo: bool = False) -> None:
        wide, high = size_of(self.pen, text, size_pt, bold)
        box = around(at, (high, wide) if angle else (wide, high))
        if halo:
            blank(self.pen, box)
        write_centred(self.pen, text, size_pt, at, bold, angle, halo)
        self.room.take(box)

    def _ticks(self) -> None:
        """A line of 50 mm along the lower edge and one along the left edge, each with its length."""
        x0, y0, *_ = self.sheet.window
        sx, sy = self.sheet.tile.scale
        for long, flat, near in ((TICK / sx, True, (x0 + 45, y0)), (TICK / sy, False, (x0, y0 + 60))):
            size = (long + 1, 6.0) if flat else (6.0, long + 1)
            at = self.room.spot(size, near, 0.5) or self.room.spot(size, near, 0.5, hatched=True)
            if at:
                self._tick(at, long, flat)
                self.room.take(around(at, size))

    def _tick(self, at: Point, long: float, flat: bool) -> None:
        def on(along: float, up: float) -> Point:
            return (at[0] + along, at[1] + up) if flat else (at[0] - up, at[1] + along)

        for line in ((-long / 2, -1.5, long / 2, -1.5), (-long / 2, -2.8, -long / 2, -0.2), (long / 2, -2.8, long / 2, -0.2)):
            self.pen.path((on(*line[:2]), on(*line[2:])), STROKES["mark"], "Dimensions")
        write_centred(self.pen, say(self.words, "tick"), SMALL_PT, on(0.0, 1.0), angle=0.0 if flat else 90.0, layer="Dimensions")

    def _tile_name(self) -> None:
        """Large, in the corner where it comes nearest to the page's corner and off the piece, or else inside it."""
        x0, y0, x1, y1 = self.sheet.window
        name = self.sheet.tile.name
        size = size_of(self.pen, name, NAME_PT, True)
        corners = [(x0, y1), (x1, y1), (x0, y0), (x1, y0)]
        for area, hatched in ((self.sheet.paper, False), (None, False), (None, True)):
            found = [(at, corner) for corner in corners if (at := self.room.spot(size, corner, 2.0, area, hatched))]
            if found:
                at, _ = min(found, key=lambda pair: (round(math.dist(*pair) / 15), corners.index(pair[1])))
                self._write(name, NAME_PT, at, bold=True, halo=hatched)
                return

    def _neighbours(self) -> None:
        """At each seam, beside a mark, the name of the page that joins there."""
        for side, name, line in self.sheet.seams:
            text = say(self.words, "neighbour", name=name)
            size = size_of(self.pen, text, SMALL_PT)
            for hatched in (False, True):
                found = [(at, near) for near in self._beside(side, line) if (at := self.room.spot(size, near, 0.8, None, hatched))]
                if found:
                    at, _ = min(found, key=lambda pair: round(math.dist(*pair) / 4))
                    self._write(text, SMALL_PT, at, halo=hatched)
                    break

    def _beside(self, side: str, line: Line) -> list[Point]:
        """Points inside the page next to the marks of a seam, that nearest to its middle first."""
        middle = (line[0][0] + line[1][0]) / 2, (line[0][1] + line[1][1]) / 2
        across = 0 if side in ("left", "right") else 1
        marks = [at for mark in self.sheet.tile.marks if abs((at := self.sheet.place(mark))[across] - middle[across]) < 2 * tiles.MARK]
        dx, dy = {"left": (14, 0), "right": (-14, 0), "below": (0, 7), "above": (0, -7)}[side]
        return [(x + dx, y + dy) for x, y in sorted(marks or [middle], key=lambda at: (round(math.dist(at, middle), 3), at))]

    def _legend(self) -> None:
        kinds = [kind for kind in ("valley", "mountain") if any(k == kind for k, _ in self.sheet.folds)]
        rows = [Row("cut"), *(Row(kind) for kind in kinds)]
        rows += [Row(key) for key, marked in (("glue_here", True), ("glue_back", False)) if any(m == marked for m, _ in self.sheet.glue)]
        rows += [Row("mark"), Row("seam")] if self.sheet.seams else []
        face = say(self.words, f"this_side_{self.sheet.plan.net.marks}")
        count = sum(piece.template == self.sheet.piece.name for piece in self.sheet.part.pieces)
        title = f"{self.sheet.piece.name}: {say(self.words, 'cut_many', count=str(count))}"
        Legend(title, face, tuple(rows), self.words).put(self.pen, self.room, self.sheet.window, self.sheet.paper)

    def _foot(self) -> None:
        """Along the lower edge: title, template, how to print, page; in one line, or each where there is room."""
        x0, y0, x1, _ = self.sheet.window
        name = ", ".join(part for part in (self.sheet.plan.net.title, self.sheet.tile.name) if part)
        parts = [name, say(self.words, "actual_size"), say(self.words, "page_of")]
        parts = [part for part in parts if part]
        for texts in (["   |   ".join(parts)], parts):
            spots = self._foot_spots(texts, (x0, x1), y0)
            if all(spots) or len(texts) > 1:
                for text, at in zip(texts, spots, strict=True):
                    if at:
                        write_centred(self.pen, text, FOOT_PT, at, halo=True)
                return

    def _foot_spots(self, texts: Sequence[str], span: tuple[float, float], low: float) -> list[Point | None]:
        """A place for each text, kept free as it is found."""
        found: list[Point | None] = []
        for n, text in enumerate(texts):
            size = size_of(self.pen, text, FOOT_PT)
            near = (span[0] + (span[1] - span[0]) * (n + 0.5) / len(texts), low)
            at = self.room.spot(size, near, CLEAR) or self.room.spot(size, near, CLEAR, hatched=True)
            if at and not (len(texts) == 1 and at[1] > low + 25):
                self.room.take(around(at, size))
                found.append(at)
            else:
                found.append(None)
        return found

    def _panels(self) -> None:
        for name in self.sheet.piece.panels:
            panel = self.sheet.part.panel[name]
            shape = shapely.Polygon(self.sheet.place.ring(panel.outline)).intersection(shapely.box(*self.sheet.window))
            if shape.area > 1:
                self._panel(panel, shape)

    def _panel(self, panel: Panel, shape: shapely.Polygon) -> None:
        """A panel's name in the middle of what is seen of it; none where there is no room.

        Upright as the box will stand, in one line or in two, or else turned.
        """
        text, upright = common_name(self.words, self.sheet.part, self.sheet.piece, panel), self._upright(panel)
        middle = shape.centroid
        for angle in (upright, 90.0 - upright):
            for lines in dict.fromkeys(((text,), in_two(text))):
                for hatched in (False, True):
                    wide, high = self._block_size(lines)
                    at = self.room.spot((high, wide) if angle else (wide, high), (middle.x, middle.y), PANEL_CLEAR, shape, hatched)
                    if at:
                        self._write_block(lines, at, angle, hatched)
                        return

    def _block_size(self, lines: Sequence[str]) -> tuple[float, float]:
        sizes = [size_of(self.pen, line, PANEL_PT) for line in lines]
        return max(wide for wide, _ in sizes), sizes[0][1] + PANEL_LEADING * (len(lines) - 1)

    def _write_block(self, lines: Sequence[str], at: Point, angle: float, halo: bool) -> None:
        """Lines of a name under each other, the middle of all at a point."""
        for n, line in enumerate(lines):
            up = PANEL_LEADING * ((len(lines) - 1) / 2 - n)
            self._write(line, PANEL_PT, (at[0] - up, at[1]) if angle else (at[0], at[1] + up), angle=angle, halo=halo)

    def _upright(self, panel: Panel) -> float:
        """0 or 90 degrees: how the name must be turned to stand upright, or to be read from the right, when the box stands."""
        up = bench_of(self.sheet.plan).final(self.sheet.part.name, panel.name)[2, :2]
        if math.hypot(*up) < 0.5:
            return 0.0
        x = self.sheet.place.a * up[0] + self.sheet.place.c * up[1]
        y = self.sheet.place.b * up[0] + self.sheet.place.d * up[1]
        return 90.0 if abs(x) > abs(y) else 0.0

    def _grain(self) -> None:
        """A plain arrow with two heads along the grain of the card, where it is known and the same for all copies."""
        way = grain_of(self.sheet.plan, self.sheet.part, self.sheet.piece)
        if way is None:
            return
        x = abs(self.sheet.place.a * way[0] + self.sheet.place.c * way[1])
        flat = x > 0.5
        size = (24.0, 7.0) if flat else (7.0, 24.0)
        middle = self.sheet.shape.centroid
        for hatched in (False, True):
            at = self.room.spot(size, (middle.x, middle.y), CLEAR, self.sheet.shape, hatched)
            if at:
                self._grain_arrow(at, flat)
                self.room.take(around(at, size))
                return

    def _grain_arrow(self, at: Point, flat: bool) -> None:
        for way in (-1.0, 1.0):
            end = (at[0] + 11 * way, at[1] - 1.5) if flat else (at[0] + 1.5, at[1] + 11 * way)
            start = (at[0], at[1] - 1.5) if flat else (at[0] + 1.5, at[1])
            arrow(self.pen, (start, end), 2.5, STROKES["mark"], "Legend")
        beside = (at[0], at[1] + 1.5) if flat else (at[0] - 1.5, at[1])
        write_centred(self.pen, say(self.words, "grain"), SMALL_PT, beside, angle=0.0 if flat else 90.0, halo=True)


def grain_of(plan: Plan, part: Part, piece: Piece) -> Point | None:
    """The direction of the grain in the part's flat frame; None where it is not known or not the same for all copies."""
    grain = plan.card.grain
    if grain == "unknown":
        return None
    copies = {one.name for one in part.pieces if one.template == piece.template}
    along = (1.0, 0.0) if grain == "first" else (0.0, 1.0)
    ways = set()
    for placed in plan.placed:
        if placed.part == part.name and placed.piece in copies:
            back = placed.to_sheet.inverse()
            x, y = back.a * along[0] + back.c * along[1], back.b * along[0] + back.d * along[1]
            ways.add((round(abs(x)), round(abs(y))))
    return (float(next(iter(ways))[0]), float(next(iter(ways))[1])) if len(ways) == 1 else None

"""Template pages: lines first, then words and signs where the lines leave room, over blank paper or inside the pieces.

What is told once a page is drawn by `leaf`; here is what belongs to each window on it. Layers named by ISO 19593-1.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import shapely

from booklet.drawing.labels import common_name, in_two, say
from booklet.drawing.leaf import Leaf
from booklet.drawing.pen import STROKES, Pen, arrow
from booklet.drawing.room import Room, around, blank, size_of, write_centred
from booklet.drawing.stage import bench_of
from booklet.drawing.window import Window, draw_lines, draw_marks, grain_of
from booklet.net import Panel
from booklet.plan import Plan
from booklet.plane import Line, Point

NAME_PT = 28.0
COUNT_PT = 8.0
PANEL_PT = 8.0
SMALL_PT = 7.0
"""Type: the tile's name, how many to cut, panels, neighbours."""

PANEL_LEADING = 3.4
"""mm from line to line of a panel's name (chosen by us)."""

PANEL_CLEAR = 3.0
"""mm between a panel's name and any line."""

CLEAR = 1.0
"""mm between other words and any line (chosen by us)."""

BETWEEN = 2.5
"""mm between a template's name and how many to cut of it, where these stand in one line (chosen by us)."""


def draw_leaf(pen: Pen, plan: Plan, leaf: int, words: Mapping[str, str]) -> None:
    """Draw a template page. `words`: the labels, `page_of` filled in; see `labels.LABELS`."""
    windows = [Window(plan, tile) for tile in plan.tiles if tile.leaf == leaf]
    page = Leaf(pen, plan, windows, words)
    for window in windows:
        draw_lines(pen, window, page.room)
        draw_marks(pen, window, page.room)
    each = [_Words(pen, window, page, words) for window in windows]
    page.ticks()
    for one in each:
        one.name()
        one.neighbours()
    page.legend()
    page.foot()
    for one in each:
        one.panels()
        one.grain()


class _Words:
    """Words and signs of one window, each where there is room left."""

    def __init__(self, pen: Pen, window: Window, page: Leaf, words: Mapping[str, str]):
        self.pen, self.window, self.words = pen, window, words
        self.room: Room = page.room
        self.alone = page.alone

    def _write(self, text: str, size_pt: float, at: Point, bold: bool = False, angle: float = 0.0, halo: bool = False) -> None:
        wide, high = size_of(self.pen, text, size_pt, bold)
        box = around(at, (high, wide) if angle else (wide, high))
        if halo:
            blank(self.pen, box)
        write_centred(self.pen, text, size_pt, at, bold, angle, halo)
        self.room.take(box)

    def name(self) -> None:
        """Large, in a corner off the piece or else inside it; where templates share a page, with how many to cut beside it."""
        if self.alone or not self._named_in_line():
            near = self._in_corner(self.window.tile.name, NAME_PT, 2.0 if self.alone else CLEAR)
            if not self.alone:
                self._count(near)

    def _in_corner(self, text: str, size_pt: float, clear: float) -> Point | None:
        """Where it comes nearest to a corner of the window; gives where it stands."""
        size = size_of(self.pen, text, size_pt, True)
        for area, hatched in ((self.window.paper, False), (None, False), (None, True)):
            if at := self._corner_spot(size, clear, area, hatched):
                self._write(text, size_pt, at, bold=True, halo=hatched)
                return at
        return None

    def _corner_spot(self, size: tuple[float, float], clear: float, area: Any, hatched: bool = False) -> Point | None:
        """A place in an area of the window, as near as can be to a corner; the first of the corners that are as near."""
        inside, corners = self._inside(size, area), self._corners
        found = [(at, corner) for corner in corners if (at := self.room.spot(size, corner, clear, inside, hatched))]
        return min(found, key=lambda pair: (round(math.dist(*pair) / 15), corners.index(pair[1])))[0] if found else None

    def _inside(self, size: tuple[float, float], area: Any) -> Any:
        """Where the middle of words can lie: on a page that templates share their whole rectangle is in the window."""
        if self.alone:
            return area
        x0, y0, x1, y1 = self.window.box
        (wide, high), middle = size, ((x0 + x1) / 2, (y0 + y1) / 2)
        room = shapely.box(
            min(x0 + wide / 2, middle[0]), min(y0 + high / 2, middle[1]), max(x1 - wide / 2, middle[0]), max(y1 - high / 2, middle[1])
        )
        return room if area is None else room.intersection(area)

    @property
    def _corners(self) -> list[Point]:
        """The corners of the window in the order in which they are liked."""
        x0, y0, x1, y1 = self.window.box
        return [(x0, y1), (x1, y1), (x0, y0), (x1, y0)]

    def _named_in_line(self) -> bool:
        """The template's name with how many to cut after it, off the piece in its own window; whether there is room."""
        name, count = self.window.tile.name, self.window.count(self.words)
        (a, high), (b, _) = size_of(self.pen, name, NAME_PT, True), size_of(self.pen, count, COUNT_PT, True)
        at = self._corner_spot((a + BETWEEN + b, high), CLEAR, self.window.paper)
        if at:
            left = at[0] - (a + BETWEEN + b) / 2
            self._write(name, NAME_PT, (left + a / 2, at[1]), bold=True)
            self._write(count, COUNT_PT, (left + a + BETWEEN + b / 2, at[1]), bold=True)
        return at is not None

    def _count(self, near: Point | None) -> None:
        """How many to cut, near the template's name."""
        text, x0, y1 = self.window.count(self.words), self.window.box[0], self.window.box[3]
        size = size_of(self.pen, text, COUNT_PT, True)
        for hatched in (False, True):
            found = [self.room.spot(size, near or (x0, y1), CLEAR, self._inside(size, area), hatched) for area in (self.window.paper, None)]
            if spots := [at for at in found if at]:
                self._write(text, COUNT_PT, min(spots, key=lambda at: round(math.dist(at, near or (x0, y1)) / 15)), bold=True, halo=hatched)
                return

    def neighbours(self) -> None:
        """At each seam, beside a mark, the name of the page that joins there."""
        for side, name, line in self.window.seams:
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
        here = [self.window.place(mark) for mark in self.window.tile.marks]
        marks = [at for at in here if abs(at[across] - middle[across]) < 2 * self.window.mark]
        dx, dy = {"left": (14, 0), "right": (-14, 0), "below": (0, 7), "above": (0, -7)}[side]
        return [(x + dx, y + dy) for x, y in sorted(marks or [middle], key=lambda at: (round(math.dist(at, middle), 3), at))]

    def panels(self) -> None:
        """The names of all panels that are seen; a smooth face of several panels has one."""
        for panel in self._faces():
            shape = self._largest(self._face(panel).intersection(shapely.box(*self.window.box)))
            if shape.area > 1:
                self._panel(panel, shape)

    def _faces(self) -> list[Panel]:
        """The panels of the piece, of a smooth face the first."""
        panels = [self.window.part.panel[name] for name in self.window.piece.panels]
        return list({panel.body or panel.name: panel for panel in reversed(panels)}.values())[::-1]

    def _face(self, panel: Panel) -> Any:
        """A panel on the page, or all of the smooth face that has its name."""
        part, piece = self.window.part, self.window.piece
        facets = [part.panel[name] for name in piece.panels if panel.body and part.panel[name].body == panel.body] or [panel]
        return shapely.union_all([shapely.Polygon(self.window.place.ring(facet.outline)) for facet in facets], grid_size=1e-6)

    @staticmethod
    def _largest(shape: Any) -> Any:
        return max(shapely.get_parts(shape), key=lambda one: round(one.area, 4), default=shapely.Polygon())

    def _panel(self, panel: Panel, shape: shapely.Polygon) -> None:
        """A panel's name in the middle of what is seen of it; none where there is no room.

        Upright as the box will stand, in one line or in two, or else turned.
        """
        text, upright = common_name(self.words, self.window.part, self.window.piece, panel, self.window.copies), self._upright(panel)
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
        up = bench_of(self.window.plan).final(self.window.part.name, panel.name)[2, :2]
        if math.hypot(*up) < 0.5:
            return 0.0
        x = self.window.place.a * up[0] + self.window.place.c * up[1]
        y = self.window.place.b * up[0] + self.window.place.d * up[1]
        return 90.0 if abs(x) > abs(y) else 0.0

    def grain(self) -> None:
        """A plain arrow with two heads along the grain of the card, where it is known and the same for all copies."""
        way = grain_of(self.window.plan, self.window.piece)
        if way is None:
            return
        x = abs(self.window.place.a * way[0] + self.window.place.c * way[1])
        flat = x > 0.5
        size = (24.0, 7.0) if flat else (7.0, 24.0)
        middle = self.window.shape.centroid
        for hatched in (False, True):
            at = self.room.spot(size, (middle.x, middle.y), CLEAR, self.window.shape, hatched)
            if at:
                if hatched:
                    blank(self.pen, around(at, size), 0.0)
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

"""A page that is printed on the card itself: marks and words in the waste, nothing on the pieces.

Marks come first, then words where the waste leaves room, the most needed first; what finds none is left out, as it stands elsewhere in
the booklet too. All is drawn smaller by the printer's scale, so that it comes out true. Millimetres on paper; layers by ISO 19593-1.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Any, Final

import shapely
from shapely.ops import nearest_points

from booklet.drawing.labels import piece_name, say
from booklet.drawing.layout import draw_outline
from booklet.drawing.pen import LAYER_OF, STROKES, Pen, Stroke, arrow
from booklet.drawing.room import Box, Room, around, size_of, steps, write_centred
from booklet.on_card import on_sheet
from booklet.plan import Plan
from booklet.plane import Affine, Point, Ring
from booklet.ticks import TICK, WIDTH, Kind, Lying, Mark, marks
from booklet.tiles import printable

NAME_PT = 12.0
TITLE_PT = 8.0
TEXT_PT = 7.0
"""Type: a piece's name, the face that is up, all else."""

CLEAR = 1.0
"""mm between words and any mark or piece (chosen by us)."""

LONG = 50.0
"""True length in mm of the two lines by which a loose page is checked."""

LEADER_FROM = 6.0
"""mm: a name further off its piece, or nearer to another, has a leader (chosen by us)."""

PATTERN: Final[Mapping[Kind, tuple[float, ...]]] = {
    "cut": (),
    "valley": (0.4 * TICK, 0.2 * TICK),
    "mountain": (0.45 * TICK, 0.125 * TICK, 0.0875 * TICK, 0.125 * TICK, 0.0875 * TICK, 0.125 * TICK),
}
"""The lines of the templates (ISO 128-20: continuous, dashed, long dash with two dots) as far as a tick has room for: two dashes, and
a dash with two dots. mm on and off in a tick of full length; a shorter one has them shorter (chosen by us)."""

ABOVE = 4.0
"""mm: a name is looked for so far over the middle of its piece (chosen by us)."""

PICTURES = (0.25, 0.2, 0.16)
"""Scales of the small picture of the sheet, the largest that has room (chosen by us)."""

SAMPLE = 5.0
ROW = 4.0
GUTTER = 2.0
BETWEEN = 5.0
"""mm: width of a sample, height of a row, between a sample and its words, between columns (chosen by us)."""

ENGLISH: Final[Mapping[str, str]] = {
    "tick_to_tick": "Lay the ruler from tick to tick",
    "notch": "corner of a notch: cut beside it",
    "curve": "curve: cut along its inner side",
    "sheet_of": "sheet {n} of {count}",
}
"""Labels of these pages alone, for who gives none."""


def stroke_of(kind: Kind, long: float) -> Stroke:
    """The stroke of a tick of a length in mm."""
    return Stroke(WIDTH, tuple(round(step * min(1.0, long / TICK), 6) for step in PATTERN[kind]))


@dataclass(frozen=True)
class _Page:
    """A sheet as it is drawn."""

    plan: Plan
    leaf: int

    @cached_property
    def pieces(self) -> tuple[Lying, ...]:
        return on_sheet(self.plan.net, self.plan.placed, self.leaf)

    @cached_property
    def marks(self) -> tuple[Mark, ...]:
        return marks(self.pieces, printable(self.plan.spec.page))

    @cached_property
    def scale(self) -> Affine:
        """From true mm on the sheet to the page as drawn."""
        sx, sy = self.plan.spec.page.scale
        return Affine(1 / sx, 0, 0, 1 / sy, 0, 0)

    @cached_property
    def box(self) -> Box:
        """What the page prints, as drawn."""
        x0, y0, x1, y1 = printable(self.plan.spec.page)
        return *self.scale((x0, y0)), *self.scale((x1, y1))

    @cached_property
    def shapes(self) -> list[Any]:
        """The pieces as drawn."""
        s = self.scale
        return [shapely.affinity.affine_transform(one.shape, [s.a, 0, 0, s.d, 0, 0]) for one in self.pieces]

    @cached_property
    def waste(self) -> Any:
        """What the knife leaves of the page."""
        return shapely.box(*self.box).difference(shapely.union_all(self.shapes))

    @property
    def kinds(self) -> list[Kind]:
        """The folds on the sheet."""
        return [kind for kind in ("valley", "mountain") if any(mark.kind == kind for mark in self.marks)]


def draw_leaf(pen: Pen, plan: Plan, leaf: int, words: Mapping[str, str]) -> None:
    """Draw a sheet. `words`: the labels, `page_of` filled in; see `labels.LABELS`."""
    page = _Page(plan, leaf)
    room = Room(page.box, 0.5)
    for shape in page.shapes:
        for ring in (shape.exterior, *shape.interiors):
            room.take_lines(steps(ring.coords[:-1]))
    _draw_marks(pen, page, room)
    _Words(pen, page, room, {**ENGLISH, **words}).draw()


def _draw_marks(pen: Pen, page: _Page, room: Room) -> None:
    for mark in page.marks:
        points = page.scale.ring(mark.points)
        stroke = stroke_of(mark.kind, math.dist(*mark.points)) if mark.shape == "tick" else Stroke(WIDTH)
        pen.path(points, stroke, LAYER_OF[mark.kind])
        room.take_lines(steps(points, closed=False))


Draw = Callable[[Point], None]
"""Draws something of a known size round its middle."""


class _Words:
    """Words and signs in the waste, one after another."""

    def __init__(self, pen: Pen, page: _Page, room: Room, words: Mapping[str, str]):
        self.pen, self.page, self.room, self.words = pen, page, room, words

    def draw(self) -> None:
        for lying, shape in zip(self.page.pieces, self.page.shapes, strict=True):
            self._name(lying, shape)
        self._foot()
        self._bars()
        self._legend()
        self._picture()
        self._grain()

    def _spot(self, size: tuple[float, float], near: Point, clear: float = CLEAR) -> Point | None:
        return self.room.spot(size, near, clear, self.page.waste)

    def _put(self, size: tuple[float, float], near: Point, draw: Draw) -> Point | None:
        """Draw where there is room nearest to a point, if there is any; gives where."""
        at = self._spot(size, near)
        if at:
            draw(at)
            self.room.take(around(at, size))
        return at

    def _write(self, text: str, size_pt: float, near: Point, bold: bool = False) -> Box | None:
        """One line of words, upright or turned where only that has room; the rectangle that it takes."""
        wide, high = size_of(self.pen, text, size_pt, bold)
        for size, angle in (((wide, high), 0.0), ((high, wide), 90.0)):
            draw = partial(write_centred, self.pen, text, size_pt, bold=bold, angle=angle)
            if at := self._put(size, near, draw):
                return around(at, size)
        return None

    def _name(self, lying: Lying, shape: Any) -> None:
        """A piece's name in the waste beside it, with a leader where it could be taken for another's."""
        x0, _, x1, top = shape.bounds
        for size_pt in (NAME_PT, TITLE_PT, TEXT_PT):
            box = self._write(piece_name(self.words, lying.piece), size_pt, ((x0 + x1) / 2, top + ABOVE), bold=True)
            if box:
                self._leader(shapely.box(*box), shape)
                return

    def _leader(self, words: Any, shape: Any) -> None:
        others = [one for one in self.page.shapes if one is not shape]
        far = words.distance(shape)
        if not others or (far <= LEADER_FROM and all(one.distance(words) > 1.5 * far for one in others)):
            return
        a, b = nearest_points(words, shape)
        line = shapely.LineString((a, b))
        if any(line.intersects(one) for one in others) or far <= 2 * CLEAR:
            return
        start, end = line.interpolate(CLEAR / 2), line.interpolate(far - CLEAR / 2)
        points = ((start.x, start.y), (end.x, end.y))
        self.pen.path(points, STROKES["dimension"], "Legend")
        self.room.take_lines([points])

    def _bars(self) -> None:
        """A line of 50 mm in each direction, each with its length."""
        x0, y0, *_ = self.page.box
        sx, sy = self.page.plan.spec.page.scale
        text = say(self.words, "tick")
        wide, high = size_of(self.pen, text, TEXT_PT)
        for long, flat, near in ((LONG / sx, True, (x0 + 40, y0)), (LONG / sy, False, (x0, y0 + 60))):
            for deep, up in ((high + 3.0, 1.0), (2.6, 0.0)):
                out = 0.0 if up else wide + 2 * CLEAR
                size = (long + out + 0.5, deep)
                if self._put(size if flat else size[::-1], near, partial(self._bar, long=long, flat=flat, up=up, out=out)):
                    break

    def _bar(self, at: Point, long: float, flat: bool, up: float, out: float) -> None:
        """A line with ticks at its ends; its length stands above it (`up`), or beyond its end where there is `out` mm for it."""

        def on(along: float, across: float) -> Point:
            return (at[0] + along, at[1] + across) if flat else (at[0] - across, at[1] + along)

        low, first = (-1.5 if up else 0.0), -(long + out) / 2
        last = first + long
        for line in ((first, low, last, low), (first, low - 1.2, first, low + 1.2), (last, low - 1.2, last, low + 1.2)):
            self.pen.path((on(*line[:2]), on(*line[2:])), STROKES["mark"], "Dimensions")
        middle = on(first + long / 2, 1.0) if up else on(last + out / 2, 0.0)
        write_centred(self.pen, say(self.words, "tick"), TEXT_PT, middle, angle=0.0 if flat else 90.0, layer="Dimensions")

    @property
    def _rows(self) -> list[str]:
        shapes = {mark.shape for mark in self.page.marks}
        return ["cut", *self.page.kinds, *(key for key, shape in (("notch", "corner"), ("curve", "curve")) if shape in shapes)]

    def _legend(self) -> None:
        """Which tick is which, and which face is up: in one block, or line by line where the waste is narrow."""
        x1, y0 = self.page.box[2], self.page.box[1]
        heads = [say(self.words, f"this_side_{self.page.plan.net.marks}"), say(self.words, "tick_to_tick")]
        for columns in (1, 2, 3):
            size = self._block_size(heads, columns)
            if self._put(size, (x1, y0), partial(self._block, heads=heads, size=size, columns=columns)):
                return
        for text in heads:
            self._write(text, TITLE_PT, (x1, y0), bold=True)
        for key in self._rows:
            size = self._row_width(key), ROW - 1
            if not self._put(size, (x1, y0), partial(self._row_round, key=key)):
                self._put(size[::-1], (x1, y0), partial(self._row_round, key=key, turned=True))

    def _row_width(self, key: str) -> float:
        return SAMPLE + GUTTER + self.pen.width(say(self.words, key), TEXT_PT)

    def _columns(self, columns: int) -> list[Sequence[str]]:
        rows = self._rows
        count = math.ceil(len(rows) / columns)
        return [rows[k : k + count] for k in range(0, len(rows), count)]

    def _block_size(self, heads: Sequence[str], columns: int) -> tuple[float, float]:
        parts = self._columns(columns)
        wide = sum(max(map(self._row_width, part)) for part in parts) + BETWEEN * (len(parts) - 1)
        return max(wide, *(self.pen.width(head, TITLE_PT, True) for head in heads)), ROW * (len(heads) + len(parts[0]))

    def _block(self, at: Point, heads: Sequence[str], size: tuple[float, float], columns: int) -> None:
        x, y = at[0] - size[0] / 2, at[1] + size[1] / 2
        for n, head in enumerate(heads):
            self.pen.text((x, y - 2.8 - ROW * n), head, TITLE_PT, bold=True, layer="Legend")
        for part in self._columns(columns):
            for n, key in enumerate(part):
                self._row(key, (x, y - ROW * (len(heads) + n + 0.5)))
            x += max(map(self._row_width, part)) + BETWEEN

    def _row_round(self, at: Point, key: str, turned: bool = False) -> None:
        half = self._row_width(key) / 2
        self._row(key, (at[0], at[1] - half) if turned else (at[0] - half, at[1]), turned)

    def _row(self, key: str, start: Point, turned: bool = False) -> None:
        """A sample and its words, from the middle of their left end; turned: from below."""

        def on(along: float, across: float) -> Point:
            return (start[0] - across, start[1] + along) if turned else (start[0] + along, start[1] + across)

        for points, stroke in _sample(key):
            self.pen.path([on(*p) for p in points], stroke, "Legend")
        text = say(self.words, key)
        middle = on(SAMPLE + GUTTER + self.pen.width(text, TEXT_PT) / 2, 0.0)
        write_centred(self.pen, text, TEXT_PT, middle, angle=90.0 if turned else 0.0)

    def _foot(self) -> None:
        """The box, the sheet, how to print, the page: along the lower edge, each where there is room."""
        x0, y0, x1, _ = self.page.box
        plan = self.page.plan
        of = say(self.words, "sheet_of", n=str(self.page.leaf), count=str(plan.leaves))
        parts = [text for text in (plan.net.title, of, say(self.words, "actual_size"), say(self.words, "page_of")) if text]
        whole = "   |   ".join(parts)
        if self.pen.width(whole, TEXT_PT) < x1 - x0 and self._write_flat(whole, ((x0 + x1) / 2, y0), y0 + 25):
            return
        for n, text in enumerate(parts):
            self._write(text, TEXT_PT, (x0 + (x1 - x0) * (n + 0.5) / len(parts), y0))

    def _write_flat(self, text: str, near: Point, most: float) -> bool:
        """One line of words not above a height."""
        size = size_of(self.pen, text, TEXT_PT)
        at = self._spot(size, near)
        if not at or at[1] > most:
            return False
        write_centred(self.pen, text, TEXT_PT, at)
        self.room.take(around(at, size))
        return True

    def _picture(self) -> None:
        """The sheet small, with its pieces: what the ticks stand for."""
        w, h = self.page.plan.spec.page.paper
        x1, y1 = self.page.box[2:]
        for scale in PICTURES:
            if self._put((w * scale, h * scale), (x1, y1), partial(self._small, scale=scale)):
                return

    def _small(self, at: Point, scale: float) -> None:
        w, h = self.page.plan.spec.page.paper
        x, y = at[0] - w * scale / 2, at[1] - h * scale / 2
        place = Affine(scale, 0, 0, scale, x, y)
        self.pen.path(place.ring(((0, 0), (w, 0), (w, h), (0, h))), STROKES["dimension"], "Legend", closed=True)
        for one in self.page.pieces:
            draw_outline(self.pen, one.part, one.piece, one.placed.to_sheet.then(place))

    def _grain(self) -> None:
        """An arrow along the grain, where it is known."""
        grain = self.page.plan.card.grain
        if grain == "unknown":
            return
        x0, _, x1, y1 = self.page.box
        flat = grain == "first"
        self._put((24.0, 5.5) if flat else (5.5, 24.0), ((x0 + x1) / 2, y1), partial(self._arrow, flat=flat))

    def _arrow(self, at: Point, flat: bool) -> None:
        def on(along: float, across: float) -> Point:
            return (at[0] + along, at[1] + across) if flat else (at[0] - across, at[1] + along)

        for way in (-1.0, 1.0):
            arrow(self.pen, (on(0.0, -1.5), on(11.0 * way, -1.5)), 2.5, STROKES["mark"], "Legend")
        write_centred(self.pen, say(self.words, "grain"), TEXT_PT, on(0.0, 1.2), angle=0.0 if flat else 90.0)


def _sample(key: str) -> list[tuple[Ring, Stroke]]:
    """The strokes of a legend's sample, in mm from the middle of its left end."""
    if key == "notch":
        return [(((0.2, 1.3), (0.2, -1.2), (4.0, -1.2)), Stroke(WIDTH))]
    if key == "curve":
        turns = [math.radians(a) for a in range(90, -1, -10)]
        return [(tuple((0.5 + 3.0 * math.cos(t), -1.5 + 2.8 * math.sin(t)) for t in turns), Stroke(WIDTH))]
    kind: Kind = key  # type: ignore[assignment]
    return [(((0.0, 0.0), (TICK, 0.0)), stroke_of(kind, TICK))]

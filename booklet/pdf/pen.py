"""The pen that writes into a PDF page. Millimetres become points here and nowhere else.

Lines go straight into the page's content as plain operators, no form objects, so that any reader can
measure them. Runs of one layer or one stroke share their setting.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from typing import Any

from booklet.drawing.pen import MM_PER_POINT, Anchor, Stroke
from booklet.pdf import fonts, layers
from booklet.plane import Affine, Point, Ring

HALO_EM = 0.22
"""Width of the white rim under haloed letters, both sides together, in parts of the letters' size (chosen by us)."""

_HERE = Affine()
"""The map of a pen that is not placed: most lines are drawn by it, and it need not be reckoned."""


def number(value: float) -> str:
    """Four decimals at most: a ten-thousandth of a point is 0.04 micrometre."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def points(value_mm: float) -> str:
    """Millimetres written as points."""
    return number(value_mm / MM_PER_POINT)


class PdfPen:
    """Draws on the canvas's page from the canvas's present origin. See `booklet.drawing.pen.Pen`."""

    def __init__(self, canvas: Any):
        self._canvas = canvas
        self._map = _HERE
        self._open: str | None = None  # the layer of the stretch being written, "" for none
        self._set: list[str] = ["", ""]  # stroke and fill settings in force, by their operators
        self._saved: list[list[str]] = []

    def path(self, points: Sequence[Point], stroke: Stroke, layer: str | None = None, closed: bool = False) -> None:
        """A polyline."""
        if len(points) < 2:
            return
        self._enter(layer)
        self._use(0, _stroke_operators(stroke))
        self._write(f"{self._trail(points)} {'s' if closed else 'S'}")

    def fill(self, rings: Sequence[Ring], grey: float, layer: str | None = None) -> None:
        """An area by the even-odd rule."""
        drawn = [self._trail(ring) + " h" for ring in rings if len(ring) > 2]
        if drawn:
            self._enter(layer)
            self._use(1, f"{number(grey)} g")
            self._write(" ".join(drawn) + " f*")

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
        """One line of words. Raises `BookletError` for a character that the shipped faces lack."""
        self._enter(layer)
        turned, foot = self._turned(angle), self._map(at)
        back = {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * self.width(words, size_pt, bold)
        foot = foot[0] - back * math.cos(turned), foot[1] - back * math.sin(turned)
        if halo:
            self._write(f"q 1 G 1 g {points(size_pt * MM_PER_POINT * HALO_EM)} w [] 0 d 1 j")
            self._letters(foot, turned, words, size_pt, bold, mode=2)
            self._write("Q")
        self._use(1, "0 g")
        self._letters(foot, turned, words, size_pt, bold)

    def _turned(self, angle: float) -> float:
        """The angle in radians on the page, after the map in force."""
        t = math.radians(angle)
        x, y = math.cos(t), math.sin(t)
        return math.atan2(self._map.b * x + self._map.d * y, self._map.a * x + self._map.c * y)

    def _letters(self, foot: Point, turned: float, words: str, size_pt: float, bold: bool, mode: int = 0) -> None:
        line = self._canvas.beginText()
        line.setTextTransform(math.cos(turned), math.sin(turned), -math.sin(turned), math.cos(turned), *(v / MM_PER_POINT for v in foot))
        line.setFont(fonts.face(bold), size_pt)
        if mode:
            line.setTextRenderMode(mode)
        line.textOut(fonts.composed(words))
        if mode:
            line.setTextRenderMode(0)
        self._canvas.drawText(line)

    @contextmanager
    def clipped(self, ring: Ring) -> Iterator[PdfPen]:
        """Everything drawn within is cut off at the ring."""
        with self.kept():
            self._write(f"{self._trail(ring)} h W* n")
            yield self

    @contextmanager
    def windowed(self, rings: Sequence[Ring]) -> Iterator[PdfPen]:
        """Everything drawn within is cut off at the edge of an area of several rings, by the even-odd rule."""
        with self.kept():
            self._write(f"{' '.join(f'{self._trail(ring)} h' for ring in rings)} W* n")
            yield self

    @contextmanager
    def bare(self, place: Affine) -> Iterator[Any]:
        """reportlab's canvas, for what draws on it by itself: `place` maps its units to mm on the pen."""
        self.rest()
        with self._canvas.content(None):
            self._canvas.saveState()
            self._canvas.transform(*(round(value / MM_PER_POINT, 8) for value in place.then(self._map).values))
            yield self._canvas
            self._canvas.restoreState()

    @contextmanager
    def placed(self, affine: Affine) -> Iterator[PdfPen]:
        """Everything drawn within is mapped first."""
        before = self._map
        self._map = affine.then(before)
        try:
            yield self
        finally:
            self._map = before

    @contextmanager
    def kept(self) -> Iterator[PdfPen]:
        """What is set within is forgotten after it; no layer is open at either end."""
        self.rest()
        self._push("q")
        try:
            yield self
        finally:
            self.rest()
            self._pop("Q")

    def width(self, words: str, size_pt: float, bold: bool = False) -> float:
        """The width of the words in mm."""
        return fonts.width(words, size_pt, bold)

    def rest(self) -> None:
        """Close the stretch that is open, so that something else may write into the page, unaffected."""
        if self._open is not None:
            self._pop(layers.CLOSED if self._open else "Q")
            self._open = None

    def _enter(self, layer: str | None) -> None:
        wanted = layer or ""
        if wanted != self._open:
            self.rest()
            self._push(layers.opened(wanted) if wanted else "q")
            self._canvas.layers_used.add(wanted)
            self._open = wanted

    def _push(self, operator: str) -> None:
        if not self._saved:
            self._canvas.open_content()
        self._write(operator)
        self._saved.append(self._set.copy())

    def _pop(self, operator: str) -> None:
        self._write(operator)
        self._set = self._saved.pop()
        if not self._saved:
            self._canvas.close_content()

    def _use(self, which: int, operators: str) -> None:
        if self._set[which] != operators:
            self._write(operators)
            self._set[which] = operators

    def _trail(self, way: Sequence[Point]) -> str:
        here = way if self._map is _HERE else map(self._map, way)
        first, *steps = [f"{number(x / MM_PER_POINT)} {number(y / MM_PER_POINT)}" for x, y in here]
        return f"{first} m {' l '.join(steps)} l"

    def _write(self, operators: str) -> None:
        self._canvas.addLiteral(operators)


@cache
def _stroke_operators(stroke: Stroke) -> str:
    """All that a stroke sets: ends, round corners (a mitre at a flap's tip would be a spike), width, dash and grey."""
    dash = " ".join(points(v) for v in stroke.dash)
    return f"{int(stroke.round_ends)} J 1 j {points(stroke.width_mm)} w [{dash}] 0 d {number(stroke.grey)} G"

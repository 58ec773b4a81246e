"""The pen that remembers: what was drawn, after placing, as a list for tests; and letters' widths without a PDF.

Only the PDF room may open the fonts, so pens that write no PDF measure words by the advance widths below.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Final, Literal, Self

from booklet.drawing.pen import MM_PER_POINT, Anchor, Stroke, cut_to_ring
from booklet.plane import Affine, Line, Point, Ring

# Advance widths of U+0020 to U+007E in thousandths of the letters' size: Noto Sans Regular and Bold,
# read from the shipped files. Other characters count as the mean of the lower case.
_REGULAR: Final = (
    260, 269, 408, 646, 572, 831, 732, 225, 300, 300, 551, 572, 268, 322, 268, 372, 572, 572, 572, 572, 572, 572, 572, 572,
    572, 572, 268, 268, 572, 572, 572, 434, 899, 639, 650, 632, 730, 556, 519, 728, 741, 339, 273, 619, 524, 907, 760, 781,
    605, 781, 622, 549, 556, 731, 600, 930, 586, 566, 572, 329, 372, 329, 572, 444, 281, 561, 615, 480, 615, 564, 344, 615,
    618, 258, 258, 534, 258, 935, 618, 605, 615, 615, 413, 479, 361, 618, 508, 786, 529, 510, 470, 380, 551, 380, 572,
)  # fmt: skip
_BOLD: Final = (
    260, 286, 472, 646, 572, 901, 750, 266, 339, 339, 545, 572, 285, 322, 285, 413, 572, 572, 572, 572, 572, 572, 572, 572,
    572, 572, 285, 285, 572, 572, 572, 477, 897, 690, 672, 637, 740, 560, 549, 724, 765, 389, 331, 664, 565, 943, 813, 796,
    628, 796, 660, 551, 579, 756, 650, 967, 667, 624, 579, 331, 413, 331, 572, 411, 362, 604, 633, 514, 633, 591, 387, 633,
    657, 305, 305, 620, 305, 982, 657, 619, 633, 633, 454, 497, 434, 657, 569, 856, 578, 569, 488, 394, 551, 394, 572,
)  # fmt: skip
_OTHER: Final = 560


def measured(words: str, size_pt: float, bold: bool = False) -> float:
    """The width of a line of words in mm; exact for ASCII, near for other letters."""
    table = _BOLD if bold else _REGULAR
    thousandths = sum(table[ord(c) - 32] if " " <= c <= "~" else _OTHER for c in words)
    return thousandths / 1000 * size_pt * MM_PER_POINT


class Placing:
    """What pens without a page share: the map in force, and the clips laid one in another."""

    def __init__(self) -> None:
        self._map = Affine()
        self._clips: tuple[Ring, ...] = ()

    @contextmanager
    def placed(self, affine: Affine) -> Iterator[Self]:
        """Everything drawn within is mapped first."""
        before = self._map
        self._map = affine.then(before)
        try:
            yield self
        finally:
            self._map = before

    @contextmanager
    def clipped(self, ring: Ring) -> Iterator[Self]:
        """Everything drawn within is cut off at the ring."""
        before = self._clips
        self._clips = (*before, self._map.ring(ring))
        try:
            yield self
        finally:
            self._clips = before

    def width(self, words: str, size_pt: float, bold: bool = False) -> float:
        """The width of the words in mm."""
        return measured(words, size_pt, bold)

    def turned(self, angle: float) -> float:
        """The angle in degrees after the map in force."""
        t = math.radians(angle)
        x, y = math.cos(t), math.sin(t)
        return math.degrees(math.atan2(self._map.b * x + self._map.d * y, self._map.a * x + self._map.c * y))


@dataclass(frozen=True, slots=True)
class Record:
    """One thing drawn. `points` after placing, of a fill its first ring; `clip` the rings in force, outermost first."""

    kind: Literal["path", "fill", "text"]
    points: tuple[Point, ...]
    layer: str | None = None
    stroke: Stroke | None = None
    closed: bool = False
    rings: tuple[Ring, ...] = ()
    grey: float = 0.0
    words: str = ""
    size_pt: float = 0.0
    anchor: Anchor = "start"
    bold: bool = False
    angle: float = 0.0
    halo: bool = False
    clip: tuple[Ring, ...] = ()

    def lines(self) -> Iterator[Line]:
        """The straight parts of a path, as far as the clips show them."""
        ends = (*self.points[1:], self.points[0]) if self.closed else self.points[1:]
        for line in zip(self.points, ends, strict=False):
            yield from shown(line, self.clip)


def shown(line: Line, clips: Sequence[Ring]) -> list[Line]:
    """The parts of a line inside every ring."""
    parts = [line]
    for ring in clips:
        parts = [inner for part in parts for inner in cut_to_ring(part, ring)]
    return parts


class RecordingPen(Placing):
    """A pen that keeps `records`. See `booklet.drawing.pen.Pen`."""

    def __init__(self) -> None:
        super().__init__()
        self.records: list[Record] = []

    def path(self, points: Sequence[Point], stroke: Stroke, layer: str | None = None, closed: bool = False) -> None:
        """A polyline."""
        if len(points) > 1:
            self.records.append(Record("path", self._map.ring(points), layer, stroke, closed, clip=self._clips))

    def fill(self, rings: Sequence[Ring], grey: float, layer: str | None = None) -> None:
        """An area."""
        drawn = tuple(self._map.ring(ring) for ring in rings if len(ring) > 2)
        if drawn:
            self.records.append(Record("fill", drawn[0], layer, rings=drawn, grey=grey, clip=self._clips))

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
        """One line of words."""
        foot, turned = (self._map(at),), self.turned(angle)
        self.records.append(
            Record("text", foot, layer, words=words, size_pt=size_pt, anchor=anchor, bold=bold, angle=turned, halo=halo, clip=self._clips)
        )

    def lines(self, layer: str | None = None) -> list[Line]:
        """All straight parts of the paths in a layer, or of all paths when none is named, as far as shown."""
        return [line for r in self.records if r.kind == "path" and layer in (None, r.layer) for line in r.lines()]

    def texts(self) -> list[str]:
        """All words, in order."""
        return [r.words for r in self.records if r.kind == "text"]

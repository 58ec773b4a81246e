"""What a template page tells once: lines to check its size by, the legend, the foot. Millimetres on paper."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import Any

import shapely

from booklet.drawing.labels import say
from booklet.drawing.legend import Legend, Row
from booklet.drawing.pen import STROKES, Pen
from booklet.drawing.room import Box, Room, around, size_of, write_centred
from booklet.drawing.window import Window
from booklet.plan import Plan
from booklet.plane import Point

FOOT_PT = 8.0
TICK_PT = 7.0
"""Type: the foot, the length of a tick line."""

CLEAR = 1.0
"""mm between words and any line (chosen by us)."""

TICK = 50.0
"""True length in mm of the two lines by which a loose page is checked."""

_FOOT_HIGH = 25.0
"""mm: a foot in one line stands no higher on the page (chosen by us)."""


class Leaf:
    """A template page with its windows. `room`: what is free of it; `alone`: whether it has one window only."""

    def __init__(self, pen: Pen, plan: Plan, windows: Sequence[Window], words: Mapping[str, str]):
        self.pen, self.plan, self.windows, self.words = pen, plan, windows, words
        self.room = Room(self.box)
        self.alone = len(windows) == 1

    @cached_property
    def box(self) -> Box:
        """What the page can print, as drawn."""
        (wide, high), m = self.plan.spec.page.paper, self.plan.spec.page.margin
        return m, m, wide - m, high - m

    @property
    def paper(self) -> Any:
        """What the pieces leave free of the page."""
        return shapely.box(*self.box).difference(shapely.union_all([window.shape for window in self.windows]))

    def ticks(self) -> None:
        """A line of 50 mm along the lower edge and one along the left edge, each with its length."""
        x0, y0, *_ = self.box
        sx, sy = self.plan.spec.page.scale
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
        write_centred(self.pen, say(self.words, "tick"), TICK_PT, on(0.0, 1.0), angle=0.0 if flat else 90.0, layer="Dimensions")

    def legend(self) -> None:
        """All kinds of lines on the page, the face that is up; on a page with one template how many to cut of it."""
        folds = {kind for window in self.windows for kind, _ in window.folds}
        glue = {marked for window in self.windows for marked, _ in window.glue}
        rows = [Row("cut"), *(Row(kind) for kind in ("valley", "mountain") if kind in folds)]
        rows += [Row(key) for key, marked in (("glue_here", True), ("glue_back", False)) if marked in glue]
        rows += [Row("mark"), Row("seam")] if any(window.seams for window in self.windows) else []
        title = self.windows[0].count(self.words) if self.alone else ""
        face = say(self.words, f"this_side_{self.plan.net.marks}")
        Legend(title, face, tuple(rows), self.words).put(self.pen, self.room, self.box, self.paper)

    def foot(self) -> None:
        """Along the lower edge: title, templates, how to print, page; in one line, or each where there is room."""
        name = ", ".join(part for part in (self.plan.net.title, *(window.tile.name for window in self.windows)) if part)
        parts = [name, say(self.words, "actual_size"), say(self.words, "page_of")]
        parts = [part for part in parts if part]
        for texts in (["   |   ".join(parts)], parts):
            spots = self._foot_spots(texts)
            if all(spots) or len(texts) > 1:
                for text, at in zip(texts, spots, strict=True):
                    if at:
                        write_centred(self.pen, text, FOOT_PT, at, halo=True)
                return

    def _foot_spots(self, texts: Sequence[str]) -> list[Point | None]:
        """A place for each text, kept free as it is found."""
        found: list[Point | None] = []
        x0, low, x1, _ = self.box
        for n, text in enumerate(texts):
            size = size_of(self.pen, text, FOOT_PT)
            near = (x0 + (x1 - x0) * (n + 0.5) / len(texts), low)
            at = self.room.spot(size, near, CLEAR) or self.room.spot(size, near, CLEAR, hatched=True)
            if at and not (len(texts) == 1 and at[1] > low + _FOOT_HIGH):
                self.room.take(around(at, size))
                found.append(at)
            else:
                found.append(None)
        return found

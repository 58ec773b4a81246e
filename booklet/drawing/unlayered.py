"""A pen for pictures that are not true to size: they stand in no layer, so that cut lines taken out are those of the templates only."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from booklet.drawing.pen import Pen
from booklet.plane import Affine, Ring


class Unlayered:
    """A pen that puts nothing in a layer."""

    def __init__(self, pen: Pen):
        self._pen = pen

    def path(self, points: Sequence[Any], stroke: Any, layer: str | None = None, closed: bool = False) -> None:
        """As `Pen.path`."""
        self._pen.path(points, stroke, None, closed)

    def fill(self, rings: Sequence[Ring], grey: float, layer: str | None = None) -> None:
        """As `Pen.fill`."""
        self._pen.fill(rings, grey)

    def text(self, at: Any, words: str, size_pt: float, *args: Any, layer: str | None = None, **how: Any) -> None:
        """As `Pen.text`."""
        self._pen.text(at, words, size_pt, *args, **how)

    @contextmanager
    def clipped(self, ring: Ring) -> Iterator[Pen]:
        """As `Pen.clipped`."""
        with self._pen.clipped(ring) as pen:
            yield Unlayered(pen)

    @contextmanager
    def placed(self, affine: Affine) -> Iterator[Pen]:
        """As `Pen.placed`."""
        with self._pen.placed(affine) as pen:
            yield Unlayered(pen)

    def width(self, words: str, size_pt: float, bold: bool = False) -> float:
        """As `Pen.width`."""
        return self._pen.width(words, size_pt, bold)

"""The net for a print shop: its lines in layers, measures, and a legend that says what each layer is. mm, seen on the printed face.

The samples of the legend lie in the layer of the legend themselves, so that whoever takes a layer gets the net's lines and nothing else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import shapely

from booklet.artwork import bleed_of, glued_outside
from booklet.drawing.pen import MM_PER_POINT, STROKES, Pen, Stroke, dashed, dimension
from booklet.drawing.textlines import set_by, wrapped
from booklet.folding import folds_of
from booklet.net import Fold, Net, Part, Piece
from booklet.plane import Ring, bounds
from booklet.printshop import EDGE, LEGEND, Laid, Sheet, named

BLEED_LINE = dashed(0.18, 6, 3)
GLUED = dashed(0.25, 12, 3, 0.5, 3)
BACK: Stroke = STROKES["hidden"]
"""Outlines: of the bleed, of what is glued on the printed face, and of glue on the other face."""

TITLE_PT, TEXT_PT = 14.0, 8.0
LINE = 4.0
SAMPLE = 14.0
LEFT = 72.0
MEASURE, NAME = 8.0, 13.0
"""Type in points; mm: a line of the legend, a sample, width of its left column; how far off a piece its measures and its name stand."""

BAR = 50.0


@dataclass(frozen=True)
class Told:
    """The words of the page. `head`: lines beside the title; `layers`: name of a row of the legend to its words.

    `length`, `caliper`: tell mm; `piece`: tells what a piece is called.
    """

    title: str
    head: Sequence[str]
    layers: dict[str, str]
    length: Callable[[float], str]
    caliper: Callable[[float], str]
    piece: Callable[[Part, Piece], str]
    bar: str


def layer_of(fold: Fold) -> str:
    """The layer of a fold as it is seen on the face that the net shows: half-cuts, valleys, mountains."""
    return "PartialCutting" if fold.way == "half-cut" else "Creasing" if fold.bends > 0 else "ReverseCreasing"


def draw(pen: Pen, sheet: Sheet, told: Told) -> None:
    """Everything but the artwork, which lies under it."""
    for one in sheet.laid:
        _bleed(pen, one)
        _glue(pen, sheet.net, one)
    for one in sheet.laid:
        for fold in folds_of(one.part, one.piece):
            pen.path(one.to_page.ring(fold.line), STROKES["valley" if fold.bends > 0 else "mountain"], layer_of(fold))
    for one in sheet.laid:
        for ring in (one.piece.outline, *one.piece.holes):
            pen.path(one.to_page.ring(ring), STROKES["cut"], "Cutting", closed=True)
        for slit in one.piece.slits:
            pen.path(one.to_page.ring(slit), STROKES["cut"], "Cutting")
    _measures(pen, sheet, told)
    _legend(pen, sheet, told)


def used(sheet: Sheet) -> Iterator[str]:
    """The rows that the legend needs, in their order."""
    folds = [fold for one in sheet.laid for fold in folds_of(one.part, one.piece)]
    yield "cutting"
    for key, layer in (("creasing", "Creasing"), ("reverse", "ReverseCreasing")):
        if any(layer_of(fold) == layer for fold in folds):
            yield key
    for key, valley in (("partial_valley", True), ("partial_mountain", False)):
        if any(layer_of(fold) == "PartialCutting" and (fold.bends > 0) == valley for fold in folds):
            yield key
    if any(True for one in sheet.laid for _ in _outside(sheet.net, one)):
        yield "gluing"
    if any(True for one in sheet.laid for _ in _behind(sheet.net, one)):
        yield "gluing_back"
    yield from ("bleed", "dimensions", "legend")


ROWS: dict[str, tuple[str, Stroke | None]] = {
    "cutting": ("Cutting", STROKES["cut"]),
    "creasing": ("Creasing", STROKES["valley"]),
    "reverse": ("ReverseCreasing", STROKES["mountain"]),
    "partial_valley": ("PartialCutting", STROKES["valley"]),
    "partial_mountain": ("PartialCutting", STROKES["mountain"]),
    "gluing": ("Gluing", GLUED),
    "gluing_back": ("Gluing", BACK),
    "bleed": ("Bleed", BLEED_LINE),
    "dimensions": ("Dimensions", STROKES["dimension"]),
    "legend": ("Legend", None),
}
"""The rows of the legend: the layer, and how its lines look."""


def _bleed(pen: Pen, one: Laid) -> None:
    for ring in rings(bleed_of(one.piece)):
        pen.path(one.to_page.ring(ring), BLEED_LINE, "Bleed", closed=True)


def _glue(pen: Pen, net: Net, one: Laid) -> None:
    """Outlines only: an area without ink stays white."""
    for shape in _outside(net, one):
        for ring in rings(shape):
            pen.path(one.to_page.ring(ring), GLUED, "Gluing", closed=True)
    for ring in _behind(net, one):
        pen.path(one.to_page.ring(ring), BACK, "Gluing", closed=True)


def _outside(net: Net, one: Laid) -> Iterator[Any]:
    """What is glued on the printed face of a piece."""
    return (shape for name in one.piece.panels for shape in glued_outside(net, one.part, one.part.panel[name]))


def _behind(net: Net, one: Laid) -> Iterator[Ring]:
    """Where glue goes on the other face of a piece."""
    for bond in net.bonds:
        part, panel = bond.panels[0]
        if part == one.part.name and panel in one.piece.panels and bond.faces[0] == "back":
            yield bond.region


def _measures(pen: Pen, sheet: Sheet, told: Told) -> None:
    """Width and height of every piece, and its name."""
    for one, name in zip(sheet.laid, named(sheet, told.piece), strict=True):
        x0, y0, x1, y1 = bounds(one.to_page.ring(one.piece.outline))
        dimension(pen, (x0, y0), (x1, y0), -MEASURE, told.length(x1 - x0))
        dimension(pen, (x0, y0), (x0, y1), MEASURE, told.length(y1 - y0))
        other = f" ({told.caliper(one.part.caliper)})" if one.part.caliper != sheet.net.caliper else ""
        pen.text((x0, y0 - NAME), f"{name}{other}", TEXT_PT, bold=True, layer="Legend")


def _legend(pen: Pen, sheet: Sheet, told: Told) -> None:
    """On the left what it is, on the right which line is in which layer."""
    top = EDGE + LEGEND[1] - NAME - 8.0
    y = top
    for line in wrapped(told.title, LEFT, set_by(pen, TITLE_PT, bold=True), parted=True)[:3]:
        pen.text((EDGE, y), line, TITLE_PT, bold=True, layer="Legend")
        y -= 1.5 * LINE
    for text in told.head:
        for line in wrapped(text, LEFT, set_by(pen, TEXT_PT), parted=True):
            pen.text((EDGE, y), line, TEXT_PT, layer="Legend")
            y -= LINE
        y -= 1.0
    _bar(pen, y - 2.0, told.bar)
    _rows(pen, EDGE + LEFT + 8.0, top, [(key, told.layers[key]) for key in used(sheet)])


def _rows(pen: Pen, x: float, y: float, said: Iterable[tuple[str, str]]) -> None:
    room = LEGEND[0] - LEFT - 8.0 - SAMPLE - 3.0
    for key, text in said:
        name, stroke = ROWS[key]
        if stroke:
            pen.path([(x, y + TEXT_PT * MM_PER_POINT * 0.36), (x + SAMPLE, y + TEXT_PT * MM_PER_POINT * 0.36)], stroke, "Legend")
        pen.text((x + SAMPLE + 3.0, y), name, TEXT_PT, bold=True, layer="Legend")
        for line in wrapped(text, room, set_by(pen, TEXT_PT)):
            y -= 3.4
            pen.text((x + SAMPLE + 3.0, y), line, TEXT_PT, layer="Legend")
        y -= LINE + 0.6


def _bar(pen: Pen, y: float, words: str) -> None:
    """A line to measure on a proof."""
    pen.path([(EDGE, y), (EDGE + BAR, y)], STROKES["dimension"], "Dimensions")
    for x in (EDGE, EDGE + BAR):
        pen.path([(x, y - 1.5), (x, y + 1.5)], STROKES["dimension"], "Dimensions")
    pen.text((EDGE + BAR + 2.0, y - 1.0), words, TEXT_PT, layer="Dimensions")


def rings(shape: Any) -> Iterator[Ring]:
    """The rings of an area, of all its parts and their holes."""
    for part in shapely.get_parts(shape):
        if part.geom_type == "Polygon" and part.area > 0:
            for ring in (part.exterior, *part.interiors):
                yield tuple((float(x), float(y)) for x, y in ring.coords[:-1])

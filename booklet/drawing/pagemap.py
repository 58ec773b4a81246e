"""The page map: a template small, with the windows of its pages. Boxes on paper in mm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations

import shapely

from booklet.drawing.labels import LABELS
from booklet.drawing.layout import draw_outline
from booklet.drawing.pen import STROKES, TINT, Pen
from booklet.drawing.room import Box, Room, around, size_of, steps, write_centred
from booklet.plan import Plan
from booklet.plane import Affine, Ring, bounds
from booklet.tiles import Tile

NAME_PT = 16.0
TITLE_PT = 8.0
TITLE = 6.0


def draw(pen: Pen, plan: Plan, template: str, box: Box, words: Mapping[str, str] = LABELS) -> None:
    """A template as it lies on its pages: their windows with their names, what two pages share tinted."""
    part, piece = next((part, piece) for part, piece, _ in plan.templates if piece.name == template)
    windows = [tile for tile in plan.tiles if (tile.part, tile.piece) == (part.name, piece.name)]
    place = _place(windows, (box[0], box[1], box[2], box[3] - TITLE))
    rings = [place.ring(_window(tile)) for tile in windows]
    _draw_shared(pen, rings)
    lines = draw_outline(pen, part, piece, place)
    for ring in rings:
        pen.path(ring, STROKES["mark"], closed=True)
    x0, _, _, y1 = bounds(point for ring in rings for point in ring)
    pen.text((x0, y1 + 1.5), piece.name, TITLE_PT, bold=True)
    room = Room(box, 0.5)
    room.take_lines([*lines, *(line for ring in rings for line in steps(ring))])
    for tile, ring in zip(windows, rings, strict=True):
        _name(pen, tile, ring, room)


def _place(windows: Sequence[Tile], box: Box) -> Affine:
    """From the part's flat frame to paper, turned as the pages are."""
    turned = Affine(*windows[0].to_page.values[:4])
    x0, y0, x1, y1 = bounds(point for tile in windows for point in turned.ring(_window(tile)))
    scale = min((box[2] - box[0] - 1) / (x1 - x0), (box[3] - box[1] - 1) / (y1 - y0))
    left, low = (box[0] + box[2] - scale * (x0 + x1)) / 2, (box[1] + box[3] - scale * (y0 + y1)) / 2
    return turned.then(Affine(scale, 0, 0, scale, left, low))


def _window(tile: Tile) -> Ring:
    x0, y0, x1, y1 = tile.window
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def _draw_shared(pen: Pen, rings: Sequence[Ring]) -> None:
    """What two windows or more have in common, as one area."""
    shared = shapely.union_all([shapely.Polygon(a) & shapely.Polygon(b) for a, b in combinations(rings, 2)])
    for shape in shapely.get_parts(shared):
        if shape.geom_type == "Polygon":
            pen.fill([tuple(ring.coords[:-1]) for ring in (shape.exterior, *shape.interiors)], TINT)


def _name(pen: Pen, tile: Tile, ring: Ring, room: Room) -> None:
    """The tile's name as near to the middle of its window as the lines allow."""
    shape = shapely.Polygon(ring)
    for size_pt in (NAME_PT, 12.0, TITLE_PT):
        size = size_of(pen, tile.name, size_pt, True)
        at = room.spot(size, (shape.centroid.x, shape.centroid.y), 0.5, shape)
        if at:
            write_centred(pen, tile.name, size_pt, at, bold=True, layer=None)
            room.take(around(at, size))
            return

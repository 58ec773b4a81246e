"""The page map: a template small, with the windows of its pages; beside it what shares its page. Boxes on paper in mm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations

import shapely

from booklet.drawing.labels import LABELS, piece_name
from booklet.drawing.layout import draw_outline
from booklet.drawing.pen import STROKES, TINT, Pen
from booklet.drawing.room import Box, Room, around, size_of, steps, write_centred
from booklet.net import Part, Piece
from booklet.plan import Plan
from booklet.plane import Affine, Line, Ring, bounds
from booklet.tiles import Tile, printable

NAME_PT = 16.0
TITLE_PT = 8.0
TITLE = 6.0


def draw(pen: Pen, plan: Plan, template: str, box: Box, words: Mapping[str, str] = LABELS) -> None:
    """A template as it lies on its pages: their windows with their names, what two pages share tinted.

    On a page that templates share all of them are seen: the others in thin dots, their names small.
    """
    part, piece = next((part, piece) for part, piece, _ in plan.templates if piece.name == template)
    windows = [tile for tile in plan.tiles if (tile.part, tile.piece) == (part.name, piece.name)]
    beside = [tile for tile in plan.tiles if tile.leaf == windows[0].leaf and tile not in windows]
    room = Room(box, 0.5)
    inner = (box[0], box[1], box[2], box[3] - TITLE)
    top = _draw_page(pen, plan, [*windows, *beside], inner, room) if beside else _draw_pages(pen, part, piece, windows, inner, room)
    pen.text((top[0], top[1] + 1.5), piece_name(words, piece), TITLE_PT, bold=True)


def _draw_pages(pen: Pen, part: Part, piece: Piece, windows: Sequence[Tile], box: Box, room: Room) -> tuple[float, float]:
    """The windows of one template; gives the upper left corner of all."""
    turned = Affine(*windows[0].to_page.values[:4])
    place = turned.then(_fitted([turned.ring(_ring(tile.window)) for tile in windows], box))
    rings = [place.ring(_ring(tile.window)) for tile in windows]
    _draw_shared(pen, rings)
    room.take_lines(draw_outline(pen, part, piece, place))
    for ring in rings:
        pen.path(ring, STROKES["mark"], closed=True)
        room.take_lines(steps(ring))
    for tile, ring in zip(windows, rings, strict=True):
        _name(pen, tile, shapely.Polygon(ring), room)
    x0, _, _, y1 = bounds(point for ring in rings for point in ring)
    return x0, y1


def _draw_page(pen: Pen, plan: Plan, tiles: Sequence[Tile], box: Box, room: Room) -> tuple[float, float]:
    """A page that templates share, the first one as it is drawn alone; gives its upper left corner."""
    page = _ring(printable(plan.spec.page))
    place = _fitted([page], box)
    frame = place.ring(page)
    pen.path(frame, STROKES["mark"], closed=True)
    room.take_lines(steps(frame))
    for n, tile in enumerate(tiles):
        part, piece = _shown(plan, tile)
        to_paper = tile.to_page.then(place)
        room.take_lines(draw_outline(pen, part, piece, to_paper) if n == 0 else _draw_ghost(pen, piece, to_paper))
    for n, tile in enumerate(tiles):
        _name(pen, tile, shapely.Polygon(place.ring(_ring(tile.on_page))), room, NAME_PT if n == 0 else TITLE_PT)
    return frame[3]


def _shown(plan: Plan, tile: Tile) -> tuple[Part, Piece]:
    return next((part, piece) for part, piece, _ in plan.templates if (part.name, piece.name) == (tile.part, tile.piece))


def _draw_ghost(pen: Pen, piece: Piece, place: Affine) -> list[Line]:
    """The outline of what is not asked for."""
    ring = place.ring(piece.outline)
    pen.path(ring, STROKES["ghost"], closed=True)
    return steps(ring)


def _fitted(rings: Sequence[Ring], box: Box) -> Affine:
    """A scale and a shift by which rings fill a box and stand in its middle."""
    x0, y0, x1, y1 = bounds(point for ring in rings for point in ring)
    scale = min((box[2] - box[0] - 1) / (x1 - x0), (box[3] - box[1] - 1) / (y1 - y0))
    left, low = (box[0] + box[2] - scale * (x0 + x1)) / 2, (box[1] + box[3] - scale * (y0 + y1)) / 2
    return Affine(scale, 0, 0, scale, left, low)


def _ring(window: Box) -> Ring:
    x0, y0, x1, y1 = window
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def _draw_shared(pen: Pen, rings: Sequence[Ring]) -> None:
    """What two windows or more have in common, as one area."""
    shared = shapely.union_all([shapely.Polygon(a) & shapely.Polygon(b) for a, b in combinations(rings, 2)])
    for shape in shapely.get_parts(shared):
        if shape.geom_type == "Polygon":
            pen.fill([tuple(ring.coords[:-1]) for ring in (shape.exterior, *shape.interiors)], TINT)


def _name(pen: Pen, tile: Tile, shape: shapely.Polygon, room: Room, most_pt: float = NAME_PT) -> None:
    """The tile's name as near to the middle of its window as the lines allow, and as large."""
    for size_pt in (size for size in (NAME_PT, 12.0, TITLE_PT) if size <= most_pt):
        size = size_of(pen, tile.name, size_pt, True)
        at = room.spot(size, (shape.centroid.x, shape.centroid.y), 0.5, shape)
        if at:
            write_centred(pen, tile.name, size_pt, at, bold=True, layer=None)
            room.take(around(at, size))
            return

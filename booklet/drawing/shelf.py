"""A style on the picture sheet of the shelf: its box closed and open from the folded net, and its flat net. Millimetres on paper."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from booklet.drawing.layout import draw_outline
from booklet.drawing.pen import STROKES, Pen, Stroke, dashed, hatch
from booklet.drawing.picture import Box, Look, Looked, paint
from booklet.drawing.scene import Face3, Scene
from booklet.drawing.stage import Bench, faces, stood
from booklet.drawing.steps import extent, fitting
from booklet.drawing.surface import View
from booklet.drawing.view import SLIVER, shares
from booklet.net import Net, Part, Piece
from booklet.plane import Affine, Point, bounds, shift, turn
from booklet.replay import Replay
from booklet.shelf.opened import Stands, closed, opened

VIEWS = tuple(View(azimuth, 30.0) for azimuth in (-32.0, 148.0, 32.0))
"""From where a box is seen: the view of habit, and others for a box that opens on a side that it hides."""

HIDDEN = 0.2
"""Another view than that of habit is taken where less than this share of what is opened is seen in it (chosen by looking)."""

LOOK = Look(outline="edge", edge="rule")
"""Thinner than a step's picture, as these are smaller."""

FOLDS = {"valley": dashed(0.18, 9, 3), "mountain": dashed(0.18, 18, 3, 1, 3, 1, 3)}
"""Folds of a net that is drawn small; a dash is shorter than ISO 128-20 has it, so that a short fold shows two (chosen by looking)."""

GLUE, BACK = Stroke(0.13), Stroke(0.18, (0.18, 0.54))
HATCH = 0.75
"""mm between the hatch lines of glue."""

PARALLEL = 0.99
"""Cosine: a panel whose face looks the same way as in the closed box is not opened."""

GAP = 1.6
"""mm between two pieces of a net."""

TURNED = 1.2
"""A net is turned by a right angle where it is drawn so much larger then."""


@dataclass(frozen=True, eq=False)
class Portrait:
    """The pictures of one net. Raises Refused where the box cannot be shown open."""

    net: Net

    @cached_property
    def _bench(self) -> Bench:
        return Bench(Replay(self.net, ()))

    @cached_property
    def scenes(self) -> tuple[Scene, Scene]:
        """The box closed and open."""
        return self._scene(closed(self.net)), self._scene(opened(self.net))

    def _scene(self, parts: Sequence[Stands]) -> Scene:
        bench = self._bench
        return Scene(tuple(f for one in parts for f in faces(bench, one.part, stood(bench, one.part, one.places, one.stack))))

    @cached_property
    def view(self) -> View:
        """From where both pictures are seen."""
        still, open_box = self.scenes
        pairs = zip(still.faces, open_box.faces, strict=True)
        turned = {b.key for a, b in pairs if float(abs(a.normal @ b.normal)) < PARALLEL}
        if not turned or len(turned) > len(open_box.faces) / 2:
            return VIEWS[0]
        looks = [_seen(open_box, view, turned) for view in VIEWS[:1]]
        if looks[0] >= HIDDEN:
            return VIEWS[0]
        looks += [_seen(open_box, view, turned) for view in VIEWS[1:]]
        return VIEWS[max(range(len(VIEWS)), key=lambda n: (round(looks[n], 2), -n))]

    def draw(self, pen: Pen, boxes: tuple[Box, Box]) -> None:
        """Closed and open, each in its box and on its floor, at one scale."""
        view = self.view
        areas = [extent(scene, view) for scene in self.scenes]
        scale = min(fitting(area, x1 - x0, y1 - y0) for area, (x0, y0, x1, y1) in zip(areas, boxes, strict=True))
        for scene, area, (x0, y0, x1, _) in zip(self.scenes, areas, boxes, strict=True):
            paint(pen, Looked(scene, view, SLIVER / scale**2), (x0, y0, x1, y0 + scale * (area[3] - area[1])), scale, LOOK)

    def draw_flat(self, pen: Pen, box: Box) -> None:
        """All pieces as they are cut: cuts thick, folds dashed, glue hatched, in dots where it goes on the face that is not seen."""
        laid = [(part, piece) for part in self.net.parts for _ in part.places for piece in part.pieces]
        for (part, piece), place in zip(laid, _places([piece for _, piece in laid], box), strict=True):
            self._draw_glue(pen, part, piece, place)
            draw_outline(pen, part, piece, place, FOLDS)

    def _draw_glue(self, pen: Pen, part: Part, piece: Piece, place: Affine) -> None:
        """Glue on the marked face of either panel of a bond where one has it, else where it goes on a back."""
        for areas in self._bench.glue:
            name, patch = next((area for area in areas if area[1].side > 0), areas[0])
            if name == part.name and part.panels[patch.panel].name in piece.panels:
                if patch.side > 0:
                    hatch(pen, place.ring(patch.ring), HATCH, stroke=GLUE, layer=None)
                else:
                    hatch(pen, place.ring(patch.ring), HATCH, stroke=BACK, layer=None)


def _seen(scene: Scene, view: View, keys: Collection[str]) -> float:
    """The share that is seen of some faces, of their true areas."""
    found = shares(scene.faces, view, keys)
    true = sum(_area(face) for face in scene.faces if face.key in keys)
    return sum(area * share for area, share in found.values()) / max(true, 1e-9)


def _area(face: Face3) -> float:
    """mm2 of a face, its holes left in."""
    p = face.points - face.points[0]
    total = np.cross(p, np.roll(p, -1, axis=0)).sum(axis=0)
    return float(np.sqrt(total @ total)) / 2


def _places(pieces: Sequence[Piece], box: Box) -> list[Affine]:
    """Where pieces lie in a box, in rows that let them be largest, all turned alike."""
    room = box[2] - box[0], box[3] - box[1]
    ways = [(quarter, count) for quarter in (0, 1) for count in range(1, len(pieces) + 1)]
    quarter, count = max(ways, key=lambda way: _scale(_sizes(pieces, way[0]), way[1], room) / (TURNED if way[0] else 1.0))
    sizes = _sizes(pieces, quarter)
    scale = _scale(sizes, count, room)
    spots = _spots([(w * scale, h * scale) for w, h in sizes], count, box)
    return [_placed(piece, quarter, scale, at) for piece, at in zip(pieces, spots, strict=True)]


def _sizes(pieces: Sequence[Piece], quarter: int) -> list[tuple[float, float]]:
    found = [bounds(turn(quarter).ring(piece.outline)) for piece in pieces]
    return [(x1 - x0, y1 - y0) for x0, y0, x1, y1 in found]


def _rows(sizes: Sequence[tuple[float, float]], count: int) -> Iterator[Sequence[tuple[float, float]]]:
    """Sizes in rows of `count`."""
    return (sizes[k : k + count] for k in range(0, len(sizes), count))


def _scale(sizes: Sequence[tuple[float, float]], count: int, room: tuple[float, float]) -> float:
    """The largest scale at which rows of `count` have room, the gaps between pieces as they are on paper."""
    rows = list(_rows(sizes, count))
    across = min((room[0] - GAP * (len(row) - 1)) / sum(w for w, _ in row) for row in rows)
    up = (room[1] - GAP * (len(rows) - 1)) / sum(max(h for _, h in row) for row in rows)
    return max(min(across, up), 1e-3)


def _spots(sizes: Sequence[tuple[float, float]], count: int, box: Box) -> Iterator[Point]:
    """Lower left corners of pieces in rows, each row in the middle of the box, the last one on its floor."""
    rows = list(_rows(sizes, count))
    y = box[1] + sum(max(h for _, h in row) for row in rows) + GAP * (len(rows) - 1)
    for row in rows:
        high = max(h for _, h in row)
        y -= high
        x = (box[0] + box[2] - sum(w for w, _ in row) - GAP * (len(row) - 1)) / 2
        for wide, tall in row:
            yield x, y + (high - tall) / 2
            x += wide + GAP
        y -= GAP


def _placed(piece: Piece, quarter: int, scale: float, at: Point) -> Affine:
    turned = turn(quarter)
    x0, y0, *_ = bounds(turned.ring(piece.outline))
    return turned.then(shift(-x0, -y0)).then(Affine(scale, 0, 0, scale, *at))


def draw_sample(pen: Pen, key: str, at: Point, wide: float) -> None:
    """A line or an area as the legend shows it: cut, valley, mountain, hatched or back."""
    x, y = at
    area = ((x, y - 1.1), (x + wide, y - 1.1), (x + wide, y + 1.1), (x, y + 1.1))
    if key == "hatched":
        hatch(pen, area, HATCH, stroke=GLUE, layer=None)
    elif key == "back":
        hatch(pen, area, HATCH, stroke=BACK, layer=None)
    else:
        pen.path([(x, y), (x + wide, y)], STROKES["edge"] if key == "cut" else FOLDS[key])

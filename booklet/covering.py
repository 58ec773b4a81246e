"""Decorative paper for the outside of a box: a panel for each face that is seen, and how the panels lie on sheets of paper. Millimetres.

Each panel is its face less a margin on every side, so that no paper runs over a fold or an edge, its sizes put down to marks of the ruler.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Any

import numpy as np
import shapely
from shapely import affinity

from booklet import coverfaces, sheets, space
from booklet.card import Card
from booklet.check import Check, at_least, at_most
from booklet.coverfaces import Face
from booklet.grid import Grid, Units
from booklet.lengths import parse_sheet
from booklet.net import Inside, Item, Net, Panel, Part, Piece
from booklet.plane import Ring, cleaned
from booklet.proof import Solid
from booklet.sheets import Placed
from booklet.space import rows as rows_of
from booklet.spec import Spec
from booklet.spec.model import Covering
from booklet.tolerance import COMPUTED

GLUE = 0.05
"""mm: what the glue under the paper adds to it (chosen by us)."""

SMALL = 12.0
"""mm: a panel narrower than this is left out (chosen by us)."""

GAP, EDGE = 3.0, 5.0
"""mm between two panels on a sheet of paper, and along its edges (chosen by us)."""

PAPER = 0.12
"""mm: decorative paper of 100 to 120 g/m2 (common practice, no source)."""

_SLIVER = 3.0
"""mm: what is narrower than this beside a covered part of a face is not told of."""

_SAME = 0.05
"""mm: outlines that differ by less on average are one."""

_NOISE = 0.005
"""mm by which a size that is meant to be on a mark may miss it."""

_RECTANGLE = 0.5
"""mm2 that a rectangle may lack."""


def usual(units: Units) -> Covering:
    """What holds where the spec says nothing of a covering."""
    name = "A4" if units == "mm" else "12x12 in"
    return Covering(parse_sheet(name).size, name, Grid(units).default(2.0, 1 / 16), PAPER)


def wanted(spec: Spec) -> Covering:
    """The covering that the spec asks for, else the usual one."""
    return spec.covering or usual(spec.units)


def under_a_lid(spec: Spec) -> float:
    """mm of paper and glue on each wall under a lid: 0 where the covering stops below its skirt."""
    return spec.covering.caliper + GLUE if spec.covering and spec.covering.under_lid else 0.0


def retold(checks: Iterable[Check], layer: float) -> list[Check]:
    """The checks; how a lid or drawer slides and holds is told with a layer of covering, mm, on both sides of what it goes over."""
    return [_less(check, 2 * layer) if layer and check.name.startswith(_SLIDING) else check for check in checks]


_SLIDING = ("lid.slides", "lid.holds", "drawer.slides", "drawer.holds")


def _less(check: Check, layers: float) -> Check:
    """A check of play with less of it."""
    play, what = check.figure - layers, "drawer" if check.name.startswith("drawer") else "lid"
    if ".slides" in check.name:
        text = f"The {what} slides with {play:.2f} mm of play, paper and glue of the covering counted."
        return at_least(check.name, play, check.limit, check.unit, text)
    return at_most(check.name, play, check.limit, check.unit, f"The {what} is not loose, the covering counted.")


@dataclass(frozen=True)
class Row:
    """Equal panels of covering: `name` on the sheets of paper; `faces`: part and panel of each face; how many there are in one box.

    `outline`: as seen on the printed side, its lower left corner at the origin, with its `holes`. `join`: into how many pieces across and
    up it is parted where it is larger than the paper; (0, 0) where it is no rectangle and lies on no sheet.
    """

    name: str
    faces: tuple[tuple[Part, str], ...]
    count: int
    width: float
    height: float
    outline: Ring
    holes: tuple[Ring, ...] = ()
    rectangle: bool = True
    join: tuple[int, int] = (1, 1)


@dataclass(frozen=True)
class Spot:
    """A panel of covering on its face: `shape` in the face's frame, as seen from outside; `turn`: degrees that bring it along the axes."""

    face: Face
    shape: Any
    turn: float

    @cached_property
    def upright(self) -> Any:
        """The shape along the axes, its lower left corner at the origin."""
        shape = affinity.rotate(self.shape, self.turn, "centroid")
        x0, y0, *_ = shape.bounds
        return shapely.transform(shape, lambda points: np.round(points - (x0, y0), 6) + 0.0)


@dataclass(frozen=True)
class Coverings:
    """All panels of covering of one box. `small`: part and panel of what is too small to be covered; `copies`: boxes.

    `spots`: each panel where it lies on its face.
    """

    asked: Covering
    grid: Grid
    rows: tuple[Row, ...]
    small: tuple[tuple[Part, str], ...]
    spots: tuple[Spot, ...]
    copies: int = 1

    @property
    def card(self) -> Card:
        """The paper as the sheets know it."""
        return Card(self.asked.caliper, self.asked.sheet, EDGE, GAP, sheet_name=self.asked.name)

    @cached_property
    def net(self) -> Net:
        """The panels as pieces that lie on sheets: a part for each row."""
        parts = tuple(_part(row, self.asked.caliper, self.grid) for row in self.rows if row.join != (0, 0))
        inside, item = Inside(1.0, 1.0, 1.0), Item("block", 1.0, 1.0, 1.0)
        return Net("", "covering", self.asked.caliper, inside, False, item, parts, ())

    @cached_property
    def placed(self) -> tuple[Placed, ...]:
        """Every panel of one box on a sheet of paper."""
        return sheets.lay(self.net, self.card) if self.net.parts else ()

    @property
    def sheets(self) -> int:
        """Sheets of paper for one box."""
        return max((placed.sheet for placed in self.placed), default=0)

    @cached_property
    def sheets_all(self) -> int:
        """Sheets of paper for all boxes."""
        if self.copies == 1 or not self.net.parts:
            return self.sheets
        return sheets.gang(self.net, self.card, self.copies).sheets

    @property
    def unlaid(self) -> tuple[Row, ...]:
        """What lies on no sheet: it is larger than the paper and no rectangle."""
        return tuple(row for row in self.rows if row.join == (0, 0))

    @property
    def joined(self) -> tuple[Row, ...]:
        """What is put together of several pieces, as it is larger than the paper."""
        return tuple(row for row in self.rows if math.prod(row.join) > 1)


def piece_size(row: Row, grid: Grid) -> tuple[float, float]:
    """Width and height of the pieces of a row, mm: whole, or each part of one that is larger than the paper, up to a mark."""
    across, up = row.join
    return (row.width if across == 1 else grid.up(row.width / across)), (row.height if up == 1 else grid.up(row.height / up))


def _part(row: Row, caliper: float, grid: Grid) -> Part:
    wide, high = piece_size(row, grid)
    ring = row.outline if row.join == (1, 1) else ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high))
    piece = Piece(row.name, row.name, (row.name,), ring, row.holes, size=(wide, high))
    stands = rows_of(space.identity())
    panel = Panel(row.name, "covering", ring, row.holes)
    return Part(row.name, "covering", caliper, row.name, (stands,) * (row.count * math.prod(row.join)), (panel,), (), pieces=(piece,))


def coverings(solid: Solid, asked: Covering, grid: Grid, copies: int = 1) -> Coverings:
    """The panels of covering for a folded box."""
    found, small = [], []
    for face in coverfaces.faces(solid, asked.under_lid):
        for spot in _panels(face, asked.margin, grid):
            low = min(_size(spot.upright))
            if low >= SMALL:
                found.append(spot)
            elif low >= _SLIVER:
                small.append((face.part, face.panels[0]))
    return Coverings(asked, grid, tuple(_rows(found, asked)), tuple(dict.fromkeys(small)), tuple(found), copies)


def _size(shape: Any) -> tuple[float, float]:
    x0, y0, x1, y1 = shape.bounds
    return round(x1 - x0, 9), round(y1 - y0, 9)


# -- from a face to its panels ----------------------------------------------------------------------------------------


def _panels(face: Face, margin: float, grid: Grid) -> Iterator[Spot]:
    """What is left of a face inside the margin, each part of it on marks of the ruler."""
    for whole in shapely.get_parts(face.shape):
        for one in shapely.get_parts(whole.buffer(-margin, join_style="mitre").simplify(0.02)):
            if one.geom_type == "Polygon" and one.area > 1.0:
                turn = _lying(one) if face.level else 0.0
                middle = one.centroid
                upright = _on_marks(affinity.rotate(one, turn, middle), grid)
                if upright is not None:
                    yield Spot(face, affinity.rotate(upright, -turn, middle), turn)


def _lying(shape: Any) -> float:
    """Degrees by which a shape is turned so that the least rectangle round it lies along the axes."""
    around = shapely.minimum_rotated_rectangle(shape)
    if around.geom_type != "Polygon":
        return 0.0
    (ax, ay), (bx, by) = list(around.exterior.coords)[:2]
    off = math.degrees(math.atan2(by - ay, bx - ax)) % 90
    turn = -off if off <= 45 else 90 - off
    return 0.0 if abs(turn) < 1e-6 else turn


def _on_marks(shape: Any, grid: Grid) -> Any:
    """The shape made a hair smaller, so that width and height are on marks; None where no mark is left."""
    (x0, y0, x1, y1), (wide, high) = shape.bounds, _size(shape)
    width, height = grid.down(wide + _NOISE), grid.down(high + _NOISE)
    if min(width, height) <= 0:
        return None
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    box = shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)
    if _square(shape):
        return box
    anchors = [(x, y), *product((x, x0, x1), (y, y0, y1)), shape.centroid.coords[0]]
    smaller = (affinity.scale(shape, width / wide, height / high, origin=anchor) for anchor in anchors)
    room = shape.buffer(_ROOM)
    # where no smaller one of the form stays within, what is too much is cut off at the edges
    return next((one for one in smaller if room.covers(one)), None) or max(shapely.get_parts(shape.intersection(box)), key=shapely.area)


_ROOM = 1e-6
"""mm: float noise of what is made smaller."""


# -- equal panels together --------------------------------------------------------------------------------------------


def _rows(found: Sequence[Spot], asked: Covering) -> Iterator[Row]:
    """Equal panels in one row, in the order in which they are found."""
    groups: list[tuple[Any, list[Spot]]] = []
    for spot in found:
        own = spot.upright
        for shape, some in groups:
            if _alike(own, shape):
                some.append(spot)
                break
        else:
            groups.append((own, [spot]))
    for n, (shape, some) in enumerate(groups, 1):
        width, height = _size(shape)
        square = _square(shape)
        faces = tuple(dict.fromkeys((spot.face.part, spot.face.panels[0]) for spot in some))
        join = _join(width, height, asked, square)
        rings = [_ring(ring) for ring in (shape.exterior, *shape.interiors)]
        count = sum(spot.face.times for spot in some)
        yield Row(f"C{n}", faces, count, width, height, rings[0], tuple(rings[1:]), square, join)


def _ring(ring: Any) -> Ring:
    return cleaned(tuple((float(x), float(y)) for x, y in ring.coords[:-1]))


def _alike(one: Any, other: Any) -> bool:
    """Whether two shapes are the same, be it turned: a rectangle upside down, others by any right angle."""
    quarters = (0, 2) if _square(other) else (0, 1, 2, 3)
    return any(_same(one, affinity.rotate(other, 90 * quarter, (0, 0))) for quarter in quarters)


def _same(one: Any, other: Any) -> bool:
    if any(abs(a - b) > _SAME for a, b in zip(_size(one), _size(other), strict=True)):
        return False
    x0, y0, *_ = other.bounds
    moved = affinity.translate(other, -x0, -y0)
    return bool(one.symmetric_difference(moved).area < _SAME * one.length)


def _square(shape: Any) -> bool:
    """Whether a shape fills the rectangle round it."""
    return math.prod(_size(shape)) - shape.area < _RECTANGLE and not shape.interiors


def _join(width: float, height: float, asked: Covering, square: bool) -> tuple[int, int]:
    """Into how many pieces a panel is parted so that each goes on the paper: the fewest."""
    usable = [side - 2 * EDGE for side in asked.sheet]
    if min(usable) <= 0:
        return 0, 0
    ways = [(_times(width, w), _times(height, h)) for w, h in (usable, usable[::-1])]
    least = min(ways, key=lambda way: (math.prod(way), way))
    return least if square or least == (1, 1) else (0, 0)


def _times(size: float, room: float) -> int:
    """The fewest equal pieces that have room, each up to a mark of the ruler."""
    return 1 if size <= room + 1e-6 else math.ceil(size / max(room - Grid("in").mark, room / 2))


# -- checks -----------------------------------------------------------------------------------------------------------


def checks(made: Coverings, solid: Solid) -> list[Check]:
    """Every panel of covering stays its margin off the edge of its face, under no other card, and lies whole on a sheet of paper."""
    inset = min((_inset(spot) for spot in made.spots), default=made.asked.margin)
    over = sum(_under(spot, solid, made.asked.under_lid) > 0 for spot in made.spots)
    laid = sheets.checks(made.net, made.card, made.placed) if made.net.parts else []
    bad = sum(not check.ok for check in laid)
    return [
        at_least(
            "cover.margin", round(inset, 4), round(made.asked.margin - COMPUTED, 4), "mm", "Every covering panel stays inside its face."
        ),
        at_most("cover.free", over, 0, "panels", "No other card lies over a covering panel."),
        at_most("cover.laid", bad, 0, "pieces", "Every covering panel lies whole and clear of the others on its sheet of paper."),
    ]


def _inset(spot: Spot) -> float:
    """The least distance of a panel from the edge of its face, mm; under 0 where it is not within."""
    edge = min(
        float(shapely.distance(one.boundary, spot.shape)) for one in shapely.get_parts(spot.face.shape) if one.intersects(spot.shape)
    )
    return edge if spot.face.shape.buffer(COMPUTED).covers(spot.shape) else -1.0


def _under(spot: Spot, solid: Solid, under_lid: bool) -> int:
    """How many points of a grid on a panel have other card close over them."""
    x0, y0, x1, y1 = spot.shape.bounds
    grid = [(float(x), float(y)) for x in np.linspace(x0, x1, _POINTS) for y in np.linspace(y0, y1, _POINTS)]
    return coverfaces.under_card(solid, spot.face, [p for p in grid if spot.shape.contains(shapely.Point(p))], under_lid)


_POINTS = 7

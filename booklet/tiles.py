"""Templates over pages: windows of one lattice, registration marks on their seams.

A window is all that a page can print, in true mm on paper: a printer that prints 1 % too small has windows 1 % smaller. The paper
stays as it is given and the piece is turned on it: a turned page under an upright piece would show the same window. Inside this room
a piece lies as on the page ("the turned frame"); what is handed out is in the part's flat frame.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Any, Literal

import shapely

from booklet.check import Check, at_least, at_most
from booklet.net import Net, Part, Piece
from booklet.plane import Affine, Point, bounds, shift, turn
from booklet.spec.model import Page
from booklet.tolerance import COMPUTED, SAME_POINT

Side = Literal["left", "right", "below", "above"]
Box = tuple[float, float, float, float]
"""x0, y0, x1, y1."""
Cell = tuple[int, int]
"""Column from the left and row from below of a window in its lattice."""

MARK = 3.0
"""Radius of a registration mark in mm; it stands whole in both windows of its seam."""

INSET = 0.5
"""A lattice reaches so far beyond a piece, mm: half the width of a cut line, and as much again for the printer's edge."""

LINE = 0.25
"""Half the width of a cut line in mm: so much round a piece has to be inside some window."""

_CLEAR = 4.0
_THIRD_FROM = 60.0
_MANY = 30
_TIGHT = 3.0
_SPREAD = (0.5, 0.25, 0.75, 0.0, 1.0)
_SIDES: tuple[tuple[Cell, Side], ...] = (((-1, 0), "left"), ((1, 0), "right"), ((0, -1), "below"), ((0, 1), "above"))


@dataclass(frozen=True, slots=True)
class Tile:
    """One window of a template on one template page.

    `leaf`: number of the template page from 1. `window`: x0, y0, x1, y1 in the part's flat frame, mm. `to_page`:
    from that frame to true mm from the page's lower left corner, before the printer's correction. `paper`: width and
    height of the page as it is turned. `marks`: registration marks in the flat frame, each printed by all tiles whose
    window holds it. `neighbours`: (side on the page, name of the tile there). `scale`: how large the printer prints along the
    page's x and y; what is drawn is divided by it.
    """

    leaf: int
    part: str
    piece: str
    name: str
    window: Box
    to_page: Affine
    paper: tuple[float, float]
    marks: tuple[Point, ...] = ()
    neighbours: tuple[tuple[Side, str], ...] = ()
    scale: tuple[float, float] = (1.0, 1.0)


def printable(page: Page) -> Box:
    """What a page can print, in true mm from the lower left corner as printed."""
    (sx, sy), (w, h), m = page.scale, page.paper, page.margin
    return m * sx, m * sy, (w - m) * sx, (h - m) * sy


def overlap(page: Page) -> float:
    """How far neighbouring windows overlap in mm: as asked, and at least so far that a registration mark stands in both."""
    return max(page.overlap, 2 * MARK)


@dataclass(frozen=True)
class _Shape:
    """A template as it lies on the page, turned by `quarter` right angles: the card, and its lines."""

    part: Part
    piece: Piece
    quarter: int

    @cached_property
    def card(self) -> Any:
        """The piece with the width of its cut lines: what the windows have to hold."""
        place = turn(self.quarter)
        whole = shapely.Polygon(place.ring(self.piece.outline), [place.ring(hole) for hole in self.piece.holes])
        grown = whole.buffer(LINE, join_style="mitre")
        shapely.prepare(grown)
        return grown

    @cached_property
    def lines(self) -> Any:
        """Cut lines and scores."""
        place = turn(self.quarter)
        rings = [[*ring, ring[0]] for ring in (self.piece.outline, *self.piece.holes)]
        folds = [f.line for f in self.part.folds if f.kind == "crease" and {f.parent, f.child} <= set(self.piece.panels)]
        return shapely.MultiLineString([place.ring(points) for points in (*rings, *self.piece.slits, *folds)])


@dataclass(frozen=True, slots=True)
class _Lattice:
    """Windows in the turned frame: lower left corner of the first, size of each, overlap, numbers across and up."""

    corner: Point
    size: tuple[float, float]
    overlap: float
    count: Cell

    @property
    def cells(self) -> list[Cell]:
        """All cells, row by row."""
        return [(i, j) for j in range(self.count[1]) for i in range(self.count[0])]

    def window(self, cell: Cell, less: float = 0.0) -> Box:
        """The window of a cell, smaller by `less` on each side that another window overlaps."""
        box = []
        for axis in (0, 1):
            low = self.corner[axis] + cell[axis] * (self.size[axis] - self.overlap)
            cut = (less if cell[axis] else 0.0, less if cell[axis] < self.count[axis] - 1 else 0.0)
            box.append((low + cut[0], low + self.size[axis] - cut[1]))
        return box[0][0], box[1][0], box[0][1], box[1][1]


@dataclass(frozen=True)
class _Cover:
    """A lattice over a template, and the cells that are printed."""

    shape: _Shape
    lattice: _Lattice
    cells: tuple[Cell, ...]

    @cached_property
    def seams(self) -> tuple[tuple[Cell, Cell, int], ...]:
        """Neighbouring cells with the axis on which they differ, the lower one first."""
        used = set(self.cells)
        pairs = [(c, (c[0] + 1 - axis, c[1] + axis), axis) for c in self.cells for axis in (0, 1)]
        return tuple(pair for pair in pairs if pair[1] in used)

    def band(self, seam: tuple[Cell, Cell, int]) -> Box:
        """What the two windows of a seam have in common."""
        a, b = (self.lattice.window(cell) for cell in seam[:2])
        return max(a[0], b[0]), max(a[1], b[1]), min(a[2], b[2]), min(a[3], b[3])

    @property
    def tight(self) -> bool:
        """Whether the piece lies at the very edge of what the outer pages print."""
        box, (x0, y0, *_), (*_, x1, y1) = self.shape.card.bounds, *(self.lattice.window(self.lattice.cells[n]) for n in (0, -1))
        return min(box[0] - x0, box[1] - y0, x1 - box[2], y1 - box[3]) < _TIGHT

    @cached_property
    def rank(self) -> tuple[float, ...]:
        """Fewest pages, then the piece off their edge, the least of the drawing's lines in the seams, the piece as it stands."""
        bands = shapely.union_all([shapely.box(*self.band(seam)) for seam in self.seams])
        return len(self.cells), self.tight, round(self.shape.lines.intersection(bands).length, 1), self.shape.quarter


def cover(net: Net, page: Page) -> tuple[Tile, ...]:
    """The windows of all templates, template by template, from top left to bottom right of each; one a page."""
    tiles: list[Tile] = []
    templates = [(part, piece) for part in net.parts for piece in part.pieces if piece.template == piece.name]
    for number, (part, piece) in enumerate(templates):
        tiles += _tiles(_best(part, piece, page), page, letter(number), len(tiles))
    return tuple(tiles)


def letter(number: int) -> str:
    """The letter of a template, counted from 0.

    >>> letter(0), letter(25), letter(26)
    ('A', 'Z', 'AA')
    """
    return (letter(number // 26 - 1) if number > 25 else "") + chr(ord("A") + number % 26)


def _best(part: Part, piece: Piece, page: Page) -> _Cover:
    """The best of all lattices and both turns; one page where that is enough, the piece in its middle."""
    x0, y0, x1, y1 = printable(page)
    size, lap = (x1 - x0, y1 - y0), overlap(page)
    shapes = [_Shape(part, piece, quarter) for quarter in (0, 1)]
    found = [(shape, lattice) for shape in shapes for lattice in _lattices(shape, size, lap)]
    single = next((_Cover(shape, lattice, ((0, 0),)) for shape, lattice in found if lattice.count == (1, 1)), None)
    return single or min((_Cover(*one, _printed(*one)) for one in found), key=lambda c: c.rank)


def _lattices(shape: _Shape, size: tuple[float, float], lap: float) -> Iterator[_Lattice]:
    """Lattices that hold a template, the centred one first, and alone where there are many pages."""
    x0, y0, x1, y1 = bounds(turn(shape.quarter).ring(shape.piece.outline))
    across, up = (_starts(a - INSET, b + INSET, side, lap) for a, b, side in ((x0, x1, size[0]), (y0, y1, size[1])))
    for (x, columns), (y, rows) in list(product(across, up))[: None if across[0][1] * up[0][1] <= _MANY else 1]:
        yield _Lattice((x, y), size, lap, (columns, rows))


def _starts(low: float, high: float, size: float, lap: float) -> list[tuple[float, int]]:
    """Where a row of windows can start, with their number: as few as hold the stretch, centred and spread over their play.

    More starts than these saved no page on any of our boxes, whatever the step (tried out).
    """
    if high - low <= size + SAME_POINT:
        return [((low + high - size) / 2, 1)]
    number = math.ceil((high - low - lap) / (size - lap) - SAME_POINT)
    play = number * (size - lap) + lap - (high - low)
    return [(low - play * share, number) for share in _SPREAD]


def _printed(shape: _Shape, lattice: _Lattice) -> tuple[Cell, ...]:
    """The cells that are printed: without those that hold nothing that the others do not, as long as all hang together."""
    cells = lattice.cells
    cores = shapely.box(*zip(*(lattice.window(cell, lattice.overlap + SAME_POINT) for cell in cells), strict=True))
    alone = dict(zip(cells, shapely.intersects(shape.card, cores), strict=True))
    windows = {cell: shapely.box(*lattice.window(cell)) for cell in cells}
    shares = {cell: shape.card.intersection(windows[cell]) for cell in cells if not alone[cell]}
    kept = [cell for cell in cells if alone[cell] or shares[cell].area > SAME_POINT]
    order = sorted(shares, key=lambda c: round(shares[c].area, 3))

    def spare(cell: Cell) -> bool:
        rest = [other for other in kept if other != cell]
        others = shapely.union_all([windows[other] for other in rest])
        return _hang_together(rest) and bool(shares[cell].difference(others).area < SAME_POINT)

    while cell := next((c for c in order if c in kept and spare(c)), None):
        kept.remove(cell)
    return tuple(kept)


def _hang_together(cells: Sequence[Cell]) -> bool:
    """Whether one comes from each cell to each other over the sides of cells."""
    left, todo = set(cells[1:]), list(cells[:1])
    while todo:
        i, j = todo.pop()
        near = {(i + di, j + dj) for (di, dj), _ in _SIDES} & left
        left -= near
        todo += near
    return not left


def _tiles(cover: _Cover, page: Page, name: str, before: int) -> Iterator[Tile]:
    """The tiles of one template, with their names, marks and neighbours."""
    order = sorted(cover.cells, key=lambda cell: (-cell[1], cell[0]))
    names = {cell: f"{name}{n}" for n, cell in enumerate(order, 1)}
    back, (px, py, *_) = turn(-cover.shape.quarter), printable(page)
    marks = _marks(cover)
    for n, (i, j) in enumerate(order, before + 1):
        window = cover.lattice.window((i, j))
        yield Tile(
            n, cover.shape.part.name, cover.shape.piece.name, names[i, j],
            bounds(back.ring((window[:2], window[2:]))),
            turn(cover.shape.quarter).then(shift(px - window[0], py - window[1])), page.paper,
            back.ring(mark for mark in marks if _holds(window, mark)),
            tuple((side, names[i + di, j + dj]) for (di, dj), side in _SIDES if (i + di, j + dj) in names), page.scale,
        )  # fmt: skip


def _holds(window: Box, mark: Point, radius: float = MARK) -> bool:
    """Whether a mark stands whole in a window."""
    x, y = mark
    return min(x - window[0], y - window[1], window[2] - x, window[3] - y) >= radius - SAME_POINT


def _marks(cover: _Cover) -> list[Point]:
    """The registration marks of all seams, each once, in the turned frame."""
    marks = {(round(x, 6), round(y, 6)): (x, y) for seam in cover.seams for x, y in _on_seam(cover, seam)}
    return [marks[key] for key in sorted(marks)]


def _on_seam(cover: _Cover, seam: tuple[Cell, Cell, int]) -> Iterator[Point]:
    """Two marks at the ends of a seam, and on a long one a third out of the middle, so that a turned page does not fit.

    Where other pages meet the seam's end, the mark stands in the middle of the corner that they share. Otherwise it keeps off the lines.
    """
    band, axis = cover.band(seam), seam[2]
    low, high, middle = band[1 - axis], band[3 - axis], (band[axis] + band[2 + axis]) / 2
    long, half = high - low, cover.lattice.overlap / 2
    aside = max(half - MARK, 0.0)
    reach = [MARK + 1 + step for step in range(0, max(int(0.15 * long), 1), 2)]
    for end, way, next_to in ((low, 1, -1), (high, -1, 1)):
        places = [half] if _met(cover, seam, next_to) else reach
        yield _clear(cover, [_at(axis, middle, end + way * place) for place in places])
    if long > _THIRD_FROM:
        yield _clear(cover, [_at(axis, middle + aside, low + long * share) for share in (0.36, 0.33, 0.39, 0.3, 0.42)])


def _at(axis: int, across: float, along: float) -> Point:
    """A point on a seam between cells that differ on an axis."""
    return (along, across) if axis else (across, along)


def _met(cover: _Cover, seam: tuple[Cell, Cell, int], step: int) -> bool:
    """Whether a third page reaches over an end of a seam."""
    di, dj = (step, 0) if seam[2] else (0, step)
    return any((i + di, j + dj) in cover.cells for i, j in seam[:2])


def _clear(cover: _Cover, places: Sequence[Point]) -> Point:
    """The first place that is clear of the drawing's lines, else the first."""
    clear = (p for p in places if shapely.Point(p).distance(cover.shape.lines) >= _CLEAR)
    return places[0] if len(places) == 1 else next(clear, places[0])


def checks(net: Net, page: Page, tiles: Sequence[Tile]) -> list[Check]:
    """The windows hold every template, no page is blank, and pages that meet can be joined and agree."""
    templates = [(part, piece) for part in net.parts for piece in part.pieces if piece.template == piece.name]
    of = [(piece, [t for t in tiles if (t.part, t.piece) == (part.name, piece.name)]) for part, piece in templates]
    fewest = min((_fewest(own) for _, own in of), default=2)
    return [
        at_most("tiles.cover", max((_missing(*one) for one in of), default=0.0), COMPUTED, "mm2", "The pages hold all of every template."),
        at_least("tiles.marks", fewest, 2, "marks", "Pages that meet have at least two whole registration marks in common, and all meet."),
        at_most("tiles.printable", max((_beyond(t, page) for t in tiles), default=0.0), COMPUTED, "mm", "No page prints in its margins."),
        at_most("tiles.agree", max((_off(own, page) for _, own in of), default=0.0), COMPUTED, "mm", "A point on two pages is the same."),
        at_most("tiles.blank", sum(_blank(piece, own) for piece, own in of), 0, "pages", "Every page shows a part of its template."),
    ]


def _missing(piece: Piece, tiles: Sequence[Tile]) -> float:
    """mm2 of a piece and of its cut lines that no window holds."""
    whole = shapely.Polygon(piece.outline, piece.holes).buffer(LINE, join_style="mitre")
    return float(whole.difference(shapely.union_all([shapely.box(*t.window) for t in tiles])).area)


def _fewest(tiles: Sequence[Tile]) -> int:
    """The fewest marks that two neighbours share; 0 where pages do not hang together, 2 where there is one page."""
    named = {t.name: t for t in tiles}
    seams = [(t, named[name]) for t in tiles for _, name in t.neighbours if name in named]
    todo, left = [t.name for t in tiles[:1]], set(named)
    while todo:
        name = todo.pop()
        if name in left:
            left.remove(name)
            todo += [b.name for a, b in seams if a.name == name]
    return 0 if left else min((_shared(a, b) for a, b in seams), default=2)


def _shared(a: Tile, b: Tile) -> int:
    """Marks that two tiles both print, whole."""
    common = {(round(x, 6), round(y, 6)) for x, y in a.marks} & {(round(x, 6), round(y, 6)) for x, y in b.marks}
    return sum(_holds(a.window, mark) and _holds(b.window, mark) for mark in common)


def _on_page(tile: Tile) -> Box:
    """A window as its page shows it."""
    return bounds(tile.to_page.ring((tile.window[:2], tile.window[2:])))


def _beyond(tile: Tile, page: Page) -> float:
    """How far a window reaches over what the page can print, mm."""
    room, box = printable(page), _on_page(tile)
    return max(room[0] - box[0], room[1] - box[1], box[2] - room[2], box[3] - room[3], 0.0)


def _off(tiles: Sequence[Tile], page: Page) -> float:
    """By how much windows and pages disagree, mm: a window that is not what its page shows, or that is turned unlike the first."""
    room = printable(page)
    return max((max(_apart(_on_page(t), room), _twist(t, tiles[0])) for t in tiles), default=0.0)


def _apart(a: Box, b: Box) -> float:
    return max(abs(p - q) for p, q in zip(a, b, strict=True))


def _twist(tile: Tile, first: Tile) -> float:
    """How far the map to the page strays from a right-angle turn, and from that of the first page, over a window, mm."""
    have = tile.to_page.values[:4]
    wanted = min((turn(q).values[:4] for q in range(4)), key=lambda v: math.dist(v, have))
    size = max(tile.window[2] - tile.window[0], tile.window[3] - tile.window[1])
    return size * max(math.dist(have, wanted), math.dist(have, first.to_page.values[:4]))


def _blank(piece: Piece, tiles: Sequence[Tile]) -> int:
    """Pages that show nothing of a piece, nor of the width of its lines."""
    whole = shapely.Polygon(piece.outline, piece.holes).buffer(LINE, join_style="mitre")
    return sum(not whole.intersects(shapely.box(*t.window)) for t in tiles)

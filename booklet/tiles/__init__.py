"""Templates over pages: windows of one lattice with marks on their seams; small templates share pages.

A window of a template that is taped together is all that a page can print; small templates have windows of their own on one page.
Inside this room a piece lies as on the page; what is handed out is in the part's flat frame.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache

import numpy as np

from booklet.net import Net, Part, Piece
from booklet.plane import Affine, Ring, bounds, shift, turn
from booklet.spec.model import Page
from booklet.tiles import offsets, sharing
from booklet.tiles.checked import checks
from booklet.tiles.dots import dots_of
from booklet.tiles.lattice import Box
from booklet.tiles.marks import MARK, Cell, Joints, mark_size, whole_in
from booklet.tiles.offsets import TIGHT, Found
from booklet.tiles.seams import LINE, Blame, Lying
from booklet.tiles.tile import Side, Tile, mark, mesh, overlap, printable, room
from booklet.tiles.together import together
from booklet.tolerance import SAME_POINT

__all__ = ["GAP", "LINE", "MARK", "Tile", "checks", "cover", "least", "letter", "mark", "overlap", "printable"]

GAP = 7.0
"""mm between templates that share a page: room for a pair of scissors (chosen by us)."""

NAME_ROOM = (46.0, 12.0)
NARROW_ROOM = 16.0
"""mm: width and height of the room for a template's name beside it, and the height where the template is narrower than that."""

_LEGEND = 50.0
_SIDES: tuple[tuple[Cell, Side], ...] = (((-1, 0), "left"), ((1, 0), "right"), ((0, -1), "below"), ((0, 1), "above"))


@dataclass(frozen=True, slots=True)
class _Template:
    """A template by its number, from 0 in the order of the net."""

    number: int
    part: Part
    piece: Piece

    @property
    def name(self) -> str:
        return letter(self.number)

    @property
    def area(self) -> float:
        """mm2 with the width of its lines."""
        return float(self.lying(0).card.area)

    @property
    def panels(self) -> list[Ring]:
        """The outlines of its panels."""
        return [self.part.panel[name].outline for name in self.piece.panels if not self.part.panel[name].holes]

    def lying(self, quarter: int) -> Lying:
        """As it lies on the page."""
        return Lying(self.part, self.piece, quarter)


_Group = list[Tile]
"""Tiles on pages of their own, their leaves counted from 1; the first template's stands first."""


def cover(net: Net, page: Page) -> tuple[Tile, ...]:
    """The windows of all templates by page: those that are taped from top left to bottom right, small ones where they find room.

    Pages are in the order of the first template on each.
    """
    templates = _templates(net)
    small = [one for one in templates if _turns(one, page)]
    groups = [(one.number, _taped(one, page)) for one in templates if one not in small] + list(_shared(small, page))
    tiles: list[Tile] = []
    for _, group in sorted(groups, key=lambda pair: pair[0]):
        before = max((tile.leaf for tile in tiles), default=0)
        tiles += [replace(tile, leaf=before + tile.leaf) for tile in group]
    return tuple(tiles)


def least(net: Net, page: Page) -> int:
    """No cover has fewer pages that tapes each large template on one lattice and turns pieces by right angles only.

    Large templates are counted as proven; the others by their area and by those of which no two go on one page, true to shape.
    """
    templates = _templates(net)
    small = [one for one in templates if _turns(one, page)]
    taped = sum(_best(one.part, one.piece, page).least for one in templates if one not in small)
    alone: list[_Template] = []
    for one in sorted(small, key=lambda one: -one.area):
        if not any(together(one.panels, other.panels, room(page)) for other in alone):
            alone.append(one)
    return taped + max(len(alone), sharing.least([one.area for one in small], room(page)) if small else 0)


def least_windows(net: Net, page: Page) -> int:
    """As `least`, for windows: small templates that share a page have one each."""
    return sum(1 if _turns(one, page) else _best(one.part, one.piece, page).least for one in _templates(net))


def letter(number: int) -> str:
    """The letter of a template, counted from 0.

    >>> letter(0), letter(25), letter(26)
    ('A', 'Z', 'AA')
    """
    return (letter(number // 26 - 1) if number > 25 else "") + chr(ord("A") + number % 26)


def _templates(net: Net) -> list[_Template]:
    found = [(part, piece) for part in net.parts for piece in part.pieces if piece.template == piece.name]
    return [_Template(n, part, piece) for n, (part, piece) in enumerate(found)]


def _turns(one: _Template, page: Page) -> tuple[int, ...]:
    """The right angles by which a template has to be turned to fit on a page with the width of its lines: 0, 1, both or none."""
    found = []
    for quarter in (0, 1):
        x0, y0, x1, y1 = one.lying(quarter).card.bounds
        if all(side <= most + SAME_POINT for side, most in zip((x1 - x0, y1 - y0), room(page), strict=True)):
            found.append(quarter)
    return tuple(found)


@lru_cache(maxsize=128)
def _best(part: Part, piece: Piece, page: Page) -> Found:
    """The best lattice over both turns of a template."""
    lying = [Lying(part, piece, quarter) for quarter in (0, 1)]

    @cache
    def blame(quarter: int) -> Blame:
        return Blame(lying[quarter], mesh(page))

    return offsets.best([one.card for one in lying], mesh(page), lambda quarter, at, used: blame(quarter).of(at, used))


def _taped(one: _Template, page: Page) -> _Group:
    """The tiles of a large template, with their names, marks and neighbours; a page each."""
    found, (px, py, *_) = _best(one.part, one.piece, page), printable(page)
    order = sorted(found.cells, key=lambda cell: (-cell[1], cell[0]))
    names = {cell: f"{one.name}{n}" for n, cell in enumerate(order, 1)}
    to_page, back, own = turn(found.shape), turn(-found.shape), mesh(page)
    marks = Joints(own, found.corner, found.cells, one.lying(found.shape).lines).marks()
    tiles = []
    for n, (i, j) in enumerate(order, 1):
        window = own.window(found.corner, i, j)
        here = back.ring(mark for mark in marks if whole_in(window, mark, mark_size(own.overlap)))
        beside = tuple((side, names[i + di, j + dj]) for (di, dj), side in _SIDES if (i + di, j + dj) in names)
        place = to_page.then(shift(px - window[0], py - window[1]))
        tiles.append(_tile(one, n, names[i, j], place, window, page, found.shape))
        tiles[-1] = replace(tiles[-1], marks=here, neighbours=beside)
    return tiles


def _tile(one: _Template, leaf: int, name: str, to_page: Affine, window: Box, page: Page, quarter: int) -> Tile:
    """A tile from its window where the template lies turned."""
    flat = bounds(turn(-quarter).ring((window[:2], window[2:])))
    return Tile(leaf, one.part.name, one.piece.name, name, flat, to_page, page.paper, scale=page.scale)


def _shared(small: Sequence[_Template], page: Page) -> Iterator[tuple[int, _Group]]:
    """Small templates on pages, a group a page with the number of its first template."""
    if not small:
        return
    places = min((_packed(small, page, named) for named in (True, False)), key=lambda found: max(place.page for place in found))
    for number in range(max(place.page for place in places) + 1):
        here = [place for place in places if place.page == number]
        group = _alone(small[here[0].number], page) if len(here) == 1 else _beside(small, here, page)
        yield small[here[0].number].number, group


def _packed(small: Sequence[_Template], page: Page, named: bool) -> tuple[sharing.Place, ...]:
    """Templates on as few pages as are found, with room for their names or without it."""
    sizes = [[_size(one.lying(quarter), named, page) for quarter in (0, 1)] for one in small]
    return sharing.share(sizes, room(page), GAP)


def _size(lying: Lying, named: bool, page: Page) -> sharing.Size:
    """What a template takes of a page: with room for its name over it, where none is left round it and the page is high enough."""
    x0, y0, x1, y1 = lying.card.bounds
    wide, high = x1 - x0, y1 - y0
    more = (NAME_ROOM[1] if wide >= NAME_ROOM[0] else NARROW_ROOM) if named and not _blank(lying) else 0.0
    return wide, high + (more if high + more <= room(page)[1] else 0.0)


def _blank(lying: Lying) -> bool:
    """Whether a name finds room beside a template in the rectangle round it."""
    dots = dots_of(lying.card)
    x0, y0, x1, y1 = lying.card.bounds
    left, low = (np.arange(a, b - size, 2.0) for a, b, size in ((x0, x1, NAME_ROOM[0]), (y0, y1, NAME_ROOM[1])))
    (a, b), (c, d) = (
        [dots.before(axis, starts + more, "left") for more in (-1.0, NAME_ROOM[axis] + 1.0)] for axis, starts in enumerate((left, low))
    )
    sums = dots.sums
    return bool((sums[d][:, b] - sums[c][:, b] - sums[d][:, a] + sums[c][:, a] == 0).any())


def _alone(one: _Template, page: Page) -> _Group:
    """A template in the middle of a page of its own."""
    quarter, (px, py, qx, qy) = _turns(one, page)[0], printable(page)
    x0, y0, x1, y1 = one.lying(quarter).card.bounds
    dx, dy = (px + qx - x0 - x1) / 2, (py + qy - y0 - y1) / 2
    window = (px - dx, py - dy, qx - dx, qy - dy)
    return [_tile(one, 1, f"{one.name}1", turn(quarter).then(shift(dx, dy)), window, page, quarter)]


def _beside(small: Sequence[_Template], here: Sequence[sharing.Place], page: Page) -> _Group:
    """Templates that share a page, each in its window with half the gap round it.

    They stand high on the page where what is left under them holds a legend, else in its middle.
    """
    (wide, high), (px, py, *_) = room(page), printable(page)
    low, right = min(place.box[1] for place in here), max(place.box[2] for place in here)
    dx, dy = (wide - right) / 2, -(min(low, TIGHT) if low > _LEGEND else low / 2)
    tiles = []
    for place in here:
        one = small[place.number]
        x0, y0, x1, y1 = place.box[0] + dx, place.box[1] + dy, place.box[2] + dx, place.box[3] + dy
        card = one.lying(place.quarter).card.bounds
        to_page = shift(px + x0 - card[0], py + y0 - card[1])
        box = (max(x0 - GAP / 2, 0.0), max(y0 - GAP / 2, 0.0), min(x1 + GAP / 2, wide), min(y1 + GAP / 2, high))
        window = (px + box[0] - to_page.e, py + box[1] - to_page.f, px + box[2] - to_page.e, py + box[3] - to_page.f)
        tiles.append(_tile(one, 1, f"{one.name}1", turn(place.quarter).then(to_page), window, page, place.quarter))
    return tiles

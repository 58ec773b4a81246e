"""Whether tiles are what they should be: they hold every template, agree, can be joined in one way only, and no page is blank."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from itertools import combinations, product

import shapely

from booklet.check import Check, at_least, at_most
from booklet.net import Net, Piece
from booklet.plane import Point, turn
from booklet.spec.model import Page
from booklet.tiles.marks import mark_size, whole_in
from booklet.tiles.seams import LINE
from booklet.tiles.tile import Tile, overlap, printable
from booklet.tolerance import COMPUTED

TURNED = 1.0
"""mm by which marks have to miss each other on a page that is turned or mirrored: twice what a hand sees (chosen by us)."""

_WAYS = ((-1, 1), (1, -1), (-1, -1))


def checks(net: Net, page: Page, tiles: Sequence[Tile]) -> list[Check]:
    """The windows hold every template, no page is blank, and pages that meet can be joined in one way only and agree."""
    templates = [(part, piece) for part in net.parts for piece in part.pieces if piece.template == piece.name]
    of = [(piece, [t for t in tiles if (t.part, t.piece) == (part.name, piece.name)]) for part, piece in templates]
    size = mark_size(overlap(page))
    fewest = min((_fewest(own, size) for _, own in of), default=2)
    pages = Counter(tile.leaf for tile in tiles)
    agree = [_off(own, page, pages) for _, own in of]
    blank = sum(_blank(piece, own) for piece, own in of) + len(set(range(1, max(pages, default=0) + 1)) - set(pages))
    return [
        at_most("tiles.cover", max((_missing(*one) for one in of), default=0.0), COMPUTED, "mm2", "The pages hold all of every template."),
        at_least("tiles.marks", fewest, 2, "marks", "Pages that meet have at least two whole registration marks in common, and all meet."),
        at_least("tiles.turned", _turned(tiles), TURNED, "mm", "The marks of a page that is turned or mirrored do not fit."),
        at_most("tiles.printable", max((_beyond(t, page) for t in tiles), default=0.0), COMPUTED, "mm", "No page prints in its margins."),
        at_most("tiles.agree", max(agree, default=0.0), COMPUTED, "mm", "A point on two pages is the same."),
        at_most("tiles.apart", _shared_ground(tiles), COMPUTED, "mm", "Templates on one page have windows of their own."),
        at_most("tiles.blank", blank, 0, "pages", "Every page shows a part of its template."),
    ]


def _missing(piece: Piece, tiles: Sequence[Tile]) -> float:
    """mm2 of a piece and of its cut lines that no window holds."""
    whole = shapely.Polygon(piece.outline, piece.holes).buffer(LINE, join_style="mitre")
    return float(whole.difference(shapely.union_all([shapely.box(*t.window) for t in tiles])).area)


def _fewest(tiles: Sequence[Tile], size: float) -> int:
    """The fewest marks that two neighbours share; 0 where pages do not hang together, 2 where there is one page."""
    named = {t.name: t for t in tiles}
    seams = [(t, named[name]) for t in tiles for _, name in t.neighbours if name in named]
    todo, left = [t.name for t in tiles[:1]], set(named)
    while todo:
        name = todo.pop()
        if name in left:
            left.remove(name)
            todo += [b.name for a, b in seams if a.name == name]
    whole = (sum(whole_in(a.window, m, size) and whole_in(b.window, m, size) for m in _common(a, b)) for a, b in seams)
    return 0 if left else min(whole, default=2)


def _common(a: Tile, b: Tile) -> list[Point]:
    """Marks that two tiles both print."""
    return sorted({(round(x, 6), round(y, 6)) for x, y in a.marks} & {(round(x, 6), round(y, 6)) for x, y in b.marks})


def _turned(tiles: Sequence[Tile]) -> float:
    """How far the marks of a seam miss themselves at least, mm, when one page is turned half round or mirrored; 1000 without seams."""
    named = {(t.part, t.piece, t.name): t for t in tiles}
    seams = [(t, named.get((t.part, t.piece, name))) for t in tiles for _, name in t.neighbours]
    marks = {tuple(_common(a, b)) for a, b in seams if b is not None}
    return min((_miss(one, [(x * sx, y * sy) for x, y in one]) for one in marks for sx, sy in _WAYS), default=1000.0)


def _miss(marks: Sequence[Point], others: Sequence[Point]) -> float:
    """How far marks miss others at least, however these are shifted so that one lies on one: the worst mark counts."""
    worst = []
    for (x, y), (u, v) in product(marks, others):
        moved = [(p + x - u, q + y - v) for p, q in others]
        worst.append(max(min(math.dist(p, q) for q in marks) for p in moved))
    return min(worst, default=0.0)


def _beyond(tile: Tile, page: Page) -> float:
    """How far a window reaches over what the page can print, mm."""
    room, box = printable(page), tile.on_page
    return max(room[0] - box[0], room[1] - box[1], box[2] - room[2], box[3] - room[3], 0.0)


def _off(tiles: Sequence[Tile], page: Page, pages: Counter[int]) -> float:
    """By how much windows and pages disagree, mm.

    A window alone on its page is not what the page can print; a map is turned or stretched, or turned unlike the first.
    """
    room = printable(page)
    apart = [max(abs(p - q) for p, q in zip(t.on_page, room, strict=True)) for t in tiles if pages[t.leaf] == 1]
    return max([*apart, *(_twist(t, tiles[0]) for t in tiles)], default=0.0)


def _twist(tile: Tile, first: Tile) -> float:
    """How far the map to the page strays from a right-angle turn, and from that of the first page, over a window, mm."""
    have = tile.to_page.values[:4]
    wanted = min((turn(q).values[:4] for q in range(4)), key=lambda v: math.dist(v, have))
    size = max(tile.window[2] - tile.window[0], tile.window[3] - tile.window[1])
    return size * max(math.dist(have, wanted), math.dist(have, first.to_page.values[:4]))


def _shared_ground(tiles: Sequence[Tile]) -> float:
    """How deep windows on one page reach into each other, mm."""
    pairs = [(a.on_page, b.on_page) for a, b in combinations(tiles, 2) if a.leaf == b.leaf]
    return max((_depth(a, b) for a, b in pairs), default=0.0)


def _depth(a: Sequence[float], b: Sequence[float]) -> float:
    return max(min(min(a[k + 2], b[k + 2]) - max(a[k], b[k]) for k in (0, 1)), 0.0)


def _blank(piece: Piece, tiles: Sequence[Tile]) -> int:
    """Pages that show nothing of a piece, nor of the width of its lines."""
    whole = shapely.Polygon(piece.outline, piece.holes).buffer(LINE, join_style="mitre")
    return sum(not whole.intersects(shapely.box(*t.window)) for t in tiles)

"""Printing on the card itself: the sheet of card is the printer's paper, and a page is a sheet with its pieces.

Nothing that would be seen in the finished box is printed: `ticks` tells every line from the waste. Here stand the sheet, the pages and
what is checked of both. Millimetres on the sheet, true as printed.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet.card import Card
from booklet.check import Check, at_most
from booklet.net import Net
from booklet.plane import Line, Point, bounds
from booklet.sheets import Placed
from booklet.spec import Spec
from booklet.spec.model import Page
from booklet.ticks import KINDS, LEAST_ARM, OUTSIDE, TICK, TICK_ROOM, WIDTH, Kind, Lying, Mark, Told, lying, marks
from booklet.tiles import Tile, letter, printable
from booklet.tolerance import COMPUTED

Strokes = NDArray[np.float64]
"""Straight strokes, shape (n, 2, 2)."""


@dataclass(frozen=True, slots=True)
class Ink:
    """A straight stroke as it is printed: what it tells, from where to where, how wide, mm. `kind` None: words and signs."""

    kind: Kind | None
    line: Line
    width: float = WIDTH


def asked(spec: Spec) -> bool:
    """Whether the spec prints on the card itself."""
    return spec.page.print_on == "card"


def sheet_card(spec: Spec) -> Card:
    """The spec's card cut to the printer's paper: pieces lie inside what the page prints, with room for ticks round each of them.

    The sheet and the edge that the spec gives are of no use here; its grain runs along the first or second figure of the paper.
    """
    (w, h), (x0, y0, x1, y1) = spec.page.paper, printable(spec.page)
    edge = max(x0, y0, w - x1, h - y1) + TICK_ROOM
    gap = max(spec.card.gap, 2 * TICK_ROOM)
    return replace(spec.card, sheet=(w, h), edge=edge, gap=gap, sheet_name=spec.page.name)


def cover(net: Net, page: Page, placed: Sequence[Placed]) -> tuple[Tile, ...]:
    """A window for every piece where it lies, sheet by sheet: a leaf is a sheet. The copies of a template share its letter."""
    templates = [piece.name for part in net.parts for piece in part.pieces if piece.template == piece.name]
    pieces = {(part.name, piece.name): piece for part in net.parts for piece in part.pieces}
    seen: Counter[str] = Counter()
    tiles = []
    for one in placed:
        piece = pieces[one.part, one.piece]
        seen[piece.template] += 1
        x0, y0, x1, y1 = bounds(piece.outline)
        window = x0 - TICK_ROOM, y0 - TICK_ROOM, x1 + TICK_ROOM, y1 + TICK_ROOM
        name = f"{letter(templates.index(piece.template))}{seen[piece.template]}"
        tiles.append(Tile(one.sheet, one.part, one.piece, name, window, one.to_sheet, page.paper, scale=page.scale))
    return tuple(tiles)


def on_sheet(net: Net, placed: Sequence[Placed], sheet: int) -> tuple[Lying, ...]:
    """The pieces of one sheet, with the lines to be found."""
    return lying(net, [one for one in placed if one.sheet == sheet])


def checks(net: Net, page: Page, placed: Sequence[Placed], tiles: Sequence[Tile]) -> list[Check]:
    """Every line of every piece is told by marks; no mark is on a piece; all that is printed is on the page."""
    room, missing, deep, over = printable(page), 0, 0.0, 0.0
    for sheet in sorted({one.sheet for one in placed}):
        pieces = on_sheet(net, placed, sheet)
        ink = inked(marks(pieces, room))
        missing += len(unmarked(pieces, ink))
        deep = max(deep, depth(pieces, ink))
        over = max(over, beyond([one.line for one in ink], room))
    windows = [tile.to_page.ring((tile.window[:2], tile.window[2:])) for tile in tiles]
    over = max(over, beyond([(a, b) for a, b in windows], room))
    return [
        at_most("on_card.marks", missing, 0, "lines", "Every line of every piece is told by marks at both of its ends."),
        at_most("on_card.waste", deep, COMPUTED, "mm", "No mark lies on a piece."),
        at_most("on_card.printable", over, COMPUTED, "mm", "Every piece and its marks lie inside what the page prints."),
    ]


def inked(made: Sequence[Mark]) -> list[Ink]:
    """Marks as the straight strokes that they are drawn with."""
    return [Ink(mark.kind, line) for mark in made for line in pairwise(mark.points)]


def beyond(lines: Sequence[Line], room: tuple[float, float, float, float]) -> float:
    """How far lines reach over what the page prints, mm."""
    if not lines:
        return 0.0
    x0, y0, x1, y1 = bounds(p for line in lines for p in line)
    return max(room[0] - x0, room[1] - y0, x1 - room[2], y1 - room[3], 0.0)


def depth(pieces: Sequence[Lying], ink: Sequence[Ink]) -> float:
    """How far ink reaches into a piece, mm: the length of a stroke on it where there is one, else what of its width is over the edge."""
    if not ink or not pieces:
        return 0.0
    card = shapely.union_all([one.shape for one in pieces])
    shapely.prepare(card)
    lines = shapely.linestrings([one.line for one in ink])
    far = shapely.distance(lines, card)
    on = shapely.length(shapely.intersection(lines, card))
    return float(max(one.width / 2 - away + inside for one, away, inside in zip(ink, far, on, strict=True)))


def unmarked(pieces: Sequence[Lying], ink: Sequence[Ink]) -> list[Told]:
    """The lines that no marks tell: straight ones at either of their ends, curves anywhere along them."""
    own = {kind: np.array([one.line for one in ink if one.kind == kind]).reshape(-1, 2, 2) for kind in KINDS}
    return [told for one in pieces for told in one.told if not (_drawn if told.curve else _found)(told, own[told.kind])]


def _drawn(told: Told, strokes: Strokes) -> bool:
    """Whether a line runs along a curve, just off it."""
    way = shapely.MultiLineString(told.lines)
    near = strokes[shapely.distance(shapely.linestrings(strokes), way) <= TICK] if len(strokes) else strokes
    return bool(way.difference(shapely.MultiLineString(list(near)).buffer(OUTSIDE + COMPUTED)).length <= COMPUTED)


def _found(told: Told, strokes: Strokes) -> bool:
    """Whether a ruler can be laid: beyond each end a stroke on the line, or along the end of the line one just beside it."""
    ((a, b),) = told.lines
    return all(_told_at_end(start, end, strokes) for start, end in ((a, b), (b, a)))


def _told_at_end(start: Point, end: Point, strokes: Strokes) -> bool:
    long = math.dist(start, end)
    way = (np.array(end) - start) / long
    rel = strokes - np.array(start)
    run, aside = rel @ way, np.abs(rel[..., 1] * way[0] - rel[..., 0] * way[1])
    beyond = (run >= long) & (aside <= COMPUTED)
    beside = (run >= max(0.0, long - TICK) - COMPUTED) & (run <= long + COMPUTED) & (np.abs(aside - OUTSIDE) <= COMPUTED)
    seen = np.abs(run[:, 1] - run[:, 0]) > LEAST_ARM / 2
    return bool((seen & (beyond.all(axis=1) | beside.all(axis=1))).any())

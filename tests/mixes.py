"""Nets of loose pieces for the tests of sheets of card, and layouts of them that are as simple as can be."""

from __future__ import annotations

import os
import random

from booklet.card import Card
from booklet.net import Inside, Item, Net, Panel, Part, Piece
from booklet.plane import Ring, bounds
from booklet.sheets import Placed, checks, lay
from booklet.space import identity, rows

LONG = os.environ.get("BOOKLET_LONG") == "1"
"""The whole corpus, not a small part of it."""

CARD = Card(0.3, (304.8, 304.8), edge=6.0, gap=3.0)
"""Usable: 292.8 mm square."""


def rectangle(w: float, h: float, x: float = 0.0, y: float = 0.0) -> Ring:
    return (x, y), (x + w, y), (x + w, y + h), (x, y + h)


def net_of(*outlines: Ring, copies: int = 1) -> Net:
    """A net of loose pieces, each of one panel."""
    names = [f"piece-{i}" for i in range(len(outlines))]
    panels = tuple(Panel(n, "wall", ring) for n, ring in zip(names, outlines, strict=True))
    pieces = tuple(Piece(n, n, (n,), ring) for n, ring in zip(names, outlines, strict=True))
    part = Part("box", "box", 0.3, names[0], (rows(identity()),) * copies, panels, (), pieces=pieces)
    return Net("", "tray", 0.3, Inside(1, 1, 1), False, Item("block", 1, 1, 1), (part,), ())


def sizes(*pairs: tuple[float, float]) -> Net:
    return net_of(*(rectangle(w, h) for w, h in pairs))


def count(net: Net, card: Card = CARD) -> int:
    return max(p.sheet for p in lay(net, card))


def failed(net: Net, placed: tuple[Placed, ...], card: Card = CARD) -> set[str]:
    return {c.name for c in checks(net, card, placed) if not c.ok}


def flapped(rnd: random.Random) -> Ring:
    """Walls in a row with tapered flaps below and above some of them, no larger than a sheet."""
    height, deep, taper = rnd.uniform(40, 140), rnd.uniform(12, 45), rnd.uniform(3, 10)
    walls = [(rnd.uniform(35, 100), rnd.random() < 0.7, rnd.random() < 0.5) for _ in range(rnd.randint(1, 3))]
    below, above, x = [], [], 0.0
    for width, low, high in walls:
        below += [(x, 0.0), *([(x + taper, -deep), (x + width - taper, -deep)] if low else [])]
        above += [(x, height), *([(x + taper, height + deep), (x + width - taper, height + deep)] if high else [])]
        x += width
    ring = (*below, (x, 0.0), (x, height), *reversed(above))
    return tuple(dict.fromkeys(ring)) if max(height + 2 * deep, x) < 292 else flapped(rnd)


def mixed(seed: int) -> Net:
    rnd = random.Random(seed)
    plain = [rectangle(rnd.uniform(40, 200), rnd.uniform(40, 200)) for _ in range(rnd.randint(0, 3))]
    return net_of(*plain, *(flapped(rnd) for _ in range(rnd.randint(2, 6))))


def row_by_row(boxes_round: list[tuple[float, float]], room: tuple[float, float], gap: float) -> int:
    """From left to right, a new row where one is full, a new sheet where rows are: as simple as can be."""
    sheets, x, y, deep = 1, 0.0, 0.0, 0.0
    for w, h in boxes_round:
        if x + w > room[0]:
            x, y, deep = 0.0, y + deep + gap, 0.0
        if y + h > room[1]:
            sheets, x, y, deep = sheets + 1, 0.0, 0.0, 0.0
        x, deep = x + w + gap, max(deep, h)
    return sheets


def row_layouts(net: Net, copies: int = 1) -> int:
    """The best of six such layouts: as they come or the deepest first; as they are, lying, or standing."""
    extents = [bounds(piece.outline) for piece in net.parts[0].pieces] * copies
    as_is = [(x1 - x0, y1 - y0) for x0, y0, x1, y1 in extents]
    turned = (as_is, [(max(s), min(s)) for s in as_is], [(min(s), max(s)) for s in as_is])
    orders = [order for sides in turned for order in (sides, sorted(sides, key=lambda s: -s[1]))]
    return min(row_by_row(order, CARD.usable, CARD.gap) for order in orders)

"""The pieces laid out on sheets of card: true to size, turned by right angles only, on as few sheets as are found.

Pieces are packed by the rectangles round them into the largest free rectangles that are left, in several orders and by
several rules, and the best layout is kept. Millimetres; a sheet's origin is its lower left corner, where the datum edges meet.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, permutations, product

import shapely

from booklet.card import Card
from booklet.check import Check, at_least, at_most
from booklet.net import Net
from booklet.plane import Affine, bounds, shift, turn
from booklet.tolerance import COMPUTED, SAME_POINT

Box = tuple[float, float, float, float]
"""x0, y0, x1, y1."""

_FEW = 5
"""Up to so many pieces every order is tried where the usual ones leave room for doubt: 120 orders, some tens of ms."""


@dataclass(frozen=True, slots=True)
class Placed:
    """One piece on one sheet (numbered from 1): `to_sheet` maps the part's flat frame to mm from the sheet's lower left corner."""

    sheet: int
    part: str
    piece: str
    to_sheet: Affine


@dataclass(frozen=True, slots=True)
class _Item:
    """A piece to be laid: the rectangle round it in its flat frame."""

    number: int
    part: str
    piece: str
    box: Box

    def size(self, quarter: int) -> tuple[float, float]:
        """Width and height once it is turned by a number of right angles."""
        w, h = self.box[2] - self.box[0], self.box[3] - self.box[1]
        return (h, w) if quarter % 2 else (w, h)


@dataclass(frozen=True, slots=True)
class _Spot:
    """An item at rest: its lower left corner on the usable area of a sheet (counted from 0)."""

    item: _Item
    sheet: int
    x: float
    y: float
    quarter: int

    @property
    def box(self) -> Box:
        """The rectangle that it takes."""
        w, h = self.item.size(self.quarter)
        return self.x, self.y, self.x + w, self.y + h


_Layout = tuple[_Spot, ...]
_Rule = Callable[[Box, float, float], tuple[float, ...]]
_RULES: tuple[_Rule, ...] = (
    lambda r, w, h: (r[1] + h, r[0]),
    lambda r, w, h: (r[0] + w, r[1]),
    lambda r, w, h: (min(r[2] - r[0] - w, r[3] - r[1] - h), r[1], r[0]),
    lambda r, w, h: ((r[2] - r[0]) * (r[3] - r[1]), r[1], r[0]),
)
"""Where a rectangle goes, the least figure first: lowest, furthest left, where a side fits best, in the smallest free rectangle."""


def lay(net: Net, card: Card) -> tuple[Placed, ...]:
    """Every piece of one box on sheets of card, by sheet and then in the order of the net; a part of several places once for each.

    Pieces stay inside the sheet's edge and a gap apart. With `keep_grain` each piece's x lies along the grain; where the grain is
    unknown all pieces lie one way. A piece that is too large lies on a sheet of its own, for `checks` to find.
    """
    items = _items(net)
    best = min((_best(items, card, turns) for turns in _turns(items, card)), key=_rank, default=())
    sheets = {sheet: i for i, sheet in enumerate(dict.fromkeys(s.sheet for s in sorted(best, key=lambda s: s.item.number)), 1)}
    spots = sorted(best, key=lambda s: (sheets[s.sheet], s.item.number))
    return tuple(Placed(sheets[s.sheet], s.item.part, s.item.piece, _to_sheet(s, card)) for s in spots)


def _items(net: Net) -> list[_Item]:
    """What one box takes, in the order of the net."""
    pieces = [(part.name, piece) for part in net.parts for _ in part.places for piece in part.pieces]
    return [_Item(i, part, piece.name, bounds(piece.outline)) for i, (part, piece) in enumerate(pieces)]


def _turns(items: Sequence[_Item], card: Card) -> tuple[tuple[int, ...], ...]:
    """The right angles by which pieces may be turned: each tuple is one way to lay them all. Half turns change no rectangle."""
    if not card.keep_grain:
        return ((0, 1),)
    if card.grain != "unknown":
        return ((0,),) if card.grain == "first" else ((1,),)
    one_way = tuple((q,) for q in (0, 1) if all(_goes(item.size(q), card.usable) for item in items))
    return one_way or ((0, 1),)


def _goes(size: tuple[float, float], room: tuple[float, float]) -> bool:
    return size[0] <= room[0] + SAME_POINT and size[1] <= room[1] + SAME_POINT


def _to_sheet(spot: _Spot, card: Card) -> Affine:
    x0, y0, *_ = bounds(turn(spot.quarter).ring((spot.item.box[:2], spot.item.box[2:])))
    return turn(spot.quarter).then(shift(spot.x + card.edge - x0, spot.y + card.edge - y0))


def _rank(layout: _Layout) -> tuple[float, ...]:
    """Fewest sheets, then the least card up to the furthest corner of each sheet, then the fewest pieces turned."""
    sheets = {spot.sheet for spot in layout}
    spread = sum(_spread([spot.box for spot in layout if spot.sheet == sheet]) for sheet in sheets)
    return len(sheets), round(spread, 3), sum(spot.quarter for spot in layout)


def _spread(boxes: Sequence[Box]) -> float:
    return max(box[2] for box in boxes) * max(box[3] for box in boxes)


def _best(items: Sequence[_Item], card: Card, turns: Sequence[int]) -> _Layout:
    """The best of the layouts that are tried; every order of a few pieces where a sheet might still be saved."""
    layouts = [_packed(order, card, turns, rule) for order, rule in product(_orders(items), _RULES)]
    best = min(layouts, key=_rank)
    if len(items) <= _FEW and _rank(best)[0] > _least_sheets(items, card, turns):
        best = min([best, *(_packed(order, card, turns, rule) for order in permutations(items) for rule in _RULES[:2])], key=_rank)
    return best


def _orders(items: Sequence[_Item]) -> Iterator[tuple[_Item, ...]]:
    """Large first, by area, long side, short side, width and height."""
    for size in (math.prod, max, min, lambda wh: wh[0], lambda wh: wh[1]):
        yield tuple(sorted(items, key=lambda item: (-round(size(item.size(0)), 3), item.number)))


def _least_sheets(items: Sequence[_Item], card: Card, turns: Sequence[int]) -> int:
    """No layout has fewer sheets: by area, and by pieces of which no two go on one sheet."""
    room = math.prod(side + card.gap for side in card.usable)
    area = sum(math.prod(side + card.gap for side in item.size(0)) for item in items)
    apart: list[_Item] = []
    for item in sorted(items, key=lambda i: -math.prod(i.size(0))):
        if not any(_together(item, other, card, turns) for other in apart):
            apart.append(item)
    return max(len(apart), math.ceil(area / room - SAME_POINT))


def _together(a: _Item, b: _Item, card: Card, turns: Sequence[int]) -> bool:
    """Whether two pieces go on one sheet, side by side or one over the other."""
    for (aw, ah), (bw, bh) in product([a.size(q) for q in turns], [b.size(q) for q in turns]):
        beside, over = (aw + bw + card.gap, max(ah, bh)), (max(aw, bw), ah + bh + card.gap)
        if _goes(beside, card.usable) or _goes(over, card.usable):
            return True
    return False


def _packed(order: Sequence[_Item], card: Card, turns: Sequence[int], rule: _Rule) -> _Layout:
    """Each item in turn on the first sheet that has room for it; each takes its gap with it, and so has the sheet one more."""
    free: list[list[Box]] = []
    spots: list[_Spot] = []
    for item in order:
        spot = next(filter(None, (_spot(item, n, room, card.gap, turns, rule) for n, room in enumerate(free))), None)
        if spot is None:
            free.append([(0.0, 0.0, card.usable[0] + card.gap, card.usable[1] + card.gap)])
            n = len(free) - 1
            spot = _spot(item, n, free[n], card.gap, turns, rule) or _Spot(item, n, 0.0, 0.0, turns[0])
        spots.append(spot)
        x0, y0, x1, y1 = spot.box
        free[spot.sheet] = _left(free[spot.sheet], (x0, y0, x1 + card.gap, y1 + card.gap))
    return tuple(spots)


def _spot(item: _Item, sheet: int, free: Sequence[Box], gap: float, turns: Sequence[int], rule: _Rule) -> _Spot | None:
    """The best place on one sheet, at the lower left corner of a free rectangle; None where there is none."""
    found = []
    for quarter in turns:
        w, h = (side + gap for side in item.size(quarter))
        found += [(rule(r, w, h), quarter, r) for r in free if _goes((w, h), (r[2] - r[0], r[3] - r[1]))]
    if not found:
        return None
    _, quarter, room = min(found)
    return _Spot(item, sheet, room[0], room[1], quarter)


def _left(free: Sequence[Box], taken: Box) -> list[Box]:
    """The largest rectangles that stay free when one is taken; they may overlap."""
    left = list(dict.fromkeys(part for room in free for part in _less(room, taken)))
    return [r for r in left if not any(r is not o and _within(r, o) for o in left)]


def _less(room: Box, taken: Box) -> Iterator[Box]:
    x0, y0, x1, y1 = room
    a, b, c, d = taken
    if a >= x1 - SAME_POINT or c <= x0 + SAME_POINT or b >= y1 - SAME_POINT or d <= y0 + SAME_POINT:
        yield room
        return
    parts = ((x0, y0, a, y1), (c, y0, x1, y1), (x0, y0, x1, b), (x0, d, x1, y1))
    yield from (p for p in parts if p[2] - p[0] > SAME_POINT and p[3] - p[1] > SAME_POINT)


def _within(a: Box, b: Box) -> bool:
    return a[0] >= b[0] and a[1] >= b[1] and a[2] <= b[2] and a[3] <= b[3]


def checks(net: Net, card: Card, placed: Sequence[Placed]) -> list[Check]:
    """Every piece is on a sheet, inside its edges, whole and a gap from the others, all by the true outlines."""
    shapes = _shapes(net, placed)
    wanted = Counter((item.part, item.piece) for item in _items(net))
    have = Counter((p.part, p.piece) for p in placed)
    missing = sum(((wanted - have) + (have - wanted)).values())
    near = _nearest(shapes, card.gap)
    near = card.gap if abs(near - card.gap) <= SAME_POINT else near
    inside = "Every piece lies on the card, inside the edge that is kept clear."
    apart = "Pieces on one sheet lie at least the gap apart."
    return [
        at_most("sheets.inside", max((_beyond(s, card) for _, s in shapes), default=0.0), COMPUTED, "mm", inside),
        at_least("sheets.apart", near, card.gap, "mm", apart),
        at_most("sheets.whole", missing, 0, "pieces", "Every piece that one box takes is on a sheet, once."),
    ]


def _shapes(net: Net, placed: Sequence[Placed]) -> list[tuple[int, shapely.Polygon]]:
    """Sheet and outline of what is placed, mm on the sheet."""
    rings = {(part.name, piece.name): piece.outline for part in net.parts for piece in part.pieces}
    known = [p for p in placed if (p.part, p.piece) in rings]
    return [(p.sheet, shapely.Polygon(p.to_sheet.ring(rings[p.part, p.piece]))) for p in known]


def _beyond(shape: shapely.Polygon, card: Card) -> float:
    """How far an outline reaches over the usable area, mm."""
    x0, y0, x1, y1 = shape.bounds
    w, h = card.sheet
    return max(card.edge - x0, card.edge - y0, x1 - (w - card.edge), y1 - (h - card.edge), 0.0)


def _nearest(shapes: Sequence[tuple[int, shapely.Polygon]], gap: float) -> float:
    """The least distance of two pieces on one sheet; under 0 where they overlap; the gap where no sheet has two."""
    return min((_distance(a, b) for (m, a), (n, b) in combinations(shapes, 2) if m == n), default=gap)


def _distance(a: shapely.Polygon, b: shapely.Polygon) -> float:
    far = float(a.distance(b))
    if far > 0:
        return far
    common = a.intersection(b)
    return -2 * common.area / common.length if common.area else 0.0

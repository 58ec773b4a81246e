"""The pieces laid out on sheets of card: true to size, turned by right angles only, on as few sheets as are found.

True shapes are laid, so that a flap may reach into a neighbour's notch; how they are packed is told in `packing`. Millimetres; a
sheet's origin is its lower left corner, where the datum edges meet. Parts of another caliper than the net's are of another material, as
the paper of a wrap: it comes in sheets of the same size, which are laid and numbered after those of the card.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import shapely

from booklet.card import Card
from booklet.check import Check, at_least, at_most
from booklet.net import Net
from booklet.plane import Affine, bounds, shift, turn
from booklet.sheets.packed import Item, Packing, Way, packing, rank
from booklet.sheets.rectangles import Layout, Sheet, Spot
from booklet.tolerance import COMPUTED, SAME_POINT

_TAIL = 8
"""The last so many pieces of many boxes are laid together, as those of one box are."""

_STARTS = 12
"""So many mixes are tried for the first sheets of many boxes."""

_LONG = 20_000
"""Pieces times ways that are laid row by row for many boxes: keeps hundreds of copies quick."""


@dataclass(frozen=True, slots=True)
class Placed:
    """One piece on one sheet (numbered from 1): `to_sheet` maps the part's flat frame to mm from the sheet's lower left corner."""

    sheet: int
    part: str
    piece: str
    to_sheet: Affine


@dataclass(frozen=True, slots=True)
class Pattern:
    """A sheet that is cut several times; `sheet` of what is placed is the pattern's number, from 1."""

    times: int
    placed: tuple[Placed, ...]


@dataclass(frozen=True, slots=True)
class Gang:
    """The sheets for several boxes. `least`: nobody can do with fewer sheets; `waste`: the share of their card in no piece, 0 to 1."""

    copies: int
    patterns: tuple[Pattern, ...]
    least: int
    waste: float

    @property
    def sheets(self) -> int:
        """Sheets of card for all copies."""
        return sum(pattern.times for pattern in self.patterns)


def kinds(net: Net) -> tuple[Net, ...]:
    """The parts of a net by their material, told by its caliper, the net's own card first: pieces of two never share a sheet."""
    calipers = sorted({part.caliper for part in net.parts}, key=lambda caliper: (caliper != net.caliper, caliper))
    return tuple(replace(net, parts=tuple(p for p in net.parts if p.caliper == caliper)) for caliper in calipers)


def counted(net: Net, placed: Sequence[Placed]) -> tuple[tuple[float, int], ...]:
    """For each material its caliper in mm and the number of sheets of it that are used."""
    of = {part.name: part.caliper for part in net.parts}
    return tuple((k.parts[0].caliper, len({p.sheet for p in placed if of[p.part] == k.parts[0].caliper})) for k in kinds(net))


def lay(net: Net, card: Card) -> tuple[Placed, ...]:
    """Every piece of one box on sheets of card, by sheet and then in the order of the net; a part of several places once for each.

    Pieces stay inside the sheet's edge and a gap apart, by their true outlines; holes are waste, nothing is put into them. With
    `keep_grain` each piece's x lies along the grain; where the grain is unknown all pieces lie one way. Of equal numbers of sheets
    the layout is chosen that leaves the largest whole strip of one sheet for other work. A piece that is too large lies on a
    sheet of its own, for `checks` to find.
    """
    found: list[Placed] = []
    for kind in kinds(net):
        before = max((p.sheet for p in found), default=0)
        found += [replace(p, sheet=p.sheet + before) for p in _laid(packing(kind, card))]
    return tuple(found)


def _laid(box: Packing) -> list[Placed]:
    pairs = _named(box.best(box.counts), box.items) if box.items else []
    order = {sheet: i for i, sheet in enumerate(dict.fromkeys(sheet for _, sheet, _ in sorted(pairs, key=lambda p: p[0])), 1)}
    pairs.sort(key=lambda p: (order[p[1]], p[0]))
    return [_placed(box.items[number], spot, order[sheet], box.card) for number, sheet, spot in pairs]


def _named(layout: Layout, items: Sequence[Item]) -> list[tuple[int, int, Spot]]:
    """Number of the piece, its sheet, its spot: pieces of one form are given out in turn."""
    waiting = {item.form: [n for n, other in enumerate(items) if other.form == item.form] for item in items}
    return [(waiting[spot.form].pop(0), number, spot) for number, sheet in enumerate(layout) for spot in sheet]


def _placed(item: Item, spot: Spot, sheet: int, card: Card) -> Placed:
    turned = turn(item.quarter + spot.turned.quarter)
    x0, y0, *_ = bounds(turned.ring(item.outline))
    return Placed(sheet, item.part, item.piece, turned.then(shift(spot.x + card.edge - x0, spot.y + card.edge - y0)))


def least(net: Net, card: Card, copies: int = 1) -> int:
    """Sheets below which no layout of so many boxes can go: by area, and by pieces that are proven never to share a sheet."""
    boxes = [packing(kind, card) for kind in kinds(net)]
    return sum(box.least([copies * count for count in box.counts]) for box in boxes)


def area_used(net: Net, card: Card) -> float:
    """mm2 of card in the pieces of one box, their holes left out."""
    box = packing(net, card)
    return sum(box.areas[item.form] for item in box.items)


def waste(net: Net, card: Card, sheets: int, copies: int = 1) -> float:
    """The share, 0 to 1, of so many whole sheets that is in no piece of so many boxes; 0 for no sheet."""
    return 1 - copies * area_used(net, card) / (sheets * math.prod(card.sheet)) if sheets else 0.0


_Many = list[tuple[int, Sheet]]
"""How often each sheet is cut."""


def gang(net: Net, card: Card, copies: int) -> Gang:
    """The sheets for so many boxes: one sheet as full as it gets, cut as often as its pieces are wanted, and so on.

    Never more sheets than `copies` times those of `lay`, nor than a layout row by row.
    """
    patterns: list[Pattern] = []
    for kind in kinds(net):
        before = len(patterns)
        patterns += [_renumbered(pattern, before) for pattern in _gang(packing(kind, card), copies)]
    return Gang(copies, tuple(patterns), least(net, card, copies), waste(net, card, sum(p.times for p in patterns), copies))


def _renumbered(pattern: Pattern, before: int) -> Pattern:
    return replace(pattern, placed=tuple(replace(p, sheet=p.sheet + before) for p in pattern.placed)) if before else pattern


def _gang(box: Packing, copies: int) -> Iterator[Pattern]:
    """The patterns of one material."""
    wanted = [copies * count for count in box.counts]
    bound = box.least(wanted)
    best = min((_ganged(box, way, wanted, copies, bound) for way in box.ways), key=_many_rank) if any(wanted) else []
    return _patterns(best, box, copies)


def _many_rank(many: _Many) -> tuple[int, int]:
    """Fewest sheets, then fewest different ones."""
    return sum(times for times, _ in many), len(many)


def _ganged(box: Packing, way: Way, wanted: list[int], copies: int, bound: int) -> _Many:
    best = [(copies, sheet) for sheet in box.best_in(way, box.counts)]
    for many in _filled(box, way, wanted):
        best = min(best, many, key=_many_rank)
    if _many_rank(best)[0] > bound:
        order = [form for form, count in enumerate(wanted) for _ in range(count) if way.job.forms[form]]
        alone = box.alone((form for form, count in enumerate(wanted) for _ in range(count)), way)
        for layout in box.in_rows(way, order, max(2, _LONG // max(sum(wanted), 1))):
            best = min(best, _grouped((*layout, *alone)), key=_many_rank)
    return best


def _filled(box: Packing, way: Way, wanted: list[int]) -> Iterator[_Many]:
    """One kind of sheet after another, from several first ones, each next one the fullest or with the largest piece on it."""
    left = [count if way.job.forms[form] else 0 for form, count in enumerate(wanted)]
    alone = [(wanted[sheet[0].form], sheet) for sheet in box.alone((f for f, count in enumerate(wanted) if count), way)]
    full = _fullest(box)
    firsts = sorted(box.fills(way, left), key=full)[:_STARTS] if sum(left) > _TAIL else []
    for first in firsts or [()]:
        for key in (full, lambda sheet: (not _has_largest(box, left, sheet), *full(sheet))):
            yield [*_sequence(box, way, left, first, key), *alone]


def _fullest(box: Packing) -> Callable[[Sheet], tuple[float, ...]]:
    areas = [form.shape.area for form in box.forms]
    return lambda sheet: (-round(sum(areas[spot.form] for spot in sheet), 3), *rank((sheet,), box.card.usable))


def _has_largest(box: Packing, left: Sequence[int], sheet: Sheet) -> bool:
    """Whether the largest form that is still wanted is on a sheet."""
    largest = max((form for form, count in enumerate(left) if count), key=lambda form: box.forms[form].shape.area)
    return any(spot.form == largest for spot in sheet)


def _sequence(box: Packing, way: Way, wanted: Sequence[int], first: Sheet, key: Callable[[Sheet], tuple[float, ...]]) -> _Many:
    left, many = list(wanted), []
    while sum(left) > _TAIL:
        sheet = first or min(box.fills(way, left), key=key)
        mix = Counter(spot.form for spot in sheet)
        times = min(left[form] // count for form, count in mix.items())
        many.append((times, sheet))
        left = [count - times * mix[form] for form, count in enumerate(left)]
        first = ()
    return many + [(1, sheet) for sheet in (box.best_in(way, left) if any(left) else ())]


def _grouped(layout: Layout) -> _Many:
    """Equal sheets together, in the order in which they come."""
    return [(times, sheet) for sheet, times in Counter(layout).items()]


def _patterns(many: _Many, box: Packing, copies: int) -> Iterator[Pattern]:
    """Sheets with their pieces named. Pieces of one form are given out evenly; a pattern ends where the names would change."""
    left = Counter(dict.fromkeys(range(len(box.items)), copies))
    number = 0
    for times, sheet in many:
        while times:
            number += 1
            named = _given(sheet, box.items, left)
            used = Counter(named)
            often = min([times, *(left[item] // count for item, count in used.items())])
            left.subtract({item: often * count for item, count in used.items()})
            times -= often
            placed = [_placed(box.items[item], spot, number, box.card) for item, spot in zip(named, sheet, strict=True)]
            yield Pattern(often, tuple(placed))


def _given(sheet: Sheet, items: Sequence[Item], left: Counter[int]) -> list[int]:
    """A piece for each spot, always the one of its form of which most are left."""
    left, named = left.copy(), []
    for spot in sheet:
        named.append(max((n for n, item in enumerate(items) if item.form == spot.form), key=lambda n: (left[n], -n)))
        left[named[-1]] -= 1
    return named


def pack_yield(net: Net, card: Card, sheets: int) -> int:
    """How many whole boxes a pack of so many sheets of card gives; 0 where it is too small for one, and for a net without pieces."""
    net = kinds(net)[0]
    box = packing(net, card)
    if not box.items:
        return 0
    low, high = sheets // len(box.best(box.counts)), 1
    while box.least([high * count for count in box.counts]) <= sheets:
        high *= 2
    return _most(lambda copies: gang(net, card, copies).sheets <= sheets, low, _most(_bound_holds(box, sheets), high // 2, high))


def _bound_holds(box: Packing, sheets: int) -> Callable[[int], bool]:
    return lambda copies: box.least([copies * count for count in box.counts]) <= sheets


def _most(holds: Callable[[int], bool], low: int, high: int) -> int:
    """The largest number from low to high that holds, by halving; low is known to."""
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if holds(middle) else (low, middle - 1)
    return low


def checks(net: Net, card: Card, placed: Sequence[Placed]) -> list[Check]:
    """Every piece is on a sheet, inside its edges, whole and a gap from the others, all by the true outlines; on few sheets."""
    box = packing(net, card)
    shapes = _shapes(net, placed)
    boxes = [packing(kind, card) for kind in kinds(net)]
    wanted = Counter((item.part, item.piece) for item in box.items)
    have = Counter((p.part, p.piece) for p in placed)
    missing = sum(((wanted - have) + (have - wanted)).values())
    near = _nearest(shapes, card.gap)
    near = card.gap if abs(near - card.gap) <= SAME_POINT else near
    sheets = len({p.sheet for p in placed})
    inside = "Every piece lies on the card, inside the edge that is kept clear."
    apart = "Pieces on one sheet lie at least the gap apart."
    rows = "No more sheets are used than a simple layout row by row would take."
    return [
        at_most("sheets.inside", max((_beyond(s, card) for _, s in shapes), default=0.0), COMPUTED, "mm", inside),
        at_least("sheets.apart", near, card.gap, "mm", apart),
        at_most("sheets.whole", missing, 0, "pieces", "Every piece that one box takes is on a sheet, once."),
        at_most("sheets.rows", sheets, max(sum(map(_rows, boxes)), sheets and 1), "sheets", rows),
        *_materials(net, placed),
    ]


def _materials(net: Net, placed: Sequence[Placed]) -> Iterator[Check]:
    """A sheet is of one material."""
    of = {part.name: part.caliper for part in net.parts}
    if len(set(of.values())) > 1:
        mixed = sum(a.sheet == b.sheet and of[a.part] != of[b.part] for a, b in combinations(placed, 2))
        yield at_most("sheets.materials", mixed, 0, "pairs", "Pieces of board and pieces of paper lie on sheets of their own.")


def _rows(box: Packing) -> int:
    """Sheets of the best simple layout of one box, row by row."""
    order = [item.form for item in box.items]
    found = []
    for way in box.ways:
        laid = [form for form in order if way.job.forms[form]]
        found += [len(layout) + len(order) - len(laid) for layout in box.in_rows(way, laid)]
    return min(found, default=0)


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

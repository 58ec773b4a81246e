"""Pieces as forms, and the best way to lay them on sheets that is found.

Equal outlines are one form, however they are turned in their flat frames. Layouts come from rectangles and from true shapes, in
several orders and by several rules; the best has the fewest sheets, then leaves the largest whole strip of card on one of them.
Millimetres, mm2. A list of forms says what is to be laid, a count by form what is wanted of each.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from itertools import islice, permutations, product

import shapely

from booklet.card import Card
from booklet.net import Net, Piece
from booklet.plane import Ring, area, bounds, cleaned, shift, turn
from booklet.sheets import nesting, rectangles
from booklet.sheets.rectangles import Blank, Free, Job, Layout, Sheet, Spot, Turned, by_rows, fill, goes, pack, row_ways
from booklet.sheets.staircase import fewest

_FEW, _FEW_NESTED, _TRIED = 5, 6, 48
"""Up to so many pieces every order is tried for rectangles; true shapes are then laid in every order, or in so many of them."""

_EXACT = 7
"""Up to so many pieces the rectangles round them are laid on the fewest sheets for certain."""

_RUNS = 120
"""Layouts of true shapes that are tried for one box, times its pieces: a box of very many pieces stays quick."""

_TIDY = 12
"""Up to so many pieces true shapes are tried where no sheet can be saved, for the sake of the strip that is left."""

_CROWD = 40
"""More pieces than this on a sheet are laid by the rectangles round them alone."""


@dataclass(frozen=True)
class Form:
    """An outline, anticlockwise, its lower left corner at the origin, and its holes, which are waste."""

    ring: Ring
    holes: tuple[Ring, ...] = ()

    @cached_property
    def size(self) -> tuple[float, float]:
        """Width and height of the rectangle round it."""
        return bounds(self.ring)[2:]

    @cached_property
    def shape(self) -> shapely.Polygon:
        """Its card."""
        return shapely.Polygon(self.ring, self.holes)

    @cached_property
    def is_rectangle(self) -> bool:
        """Whether it fills the rectangle round it."""
        return abs(area(self.ring) - math.prod(self.size)) < 1e-6

    def turned(self, quarter: int) -> Form:
        """The form turned by a number of right angles, at the origin again."""
        x0, y0, *_ = bounds(turn(quarter).ring(self.ring))
        to = turn(quarter).then(shift(-x0, -y0))
        return Form(to.ring(self.ring), tuple(to.ring(hole) for hole in self.holes))

    @cached_property
    def key(self) -> tuple[Ring, ...]:
        """The same for the same form, wherever its rings begin."""
        return tuple(sorted(_from_least(ring) for ring in (self.ring, *self.holes)))


def _from_least(ring: Ring) -> Ring:
    points = [(round(x, 5) + 0.0, round(y, 5) + 0.0) for x, y in ring]
    at = points.index(min(points))
    return tuple(points[at:] + points[:at])


def _form(outline: Ring, holes: Iterable[Ring]) -> Form:
    around = [cleaned(ring if area(ring) > 0 else ring[::-1]) for ring in (outline, *holes)]
    return Form(around[0], tuple(around[1:])).turned(0)


@dataclass(frozen=True, slots=True)
class Item:
    """A piece that one box takes: `quarter` right angles turn its outline into its form."""

    part: str
    piece: str
    outline: Ring
    form: int
    quarter: int


Taken = tuple[tuple[str, Piece], ...]
"""Part and piece, once for each that one box takes, in the order of the net."""


def _sorted(taken: Taken, alike: Sequence[int]) -> tuple[list[Item], list[Form]]:
    """The pieces and their forms. `alike`: turns by which two pieces may still be one form."""
    forms: list[Form] = []
    known: dict[tuple[Ring, ...], tuple[int, int]] = {}
    items = []
    for part, piece in taken:
        form = _form(piece.outline, piece.holes)
        if form.key not in known:
            forms.append(form)
            for quarter in alike:
                known.setdefault(form.turned(quarter).key, (len(forms) - 1, -quarter % 4))
        items.append(Item(part, piece.name, piece.outline, *known[form.key]))
    return items, forms


@dataclass(frozen=True)
class Way:
    """One way to lay the pieces: the turns that are allowed, for the rectangles round the forms and for the forms themselves.

    `shapes` is None where every form is a rectangle.
    """

    job: Job
    shapes: nesting.Shapes | None
    rings: tuple[Ring, ...]
    known: dict[tuple[int, ...], Layout] = field(default_factory=dict)
    filled: dict[tuple[int, ...], list[Sheet]] = field(default_factory=dict)

    @cached_property
    def proof(self) -> nesting.Shapes:
        """For the proof that two forms never share a sheet."""
        return nesting.for_proof(self.shapes.job if self.shapes else self.job, self.rings)

    @cached_property
    def blanks(self) -> tuple[tuple[Blank, int], ...]:
        """An empty sheet of each kind, with the number of its rules."""
        plain: tuple[Blank, int] = (Free.blank(self.job), len(rectangles.RULES))
        return (plain, (nesting.Nested(self.shapes), nesting.RULES)) if self.shapes else (plain,)


def rank(layout: Layout, room: tuple[float, float]) -> tuple[float, ...]:
    """Fewest sheets, then the largest whole strip left on one, then least card up to the furthest corners, then fewest turned."""
    corners = [(max(s.right for s in sheet), max(s.top for s in sheet)) for sheet in layout]
    used = min((min(x * room[1], y * room[0]) for x, y in corners), default=0.0)
    turned = sum(spot.turned.quarter != 0 for sheet in layout for spot in sheet)
    return len(layout), round(used, 3), round(sum(x * y for x, y in corners), 3), turned


def packing(net: Net, card: Card) -> Packing:
    """The pieces of a net and its card; the last few are kept with what was found out about them."""
    return _packing(tuple((part.name, piece) for part in net.parts for _ in part.places for piece in part.pieces), card)


@lru_cache(maxsize=4)
def _packing(taken: Taken, card: Card) -> Packing:
    return Packing(taken, card)


@dataclass(frozen=True, eq=False)
class Packing:
    """The pieces of a box and the card on which they are laid."""

    taken: Taken
    card: Card
    pairs: dict[tuple[int, int], bool] = field(default_factory=dict)

    @cached_property
    def _sorted(self) -> tuple[list[Item], list[Form]]:
        return _sorted(self.taken, (0, 2) if self.card.keep_grain else (0, 1, 2, 3))

    @property
    def items(self) -> list[Item]:
        """What one box takes, in the order of the net."""
        return self._sorted[0]

    @property
    def forms(self) -> list[Form]:
        """The forms of the pieces."""
        return self._sorted[1]

    @cached_property
    def counts(self) -> list[int]:
        """How many of each form one box takes."""
        found = Counter(item.form for item in self.items)
        return [found[form] for form in range(len(self.forms))]

    @cached_property
    def ways(self) -> tuple[Way, ...]:
        """With kept grain along x; where it is unknown all pieces lie one way, whichever is better."""
        card = self.card
        if not card.keep_grain:
            return (self._way((0, 1)),)
        if card.grain != "unknown":
            return (self._way((0,) if card.grain == "first" else (1,)),)
        one_way = [way for way in (self._way((0,)), self._way((1,))) if all(way.job.forms)]
        return tuple(one_way) or (self._way((0, 1)),)

    def _way(self, turns: tuple[int, ...]) -> Way:
        job, rings = self._job(turns), tuple(form.ring for form in self.forms)
        if all(form.is_rectangle for form in self.forms):
            return Way(job, None, rings)
        free = self._job((*turns, *(q + 2 for q in turns)))
        return Way(job, nesting.Shapes.of(free, rings, self.card.gap), rings)

    def _job(self, turns: Sequence[int]) -> Job:
        """Each form's turns that make a difference and go on a sheet; for two turns the rectangle round it is all that counts."""
        made = []
        for form in self.forms:
            plain = max(turns) < 2
            differ = {form.turned(q).size if plain else form.turned(q).key: q for q in reversed(turns)}
            turned = [Turned(q, *form.turned(q).size) for q in sorted(differ.values())]
            made.append(tuple(t for t in turned if goes(t[1:], self.card.usable)))
        return Job(self.card.usable, self.card.gap, tuple(made))

    def best(self, wanted: Sequence[int]) -> Layout:
        """The best layout of so many of each form over all ways."""
        return min((self.best_in(way, wanted) for way in self.ways), key=lambda found: rank(found, self.card.usable))

    def best_in(self, way: Way, wanted: Sequence[int]) -> Layout:
        """The best layout in one way. A form that goes on no sheet lies on one of its own."""
        key = tuple(wanted)
        if key not in way.known:
            order = [form for form, count in enumerate(wanted) for _ in range(count)]
            laid = [form for form in order if way.job.forms[form]]
            way.known[key] = (*(self._laid(way, laid) if laid else ()), *self.alone(order, way))
        return way.known[key]

    def alone(self, order: Iterable[int], way: Way) -> Layout:
        """Sheets with the forms that are too large, one on each."""
        return tuple((Spot(form, Turned(0, *self.forms[form].size), 0.0, 0.0),) for form in order if not way.job.forms[form])

    def _laid(self, way: Way, order: list[int]) -> Layout:
        """Rectangles first; then true shapes; more and more is tried while a sheet might still be saved."""
        plain, rules = way.blanks[0]
        best = self._better((), (pack(o, plain, rule) for o, rule in product(self._orders(order), range(rules))))
        least = self.least([order.count(form) for form in range(len(self.forms))], len(best))
        if len(best) > least:
            best = self._better(best, self._harder(way, order), least)
        if way.shapes and (len(best) > least or (len(order) <= _TIDY and max(map(len, best)) > 1)):
            best = self._better(best, self._nested(way, order, 4 if len(best) == least else _RUNS))
        if way.shapes and len(best) > least and len(order) <= _FEW_NESTED:
            best = self._better(best, self._nested_in_every_order(way, order), least)
        if len(best) > least and len(order) <= _EXACT:
            best = fewest(order, way.job, least, len(best) - 1) or best
        return best

    def _better(self, best: Layout, tried: Iterable[Layout], least: int = 0) -> Layout:
        """The best of all; the first with the least number of sheets ends the search."""
        for layout in tried:
            if len(best) == least and best:
                break
            best = min(filter(None, (best, layout)), key=lambda found: rank(found, self.card.usable), default=())
        return best

    def _harder(self, way: Way, order: list[int]) -> Iterator[Layout]:
        """Rectangles again, row by row and in every order."""
        yield from self.in_rows(way, order)
        if len(order) <= _FEW:
            for other, rule in product(dict.fromkeys(permutations(order)), range(2)):
                yield pack(other, way.blanks[0][0], rule)

    def _nested(self, way: Way, order: list[int], most: int) -> Iterator[Layout]:
        runs = product(self._orders(order), range(nesting.RULES))
        for other, rule in islice(runs, max(1, min(most, _RUNS // len(order)))):
            yield pack(other, way.blanks[1][0], rule)

    def _nested_in_every_order(self, way: Way, order: list[int]) -> Iterator[Layout]:
        """True shapes in every order of a few, and in some, evenly chosen, of more."""
        tried = list(product(dict.fromkeys(permutations(order)), range(2)))
        for other, rule in tried[:: math.ceil(len(tried) / _TRIED)]:
            yield pack(other, way.blanks[1][0], rule)

    def in_rows(self, way: Way, order: Sequence[int], most: int = 1000) -> Iterator[Layout]:
        """Simple layouts, row by row, of the rectangles round the forms."""
        for how in islice(row_ways(way.job), most):
            yield by_rows(order, way.job, how)

    def _orders(self, forms: Sequence[int]) -> list[tuple[int, ...]]:
        """Large first, by area, long side, short side, width and height."""
        sizes = (math.prod, max, min, lambda wh: wh[0], lambda wh: wh[1])
        orders = (tuple(sorted(forms, key=lambda form: -round(size(self.forms[form].size), 3))) for size in sizes)
        return list(dict.fromkeys(orders))

    def fills(self, way: Way, wanted: Sequence[int]) -> list[Sheet]:
        """Single sheets, each as full as it gets by one order and rule: the tidiest of each mix of forms."""
        room = (self.card.usable[0] + self.card.gap) * (self.card.usable[1] + self.card.gap)
        most = tuple(min(count, int(room / self.areas[form]) + 1) for form, count in enumerate(wanted))
        if most not in way.filled:
            way.filled[most] = self._fills(way, most)
        return way.filled[most]

    def _fills(self, way: Way, wanted: Sequence[int]) -> list[Sheet]:
        forms = [form for form, count in enumerate(wanted) if count]
        orders = list(permutations(forms)) if len(forms) <= 3 else self._orders(forms)
        crowd = math.prod(self.card.usable) > _CROWD * min(self.areas[form] for form in forms)
        found: dict[tuple[int, ...], Sheet] = {}
        for (blank, rules), order in product(way.blanks[:1] if crowd else way.blanks, orders):
            for rule in range(rules):
                sheet = fill(order, wanted, blank, rule)
                mix = tuple(sorted(spot.form for spot in sheet))
                found[mix] = min(found.get(mix, sheet), sheet, key=lambda s: rank((s,), self.card.usable))
        return list(found.values())

    @cached_property
    def areas(self) -> list[float]:
        """mm2 of each form."""
        return [form.shape.area for form in self.forms]

    def least(self, wanted: Sequence[int], enough: float = math.inf) -> int:
        """No layout of so many of each form has fewer sheets: by area, and, unless that is `enough`, by pieces that share none."""
        large = [form for form in range(len(self.forms)) if not any(way.job.forms[form] for way in self.ways)]
        laid = [0 if form in large else count for form, count in enumerate(wanted)]
        apart, bound = sum(wanted[form] for form in large), self._by_area(laid)
        return apart + max(bound, self._by_pairs(laid) if apart + bound < enough else 0)

    def _by_area(self, wanted: Sequence[int]) -> int:
        """Pieces grown by half a gap do not overlap and stay on a sheet grown alike, whatever their shapes."""
        (w, h), half = self.card.usable, self.card.gap / 2
        room = w * h + 2 * half * (w + h) + math.pi * half**2
        return math.ceil(sum(count * grown for count, grown in zip(wanted, self._grown, strict=True)) / room - 1e-9)

    @cached_property
    def _grown(self) -> list[float]:
        return [form.shape.buffer(self.card.gap / 2).area if self.card.gap else form.shape.area for form in self.forms]

    def _by_pairs(self, wanted: Sequence[int]) -> int:
        """The most that are found of which each needs a sheet for itself."""
        forms = sorted((form for form, count in enumerate(wanted) if count), key=lambda form: -self.forms[form].shape.area)
        return max((self._loners(wanted, [first, *forms]) for first in forms), default=0)

    def _loners(self, wanted: Sequence[int], forms: Sequence[int]) -> int:
        chosen: list[int] = []
        for form in forms:
            if form not in chosen and all(self._apart(form, other) for other in chosen):
                chosen.append(form)
        return sum(wanted[form] if self._apart(form, form) else 1 for form in chosen)

    def _apart(self, a: int, b: int) -> bool:
        """Whether it is proven that these two never go on one sheet; a hole may hold another piece."""
        key = min(a, b), max(a, b)
        if key not in self.pairs:
            holds = any(_holds(self.forms[p], self.forms[q]) for p, q in (key, key[::-1]))
            self.pairs[key] = not holds and all(nesting.never(way.proof, *key) for way in self.ways)
        return self.pairs[key]


def _holds(form: Form, other: Form) -> bool:
    """Whether a hole might be large enough for another form, by its sides alone."""
    holes = ([max(xs) - min(xs) for xs in zip(*hole, strict=True)] for hole in form.holes)
    return any(goes((min(other.size), max(other.size)), (min(sides), max(sides))) for sides in holes)

"""All ways to cut a part at its folds, the smallest numbers of cuts first. Millimetres.

Two panels too far from each other for one piece must be parted somewhere on the way between them: every set of cuts
takes at least one fold of each such way. Only those sets are built with their glue flaps and measured.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations, islice
from typing import Any, Literal

import shapely

from booklet.card import Card
from booklet.net import Bond, Fold, Net, Panel, Part, Piece
from booklet.pieces.alike import ALL_TURNS, turns_of, with_templates
from booklet.pieces.joints import Joint, free_edge, joint
from booklet.plane import Ring, bounds, cleaned
from booklet.tolerance import COMPUTED, SAME_POINT

Box = tuple[float, float, float, float]

ACROSS: Literal["splice"] = "splice"


@dataclass(frozen=True)
class Spliced:
    """A part ready to be cut. `forced`: folds that are cut in any case; `beside`: further joints of such folds, as folds of their own.

    A panel that stays whole where the one it hangs on is joined across hangs on its first half by a fold that is cut, and is
    glued to each further half by a joint `beside`.
    """

    net: Net
    part: Part
    forced: tuple[Fold, ...] = ()
    beside: tuple[Fold, ...] = ()

    @cached_property
    def places(self) -> tuple[Fold, ...]:
        """Folds that may be cut, besides those that must be."""
        must = {fold.name for fold in self.forced}
        return tuple(fold for fold in self.part.folds if fold.carrier and fold.name not in must)


@dataclass(frozen=True)
class Cutting:
    """One way to cut a part: its folds that are cut through, and the joints that close it again."""

    part: Part
    folds: tuple[Fold, ...]
    joints: tuple[Joint, ...]
    turns: tuple[int, ...] = ALL_TURNS

    @property
    def bonds(self) -> tuple[Bond, ...]:
        """The bonds of all joints."""
        return tuple(bond for made in self.joints for bond in made.bonds)

    @cached_property
    def groups(self) -> list[tuple[str, ...]]:
        """Names of the panels of each piece, flaps with the panel that carries them."""
        return _connected([p.name for p in self.panels], [*_whole(self.part, self.folds), *(made.hinge for made in self.joints)])

    @cached_property
    def panels(self) -> tuple[Panel, ...]:
        """The part's panels and the added flaps."""
        return (*self.part.panels, *(made.panel for made in self.joints))

    @cached_property
    def sizes(self) -> list[tuple[float, float]]:
        """Width and height of each piece, mm."""
        outline = {p.name: p.outline for p in self.panels}
        boxes = [bounds(point for name in group for point in outline[name]) for group in self.groups]
        return [(x1 - x0, y1 - y0) for x0, y0, x1, y1 in boxes]

    @cached_property
    def whole(self) -> Part:
        """The part with its flaps and pieces."""
        folds = (*self.part.folds, *(made.hinge for made in self.joints))
        bare = replace(self.part, panels=self.panels, folds=folds)
        pieces = [_piece(bare, group, self._name(i)) for i, group in enumerate(self.groups)]
        return replace(bare, pieces=with_templates(bare, pieces, self.turns))

    def _name(self, i: int) -> str:
        return self.part.name if len(self.groups) == 1 else f"{self.part.name}-{i + 1}"

    @cached_property
    def likely(self) -> tuple[float, ...]:
        """As `rank`, with a number of templates that it has at least: that of different sizes of its pieces."""
        sizes = {tuple(sorted((round(w, 1), round(h, 1)))) for w, h in self.sizes}
        return (len(sizes), *self._seams)

    @cached_property
    def rank(self) -> tuple[float, ...]:
        """Equal pieces first (fewest templates), then fewest added flaps, seams at corners of walls, the most even pieces."""
        return (len({piece.template for piece in self.whole.pieces}), *self._seams)

    @property
    def _seams(self) -> tuple[float, ...]:
        role = {p.name: p.role for p in self.part.panels}
        across = sum(f.kind == ACROSS for f in self.folds)
        unlike = sum(role[f.parent] != role[f.child] for f in self.folds)
        return len(self.joints), across, unlike, round(max(w * h for w, h in self.sizes), 3)


def _whole(part: Part, cut: Iterable[Fold]) -> list[Fold]:
    """The folds that are not cut."""
    names = {fold.name for fold in cut}
    return [fold for fold in part.folds if fold.name not in names]


def _connected(names: Sequence[str], folds: Iterable[Fold]) -> list[tuple[str, ...]]:
    """Names in groups that the folds hold together, in the order of the names."""
    first = {name: name for name in names}

    def of(name: str) -> str:
        while first[name] != name:
            name = first[name]
        return name

    for fold in folds:
        first[of(fold.child)] = of(fold.parent)
    groups: dict[str, list[str]] = {}
    for name in names:
        groups.setdefault(of(name), []).append(name)
    return [tuple(group) for group in groups.values()]


def fits(card: Card, size: tuple[float, float]) -> bool:
    """Whether a piece of this width and height goes on the card, turned if its grain allows."""
    w, h = card.usable
    turns = [size, size[::-1]]
    if card.keep_grain and card.grain != "unknown":
        turns = [size if card.grain == "first" else size[::-1]]
    return any(a <= w + SAME_POINT and b <= h + SAME_POINT for a, b in turns)


def search(state: Spliced, card: Card, most: int | None = None, any_one: bool = False, looks: int | None = None) -> Cutting | None:
    """The best cutting of the fewest cuts that fits, every smaller number tried before; None where there is none.

    `most`: the largest number of cuts, besides the forced ones, that is of use. `any_one`: the first of the fewest will do.
    `looks`: how many sets of each number are looked at, where a good cutting will do and the best need not be proven.
    """
    ways = _ways(state, card)
    if not all(ways):
        return None
    made = _Maker(state, turns_of(card))
    # a flap never reaches as far as the panel that it stands for: no piece is smaller than where all is cut
    if not made.may_fit(state.places, card):
        return None
    for count in range(min(len(state.places), len(state.places) if most is None else most) + 1):
        sets = (chosen for chosen in islice(_sets(state.places, ways, count), looks) if made.may_fit(chosen, card))
        fitting = (c for chosen in sets if (c := made.cutting(chosen)) and all(fits(card, size) for size in c.sizes))
        found = list(islice(fitting, 1)) if any_one else list(fitting)
        if found:
            return _least(found) if len(found) > 1 else found[0]
    return None


def _least(fitting: Sequence[Cutting]) -> Cutting:
    """The least by `rank`; those that cannot be it are not looked at in full."""
    best: Cutting | None = None
    for cutting in sorted(fitting, key=lambda c: c.likely):
        if best is not None and cutting.likely > best.rank:
            break
        if best is None or cutting.rank < best.rank:
            best = cutting
    assert best is not None
    return best


def _ways(state: Spliced, card: Card) -> list[frozenset[str]]:
    """For panels that no one piece can hold: the folds between them, of which one must be cut. Only the shortest are kept."""
    way = _from_root(state)
    boxes = {panel.name: bounds(panel.outline) for panel in state.part.panels}
    found: set[frozenset[str]] = set()
    for a, b in combinations(way, 2):
        if _same_side(way[a], way[b]) and not fits(card, _size([boxes[a], boxes[b]])):
            found.add(way[a][1] ^ way[b][1])
    found |= {frozenset() for name in way if not fits(card, _size([boxes[name]]))}
    return [each for each in sorted(found, key=lambda w: (len(w), sorted(w))) if not any(other < each for other in found)]


def _from_root(state: Spliced) -> dict[str, tuple[frozenset[str], frozenset[str]]]:
    """For each panel the forced and the free cuts between it and the root."""
    from booklet.folding import outward

    must, may = {f.name for f in state.forced}, {f.name for f in state.places}
    way = {state.part.root: (frozenset[str](), frozenset[str]())}
    for fold in outward(state.part):
        forced, free = way[fold.parent]
        own = frozenset((fold.name,))
        way[fold.child] = (forced | own if fold.name in must else forced, free | own if fold.name in may else free)
    return way


def _same_side(a: tuple[frozenset[str], frozenset[str]], b: tuple[frozenset[str], frozenset[str]]) -> bool:
    """Whether no forced cut parts two panels."""
    return a[0] == b[0]


def _size(boxes: Sequence[Box]) -> tuple[float, float]:
    x0, y0 = (min(box[k] for box in boxes) for k in (0, 1))
    x1, y1 = (max(box[k] for box in boxes) for k in (2, 3))
    return x1 - x0, y1 - y0


def _sets(places: Sequence[Fold], ways: Sequence[frozenset[str]], count: int) -> Iterator[tuple[Fold, ...]]:
    """All sets of so many folds that cut every way, each once, in the order of the folds."""
    order = {fold.name: i for i, fold in enumerate(places)}

    def grow(chosen: tuple[str, ...], out: frozenset[str]) -> Iterator[tuple[str, ...]]:
        left = next((way for way in ways if not way.intersection(chosen)), None)
        if left is None:
            free = [f.name for f in places if f.name not in out and f.name not in chosen]
            yield from ((*chosen, *more) for more in combinations(free, count - len(chosen)))
        elif len(chosen) < count:
            for name in sorted(left - out, key=order.__getitem__):
                yield from grow((*chosen, name), out)
                out |= {name}

    for names in grow((), frozenset()):
        yield tuple(places[i] for i in sorted(order[name] for name in names))


class _Maker:
    """Builds cuttings of one part; joints that stand alone on a panel are built once."""

    def __init__(self, state: Spliced, turns: tuple[int, ...]):
        self.state, self.turns = state, turns
        self.role = {p.name: p.role for p in state.part.panels}
        self.boxes = {p.name: bounds(p.outline) for p in state.part.panels}
        self.flaps = sum(p.role == "glue-flap" for p in state.part.panels)
        self.known: dict[tuple[str, str], Joint | None] = {}
        self.reaches: dict[tuple[str, str], tuple[str, Box]] = {}

    def may_fit(self, chosen: Sequence[Fold], card: Card) -> bool:
        """Whether the pieces fit as far as their panels and the depths of their flaps tell, before any flap is built."""
        cut = (*self.state.forced, *chosen)
        carried: dict[str, list[Box]] = {}
        for fold in (*cut, *self.state.beside):
            carrier, box = self._reach(fold)
            carried.setdefault(carrier, []).append(box)
        groups = _connected(list(self.boxes), _whole(self.state.part, cut))
        return all(fits(card, _size([box for name in group for box in (self.boxes[name], *carried.get(name, ()))])) for group in groups)

    def _reach(self, fold: Fold) -> tuple[str, Box]:
        """The panel that carries a fold's flap, and a point on the flap's free edge, as a box; of a slanting fold one on its line."""
        key = (fold.parent, fold.child)
        if key not in self.reaches:
            carrier = fold.child if fold.carrier == "child" else fold.parent
            upright = min(abs(fold.line[0][k] - fold.line[1][k]) for k in (0, 1)) < SAME_POINT
            x, y = free_edge(self.state.net, self.state.part, fold) if upright and fold.kind != ACROSS else fold.line[0]
            self.reaches[key] = carrier, (x, y, x, y)
        return self.reaches[key]

    def cutting(self, chosen: Sequence[Fold]) -> Cutting | None:
        """A cutting with its flaps; None where a flap finds no room."""
        joints: list[Joint] = []
        cut = (*self.state.forced, *chosen)
        glued = [fold for fold in (*cut, *self.state.beside) if fold.kind != ACROSS]
        for fold in sorted(glued, key=lambda f: self.role[f.parent] != self.role[f.child]):
            made = self._joint(fold, f"glue-flap-{self.flaps + len(joints) + 1}", joints)
            if made is None:
                return None
            joints.append(made)
        return Cutting(self.state.part, cut, tuple(joints), self.turns)

    def _joint(self, fold: Fold, name: str, joints: Sequence[Joint]) -> Joint | None:
        other = fold.child if fold.carrier == "parent" else fold.parent
        if any(bond.panels[1][1] == other for made in joints for bond in made.bonds):
            return joint(self.state.net, self.state.part, fold, name, joints)
        key = (f"{fold.parent}/{fold.child}", name)
        if key not in self.known:
            self.known[key] = joint(self.state.net, self.state.part, fold, name, ())
        return self.known[key]


def least_bad(state: Spliced, card: Card) -> Cutting | None:
    """Where nothing fits: cut wherever it makes the largest piece smaller. None where no flap finds room."""
    made = _Maker(state, turns_of(card))
    kept: list[Fold] = []
    best = made.cutting(kept)
    for fold in state.places:
        more = made.cutting([*kept, fold])
        if more is not None and (best is None or _need(more) <= _need(best)):
            kept.append(fold)
            best = more
    return best


def _need(cutting: Cutting) -> float:
    """Area of the smallest sheet that takes each piece, mm2."""
    return max(max(s) for s in cutting.sizes) * max(min(s) for s in cutting.sizes)


def _piece(part: Part, group: tuple[str, ...], name: str) -> Piece:
    """The cut-out that a group of panels makes."""
    shapes = [shapely.Polygon(part.panel[n].outline, part.panel[n].holes) for n in group]
    whole = shapely.geometry.polygon.orient(shapely.union_all(shapes, grid_size=1e-6))
    outline = cleaned(_coords(whole.exterior))
    holes = tuple(cleaned(_coords(hole)) for hole in whole.interiors)
    x0, y0, x1, y1 = whole.bounds
    return Piece(name, name, group, outline, holes, _slits(part, group), (x1 - x0, y1 - y0))


def _coords(ring: Any) -> Ring:
    return tuple((float(x) + 0.0, float(y) + 0.0) for x, y in ring.coords[:-1])


def _slits(part: Part, group: tuple[str, ...]) -> tuple[Ring, ...]:
    """Lines where two panels of a piece lie side by side without a fold."""
    hinges = [shapely.LineString(f.line) for f in part.folds if f.parent in group and f.child in group]
    hinges += [shapely.LineString(loop.line) for loop in part.loops if set(loop.panels) <= set(group)]
    folds = shapely.union_all(hinges).buffer(1e-4, cap_style="flat") if hinges else shapely.Polygon()
    rings = [shapely.LinearRing(part.panel[n].outline) for n in group]
    found: list[Ring] = []
    for a, b in combinations(rings, 2):
        if a.distance(b) > COMPUTED * 1e-4:
            continue
        shared = a.intersection(b, grid_size=1e-6).difference(folds)
        lines = [g for g in shapely.get_parts(shapely.line_merge(shared)) if g.geom_type == "LineString" and g.length > 1e-3]
        found += [tuple((float(x), float(y)) for x, y in line.coords) for line in lines]
    return tuple(found)

"""The net cut into the fewest pieces that fit the card.

A part is cut only at folds that a style allows; the panel named as the fold's carrier then gets a glue flap,
which lies on the inside of the other panel. Smaller numbers of cuts are tried first, all of each number.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations
from typing import Any

import shapely

from booklet import plane
from booklet.card import Card
from booklet.check import Check, at_most
from booklet.errors import refuse
from booklet.folding import child_side, folder
from booklet.grid import Grid, Units
from booklet.lengths import tell
from booklet.net import Bond, Fold, Net, Panel, Part, Piece, Step
from booklet.overlap import largest, seen_from
from booklet.plane import Line, Ring, bounds, cleaned
from booklet.styles.shapes import flap
from booklet.tolerance import COMPUTED, SAME_POINT

_CLEAR = 0.5
_LEAST_ROOT = 8.0


def cut(net: Net, card: Card, units: Units = "mm") -> Net:
    """The net with its pieces, the glue flaps and bonds of its joints, and the steps that join them.

    Raises Refused, with the size of card that would do, where a piece that cannot be cut further does not fit.
    """
    for part in net.parts:
        net = _applied(net, part, _best(net, part, card, units))
    steps = [step for step in net.steps if step.kind != "join" or step.bonds]
    return _in_turn(replace(net, steps=tuple(replace(step, number=i) for i, step in enumerate(steps, 1))))


def _in_turn(net: Net) -> Net:
    """The net with its bonds numbered in the order in which they are made."""
    order = [bond for step in net.steps for bond in step.bonds]
    number = {old: new for new, old in enumerate(order)}
    steps = tuple(replace(step, bonds=tuple(number[b] for b in step.bonds)) for step in net.steps)
    return replace(net, bonds=tuple(net.bonds[b] for b in order), steps=steps)


@dataclass(frozen=True)
class _Cutting:
    """One way to cut a part: its folds that are cut through, with the flaps and bonds that join it again."""

    part: Part
    folds: tuple[Fold, ...]
    flaps: tuple[tuple[Fold, Panel, Fold], ...]
    bonds: tuple[Bond, ...]

    @cached_property
    def groups(self) -> list[tuple[str, ...]]:
        """Names of the panels of each piece, flaps with the panel that carries them."""
        cut_names = {fold.name for fold in self.folds}
        hinges = [fold for fold in self.part.folds if fold.name not in cut_names]
        return _connected([p.name for p in self.panels], [*hinges, *(hinge for _, _, hinge in self.flaps)])

    @cached_property
    def panels(self) -> tuple[Panel, ...]:
        """The part's panels and the added flaps."""
        return (*self.part.panels, *(panel for _, panel, _ in self.flaps))

    @cached_property
    def sizes(self) -> list[tuple[float, float]]:
        """Width and height of each piece, mm."""
        outline = {p.name: p.outline for p in self.panels}
        boxes = [bounds(point for name in group for point in outline[name]) for group in self.groups]
        return [(x1 - x0, y1 - y0) for x0, y0, x1, y1 in boxes]

    @cached_property
    def whole(self) -> Part:
        """The part with its flaps and pieces."""
        folds = (*self.part.folds, *(hinge for _, _, hinge in self.flaps))
        bare = replace(self.part, panels=self.panels, folds=folds)
        return replace(bare, pieces=_with_templates(bare, [_piece(bare, group, self._name(i)) for i, group in enumerate(self.groups)]))

    def _name(self, i: int) -> str:
        return self.part.name if len(self.groups) == 1 else f"{self.part.name}-{i + 1}"

    @property
    def rank(self) -> tuple[float, ...]:
        """Fewest templates first, then seams between like panels, then the most even pieces."""
        templates = len({piece.template for piece in self.whole.pieces})
        role = {p.name: p.role for p in self.part.panels}
        unlike = sum(role[f.parent] != role[f.child] for f in self.folds)
        return templates, unlike, round(max(w * h for w, h in self.sizes), 3)


def _connected(names: Sequence[str], folds: Iterable[Fold]) -> list[tuple[str, ...]]:
    """Names in groups that the folds hold together, in the order of the names."""
    group = {name: i for i, name in enumerate(names)}
    for fold in folds:
        low, high = sorted((group[fold.parent], group[fold.child]))
        group = {name: low if g == high else g for name, g in group.items()}
    return [tuple(n for n in names if group[n] == g) for g in sorted(set(group.values()))]


def _best(net: Net, part: Part, card: Card, units: Units) -> _Cutting:
    places = [fold for fold in part.folds if fold.carrier]
    tried: list[_Cutting] = []
    for count in range(len(places) + 1):
        made = [_cutting(net, part, chosen) for chosen in combinations(places, count)]
        tried += [cutting for cutting in made if cutting]
        fitting = [c for c in made if c and all(fits(card, size) for size in c.sizes)]
        if fitting:
            return min(fitting, key=lambda c: c.rank)
    raise _too_large(tried, card, units)


def fits(card: Card, size: tuple[float, float]) -> bool:
    """Whether a piece of this width and height goes on the card, turned if its grain allows."""
    w, h = card.usable
    turns = [size, size[::-1]]
    if card.keep_grain and card.grain != "unknown":
        turns = [size if card.grain == "first" else size[::-1]]
    return any(a <= w + SAME_POINT and b <= h + SAME_POINT for a, b in turns)


def _too_large(tried: Sequence[_Cutting], card: Card, units: Units) -> Exception:
    def need(cutting: _Cutting) -> tuple[float, float]:
        return max(max(s) for s in cutting.sizes), max(min(s) for s in cutting.sizes)

    best = min(tried, key=lambda c: need(c)[0] * need(c)[1])
    long, short = (Grid(units).up(side + 2 * card.edge) for side in need(best))
    group = max(zip(best.sizes, best.groups, strict=True), key=lambda pair: (not fits(card, pair[0]), max(pair[0])))
    size, names = group
    have = " x ".join(tell(side, units) for side in card.usable)
    return refuse(
        "card.sheet",
        f"the piece with {names[0]!r} of the {best.part.name} is {tell(size[0], units)} x {tell(size[1], units)} "
        f"and cannot be cut further, but the card leaves {have}; "
        f"use card of at least {tell(short, units)} x {tell(long, units)}, or a smaller item.",
    )


def _cutting(net: Net, part: Part, chosen: Sequence[Fold]) -> _Cutting | None:
    """A cutting with its flaps; None where a flap finds no room."""
    role = {p.name: p.role for p in part.panels}
    flaps: list[tuple[Fold, Panel, Fold]] = []
    bonds: list[Bond] = []
    number = sum(p.role == "glue-flap" for p in part.panels)
    for fold in sorted(chosen, key=lambda f: role[f.parent] != role[f.child]):
        number += 1
        made = _joint(net, part, fold, f"glue-flap-{number}", flaps, bonds)
        if made is None:
            return None
        panel, hinge, joints = made
        flaps.append((fold, panel, hinge))
        bonds += joints
    return _Cutting(part, tuple(chosen), tuple(flaps), tuple(bonds))


def _joint(
    net: Net, part: Part, fold: Fold, name: str, flaps: Sequence[tuple[Fold, Panel, Fold]], bonds: Sequence[Bond]
) -> tuple[Panel, Fold, list[Bond]] | None:
    """The glue flap at a cut fold: its panel, its hinge and its bonds."""
    carrier, other = (fold.parent, fold.child) if fold.carrier == "parent" else (fold.child, fold.parent)
    line = _towards(part, fold, other)
    depth = min(net.joint[0], _depth_of(part.panel[other], line) / 2)
    taken = _taken(net, part, other, line, flaps, bonds)
    span = _free(line, depth, taken)
    if span is None:
        return None
    root = (_along(line, span[0]), _along(line, span[1]))
    taper = min(net.joint[1], (span[1] - span[0]) / 4)
    panel = Panel(name, "glue-flap", flap(root, depth, (taper, taper)), body=name)
    hinge = Fold(f"{carrier}/{name}", carrier, name, root, fold.angle, fold.pivot, "crease", None, fold.way)
    return panel, hinge, _joint_bonds(net, part, panel, other)


def _towards(part: Part, fold: Fold, other: str) -> Line:
    """The fold's line, run so that `other` lies to its left."""
    child_left = child_side(part, fold) > 0
    left = child_left if other == fold.child else not child_left
    return fold.line if left else (fold.line[1], fold.line[0])


def _along(line: Line, run: float) -> plane.Point:
    share = run / plane.length(line)
    (ax, ay), (bx, by) = line
    return ax + (bx - ax) * share, ay + (by - ay) * share


def _depth_of(panel: Panel, line: Line) -> float:
    """How far a panel reaches from a line to its left, mm."""
    return max(plane.side(line, point) for point in panel.outline)


def _taken(net: Net, part: Part, other: str, line: Line, flaps: Sequence[tuple[Fold, Panel, Fold]], bonds: Sequence[Bond]) -> list[Any]:
    """What lies on the inside of a panel already, save hems, in the part's flat frame."""
    taken = [shapely.Polygon(bond.region) for bond in bonds if bond.panels[1][1] == other]
    fold = folder(part)
    places = fold.places(fold.final)
    for bond in net.bonds:
        (p, first), (q, second) = bond.panels
        if p == q == part.name and second == other and part.panel[first].role != "hem":
            taken.append(seen_from(fold, places, other, first))
    return taken


def _free(line: Line, depth: float, taken: Sequence[Any]) -> tuple[float, float] | None:
    """The longest stretch of a line, from and to in mm along it, whose band of `depth` to its left is free."""
    long = plane.length(line)
    band = shapely.Polygon(flap(line, depth))
    spans = [(0.0, long)]
    for shape in taken:
        common = band.intersection(shape)
        if common.area < 0.01:
            continue
        runs = [_run(line, point) for point in shapely.get_coordinates(common)]
        low, high = min(runs) - _CLEAR, max(runs) + _CLEAR
        spans = [part for a, b in spans for part in ((a, min(b, low)), (max(a, high), b)) if part[1] > part[0]]
    best = max(spans, key=lambda s: s[1] - s[0], default=None)
    return best if best and best[1] - best[0] >= min(_LEAST_ROOT, long) else None


def _run(line: Line, point: Any) -> float:
    (ax, ay), (bx, by) = line
    return float(((bx - ax) * (point[0] - ax) + (by - ay) * (point[1] - ay)) / plane.length(line))


def _joint_bonds(net: Net, part: Part, panel: Panel, other: str) -> list[Bond]:
    """The flap's back on the inside of the other panel, and on the hem that lies there already."""
    shape: Any = shapely.Polygon(panel.outline)
    fold = folder(part)
    places = fold.places(fold.final)
    made: list[Bond] = []
    for bond in net.bonds:
        (p, first), (q, second) = bond.panels
        if p == q == part.name and second == other and part.panel[first].role == "hem":
            hem = seen_from(fold, places, other, first)
            ring = largest(shape.intersection(hem))
            if ring and not shapely.Polygon(ring).buffer(-1.0).is_empty:
                made.append(Bond(((part.name, panel.name), (part.name, first)), ("back", "back"), ring, -bond.rest))
            shape = shape.difference(hem.buffer(_CLEAR, join_style="mitre"))
    ring = largest(shape.intersection(shapely.Polygon(part.panel[other].outline)))
    return [Bond(((part.name, panel.name), (part.name, other)), ("back", "marked"), ring), *made]


def _applied(net: Net, part: Part, cutting: _Cutting) -> Net:
    """The net with one part cut: parts, bonds and steps."""
    parts = tuple(cutting.whole if p.name == part.name else p for p in net.parts)
    first = len(net.bonds)
    new = tuple(range(first, first + len(cutting.bonds)))
    with_flap = {fold.name: hinge.name for fold, _, hinge in cutting.flaps}
    steps = tuple(_followed(step, with_flap, new) if step.part == part.name else step for step in net.steps)
    return replace(net, parts=parts, bonds=net.bonds + cutting.bonds, steps=steps)


def _followed(step: Step, with_flap: dict[str, str], new: tuple[int, ...]) -> Step:
    """A step in which each joint's flap turns with the panel that it is glued to."""

    def both(angles: tuple[tuple[str, float], ...]) -> tuple[tuple[str, float], ...]:
        return tuple(pair for name, angle in angles for pair in ((name, angle), (with_flap.get(name, ""), angle)) if pair[0])

    return replace(step, folds=both(step.folds), path=tuple(both(f) for f in step.path), bonds=new if step.kind == "join" else step.bonds)


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
    folds = shapely.union_all(hinges).buffer(1e-4, cap_style="flat") if hinges else shapely.Polygon()
    rings = [shapely.LinearRing(part.panel[n].outline) for n in group]
    found: list[Ring] = []
    for a, b in combinations(rings, 2):
        if a.distance(b) > 1e-6:
            continue
        shared = a.intersection(b, grid_size=1e-6).difference(folds)
        lines = [g for g in shapely.get_parts(shapely.line_merge(shared)) if g.geom_type == "LineString" and g.length > 1e-3]
        found += [tuple((float(x), float(y)) for x, y in line.coords) for line in lines]
    return tuple(found)


def _with_templates(part: Part, pieces: list[Piece]) -> tuple[Piece, ...]:
    """Pieces that are the same by turn and shift get the first one's name as template."""
    done: list[Piece] = []
    for piece in pieces:
        like = next((p for p in done if p.template == p.name and same_piece(part, p, piece)), None)
        done.append(replace(piece, template=like.name) if like else piece)
    return tuple(done)


def same_piece(part: Part, a: Piece, b: Piece) -> bool:
    """Whether b is a by a right-angle turn and a shift, folds and slits included, never by mirroring."""
    return any(_agree(_drawn(part, a, 0), _drawn(part, b, turn)) for turn in range(4))


@dataclass(frozen=True)
class _Drawn:
    """A piece turned, with its lower left corner at the origin."""

    shape: Any
    lines: tuple[tuple[Line, float, str], ...]


def _drawn(part: Part, piece: Piece, turn: int) -> _Drawn:
    ring = plane.turn(turn).ring(piece.outline)
    x0, y0, *_ = bounds(ring)
    place = plane.turn(turn).then(plane.shift(-x0, -y0))
    shape = shapely.Polygon(place.ring(piece.outline), [place.ring(hole) for hole in piece.holes])
    folds = [(f.line, f.angle, f.way) for f in part.folds if f.parent in piece.panels and f.child in piece.panels]
    slits = [((s[0], s[-1]), 0.0, "slit") for s in piece.slits]
    return _Drawn(shape, tuple(((place(line[0]), place(line[1])), angle, way) for line, angle, way in (*folds, *slits)))


def _agree(a: _Drawn, b: _Drawn) -> bool:
    if len(a.lines) != len(b.lines) or any(abs(p - q) > COMPUTED for p, q in zip(a.shape.bounds, b.shape.bounds, strict=True)):
        return False
    if a.shape.hausdorff_distance(b.shape) > COMPUTED or a.shape.symmetric_difference(b.shape).area > COMPUTED * a.shape.length:
        return False
    return all(any(_same_line(x, y) for y in b.lines) for x in a.lines)


def _same_line(x: tuple[Line, float, str], y: tuple[Line, float, str]) -> bool:
    (p, q), (r, s) = x[0], y[0]
    if x[1:] != y[1:]:
        return False
    return any(plane.same(p, u, COMPUTED) and plane.same(q, v, COMPUTED) for u, v in ((r, s), (s, r)))


def checks(net: Net, card: Card) -> list[Check]:
    """Each piece fits the card; together they are the net; a template serves only pieces that are the same."""
    pieces = [(part, piece) for part in net.parts for piece in part.pieces]
    beyond = sum(not fits(card, piece.size) for _, piece in pieces)
    names = [(part.name, name) for part, piece in pieces for name in piece.panels]
    wanted = [(part.name, panel.name) for part in net.parts for panel in part.panels]
    by_name = {piece.name: piece for _, piece in pieces}
    unlike = sum(not same_piece(part, by_name[piece.template], piece) for part, piece in pieces)
    return [
        at_most("pieces.fit", beyond, 0, "pieces", "Every piece fits the card inside its edges."),
        at_most("pieces.whole", len(set(wanted) ^ set(names)) + len(names) - len(set(names)), 0, "panels", "Every panel is in one piece."),
        at_most(
            "pieces.outline",
            max((_off(part, p) for part, p in pieces), default=0.0),
            COMPUTED,
            "mm2",
            "Every outline is that of its panels.",
        ),
        at_most("pieces.template", unlike, 0, "pieces", "A template serves only pieces that are the same."),
    ]


def _off(part: Part, piece: Piece) -> float:
    """Area by which a piece's outline differs from its panels, mm2."""
    shapes = [shapely.Polygon(part.panel[n].outline, part.panel[n].holes) for n in piece.panels]
    return float(shapely.union_all(shapes, grid_size=1e-6).symmetric_difference(shapely.Polygon(piece.outline, piece.holes)).area)

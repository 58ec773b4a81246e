"""Strips of card over the seams of panels that are joined across, on the inside of the box. Millimetres.

A strip is two panels of one body, each glued to one half: so it hangs on the first half by a fold of angle 0 in the seam.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from typing import Any

import shapely

from booklet.card import Card
from booklet.folding import folder
from booklet.net import Bond, Fold, Net, Panel, Part
from booklet.overlap import seen_from
from booklet.pieces.cutting import ACROSS, Spliced, fits
from booklet.pieces.joints import along, free_stretch
from booklet.plane import Line, bounds, length, side
from booklet.stack import lying
from booklet.styles.shapes import flap

ROLE = "splice-strip"
_LEAST = 8.0
_HOLDS = 0.3
_AT_EDGE = 1.0
_AT_FOLD = (6.0, 2.5)
"""Strips end so far from a corner of the box: calipers, for the layers that stand there, and mm, for the slip of a lid (chosen by us)."""


def with_strips(state: Spliced, card: Card) -> Spliced | None:
    """The part with a strip on every seam that has room for one; None where the halves would hang on nothing."""
    strips: list[tuple[str, str, Line]] = []
    covered: dict[str, list[Any]] = {}
    needed = {frozenset((f.parent, f.child)): length(f.line) for f in state.part.folds if f.kind == ACROSS}
    # the seams that the part hangs together by come first, the long ones before the short
    near = list(lying(folder(state.part), folder(state.part).closed))
    for first, last, seam in sorted(_seams(state.part), key=lambda s: (frozenset(s[:2]) not in needed, -round(length(s[2]), 3))):
        own = covered.setdefault(first.partition(".")[0], [])
        least = _HOLDS * needed.get(frozenset((first, last)), 0.0)
        found = list(_strips(state, (first, last), seam, card, [*own, *_taken(state, (first, last), near)]))
        if _long(found) < least and not _laminated(state, first, last):
            # under a flap that only lies there, as a dust flap does, a strip has room too
            found = list(_strips(state, (first, last), seam, card, [*own, *_taken(state, (first, last), near, glued=True)]))
            if _long(found) < least:
                return None
        strips += [(first, last, line) for line in found]
        own += [_band(line, _depth(state, first, last, line)) for line in found]
    return _added(state, strips)


def _long(lines: Sequence[Line]) -> float:
    return sum(length(line) for line in lines)


def _laminated(state: Spliced, first: str, last: str) -> bool:
    """Whether two halves are glued on what was one panel, as the outer layers of a doubled base are on the inner ones."""
    on: dict[str, set[str]] = {first: set(), last: set()}
    for bond in state.net.bonds:
        (p, a), (q, b) = bond.panels
        for name, other in ((a, b), (b, a)):
            if p == q == state.part.name and name in on:
                on[name].add(other.partition(".")[0])
    return bool(on[first] & on[last])


def _band(line: Line, depth: float) -> Any:
    """What a strip along a line covers."""
    return shapely.union(shapely.Polygon(flap(line, depth)), shapely.Polygon(flap(line[::-1], depth)))


def _seams(part: Part) -> Iterator[tuple[str, str, Line]]:
    """Pairs of panels that were one, with the line between them."""
    for a, b in combinations([p for p in part.panels if "." in p.name], 2):
        if a.name.partition(".")[0] != b.name.partition(".")[0]:
            continue
        met = shapely.LinearRing(a.outline).intersection(shapely.LinearRing(b.outline), grid_size=1e-6)
        for line in shapely.get_parts(shapely.line_merge(met)):
            if line.geom_type == "LineString" and line.length >= _LEAST:
                (ax, ay), *_, (bx, by) = line.coords
                yield a.name, b.name, ((float(ax), float(ay)), (float(bx), float(by)))


def _strips(state: Spliced, names: tuple[str, str], seam: Line, card: Card, taken: Sequence[Any]) -> Iterator[Line]:
    """Where strips lie on a seam: its longest stretch where nothing is taken, in lengths that fit the card."""
    line = _short_of_corners(state.part, names, seam)
    if line is None:
        return
    depth = _depth(state, *names, seam)
    span = free_stretch(line, _band(line, depth), taken)
    if span is None or span[1] - span[0] < _LEAST:
        return
    count = _lengths(card, seam, 2 * depth, span[1] - span[0])
    step = (span[1] - span[0]) / count
    for i in range(count):
        yield along(line, span[0] + step * i), along(line, span[0] + step * (i + 1))


def _lengths(card: Card, seam: Line, wide: float, long: float) -> int:
    """In how many lengths a strip fits the card, lying as its grain asks."""
    upright = abs(seam[0][0] - seam[1][0]) < abs(seam[0][1] - seam[1][1])
    counts = range(1, math.ceil(long / _LEAST) + 1)
    return next((n for n in counts if fits(card, (wide, long / n) if upright else (long / n, wide))), 1)


def _short_of_corners(part: Part, names: tuple[str, str], seam: Line) -> Line | None:
    folds = [f for f in part.folds if f.angle and ({f.parent, f.child} & set(names))]
    less = []
    for end in seam:
        at_fold = any(shapely.LineString(f.line).distance(shapely.Point(end)) < 1e-3 for f in folds)
        less.append(_AT_FOLD[0] * part.caliper + _AT_FOLD[1] if at_fold else _AT_EDGE)
    long = length(seam)
    return (along(seam, less[0]), along(seam, long - less[1])) if long - sum(less) >= _LEAST else None


def _depth(state: Spliced, first: str, last: str, seam: Line) -> float:
    """How far a strip reaches over each half: as deep as a glue flap, at most half of a half."""
    reach = (max(abs(side(seam, p)) for p in state.part.panel[name].outline) for name in (first, last))
    return min(state.net.joint[0], *(far / 2 for far in reach))


def _taken(state: Spliced, names: tuple[str, str], near: Sequence[tuple[int, int]], glued: bool = False) -> Iterator[Any]:
    """What lies on the inside of two panels in the closed box, in the part's flat frame; `near`: pairs that lie on each other.

    What is not bonded to a panel may lie on its inside; `glued`: only what is.
    """
    part, fold = state.part, folder(state.part)
    for name in names:
        own = fold.index[name]
        others = [part.panels[i if j == own else j].name for i, j in near if own in (i, j)]
        yield from (seen_from(fold, fold.closed, name, other) for other in others if _inside(state.net, part.name, name, other, not glued))


def _inside(net: Net, part: str, name: str, other: str, loose: bool) -> bool:
    """Whether a panel that lies on another lies on its inside: as their bond tells; `loose` where they have none."""
    for bond in net.bonds:
        if set(bond.panels) == {(part, name), (part, other)}:
            return bond.faces[bond.panels.index((part, name))] == "marked"
    return loose


def _added(state: Spliced, strips: Sequence[tuple[str, str, Line]]) -> Spliced | None:
    part, net = state.part, state.net
    panels, folds, forced, bonds = list(part.panels), list(part.folds), list(state.forced), list(net.bonds)
    for number, (first, last, line) in enumerate(strips, 1):
        made, hung, glued = _strip(state, f"{ROLE}-{number}", first, last, line)
        panels += made
        folds += hung
        forced.append(hung[0])
        bonds += glued
    new = replace(part, panels=tuple(panels), folds=tuple(folds))
    parts = tuple(new if p.name == part.name else p for p in net.parts)
    return Spliced(replace(net, parts=parts, bonds=tuple(bonds)), new, tuple(forced), state.beside)


def _strip(state: Spliced, name: str, first: str, last: str, line: Line) -> tuple[list[Panel], list[Fold], list[Bond]]:
    """A strip over a seam: its two panels, how they hang, and their bonds."""
    depth = _depth(state, first, last, line)
    x0, y0, x1, y1 = bounds(state.part.panel[last].outline)
    towards = line if side(line, ((x0 + x1) / 2, (y0 + y1) / 2)) > 0 else line[::-1]
    over = Panel(name, ROLE, flap(towards, depth), body=name)
    back = Panel(f"{name}.2", ROLE, flap(towards[::-1], depth), body=name)
    folds = [
        Fold(f"{first}/{name}", first, name, line, 0.0, kind=ACROSS),
        Fold(f"{name}/{back.name}", name, back.name, line, 0.0, kind="roll"),
    ]
    part = state.part.name
    bonds = [Bond(((part, p.name), (part, half)), ("back", "marked"), p.outline) for p, half in ((over, last), (back, first))]
    return [over, back], folds, bonds

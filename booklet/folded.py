"""What is seen on the folded box: which faces meet, which lie opposite or on each other, how much room there is inside. mm, mm2, mm3."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any, Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import space
from booklet.flatfaces import Face, faces, parts_of
from booklet.folding import closing_folds, folder
from booklet.net import Net, Part
from booklet.plane import Line
from booklet.tolerance import SAME_POINT

Vector = NDArray[np.float64]
Pair = tuple[int, int]

_PLAY, _LAYERS = 1.2, 2.0
"""Edges that meet lie at most so far apart: mm of play, and calipers (chosen by us)."""

_LEAST = 2.0
"""An edge that counts is so many times as long as that (chosen by us)."""

_TAPER = 0.01
"""Edges that meet may part by this share of their length: closing panels are a little narrower (chosen by us)."""

_ALONG = 0.6
"""Of the shorter of two edges that meet so much lies along the other (chosen by us)."""

_SMOOTH = 0.1
"""Share of the outline of a smooth face along which it meets another (chosen by us)."""

_PARALLEL, _NEARLY = 1e-4, 0.015
"""How far the cosine between two planes, and between two edges that meet, may be off 1."""

_FACING = 0.5
"""Share of the smaller of two opposite faces that the other covers (chosen by us)."""

_EVEN = 0.005
"""Sections that differ by less than this share are alike (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Room:
    """The inside.

    `given`: of a cuboid length, width, height; of a prism or pyramid its floor's area and its height; of a frustum the areas of floor,
    middle and rim, and its height. `surface`: of the inside, all its faces that are closed; 0 where it is not told.
    """

    kind: Literal["cuboid", "prism", "pyramid", "frustum"]
    given: tuple[float, ...]
    volume: float
    surface: float = 0.0


def meeting(known: Sequence[Face]) -> tuple[Pair, ...]:
    """Pairs of faces that touch along an edge of both in the closed box and are not joined in the flat pieces."""
    joined, over = _joined(known), set(laid_on(known))
    edges = {face.number: list(_edges(face)) for face in known}
    found = []
    for one, two in combinations(known, 2):
        pair = one.number, two.number
        if pair not in over and pair not in joined and _touch(one, two, edges[one.number], edges[two.number]):
            found.append(pair)
    return tuple(found)


def _joined(known: Sequence[Face]) -> set[Pair]:
    """Pairs that a fold joins within one piece of card."""
    number = {(face.part.name, name): face.number for face in known for name in face.names}
    found = set()
    for part in {face.part.name: face.part for face in known}.values():
        for fold in (*part.folds, *closing_folds(part)):
            two = [number.get((part.name, name), 0) for name in (fold.parent, fold.child)]
            whole = not part.pieces or part.piece_of[fold.parent] is part.piece_of[fold.child]
            if whole and all(two):
                found.add((min(two), max(two)))
    return found


def _place(part: Part, name: str) -> Vector:
    made = folder(part)
    place: Vector = made.stood[made.index[name]]
    return place


def _edges(face: Face) -> Iterator[Vector]:
    """The edges of a face in space, (2, 3) each: of a smooth one those that it does not share with its own facets."""
    outer = shapely.boundary(face.shape)
    for (a, b), edge in _all_edges(face):
        if face.flat or outer.distance(shapely.Point((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)) < 1e-6:
            yield edge


def _all_edges(face: Face) -> Iterator[tuple[Line, Vector]]:
    """The edges of all its panels, each in the flat and in space, (2, 3)."""
    for panel in face.panels:
        place = _place(face.part, panel.name)
        for a, b in zip(panel.outline, (*panel.outline[1:], panel.outline[0]), strict=True):
            yield (a, b), space.applied(place, np.array([[*a, 0.0], [*b, 0.0]]))


def _touch(one: Face, two: Face, first: Sequence[Vector], second: Sequence[Vector]) -> bool:
    """Whether edges of two faces lie along each other."""
    reach = _PLAY + _LAYERS * max(one.part.caliper, two.part.caliper)
    total, whole = 0.0, False
    for a in first:
        for b in second:
            along, shorter = _shared(a, b, reach)
            total += along
            whole = whole or (shorter >= _LEAST * reach and along >= _ALONG * shorter)
    if one.flat and two.flat:
        return whole
    smooth = [face for face in (one, two) if not face.flat]
    return total >= _SMOOTH * min(sum(face.edges) for face in smooth)


def _shared(a: Vector, b: Vector, reach: float) -> tuple[float, float]:
    """How far two edges lie along each other within a reach, and the length of the shorter."""
    way, other = a[1] - a[0], b[1] - b[0]
    long, short = math.sqrt(float(way @ way)), math.sqrt(float(other @ other))
    if not long or not short or abs(float(way @ other)) < (1 - _NEARLY) * long * short:
        return 0.0, 0.0
    unit = way / long
    at = (b - a[0]) @ unit
    off = b - a[0] - at[:, None] * unit
    low, high = max(0.0, float(at.min())), min(long, float(at.max()))
    far = np.sqrt((off**2).sum(axis=1))
    return (high - low, min(long, short)) if high > low and float(far.max()) <= reach + _TAPER * short else (0.0, 0.0)


def laid_on(known: Sequence[Face]) -> tuple[Pair, ...]:
    """Pairs of flat faces that lie on each other in the closed box."""
    return tuple(pair for pair, gap, reach in _parallel(known) if gap <= reach)


def opposite(known: Sequence[Face]) -> tuple[Pair, ...]:
    """Pairs of flat faces that face each other across the inside; of faces that lie on each other the inner ones."""
    gaps = {pair: gap for pair, gap, reach in _parallel(known) if gap > 2 * reach}
    over = [*laid_on(known)]
    partners = {face.number: {b if a == face.number else a for a, b in over if face.number in (a, b)} for face in known}

    def outer(one: int, two: int) -> bool:
        nearer = (gaps.get((one, other), gaps[one, two]) for other in partners[two])
        return any(gap < gaps[one, two] - SAME_POINT for gap in nearer)

    gaps.update({(b, a): gap for (a, b), gap in gaps.items()})
    return tuple((a, b) for a, b in gaps if a < b and not outer(a, b) and not outer(b, a))


def _parallel(known: Sequence[Face]) -> Iterator[tuple[Pair, float, float]]:
    """Pairs of parallel faces that cover each other, how far apart they are, and how far layers of card lie apart at most."""
    for one, two in combinations([face for face in known if face.flat], 2):
        seen = space.relative(_place(two.part, two.names[0]), _place(one.part, one.names[0]))
        if abs(abs(float(seen[2, 2])) - 1) > _PARALLEL:
            continue
        flat = np.array([[*p, 0.0] for p in two.ring])
        over = shapely.Polygon(space.applied(seen, flat)[:, :2]).buffer(0)
        if over.intersection(one.shape).area >= _FACING * min(over.area, one.area):
            reach = 1.0 + 4 * max(one.part.caliper, two.part.caliper)
            gap = float(space.applied(seen, np.array([[*two.shape.centroid.coords[0], 0.0]]))[0, 2])
            yield (one.number, two.number), abs(gap), reach


def room_of(net: Net) -> Room | None:
    """The room inside, where it is a cuboid, a prism, a pyramid or a frustum; None for others and for what stands inside a box."""
    if all(part.role == "insert" for part in net.parts):
        return None
    if net.interior == "cuboid":
        return _cuboid(net.inside.length, net.inside.width, net.inside.height, net.closed)
    known = faces(net)
    if any("gusset" in panel.role for face in known for panel in face.panels):
        return None
    return _by_sections(net, known)


def _cuboid(length: float, width: float, height: float, closed: bool) -> Room:
    floors = (2 if closed else 1) * length * width
    return Room("cuboid", (length, width, height), length * width * height, floors + 2 * (length + width) * height)


def _by_sections(net: Net, known: Sequence[Face]) -> Room | None:
    """From the level sections of the box: exact for all whose area is of the second degree in their height (the prismoidal rule)."""
    low, high = 0.0, _top(net, known)
    if high <= low:
        return None
    cuts = [_section(net, known, low + share * (high - low)) for share in (1e-6, 0.25, 0.5, 0.75, 1 - 1e-6)]
    floor, quarter, half, three, top = (float(one.area) for one in cuts)
    told = [(3 * floor + 6 * half - top) / 8, (3 * top + 6 * half - floor) / 8]  # a parabola through floor, middle and top
    if not floor or any(abs(a - b) > _EVEN * max(floor, top) for a, b in zip(told, (quarter, three), strict=True)):
        return None
    deep, volume = high - low, (high - low) * (floor + 4 * half + top) / 6
    if max(abs(half - floor), abs(top - floor)) < _EVEN * floor:
        return _upright(net, cuts[2], deep)
    if top < _EVEN * floor:
        # sides shrink evenly: where those of the inside are none is its point, a little under that of the card
        point = deep / 2 / (1 - math.sqrt(half / floor))
        return Room("pyramid", (floor, point), floor * point / 3)
    return Room("frustum", (floor, half, top, deep), volume)


def _upright(net: Net, section: Any, deep: float) -> Room:
    """A prism; with a rectangular floor, a cuboid."""
    box = section.minimum_rotated_rectangle
    if box.area - section.area < _EVEN * box.area:
        corners = list(box.exterior.coords)
        sides = sorted(math.dist(corners[k], corners[k + 1]) for k in (0, 1))
        return _cuboid(sides[1], sides[0], deep, net.closed)
    area, floors = float(section.area), 2 if net.closed else 1
    return Room("prism", (area, deep), area * deep, floors * area + float(section.length) * deep)


def _top(net: Net, known: Sequence[Face]) -> float:
    """How high the inside is: to the rim or the point, or where a level face closes it, to the lowest layer of card there."""
    heights = [(face, _height(face)) for face in known]
    most = max(high for _, high in heights)
    reach = 4 * parts_of(net)[0].caliper
    level = [face for face, high in heights if most - high < reach and face.flat and _level(face)]
    return net.inside.height if level else most


def _level(face: Face) -> bool:
    return abs(float(_place(face.part, face.names[0])[2, 2])) > 1 - _PARALLEL


def _height(face: Face) -> float:
    return max(float(edge[:, 2].max()) for edge in _edges(face))


def _section(net: Net, known: Sequence[Face], height: float) -> Any:
    """The inside at a height: what stands round it there, less half the card."""
    found = []
    for edge in (edge for face in known for _, edge in _all_edges(face)):
        z = edge[:, 2] - height
        if z[0] * z[1] <= 0 and z[0] != z[1]:
            found.append(edge[0, :2] + (edge[1, :2] - edge[0, :2]) * (z[0] / (z[0] - z[1])))
    hull = shapely.MultiPoint(found).convex_hull if len(found) > 2 else shapely.Polygon()
    return hull.buffer(-parts_of(net)[0].caliper / 2, join_style="mitre")

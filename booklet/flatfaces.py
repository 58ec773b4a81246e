"""The faces of a box in its flat net, numbered for a worksheet: panels that make the box, without the flaps that hold it. mm, mm2."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

from booklet.net import Net, Panel, Part
from booklet.plane import Ring, cleaned

FLAPS = frozenset(
    {
        *("base-flap", "corner-flap", "dust-flap", "glue-flap", "lock-flap", "hem", "inner-web", "outer-web", "tuck", "ear", "tongue"),
        *("tooth", "corner-tab", "rim-strip", "splice-strip", "turn-in", "rim", "inner-wall", "handle"),
    }
)
"""Roles of panels that hold a box together or stiffen it: drawn, not numbered."""

_SQUARE = 1e-4
"""Cosine of an angle that is right, and share by which lengths of a regular figure differ."""


@dataclass(frozen=True)
class Face:
    """A flat or smooth face with its number; `panels`: one, or all facets of a smooth one."""

    number: int
    part: Part
    panels: tuple[Panel, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Names of its panels."""
        return tuple(panel.name for panel in self.panels)

    @property
    def flat(self) -> bool:
        """Whether it is one plane."""
        return len(self.panels) == 1

    @cached_property
    def shape(self) -> Any:
        """What it covers in the flat, as a shapely polygon."""
        import shapely

        return shapely.union_all([shapely.Polygon(panel.outline, panel.holes) for panel in self.panels])

    @property
    def area(self) -> float:
        """mm2 of card."""
        return float(self.shape.area)

    @cached_property
    def ring(self) -> Ring:
        """Its outline without points that lie on a straight edge."""
        outer = self.shape.exterior if self.shape.geom_type == "Polygon" else self.shape.convex_hull.exterior
        return cleaned([(float(x), float(y)) for x, y in outer.coords[:-1]])

    @cached_property
    def edges(self) -> tuple[float, ...]:
        """Lengths of its edges."""
        return tuple(math.dist(a, b) for a, b in zip(self.ring, (*self.ring[1:], self.ring[0]), strict=True))

    @property
    def round_it(self) -> tuple[float, float]:
        """Long and short side of the smallest rectangle round it."""
        corners = list(self.shape.minimum_rotated_rectangle.exterior.coords)
        one, two = math.dist(corners[0], corners[1]), math.dist(corners[1], corners[2])
        return max(one, two), min(one, two)


@dataclass(frozen=True, slots=True)
class Shape:
    """A figure whose area is reckoned by a rule: its measures in the order of the rule's words."""

    kind: Literal["rectangle", "triangle", "trapezium", "regular"]
    given: tuple[float, ...]


def parts_of(net: Net) -> tuple[Part, ...]:
    """The parts that a worksheet shows: the first that is folded, else all boards or strips."""
    plain = [part for part in net.parts if part.role not in ("wrap", "film")]
    boxes = [part for part in plain if part.role != "insert"] or plain
    folded = [part for part in boxes if part.folds]
    return tuple(folded[:1] or boxes)


def faces(net: Net) -> tuple[Face, ...]:
    """All faces, numbered from 1 in the order of the net."""
    found: list[tuple[Part, tuple[Panel, ...]]] = []
    for part in parts_of(net):
        bodies: dict[str, list[Panel]] = {}
        for panel in part.panels:
            if panel.role not in FLAPS:
                bodies.setdefault(panel.body or panel.name, []).append(panel)
        found += [(part, tuple(panels)) for panels in bodies.values()]
    return tuple(Face(n, part, panels) for n, (part, panels) in enumerate(found, 1))


def shape_of(face: Face) -> Shape | None:
    """What a face is, where its area is reckoned by one rule; None for others, and for one with an opening."""
    ring = face.ring
    if face.shape.geom_type != "Polygon" or face.shape.interiors:
        return None
    if len(ring) == 3:
        base = _base(sorted(face.edges))
        return Shape("triangle", (base, 2 * face.area / base))
    if len(ring) == 4:
        return _four(face)
    return _regular(face)


def _base(edges: Sequence[float]) -> float:
    """Of the sides of a triangle, the shortest first, that which is no other's equal; else the longest."""
    return edges[0] if abs(edges[1] - edges[2]) < _SQUARE * edges[2] else edges[2]


def _four(face: Face) -> Shape | None:
    """A rectangle by its sides, a trapezium by its parallel sides and its height."""
    turns = list(_turns(face.ring))
    a, b, c, d = face.edges
    if all(abs(cosine) < _SQUARE for cosine in turns):
        return Shape("rectangle", (max(a, b), min(a, b)))
    for k, (one, two) in enumerate(((a, c), (b, d))):
        if abs(turns[k] + turns[(k + 1) % 4]) < _SQUARE:  # the angles at both ends of the edge between them add up to 180 degrees
            return Shape("trapezium", (max(one, two), min(one, two), 2 * face.area / (one + two)))
    return None


def _turns(ring: Ring) -> Iterator[float]:
    """Cosines of the inner angles at the end of each edge, in the order of the edges."""
    for k in range(len(ring)):
        a, b, c = ring[k], ring[(k + 1) % len(ring)], ring[(k + 2) % len(ring)]
        one, two = (a[0] - b[0], a[1] - b[1]), (c[0] - b[0], c[1] - b[1])
        yield (one[0] * two[0] + one[1] * two[1]) / (math.hypot(*one) * math.hypot(*two))


def _regular(face: Face) -> Shape | None:
    """A figure of equal sides and corners: how many sides, their length, and how far each is from the middle."""
    sides, turns = face.edges, list(_turns(face.ring))
    even = max(sides) - min(sides) < 0.002 * max(sides) and max(turns) - min(turns) < 0.002
    if not even or not all(_left(face.ring, k) for k in range(len(sides))):
        return None
    side = sum(sides) / len(sides)
    return Shape("regular", (len(sides), side, 2 * face.area / sum(sides)))


def _left(ring: Ring, k: int) -> bool:
    """Whether a ring turns at a point as it does all round, so that no corner points inward."""
    a, b, c = ring[k - 2], ring[k - 1], ring[k]
    turn = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
    whole = sum(p[0] * q[1] - q[0] * p[1] for p, q in zip(ring, (*ring[1:], ring[0]), strict=True))
    return turn * whole > 0

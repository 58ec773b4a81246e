"""Flat geometry on plain tuples: points, rings, right-angle turns. Millimetres, x right, y up."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from booklet.tolerance import SAME_POINT

Point = tuple[float, float]
Ring = tuple[Point, ...]
Line = tuple[Point, Point]


def area(ring: Sequence[Point]) -> float:
    """Signed area in mm2, positive when the ring runs anticlockwise; 0 for fewer than three points."""
    total = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)) if ring else 0.0
    return total / 2


def centroid(ring: Sequence[Point]) -> Point:
    """The middle of the area inside a ring."""
    whole, x, y = 0.0, 0.0, 0.0
    ox, oy = ring[0]
    for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True):
        cross = (ax - ox) * (by - oy) - (bx - ox) * (ay - oy)
        whole, x, y = whole + cross, x + (ax + bx - 2 * ox) * cross, y + (ay + by - 2 * oy) * cross
    return ox + x / (3 * whole), oy + y / (3 * whole)


def bounds(points: Iterable[Point]) -> tuple[float, float, float, float]:
    """(least x, least y, greatest x, greatest y). Raises ValueError when there is no point."""
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def length(line: Line) -> float:
    """Length of a line in mm."""
    return math.dist(*line)


def middle(line: Line) -> Point:
    """The point half-way along a line."""
    (ax, ay), (bx, by) = line
    return (ax + bx) / 2, (ay + by) / 2


def side(line: Line, point: Point) -> float:
    """Distance of `point` from the line in mm, positive to the left of its direction."""
    (ax, ay), (bx, by) = line
    return ((bx - ax) * (point[1] - ay) - (by - ay) * (point[0] - ax)) / length(line)


def contains(ring: Sequence[Point], point: Point) -> bool:
    """Whether a point lies inside a ring (even-odd rule); on the edge either answer may come."""
    x, y = point
    inside = False
    for (ax, ay), (bx, by) in zip(ring, [*ring[1:], ring[0]], strict=True):
        if (ay > y) != (by > y) and x < (bx - ax) * (y - ay) / (by - ay) + ax:
            inside = not inside
    return inside


def same(a: Point, b: Point, within: float = SAME_POINT) -> bool:
    """Whether two points are the same point."""
    return abs(a[0] - b[0]) <= within and abs(a[1] - b[1]) <= within


def cleaned(ring: Sequence[Point]) -> Ring:
    """The ring without repeated points and without points in the middle of a straight edge."""
    points = [p for i, p in enumerate(ring) if not same(p, ring[i - 1])]
    kept = []
    for i, p in enumerate(points):
        before, after = points[i - 1], points[(i + 1) % len(points)]
        if same(before, after) or abs(side((before, after), p)) > SAME_POINT:
            kept.append(p)
    return tuple(kept)


@dataclass(frozen=True, slots=True)
class Affine:
    """x' = a x + c y + e, y' = b x + d y + f, as in PDF and SVG."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def __call__(self, p: Point) -> Point:
        """The point mapped."""
        return self.a * p[0] + self.c * p[1] + self.e, self.b * p[0] + self.d * p[1] + self.f

    def ring(self, points: Iterable[Point]) -> Ring:
        """Every point mapped."""
        return tuple(self(p) for p in points)

    def then(self, after: Affine) -> Affine:
        """This map first, `after` second."""
        return Affine(
            after.a * self.a + after.c * self.b, after.b * self.a + after.d * self.b,
            after.a * self.c + after.c * self.d, after.b * self.c + after.d * self.d,
            after.a * self.e + after.c * self.f + after.e, after.b * self.e + after.d * self.f + after.f,
        )  # fmt: skip

    def inverse(self) -> Affine:
        """The map back. Raises ZeroDivisionError for a flat map."""
        det = self.a * self.d - self.b * self.c
        a, b, c, d = self.d / det, -self.b / det, -self.c / det, self.a / det
        return Affine(a, b, c, d, -(a * self.e + c * self.f), -(b * self.e + d * self.f))

    @property
    def values(self) -> tuple[float, float, float, float, float, float]:
        """The six figures in the order of the contract."""
        return self.a, self.b, self.c, self.d, self.e, self.f


def shift(dx: float, dy: float) -> Affine:
    """A move without a turn."""
    return Affine(e=dx, f=dy)


def turn(quarter: int) -> Affine:
    """A turn anticlockwise by a number of right angles about the origin, exact."""
    a, b = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[quarter % 4]
    return Affine(a, b, -b, a)

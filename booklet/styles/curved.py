"""Faces that bulge, as narrow facets, and ends that fold in along a curve. Millimetres, degrees.

A face is a share of a cylinder whose axis lies along x. A plane at 45 degrees cuts it in a plane curve; what lies beyond, mirrored in that
plane, is an upright wall, and unrolled both are flat with one curved line between them: this is the curved fold (a fold along a plane
curve mirrors one side of a developable surface, as every text on developable surfaces has it; from memory). With facets it holds exactly.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from booklet.net import Fold, Loop, Panel
from booklet.plane import Point, Ring, area
from booklet.styles.shapes import Sketch

FACETS = 11
"""Of one face; odd, so that one lies level in the middle (chosen by us)."""

SLOPE = 42.0
"""Between a face at its edge and the middle plane: the bulge (chosen by us)."""

STEP = 2 * SLOPE / FACETS


def slope(facet: float) -> float:
    """How steep a facet stands, counted from 0 at the edge of a face."""
    return SLOPE - STEP * (facet + 0.5)


def heights(facet: float) -> list[float]:
    """How far the edges of the facets, each `facet` wide, stand over the middle plane, side to side."""
    found = [0.0]
    for k in range(FACETS):
        found.append(found[-1] + facet * math.sin(math.radians(slope(k))))
    return [max(0.0, round(height, 9)) for height in found]


def across(facet: float) -> list[float]:
    """Where those edges are across the pillow, from its middle."""
    found = [0.0]
    for k in range(FACETS):
        found.append(found[-1] + facet * math.cos(math.radians(slope(k))))
    return [at - found[-1] / 2 for at in found]


def bulge(facet: float) -> float:
    """How far the middle of a face stands over the middle plane."""
    return max(heights(facet))


def chord(facet: float, count: int) -> float:
    """From the edge of a face straight to the far edge of its facet number `count`."""
    ys, zs = across(facet), heights(facet)
    return math.dist((ys[0], zs[0]), (ys[count], zs[count]))


def over(facet: float, y: float) -> float:
    """Height of a face over the middle plane at a place across it; negative beyond its edge."""
    ys, zs = across(facet), heights(facet)
    for k in range(FACETS):
        if ys[k] <= y <= ys[k + 1]:
            return zs[k] + (zs[k + 1] - zs[k]) * (y - ys[k]) / (ys[k + 1] - ys[k])
    return -abs(y)


def facet_for(half: float, height: float) -> float:
    """The least width of a facet with which a face stands `height` over the middle plane `half` away from the middle."""
    low, high = 0.0, 4.0 * (half + height)
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if middle > 0 and over(middle, half) >= height else (middle, high)
    return high


def face(
    sketch: Sketch, name: str, facet: float, y: float, ends: Sequence[float], root: int = 1, hung: tuple[str, float] | None = None
) -> None:
    """Facets side by side from y on, rolled to one smooth face; edge k reaches from -ends[k] to ends[k] in x.

    `root`: the facet that the others hang on. `hung`: the face on whose last facet the first one hangs, and the angle.
    """

    def ring(k: int) -> Ring:
        low, high = y + k * facet, y + (k + 1) * facet
        return cleaned(((-ends[k], low), (ends[k], low), (ends[k + 1], high), (-ends[k + 1], high)))

    def line(k: int) -> tuple[Point, Point]:
        return (-ends[k], y + k * facet), (ends[k], y + k * facet)

    if hung:
        other, angle = hung
        reach = min(ends[0], max(x for x, at in panel(sketch, f"{other}.{FACETS}").outline if abs(at - y) < 1e-6))
        sketch.hinge(f"{other}.{FACETS}", f"{name}.1", name, ring(0), ((-reach, y), (reach, y)), angle, body=name)
    else:
        sketch.panel(f"{name}.{root}", name, ring(root - 1), body=name)
    for k in range(root - 1, 0, -1):
        sketch.hinge(f"{name}.{k + 1}", f"{name}.{k}", name, ring(k - 1), line(k), STEP, kind="roll", body=name)
    for k in range(root, FACETS):
        sketch.hinge(f"{name}.{k}", f"{name}.{k + 1}", name, ring(k), line(k), STEP, kind="roll", body=name)


def end(sketch: Sketch, on: str, name: str, facet: float, y: float, ends: Sequence[float], way: float, short: float = 0.0) -> None:
    """The end of a face beyond its curved fold, on the side +1 or -1 of x: an upright wall down to the other face, less `short`."""
    rim = heights(facet)
    tips = [at + max(2 * over - short, 0.0) for at, over in zip(ends, rim, strict=True)]
    for k in range(FACETS):
        low, high = y + k * facet, y + (k + 1) * facet
        a, b = (way * ends[k], low), (way * ends[k + 1], high)
        outline = cleaned((a, (way * tips[k], low), (way * tips[k + 1], high), b))
        own, hinge = f"{name}.{k + 1}", (a, b)
        sketch.panel(own, name.rsplit("-", 1)[0], outline, body=name)
        sketch.folds.append(Fold(f"{on}.{k + 1}/{own}", f"{on}.{k + 1}", own, hinge, turn(k), way=sketch.card.way))
        if k:
            sketch.loops.append(Loop((f"{name}.{k}", own), (a, (way * tips[k], low))))


def turn(k: int) -> float:
    """The fold angle between facet k of a face and its end: from along x to straight down, about the edge where they meet."""
    run, rise = math.cos(math.radians(slope(k))), math.sin(math.radians(slope(k)))
    size = math.sqrt(rise * rise + 1)
    edge = (-rise / size, run / size, rise / size)
    one, two = (_square((1.0, 0.0, 0.0), edge), _square((0.0, 0.0, -1.0), edge))
    return round(math.degrees(math.acos(sum(p * q for p, q in zip(one, two, strict=True)))), 9)


def _square(way: tuple[float, float, float], edge: tuple[float, float, float]) -> tuple[float, ...]:
    """The unit vector of what of a way is square to an edge."""
    along = sum(p * q for p, q in zip(way, edge, strict=True))
    rest = [p - along * q for p, q in zip(way, edge, strict=True)]
    size = math.sqrt(sum(p * p for p in rest))
    return tuple(p / size for p in rest)


def panel(sketch: Sketch, name: str) -> Panel:
    """A panel of a sketch by its name."""
    return next(one for one in sketch.panels if one.name == name)


def cleaned(ring: Ring) -> Ring:
    """A ring run anticlockwise, without corners that are the same point."""
    kept = tuple(p for k, p in enumerate(ring) if math.dist(p, ring[k - 1]) > 1e-6)
    return kept if area(kept) > 0 else kept[::-1]

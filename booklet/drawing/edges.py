"""Edges of faces and other lines that are seen from one side: what of them lies behind no face. Parallel projection, mm."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiLineString

from booklet.drawing.scene import Points
from booklet.drawing.surface import Surface, View
from booklet.tolerance import COMPUTED, HAND, SAME_POINT

FAR = 1e5
"""mm: larger than any picture; the size of a half-plane."""


def drawn_edges(surface: Surface, projected: Sequence[Surface], crossings: Sequence[Points]) -> MultiLineString:
    """The edges of a face that are drawn where they are seen: all but those inside one smooth face; and lines where others cut through."""
    return _lines(_own_edges(surface, projected), [shapely.linestrings(c) for c in crossings if len(c) > 1])


def _lines(steps: Points, more: Sequence[LineString] = ()) -> MultiLineString:
    """Straight steps, depth left out, and other lines as one shape."""
    made: MultiLineString = shapely.multilinestrings(np.array([*shapely.linestrings(steps[:, :, :2]), *more], object))
    return made


def _own_edges(surface: Surface, projected: Sequence[Surface]) -> Points:
    body = surface.face.body
    mates = [s for s in projected if body and s is not surface and s.face.body == body and s.normal[2] * surface.normal[2] > 0]
    if not mates:
        return surface.edges
    others = np.concatenate([m.edges for m in mates])
    pieces = [span for edge in surface.edges for span in left_of(edge, _shared(edge, others))]
    return np.array(pieces) if pieces else np.zeros((0, 2, 3))


def _shared(edge: Points, others: Points) -> list[tuple[float, float]]:
    """The spans of an edge, as shares of its length, along which other edges run."""
    way, rel = edge[1] - edge[0], others - edge[0]
    t = rel @ way / max(float(way @ way), SAME_POINT)
    rest = rel - t[:, :, None] * way
    away = np.sqrt((rest * rest).sum(axis=2).max(axis=1))
    return [(min(a, b), max(a, b)) for a, b in t[away < HAND].tolist()]


def left_of(edge: Points, spans: Iterable[tuple[float, float]]) -> list[Points]:
    """What is left of an edge of shape (2, n) when spans of it, as shares of its length, are taken out."""
    way = edge[1] - edge[0]
    length = math.sqrt(float(way @ way))
    left, at = [], 0.0
    for start, end in [*sorted(spans), (1.0, 1.0)]:
        if (min(start, 1.0) - at) * length > COMPUTED:
            left.append(edge[0] + np.array([[at], [min(start, 1.0)]]) * way)
        at = max(at, end)
    return left


def seen_lines(lines: Iterable[Points], projected: Sequence[Surface], view: View) -> list[MultiLineString]:
    """What is seen of polylines in space, each of shape (n, 3), among projected faces; a line that lies on a face is seen."""
    solid = [s for s in projected if not s.edge_on]
    shapes = np.array([s.polygon for s in solid], object)
    return [_seen_steps(_steps(view.project(line)), shapes, _planes(solid), _give(solid)) for line in lines]


def edge_on_lines(surface: Surface, solid: Sequence[Surface], shapes: NDArray[Any]) -> MultiLineString:
    """What is seen of the edges of a face that is seen edge-on. What lies wholly behind a plane is behind it where they touch, too."""
    steps = surface.edges[np.hypot(*(surface.edges[:, 1] - surface.edges[:, 0])[:, :2].T) > COMPUTED]
    sides = np.array([_side(surface, s) for s in solid])
    bias = np.where(sides == 0, _give(solid), np.where(sides > 0, -FAR * FAR, FAR * FAR))
    return _seen_steps(steps, shapes, _planes(solid), bias)


def _steps(line: Points) -> Points:
    return np.stack([line[:-1], line[1:]], axis=1)


def _planes(solid: Sequence[Surface]) -> Points:
    return np.array([s.plane for s in solid]).reshape(-1, 3)


def _give(solid: Sequence[Surface]) -> NDArray[np.float64]:
    """How much deeper than a plane a point must lie to be hidden by it."""
    return np.array([COMPUTED / abs(s.normal[2]) for s in solid])


def _side(surface: Surface, front: Surface) -> int:
    """1 when a face lies wholly behind the plane of another, -1 when before it, 0 when on both sides."""
    p = surface.rings[0]
    gap = (p[:, :2] @ front.plane[:2] + front.plane[2] - p[:, 2]) * abs(front.normal[2])
    if gap.min() >= -HAND and gap.max() > HAND:
        return 1
    return -1 if gap.max() <= HAND else 0


def _seen_steps(steps: Points, shapes: NDArray[Any], planes: Points, give: NDArray[np.float64]) -> MultiLineString:
    """What is seen of straight steps, shape (m, 2, 3), that hide behind shapes with their planes once they are deeper by `give`."""
    spans: list[list[tuple[float, float]]] = [[] for _ in steps]
    for n, span in _hidden(steps, shapes, planes, give):
        spans[n].append(span)
    left = [p for step, gone in zip(steps, spans, strict=True) for p in left_of(step, gone)]
    return _lines(np.array(left).reshape(-1, 2, steps.shape[2]))


def _hidden(steps: Points, shapes: NDArray[Any], planes: Points, give: NDArray[np.float64]) -> Iterable[tuple[int, tuple[float, float]]]:
    """Spans of steps, as shares of their length, that are hidden: the number of the step and the span."""
    gap = steps[:, :, :2] @ planes[:, :2].T + planes[:, 2] - steps[:, :, 2:] - give
    own, front = np.nonzero(gap.max(axis=1) > 0) if gap.size else (np.zeros(0, int),) * 2
    g = gap[own, :, front]
    cross = g[:, 0] / np.where(g[:, 0] == g[:, 1], 1.0, g[:, 0] - g[:, 1])
    ends = np.stack([np.where(g[:, 0] > 0, 0.0, cross), np.where(g[:, 1] > 0, 1.0, cross)], axis=1)
    start, way = steps[own, 0, :2], steps[own, 1, :2] - steps[own, 0, :2]
    parts = shapely.linestrings(start[:, None] + ends[:, :, None] * way[:, None])
    pieces, index = shapely.get_parts(shapely.intersection(parts, shapes[front]), return_index=True)
    for piece, k in zip(pieces, index, strict=True):
        t = (shapely.get_coordinates(piece) - start[k]) @ way[k] / max(float(way[k] @ way[k]), SAME_POINT)
        if len(t):
            yield int(own[k]), (float(t.min()), float(t.max()))

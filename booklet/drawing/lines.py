"""Lines on paper, each drawn once: lines that a pen would run together are made one, and ends meet what they led to.

Millimetres on paper. The layers of thin card lie so near to each other in a picture that their edges would blot.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import GeometryType, MultiLineString
from shapely.geometry.base import BaseGeometry

from booklet.drawing.edges import left_of
from booklet.plane import Point
from booklet.tolerance import SAME_POINT

Figures = NDArray[np.float64]
Lines = NDArray[np.float64]
"""Straight pieces of line, shape (m, 2, 2)."""

SIDE_BY_SIDE = 0.035
"""Sine of the angle up to which two lines run side by side: 2 degrees (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Near:
    """What is too near to be drawn apart, mm on paper; chosen by us for lines 0.35 mm wide."""

    blur: float = 0.45  # lines that run side by side nearer than this are drawn as one, and narrower cracks are closed
    merge: float = 0.15  # lines that run together at an angle are drawn as one from where they are nearer than this
    slit: float = 1.2  # the sides of narrower slits are not outlined
    stub: float = 0.5  # shorter lines that lead nowhere are left out


NEAR = Near()


def apart(lines: Lines, taken: Lines, near: Near) -> Lines:
    """The lines already `taken`, and after them what of `lines` does not run along another, the longest first."""
    lines = np.array(sorted(_once(lines), key=lambda s: -round(math.dist(*s), 3))).reshape(-1, 2, 2)
    start, end, runs = _along(lines, np.concatenate([taken, lines]), near)
    kept, whole = [[line] for line in taken], [True] * len(taken)
    for n, line in enumerate(lines):
        beside = np.flatnonzero(runs[n, : len(kept)]).tolist()
        spans = [(float(start[n, m]), float(end[n, m])) for m in beside if whole[m]]
        spans += _spans(line, [piece for m in beside if not whole[m] for piece in kept[m]], near)
        kept.append(left_of(line, spans))
        whole.append(not spans)
    return np.array([piece for pieces in kept for piece in pieces]).reshape(-1, 2, 2)


def _once(lines: Lines) -> list[list[list[float]]]:
    """Lines without those that are there twice, in either direction: two faces that share an edge both have it."""
    found: dict[tuple[float, ...], list[list[float]]] = {}
    for line, ends in zip(lines.tolist(), np.round(lines, 2).tolist(), strict=True):
        a, b = sorted(ends)
        found.setdefault((*a, *b), line)
    return list(found.values())


def _spans(line: Lines, others: Sequence[Lines], near: Near) -> list[tuple[float, float]]:
    """The spans of one line, as shares of its length, that run along some others."""
    if not others:
        return []
    start, end, runs = _along(line[None], np.array(others), near)
    return list(zip(start[runs].tolist(), end[runs].tolist(), strict=True))


def _along(lines: Lines, others: Lines, near: Near) -> tuple[Figures, Figures, NDArray[np.bool_]]:
    """For each line and each other, (lines, others): from where to where it runs along the other, and whether it does at all.

    Shares of the line's length. What only runs across it does not count.
    """
    size = np.maximum(np.linalg.norm(lines[:, 1] - lines[:, 0], axis=1), SAME_POINT)[:, None]
    way = others[:, 1] - others[:, 0]
    long = np.maximum(np.linalg.norm(way, axis=1), SAME_POINT)
    unit = way / long[:, None]
    rel = lines[:, None] - others[:, :1]
    beside = rel[..., 1] * unit[:, None, 0] - rel[..., 0] * unit[:, None, 1]
    ahead = rel[..., 0] * unit[:, None, 0] + rel[..., 1] * unit[:, None, 1]
    limit = np.where(np.abs(beside[..., 1] - beside[..., 0]) < SIDE_BY_SIDE * size, near.blur, near.merge)
    a0, a1 = _between(beside, -limit, limit)
    over = np.minimum(near.merge, size / 2)
    b0, b1 = _between(ahead, -over, long + over)
    start, end = np.maximum(a0, b0), np.minimum(a1, b1)
    return start, end, (end - start) * size >= np.minimum(4 * limit, 0.9 * size)


def _between(ends: Figures, low: float | Figures, high: float | Figures) -> tuple[Figures, Figures]:
    """For figures that run evenly from ends[..., 0] to ends[..., 1], where on the way, 0 to 1, they lie between two limits."""
    run = ends[..., 1] - ends[..., 0]
    run = np.where(np.abs(run) < SAME_POINT, SAME_POINT, run)
    first, second = (low - ends[..., 0]) / run, (high - ends[..., 0]) / run
    return np.clip(np.minimum(first, second), 0, 1), np.clip(np.maximum(first, second), 0, 1)


def tidy(lines: Sequence[list[Point]], around: Lines, near: Near) -> Iterable[list[Point]]:
    """Lines that stop short of another, because that one was drawn once for two, are led on to it; short loose ends are left out."""
    others = [around, *(steps(np.array(line)) for line in lines)]
    owner = np.repeat(np.arange(-1, len(lines)), [len(o) for o in others])
    every = np.concatenate(others)
    for n, line in enumerate(lines):
        rest = every[owner != n]
        loose = [line[0] != line[-1] and _distance(end, rest) > near.merge for end in (line[0], line[-1])]
        if any(loose) and sum(math.dist(a, b) for a, b in pairwise(line)) < near.stub:
            continue
        first = [_led_on(line[1], line[0], rest, 1.5 * near.blur)] if loose[0] else []
        last = [_led_on(line[-2], line[-1], rest, 1.5 * near.blur)] if loose[1] else []
        yield first + line[len(first) : len(line) - len(last)] + last


def steps(line: Lines) -> Lines:
    """The straight steps of a polyline."""
    return np.stack([line[:-1], line[1:]], axis=1)


def _distance(point: Point, lines: Lines) -> float:
    """From a point to the nearest of straight pieces of line; infinite when there are none."""
    way, rel = lines[:, 1] - lines[:, 0], np.array(point) - lines[:, 0]
    t = np.clip((rel * way).sum(axis=1) / np.maximum((way * way).sum(axis=1), SAME_POINT), 0, 1)
    return float(np.linalg.norm(rel - t[:, None] * way, axis=1).min(initial=math.inf))


def _led_on(before: Point, end: Point, lines: Lines, most: float) -> Point:
    """Where a line that comes from `before` meets another when it is led on beyond its end by at most `most`; else its end."""
    far = max(math.dist(before, end), SAME_POINT)
    u = np.array([(end[0] - before[0]) / far, (end[1] - before[1]) / far])
    way, rel = lines[:, 1] - lines[:, 0], lines[:, 0] - np.array(end)
    turn = u[0] * way[:, 1] - u[1] * way[:, 0]
    turn = np.where(np.abs(turn) < SAME_POINT, math.inf, turn)
    ahead = (rel[:, 0] * way[:, 1] - rel[:, 1] * way[:, 0]) / turn
    beside = (rel[:, 0] * u[1] - rel[:, 1] * u[0]) / turn
    met = ahead[(ahead > 0) & (ahead <= most) & (beside >= -0.1) & (beside <= 1.1)]
    return (end[0] + float(u[0] * met.min()), end[1] + float(u[1] * met.min())) if len(met) else end


def joined(lines: Lines) -> list[list[Point]]:
    """Straight pieces joined to polylines where two of them meet."""
    merged = shapely.line_merge(MultiLineString(list(np.round(lines, 2))))
    return [[(float(x), float(y)) for x, y in piece] for piece in pieces(merged)]


def pieces(shape: BaseGeometry | NDArray[Any]) -> list[Lines]:
    """The lines of a shape or of several, longer than nothing, as arrays of points."""
    return [shapely.get_coordinates(line) for line in lines_of(shape)]


def lines_of(shapes: BaseGeometry | Sequence[BaseGeometry] | NDArray[Any]) -> NDArray[Any]:
    """The lines of a shape or of several, longer than nothing."""
    parts = shapely.get_parts(shapes)
    found: NDArray[Any] = parts[(shapely.get_type_id(parts) == GeometryType.LINESTRING) & (shapely.length(parts) > SAME_POINT)]
    return found

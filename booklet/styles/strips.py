"""Strips with slots that slip into each other: those along a box are slotted from above, those across it from below. Millimetres."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from booklet import space
from booklet.grid import Grid
from booklet.net import Part
from booklet.plane import Ring
from booklet.space import Matrix
from booklet.styles.shapes import Sketch
from booklet.thickness import Thickness

ALONG, ACROSS = "lengthwise-strip", "crosswise-strip"


def long(cells: Sequence[float], slot: float) -> float:
    """The length of a strip that parts cells of these widths, with a slot between two."""
    return sum(cells) + (len(cells) - 1) * slot


def middles(cells: Sequence[float], slot: float) -> Iterator[float]:
    """The middle of each slot, from the strip's end."""
    for n in range(1, len(cells)):
        yield sum(cells[:n]) + (n - 0.5) * slot


def spread(grid: Grid, cells: Sequence[float], length: float, slot: float) -> tuple[float, ...]:
    """Cells, all on the ruler grid, that take up a length, or a mark less: alike, but for the first and the last, which take the rest."""
    count = len(cells)
    each = grid.down((length - (count - 1) * slot) / count)
    rest = grid.down(length - long((each,) * count, slot))
    first = grid.down(rest / 2)
    return (each + first, *(each,) * (count - 2), each + rest - first)


def strip(card: Thickness, name: str, number: int, cells: Sequence[float], slot: tuple[float, float], height: float, at: Matrix) -> Part:
    """One strip that stands with the middle of its lower edge at the origin of `at`, along its x axis. `slot`: width and depth."""
    wide, deep = slot
    half = [(x - wide / 2, x + wide / 2) for x in middles(cells, wide)]
    end = long(cells, wide)
    if name == ALONG:
        cut = [p for a, b in reversed(half) for p in ((b, height), (b, height - deep), (a, height - deep), (a, height))]
        ring: Ring = ((0.0, 0.0), (end, 0.0), (end, height), *cut, (0.0, height))
    else:
        cut = [p for a, b in half for p in ((a, 0.0), (a, deep), (b, deep), (b, 0.0))]
        ring = ((0.0, 0.0), *cut, (end, 0.0), (end, height), (0.0, height))
    sketch = Sketch(f"{name}-{number}", "insert", card)
    sketch.panel(f"{name}-{number}", name, ring)
    return sketch.part(at @ space.turned((1, 0, 0), 90.0) @ space.moved(-end / 2))

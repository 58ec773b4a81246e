"""Bars to measure with a ruler, and the outline of a bank card, all true to size. Millimetres."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from booklet.drawing.pen import STROKES, Pen
from booklet.plane import Affine, Point, Ring
from booklet.spec.model import BAR

ID1: Final = (85.60, 53.98, 3.18)
"""A bank card: width, height and corner radius in mm (ISO/IEC 7810, size ID-1)."""

END, TICK = 4.0, 1.5
"""mm to each side of the bar that the ticks at its ends and those between reach."""

ENDS = 3.0
"""The same for the ends of a bar of the print check, which has less room."""


def bar(pen: Pen, foot: Point, axis: int, length: float, words: str) -> None:
    """A bar as `ruled` draws it, with words over its middle, or to the right of it, turned."""
    ruled(pen, foot, axis, length, END)
    side = 3.0 if axis == 0 else -6.0
    pen.text(_on(foot, axis, length / 2, side), words, 10, "middle", bold=True, angle=90.0 * axis)


def ruled(pen: Pen, foot: Point, axis: int, length: float, end: float) -> None:
    """A line across (0) or up (1) with a tick every 10 mm, those at its ends `end` mm to each side.

    The outer edges of the end ticks are `length` apart, as a ruler takes them.
    """
    half = STROKES["mark"].width_mm / 2
    pen.path([foot, _on(foot, axis, length, 0.0)], STROKES["cut"])
    for n in range(round(length / 10) + 1):
        reach = end if n in (0, round(length / 10)) else TICK
        run = min(max(10.0 * n, half), length - half)
        pen.path([_on(foot, axis, run, -reach), _on(foot, axis, run, reach)], STROKES["mark"])


def _on(foot: Point, axis: int, run: float, off: float) -> Point:
    """A point `run` mm along a bar and `off` mm to its left."""
    return (foot[0] + run, foot[1] + off) if axis == 0 else (foot[0] - off, foot[1] + run)


def bank_card(pen: Pen, at: Point, words: str, high: float = 0.5) -> None:
    """The outline of a bank card, its lower left corner at `at`; the words stand `high` up in it, as a part of its height."""
    pen.path(card_ring(at), STROKES["edge"], closed=True)
    pen.text((at[0] + ID1[0] / 2, at[1] + ID1[1] * high - 1.2), words, 10, "middle")


def card_ring(at: Point) -> Ring:
    """A bank card as a ring, its round corners in chords."""
    (x, y), (wide, high, r) = at, ID1
    corners = ((x + wide - r, y + r, -90), (x + wide - r, y + high - r, 0), (x + r, y + high - r, 90), (x + r, y + r, 180))
    turns = [(cx, cy, math.radians(start + a)) for cx, cy, start in corners for a in range(0, 91, 10)]
    return tuple((cx + r * math.cos(t), cy + r * math.sin(t)) for cx, cy, t in turns)


def draw_bars(pen: Pen, scale: tuple[float, float], width: float, words: Mapping[str, str]) -> None:
    """Both 100 mm bars and the bank card, drawn so that they come out true on a printer that prints `scale` times as large."""
    corrected = Affine(1 / scale[0], 0, 0, 1 / scale[1])
    with pen.placed(corrected) as true:
        x, y = 4.0, 11.0
        ruled(true, (x + 8, 4.0), 0, BAR, ENDS)
        true.text((x + 8 + BAR / 2, 7.5), words["bar"], 10, "middle", bold=True)
        ruled(true, (x, y), 1, BAR, ENDS)
        true.text((x + 3.5, y + BAR / 2), words["bar"], 10, "start", bold=True)
        left = width * scale[0] - ID1[0] - 1
        if left > x + 12:
            corner = max(left, x + 14), y + 18
            true.path(card_ring(corner), STROKES["edge"], closed=True)
            true.text((corner[0] + ID1[0] / 2, corner[1] + ID1[1] / 2), words["bank_card"], 10, "middle")


def fill_in(pen: Pen, foot: Point, width: float, before: str, after: str) -> None:
    """A place to write a reading into: words, a box `width` mm wide and 10 mm high, and its unit; `foot` is where the box begins."""
    x, y = foot
    pen.text((x - 2.0, y + 3.4), before, 10, "end")
    pen.path([(x, y), (x + width, y), (x + width, y + 10.0), (x, y + 10.0)], STROKES["rule"], closed=True)
    pen.text((x + width + 2.0, y + 3.4), after, 10)

"""Two rules at a right angle from a corner of stop lines, in mm and inches, true to size. Millimetres, the corner at the origin.

A stop line is thick and ends at zero: a block that just covers it has its face there. The lower rule hangs below its stop line, the
other stands to the left of its own; the field that they leave is where the thing stands.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from booklet.drawing.bars import ID1
from booklet.drawing.pen import STROKES, Pen, Stroke
from booklet.grid import INCH
from booklet.plane import Point

DEEP: Final = (21.5, 18.5)
"""mm: how far the rules reach out from the corner, to the left and down: their lines and figures stand in it."""

STEP_MM: Final = 2
STEPS_INCH: Final = 8
"""A line every 2 mm, and every 1/8 in: as finely as a thing is measured for a box."""

REACH_MM: Final = {10: 5.5, 2: 3.5}
REACH_INCH: Final = {8: 5.5, 4: 4.5, 2: 3.7, 1: 2.9}
"""Lengths of the lines in mm, by the largest step that they stand on: 10 and 2 mm; 1, 1/2, 1/4 and 1/8 in."""

LEAST_STEP: Final = 10
"""mm between the fine lines in the field, by which a block is held square."""


@dataclass(frozen=True, slots=True)
class Graduation:
    """A line of a rule: its distance from the stop line in mm, its length, and the figure that it carries, or ""."""

    run: float
    reach: float
    figure: str = ""


def millimetres(room: float) -> Iterator[Graduation]:
    """The lines of the mm side, as far as there is room."""
    for mm in range(STEP_MM, math.floor(room + 1e-9) + 1, STEP_MM):
        whole = mm % 10 == 0
        yield Graduation(float(mm), REACH_MM[10 if whole else 2], str(mm) if whole else "")


def inches(room: float) -> Iterator[Graduation]:
    """The lines of the inch side, as far as there is room."""
    for eighths in range(1, math.floor(room / INCH * STEPS_INCH + 1e-9) + 1):
        step = next(step for step in REACH_INCH if eighths % step == 0)
        yield Graduation(eighths * INCH / STEPS_INCH, REACH_INCH[step], str(eighths // STEPS_INCH) if step == STEPS_INCH else "")


def longest(room: float) -> tuple[float, float]:
    """The last line of the mm side and of the inch side, both in mm."""
    return list(millimetres(room))[-1].run, list(inches(room))[-1].run


def draw_rules(pen: Pen, room: tuple[float, float], field_high: float, words: Mapping[str, str]) -> None:
    """Both rules, `room` mm long across and up, and the fine lines of the field up to a height."""
    _field(pen, room[0], min(field_high, room[1]))
    for axis in (0, 1):
        _rule(pen, axis, room, words)
    pen.text((3.6, field_high / 2 + 15.0), words["stop"], 8, "middle", angle=90, halo=True)
    pen.text((min(room[0] / 2 + 55.0, room[0] - 12.0), 1.8), words["stop"], 8, "middle", halo=True)


def _at(axis: int, run: float, out: float) -> Point:
    """A point of a rule: `run` along it, `out` away from the field."""
    return (run, -out) if axis == 0 else (-out, run)


def _rule(pen: Pen, axis: int, room: tuple[float, float], words: Mapping[str, str]) -> None:
    long, deep = room[axis], DEEP[1 - axis]
    half = STROKES["cut"].width_mm / 2
    pen.path([_at(axis, -DEEP[axis], half), _at(axis, long, half)], STROKES["cut"])
    pen.path([_at(axis, 0.0, deep), _at(axis, long, deep)], STROKES["dimension"])
    for line in millimetres(long):
        pen.path([_at(axis, line.run, 0.0), _at(axis, line.run, line.reach)], _stroke(line))
        _figure(pen, axis, line, REACH_MM[10] + 0.8, inner=True)
    for line in inches(long):
        pen.path([_at(axis, line.run, deep), _at(axis, line.run, deep - line.reach)], _stroke(line))
        _figure(pen, axis, line, deep - REACH_INCH[8] - 0.8, inner=False)
    _figure(pen, axis, Graduation(4.5, 0.0, words["mm"]), REACH_MM[10] + 0.8, inner=True)
    _figure(pen, axis, Graduation(4.5, 0.0, words["in"]), deep - REACH_INCH[8] - 0.8, inner=False)


def _stroke(line: Graduation) -> Stroke:
    return STROKES["mark" if line.figure else "dimension"]


def _figure(pen: Pen, axis: int, line: Graduation, out: float, inner: bool) -> None:
    """A figure beside its line: mm on the inner side, inches on the outer one, bold."""
    if not line.figure:
        return
    size = 7.0 if inner else 8.0
    high = size * 0.714 * 25.4 / 72  # of a figure: the shipped face's is 0.714 of its size
    if axis == 0:
        pen.text((line.run, -out - high if inner else -out), line.figure, size, "middle", bold=not inner)
    else:
        pen.text((-out, line.run - high / 2), line.figure, size, "end" if inner else "start", bold=not inner)


def _field(pen: Pen, wide: float, high: float) -> None:
    for x in range(LEAST_STEP, math.floor(wide) + 1, LEAST_STEP):
        pen.path([(x, 0.0), (x, high)], STROKES["ghost"])
    for y in range(LEAST_STEP, math.floor(high) + 1, LEAST_STEP):
        pen.path([(0.0, y), (wide, y)], STROKES["ghost"])


def draw_card(pen: Pen, words: Mapping[str, str]) -> None:
    """Where a bank card that lies in the corner ends, on its upper and its right side."""
    wide, high, r = ID1
    turns = [math.radians(a) for a in range(90, -1, -10)]
    corner = [(wide - r + r * math.cos(t), high - r + r * math.sin(t)) for t in turns]
    pen.path([(r, high), *corner, (wide, r)], STROKES["edge"])
    pen.text((wide / 2, high - 9.2), words["bank_card"], 8, "middle", halo=True)

"""Signs of the pictures of the steps, and their legend.

After the Yoshizawa-Randlett signs of origami diagrams (dashed valley, dash and two dots for a mountain, an arrow with a loop
for turning over, two arrows in a ring for turning round) and the lines of ISO 128-20.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from booklet.drawing.gluemap import draw_number
from booklet.drawing.labels import say
from booklet.drawing.pen import MM_PER_POINT, STROKES, TINT, Pen, Stroke, box, circle, cut_back, hatch, head_ring
from booklet.drawing.picture import LOOK, Box
from booklet.drawing.room import CAPITAL
from booklet.net import Net
from booklet.plane import Point, Ring

ROUND = 3.4
"""mm: radius of the sign for turning round, its heads included (chosen by us)."""

TEXT_PT = 8.0
SAMPLE = 16.0
ROW = 9.0
GUTTER = 2.5
BETWEEN = 6.0
"""Type in points; width of a sample, height of a row, gaps beside a sample and between columns, mm (chosen by us)."""

KEYS = (
    "step_valley", "step_mountain", "step_moves", "step_was", "step_glue", "step_arrow",
    "step_both", "step_over", "step_round", "step_closer",
)  # fmt: skip
"""Keys of the legend's words, in the order of its rows."""

LABELS: Mapping[str, str] = {
    "step_valley": "valley fold: towards you",
    "step_mountain": "mountain fold: away from you",
    "step_moves": "what moves",
    "step_was": "where it was",
    "step_glue": "glue, with its number on the glue map",
    "step_arrow": "move it this way",
    "step_both": "there and back",
    "step_over": "turn it over",
    "step_round": "seen from another side than before",
    "step_closer": "the same, larger",
}
"""The English words, for who gives none."""


def keys_of(net: Net) -> tuple[str, ...]:
    """The signs that the pictures of a net can have: glue where faces are glued, folds where something is folded."""
    folded = net.folded
    needs = {"step_glue": bool(net.bonds), "step_valley": folded, "step_mountain": folded, "step_both": folded}
    return tuple(key for key in KEYS if needs.get(key, True))


def curved(pen: Pen, points: Sequence[Point], head: float = LOOK.head, both_ways: bool = False, stroke: Stroke = STROKES["arrow"]) -> None:
    """A line with a head at its end, or at both."""
    shaft = cut_back(points, head * 0.9)
    heads = [head_ring(shaft[-1], points[-1], head)]
    if both_ways:
        shaft = cut_back(shaft[::-1], head * 0.9)
        heads.append(head_ring(shaft[-1], points[0], head))
    pen.path(shaft, stroke)
    for ring in heads:
        pen.fill([ring], stroke.grey)


def draw_turned_round(pen: Pen, at: Point) -> None:
    """Two arrows that run round: the thing is seen from another side than before."""
    ring = circle(at, ROUND - LOOK.halo, 48)
    curved(pen, ring[2:21], 1.8, stroke=STROKES["edge"])
    curved(pen, ring[26:45], 1.8, stroke=STROKES["edge"])


def turning_over(at: Point, wide: float) -> Ring:
    """The way of an arrow with one loop, from left to right, `wide` mm: the sign for turning over. `at`: its middle."""
    count, radius = 48, wide * 0.16
    found = []
    for k in range(count + 1):
        t = k / count
        turn = math.tau * min(max((t - 0.25) / 0.5, 0.0), 1.0)
        x = at[0] + (t - 0.5) * wide * 1.0 - radius * 0.9 * math.sin(turn) * -1.0
        y = at[1] + radius * (1.0 - math.cos(turn)) - radius * 0.6
        found.append((x, y))
    return tuple(found)


def draw_turned_over(pen: Pen, at: Point, wide: float) -> None:
    """The sign for turning over, `wide` mm."""
    curved(pen, turning_over(at, wide))


def draw_step_legend(pen: Pen, area: Box, words: Mapping[str, str] = LABELS, keys: Sequence[str] = KEYS) -> None:
    """The signs of the pictures with their words, in as many columns as fit, from the upper left corner of a box."""
    wide = SAMPLE + GUTTER + max(pen.width(_said(words, key), TEXT_PT) for key in keys)
    columns = max(1, int((area[2] - area[0] + BETWEEN) / (wide + BETWEEN)))
    rows = math.ceil(len(keys) / columns)
    for n, key in enumerate(keys):
        x, y = area[0] + (n // rows) * (wide + BETWEEN), area[3] - (n % rows + 0.5) * ROW
        _SAMPLES[key](pen, x, y)
        pen.text((x + SAMPLE + GUTTER, y - CAPITAL * TEXT_PT * MM_PER_POINT / 2), _said(words, key), TEXT_PT)


def step_legend_height(pen: Pen, wide: float, words: Mapping[str, str] = LABELS, keys: Sequence[str] = KEYS) -> float:
    """How high the legend is in a box of a width, mm."""
    one = SAMPLE + GUTTER + max(pen.width(_said(words, key), TEXT_PT) for key in keys)
    return math.ceil(len(keys) / max(1, int((wide + BETWEEN) / (one + BETWEEN)))) * ROW


def _said(words: Mapping[str, str], key: str) -> str:
    return say(words, key) if key in words else LABELS[key]


def _line(stroke: str) -> Callable[[Pen, float, float], None]:
    return lambda pen, x, y: pen.path(((x, y), (x + SAMPLE, y)), STROKES[stroke])


def _area(x: float, y: float) -> Ring:
    return box(x + 1.0, y - 2.8, x + SAMPLE - 1.0, y + 2.8)


def _moves(pen: Pen, x: float, y: float) -> None:
    pen.fill([_area(x, y)], TINT)
    pen.path(_area(x, y), STROKES["edge"], closed=True)


def _was(pen: Pen, x: float, y: float) -> None:
    pen.path(_area(x, y), STROKES["ghost"], closed=True)


def _glue(pen: Pen, x: float, y: float) -> None:
    hatch(pen, _area(x, y), layer=None)
    pen.path(_area(x, y), STROKES["edge"], closed=True)
    draw_number(pen, (x + SAMPLE / 2, y), 1, True)


def _bow(x: float, y: float) -> Ring:
    """A flat arc across a sample."""
    spread = [math.radians(150 - 5 * k) for k in range(25)]
    return tuple((x + SAMPLE / 2 + 0.5 * SAMPLE * math.cos(t), y - 3.5 + 0.36 * SAMPLE * math.sin(t)) for t in spread)


def _closer(pen: Pen, x: float, y: float) -> None:
    pen.path(box(x + 1.0, y - 2.4, x + 3.6, y - 0.6), STROKES["dimension"], closed=True)
    pen.path(box(x + 6.5, y - 3.2, x + SAMPLE - 1.0, y + 3.2), STROKES["edge"], closed=True)
    for left, low, size in ((1.6, -2.0, 0.7), (8.2, -2.2, 3.4)):
        pen.path(((x + left, y + low), (x + left, y + low + size), (x + left + 1.6 * size, y + low + size)), STROKES["dimension"])


_SAMPLES: Mapping[str, Callable[[Pen, float, float], None]] = {
    "step_valley": _line("valley"),
    "step_mountain": _line("mountain"),
    "step_moves": _moves,
    "step_was": _was,
    "step_glue": _glue,
    "step_arrow": lambda pen, x, y: curved(pen, _bow(x, y)),
    "step_both": lambda pen, x, y: curved(pen, _bow(x, y), both_ways=True),
    "step_over": lambda pen, x, y: draw_turned_over(pen, (x + SAMPLE / 2, y), SAMPLE - 1.0),
    "step_round": lambda pen, x, y: draw_turned_round(pen, (x + SAMPLE / 2, y)),
    "step_closer": _closer,
}

"""The label of a bag: what is in it, who made it, and a square code; with ticks outside its corners to cut it by. Millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from booklet.drawing import qr
from booklet.drawing.pen import MM_PER_POINT, STROKES, Pen
from booklet.drawing.textlines import set_by, wrapped

PAD, TICK, OFF = 3.5, 3.0, 1.0
"""mm: free on each side of a label; length of a tick; from a tick to its corner."""

CODE = 28.0
"""mm: side of the square code with its quiet zone; a code of very many modules is larger."""

LEAST_HEIGHT = 45.0
LOGO_GAP = 1.5

_LEADING = 1.28


@dataclass(frozen=True, slots=True)
class Words:
    """Words of one size on a label: points, bold or not, and mm free above."""

    text: str
    size: float
    bold: bool = False
    above: float = 0.0


@dataclass(frozen=True, slots=True)
class Label:
    """What stands on a label: beside the code, and under it over the whole width. `code`: modules, or None for no code.

    `logo`: width and height in mm of what stands over the words beside the code, (0, 0) for nothing.
    """

    beside: tuple[Words, ...]
    under: tuple[Words, ...]
    code: qr.Matrix | None
    logo: tuple[float, float] = (0.0, 0.0)

    @property
    def over(self) -> float:
        """The height that the logo takes, with the room under it."""
        return self.logo[1] + LOGO_GAP if self.logo[1] else 0.0


def height(pen: Pen, label: Label, width: float) -> float:
    """How high a label of a width is."""
    beside = label.over + _high(pen, label.beside, width - 2 * PAD - _code_room(label))
    under = _high(pen, label.under, width - 2 * PAD)
    return max(LEAST_HEIGHT, 2 * PAD + max(beside, _code_side(label)) + (2.0 + under if under else 0.0))


def draw(pen: Pen, label: Label, box: tuple[float, float, float, float]) -> None:
    """A label in a box that is as high as `height` says, with its ticks outside."""
    x0, y0, x1, y1 = box
    side = _code_side(label)
    if label.code:
        qr.draw(pen, label.code, (x1 - PAD - side, y1 - PAD - side), side)
    _set(pen, label.beside, x0 + PAD, y1 - PAD - label.over, x1 - x0 - 2 * PAD - _code_room(label))
    wide = x1 - x0 - 2 * PAD
    _set(pen, label.under, x0 + PAD, y0 + PAD + _high(pen, label.under, wide), wide)
    for x, left in ((x0, -1), (x1, 1)):
        for y, up in ((y0, -1), (y1, 1)):
            pen.path([(x + left * OFF, y), (x + left * (OFF + TICK), y)], STROKES["mark"])
            pen.path([(x, y + up * OFF), (x, y + up * (OFF + TICK))], STROKES["mark"])


def logo_box(label: Label, box: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
    """Where the logo stands on a label that is drawn in a box."""
    x, y = box[0] + PAD, box[3] - PAD
    return x, y - label.logo[1], x + label.logo[0], y


def _code_side(label: Label) -> float:
    return max(CODE, qr.least_side(label.code)) if label.code else 0.0


def _code_room(label: Label) -> float:
    """The width that the code takes, with the room beside it."""
    return _code_side(label) + 3.0 if label.code else 0.0


def _high(pen: Pen, words: Sequence[Words], width: float) -> float:
    return sum(one.above + len(lines(pen, one, width)) * _line(one) for one in words)


def _line(words: Words) -> float:
    return words.size * MM_PER_POINT * _LEADING


def _set(pen: Pen, words: Sequence[Words], x: float, top: float, width: float) -> None:
    """Words under each other from a top on."""
    for one in words:
        top -= one.above
        for line in lines(pen, one, width):
            top -= _line(one)
            pen.text((x, top + 0.25 * one.size * MM_PER_POINT), line, one.size, bold=one.bold)


def lines(pen: Pen, words: Words, width: float) -> list[str]:
    """The words in lines that are no wider; a word that is too long by itself is broken."""
    return wrapped(words.text, width, set_by(pen, words.size, words.bold), parted=True)

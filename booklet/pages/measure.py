"""The sheet to measure a thing on without calipers: two rules from a corner of stop lines, and a page that tells how."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

from booklet.drawing import measuring, rules
from booklet.drawing.pen import STROKES, Pen
from booklet.errors import refuse
from booklet.grid import INCH, Units
from booklet.lengths import tell
from booklet.pages.alone import Text, sheet_words
from booklet.pages.markdown import shaped
from booklet.pdf import flow
from booklet.pdf.canvas import PdfFile
from booklet.plane import Affine, Point
from booklet.spec.model import Page

CLEAR = 1.0
"""mm inside the printable area that the rules keep."""

LEAST = 100.0
"""mm that both rules must reach to be of use (chosen by us)."""

WORDS = 4.0
"""mm between the stop line and the words."""

EXAMPLE = {"mm": ("126 mm", "96 mm", "104 mm"), "in": ("5 in", "3 7/8 in", "4 1/8 in")}
"""A mug with its handle, as read on the rules."""

NARROW = 150.0
"""mm: a page whose words are narrower has two pictures side by side, not three (chosen by us)."""

NAME = 7.0
"""mm over a picture that its name takes."""

SIZES = ("length", "width", "height")
CHECKS = {"mm": (150.0, 100.0), "in": (6 * INCH, 4 * INCH)}
"""mm: the lines that a ruler is held to, and that a second print is laid on: the first that both rules hold."""


def made(page: Page, units: Units) -> bytes:
    """The sheet and its page of steps, as a PDF, corrected for the printer. Raises `BookletError` for paper too small for it."""
    said = sheet_words()
    file = PdfFile(said("measure", "title"))
    _sheet(file, page, units)
    how = Text("measure-how", _given(page, units), _drawing(units))
    edge = max(page.margin, how.settings.least_margin)
    rect = (edge, edge, page.paper[0] - edge, page.paper[1] - edge)
    flow.flow(file, how.blocks(rect[2] - rect[0]), page.paper, [rect])
    return file.finish()


def corner(page: Page) -> Point:
    """Where the stop lines meet, mm from the page's lower left corner."""
    (sx, sy), inset = page.scale, page.margin + CLEAR
    return inset + rules.DEEP[0] / sx, inset + rules.DEEP[1] / sy


def room(page: Page) -> tuple[float, float]:
    """How far both rules reach on paper, mm. Raises `BookletError` where that is too little."""
    x, y = corner(page)
    found = (page.paper[0] - page.margin - CLEAR - x) * page.scale[0], (page.paper[1] - page.margin - CLEAR - y) * page.scale[1]
    if min(found) < LEAST:
        raise refuse("--paper", f"the rules would reach {max(min(found), 0.0):.0f} mm only; use A5 paper or larger, or a smaller margin")
    return found


def _sheet(file: PdfFile, page: Page, units: Units) -> None:
    """The rules, the field between them, and the words at its top."""
    words, (x, y), (wide, high) = sheet_words().table("measure"), corner(page), room(page)
    sx, sy = page.scale
    text = Text("measure", _given(page, units), _drawing(units))
    rect = (x + WORDS, y, x + wide / sx - WORDS / 2, y + high / sy)
    blocks = text.blocks(rect[2] - rect[0])
    field = rect[3] - rect[1] - flow.height(blocks, rect[2] - rect[0]) - WORDS
    pen = file.page(page.paper)
    with pen.placed(Affine(1 / sx, 0, 0, 1 / sy, x, y)) as true:
        rules.draw_rules(true, (wide, high), field * sy, words)
        rules.draw_card(true, words)
    if flow.frame(file, rect, blocks) or field < LEAST / 2:
        raise refuse("--paper", "the words do not fit on a page as small as this; use A5 paper or larger, or a smaller margin")


def _given(page: Page, units: Units) -> Mapping[str, Any]:
    """What the texts see."""
    reach = [rules.longest(along) for along in room(page)]
    check = tell(next(mm for mm in CHECKS[units] if mm <= min(min(pair) for pair in reach) + 1e-9), units)
    return {
        "corrected": page.scale != (1.0, 1.0),
        "bars": [f"{bar:g}" for bar in page.printed_bar or ()],
        "longest": [{"mm": f"{mm:g}", "inch": tell(inch, "in")} for mm, inch in reach],
        "check": check,
    }


def _drawing(units: Units) -> Any:
    """Makes the drawings of both texts."""

    def drawing(kind: str, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        if kind == "readings":
            high = float(settings.get("height", 22.0))
            return [flow.Picture(width, high, lambda pen: _readings(pen, width, high, units))]
        if kind == "pictures":
            return _pictures(width)
        raise refuse("the sheet to measure on", f'has no drawing "{kind}"; there are readings and pictures')

    return drawing


def _readings(pen: Pen, width: float, high: float, units: Units) -> None:
    """A box for each size, its name above, and below it the line of the spec that it becomes."""
    words, cell = sheet_words().table("measure"), (width + WORDS) / len(SIZES)
    for n, (name, value) in enumerate(zip(SIZES, EXAMPLE[units], strict=True)):
        x0, x1 = n * cell, (n + 1) * cell - WORDS
        pen.text((x0, high - 3.5), words[name], 10, bold=True)
        pen.path([(x0, 5.5), (x1, 5.5), (x1, high - 5.0), (x0, high - 5.0)], STROKES["rule"], closed=True)
        pen.text((x0, 1.5), shaped(f'{name} = "{value}"'), 8)


def _pictures(width: float) -> list[Any]:
    """The three pictures in rows, as many side by side as can be read, each with its name over it."""
    across = 3 if width >= NARROW else 2
    cell = (width + WORDS) / across
    high = measuring.SIZE[1] * (cell - WORDS) / measuring.SIZE[0] + NAME
    rows = [range(first, min(first + across, 3)) for first in range(0, 3, across)]
    return [flow.Picture(width, high, partial(_row, row, cell, high)) for row in rows]


def _row(numbers: range, cell: float, high: float, pen: Pen) -> None:
    words = sheet_words().table("measure")
    for n, number in enumerate(numbers):
        measuring.draw(pen, number + 1, (n * cell, 0.0, (n + 1) * cell - WORDS, high - NAME), words)
        pen.text((n * cell, high - 5.0), words[f"picture_{number + 1}"], 10, bold=True)

"""The pages of a booklet that folds: filled up to whole leaves by pages for notes, what stands on the back on the last of them."""

from __future__ import annotations

from typing import Any

from booklet.drawing.pen import STROKES, Pen
from booklet.errors import refuse
from booklet.pdf import blocks
from booklet.pdf.typeset import Typesetter

LINES = 9.0
"""mm between the ruled lines of a page for notes, a hand's writing (common practice, no source)."""

LEAST = (100.0, 150.0)
"""mm: a half page with less between its margins holds neither steps nor warnings that can be read (chosen by looking)."""


def blank(pages: int, back: bool) -> int:
    """How many pages for notes come before the back, so that all of them are leaves of four pages.

    >>> blank(10, True), blank(11, True), blank(4, False)
    (1, 0, 0)
    """
    return -(pages + back) % 4


def notes(make: Typesetter, title: str, marked: list[Any]) -> list[Any]:
    """A ruled page under its title; `marked` stands before it."""

    def ruled(pen: Pen, width: float, height: float) -> None:
        for n in range(1, int(height / LINES) + 1):
            pen.path([(0.0, height - n * LINES), (width, height - n * LINES)], STROKES["dimension"])

    return [*marked, make.paragraph(title, "h1"), blocks.Rest(ruled)]


def check_room(rect: tuple[float, float, float, float]) -> None:
    """Raise `Refused` where half of the printer's page is too small for a booklet."""
    wide, high = rect[2] - rect[0], rect[3] - rect[1]
    if wide < LEAST[0] or high < LEAST[1]:
        told = f"half of it leaves {max(wide, 0):.0f} x {max(high, 0):.0f} mm between the margins, too little for a booklet that folds"
        raise refuse("page.paper", f'{told}: write paper = "A4" or "Letter" or larger, and a margin of 10 mm or less')

"""The test print: one page with two long bars, and what to write into the spec when they come out wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from booklet.drawing import bars
from booklet.drawing.pen import Pen
from booklet.errors import refuse
from booklet.grid import Units
from booklet.pages.alone import Text, sheet_words
from booklet.pages.texts import plain
from booklet.pages.words import Words
from booklet.pdf import flow
from booklet.pdf.canvas import PdfFile
from booklet.plane import Point
from booklet.spec.bars import FITTED, LONG, SHORT
from booklet.spec.model import Page

EDGE = 12.0
"""mm from the paper's edge to words at least; two thirds of it where the paper is small."""

CLEAR = 0.5
"""mm inside the printable area that all lines keep."""

BESIDE = 10.0
"""mm from a bar to the words: its own ticks and words stand there."""

APART = 8.0
"""mm from the bar across to the foot of the bar up."""

EXAMPLE = (0.985, 0.992)
"""The printer of the example."""

BOX = 34.0
"""mm: width of the places to write a reading into."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where the bars stand: `foot` of the bar across, and how long both are. `words`: the rectangle that they leave."""

    foot: Point
    lengths: tuple[float, float]
    words: flow.Rect

    @property
    def up(self) -> Point:
        """The foot of the bar up."""
        return self.foot[0], self.foot[1] + APART


def made(page: Page, units: Units) -> bytes:
    """The test print for a page, as a PDF. Raises `BookletError` for paper too small to hold it."""
    place, said = placed(page), sheet_words()
    file = PdfFile(said("testprint", "title"))
    _bars(file.page(page.paper), place, said)
    text = Text("test-print" if place.lengths == LONG else "test-print-small", _given(page, units, place), _readings)
    if flow.frame(file, place.words, text.blocks(place.words[2] - place.words[0])):
        raise _too_small()
    return file.finish()


def placed(page: Page) -> Place:
    """Long bars where the printable area holds them, else those of 100 mm. Raises `BookletError` where these do not fit."""
    (wide, high), clear = page.paper, page.margin + CLEAR
    least = clear + bars.END
    for lengths in (LONG, (SHORT, SHORT)):
        edge = max(EDGE if lengths == LONG else EDGE * 2 / 3, clear)
        foot = ((wide - lengths[0]) / 2 if lengths == LONG else least, max(EDGE, least))
        right, top = foot[0] + lengths[0], foot[1] + APART + lengths[1]
        if foot[0] >= least and right <= wide - clear and top <= high - clear:
            return Place(foot, lengths, (foot[0] + BESIDE, foot[1] + BESIDE, wide - edge, high - edge))
    raise _too_small()


def _too_small() -> Exception:
    return refuse("--paper", "the bars and their words do not fit on a page as small as this; use A5 paper or larger, or a smaller margin")


def _bars(pen: Pen, place: Place, words: Words) -> None:
    for axis, key, foot in ((0, "bar_across", place.foot), (1, "bar_up", place.up)):
        long = place.lengths[axis]
        told = words.filled(words("testprint", key), f"testprint.{key}", length=f"{long:g}")
        bars.bar(pen, foot, axis, long, told)


def _given(page: Page, units: Units, place: Place) -> Mapping[str, Any]:
    """What the text sees."""
    lengths = place.lengths
    return {
        "paper": plain(page.name),
        "units": units,
        "across": f"{lengths[0]:g}",
        "up": f"{lengths[1]:g}",
        "fits": [[f"{bar * scale:.0f}" for bar in lengths] for scale, _ in FITTED],
        "example": [f"{bar * scale:.1f}" for bar, scale in zip(lengths, EXAMPLE, strict=True)],
    }


def _readings(kind: str, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
    """The bank card, and places to write both figures into, beside it or in it. Raises `BookletError` for another drawing."""
    if kind != "readings":
        raise refuse("the test print", f'has no drawing "{kind}"; there is readings')
    high = float(settings.get("height", bars.ID1[1] + 1.0))
    return [flow.Picture(width, high, lambda pen: _draw_readings(pen, width, beside=width >= 2 * bars.ID1[0] - 12.0))]


def _draw_readings(pen: Pen, width: float, beside: bool) -> None:
    words = sheet_words().table("testprint")
    bars.bank_card(pen, (0.5, 0.5), words["bank_card"], 0.5 if beside else 0.88)
    x = (width + bars.ID1[0] - BOX) / 2 + 4.0 if beside else 32.0
    for y, key in ((30.0, "across"), (14.0, "up")):
        bars.fill_in(pen, (x, y), BOX, words[key], words["unit"])

"""The numbered steps as drawings of a text, in words or with signs alone, and what explains their signs.

`drawing("steps")`, with `legend="first"` in place of a row of steps; `drawing("signs")`; `drawing("step-signs")`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from booklet.drawing import scenes, stepsigns
from booklet.drawing.pen import MM_PER_POINT
from booklet.drawing.recording import RecordingPen
from booklet.drawing.signs import Sign
from booklet.drawing.steps import Shot
from booklet.drawing.unlayered import Unlayered
from booklet.errors import refuse
from booklet.pages import filling, strips
from booklet.pages.filling import LEAST_CELL
from booklet.pages.markdown import built
from booklet.pages.pictures import Pictures
from booklet.pages.sentences import Signal
from booklet.pages.settings import Settings
from booklet.pdf import blocks
from booklet.pdf.cells import Cell, cell_rows, warnings_height

LEAST_ROW = 55.0
"""mm: a row of steps is not made lower to save a page, nor one of steps without words at all (chosen by looking)."""

LEAST_BESIDE = 25.0
"""mm: a step with less beside its number and under it holds neither picture nor words (chosen by looking)."""

Grid = tuple[int, int]
"""Columns and rows of steps on a page."""


def steps(pictures: Pictures, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
    """All steps; with `legend=first` the signs of the pictures are explained before the first one, in place of a row of steps."""
    if pictures.facts.wordless:
        return _wordless(pictures, width)
    columns, rows = pictures.settings.steps
    columns = columns if width / columns >= pictures.settings.steps_least else 1
    cells = [_step(pictures, i) for i in range(len(pictures.facts.steps))]
    kind = pictures.settings.type
    head = kind.heading[1] * MM_PER_POINT + kind.paragraph_gap + kind.block_gap
    room, first, made = pictures.frame_height - head - 1.0, 0, []
    _has_room((columns, rows), width, room, pictures.settings)
    if "legend" in settings and rows > 1:
        made += [*legend(pictures, (), {}, width), blocks.Gap(kind.block_gap)]
        left = room - filling.deep(made, width)
        high = _first_rows(pictures, cells, (columns, rows), width, left)
        first = columns * high
        made += _rows_of(pictures, cells[:first], (columns, high), width, left)
    for some, high in pages_of(cells[first:], columns, rows):
        made += _rows_of(pictures, some, (columns, high), width, room)
    return made


def _has_room(grid: Grid, width: float, height: float, settings: Settings) -> None:
    """Raise `Refused` for more steps on a page, or larger numbers, than there is room for, mm."""
    columns, rows = grid
    number = settings.type.step_number * MM_PER_POINT
    wide, high = (width - settings.steps_gutter * (columns - 1)) / columns - number, height / rows - number
    if min(wide, high) < LEAST_BESIDE:
        told = f"{columns} x {rows} steps on a page leave {max(wide, 0):.0f} x {max(high, 0):.0f} mm beside the number of each"
        advice = "write fewer columns or rows, a smaller gutter or number, or a larger frame into layout.toml"
        raise refuse("layout", f"{told}, too little for a picture: {advice}")


def _first_rows(pictures: Pictures, cells: Sequence[Cell], grid: Grid, width: float, room: float) -> int:
    """Rows of steps under the legend: one less than on other pages, unless all of them have room there and save a page."""
    columns, rows = grid
    pages = [math.ceil((len(cells) - columns * first) / (columns * rows)) for first in (rows, rows - 1)]
    free = room - warnings_height(cells[: columns * rows], columns, width, pictures.settings.steps_gutter)
    return rows if pages[0] < pages[1] and free / rows >= LEAST_ROW else rows - 1


def _rows_of(pictures: Pictures, cells: Sequence[Cell], grid: Grid, width: float, room: float) -> list[Any]:
    return list(cell_rows(cells, grid, width, room, pictures.settings.steps_gutter, pictures.settings.type.step_number))


def pages_of(cells: Sequence[Cell], columns: int, rows: int) -> Iterator[tuple[Sequence[Cell], int]]:
    """Cells page by page, and in how many rows.

    One row less under each other where two warnings would leave the pictures too small, and on the last two pages where else the last
    would have one row alone.
    """
    at, evened = 0, False
    while at < len(cells):
        left = len(cells) - at
        warned = sum(cell.warning is not None for cell in cells[at : at + columns * rows])
        evened = evened or (rows > 2 and columns * rows < left <= columns * (rows + 1))
        high = rows - 1 if evened or (columns == 1 < rows and warned > 1) else rows
        yield cells[at : at + columns * high], high
        at += columns * high


def _step(pictures: Pictures, index: int) -> Cell:
    step = pictures.facts.steps[index]
    return in_words(pictures, step.number, index, step.text, step.warning, pictures.told.step(index))


def in_words(pictures: Pictures, number: int, shown: int, text: str, warning: Signal | None, alt: str) -> Cell:
    """A step in words. `shown`: the step of the net whose picture it has, from 0; `alt`: what that shows."""
    picture = scenes.step(pictures.plan, shown)
    boxed = warning and pictures.make.boxed(warning.kind, built(warning.word), built(warning.text), warning.sign)
    words = pictures.make.paragraph(built(text))
    return Cell(str(number), words, lambda pen, box: picture.draw(Unlayered(pen), box, pictures.labels), boxed, alt)


def in_signs(pictures: Pictures, number: int, shown: int, strip: Any, alt: str, said: str = "") -> Cell:
    """A step with signs alone: nothing in its picture is named. `said`: its words for who hears them."""
    picture = scenes.step(pictures.plan, shown)
    bare = replace(picture, named=()) if isinstance(picture, Shot) else picture
    return Cell(str(number), strip, lambda pen, box: bare.draw(Unlayered(pen), box), None, alt, said)


def _wordless(pictures: Pictures, width: float) -> list[Any]:
    """Pictures with signs: no words but figures."""
    gutter, (columns, rows), facts = pictures.settings.steps_gutter, pictures.settings.wordless, pictures.facts
    columns = max(1, min(columns, int((width + gutter) / (LEAST_CELL + gutter))))
    deep = max(3, math.ceil(len(facts.steps) / columns))  # fewer steps than a page holds are drawn larger
    rows = max(1, min(rows, deep, int(pictures.frame_height / LEAST_ROW)))
    cell = (width - gutter * (columns - 1)) / columns
    cells = [_silent(pictures, i, strips.Strip(found, cell, RecordingPen())) for i, found in enumerate(_signs(pictures))]
    return cell_rows(cells, (columns, rows), width, pictures.frame_height - 1.0, gutter, pictures.settings.wordless_number)


def _silent(pictures: Pictures, index: int, strip: Any) -> Cell:
    strip.alt = pictures.told.strip(index)
    return in_signs(pictures, index + 1, index, strip, pictures.told.step(index), pictures.facts.steps[index].text)


def _signs(pictures: Pictures) -> tuple[tuple[Sign, ...], ...]:
    return strips.strips(pictures.plan, pictures.words, pictures.facts.steps)


def signs(pictures: Pictures, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
    """The signs that stand under the pictures, with their words."""
    names, columns = strips.used(_signs(pictures)), pictures.across("signs", settings)
    mark = pictures.words("glue", pictures.plan.spec.glue.kind, "mark")
    said = [pictures.words("signs", name).replace("{mark}", mark) for name in names]
    columns = max(1, min(columns, int(width / LEAST_CELL)))
    high = strips.legend_height(names, columns)
    return [pictures.one(lambda pen, box: strips.draw_legend(pen, names, said, columns, box), width, high)]


def legend(pictures: Pictures, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
    """The signs within the pictures, with their words."""
    keys = stepsigns.keys_of(pictures.plan.net)
    high = stepsigns.step_legend_height(RecordingPen(), width, pictures.labels, keys)
    return [pictures.one(lambda pen, box: stepsigns.draw_step_legend(pen, box, pictures.labels, keys), width, high)]

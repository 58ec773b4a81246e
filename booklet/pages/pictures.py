"""The drawings that a text can ask for, by kind: each becomes blocks in the flow. What is drawn comes from `booklet.drawing`.

Pictures that are not true to size stand in no layer of the file, so that whoever takes its cut lines gets the templates' only.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from importlib import import_module
from pathlib import Path
from typing import Any

from booklet.drawing import layout, marking, ordered, pagemap, scenes, stepsigns
from booklet.drawing.bars import ID1, card_ring, ruled
from booklet.drawing.pen import MM_PER_POINT, STROKES, Pen
from booklet.drawing.recording import RecordingPen
from booklet.drawing.signs import Sign
from booklet.drawing.steps import Shot
from booklet.drawing.unlayered import Unlayered
from booklet.errors import refuse
from booklet.pages import alternatives, files, filling, markdown, strips
from booklet.pages.alternatives import Alternatives
from booklet.pages.filling import HEADING, LEAST_CELL, Box, Draw, Filling
from booklet.pages.gluing import named_map, part_name
from booklet.pages.markdown import built
from booklet.pages.more import More
from booklet.pages.records import Facts, MarkingFacts
from booklet.pages.settings import Settings
from booklet.pages.words import Words, words
from booklet.pdf import blocks
from booklet.pdf.cells import Cell, cell_rows, warnings_height
from booklet.pdf.flow import Picture
from booklet.pdf.typeset import Typesetter
from booklet.plan import Plan
from booklet.plane import Affine
from booklet.spec.model import BAR

ENDS = 3.0
"""mm to each side of a bar of the print check that the ticks at its ends reach."""


Cells = Sequence[Cell]

DRAWERS: Mapping[str, str] = {
    "handout": "booklet.pages.handout:steps",
    "net": "booklet.pages.worksheet:net",
    "questions": "booklet.pages.worksheet:questions",
    "covering": "booklet.pages.finish:sheets",
    "dressed": "booklet.pages.finish:dressed",
    "tag": "booklet.pages.finish:tag",
    "bag-labels": "booklet.pages.kitlabels:labels",
    "logo": "booklet.pages.logo:logo",
    "record": "booklet.pages.kitlabels:record",
    "space": "booklet.pages.kitlabels:space",
}
"""Drawings of some layouts only, by kind: the module and function that make their blocks, "booklet.pages.wrapping:panels".

Each takes these pictures, the arguments and settings of the drawing, and the width in mm.
"""


@dataclass(frozen=True)
class Pictures:
    """Makes the drawings of one plan. `late` keeps room for the contents: width and height in mm to a block.

    `entries`: how many lines the contents have; `frame_height`: of the place for words, mm; `folders`: of the layout.
    """

    plan: Plan
    facts: Facts
    settings: Settings
    make: Typesetter
    labels: Mapping[str, str]
    entries: int
    late: Callable[[float, float], Any]
    frame_height: float
    folders: Sequence[Path] = ()
    words: Words = field(default_factory=words)
    more: More | None = None

    def blocks(self, kind: str, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        """The blocks of a drawing. Raises `BookletError` for a kind that there is not."""
        makers = {
            "cover": self._cover, "bars": self._bars, "contents": self._contents, "sheets": self._sheets,
            "patterns": self._patterns, "maps": self._maps, "cuts": self._cuts, "steps": self._steps,
            "glue": self._glue, "artwork": self._artwork, "marking": self._marking, "signs": self._sign_legend,
            "step-signs": self._step_legend,
        }  # fmt: skip
        if kind in makers:
            return self._told_of(makers[kind](arguments, settings, width), kind, arguments)
        if kind in DRAWERS:
            module, _, name = DRAWERS[kind].partition(":")
            made: list[Any] = getattr(import_module(module), name)(self, arguments, settings, width)
            return self._told_of(made, kind, arguments)
        raise refuse("layout", f'there is no drawing "{kind}"; there are {", ".join((*makers, *DRAWERS))}')

    @cached_property
    def told(self) -> Alternatives:
        """What each picture shows, in words."""
        return Alternatives(self.plan, self.words, self.facts.steps)

    def _told_of(self, made: list[Any], kind: str, arguments: Sequence[str]) -> list[Any]:
        """The blocks of a drawing, every picture among them with its words."""
        for block in made:
            if hasattr(block, "alt") and not block.alt:
                block.alt = " ".join(self.told.of(kind, arguments, alternatives.words_in(block)))
            self._told_of(blocks.within(block), kind, arguments)
        return made

    def _height(self, kind: str, settings: Mapping[str, str]) -> float:
        text = settings.get("height", "")
        try:
            return float(text) if text and text != "rest" else self.settings.heights[kind]
        except (KeyError, ValueError) as error:
            raise refuse("layout", f"the height of the drawing {kind} is missing or no figure of mm: {text or kind}") from error

    def _across(self, kind: str, settings: Mapping[str, str]) -> int:
        text = settings.get("across", "")
        if text and not (text.isdigit() and 0 < int(text) < 13):
            raise refuse("layout", f"the drawing {kind} cannot stand {text!r} side by side; write a whole number from 1 to 12")
        return int(text) if text else self.settings.across[kind]

    def _one(self, draw: Draw, width: float, height: float, most: float = 0.0) -> Any:
        """A drawing of a height, which may grow up to `most` where its page leaves room."""

        def drawn(pen: Pen) -> None:
            draw(Unlayered(pen), (0.0, 0.0, width, made.height * MM_PER_POINT))

        made = Picture(width, height, drawn, most_mm=most)
        return made

    def _rows(self, kind: str, draws: Sequence[Draw], settings: Mapping[str, str], width: float, steep: float = 0.0) -> list[Any]:
        """Drawings of a kind side by side, as many as the settings say, a block for each row.

        `steep`: height over width of the steepest of them; where it is told a row may grow with its page until they fill their width.
        """
        height, gap = self._height(kind, settings), self.settings.gutter
        across = max(1, min(self._across(kind, settings), len(draws), int((width + gap) / (LEAST_CELL + gap))))
        cell = (width - gap * (across - 1)) / across
        rows, told = [], self.told.of(kind)
        for k in range(0, len(draws), across):
            one = self._one(_beside(draws[k : k + across], cell, gap), width, height, _most(height, cell, steep))
            one.alt = " ".join(told[k : k + across])
            rows += [one, blocks.Gap(self.settings.type.block_gap)]
        return rows

    def _cover(self, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        picture = scenes.cover(self.plan)
        if settings.get("height") == "rest":
            return [blocks.Rest(lambda pen, w, h: picture.draw(Unlayered(pen), (0.0, AIR, w, h - AIR)))]
        return [self._one(picture.draw, width, self._height("cover", settings))]

    def _artwork(self, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        """A maker's own SVG, such as a logo, from the layout's folders: no folder in its name, so that it stays in them."""
        from booklet.pdf.signs import sign

        name, wide = (arguments or ("",))[0], settings.get("width", "")
        found = next((f / name for f in self.folders if name == Path(name).name and (f / name).is_file()), None) if name else None
        if found is None:
            raise refuse(
                "layout", f"the artwork {name!r} is not in the layout's folder; put the SVG file there and name it without a folder"
            )
        if not files.inside(found.parent, found):
            raise refuse(
                "layout", f"the artwork {name!r} leads to a file outside the layout's folder; put a copy of that file into the folder"
            )
        return [sign(found.read_bytes(), min(float(wide), width) if wide.replace(".", "", 1).isdigit() else width, name)]

    def _contents(self, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        rows = math.ceil(self.entries / 2)
        return [self.late(width, rows * LINE)]

    def _sheets(self, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        draws = [self._sheet(number) for number in range(1, self.plan.sheets + 1)]
        return self._rows("sheets", draws, settings, width, self._sheet_steep)

    def _patterns(self, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        patterns = self.plan.many.patterns if self.plan.many else ()
        return self._rows("patterns", [self._pattern(number) for number in range(1, len(patterns) + 1)], settings, width, self._sheet_steep)

    @property
    def _sheet_steep(self) -> float:
        wide, high = self.plan.card.sheet
        return high / wide

    def _pattern(self, number: int) -> Draw:
        return lambda pen, box: layout.draw_pattern(pen, self.plan, number, box, self.labels)

    def _sheet(self, number: int) -> Draw:
        return lambda pen, box: layout.draw_sheet(pen, self.plan, number, box, self.labels)

    def _maps(self, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        return self._rows("maps", [self._map(piece.name) for _, piece, _ in self.plan.templates], settings, width)

    def _map(self, name: str) -> Draw:
        return lambda pen, box: pagemap.draw(pen, self.plan, name, box, self.labels)

    def _glue(self, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        found, size = scenes.glue_maps(self.plan), self.settings.type.small
        names = [part_name(self.plan, self.words, one.part) if len(found) > 1 else "" for one in found]
        draws = [named_map(one, name, size, self.labels) for one, name in zip(found, names, strict=True)]
        return self._rows("glue", draws, settings, width, max((one.steep for one in found), default=0.0))

    def _cuts(self, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        name = arguments[0] if arguments else ""
        found = next(((part, piece) for part, piece, _ in self.plan.templates if piece.name == name), None)
        if found is None:
            raise refuse("layout", f'the drawing "cuts" asks for the template {name!r}, which there is not')
        cuts = [cut for cut in self.plan.cuts if cut.part == found[0].name and cut.piece == name]
        steep = found[1].size[1] / found[1].size[0]
        height = min(self._height("cuts", settings), width * steep + MARGINS)
        return [self._one(lambda pen, box: ordered.draw_order(pen, *found, cuts, box), width, height, _most(height, width, steep))]

    def _marking(self, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        """A template to mark out: its drawing over its points and lines, as large as a page or, with `share=2`, half of one lets it be.

        A second name is that of the template that comes after it, for which a large one leaves room where it can.
        """
        sheet, *then = [self._told(name) for name in arguments or ("",)]
        after = self._lists(sheet, width)
        draw, most = self._marked(sheet.template), self._tall(sheet.template, width)
        if "share" in settings:
            share = self.frame_height / self._parts_of_a_page(settings["share"])
            return filling.kept([self._one(draw, width, filling.shared(most, len(sheet.points), share, after, width)), *after])
        room = sum(HEADING + filling.least(self._tall(one.template, width)) + filling.deep(self._lists(one, width), width) for one in then)
        return [Filling(width, most, self.frame_height - HEADING, after, lambda pen, box: draw(Unlayered(pen), box), room), *after]

    def _told(self, name: str) -> MarkingFacts:
        found = next((one for one in self.facts.marking if one.template == name), None)
        if found is None:
            raise refuse("layout", f'the drawing "marking" asks for the template {name!r}, which there is not')
        return found

    def _parts_of_a_page(self, text: str) -> int:
        if text not in ("1", "2", "3", "4"):
            raise refuse("layout", f"the drawing marking cannot have a share of {text!r}; write 1, 2, 3 or 4 for that part of a page")
        return int(text)

    def _lists(self, sheet: MarkingFacts, width: float) -> list[Any]:
        """What stands under the drawing of a template: the table of its points, and its lines."""
        setting = markdown.Setting(self.make, self.blocks, {}, width, 0, width)
        return [filling.grouped(self.make, sheet.heads, sheet.points, width), *markdown.blocks_of("\n\n".join(sheet.lines), setting)]

    def _tall(self, name: str, width: float) -> float:
        return marking.height_for(next(piece for _, piece, _ in self.plan.templates if piece.name == name), width)

    def _marked(self, name: str) -> Draw:
        sheet = next(one for one in self.plan.marking if one.piece == name)
        part, piece = next((part, piece) for part, piece, _ in self.plan.templates if piece.name == name)
        return lambda pen, box: marking.draw_marking(pen, sheet, part, piece, box)

    def _bars(self, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        scale, height = self.plan.spec.page.scale, self._height("bars", settings)
        if width < (BAR + 2) / scale[0] or self.frame_height < BAR / scale[1] + 40:
            raise refuse("page.paper", "the bars of the print check do not fit on a page as small as this; use A5 paper or larger")
        return [Picture(width, height, lambda pen: draw_bars(Unlayered(pen), scale, width, self.labels))]

    def _steps(self, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        """All steps; with `legend=first` the signs of the pictures are explained before the first one, in place of a row of steps."""
        if self.facts.wordless:
            return self._wordless(width)
        columns, rows = self.settings.steps
        columns = columns if width / columns >= self.settings.steps_least else 1
        cells = [self._step(i) for i in range(len(self.facts.steps))]
        head = self.settings.type.heading[1] * 0.3528 + self.settings.type.paragraph_gap + self.settings.type.block_gap
        room, first, made = self.frame_height - head - 1.0, 0, []
        if "legend" in settings and rows > 1:
            made += [*self._step_legend((), {}, width), blocks.Gap(self.settings.type.block_gap)]
            left = room - filling.deep(made, width)
            high = self._first_rows(cells, (columns, rows), width, left)
            first = columns * high
            made += self._rows_of(cells[:first], (columns, high), width, left)
        for some, high in pages_of(cells[first:], columns, rows):
            made += self._rows_of(some, (columns, high), width, room)
        return made

    def _first_rows(self, cells: Cells, grid: tuple[int, int], width: float, room: float) -> int:
        """Rows of steps under the legend: one less than on other pages, unless all of them have room there and save a page."""
        columns, rows = grid
        pages = [math.ceil((len(cells) - columns * first) / (columns * rows)) for first in (rows, rows - 1)]
        free = room - warnings_height(cells[: columns * rows], columns, width, self.settings.steps_gutter)
        return rows if pages[0] < pages[1] and free / rows >= LEAST_ROW else rows - 1

    def _rows_of(self, cells: Sequence[Any], grid: tuple[int, int], width: float, room: float) -> list[Any]:
        return list(cell_rows(cells, grid, width, room, self.settings.steps_gutter, self.settings.type.step_number))

    def _step(self, index: int) -> Any:
        step, picture = self.facts.steps[index], scenes.step(self.plan, index)
        warning = step.warning and self.make.boxed(step.warning.kind, built(step.warning.word), built(step.warning.text), step.warning.sign)
        words = self.make.paragraph(built(step.text))
        shown = self.told.step(index)
        return Cell(str(step.number), words, lambda pen, box: picture.draw(Unlayered(pen), box, self.labels), warning, shown)

    def _wordless(self, width: float) -> list[Any]:
        """Pictures with signs: no words but figures."""
        gutter, (columns, rows) = self.settings.steps_gutter, self.settings.wordless
        columns = max(1, min(columns, int((width + gutter) / (LEAST_CELL + gutter))))
        deep = max(3, math.ceil(len(self.facts.steps) / columns))  # fewer steps than a page holds are drawn larger
        rows = max(1, min(rows, deep, int(self.frame_height / LEAST_ROW)))
        cell = (width - gutter * (columns - 1)) / columns
        cells = [self._silent(i, strips.Strip(signs, cell, RecordingPen())) for i, signs in enumerate(self._signs)]
        return cell_rows(cells, (columns, rows), width, self.frame_height - 1.0, gutter, self.settings.wordless_number)

    def _silent(self, index: int, strip: Any) -> Any:
        picture = scenes.step(self.plan, index)
        bare = replace(picture, named=()) if isinstance(picture, Shot) else picture
        strip.alt = self.told.strip(index)
        shown, said = self.told.step(index), self.facts.steps[index].text
        return Cell(str(index + 1), strip, lambda pen, box: bare.draw(Unlayered(pen), box), None, shown, said)

    @cached_property
    def _signs(self) -> tuple[tuple[Sign, ...], ...]:
        return strips.strips(self.plan, self.words, self.facts.steps)

    def _sign_legend(self, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        """The signs that stand under the pictures, with their words."""
        names, columns = strips.used(self._signs), self._across("signs", settings)
        mark = self.words("glue", self.plan.spec.glue.kind, "mark")
        said = [self.words("signs", name).replace("{mark}", mark) for name in names]
        columns = max(1, min(columns, int(width / LEAST_CELL)))
        high = strips.legend_height(names, columns)
        return [self._one(lambda pen, box: strips.draw_legend(pen, names, said, columns, box), width, high)]

    def _step_legend(self, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        """The signs within the pictures, with their words."""
        keys = stepsigns.keys_of(self.plan.net)
        high = stepsigns.step_legend_height(RecordingPen(), width, self.labels, keys)
        return [self._one(lambda pen, box: stepsigns.draw_step_legend(pen, box, self.labels, keys), width, high)]


MOST_GROWN, MARGINS = 1.6, 12.0
"""So many times as high a drawing becomes at most where its page has room, and the mm that titles and figures round it take (chosen by
looking)."""


def _most(height: float, width: float, steep: float) -> float:
    """How high a drawing may grow: until it fills its width."""
    return min(MOST_GROWN * height, width * steep + MARGINS) if steep else 0.0


LEAST_ROW = 55.0
"""mm: a row of steps is not made lower to save a page, nor one of steps without words at all (chosen by looking)."""


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


AIR = 5.0
"""mm over and under the picture on the cover."""

LINE = 14 * 25.4 / 72
"""Height of a line of the contents in mm: 14 pt."""


def _beside(draws: Sequence[Draw], cell: float, gap: float) -> Draw:
    def draw(pen: Pen, box: Box) -> None:
        for k, one in enumerate(draws):
            x = box[0] + k * (cell + gap)
            one(pen, (x, box[1], x + cell, box[3]))

    return draw


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

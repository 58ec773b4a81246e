"""The drawings that a text can ask for, by kind: each becomes blocks in the flow. What is drawn comes from `booklet.drawing`.

Pictures that are not true to size stand in no layer of the file, so that whoever takes its cut lines gets the templates' only.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from importlib import import_module
from pathlib import Path
from typing import Any

from booklet.drawing import layout, ordered, pagemap, scenes
from booklet.drawing.bars import draw_bars
from booklet.drawing.pen import MM_PER_POINT, Pen
from booklet.drawing.unlayered import Unlayered
from booklet.errors import refuse
from booklet.pages import alternatives, files
from booklet.pages.alternatives import Alternatives
from booklet.pages.filling import LEAST_CELL, Box, Draw
from booklet.pages.gluing import named_map, part_name
from booklet.pages.more import More
from booklet.pages.records import Facts
from booklet.pages.settings import Settings
from booklet.pages.words import Words, words
from booklet.pdf import blocks
from booklet.pdf.flow import Picture
from booklet.pdf.typeset import Typesetter
from booklet.plan import Plan
from booklet.spec.model import BAR

DRAWERS: Mapping[str, str] = {
    "steps": "booklet.pages.steps:steps",
    "signs": "booklet.pages.steps:signs",
    "step-signs": "booklet.pages.steps:legend",
    "marking": "booklet.pages.marking:marking",
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
"""Drawings with a file of their own, by kind: the module and function that make their blocks.

Each takes these pictures, the arguments and settings of the drawing, and the width in mm.
"""


Highness = Callable[[float], tuple[float, float]]
"""How high drawings of a width are, and may become where their page has room; mm."""


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
            "patterns": self._patterns, "maps": self._maps, "cuts": self._cuts, "glue": self._glue, "artwork": self._artwork,
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

    def height(self, kind: str, settings: Mapping[str, str]) -> float:
        """The height in mm that a drawing is asked for with, or that of the layout. Raises `BookletError` for none."""
        text = settings.get("height", "")
        try:
            return float(text) if text and text != "rest" else self.settings.heights[kind]
        except (KeyError, ValueError) as error:
            raise refuse("layout", f"the height of the drawing {kind} is missing or no figure of mm: {text or kind}") from error

    def across(self, kind: str, settings: Mapping[str, str]) -> int:
        """How many drawings of a kind stand side by side. Raises `BookletError` for what is no such number."""
        text = settings.get("across", "")
        if text and not (text.isdigit() and 0 < int(text) < 13):
            raise refuse("layout", f"the drawing {kind} cannot stand {text!r} side by side; write a whole number from 1 to 12")
        return int(text) if text else self.settings.across[kind]

    def one(self, draw: Draw, width: float, height: float, most: float = 0.0) -> Any:
        """A drawing of a height, which may grow up to `most` where its page leaves room."""

        def drawn(pen: Pen) -> None:
            draw(Unlayered(pen), (0.0, 0.0, width, made.height * MM_PER_POINT))

        made = Picture(width, height, drawn, most_mm=most)
        return made

    def rows(self, kind: str, draws: Sequence[Draw], settings: Mapping[str, str], width: float, steep: float = 0.0) -> list[Any]:
        """Drawings of a kind side by side, as many as the settings say, a block for each row.

        `steep`: height over width of the steepest of them; where it is told a row may grow with its page until they fill their width.
        """
        height = self.height(kind, settings)
        return self.beside(draws, self.told.of(kind), self.across(kind, settings), width, lambda cell: (height, _most(height, cell, steep)))

    def beside(self, draws: Sequence[Draw], said: Sequence[str], across: int, width: float, high: Highness) -> list[Any]:
        """Drawings side by side, a block for each row, at most `across` in one; `said`: what each shows, in words."""
        gap = self.settings.gutter
        across = max(1, min(across, len(draws), int((width + gap) / (LEAST_CELL + gap))))
        cell, made = (width - gap * (across - 1)) / across, list[Any]()
        for k in range(0, len(draws), across):
            one = self.one(_beside(draws[k : k + across], cell, gap), width, *high(cell))
            one.alt = " ".join(said[k : k + across])
            made += [one, blocks.Gap(self.settings.type.block_gap)]
        return made

    def _cover(self, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        picture = scenes.cover(self.plan)
        if settings.get("height") == "rest":
            return [blocks.Rest(lambda pen, w, h: picture.draw(Unlayered(pen), (0.0, AIR, w, h - AIR)))]
        return [self.one(picture.draw, width, self.height("cover", settings))]

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
        return self.rows("sheets", draws, settings, width, self._sheet_steep)

    def _patterns(self, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        patterns = self.plan.many.patterns if self.plan.many else ()
        return self.rows("patterns", [self._pattern(number) for number in range(1, len(patterns) + 1)], settings, width, self._sheet_steep)

    @property
    def _sheet_steep(self) -> float:
        wide, high = self.plan.card.sheet
        return high / wide

    def _pattern(self, number: int) -> Draw:
        return lambda pen, box: layout.draw_pattern(pen, self.plan, number, box, self.labels)

    def _sheet(self, number: int) -> Draw:
        return lambda pen, box: layout.draw_sheet(pen, self.plan, number, box, self.labels)

    def _maps(self, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        return self.rows("maps", [self._map(piece.name) for _, piece, _ in self.plan.templates], settings, width)

    def _map(self, name: str) -> Draw:
        return lambda pen, box: pagemap.draw(pen, self.plan, name, box, self.labels)

    def _glue(self, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        found, size = scenes.glue_maps(self.plan), self.settings.type.small
        names = [part_name(self.plan, self.words, one.part) if len(found) > 1 else "" for one in found]
        draws = [named_map(one, name, size, self.labels) for one, name in zip(found, names, strict=True)]
        return self.rows("glue", draws, settings, width, max((one.steep for one in found), default=0.0))

    def _cuts(self, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        name = arguments[0] if arguments else ""
        found = next(((part, piece) for part, piece, _ in self.plan.templates if piece.name == name), None)
        if found is None:
            raise refuse("layout", f'the drawing "cuts" asks for the template {name!r}, which there is not')
        cuts = [cut for cut in self.plan.cuts if cut.part == found[0].name and cut.piece == name]
        wide, high = found[1].size
        height = min(self.height("cuts", settings), width * high / wide + MARGINS, high + MARGINS)  # no larger than the piece is
        most = _most(height, min(width, wide), high / wide)
        return [self.one(lambda pen, box: ordered.draw_order(pen, *found, cuts, box), width, height, most)]

    def _bars(self, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        scale, height = self.plan.spec.page.scale, self.height("bars", settings)
        if width < (BAR + 2) / scale[0] or self.frame_height < BAR / scale[1] + 40:
            raise refuse("page.paper", "the bars of the print check do not fit on a page as small as this; use A5 paper or larger")
        return [Picture(width, height, lambda pen: draw_bars(Unlayered(pen), scale, width, self.labels))]


MOST_GROWN, MARGINS = 1.6, 12.0
"""So many times as high a drawing becomes at most where its page has room, and the mm that titles and figures round it take (chosen by
looking)."""


def _most(height: float, width: float, steep: float) -> float:
    """How high a drawing may grow: until it fills its width."""
    return min(MOST_GROWN * height, width * steep + MARGINS) if steep else 0.0


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

"""What the texts ask for of a box's dress: covering panels on decorative paper, a belly band, a ribbon, a tag; and its drawings.

What a template sees: `finish.rows` (`CoverRow`), `finish.margin`, `finish.paper`, `finish.paper_size`, `finish.sheets` and
`finish.sheets_all`; `finish.small`, `finish.joined`, `finish.unlaid`: words on panels that are left out, put together, or too large;
`finish.skirted`: "under" or "below" where a lid or a sleeve goes over the walls, else ""; `finish.sleeved`: whether that is a sleeve;
`finish.wrapped`: whether a wrap covers the box by itself; `finish.shaped`: whether a panel is no rectangle; `finish.asked`: whether the
spec has a covering; `finish.band` (`BandFacts` or None), `finish.ribbon` and `finish.tag`: told, "" for none.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from booklet import wrapping
from booklet.covering import EDGE, Coverings, Row, piece_size
from booklet.drawing import finish as drawing
from booklet.drawing.layout import Laid, draw_laid
from booklet.drawing.pen import MM_PER_POINT, Pen
from booklet.grid import INCH, Units
from booklet.net import Part
from booklet.pages.figures import Figures, figures_of
from booklet.pages.filling import Box, Draw
from booklet.pages.pictures import Pictures
from booklet.pages.texts import plain
from booklet.pages.words import Words
from booklet.pdf import blocks
from booklet.plan import Plan
from booklet.wrapping import Band


@dataclass(frozen=True, slots=True)
class CoverRow:
    """A row of the cut list of covering panels; sizes without their unit, `shape` in a word."""

    name: str
    part: str
    panels: str
    count: int
    width: str
    height: str
    shape: str


@dataclass(frozen=True, slots=True)
class BandFacts:
    """A belly band: its sizes with their units; `strips`: of how many it is put together, each as long as `strip`."""

    length: str
    width: str
    strips: int
    strip: str
    upright: bool


class Finish:
    """The dress of a plan's box. Raises `BookletError` where a language has no words for something."""

    def __init__(self, plan: Plan, words: Words):
        self._plan, self._words, self._tell = plan, words, figures_of(plan, words)

    @property
    def _made(self) -> Coverings:
        return self._plan.covering

    @property
    def rows(self) -> tuple[CoverRow, ...]:
        """Equal panels, a row each."""
        return tuple(self._row(row) for row in self._made.rows)

    def _row(self, row: Row) -> CoverRow:
        shape = self._words.said("finish.rectangle" if row.rectangle else "finish.outline")
        return CoverRow(
            row.name,
            self._words.listed(dict.fromkeys(self._words("parts", part.role) for part, _ in row.faces)),
            self._named(row.faces),
            row.count,
            self._tell.figure(row.width),
            self._tell.figure(row.height),
            shape,
        )

    def _named(self, faces: Sequence[tuple[Part, str]]) -> str:
        return self._words.panels((name, part.panel[name].role) for part, name in faces)

    @property
    def asked(self) -> bool:
        """Whether the spec asks for a covering."""
        return self._plan.spec.covering is not None

    @property
    def margin(self) -> str:
        """How much smaller than its face a panel is on each side."""
        return self._tell.length(self._made.asked.margin)

    @property
    def paper(self) -> str:
        """The paper by its name, or its size."""
        return plain(self._tell.sheet(self._made.asked.name, *self._made.asked.sheet))

    @property
    def paper_size(self) -> str:
        """The size of the paper; in the other units where it is named by its size in those of the booklet."""
        told = self._tell.size(*self._made.asked.sheet)
        other: Units = "mm" if self._tell.units == "in" else "in"
        return told if told != self.paper else Figures(other, self._tell.decimal).size(*self._made.asked.sheet)

    @property
    def sheets(self) -> int:
        """Sheets of decorative paper for one box."""
        return self._made.sheets

    @property
    def sheets_all(self) -> int:
        """Sheets of decorative paper for all boxes."""
        return self._made.sheets_all

    @property
    def small(self) -> str:
        """Faces that are too small to be covered, listed; empty for none."""
        return self._named(self._made.small)

    @property
    def joined(self) -> tuple[str, ...]:
        """A sentence on each row of panels that are larger than the paper."""
        grid = self._made.grid
        return tuple(
            self._words.said(
                "finish.joined", name=row.name, n=row.join[0] * row.join[1], size=self._tell.size(*piece_size(row, grid)), paper=self.paper
            )
            for row in self._made.joined
        )

    @property
    def unlaid(self) -> tuple[str, ...]:
        """A sentence on each row of panels that go on no sheet."""
        return tuple(self._words.said("finish.unlaid", name=row.name, paper=self.paper) for row in self._made.unlaid)

    @property
    def skirted(self) -> str:
        """Whether the covering goes under a lid's skirt or stops below it; empty where nothing goes over the walls."""
        parts = self._plan.net.parts
        if not any(part.role in ("lid", "sleeve") or any(panel.role == "skirt" for panel in part.panels) for part in parts):
            return ""
        return "under" if self._made.asked.under_lid else "below"

    @property
    def sleeved(self) -> bool:
        """Whether it is a sleeve that goes over the walls."""
        return any(part.role == "sleeve" for part in self._plan.net.parts)

    @property
    def wrapped(self) -> bool:
        """Whether a wrap of paper covers the box."""
        return any(part.role == "wrap" for part in self._plan.net.parts)

    @property
    def shaped(self) -> bool:
        """Whether a panel is no rectangle."""
        return any(not row.rectangle for row in self._made.rows)

    @cached_property
    def _band(self) -> Band | None:
        return wrapping.band(self._plan.solid, self._made.grid, self._made.asked.sheet, EDGE)

    @property
    def band(self) -> BandFacts | None:
        """The belly band; None where the box is open, flat, or would shed it."""
        found, tell = self._band, self._tell.length
        if found is None:
            return None
        return BandFacts(tell(found.length), tell(found.width), found.strips, tell(found.strip), found.upright)

    @property
    def lap(self) -> str:
        """How far a band laps over itself."""
        return self._tell.length(self._made.grid.nearest(wrapping.LAP))

    @property
    def ribbon(self) -> str:
        """How much ribbon a cross tie with a bow takes; empty where none goes round the box."""
        mm = wrapping.ribbon(self._plan.solid, self._plan.spec.units)
        return (f"{mm / 10:.0f} cm" if self._plan.spec.units == "mm" else f"{mm / INCH:.0f} in") if mm else ""

    @property
    def bow(self) -> str:
        """How much of the ribbon the bow takes."""
        return f"{wrapping.BOW / 10:.0f} cm" if self._plan.spec.units == "mm" else f"{wrapping.BOW / INCH:.0f} in"

    @property
    def tag(self) -> str:
        """The size of the tag."""
        return self._tell.size(*drawing.tag_size(self._plan))


# -- drawings ---------------------------------------------------------------------------------------------------------


def sheets(pictures: Pictures, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
    """The sheets of decorative paper with their panels, as many side by side as `across` says, `height` mm high."""
    made = pictures.plan.covering
    net, (wide, high) = made.net, made.asked.sheet
    laid = Laid(pictures.plan.spec.units, made.card, [(part, piece) for part in net.parts for piece in part.pieces], made.placed)
    draws = [_sheet(laid, number, pictures) for number in range(1, made.sheets + 1)]
    said = [pictures.words.said("finish.alt_sheet", number=n, count=made.sheets) for n in range(1, made.sheets + 1)]
    return _in_rows(pictures, draws, said, settings, width, high / wide)


def _sheet(laid: Laid, number: int, pictures: Pictures) -> Draw:
    return lambda pen, box: draw_laid(pen, laid, number, box, pictures.labels)


def dressed(pictures: Pictures, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
    """The finished box in its band and tied with its ribbon, side by side; nothing where it has neither."""
    plan, words, size = pictures.plan, pictures.words, pictures.settings.type.small[0]
    own = Finish(plan, words)
    found: list[tuple[Draw, str, str]] = []
    if band := own._band:
        found.append(
            (lambda pen, box: drawing.draw_band(pen, plan, band, box), words.said("finish.band_name"), words.said("finish.alt_band"))
        )
    if own.ribbon:
        found.append(
            (lambda pen, box: drawing.draw_ribbon(pen, plan, box), words.said("finish.ribbon_name"), words.said("finish.alt_ribbon"))
        )
    draws = [_captioned(draw, name, size) for draw, name, _ in found]
    return _in_rows(pictures, draws, [said for *_, said in found], settings, width, 0.0)


def _captioned(draw: Draw, name: str, size: float) -> Draw:
    """A drawing with a line of words under it."""

    def drawn(pen: Pen, box: Box) -> None:
        x0, y0, x1, y1 = box
        pen.text(((x0 + x1) / 2, y0 + 1.0), name, size, "middle")
        draw(pen, (x0, y0 + 2 * size * MM_PER_POINT, x1, y1))

    return drawn


def tag(pictures: Pictures, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
    """The tag at true size, in the middle of its place."""
    plan = pictures.plan
    (long, high), (sx, sy) = drawing.tag_size(plan), plan.spec.page.scale
    left = max(0.0, (width - long / sx) / 2)
    drawn = pictures.one(
        lambda pen, box: drawing.draw_tag(pen, plan, plan.spec.title, (left, 1.0, width, high + 1.0)), width, high / sy + 2.0
    )
    drawn.alt = pictures.words.said("finish.alt_tag", title=plan.spec.title)
    return [drawn, blocks.Gap(pictures.settings.type.block_gap)]


def _in_rows(
    pictures: Pictures, draws: Sequence[Draw], said: Sequence[str], settings: Mapping[str, str], width: float, steep: float
) -> list[Any]:
    """Drawings side by side, a block for each row, with what each shows in words. `steep`: height over width that they fill at most."""
    high, across = pictures.height("finish", {"height": "60", **settings}), pictures.across("finish", {"across": "3", **settings})

    def heights(cell: float) -> tuple[float, float]:
        full = cell * steep + _ROUND if steep else math.inf
        return min(high, full), min(_GROWN * high, full)

    return pictures.beside(draws, said, across, width, heights)


_GROWN = 1.3
"""So many times as high they become at most where their page has room (chosen by looking)."""

_ROUND = 16.0
"""mm that the measures and the title round a sheet take."""

"""The totals of a range: a sheet to print and a table for a spreadsheet, with the same figures, and the rows that were refused."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from booklet.data import layouts_folder
from booklet.grid import INCH, Units
from booklet.pages import alone
from booklet.pages.figures import Figures
from booklet.pages.texts import plain
from booklet.pages.words import HOME, Words, merged
from booklet.pdf import flow
from booklet.pdf.canvas import PdfFile
from booklet.pdf.pen import PdfPen
from booklet.spec.model import Page

if TYPE_CHECKING:
    from booklet.ranges.work import Outcome

FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""What a spreadsheet takes for the beginning of a formula (OWASP, CSV Injection; from memory)."""


def words_of(language: str) -> Words:
    """The words of these sheets in a language, in English where there are none in that."""
    where = alone.folder(), layouts_folder() / HOME
    name = f"words.{language}.toml"
    if not (where[0] / name).is_file() or not (where[1] / name).is_file():
        name = "words.en.toml"
    return Words(MappingProxyType(merged(name, where)), name)


@dataclass(frozen=True)
class Totals:
    """All rows in the order of the table, and how they are told. `spec`, `table`: names of the files that they come from."""

    outcomes: Sequence[Outcome]
    spec: str
    table: str
    units: Units
    language: str = "en"

    @cached_property
    def words(self) -> Words:
        """The words on the sheet."""
        return words_of(self.language)

    @cached_property
    def tell(self) -> Figures:
        """Tells figures in the units of the range."""
        return Figures(self.units, self.words.decimal)

    @cached_property
    def made(self) -> list[Outcome]:
        """The rows that have a booklet."""
        return [one for one in self.outcomes if one.figures]

    @cached_property
    def refused(self) -> list[Outcome]:
        """The rows that have none."""
        return [one for one in self.outcomes if not one.figures]

    @cached_property
    def currency(self) -> str:
        """The one currency in which costs are told; "" where there is none, or several that cannot be added."""
        found = {one.figures.currency for one in self.made if one.figures and one.figures.cost is not None}
        return found.pop() if len(found) == 1 else ""

    # the sheet ------------------------------------------------------------------------------------------------------

    def sheet(self, page: Page) -> bytes:
        """The sheet as a PDF. Raises `BookletError` for paper that is too small for it."""
        title = self.words.said("range.title")
        file = PdfFile(title, subject=self.table, language=self.words.file.split(".")[1], tagged=True)
        text = alone.Text("range", self._given)
        settings = text.settings
        rect = settings.rect(page.paper, page.margin)
        flow.flow(file, text.blocks(rect[2] - rect[0]), page.paper, [rect])
        size = settings.type.small[0]

        def foot(pen: PdfPen, index: int, pages: int) -> None:
            if index:
                pen.text((rect[0], rect[3] + 4.5), title, size)
            pen.text((rect[2], rect[1] - 6.5), self.words.said("range.page_of", page=index + 1, pages=pages), size, "end")

        file.on_every_page(foot)
        return file.finish()

    @property
    def _given(self) -> Mapping[str, Any]:
        """What the text sees."""
        return {
            "say": self.words.said,
            "spec": plain(self.spec),
            "table": plain(self.table),
            "made": len(self.made),
            "all": len(self.outcomes),
            "priced": bool(self.currency),
            "heads": self._heads(),
            "sides": [":--", *["--:"] * (len(self._heads()) - 1)],
            "rows": [[plain(cell) for cell in row] for row in self._rows()],
            "cards": self._cards(),
            "refused": [
                self.words.said("range.refused", row=one.row.number, name=plain(one.row.name), reason=plain(one.reason))
                for one in self.refused
            ],
        }

    def _heads(self) -> list[str]:
        keys = ["name", "size", "boxes", "sheets", "pages", "glue", "time", *(["cost"] if self.currency else [])]
        return [self.words.said(f"range.{key}") for key in keys]

    def _rows(self) -> list[list[str]]:
        """A row for each booklet, and the sum."""
        return [self._row(one) for one in self.made] + ([self._sum()] if self.made else [])

    def _row(self, one: Outcome) -> list[str]:
        f = one.figures
        assert f is not None
        glue = self._glue(f.glue_mm2, f.tape_mm)
        cells = [one.row.name, self.tell.size(*f.size), f"{f.boxes}", f"{f.sheets}", f"{f.pages}", glue, self.tell.time(f.minutes)]
        return [*cells, *([self._money(f.cost)] if self.currency else [])]

    def _glue(self, glue: float, tape: float) -> str:
        told = [self.tell.area(glue)] if glue else []
        told += [self.words.said("range.taped", length=self.tell.long(tape))] if tape else []
        return ", ".join(told) or "0"

    def _money(self, cost: Decimal | None) -> str:
        return "" if cost is None else f"{self.tell.marked(f'{cost:.2f}')} {self.currency}"

    def _sum(self) -> list[str]:
        total = self.total
        glue = self._glue(total["glue_mm2"], total["tape_mm"])
        cells = [self.words.said("range.sum"), "", f"{total['boxes']}", f"{total['sheets']}", f"{total['pages']}", glue]
        return [*cells, self.tell.time(total["minutes"]), *([self._money(total["cost"])] if self.currency else [])]

    @cached_property
    def total(self) -> dict[str, Any]:
        """The sums of all rows that were made."""
        found = [one.figures for one in self.made if one.figures]
        keys = ("boxes", "sheets", "pages", "glue_mm2", "tape_mm", "minutes")
        sums: dict[str, Any] = {key: sum(getattr(one, key) for one in found) for key in keys}
        return {**sums, "cost": sum((one.cost for one in found if one.cost is not None), Decimal(0))}

    def _cards(self) -> list[str]:
        """How many sheets of each kind of card, in the order in which they come."""
        count: dict[tuple[str, float], int] = {}
        for one in self.made:
            if one.figures:
                key = one.figures.card
                count[key] = count.get(key, 0) + one.figures.sheets
        return [
            self.words.said("range.card_line", n=number, sheet=plain(sheet), caliper=self.tell.caliper(caliper))
            for (sheet, caliper), number in count.items()
        ]

    # the table ------------------------------------------------------------------------------------------------------

    def table_text(self, separator: str, marked: bool) -> bytes:
        """The same figures as CSV in UTF-8, figures without units; `marked`: with a byte order mark, as the table that was read."""
        out = io.StringIO()
        write = csv.writer(out, delimiter=separator, lineterminator="\r\n")
        unit = self.units
        area, long = ("in\u00b2", "ft") if unit == "in" else ("cm\u00b2", "m")
        keys = ["row", "name", "box", "length", "width", "height", "boxes", "sheets", "card", "pages", "glue_unit", "tape_unit", "minutes"]
        units = {"glue_unit": area, "tape_unit": long}
        heads = [self.words.said(f"range.{key}", unit=units.get(key, unit)) for key in keys]
        cost = self.words.said("range.cost_unit", currency=self.currency) if self.currency else ""
        write.writerow(map(harmless, [*heads, *([cost] if cost else []), self.words.said("range.reason")]))
        for one in self.outcomes:
            write.writerow([*self._figures(one, separator), *([one.reason and harmless(one.reason)])])
        write.writerow([*self._sums(separator), ""])
        return ("\ufeff" if marked else "").encode() + out.getvalue().encode()

    def _figures(self, one: Outcome, separator: str) -> list[str]:
        f = one.figures
        head = [str(one.row.number), harmless(one.row.name), harmless(one.title)]
        if f is None:
            return [*head, *[""] * (11 if self.currency else 10)]
        scale = INCH if self.units == "in" else 1.0
        size = [_number(mm / scale, separator, 3) for mm in f.size]
        card = f"{f.card[0]}, {f.card[1]:.2f} mm"
        return [*head, *size, str(f.boxes), str(f.sheets), harmless(card), str(f.pages), *self._rest(f, separator)]

    def _rest(self, f: Any, separator: str) -> list[str]:
        get: Any = f.__getitem__ if isinstance(f, dict) else lambda key: getattr(f, key)
        area, long = (INCH**2, 12 * INCH) if self.units == "in" else (100.0, 1000.0)
        cells = [_number(get("glue_mm2") / area, separator, 2), _number(get("tape_mm") / long, separator, 2), str(get("minutes"))]
        cost = get("cost")
        return [*cells, *([("" if cost is None else _number(cost, separator, 2, keep=True))] if self.currency else [])]

    def _sums(self, separator: str) -> list[str]:
        total = self.total
        head = ["", self.words.said("range.sum"), "", "", "", ""]
        return [*head, str(total["boxes"]), str(total["sheets"]), "", str(total["pages"]), *self._rest(total, separator)]


def harmless(cell: str) -> str:
    """A text that no spreadsheet runs as a formula: one that begins like it gets an apostrophe before it.

    >>> harmless("=1+1"), harmless("tray")
    ("'=1+1", 'tray')
    """
    return f"'{cell}" if cell.startswith(FORMULA) else cell


def _number(value: float | Decimal, separator: str, places: int, keep: bool = False) -> str:
    """A figure; with a decimal comma where cells are parted by semicolons, as in the tables that have one. `keep` its zeros."""
    told = f"{value:.{places}f}"
    told = told if keep else told.rstrip("0").rstrip(".")
    return told.replace(".", ",") if separator == ";" else told


def names(folder: Path) -> tuple[Path, Path]:
    """Where the sheet and the table are written."""
    return folder / "totals.pdf", folder / "totals.csv"

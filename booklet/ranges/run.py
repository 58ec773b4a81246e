"""A whole range: read, checked, made and told."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from booklet.errors import BookletError, Fault, SpecError
from booklet.grid import Units
from booklet.ranges import rows, table, work
from booklet.ranges.rows import Base, Row
from booklet.ranges.table import Table
from booklet.ranges.work import Outcome
from booklet.spec.load import laid_out, read_page
from booklet.spec.model import Page
from booklet.spec.source import read


@dataclass(frozen=True)
class Range:
    """All that is known before the first row is made."""

    base: Base
    table: Table
    rows: tuple[Row, ...]
    refused: tuple[Outcome, ...]

    @property
    def good(self) -> list[Row]:
        """The rows whose specs have no fault."""
        bad = {one.row.number for one in self.refused}
        return [row for row in self.rows if row.number not in bad]


def prepared(spec: Path, listed: Path, layout: str | None = None) -> Range:
    """The range of a spec and a table. Raises `SpecError` for what is wrong with either of them, before anything is made."""
    source, found = read(spec), table.read(listed)
    base = rows.base_of(source, spec, listed.name, layout)
    shipped = work.shipped_of(base)
    if layout is not None:
        laid_out({}, shipped, layout)
    each = rows.rows_of(found, base, shipped, _others(base))
    refused = []
    for row in each:
        try:
            rows.spec_of(row, base, shipped)
        except SpecError as error:
            refused.append(work.refused(row, base, error))
    shared = work.common(refused) if len(refused) == len(each) else None
    if shared:
        raise shared
    return Range(base, found, each, tuple(refused))


def _others(base: Base) -> list[str]:
    """Names of the further files that a row can have: those of all shipped layouts, and of the maker's own."""
    from booklet.pages.settings import MAIN, settings
    from booklet.pages.words import layouts

    named = base.layout or (base.data["booklet"].get("layout") if isinstance(base.data.get("booklet"), dict) else None)
    own = (Path(named) if base.layout else base.path.parent / named) if isinstance(named, str) and named not in layouts() else None
    found = [settings(name) for name in layouts()]
    if own and own.is_dir():
        from booklet.spec.tables import base_of

        found.append(settings(base_of(work.shipped_of(base), own), own.absolute()))
    return sorted({one.name for each in found for one in each.documents} - {MAIN})


def made(found: Range, folder: Path, jobs: int, told: Callable[[Outcome], None]) -> list[Outcome]:
    """Make all rows, `told` each as it comes; the outcomes in the order of the table. Raises `work.Stopped`."""
    outcomes = {one.row.number: one for one in found.refused}
    for one in found.refused:
        told(one)
    for one in work.made(work.Job(found.base, folder), found.good, jobs):
        outcomes[one.row.number] = one
        told(one)
    return [outcomes[row.number] for row in found.rows]


def totals(found: Range, outcomes: Sequence[Outcome], folder: Path) -> list[Path]:
    """Write the sheet and the table of totals. Raises `BookletError`."""
    from booklet import make
    from booklet.pages.totals import Totals, names

    units, page = _page(found.base.data)
    booklet = found.base.data.get("booklet")
    language = booklet.get("language", "en") if isinstance(booklet, dict) else "en"
    told = Totals(outcomes, found.base.path.name, found.table.name, units, str(language))
    sheet, figures = names(folder)
    make.write_all({sheet: told.sheet(page), figures: told.table_text(found.table.separator, found.table.marked)})
    return [sheet, figures]


def _page(data: Any) -> tuple[Units, Page]:
    """The units and the paper of the range's spec; the usual ones where a row has to say them."""
    booklet = data.get("booklet")
    units: Units = "in" if isinstance(booklet, dict) and booklet.get("units") == "in" else "mm"
    page = data.get("page", {})
    try:
        return units, read_page({key: page[key] for key in ("paper", "margin") if key in page}, units)
    except (BookletError, TypeError):
        return units, read_page({}, units)


def folder_of(folder: Path) -> None:
    """Make the folder of a range, if it is not there. Raises `SpecError` where that cannot be."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        text = "this is a file" if folder.is_file() else f"the folder cannot be made ({error.strerror or error})"
        raise SpecError([Fault(str(folder), f"{text}: name another with -o")]) from error

"""A table of rows from a CSV file, as a spreadsheet or a hand writes it: its cells as texts, or all that is wrong with it."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from booklet.errors import Fault, SpecError
from booklet.lengths import show, tame

MOST_BYTES = 4_000_000
MOST_ROWS = 10_000
"""Chosen by us: more is another file."""


@dataclass(frozen=True, slots=True)
class Line:
    """One row. `number`: as a spreadsheet counts, the heading being row 1; `line` of the file; `cells` by their columns, none empty."""

    number: int
    line: int
    cells: dict[str, str]


@dataclass(frozen=True, slots=True)
class Table:
    """All rows. `columns`: their names, `heading` their line; `separator` between cells; `marked`: it began with a byte order mark."""

    name: str
    columns: tuple[str, ...]
    heading: int
    rows: tuple[Line, ...]
    separator: str
    marked: bool

    def fault(self, text: str, line: int | None = None) -> Fault:
        """A fault of the table."""
        return Fault(tame(self.name), text, line)


Record = tuple[int, int, list[str]]
"""The number of a row, the line that it begins on, and its cells."""


def read(path: Path) -> Table:
    """The table in a file. Raises `SpecError` with all that is wrong with it."""
    raw = _bytes(path)
    text = _text(raw, path.name)
    separator, records = _records(text, path.name)
    if not records:
        raise _fault(
            path.name, "the table is empty: write a heading that names keys of the spec, such as item.length, and a row for each box"
        )
    (_, heading, names), *rows = records
    names = [name.strip() for name in names]
    while names and not names[-1] and not any(cells[len(names) - 1 :][:1] not in ([], [""]) for _, _, cells in rows):
        names.pop()
    faults = [*_heading(names, heading, path.name), *_ragged(rows, len(names), path.name)]
    lines = tuple(Line(number, line, _cells(names, cells)) for number, line, cells in rows)
    if not lines:
        faults.append(Fault(tame(path.name), "there is no row under the heading: write one for each box", heading))
    if len(lines) > MOST_ROWS:
        faults.append(Fault(tame(path.name), f"there are {len(lines)} rows: part the table into some of {MOST_ROWS} rows at most"))
    if faults:
        raise SpecError(faults)
    return Table(path.name, tuple(names), heading, lines, separator, raw.startswith(b"\xef\xbb\xbf"))


def _fault(name: str, text: str, line: int | None = None) -> SpecError:
    return SpecError([Fault(tame(name), text, line)])


def _bytes(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise _fault(path.name or str(path), "there is no such file: give the path of a table, saved as CSV") from None
    except IsADirectoryError:
        raise _fault(path.name or str(path), "this is a folder: give the path of a table in it, saved as CSV") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name cannot be used"
        raise _fault(path.name, f"the file cannot be read ({reason.lower()}): check its name and its permissions") from None
    if len(raw) > MOST_BYTES:
        raise _fault(path.name, f"the file is larger than {MOST_BYTES // 1_000_000} MB: part the table, or is it another file?")
    return raw


def _text(raw: bytes, name: str) -> str:
    """UTF-8, with or without a byte order mark."""
    if raw.startswith(b"PK\x03\x04"):
        raise _fault(name, "this is a workbook, not a table in text: save the sheet as CSV in UTF-8")
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\0" in raw[:200]:
        raise _fault(name, "the file is in UTF-16: save it again as CSV in UTF-8")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise _fault(
            name, f"byte {raw[error.start]:#04x} is no UTF-8 text: save the table as CSV in UTF-8, not in an older encoding", line
        ) from None


def _records(text: str, name: str) -> tuple[str, list[Record]]:
    """The separator and the rows that are not empty. Raises `SpecError` for quotes that do not match."""
    separator, skipped = _separator(text)
    found: list[Record] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    begun = number = 0
    try:
        for cells in reader:
            number += begun >= skipped
            if begun >= skipped and any(cell.strip() for cell in cells):
                found.append((number, begun + 1, [cell.strip() for cell in cells]))
            begun = reader.line_num
    except csv.Error as error:
        told = (
            "quotes are not closed, or a quote stands within a cell" if re.search("quote|expected|end of data", str(error)) else str(error)
        )
        raise _fault(name, f"the row that begins here cannot be read ({told}): write two quotes for one within a cell", begun + 1) from None
    return separator, found


def _separator(text: str) -> tuple[str, int]:
    """Comma, semicolon or tab, by the heading; and how many lines stand before it: some spreadsheets name the separator in one."""
    named = re.match(r"\s*\"?sep=([,;\t])\"?[ \t;,]*(\r\n|\r|\n)", text)
    if named:
        return named[1], 1
    heading = next((line for line in text.splitlines() if line.strip()), "")
    bare = re.sub(r'"[^"]*"', "", heading)
    return max(",;\t", key=bare.count), 0


def _heading(names: list[str], line: int, file: str) -> Iterator[Fault]:
    for name in dict.fromkeys(names):
        if name and names.count(name) > 1:
            yield Fault(tame(file), f"the column {show(name)} is there {names.count(name)} times: keep one of them", line)
    for n, name in enumerate(names, 1):
        if not name:
            yield Fault(tame(file), f"column {n} has no name: name a key of the spec, such as item.length, or take it out", line)


def _ragged(rows: list[Record], count: int, file: str) -> Iterator[Fault]:
    for number, line, cells in rows:
        has = len(cells) if any(cells[count:]) or len(cells) < count else count
        if has != count:
            text = f"row {number} has {has} cells where the heading has {count}: write an empty cell for what is as in the spec"
            yield Fault(tame(file), f"{text}; a cell with a separator in it stands in quotes", line)


def _cells(names: list[str], cells: list[str]) -> dict[str, str]:
    return {name: cell for name, cell in zip(names, cells, strict=False) if cell}

"""The rows of a table as specs: each is the range's spec with the keys that its columns name."""

from __future__ import annotations

import copy
import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from booklet.errors import Fault, SpecError
from booklet.lengths import show, tame
from booklet.ranges.table import Line, Table
from booklet.ranges.tomltext import written
from booklet.spec import Spec
from booklet.spec.fields import Bare, Key, nearest
from booklet.spec.lines import key_lines
from booklet.spec.load import taken
from booklet.spec.source import Source
from booklet.spec.tables import TOP, Shipped, tables

NAME = "name"
"""The column that names a row's files."""

TOTALS = "totals"
"""The name of the sheet of totals, which no row can have."""

LONGEST_NAME = 100

YES = frozenset({"true", "wahr", "vrai", "verdadero"})
NO = frozenset({"false", "falsch", "faux", "falso"})
"""As spreadsheets write true and false in the languages of the booklets (from memory)."""

CHOSEN = {
    ("style",): ("box", None),
    ("insert", "style"): ("insert", None),
    ("item", "shape"): ("item", ("length", "width", "diameter")),
    ("window", "shape"): ("window", ("width", "height", "diameter")),
}
"""Keys that others hang on: a row that chooses otherwise than the spec does not take those from it; None: all but the style."""

_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
_UNSAFE = re.compile(r'[\x00-\x1f\x7f<>:"/\\|?*]')
_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)

Path_ = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Base:
    """What all rows share: the spec's path, its tables and where its keys stand, the table's name, and a layout of the command line."""

    path: Path
    data: Mapping[str, Any]
    lines: Mapping[Path_, int]
    table: str
    layout: str | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """A row: its number as a spreadsheet counts, the name of its files, and the keys that its cells set, by their paths."""

    number: int
    name: str
    keys: Mapping[Path_, Any]


def rows_of(table: Table, base: Base, shipped: Shipped, others: Sequence[str] = ()) -> tuple[Row, ...]:
    """All rows, their cells taken as what the keys are read from. `others`: names of a layout's further files.

    Raises `SpecError` for columns and names that cannot be, all at once.
    """
    readers = _readers(table, base, shipped)
    faults = list(_unknown(table, readers))
    names = _names(table, base)
    faults += _clashes(table, names, others)
    if faults:
        raise SpecError(sorted(faults, key=lambda fault: fault.line or 0))
    return tuple(
        Row(line.number, name, {path: _cell(cell, how) for path, how, cell in _keys(line, readers)})
        for line, name in zip(table.rows, names, strict=True)
    )


def _keys(line: Line, readers: Mapping[str, Key]) -> Iterator[tuple[Path_, Key, str]]:
    for column, cell in line.cells.items():
        if column != NAME:
            yield tuple(column.split(".")), readers[column], cell


def _readers(table: Table, base: Base, shipped: Shipped) -> dict[str, Key]:
    """How the key of each column is read, in the styles that the rows name and that of the spec."""
    insert = base.data.get("insert")
    styles = {base.data.get("style"), *(line.cells.get("style") for line in table.rows)}
    inserts = {insert.get("style") if isinstance(insert, dict) else None, *(line.cells.get("insert.style") for line in table.rows)}
    found: dict[str, Key] = {}
    for style in sorted(map(str, styles)):
        for inner in sorted(map(str, inserts)):
            for name, keys in tables(shipped, style, inner).items():
                found |= {f"{name}.{key}" if name != TOP else key: how for key, how in keys.items()}
    for column in table.columns:  # a file for each panel: artwork.panels.lid
        above = column.rpartition(".")[0]
        if _kind(found.get(above)) == "table" and column not in found:
            found[column] = Key(str)
    return found


def _kind(key: Key | None) -> str:
    return key.read.kind if key and isinstance(key.read, Bare) else "text"


def _unknown(table: Table, readers: Mapping[str, Key]) -> Iterator[Fault]:
    for column in table.columns:
        if column == NAME:
            continue
        if column not in readers:
            homes = [known for known in readers if known.rpartition(".")[2] == column]
            near = homes or [near for near in [nearest(column, readers)] if near]
            hint = (
                f"did you mean {' or '.join(near[:4])}?" if near else "a column names a key of the spec with its table, as in item.length"
            )
            yield table.fault(f"the column {show(column)} names no key of a spec: {hint}", table.heading)
        elif _kind(readers[column]) == "table":
            yield table.fault(f"the column {show(column)} names many keys: write one column for each, as in {column}.lid", table.heading)


def _cell(cell: str, key: Key) -> Any:
    """A cell as what a spec would have there: a cell has no quotes, so that figures, lists, true and false are told by the key."""
    kind = _kind(key)
    if kind == "number" and _NUMBER.fullmatch(cell):
        plain = cell.replace(",", ".")
        return float(plain) if "." in plain else int(plain)
    if kind == "flag":
        low = cell.lower()
        return True if low in YES else False if low in NO else cell
    if kind == "list":
        bare = cell.removeprefix("[").removesuffix("]")
        parts = re.split(";" if ";" in bare else ",", bare)
        return [part.strip().strip("\"'") for part in parts if part.strip()]
    return cell


# names ------------------------------------------------------------------------------------------------------------------


def _names(table: Table, base: Base) -> list[str]:
    """The name of each row's files: that of the table, else its number and title."""
    wide = max(2, len(str(len(table.rows))))
    return [line.cells.get(NAME) or _made(n, wide, line, base) for n, line in enumerate(table.rows, 1)]


def _made(n: int, wide: int, line: Line, base: Base) -> str:
    title = str(line.cells.get("title") or base.data.get("title") or line.cells.get("style") or base.data.get("style") or "")
    return f"{n:0{wide}d}-{safe(title)}".rstrip("-")


def safe(title: str) -> str:
    """A title as a part of a file's name: letters and figures of any script, hyphens between.

    >>> safe("M\u00fcller's box: 1/2")
    'm\u00fcller-s-box-1-2'
    """
    found = re.sub(r"[^\w]+", "-", unicodedata.normalize("NFC", title).lower()).strip("-_")
    return found.encode()[:60].decode(errors="ignore")


def _clashes(table: Table, names: Sequence[str], others: Sequence[str]) -> Iterator[Fault]:
    """Names that no file can have, and rows that would write the same file; some machines do not tell large letters from small."""
    taken_by: dict[str, int] = {}
    for line, name in zip(table.rows, names, strict=True):
        if why := _no_name(name):
            yield table.fault(f"row {line.number}, name: {show(name)} {why}", line.line)
            continue
        for one in (name, *(f"{name}-{other}" for other in others)):
            key = unicodedata.normalize("NFC", one).casefold()
            if key in taken_by:
                text = f"the file {show(one)} is that of row {taken_by[key]} already: give each row a name of its own"
                yield table.fault(f"row {line.number}, name: {text}", line.line)
                break
            taken_by[key] = line.number


def _no_name(name: str) -> str:
    if _UNSAFE.search(name) or name.startswith(".") or name.lower().endswith((".", " ", ".pdf")) or _RESERVED.fullmatch(name):
        return 'cannot name a file: use letters, figures, spaces and hyphens, without the ending ".pdf"'
    if len(name.encode()) > LONGEST_NAME:
        return f"is too long for a file: use {LONGEST_NAME} letters at most"
    if name.casefold() == TOTALS:
        return "is the name of the sheet of totals: use another"
    return ""


# a row's spec -----------------------------------------------------------------------------------------------------------


def spec_of(row: Row, base: Base, shipped: Shipped) -> Spec:
    """The spec of a row. Raises `SpecError` with its faults, each told with the row, or with the line of the range's spec."""
    data = merged(base.data, row.keys)
    text = written(data)
    lines = {path: line for path, line in base.lines.items() if path not in row.keys and _at(data, path) is not _NOTHING}
    head = f"# Row {row.number} of {tame(base.table)}, with what {tame(base.path.name)} says.\n"
    source = Source((head + text).encode(), text, data)
    try:
        return taken(source, base.path, shipped, base.layout, lines)
    except SpecError as error:
        raise SpecError(_rowed(fault, row, base) for fault in error.faults) from error


def _rowed(fault: Fault, row: Row, base: Base) -> Fault:
    """A fault of a key that the range's spec has keeps its line, one of a cell has none."""
    key = tuple(fault.where.split("."))
    if fault.line and key in base.lines and key not in row.keys:
        return Fault(f"{fault.where}{_IN}{tame(base.path.name)}", fault.text, fault.line)
    return Fault(fault.where, fault.text)


def key_of(fault: Fault) -> Path_:
    """The key that a row's fault is told of."""
    return tuple(fault.where.partition(_IN)[0].split("."))


_IN = " in "


_NOTHING = object()


def _at(data: Mapping[str, Any], path: Path_) -> Any:
    value: Any = data
    for key in path:
        value = value.get(key, _NOTHING) if isinstance(value, dict) else _NOTHING
    return value


def merged(data: Mapping[str, Any], keys: Mapping[Path_, Any]) -> dict[str, Any]:
    """The spec's tables with a row's keys. What hangs on a key that the row chooses otherwise is not taken from the spec."""
    made = copy.deepcopy(dict(data))
    for path, (name, hanging) in CHOSEN.items():
        table = made.get(name)
        if path in keys and keys[path] != _at(data, path) and isinstance(table, dict):
            gone = hanging or [key for key in table if key != "style" or name == "box"]
            made[name] = {key: value for key, value in table.items() if key not in gone}
    for path, value in keys.items():
        table = made
        for key in path[:-1]:
            inner = table.get(key)
            table[key] = inner if isinstance(inner, dict) else {}
            table = table[key]
        table[path[-1]] = value
    return made


def base_of(source: Source, path: Path, table: str, layout: str | None) -> Base:
    """What all rows take from a spec that was read."""
    return Base(path, source.data, key_lines(source.text), table, layout)

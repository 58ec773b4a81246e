"""What a maker writes into the layout.toml of a folder of their own, looked at key by key: all faults at once, each with its line."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import fields
from pathlib import Path
from typing import Any

from booklet.errors import BookletError, Fault
from booklet.lengths import show
from booklet.pages import files
from booklet.pages.words import folders, layouts, merged
from booklet.pdf.typeset import Type
from booklet.spec.fields import nearest
from booklet.spec.lines import key_lines

FILE = "layout.toml"
TEMPLATES = "templates"
OPTIONAL = {"steps": {"least": 70}, "drawings": {"height": {}, "across": {}}, "files": {}, "sections": []}
"""What may stand there though the shipped layout has it not, each with a value of its kind."""

OPEN = {("drawings", "height"), ("drawings", "across")}
"""Tables whose keys are names that a layout may add to."""

COUNTS = {("steps", name) for name in ("columns", "rows", "wordless_columns", "wordless_rows")}
"""Settings that count things; so do those of how many drawings stand side by side."""

LARGEST = {"type": 100.0, "across": 12}
"""What a figure in some tables is at most: points of type, drawings side by side (chosen by us)."""

Found = Iterator[tuple[tuple[str, ...], str]]
"""Faults by the path of their key."""


def check(own: Path, layout: str, section: type, document: type) -> None:
    """Look at the layout.toml of a folder, if it has one. `section` and `document`: the records that it fills.

    Raises `BookletError` with all faults.
    """
    if not files.there(own, FILE):
        return
    data, shipped = files.tables(own, FILE), merged(FILE, folders(layout))
    known: dict[str, Any] = {**OPTIONAL, **shipped, "type": {**{field.name: 1.0 for field in fields(Type)}, **shipped["type"]}}
    known["steps"] = {**OPTIONAL["steps"], **known["steps"]}  # type: ignore[dict-item]
    lines = _Lines(files.read(own, FILE))
    rest = {key: value for key, value in data.items() if key not in ("base", "sections", "files")}
    found = [*_base(data), *_tables(rest, known, ()), *_files(data, document), *_sections(data, known, section, (own, *folders(layout)))]
    if found:
        raise BookletError(
            Fault(FILE, f"{_named(path)}: {text}; compare it with the shipped {FILE}", lines.of(path)) for path, text in found
        )


def _named(path: tuple[str, ...]) -> str:
    """A key as it is told: a section by its number from 1."""
    if path[0] == "sections" and len(path) > 1:
        return ", ".join((f"section {int(path[1]) + 1}", *path[2:]))
    return ".".join(path)


def _base(data: Mapping[str, Any]) -> Found:
    if "base" in data and data["base"] not in layouts():
        yield ("base",), f"{show(data['base'])} is no shipped layout: write {' or '.join(layouts())}"


def _tables(data: Mapping[str, Any], known: Mapping[str, Any], path: tuple[str, ...]) -> Found:
    for key, value in data.items():
        here = (*path, key)
        if key not in known and path not in OPEN:
            near = nearest(key, known)
            yield (
                here,
                f"no such {'setting' if path else 'table'}" + (f', did you mean "{near}"?' if near else f": there are {', '.join(known)}"),
            )
        elif isinstance(known.get(key), dict):
            if isinstance(value, dict):
                yield from _tables(value, known[key], here)
            else:
                yield here, f"{show(value)} stands where a table belongs"
        else:
            yield from _value(value, known.get(key, 1.0), here)


def _value(value: Any, like: Any, path: tuple[str, ...]) -> Found:
    """A figure, or as many as the shipped one has."""
    if isinstance(like, list):
        if not isinstance(value, list) or len(value) != len(like):
            yield path, f"{show(value)} is no list of {len(like)} figures, as in {like}"
        elif bad := next((one for one in value if not _figure(one)), None):
            yield path, f"{show(bad)} is not a figure above zero"
        elif not all(map(_figure, value)):
            yield path, "0 is not a figure above zero"
    elif isinstance(like, bool | str):
        if type(value) is not type(like):
            yield path, f"{show(value)} is not of the kind of {show(like)}"
    elif not _figure(value):
        yield path, f"{show(value)} is not a figure above zero"
    elif (path in COUNTS or path[:-1] == ("drawings", "across")) and value != int(value):
        yield path, f"{show(value)} is no whole figure: write 1, 2 or the like"
    most = LARGEST.get(path[-2], math.inf) if len(path) > 1 else math.inf
    if any(_figure(one) and one > most for one in (value if isinstance(value, list) else [value])):
        yield path, f"{show(value)} is more than is allowed: give at most {most:g}"


def _figure(value: Any) -> bool:
    return not isinstance(value, bool) and isinstance(value, int | float) and 0 < value < 5000


def _files(data: Mapping[str, Any], document: type) -> Found:
    table = data.get("files", {})
    if not isinstance(table, dict):
        yield ("files",), f"{show(table)} stands where a table belongs"
        return
    for name, how in table.items():
        if not re.fullmatch(r"[a-z][a-z0-9-]*", name):
            yield ("files", name), "is no name for a file: use small letters, figures and hyphens"
        yield from _record(how, document, ("files", name))


def _sections(data: Mapping[str, Any], known: Mapping[str, Any], section: type, where: tuple[Path, ...]) -> Found:
    given = data.get("sections", [])
    if not isinstance(given, list):
        yield ("sections",), f"{show(given)} is no list: begin each with [[sections]]"
        return
    if "sections" in data and not given:
        yield ("sections",), "there is none, and a booklet has one at least: take the line out for those of the shipped layout"
    names = {"main", *known["files"], *(data["files"] if isinstance(data.get("files"), dict) else ())}
    for n, one in enumerate(given):
        path = ("sections", str(n))
        yield from _record(one, section, path)
        if not isinstance(one, dict):
            continue
        file = one.get("file")
        if not isinstance(file, str) or not file:
            yield path, 'has no file: write file = "steps" or the like'
        elif file != TEMPLATES and (Path(file).name != file or not _text(file, where)):
            yield (
                (*path, "file"),
                f"there is no text {show(file + '.md')} in the folder nor in the shipped layout; write it, or take the section out",
            )
        if isinstance(one.get("into", ""), str) and one.get("into", "main") not in names:
            yield (*path, "into"), f"there is no file {show(one['into'])}: there are {', '.join(sorted(names))}"


def _text(name: str, where: tuple[Path, ...]) -> bool:
    return any(any(folder.glob(f"{name}.md")) or any(folder.glob(f"{name}.??.md")) for folder in where if re.fullmatch(r"[\w-]+", name))


def _record(given: Any, record: type, path: tuple[str, ...]) -> Found:
    """The keys of a section or a file, and of what kind their values are."""
    if not isinstance(given, dict):
        yield path, f"{show(given)} stands where a table belongs"
        return
    kinds = {field.name: field.default for field in fields(record) if path[0] != "files" or field.name != "name"}
    for key, value in given.items():
        if key not in kinds:
            yield (*path, key), f"no such key: there are {', '.join(kinds)}"
        elif key == "file" or isinstance(kinds[key], str):
            if not isinstance(value, str):
                yield (*path, key), f"{show(value)} is no text: write it in quotes"
        elif isinstance(kinds[key], bool):
            if key == "html" and value == "own":
                continue
            if not isinstance(value, bool):
                yield (*path, key), f"{show(value)} is neither true nor false"
        elif not _figure(value) and value != 0:
            yield (*path, key), f"{show(value)} is no figure"


class _Lines:
    """On which line a key stands; of several [[sections]] that of the right one."""

    def __init__(self, text: str):
        self._lines, self._known = text.split("\n"), key_lines(text)
        self._heads = [n for n, line in enumerate(self._lines, 1) if re.match(r"\s*\[\[\s*sections\s*\]\]", line)]

    def of(self, path: tuple[str, ...]) -> int | None:
        """The line of a key, else that of its table."""
        if path[0] == "sections" and len(path) > 1 and int(path[1]) < len(self._heads):
            first = self._heads[int(path[1])]
            after = next((n for n in range(first, len(self._lines)) if re.match(r"\s*\[", self._lines[n])), len(self._lines))
            own = (n + 1 for n in range(first, after) if len(path) > 2 and re.match(rf"\s*\"?{re.escape(path[2])}\"?\s*=", self._lines[n]))
            return next(own, first)
        return self._known.get(path) or self._known.get(path[:2]) or self._known.get(path[:1])

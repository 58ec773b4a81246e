"""A spec read for `suggest`: it may name no style at all. Then it is read as one of the first style, whose options it must not hold."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from booklet.errors import Fault, SpecError
from booklet.spec import Spec, load
from booklet.spec.source import read
from booklet.styles import ShelfOptions


def wanted(path: Path, layouts: Sequence[str], languages: Sequence[str]) -> tuple[Spec, bool]:
    """The spec, and whether it names a style itself. Raises `SpecError` with all the faults, each with its line in the file."""
    source = read(path)
    if "style" in source.data:
        return load(path, ShelfOptions(), layouts, languages), True
    if source.data.get("box"):
        raise SpecError(
            [Fault("box", "holds options of a style that is not named: write the style above the first table, or take [box] out")]
        )
    spec = _styled(path, source.text, _with_own(path, source.data, layouts), languages)
    return replace(spec, source=source.raw), False


def _with_own(path: Path, data: dict[str, object], layouts: Sequence[str]) -> Sequence[str]:
    """The layouts, with a maker's own folder beside the spec."""
    booklet = data.get("booklet")
    name = booklet.get("layout") if isinstance(booklet, dict) else None
    return (*layouts, name) if isinstance(name, str) and name and (path.parent / name).is_dir() else layouts


def _styled(path: Path, text: str, layouts: Sequence[str], languages: Sequence[str]) -> Spec:
    """The spec with a style in a line before all others; faults are told with the lines of the file as it is."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / path.name
        copy.write_text(f'style = "{next(iter(ShelfOptions()))}"\n{text}', encoding="utf-8")
        try:
            return load(copy, ShelfOptions(), layouts, languages)
        except SpecError as error:
            raise SpecError(replace(f, line=f.line - 1 if f.line else None) for f in error.faults) from error

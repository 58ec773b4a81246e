"""The files of a layout, read with care: a maker's own folder holds what its maker put there. Light, as words are read at each start."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from booklet.data import layouts_folder
from booklet.errors import BookletError, Fault

MOST_BYTES = 500_000
"""Bytes of a text or a words file (chosen by us: the longest of the shipped ones has a tenth)."""


def read(folder: Path, name: str) -> str:
    """The text of a file in a layout's folder. Raises `BookletError` where it leads outside, is no file, too large, or not in UTF-8."""
    path = folder / name
    try:
        if not inside(folder, path):
            raise bad(name, "leads to a file outside the layout's folder; put a copy of that file into the folder")
        if not path.is_file():
            raise bad(name, "is a folder, or leads nowhere, where a text belongs; take it out or write the text")
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
    except (OSError, RuntimeError) as error:  # a link that leads to itself is either
        raise bad(name, f"cannot be read ({getattr(error, 'strerror', None) or 'a link leads to itself'}); mend it") from error
    if len(raw) > MOST_BYTES:
        raise bad(name, f"has more than {MOST_BYTES // 1000} kB, where a text has a few; is it another file?")
    return _decoded(raw, name)


def inside(folder: Path, path: Path) -> bool:
    """Whether a file lies in its folder, whatever links there are. Some installers lay the shipped ones as links."""
    return folder.is_relative_to(layouts_folder()) or path.resolve(strict=False).is_relative_to(folder.resolve())


def _decoded(raw: bytes, name: str) -> str:
    try:
        return raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise bad(name, f"cannot be read as a text in UTF-8 (byte {raw[error.start]:#04x}); save it as one", line) from error


def there(folder: Path, name: str) -> bool:
    """Whether a folder has something of that name, a link that leads nowhere too, so that it is told and not passed over."""
    path = folder / name
    return path.exists() or path.is_symlink()


def tables(folder: Path, name: str) -> dict[str, Any]:
    """What a TOML file holds. Raises `BookletError` with file and line."""
    try:
        return tomllib.loads(read(folder, name))
    except RecursionError:
        raise bad(name, "has brackets in brackets too deep to follow; write it simpler") from None
    except (ValueError, OverflowError) as error:
        line = re.search(r"at line (\d+)", str(error))
        raise bad(name, f"is not TOML that can be read ({error}); mend that line", int(line[1]) if line else None) from error


def bad(name: str, text: str, line: int | None = None) -> BookletError:
    """The error for a single fault of a file."""
    return BookletError([Fault(name, text, line)])

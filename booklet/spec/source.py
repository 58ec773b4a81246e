"""The file of a spec: its bytes, its text and its TOML, or one fault that says why there are none."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from booklet.errors import Fault, SpecError
from booklet.lengths import tame

MOST_BYTES = 256 * 1024
"""A spec is a page of text; what is larger is another file."""

_AT = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)")
_QUOTES = 'a size or a text stands in quotes, as in length = "125 mm"'
_HINTS = (
    (r"Cannot overwrite", "the same key stands here a second time: keep one of them"),
    (r"Cannot (declare|mutate|add|redefine)", "this table is here a second time: put all its keys under one heading"),
    (r"Expected '=' after", 'a key, "=" and a value belong on a line, as in length = "125 mm"'),
    (r"Illegal character|Unterminated|Unescaped", "quotes are not closed, or hold a character that has no place in them"),
    (r"Expected newline|Invalid value", f"{_QUOTES}; an inch mark inside needs single quotes round it, as in length = '4 3/8\"'"),
)


@dataclass(frozen=True, slots=True)
class Source:
    """The file's bytes as they are, the text they spell, and the tables in it."""

    raw: bytes
    text: str
    data: dict[str, Any]


def read(path: Path) -> Source:
    """Reads a spec's file. Raises `SpecError` with one fault for anything that is not TOML in UTF-8."""
    raw = _bytes(path)
    text = _text(raw, path)
    return Source(raw, text, _tables(text, path))


def _fault(path: Path, text: str, line: int | None = None) -> SpecError:
    return SpecError([Fault(tame(path.name or str(path)), text, line)])


def _bytes(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise _fault(path, "there is no such file: give the path of a spec, or begin one with `booklet new`") from None
    except IsADirectoryError:
        raise _fault(path, "this is a folder: give the path of a spec file in it") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name cannot be used"
        raise _fault(path, f"the file cannot be read ({reason.lower()}): check its name and its permissions") from None
    if len(raw) > MOST_BYTES:
        raise _fault(path, f"the file is larger than {MOST_BYTES // 1024} kB, where a spec is a page of text: is it another file?")
    return raw


def _text(raw: bytes, path: Path) -> str:
    """UTF-8, with or without a byte order mark."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")) or raw[:64].count(b"\0") > 8:
        raise _fault(path, "the file is in UTF-16, where a spec is in UTF-8: save it again as UTF-8")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        found = f"byte {raw[error.start]:#04x} is no UTF-8 text"
        raise _fault(path, f"{found}: save the file as UTF-8, not in an older encoding", line) from None


def _tables(text: str, path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise _fault(path, "brackets stand in brackets too deep to follow: a spec needs one level") from None
    except (ValueError, OverflowError) as error:
        raise _syntax(str(error), text, path) from None


def _syntax(told: str, text: str, path: Path) -> SpecError:
    """The reader's complaint, with the line's own text and what to write instead."""
    lines = text.replace("\r\n", "\n").split("\n")
    at = _AT.search(told)
    if not at:
        return _fault(path, 'a number has too many digits or a date does not exist: write sizes in quotes, such as "125 mm"')
    number = int(at[1]) if at[1] else len(lines)
    what = told[: at.start()]
    hint = next((hint for pattern, hint in _HINTS if re.search(pattern, what)), what[:1].lower() + what[1:])
    return _fault(path, f"{tame(lines[number - 1].strip())} is not TOML: {hint}", number)

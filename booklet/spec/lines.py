"""On which line of a spec each key stands: the TOML reader of the standard library does not tell."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator

_TOKEN = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}'  # long text with escapes
    r"|'''.*?'{3,5}"  # long text as it stands
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'"
    r"|#[^\n]*"
    r"|[\[\]{}=,.\n]"
    r"|[^\s\[\]{}=,.#\"']+",
    re.DOTALL,
)

Path = tuple[str, ...]


def key_lines(text: str) -> dict[Path, int]:
    """The line, counted from 1, of each table and key of a text that is good TOML; the first where there are several.

    Best effort: keys within an array of tables are told by their names alone.
    """
    scan = _Scan()
    for token, line in _tokens(text):
        scan.take(token, line)
    return scan.lines


def _tokens(text: str) -> Iterator[tuple[str, int]]:
    line, at = 1, 0
    for match in _TOKEN.finditer(text):
        line += text.count("\n", at, match.start())
        at = match.start()
        if not match[0].startswith("#"):
            yield match[0], line


class _Scan:
    """Walks the tokens of a text and notes where keys stand. Depth: an open "[" or "{" of the value that it is in."""

    def __init__(self) -> None:
        self.lines: dict[Path, int] = {}
        self.table: Path = ()
        self.path: Path = ()
        self.key: list[str] = []
        self.line = 0
        self.in_value = False
        self.in_heading = False
        self.depth: list[tuple[str, Path]] = []

    def take(self, token: str, line: int) -> None:
        """The next token and the line that it starts on."""
        if self.in_value:
            self._value(token)
        elif token == "[" and not self.key and not self.depth:
            self.in_heading = True
        elif token == "]" and self.in_heading:
            self.table = self._note(())
            self.in_heading = False
        elif token == "=":
            self._enter(line)
        elif token == "}":
            self._leave()
        elif token not in ("\n", ",", ".", "]"):
            self.line = line if not self.key else self.line
            self.key.append(_name(token))

    def _note(self, prefix: Path) -> Path:
        """Notes the key that was gathered, and the tables that its dots name; gives its whole path."""
        path = (*prefix, *self.key)
        for size in range(len(prefix) + 1, len(path) + 1):
            self.lines.setdefault(path[:size], self.line)
        self.key = []
        return path

    def _enter(self, line: int) -> None:
        prefix = self.depth[-1][1] if self.depth else self.table
        self.path = self._note(prefix)
        self.in_value = True

    def _value(self, token: str) -> None:
        inline = bool(self.depth) and self.depth[-1][0] == "{"
        if token == "{":
            self.depth.append(("{", self.path))
            self.in_value = False
        elif token == "[":
            self.depth.append(("[", self.path))
        elif token in ("]", "}"):
            self._leave()
        elif (token == "," and inline) or (token == "\n" and not self.depth):
            self.in_value = False

    def _leave(self) -> None:
        """Closes a bracket: what it stands in is a value again."""
        self.key = []
        self.in_value = True
        if self.depth:
            self.path = self.depth.pop()[1]


def _name(token: str) -> str:
    """The key that a token spells, bare or in quotes."""
    if token.startswith("'"):
        return token[1:-1]
    if not token.startswith('"'):
        return token
    try:
        return str(json.loads(token))
    except ValueError:  # an escape that only TOML knows
        return token[1:-1]

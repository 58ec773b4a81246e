"""The words of a language and the settings of a layout, from the TOML files in `layouts/`. Light: the command line reads them too.

A maker's own folder may hold some of the files only, and of a file only what is to be other than in `home`: what is
missing is taken from there.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from booklet.data import layouts_folder
from booklet.errors import Fault, Refused, refuse
from booklet.pages import files
from booklet.spec.lines import key_lines

if TYPE_CHECKING:  # the command line reads words too, and does without nets
    from booklet.net import Part, Piece

HOME = "home"
_NUMBER = re.compile(r"\d+[a-z]?")
_BRACED = re.compile(r"\{(\w+)(?::(\w+))?\}")
NARROW = "\u202f"
_BEFORE = {":": "\u00a0", "\u00bb": "\u00a0"}
"""The space before a sign, where it is not a narrow one: before a colon and a closing mark of speech (French custom; from memory)."""

_FORMS = re.compile(r"(?<!\\)\[([^\[\]|]*\|[^\[\]]*)\]")
"""What is other from case to case, as in "[der|den|dem] Boden": a form for each of the language's cases, in their order.

A bracket with a stroke before it is a maker's own, see `texts.plain`.
"""


def folders(layout: str = HOME, own: Path | None = None) -> tuple[Path, ...]:
    """Where a layout's files are looked for, first to last: the maker's own folder, the shipped layout that it is or stands on, home."""
    shipped = dict.fromkeys(layouts_folder() / name for name in (layout, HOME))
    return (*((own,) if own else ()), *shipped)


def layouts() -> tuple[str, ...]:
    """Names of the shipped layouts, home first."""
    names = sorted(path.parent.name for path in layouts_folder().glob("*/layout.toml"))
    return (HOME, *(name for name in names if name != HOME))


def languages(layout: str = HOME) -> tuple[str, ...]:
    """Languages that a shipped layout speaks, English first."""
    found = {path.name.split(".")[1] for folder in folders(layout) for path in folder.glob("words.*.toml")}
    return ("en", *sorted(found - {"en"}))


def merged(name: str, where: Iterable[Path]) -> dict[str, Any]:
    """A TOML file as it stands in the first folder, completed from the next ones. Raises `BookletError` with file and line."""
    result: dict[str, Any] = {}
    for folder in where:
        if files.there(folder, name):
            result = _completed(result, files.tables(folder, name))
    if not result:
        raise refuse(name, "is in no layout folder; install the program again, or write it")
    return result


def _completed(first: Mapping[str, Any], other: Mapping[str, Any]) -> dict[str, Any]:
    """The first mapping, with what only the other has, all the way down."""
    result = dict(other)
    for key, value in first.items():
        both = isinstance(value, dict) and isinstance(other.get(key), dict)
        result[key] = _completed(value, other[key]) if both else value
    return result


@dataclass(frozen=True)
class Words:
    """One language. Keys are paths in its file: `words("steps", "score")`.

    Words that are other from case to case are told in the first case, or with all `forms` for a sentence that asks for its own by
    `{onto:dative}`; the names of the cases stand under [language].
    """

    data: Mapping[str, Any]
    file: str = "words.en.toml"
    forms: bool = False
    own: Path | None = None

    @property
    def with_forms(self) -> Words:
        """The same words with all their forms, for what is filled into a sentence."""
        return replace(self, forms=True)

    @property
    def decimal(self) -> str:
        """The sign between the whole and its decimals. Raises `BookletError` when the language names none."""
        return self("language", "decimal")

    def _wrong(self, where: str, text: str) -> Refused:
        """The error for words that are wrong, with their line where they stand in a maker's own folder."""
        line = None
        if self.own and files.there(self.own, self.file):
            line = key_lines(files.read(self.own, self.file)).get(tuple(where.split(".")))
        return Refused([Fault(self.file, text, line)])

    def _case(self, name: str, where: str) -> int:
        cases = self.data["language"].get("cases", [])
        if name not in cases:
            raise self._wrong(where, f"{where} asks for the case {name!r}; [language] has {', '.join(cases) or 'no cases'}")
        return int(cases.index(name))

    def __call__(self, *path: str) -> str:
        """The words at a path. Raises `BookletError` when there are none, naming the file and the key."""
        found = self.get(*path)
        if found is None:
            raise refuse(self.file, f"has no words for {'.'.join(path)}; add them")
        return found

    def get(self, *path: str) -> str | None:
        """The words at a path, or None."""
        value: Any = self.data
        for key in path:
            value = value.get(key) if isinstance(value, Mapping) else None
        if not isinstance(value, str):
            return None
        return value if self.forms else formed(value)

    def table(self, *path: str) -> dict[str, str]:
        """All words of a table that are no tables themselves."""
        value: Any = self.data
        for key in path:
            value = value.get(key, {})
        return {key: text for key, text in value.items() if isinstance(text, str)}

    def filled(self, sentence: str, where: str, **given: str) -> str:
        """A sentence with its words in braces filled in. Raises `BookletError` for one that is not given."""

        def word(found: re.Match[str]) -> str:
            name, case = found[1], found[2]
            key = name.lower()
            if key not in given:
                allowed = ", ".join(sorted(given)) or "nothing"
                raise self._wrong(where, f"{where} asks for {{{name}}}; what may stand in braces there is {allowed}")
            said = formed(given[key], self._case(case, where)) if case else given[key]
            return said if name == key else opened(formed(said))

        said = _BRACED.sub(word, sentence)
        return said if self.forms else formed(said)

    def said(self, key: str, /, **given: object) -> str:
        """A sentence of the texts by its key, such as "tools.ruler", with its words in braces filled in.

        Where it is told otherwise of one than of many it is a table with `one` and `many`, and `n` tells which; {count} is `n` as a word.
        Raises `BookletError` naming what is missing.
        """
        path = ("text", *key.split("."))
        if self.get(*path) is None and "n" in given:
            path = (*path, "one" if self.singular(given["n"]) else "many")
        if isinstance(n := given.get("n"), int):
            given.setdefault("count", self.count(n))
        return self.filled(self(*path), ".".join(path), **{name: str(value) for name, value in given.items()})

    def singular(self, number: object) -> bool:
        """Whether a thing is told as one behind this number: behind 1, and behind what [language] names as `singular`."""
        return number in self.data["language"].get("singular", (1,))

    def unit(self, name: str, number: float) -> str:
        """A unit of a check behind its figure: "0 sheets", "1 sheet"; where it has two forms the second is that for one."""
        return formed(self.with_forms("check_units", name), int(self.singular(number)))

    def spaced(self, text: str) -> str:
        """A text put together by the program, with the spaces that the language sets before signs."""
        return _set({"language": self.data["language"], "text": text})["text"]

    def listed(self, names: Iterable[str]) -> str:
        """A list as it is said: "wall 1, wall 2 and wall 3", "walls 1 and 3, and hem 2"."""
        items = list(names)
        comma, plain = self("lists", "comma"), self("lists", "and")
        last = self("lists", "and_after") if any(plain in item for item in items[:-1]) else plain
        return comma.join(items[:-1]) + last + items[-1] if len(items) > 1 else "".join(items)

    def count(self, number: int) -> str:
        """A small number as a word, a larger one in figures."""
        said = self.data["lists"]["count"]
        return said[number] if 0 <= number < len(said) else str(number)

    def panel(self, name: str, role: str) -> str:
        """A panel's name as it is said: wall-1 is "wall 1", closing-top is "top closing panel", base is "base".

        The halves of one that is joined across, or that has a crease in its middle, have a letter: wall-1.a and wall-1a are "wall 1a",
        base.b is "base b"; further panels of one smooth face have a number and no name of their own: splice-strip-1.2 is "splice strip 1".
        """
        name, _, half = name.partition(".")
        if half and not half.isdigit():
            whole = self.panel(name, role)
            return whole + half if whole[-1:].isdigit() else f"{whole} {half}"
        ending = name.rpartition("-")[2]
        if _NUMBER.fullmatch(ending):
            return self.filled(self("roles", role, "numbered"), f"roles.{role}", n=ending)
        if ending != name and (said := self.get("ends", ending)):
            return self.filled(self("roles", role, "numbered"), f"roles.{role}", n=said)
        return self("roles", role, "one")

    def piece(self, part: Part, piece: Piece) -> str:
        """What a piece is called: by its part, "lid", or the one panel that its part is, "short wall 1"; one of several as "box-2"."""
        own = part.panel[part.root]
        said = self("parts", part.role) if part.name == part.role else self.panel(own.name, own.role)
        return formed(said) + piece.name.removeprefix(part.name)

    def panels(self, named: Iterable[tuple[str, str]], told: bool = False) -> str:
        """Several panels, by name and role, as they are said: "walls 1 and 3", "wall 2 and hem 2"; `told`: in a sentence, "the base"."""
        groups: dict[str, list[str]] = {}
        for name, role in named:
            own, group = faced(name), groups.setdefault(role, [])
            if own not in group:
                group.append(own)
        return self.listed(said for role, names in groups.items() for said in self._group(role, names, told))

    def _group(self, role: str, names: list[str], told: bool) -> list[str]:
        numbers = [_number(name) for name in names]
        if len(names) == 1 or not all(numbers):
            return [self._one(name, role, told) for name in sorted(names, key=lambda name: name.partition(".")[2])]
        return [f"{self('roles', role, 'many')} {self._run(numbers)}"]

    def _one(self, name: str, role: str, told: bool) -> str:
        """One panel; in a sentence one alone has its article, and so has one of an end: "the top tuck flap"."""
        said = self.panel(name, role)
        if not told or _number(name):
            return said
        stem = name.partition(".")[0]
        if (end := self.get("ends", stem.rpartition("-")[2])) and "-" in stem:
            whole, half = self.get("roles", role, "told_end"), said[len(self.panel(stem, role)) :]
            return self.filled(whole, f"roles.{role}.told_end", n=end) + half if whole else said
        return self.get("roles", role, "told") or said if said == self("roles", role, "one") else said

    def _run(self, numbers: Iterable[str]) -> str:
        """Numbers, some with the letter of a half: "1 to 4", "1a and 3a"."""
        each = sorted(numbers, key=lambda n: (int(re.sub(r"\D", "", n)), n))
        return self.numbers(map(int, each)) if all(n.isdigit() for n in each) else self.listed(each)

    def numbers(self, found: Iterable[int]) -> str:
        """Numbers as they are said, a run of three or more by its ends: "1 to 4", "1 and 3"."""
        each = sorted(found)
        if len(each) > 2 and each[-1] - each[0] == len(each) - 1:
            return f"{each[0]}{self('lists', 'to')}{each[-1]}"
        return self.listed(map(str, each))

    def style(self, name: str) -> StyleWords:
        """What a style is called and what it is for."""
        return StyleWords(self("styles", name, "name"), self("styles", name, "use"))

    def option(self, style: str, name: str) -> str:
        """The help for an option of a style."""
        return self("styles", style, "options", name)


def formed(text: str, case: int = 0) -> str:
    """Words in one of their cases, by its number.

    >>> formed("[der|den|dem] Boden", 2), formed("die W\u00e4nde")
    ('dem Boden', 'die W\u00e4nde')
    """
    return _FORMS.sub(lambda found: _form(found[1].split("|"), case), text) if "|" in text else text


def _form(forms: Sequence[str], case: int) -> str:
    return forms[min(case, len(forms) - 1)]


def opened(text: str) -> str:
    """The words with a capital first letter, to open a line."""
    return text[:1].upper() + text[1:]


def faced(name: str) -> str:
    """The name by which a panel is called: that of its smooth face, without the number that a further panel of one has.

    >>> faced("wall-1.12"), faced("wall-1.a")
    ('wall-1', 'wall-1.a')
    """
    face, _, half = name.partition(".")
    return face if half.isdigit() else name


def _number(name: str) -> str:
    """The number in a panel's name with the letter of its half: wall-1 has "1", wall-1.a "1a", splice-strip-1.2 "1", base none."""
    face, _, half = name.partition(".")
    number = face.rpartition("-")[2]
    return number + ("" if half.isdigit() else half) if _NUMBER.fullmatch(number) else ""


@dataclass(frozen=True, slots=True)
class StyleWords:
    """The name of a style and a line on what it is for."""

    name: str
    use: str


@lru_cache(maxsize=8)
def words(language: str = "en", layout: str = HOME, own: Path | None = None) -> Words:
    """The words of a language for a layout. Raises `BookletError` for a file that cannot be read."""
    name = f"words.{language}.toml"
    if own and files.there(own, name):
        _drawable(own, name)
    return Words(MappingProxyType(_set(merged(name, folders(layout, own)))), name, own=own)


def _drawable(own: Path, name: str) -> None:
    """Raise `Refused` with the line of each word of a maker's own that the font has no glyphs for."""
    from booklet.pdf import fonts

    lines = key_lines(files.read(own, name))
    found = [(path, text, lacking) for path, text in _texts(files.tables(own, name)) if (lacking := fonts.missing(" ".join(text.split())))]
    if found:
        raise Refused(Fault(name, f"{'.'.join(path)}: {fonts.no_glyph(lacking, text)}", lines.get(path)) for path, text, lacking in found)


def _texts(value: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], str]]:
    """All texts in tables, each with the path of its key."""
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield from _texts(inner, (*path, key))


def _set(data: dict[str, Any]) -> dict[str, Any]:
    """Words set as the language sets them: a space that does not break before the signs that [language] names as `spaced`."""
    signs = data.get("language", {}).get("spaced", "")
    found = re.compile(rf"(?<=\S) ?([{re.escape(signs)}])(?=[\s*)\"]|$)")
    return _spaced(data, found) if signs else data


def _spaced(value: Any, found: re.Pattern[str]) -> Any:
    if isinstance(value, dict):
        return {key: _spaced(inner, found) if key != "language" else inner for key, inner in value.items()}
    return found.sub(lambda sign: _BEFORE.get(sign[1], NARROW) + sign[1], value) if isinstance(value, str) else value

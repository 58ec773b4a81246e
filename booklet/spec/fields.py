"""How one key's value is read: each reader takes what stands in the file and gives a value, or raises `Misread`."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any, Literal

from booklet.data import characters
from booklet.grid import Units
from booklet.lengths import (
    Length,
    Misread,
    parse_caliper,
    parse_grammage,
    parse_length,
    parse_mass,
    parse_positive,
    parse_sheet,
    show,
    tell,
)
from booklet.lengths import Sheet as SheetSize
from booklet.spec.bars import LONG, SHORT, believed, known_fit, nominal
from booklet.spec.model import Art, Option

Reader = Callable[[object], Any]

LONGEST_TITLE = 80
MOST_COPIES = 1000
MOST_IN_PACK = 10_000
MOST_PRICE = 100_000.0
MOST_ART = 500_000
"""Bytes of a maker's own drawing (chosen by us: a logo has some thousands)."""

_BIDI = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a table. `default` is written as in a file, `inch` the same where units = "in" have another.

    `missing`: what to say when a key that must be there is not.
    """

    read: Reader
    default: object = None
    inch: object = None
    missing: str = ""

    def absent(self, units: Units) -> object:
        """What stands for a key that is not there, read; None when there is no default."""
        written = self.inch if units == "in" and self.inch is not None else self.default
        return None if written is None else self.read(written)


@dataclass(frozen=True, slots=True)
class Bare:
    """A reader of what a spec has without quotes: a cell of a table, which has none, is taken for such a value."""

    kind: Literal["number", "flag", "list", "table"]
    read: Reader

    def __call__(self, value: object) -> Any:
        """The value, read. Raises `Misread`."""
        return self.read(value)


def nearest(word: str, words: Iterable[str]) -> str | None:
    """The word most like this one, or None when none is near."""
    by_low = {known.lower().replace("-", "_"): known for known in words}
    found = difflib.get_close_matches(word[:40].lower().replace("-", "_"), by_low, 1, 0.6)
    return by_low[found[0]] if found else None


def advise(word: str, words: Iterable[str], advice: str) -> str:
    """'did you mean "clearance"? ' in front of the advice, where a word is near."""
    near = nearest(word, words)
    return f'did you mean "{near}"? {advice[:1].upper()}{advice[1:]}' if near else advice


def _within(length: Length, least: float, most: float, fine: bool = False) -> Length:
    units: Units = "in" if length.written == "in" else "mm"
    span = f"{tell(least, units, fine)} to {tell(most, units, fine)}"
    if not least - 1e-9 <= length.mm <= most + 1e-9:
        raise Misread(f"{show(length.text)} is {'less' if length.mm < least else 'more'} than is allowed: give a length from {span}")
    return length


def length(least: float, most: float) -> Reader:
    """A `Length` from least to most mm; zero is told apart where it is not allowed."""
    parse = parse_positive if least > 0 else parse_length
    return lambda value: _within(parse(value), least, most)


def millimetres(least: float, most: float) -> Reader:
    """As `length`, but mm alone."""
    read = length(least, most)
    return lambda value: read(value).mm


def caliper(least: float, most: float) -> Reader:
    """A thickness of card in mm."""
    return lambda value: _within(parse_caliper(value), least, most, fine=True).mm


def mass(most: float) -> Reader:
    """A mass in g, above 0."""

    def read(value: object) -> float:
        grams = parse_mass(value)
        if grams > most:
            raise Misread(f"{show(value)} is more than a card box bears: give a weight up to {most / 1000:g} kg")
        return grams

    return read


def grammage(least: float, most: float) -> Reader:
    """The weight of card in g/m2."""

    def read(value: object) -> float:
        gsm = parse_grammage(value)
        if not least <= gsm <= most:
            raise Misread(f"{show(value)} is {gsm:.0f} g/m2, which is no card: give a weight from {least:g} gsm to {most:g} gsm")
        return gsm

    return read


def sheet(least: float, most: float) -> Reader:
    """A sheet whose sides are from least to most mm."""

    def read(value: object) -> SheetSize:
        found = parse_sheet(value)
        if not all(least <= side <= most for side in found.size):
            raise Misread(f"{show(value)} is no sheet to work with: each side is from {least:g} mm to {most:g} mm")
        return found

    return read


def _typed(value: object, what: str) -> str:
    if not isinstance(value, str):
        raise Misread(f"{show(value)} is no text: write {what} in quotes")
    return value


def text(most: int) -> Reader:
    """A text of 1 to `most` characters on one line, composed (NFC), without control characters."""

    def read(value: object) -> str:
        found = unicodedata.normalize("NFC", _typed(value, "a text").strip(" "))
        bad = next((c for c in found if unicodedata.category(c) in ("Cc", "Zl", "Zp", "Cs") or c in _BIDI), None)
        if bad:
            raise Misread(f"{show(found)} holds the control character U+{ord(bad):04X}: take it out")
        if not 1 <= len(found) <= most:
            raise Misread(f"{show(found)} has {len(found)} characters: write 1 to {most}")
        if not found.strip():
            raise Misread(f"{show(found)} has nothing in it that can be seen: write 1 to {most} characters")
        return found

    return read


def printed(most: int) -> Reader:
    """As `text`, in characters that the faces of the booklet hold."""
    plain = text(most)

    def read(value: object) -> str:
        found = str(plain(value))
        if lacking := dict.fromkeys(c for c in found if ord(c) not in characters()):
            told = ", ".join(f"{show(c)} (U+{ord(c):04X})" for c in list(lacking)[:8])
            raise Misread(
                f"the booklet's font has no {told}: it covers Latin, Greek and Cyrillic, so write {show(found)} with those letters"
            )
        return found

    return read


def choice(*words: str) -> Reader:
    """One of these words."""

    def read(value: object) -> str:
        allowed = " or ".join(f'"{word}"' for word in words)
        if _typed(value, allowed) not in words:
            raise Misread(f"{show(value)} is not allowed: {advise(str(value), words, f'write {allowed}')}")
        return str(value)

    return read


def words_of(known: Sequence[str]) -> Reader:
    """A list of these words, each once."""
    one = choice(*known)

    def read(value: object) -> tuple[str, ...]:
        if not isinstance(value, list):
            raise Misread(f'{show(value)} is no list: write words in brackets, as in ["{known[0]}"]')
        wrong = dict.fromkeys(show(word) for word in value if word not in known)
        if len(wrong) > 1:  # one alone is told with the word that is near it
            allowed = " or ".join(f'"{word}"' for word in known)
            raise Misread(f"{', '.join(wrong)} are not allowed: write {allowed}")
        return tuple(dict.fromkeys(one(word) for word in value))

    return Bare("list", read)


def _price(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= MOST_PRICE:
        raise Misread(f"{show(value)} is no price: write a figure from 0 to {MOST_PRICE:g} without quotes and currency, as in 0.60")
    return float(value)


price = Bare("number", _price)
"""A price as a bare figure."""


def art(folder: Path) -> Reader:
    """An SVG file, seen from the folder of the spec: its name and its bytes."""
    plain = text(200)

    def read(value: object) -> Art:
        name = str(plain(value))
        try:
            with (folder / name).open("rb") as file:
                data = file.read(MOST_ART + 1)
        except (OSError, ValueError) as error:
            raise Misread(f"{show(name)} cannot be read: put the SVG file there, seen from the folder of the spec") from error
        if len(data) > MOST_ART:
            raise Misread(f"{show(name)} has more than {MOST_ART} bytes: simplify the drawing")
        return Art(name, data)

    return read


def arts(folder: Path) -> Reader:
    """SVG files by the names of panels."""
    one, plain = art(folder), text(40)

    def read(value: object) -> Mapping[str, Art]:
        if not isinstance(value, dict):
            raise Misread(f'{show(value)} names no panels: write each with its file, as in {{ lid = "stars.svg" }}')
        return MappingProxyType({str(plain(panel)): one(name) for panel, name in value.items()})

    return Bare("table", read)


def _flag(value: object) -> bool:
    if not isinstance(value, bool):
        raise Misread(f"{show(value)} is neither true nor false: write true or false, without quotes")
    return value


flag = Bare("flag", _flag)
"""true or false."""


def count(most: int, what: str, least: int = 1) -> Reader:
    """A whole number from `least` to `most`; `what` it is: "number of copies"."""

    def read(value: object) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            raise Misread(f"{show(value)} is no {what}: write a whole number from {least} to {most}, without quotes")
        return value

    return Bare("number", read)


def _printed_bar(value: object) -> tuple[float, float]:
    if not isinstance(value, list) or len(value) != 2:
        raise Misread(f'{show(value)} is not two lengths: write what the bars measured across and up, as in ["98.6 mm", "99.1 mm"]')
    read = [_bar(length) for length in value]
    across, up = (mm for mm, _ in read)
    if believed(across, LONG[1]) and believed(up, LONG[0]):
        raise Misread(f"{show(value[0])} is the bar up and {show(value[1])} the bar across: write the one across first, then the one up")
    wrong = [text or _misprint(value[axis], mm, axis) for axis, (mm, text) in enumerate(read)]
    if any(wrong):
        raise Misread("; ".join(text for text in wrong if text))
    return across, up


printed_bar = Bare("list", _printed_bar)
"""What two bars measured in mm, across and up the page: those of the print check, or those of the test print."""


def _bar(value: object) -> tuple[float, str]:
    """What a bar measured in mm, or 0 and what is wrong with it."""
    try:
        return parse_positive(value).mm, ""
    except Misread as misread:
        return 0.0, str(misread)


def _misprint(value: object, mm: float, axis: int) -> str:
    """Why a figure cannot be what a bar measured on this axis; "" where it can."""
    bar = nominal(mm, axis)
    if believed(mm, bar):
        return ""
    way, other = ("across", "up") if axis == 0 else ("up", "across")
    if believed(mm, LONG[1 - axis]):
        return f"{show(value)} stands where the bar {way} belongs, but is the bar {other}: write the one across first, then the one up"
    off = mm / bar - 1
    told = f"{show(value)} is {abs(off) * 100:.1f} % {'more' if off > 0 else 'less'} than {bar:g} mm, a misprint"
    limits = f"the bar {way} of {SHORT:g} or {LONG[axis]:g} mm can be off by up to 4 %"
    return f"{told}: {limits}; {_again(mm / bar)}"


def _again(scale: float) -> str:
    """What to do about a misprint."""
    fit = known_fit(scale)
    cause = f"fit to page is the likely cause ({fit}): switch it off and " if fit else ""
    return f"{cause}print the page again at 100 %, not fitted to the page, and measure again"


def style(names: Sequence[str]) -> Reader:
    """The name of a style on the shelf."""
    shelf = f"the styles are {', '.join(names) or 'none'}"

    def read(value: object) -> str:
        known = _typed(value, "the name of a style")
        if known not in names:
            raise Misread(f"{show(known)} is no style on the shelf: {advise(known, names, shelf)}")
        return known

    return read


def option(given: Option) -> Key:
    """The key of a style's option."""
    readers: dict[str, Reader] = {
        "length": millimetres(given.least_mm, given.most_mm),
        "count": count(given.most, f"number of {given.name}", given.least),
        "choice": choice(*given.choices),
        "flag": flag,
    }
    return Key(readers[given.kind])

"""Lengths, sheet sizes, card weights and masses as a maker writes them, and how lengths are told again.

Inside the program a length is a float in mm; 25.4 mm = 1 in exactly. What cannot be read raises `Misread`,
whose text is the middle of a sentence: what was found, what is allowed and what to write instead.
"""

from __future__ import annotations

import json
import math
import re
from dataclasses import dataclass
from typing import Literal

from booklet.grid import INCH, Grid, Units

Written = Literal["mm", "cm", "in"]
MM_PER: dict[Written, float] = {"mm": 1.0, "cm": 10.0, "in": INCH}
SPELLINGS = '"125 mm", "12.5 cm", "4 7/8 in" or "4.9 in"'
LONGEST = 60
"""Characters that a size or a weight may have."""

HAIR = 0.1
"""mm: what is further off a mark of the ruler is told as a hair more or less."""

ON_THE_RULER = 0.01
"""mm within which a length counts as a mark of 1/16 in: far under what an eye can see."""

_VULGAR = str.maketrans({"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"})
_UNITS: dict[str, Written] = {"mm": "mm", "cm": "cm", "in": "in", "inch": "in", "inches": "in", '"': "in"}
_SIGNS = str.maketrans({
    "\u2033": '"', "\u201d": '"', "\u201c": '"',  # inch and quotation marks
    "\u2044": "/", "\u2212": "-", "\u00d7": "x",  # fraction slash, minus, times
})  # fmt: skip
"""Typographic signs of the same meaning; odd spaces are taken as spaces anyway."""
_NUMBER = re.compile(r"([+-]?)(?:([0-9]+)(?: +|-))?([0-9]+)/([0-9]+)|([+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+))")
_LENGTH = re.compile(r"(.*?[0-9.])\s*(mm|cm|inches|inch|in|\")", re.IGNORECASE)
_POINTS = re.compile(r"(.*[0-9.])\s*(?:pt|points?)", re.IGNORECASE)
_SHEET = re.compile(r"(.*?[0-9.])\s*(mm|cm|inches|inch|in|\")?\s*x\s*(.*?[0-9.])\s*(mm|cm|inches|inch|in|\")", re.IGNORECASE)
_LB = re.compile(r"(.*?[0-9.])\s*(?:lbs?|#)\s*(.*)", re.IGNORECASE)
_GSM = re.compile(r"(.*?[0-9.])\s*(?:gsm|g/m2|g/m\^2|g/m²)", re.IGNORECASE)
_MASS = re.compile(r"(.*?[0-9.])\s*(kg|g|oz|lbs?)", re.IGNORECASE)

ISO_216: dict[str, tuple[float, float]] = {
    "A0": (841, 1189), "A1": (594, 841), "A2": (420, 594), "A3": (297, 420), "A4": (210, 297), "A5": (148, 210), "A6": (105, 148),
}  # fmt: skip
"""Trimmed sizes in mm, width and height (ISO 216)."""

ASME: dict[str, tuple[float, float]] = {
    "Letter": (215.9, 279.4), "Legal": (215.9, 355.6), "Tabloid": (279.4, 431.8),
}  # fmt: skip
"""8.5 x 11, 8.5 x 14 and 11 x 17 in, in mm exactly (ASME Y14.1; Legal is of the same family)."""

SHEETS = {**ISO_216, **ASME}

BASIC_SIZES = {
    "bond": (17.0, 22.0), "text": (25.0, 38.0), "cover": (20.0, 26.0), "index": (25.5, 30.5), "tag": (24.0, 36.0), "bristol": (22.5, 28.5),
}  # fmt: skip
"""Basic sheets in inches: a pound weight is that of 500 of them (the paper trade's custom)."""

GRAMS: dict[str, float] = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}
"""Exact, from the international avoirdupois pound."""

MASSES = '"380 g", "1.2 kg", "13 oz" or "1 lb"'
GRAMMAGES = '"216 gsm", "216 g/m2" or "80 lb cover"'


class Misread(ValueError):
    """A text that is not the size or weight that it should be; says what is allowed."""


@dataclass(frozen=True, slots=True)
class Length:
    """A length in mm, the unit that it was written in, and the text as written."""

    mm: float
    written: Written = "mm"
    text: str = ""


def show(value: object, most: int = 60) -> str:
    """A value as it stands in a spec, in quotes when it is a text, tamed."""
    if isinstance(value, bool):
        return str(value).lower()
    return tame(json.dumps(value, ensure_ascii=False) if isinstance(value, str) else _plain(value), most)


def tame(text: str, most: int = 60) -> str:
    """A text that can be told on one line: without control characters, cut at `most` characters."""
    text = "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text[: most + 1])
    return text if len(text) <= most else text[: most - 3] + "..."


def _plain(value: object) -> str:
    try:
        return str(value)
    except ValueError:  # an integer of more digits than Python will print
        return "a number of thousands of digits"


def parse_length(value: object) -> Length:
    """The length that a text says, of either sign and zero too. Raises `Misread`, for NaN and infinity as well.

    >>> parse_length("4 7/8 in")
    Length(mm=123.825, written='in', text='4 7/8 in')
    >>> parse_length("12.5 cm").mm
    125.0
    """
    text = _text(value)
    found = _LENGTH.fullmatch(_tidy(text))
    if not found:
        raise Misread(_unitless(text))
    unit = _UNITS[found[2].lower()]
    if unit != "in" and "/" in found[1]:
        raise Misread(f"{show(text)} mixes a fraction with {unit}: fractions go with inches; write a decimal, such as {SPELLINGS}")
    return Length(_finite(_number(found[1], text) * MM_PER[unit], text), unit, text)


def parse_positive(value: object) -> Length:
    """As `parse_length`, but zero and less are refused."""
    return _above_zero(parse_length(value))


def _above_zero(length: Length) -> Length:
    if length.mm <= 0:
        raise Misread(f"{show(length.text)} is not above zero: write a size such as {SPELLINGS}")
    return length


def parse_caliper(value: object) -> Length:
    """A thickness of card: a length above zero, or points of a thousandth of an inch ("12 pt")."""
    text = _text(value)
    points = _POINTS.fullmatch(_tidy(text))
    if not points:
        return parse_positive(text)
    return _above_zero(Length(_finite(_number(points[1], text) * INCH / 1000, text), "in", text))


def _text(value: object) -> str:
    """The text to read; a bare number is refused with the spellings that work."""
    if isinstance(value, str):
        return _short(value, SPELLINGS)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise Misread(f"{show(value)} is no length: write a text such as {SPELLINGS}")
    if isinstance(value, float) and not math.isfinite(value):
        raise Misread(f"{show(value)} is not a size: write a text such as {SPELLINGS}")
    known = f'"{value} mm" or "{value} in"' if 0 < value < 1e5 else SPELLINGS
    raise Misread(f"{show(value)} is a bare number: say the unit and put it in quotes, {known}")


def _short(text: str, spellings: str) -> str:
    """The text, unless it is longer than any size: patterns are not run over a whole file."""
    if len(text) > LONGEST:
        raise Misread(f"{show(text)} is a text of {len(text)} characters, where a size has a few: write {spellings}")
    return text


def _tidy(text: str) -> str:
    """Typographic signs as plain ones, single spaces, no space at the ends; "4½" becomes "4 1/2"."""
    return " ".join(text.translate(_SIGNS).translate(_VULGAR).split())


def _unitless(text: str) -> str:
    """Why a text is no length, as closely as it can be told."""
    tidy = _tidy(text)
    if re.search(r"\b(nan|inf|infinity)\b", tidy, re.IGNORECASE):
        return f"{show(text)} is not a size: write {SPELLINGS}"
    if _NUMBER.fullmatch(tidy):
        return f"{show(text)} has no unit: write {show(tidy + ' mm')} or {show(tidy + ' in')}"
    return f"{show(text)} is not a length that can be read: write {SPELLINGS}"


def _number(text: str, whole: str) -> float:
    """A plain number: "12.5", "1/2", "4 7/8", "4-7/8", with or without a sign. `whole` is what to show."""
    found = _NUMBER.fullmatch(text.strip())
    if "," in text:
        raise Misread(f"{show(whole)} has a comma: write a point before the decimals and nothing between thousands, such as {SPELLINGS}")
    if not found:
        raise Misread(f"{show(whole)} is not a number that can be read: write plain figures, such as {SPELLINGS}")
    if found[5]:
        return float(found[5])
    return _fraction(found, whole)


def _fraction(found: re.Match[str], whole: str) -> float:
    """Sign, whole inches, numerator and denominator of a match as one number."""
    sign, inches, top, bottom = found[1], found[2], float(found[3]), float(found[4])
    if not bottom or not math.isfinite(top + bottom) or (inches and top >= bottom):
        raise Misread(f'{show(whole)} has a fraction that makes no sense: write the smaller figure on top, such as "4 7/8 in"')
    return (float(inches or 0) + top / bottom) * (-1 if sign == "-" else 1)


def _finite(mm: float, text: str) -> float:
    if not math.isfinite(mm):
        raise Misread(f"{show(text)} is too large for any ruler: write {SPELLINGS}")
    return round(mm, 9)


def as_read(length: Length) -> float:
    """The size in mm as a maker reads a ruler: inches that are not a mark of 1/16 are read up to the next 1/8.

    >>> as_read(parse_length("4.3 in")) / 25.4, as_read(parse_length("4 5/16 in")) / 25.4, as_read(parse_length("4.3 cm"))
    (4.375, 4.3125, 43.0)
    """
    if length.written != "in" or fraction(length.mm):
        return length.mm
    return math.ceil(length.mm / INCH * 8) / 8 * INCH


def fraction(mm: float) -> tuple[int, int, int] | None:
    """(whole inches, numerator, denominator) of a length that is a mark of 1/16 in, reduced; else None.

    >>> fraction(114.3), fraction(101.6), fraction(115.0)
    ((4, 1, 2), (4, 0, 1), None)
    """
    mark = Grid("in").nearest(mm)
    if mm < 0 or abs(mark - mm) > ON_THE_RULER:
        return None
    whole, rest = divmod(round(mark / INCH * 16), 16)
    return whole, rest // math.gcd(rest, 16), 16 // math.gcd(rest, 16)


def tell(mm: float, units: Units, fine: bool = False) -> str:
    """A length for people: "125 mm", "125.5 mm", "4 1/2 in", "4.53 in". `fine`: one decimal more, for thicknesses.

    mm have at most one decimal; inches a fraction on the marks of 1/16, else 2 decimals, 3 below one inch.
    """
    if units == "mm":
        return f"{_decimals(mm, 2 if fine else 1)} mm"
    parts = fraction(abs(mm))
    if parts is None:
        return f"{_decimals(mm / INCH, 3 if fine or abs(mm) < INCH else 2)} in"
    return f"{'-' if mm < 0 and any(parts[:2]) else ''}{_built(*parts)} in"


def read_off(mm: float, units: Units, hair: bool = False) -> str:
    """A length as it is read off a ruler: mm as `tell`, inches to the nearest mark of 1/16.

    `hair`: a plus or a minus behind a figure that is over 0.1 mm more or less than its mark.

    >>> read_off(112.8, "in"), read_off(113.0, "in", hair=True), read_off(114.3, "in", hair=True), read_off(112.8, "mm")
    ('4 7/16 in', '4 7/16+ in', '4 1/2 in', '112.8 mm')
    """
    if units == "mm":
        return tell(mm, units)
    mark = Grid("in").nearest(mm)
    off = mm - mark
    sign = "" if not hair or abs(off) <= HAIR else "+" if off > 0 else "-"
    number, _, unit = tell(mark, units).rpartition(" ")
    return f"{number}{sign} {unit}"


def _built(whole: int, top: int, bottom: int) -> str:
    return " ".join(part for part in (str(whole) if whole or not top else "", f"{top}/{bottom}" if top else "") if part)


def _decimals(number: float, places: int) -> str:
    """At most so many decimals, without trailing zeros or a lonely minus."""
    text = f"{number:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet of card or paper: width and height in mm, in the order written, and its name or the text as written."""

    size: tuple[float, float]
    name: str


def parse_sheet(value: object) -> Sheet:
    """A sheet by its name or by two sizes above zero; the unit may stand once, at the end. Raises `Misread`.

    >>> parse_sheet("a4"), parse_sheet("12x12 in")
    (Sheet(size=(210.0, 297.0), name='A4'), Sheet(size=(304.8, 304.8), name='12x12 in'))
    """
    if not isinstance(value, str):
        raise Misread(f"{show(value)} is no sheet size: write {_sheets()}")
    text = _short(value, _sheets())
    name = next((name for name in SHEETS if name.lower() == text.strip().lower()), None)
    if name:
        return Sheet((float(SHEETS[name][0]), float(SHEETS[name][1])), name)
    found = _SHEET.fullmatch(_tidy(text))
    if not found:
        raise Misread(f"{show(text)} is no sheet size that can be read: write {_sheets()}")
    first, second = f"{found[1]} {found[2] or found[4]}", f"{found[3]} {found[4]}"
    return Sheet((parse_positive(first).mm, parse_positive(second).mm), " ".join(text.split()))


def _sheets() -> str:
    return f'{", ".join(SHEETS)}, or two sizes with their unit, such as "305 x 305 mm" or "12x12 in"'


def parse_grammage(value: object) -> float:
    """The weight of card in g/m2, above zero; pounds with their category. Raises `Misread`.

    >>> parse_grammage("216 gsm"), round(parse_grammage("80 lb cover"), 1)
    (216.0, 216.3)
    """
    text = _weight(value, GRAMMAGES)
    pounds, grams = _LB.fullmatch(_tidy(text)), _GSM.fullmatch(_tidy(text))
    if pounds:
        return _some(_number(pounds[1], text), text) * gsm_per_pound(_category(pounds[2], text))
    if not grams:
        raise Misread(f"{show(text)} is no weight of card that can be read: write {GRAMMAGES}")
    return _some(_number(grams[1], text), text)


def gsm_per_pound(category: str) -> float:
    """g/m2 of one pound: 1 lb over the area of 500 basic sheets of this category."""
    wide, high = BASIC_SIZES[category]
    return GRAMS["lb"] / (500 * wide * high * (INCH / 1000) ** 2)


def _category(word: str, text: str) -> str:
    """The category of a pound weight; none, or an unknown one, is refused, as pounds mean nothing without it."""
    category = word.strip().lower()
    if category in BASIC_SIZES:
        return category
    names = ", ".join(BASIC_SIZES)
    raise Misread(f'{show(text)} needs its category, as pounds mean another weight in each: add one of {names}, as in "80 lb cover"')


def parse_mass(value: object) -> float:
    """A mass in g, above zero. Raises `Misread`.

    >>> parse_mass("380 g"), parse_mass("1.2 kg"), round(parse_mass("13 oz"), 2)
    (380.0, 1200.0, 368.54)
    """
    text = _weight(value, MASSES)
    found = _MASS.fullmatch(_tidy(text))
    if not found:
        raise Misread(f"{show(text)} is no weight that can be read: write {MASSES}")
    return _some(_number(found[1], text), text) * GRAMS[found[2].lower().removesuffix("s")]


def _weight(value: object, spellings: str) -> str:
    if isinstance(value, str):
        return _short(value, spellings)
    raise Misread(f"{show(value)} is no weight with its unit in quotes: write {spellings}")


def _some(number: float, text: str) -> float:
    """A weight above zero and below any sense (1e9)."""
    if not 0 < number < 1e9:
        raise Misread(f"{show(text)} is not a weight above zero that makes sense: measure it again")
    return number

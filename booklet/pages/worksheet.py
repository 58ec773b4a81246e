"""The worksheet in words: its questions for pupils and their answers for the teacher, and the drawing of the net. The part `worksheet`."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from booklet import worksheet
from booklet.drawing.pen import MM_PER_POINT, STROKES, Pen
from booklet.drawing.unlayered import Unlayered
from booklet.drawing.worksheet import NetDrawing
from booklet.grid import INCH
from booklet.handout import NARROW
from booklet.lengths import HAIR
from booklet.pages.figures import figures_of
from booklet.pages.filling import kept
from booklet.pages.markdown import built
from booklet.pages.words import Words
from booklet.pdf import blocks
from booklet.pdf.flow import Picture
from booklet.plan import Plan
from booklet.worksheet import Question

FEW = 4
"""Where more pairs than this answer a question only some of them are asked for (chosen by us)."""

LINE = 8.0
"""mm from line to line to write on (chosen by us)."""

BELOW = 5.0
"""mm under the last of them, before the next question."""

SCALE_PT = 8.0


@dataclass(frozen=True, slots=True)
class Asked:
    """A question as it is told: its text, its answer, and how many lines there are to write on."""

    number: int
    text: str
    answer: str
    lines: int


class Worksheet:
    """The worksheet of a plan. Raises `BookletError` where a language has no words for a question."""

    def __init__(self, plan: Plan, words: Words):
        self._plan, self._words, self._tell = plan, words, figures_of(plan, words)

    @cached_property
    def questions(self) -> tuple[Asked, ...]:
        """All questions in their order."""
        return tuple(self._asked(n, one) for n, one in enumerate(worksheet.questions(self._plan), 1))

    def _asked(self, number: int, one: Question) -> Asked:
        made = {"meet": self._pairs, "opposite": self._pairs, "layers": self._pairs, "twins": self._groups, "folds": self._count}
        text, answer = made.get(one.kind, self._reckoned)(one)
        return Asked(number, text, answer, 1 if one.kind in ("folds", "opposite") or self._plan.spec.page.paper[0] < NARROW else 2)

    def _pairs(self, one: Question) -> tuple[str, str]:
        some = "_some" if len(one.pairs) > FEW else ""
        ask = self._words.said(f"worksheet.{one.kind}{some}", **({} if some else {"n": len(one.pairs)}))
        return ask, self._words.listed(self._two(pair) for pair in one.pairs)

    def _two(self, pair: Sequence[int]) -> str:
        return self._words.said("worksheet.pair", first=pair[0], second=pair[1])

    def _groups(self, one: Question) -> tuple[str, str]:
        groups = (self._words.listed(map(str, group)) for group in one.pairs)
        return self._words.said("worksheet.twins"), self._words("marking", "between").join(groups)

    def _count(self, one: Question) -> tuple[str, str]:
        return self._words.said("worksheet.folds"), f"{one.figure:.0f}"

    def _reckoned(self, one: Question) -> tuple[str, str]:
        """What is asked with measures and answered by a figure."""
        key = _key(one)
        if one.kind == "ratio":  # with the volume that was found before
            one = replace(one, given=(one.given[0], self._worked(self._of("volume"))))
        given = {name: self._told(name, value) for name, value in zip(_GIVEN[key], one.given, strict=True)}
        more = {"face": one.face, **({"n": one.face} if one.kind == "left" else {}), "question": self._number("volume")}
        answer = self._words.said(f"worksheet.answer_{key}", figure=self._figure(replace(one, figure=self._worked(one))), **given)
        return self._words.said(f"worksheet.{key}", **given, **more), answer

    def _worked(self, one: Question) -> float:
        """The answer by the figures that stand in the question, so that what is written out is true."""
        key = _key(one)
        return _WORKED[key]({name: self._read(name, value) for name, value in zip(_GIVEN[key], one.given, strict=True)}, one.face)

    def _of(self, kind: str) -> Question:
        """The question of a kind."""
        return next(one for one in worksheet.questions(self._plan) if one.kind == kind)

    def _number(self, kind: str) -> int:
        """Which question is of a kind, from 1; 0 for none."""
        return next((n for n, one in enumerate(worksheet.questions(self._plan), 1) if one.kind == kind), 0)

    def _told(self, name: str, value: float) -> str:
        """A measure by its name, with its unit."""
        if name in _AREAS:
            return self._area(value)
        if name == "volume":
            return self._volume(value)
        if name == "grammage":
            return self._tell.grammage(value)
        return f"{value:.0f}" if name == "sides" else self._length(value)

    def _read(self, name: str, value: float) -> float:
        """A measure as it is read from the sheet, in mm, so that an answer is true of the figures that stand beside it."""
        inches = self._tell.units == "in"
        if name in (*_AREAS, "volume"):
            unit = (INCH if inches else 10.0) ** (3 if name == "volume" else 2)
            return round(value / unit, int(name != "volume" or value / unit < _WHOLE)) * unit
        if name in ("sides", "grammage"):
            return round(value)
        if not inches:
            return round(value, 1)
        return round(value / INCH, 2) * INCH if self._off(value) else self._plan.spec.booklet.grid.nearest(value)

    def _off(self, mm: float) -> bool:
        """Whether a length is off the marks of the ruler."""
        return abs(mm - self._plan.spec.booklet.grid.nearest(mm)) > HAIR

    def _length(self, mm: float) -> str:
        """A length; in inches one that is off the marks of the ruler with decimals, so that it can be reckoned with."""
        off = self._tell.units == "in" and self._off(mm)
        return self._tell.marked(f"{mm / INCH:.2f} in") if off else self._tell.length(mm)

    def _area(self, mm2: float) -> str:
        """In cm2 or square inches, to a tenth."""
        unit, area = ("in", mm2 / INCH**2) if self._tell.units == "in" else ("cm", mm2 / 100)
        return self._tell.marked(f"{area:.1f} {unit}\u00b2")

    def _figure(self, one: Question) -> str:
        if one.kind == "volume":
            return self._volume(one.figure)
        if one.kind == "ratio":
            return self._tell.marked(f"{one.figure * (INCH if self._tell.units == 'in' else 10):.2f}")
        if one.kind == "mass":
            return self._tell.marked(f"{one.figure:.1f} g")
        return self._tell.percent(one.figure) if one.shape == "share" else self._area(one.figure)

    def _volume(self, mm3: float) -> str:
        """In cm3 or cubic inches, to a tenth where it is under a hundred."""
        unit, volume = ("in", mm3 / INCH**3) if self._tell.units == "in" else ("cm", mm3 / 1000)
        return self._tell.marked(f"{volume:.{int(volume < _WHOLE)}f} {unit}\u00b3")


def _key(one: Question) -> str:
    """The words of a question."""
    return f"{one.kind}_{one.shape}" if one.kind in _BY_SHAPE else one.kind


_WHOLE = 99.95
"""Volumes from here on are told without decimals."""

_AREAS = ("floor", "middle", "rim", "card", "surface")
"""Measures that are areas, mm2."""

_BY_SHAPE = ("area", "shape", "volume", "left")
"""Kinds whose sentence is another one for each shape."""

_GIVEN: Mapping[str, tuple[str, ...]] = {
    "area_rectangle": ("long", "short"),
    "shape_triangle": ("base", "height"),
    "shape_trapezium": ("long", "short", "height"),
    "shape_regular": ("sides", "side", "far"),
    "around": ("long", "short"),
    "volume_cuboid": ("length", "width", "height"),
    "volume_prism": ("floor", "height"),
    "volume_pyramid": ("floor", "height"),
    "volume_frustum": ("floor", "middle", "rim", "height"),
    "ratio": ("surface", "volume"),
    "left_share": ("wide", "high", "card"),
    "left_rest": ("wide", "high", "card"),
    "mass": ("card", "grammage"),
}
"""What the sentence of a question is filled in with, in the order of what it tells."""

_WORKED: Mapping[str, Callable[[Mapping[str, float], int], float]] = {
    "area_rectangle": lambda m, n: m["long"] * m["short"],
    "shape_triangle": lambda m, n: m["base"] * m["height"] / 2,
    "shape_trapezium": lambda m, n: (m["long"] + m["short"]) / 2 * m["height"],
    "shape_regular": lambda m, n: m["sides"] * m["side"] * m["far"] / 2,
    "around": lambda m, n: m["long"] * m["short"],
    "volume_cuboid": lambda m, n: m["length"] * m["width"] * m["height"],
    "volume_prism": lambda m, n: m["floor"] * m["height"],
    "volume_pyramid": lambda m, n: m["floor"] * m["height"] / 3,
    "volume_frustum": lambda m, n: (m["floor"] + 4 * m["middle"] + m["rim"]) / 6 * m["height"],
    "ratio": lambda m, n: m["surface"] / m["volume"],
    "left_share": lambda m, n: 1 - m["card"] / (n * m["wide"] * m["high"]),
    "left_rest": lambda m, n: n * m["wide"] * m["high"] - m["card"],
    "mass": lambda m, n: m["card"] * 1e-6 * m["grammage"],
}
"""How an answer is worked out from what a question tells, n the number of sheets: the sums that stand in the words of the answers."""


def net(pictures: Any, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
    """The flat net with its numbers and its scale: as high as the settings say, or what the page leaves."""

    def draw(pen: Pen, wide: float, high: float) -> None:
        foot, bare = SCALE_PT * MM_PER_POINT * 1.6, Unlayered(pen)
        drawn = NetDrawing(pictures.plan.net, wide, high - foot)
        drawn.draw(bare, (0.0, foot, wide, high))
        up, down = drawn.scale
        bare.text((0.0, 1.0), pictures.words.said("worksheet.scale", drawing=up, card=down), SCALE_PT)

    if settings.get("height") == "rest":
        return [blocks.Rest(draw)]
    high = float(settings.get("height", "80"))
    return [Picture(width, high, lambda pen: draw(pen, width, high))]


def questions(pictures: Any, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
    """All questions, each with lines to write on, from which no column or page parts it."""
    made: list[Any] = []
    for one in pictures.more["worksheet"].questions:
        made += kept([pictures.make.paragraph(f"<b>{one.number}</b>\u00a0\u00a0{built(one.text)}"), _lines(one.lines, width)])
    return made


def _lines(count: int, width: float) -> Any:
    def draw(pen: Pen) -> None:
        for n in range(count):
            pen.path([(0.0, BELOW + n * LINE), (width, BELOW + n * LINE)], STROKES["dimension"])

    return Picture(width, count * LINE + BELOW - 3.0, draw)

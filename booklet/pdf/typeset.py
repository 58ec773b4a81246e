"""Type: paragraphs, lists, tables and boxes in the sizes of a layout. Marked-up text is reportlab's small XML."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus.paragraph import Paragraph

from booklet.pdf import fonts
from booklet.pdf.blocks import Boxed, points
from booklet.pdf.table import RuledTable

Size = tuple[float, float]
"""Type: size and leading in points."""

ALERT = ("danger", "warning", "caution")
"""Signal words of injury, which carry the alert sign; a notice never does (ANSI Z535)."""


@dataclass(frozen=True, slots=True)
class Type:
    """Type sizes and spaces of a layout: (size, leading) in points, spaces in mm."""

    text: Size = (10, 14)
    lead: Size = (12, 16)
    warning: Size = (12, 16)
    heading: Size = (16, 20)
    subheading: Size = (11, 14)
    title: Size = (36, 40)
    table: Size = (10, 13)
    small: Size = (8, 10)
    step_number: float = 24
    paragraph_gap: float = 2.0
    block_gap: float = 4.0
    indent: float = 5.0


TAGS = {"title": "H1", "h1": "H2", "h2": "H3"}
"""Styles that are headings, and the elements that they are."""


class Wording(Paragraph):
    """A paragraph that knows its markup, and is one element even where it is parted over two pages."""

    def __init__(self, text: str | None, *args: Any, **how: Any):
        super().__init__(text, *args, **how)
        self.said = text or ""
        self._node: list[Any] = []

    def split(self, width: float, height: float) -> list[Any]:
        """Called by platypus."""
        parts: list[Any] = super().split(width, height)
        for part in parts:
            part._node = self._node
        return parts

    def draw(self) -> None:
        """Called by platypus."""
        found = self.canv.tags
        if found and not self._node:
            bullet = self.bulletText
            self._node.append(found.item(str(bullet) == "1.").add("LBody") if bullet else found.add(TAGS.get(self.style.name, "P")))
        if self.style.name == "h2":
            self.canv.subheaded(self.getPlainText())
        with self.canv.content(self._node[0] if found else None):
            super().draw()


TITLE_LINES = 3
"""A title that takes more lines is set smaller: the picture under it is what a cover is for (chosen by us)."""


class Headline(Wording):
    """A title in the first of its styles in which it takes few lines, else in the last. It is not parted."""

    def __init__(self, text: str, styles: Sequence[ParagraphStyle]):
        super().__init__(text, styles[0])
        self._styles = styles

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Called by platypus."""
        size = 0.0, 0.0
        for style in self._styles:
            Paragraph.__init__(self, self.said, style)
            size = super().wrap(width, height)
            if size[1] <= TITLE_LINES * style.leading + 0.01:
                break
        return size

    def split(self, width: float, height: float) -> list[Any]:
        """Called by platypus."""
        return []


@dataclass(frozen=True)
class Typesetter:
    """Makes blocks in the type of a layout."""

    type: Type = field(default_factory=Type)

    @cached_property
    def _styles(self) -> dict[str, ParagraphStyle]:
        t, gap = self.type, points(self.type.paragraph_gap)
        make = fonts.paragraph_style
        return {
            "text": make("text", *t.text, spaceAfter=gap),
            "lead": make("lead", *t.lead, spaceAfter=gap),
            "warning": make("warning", *t.warning),
            "h1": make("h1", *t.heading, bold=True, spaceBefore=points(t.block_gap), spaceAfter=gap, keepWithNext=1),
            "h2": make("h2", *t.subheading, bold=True, spaceBefore=gap, spaceAfter=gap / 3, keepWithNext=1),
            "small": make("small", *t.small),
            "item": make("item", *t.text, leftIndent=points(t.indent), spaceAfter=gap / 2.5, bulletIndent=0),
        }

    @cached_property
    def _titles(self) -> tuple[ParagraphStyle, ...]:
        """The title's style, and smaller ones of the scale."""
        largest, gap = self.type.title, points(self.type.paragraph_gap)
        less = (self.type.step_number, self.type.step_number * largest[1] / largest[0]), self.type.heading
        sizes = [largest, *(size for size in less if size[0] < largest[0])]
        return tuple(fonts.paragraph_style("title", *size, bold=True, spaceAfter=gap) for size in sizes)

    def paragraph(self, markup: str, style: str = "text") -> Wording:
        """Words that run on. Styles: text, lead, warning, h1, h2, title, small."""
        if style == "title":
            return Headline(markup, self._titles)
        return Wording(markup, self._styles[style])

    def item(self, markup: str, bullet: str = "\u2022") -> Wording:
        """One item of a list, with its bullet or number hanging."""
        return Wording(markup, self._styles["item"], bulletText=bullet)

    def boxed(self, signal: str, word: str, markup: str, pictogram: str = "") -> Boxed:
        """A ruled box: its signal word, with the alert sign where it is one of injury, what it warns of, and a pictogram by its name."""
        style = self._styles["warning"]
        box = Boxed([Wording(f"<b>{word}</b>", style), Wording(markup, style)], signal.lower() in ALERT, pictogram)
        box.signal, box.word, box.said = signal, word, markup
        return box

    def table(self, head: Sequence[str], rows: Sequence[Sequence[str]], aligns: Sequence[str]) -> RuledTable:
        """Thin horizontal rules only; `aligns` are left, right or middle, a column each; cells are plain words."""
        return RuledTable(head, rows, aligns, *self.type.table, points(self.type.block_gap))

"""Type: paragraphs, lists, tables and boxes in the sizes of a layout. Marked-up text is reportlab's small XML."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

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
            "title": make("title", *t.title, bold=True, spaceAfter=gap),
            "small": make("small", *t.small),
            "item": make("item", *t.text, leftIndent=points(t.indent), spaceAfter=gap / 2.5, bulletIndent=0),
        }

    def paragraph(self, markup: str, style: str = "text") -> Paragraph:
        """Words that run on. Styles: text, lead, warning, h1, h2, title, small."""
        return Paragraph(markup, self._styles[style])

    def item(self, markup: str, bullet: str = "\u2022") -> Paragraph:
        """One item of a list, with its bullet or number hanging."""
        return Paragraph(markup, self._styles["item"], bulletText=bullet)

    def boxed(self, signal: str, word: str, markup: str) -> Boxed:
        """A ruled box: its signal word, with the alert sign where the word is one of injury, and what it warns of."""
        style = self._styles["warning"]
        return Boxed([Paragraph(f"<b>{word}</b>", style), Paragraph(markup, style)], signal.lower() in ALERT)

    def table(self, head: Sequence[str], rows: Sequence[Sequence[str]], aligns: Sequence[str]) -> RuledTable:
        """Thin horizontal rules only; `aligns` are left, right or middle, a column each; cells are plain words."""
        return RuledTable(head, rows, aligns, *self.type.table, points(self.type.block_gap))

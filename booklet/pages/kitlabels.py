"""The labels of the bags as a drawing of a text: `drawing("bag-labels")`, one for each copy, as many side by side as a page holds."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from booklet.drawing import label, qr
from booklet.drawing.label import OFF, TICK, Label, Words
from booklet.drawing.pen import STROKES, Pen
from booklet.pages import logo
from booklet.pages.figures import figures_of
from booklet.pages.pictures import LINE, Pictures
from booklet.pages.within import room_of
from booklet.pages.words import Words as Language
from booklet.pdf import blocks
from booklet.pdf.canvas import PdfFile
from booklet.pdf.flow import Picture
from booklet.plan import Plan
from booklet.spec.model import Art, Party

WIDTH = 80.0
"""mm: a label is at least so wide (chosen by looking)."""

AROUND = OFF + TICK + 0.5
"""mm: room for the ticks on each side of a label."""

ROW = 9.0
"""mm: height of a row to write in (common practice, no source)."""

NO_BREAK, SHORT = "\u00a0", 24
"""A space that ends no line; parts of an address with so many letters at most keep on one line."""

FIGURE = re.compile(r"(?<=\d) (?=\d+/|mm|in|\u00d7)|(?<=\u00d7) ")
"""Spaces within a size: before a fraction or a unit, and round the sign for times."""

LOGO = (30.0, 11.0)
"""mm: a logo on a label is at most so wide and so high (chosen by looking)."""

SMALL, MIDDLE, LARGE = 8.0, 10.0, 12.0
"""Type on a label, points. Warnings are 12 pt or more (ISO/IEC Guide 37)."""


def labels(pictures: Pictures, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
    """A block for each row of labels."""
    probe = PdfFile("probe")
    made, pen = label_of(pictures.plan, pictures.words), probe.page((210, 297))
    across = max(1, int(width / (WIDTH + 2 * AROUND)))
    cell = width / across
    high = label.height(pen, made, cell - 2 * AROUND) + 2 * AROUND
    copies = pictures.plan.spec.booklet.copies
    art = pictures.plan.spec.artwork.logo
    return [_row(made, art, min(across, copies - k), cell, high, width) for k in range(0, copies, across)]


def _row(made: Label, art: Art | None, count: int, cell: float, high: float, width: float) -> Picture:
    def draw(pen: Pen) -> None:
        for n in range(count):
            box = n * cell + AROUND, AROUND, (n + 1) * cell - AROUND, high - AROUND
            label.draw(pen, made, box)
            if art:
                logo.put(pen, art, label.logo_box(made, box), "start")

    return Picture(width, high, draw)


def label_of(plan: Plan, words: Language) -> Label:
    """What stands on the label of a plan: what it is, how large inside, what tells it apart, and who answers for it.

    Regulation (EU) 2023/988, article 9: an identifier, the maker's name, postal and electronic address; where it can be, on the product.
    """
    seller, safety = plan.spec.seller, plan.spec.safety
    inside = FIGURE.sub(NO_BREAK, room_of(plan, figures_of(plan, words), words)["inside"])
    beside = [Words(plan.spec.title, LARGE, bold=True), Words(words.said("kit.inside", size=inside), MIDDLE, above=1.0)]
    under: list[Words] = []
    if seller:
        told = ((seller.number, "kit.number"), (seller.batch, "kit.batch"))
        beside += [Words(words.said(key, name=text), MIDDLE) for text, key in told if text]
        under.append(_party(words, "kit.made_by_all", seller.maker))
        under += [_party(words, "kit.responsible_all", seller.responsible)] if seller.responsible else []
    if safety.age is not None:
        under.append(Words(words.said("kit.ages", age=safety.age), LARGE, bold=True, above=1.0))
    if "small-parts" in safety.hazards:
        warned = words.spaced(f"{words('signals', 'warning')}: {words.said('kit.small_parts')}")
        under.append(Words(warned, LARGE, bold=True, above=1.0))
    return Label(tuple(beside), tuple(under), qr.matrix(seller.link) if seller and seller.link else None, _logo(plan))


def _logo(plan: Plan) -> tuple[float, float]:
    """The size of the logo on a label."""
    art = plan.spec.artwork.logo
    return logo.size_of(art, LOGO) if art else (0.0, 0.0)


def _party(words: Language, key: str, party: Party) -> Words:
    told = [_whole(part) for part in (party.name, *party.address.split(", "), party.electronic)]
    return Words(words.said(key, party=", ".join(told)), SMALL, above=1.0)


def _whole(part: str) -> str:
    """A short part of an address, which keeps on one line."""
    return part.replace(" ", NO_BREAK) if len(part) <= SHORT else part


def record(pictures: Pictures, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
    """Empty rows under heads, as many as the page has room for: who packed what, and when."""
    heads = [head.strip() for head in pictures.words.said("kit.record_heads").split("|")]
    size, column = pictures.settings.type.text[0], width / len(heads)

    def drawn(pen: Pen, wide: float, high: float) -> None:
        rows = [label.lines(pen, Words(head, size, bold=True), column - 2.0) for head in heads]
        foot = high - max(map(len, rows)) * LINE - 1.5
        for k, row in enumerate(rows):
            for n, line in enumerate(row):
                pen.text((k * column, high - (n + 1) * LINE + 1.0), line, size, bold=True)
        for n in range(int(foot / ROW) + 1):
            pen.path([(0.0, foot - n * ROW), (wide, foot - n * ROW)], STROKES["dimension" if n else "rule"])

    return [blocks.Rest(drawn)]


def space(pictures: Pictures, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
    """Nothing, as high as what the page leaves: what follows stands at its foot."""
    return [blocks.Foot()]

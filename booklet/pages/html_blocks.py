"""The blocks of a drawing as HTML: pictures as SVG with what they show in words, steps as a list, and words among them."""

from __future__ import annotations

import base64
from collections.abc import Callable, Sequence
from itertools import groupby
from typing import Any

from booklet.drawing.pen import MM_PER_POINT
from booklet.drawing.svg import InlinePen
from booklet.errors import refuse
from booklet.pages.html_text import Writer, marked_up, spoken, ungrouped, words
from booklet.pdf import blocks, flow, signs, table, typeset
from booklet.pdf.cells import Cell, CellRow

STEP = (84.0, 66.0)
"""Width and height of the picture of a step, mm."""

WIDEST = 1.25
"""A picture on a wide screen is at most so many times as large as it is drawn."""

_SILENT = ("PageBreak", "CondPageBreak", "Foot", "Gap", "Mark", "Spacer")
"""Blocks that stand for the page's sake alone."""


class Pictured:
    """Writes blocks into a page. `contents`: what to do where they stand."""

    def __init__(self, writer: Writer, contents: Callable[[], None]):
        self._writer, self._contents = writer, contents
        self._count = 0

    def write(self, made: Sequence[Any], name: str) -> None:
        """Write the blocks of a drawing. Raises `BookletError` for a block that cannot be told."""
        seen = [block for block in made if type(block).__name__ not in _SILENT]
        for kind, run in groupby(seen, _kind):
            if kind == "steps":
                self._steps([cell for row in run for cell in row.cells])
            elif kind in ("ul", "ol"):
                self._writer.lines += [f"<{kind}>", *(f"<li>{marked_up(item.said)}</li>" for item in run), f"</{kind}>"]
            else:
                for block in run:
                    self._block(block, name)

    def _block(self, block: Any, name: str) -> None:
        lines = self._writer.lines
        if inner := blocks.within(block):
            self.write(inner, name)
        elif isinstance(block, flow.Picture):
            size = block.width * MM_PER_POINT, max(block.height, getattr(block, "most", 0.0)) * MM_PER_POINT
            block.height = size[1] / MM_PER_POINT
            lines.append(self.figure(size, block.drawn_on, block.alt))
        elif isinstance(block, blocks.Rest):
            size = (120.0, 110.0)
            lines.append(self.figure(size, lambda pen: block.drawn_on(pen, *size), block.alt))
        elif isinstance(block, blocks.Late):
            self._contents()
        elif isinstance(block, blocks.Boxed):
            self._writer.note(block.signal, block.word, [marked_up(block.said)], block.pictogram)
        elif isinstance(block, table.RuledTable):
            head, rows = ungrouped([words(one) for one in block.head], [[words(one) for one in row] for row in block.rows])
            self._writer.table(head, rows, block.aligns[: len(head)])
        elif isinstance(block, signs.Sign):
            lines.append(artwork(block))
        elif isinstance(block, typeset.Wording):
            self._paragraph(block)
        else:
            raise refuse(
                "layout", f"the drawing {name} is made of what cannot be told in HTML ({type(block).__name__}); leave it out there"
            )

    def _paragraph(self, block: Any) -> None:
        style = block.style.name
        if style in ("h1", "h2"):
            self._writer.heading(int(style[1]) + 1, marked_up(block.said))
        else:
            self._writer.lines.append(f"<p>{marked_up(block.said)}</p>")

    def figure(self, size: tuple[float, float], draw: Callable[[InlinePen], Any], alt: str) -> str:
        """A picture as SVG; its sizes in mm."""
        self._count += 1
        pen = InlinePen(f"p{self._count}")
        draw(pen)
        return f'<p class="picture" style="max-width: {size[0] * WIDEST:.0f}mm">{pen.inline(size, spoken(alt))}</p>'

    def _steps(self, cells: Sequence[Cell]) -> None:
        """The steps as a list that is numbered as they are: a warning before what is done, the picture after it."""
        lines = self._writer.lines
        lines.append('<ol class="steps">')
        for cell in cells:
            lines.append(f'<li value="{int(cell.number)}">')
            if cell.warning:
                self._writer.note(cell.warning.signal, cell.warning.word, [marked_up(cell.warning.said)], cell.warning.pictogram)
            lines.append(f"<p>{words(cell.said) if cell.said else marked_up(getattr(cell.words, 'said', ''))}</p>")
            lines.append(self.figure(STEP, lambda pen, cell=cell: cell.picture(pen, (0.0, 0.0, *STEP)), cell.alt))  # type: ignore[misc]
            if isinstance(cell.words, flow.Picture):
                self._block(cell.words, "steps")
            lines.append("</li>")
        lines.append("</ol>")


def _kind(block: Any) -> str:
    """What blocks that follow each other are taken together as."""
    if isinstance(block, CellRow):
        return "steps"
    bullet = getattr(block, "bulletText", None)
    return "" if not bullet else "ol" if bullet[0].isdigit() else "ul"


def artwork(block: Any) -> str:
    """A maker's own SVG, which has been looked at: as a picture, so that nothing in it reaches the page, nor leads out of it."""
    data = base64.b64encode(block.svg).decode()
    wide = block.width * MM_PER_POINT
    return (
        f'<p class="picture" style="max-width: {wide:.0f}mm"><img src="data:image/svg+xml;base64,{data}" alt="{_quoted(block.alt)}"/></p>'
    )


def _quoted(text: str) -> str:
    return words(text).replace('"', "&quot;")

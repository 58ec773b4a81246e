"""Signs and a maker's own artwork, from SVG. Never for lines that are cut, folded or measured.

A file of somebody else's making: it is looked at by `svgfile` first, and taken as bytes only, so that it can name no other file; what
the reader of SVG would leave out without a word is refused with its name.
"""

from __future__ import annotations

import io
import logging
import math
import re
from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from reportlab.graphics import renderPDF, shapes
from reportlab.platypus.flowables import Flowable
from svglib.svglib import svg2rlg

from booklet import svgfile
from booklet.drawing.pen import MM_PER_POINT
from booklet.errors import refuse
from booklet.pdf import fonts
from booklet.pdf.canvas import PdfFile
from booklet.pdf.pen import PdfPen
from booklet.plane import Affine, Ring

LEAST, MOST, SLIM = 0.5, 100_000.0, 500.0
"""Points: limits of a drawing's width and height, and how many times the one is the other at most (chosen by us)."""

_NO_FIGURE = re.compile(r"(?<![\w/])-?(?:nan|inf)(?!\w)|\d{12}")

# A drawing starts from these settings; reportlab's own face would go into the file without being embedded.
shapes.STATE_DEFAULTS["fontName"] = fonts.REGULAR
logging.getLogger("svglib").addHandler(logging.NullHandler())
logging.getLogger("svglib").propagate = False


class Sign(Flowable):
    """A drawing scaled to a width; stands among flowables, or on a page by `flow.put`.

    `svg`: the file behind it, as it was looked at; `alt`: what it shows, in words.
    """

    def __init__(self, drawing: Any, width_mm: float, align: str = "LEFT", svg: bytes = b""):
        super().__init__()
        self.svg, self.alt = svg, ""
        self._drawing = drawing
        self._scale = width_mm / MM_PER_POINT / drawing.width
        self.width, self.height = drawing.width * self._scale, drawing.height * self._scale
        self.hAlign = align

    def draw(self) -> None:
        """Called by platypus, the origin set."""
        with self.canv.figure((self.width, self.height), self.alt):
            self.canv.saveState()
            self.canv.scale(self._scale, self._scale)
            renderPDF.draw(self._drawing, self.canv, 0, 0)
            self.canv.restoreState()


def sign(svg: bytes, width_mm: float, name: str = "sign.svg", align: str = "LEFT") -> Sign:
    """The SVG as a flowable `width_mm` wide. Raises `BookletError` with the file's `name` for what cannot be drawn."""
    return Sign(drawing(svg, name), width_mm, align, svgfile.checked(svg, name))


def put(pen: PdfPen, made: Any, place: Affine, rings: Sequence[Ring]) -> None:
    """Draw what `drawing` gave, mapped by `place` from its own points to the pen's mm, and cut off at the area of the rings."""
    if rings:
        with pen.windowed(rings), pen.bare(place) as canvas:
            renderPDF.draw(made, canvas, 0, 0)


@lru_cache(maxsize=32)
def drawing(svg: bytes, name: str = "sign.svg") -> Any:
    """The SVG as reportlab's drawing, drawn once for trial. Raises `BookletError` with the file's `name` for what cannot be drawn."""
    plain = svgfile.checked(svg, name)
    fonts.register()
    try:
        made = svg2rlg(io.BytesIO(plain))
        if made is None or not _sized(made.width, made.height) or _reach(made) > MOST:
            raise ValueError("no size")
        _tried(made)
    except Exception as error:  # the reader of SVG raises anything at all on strange files
        raise refuse(name, "it cannot be drawn; save it as plain SVG 1.1 with a width, a height and shapes only") from error
    return made


def _sized(width: float, height: float) -> bool:
    return all(LEAST <= v <= MOST for v in (width, height)) and max(width, height) <= SLIM * min(width, height)


def _reach(shape: Any) -> float:
    """How many times a drawing's groups, one in the other, make what is in them larger, at most."""
    a, b, c, d, e, f = getattr(shape, "transform", (1.0, 0.0, 0.0, 1.0, 0.0, 0.0))
    own = max(abs(a) + abs(c), abs(b) + abs(d), 1.0)
    return max([1.0, abs(e), abs(f), *(own * _reach(one) for one in getattr(shape, "contents", ()))]) if own < MOST else math.inf


def _tried(made: Any) -> None:
    """Draw it where nobody sees it: what is raised then, or is no figure, is found before a page is begun. Raises ValueError."""
    probe = PdfFile("probe")
    probe.page((100.0, 100.0))
    renderPDF.draw(made, probe.canvas, 0, 0)
    if _NO_FIGURE.search("\n".join(map(str, probe.canvas._code))):
        raise ValueError("a figure that is none")
    probe.finish()

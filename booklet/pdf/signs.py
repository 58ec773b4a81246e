"""Signs and a maker's own artwork, from SVG. Never for lines that are cut, folded or measured.

A file of somebody else's making: it is taken as bytes only, so that it can name no other file; what the
reader of SVG would leave out without a word is refused with its name.
"""

from __future__ import annotations

import io
import logging
import math
from collections import Counter
from typing import Any
from xml.etree import ElementTree

from reportlab.graphics import renderPDF, shapes
from reportlab.platypus.flowables import Flowable
from svglib.svglib import svg2rlg

from booklet.drawing.pen import MM_PER_POINT
from booklet.errors import refuse
from booklet.pdf import fonts

MOST_BYTES = 500_000
MOST_ELEMENTS = 5_000
MOST_USES = 50
"""Caps chosen by us: a sign has some dozens of elements; a page of nested `use` takes seconds."""

LOST = ("image", "text", "pattern", "marker", "mask", "filter", "foreignObject", "script", "animate")
"""Elements that would vanish, run, or bring in the machine's own fonts or other files."""

# A drawing starts from these settings; reportlab's own face would go into the file without being embedded.
shapes.STATE_DEFAULTS["fontName"] = fonts.REGULAR
logging.getLogger("svglib").addHandler(logging.NullHandler())
logging.getLogger("svglib").propagate = False


class Sign(Flowable):
    """A drawing scaled to a width; stands among flowables, or on a page by `flow.put`."""

    def __init__(self, drawing: Any, width_mm: float, align: str = "LEFT"):
        super().__init__()
        self._drawing = drawing
        self._scale = width_mm / MM_PER_POINT / drawing.width
        self.width, self.height = drawing.width * self._scale, drawing.height * self._scale
        self.hAlign = align

    def draw(self) -> None:
        """Called by platypus, the origin set."""
        self.canv.saveState()
        self.canv.scale(self._scale, self._scale)
        renderPDF.draw(self._drawing, self.canv, 0, 0)
        self.canv.restoreState()


def sign(svg: bytes, width_mm: float, name: str = "sign.svg", align: str = "LEFT") -> Sign:
    """The SVG as a flowable `width_mm` wide. Raises `BookletError` with the file's `name` for what cannot be drawn."""
    _check(svg, name)
    fonts.register()
    try:
        drawing = svg2rlg(io.BytesIO(svg))
        if drawing is None or not all(math.isfinite(v) and v > 0 for v in (drawing.width, drawing.height)):
            raise ValueError("no size")
        return Sign(drawing, width_mm, align)
    except Exception as error:  # the reader of SVG raises anything at all on strange files
        raise refuse(name, "it cannot be drawn; save it as plain SVG 1.1 with a width, a height and shapes only") from error


def _check(svg: bytes, name: str) -> None:
    """Refuse what is too large, no SVG, or would be drawn otherwise than it looks."""
    if len(svg) > MOST_BYTES:
        raise refuse(name, f"it has {len(svg)} bytes, at most {MOST_BYTES} are taken; simplify the drawing")
    if b"<!ENTITY" in svg or b"\0" in svg:
        raise refuse(name, "it defines entities or is not UTF-8; save it as plain SVG 1.1 in UTF-8")
    try:
        root = ElementTree.fromstring(svg)
    except (ElementTree.ParseError, ValueError, LookupError) as error:
        raise refuse(name, f"it is not well-formed XML ({error}); save it again as plain SVG 1.1") from error
    _check_elements(root, name)


def _check_elements(root: ElementTree.Element, name: str) -> None:
    elements = [element for element in root.iter() if isinstance(element.tag, str)]
    kinds = Counter(element.tag.rpartition("}")[2] for element in elements)
    if root.tag.rpartition("}")[2] != "svg":
        raise refuse(name, f"its outermost element is <{root.tag.rpartition('}')[2]}>, not <svg>; save it as plain SVG 1.1")
    if lost := [kind for kind in LOST if kinds[kind]]:
        raise refuse(name, f"it uses <{'>, <'.join(lost)}>, which are not drawn; turn text into outlines and keep to plain shapes")
    if len(elements) > MOST_ELEMENTS or kinds["use"] > MOST_USES:
        said = f"it has {len(elements)} elements, {kinds['use']} of them <use>"
        raise refuse(name, f"{said}; at most {MOST_ELEMENTS} and {MOST_USES} are taken: simplify the drawing")
    if strange := [link for element in elements for link in _links(element) if not link.startswith("#")]:
        raise refuse(name, f"it points to another file ({strange[0][:60]!r}); put all into the one file")


def _links(element: ElementTree.Element) -> list[str]:
    return [value for key, value in element.attrib.items() if key.rpartition("}")[2] == "href"]

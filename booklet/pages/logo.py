"""A maker's logo: as a drawing of a text, `drawing("logo", width=40, height=20)`, and in drawings that are made with the pen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Literal

from booklet.drawing.pen import Anchor, Pen, box
from booklet.errors import refuse
from booklet.pages.pictures import Pictures
from booklet.pdf import blocks, signs
from booklet.pdf.pen import PdfPen
from booklet.plane import Affine
from booklet.spec.model import Art

SIZE = (40.0, 20.0)
"""mm: a logo fills a place so large, where its text tells no other (chosen by looking)."""

ALIGN: Mapping[str, Literal["LEFT", "CENTER", "RIGHT"]] = {"left": "LEFT", "middle": "CENTER", "right": "RIGHT"}


def logo(pictures: Pictures, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
    """The logo as large as it can be in a place of so many mm; nothing where the spec has none.

    Settings: `width` and `height` of the place, `align` "left", "middle" or "right". Raises `BookletError` for others.
    """
    art = pictures.plan.spec.artwork.logo
    most = tuple(_mm(settings, key, usual) for key, usual in zip(("width", "height"), SIZE, strict=True))
    align = settings.get("align", "left")
    if align not in ALIGN:
        raise refuse("layout", f"the drawing logo cannot stand {align!r}; write left, middle or right")
    if art is None:
        return []
    made = signs.drawing(art.data, art.name)
    wide = min(most[0], width, most[1] * made.width / made.height)
    return [signs.sign(art.data, wide, art.name, ALIGN[align]), blocks.Gap(pictures.settings.type.block_gap)]


def _mm(settings: Mapping[str, str], key: str, usual: float) -> float:
    text = settings.get(key, "")
    if text and not (text.replace(".", "", 1).isdigit() and float(text) > 0):
        raise refuse("layout", f"the drawing logo has a {key} of {text!r}; write a figure of mm")
    return float(text) if text else usual


def size_of(art: Art, most: tuple[float, float]) -> tuple[float, float]:
    """How large a logo is in a place of so many mm. Raises `BookletError` for what cannot be drawn."""
    made = signs.drawing(art.data, art.name)
    scale = min(most[0] / made.width, most[1] / made.height)
    return made.width * scale, made.height * scale


def put(pen: Pen, art: Art, place: tuple[float, float, float, float], anchor: Anchor = "middle") -> None:
    """Draw a logo as large as it can be in a rectangle, at its left, in its middle or at its right. Only a page of a PDF shows it."""
    if isinstance(pen, PdfPen):
        x0, y0, x1, y1 = place
        wide, high = size_of(art, (x1 - x0, y1 - y0))
        x = x0 + {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * (x1 - x0 - wide)
        y = (y0 + y1 - high) / 2
        made = signs.drawing(art.data, art.name)
        scale = wide / made.width
        signs.put(pen, made, Affine(scale, 0.0, 0.0, scale, x, y), [box(x, y, x + wide, y + high)])

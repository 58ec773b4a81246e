"""Layers in the PDF (optional content), named by ISO 19593-1:2018.

A part of a page belongs to a layer by `/OC /Name BDC q ... Q EMC`; the page's resources tie the name to the
layer's group, and the catalog lists the groups. No `/Usage` is written: two readers then ignore that a layer is off.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFDocument, PDFName, PDFString

from booklet.drawing.pen import LAYERS

STEPS: Final[dict[str, tuple[str, str | None]]] = {
    "Cutting": ("Structural", "Cutting"),
    "Creasing": ("Structural", "Creasing"),
    "ReverseCreasing": ("Structural", "ReverseCreasing"),
    "PartialCutting": ("Structural", "PartialCutting"),
    "Gluing": ("Structural", "Gluing"),
    "Bleed": ("Structural", "Bleed"),
    "Dimensions": ("Dimensions", None),
    "Legend": ("Legend", None),
}
"""Layer to its group and type of processing step. The last two groups take no type (ISO 19593-1:2018)."""


_PRESS: Final = ("PartialCutting", "Bleed")
"""Layers that only a print shop gets; a maker's own pages have those of the pen."""


def opened(layer: str) -> str:
    """What begins a stretch of page content in a layer of `STEPS`."""
    assert layer in STEPS, f"no such layer: {layer}"
    return f"/OC /{layer} BDC q"


CLOSED: Final = "Q EMC"
"""What ends it."""


def group(doc: PDFDocument, layer: str) -> Any:
    """The reference to the layer's group object, made at its first use."""
    name = f"layer.{layer}"
    if name in doc.idToObject:
        return doc.Reference(doc.idToObject[name], name)
    return doc.Reference(PDFDictionary({"Type": "/OCG", "Name": PDFString(layer), "GTS_Metadata": _metadata(layer)}), name)


def _metadata(layer: str) -> PDFDictionary:
    kind, step = STEPS[layer]
    entries = {"GTS_ProcStepsGroup": PDFName(kind)}
    if step:
        entries["GTS_ProcStepsType"] = PDFName(step)
    return PDFDictionary(entries)


def properties(doc: PDFDocument, used: Iterable[str]) -> dict[str, Any]:
    """The page's `Properties` resource for the layers used on it."""
    return {layer: group(doc, layer) for layer in in_order(used)}


def in_order(used: Iterable[str]) -> list[str]:
    """Layers in the order of drawing."""
    found = set(used)
    return [layer for layer in (*LAYERS, *_PRESS) if layer in found]


def content_properties(doc: PDFDocument, used: Iterable[str]) -> PDFDictionary:
    """The catalog's `OCProperties`: all layers listed and on."""
    groups = [group(doc, layer) for layer in in_order(used)]
    shown = PDFDictionary({"Name": PDFString("Layers"), "BaseState": "/ON", "Order": PDFArray(groups), "ON": PDFArray(groups)})
    return PDFDictionary({"OCGs": PDFArray(groups), "D": shown})

"""Half pages laid in pairs on the printer's pages, so that the printed leaves, laid in each other and folded once, are a booklet.

Saddle stitching: the leaves are stapled through the fold. All is done on the open file, whose pages keep what is drawn on them as text;
so no page is drawn twice, and the fonts are those of the one file. It leans on private names of reportlab 5.1, as `canvas` does.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFObjectReference, PDFPage, PDFResourceDictionary

from booklet.drawing.pen import MM_PER_POINT
from booklet.pdf.canvas import PdfFile

Pair = tuple[int, int]
"""The pages of the booklet, from 1, on the left and on the right half of a side of a leaf."""


def sides(pages: int) -> tuple[Pair, ...]:
    """What stands on each side of the leaves, front and back in turn, the outermost leaf first. `pages` is a multiple of four.

    The back of a leaf is printed with a flip on the short edge: behind the right half of the front lies the left half of the back.

    >>> sides(8)
    ((8, 1), (2, 7), (6, 3), (4, 5))
    """
    assert pages > 0 and pages % 4 == 0, f"{pages} pages do not fold"
    pairs: list[Pair] = []
    for leaf in range(pages // 4):
        first = 2 * leaf + 1
        last = pages + 1 - first
        pairs += [(last, first), (first + 1, last - 1)]
    return tuple(pairs)


def side_of(pages: int) -> dict[int, int]:
    """For each page of the booklet the side that it is printed on, both from 1."""
    return {page: n for n, pair in enumerate(sides(pages), 1) for page in pair}


def fold(file: PdfFile, page_mm: tuple[float, float]) -> None:
    """Lay the half pages of a file in pairs on pages of `page_mm`, lying on their side; bookmarks and links go with them.

    The half pages are exactly half as wide as the page, and as high. No page of the file may be drawn on after it.
    """
    file.finish_page()
    doc, wide = file.canvas._doc, max(page_mm) / MM_PER_POINT
    halves: Sequence[PDFPage] = list(doc.Pages.pages)
    pairs, at = sides(len(halves)), side_of(len(halves))
    made = [_side(doc, halves[left - 1], halves[right - 1], wide / 2) for left, right in pairs]
    for page, content in zip(halves, made, strict=False):  # the objects of the first half pages become the sides
        page.stream, page.Resources, page.Annots = content
        page.pagewidth, page.pageheight = round(wide, 4), round(min(page_mm) / MM_PER_POINT, 4)
    _rebind(file, halves, at)
    for left_over in halves[len(pairs) :]:
        doc.idToObject[left_over.__InternalName__] = PDFDictionary({})
    doc.Pages.pages = list(halves[: len(pairs)])
    file.resized([(max(page_mm), min(page_mm))] * len(pairs))
    file.duplex = "DuplexFlipShortEdge"
    file.label_pages([(n, None, f"{left}, {right}", 1) for n, (left, right) in enumerate(pairs)])


def _side(doc: Any, left: PDFPage, right: PDFPage, half: float) -> tuple[str, PDFResourceDictionary, list[Any]]:
    """What is drawn on a side, what that uses, and its links."""
    stream = f"q\n{left.stream}Q\nq 1 0 0 1 {half:.4f} 0 cm\n{right.stream}Q\n"
    for link in right.Annots or ():
        note = doc.idToObject[link.name]
        x0, y0, x1, y1 = note.Rect
        note.Rect = (x0 + half, y0, x1 + half, y1)
    return stream, _merged(left.Resources, right.Resources), [*(left.Annots or ()), *(right.Annots or ())]


def _merged(one: PDFResourceDictionary, other: PDFResourceDictionary) -> PDFResourceDictionary:
    """What both use: a name means the same on all pages of a file."""
    both = PDFResourceDictionary()
    for kind in PDFResourceDictionary.dict_attributes:
        first, second = _held(one, kind), _held(other, kind)
        setattr(both, kind, {**first, **second})
    both.basicFonts()
    both.allProcs()
    return both


def _held(resources: PDFResourceDictionary, kind: str) -> dict[str, Any]:
    """A table of a page's resources; fonts are the file's own, in one table for all."""
    found = getattr(resources, kind)
    found = getattr(found, "dict", found)
    return dict(found) if isinstance(found, dict) else {}


def _rebind(file: PdfFile, halves: Sequence[PDFPage], at: dict[int, int]) -> None:
    """Bookmarks lead to the side that their page is printed on."""
    names = {page.__InternalName__: halves[at[n] - 1].__InternalName__ for n, page in enumerate(halves, 1)}
    for place in file.canvas._destinations.values():
        if place.page is not None:
            place.page = PDFObjectReference(names[place.page.name])

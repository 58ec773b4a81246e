"""The PDF file: pages, bookmarks, labels, attachments, layers, and what the reader's program is asked to do.

A file is drawn page by page with a pen, or filled by flowables, and comes out as bytes. The same calls give
the same bytes: there is no date in it, and its identity is a fingerprint of its content.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, nullcontext
from typing import Any

from reportlab.pdfbase.pdfdoc import (
    PDFArray,
    PDFCatalog,
    PDFDictionary,
    PDFInfo,
    PDFName,
    PDFPage,
    PDFResourceDictionary,
    PDFStream,
    PDFString,
    PDFZCompress,
)
from reportlab.pdfgen.canvas import Canvas

from booklet.drawing.pen import MM_PER_POINT
from booklet.pdf import fonts, layers, tags
from booklet.pdf.attach import Attachment, embed
from booklet.pdf.pen import PdfPen
from booklet.pdf.tidy import NO_ID, tidied

Size = tuple[float, float]
Label = tuple[int, str | None, str, int]
"""First page's index from 0, style ("D" figures, "r" or "R" roman, "a" or "A" letters, None), prefix, first number."""

VERSION = (1, 7)

CATALOG_KEYS = ("OCProperties", "AF", "Version")
"""Entries that reportlab's catalog does not know of and would leave out."""


class PageInfo(PDFInfo):
    """The document's information without dates, and without entries that say nothing."""

    def format(self, document: Any) -> Any:
        """Called by reportlab when it writes the file."""
        said = {"Title": self.title, "Author": self.author, "Subject": self.subject, "Producer": "booklet"}
        return PDFDictionary({key: PDFString(text) for key, text in said.items() if text}).format(document)


class LayeredCanvas(Canvas):
    """reportlab's canvas whose pages keep their layers, carry no transition and can be written on again.

    It leans on private names of reportlab 5.1: `_code`, `_doc`, `_extgstate`, `_annotationrefs`, `_formsinuse`.
    """

    def __init__(self, tagged: bool = False, **options: Any):
        self.tags = tags.Tags() if tagged else None
        self._marks, self._again = 0, -1
        self.subheaded: Callable[[str], Any] = lambda title: None
        self.layers_used: set[str] = set()
        self.all_layers: set[str] = set()
        fonts.register()
        super().__init__(io.BytesIO(), initialFontName=fonts.REGULAR, pageCompression=1, invariant=1, pdfVersion=VERSION, **options)

    def showPage(self) -> None:
        """End the page. Its content stays open until the file is finished."""
        super().showPage()
        self._settle(self._doc.Pages.pages[-1])

    def save(self) -> None:
        """Nothing: a flow of text ends here, but the file goes on."""

    @contextmanager
    def reopened(self, index: int) -> Iterator[None]:
        """Write more on a finished page."""
        page = self._doc.Pages.pages[index]
        self._pushAccumulators()
        self._again = index
        try:
            yield
            page.stream += "\n".join(self._code) + "\n"
            page.Annots = [*page.Annots, *self._annotationrefs]
            self._settle(page)
        finally:
            self._restartAccumulators()
            self._again = -1

    def open_content(self, node: tags.Node | None = None) -> None:
        """Begin a stretch that belongs to an element, or to none; within another stretch it belongs to that one."""
        if self.tags and not self._marks:
            index = self._again if self._again >= 0 else len(self._doc.Pages.pages)
            self.addLiteral(self.tags.opened(node, index))
        self._marks += 1

    def close_content(self) -> None:
        """End it."""
        self._marks -= 1
        if self.tags and not self._marks:
            self.addLiteral(tags.CLOSED)

    def linked(self) -> None:
        """The link that was made last belongs to the entry of the contents that was told last."""
        if self.tags and self.tags.entry:
            self.tags.links.append((self.tags.entry, self._again, self._annotationrefs[-1].name))

    @contextmanager
    def content(self, node: tags.Node | None) -> Iterator[None]:
        """All that is drawn meanwhile is a stretch of an element, or of none."""
        self.open_content(node)
        try:
            yield
        finally:
            self.close_content()

    def added(self, kind: str) -> tags.Node | None:
        """A new element; there is none where the file is not tagged."""
        return self.tags.add(kind) if self.tags else None

    def item(self, first: bool) -> tags.Node | None:
        """A new item of a list."""
        return self.tags.item(first) if self.tags else None

    @contextmanager
    def within(self, node: tags.Node | None) -> Iterator[None]:
        """New elements belong to this one meanwhile."""
        with self.tags.within(node) if self.tags and node else nullcontext():
            yield

    @contextmanager
    def figure(self, size: Size, alt: str, at: Size = (0.0, 0.0)) -> Iterator[None]:
        """What is drawn meanwhile, so large in points, is a picture; without words for it one for the eye only."""
        node = self.tags.add("Figure", alt) if self.tags and alt else None
        if node:
            x, y = self.absolutePosition(*at)
            node.box = x, y, x + size[0], y + size[1]
        with self.content(node):
            yield

    def _settle(self, page: PDFPage) -> None:
        """What reportlab leaves to the moment of writing, with the layers added and the transition taken out."""
        page.Trans = None
        self.layers_used.discard("")
        held = page.Resources or PDFResourceDictionary(ExtGState=page.ExtGState or {}, XObject=page.XObjects or {})
        held.basicFonts()
        held.allProcs()
        held.setShading(page._shadingUsed)
        held.setColorSpace(page._colorsUsed)
        held.Properties |= layers.properties(self._doc, self.layers_used)
        page.Resources = held
        self.all_layers |= self.layers_used
        self.layers_used = set()


class PdfFile:
    """A PDF in the making. `title` is shown by readers in their title bar; `language` is an ISO 639 code.

    `duplex`: the sides of a leaf that it asks to be printed on: Simplex (templates are cut out), DuplexFlipShortEdge, DuplexFlipLongEdge.
    """

    def __init__(self, title: str, *, author: str = "", subject: str = "", language: str = "en", tagged: bool = False):
        self._canvas = LayeredCanvas(lang=language, tagged=tagged)
        self._canvas.subheaded = self._subheaded
        self._pen: PdfPen | None = None
        self._labels: tuple[Label, ...] = ()
        self._files: list[Attachment] = []
        self._sizes: list[Size] = []
        self._marks: dict[str, int] = {}
        self.duplex = "Simplex"
        info = self._canvas._doc.info = PageInfo()
        info.title, info.author, info.subject = title, author, subject

    @property
    def pages(self) -> int:
        """How many pages there are, the open one counted."""
        return len(self._sizes)

    @property
    def canvas(self) -> LayeredCanvas:
        """reportlab's canvas, for this room's own use."""
        return self._canvas

    def page(self, size_mm: Size) -> PdfPen:
        """Begin a page, ending the one before; the pen draws on it in mm from its lower left corner."""
        self.finish_page()
        self._sizes.append(size_mm)
        self._canvas.setPageSize(tuple(round(v / MM_PER_POINT, 4) for v in size_mm))
        self._pen = PdfPen(self._canvas)
        return self._pen

    def boxes(self, trim: Sequence[float], bleed: Sequence[float]) -> None:
        """Where this page is cut and how far its print goes (ISO 32000-1, 14.11.2): least x, least y, greatest x, greatest y in mm."""
        self._canvas.setTrimBox([round(v / MM_PER_POINT, 4) for v in trim])
        self._canvas.setBleedBox([round(v / MM_PER_POINT, 4) for v in bleed])

    def finish_page(self) -> None:
        """End the open page, if there is one."""
        if self._pen:
            self._pen.rest()
            self._canvas.showPage()
            self.page_was_ended()

    def page_was_ended(self) -> None:
        """Told by a flow of text, which ends its pages itself."""
        self._pen = None

    def rest(self) -> None:
        """Have the open page's pen close what it holds open, before something else writes on the page."""
        if self._pen:
            self._pen.rest()

    @contextmanager
    def again(self, index: int, node: tags.Node | None = None) -> Iterator[PdfPen]:
        """Write more on a finished page, by its index from 0: its number of all, or a table of contents.

        `node`: the element that it is all of; else it is for the eye only.
        """
        self.finish_page()
        with self._canvas.reopened(index), self._canvas.content(node) if node else nullcontext():
            pen = PdfPen(self._canvas)
            yield pen
            pen.rest()

    @contextmanager
    def listed(self, pen: PdfPen) -> Iterator[None]:
        """What the pen draws meanwhile is an entry of the contents."""
        pen.rest()
        found = self._canvas.tags
        if found and found.late:
            found.entry = found.late.add("TOCI").add("Link")
        with self._canvas.content(found.entry if found else None):
            yield
            pen.rest()

    def reserve(self, alt: str) -> tags.Node | None:
        """The element of a picture that is drawn later, over the whole of the open page, and shows what the words say."""
        found = self._canvas.tags
        if not found:
            return None
        node = found.add("Figure", alt)
        node.box = 0.0, 0.0, *self._canvas._pagesize
        return node

    def on_every_page(self, draw: Callable[[PdfPen, int, int], None]) -> None:
        """Call `draw(pen, index, pages)` for each page, now that their number is known."""
        self.finish_page()
        for index in range(self.pages):
            with self.again(index) as pen:
                draw(pen, index, self.pages)

    def bookmark(self, title: str, level: int = 0, key: str = "") -> str:
        """An entry in the reader's outline that leads to the open page; a level is at most one deeper than the last.

        Returns the key of the place, for links in paragraphs: `<a href="#key">`.
        """
        name = key or f"mark{len(self._marks) + 1}"
        assert name not in self._marks, f"two places are called {name}"
        self._marks[name] = self.pages - 1
        self._canvas.bookmarkPage(name)
        self._canvas.addOutlineEntry(fonts.composed(title), name, level, closed=True)
        self._canvas.showOutline()
        return name

    def _subheaded(self, title: str) -> None:
        """A smaller heading under a section in the reader's outline, which shows it when the section is opened there."""
        if self._marks:
            self.bookmark(title.replace("\u00a0", " "), 1)

    def page_of(self, key: str) -> int:
        """The index from 0 of the page that a bookmark leads to. Raises KeyError before it is set."""
        return self._marks[key]

    def label_pages(self, labels: Sequence[Label]) -> None:
        """How the reader's program names the pages; the first label must be for index 0 (ISO 32000-1, 12.4.2)."""
        assert labels[0][0] == 0, "the first page has no label"
        self._labels = tuple(labels)

    def attach(self, file: Attachment) -> None:
        """Carry a file inside the PDF."""
        self._files.append(file)

    def resized(self, sizes_mm: Sequence[Size]) -> None:
        """Told by what lays its pages anew: how many there are now, and their sizes."""
        self._sizes = list(sizes_mm)

    def finish(self) -> bytes:
        """End the last page and give the whole file. The file takes nothing more after it."""
        self.finish_page()
        assert self.pages, "a PDF needs a page"
        self._write_catalog()
        self._check_fonts()
        for page in self._canvas._doc.Pages.pages:
            page.Contents = PDFStream(content=page.stream, filters=[PDFZCompress])
        return tidied(self._canvas._doc.GetPDFData(self._canvas))

    def _write_catalog(self) -> None:
        doc, catalog = self._canvas._doc, self._canvas._doc.Catalog
        catalog.__NoDefault__ = [*PDFCatalog.__NoDefault__, *CATALOG_KEYS]
        catalog.Version = PDFName("{}.{}".format(*VERSION))
        catalog.ViewerPreferences = _viewer_preferences(self.duplex)
        if self._canvas.all_layers:
            catalog.OCProperties = layers.content_properties(doc, self._canvas.all_layers)
        if self._files:
            embed(doc, self._files)
        if self._canvas.tags:
            tags.written(doc, self._canvas.tags)
        if self._labels:
            catalog.PageLabels = _page_labels(self._labels)
        doc._ID = NO_ID

    def _check_fonts(self) -> None:
        """A face that is not ours is one of the reader's, and would not be embedded."""
        strange = set(self._canvas._doc.fontMapping) - set(fonts.FILES)
        assert not strange, f"fonts that are not embedded: {sorted(strange)}"


def _page_labels(labels: Sequence[Label]) -> PDFDictionary:
    """The number tree of page labels (ISO 32000-1, table 159)."""
    rows: list[Any] = []
    for index, style, prefix, start in sorted(labels, key=lambda label: label[0]):
        row: dict[str, Any] = {"St": start}
        if style:
            row["S"] = PDFName(style)
        if prefix:
            row["P"] = PDFString(prefix)
        rows += [index, PDFDictionary(row)]
    return PDFDictionary({"Nums": PDFArray(rows)})


def _viewer_preferences(duplex: str) -> PDFDictionary:
    """True size, the paper of the page's size, the sides of it that are printed on (ISO 32000-1, table 150)."""
    return PDFDictionary({"PrintScaling": "/None", "PickTrayByPDFSize": "true", "Duplex": PDFName(duplex), "DisplayDocTitle": "true"})

"""Tags: what each stretch of a page is (a heading, a cell, a picture and what it shows), for programs that read the file aloud.

A stretch of content is marked by `/P <</MCID n>> BDC ... EMC`, n counted on its page; the tree tells which stretches make an element,
in the order of reading, and the parent tree tells for each page whose its stretches are (ISO 32000-1, 14.6 to 14.8). What is read by
nobody, such as rules and running heads, is an artifact.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from reportlab.pdfbase.pdfdoc import (
    PDFArray,
    PDFDictionary,
    PDFDocument,
    PDFName,
    PDFObject,
    PDFObjectReference,
    PDFPage,
    PDFString,
    format,
)

ARTIFACT = "/Artifact BMC"
CLOSED = "EMC"

Box = tuple[float, float, float, float]


@dataclass(eq=False)
class Node:
    """An element: its type of the standard ones, what it shows in words where it is a picture, and what it is made of.

    `parts`: elements, and stretches as (index of the page, number on it). `box`: where a picture stands on its page, points.
    """

    kind: str
    alt: str = ""
    parts: list[Node | tuple[int, int]] = field(default_factory=list)
    box: Box | None = None
    scope: str = ""

    def add(self, kind: str, alt: str = "") -> Node:
        """An element within this one, after those that are in it."""
        made = Node(kind, alt)
        self.parts.append(made)
        return made


class Tags:
    """The elements of a file in the making. `late`: the contents, written last; `entry`: the one of them that is being written.

    `links`: elements that are links, with the index of the page and the name of the annotation that is clicked on.
    """

    def __init__(self) -> None:
        self.root = Node("Document")
        self.pages: dict[int, list[Node]] = {}
        self.late: Node | None = None
        self.entry: Node | None = None
        self.links: list[tuple[Node, int, str]] = []
        self._within = [self.root]
        self._depth = 0

    @property
    def here(self) -> Node:
        """The element that others are put into."""
        return self._within[-1]

    @contextmanager
    def within(self, node: Node) -> Iterator[Node]:
        """What is added meanwhile belongs to this element."""
        self._within.append(node)
        try:
            yield node
        finally:
            self._within.pop()

    def add(self, kind: str, alt: str = "") -> Node:
        """A new element; of a heading the depth is never more than one below the last."""
        if kind in ("H1", "H2", "H3"):
            self._depth = min(int(kind[1]), self._depth + 1)
            kind = f"H{self._depth}"
        return self.here.add(kind, alt)

    def item(self, first: bool) -> Node:
        """A new item: of the list that was begun last here, unless it is the first of a list or something stands between."""
        last = self.here.parts[-1] if self.here.parts else None
        going = not first and isinstance(last, Node) and last.kind == "L"
        whole = last if going and isinstance(last, Node) else self.here.add("L")
        return whole.add("LI")

    def opened(self, node: Node | None, page: int) -> str:
        """What begins a stretch of an element on a page, by its index; of none an artifact."""
        if node is None:
            return ARTIFACT
        owners = self.pages.setdefault(page, [])
        node.parts.append((page, len(owners)))
        owners.append(node)
        return f"/{node.kind} <</MCID {len(owners) - 1}>> BDC"


def written(doc: PDFDocument, tags: Tags) -> None:
    """Put the tree into the file, and on each page the key by which its stretches are found."""
    names: dict[int, str] = {}
    _name(tags.root, names)
    root_name = "tags.root"
    links = {id(node): _linked(doc, page, name) for node, page, name in tags.links}
    for node, parent in _walk(tags.root, None):
        made = _element(doc, node, names[id(parent)] if parent else root_name, names, links.get(id(node)))
        doc.Reference(made, names[id(node)])
    pages, rows = doc.Pages.pages, list[Any]()
    for index, page in enumerate(pages):
        rows += [index, PDFArray([_ref(doc, names[id(node)]) for node in tags.pages.get(index, [])])]
        _keyed(page, index)
    for key, (node, _, name) in enumerate(tags.links, len(pages)):
        rows += [key, _ref(doc, names[id(node)])]
        note = doc.idToObject[name]
        note.permitted = (*note.permitted, "StructParent")
        note.otherkw["StructParent"] = key
    tree = PDFDictionary(
        {
            "Type": PDFName("StructTreeRoot"),
            "K": PDFArray([_ref(doc, names[id(tags.root)])]),
            "ParentTree": doc.Reference(PDFDictionary({"Nums": PDFArray(rows)}), "tags.parents"),
            "ParentTreeNextKey": len(pages) + len(tags.links),
        }
    )
    doc.Catalog.StructTreeRoot = doc.Reference(tree, root_name)
    doc.Catalog.MarkInfo = PDFDictionary({"Marked": "true"})


def _name(node: Node, names: dict[int, str]) -> None:
    names[id(node)] = f"tags.{len(names) + 1}"
    for part in node.parts:
        if isinstance(part, Node):
            _name(part, names)


def _walk(node: Node, parent: Node | None) -> Iterator[tuple[Node, Node | None]]:
    yield node, parent
    for part in node.parts:
        if isinstance(part, Node):
            yield from _walk(part, node)


def _ref(doc: PDFDocument, name: str) -> Any:
    return PDFObjectReference(name)


def _linked(doc: PDFDocument, page: int, name: str) -> PDFDictionary:
    """What stands in the tree for a link that is clicked on (ISO 32000-1, table 325)."""
    return PDFDictionary({"Type": PDFName("OBJR"), "Pg": _page(doc, page), "Obj": _ref(doc, name)})


def _element(doc: PDFDocument, node: Node, parent: str, names: dict[int, str], link: PDFDictionary | None) -> PDFObject:
    """The dictionary of an element; numbers of stretches stand for those on its page (ISO 32000-1, table 323)."""
    own = [part[0] for part in node.parts if not isinstance(part, Node)]
    home = own[0] if own else None
    entries: dict[str, Any] = {"S": PDFName(node.kind), "P": _ref(doc, parent)}
    if home is not None:
        entries["Pg"] = _page(doc, home)
    if node.alt:
        entries["Alt"] = PDFString(node.alt)
    if node.box:
        place = PDFArray([round(value, 2) for value in node.box])
        entries["A"] = PDFDictionary({"O": PDFName("Layout"), "Placement": PDFName("Block"), "BBox": place})
    elif node.scope:
        entries["A"] = _Short({"O": PDFName("Table"), "Scope": PDFName(node.scope)})
    kids = [_ref(doc, names[id(part)]) if isinstance(part, Node) else _stretch(doc, part, home) for part in node.parts]
    kids += [link] if link else []
    entries["K"] = kids[0] if len(kids) == 1 else PDFArray(kids)
    return _Short(entries)


class _Short(PDFObject):
    """A dictionary in as few bytes as can be: there is one for every cell of every table."""

    def __init__(self, entries: dict[str, Any]):
        self._entries = entries

    def format(self, document: Any) -> bytes:
        """Called by reportlab when it writes the file."""
        pairs = (b"/%s %s" % (key.encode(), format(value, document)) for key, value in self._entries.items())
        return b"<<%s>>" % b"".join(pairs)


def _stretch(doc: PDFDocument, part: tuple[int, int], home: int | None) -> Any:
    page, number = part
    if page == home:
        return number
    return PDFDictionary({"Type": PDFName("MCR"), "Pg": _page(doc, page), "MCID": number})


def _page(doc: PDFDocument, index: int) -> Any:
    return _ref(doc, doc.Pages.pages[index].__InternalName__)


def _keyed(page: PDFPage, index: int) -> None:
    page.__NoDefault__ = [*PDFPage.__NoDefault__, "StructParents", "Tabs"]
    page.StructParents, page.Tabs = index, PDFName("S")

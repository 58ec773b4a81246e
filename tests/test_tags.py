"""Tags of the PDF, read by a library that is not ours: what is marked on each page, and the tree that tells what it is."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

import pikepdf
import pypdfium2
import pytest

from booklet.drawing.pen import STROKES
from booklet.pages import book
from booklet.pdf import flow
from booklet.pdf.canvas import PdfFile
from booklet.pdf.flow import Picture
from booklet.pdf.read import FinishedFile
from booklet.pdf.typeset import Typesetter
from tests.samples import made

FILES = (("mug", ""), ("brooch", ""), ("kit-tiles-precut", "screen"), ("class-tiles", ""), ("class-tiles", "handout"))
"""Samples, and which file of them; "" is the main one."""

PAINTS = {"Tj", "TJ", "'", '"', "S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "Do", "sh"}
HEADINGS = ("/H1", "/H2", "/H3")


def data(name: str, file: str) -> bytes:
    found = made(name)
    return found.others[file][0] if file else found.data


@dataclass
class Element:
    """An element of the tree, its kind, its dictionary, what it is made of: elements, or (page, number) of stretches."""

    kind: str
    entries: pikepdf.Object
    kids: list[Element | tuple[int, int]]

    def all(self) -> Iterator[Element]:
        """It and all within, in the order of reading."""
        yield self
        for kid in self.kids:
            if isinstance(kid, Element):
                yield from kid.all()

    def stretches(self) -> Iterator[tuple[int, int]]:
        """All stretches within, in the order of reading."""
        for kid in self.kids:
            if isinstance(kid, Element):
                yield from kid.stretches()
            else:
                yield kid


class Tagged:
    """A file's tree, and what each of its pages marks."""

    def __init__(self, raw: bytes):
        self.pdf = pikepdf.open(io.BytesIO(raw))
        self.pages = {page.objgen: n for n, page in enumerate(self.pdf.pages)}
        (root,) = self.pdf.Root.StructTreeRoot.K
        assert root.P.objgen == self.pdf.Root.StructTreeRoot.objgen
        self.root = self._element(root)
        self.words = [dict(_marked(page)) for page in self.pdf.pages]

    def _element(self, entries: pikepdf.Object) -> Element:
        kids = entries.get("/K", [])
        found = Element(str(entries.S), entries, [])
        for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
            if isinstance(kid, int):
                found.kids.append((self.pages[entries.Pg.objgen], int(kid)))
            elif kid.get("/Type") == "/MCR":
                found.kids.append((self.pages[kid.Pg.objgen], int(kid.MCID)))
            elif kid.get("/Type") == "/OBJR":
                assert kid.Obj.Subtype == "/Link" and kid.Pg.objgen in self.pages
            else:
                assert kid.P.objgen == entries.objgen, "an element does not know what it is in"
                found.kids.append(self._element(kid))
        return found

    def kinds(self, *kinds: str) -> list[Element]:
        """All elements of some kinds, in the order of reading."""
        return [one for one in self.root.all() if one.kind in kinds]


def _marked(page: pikepdf.Page) -> Iterator[tuple[int, str]]:
    """The number of every stretch of a page, with its tag. Raises AssertionError where something is drawn outside all of them."""
    within: list[bool] = []
    for found in pikepdf.parse_content_stream(page):
        operator, operands = str(found.operator), found.operands
        if operator in ("BDC", "BMC"):
            told = str(operands[0]) != "/OC"
            assert not (told and any(within)), "a stretch begins in another"
            within.append(told)
            if operator == "BDC" and told:
                yield int(operands[1].MCID), str(operands[0])
        elif operator == "EMC":
            within.pop()
        elif operator in PAINTS:
            assert any(within), f"{operator} {operands} is drawn outside marked content"
    assert not within


@cache
def tagged(name: str, file: str = "") -> Tagged:
    return Tagged(data(name, file))


@pytest.mark.parametrize(("name", "file"), FILES)
def test_every_stretch_is_in_the_tree_once_and_the_parent_tree_agrees(name: str, file: str) -> None:
    found = tagged(name, file)
    assert bool(found.pdf.Root.MarkInfo.Marked) is True
    inside = list(found.root.stretches())
    drawn = [(n, number) for n, page in enumerate(found.words) for number in page]
    assert len(inside) == len(set(inside)) and set(inside) == set(drawn)
    rows = list(found.pdf.Root.StructTreeRoot.ParentTree.Nums)
    parents = {int(key): value for key, value in zip(rows[::2], rows[1::2], strict=True)}
    owners = {kid: one for one in found.root.all() for kid in one.kids if not isinstance(kid, Element)}
    for n, page in enumerate(found.pdf.pages):
        row = parents[int(page.StructParents)]
        assert [one.objgen for one in row] == [owners[n, number].entries.objgen for number in range(len(row))]
        assert len(row) == len(found.words[n])
        assert all(owners[n, number].kind == tag for number, tag in found.words[n].items())
    assert len(parents) == int(found.pdf.Root.StructTreeRoot.ParentTreeNextKey)


@pytest.mark.parametrize(("name", "file"), FILES)
def test_links_know_their_element_and_pages_go_in_the_order_of_the_tree(name: str, file: str) -> None:
    found = tagged(name, file)
    rows = list(found.pdf.Root.StructTreeRoot.ParentTree.Nums)
    parents = {int(key): value for key, value in zip(rows[::2], rows[1::2], strict=True)}
    for page in found.pdf.pages:
        assert page.Tabs == "/S"
        for note in page.get("/Annots", []):
            link = parents[int(note.StructParent)]
            assert link.S == "/Link" and note.objgen in [kid.Obj.objgen for kid in link.K if not isinstance(kid, int)]


@pytest.mark.parametrize(("name", "file"), FILES)
def test_every_figure_has_words_and_a_place_on_its_page(name: str, file: str) -> None:
    found = tagged(name, file)
    assert found.kinds("/Figure")
    for figure in found.kinds("/Figure"):
        assert len(str(figure.entries.Alt)) > 10
        x0, y0, x1, y1 = map(float, figure.entries.A.BBox)
        box = found.pdf.pages[next(figure.stretches())[0]].MediaBox
        assert -0.1 <= x0 < x1 <= float(box[2]) + 0.1 and -0.1 <= y0 < y1 <= float(box[3]) + 0.1


@pytest.mark.parametrize(("name", "file"), FILES)
def test_headings_begin_with_the_first_and_do_not_jump(name: str, file: str) -> None:
    depths = [int(one.kind[2]) for one in tagged(name, file).kinds(*HEADINGS)]
    assert depths[0] == 1 and all(after <= before + 1 for before, after in pairwise(depths))


@pytest.mark.parametrize(("name", "file"), FILES)
def test_tables_lists_and_notes_are_made_of_what_belongs_in_them(name: str, file: str) -> None:
    allowed = {
        "/Table": {"/TR"}, "/TR": {"/TH", "/TD"}, "/L": {"/LI"}, "/LI": {"/Lbl", "/LBody", "/Note"}, "/TOC": {"/TOCI"},
        "/Note": {"/P"}, "/TOCI": {"/Link"}, "/LBody": {"/P", "/Figure"},
    }  # fmt: skip
    for one in tagged(name, file).root.all():
        kids = {kid.kind for kid in one.kids if isinstance(kid, Element)}
        assert kids <= allowed.get(one.kind, set() if one.kind != "/Document" else kids), one.kind
        if one.kind in ("/Table", "/L", "/LI", "/Note"):
            assert kids
    for table in tagged(name, file).kinds("/Table"):
        rows = [[cell.kind for cell in row.kids if isinstance(cell, Element)] for row in table.kids if isinstance(row, Element)]
        assert set(rows[0]) == {"/TH"} and all(set(row) == {"/TD"} for row in rows[1:])
        assert len({len(row) for row in rows}) == 1


def test_the_steps_are_a_list_in_their_order_each_with_its_number_words_and_picture() -> None:
    found = tagged("mug")
    steps = [item for item in found.kinds("/LI") if [kid for kid in item.kids if isinstance(kid, Element) and kid.kind == "/Lbl"]]
    assert len(steps) == len(made("mug").plan.net.steps)
    page = [next(item.stretches())[0] for item in steps]
    assert page == sorted(page)
    for item in steps:
        body = next(kid for kid in item.kids if isinstance(kid, Element) and kid.kind == "/LBody")
        assert [kid.kind for kid in body.kids if isinstance(kid, Element)] == ["/P", "/Figure"]
    assert "What moves: hems 1 to 4." in str(next(one for one in steps[2].all() if one.kind == "/Figure").entries.Alt)


def test_each_template_page_is_one_figure() -> None:
    found, plan = tagged("mug"), made("mug").plan
    told = [one for one in found.kinds("/Figure") if str(one.entries.Alt).startswith("Template page")]
    assert [str(one.entries.Alt).split(",")[0] for one in told] == [
        f"Template page {n} of {plan.leaves}" for n in range(1, plan.leaves + 1)
    ]
    for one in told:
        pages = {page for page, _ in one.stretches()}
        assert len(pages) == 1 and len(found.words[pages.pop()]) == len(list(one.stretches()))


def test_the_layers_of_a_template_page_are_still_found_within_its_tag() -> None:
    found = FinishedFile(made("mug").data)
    page = next(n for n in range(len(found.pages)) if "Cutting" in {line.layer for line in found.lines(n)})
    assert {"Cutting", "Creasing"} <= {line.layer for line in found.lines(page)}


def test_columns_are_read_one_after_the_other() -> None:
    """The order of the tree is that of the text in the layout, which pdfium finds on the page by its places."""
    found = tagged("mug")
    stretches = list(found.root.stretches())
    contents = {number for one in found.kinds("/TOC") for _, number in one.stretches()}
    for page in range(len(found.words)):
        numbers = [number for n, number in stretches if n == page and not (page == 0 and number in contents)]
        steps = [one for one in found.kinds("/Lbl") if next(one.stretches())[0] == page]
        assert steps or numbers == sorted(numbers), f"page {page + 1} is read out of its order"


def test_a_paragraph_and_a_table_that_go_on_on_the_next_page_stay_one_element() -> None:
    file, make = PdfFile("parted", tagged=True), Typesetter()
    story = [make.paragraph("word " * 400), make.table(["Head", "Other"], [[str(n), "x"] for n in range(20)], ["left", "left"])]
    assert flow.flow(file, story, (80.0, 150.0), [(5.0, 5.0, 75.0, 145.0)]) > 2
    found = Tagged(file.finish())
    (paragraph,), (table,) = found.kinds("/P"), found.kinds("/Table")
    assert len(paragraph.kids) > 1 and len({page for page, _ in paragraph.stretches()}) == len(paragraph.kids)
    assert len(table.kids) == 21 and len({page for page, _ in table.stretches()}) > 1
    assert len(found.kinds("/TH")) == 2


def test_a_picture_without_words_is_an_artifact_and_what_has_words_a_figure() -> None:
    file = PdfFile("pictures", tagged=True)
    mute, told = (Picture(40, 20, lambda pen: pen.path([(0, 0), (9, 9)], STROKES["edge"])) for _ in range(2))
    told.alt = "A stroke from below to above"
    flow.flow(file, [mute, told], (80.0, 150.0), [(5.0, 5.0, 75.0, 145.0)])
    found = Tagged(file.finish())
    (figure,) = found.kinds("/Figure")
    assert figure.entries.Alt == told.alt and [round(float(v)) for v in figure.entries.A.BBox] == [14, 298, 128, 354]


def test_a_file_that_is_not_to_be_tagged_is_not() -> None:
    file = PdfFile("plain")
    flow.flow(file, [Typesetter().paragraph("words")], (80.0, 150.0), [(5.0, 5.0, 75.0, 145.0)])
    pdf = pikepdf.open(io.BytesIO(file.finish()))
    assert "/StructTreeRoot" not in pdf.Root and "/MarkInfo" not in pdf.Root and b"BDC" not in pdf.pages[0].Contents.read_bytes()


def test_tags_change_nothing_that_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = made("brooch").plan
    with_tags = book.write(plan, lambda pages: {})
    monkeypatch.setattr(book, "PdfFile", lambda *args, tagged=False, **how: PdfFile(*args, **how))
    without = book.write(plan, lambda pages: {})
    first, second = (pypdfium2.PdfDocument(one.data) for one in (with_tags, without))
    assert len(first) == len(second) and with_tags.data != without.data
    for one, other in zip(first, second, strict=True):
        assert one.render(scale=0.7).to_pil().tobytes() == other.render(scale=0.7).to_pil().tobytes()


def test_bookmarks_lead_to_sections_and_within_them_to_smaller_headings() -> None:
    pdf = tagged("mug").pdf
    with pdf.open_outline() as outline:
        titles = [item.title for item in outline.root]
        within = {item.title: [one.title for one in item.children] for item in outline.root}
        assert all(item.is_closed for item in outline.root if item.children)
    assert titles[0] == made("mug").plan.spec.title
    assert "Print at 100 %" in within["Print check"] and "Tools" in within["Tools, materials and safety"]

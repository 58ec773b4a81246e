"""A booklet that folds: its leaves, folded as paper is, read from the first page to the last, all upright."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy
import pikepdf
import pypdfium2
import pytest
from pypdf import PdfReader

from booklet.drawing.pen import STROKES
from booklet.pages import stitched
from booklet.pdf import blocks, imposing
from booklet.pdf.canvas import PdfFile

HALF, PAGE = (148.5, 210.0), (210.0, 297.0)


@dataclass(frozen=True)
class Half:
    """Half a side of a printed leaf: what is read on it, and how far it is turned, degrees."""

    page: int
    turned: int


Side = tuple[Half, Half]
"""The left and the right half as the side is looked at, its long edges above and below."""


def behind(side: Side, edge: str) -> Side:
    """The side as it is printed behind another, seen through the paper from the front.

    A flip on the short edge turns the leaf about an upright axis: left and right change. On the long edge, about a level one: all of it
    stands on its head.
    """
    left, right = side
    if edge == "short":
        return right, left
    return Half(left.page, left.turned + 180), Half(right.page, right.turned + 180)


def read(leaves: Sequence[tuple[Side, Side]], edge: str = "short") -> list[Half]:
    """The pages in the order in which a reader of the stitched booklet turns them.

    The leaves lie on each other, the first one at the bottom with its front down, and are folded to the right edge of the front: in every
    leaf the right half of the front is met first, then what is behind it; after the middle the left halves come, from within.
    """
    seen: list[Half] = []
    for front, back in leaves:
        seen += [front[1], behind(back, edge)[1]]
    for front, back in reversed(leaves):
        seen += [behind(back, edge)[0], front[0]]
    return seen


def leaves_of(sides: Sequence[Side]) -> list[tuple[Side, Side]]:
    return [(sides[k], sides[k + 1]) for k in range(0, len(sides), 2)]


@cache
def flat(pages: int, folded: bool) -> bytes:
    """A file of half pages that are all unlike, and lean to no side; with bookmarks, and a link on each to the last page."""
    file = PdfFile("leaves")
    for n in range(1, pages + 1):
        pen = file.page(HALF)
        pen.text((20 + n, 150), f"page {n}.", 20)
        pen.path([(10, 10), (60, 10 + 5 * n), (30, 100)], STROKES["cut"])
        file.rest()
        file.bookmark(f"mark {n}", key=f"at{n}")
        blocks.link(file.canvas, (20, 150, 60, 160), f"at{pages}")
    if folded:
        imposing.fold(file, PAGE)
    return file.finish()


def pictures(data: bytes, dpi: int = 40) -> list[numpy.ndarray]:
    return [page.render(scale=dpi / 72, grayscale=True).to_numpy() for page in pypdfium2.PdfDocument(data)]


def seen_on(side: numpy.ndarray, pages: Sequence[numpy.ndarray]) -> Side:
    """Which pages stand on the halves of a side, and how they are turned, by their pictures."""
    middle = side.shape[1] / 2
    halves = side[:, : round(middle)], side[:, side.shape[1] - round(middle) :]
    return tuple(_page_on(half, pages) for half in halves)  # type: ignore[return-value]


def _page_on(half: numpy.ndarray, pages: Sequence[numpy.ndarray]) -> Half:
    found = [
        (
            float(numpy.abs(half.astype(int) - numpy.rot90(page, turned // 90).astype(int)[: half.shape[0], : half.shape[1]]).mean()),
            n,
            turned,
        )
        for n, page in enumerate(pages, 1)
        for turned in (0, 180)
    ]
    (off, n, turned), (second, *_) = sorted(found)[:2]
    assert off < second / 2  # not nothing: the fold lies within a dot of the picture
    return Half(n, turned)


@pytest.mark.parametrize("pages", [4, 8, 12, 16])
def test_the_folded_booklet_reads_from_the_first_page_to_the_last_and_upright(pages: int) -> None:
    unfolded = pictures(flat(pages, False))
    sides = [seen_on(side, unfolded) for side in pictures(flat(pages, True))]
    assert read(leaves_of(sides)) == [Half(n, 0) for n in range(1, pages + 1)]


def test_a_flip_on_the_long_edge_would_stand_every_second_page_on_its_head() -> None:
    sides = [(Half(a, 0), Half(b, 0)) for a, b in imposing.sides(8)]
    assert {half.turned for half in read(leaves_of(sides), "long")} == {0, 180}


def test_each_page_stands_once_and_the_outermost_leaf_has_cover_and_back() -> None:
    for pages in range(4, 84, 4):
        pairs = imposing.sides(pages)
        assert sorted(page for pair in pairs for page in pair) == list(range(1, pages + 1))
        assert all(sum(pair) == pages + 1 for pair in pairs)  # common practice: the two pages of a side add up to one more than all
        assert pairs[0] == (pages, 1) and len(pairs) == pages // 2


def test_the_printed_pages_are_the_paper_on_its_side_and_ask_for_both_sides_and_the_short_edge() -> None:
    read_back = PdfReader(io.BytesIO(flat(8, True)))
    for page in read_back.pages:
        assert float(page.mediabox.width) == pytest.approx(297 * 72 / 25.4, abs=1e-3)
        assert float(page.mediabox.height) == pytest.approx(210 * 72 / 25.4, abs=1e-3)
    assert read_back.root_object["/ViewerPreferences"]["/Duplex"] == "/DuplexFlipShortEdge"
    assert read_back.page_labels == ["8, 1", "2, 7", "6, 3", "4, 5"]


def test_bookmarks_and_links_lead_to_the_side_that_their_page_is_on() -> None:
    read_back = PdfReader(io.BytesIO(flat(8, True)))
    found = {str(mark["/Title"]): read_back.get_destination_page_number(mark) + 1 for mark in read_back.outline}
    assert found == {f"mark {page}": side for page, side in imposing.side_of(8).items()}
    lefts = sorted(round(float(note.get_object()["/Rect"][0]) * 25.4 / 72, 1) for note in read_back.pages[0]["/Annots"])
    assert lefts == [20.0, 168.5]


def test_the_folded_file_is_whole_and_the_same_each_time() -> None:
    once = flat(12, True)
    flat.cache_clear()
    assert flat(12, True) == once
    assert pikepdf.open(io.BytesIO(once)).check_pdf_syntax() == []
    fonts = [
        str(font.get_object()["/BaseFont"]) for page in PdfReader(io.BytesIO(once)).pages for font in page["/Resources"]["/Font"].values()
    ]
    assert fonts and all("+" in font for font in fonts)  # a subset, and so embedded (ISO 32000-1, 9.6.4)


@pytest.mark.parametrize(("pages", "back", "notes"), [(1, True, 2), (3, True, 0), (4, True, 3), (4, False, 0), (9, True, 2), (15, True, 0)])
def test_pages_for_notes_fill_up_the_leaves(pages: int, back: bool, notes: int) -> None:
    assert stitched.blank(pages, back) == notes
    assert (pages + notes + back) % 4 == 0

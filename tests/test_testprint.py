"""The test print: its bars are true to size and stand clear, and it tells what to write into the spec."""

from __future__ import annotations

import io
import re
from functools import cache

import pypdf
import pypdfium2
import pytest

from booklet.errors import Refused
from booklet.lengths import parse_sheet
from booklet.pages import testprint
from booklet.pdf.read import FinishedFile, Segment
from booklet.plane import bounds, length
from booklet.spec import Page, read_page

PAPERS = {"A4": (180.0, 240.0), "Letter": (180.0, 240.0), "Legal": (180.0, 240.0), "A3": (180.0, 240.0), "A5": (100.0, 100.0)}


def page(paper: str, margin: str = "6.35 mm") -> Page:
    return read_page({"paper": paper, "margin": margin}, "mm")


@cache
def made(paper: str, units: str = "mm") -> bytes:
    return testprint.made(page(paper), units)  # type: ignore[arg-type]


def words(data: bytes) -> str:
    return " ".join(pypdf.PdfReader(io.BytesIO(data)).pages[0].extract_text().split()).replace("\u00a0", " ")


def bars(data: bytes) -> list[Segment]:
    """The bars themselves, across and up: the longest thick line each way."""
    lines = [s for s in FinishedFile(data).lines(0) if s.width == pytest.approx(0.5, abs=1e-3)]
    return [max((s for s in lines if abs(s.a[1 - axis] - s.b[1 - axis]) < 1e-6), key=lambda s: length(s.line)) for axis in (0, 1)]


def ticks(data: bytes, axis: int) -> list[Segment]:
    """The lines across a bar, in their order along it."""
    bar = bars(data)[axis]
    lines = [s for s in FinishedFile(data).lines(0) if abs(s.a[axis] - s.b[axis]) < 1e-6 and s.width == pytest.approx(0.25, abs=1e-3)]
    crossed = [s for s in lines if min(s.a[1 - axis], s.b[1 - axis]) < bar.a[1 - axis] < max(s.a[1 - axis], s.b[1 - axis])]
    return sorted(crossed, key=lambda s: s.a[axis])


@pytest.mark.parametrize("paper", PAPERS)
def test_both_bars_are_true_to_size(paper: str) -> None:
    assert [length(bar.line) for bar in bars(made(paper))] == pytest.approx(PAPERS[paper], abs=0.001)


@pytest.mark.parametrize("paper", ["A4", "A5"])
@pytest.mark.parametrize("axis", [0, 1])
def test_the_outer_edges_of_the_end_ticks_are_as_far_apart_as_the_bar_is_long(paper: str, axis: int) -> None:
    data = made(paper)
    first, *between, last = ticks(data, axis)
    assert last.a[axis] + last.width / 2 - (first.a[axis] - first.width / 2) == pytest.approx(PAPERS[paper][axis], abs=0.001)
    start = bars(data)[axis].a[axis]
    assert [s.a[axis] - start for s in between] == pytest.approx([10.0 * n for n in range(1, len(between) + 1)], abs=0.001)
    assert len(between) == PAPERS[paper][axis] / 10 - 1
    assert min(length(s.line) for s in (first, last)) > 2 * max(length(s.line) for s in between)


@pytest.mark.parametrize("paper", PAPERS)
def test_it_is_one_page_that_asks_for_no_scaling_and_keeps_to_the_printable_area(paper: str) -> None:
    data, wanted = made(paper), parse_sheet(paper).size
    file = FinishedFile(data)
    assert len(file.pages) == 1 and file.print_scaling == "None"
    assert file.pages[0].size == pytest.approx(wanted, abs=0.01)
    x0, y0, x1, y1 = bounds(end for s in file.lines(0) for end in s.line)
    assert min(x0, y0, wanted[0] - x1, wanted[1] - y1) >= 6.35 + 0.25


@pytest.mark.parametrize("paper", ["A4", "Letter", "A5"])
def test_no_letter_touches_a_bar_or_another_letter(paper: str) -> None:
    """As an outside renderer places the letters; a pair that is kerned may touch by a hair."""
    data = made(paper)
    shown = pypdfium2.PdfDocument(data)[0].get_textpage()
    boxes = [[v * 25.4 / 72 for v in shown.get_charbox(n)] for n in range(shown.count_chars()) if shown.get_text_range(n, 1).strip()]
    assert len(boxes) > 500
    for s in [*bars(data), *ticks(data, 0), *ticks(data, 1)]:
        x0, y0, x1, y1 = bounds(s.line)
        touched = [b for b in boxes if b[0] < x1 + 0.3 and b[2] > x0 - 0.3 and b[1] < y1 + 0.3 and b[3] > y0 - 0.3]
        assert not touched
    over = [(a, b) for n, a in enumerate(boxes) for b in boxes[n + 1 :] if min(a[2], b[2]) - max(a[0], b[0]) > 0.5]
    assert not [1 for a, b in over if min(a[3], b[3]) - max(a[1], b[1]) > 0.3]


@pytest.mark.parametrize("paper", PAPERS)
def test_the_line_that_it_shows_is_taken_by_the_spec(paper: str) -> None:
    told = words(made(paper))
    across, up = re.search(r'printed_bar = \["(.*?)", "(.*?)"\]', told).groups()  # type: ignore[union-attr]
    assert read_page({"printed_bar": [across, up]}, "mm").scale == pytest.approx((0.985, 0.992), abs=3e-4)
    assert "[page]" in told


def test_it_tells_how_to_print_what_to_leave_alone_and_what_fit_to_page_looks_like() -> None:
    told = words(made("A4"))
    for part in (
        '"Actual size" or 100 %',
        "Within half a millimetre of 180 and 240 mm",
        "Write nothing",
        "About 175 and 233 mm, or 169 and 226",
    ):
        assert part in told, part
    assert "About 97 or 94 mm" in words(made("A5"))
    assert "longer bars, which measure finer" in words(made("A5"))
    assert "millimetre side of the ruler" in words(made("Letter", "in"))


@pytest.mark.parametrize("paper", ["A4", "A5"])
def test_the_outline_of_a_bank_card_is_an_id_1_card(paper: str) -> None:
    chords = [s for s in FinishedFile(made(paper)).lines(0) if s.width == pytest.approx(0.35, abs=1e-3)]
    x0, y0, x1, y1 = bounds(end for s in chords for end in s.line)
    assert (x1 - x0, y1 - y0) == pytest.approx((85.60, 53.98), abs=0.01)


def test_paper_too_small_for_bars_of_100_mm_is_refused() -> None:
    for paper, margin in (("A6", "5 mm"), ("A5", "25 mm"), ("110 x 210 mm", "6 mm")):
        with pytest.raises(Refused, match="use A5 paper or larger"):
            testprint.made(page(paper, margin), "mm")


def test_a_wide_margin_has_the_short_bars() -> None:
    assert testprint.placed(page("A4", "10 mm")).lengths == (180.0, 240.0)
    assert testprint.placed(page("A4", "12 mm")).lengths == (100.0, 100.0)


def test_a_short_page_has_the_short_bars() -> None:
    assert testprint.placed(page("210 x 270 mm")).lengths == (180.0, 240.0)
    assert testprint.placed(page("210 x 260 mm")).lengths == (100.0, 100.0)


def test_the_same_page_has_the_same_bytes() -> None:
    assert made("A4") == testprint.made(page("A4"), "mm")

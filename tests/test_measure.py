"""The sheet to measure a thing on: its lines stand where their figures say, and it tells how to use them."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from functools import cache
from itertools import pairwise

import pypdf
import pypdfium2
import pytest

from booklet.drawing import rules
from booklet.errors import Refused
from booklet.pages import measure
from booklet.pdf.read import FinishedFile, Segment
from booklet.plane import bounds, length
from booklet.spec import Page, read_page

PAPERS = ("A4", "Letter", "A5")
BARS = ("177.3 mm", "238.1 mm")


def page(paper: str = "A4", margin: str = "6.35 mm", bars: Sequence[str] = ()) -> Page:
    return read_page({"paper": paper, "margin": margin, **({"printed_bar": list(bars)} if bars else {})}, "mm")


@cache
def made(paper: str = "A4", units: str = "mm", bars: Sequence[str] = ()) -> bytes:
    return measure.made(page(paper, bars=bars), units)  # type: ignore[arg-type]


def words(data: bytes, number: int) -> str:
    read = " ".join(pypdf.PdfReader(io.BytesIO(data)).pages[number].extract_text().split())
    return read.replace("\u00a0", " ").translate(str.maketrans("\u2044\u00b9\u00b3\u2075\u2077\u2082\u2084\u2088", "/1357248"))


def letters(data: bytes) -> list[tuple[str, list[float]]]:
    """Each letter of the first page with its box in mm, as an outside renderer has it; one with a rim is drawn twice and told once."""
    shown = pypdfium2.PdfDocument(data)[0].get_textpage()
    found = ((shown.get_text_range(n, 1), [v * 25.4 / 72 for v in shown.get_charbox(n)]) for n in range(shown.count_chars()))
    once = {(letter, *(round(v, 3) for v in box)): (letter, box) for letter, box in found if letter.strip()}
    return list(once.values())


def stop_lines(data: bytes) -> tuple[Segment, Segment]:
    """The thick lines, the one along the lower rule and the one along the left."""
    lines = [s for s in FinishedFile(data).lines(0) if s.width == pytest.approx(0.5, abs=1e-3)]
    return next(s for s in lines if s.a[1] == s.b[1]), next(s for s in lines if s.a[0] == s.b[0])


def graduations(data: bytes, axis: int, inner: bool) -> list[float]:
    """Where the lines of one side of a rule stand, mm from the inner edge of the stop line, in order."""
    across, up = stop_lines(data)
    zero = (up.a[0] + up.width / 2, across.a[1] + across.width / 2)
    lines = [s for s in FinishedFile(data).lines(0) if abs(s.a[axis] - s.b[axis]) < 1e-6 and 2.0 < length(s.line) < 6.0]
    edge = max if inner else min
    ends = [edge(s.a[1 - axis], s.b[1 - axis]) for s in lines]
    rim = zero[1 - axis] if inner else min(ends)
    return sorted(s.a[axis] - zero[axis] for s, end in zip(lines, ends, strict=True) if abs(end - rim) < 0.05 and s.a[axis] > zero[axis])


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("axis", [0, 1])
def test_there_is_a_line_every_2_mm_and_every_eighth_of_an_inch_true_to_size(paper: str, axis: int) -> None:
    data, reach = made(paper), rules.longest(measure.room(page(paper))[axis])
    for inner, step, last in ((True, 2.0, reach[0]), (False, 25.4 / 8, reach[1])):
        found = graduations(data, axis, inner)
        assert found == pytest.approx([step * n for n in range(1, len(found) + 1)], abs=0.01)
        assert found[-1] == pytest.approx(last, abs=0.01)
        assert last > 100.0


@pytest.mark.parametrize("axis", [0, 1])
def test_a_printer_that_was_measured_has_the_lines_corrected(axis: int) -> None:
    data, scale = made(bars=BARS), page(bars=BARS).scale[axis]
    found = [run * scale for run in graduations(data, axis, inner=True)]
    # the stop line keeps its width, so that zero is off by a part of half of it
    assert found == pytest.approx([2.0 * n for n in range(1, len(found) + 1)], abs=0.01)
    assert "bars measured 177.3 mm across and 238.1 mm up" in words(data, 0)


def test_lines_of_full_figures_are_longer_than_those_between() -> None:
    reach = {line.run: line.reach for line in rules.millimetres(40)}
    assert reach[10.0] == reach[20.0] > reach[2.0] == reach[8.0]
    inch = [line.reach for line in rules.inches(25.4)]
    assert inch[7] > inch[3] > inch[1] == inch[5] > inch[0] == inch[2] == inch[4] == inch[6]


def test_each_10_mm_and_each_inch_carries_its_figure() -> None:
    assert {line.run: line.figure for line in rules.millimetres(31) if line.figure} == {10.0: "10", 20.0: "20", 30.0: "30"}
    assert [(line.run, line.figure) for line in rules.inches(60) if line.figure] == [(25.4, "1"), (50.8, "2")]


@pytest.mark.parametrize("axis", [0, 1])
def test_a_figure_stands_at_its_line(axis: int) -> None:
    data = made()
    across, up = stop_lines(data)
    zero = (up.a[0] + 0.25, across.a[1] + 0.25)
    strip = [(c, b) for c, b in letters(data) if b[3 - axis] < zero[1 - axis] and b[axis] > zero[axis]]
    figures = [[first, *rest] for first, rest in _grouped(strip)]
    seen = [("".join(c for c, _ in group), _middle(group, axis) - zero[axis]) for group in figures]
    for figure, run in [(mm, mm) for mm in range(10, 171, 10)] + [(inch, inch * 25.4) for inch in range(1, 7)]:
        assert any(told == str(figure) and abs(at - run) < 0.5 for told, at in seen), figure


def _grouped(strip: list[tuple[str, list[float]]]) -> list[tuple[tuple[str, list[float]], list[tuple[str, list[float]]]]]:
    """Letters that follow each other closely on one line, as one figure."""
    groups: list[list[tuple[str, list[float]]]] = []
    for one in strip:
        near = groups and abs(one[1][1] - groups[-1][-1][1][1]) < 0.5 and -0.2 < one[1][0] - groups[-1][-1][1][2] < 1.3
        groups[-1].append(one) if near else groups.append([one])
    return [(group[0], group[1:]) for group in groups]


def _middle(group: list[tuple[str, list[float]]], axis: int) -> float:
    return (min(b[axis] for _, b in group) + max(b[axis + 2] for _, b in group)) / 2


@pytest.mark.parametrize("paper", PAPERS)
def test_nothing_lies_outside_the_printable_area_and_no_letter_on_another(paper: str) -> None:
    data = made(paper)
    file = FinishedFile(data)
    for number, box in enumerate(file.pages):
        x0, y0, x1, y1 = bounds(end for s in file.lines(number) for end in s.line) if file.lines(number) else (9, 9, 9, 9)
        assert min(x0, y0, box.size[0] - x1, box.size[1] - y1) > 6.35
    boxes = [b for letter, b in letters(data) if letter != "\u2044"]  # a fraction leans over its stroke
    over = [(a, b) for n, a in enumerate(boxes) for b in boxes[n + 1 :] if min(a[2], b[2]) - max(a[0], b[0]) > 0.5]
    assert not [1 for a, b in over if min(a[3], b[3]) - max(a[1], b[1]) > 0.3]
    assert file.print_scaling == "None"


def test_a_bank_card_in_the_corner_ends_on_its_outline() -> None:
    data = made()
    across, up = stop_lines(data)
    chords = [s for s in FinishedFile(data).lines(0) if s.width == pytest.approx(0.35, abs=1e-3)]
    x0, y0, x1, y1 = bounds(end for s in chords for end in s.line)
    assert x0 > up.a[0] + 1.0 and y0 > across.a[1] + 1.0
    assert (x1 - up.a[0] - 0.25, y1 - across.a[1] - 0.25) == pytest.approx((85.60, 53.98), abs=0.01)


def test_it_tells_the_longest_reading_and_what_the_readings_become() -> None:
    told = words(made(), 0)
    (across, _), (up, _) = (rules.longest(along) for along in measure.room(page()))
    assert f"reach {across:g} mm (" in told and f" across and {up:g} mm (" in told
    lines = dict(re.findall(r'(length|width|height) = "(\d+ mm)"', told))
    assert lines == {"length": "126 mm", "width": "96 mm", "height": "104 mm"}
    assert 'width = "3 7/8 in"' in words(made("Letter", "in"), 0)
    assert "the line of 150 mm at 150 mm" in told
    assert "the line of 6 in at 6 in" in words(made("Letter", "in"), 0)


def test_it_tells_how_to_use_it_without_calipers() -> None:
    told = words(made(), 1)
    for part in ("Books will do", "a pencil adds half its thickness", "a mug with its handle is a block, not round", "2 mm or 1/8 in",
                 "covers the left stop line", "a second print on the first", "Height, at a wall", '"round"'):  # fmt: skip
        assert part in told, part


def test_the_field_has_lines_to_hold_a_block_square_by() -> None:
    _, up = stop_lines(made())
    dotted = sorted(s.a[0] - up.a[0] - 0.25 for s in FinishedFile(made()).lines(0) if s.dash and s.a[0] == s.b[0])
    assert [b - a for a, b in pairwise(dotted)] == pytest.approx([10.0] * (len(dotted) - 1), abs=0.01)
    assert dotted[0] == pytest.approx(10.0, abs=0.01) and len(dotted) == 17


def test_paper_too_small_for_rules_of_use_is_refused() -> None:
    for paper, margin in (("A6", "5 mm"), ("A5", "20 mm"), ("297 x 120 mm", "5 mm")):
        with pytest.raises(Refused, match="use A5 paper or larger"):
            measure.made(page(paper, margin), "mm")


def test_the_same_sheet_has_the_same_bytes() -> None:
    assert made() == measure.made(page(), "mm")

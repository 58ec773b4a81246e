"""Where pages end: as platypus ends them, few pages, none half empty that need not be, drawings grown to fill."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.platypus.doctemplate import PageBreak
from reportlab.platypus.flowables import Flowable

from booklet.drawing.recording import RecordingPen
from booklet.pages import running
from booklet.pages.markdown import Setting, blocks_of
from booklet.pdf import blocks, flow, paging
from booklet.pdf.canvas import PdfFile
from booklet.pdf.columns import LONG_TABLE, Columns
from booklet.pdf.flow import Picture
from booklet.pdf.paging import Paper, Spot, Unit, settled
from booklet.pdf.table import RuledTable
from booklet.pdf.typeset import Typesetter

PAGE = (120.0, 140.0)
RECT = (10.0, 20.0, 110.0, 120.0)
WIDTH, HEIGHT = 100.0, 100.0
MAKE = Typesetter()


class Block(Flowable):
    """A block of a height in mm that tells the page that it is drawn on; `parts`: it can be parted into so many like ones."""

    def __init__(self, high: float, before: float = 0.0, after: float = 0.0, parts: int = 1, seen: list[Any] | None = None):
        super().__init__()
        self.high, self.parts, self.seen = high, parts, seen
        self.spaceBefore, self.spaceAfter = blocks.points(before), blocks.points(after)

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        return width, blocks.points(self.high)

    def split(self, width: float, height: float) -> list[Any]:
        share = self.high / self.parts
        count = min(int(height / blocks.points(share) + 1e-9), self.parts - 1)
        if count < 1:
            return []
        return [self._part(share * count, count), self._part(self.high - share * count, self.parts - count)]

    def _part(self, high: float, parts: int) -> Block:
        made = Block(high, 0.0, 0.0, parts, self.seen)
        made.spaceAfter = self.spaceAfter
        return made

    def draw(self) -> None:
        if self.seen is not None:
            self.seen.append((self.canv.getPageNumber(), round(self.high, 6)))


def pages(story: Sequence[Any]) -> int:
    file = PdfFile("test")
    return flow.flow(file, paging.grouped(story), PAGE, [RECT])


def ends(story: Sequence[Any]) -> list[Spot]:
    return list(Paper(blocks.points(WIDTH), blocks.points(HEIGHT)).filled(Spot(), story))


@st.composite
def stories(draw: st.DrawFn) -> list[Any]:
    """Blocks of all kinds with headings that stay with what follows, groups that are kept together, columns and tables."""
    sizes = st.floats(1.0, 99.0).map(lambda v: round(v, 2))
    gaps = st.sampled_from([0.0, 2.0, 5.0])
    block = st.builds(Block, sizes, gaps, gaps, st.integers(1, 6))
    text = st.integers(1, 60).map(lambda n: MAKE.paragraph("word " * n))
    heading = st.just(None).map(lambda _: MAKE.paragraph("A heading", "h1"))
    table = st.integers(1, 20).map(lambda n: MAKE.table(["one", "two"], [["a", "b"]] * n, ["left", "right"]))
    together = st.lists(block, min_size=1, max_size=3).map(blocks.together)
    columns = st.lists(text, min_size=2, max_size=6).map(lambda some: blocks.Columns(some, 8.0))
    breaks = st.just(None).map(lambda _: blocks.page_break())
    marks = st.sampled_from([0.0, 5.0]).map(lambda before: blocks.Mark(lambda: None, before))
    some = draw(st.lists(st.one_of(block, text, heading, table, together, columns, breaks, marks), min_size=1, max_size=14))
    story: list[Any] = []
    for one in [*some, Block(3.0)]:
        while isinstance(one, PageBreak) and story and story[-1].getKeepWithNext():
            story.pop()  # a break that parts a heading from its words is in no text
        story.append(one)
    return story


@settings(max_examples=40)
@given(stories())
def test_pages_end_where_platypus_ends_them(story: list[Any]) -> None:
    told = len(ends(story))
    assert pages(story) == told


def test_a_mark_takes_no_part_in_the_space_round_it() -> None:
    """A page that is filled to its foot after a mark."""
    story = [Block(20.0, after=5.0), blocks.Mark(lambda: None), Block(30.0, before=5.0), Block(39.0), Block(6.0)]
    assert pages(story) == len(ends(story)) == 1
    assert pages([*story[:-1], Block(6.5)]) == len(ends([*story[:-1], Block(6.5)])) == 2


def test_what_stands_on_each_page_is_what_was_reckoned() -> None:
    seen: list[tuple[int, float]] = []
    story = [Block(30.0, seen=seen), Block(60.0, 5.0, seen=seen), Block(45.0, seen=seen), Block(80.0, parts=4, seen=seen)]
    assert [round(end.used / blocks.points(1.0)) for end in ends(story)] == [95, 85, 40]
    pages(story)
    assert seen == [(1, 30.0), (1, 60.0), (2, 45.0), (2, 40.0), (3, 40.0)]


def starts(*units: Unit) -> list[int]:
    """On which page each section begins, from 1, told by a mark at its head."""
    seen: list[int] = []
    marked = []
    for unit in units:
        mark = Block(0.0, seen=None)
        mark.draw = lambda own=mark: seen.append(own.canv.getPageNumber())  # type: ignore[method-assign, misc]
        mark.keepWithNext = 1
        marked.append(Unit([mark, *unit.blocks], unit.start, unit.room))
    pages(settled(marked, WIDTH, HEIGHT))
    return seen


def test_a_section_that_begins_a_page_does() -> None:
    assert starts(Unit([Block(10)]), Unit([Block(10)], "page"), Unit([Block(10)])) == [1, 2, 2]


def test_a_section_goes_on_where_its_own_page_would_be_half_empty() -> None:
    assert starts(Unit([Block(40)]), Unit([Block(40)], "best")) == [1, 1]


def test_a_section_begins_a_page_where_both_are_well_filled() -> None:
    assert starts(Unit([Block(80)]), Unit([Block(10), Block(75)], "best")) == [1, 2]


def test_a_section_without_its_room_begins_a_page() -> None:
    assert starts(Unit([Block(80)]), Unit([Block(10), Block(75)], "on", room=30)) == [1, 2]


def test_a_break_is_put_earlier_so_that_the_last_page_is_not_nearly_empty() -> None:
    """Three sections of 45, 45 and 20 mm: 45 and 65 mm leave no page as empty as 90 and 20 mm do."""
    assert starts(Unit([Block(45)]), Unit([Block(45)]), Unit([Block(20)])) == [1, 2, 2]


def test_no_way_takes_more_pages_than_it_must() -> None:
    assert starts(*(Unit([Block(24)], "best") for _ in range(4))) == [1, 1, 1, 1]


@pytest.mark.parametrize(("most", "high"), [(60.0, 60.0), (200.0, 79.0)])
def test_a_drawing_takes_what_its_page_leaves_and_no_more_than_it_may(most: float, high: float) -> None:
    picture = Picture(WIDTH, 40.0, lambda pen: None, most_mm=most)
    settled([Unit([Block(20.0), picture]), Unit([Block(50.0)], "page")], WIDTH, HEIGHT)
    assert picture.height == pytest.approx(blocks.points(high), abs=0.01)


def test_drawings_in_columns_grow_together_and_take_no_page_more() -> None:
    left, right = (Picture(46.0, 30.0, lambda pen: None, most_mm=60.0) for _ in range(2))
    columns = blocks.Columns([left, right], 8.0)
    story = settled([Unit([Block(50.0), columns])], WIDTH, HEIGHT)
    assert left.height == right.height and left.height > blocks.points(45.0)
    assert pages(story) == 1


@settings(max_examples=40)
@given(st.lists(st.tuples(st.lists(st.floats(5.0, 95.0), min_size=1, max_size=4), st.sampled_from(paging.STARTS)), min_size=1, max_size=7))
def test_growing_drawings_never_take_a_page_more(sections: list[tuple[list[float], paging.Start]]) -> None:
    def units() -> list[Unit]:
        return [Unit([Picture(WIDTH, high, lambda pen: None, most_mm=1.5 * high) for high in some], start) for some, start in sections]

    plain = [Unit([Block(high) for high in some], start) for some, start in sections]
    assert pages(settled(units(), WIDTH, HEIGHT)) <= len(plain) * 4
    story = settled(units(), WIDTH, HEIGHT)
    grown = [block for block in story if isinstance(block, Picture) and block.height > block.most + 1e-6]
    assert not grown and len(ends(story)) == pages(story)


# -- titles


@pytest.mark.parametrize(
    ("words", "size"), [("Mug box", 36), ("A box for a mug with a handle and its saucer, for the shop", 36), ("M" * 80, 16)]
)
def test_a_title_is_set_in_the_largest_size_in_which_it_takes_three_lines(words: str, size: float) -> None:
    made = MAKE.paragraph(words, "title")
    _, high = made.wrap(blocks.points(186.0), 1e6)
    assert made.style.fontSize == size and (high <= 3 * made.style.leading + 0.1 or size == 16)
    made.wrap(blocks.points(60.0), 1e6)
    assert made.style.fontSize <= size and made.split(10.0, 10.0) == []


@pytest.mark.parametrize(("title", "section"), [("W" * 80, "W" * 80 + ": sheet"), ("Mug", "S" * 200), ("W" * 80, "Steps")])
def test_a_long_title_and_a_long_section_have_room_beside_each_other(title: str, section: str) -> None:
    pen = RecordingPen()
    running.head(pen, (10.0, 20.0, 130.0, 190.0), 8.0, title, section)
    left, right = (record for record in pen.records if record.kind == "text")
    end, start = 10.0 + pen.width(left.words, 8.0), 130.0 - pen.width(right.words, 8.0)
    assert 10.0 < end <= start - 5.9 and len(right.words) >= 5


# -- long tables in columns


def table(rows: int) -> RuledTable:
    return RuledTable(["Check", "Found"], [[f"row {n}", str(n)] for n in range(rows)], ["left", "right"], 10.0, 13.0, 4.0)


def rows_of(columns: Columns) -> list[int]:
    columns.wrap(blocks.points(WIDTH), 1e6)
    return [sum(len(block.rows) for block, _, _ in run) for run in columns._runs]


def test_a_long_table_goes_on_in_the_second_column_with_its_head() -> None:
    columns = Columns([table(20)], 8.0)
    assert rows_of(columns) == [10, 10]
    assert columns.height == pytest.approx(table(10).wrap(200.0, 1e6)[1])


@given(st.lists(st.integers(1, 30), min_size=1, max_size=5))
def test_no_row_of_tables_in_columns_is_lost_and_columns_never_become_lower_by_parting_a_short_one(counts: list[int]) -> None:
    columns = Columns([table(count) for count in counts], 8.0)
    left, right = rows_of(columns)
    assert left + right == sum(counts)
    if max(counts) < LONG_TABLE:
        assert {len(block.rows) for run in columns._runs for block, _, _ in run} <= set(counts)


# -- words that lead in a list


def test_a_column_may_end_between_words_and_their_list_but_not_after_a_colon_or_a_heading() -> None:
    setting = Setting(MAKE, lambda *_: [], {}, 186.0, 8.0, 70.0)

    def first_of_second(text: str) -> str:
        (columns,) = blocks_of(f"::: columns\n{text}\n\n- one of the list\n- two of the list\n:::", setting)
        columns.wrap(blocks.points(186.0), 1e6)
        return str(columns._runs[1][0][0].text) if columns._runs[1] else ""

    long = "Measure the pieces with the ruler that cut them, each along the edge that is told. " * 2
    assert "one of the list" in first_of_second(long + "What is off is cut again.")
    assert "one of the list" not in first_of_second(long + "These are the pieces:")
    assert "one of the list" not in first_of_second("## Measure")


# -- contents


@dataclass
class Line:
    title: str
    page: int = 34
    key: str = "key"


@pytest.mark.parametrize(("column", "size"), [(89.0, 10.0), (60.0, 10.0), (54.0, None), (30.0, 8.0)])
def test_contents_are_set_smaller_in_narrow_columns_and_not_under_eight_points(column: float, size: float | None) -> None:
    pen, line = RecordingPen(), Line("Covering, band, ribbon and tag")
    found = running.contents_size(pen, [Line("Steps"), line], column, 10.0)
    assert size is None or found == size
    if size is None:
        assert 8.0 < found < 10.0
        assert running.fitted(pen, line.title, found, column - pen.width("34", found) - running.BEFORE_NUMBER) == line.title


def test_a_column_of_the_contents_gives_the_other_what_it_does_not_need() -> None:
    pen, short, long = RecordingPen(), Line("Steps"), Line("Covering, band, ribbon and tag")
    assert running.contents_columns(pen, [short, short], 120.0, 10.0) == (60.0, 60.0)
    for entries, wide in (([short, long], 1), ([long, short], 0)):
        columns = running.contents_columns(pen, entries, 100.0, 10.0)
        assert sum(columns) == pytest.approx(100.0) and columns[wide] > 55.0
        assert running.contents_size(pen, [long], columns[wide], 10.0) == 10.0
    assert running.contents_columns(pen, [long, long], 100.0, 10.0) == (50.0, 50.0)

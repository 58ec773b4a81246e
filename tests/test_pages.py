"""The booklet's pages: what a template may hold, how words are set, and what the finished file has."""

from __future__ import annotations

import io
import math
import re
import tempfile
from dataclasses import replace
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
import shapely
from pypdf import PdfReader

from booklet.cuts import stops
from booklet.drawing import ordered
from booklet.drawing.recording import RecordingPen
from booklet.errors import BookletError
from booklet.pages import book, filling, markdown
from booklet.pages.facts import facts_of
from booklet.pages.figures import Figures
from booklet.pages.markdown import Setting, blocks_of, shaped
from booklet.pages.pictures import Pictures
from booklet.pages.records import Facts
from booklet.pages.settings import settings
from booklet.pages.steps import pages_of
from booklet.pages.texts import Texts, drawing, plain
from booklet.pages.words import folders, words
from booklet.pdf import blocks, flow
from booklet.pdf.canvas import PdfFile
from booklet.pdf.cells import Cell, cell_rows
from booklet.pdf.read import FinishedFile
from booklet.pdf.typeset import Typesetter
from booklet.plan import Plan
from booklet.planning import plan_of
from booklet.spec import Spec, load
from booklet.styles import shelf
from tests import samples

SPEC = """
title = "Kiln Lane *tray* no. 1 | <b>"
style = "tray"
[item]
shape = "block"
length = "4 1/4 in"
width = "3 in"
height = "1 1/4 in"
weight = "5 oz"
[fit]
clearance = "1/4 in"
headroom = "1/8 in"
[card]
sheet = "12x12 in"
caliper = "0.30 mm"
[page]
paper = "Letter"
[glue]
kind = "hot-melt"
[booklet]
units = "in"
"""
FILES = {"net.json": b"{}", "spec.toml": b"title = 1"}


@cache
def spec() -> Spec:
    return spec_of(SPEC)


def spec_of(text: str) -> Spec:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "box.toml"
        path.write_text(text)
        return load(path, {name: style.OPTIONS for name, style in shelf().items()})


@cache
def plan() -> Plan:
    return plan_of(spec())


@cache
def made() -> book.Book:
    return book.write(plan(), lambda pages: FILES)


@cache
def reader() -> PdfReader:
    return PdfReader(io.BytesIO(made().data))


def text_of(page: int) -> str:
    """The words of a page, from 1, on one line."""
    return " ".join(reader().pages[page - 1].extract_text().split())  # a space that does not break is a space too


def with_folder(folder: Path) -> Plan:
    """The plan whose booklet is laid out by a maker's own folder."""
    return replace(plan(), spec=replace(spec(), booklet=replace(spec().booklet, layout="own", folder=folder)))


def texts(folder: Path, **given: Any) -> Texts:
    return Texts(folders("home", folder), "en", given)


def setting(width: float = 186.0) -> Setting:
    s = settings()
    return Setting(Typesetter(s.type), lambda *a: [], words().table("signals"), width, s.gutter, s.least_column, "page.md")


# The finished file ------------------------------------------------------------------------------------------------


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert book.write(plan(), lambda pages: FILES).data == made().data


def test_every_page_tells_its_number_of_all_but_the_cover() -> None:
    for number in range(2, made().pages + 1):
        assert f"page {number} of {made().pages}" in text_of(number)


def test_the_cover_lists_every_section_with_its_page() -> None:
    cover = text_of(1)
    for entry in made().entries[1:]:
        assert f"{entry.title} {entry.page}" in cover


def test_sections_begin_on_the_pages_that_the_contents_name() -> None:
    for entry in made().entries:
        if entry.file not in ("cover", book.TEMPLATES):
            assert entry.title in text_of(entry.page)


def test_bookmarks_lead_to_the_sections() -> None:
    sections = [item for item in reader().outline if not isinstance(item, list)]
    outline = [(item.title, reader().get_destination_page_number(item) + 1) for item in sections]
    assert outline == [(entry.title, entry.page) for entry in made().entries]


def test_the_contents_are_links() -> None:
    links = [note.get_object() for note in reader().pages[0]["/Annots"]]
    assert len(links) == len(made().entries) - 1


def test_the_title_is_told_as_it_was_written() -> None:
    assert "Kiln Lane *tray* no. 1 | <b>" in text_of(1) and reader().metadata and reader().metadata.title == spec().title
    assert made().entries[0].title == spec().title


def test_template_leaves_have_the_pages_that_are_handed_to_the_net() -> None:
    handed: dict[int, int] = {}
    again = book.write(plan(), lambda pages: handed.update(pages) or FILES)  # type: ignore[func-returns-value]
    assert handed == again.page_of == made().page_of and set(handed) == {tile.leaf for tile in plan().tiles}
    assert handed[1] == next(entry.page for entry in made().entries if entry.file == book.TEMPLATES)
    for page in handed.values():
        assert "print at 100 %" in text_of(page)


def test_the_files_are_carried_in_the_booklet() -> None:
    assert {name: data[0] for name, data in reader().attachments.items()} == FILES


def test_the_bars_are_on_the_print_check_true_to_size() -> None:
    lines = FinishedFile(made().data).lines(made().print_check - 1)
    for axis in (0, 1):
        along = [abs(s.a[axis] - s.b[axis]) for s in lines if abs(s.a[1 - axis] - s.b[1 - axis]) < 1e-6]
        assert any(abs(length - 100.0) < 0.01 for length in along)
    assert "Both bars measure 100 mm" in text_of(made().print_check)


def test_a_corrected_printer_gets_longer_bars() -> None:
    page = replace(spec().page, printed_bar=(98.0, 99.0))
    made_for = book.write(replace(plan(), spec=replace(spec(), page=page)), lambda pages: {})
    lines = FinishedFile(made_for.data).lines(made_for.print_check - 1)
    for axis, length in ((0, 100 / 0.98), (1, 100 / 0.99)):
        assert any(abs(abs(s.a[axis] - s.b[axis]) - length) < 0.01 for s in lines)


def test_only_template_pages_have_layers() -> None:
    file = FinishedFile(made().data)
    for number in range(1, made().pages + 1):
        layers = {line.layer for line in file.lines(number - 1)} - {None}
        assert bool(layers) == (number in made().page_of.values()), number


def test_a_booklet_in_inches_tells_the_box_in_inches() -> None:
    for file in ("cover", "cut-list", "fit-check"):
        page = next(entry.page for entry in made().entries if entry.file == file)
        told = re.sub(r"0\.30\s?mm|304\.8 . 304\.8\s?mm|(?<=.)How this box was checked.*|Glue map.*(?=Fit check)", "", text_of(page))
        assert re.search(r"[\d\u2080-\u2089]\s?in\b", told) and not re.search(r"\d\s?mm\b", told), file


def test_the_hazard_of_the_glue_is_told_before_the_step_that_glues() -> None:
    steps = next(entry.page for entry in made().entries if entry.file == "steps")
    whole = text_of(steps) + text_of(steps + 1)
    assert whole.count("CAUTION") == 2 and whole.index("Knife") < whole.index("Cut out") < whole.index("195") < whole.index("Press for")


def test_the_signs_of_the_pictures_are_explained_over_the_first_steps() -> None:
    page = next(entry.page for entry in made().entries if entry.file == "steps")
    assert text_of(page).index("valley fold: towards you") < text_of(page).index("Cut out the")
    assert "what moves" not in text_of(page + 1)


# A maker's own layout ---------------------------------------------------------------------------------------------


def test_a_makers_page_takes_the_place_of_the_shipped_one(tmp_path: Path) -> None:
    (tmp_path / "fit-check.md").write_text("# Our check\n\nPut {{ item.size }} in.\n")
    own = book.write(with_folder(tmp_path), lambda pages: {})
    assert [e.title for e in own.entries if e.file == "fit-check"] == ["Our check"]


def test_a_section_is_listed_by_its_title_as_it_is_read(tmp_path: Path) -> None:
    (tmp_path / "layout.toml").write_text('sections = [{ file = "ours" }]\n')
    (tmp_path / "ours.md").write_text("# Ours \\*now\\*\n\nwords\n")
    assert [e.title for e in book.write(with_folder(tmp_path), lambda pages: {}).entries] == ["Ours *now*"]


def test_a_makers_sections_stand_in_their_order(tmp_path: Path) -> None:
    (tmp_path / "layout.toml").write_text('sections = [{ file = "print-check" }, { file = "templates" }, { file = "steps" }]\n')
    own = book.write(with_folder(tmp_path), lambda pages: {})
    assert [e.file for e in own.entries] == ["print-check", "templates", "steps"]


@pytest.mark.parametrize(
    ("text", "line", "told"),
    [
        ("one\n\n{{ nothing }}\n", 3, "'nothing' is undefined"),
        ("one\n{% if %}\n", 2, "Expected an expression"),
        ("{{ title.__class__.__mro__ }}\n", 1, "unsafe"),
        ("\n{{ 1 / 0 }}\n", 2, "division by zero"),
        ('{% include "other.md" %}\n', 1, "other.md"),
        ("{{ boxes.one }}\n", 1, "'boxes' is undefined"),
    ],
)
def test_a_template_that_is_wrong_is_told_with_file_and_line(tmp_path: Path, text: str, line: int | None, told: str) -> None:
    (tmp_path / "cover.md").write_text(text)
    with pytest.raises(BookletError) as caught:
        texts(tmp_path, title="x").markdown("cover")
    fault = caught.value.faults[0]
    assert (fault.where, fault.line) == ("cover.md", line) and told in fault.text


def test_a_section_that_is_in_no_folder_is_told(tmp_path: Path) -> None:
    (tmp_path / "layout.toml").write_text('sections = [{ file = "../secret" }]\n')
    with pytest.raises(BookletError, match="there is no text"):
        book.write(with_folder(tmp_path), lambda pages: {})


def test_a_text_in_the_language_of_the_booklet_comes_first(tmp_path: Path) -> None:
    (tmp_path / "cover.de.md").write_text("Hallo")
    assert Texts(folders("home", tmp_path), "de", {}).markdown("cover") == "Hallo"


# Words as they are set --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "set_as"),
    [
        ("4 1/2 in", "4\u00a0\u00b9\u2044\u2082\u00a0in"),
        ("15/16 in", "\u00b9\u2075\u2044\u2081\u2086\u00a0in"),
        ("1/20 of it", "1/20 of it"),
        ("5.5 mm along", "5.5\u00a0mm along"),
        ("fold wall 2 in", "fold wall\u00a02\u00a0in"),
        ("at 100 %", "at 100\u00a0%"),
    ],
)
def test_fractions_are_built_and_figures_keep_their_units(text: str, set_as: str) -> None:
    assert shaped(text) == set_as


def test_a_text_that_was_made_plain_comes_out_of_markdown_as_it_was() -> None:
    wild = r"*a* _b_ [c](d) `e` <f> # g | h \ i ~j~ {k}"
    (block,) = blocks_of(plain(wild), setting())
    assert block.getPlainText() == wild


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("::: columns\nwords\n", r'page.md: has a block "::: columns" that is not closed'),
        ("words\n:::\n", "page.md: has a line of colons that closes nothing"),
        ("::: shout\nwords\n:::\n", 'page.md: has a block "::: shout"; there are columns'),
        ("```python\nx\n```\n", "only drawings stand in one"),
    ],
)
def test_a_block_that_is_wrong_is_told(text: str, told: str) -> None:
    with pytest.raises(BookletError, match=re.escape(told) if "[" not in told else told):
        blocks_of(text, setting())


def test_blocks_may_stand_in_columns() -> None:
    (columns,) = blocks_of("::: columns\none\n\n::: warning\ntwo\n:::\n\nthree\n:::\n", setting())
    assert [type(block).__name__ for block in columns.blocks] == ["Wording", "Boxed", "Wording"]


def test_columns_too_narrow_to_read_are_not_made() -> None:
    assert len(blocks_of("::: columns\none\n\ntwo\n:::\n", setting(width=120.0))) == 2


def test_an_unknown_drawing_is_told_with_those_that_there_are(tmp_path: Path) -> None:
    (tmp_path / "cover.md").write_text('# A\n\n{{ drawing("dragon") }}\n')
    with pytest.raises(BookletError, match='no drawing "dragon"; there are cover, bars'):
        book.write(with_folder(tmp_path), lambda pages: {})


LOGO = b'<svg xmlns="http://www.w3.org/2000/svg" width="40" height="20"><path d="M0 0h40v20z"/></svg>'


def test_a_makers_own_artwork_stands_in_the_booklet(tmp_path: Path) -> None:
    (tmp_path / "logo.svg").write_bytes(LOGO)
    (tmp_path / "fit-check.md").write_text('# Fit check\n\n{{ drawing("artwork", "logo.svg", width=30) }}\n\nwords\n')
    plain = book.write(with_folder(tmp_path), lambda pages: {})
    assert plain.pages >= 10


@pytest.mark.parametrize("name", ["none.svg", "../logo.svg"])
def test_artwork_that_is_not_in_the_folder_is_told(name: str, tmp_path: Path) -> None:
    (tmp_path / "inner").mkdir()
    (tmp_path / "logo.svg").write_bytes(LOGO)
    (tmp_path / "inner" / "fit-check.md").write_text(f'# Fit check\n\n{{{{ drawing("artwork", "{name}") }}}}\n')
    with pytest.raises(BookletError, match="is not in the layout's folder"):
        book.write(with_folder(tmp_path / "inner"), lambda pages: {})


def test_a_drawing_leaves_a_fence_with_its_settings() -> None:
    assert drawing("sheet", 1, height=90).split() == ["```drawing", "sheet", "1", "height=90", "```"]


def test_signal_words_of_injury_alone_carry_the_sign() -> None:
    signs = {name: blocks_of(f"::: {name}\nx\n:::\n", setting())[0]._sign for name in markdown.SIGNALS}
    assert signs == {"danger": True, "warning": True, "caution": True, "notice": False}


def test_no_column_ends_with_a_heading() -> None:
    text = "::: columns\n" + "words and words\n\n" * 3 + "## Head\n\n" + "more words\n\n" * 4 + ":::\n"
    (columns,) = blocks_of(text, setting())
    columns.wrap(500, 1e6)
    left = columns._runs[0]
    assert len(columns._runs[1]) > 0 and left[-1][0].style.name != "h2"


def test_no_item_of_a_list_stands_alone_in_a_column() -> None:
    for before in range(1, 6):
        text = "::: columns\n" + "words\n\n" * before + "- a\n- b\n- c\n\n" + "words\n\n" * (6 - before) + ":::\n"
        (columns,) = blocks_of(text, setting())
        columns.wrap(500, 1e6)
        items = [sum(bool(getattr(b, "bulletText", None)) for b, _, _ in run) for run in columns._runs]
        assert 1 not in items


def test_a_table_that_is_parted_says_its_head_again() -> None:
    (table,) = blocks_of("| A | B |\n|---|---:|\n" + "| x | 1 |\n" * 20, setting())
    _, whole = table.wrap(400, 1e6)
    first, rest = table.split(400, whole / 2)
    assert first.head == rest.head == ["A", "B"] and len(first.rows) + len(rest.rows) == 20
    assert table.split(400, whole / 20) == []


def test_no_word_of_a_table_reaches_over_its_column() -> None:
    long = "a rather long cell with words in it"
    (table,) = blocks_of(f"| One | Two | Three |\n|---|---|---:|\n| {long} | about 30 min | 12 |\n| {long} | x | 3 |\n", setting())
    table.wrap(170, 1e6)
    assert sum(table._columns) == pytest.approx(170) and table._columns[1] >= table._least(1)


def test_a_steps_warning_stands_over_the_row_when_it_is_the_first_ones() -> None:
    make = Typesetter(settings().type)

    def cell(warned: bool) -> Cell:
        warning = make.boxed("caution", "CAUTION", "Blades cut fingers. " * 6) if warned else None
        return Cell("1", make.paragraph("Fold."), lambda pen, box: None, warning)

    rows = cell_rows([cell(True), cell(False), cell(False), cell(True), cell(False), cell(False)], (2, 3), 186, 240, 8, 24)
    assert round(sum(row.height for row in rows) * 25.4 / 72, 6) == 240
    assert rows[1].height > rows[0].height > rows[2].height


def test_in_narrow_cells_one_warning_stands_over_the_whole_row_and_leaves_the_picture_its_room() -> None:
    make = Typesetter(settings().type)

    def pictures(width: float, warned: int) -> list[float]:
        seen: list[float] = []
        warning = make.boxed("caution", "CAUTION", "Blades cut fingers. " * 6)
        file = PdfFile("x")
        cells = [
            Cell(
                str(n + 9),
                make.paragraph("Fold."),
                lambda pen, box: seen.extend((box[0], box[3] - box[1])),
                warning if n == warned else None,
            )
            for n in range(2)
        ]
        flow.flow(file, list(cell_rows(cells, (2, 1), width, 120, 8, 18)), (210, 297), [(0, 0, 210, 297)])
        return [seen[1], seen[3]]

    narrow, wide = pictures(120, 1), pictures(186, 1)
    assert narrow[0] == pytest.approx(narrow[1]) and wide[0] > wide[1] + 10
    assert narrow == pytest.approx(pictures(120, 0))


def test_a_row_is_higher_where_words_and_warnings_would_leave_no_room_for_a_picture() -> None:
    make, seen = Typesetter(settings().type), []
    warning = make.boxed("caution", "CAUTION", "Blades cut fingers. " * 9)
    cell = Cell("1", make.paragraph("Fold the walls up. " * 9), lambda pen, box: seen.append(box[3] - box[1]), warning)
    flow.flow(PdfFile("x"), list(cell_rows([cell], (1, 1), 60, 50, 8, 18)), (210, 297), [(0, 0, 210, 297)])
    assert len(seen) == 1 and seen[0] >= 8.0


def test_a_picture_stands_clear_of_the_number_of_its_step() -> None:
    make, left = Typesetter(settings().type), []
    file = PdfFile("x")
    for number in ("1", "23"):
        cell = Cell(number, make.paragraph("Fold."), lambda pen, box: left.append(box[0]))
        flow.flow(file, list(cell_rows([cell], (1, 1), 60, 60, 8, 18)), (210, 297), [(0, 0, 210, 297)])
    room = file.page((210, 297)).width("23", 18, True)
    assert left[1] - left[0] >= 0.3 * room and left[1] > room


def test_what_is_left_of_a_page_goes_to_the_cover_picture() -> None:
    file, sizes = PdfFile("x"), []
    rest = blocks.Rest(lambda pen, width, height: sizes.append((width, height)))
    rest.below = 50.0
    flow.flow(file, [rest, blocks.Gap(50.0)], (210, 297), [(10, 10, 200, 287)])
    assert file.pages == 1 and 225 < sizes[0][1] < 228


def test_figures_are_told_as_people_say_them() -> None:
    tell = Figures("mm")
    assert (tell.time(45), tell.time(60), tell.time(0)) == ("45 min", "1 h", "0 min")
    assert (tell.area(950.0), tell.area(95000.0)) == ("9.5 cm\u00b2", "950 cm\u00b2")
    assert (Figures("in").mass(368.5), Figures("in").mass(356.0)) == ("13 oz", "12.6 oz")


def test_large_areas_and_sheets_are_told_as_people_say_them() -> None:
    assert (Figures("mm").area(999999.0), Figures("mm").area(1.4017e6)) == ("10000 cm\u00b2", "1.4 m\u00b2")
    assert (Figures("in").area(1.0e5), Figures("in").area(1.4e6)) == ("155 in\u00b2", "15 ft\u00b2")
    assert Figures("mm").sheet("500 x 700 mm", 500.0, 700.0) == "500 \u00d7 700 mm" and Figures("in").sheet("Letter", 1.0, 1.0) == "Letter"


def test_a_limit_of_one_has_its_unit_in_the_singular() -> None:
    found = {one.title: one for group in facts_of(plan_of(spec()), words()).checks for one in group.rows}
    units = {(one.limit, one.unit) for one in found.values()}
    assert ("1", "sheet") in units and not any(limit == "1" and unit == "sheets" for limit, unit in units)
    assert ("0", "panels") in units


def test_a_page_too_small_for_the_bars_is_refused() -> None:
    small = replace(spec().page, paper=(105.0, 148.0), name="A6")
    with pytest.raises(BookletError, match="use A5 paper or larger"):
        book.write(replace(plan(), spec=replace(spec(), page=small)), lambda pages: {})


@pytest.mark.parametrize("paper", [(148.0, 210.0), (210.0, 297.0), (297.0, 210.0), (297.0, 420.0)])
def test_words_stay_in_the_frame_on_every_paper(paper: tuple[float, float]) -> None:
    x0, y0, x1, y1 = settings().rect(paper, 6.35)
    assert x0 >= 12 and y0 >= 12 and x1 <= paper[0] - 12 and y1 <= paper[1] - 12


def test_every_setting_of_the_ruler_has_its_number_and_no_two_lie_on_each_other() -> None:
    for part, piece, _ in plan().templates:
        cuts = [cut for cut in plan().cuts if (cut.part, cut.piece) == (part.name, piece.name)]
        pen = RecordingPen()
        ordered.draw_order(pen, part, piece, cuts, (0.0, 0.0, 89.0, 84.0))
        numbers = {mark.words: mark.points[0] for mark in pen.records if mark.kind == "text"}
        assert set(numbers) == {str(cut.number) for cut in cuts}
        gaps = [math.dist(a, b) for a, b in combinations(numbers.values(), 2)]
        assert min(gaps) > 2 * ordered.RADIUS


@pytest.mark.parametrize("box", [(0.0, 0.0, 89.0, 84.0), (0.0, 0.0, 186.0, 100.0)])
def test_many_numbers_in_a_corner_stay_in_their_box_and_off_each_other(box: tuple[float, float, float, float]) -> None:
    long = SPEC.replace('style = "tray"', 'style = "tuck-carton"').replace("1 1/4 in", "9 in").replace('"4 1/4 in"', '"1/2 in"')
    plan = plan_of(spec_of(long.replace('width = "3 in"', 'width = "1/2 in"')))
    most = 0
    for part, piece, _ in plan.templates:
        cuts = [cut for cut in plan.cuts if (cut.part, cut.piece) == (part.name, piece.name)]
        pen = RecordingPen()
        ordered.draw_order(pen, part, piece, cuts, box)
        rings = [shapely.Polygon(r.points) for r in pen.records if r.kind == "path" and r.closed and len(r.points) == 24]
        assert len(rings) == len(cuts)
        most = max(most, len(cuts))
        assert all(shapely.box(*box).buffer(0.01).contains(ring) for ring in rings)
        assert not any(a.intersects(b) for a, b in combinations(rings, 2))
    assert most > 10


def test_two_warnings_under_each_other_leave_one_step_less_on_the_page() -> None:
    def cell(warned: bool) -> Cell:
        return Cell("1", "Fold.", lambda pen, box: None, "mind" if warned else None)

    cells = [cell(True), cell(True), *(cell(False) for _ in range(4))]
    assert [(len(some), rows) for some, rows in pages_of(cells, 1, 3)] == [(2, 2), (2, 2), (2, 2)]
    assert [(len(some), rows) for some, rows in pages_of(cells, 2, 3)] == [(6, 3)]


def test_the_last_page_of_steps_never_has_one_row_alone_after_a_full_one() -> None:
    for count in range(1, 40):
        pages = list(pages_of([Cell("1", "Fold.", lambda pen, box: None)] * count, 2, 3))
        assert sum(len(some) for some, _ in pages) == count and all(len(some) <= 2 * high for some, high in pages)
        assert len(pages) == math.ceil(count / 6) and (len(pages) == 1 or len(pages[-1][0]) > 2)


def test_a_long_length_is_told_in_the_unit_that_suits_it() -> None:
    mm, inches = Figures("mm"), Figures("in")
    assert [mm.long(v) for v in (4, 86, 994, 1234)] == ["1 cm", "9 cm", "99 cm", "1.2 m"]
    assert [inches.long(v) for v in (4, 38.1, 1219.2)] == ["1 in", "2 in", "4 ft"]


def test_a_small_area_is_not_told_as_none() -> None:
    assert Figures("in").area(15.0) == "0.02 in\u00b2" and Figures("mm").area(84.0) == "0.8 cm\u00b2"


@pytest.mark.parametrize(("width", "rows"), [(186.0, 1), (124.0, 2), (70.0, 3)])
def test_drawings_stand_side_by_side_only_where_the_page_is_wide_enough(width: float, rows: int) -> None:
    pictures = Pictures(plan(), Facts, settings(), Typesetter(settings().type), {}, 0, lambda w, h: None, 250.0)  # type: ignore[arg-type]
    made = pictures.rows("sheets", [lambda pen, box: None] * 3, {"across": "3"}, width)
    assert len([one for one in made if not isinstance(one, blocks.Gap)]) == rows


def test_every_corner_that_must_not_be_overcut_has_a_square_with_no_number_on_it() -> None:
    lidded = plan_of(spec_of(SPEC.replace('"tray"', '"lidded-box"')))
    for part, piece, _ in (*plan().templates, *lidded.templates):
        own = plan() if part in plan().net.parts else lidded
        cuts = [cut for cut in own.cuts if (cut.part, cut.piece) == (part.name, piece.name)]
        pen = RecordingPen()
        ordered.draw_order(pen, part, piece, cuts, (0.0, 0.0, 89.0, 84.0))
        squares = [shapely.Polygon(r.points) for r in pen.records if r.kind == "path" and r.stroke == ordered.STOP_LINE]
        rings = [shapely.Polygon(r.points) for r in pen.records if r.kind == "path" and r.closed and len(r.points) == 24]
        assert len(squares) == len(stops(piece)) >= 4
        assert not any(a.intersects(b) for a in squares for b in rings)


def test_the_order_of_cuts_tells_the_settings_of_the_ruler_and_what_is_cut() -> None:
    facts = facts_of(plan(), words())
    page = text_of(next(entry.page for entry in made().entries if entry.file == "cuts"))
    assert f"takes {facts.settings} settings" in page and f"{facts.cut_length} of cuts" in page and "small square" in page
    assert facts.settings == sum(not cut.freehand for cut in plan().cuts) == 20


def test_one_setting_is_counted_for_each_piece_that_a_template_serves() -> None:
    mug = plan_of(spec_of(SPEC.replace('"tray"', '"lidded-box"').replace("1 1/4 in", "4 1/4 in")))
    counted = {piece.name: count for _, piece, count in mug.templates}
    assert max(counted.values()) == 2
    assert facts_of(mug, words()).settings == sum(counted[cut.piece] for cut in mug.cuts if not cut.freehand)


# Marking out ---------------------------------------------------------------------------------------------------------


def test_marking_out_tells_points_in_a_table_and_lines_in_chains_by_their_numbers() -> None:
    (sheet,) = facts_of(plan(), words()).marking
    assert sheet.points[0][0] == "1" and len(sheet.points) == 20
    score, cut = sheet.lines
    assert re.match(r"Score \*\*1:\*\*\xa0\d+-\d+; ", score) and re.search(r"\d+-\d+-\d+-\d+", score)
    assert cut.startswith("Cut **5:**") and cut.endswith(".")
    page = text_of(next(entry.page for entry in made().entries if entry.file == "marking"))
    assert "Marking out" in page and "Score 1: " in page and "inside of the box" in page


def test_rounded_corners_of_one_radius_are_told_together() -> None:
    carton = plan_of(spec_of(SPEC.replace('"tray"', '"tuck-carton"')))
    told = " ".join(line for sheet in facts_of(carton, words()).marking for line in sheet.lines)
    assert re.search(r"\*\*\d+ to \d+:\*\* round off [\d, ]+ and \d+, radius 3/16 in", told)


def test_half_cuts_on_the_other_face_are_told_on_the_sheet() -> None:
    inside = plan_of(spec_of(SPEC.replace("[item]", 'marks = "inside"\n[item]').replace("0.30 mm", "0.9 mm")))
    assert all(sheet.turned for sheet in facts_of(inside, words()).marking)
    assert not any(sheet.turned for sheet in facts_of(plan(), words()).marking)


@pytest.mark.parametrize("width", [186.0, 124.0, 70.0])
def test_a_list_of_points_is_as_wide_as_its_place_at_most(width: float) -> None:
    rows = [(str(n), "10 15/16+", "11 13/16-") for n in range(1, 41)]
    table = filling.grouped(Typesetter(settings().type), ("No.", "Right", "Up"), rows, width)
    table.wrap(blocks.points(width), 1e6)
    assert sum(table._columns) <= blocks.points(width) + 0.1
    cells = [row[k] for k in range(0, len(table.head), 4) for row in table.rows]
    assert [cell for cell in cells if cell] == [str(n) for n in range(1, 41)]


@pytest.mark.parametrize(
    ("left", "height"),
    [(200.0, 100.0), (150.0, 85.0), (111.0, 46.0), (109.0, 74.0), (79.0, 79.0), (50.0, 50.0), (30.0, 45.0), (1e5, 80.0)],
)
def test_a_drawing_that_fills_a_page_leaves_room_for_what_comes_after_it(left: float, height: float) -> None:
    # 65 mm come after it, 35 mm in their first block; it gives way to 45 mm, and asks for a page with so much and the first block
    fill = filling.Filling(100.0, 100.0, 240.0, [blocks.Gap(35.0), blocks.Gap(30.0)], lambda pen, box: None)
    assert fill.wrap(blocks.points(100), blocks.points(left))[1] * 25.4 / 72 == pytest.approx(height)


@pytest.mark.parametrize(("left", "height"), [(300.0, 100.0), (200.0, 57.5), (190.0, 52.5), (175.0, 45.0), (170.0, 100.0), (130.0, 65.0)])
def test_a_drawing_that_fills_a_page_leaves_room_for_the_next_where_both_fit(left: float, height: float) -> None:
    # as above, and 65 mm at least that follow; from 175 mm on there is room for all
    fill = filling.Filling(100.0, 100.0, 240.0, [blocks.Gap(35.0), blocks.Gap(30.0)], lambda pen, box: None, 65.0)
    assert fill.wrap(blocks.points(100), blocks.points(left))[1] * 25.4 / 72 == pytest.approx(height)


def test_a_drawing_with_many_numbers_gives_way_less() -> None:
    assert (
        filling.least(160.0, 100) == pytest.approx(90.0)
        and filling.least(160.0, 10) == pytest.approx(48.0)
        and filling.least(40.0, 100) == 40.0
    )


@pytest.mark.parametrize(("after", "height"), [(20.0, 80.0), (50.0, 62.0), (80.0, 45.0), (100.0, 45.0)])
def test_a_drawing_with_a_share_of_a_page_is_as_high_as_the_share_and_its_numbers_ask_for(after: float, height: float) -> None:
    assert filling.shared(80.0, 12, 125.0, [blocks.Gap(after)], 89.0) == pytest.approx(height)


def test_a_small_template_is_parted_nowhere_in_columns() -> None:
    pictures = Pictures(plan(), facts_of(plan(), words()), settings(), Typesetter(settings().type), {}, 0, lambda w, h: None, 250.0)
    name = plan().templates[0][1].name
    made = [pictures.blocks("marking", [name], {"share": "2"}, 89.0) for _ in range(2)]
    assert [len(one) for one in made] == [4, 4]  # the drawing, the table, what is scored, what is cut
    columns = blocks.Columns([block for one in made for block in one], 8.0)
    assert [k for k in range(1, 9) if columns._parts_at(k)] == [4, 8]
    with pytest.raises(BookletError, match="share of '0'; write 1, 2, 3 or 4"):
        pictures.blocks("marking", [name], {"share": "0"}, 89.0)


LARGE = SPEC.replace("4 1/4 in", "320 mm").replace("3 in", "240 mm").replace("1 1/4 in", "40 mm").replace("12x12 in", "A4")
"""A tray that is joined across its panels by strips."""


@cache
def joined() -> Plan:
    return plan_of(spec_of(LARGE.replace("[page]", "splice = true\n[page]").replace("Letter", "A4").replace('"in"', '"mm"')))


def test_a_rectangle_without_folds_is_told_in_a_line_with_its_panels_and_its_size() -> None:
    sheets = facts_of(joined(), words()).marking
    plain_ones = [sheet for sheet in sheets if sheet.kind == "rectangle"]
    assert plain_ones and all(len(sheet.points) == 4 and "Score" not in "".join(sheet.lines) for sheet in plain_ones)
    strip = next(sheet for sheet in plain_ones if "splice strip" in sheet.panels)
    assert re.fullmatch(r"[\d.]+[+-]? \u00d7 [\d.]+[+-]? mm", strip.size)
    text = book.Maker(joined()).sources["marking"]
    assert f"({strip.panels}): {strip.size}" in text and f"marking {strip.template}" not in text


def test_small_templates_stand_two_beside_each_other() -> None:
    few = [sheet for sheet in facts_of(joined(), words()).marking if sheet.kind == "small"]
    text = book.Maker(joined()).sources["marking"]
    assert len(few) == 3 and all(f"marking {sheet.template} share=2" in text for sheet in few)
    entries = book.write(joined(), lambda pages: FILES).entries
    at = next(n for n, entry in enumerate(entries) if entry.file == "marking")
    assert entries[at + 1].page - entries[at].page == 2


def test_templates_stand_in_the_order_of_the_net_where_one_alone_is_small() -> None:
    made = plan_of(spec_of(SPEC.replace('"tray"', '"lidded-box"').replace("1 1/4 in", "4 in")))
    kinds = {sheet.template: sheet.kind for sheet in facts_of(made, words()).marking}
    assert sorted(kinds.values()) == ["large", "small"]
    names = re.findall(r"^marking (\S+)", book.Maker(made).sources["marking"], re.MULTILINE)
    assert names == [piece.name for _, piece, _ in made.templates] and kinds[names[0]] == "small"


@pytest.mark.parametrize("name", ["bowl"])
def test_the_glue_map_stands_under_its_heading_and_what_is_checked_comes_before_what_is_covered(name: str) -> None:
    made = book.write(samples.plan(name), lambda pages: FILES)
    page = {entry.file: entry.page for entry in made.entries}
    assert "this face" in PdfReader(io.BytesIO(made.data)).pages[page["glue-map"] - 1].extract_text()
    order = [entry.file for entry in made.entries]
    assert order.index("glue-map") < order.index("fit-check") < order.index("finish") and order[-1] == "how-checked"


def test_what_is_kept_together_in_columns_is_parted_by_no_column_and_no_page() -> None:
    listed = "\n".join(f"- item {n}" for n in range(6))
    text = f"::: columns\nfirst\n\n::: together\n## Heading\n\nA sentence that leads in.\n\n{listed}\n:::\n\nlast\n:::\n"
    (columns,) = blocks_of(text, setting())
    assert columns.wrap(480, 1e6)[1] > 0
    kept = columns.blocks[1:-1]
    assert len(kept) == 8
    assert [columns._parts_at(k) for k in range(1, len(columns.blocks))] == [True, *[False] * 7, True]

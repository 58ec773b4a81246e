"""A range of boxes from one table: how it is read, what is made of it, and what is told of the rows that cannot be made."""

from __future__ import annotations

import csv
import io
import os
import signal
import subprocess
import sys
import time
import tomllib
from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool
from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from booklet import make
from booklet.cli import main
from booklet.errors import Fault, ProofFailed, SpecError
from booklet.pages.totals import Totals, harmless, words_of
from booklet.ranges import printed, rows, run, table, work
from booklet.ranges.rows import Row, merged, safe
from booklet.ranges.tomltext import written
from booklet.ranges.work import Figures, Outcome
from booklet.spec import Page

ROOT = Path(__file__).parent.parent
SPEC = """style = "tray"
title = "Kiln Lane tray"
[item]
length = "80 mm"
width = "60 mm"
height = "25 mm"
[card]
sheet = "A4"
caliper = "0.30 mm"
[booklet]
layout = "short"
"""
SHORT = """sections = [{ file = "cover" }, { file = "print-check", start = "page" },
  { file = "templates" }, { file = "slip", into = "slip" }]
[files.slip]
page = "half"
"""
TABLE = """name,title,item.length,style,booklet.units,booklet.copies,page.print_on,safety.hazards
small,,60 mm,,,,,
=two,+Two,,,,3,,"magnets, food"
bad,Too long,4000 mm,,,,,
inch,In inches,3 in,web-tray,in,,,
"""


def files(folder: Path, spec: str = SPEC, text: str | bytes = TABLE) -> tuple[Path, Path]:
    """A spec with its short layout, and a table."""
    (folder / "short").mkdir(exist_ok=True)
    (folder / "short" / "cover.md").write_text("# {{ title }}\n")
    (folder / "short" / "slip.md").write_text("# Slip\n\n{{ box.inside }}\n")
    (folder / "short" / "layout.toml").write_text(SHORT)
    (folder / "box.toml").write_text(spec)
    (folder / "sizes.csv").write_bytes(text.encode() if isinstance(text, str) else text)
    return folder / "box.toml", folder / "sizes.csv"


def call(*words: object) -> Result:
    return CliRunner().invoke(main, ["range", *map(str, words)])


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Result]:
    """The table made by two processes."""
    folder = tmp_path_factory.mktemp("range")
    result = call(*files(folder), "-o", folder / "out", "--jobs", 2)
    return folder, result


def cells(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8-sig"))))


# What is made -----------------------------------------------------------------------------------------------------------


def test_each_row_has_its_booklet_and_a_refused_one_keeps_none_of_the_others(done: tuple[Path, Result]) -> None:
    folder, result = done
    names = ["=two", "inch", "small"]
    pdfs = [f"{name}{end}.pdf" for name in names for end in ("", "-slip")]
    assert sorted(path.name for path in (folder / "out").iterdir()) == sorted([*pdfs, "totals.csv", "totals.pdf"])
    assert result.exit_code == 2 and "3 of 4 booklets; 1 refused" in result.output
    assert "booklet: row 4 (bad), item.length: " in result.output and "4 of 4 rows" in result.output


def test_a_booklet_carries_the_spec_of_its_row(done: tuple[Path, Result]) -> None:
    """Made from that spec alone, it is the same booklet."""
    folder, _ = done
    for name, keys in (("small", {"length": "60 mm"}), ("=two", {"length": "80 mm"}), ("inch", {"length": "3 in"})):
        carried = PdfReader(folder / "out" / f"{name}.pdf").attachments["spec.toml"][0].decode()
        assert tomllib.loads(carried)["item"] == {"width": "60 mm", "height": "25 mm", **keys}
    (folder / "row.toml").write_text(carried)
    alone = CliRunner().invoke(main, ["make", str(folder / "row.toml")])
    assert alone.exit_code == 0
    assert (folder / "row.pdf").read_bytes() == (folder / "out" / "inch.pdf").read_bytes()
    assert carried.startswith("# Row 5 of sizes.csv, with what box.toml says.\n") and "hazards" not in carried


def test_the_totals_are_those_of_the_booklets(done: tuple[Path, Result]) -> None:
    folder, _ = done
    (folder / "two.toml").write_text(PdfReader(folder / "out" / "=two.pdf").attachments["spec.toml"][0].decode())
    found = make.booklet(_loaded(folder / "two.toml"))
    first, two, bad, inch, total = cells(folder / "out" / "totals.csv")
    assert (two["boxes"], int(two["card sheets"])) == ("3", found.plan.sheets_all)
    assert float(two["glue, cm\u00b2"]) == pytest.approx(3 * found.plan.materials.glue_mm2 / 100, abs=0.01)
    assert float(two["inside length, mm"]) == pytest.approx(found.plan.net.inside.length, abs=1e-3)
    assert int(two["pages"]) == found.pages + sum(pages for _, pages in found.others.values())
    assert int(two["minutes"]) == 3 * found.plan.materials.minutes
    for key in ("boxes", "card sheets", "pages", "minutes"):
        assert int(total[key]) == sum(int(row[key]) for row in (first, two, inch))
    assert bad["refused because"].startswith("item.length: ") and not bad["pages"]
    sheet = PdfReader(folder / "out" / "totals.pdf")
    assert {"/MarkInfo", "/StructTreeRoot"} <= sheet.root_object.keys()
    said = " ".join(page.extract_text() for page in sheet.pages)
    for word in ("small", "=two", "inch", "3 of 4 rows", "Row 4, bad", total["pages"], "sheets of A4"):
        assert word in " ".join(said.split()), word


def test_no_cell_of_the_totals_is_run_by_a_spreadsheet(done: tuple[Path, Result]) -> None:
    """The characters are those of OWASP's note on CSV injection (from memory)."""
    folder, _ = done
    for row in csv.reader(io.StringIO((folder / "out" / "totals.csv").read_text())):
        assert not [cell for cell in row if cell[:1] in ("=", "+", "-", "@", "\t", "\r")]
    assert [harmless(text) for text in ("=1+1", "-2", "@a", "a=1")] == ["'=1+1", "'-2", "'@a", "a=1"]


def test_one_process_or_two_make_the_same_bytes(done: tuple[Path, Result]) -> None:
    """And files of an earlier run are replaced whole."""
    folder, _ = done
    before = {path.name: path.read_bytes() for path in (folder / "out").iterdir()}
    (folder / "out" / "small.pdf").write_bytes(b"old")
    assert call(folder / "box.toml", folder / "sizes.csv", "-o", folder / "out", "--jobs", 1).exit_code == 2
    assert {path.name: path.read_bytes() for path in (folder / "out").iterdir()} == before


def test_an_interrupt_leaves_whole_files_only(tmp_path: Path) -> None:
    """Ctrl-C goes to all processes of a terminal, as here to the group."""
    text = "item.length\n" + "".join(f"{60 + n} mm\n" for n in range(30))
    spec, listed = files(tmp_path, text=text)
    words = [sys.executable, "-m", "booklet", "range", str(spec), str(listed), "-o", str(tmp_path / "out")]
    running = subprocess.Popen(words, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, start_new_session=True)
    while running.poll() is None and not list(tmp_path.glob("out/*.pdf")):
        time.sleep(0.05)
    os.killpg(running.pid, signal.SIGINT)
    output, _ = running.communicate(timeout=60)
    assert running.returncode == 130 and "was stopped" in output and "Traceback" not in output
    left = sorted((tmp_path / "out").iterdir())
    assert 0 < len(left) < 60 and all(path.suffix == ".pdf" and len(PdfReader(path).pages) for path in left)


def test_the_sample_is_a_range_with_one_row_that_is_refused() -> None:
    found = run.prepared(ROOT / "samples" / "range" / "mugs.toml", ROOT / "samples" / "range" / "mugs.csv")
    assert [(one.row.name, one.code) for one in found.refused] == [("flat", 2)]
    assert len(found.good) == 4


# Rows that cannot be made -----------------------------------------------------------------------------------------------


def _loaded(path: Path) -> Any:
    from booklet.pages.words import languages, layouts
    from booklet.spec import load
    from booklet.styles import ShelfOptions

    return load(path, ShelfOptions(), layouts(), languages())


def _job(tmp_path: Path) -> tuple[work.Job, tuple[Row, ...]]:
    found = run.prepared(*files(tmp_path))
    return work.Job(found.base, tmp_path), found.rows


def test_a_row_whose_proof_fails_is_told_and_gives_1(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(spec: Any) -> None:
        raise ProofFailed([Fault("closes", "it does not close")])

    monkeypatch.setattr(make, "booklet", fail)
    job, (row, *_) = _job(tmp_path)
    outcome = work.one(job, row)
    assert (outcome.code, outcome.reason, outcome.figures) == (1, "closes: it does not close", None)
    assert printed.code([outcome]) == 1 and printed.code([outcome, replace(outcome, code=2)]) == 2 and printed.code([]) == 0


def test_a_row_at_which_the_program_fails_is_told_without_a_traceback(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(spec: Any) -> None:
        raise ZeroDivisionError("no\nsize")

    monkeypatch.setattr(make, "booklet", fail)
    job, (row, *_) = _job(tmp_path)
    outcome = work.one(job, row)
    assert outcome.code == 1 and "ZeroDivisionError: no size" in outcome.reason


class DyingPool:
    """Runs at once, in this process; dies at one row, and with it all that were to come."""

    def __init__(self, *_: object, **__: object):
        self.dead = False

    def submit(self, how: Any, job: work.Job, row: Row) -> Future[Outcome]:
        done: Future[Outcome] = Future()
        self.dead = self.dead or row.name == "=two"
        if self.dead:
            done.set_exception(BrokenProcessPool())
        else:
            done.set_result(Outcome(row, row.name, figures=_figures()))
        return done

    def shutdown(self, **_: object) -> None:
        return None


def test_a_row_that_ends_its_process_is_told_and_the_others_are_made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(work, "ProcessPoolExecutor", DyingPool)
    job, listed = _job(tmp_path)
    found = {one.row.name: one for one in work.made(job, listed, 2)}
    assert {name for name, one in found.items() if one.figures} == {"small", "bad", "inch"}
    assert found["=two"].code == 1 and "memory" in found["=two"].reason


class BrokenPool(DyingPool):
    """As that one, but it takes no more rows once it is dead."""

    def submit(self, how: Any, job: work.Job, row: Row) -> Future[Outcome]:
        if self.dead:
            raise BrokenProcessPool
        return super().submit(how, job, row)


def test_rows_that_a_broken_pool_does_not_take_are_made_by_another(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(work, "ProcessPoolExecutor", BrokenPool)
    job, listed = _job(tmp_path)
    found = {one.row.name: one for one in work.made(job, listed, 2)}
    assert {name for name, one in found.items() if one.figures} == {"small", "bad", "inch"} and found["=two"].code == 1


def test_no_process_makes_more_rows_than_it_may(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """So that what a library keeps cannot grow without end."""
    pools: list[int] = []

    class Counted(DyingPool):
        def submit(self, how: Any, job: work.Job, row: Row) -> Future[Outcome]:
            self.rows = getattr(self, "rows", 0) + 1
            pools.append(self.rows)
            return super().submit(how, job, replace(row, name="plain"))

    monkeypatch.setattr(work, "ProcessPoolExecutor", Counted)
    job, (row, *_) = _job(tmp_path)
    assert len(list(work.made(job, [row] * 500, 2))) == 500
    assert max(pools) == 2 * work.ROWS_EACH < 500


def test_a_fault_of_the_spec_is_told_once_with_its_line_and_nothing_is_made(tmp_path: Path) -> None:
    spec, listed = files(tmp_path, SPEC.replace('caliper = "0.30 mm"', 'caliper = "thick"'))
    result = call(spec, listed, "-o", tmp_path / "out")
    assert result.exit_code == 2 and result.output.count("booklet:") == 1 and not (tmp_path / "out").exists()
    assert result.output.startswith("booklet: line 9, card.caliper in box.toml: ")


def test_a_key_that_every_row_lacks_is_told_once(tmp_path: Path) -> None:
    spec, listed = files(tmp_path, SPEC.replace('width = "60 mm"\n', ""))
    result = call(spec, listed, "-o", tmp_path / "out")
    assert result.exit_code == 2 and result.output.count("booklet:") == 1 and "item.width" in result.output


def test_an_old_file_of_a_refused_row_is_told(tmp_path: Path) -> None:
    (tmp_path / "a.pdf").write_bytes(b"old")
    told = printed.lines(Outcome(Row(2, "a", {}), "A", faults=(Fault("x", "y"),), code=2), tmp_path)
    assert told == ["row 2 (a), x: y", "row 2: a.pdf is of an earlier run and was left as it is"]


# How a table is read ----------------------------------------------------------------------------------------------------

WAYS = [
    b"item.length,title\n60 mm,A\n70 mm,\"B, b\"\n",
    b"\xef\xbb\xbfitem.length,title\r\n60 mm,A\r\n70 mm,\"B, b\"\r\n",
    b"item.length;title\r\n60 mm;A\r\n70 mm;B, b\r\n",
    b"item.length\ttitle\n60 mm\tA\n70 mm\tB, b\n",
    b"sep=;\r\nitem.length;title\r\n60 mm;A\r\n70 mm;\"B, b\"\r\n",
    b"item.length,title,,\n 60 mm , A ,,\n,,,\n70 mm,\"B, b\",,\n\n",
    b'"item.length","title"\n"60 mm","A"\n"70 mm","B, b"',
]  # fmt: skip


@pytest.mark.parametrize("raw", WAYS)
def test_a_table_is_read_as_spreadsheets_write_it(tmp_path: Path, raw: bytes) -> None:
    (tmp_path / "t.csv").write_bytes(raw)
    found = table.read(tmp_path / "t.csv")
    assert found.columns == ("item.length", "title")
    assert [row.cells for row in found.rows] == [{"item.length": "60 mm", "title": "A"}, {"item.length": "70 mm", "title": "B, b"}]
    assert found.marked == raw.startswith(b"\xef\xbb\xbf")


def test_the_totals_are_written_as_the_table_was(tmp_path: Path) -> None:
    """A semicolon and a decimal comma, and the mark that spreadsheets need, where the table had them."""
    told = Totals([Outcome(Row(2, "a", {}), "A", figures=_figures())], "box.toml", "t.csv", "mm")
    assert b"60.5" in told.table_text(",", False) and not told.table_text(",", False).startswith(b"\xef\xbb\xbf")
    assert b";60,5;" in told.table_text(";", True) and told.table_text(";", True).startswith(b"\xef\xbb\xbfrow;")


TABLES = [
    (b"", "the table is empty"),
    (b"item.length\n", "line 1, sizes.csv: there is no row"),
    (b"item.length,item.length\n1 mm,2 mm\n", 'line 1, .*the column "item.length" is there 2 times'),
    (b"item.lenght\n60 mm\n", 'line 1, .*"item.lenght" names no key of a spec: did you mean item.length'),
    (b"sheet\nA4\n", "did you mean card.sheet"),
    (b"artwork.panels\nx.svg\n", "names many keys"),
    (b"item.length,title\n60 mm\n", "line 2, .*row 2 has 1 cells where the heading has 2"),
    (b"title,name\n\"a\nb\",x\n60 mm,x,y\n", "line 4, .*row 3 has 3 cells"),
    (b",title\n60 mm,A\n", "column 1 has no name"),
    (b"title\n\"A\n", "line 2, .*quotes are not closed"),
    (b"title\nM\xfcller\n", "line 2, .*no UTF-8 text"),
    ("title\nA\n".encode("utf-16"), "UTF-16"),
    (b"PK\x03\x04", "workbook"),
    (b"name,title\na,A\nA,B\n", 'line 3, .*row 3, name: the file "A" is that of row 2 already'),
    (b"name,title\na,A\na-slip,B\n", '"a-slip" is that of row 2 already'),
    (b"name\n../x\n", "cannot name a file"),
    (b"name\nnul\n", "cannot name a file"),
    (b"name\nmug.PDF\n", "cannot name a file: .* without the ending"),
    (b"name\nTotals\n", "the sheet of totals"),
]  # fmt: skip


@pytest.mark.parametrize(("raw", "pattern"), TABLES)
def test_what_is_wrong_with_a_table_is_told_and_nothing_is_made(tmp_path: Path, raw: bytes, pattern: str) -> None:
    with pytest.raises(SpecError, match=pattern):
        run.prepared(*files(tmp_path, text=raw))


def test_all_that_is_wrong_with_a_table_is_told_at_once(tmp_path: Path) -> None:
    result = call(*files(tmp_path, text="name,item.lenght,style.x\na,1 mm,x\nA,,\n"), "-o", tmp_path / "out")
    assert result.exit_code == 2 and result.output.count("booklet: line") == 3 and not (tmp_path / "out").exists()


def test_a_table_that_is_not_there_and_a_folder_that_cannot_be_are_told(tmp_path: Path) -> None:
    spec, listed = files(tmp_path)
    assert "there is no such file" in call(spec, tmp_path / "no.csv", "-o", tmp_path / "out").output
    assert "this is a file" in call(spec, listed, "-o", spec).output
    listed.rename(tmp_path / "totals.csv")
    assert "this is the table itself" in call(spec, tmp_path / "totals.csv", "-o", tmp_path).output


# Cells and keys ---------------------------------------------------------------------------------------------------------


def _spec_of(tmp_path: Path, text: str, spec: str = SPEC) -> Any:
    found = run.prepared(*files(tmp_path, spec, text))
    if found.refused:
        raise AssertionError(found.refused[0].reason)
    return rows.spec_of(found.rows[0], found.base, work.shipped_of(found.base))


def test_a_cell_is_taken_for_what_its_key_is_read_from(tmp_path: Path) -> None:
    head = "title;booklet.copies;card.grain;card.keep_grain;safety.hazards;prices.sheet;page.printed_bar"
    head += ";insert.style;insert.rows;booklet.words"
    spec = _spec_of(tmp_path, f"{head}\n2024;24;first;WAHR;pins, food;0,60;98.6 mm, 99.1 mm;divider;2;false\n")
    assert (spec.title, spec.booklet.copies, spec.card.keep_grain, spec.booklet.words) == ("2024", 24, True, False)
    assert (spec.safety.hazards, spec.prices.sheet, spec.page.printed_bar) == (("pins", "food"), 0.6, (98.6, 99.1))
    assert spec.insert.options["rows"] == 2


REFUSED = [
    ("booklet.copies\nmany\n", "booklet.copies: \"many\" is no number of copies"),
    ("booklet.copies\n0\n", "booklet.copies: 0 is no number of copies"),
    ("card.keep_grain\nmaybe\n", "card.keep_grain: \"maybe\" is neither true nor false"),
    ("safety.hazards\nfood;ghosts\n", "safety.hazards: \"ghosts\" is not allowed"),
    ("item.length\n60\n", "item.length: "),
    ("style\nbarrel\n", "style: \"barrel\" is no style"),
    ("item.diameter\n60 mm\n", "item"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "told"), REFUSED)
def test_a_cell_that_cannot_be_is_told_by_its_key(tmp_path: Path, text: str, told: str) -> None:
    found = run.prepared(*files(tmp_path, text=text))
    assert found.refused[0].reason.startswith(told) and found.refused[0].code == 2


def test_an_empty_cell_leaves_what_the_spec_says(tmp_path: Path) -> None:
    spec = _spec_of(tmp_path, "item.length,title,booklet.copies\n,,2\n")
    assert (spec.item.length.mm, spec.title) == (80.0, "Kiln Lane tray")


def test_what_hangs_on_a_choice_is_not_taken_from_the_spec_where_a_row_chooses_otherwise(tmp_path: Path) -> None:
    base = SPEC + '[box]\nglue_flap = "9 mm"\n'
    spec = _spec_of(tmp_path, "style,item.shape,item.diameter\nround-box,round,70 mm\n", base)
    assert (spec.style, spec.item.diameter.mm) == ("round-box", 70.0)
    assert merged(tomllib.loads(base), {("style",): "tray"})["box"] == {"glue_flap": "9 mm"}
    assert merged(tomllib.loads(base), {("style",): "wallet", ("box", "x"): 1})["box"] == {"x": 1}


def test_names_are_made_from_number_and_title_where_the_table_has_none(tmp_path: Path) -> None:
    found = run.prepared(*files(tmp_path, text='title,item.length\n"M\u00fcller\'s mug: 1/2",\n,70 mm\n../x,\n'))
    assert [row.name for row in found.rows] == ["01-m\u00fcller-s-mug-1-2", "02-kiln-lane-tray", "03-x"]
    assert safe("\u6f22" * 40) == "\u6f22" * 20


PLAIN = st.text() | st.booleans() | st.integers(-(2**63), 2**63 - 1) | st.floats(allow_nan=False) | st.dates() | st.datetimes() | st.times()


def holding(inner: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3)


VALUES = PLAIN | holding(PLAIN | holding(PLAIN))


@settings(max_examples=150, deadline=None)
@given(st.dictionaries(st.text(), VALUES, max_size=5))
def test_a_spec_that_is_written_reads_as_it_was(data: dict[str, Any]) -> None:
    """Against the reader of the standard library."""
    assert tomllib.loads(written(data)) == data


# The sheet of totals ----------------------------------------------------------------------------------------------------


def _figures(cost: Decimal | None = None) -> Figures:
    return Figures((60.5, 50.0, 20.0), 2, 3, 12, 4200.0, 0.0, 75, ("A4", 0.3), cost, "EUR" if cost else "")


@cache
def _many() -> tuple[Outcome, ...]:
    made = [Outcome(Row(n, f"{n:03d}-tray", {}), "Tray", figures=_figures(Decimal("1.10"))) for n in range(2, 132)]
    lost = [Outcome(Row(n, f"{n:03d}-tray", {}), "Tray", faults=(Fault("item.length", "is too long"),), code=2) for n in range(132, 152)]
    return (*made, *lost)


A4, LETTER = Page((210.0, 297.0), "A4", 6.35, 10.0), Page((215.9, 279.4), "Letter", 6.35, 9.525)


@pytest.mark.parametrize("language", ["en", "de", "fr", "es"])
@pytest.mark.parametrize("page", [A4, LETTER])
def test_totals_of_many_rows_stand_on_pages_with_heads(language: str, page: Page) -> None:
    told = Totals(_many(), "box.toml", "sizes.csv", "in" if page is LETTER else "mm", language)
    pages = [p.extract_text() for p in PdfReader(io.BytesIO(told.sheet(page))).pages]
    assert 3 <= len(pages) < 8
    head = told.words.said("range.boxes")
    assert all(head in text for text in pages[:3])
    assert all(f"{n:03d}-tray" in "".join(pages) for n in range(2, 152))
    money = told.tell.marked("143.00") + " EUR"
    assert money in "".join(pages).replace("\u00a0", " ")


def test_costs_in_several_currencies_are_not_added() -> None:
    two = [Outcome(Row(n, str(n), {}), "T", figures=replace(_figures(Decimal("1")), currency=c)) for n, c in ((2, "EUR"), (3, "USD"))]
    assert Totals(two, "a", "b", "mm").currency == ""


def test_a_range_of_which_nothing_was_made_has_its_reasons() -> None:
    told = Totals(_many()[-3:], "box.toml", "sizes.csv", "mm")
    (page,) = PdfReader(io.BytesIO(told.sheet(A4))).pages
    assert "0 of 3 rows" in " ".join(page.extract_text().split()) and page.extract_text().count("is too long") == 3


def test_every_language_has_the_words_of_the_totals() -> None:
    known = words_of("en").data["text"]["range"]
    for language in ("de", "fr", "es"):
        own = tomllib.loads((ROOT / "layouts" / "sheets" / f"words.{language}.toml").read_text())["text"]["range"]
        assert own.keys() == known.keys()

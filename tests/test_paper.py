"""The finished file is read back and measured: what is broken in it is found by the check of its name."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pikepdf
import pytest
from pypdf import PdfReader, PdfWriter, Transformation
from pypdf.generic import NameObject

from booklet import paper
from booklet.make import Made, printed
from booklet.pages.book import Book
from booklet.pages.settings import MAIN
from booklet.pdf.read import FinishedFile
from booklet.planning import plan_of
from booklet.spec import load
from tests import samples

SAMPLES = samples.FOLDER


@pytest.fixture(scope="module")
def made() -> Made:
    return samples.made("jar")


@pytest.fixture(scope="module")
def bound(made: Made) -> Book:
    return made.books[MAIN]


def failed(made: Made, bound: Book, data: bytes) -> set[str]:
    return {check.name for check in paper.checks(bound, made.plan, data) if not check.ok}


def rewritten(data: bytes, change: object) -> bytes:
    writer = PdfWriter(clone_from=io.BytesIO(data))
    change(writer)  # type: ignore[operator]
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def test_a_good_file_passes(made: Made, bound: Book) -> None:
    assert all(check.ok for check in made.checks if check.level == "fault")
    assert failed(made, bound, bound.data) == set()


def test_a_template_page_scaled_by_0_97_is_found(made: Made, bound: Book) -> None:
    page = bound.page_of[1] - 1
    shrunk = rewritten(bound.data, lambda w: w.pages[page].add_transformation(Transformation().scale(0.97)))
    assert {"paper.cuts", "paper.folds"} <= failed(made, bound, shrunk)


def test_a_template_page_shifted_by_0_3_mm_is_found(made: Made, bound: Book) -> None:
    page = bound.page_of[2] - 1
    moved = rewritten(bound.data, lambda w: w.pages[page].add_transformation(Transformation().translate(0.3 * 72 / 25.4, 0)))
    assert "paper.cuts" in failed(made, bound, moved)


def test_a_print_check_scaled_by_0_97_is_found(made: Made, bound: Book) -> None:
    page = bound.print_check - 1
    shrunk = rewritten(bound.data, lambda w: w.pages[page].add_transformation(Transformation().scale(0.97)))
    assert failed(made, bound, shrunk) == {"paper.bars"}


def test_a_page_of_another_size_is_found(made: Made, bound: Book) -> None:
    assert "paper.size" in failed(made, bound, rewritten(bound.data, lambda w: w.pages[3].scale_by(0.97)))


def test_a_cut_line_that_is_missing_is_found(made: Made, bound: Book) -> None:
    def drop(writer: PdfWriter) -> None:
        page = writer.pages[bound.page_of[1] - 1]
        text = page.get_contents().get_data()
        first = re.search(rb"1\.417\d* w[^\n]*\n[^\n]* ([sS])\n", text)
        assert first
        # the first cut line is built but not painted
        content = page["/Contents"].get_object()
        content = content[0].get_object() if isinstance(content, list) else content
        content.set_data(text[: first.start(1)] + b"n" + text[first.end(1) :])

    assert "paper.cuts" in failed(made, bound, rewritten(bound.data, drop))


def test_print_scaling_that_is_left_to_the_printer_is_found(made: Made, bound: Book) -> None:
    def scale(writer: PdfWriter) -> None:
        writer.root_object[NameObject("/ViewerPreferences")].get_object()[NameObject("/PrintScaling")] = NameObject("/AppDefault")

    assert failed(made, bound, rewritten(bound.data, scale)) == {"paper.scaling"}


@pytest.fixture(scope="module")
def sheet_made() -> Made:
    return samples.made("egg-cups")


@pytest.fixture(scope="module")
def sheet_bound(sheet_made: Made) -> Book:
    return sheet_made.books[MAIN]


def failed_on_card(made: Made, bound: Book, scale: float = 1.0, right: float = 0.0) -> set[str]:
    """What fails where the first sheet is scaled, or moved by some mm."""
    change = Transformation().scale(scale).translate(right * 72 / 25.4, 0)
    page = bound.page_of[1] - 1
    return failed(made, bound, rewritten(bound.data, lambda w: w.pages[page].add_transformation(change)))


def test_a_sheet_printed_on_the_card_itself_passes(sheet_made: Made, sheet_bound: Book) -> None:
    assert failed(sheet_made, sheet_bound, sheet_bound.data) == set()
    assert {"paper.marks", "paper.waste", "paper.printable"} <= {check.name for check in paper.checks(sheet_bound, sheet_made.plan)}


def test_a_sheet_that_is_scaled_or_shifted_is_found(sheet_made: Made, sheet_bound: Book) -> None:
    assert "paper.marks" in failed_on_card(sheet_made, sheet_bound, scale=0.97)
    assert "paper.marks" in failed_on_card(sheet_made, sheet_bound, right=0.3)


def test_marks_that_come_to_lie_on_a_piece_or_in_the_margin_are_found(sheet_made: Made, sheet_bound: Book) -> None:
    assert {"paper.waste", "paper.printable"} <= failed_on_card(sheet_made, sheet_bound, right=-5.0)


def test_a_sheet_without_its_marks_is_found(sheet_made: Made, sheet_bound: Book) -> None:
    page = sheet_bound.page_of[1] - 1

    def wipe(writer: PdfWriter) -> None:
        contents = writer.pages[page]["/Contents"].get_object()
        contents = contents[0].get_object() if isinstance(contents, list) else contents
        contents.set_data(b"")

    assert failed(sheet_made, sheet_bound, rewritten(sheet_bound.data, wipe)) == {"paper.marks"}


def test_the_same_spec_gives_the_same_bytes(made: Made) -> None:
    assert printed(plan_of(samples.spec("jar"))).data == made.data


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.toml")), ids=lambda p: p.stem)
class TestEverySample:
    """Each sample is made, and its files are sound."""

    def test_is_made_with_every_check_holding_and_clean_files(self, path: Path) -> None:
        result = samples.made(path.stem)
        files = [result.data, *(data for name, (data, _) in result.others.items() if name != "print-shop")]
        assert [c.name for c in result.checks if not c.ok and c.level == "fault"] == []
        with pikepdf.open(io.BytesIO(result.data)) as pdf:
            assert pdf.check_pdf_syntax() == []
            assert set(pdf.attachments) == {"net.json", "spec.toml"}
            assert bytes(pdf.attachments["spec.toml"].get_file().read_bytes()) == path.read_bytes()
            assert pdf.pdf_version >= "1.7"
        for data in files:
            with pikepdf.open(io.BytesIO(data)) as pdf:
                assert pdf.check_pdf_syntax() == [] and pdf.Root.ViewerPreferences.PrintScaling == "/None"
        if result.plan.leaves:
            self.has_layers(result, files)
        reader = PdfReader(io.BytesIO(result.data))
        assert len(reader.pages) == result.pages
        assert reader.metadata and reader.metadata.title == result.plan.spec.title
        assert len(reader.outline) >= 8
        assert reader.page_labels[0]
        text = "".join(page.extract_text() for data in files for page in PdfReader(io.BytesIO(data)).pages)
        assert all(words in text for words in ("CAUTION", "Steps")) and ("100 mm" in text) == bool(result.plan.leaves)
        assert ("Glue map" in text) == bool(result.plan.net.bonds or result.plan.net.butts)

    def has_layers(self, result: Made, files: list[bytes]) -> None:
        """The templates' lines stand in their layers."""
        names = {name for data in files for name in FinishedFile(data).layers}
        assert {"Cutting", "Legend", "Dimensions"} <= names <= {"Cutting", "Creasing", "ReverseCreasing", "Gluing", "Dimensions", "Legend"}
        ways = {f.bends > 0 for part in result.plan.net.parts for f in part.folds if f.kind == "crease" and f.bends}
        assert ("Creasing" in names) == (True in ways) and ("ReverseCreasing" in names) == (False in ways)


def test_a_printers_correction_is_drawn_into_bars_and_templates(tmp_path: Path) -> None:
    path = tmp_path / "jar.toml"
    path.write_text(
        (SAMPLES / "jar.toml").read_text().replace('paper  = "Letter"', 'paper  = "Letter"\nprinted_bar = ["98.6 mm", "99.1 mm"]')
    )
    result = printed(plan_of(load(path, samples.OPTIONS)))
    assert [c.name for c in result.checks if not c.ok and c.level == "fault"] == []

"""Steps without words: pictures, signs and figures, and no letter on their pages but the unit of time."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pypdfium2
import pytest
from click.testing import CliRunner

from booklet.cli import main
from booklet.drawing import signs
from booklet.drawing.recording import RecordingPen
from booklet.drawing.signs import SIGNS, Sign
from booklet.pages import book
from booklet.pages.facts import facts_of
from booklet.pages.strips import signs_of, strips, used
from booklet.pages.words import words
from booklet.pdf.read import FinishedFile
from booklet.plan import Plan
from booklet.planning import plan_of
from booklet.spec.model import Glue
from booklet.spec.tables import GLUES
from tests import boxes
from tests.plans import plan
from tests.step_specs import STYLES, some

FILES = {"spec.toml": b"x"}
CASES = [("lidded-box", 0.3, "A4"), ("tray", 0.9, "Letter"), ("tuck-carton", 0.3, "A5"), ("web-tray", 0.3, "A4")]
SIZES = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4), "A5": (148.0, 210.0)}


@cache
def silent(style: str, caliper: float = 0.3, paper: str = "A4", glue: str = "pva", copies: int = 1) -> Plan:
    spec = plan(style, boxes.usual(style, caliper), height=40.0).spec
    page = replace(spec.page, paper=SIZES[paper], name=paper)
    card = replace(spec.card, sheet=(420.0, 594.0))
    own = replace(spec, page=page, card=card, glue=Glue(glue), booklet=replace(spec.booklet, words=False, copies=copies))  # type: ignore[arg-type]
    return plan_of(own)


@cache
def written(style: str, caliper: float, paper: str) -> book.Book:
    return book.write(silent(style, caliper, paper), lambda pages: FILES)


def pages_of_steps(made: book.Book) -> range:
    at = next(n for n, entry in enumerate(made.entries) if entry.file == "steps")
    return range(made.entries[at].page, made.entries[at + 1].page)


@pytest.mark.parametrize(("style", "caliper", "paper"), CASES)
def test_the_pages_of_steps_hold_no_letters_but_seconds(style: str, caliper: float, paper: str) -> None:
    made = written(style, caliper, paper)
    pdf = pypdfium2.PdfDocument(made.data)
    for page in pages_of_steps(made):
        text = pdf[page - 1].get_textpage().get_text_bounded()
        letters = [word for word in text.split() if any(c.isalpha() for c in word)]
        assert set(letters) <= {"s"}, (page, letters)
        assert text.strip(), page


@pytest.mark.parametrize(("style", "caliper", "paper"), CASES)
def test_every_step_has_its_number(style: str, caliper: float, paper: str) -> None:
    numbers = [
        number for page in pages_of_steps(written(style, caliper, paper)) for number, _, _ in numbers_on(style, caliper, paper, page)
    ]
    assert sorted(numbers) == [step.number for step in silent(style, caliper, paper).net.steps]


def numbers_on(style: str, caliper: float, paper: str, page: int) -> list[tuple[int, float, float]]:
    """The numbers of the steps on a page, and where each begins at its lower left corner, mm."""
    text, found = pypdfium2.PdfDocument(written(style, caliper, paper).data)[page - 1].get_textpage(), []
    for k in range(text.count_rects()):
        x0, y0, x1, y1 = text.get_rect(k)
        said = text.get_text_bounded(x0, y0, x1, y1).strip()
        if said.isdigit() and y1 - y0 > 8.0:
            found.append((int(said), x0 * 25.4 / 72, y0 * 25.4 / 72))
    return found


@pytest.mark.parametrize(("style", "caliper", "paper"), CASES)
def test_there_are_as_many_pictures_as_steps(style: str, caliper: float, paper: str) -> None:
    """Each number has lines of its own in the upper half of its cell, where no sign stands."""
    made = written(style, caliper, paper)
    for page in pages_of_steps(made):
        numbers = numbers_on(style, caliper, paper, page)
        lefts = [*sorted({10 * round(x / 10) for _, x, _ in numbers}), 1e3]
        width = min(b - a for a, b in pairwise(lefts))
        middles = [((line.a[0] + line.b[0]) / 2, (line.a[1] + line.b[1]) / 2) for line in FinishedFile(made.data).lines(page - 1)]
        for number, x, y in numbers:
            own = [at for at in middles if x < at[0] < x + min(width, 90.0) - 3 and y - 25 < at[1] < y + 3]
            assert len(own) >= 4, (page, number)


def test_a_page_of_steps_without_words_holds_more_of_them() -> None:
    own = silent("lidded-box")
    told = replace(own.spec, booklet=replace(own.spec.booklet, words=True))
    in_words = book.write(replace(own, spec=told), lambda pages: FILES)
    assert len(pages_of_steps(written("lidded-box", 0.3, "A4"))) < len(pages_of_steps(in_words))
    assert not any(entry.file == "reading" for entry in in_words.entries)


def test_the_signs_are_explained_in_words_before_the_steps_and_the_contents_list_both() -> None:
    made = written("lidded-box", 0.3, "A4")
    files = [entry.file for entry in made.entries]
    assert files.index("reading") < files.index("steps")
    assert [entry.title for entry in made.entries if entry.file == "steps"] == ["Steps"]
    page = next(entry.page for entry in made.entries if entry.file == "reading")
    text = pypdfium2.PdfDocument(made.data)[page - 1].get_textpage().get_text_bounded()
    named = used(strips(silent("lidded-box"), words(), facts_of(silent("lidded-box"), words()).steps))
    assert len(named) > 12
    for name in named:
        assert words()("signs", name).replace("{mark}", "glue") in text, name


def _signs(own: Plan) -> dict[int, tuple[Sign, ...]]:
    return dict(enumerate(strips(own, words(), facts_of(own, words()).steps), 1))


@pytest.mark.parametrize("number", range(len(STYLES)))
@pytest.mark.parametrize("glue", GLUES)
def test_a_step_that_glues_shows_its_bonds_and_its_seconds_and_no_other_does(number: int, glue: str) -> None:
    own = replace(some(number), spec=replace(some(number).spec, glue=Glue(glue)))  # type: ignore[arg-type]
    for step in own.net.steps:
        shown = {sign.name: sign.figures for sign in signs_of(own, words(), step, False)}
        assert ("glue" in shown) == ("clock" in shown) == bool(step.bonds)
        if step.bonds:
            assert shown["clock"] == f"{words()('glue', glue, 'seconds')} s"
            low, high = min(step.bonds) + 1, max(step.bonds) + 1
            assert shown["glue"] in (f"{low}-{high}", ", ".join(str(b + 1) for b in sorted(step.bonds)))
            assert "press" in shown or "inside-press" in shown


def test_the_triangle_stands_where_a_warning_would() -> None:
    own = silent("tray", glue="contact")
    steps = facts_of(own, words()).steps
    marked = [number for number, row in _signs(own).items() if Sign("caution") in row]
    assert marked == [step.number for step in steps if step.warning] and len(marked) == 2


def test_folds_show_their_angle_and_how_many_are_alike() -> None:
    own = silent("tray")
    for step in own.net.steps:
        shown = {sign.name: sign.figures for sign in signs_of(own, words(), step, False)}
        if step.words == "fold":
            assert shown["angle"] == "90\u00b0" and shown["repeat"] == f"\u00d7{len(step.folds)}"


def test_the_last_step_of_many_boxes_tells_how_many() -> None:
    own = silent("tray", copies=24)
    assert Sign("repeat", "\u00d724") in _signs(own)[len(own.net.steps)] and Sign("trial") in _signs(own)[1]
    assert Sign("repeat", "\u00d724") not in _signs(silent("tray"))[len(silent("tray").net.steps)]


def test_half_cut_card_is_cut_by_another_sign() -> None:
    assert Sign("half-cut") in _signs(silent("tray", 0.9, "Letter"))[1] and Sign("score") in _signs(silent("tray"))[1]


def test_every_sign_has_words_and_every_key_of_a_step_a_sign_of_the_list() -> None:
    assert set(words().table("signs")) == set(SIGNS)
    for number in range(len(STYLES)):
        for row in _signs(some(number)).values():
            assert row and {sign.name for sign in row} <= set(SIGNS)


@pytest.mark.parametrize("name", list(SIGNS))
def test_a_sign_stays_in_its_box_in_black_and_the_one_tint(name: str) -> None:
    pen = RecordingPen()
    SIGNS[name](pen)
    assert pen.records and not any(record.kind == "text" for record in pen.records)
    for record in pen.records:
        points = record.points if record.kind == "path" else [p for ring in record.rings for p in ring]
        assert all(0 <= x <= signs.BOX and 0 <= y <= signs.BOX for x, y in points), name
        if record.kind == "path":
            assert record.stroke and record.stroke.grey == 0 and record.stroke.width_mm <= 0.5


def test_signs_are_8_mm_or_more_and_stay_in_their_cell() -> None:
    assert signs.SIDE >= 8.0
    for style, caliper, paper in CASES:
        for row in _signs(silent(style, caliper, paper)).values():
            lines = signs.rows(RecordingPen(), row, 56.6)
            assert [sign for line in lines for sign in line] == list(row)
            for line in lines:
                assert sum(signs.width(RecordingPen(), s) for s in line) + 2 * signs.GAP * (len(line) - 1) <= 56.6 + 0.1


@pytest.mark.parametrize(("style", "caliper", "paper"), CASES)
def test_the_explanation_of_the_signs_stands_on_one_page_with_its_heading(style: str, caliper: float, paper: str) -> None:
    made = written(style, caliper, paper)
    page = next(entry.page for entry in made.entries if entry.file == "reading")
    text = pypdfium2.PdfDocument(made.data)[page - 1].get_textpage().get_text_bounded()
    assert "Each step is a picture" in text and words()("signs", "clock") in text and words()("labels", "step_closer") in text


# The key in the spec --------------------------------------------------------------------------------------------------


def test_a_new_spec_has_the_key_and_its_steps_are_in_words(tmp_path: Path) -> None:
    path = tmp_path / "box.toml"
    made = CliRunner().invoke(main, ["new", "tray", "-o", str(path)])
    assert made.exit_code == 0, made.output
    assert "\nwords = true " in path.read_text() and plan("tray").spec.booklet.words is True


@pytest.mark.parametrize("wrong", ['"no"', "0", '"false"', "[]"])
def test_words_that_are_neither_true_nor_false_are_refused_with_their_line(wrong: str, tmp_path: Path) -> None:
    path = tmp_path / "box.toml"
    CliRunner().invoke(main, ["new", "tray", "-o", str(path)])
    text = path.read_text()
    path.write_text(text.replace("\nwords = true ", f"\nwords = {wrong} "))
    line = text[: text.index("\nwords = true ")].count("\n") + 2
    told = CliRunner().invoke(main, ["check", str(path)])
    assert told.exit_code == 2 and "booklet.words" in told.output and "write true or false" in " ".join(told.output.split())
    assert f"line {line}" in told.output or f":{line}" in told.output, told.output

"""A class: the minutes of its lessons, its totals, its handout, and what no pupil may read."""

from __future__ import annotations

import io
import math
import re
from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import pypdf
import pytest

from booklet import cuts, handout, lesson, sheets, worksheet
from booklet.errors import Refused, SpecError
from booklet.lesson import Work, spared, timed
from booklet.pages.handout import Handout, at_the_head
from booklet.pages.lesson import Lesson
from booklet.pages.settings import settings
from booklet.pages.words import languages, layouts, words
from booklet.pages.worksheet import Worksheet
from booklet.plan import Plan
from booklet.planning import plan_of
from booklet.spec import load
from booklet.styles import shelf
from tests import samples
from tests.plans import plan as home_plan

BLADES = re.compile(r"\b(cut|cuts|cutting|half-cut|knife|knives|blades?|scissors|scalpel|needle|awl)\b", re.IGNORECASE)
ENGLISH = words("en", "class")
PUPILS = ("handout", "worksheet")
A4 = (210.0, 297.0)
SAMPLES = ("class-tiles", "class-egg-cups")


def classed(plan: Plan, age: int = 9, copies: int = 24, minutes: int = 60, **more: Any) -> Plan:
    """The same box for a class."""
    spec = plan.spec
    spec = replace(
        spec,
        safety=replace(spec.safety, age=age),
        lesson=replace(spec.lesson, minutes=minutes),
        booklet=replace(spec.booklet, layout="class", copies=copies),
        **more,
    )
    return replace(plan, spec=spec)


@cache
def texts(name: str) -> dict[str, str]:
    """The words of each file of a sample."""
    made = samples.made(name)
    files = {"main": made.data, **{other: data for other, (data, _) in made.others.items()}}
    return {
        file: " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages).split())
        for file, data in files.items()
    }


# --- minutes

WORKS = [
    [Work("cut", 13.4, 1, 2), Work("fold", 4.0, 3, 3), Work("glue", 79.0, 4, 18), Work("dry", 20), Work("fit", 4)],
    [Work("fold", 0.2, 1, 1), Work("worksheet", 12.0)],
    [Work("check", 1.0), Work("glue", 400.5, 1, 5), Work("dry", 20.0), Work("finish", 33.3, 6, 9)],
]


@pytest.mark.parametrize("work", WORKS)
def test_the_minutes_of_each_lesson_add_up_to_its_length_for_every_length(work: list[Work]) -> None:
    for minutes in range(20, 301):
        for phases in timed(work, minutes):
            assert sum(phase.minutes for phase in phases) == minutes
            assert all(phase.minutes >= 1 for phase in phases)
            assert phases[-1].key == "tidy" and phases[0].key in ("introduce", "again")


@pytest.mark.parametrize("work", WORKS)
def test_all_of_the_work_is_in_the_lessons_in_its_order_and_none_is_shorter_than_reckoned(work: list[Work]) -> None:
    own = [one.key for one in work]
    for minutes in (20, 45, 90, 180):
        laid = [phase for phases in timed(work, minutes) for phase in phases if phase.key in own]
        assert list(dict.fromkeys(phase.key for phase in laid)) == own
        for one in work:
            assert sum(phase.minutes for phase in laid if phase.key == one.key) >= one.minutes


def test_work_that_fits_takes_one_lesson_and_one_minute_less_takes_two() -> None:
    work = [Work("fold", 20.0, 1, 2), Work("glue", 17.0, 3, 4)]
    whole = 37 + lesson.INTRODUCE + lesson.TIDY
    assert len(timed(work, whole)) == 1 and len(timed(work, whole - 1)) == 2


def test_a_long_lesson_keeps_time_in_hand_instead_of_stretching_the_work() -> None:
    phases = timed(WORKS[1], 300)[0]
    assert next(phase.minutes for phase in phases if phase.key == "spare") > 250


@pytest.mark.parametrize("age", [9, 13])
@pytest.mark.parametrize("style", ["tray", "tuck-carton", "lidded-box"])
def test_the_steps_of_the_handout_are_each_in_one_phase_of_the_plan(style: str, age: int) -> None:
    made = lesson.Lesson(classed(home_plan(style), age))
    told = [step for one in made.work if one.first for step in range(one.first, one.last + 1)]
    assert told == list(range(1, len(made.cells) + 1))
    assert any(one.key == "cut" for one in made.work) == (age >= 12)


def test_the_lesson_is_told_to_last_as_long_as_its_phases() -> None:
    made = Lesson(classed(home_plan("tray"), minutes=97), ENGLISH)
    assert made.fits
    ends = [int(row.time.split(" to ")[1]) for row in made.days[0].rows]
    assert ends[-1] == 97 and ends == [sum(row.minutes for row in made.days[0].rows[: k + 1]) for k in range(len(ends))]


def test_work_that_does_not_fit_is_told_with_the_number_of_lessons() -> None:
    made = Lesson(classed(home_plan("lidded-box"), age=13, minutes=45), ENGLISH)
    assert not made.fits and made.count == len(made.days) > 1
    assert all(sum(row.minutes for row in day.rows) == 45 for day in made.days)


def test_drying_times_are_those_of_the_words_for_the_glue() -> None:
    for kind, minutes in lesson.DRY.items():
        told = re.match(r"\d+", ENGLISH("glue", kind, "dry_time"))
        assert int(told[0] if told else 0) == minutes


# --- totals


def test_a_tenth_to_spare_is_rounded_up_and_never_by_the_float() -> None:
    for number in range(1, 2000):
        assert spared(number) == math.ceil(Fraction(11 * number, 10))


@pytest.mark.parametrize("name", SAMPLES)
def test_every_total_has_a_tenth_to_spare(name: str) -> None:
    plan = samples.made(name).plan
    made = Lesson(plan, ENGLISH)
    for row in made.totals:
        if "area" not in row.name:
            plain, spare = (int(re.sub(r"\D", "", text)) for text in (row.plain, row.spare))
            assert spare >= math.ceil(Fraction(11 * plain, 10))
    plain = {row.name.split(" ")[0]: row.plain for row in made.totals}
    assert int(plain["Sheets"]) == plan.sheets_all
    assert int(plain["Handouts"]) == int(plain["Worksheets"]) == plan.spec.booklet.copies


@pytest.mark.parametrize("age", [9, 13])
def test_what_is_to_spare_fills_the_spare_bags_and_no_more(age: int) -> None:
    """24 pupils, 27 bags; the numbers of one bag by hand: a handout of 2 leaves, a worksheet, and the cutter's templates."""
    own = samples.spec("class-tiles")
    plan = plan_of(replace(own, safety=replace(own.safety, age=age)))
    made = Lesson(plan, ENGLISH)
    spare = {row.name.split(" ")[0]: int(row.spare) for row in made.totals if row.spare.isdigit()}
    templates = plan.leaves * 27 if age == 13 else math.ceil(Fraction(11 * plan.leaves, 10))
    assert (spare["Handouts"], spare["Worksheets"], spare["Template"]) == (27, 27, templates)
    assert spare["Leaves"] == 27 * handout.leaves(plan) + 27 + templates
    assert spare["Sheets"] == (27 * plan.sheets if age == 13 else sheets.gang(plan.net, plan.card, 27).sheets)


def test_leaves_of_paper_are_those_of_the_files_that_are_made() -> None:
    for name in SAMPLES:
        made = samples.made(name)
        assert Handout(made.plan, ENGLISH).sides == made.others["handout"][1]
        assert Handout(made.plan, ENGLISH).leaves == math.ceil(made.others["handout"][1] / 2)
        assert made.others["worksheet"][1] == 1


# --- the handout


def test_on_a_narrow_page_no_step_has_a_warning_that_would_take_the_room_of_its_picture() -> None:
    own = samples.plan("class-tiles")
    for glue, paper, told in (("contact", (148.0, 210.0), {"contact"}), ("hot-melt", (148.0, 210.0), {"hot-melt"}), ("contact", A4, set())):
        spec = replace(own.spec, glue=replace(own.spec.glue, kind=glue), page=replace(own.spec.page, paper=paper))
        assert set(at_the_head(replace(own, spec=spec))) & {"contact", "hot-melt"} == told


def test_a_warning_of_the_head_is_not_told_again_over_the_steps_of_its_side() -> None:
    own = samples.plan("class-tiles")
    plan = replace(own, spec=replace(own.spec, glue=replace(own.spec.glue, kind="contact")))
    assert handout.first(plan) == 2 and "contact" in handout.notes(plan)
    assert ["contact" in at_the_head(plan, cell) for cell in range(3)] == [True, True, False]


def test_a_handout_is_printed_on_both_sides_and_a_worksheet_on_one() -> None:
    found = {one.name: one.sides for one in settings("class").documents}
    assert (found["handout"], found["worksheet"]) == (2, 1)


@pytest.mark.parametrize("head", [0, 2])
def test_any_number_of_steps_has_at_most_six_on_a_side_each_once(head: int) -> None:
    for count in range(1, head + 19):
        sides = handout.laid(count, head)
        assert len(sides) <= 4
        assert [step for side in sides for step in range(side.first, side.end)] == list(range(count))
        assert all(side.end - side.first <= 6 and side.columns * side.rows >= side.end - side.first for side in sides)


@pytest.mark.parametrize("cut", [True, False])
@pytest.mark.parametrize("style", ["lidded-box", "tuck-carton", "tray"])
def test_steps_of_the_handout_are_those_of_the_box_less_the_teachers(style: str, cut: bool) -> None:
    net = home_plan(style).net
    told = [step for cell in handout.merged(net, cut, 20) for step in cell.steps]
    left = [step.words for n, step in enumerate(net.steps) if n not in told]
    assert len(told) == len(set(told))
    assert set(left) <= ({"trial", "score", "score-plain"} if cut else {"trial"})


def test_a_head_with_many_warnings_has_a_side_of_its_own() -> None:
    plan = classed(home_plan("tray"))
    many = replace(
        plan, spec=replace(plan.spec, safety=replace(plan.spec.safety, hazards=("candle", "food", "magnets", "pins", "small-parts")))
    )
    assert (handout.first(plan), handout.first(many)) == (2, 0)
    assert handout.most(many) == 18 and len(handout.sides(many)) == len(handout.sides(plan)) == 2


def test_a_turn_is_told_with_the_next_step_and_the_picture_is_of_that() -> None:
    net = home_plan("tuck-carton").net
    cell = next(cell for cell in handout.merged(net, True, 20) if net.steps[cell.steps[0]].kind == "turn")
    assert len(cell.steps) == 2 and cell.shown == cell.steps[1]
    said = Handout(classed(home_plan("tuck-carton")), ENGLISH).text(cell)
    assert said.startswith("Turn the box over") and "Put the item in." in said


def test_a_box_of_too_many_steps_is_refused_with_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(handout, "A_SIDE", 5)
    with pytest.raises(Refused, match=r"room for 17 steps on its two leaves, and this box takes 1[89]: .*use a larger sheet"):
        handout.allowed(classed(home_plan("lidded-box"), age=13))
    handout.allowed(classed(home_plan("tray"), age=13))
    handout.allowed(home_plan("lidded-box"))  # other layouts have room for all


def test_where_pupils_would_have_room_with_cut_pieces_the_refusal_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(handout, "A_SIDE", 0)
    with pytest.raises(Refused, match="have the pieces cut before the lesson, by a knife_age over the age"):
        handout.allowed(classed(home_plan("divider"), age=13))
    handout.allowed(classed(home_plan("divider"), age=9))


def test_a_handout_that_is_over_its_room_merges_more_than_turns() -> None:
    net = home_plan("lidded-box").net
    loose, tight = handout.merged(net, False, 99), handout.merged(net, False, 1)
    assert len(tight) == len(loose) - 3  # the item and the lid; each part cut out and pre-creased
    assert [n for cell in sorted(tight, key=lambda one: one.steps) for n in cell.steps] == sorted(n for cell in loose for n in cell.steps)


# --- what a pupil may read


def test_no_word_of_a_blade_is_in_what_pupils_under_the_age_read() -> None:
    for name in PUPILS:
        assert not BLADES.findall(texts("class-tiles")[name])
    assert BLADES.findall(texts("class-tiles")["main"])


@pytest.mark.parametrize("caliper", [0.3, 0.9])
@pytest.mark.parametrize("style", ["tray", "lidded-box", "tuck-carton"])
def test_steps_and_needs_have_no_blade_under_the_age_and_have_one_over_it(style: str, caliper: float) -> None:
    for age in (9, 12):
        made = Handout(classed(home_plan(style, caliper), age), ENGLISH)
        said = " ".join([*map(made.text, made.cells), *made.needs, *(note.text for note in made.notes)])
        assert bool(BLADES.search(said)) == (age == 12), said


@pytest.mark.parametrize("style", ["slipcase", "divider"])
def test_boards_and_strips_come_ready_to_young_pupils(style: str) -> None:
    made = Handout(classed(home_plan(style, 2.0 if style == "slipcase" else 0.3)), ENGLISH)
    assert not BLADES.search(" ".join(map(made.text, made.cells)))


def test_young_pupils_have_no_knife_on_their_table_and_the_teacher_has_the_time_to_cut() -> None:
    young, old = (Lesson(classed(home_plan("tray"), age), ENGLISH) for age in (9, 12))
    assert not [row for row in young.tools if BLADES.search(row.name)]
    assert [row for row in old.tools if BLADES.search(row.name)]
    assert any("Score and cut the pieces of 27 boxes" in line for line in young.prepare)
    assert not any("Score and cut" in line for line in old.prepare)


def test_card_that_comes_cut_needs_no_blade_at_any_age() -> None:
    made = classed(home_plan("tray"), age=15, supplied="pre-cut")
    assert not BLADES.search(" ".join(Handout(made, ENGLISH).needs))
    assert any(row.name.startswith("Sets of pieces") for row in Lesson(made, ENGLISH).totals)


@pytest.mark.parametrize("name", SAMPLES)
def test_answers_are_in_the_teachers_file_alone(name: str) -> None:
    made, said = Worksheet(samples.made(name).plan, ENGLISH), texts(name)
    plain = {file: plainly(text) for file, text in said.items()}
    for one in made.questions:
        assert plainly(one.text) in plain["worksheet"]
        assert plainly(one.answer) in plain["main"]
        # an answer is what stands behind its equals sign; "2 and 4" may stand in a sentence on other things
        answer = plainly(one.answer.rpartition("= ")[2])
        assert answer not in plain["worksheet"].replace(plainly(one.text), "") or "and" in answer
        assert "= " not in one.text


@pytest.mark.parametrize("style", ["tray", "tuck-carton", "lidded-box"])
def test_no_question_tells_the_answer_of_another(style: str) -> None:
    made = Worksheet(classed(home_plan(style), age=14), ENGLISH)
    for one in made.questions:
        answer = one.answer.rpartition("= ")[2]
        assert not [other for other in made.questions if answer in other.text], answer


_SMALL = str.maketrans(
    {chr(code): str(n) for n in range(10) for code in (0x2080 + n, (0x2070, 0xB9, 0xB2, 0xB3)[n] if n < 4 else 0x2070 + n)}
)


def plainly(text: str) -> str:
    """Letters and figures alone, as pages may part lines and build fractions anywhere."""
    return re.sub(r"[^0-9A-Za-z=]", "", text.translate(_SMALL))


# --- the sheet


def test_mistakes_are_only_those_that_the_box_can_have() -> None:
    tray, carton, box = (set(lesson.mistakes(classed(home_plan(style)))) for style in ("tray", "tuck-carton", "lidded-box"))
    assert not {"lid", "ring", "tuck", "hem", "half-cut-face"} & tray
    assert {"tuck", "ring"} <= carton and "lid" not in carton
    assert {"lid", "hem", "ring"} <= box
    assert "half-cut-face" in lesson.mistakes(classed(home_plan("tray", 0.9)))


def test_every_mistake_has_its_words_for_every_style() -> None:
    for style in ("tray", "tuck-carton", "lidded-box", "slipcase"):
        made = Lesson(classed(home_plan(style, 2.0 if style == "slipcase" else 0.3)), ENGLISH)
        assert all(one.seen and one.mend for one in made.mistakes)


def test_the_risk_notes_name_what_the_box_has_and_nothing_else() -> None:
    told = texts("class-tiles")["main"]
    assert "Still to be checked against the school" in told
    assert "hot-melt" not in told.lower() and "contact glue" not in told.lower()
    assert "choke" in texts("class-egg-cups")["main"] and "choke" not in told


@pytest.mark.parametrize("text", ["", "[safety]\nknife_age = 10\n"])
def test_a_class_without_an_age_is_refused(tmp_path: Path, text: str) -> None:
    source = (samples.FOLDER / "class-tiles.toml").read_text(encoding="utf-8")
    path = tmp_path / "box.toml"
    path.write_text(source.replace("[safety]\nage = 9\n", text), encoding="utf-8")
    with pytest.raises(SpecError, match=r"safety\.age: is missing"):
        load(path, {name: one.OPTIONS for name, one in shelf().items()}, layouts(), languages())


def test_on_a_small_page_the_head_has_a_side_of_its_own_and_three_questions_are_asked() -> None:
    large = classed(home_plan("tray"))
    small = replace(large, spec=replace(large.spec, page=replace(large.spec.page, paper=(148.0, 210.0))))
    assert [side.end - side.first for side in handout.sides(small)] == [0, 6]
    assert len(worksheet.questions(small)) == 3 < len(worksheet.questions(large))


# --- what is reckoned for the teacher


def test_everyone_who_cuts_has_whole_sheets_and_no_layout_of_many_boxes_is_told() -> None:
    spec = samples.spec("class-tiles")
    older = plan_of(replace(spec, safety=replace(spec.safety, age=14)))
    assert samples.made("class-tiles").plan.sheets_all < 24  # the teacher cuts, two trays from a sheet
    assert older.many is None and older.sheets_all == 24 * older.sheets
    assert not handout.own_sheets(samples.spec("kit-tiles-precut")) and handout.own_sheets(samples.spec("kit-mug"))


@pytest.mark.parametrize("adults", [1, 3, 24])
def test_an_adult_who_glues_for_all_takes_as_long_as_all_of_their_boxes(adults: int) -> None:
    plan = classed(home_plan("tray"), age=16)
    spec = replace(plan.spec, glue=replace(plan.spec.glue, kind="contact"), lesson=replace(plan.spec.lesson, adults=adults))
    by_adult = next(one for one in lesson.Lesson(replace(plan, spec=spec)).work if one.key == "glue")
    by_pupils = next(one for one in lesson.Lesson(plan).work if one.key == "glue")
    bonds, each = len(plan.net.bonds), max(lesson.MINUTES["bond"], lesson.BY_ADULT * 24 / adults)
    assert by_adult.minutes == pytest.approx(by_pupils.minutes + bonds * (each - lesson.MINUTES["bond"]))


def test_cutting_takes_the_time_of_every_setting_of_the_ruler_and_of_every_template() -> None:
    plan = classed(home_plan("tuck-carton"), age=14)
    settings_of_one = cuts.settings(plan.cuts)  # each template is cut once
    assert [count for _, _, count in plan.templates] == [1] * len(plan.templates)
    drawn = (plan.materials.cut_mm + plan.materials.score_mm) / 1000
    least = lesson.MINUTES["cut_per_m"] * drawn + lesson.SETTING * settings_of_one + lesson.PRICKED * len(plan.pieces)
    assert lesson.Lesson(plan).cutting == pytest.approx(least)
    on_card = replace(plan, spec=replace(plan.spec, page=replace(plan.spec.page, print_on="card")))
    assert lesson.Lesson(on_card).cutting == pytest.approx(least - lesson.PRICKED * len(plan.pieces))


@pytest.mark.parametrize("work", WORKS)
def test_time_in_hand_is_never_a_minute_or_two(work: list[Work]) -> None:
    for minutes in range(20, 301):
        assert all(phase.minutes >= 3 for phases in timed(work, minutes) for phase in phases if phase.key == "spare")


# --- answers that are true as they stand

_UNITS = (("mm", "/10"), ("cm", ""), ("g/m", "/10000"), ("in", ""), ("%", "/100"), ("g", ""))


def reckoned(text: str) -> float:
    """A sum as a pupil reads it, in centimetres or inches and grams."""
    text = re.sub(
        r"[\u2070-\u209f\u00b2\u00b3]", lambda found: str(_DIGITS.get(found[0], found[0])), re.sub(r"(?<=[a-z])[\u00b2\u00b3]", "", text)
    )
    text = re.sub(r"(\d+) (\d+)[\u2044/](\d+)", r"(\1+\2/\3)", text.replace("\u00a0", " ").replace("\u2009", " "))
    text = re.sub(r"(\d+)[\u2044](\d+)", r"(\1/\2)", text).replace("\u00d7", "*").replace("\u00f7", "/")
    for unit, factor in _UNITS:
        text = re.sub(rf"([0-9.)]+) {unit}(?![a-z/])", rf"\1{factor}" if not factor else rf"(\1{factor})", text)
    assert re.fullmatch(r"[0-9.+*/() ]+", text), text
    return float(eval(text))  # digits and signs alone, see above


_DIGITS = (
    {chr(0x2070 + n): n for n in (0, *range(4, 10))} | {"\u00b9": 1, "\u00b2": 2, "\u00b3": 3} | {chr(0x2080 + n): n for n in range(10)}
)


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("style", ["tray", "tuck-carton", "prism-box", "round-box", "tapered-tray"])
def test_every_sum_that_the_teacher_reads_is_true_of_the_figures_in_it(style: str, units: str) -> None:
    plan = classed(home_plan(style), age=14)
    spec = replace(plan.spec, booklet=replace(plan.spec.booklet, units=units))
    sums = [one.answer.split(";")[0] for one in Worksheet(replace(plan, spec=spec), ENGLISH).questions if " = " in one.answer]
    assert len(sums) >= 2
    for told in sums:
        left, right = told.split(" = ")
        digits = re.search(r"[0-9.]+", right)
        assert digits
        step = 10.0 ** -len(digits[0].partition(".")[2])
        assert abs(reckoned(left) - float(digits[0])) <= 0.5 * step + 1e-9, told


@pytest.mark.parametrize("age", [9, 14])
def test_the_template_pages_to_print_are_enough_for_every_bag_that_is_filled(age: int) -> None:
    made = Lesson(classed(home_plan("tray"), age=age), ENGLISH)
    printed = next(int(found[1]) for line in made.prepare if (found := re.search(r"print (\d+) template page", line)))
    assert printed == home_plan("tray").leaves * (1 if age == 9 else spared(24))


def test_pupils_who_cut_have_a_needle_and_the_order_of_cuts_and_those_who_do_not_have_neither() -> None:
    older, younger = (classed(home_plan("tray"), age=age) for age in (14, 9))
    assert any("needle" in line for line in Handout(older, ENGLISH).needs)
    assert not any("needle" in line for line in Handout(younger, ENGLISH).needs)
    asked = "**From the template to the card** and **Order of cuts** from this file once for each table"
    assert [any(asked in line for line in Lesson(plan, ENGLISH).prepare) for plan in (older, younger)] == [True, False]
    on_card = replace(older, spec=replace(older.spec, page=replace(older.spec.page, print_on="card")))
    assert any(line.startswith("Print **Order of cuts**") for line in Lesson(on_card, ENGLISH).prepare)


def test_contact_glue_is_never_used_where_the_pupils_are() -> None:
    plan = classed(home_plan("tray"), age=16)
    plan = replace(plan, spec=replace(plan.spec, glue=replace(plan.spec.glue, kind="contact")))
    rows = [row for day in Lesson(plan, ENGLISH).days for row in day.rows if "another room" in row.teacher]
    assert rows and all("in another room" in row.pupils and "press each bond" not in row.pupils for row in rows)
    hot = replace(plan, spec=replace(plan.spec, glue=replace(plan.spec.glue, kind="hot-melt"), safety=replace(plan.spec.safety, age=9)))
    rows = [row for day in Lesson(hot, ENGLISH).days for row in day.rows]
    assert any("Glue for the pupils" in row.teacher for row in rows) and not any("another room" in row.teacher for row in rows)

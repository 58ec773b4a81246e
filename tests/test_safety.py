"""The safety notes: what a box, its glue and its tools can hurt is told, in every layout, and nothing else; signal words and pictograms."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from functools import cache
from itertools import combinations

import pytest
from pypdf import PdfReader

from booklet import hazards
from booklet.data import layouts_folder
from booklet.drawing.pen import TINT
from booklet.drawing.pictograms import BOX, PICTOGRAMS, draw_pictogram
from booklet.drawing.recording import Record, RecordingPen
from booklet.errors import BookletError
from booklet.pages import book
from booklet.pages.markdown import SIGNALS, Setting, blocks_of
from booklet.pages.safety import Safety, Told
from booklet.pages.sentences import signal, steps_of
from booklet.pages.settings import settings
from booklet.pages.words import languages, layouts, words
from booklet.pdf.blocks import Boxed
from booklet.pdf.typeset import Typesetter
from booklet.plan import Plan
from booklet.planning import plan_of
from booklet.spec.model import Glue, Party, Seller
from booklet.spec.model import Safety as Asked
from booklet.spec.tables import GLUES, HAZARDS
from tests import plans
from tests.told import texts_of

SELLER = Seller(Party("Kiln Lane pottery", "1 Kiln Lane, 12345 Claytown", "shop@kiln-lane.example"))
ALL, NONE, OLDER = Asked(HAZARDS, 8), Asked(), Asked((), 14)
OF_GLUE = {"hot-melt": "hot-melt", "contact": "contact", "tape": "tape", "pva": "white-glue", "glue-stick": "white-glue"}


def made(glue: str = "pva", asked: Asked = NONE, caliper: float = 0.3, style: str = "tray", **other: object) -> Plan:
    """A small box; `other`: what of its spec is otherwise."""
    plan = plans.plan(style, caliper, height=30.0)
    return replace(plan, spec=replace(plan.spec, glue=Glue(glue), safety=asked, seller=SELLER, **other))  # type: ignore[arg-type]


def on_paper(plan: Plan, print_on: str) -> Plan:
    return replace(plan, spec=replace(plan.spec, page=replace(plan.spec.page, print_on=print_on)))  # type: ignore[arg-type]


def found(plan: Plan, reader: hazards.Reader = "maker") -> set[str]:
    return {hazard.name for hazard in hazards.hazards(plan, reader)}


def harm(name: str) -> str:
    return words()("hazards", name, "harm")


def bare(text: str) -> str:
    """A text without its spaces, breaks and hyphens, as words are found in a file."""
    return re.sub(r"[\s\u00a0\u00ad-]+", "", text)


@cache
def whole() -> Plan:
    """A box without glue, from a sheet that is large enough for it."""
    spec = plans.plan("roll-wall-tray", height=30.0).spec
    return plan_of(replace(spec, card=replace(spec.card, sheet=(420.0, 594.0))))


@cache
def told_in(layout: str, glue: str, supplied: str, asked: Asked) -> str:
    """All words of all files that a layout makes of a box."""
    plan = made(glue, asked, supplied=supplied)
    plan = replace(plan, spec=replace(plan.spec, booklet=replace(plan.spec.booklet, layout=layout, copies=2)))
    files = book.written(plan, lambda pages: {})
    return bare("".join(page.extract_text() for one in files.values() for page in PdfReader(io.BytesIO(one.data)).pages))


# What is told -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("layout", layouts())
@pytest.mark.parametrize("name", HAZARDS)
def test_each_hazard_that_a_spec_names_has_its_text_in_every_layout(layout: str, name: str) -> None:
    told = told_in(layout, "hot-melt", "sheets", ALL)
    assert bare(harm(name)) in told and bare(words()("hazards", name, "avoid")) in told


@pytest.mark.parametrize("layout", layouts())
def test_no_layout_tells_a_hazard_that_the_box_has_not(layout: str) -> None:
    told = told_in(layout, "pva", "pre-cut", OLDER)
    found_there = {name for name in hazards.KNOWN if bare(harm(name)) in told}
    assert "white-glue" in found_there and found_there <= {"white-glue", "weights", "edges"}


@pytest.mark.parametrize("layout", layouts())
@pytest.mark.parametrize("case", [("hot-melt", "sheets", ALL), ("pva", "pre-cut", OLDER)])
def test_every_layout_puts_data_sheets_and_the_rules_of_the_place_first(layout: str, case: tuple[str, str, Asked]) -> None:
    assert bare(words().said("safety.first")) in told_in(layout, *case)


def test_a_hazard_that_is_not_named_is_not_told() -> None:
    told = texts_of(made()).markdown("safety")
    assert not [name for name in HAZARDS if harm(name) in told]


@pytest.mark.parametrize("name", HAZARDS)
def test_one_hazard_that_is_named_is_told_alone(name: str) -> None:
    told = texts_of(made(asked=Asked((name,)))).markdown("safety")
    assert [one for one in HAZARDS if harm(one) in told] == [name]


@pytest.mark.parametrize("kind", GLUES)
def test_each_glue_has_its_own_hazard_and_no_others(kind: str) -> None:
    told = texts_of(made(kind)).markdown("safety")
    assert {name for name in OF_GLUE.values() if harm(name) in told} == {OF_GLUE[kind]}
    aid = {name: words()("first_aid", name) in told for name in ("hot-glue", "fumes", "eye", "cut")}
    assert aid == {"hot-glue": kind == "hot-melt", "fumes": kind == "contact", "eye": kind != "tape", "cut": True}
    assert ("glue gun" in told, "tin" in re.findall(r"\w+", told)) == (kind == "hot-melt", kind == "contact")


@pytest.mark.parametrize("kind", GLUES)
def test_a_box_without_glue_has_no_hazard_of_glue(kind: str) -> None:
    plan = whole()
    assert not found(replace(plan, spec=replace(plan.spec, glue=Glue(kind)))) & {*OF_GLUE.values(), "weights"}  # type: ignore[arg-type]


def test_a_needle_is_told_only_where_templates_are_pricked() -> None:
    paper = made()
    assert "awl" in found(on_paper(paper, "paper")) and "awl" not in found(on_paper(paper, "card"))
    assert "awl" not in found(replace(paper, tiles=()))  # no printed template
    assert "awl" not in found(made(supplied="pre-cut"))


def test_half_cuts_of_the_other_face_are_pricked_through_where_the_card_is_printed() -> None:
    outside = on_paper(made(caliper=0.9), "card")
    inside = replace(outside, net=replace(outside.net, marks="inside"))
    assert outside.net.marks == "outside" and "awl" not in found(outside) and "awl" in found(inside)


@pytest.mark.parametrize("reader", ["maker", "pupil", "buyer"])
def test_card_that_comes_cut_has_no_knife_for_anybody(reader: hazards.Reader) -> None:
    plan = made(supplied="pre-cut", caliper=0.9)
    assert not found(plan, reader) & {"knife", "force", "awl"}
    assert "knife" not in [step.warning.sign for step in steps_of(plan, words()) if step.warning]
    assert not re.search(r"\b(knife|blade|ruler|needle)", str(getattr(Safety(plan, words()), reader)).lower())


def test_the_step_that_cuts_is_warned_of_unless_the_card_comes_cut() -> None:
    signs = [
        [step.warning.sign for step in steps_of(made("hot-melt", supplied=one), words()) if step.warning] for one in ("sheets", "pre-cut")
    ]
    assert signs == [["knife", "hot-melt"], ["hot-melt"]]


@pytest.mark.parametrize(("age", "knife_age", "cuts"), [(11, 12, False), (12, 12, True), (None, 12, True), (8, 8, True), (15, 16, False)])
def test_pupils_under_the_age_for_knives_have_neither_blade_nor_point(age: int | None, knife_age: int, cuts: bool) -> None:
    plan = made(asked=Asked((), age, knife_age))
    assert ({"knife", "awl"} <= found(plan, "pupil"), bool({"knife", "awl"} & found(plan, "pupil"))) == (cuts, cuts)
    assert {"knife", "awl"} <= found(plan, "maker")
    told = " ".join(Safety(plan, words()).maker.practice)
    assert (f"Children under {knife_age} years take no blade" in told) != cuts


def test_only_thick_card_is_told_to_need_force() -> None:
    assert "force" not in found(made()) and "force" in found(made(caliper=0.9)) and "force" in found(made(style="slipcase", caliper=2.0))


def test_the_worst_is_told_first_and_each_once() -> None:
    kinds = [note.kind for note in Safety(made("contact", Asked((*HAZARDS, *HAZARDS))), words()).maker.notes]
    assert kinds == sorted(kinds, key=SIGNALS.index) and len(set(kinds)) == 2
    signs = [note.sign for note in Safety(made("contact", Asked((*HAZARDS, *HAZARDS))), words()).maker.notes]
    assert len(signs) == len(set(signs))


def test_the_rows_of_risks_are_the_hazards_of_the_box_with_who_and_measure() -> None:
    safety = Safety(made("hot-melt", Asked(HAZARDS, 8)), words())
    assert [risk.hazard for risk in safety.risks] == [words()("hazards", note.sign, "harm") for note in safety.maker.notes]
    assert all(
        risk.who and note.text.endswith(words()("hazards", note.sign, "avoid"))
        for risk, note in zip(safety.risks, safety.maker.notes, strict=True)
    )
    knife = next(risk for risk in safety.risks if risk.hazard == harm("knife"))
    assert knife.who == words().said("safety.adults_who")  # pupils of eight do not cut
    older = next(risk for risk in Safety(made(asked=Asked((), 14)), words()).risks if risk.hazard == harm("knife"))
    assert older.who != knife.who and older.measure.startswith(knife.measure) and len(older.measure) > len(knife.measure)


def test_the_age_is_told_where_the_spec_has_one() -> None:
    assert Safety(made(), words()).age == "" and "8 years" in Safety(made(asked=Asked((), 8)), words()).age


def test_a_warning_of_a_step_is_the_text_of_the_notes() -> None:
    plan = made("contact")
    notes = Safety(plan, words()).maker.notes
    assert {step.warning for step in steps_of(plan, words()) if step.warning} <= set(notes)


# Words ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("layout", layouts())
def test_every_hazard_has_its_words_in_every_language_and_a_signal_word_of_injury(layout: str) -> None:
    for language in languages(layout):
        said = words(language, layout)
        for name, hazard in hazards.KNOWN.items():
            assert all(said("hazards", name, key) for key in ("harm", "avoid", "who", "alt"))
            # ANSI Z535: a notice is never about injury
            assert said("hazards", name, "signal") in ("danger", "warning", "caution")
            assert not hazard.aid or said("first_aid", hazard.aid)


def test_a_text_tells_what_happens_and_how_it_is_avoided_in_three_sentences_at_most() -> None:
    for name in hazards.KNOWN:
        text = signal(words(), name).text
        assert 2 <= len(re.findall(r"[.!?](?= |$)", text)) <= 3, text


def test_the_texts_of_the_hazards_say_what_is_known() -> None:
    """Sources beside the texts: facts of the hazards that must stand in them whatever their wording."""
    must = {
        "candle": ("never light it in the box",),
        "lamp": ("never light it in the box",),
        "food": ("not safe for food unless its maker says so", "wrap"),
        "magnets": ("swallowed", "kill", "doctor at once"),
        "small-parts": ("choke", "under 3 years"),  # 16 CFR 1501.4
        "hot-melt": ("195", "cold water"),  # US EPA household hazard text
        "contact": ("flammable", "windows", "flames"),
    }
    for name, facts in must.items():
        text = signal(words(), name).text.lower()
        assert not [fact for fact in facts if fact not in text], name
    assert "water before you touch" in words()("first_aid", "hot-glue") and "rinse" in words()("first_aid", "eye")


def test_every_line_of_the_safety_texts_has_its_source_beside_it() -> None:
    table, lines = "", 0
    for line in (layouts_folder() / "home" / "words.en.toml").read_text(encoding="utf-8").splitlines():
        if line.startswith("["):
            table = line.strip("[] ")
        elif re.match(r"[\w-]+ *=", line) and (table.startswith("hazards.") or table in ("first_aid", "text.safety")):
            lines += 1
            assert line.startswith("title =") or re.fullmatch(r'[\w-]+ = "(?:[^"\\]|\\.)+"  # \S.{7,}', line), line
    assert lines > 5 * len(hazards.KNOWN)


@pytest.mark.parametrize("layout", layouts())
def test_warnings_are_set_in_12_points_and_text_in_10_at_least(layout: str) -> None:
    """ISO/IEC Guide 37:2012."""
    kind = settings(layout).type
    assert kind.warning[0] >= 12 and min(kind.text[0], kind.lead[0], kind.table[0]) >= 10


# Signs ------------------------------------------------------------------------------------------------------------


def boxed(kind: str, name: str = "", width: float = 90.0) -> Boxed:
    s = settings()
    at = Setting(Typesetter(s.type), lambda *a: [], words().table("signals"), width, s.gutter, s.least_column, "page.md")
    (block,) = blocks_of(f"::: {kind} {name}\nCard burns. Keep it away from flames.\n:::\n", at)
    assert isinstance(block, Boxed)
    return block


def drawn(block: Boxed, width: float = 90.0) -> tuple[list[Record], float]:
    """What stands in a box besides its words, and how high it is, mm."""
    high = block.wrap(width * 72 / 25.4, 1e6)[1] * 25.4 / 72
    pen = RecordingPen()
    block.signs(pen, high)
    return pen.records, high


def triangles(records: list[Record]) -> int:
    return sum(one.kind == "path" and one.closed and len(one.points) == 3 for one in records)


@pytest.mark.parametrize("name", ["", "knife"])
def test_the_triangle_stands_with_words_of_injury_and_never_with_a_notice(name: str) -> None:
    own = sum(one.kind == "path" and one.closed and len(one.points) == 3 for one in recorded("knife")) if name else 0
    assert {kind: triangles(drawn(boxed(kind, name))[0]) - own for kind in SIGNALS} == {
        "danger": 1,
        "warning": 1,
        "caution": 1,
        "notice": 0,
    }


def recorded(name: str) -> list[Record]:
    pen = RecordingPen()
    draw_pictogram(pen, name, (0.0, 0.0))
    return pen.records


def points(records: list[Record]) -> list[tuple[float, float]]:
    return [point for one in records for ring in (one.rings or (one.points,)) for point in ring]


@pytest.mark.parametrize("name", hazards.KNOWN)
def test_a_pictogram_is_10_mm_high_or_more_inside_its_box_and_black_and_white(name: str) -> None:
    """CLP, table 1.3: 10 mm at least."""
    records = recorded(name)
    xs, ys = zip(*points(records), strict=True)
    half = max(one.stroke.width_mm for one in records if one.stroke) / 2
    assert max(ys) - min(ys) >= 10
    assert min(*xs, *ys) - half >= 0 and max(*xs, *ys) + half <= BOX
    assert {one.grey for one in records if one.kind == "fill"} <= {0.0, TINT, 1.0} and not [one for one in records if one.kind == "text"]


def test_every_hazard_has_a_pictogram_that_is_like_no_other() -> None:
    assert set(PICTOGRAMS) == set(hazards.KNOWN)
    marks = {name: {(round(x, 1), round(y, 1)) for x, y in points(recorded(name))} for name in PICTOGRAMS}
    for one, other in combinations(marks, 2):
        assert len(marks[one] & marks[other]) < 0.5 * min(len(marks[one]), len(marks[other])), (one, other)


@pytest.mark.parametrize("width", [58.0, 89.0, 186.0])
def test_the_signs_of_a_box_stand_inside_it_and_clear_of_its_words(width: float) -> None:
    for name in PICTOGRAMS:
        block = boxed("warning", name, width)
        records, high = drawn(block, width)
        xs, ys = zip(*points(records), strict=True)
        assert min(xs) > 1 and min(ys) > 1 and max(ys) < high - 1
        assert max(ys) - min(ys) >= 10 and max(xs) < block._left * 25.4 / 72 + 8


def test_a_pictogram_that_there_is_not_is_told_with_those_that_there_are() -> None:
    with pytest.raises(BookletError, match=r"pictogram 'sword'.*knife"):
        boxed("warning", "sword")


def test_what_a_reader_is_told_is_in_groups_of_one_signal_word() -> None:
    told: Told = Safety(made("hot-melt", ALL), words()).maker
    assert [{note.word for note in group} for group in told.groups] == [{"WARNING"}, {"CAUTION"}]

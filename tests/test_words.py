"""The words files and layouts: complete for all that the program makes, and told plainly where they are not."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import MappingProxyType

import pytest

from booklet import hazards
from booklet.card import Card
from booklet.data import layouts_folder
from booklet.drawing import scenes
from booklet.errors import BookletError
from booklet.lengths import Length
from booklet.net import Step
from booklet.pages.facts import facts_of
from booklet.pages.sentences import selftest_of, sentence, steps_of
from booklet.pages.settings import settings
from booklet.pages.words import Words, folders, languages, layouts, merged, words
from booklet.plan import Plan
from booklet.planning import plan_of
from booklet.spec import Fit, Item, Page, Spec
from booklet.spec.model import Booklet, Glue
from booklet.spec.tables import GLUES
from booklet.styles import shelf
from tests import samples
from tests.told import texts_of

HOME = layouts_folder() / "home"


def spec(style: str, caliper: float = 0.3, glue: str = "pva", **box: object) -> Spec:
    options = {o.name: o.resolved("mm") for o in shelf()[style].OPTIONS} | box
    size = [Length(mm) for mm in (80.0, 60.0, 70.0)]
    return Spec(
        title="Kiln Lane",
        style=style,
        item=Item("block", *size),
        fit=Fit(6.0, 8.0),
        card=Card(caliper, (297.0, 420.0), gsm=round(caliper * 750)),
        page=Page((210.0, 297.0), "A4", 6.35, 10.0),
        glue=Glue(glue),  # type: ignore[arg-type]
        booklet=Booklet(),
        box=MappingProxyType(options),
    )


@cache
def plan(style: str, caliper: float = 0.3) -> Plan:
    return plan_of(spec(style, caliper))


CASES = [("lidded-box", 0.3), ("lidded-box", 0.8), ("tray", 0.3), ("tray", 1.5), ("tuck-carton", 0.4)]


@pytest.mark.parametrize(("style", "caliper"), CASES)
def test_every_step_has_a_sentence_that_is_filled_in_and_begins_with_a_capital(style: str, caliper: float) -> None:
    made, said = plan(style, caliper), words()
    for step in made.net.steps:
        text = sentence(made, said, step)
        assert text[0].isupper() and text.endswith(".") and "{" not in text and "  " not in text, text


@pytest.mark.parametrize(("style", "caliper"), CASES)
def test_every_panel_and_check_has_words(style: str, caliper: float) -> None:
    made, said = plan(style, caliper), words()
    for part in made.net.parts:
        for panel in part.panels:
            assert said.panel(panel.name, panel.role)
    for check in made.checks:
        assert said.get("checks", check.name), f"no title for the check {check.name}"
        assert said("check_groups", check.name.partition(".")[0].partition("-")[0])


def test_every_check_that_the_code_names_has_a_title() -> None:
    code = "".join(path.read_text() for path in (layouts_folder().parent / "booklet").rglob("*.py"))
    named = set(re.findall(r'(?:at_most|at_least|warning|Check)\(\s*"([a-z]+[.-][a-z.-]+)"', code))
    assert len(named) > 20
    assert not [name for name in sorted(named) if not words().get("checks", name)]


def test_every_style_and_option_has_its_line() -> None:
    said = words()
    for name, style in shelf().items():
        assert said.style(name).name and said.style(name).use
        for option in style.OPTIONS:
            assert said.option(name, option.name).endswith(".")


@pytest.mark.parametrize("kind", GLUES)
def test_every_glue_has_its_words(kind: str) -> None:
    made = replace(plan("tray"), spec=spec("tray", glue=kind))
    facts = facts_of(made, words())
    assert facts.glue.name and facts.glue.press_time and facts.glue.dry_time


def test_a_warning_stands_only_before_the_first_step_that_it_concerns() -> None:
    made = plan("lidded-box")
    made = replace(made, spec=spec("lidded-box", glue="hot-melt"))
    warned = [step for step in facts_of(made, words()).steps if step.warning]
    assert [step.warning.sign for step in warned if step.warning] == ["knife", "hot-melt"]
    first_bond = next(step.number for step in made.net.steps if step.bonds)
    assert warned[-1].number == first_bond


@pytest.mark.parametrize(
    ("named", "said"),
    [
        ([("wall-1", "wall")], "wall 1"),
        ([("wall-3", "wall"), ("wall-1", "wall")], "walls 1 and 3"),
        ([("skirt-1", "skirt"), ("skirt-2", "skirt"), ("skirt-3", "skirt")], "skirts 1 to 3"),
        ([("closing-top", "closing")], "top closing panel"),
        ([("base", "base"), ("hem-2", "hem")], "base and hem 2"),
    ],
)
def test_panels_are_said_as_a_maker_says_them(named: list[tuple[str, str]], said: str) -> None:
    assert words().panels(named) == said


def test_a_word_in_braces_that_is_not_known_is_refused_with_what_is() -> None:
    with pytest.raises(BookletError, match=r"words.en.toml: steps.x asks for \{colour\}; .* glue, press"):
        words().filled("Use {colour}", "steps.x", glue="glue", press="")


def test_a_word_in_braces_with_a_capital_opens_a_sentence() -> None:
    assert words().filled("{Glue} it, then {glue} more", "x", glue="tape") == "Tape it, then tape more"


def test_glued_spots_are_numbered_as_on_the_glue_map() -> None:
    made = plan("lidded-box")
    tables = facts_of(made, words()).glued
    assert [[spot.number for spot in table.spots] for table in tables] == [
        sorted({spot.number for spot in found.spots}) for found in scenes.glue_maps(made)
    ]
    assert all(table.spots[0].step for table in tables)


def test_missing_words_are_told_with_their_key() -> None:
    with pytest.raises(BookletError, match=r"words.en.toml: has no words for steps.sing"):
        words()("steps", "sing")


def test_a_makers_folder_changes_a_word_and_keeps_all_others(tmp_path: Path) -> None:
    (tmp_path / "words.en.toml").write_text('[roles.wall]\nnumbered = "side {n}"\n')
    own = words("en", "home", tmp_path)
    assert own.panel("wall-2", "wall") == "side 2" and own.panel("hem-2", "hem") == "hem 2"


def test_a_makers_settings_are_completed_from_home(tmp_path: Path) -> None:
    (tmp_path / "layout.toml").write_text("[steps]\ncolumns = 1\n")
    own = settings("home", tmp_path)
    assert own.steps == (1, settings().steps[1]) and own.sections == settings().sections


WRONG = ["[steps]\ncolumns = -1\n", '[frame]\nwidth = "wide"\n', "[type]\ntext = [0, 14]\n", "[type]\nbody = 10\n"]


@pytest.mark.parametrize("text", WRONG)
def test_settings_that_make_no_sense_are_refused(tmp_path: Path, text: str) -> None:
    (tmp_path / "layout.toml").write_text(text)
    with pytest.raises(BookletError, match=r"layout.toml: .* compare it with"):
        settings("home", tmp_path)


def test_a_broken_words_file_is_told_with_its_line(tmp_path: Path) -> None:
    (tmp_path / "words.en.toml").write_text("[roles]\n\nwall = \n")
    with pytest.raises(BookletError) as caught:
        merged("words.en.toml", folders("home", tmp_path))
    assert caught.value.faults[0].line == 3 and caught.value.faults[0].where == "words.en.toml"


def test_a_words_file_that_is_no_utf8_is_told(tmp_path: Path) -> None:
    (tmp_path / "words.en.toml").write_bytes(b"\xff\xfe")
    with pytest.raises(BookletError, match="UTF-8"):
        merged("words.en.toml", folders("home", tmp_path))


def test_home_and_english_are_shipped() -> None:
    assert layouts()[0] == "home" and languages()[0] == "en"


def test_shipped_texts_are_plain() -> None:
    for path in (*HOME.glob("*.md"), *HOME.glob("words.*.toml")):
        text = re.sub(r"\{#.*?#\}|\{%.*?%\}|^spaced = .*?$", "", path.read_text(), flags=re.DOTALL | re.MULTILINE)
        assert not re.search(r"!(?!\[)|\u2014|\bsimply\b|\bjust\b", text, re.IGNORECASE), path.name


def test_numbers_are_said_by_their_ends_when_they_run() -> None:
    said = Words({"lists": {"comma": ", ", "and": " and ", "to": " to "}})
    assert [said.numbers(n) for n in ([4], [1, 2], [1, 2, 3], [1, 3, 4])] == ["4", "1 and 2", "1 to 3", "1, 3 and 4"]


# Words that fit the box ---------------------------------------------------------------------------------------------


def test_one_flap_is_it_and_several_are_them() -> None:
    made = plan_of(replace(spec("lidded-box"), card=Card(0.3, (210.0, 297.0), gsm=225)))
    joins = [sentence(made, words(), step) for step in made.net.steps if step.kind == "join"]
    assert joins
    for text in joins:
        assert (" it there" in text) == ("glue flap " in text) and (" them there" in text) == ("glue flaps " in text)


def test_one_panel_of_its_kind_has_its_article_in_a_sentence_only() -> None:
    one = [("lid", "lid")]
    assert words().panels(one) == "lid panel" and words().panels(one, told=True) == "the lid panel"


def test_a_list_of_groups_is_told_so_that_it_can_be_read() -> None:
    groups = [("skirt-1", "skirt"), ("skirt-3", "skirt"), ("hem-2", "hem")]
    assert words().panels(groups) == "skirts 1 and 3, and hem 2"
    ends = [("closing-top", "closing"), ("closing-bottom", "closing"), ("tuck-top", "tuck")]
    assert words().panels(ends) == "top closing panel, bottom closing panel and top tuck flap"


def test_sizes_made_smaller_are_told_in_words_and_in_the_units_of_the_booklet() -> None:
    small = [Length(mm) for mm in (180.0, 9.5, 220.0)]
    made = replace(spec("lidded-box", hem=0.0), item=Item("block", *small), card=Card(0.3, (304.8, 304.8), gsm=225))
    for units, mark in (("mm", " mm instead of "), ("in", " in instead of ")):
        booklet = replace(made.booklet, units=units)  # type: ignore[arg-type]
        plan = plan_of(replace(made, booklet=booklet))
        told = [check.text for check in facts_of(plan, words()).warnings]
        assert mark in next(check.text for check in plan.checks if check.name == "warn.shortened")
        text = next(text for text in told if "made smaller" in text)
        assert mark in text and "_" not in text, text


def test_every_size_that_a_style_can_make_smaller_has_a_name() -> None:
    code = "".join(path.read_text() for path in (layouts_folder().parent / "booklet" / "styles").glob("*.py"))
    named = set(re.findall(r'(?:shorten|taper)\(\s*"([a-z_]+)"', code))
    assert len(named) > 5
    assert not [name for name in sorted(named) if not words().get("sizes", name)]


def _said(made: Plan, *files: str) -> str:
    texts = texts_of(made)
    return "\n".join(texts.markdown(file) for file in files)


def test_a_half_cut_is_made_on_the_outer_face_whichever_is_marked() -> None:
    outside = plan("lidded-box", 0.8)
    inside = plan_of(replace(spec("lidded-box", 0.8), marks="inside"))
    assert outside.net.marks == "outside" and inside.net.marks == "inside"
    assert "Half-cut on the marked face" in _said(outside, "cuts") and "other face" not in _said(outside, "cuts", "transfer")
    assert "Half-cut on the other face" in _said(inside, "cuts") and "half-cut folds on the other face" in _said(inside, "transfer")
    assert "No line is seen outside" not in _said(inside, "transfer")


def test_tape_is_not_told_as_glue() -> None:
    made = replace(plan("tray"), spec=spec("tray", glue="tape"))
    said = _said(made, "before-glue", "fit-check", "safety").lower()
    assert not re.findall(r"\bglue\b|\bdry,|mildest", said)


def test_what_the_box_has_not_is_not_told() -> None:
    tray = _said(plan("tray"), "before-glue", "fit-check", "transfer")
    assert "hem" not in re.findall(r"[a-z]+", tray) and "lid" not in re.findall(r"[a-z]+", tray)
    unknown = plan("tray")
    assert unknown.spec.card.grain == "unknown" and "grain arrow" not in _said(unknown, "transfer")


def test_contact_glue_is_not_given_to_children() -> None:
    made = replace(plan("tray"), spec=spec("tray", glue="contact"))
    said = _said(made, "safety")
    assert not re.search(r"Children can [^.]*glue", said) and "The gluing is an adult's" in said and "Children can score and fold." in said


def test_the_cover_tells_the_glue_of_one_box_and_the_materials_that_of_all() -> None:
    many = replace(spec("tray"), booklet=replace(spec("tray").booklet, copies=24))
    glue = facts_of(plan_of(many), words()).glue
    assert glue.area == facts_of(plan("tray"), words()).glue.area != glue.area_all
    assert f"for {glue.area_all}" in _said(plan_of(many), "tools")


def test_a_trial_box_is_told_once() -> None:
    """As a step where several boxes are made, else as advice."""
    for copies in (1, 24):
        made = plan_of(replace(spec("tray"), booklet=replace(spec("tray").booklet, copies=copies)))
        steps = " ".join(step.text for step in facts_of(made, words()).steps)
        assert ("from scrap" in steps) == (copies > 1) == ("trial box" not in _said(made, "before-glue"))


def test_what_is_a_step_is_not_told_again_before_the_glue() -> None:
    for style, caliper in CASES:
        before = _said(plan(style, caliper), "before-glue").lower()
        assert not re.search(r"crease|square|dry fit|without glue|past 90", before.partition("## folds")[2]), before


# The samples ------------------------------------------------------------------------------------------------------------

SAMPLES = sorted(path.stem for path in samples.FOLDER.glob("*.toml"))
VERBS = {
    "Make", "Cut", "Pre-crease", "Pre-fold", "Turn", "Stand", "Push", "Lay", "Fold", "Square", "Raise", "Close", "Put", "Try", "Lower",
    "Bend", "Roll", "Open", "Hold",
}  # fmt: skip
KEYS = ("numbered", "many")
NUMBERED = re.compile(r" (\d+[a-z]?)(?: to (\d+))?((?:, \d+[a-z]?)*(?: and \d+[a-z]?)?)")


def _glues(step: Step) -> bool:
    """Bonds of faces, or edges of boards and of what goes over them."""
    return bool(step.bonds) or step.words in ("close-board", "close-board-over", "wrap")


@cache
def of_sample(name: str, copies: int = 1) -> Plan:
    return samples.plan(name, copies)


def panels_in(text: str) -> set[str]:
    """All names of panels in a sentence, with a number or without one, as a template prints each."""
    said, found = words(), set()
    forms = [
        (said("roles", role, "numbered"), said("roles", role, key).removesuffix(" {n}")) for role in said.data["roles"] for key in KEYS
    ]
    for numbered, form in sorted(forms, key=lambda pair: -len(pair[1])):
        for match in re.finditer(rf"\b{form}{NUMBERED.pattern}", text):
            first, last, more = match.groups()
            numbers = range(int(first), int(last) + 1) if last else [first, *re.findall(r"\d+[a-z]?", more)]
            found |= {numbered.replace("{n}", str(n)) for n in numbers}
        text = re.sub(rf"\b{form}{NUMBERED.pattern}", "", text)
    for one in sorted((said("roles", role, "one") for role in said.data["roles"]), key=lambda one: -len(one)):
        named = rf"\b(?:(?:top|bottom) )?{one}\b(?: [a-z]\b)?"
        found |= {match[0] for match in re.finditer(named, text)}
        text = re.sub(named, "", text)
    return found


def test_names_of_panels_are_found_in_a_sentence() -> None:
    text = "Fold walls 1 to 3 and hem 2 on to the base, base flaps 1 and 4, base panel 2, wall 2a and the top tuck flap; then a wall."
    assert panels_in(text) == {
        "wall 1", "wall 2", "wall 3", "hem 2", "base", "base flap 1", "base flap 4", "base panel 2", "wall 2a", "top tuck flap",
        "wall",
    }  # fmt: skip


@pytest.mark.parametrize(("name", "copies"), [*((name, 1) for name in SAMPLES[1::2]), ("mug", 24), ("tiles", 24), ("plates", 24)])
def test_every_step_of_a_sample_is_a_whole_sentence_whatever_the_glue(name: str, copies: int) -> None:
    for kind in GLUES:
        made = replace(of_sample(name, copies), spec=replace(of_sample(name, copies).spec, glue=Glue(kind)))  # type: ignore[arg-type]
        for step in made.net.steps:
            text = sentence(made, words(), step)
            assert text.split()[0] in VERBS and text.endswith(".") and not re.search(r"[{}]|  | [.,]", text), text
            assert not re.search(r"\b(\w+) \1\b", text, re.IGNORECASE), text
            assert re.findall(r"(\d+) s\b", text) == ([words()("glue", kind, "seconds")] if _glues(step) else []), text


@pytest.mark.parametrize("name", SAMPLES)
def test_every_panel_that_a_sample_names_is_one_of_its_part(name: str) -> None:
    made, said = of_sample(name), words()
    printed = {part.name: {said.panel(panel.name, panel.role) for panel in part.panels} for part in made.net.parts}
    roles = {panel.role for part in made.net.parts for panel in part.panels}
    # the name of a panel that no part of the box has is a plain word, as in "fold them back"
    plain = {said("roles", role, "one") for role in said.data["roles"] if role not in roles}
    count = 0
    for step in made.net.steps:
        named = panels_in(sentence(made, said, step)) - plain
        assert named <= printed[step.part], (named - printed[step.part], sentence(made, said, step))
        count += len(named)
    assert count > 4
    for text in selftest_of(made, said):
        assert panels_in(text) - plain <= set().union(*printed.values()), text


@pytest.mark.parametrize("name", SAMPLES)
def test_the_angle_of_a_fold_of_a_sample_is_told_whole(name: str) -> None:
    """Every angle that a fold comes to is told, and no other."""
    for step in of_sample(name).net.steps:
        if step.words in ("fold", "fold-glue", "on-to-flaps", "raise"):
            text = sentence(of_sample(name), words(), step)
            moved = {round(180 - abs(angle), 1) for _, angle in step.folds}
            told = {float(n) for n in re.findall(r"([\d.]+) degrees", text)}
            assert told <= moved and (told or text.startswith("Close")), text


@pytest.mark.parametrize("name", SAMPLES)
@pytest.mark.parametrize("kind", GLUES)
def test_warnings_of_a_sample_stand_before_the_first_cut_and_the_first_bond_of_hot_or_contact_glue(name: str, kind: str) -> None:
    made = replace(of_sample(name), spec=replace(of_sample(name).spec, glue=Glue(kind)))  # type: ignore[arg-type]
    cut = [step.number for step in made.net.steps if step.kind == "score"][:1]
    glued = [step.number for step in made.net.steps if _glues(step)][: kind in ("hot-melt", "contact")]
    before = cut if hazards.cuts(made, hazards.reader_of(made)) else []
    assert [step.number for step in steps_of(made, words()) if step.warning] == [*before, *glued]

"""Every layout in every language that there is: no word is missing, none is in the wrong place, and every text stays in its frame.

Languages and layouts are found by their files; whoever adds one need not touch this file.
"""

from __future__ import annotations

import io
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

import pytest
from pypdf import PdfReader

from booklet.data import layouts_folder
from booklet.errors import BookletError
from booklet.pages import book, printshop, subject
from booklet.pages.alternatives import Alternatives
from booklet.pages.facts import facts_of
from booklet.pages.figures import Figures
from booklet.pages.lesson import Lesson
from booklet.pages.markdown import shaped
from booklet.pages.sentences import labels, sentence
from booklet.pages.words import Words, languages, layouts, words
from booklet.pdf.blocks import points
from booklet.pdf.typeset import Typesetter
from booklet.plan import Plan
from booklet.planning import plan_of
from booklet.spec import load
from tests import frames, samples, told

ROOT = layouts_folder().parent
FILES = sorted(path for name in layouts() for path in (layouts_folder() / name).glob("words.*.toml"))
"""The words files of all layouts; the sheets that print alone are no layout."""

OTHERS = [(path.parent / "words.en.toml", path) for path in FILES if path.name != "words.en.toml"]
"""Words files beside their English ones."""

TRAY = """
title = "Tray for the glaze spoons"
style = "tray"
[item]
shape = "block"
length = "121 mm"
width = "82.5 mm"
height = "21 mm"
weight = "180 g"
[card]
sheet = "A4"
caliper = "0.35 mm"
weight = "250 gsm"
[page]
paper = "A4"
[glue]
kind = "{glue}"
"""
LIDDED = """
title = "Box for a jar, for Kiln Lane's market day"
style = "lidded-box"
[item]
shape = "block"
length = "3 1/2 in"
width = "3 1/2 in"
height = "2 3/8 in"
[card]
sheet = "8.5x11 in"
caliper = "0.012 in"
grain = "first"
[page]
paper = "Letter"
[glue]
kind = "{glue}"
"""
ALL = """
[safety]
age = 8
hazards = ["small-parts"]
[seller]
name = "Kiln Lane pottery"
address = "3 Kiln Lane, Marlbury, MB1 2KL"
electronic = "hello@kiln-lane.example"
outside_eu = true
responsible_name = "Claybank agents"
responsible_address = "7 Slip Street, 54321 Marl"
responsible_electronic = "office@claybank.example"
number = "KL-018"
batch = "2031-B"
link = "https://kiln-lane.example/tray"
[booklet]
units = "{units}"
copies = {copies}
"""
SPECS = {
    "tray": TRAY.format(glue="contact") + ALL.format(units="mm", copies=24),
    "lidded box in inches": LIDDED.format(glue="tape") + ALL.format(units="in", copies=1),
}


@cache
def plan(name: str, folder: Path) -> Plan:
    path = folder / "spec.toml"
    path.write_text(SPECS[name])
    return plan_of(load(path, samples.OPTIONS))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("languages")


def told_in(made: Plan, layout: str, language: str, own: Path | None = None) -> Plan:
    return replace(
        made, spec=replace(made.spec, booklet=replace(made.spec.booklet, layout=layout, language=language, folder=own, base=layout))
    )


# In their frames -----------------------------------------------------------------------------------------------------


EVERY = [(layout, language) for layout in layouts() for language in languages(layout)]
BOTH = [
    (layout, language, name)
    for layout, language in EVERY
    for name in SPECS
    if name == "tray" or "home" in (layout, language) or language == "en"
]
"""The tray in every layout and language, the box in inches in English and at home."""


@pytest.mark.parametrize(("layout", "language", "name"), BOTH)
def test_every_text_stays_in_its_frame(layout: str, language: str, name: str, folder: Path) -> None:
    assert not frames.faults_of(told_in(plan(name, folder), layout, language))


SAMPLES = sorted(path for path in (ROOT / "samples").glob("*/*.toml") if path.parent.name in languages())


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_samples_in_further_languages_stay_in_their_frames(path: Path) -> None:
    spec = load(path, samples.OPTIONS, layouts(), languages())
    assert (spec.booklet.language, spec.booklet.layout) == (path.parent.name, path.stem)
    assert not frames.faults_of(plan_of(spec))


def test_there_is_a_sample_of_each_layout_in_each_further_language() -> None:
    assert {(path.parent.name, path.stem) for path in SAMPLES} == {
        (language, layout) for language in languages() for layout in layouts()
    } - {("en", layout) for layout in layouts()}


@pytest.mark.parametrize(("layout", "language"), [(layout, language) for layout in layouts() for language in languages(layout)[1:]])
def test_each_layout_has_a_sample_in_each_language_that_is_no_english(layout: str, language: str) -> None:
    """Beside the English ones at the top of the folder, which all are made elsewhere."""
    made = plan_of(load(ROOT / "samples" / language / f"{layout}.toml", samples.OPTIONS, layouts(), languages()))
    assert (made.spec.booklet.layout, made.spec.booklet.language) == (layout, language)
    assert not [check.name for check in made.checks if check.level == "fault" and not check.ok]


LONG = "Kartonstegwinkelpressholzunterlagenschablonenaufbewahrungsvorrichtungsdeckelfaltkantenrillwerkzeughalterung"


def test_a_word_that_is_too_long_for_its_place_is_found(folder: Path, tmp_path: Path) -> None:
    """The test above can fail, in a paragraph, a table, a drawing, and at the foot of a page."""
    lines = [f'[text.tools]\nknife = "{LONG}"', f'[text.fit-check]\nmeasure = "{LONG}"', f'[labels]\nsheet = "{LONG}{LONG}"']
    (tmp_path / "words.en.toml").write_text("\n".join([*lines, f'page_of = "{LONG}{LONG}"']))
    found = frames.faults_of(told_in(plan("tray", folder), "home", "en", tmp_path))
    assert {fault.partition(":")[0].partition(" ")[0] for fault in found} == {"paragraph", "table", "drawing", "page"}


# Words that are missing ------------------------------------------------------------------------------------------------


def without(*path: str) -> Words:
    """The English words less one."""

    def less(table: Mapping[str, Any], path: tuple[str, ...]) -> dict[str, Any]:
        first, *rest = path
        return {key: less(value, tuple(rest)) if key == first else value for key, value in table.items() if rest or key != first}

    return Words(MappingProxyType(less(words().data, path)), "words.en.toml")


@pytest.mark.parametrize(
    "path",
    [
        ("text", "tools", "knife"), ("roles", "wall", "one"), ("steps", "score"), ("labels", "actual_size"), ("checks", "flat.simple"),
        ("check_units", "mm"), ("glue", "contact", "name"), ("language", "decimal"), ("faces", "inside"), ("lists", "and"),
    ],
)  # fmt: skip
def test_a_missing_word_is_told_with_its_file_and_key(
    path: tuple[str, ...], folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made, said = plan("tray", folder), without(*path)
    monkeypatch.setattr(subject, "words", lambda *which: said)
    with pytest.raises(BookletError, match=rf"words\.en\.toml:? has no words for {re.escape('.'.join(path))}; add them"):
        book.written(made, lambda pages: {})


def test_a_missing_word_of_one_or_many_is_told_too() -> None:
    said = without("text", "cover", "sheets", "many")
    assert said.said("cover.sheets", n=1, sheet="A4", caliper="0.30 mm") == "1 sheet of A4, 0.30 mm"
    with pytest.raises(BookletError, match=r"words\.en\.toml: has no words for text\.cover\.sheets\.many"):
        said.said("cover.sheets", n=2, sheet="A4", caliper="0.30 mm")


# Words files beside each other -----------------------------------------------------------------------------------------


def sentences(path: Path) -> dict[str, tuple[str, ...]]:
    """All sentences of a words file by their keys; those for one and for many under one key."""
    return dict(_sentences(tomllib.loads(path.read_text()), ""))


def _sentences(value: Any, key: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    if isinstance(value, dict) and not (key.startswith("text.") and value.keys() <= {"one", "many"}):
        for name, inner in value.items():
            yield from _sentences(inner, f"{key}.{name}" if key else name)
    elif isinstance(value, dict | list):
        yield key, tuple(map(str, value.values() if isinstance(value, dict) else value))
    else:
        yield key, (str(value),)


OWN = re.compile(r"language\..*|roles\.[\w-]+\.(it|them|told|told_end)|steps\.half-cut\..*")
"""What a language may have more than English, or less."""

GRAMMAR = {"n", "count", "way", "glue", "glue_noun", "flaps_lie"}
"""Words in braces that a language may do without, beside all pronouns."""


def braces(said: tuple[str, ...]) -> set[str]:
    found = {name.lower() for text in said for name in re.findall(r"\{(\w+)", text)}
    return {name for name in found - GRAMMAR if not re.search(r"_(they|them)", name)}


@pytest.mark.parametrize(("english", "other"), OTHERS)
def test_every_language_has_the_words_of_english_and_no_others(english: Path, other: Path) -> None:
    here, there = sentences(english), sentences(other)
    assert not [key for key in here.keys() ^ there.keys() if not OWN.fullmatch(key)]


@pytest.mark.parametrize(("english", "other"), OTHERS)
def test_every_sentence_of_a_language_tells_what_the_english_one_tells(english: Path, other: Path) -> None:
    here, there = sentences(english), sentences(other)
    assert not [key for key in here.keys() & there.keys() if braces(here[key]) != braces(there[key])]


@pytest.mark.parametrize("path", FILES)
def test_figures_in_a_words_file_have_the_decimal_mark_of_their_language(path: Path) -> None:
    decimal = words(path.name.split(".")[1]).decimal
    wrong = re.compile(r"\d\.\d" if decimal == "," else r"\d,\d")
    assert not [key for key, said in sentences(path).items() if any(wrong.search(re.sub("`[^`]*`", "", text)) for text in said)]


def test_what_is_compared_here_is_seen() -> None:
    """The three tests above can fail: braces and cases are told apart, and one and many are one sentence."""
    assert braces(("Press {moved:dative} on {Onto}, {n} times",)) == {"moved", "onto"} != braces(("Press {moved}",))
    assert dict(_sentences({"text": {"a": {"b": {"one": "x", "many": "y"}}}}, "")) == {"text.a.b": ("x", "y")}


MADE = re.compile(r"\{#.*?#\}|\{%.*?%\}|\{\{.*?\}\}|`[^`\n]*`|^:::[^\n]*$", re.DOTALL | re.MULTILINE)
"""What is no word in a template: comments, logic, what is filled in, lines of a spec, and the names of blocks."""


@pytest.mark.parametrize("layout", layouts())
def test_templates_hold_no_words(layout: str) -> None:
    """So that one template serves all languages."""
    assert MADE.sub("", "::: lead\n{{ x }} words\n:::") == "\n words\n"
    left = {path.name: MADE.sub("", path.read_text()) for path in (layouts_folder() / layout).glob("*.md")}
    assert not {name: found for name, text in left.items() if (found := re.findall(r"[^\W\d_]{2,}", text))}


# Words that nothing asks for -------------------------------------------------------------------------------------------

ASKED = re.compile(r"say\(((?:[^(),]|\([^()]*\))*)")
QUOTED = re.compile(r'f?"([a-z][\w-]*\.[\w.-]*)')


def asked() -> tuple[set[str], set[str]]:
    """Keys of texts that templates and code ask for, whole ones and beginnings of them."""
    whole, begun = set(), set()
    for path in layouts_folder().glob("*/*.md"):
        for argument in ASKED.findall(path.read_text()):
            found = re.findall(r'"([\w-]+\.[\w.-]*)"', argument)
            (begun if "~" in argument else whole).update(found)
    for path in (ROOT / "booklet").rglob("*.py"):
        for found in QUOTED.finditer(text := path.read_text()):
            (begun if text[found.end() : found.end() + 1] == "{" else whole).add(found[1])
    return whole, begun


@pytest.mark.parametrize("path", [path for path in FILES if path.name == "words.en.toml"])
def test_every_sentence_of_a_page_is_asked_for(path: Path) -> None:
    whole, begun = asked()
    keys = [key.removeprefix("text.") for key in sentences(path) if key.startswith("text.")]
    assert not [key for key in keys if key not in whole and not any(key.startswith(one) for one in begun)]


ENDINGS = ("-carried", "-half-cut", "-crease")
"""Of keys of steps, which are put behind the kind of a step."""


def _name(key: str) -> str:
    """What the code names a word by: the part of its key that is not the same in all tables."""
    table, *names = key.split(".")
    if table in ("roles", "styles", "glue", "hazards"):
        return names[0]
    if table in ("checks", "told"):
        return ".".join(names).removeprefix("pre-cut.")
    return next((names[-1].removesuffix(ending) for ending in ENDINGS if table == "steps" and names[-1].endswith(ending)), names[-1])


def test_every_other_word_of_home_is_named_by_the_code() -> None:
    """In code or templates, as a word of its own or behind a beginning that the code has."""
    paths = [*(ROOT / "booklet").rglob("*.py"), *layouts_folder().glob("*/*.md")]
    code = "\n".join(path.read_text() for path in paths)
    tokens = set(re.findall(r"[\w.-]+", code)) | {word for token in re.findall(r"[\w-]+", code) for word in token.split("_")}
    begun = tuple(set(re.findall(r'f"([a-z_.-]+[._-])\{', code)))
    ends = "-flap", "-gusset"  # roles that styles name by where they are
    keys = [key for key in sentences(layouts_folder() / "home" / "words.en.toml") if not key.startswith(("text.", "language."))]
    unused = [
        key
        for key in keys
        if (name := _name(key)) not in tokens and not (name.startswith(begun) or name.endswith(ends)) and f'"{name}"' not in code
    ]
    assert not unused, "\n".join(unused)


# Decimals and spaces -----------------------------------------------------------------------------------------------------


def test_a_language_with_a_comma_tells_all_figures_with_it(folder: Path, tmp_path: Path) -> None:
    """But what stands in the spec, between backticks, has a point."""
    (tmp_path / "words.en.toml").write_text('[language]\ndecimal = ","\n')
    own = told_in(plan("tray", folder), "home", "en", tmp_path)
    said = words("en", "home", tmp_path)
    texts = told.texts_of(own, own=tmp_path)
    pages = "\n".join(texts.markdown(path.stem) for path in (layouts_folder() / "home").glob("*.md"))
    found = re.sub(r"`[^`]*`", "", pages)
    own_figures = {
        figure for text in sentences(layouts_folder() / "home" / "words.en.toml").values() for figure in re.findall(r"\d\.\d+", str(text))
    }
    assert "0,35 mm" in found and not set(re.findall(r"\d+\.\d+", found)) - own_figures
    assert Figures("mm", ",").length(82.5) == "82,5 mm" and labels(own, said)["decimal"] == ","


@pytest.mark.parametrize("language", languages())
def test_a_unit_of_a_check_is_told_as_one_behind_one(language: str) -> None:
    """And in French behind nought too (Grevisse, Le bon usage; from memory)."""
    said, none = words(language), {"fr": "feuille"}
    sheets = {"en": ("sheets", "sheet"), "de": ("Bogen", "Bogen"), "fr": ("feuilles", "feuille"), "es": ("hojas", "hoja")}[language]
    assert (said.unit("sheets", 2.0), said.unit("sheets", 1.0)) == sheets
    assert said.unit("sheets", 0.0) == none.get(language, sheets[0]) and said.unit("mm", 1.0) == "mm"


def test_a_figure_with_a_comma_stays_on_one_line_with_its_unit() -> None:
    assert shaped("card of 0,30 mm") == "card of 0,30\u00a0mm" and shaped("about 0,5 mm") == "about 0,5\u00a0mm"
    assert shaped("7 % and 1,2 m") == "7\u00a0% and 1,2\u00a0m"


def test_signs_that_a_language_sets_apart_have_a_space_that_does_not_break(tmp_path: Path) -> None:
    """French: a narrow one before ; ! and ?, a plain one before a colon; never within a key in braces or an address."""
    said = ('knife = "Une lame: {longest:first}; neuve ? https://a.example"', 'card = "**{n}:** x"')
    (tmp_path / "words.en.toml").write_text("\n".join(['[language]\nspaced = ":;!?"\n[text.tools]', *said]))
    data = words("en", "home", tmp_path).data["text"]["tools"]
    assert data["knife"] == "Une lame\u00a0: {longest:first}\u202f; neuve\u202f? https://a.example"
    assert data["card"] == "**{n}\u00a0:** x"


def test_what_the_program_puts_together_has_those_spaces_too() -> None:
    assert words("fr").spaced("AVERTISSEMENT: petits") == "AVERTISSEMENT\u00a0: petits"
    assert words().spaced("WARNING: small") == "WARNING: small"


def test_pieces_are_called_by_their_names_in_the_language(folder: Path) -> None:
    """In the bag of a pupil, on the page for a print shop, and to those who hear the booklet."""
    made, said = told_in(plan("tray", folder), "class", "fr"), words("fr", "class")
    assert any("bo\u00eete" in line for line in Lesson(made, said).bag)
    page = PdfReader(io.BytesIO(printshop.made(made, words("fr", "kit"))[0])).pages[0].extract_text()
    assert re.search(r"^bo\u00eete$", page, re.MULTILINE) and not re.search(r"\bbox\b", page)
    told = Alternatives(made, said, ())
    assert all("bo\u00eete" in text for kind in ("sheets", "maps") for text in told.of(kind))


def test_long_words_in_a_narrow_warning_stand_under_its_sign() -> None:
    """And nowhere else: beside it they would be wider than the box."""
    box = Typesetter().boxed("warning", "AVERTISSEMENT", "Mild.", "knife")
    wide, just, narrow = (box.wrap(points(width), 1e6)[1] for width in (80.0, 60.0, 50.0))
    assert just == wide and narrow - wide > points(10.0)


def test_a_makers_title_with_brackets_is_no_word_with_cases(folder: Path) -> None:
    made = plan("tray", folder)
    titled = replace(made, net=made.net, spec=replace(made.spec, title="Box [a|b]"))
    assert "Box \\[a\\|b\\]" in told.texts_of(titled).markdown("cover")


def test_words_with_cases_are_told_in_the_case_that_a_sentence_asks_for(tmp_path: Path, folder: Path) -> None:
    """The first case where nothing asks for one."""
    (tmp_path / "words.en.toml").write_text(
        '[language]\ncases = ["subject", "object"]\n[glue.contact]\nname = "[he|him]"\n'
        '[text.tools]\nglue_title = "{glue} and {glue:object}"\nglue_area = "{Glue} for {area}"\n'
    )
    said = told.texts_of(plan("tray", folder), own=tmp_path).markdown("tools")
    assert "## he and him" in said and "- He for " in said


def test_every_step_of_a_language_is_a_whole_sentence(folder: Path) -> None:
    for language in languages():
        for name in SPECS:
            made = plan(name, folder)
            for step in made.net.steps:
                text = sentence(made, words(language), step)
                assert text[0].isupper() and text[-1] in ".!" and not re.search(r"[{}|\[\]]|  ", text), text
            assert facts_of(made, words(language)).selftest

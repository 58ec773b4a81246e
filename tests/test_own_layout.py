"""A folder of the maker's own: what somebody who writes no Python can change, and how every fault of it is told."""

from __future__ import annotations

import re
import shutil
from io import BytesIO
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from pypdf import PdfReader

from booklet.cli import main
from booklet.data import layouts_folder
from booklet.errors import BookletError
from booklet.pages import sandbox
from booklet.pages.sandbox import MOST_TEXT
from booklet.pages.settings import settings
from booklet.pages.texts import Texts
from booklet.pages.words import words

HOME = layouts_folder() / "home"
README = (Path(__file__).parent.parent / "README.md").read_text()
SPEC = """
title = "Brush tray"
style = "tray"
[item]
length = "80 mm"
width = "60 mm"
height = "25 mm"
[card]
sheet = "A4"
caliper = "0.30 mm"
"""


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    path = tmp_path / "box.toml"
    path.write_text(SPEC)
    return path


def layout(tmp_path: Path, **files: str) -> Path:
    """A folder of these texts; `layout_toml` and the like have a point for the last stroke."""
    folder = tmp_path / "ours"
    folder.mkdir(exist_ok=True)
    for name, text in files.items():
        stem, _, kind = name.replace("__", ".").rpartition("_")
        (folder / f"{stem}.{kind}").write_text(text)
    return folder


def make(spec: Path, folder: object, command: str = "make") -> Result:
    output = ["-o", str(spec.parent / "out.pdf")] if command == "make" else []
    return CliRunner().invoke(main, [command, str(spec), "--layout", str(folder), *output])


def texts(path: Path) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(path.read_bytes())).pages]


def told(result: Result) -> list[str]:
    assert result.exit_code == 2 and "Traceback" not in result.output, result.output
    return [line.removeprefix("booklet: ") for line in result.output.splitlines()]


# What a maker can change ------------------------------------------------------------------------------------------------


def test_who_writes_no_python_copies_the_shipped_folder_and_changes_it(tmp_path: Path, spec: Path) -> None:
    """A heading, a setting, a sentence and the order of the sections, each as a maker would: by changing text in an editor."""
    folder = tmp_path / "ours"
    shutil.copytree(HOME, folder)
    said = folder / "words.en.toml"
    for old, new in (
        ('title = "Tools, materials and safety"', 'title = "What to lay out"'),
        ("A cutting mat larger than", "A mat wider than"),
    ):
        assert said.read_text().count(old) >= 1
        said.write_text(said.read_text().replace(old, new))
    look = folder / "layout.toml"
    sections = look.read_text().index("[[sections]]")
    order = [
        '[[sections]]\nfile = "tools"\nstart = "page"\n',
        '[[sections]]\nfile = "templates"\n',
        '[[sections]]\nfile = "steps"\nstart = "page"\n',
    ]
    text = look.read_text()[:sections] + "\n".join(order)
    look.write_text(text.replace("columns = 2\nrows = 3", "columns = 1\nrows = 2"))
    assert make(spec, folder).exit_code == 0
    pages = texts(tmp_path / "out.pdf")
    assert "What to lay out" in pages[0] and "A mat wider than" in pages[0] and "Tools, materials and safety" not in " ".join(pages)
    assert settings("home", folder).steps == (1, 2) != settings().steps
    outline = PdfReader(tmp_path / "out.pdf").outline
    titles = [entry.title for entry in outline if not isinstance(entry, list)]
    assert titles[0] == "What to lay out" and titles[-1] == words()("text", "steps", "title") and len(titles) == 3


def shown_in_the_readme() -> dict[str, str]:
    """The files of the worked example, by the name that stands in the first line of each."""
    section = README.partition("## Your own layout")[2].partition("\n## ")[0]
    blocks = re.findall(r"```text\n(.*?)```", section, re.DOTALL)
    found = {}
    for block in blocks:
        if name := re.match(r"(?:#|\{#) my-layout/([\w.-]+)", block):
            found[name[1]] = block
    return found


def test_the_worked_example_in_the_readme_gives_what_it_says(tmp_path: Path, spec: Path) -> None:
    folder = tmp_path / "my-layout"
    folder.mkdir()
    files = shown_in_the_readme()
    assert set(files) == {"layout.toml", "words.en.toml", "glaze.md"}
    for name, text in files.items():
        (folder / name).write_text(text)
    result = make(spec, folder)
    assert result.exit_code == 0, result.output
    pages = texts(tmp_path / "out.pdf")
    assert "Before you glaze" in pages[1] and "Brush tray" in pages[1] and "How to build it" in " ".join(pages)
    assert all(sentence in " ".join(pages) for sentence in ("Let the pot cool for a day", "100 mm"))


def test_the_layout_of_the_command_line_goes_before_that_of_the_spec(tmp_path: Path, spec: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Seen from the current folder, whatever the spec says, be it right or wrong."""
    layout(tmp_path, cover_md="# Ours\n\n{{ title }}\n", layout_toml='sections = [{ file = "cover" }, { file = "templates" }]\n')
    spec.write_text(SPEC + '[booklet]\nlayout = "no-such-folder"\n')
    other = tmp_path / "other"
    other.mkdir()
    monkeypatch.chdir(other)
    assert make(spec, "../ours").exit_code == 0
    assert texts(tmp_path / "out.pdf")[0].startswith("Ours Brush tray")
    assert make(spec, "../ours", "check").exit_code == 0
    assert told(make(spec, "ours"))[0].startswith('--layout: "ours" is no folder and no layout that is shipped')


def test_a_shipped_layout_goes_before_that_of_the_spec_by_its_name(tmp_path: Path, spec: Path) -> None:
    spec.write_text(SPEC + '[booklet]\nlayout = "no-such-folder"\n')
    assert make(spec, "home", "check").exit_code == 0


# Faults are told with file and line -------------------------------------------------------------------------------------

# fmt: off
FAULTY = [
    ("cover_md", "# A\n\n{% if %}\n", "line 3, cover.md: the template cannot be filled in"),
    ("cover_md", "# A\n\n\n{{ nothing }}\n", "line 4, cover.md: .*'nothing' is undefined"),
    ("cover_md", "{# a\nlong\ncomment #}\n\n{{ say('no.such') }}\n", "line 5, cover.md: words.en.toml has no words for text.no.such"),
    ("cover_md", "{{ say('tools.ruler') }}\n", "line 1, cover.md: .*asks for {longest}"),
    ("cover_md", "{% if true %}\n# A\n{% endif %}\n\n::: columns\nwords\n",
     'line 5, cover.md: has a block "::: columns" that is not closed'),
    ("cover_md", "{% for n in range(3) %}\n- {{ n }}\n{% endfor %}\n\n:::\n", "line 5, cover.md: has a line of colons that closes nothing"),
    ("cover_md", "# A\n{# gone #}\n::: frame\nwords\n:::\n", 'line 3, cover.md: has a block "::: frame"; there are columns'),
    ("cover_md", "::: columns\n# A\n\n{{ drawing('dragon') }}\n:::\n", 'line 4, cover.md: there is no drawing "dragon"'),
    ("cover_md", "{% set n = 4 %}\n\n{{ drawing('cover', height='tall') }}\n",
     "line 3, cover.md: the height of the drawing cover is 'tall'"),
    ("cover_md", "# A\n\n{{ drawing('cover', height=900) }}\n",
     "line 3, cover.md: the drawing is 900 mm high and its place on the page 250 mm"),
    ("cover_md", "# A\n\n```python\nx\n```\n", "line 3, cover.md: has a fenced block 'python'"),
    ("layout_toml", "[steps]\n\ncolumns = 'two'\n", r'line 3, layout.toml: steps.columns: "two" is not a figure'),
    ("layout_toml", "[steps]\ncolums = 2\n", 'line 2, layout.toml: steps.colums: no such setting, did you mean "columns"'),
    ("layout_toml", "[type]\ntext = [10]\n", "line 2, layout.toml: type.text: .* is no list of 2 figures"),
    ("layout_toml", "\n[[sections]]\nfile = 'cover'\n\n[[sections]]\nfile = 'lost'\n",
     "line 6, layout.toml: section 2, file: there is no text"),
    ("layout_toml", "[[sections]]\nfile = 'cover'\nstart = 3\n", "line 3, layout.toml: section 1, start: 3 is no text"),
    ("layout_toml", "[[sections]]\nfile = 'cover'\ninto = 'bag'\n", 'line 3, layout.toml: section 1, into: there is no file "bag"'),
    ("layout_toml", "base = 'hoem'\n", 'line 1, layout.toml: base: "hoem" is no shipped layout'),
    ("layout_toml", "[steps]\ncolumns = = 2\n", "line 2, layout.toml: is not TOML"),
    ("layout_toml", "[steps]\ncolumns = 0.5\n", "line 2, layout.toml: steps.columns: 0.5 is no whole figure"),
    ("layout_toml", "[type]\nlead = [12, 900]\n", "line 2, layout.toml: type.lead: .* is more than is allowed: give at most 100"),
    ("layout_toml", "[drawings.across]\nsheets = 40\n", "line 2, layout.toml: drawings.across.sheets: 40 is more than is allowed"),
    ("layout_toml", "[steps]\nrows = 40\n", r"line \d+, steps.md: 2 x 40 steps on a page leave 81 x 0 mm .* into layout.toml"),
    ("cover_md", "# A\n\nmore\nwords \u4e2d\n", "line 4, cover.md: the booklet's font has no glyph for '\u4e2d'"),
    ("cover_md", "| a |\n|---|\n| \u4e2d |\n", "line 3, cover.md: the booklet's font has no glyph for '\u4e2d'"),
    ("cover_md", "# A\n\n::: lead\n\u4e2d\n:::\n", "line 4, cover.md: the booklet's font has no glyph for '\u4e2d'"),
    ("cover_md", "# A\n\n::: warning dragon\nhot\n:::\n", "line 3, cover.md: asks for the pictogram 'dragon'; there are"),
    ("cover_md", "# A\n\n::: columns\na\n\n---\n\nb\n:::\n", 'line 6, cover.md: has a line "---", which begins a page, within columns'),
    ("cover_md", "# A\n\n::: warning\n" + "hot " * 3000 + "\n:::\n", r"line 3, cover.md: the box is \d+ mm high and its place"),
    ("cover_md", "# A\n\n# " + "word " * 900 + "\n", "line 3, cover.md: has a heading of 4499 characters"),
    ("cover_md", "# A\n\na\t[b](#c)\n", "line 3, cover.md: has a link to a place in the booklet"),
    ("layout_toml", "sections = []\n", "line 1, layout.toml: sections: there is none"),
    ("cover_md", "# A\n\n![a pot](pot.png)\n", "line 3, cover.md: has a picture .* which is not drawn"),
    ("words__en_toml", "[text.tools]\n\nruler = 'A \u4e2d {longest}'\n",
     "line 3, words.en.toml: text.tools.ruler: the booklet's font has no glyph for '\u4e2d'"),
    ("words__en_toml", "[text.cover]\ntitle 3\n", "line 2, words.en.toml: is not TOML"),
    ("words__en_toml", "\n[text.tools]\nruler = 'A rule of {reach}'\n",
     "line 3, words.en.toml: text.tools.ruler asks for {reach}.*in line .* of tools.md"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "text", "pattern"), FAULTY)
def test_a_fault_is_told_with_its_file_and_line(tmp_path: Path, spec: Path, name: str, text: str, pattern: str) -> None:
    lines = told(make(spec, layout(tmp_path, **{name: text})))
    assert len(lines) == 1 and re.match(pattern, lines[0]), lines
    assert not (tmp_path / "out.pdf").exists()


def test_faults_of_several_texts_are_told_together(tmp_path: Path, spec: Path) -> None:
    folder = layout(tmp_path, cover_md="{{ nothing }}\n", steps_md="# S\n\n{% if %}\n", tools_md="::: columns\n")
    assert [line.partition(":")[0] for line in told(make(spec, folder))] == ["line 1, cover.md", "line 3, steps.md"]
    folder = layout(tmp_path, cover_md="{{ drawing('a') }}\n{{ drawing('b') }}\n", steps_md="::: lead\n")
    assert [line[:17] for line in told(make(spec, folder))] == [
        "line 1, cover.md:",
        "line 2, cover.md:",
        "line 1, tools.md:",
        "line 1, steps.md:",
    ]


def test_faults_of_the_settings_are_told_together(tmp_path: Path, spec: Path) -> None:
    folder = layout(tmp_path, layout_toml="[frame]\nwidth = 0\nheigth = 250\n\n[colums]\ngutter = 8\n")
    assert [line.partition(",")[0] for line in told(make(spec, folder))] == ["line 2", "line 3", "line 5"]


def test_the_line_is_that_of_the_file_that_a_text_includes(tmp_path: Path, spec: Path) -> None:
    folder = layout(tmp_path, cover_md="# A\n\n{% include 'foot.md' %}\n", foot_md="\n\n{{ drawing('dragon') }}\n")
    assert told(make(spec, folder))[0].startswith("line 3, foot.md: there is no drawing")


def test_files_that_are_no_text_are_told(tmp_path: Path, spec: Path) -> None:
    folder = layout(tmp_path, steps_md="")
    (folder / "cover.md").write_bytes(b"# A\n\nM\xfcller\n")
    (folder / "tools.md").mkdir()
    (folder / "safety.md").symlink_to("nowhere.md")
    lines = told(make(spec, folder))
    assert lines[0].startswith("line 3, cover.md: cannot be read as a text in UTF-8 (byte 0xfc)")
    assert lines[1].startswith("tools.md: is a folder, or leads nowhere") and lines[2].startswith(
        "safety.md: is a folder, or leads nowhere"
    )


@pytest.mark.parametrize("name", ["cover.md", "layout.toml", "words.en.toml"])
def test_no_file_from_outside_the_folder_is_read(tmp_path: Path, spec: Path, name: str) -> None:
    secret = tmp_path / "secret.txt"
    secret.write_text("# Not for print\n")
    folder = layout(tmp_path)
    (folder / name).symlink_to(secret)
    (line,) = told(make(spec, folder))
    assert line.startswith(f"{name}: leads to a file outside the layout's folder")


@pytest.mark.parametrize(
    "asked", ["{% include '../secret.md' %}", "{% include path %}", "{% import '../secret.md' as s %}", "{% extends '..' %}"]
)
def test_no_text_from_outside_the_folder_is_included(tmp_path: Path, asked: str) -> None:
    (tmp_path / "secret.md").write_text("# Not for print\n")
    folder = layout(tmp_path, cover_md=asked)
    with pytest.raises(BookletError, match=r"line 1, cover.md: .* in no layout folder"):
        Texts((folder,), "en", {"path": str(tmp_path / "secret.md")}).markdown("cover")


def test_a_link_within_the_folder_is_followed(tmp_path: Path) -> None:
    folder = layout(tmp_path, foot_md="Ours\n")
    (folder / "cover.md").symlink_to("foot.md")
    assert Texts((folder,), "en", {}).markdown("cover") == "Ours\n"


def test_each_line_of_a_text_has_the_place_that_it_comes_from(tmp_path: Path) -> None:
    page = "a\n{% if true %}\nb {{ 1 }}\n\n{% endif %}\n{{ 'c\nd' }}\n{% include 'x.md' %}"
    made = Texts((layout(tmp_path, cover_md=page, x_md="\ne"),), "en", {}).markdown("cover")
    assert made.split("\n") == ["a", "b 1", "", "c", "d", "", "e"]
    assert list(made.places) == [("cover.md", n) for n in (1, 3, 4, 6, 6)] + [("x.md", 1), ("x.md", 2)]
    assert made[2:].places[0] == ("cover.md", 3)  # type: ignore[attr-defined]


def test_values_that_are_caught_are_not_marked(tmp_path: Path) -> None:
    """What a macro or a variable holds can be looked at: its length is that of its words."""
    page = "{% macro m() %}ab{% endmacro %}{% set s %}cd{% endset %}{{ m() | length }} {{ s | length }} {{ s | upper }}"
    page += " {{ m() == 'ab' and s == 'cd' }}\n{% include 'x.md' %}"
    folder = layout(tmp_path, cover_md=page, x_md="{{ 'é' ~ 1 }}\n")
    assert Texts((folder,), "en", {}).markdown("cover") == "2 2 CD True\né1\n"


# The sandbox ------------------------------------------------------------------------------------------------------------


class Thing:
    """A value with a method that nobody lets a template call."""

    def write_text(self, text: str) -> str:
        raise AssertionError(text)


HOSTILE = {
    "attributes": "{{ ''.__class__.__mro__ }}",
    "attributes by a filter": "{{ ''|attr('__class__') }}",
    "attributes by a format": "{{ '{0.__class__}'.format(title) }}",
    "attributes by a map": "{{ '{a.__class__}'.format_map({'a': 1}) }}",
    "attributes of a function": "{{ cycler.__init__.__globals__ }}",
    "a method of a record": "{{ thing.write_text('x') }}",
    "a list changed": "{{ [].append(1) }}",
    "chance": "{{ [1, 2]|random }}",
    "filler": "{{ lipsum() }}",
    "loops in loops": "{% for a in range(9999) %}{% for b in range(9999) %}{% endfor %}{% endfor %}",
    "a filtered loop": "{% for a in range(9999) %}{% for b in range(9999) if false %}{% endfor %}{% endfor %}",
    "a long range": "{{ range(10**9)|list }}",
    "a tree of macros": "".join(f"{{% macro m{i}() %}}{{{{ m{i + 1}() }}}}{{{{ m{i + 1}() }}}}{{% endmacro %}}" for i in range(40))
    + "{% macro m40() %}{% endmacro %}{{ m0() }}",
    "a macro in itself": "{% macro a() %}{{ a() }}{{ a() }}{% endmacro %}{{ a() }}",
    "a loop in itself": "{% for i in range(500) recursive %}{{ loop(range(500)) }}{% endfor %}",
    "a text in itself": "{% include 'cover.md' %}",
    "a long text": "{{ 'a' * 10**9 }}",
    "a long list": "{{ [0] * 10**9 }}",
    "a power": "{{ 9 ** (9 ** 7) }}",
    "squares": "{% set n = namespace(x=99999) %}{% for i in range(60) %}{% set n.x = n.x * n.x %}{% endfor %}",
    "a wide format": "{{ '%1000000000d'|format(1) }}",
    "a wide percent": "{{ '%1000000000d' % 1 }}",
    "a width from a value": "{{ '%*d' % (10**9, 1) }}",
    "a wide brace": "{{ '{:>1000000000}'.format(1) }}",
    "a brace in a brace": "{{ '{:{w}}'.format(1, w=10**9) }}",
    "padding": "{{ 'a'.ljust(10**9) }}",
    "padding by a filter": "{{ 'a'|center(10**9) }}",
    "batches": "{{ [1]|batch(linecount=10**9, fill_with=0)|list }}",
    "doubling": "{% set n = namespace(x='aaaaaaaaaa') %}{% for i in range(60) %}{% set n.x = n.x ~ n.x %}{% endfor %}",
    "doubling by plus": "{% set n = namespace(x='aaaaaaaaaa') %}{% for i in range(60) %}{% set n.x = n.x + n.x %}{% endfor %}",
    "lists in lists": "{% set a = ['x']*1000 %}{% set b = [a]*1000 %}{% set c = [b]*1000 %}{{ c }}",
    "joining": "{% set a = 'x'*1000000 %}{{ ([a]*1000)|join }}",
    "joining by a method": "{% set a = 'x'*1000000 %}{{ ','.join([a]*1000) }}",
    "replacing": "{{ ('a'*1000000)|replace('a', 'b'*1000000) }}",
    "replacing by a method": "{{ ('a'*1000000).replace('a', 'b'*1000000) }}",
    "words in a loop": "{% set x %}{% for i in range(9999) %}" + "y" * 5000 + "{% endfor %}{% endset %}",
    "long work": "{% set b = 'x'*1000000 %}{% for i in range(99999) %}{% set y = b|upper %}{% endfor %}",
    "long comparing": "{% set b = range(99999)|list %}{% for i in b %}{% if 'q' in b %}{% endif %}{% endfor %}",
    "brackets": "{{ " + "(" * 3000 + "1" + ")" * 3000 + " }}",
    "blocks in blocks": "{% for a in [1] %}" * 60 + "{% endfor %}" * 60,
}


@pytest.mark.parametrize("name", HOSTILE)
def test_what_a_hostile_text_tries_is_told_and_not_done(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    monkeypatch.setattr(sandbox, "MOST_STEPS", 30_000)  # a tenth, as waiting shows no more
    folder = layout(tmp_path, cover_md=HOSTILE[name])
    with pytest.raises(BookletError) as error:
        Texts((folder,), "en", {"title": "T", "thing": Thing()}).markdown("cover")
    (fault,) = error.value.faults
    assert (fault.where, fault.line) == ("cover.md", 1), fault
    assert " at 0x" not in str(fault)


FRIENDLY = {
    "{{ '{:,.2f} {a}'.format(25000, a=3) }}": "25,000.00 3",
    "{{ '%.1f' % 2.25 }} {{ 'a' * 3 }} {{ 2 ** 10 }} {{ [1] + [2] }}": "2.2 aaa 1024 [1, 2]",
    "{% for i in [1, 2, 3] %}{{ loop.cycle('a', 'b') }}{{ loop.index }}{{ loop.length }}{{ '.' if loop.last }}{% endfor %}": "a13b23a33.",
    "{% set c = cycler(1, 2) %}{{ c.next() }}{{ c.next() }}": "12",
    "{% macro m(x) %}[{{ x }}{{ caller() }}]{% endmacro %}{% call m(2) %}c{% endcall %}": "[2c]",
    "{{ ['b', 'a']|sort|join(', ') }} {{ 'abc'[1:] }} {{ 'b' in 'abc' }} {{ 3 is odd }} {{ 'x'|opened }}": "a, b bc True True X",
    "{% for i in [1, [2, 3]] recursive %}{{ i if i is number else loop(i) }}{% endfor %}": "123",
}


@pytest.mark.parametrize("text", FRIENDLY)
def test_what_a_maker_needs_is_done(tmp_path: Path, text: str) -> None:
    assert Texts((layout(tmp_path, cover_md=text),), "en", {}).markdown("cover") == FRIENDLY[text]


def test_a_text_as_long_as_is_allowed_is_made(tmp_path: Path) -> None:
    page = "{% for i in range(2000) %}{{ 'x' * 100 }}{% endfor %}"
    assert len(Texts((layout(tmp_path, cover_md=page),), "en", {}).markdown("cover")) == 200_000 < MOST_TEXT


def test_a_line_of_strokes_begins_a_page_where_pages_are_left_half_empty_too(tmp_path: Path, spec: Path) -> None:
    assert make(spec, layout(tmp_path, cover_md="# A\n\nfirst\n\n---\n\nsecond\n\n---\n\nthird\n")).exit_code == 0
    assert [text.split()[0] for text in texts(tmp_path / "out.pdf")[:1]] == ["A"]
    assert [word in text for text, word in zip(texts(tmp_path / "out.pdf"), ("first", "second", "third"), strict=False)] == [True] * 3

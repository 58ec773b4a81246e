"""The files of the shelf: a style is one short file that says all about itself, and nothing outside `booklet/styles` knows its name."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import pytest

import booklet
from booklet.errors import Refused
from booklet.net import Item
from booklet.pages.words import words
from booklet.spec.tables import INSERTS
from booklet.styles import shelf
from booklet.thickness import Bears, way_of

PACKAGE = Path(booklet.__file__).parent
SHELF = PACKAGE / "styles"
MOST_LINES = 80
NAMES = tuple(shelf())

MAY_NAME = {
    ("cli.py", "lidded-box"): "help text: the example of a command",
    ("inserts.py", "lidded-box"): "an error message: a way out for a box that takes no insert",
    ("folded.py", "pyramid"): "a solid of geometry, by which a room is told",
    ("spec/template.py", "divider"): "a comment in a new spec: what may stand there",
    ("spec/template.py", "cradle"): "a comment in a new spec: what may stand there",
    ("spec/tables.py", "divider"): "what [insert] may ask for: a spec is read before the shelf",
    ("spec/tables.py", "cradle"): "what [insert] may ask for: a spec is read before the shelf",
}
"""File and style, with the reason why it may be named there."""


def lines(path: Path) -> int:
    return len(path.read_text(encoding="utf-8").splitlines())


def told(code: str) -> Iterator[str]:
    """The strings of a module, those pieces of text that stand for something filled in too; no docstrings, which nobody runs."""
    tree = ast.parse(code)
    bare = {node.value for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    yield from (n.value for n in ast.walk(tree) if isinstance(n, ast.Constant) and n not in bare and isinstance(n.value, str))


def named(text: str) -> set[str]:
    """The styles that a string names: it is the name, it has the name in quotes, or it has a name that is no plain word."""
    found = {name for name in NAMES if text == name or re.search(f"[\"'`]{name}[\"'`]", text)}
    return found | {name for name in NAMES if "-" in name and re.search(rf"(?<![\w-]){name}(?![\w-])", text)}


@pytest.mark.parametrize("name", NAMES)
def test_a_style_is_one_file_of_under_80_lines_named_as_it_is(name: str) -> None:
    path = SHELF / f"{name.replace('-', '_')}.py"
    assert name == shelf()[name].NAME and Path(import_module(f"booklet.styles.{path.stem}").__file__ or "") == path
    assert lines(path) < MOST_LINES


def test_every_file_that_is_a_style_stands_on_the_shelf() -> None:
    """A style has a NAME; the other files are builders."""
    modules = [import_module(f"booklet.styles.{path.stem}") for path in SHELF.glob("*.py") if path.stem != "__init__"]
    assert sorted(module.NAME for module in modules if hasattr(module, "NAME")) == sorted(NAMES)


def test_the_search_finds_a_style_that_is_named_and_no_plain_word() -> None:
    code = '"""Such as "tray"."""\nif style == "tray": say(f"a {x} lidded-box, or \'wallet\'")\nsay("put it on a tray, a low-lidded-boxes")'
    assert {name for text in told(code) for name in named(text)} == {"tray", "lidded-box", "wallet"}


def test_nothing_outside_the_shelf_names_a_style_but_where_it_may() -> None:
    found = {
        (path.relative_to(PACKAGE).as_posix(), name)
        for path in PACKAGE.rglob("*.py")
        if SHELF not in path.parents
        for text in told(path.read_text(encoding="utf-8"))
        for name in named(text)
    }
    assert found == set(MAY_NAME)


def test_what_a_spec_may_ask_for_as_an_insert_is_what_the_shelf_has() -> None:
    assert set(INSERTS) == {name for name, style in shelf().items() if "insert" in style.SUITS}


@pytest.mark.parametrize("name", NAMES)
def test_a_style_says_in_known_words_what_it_is_for(name: str) -> None:
    style, said = shelf()[name], words()
    assert said.style(name).name[:1].isupper() and said.style(name).use.endswith(".")
    assert style.SUITS and len(set(style.SUITS)) == len(style.SUITS)
    assert set(style.SUITS) <= set(said.table("suits"))


@pytest.mark.parametrize("name", NAMES)
def test_a_style_shows_a_thing_and_bears_card_from_its_thinnest_to_its_thickest(name: str) -> None:
    shown, bears = shelf()[name].SHOWN, shelf()[name].BEARS
    assert isinstance(shown, Item) and min(shown.length, shown.width, shown.height) > 0
    assert shown.shape == "block" or shown.length == shown.width
    assert isinstance(bears, Bears) and 0 < bears.least <= bears.most
    for t in (bears.least, bears.most):
        assert way_of(t, None, bears) == ("crease" if t <= bears.crease else "half-cut")
    for t in (bears.least - 0.01, bears.most + 0.01):
        with pytest.raises(Refused, match=r"card\.caliper"):
            way_of(t, None, bears)


def test_every_use_that_has_words_is_one_that_a_style_suits() -> None:
    assert set(words().table("suits")) == {use for style in shelf().values() for use in style.SUITS}

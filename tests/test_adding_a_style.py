"""The worked example of DEVELOPERS.md works as it stands there: its file is a style, and its words make a booklet."""

from __future__ import annotations

import importlib.util
import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from booklet import styles
from booklet.make import booklet
from booklet.net import Item
from booklet.spec import load, new_spec
from booklet.styles import ShelfOptions, shelf
from tests import boxes

GUIDE = Path(__file__).parents[1] / "DEVELOPERS.md"
NAME = "low-lid-box"
MOST_LINES = 80


def block(kind: str) -> str:
    """The first block of code of a kind after the worked example's heading."""
    example = GUIDE.read_text(encoding="utf-8").partition("### A worked example")[2]
    found = re.search(rf"```{kind}\n(.*?)```", example, re.DOTALL)
    assert found
    return found[1]


@pytest.fixture
def on_the_shelf(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[None]:
    path = tmp_path / "low_lid_box.py"
    path.write_text(block("python"), encoding="utf-8")
    found = importlib.util.spec_from_file_location("booklet.styles.low_lid_box", path)
    assert found and found.loader
    module = importlib.util.module_from_spec(found)
    monkeypatch.setitem(sys.modules, "booklet.styles.low_lid_box", module)
    found.loader.exec_module(module)
    monkeypatch.setattr(styles, "_NAMES", (*styles._NAMES, NAME))
    yield


@pytest.mark.usefixtures("on_the_shelf")
class TestTheWorkedExample:
    def test_it_is_on_the_shelf_and_short(self) -> None:
        assert shelf()[NAME].NAME == NAME
        assert len(block("python").splitlines()) < MOST_LINES

    @pytest.mark.parametrize("t", [0.2, 0.4, 0.9])
    @pytest.mark.parametrize("size", [(100.0, 80.0, 45.0), (60.0, 140.0, 20.0), (40.0, 40.0, 160.0)])
    def test_its_boxes_stand_every_check(self, size: tuple[float, float, float], t: float) -> None:
        made = boxes.whole(NAME, Item("block", *size), t=t)
        assert boxes.failed(made) == set()

    def test_its_words_make_a_booklet(self, tmp_path: Path) -> None:
        (tmp_path / "own").mkdir()
        (tmp_path / "own" / "words.en.toml").write_text(block("toml"), encoding="utf-8")
        path = tmp_path / "box.toml"
        path.write_text(new_spec(NAME, shelf()[NAME].OPTIONS, {}).replace('layout = "home"', 'layout = "own"'), encoding="utf-8")
        made = booklet(load(path, ShelfOptions()))
        assert made.pages > 8
        assert all(check.ok or check.level == "warning" for check in made.checks)

"""A sheet that prints alone, beside any booklet: its words from `layouts/sheets`, set in the type of the shipped layout."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property, lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from booklet.data import layouts_folder
from booklet.errors import refuse
from booklet.pages import markdown
from booklet.pages.settings import Settings, settings
from booklet.pages.texts import Texts
from booklet.pages.words import Words, merged, words
from booklet.pdf.typeset import Typesetter

WORDS = "words.en.toml"


def folder() -> Path:
    """Where the words of these sheets lie."""
    return layouts_folder() / "sheets"


@lru_cache(maxsize=1)
def sheet_words() -> Words:
    """The words on the drawings of these sheets. Raises `BookletError` for a file that cannot be read."""
    return Words(MappingProxyType(merged(WORDS, (folder(),))), WORDS)


class Text:
    """One text of these sheets, `name`.md. `given`: what its template sees; `draw`: makes its drawings; without it there are none."""

    def __init__(self, name: str, given: Mapping[str, Any], draw: markdown.Draw | None = None):
        self._name, self._given, self._draw = name, given, draw or self._no_drawing

    def _no_drawing(self, kind: str, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
        raise refuse(f"{self._name}.md", f'has no drawing "{kind}"; take it out')

    @cached_property
    def settings(self) -> Settings:
        """How the shipped layout looks."""
        return settings()

    @cached_property
    def make(self) -> Typesetter:
        """Makes blocks in its type."""
        return Typesetter(self.settings.type)

    def blocks(self, width: float) -> list[Any]:
        """The text as blocks for a place of this width in mm. Raises `BookletError` for a text that cannot be set."""
        text = Texts((folder(),), "en", self._given).markdown(self._name)
        s, signals = self.settings, words().table("signals")
        at = markdown.Setting(self.make, self._draw, signals, width, s.gutter, s.least_column, f"{self._name}.md")
        return markdown.blocks_of(text, at)

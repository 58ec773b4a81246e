"""What the texts of some layouts ask for besides the facts of the box: each part is worked out when a text asks for it first.

A part is a class that is made of a plan and its words; its public properties are what the templates see.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from importlib import import_module
from typing import Any

from booklet.pages.words import Words
from booklet.plan import Plan

PARTS: Mapping[str, str] = {
    "handout": "booklet.pages.handout:Handout",
    "lesson": "booklet.pages.lesson:Lesson",
    "worksheet": "booklet.pages.worksheet:Worksheet",
    "amounts": "booklet.pages.amounts:Amounts",
    "finish": "booklet.pages.finish:Finish",
    "kit": "booklet.pages.kit:Kit",
    "safety": "booklet.pages.safety:Safety",
}
"""The name by which the templates know a part, and the module and class that make it: "booklet.pages.lesson:Lesson"."""


class Part:
    """A part that is made when one of its properties is asked for."""

    def __init__(self, plan: Plan, words: Words, place: str):
        self._plan, self._words, self._place = plan, words, place

    @cached_property
    def made(self) -> Any:
        """The part itself."""
        module, _, name = self._place.partition(":")
        return getattr(import_module(module), name)(self._plan, self._words)

    def __getattr__(self, name: str) -> Any:
        if name.startswith("_"):
            raise AttributeError(name)
        return getattr(self.made, name)


class More:
    """The parts of one plan, told in one language."""

    def __init__(self, plan: Plan, words: Words):
        self.given: Mapping[str, Part] = {name: Part(plan, words, place) for name, place in PARTS.items()}

    def __getitem__(self, name: str) -> Any:
        """A part by its name."""
        return self.given[name].made

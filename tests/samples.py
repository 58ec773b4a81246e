"""The sample specs, read and made into booklets once for all tests."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from booklet.make import Made, printed
from booklet.pages.words import languages, layouts
from booklet.planning import plan_of
from booklet.spec import Spec, load
from booklet.styles import shelf

FOLDER = Path(__file__).parent.parent / "samples"
OPTIONS = {name: style.OPTIONS for name, style in shelf().items()}


def spec(name: str) -> Spec:
    return load(FOLDER / f"{name}.toml", OPTIONS, layouts(), languages())


@cache
def made(name: str) -> Made:
    return printed(plan_of(spec(name)))

"""The sample specs, read and made into booklets once for all tests."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from booklet.make import Made, printed
from booklet.pages.words import languages, layouts
from booklet.plan import Plan
from booklet.planning import plan_of
from booklet.spec import Spec, load
from booklet.styles import shelf
from tests.shared import once

FOLDER = Path(__file__).parent.parent / "samples"
OPTIONS = {name: style.OPTIONS for name, style in shelf().items()}


def spec(name: str) -> Spec:
    return load(FOLDER / f"{name}.toml", OPTIONS, layouts(), languages())


@once
def plan(name: str, copies: int = 0) -> Plan:
    """The plan of a sample, for as many boxes as it says or as are asked for."""
    own = spec(name)
    return plan_of(replace(own, booklet=replace(own.booklet, copies=copies)) if copies else own)


@once
def made(name: str) -> Made:
    return printed(plan(name))

"""A box that holds without glue is told without glue: no map, none to buy, no word of care for it; one that is glued keeps all of them."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from booklet.pages.facts import facts_of
from booklet.pages.gluing import ON_BONDS
from booklet.pages.words import words
from booklet.plan import Plan
from booklet.planning import plan_of
from tests.plans import plan
from tests.told import texts_of

FILES = ("cover", "tools", "safety", "before-glue", "glue-map", "fit-check", "how-checked", "reading")


@cache
def whole(style: str) -> Plan:
    """A box that is cut in one piece, from a sheet that is large enough."""
    spec = plan(style, height=30.0).spec
    return plan_of(replace(spec, card=replace(spec.card, sheet=(420.0, 594.0))))


@pytest.fixture(scope="module")
def told() -> dict[str, dict[str, str]]:
    """The texts of a box without glue and of one with it, by file."""
    return {style: texts(style) for style in ("roll-wall-tray", "tray")}


def texts(style: str) -> dict[str, str]:
    made = texts_of(whole(style), wordless=True)
    return {name: made.markdown(name) for name in FILES}


def without_advice(text: str) -> str:
    """The lines that tell of glue at all, but for what the text says that there is none."""
    plain = [line for line in text.splitlines() if "No glue:" not in line and "| Glue |" not in line and "base would bow" not in line]
    return "\n".join(line for line in plain if any(word in line.lower() for word in ("glu", "bond", "```drawing\nglue")))


@pytest.mark.parametrize("name", FILES)
def test_nothing_is_said_of_glue_where_nothing_is_glued(told: dict[str, dict[str, str]], name: str) -> None:
    assert without_advice(told["roll-wall-tray"][name]) == ""


@pytest.mark.parametrize("name", FILES)
def test_a_box_that_is_glued_is_told_with_its_glue(told: dict[str, dict[str, str]], name: str) -> None:
    assert without_advice(told["tray"][name]) != ""


def test_the_cover_and_the_materials_say_that_there_is_no_glue(told: dict[str, dict[str, str]]) -> None:
    assert "| none |" in told["roll-wall-tray"]["cover"]
    assert "No glue" in told["roll-wall-tray"]["tools"] and "No glue" not in told["tray"]["tools"]


def test_the_glue_map_is_left_out_whole(told: dict[str, dict[str, str]]) -> None:
    assert told["roll-wall-tray"]["glue-map"].strip() == ""


def test_checks_of_bonds_are_told_of_bonds_only() -> None:
    titles = {words()("checks", name) for name in ON_BONDS}
    free, glued = (
        {row.title for group in facts_of(whole(style), words()).checks for row in group.rows} for style in ("roll-wall-tray", "tray")
    )
    assert not free & titles
    assert titles <= glued


def test_no_step_of_a_box_without_glue_glues() -> None:
    assert not [step for step in facts_of(whole("roll-wall-tray"), words()).steps if "glue" in step.text.lower()]


def test_a_tray_that_is_cut_to_fit_small_card_is_told_with_its_glue() -> None:
    facts = facts_of(plan("roll-wall-tray", height=30.0), words())
    assert len(facts.pieces) > 1 and facts.glue.mapped and facts.glued

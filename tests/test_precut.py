"""Card that comes cut and scored: nothing to print, to cut or to score, and the box goes together all the same."""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace
from functools import cache

import pytest
from pypdf import PdfReader

from booklet import materials, steps
from booklet.export import net_json
from booklet.make import Made, bounds, printed, summary
from booklet.net import Net
from booklet.pages.sentences import sentence
from booklet.pages.words import words
from booklet.planning import plan_of
from booklet.proof import prove
from booklet.replay import replay
from booklet.spec import Spec
from booklet.styles import shelf
from tests import boxes
from tests.mixes import LONG
from tests.samples import made, spec

OF_A_BLADE = re.compile(
    r"(?i)\b(?:knife|knives|blades?|scalpel|safety edge|cutting|half-cuts?|templates?|trace|prick\w*|cut|cuts|scored? (?!line)\w*)\b"
)
"""What nobody has to read whose card comes cut and scored; a scored line is one that is there already."""

SKIN = re.compile(r"(?i)edges of fresh card and paper cut skin|a cut: press a clean cloth|cut and scored")
"""Edges of card cut skin whoever cut the card, and that it comes cut and scored is what has to be said."""

QUICK = ("divider", "gable-carrier", "rigid-box", "roll-wall-tray", "slipcase", "tray", "tuck-carton", "web-tray")
STYLES = sorted(shelf()) if LONG else QUICK
"""Glued and locked boxes, strips, boards and a wrap: every way in which the first step comes about."""


def pre_cut(name: str, **more: object) -> Spec:
    found = spec(name)
    return replace(found, supplied="pre-cut", page=replace(found.page, print_on="paper"), **more)  # type: ignore[arg-type]


@cache
def home(name: str, told: bool = True) -> Made:
    found = pre_cut(name)
    return printed(plan_of(replace(found, booklet=replace(found.booklet, words=told))))


@cache
def ready(style: str) -> Net:
    """A box of a style whose card comes cut, with its steps; several copies."""
    return steps.found(replace(boxes.net(style, boxes.thing(style)), ready=True), batch=True)


def pages_of(data: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(data)).pages]


@pytest.mark.parametrize("style", STYLES)
def test_no_step_cuts_or_scores_and_the_others_are_numbered_without_gaps(style: str) -> None:
    found = ready(style)
    assert found.steps and not [step for step in found.steps if step.kind == "score"]
    assert [step.number for step in found.steps] == list(range(1, len(found.steps) + 1))


@pytest.mark.parametrize("style", ["tray", "tuck-carton", "divider", "slipcase", "rigid-box"])
def test_the_steps_prove_the_box_when_they_are_played(style: str) -> None:
    checks, played = prove(ready(style), boxes.fit(boxes.thing(style)))
    bad = [check.name for check in checks if not check.ok and not check.name.startswith(("item", "closed", "inside"))]
    assert not bad
    assert all(played.last(part.name) for part in ready(style).parts)
    assert "order.scored" not in {check.name for check in checks}


@pytest.mark.parametrize("style", ["tray", "slipcase", "tuck-carton"])
def test_but_for_what_is_cut_the_steps_are_those_of_card_in_sheets(style: str) -> None:
    usual = steps.found(boxes.net(style, boxes.thing(style)), batch=True)
    laid = {"lay-wrap", "lay-board", "lay-strip"}
    kept = [(step.kind, step.words, step.folds) for step in usual.steps if step.kind != "score"]
    assert [(step.kind, step.words, step.folds) for step in ready(style).steps if step.words not in laid] == kept


def test_scored_lines_are_bent_before_they_are_folded() -> None:
    assert [step.words for step in ready("tray").steps].count("crease") == 1


def test_a_net_whose_card_is_cut_takes_no_time_to_cut() -> None:
    usual = boxes.whole("tray", boxes.MUG)
    slow, quick = materials.reckon(usual, 250.0, 1, 4), materials.reckon(replace(usual, ready=True), 250.0, 1, 0)
    assert (quick.cut_mm, quick.score_mm) == (0.0, 0.0) and slow.cut_mm > 1000
    assert quick.minutes < slow.minutes and quick.card_g == slow.card_g and quick.glue_mm2 == slow.glue_mm2


def test_a_plan_has_no_templates_no_cuts_and_nothing_to_mark_out() -> None:
    plan = home("tiles").plan
    assert (plan.tiles, plan.leaves, plan.cuts, plan.marking) == ((), 0, (), ())
    assert all(check.ok for check in plan.checks if check.level == "fault")
    assert not {"tiles", "cuts", "marking", "on_card"} & {check.name.split(".")[0] for check in plan.checks}


def test_the_figures_and_the_net_of_such_a_plan_can_be_told() -> None:
    plan = home("tiles").plan
    told, limits = summary(plan, 7), bounds(plan)
    assert (told["tiles"], told["leaves"], told["settings"], told["cut_mm"]) == (0, 0, 0, 0.0)
    assert limits["tiles"] == limits["leaves"] == 0
    net = json.loads(net_json(plan))
    assert net["pages"] == [] and [step["number"] for step in net["steps"]] == list(range(1, len(net["steps"]) + 1))
    assert all(part["pieces"] for part in net["parts"])


@pytest.mark.parametrize("name", ["tiles", "bowl", "recipes"])
def test_no_word_of_a_blade_stands_in_the_booklet_of_a_maker(name: str) -> None:
    pages = pages_of(home(name).data)
    found = [(n, hit[0]) for n, text in enumerate(pages, 1) for hit in OF_A_BLADE.finditer(SKIN.sub("", text))]
    assert not found
    titles = " ".join(pages[0].partition("Contents")[2].split())
    assert "Steps" in titles and not re.search("Print check|Page map|Order of cuts|Marking out|template", titles)


def test_steps_without_words_show_no_blade() -> None:
    text = " ".join(pages_of(home("tiles", told=False).data))
    assert not [hit[0] for hit in OF_A_BLADE.finditer(SKIN.sub("", text))]


def test_no_word_of_a_blade_stands_in_any_file_of_a_kit() -> None:
    kit = made("kit-tiles-precut")
    files = {"main": kit.data, **{name: data for name, (data, _) in kit.others.items()}}
    assert "templates" not in files
    for name in set(files) - {"print-shop"}:  # which is not for whoever builds the box
        found = [hit[0] for text in pages_of(files[name]) for hit in OF_A_BLADE.finditer(SKIN.sub("", text))]
        assert not found, name


def test_every_step_of_every_style_is_told_without_a_blade() -> None:
    base, english = home("tiles").plan, words("en", "home", None)
    for style in STYLES:
        net = ready(style)
        for t in ("crease", "half-cut"):
            thick = replace(base.thickness, way=t)
            plan = replace(base, net=net, played=replay(net), thickness=thick)
            told = [sentence(plan, english, step) for step in net.steps]
            assert not [text for text in told if OF_A_BLADE.search(text)], style

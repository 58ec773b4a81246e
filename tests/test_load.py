"""The load note: the base of a net as a plate, its layers counted, a layer more advised; the warning agrees with it."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from booklet import load, warnings
from booklet.pages.amounts import Amounts
from booklet.pages.words import words
from booklet.plan import Plan
from booklet.styles import shelf
from tests import boxes, plans


def layers(style: str, **more: object) -> load.Stack:
    return load.base_of(boxes.net(style, boxes.thing(style), **more))[0]  # type: ignore[arg-type]


def test_the_layers_of_a_base_are_those_of_the_net() -> None:
    assert layers("tray") == ((0.3,),)
    assert layers("lidded-box") == ((0.3,) * 3,)
    assert layers("rigid-box") == ((1.0, 0.15),)
    assert layers("sleeve-drawer") == ((0.3,), (0.3,))


def test_a_cuboid_spans_the_inside_and_a_hexagon_the_rectangle_round_it() -> None:
    made = boxes.net("tray")
    _, span, enclosed = load.base_of(made)
    assert span == (made.inside.length, made.inside.width) and not enclosed
    _, (wide, deep), enclosed = load.base_of(boxes.net("prism-box", boxes.thing("prism-box")))
    assert enclosed and max(wide, deep) / min(wide, deep) == pytest.approx(2 / 3**0.5, rel=2e-3)
    assert load.base_of(boxes.net("round-box", boxes.thing("round-box")))[2]


@pytest.mark.parametrize("style", list(shelf()))
def test_every_style_has_a_load_or_none_and_breaks_nothing(style: str) -> None:
    made = boxes.net(style, boxes.thing(style))
    found = load.load_of(made, 300.0)
    if all(part.role == "insert" for part in made.parts) or style == "pillow-pack":
        assert found is None
    else:
        assert found and 0 < found.more < found.bow and found.count >= 1


def test_without_a_weight_nothing_is_said() -> None:
    assert load.load_of(boxes.net("tray"), None) is None


def test_one_layer_more_is_reckoned_as_glued_to_all() -> None:
    found = load.load_of(boxes.net("tray"), 100.0)
    assert found and found.bow / found.more == pytest.approx(8.0)
    assert load.bow(100.0, found.span, ((0.3,) * found.enough,)) <= load.MOST
    assert load.bow(100.0, found.span, ((0.3,) * (found.enough - 1),)) > load.MOST


def weighed(style: str, grams: float) -> Plan:
    made = plans.plan(style)
    return replace(made, spec=replace(made.spec, item=replace(made.spec.item, weight=grams)))


def test_the_warning_is_the_same_figure_from_one_place() -> None:
    for grams, warned in ((380.0, True), (40.0, False)):
        plan = weighed("lidded-box", grams)
        found = load.load_of(plan.net, grams)
        told = [c for c in warnings.checks(plan.spec, plan.thickness, plan.net, plan.placed) if c.name == "warn.base-bows"]
        assert found and found.bows == bool(told) == warned
        assert [(c.figure, c.limit) for c in told] == [(pytest.approx(found.bow, abs=1e-5), load.MOST)] * warned


def test_the_note_tells_the_bow_and_what_helps_and_has_no_figure_for_handles() -> None:
    plan = weighed("lidded-box", 380.0)
    note, found = Amounts(plan, words()).load, load.load_of(plan.net, 380.0)
    assert note and found
    said = " ".join((*note.basis, *note.advice))
    assert f"bows {found.bow:.1f} mm" in said and f"it then bows {found.more:.1f} mm" in said
    assert "3 layers of card that are glued" in said and "Lift the box by the base." in said and "no figure for handles" in said


def test_where_one_layer_more_does_not_do_it_is_told_how_many_do_or_that_a_board_does() -> None:
    for grams, word in ((380.0, "With 4 layers in all"), (50_000.0, "stiff board")):
        note = Amounts(weighed("tray", grams), words()).load
        assert note and any(word in sentence for sentence in note.advice)


def test_a_base_that_holds_is_not_told_to_be_stiffened() -> None:
    note = Amounts(weighed("tray", 3.0), words()).load
    assert note and note.advice == (words().said("load.by_the_base"), words().said("load.handles"))
    assert Amounts(plans.plan("tray"), words()).load is None


def test_a_booklet_in_inches_tells_the_bow_in_hundredths_of_an_inch() -> None:
    made = plans.plan("lidded-box", units="in")
    heavy = replace(made, spec=replace(made.spec, item=replace(made.spec.item, weight=380.0)))
    told = Amounts(heavy, words()).load
    assert told is not None and re.fullmatch(r"\d\.\d\d in", told.figure)
    assert not re.search(r"\d mm", " ".join((*told.basis, *told.advice)).replace("0.30 mm", ""))
    bow = load.load_of(heavy.net, 380.0)
    assert bow is not None and abs(float(told.figure.split()[0]) * 25.4 - bow.bow) < 0.13

"""What is told and drawn of motions that most boxes do not have: gussets, bent faces, flaps in corners, feet in slots, boards."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache
from types import MappingProxyType

import pytest
from pypdf import PdfReader

from booklet import hollow, proof, selftest
from booklet.drawing import scenes
from booklet.drawing.recording import RecordingPen
from booklet.drawing.scenes import cover
from booklet.drawing.steps import Shot
from booklet.drawing.stepsigns import keys_of
from booklet.errors import Refused
from booklet.lengths import Length
from booklet.pages.facts import facts_of
from booklet.pages.sentences import sentence
from booklet.pages.words import faced, words
from booklet.plan import Plan
from booklet.planning import plan_of
from booklet.spec import Item
from booklet.styles import shelf
from booklet.thickness import way_of
from tests import samples


@cache
def shown(style: str, **box: object) -> Plan:
    """A box of a style for the thing that its shelf picture holds, of one sheet."""
    like, module = samples.spec("mug"), shelf()[style]
    thing, options = module.SHOWN, {option.name: option.resolved("mm") for option in module.OPTIONS}
    item = Item(thing.shape, Length(thing.length), Length(thing.width), Length(thing.height), weight=5000.0)
    caliper = max(0.3, module.BEARS.least)
    card = replace(like.card, sheet=(1000.0, 1000.0), caliper=caliper, gsm=round(caliper * 720))
    return plan_of(replace(like, style=style, item=item, card=card, box=MappingProxyType(options | box)))


def steps(style: str, **box: object) -> list[str]:
    made = shown(style, **box)
    return [sentence(made, words(), step) for step in made.net.steps]


def says(style: str, text: str, **box: object) -> None:
    assert any(text in step for step in steps(style, **box)), steps(style, **box)


def test_a_base_that_opens_by_itself_is_told_where_the_ring_is_squared() -> None:
    says("crash-lock-carton", "stands at 90 degrees by a set square. The bottom comes down by itself")
    assert not any("by itself" in step for step in steps("snap-lock-carton"))


def test_a_flap_that_is_folded_over_lies_on_what_it_hangs_on() -> None:
    says("crash-lock-carton", "Fold glue flaps 2 and 3 over until they lie flat on base panels 1 and 2.")
    says("wallet", "Fold outer gusset halves 1 and 2 over until they lie flat on inner gusset halves 1 and 2.")


def test_a_set_square_is_asked_for_where_corners_are_square_alone() -> None:
    says("prism-carton", "stands at 120 degrees, and check one by a protractor")
    says("wallet", "Open the box evenly, until its gussets stand out to their full depth.")
    for style in ("prism-carton", "wallet"):
        assert not any("set square" in step for step in steps(style))


@pytest.mark.parametrize(
    ("style", "box", "where"),
    [
        ("wallet", {}, "the top tuck flap down inside the front."),
        ("pillow-pack", {}, "the tuck flap down inside the back."),
        ("tuck-carton", {}, "the top tuck flap down inside wall 2."),
        ("prism-carton", {"sides": 5}, "the top tuck flap down inside the corner."),
    ],
)
def test_a_tuck_flap_is_told_where_it_goes_in_whatever_stands_there(style: str, box: dict[str, object], where: str) -> None:
    says(style, where, **box)


def test_a_wall_with_a_crease_in_its_middle_is_counted_once() -> None:
    made = shown("prism-carton", sides=5)
    walls = [words().panel(panel.name, panel.role) for panel in made.net.part["box"].panels if panel.role == "wall"]
    assert sorted(walls) == ["wall 1", "wall 2", "wall 3a", "wall 3b", "wall 4", "wall 5"]


def test_feet_go_down_into_slots_where_there_are_any() -> None:
    says("roll-wall-tray", "so that the feet go down into the slots")
    says("post-box", "so that the feet go down into the slots")


def test_a_panel_is_glued_to_others_and_not_to_itself() -> None:
    (text,) = (step for step in steps("gift-bag") if step.startswith("Fold base panel 2") and "glue it" in step)
    assert "glue it to the outside of base panel 1 and base flaps" in text and "base panels" not in text


def test_a_roof_is_folded_until_the_handle_is_whole() -> None:
    says("gable-carrier", "Fold slopes 1 and 2 inward until the halves of the handle meet")


def test_a_bent_face_is_one_with_its_article_and_is_held_rolled_for_the_dry_fit() -> None:
    says("round-box", "Roll the wall evenly to a ring")
    says("round-box", "90 degrees to the wall.")
    says("round-box", "hold the skirt rolled to a ring by hand")
    assert [faced(name) for name in ("wall-1.12", "wall-1.a", "wall.3")] == ["wall-1", "wall-1.a", "wall"]


def test_a_ring_that_is_rolled_is_drawn_bent_and_its_ghost_is_one_outline() -> None:
    for style, key in (("round-box", "roll-glue"), ("pillow-pack", "roll")):
        made = shown(style)
        at = next(n for n, step in enumerate(made.net.steps) if step.words == key)
        shot = scenes.step(made, at)
        assert isinstance(shot, Shot)
        normals = {tuple(face.normal.round(2)) for face in shot.scene.faces if face.moves}
        assert len(normals) > 5 and len(shot.scene.ghosts) <= 6, style


def test_of_many_teeth_some_have_their_arrow() -> None:
    made = shown("round-box")
    at = next(n for n, step in enumerate(made.net.steps) if len(step.folds) > 20 and step.words == "fold")
    shot = scenes.step(made, at)
    assert isinstance(shot, Shot) and 5 < len(shot.scene.arrows) <= 12


def test_a_tongue_has_its_arrow() -> None:
    made = shown("snap-lock-carton")
    at = next(n for n, step in enumerate(made.net.steps) if step.words == "tongue")
    shot = scenes.step(made, at)
    assert isinstance(shot, Shot) and len(shot.scene.arrows) == 1


@pytest.mark.parametrize("style", ["prism-box", "round-box", "prism-carton", "tapered-tray"])
def test_the_play_of_a_round_thing_is_that_between_the_walls(style: str) -> None:
    made = shown(style)
    box = facts_of(made, words()).box
    across, _ = hollow.round_plays(proof.Solid(made.net, made.played))
    assert float(box.play_across.removesuffix(" mm")) == pytest.approx(across, abs=0.06) and across >= 5.0
    assert box.wide in box.inside and float(box.wide.removesuffix(" mm")) == pytest.approx(across + made.net.item.length, abs=0.06)


def test_boards_are_told_without_scores_and_folds() -> None:
    made = samples.made("recipes")
    pages = PdfReader(io.BytesIO(made.data)).pages
    said = " ".join(" ".join(page.extract_text().split()) for page in pages[2:8])
    for word in ("bone folder", "Scor", "scores", "A fold ", "fold line", "valley", "with its number"):
        assert word not in said, word
    assert not {"step_valley", "step_mountain", "step_both", "step_glue"} & set(keys_of(made.plan.net))
    assert len(keys_of(samples.made("mug").plan.net)) == 10


def test_board_that_is_too_thick_is_not_told_of_creases() -> None:
    with pytest.raises(Refused, match=r"3\.4 mm is too thick for this style: it is made of flat board, which may be 1 to 3 mm"):
        way_of(3.4, None, shelf()["slipcase"].BEARS)


def test_a_divider_alone_is_told_with_all_its_cells_and_has_no_base_that_bows() -> None:
    made = shown("divider")
    facts = facts_of(made, words())
    assert facts.box.cells == 4 and facts.box.stands_alone and not facts.box.folded
    assert made.spec.item.weight and not [check for check in made.checks if check.name == "warn.base-bows"]
    assert [check for check in shown("tray").checks if check.name == "warn.base-bows"]


def test_the_things_on_the_cover_stay_in_their_box() -> None:
    pen, box = RecordingPen(), (0.0, 0.0, 120.0, 90.0)
    cover(shown("divider")).draw(pen, box)
    points = [p for mark in pen.records if mark.kind == "path" for p in mark.points]
    assert min(y for _, y in points) > 0 and max(y for _, y in points) < 90 and min(x for x, _ in points) > 0


def test_a_bent_box_is_checked_by_the_flat_width_of_its_bent_faces() -> None:
    found = selftest.tests(shown("round-box").net, 0.5)
    assert [one.kind for one in found] == ["bent", "bent", "across"]

"""The steps of an exported net, played back by another program from the JSON alone (`replaying`), make the closed box.

The same program must find what is wrong with steps that are spoilt on purpose: each fault by its name.
"""

from __future__ import annotations

import copy
import json
import random
import tempfile
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from booklet.errors import Refused
from booklet.export import net_json
from booklet.planning import plan_of
from booklet.spec import load
from booklet.styles import shelf
from tests import samples
from tests.mixes import LONG
from tests.outside.bodies import Body, on
from tests.outside.replaying import Playing

SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*.toml"))
OPTIONS = {name: style.OPTIONS for name, style in shelf().items()}
STYLES = ("web-tray", "lidded-box", "tuck-carton", "tray")
RANDOM = 160 if LONG else 6


@cache
def exported(path: Path) -> str:
    return net_json(samples.plan(path.stem))


def sample(name: str) -> dict[str, Any]:
    return json.loads(exported(next(path for path in SAMPLES if path.stem == name)))


def faults(data: dict[str, Any]) -> list[str]:
    return Playing(data).faults


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_the_steps_of_a_sample_make_the_closed_box(path: Path) -> None:
    assert faults(json.loads(exported(path))) == []


def any_spec(number: int) -> str:
    """A spec of each style in turn, marked inside or outside, on card that holds it whole or not."""
    chance = random.Random(number)
    style = STYLES[number % 4]
    low = style == "web-tray"
    a, b = chance.uniform(30, 200), chance.uniform(30, 200)
    h = chance.uniform(10, min(a, b) / 2.4) if low else chance.uniform(15, 200)
    caliper = chance.choice([0.2, 0.3, 0.45]) if low else chance.choice([0.2, 0.3, 0.5, 0.8])
    marks = ("inside", "outside")[number % 8 < 4]
    # a tray whose corners are not cut comes out of one sheet
    sheet = "1200 x 1600 mm" if low or chance.random() < 0.4 else "297 x 420 mm"
    play = f"{chance.uniform(1, 6):.1f} mm", f"{chance.uniform(1, 6):.1f} mm"
    return spec(style, (a, b, h), caliper, marks, sheet, play, chance.choice(["mm", "in"]))


def spec(
    style: str, size: Sequence[float], caliper: float, marks: str, sheet: str, play: Sequence[str] = ("4 mm", "4 mm"), units: str = "mm"
) -> str:
    """A whole spec."""
    length, width, height = (f"{x:.1f} mm" for x in size)
    return f"""
title = "A box"
style = "{style}"
marks = "{marks}"
[item]
shape = "block"
length = "{length}"
width = "{width}"
height = "{height}"
[fit]
clearance = "{play[0]}"
headroom = "{play[1]}"
[card]
sheet = "{sheet}"
weight = "250 gsm"
caliper = "{caliper} mm"
[page]
paper = "A4"
[booklet]
units = "{units}"
"""


@pytest.mark.parametrize("number", range(RANDOM))
def test_the_steps_of_any_box_make_the_closed_box(number: int) -> None:
    data = of_text(any_spec(number))
    assert data is None or faults(data) == []


@cache
def text_of(text: str) -> str:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "box.toml"
        path.write_text(text, encoding="utf-8")
        try:
            return net_json(plan_of(load(path, OPTIONS)))
        except Refused:
            return "null"


def of_text(text: str) -> dict[str, Any] | None:
    """The exported net of a spec, or None where the style refuses it."""
    return json.loads(text_of(text))


def test_few_of_the_random_boxes_are_refused_and_all_styles_marks_and_cuts_are_met() -> None:
    made = [data for number in range(RANDOM) if (data := of_text(any_spec(number)))]
    assert len(made) >= 0.8 * RANDOM
    assert {data["style"] for data in made} == set(STYLES)
    assert {data["marks"] for data in made} == {"inside", "outside"}
    assert {any(len(part["pieces"]) > 1 for part in data["parts"]) for data in made} == {True, False}


@pytest.mark.parametrize("marks", ["inside", "outside"])
@pytest.mark.parametrize("caliper, farther", [(0.3, 0.0), (0.9, 0.6)])
def test_half_cut_walls_stand_two_thirds_of_a_caliper_farther_apart_than_their_folds(marks: str, caliper: float, farther: float) -> None:
    """A half-cut turns about the middle of the third that is left, t/3 inside the mid-surface, a crease about that (closed formula)."""
    data = of_text(spec("tray", (90, 60, 40), caliper, marks, "1200 x 1600 mm"))
    assert data is not None and data["marks"] == marks
    body = Body(data["parts"][0])
    (places,) = body.places([body.final], np.array(data["parts"][0]["places"][0])[None])
    for axis, walls in ((0, ("wall-2", "wall-4")), (1, ("wall-1", "wall-3"))):
        one, two = (on(places[body.index[name]], body.part["panels"][body.index[name]]["outline"]) for name in walls)
        base = np.ptp(on(places[body.index["base"]], body.part["panels"][body.index["base"]]["outline"])[:, axis])
        assert abs(one[:, axis].mean() - two[:, axis].mean()) - base == pytest.approx(farther, abs=1e-5)


# -- what is spoilt is found ---------------------------------------------------------------------------------------


def step_with(data: dict[str, Any], fold: str, angle: float | None = None) -> dict[str, Any]:
    """The first step that turns a fold (to an angle)."""
    moved = (s for s in data["steps"] if fold in s["folds"] and s["folds"][fold] != s["before"][fold])
    return next(s for s in moved if angle in (None, s["folds"][fold]))


def in_order(data: dict[str, Any], steps: list[dict[str, Any]]) -> None:
    """Put steps into an order and tell the angles before each anew."""
    angles = {part["name"]: {f["name"]: 0.0 for f in part["folds"]} for part in data["parts"]}
    for number, step in enumerate(steps, 1):
        own = angles[step["part"]]
        step |= {"number": number, "before": {name: own[name] for name in step["folds"]}}
        own.update(step["folds"])
    data["steps"] = steps


def no_path(data: dict[str, Any]) -> None:
    step_with(data, "base/wall-1")["path"] = []


def coarse_path(data: dict[str, Any]) -> None:
    step = step_with(data, "base/wall-1")
    step["path"] = step["path"][::2]


def other_before(data: dict[str, Any]) -> None:
    step_with(data, "base/wall-2")["before"]["base/wall-2"] = 10.0


def other_before_a_turn(data: dict[str, Any]) -> None:
    """A fold that is folded right over and then opened to 90 degrees: told as if it still lay flat."""
    step_with(data, "wall-1/wall-2", 90.0)["before"]["wall-1/wall-2"] = 0.0


def glued_early(data: dict[str, Any]) -> None:
    early, late = step_with(data, "wall-2/corner-flap-1"), step_with(data, "base/wall-1")
    early["bonds"], late["bonds"] = late["bonds"][:1], late["bonds"][1:]


def glued_twice(data: dict[str, Any]) -> None:
    data["steps"][-1]["bonds"] = [0]


def glued_never(data: dict[str, Any]) -> None:
    step_with(data, "base/wall-1")["bonds"].pop()


def glued_beside(data: dict[str, Any]) -> None:
    data["bonds"][0]["region"] = [[x + 3, y + 3] for x, y in data["bonds"][0]["region"]]


def glued_by_the_other_face(data: dict[str, Any]) -> None:
    data["bonds"][0]["faces"] = ["back", "back"]


def glued_shut(data: dict[str, Any]) -> None:
    """The base flap is folded in dry, and glued only when the base lies over it."""
    flap, last = step_with(data, "wall-2/base-flap-1"), step_with(data, "wall-3/base-2")
    steps = data["steps"]
    steps.insert(steps.index(last) + 1, {**flap, "folds": {}})
    flap["bonds"] = []
    in_order(data, steps)


def slid_in(data: dict[str, Any]) -> None:
    """Two base panels are folded while the ring lies flat: squaring it slides one over the other in their plane."""
    square, flap = step_with(data, "wall-2/wall-3", 90.0), step_with(data, "wall-2/base-flap-1")
    base = step_with(data, "wall-1/base-1")
    rest = [s for s in data["steps"] if s is not flap and s is not base]
    square["bonds"], flap["bonds"] = flap["bonds"], []
    at = rest.index(square)
    in_order(data, [*rest[:at], base, flap, *rest[at:]])


def glued_outside(data: dict[str, Any]) -> None:
    """The ring goes over the other way round, so that its flap comes to lie on the outside of the wall."""
    over, ring = step_with(data, "wall-3/wall-4", 180.0), step_with(data, "wall-1/wall-2", 180.0)
    over["bonds"], ring["bonds"] = ring["bonds"], []
    steps = data["steps"]
    i, j = steps.index(over), steps.index(ring)
    steps[i], steps[j] = ring, over
    in_order(data, steps)


def opened(data: dict[str, Any]) -> None:
    again = {**copy.deepcopy(data["steps"][-1]), "folds": {"base/wall-2": 60.0}}
    in_order(data, [*data["steps"], again, {**again, "folds": {"base/wall-2": 90.0}}])


def left_open(data: dict[str, Any]) -> None:
    in_order(data, [s for s in data["steps"] if s["kind"] != "close"])


def dust_last(data: dict[str, Any]) -> None:
    dust = step_with(data, "wall-1/dust-flap-1")
    in_order(data, [*(s for s in data["steps"] if s is not dust), dust])


def tuck_straight(data: dict[str, Any]) -> None:
    close, tuck = step_with(data, "wall-4/closing-top"), step_with(data, "closing-top/tuck-top")
    close["path"] = []
    in_order(data, [s for s in data["steps"] if s is not tuck])


def lid_sideways(data: dict[str, Any]) -> None:
    move = data["steps"][-1]["move"]
    away = copy.deepcopy(move[-1])
    away[0][3] += 300
    data["steps"][-1]["move"] = [away, move[-1]]


def lid_short(data: dict[str, Any]) -> None:
    data["steps"][-1]["move"].pop()


def no_base(data: dict[str, Any]) -> None:
    """The base goes up instead of down, and the model says that it should."""
    (part,) = (p for p in data["parts"] if p["name"] == "box")
    names = ("wall-2/closing-bottom", "closing-bottom/tuck-bottom", "wall-4/closing-bottom")
    for fold in part["folds"]:
        if fold["name"] in names:
            fold["angle"] = 0.0
    for step in data["steps"]:
        step["folds"] = {n: 0.0 if n in names else a for n, a in step["folds"].items()}
        step["path"] = [] if set(step["folds"]) & set(names) else step["path"]
    in_order(data, data["steps"])


SPOILT: list[tuple[str, Callable[[dict[str, Any]], None], str]] = [
    ("sponges", no_path, "is torn by"),
    ("sponges", coarse_path, "path leaps by"),
    ("mug", other_before_a_turn, "its angles before it are not those"),
    ("tiles", other_before, "its angles before it are not those"),
    ("tiles", glued_early, "mm in the air"),
    ("tiles", glued_twice, "a second time"),
    ("tiles", glued_never, "are never made"),
    ("tiles", glued_beside, "beyond a panel's edge"),
    ("tiles", glued_by_the_other_face, "by the wrong face"),
    ("mug", glued_shut, "base-flap-1 on base-1 is glued though its faces were never apart"),
    ("mug", slid_in, "base-flap-1 on base-1 is glued though its faces were never apart"),
    ("mug", glued_outside, "glue-flap-1 on wall-1 is glued from the wrong side"),
    ("tiles", opened, "is pulled open by"),
    ("glaze", left_open, "does not stand at its angle"),
    ("glaze", left_open, "nothing stands within"),
    ("glaze", dust_last, "dust-flap-1 "),
    ("glaze", tuck_straight, "tuck-top goes through wall-2"),
    ("glaze", no_base, "nothing stands within"),
    ("mug", lid_sideways, "mm through"),
    ("mug", lid_short, "the lid is not in its place"),
]


@pytest.mark.parametrize("name, spoil, words", SPOILT, ids=lambda x: getattr(x, "__name__", None))
def test_what_is_spoilt_is_found_by_its_name(name: str, spoil: Callable[[dict[str, Any]], None], words: str) -> None:
    data = sample(name)
    spoil(data)
    found = faults(data)
    assert any(words in fault for fault in found), found


def test_a_base_that_is_missing_is_told_by_its_face() -> None:
    data = sample("glaze")
    no_base(data)
    found = [fault for fault in faults(data) if "the inside's" in fault]
    assert found == ["at the end nothing stands within inf mm behind the inside's z -1"]


def test_a_fold_the_other_way_round_is_found() -> None:
    """A valley that lowered the child would make another box: the sign is part of the contract."""
    data = sample("tiles")
    part = data["parts"][0]
    for fold in part["folds"]:
        fold["angle"] = -fold["angle"]
    for step in data["steps"]:
        step["folds"] = {n: -a for n, a in step["folds"].items()}
    in_order(data, data["steps"])
    assert any("nothing stands within" in fault for fault in faults(data))

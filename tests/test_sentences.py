"""What the steps say, for boxes of every style, glue, unit and face: true, whole, and in the names that the templates print."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from types import MappingProxyType

import numpy as np
import pytest

from booklet import space
from booklet.card import Card
from booklet.errors import BookletError
from booklet.lengths import Length
from booklet.net import Step
from booklet.pages.facts import facts_of
from booklet.pages.sentences import labels, sentence, signal, steps_of
from booklet.pages.telling import Telling
from booklet.pages.words import faced, words
from booklet.plan import Plan
from booklet.planning import plan_of
from booklet.spec import Fit, Item, Page, Spec
from booklet.spec.model import Booklet, Glue
from booklet.spec.tables import GLUES
from booklet.styles import shelf
from tests import boxes
from tests.step_specs import STYLES, some

VERBS = {
    "Make", "Cut", "Pre-crease", "Pre-fold", "Turn", "Stand", "Push", "Lay", "Fold", "Square", "Raise", "Close", "Put", "Try", "Lower",
    "Bend", "Roll", "Open", "Hold",
}  # fmt: skip
"""With these a step begins."""

DOUBLED = re.compile(r"\b(\w+) \1\b", re.IGNORECASE)
ROLES = sorted(words().data["roles"], key=lambda role: -len(words()("roles", role, "many")))
NUMBERS = r"(\d+[a-z]?(?:(?:, | and | to )\d+[a-z]?)*)"


def spec(style: str, size: tuple[float, float, float], **more: object) -> Spec:
    units = more.get("units", "mm")
    caliper = float(more.get("caliper", 0.3))  # type: ignore[arg-type]
    options = {o.name: o.resolved(units) for o in shelf()[style].OPTIONS} | dict(more.get("box", {}))  # type: ignore[arg-type, call-overload]
    return Spec(
        title="Kiln Lane",
        style=style,
        item=Item("block", Length(size[0]), Length(size[1]), Length(size[2])),
        fit=Fit(6.0, 8.0),
        card=Card(caliper, more.get("sheet", (420.0, 594.0)), gsm=round(caliper * 750), splice=bool(more.get("splice"))),  # type: ignore[arg-type]
        page=Page((210.0, 297.0), "A4", 6.35, 10.0),
        glue=Glue(more.get("glue", "pva")),  # type: ignore[arg-type]
        booklet=Booklet(units=units, copies=int(more.get("copies", 1))),  # type: ignore[arg-type, call-overload]
        marks=more.get("marks"),  # type: ignore[arg-type]
        box=MappingProxyType(options),
    )


def _by_chance(chance: random.Random) -> Iterator[Spec]:
    """Specs without end, of some styles in turn; the others come from `step_specs`."""
    while True:
        for style in boxes.EVERY_STYLE:
            low = style == "web-tray"
            sides = chance.uniform(14, 220), chance.uniform(14, 180), chance.uniform(14, 40 if low else 160)
            yield spec(
                style, sides, units=chance.choice(["mm", "in"]), caliper=chance.choice([0.2, 0.3, 0.45, 0.8, 1.0]),
                marks=chance.choice([None, "inside", "outside"]), sheet=chance.choice([(210.0, 297.0), (304.8, 304.8), (420.0, 594.0)]),
                splice=chance.random() < 0.5, copies=chance.choice([1, 24]), glue=chance.choice(GLUES),
            )  # fmt: skip


@cache
def plans() -> tuple[Plan, ...]:
    """Some boxes by chance, but always the same, and one that is joined across."""
    made = [plan_of(spec("tray", (320.0, 240.0, 40.0), sheet=(210.0, 297.0), splice=True))]
    for one in _by_chance(random.Random(7)):
        try:
            made.append(plan_of(one))
        except BookletError:
            continue  # what the style or the card does not give
        if len(made) == 13:
            return (*made, *(some(number) for number in range(len(STYLES))))
    raise AssertionError


def told() -> Iterator[tuple[Plan, Step, str]]:
    for made in plans():
        for step in made.net.steps:
            yield made, step, sentence(made, words(), step)


def test_the_plans_are_of_all_styles_units_faces_and_ways() -> None:
    seen = {(p.spec.style, "") for p in plans()} | {("", p.spec.units) for p in plans()} | {("", p.net.marks) for p in plans()}
    assert {style for style, _ in seen} >= {*boxes.EVERY_STYLE, *STYLES} and {"mm", "in", "inside", "outside"} <= {kind for _, kind in seen}
    assert {p.thickness.way for p in plans()} == {"crease", "half-cut"} and {p.spec.booklet.copies for p in plans()} == {1, 24}
    assert {"join", "join-across", "raise", "trial", "square", "dry-fit", "turn-flat"} <= {step.words for _, step, _ in told()}


def test_every_step_begins_with_a_verb_and_ends_with_a_full_stop() -> None:
    for _, _, text in told():
        assert text.split()[0] in VERBS and text.endswith("."), text
        assert not re.search(r"[{}]|  | [.,:]|\.\.|None", text) and not DOUBLED.search(text), text


def _named(text: str) -> Iterator[tuple[str, str]]:
    """Every panel that a sentence names, as (role, "4b"); several numbers are taken one by one."""
    for role in ROLES:
        for many in ("one", "many"):
            found = re.compile(rf"\b{words()('roles', role, many)} {NUMBERS}")
            for match in found.finditer(text):
                yield from ((role, number) for number in _each(match[1]))
            text = found.sub("", text)


def _each(said: str) -> Iterator[str]:
    if run := re.fullmatch(r"(\d+) to (\d+)", said):
        yield from map(str, range(int(run[1]), int(run[2]) + 1))
    else:
        yield from re.split(r", | and ", said)


def test_every_panel_that_is_named_is_one_of_the_part_by_the_name_that_its_template_prints() -> None:
    count = 0
    for made, step, text in told():
        part, said = made.net.part[step.part], labels(made, words())
        printed = {said[f"{part.name}/{panel.name}"] for panel in part.panels}
        for role, number in _named(text):
            count += 1
            assert words()("roles", role, "numbered").replace("{n}", number) in printed, (text, number)
    assert count > 300


def test_one_panel_is_it_and_several_are_they() -> None:
    for made, step, text in told():
        if step.words in ("fold", "over", "hem", "fold-glue", "hem-over", "on-to-flaps") and "Close" not in text:
            several = len({faced(name) for name in Telling(made, step).moved}) > 1
            assert (" they " in text or " them " in text or " them." in text) == several, text
            assert (" it " in text or " it." in text) == (not several), text


def test_pieces_of_one_template_are_to_be_marked_with_the_names_of_their_panels() -> None:
    for made, step, text in told():
        if step.words == "score":
            alike = len({piece.template for piece in made.net.part[step.part].pieces}) < len(made.net.part[step.part].pieces)
            assert ("write on each" in text) == alike


def test_the_angles_told_are_those_of_the_folds() -> None:
    checked = 0
    for _, step, text in told():
        found = [float(n) for n in re.findall(r"([\d.]+) degrees", text)]
        if step.words in ("crease", "trial"):
            continue
        frames = step.path if step.words == "dry-fit" else [step.folds]
        ends = {name: max(abs(a) for frame in frames for n, a in frame if n == name) for name, _ in step.folds}
        assert set(found) <= {round(180.0 - angle, 1) for angle in ends.values()}, text
        checked += len(found)
    assert checked > 60


@pytest.mark.parametrize("kind", GLUES)
def test_the_time_to_press_is_that_of_the_glue_and_is_told_where_something_is_glued(kind: str) -> None:
    seconds = words()("glue", kind, "seconds")
    assert words()("glue", kind, "press_time").startswith(f"{seconds} s")
    for made in plans():
        own = replace(made, spec=replace(made.spec, glue=Glue(kind)))  # type: ignore[arg-type]
        for step in own.net.steps:
            text = sentence(own, words(), step)
            assert re.findall(r"(\d+) s\b", text) == ([seconds] if step.bonds else []), text
            assert kind != "tape" or not re.search(r"glue (it|them)\b", text)


@pytest.mark.parametrize("kind", GLUES)
def test_the_blade_is_told_before_the_first_cut_and_the_hazard_of_the_glue_before_the_first_bond(kind: str) -> None:
    for made in plans():
        own = replace(made, spec=replace(made.spec, glue=Glue(kind)))  # type: ignore[arg-type]
        warned = {step.number: step.warning.text for step in steps_of(own, words()) if step.warning}
        first = {next(s.number for s in own.net.steps if s.kind == "score"): signal(words(), "knife").text}
        if hazard := words()("glue", kind, "hazard"):
            first |= {s.number: signal(words(), hazard).text for s in [s for s in own.net.steps if s.bonds][:1]}
        assert warned == first


def test_up_and_down_and_inward_are_where_the_panels_come_to() -> None:
    ways = set()
    for made, step, text in told():
        if not (way := re.match(r"Fold [^,.]*? (up|down|inward|outward) ", text)):
            continue
        moment = made.played.moments[step.number - 1]
        middle = np.mean([space.applied(m, o).mean(0) for m, o in zip(moment.after, moment.folder.outlines, strict=True)], axis=0)
        for name in Telling(made, step).moved:
            i = moment.folder.index[name]
            at = space.applied(moment.after[i], moment.folder.outlines[i])
            fold = next(f for f in moment.part.folds if f.child == name)
            hinge = space.applied(moment.after[i], space.lifted(fold.line)).mean(0)
            rise = float((at.mean(0) - hinge) @ np.array(step.up))
            nearer = np.linalg.norm(at.mean(0) - middle) < np.linalg.norm(hinge - middle)
            assert {"up": rise > 3, "down": rise < -3, "inward": nearer, "outward": not nearer}[way[1]], text
        ways.add(way[1])
    assert {"up", "inward"} <= ways


def test_a_bond_is_told_on_the_side_of_the_box_on_which_it_is() -> None:
    """A hem, a joint and a corner flap lie inside; base flaps and webs outside, whichever face is marked."""
    inside, outside = 0, 0
    for made, step, text in told():
        roles = {made.net.part[step.part].panel[made.net.bonds[b].panels[0][1]].role for b in step.bonds}
        if roles & {"base-flap", "inner-web"} and step.words in ("fold-glue", "hem"):
            assert "the outside of" in text and "inside" not in text
            outside += 1
        elif roles & {"hem", "glue-flap", "corner-flap", "splice-strip"} and step.words not in ("hem-over", "over-glue", "fold-last"):
            assert "the inside" in text and "outside" not in text
            inside += 1
    assert inside > 10 and outside > 2


def test_a_turn_tells_what_comes_up() -> None:
    for made, step, text in told():
        if step.words == "turn-flat":
            root = space.matrix(made.net.part[step.part].places[0])[:3, 2]
            marked_up = float(root @ np.array(step.up)) > 0
            assert ("the inside is up" in text) == (marked_up == (made.net.marks == "inside")), text
        elif step.kind == "turn":
            assert f"its {'top' if step.up and step.up[2] > 0 else 'bottom'} is up" in text, text


def test_a_panel_that_is_folded_over_is_told_what_it_lies_on() -> None:
    found = [text for _, step, text in told() if step.words == "over"]
    assert found and all(re.search(r"flat on (the \w+|[\w ]+ \d\w?( and \d\w?)?)\. Do not", text) for text in found)


def test_the_dry_fit_tells_what_to_check_and_that_nothing_is_glued() -> None:
    found = [(made, text) for made, step, text in told() if step.words == "dry-fit"]
    assert found
    for made, text in found:
        assert f"{words()('glue', made.spec.glue.kind, 'verb')} nothing" in text and "slide down without force" in text


def test_a_trial_box_is_the_first_step_where_several_are_made() -> None:
    for made in plans():
        trials = [step.number for step in made.net.steps if step.words == "trial"]
        assert trials == ([1] if made.spec.booklet.copies > 1 else [])


def test_a_tuck_flap_is_told_the_wall_behind_which_it_ends() -> None:
    found = 0
    for made, step, text in told():
        if text.startswith("Close the") and "slide" in text:
            closes = r"Close the (top|bottom|box): .* slide the (?:\1 )?tuck flap down inside (?:the )?([\w ]+)\."
            end, wall = re.match(closes, text).groups()  # type: ignore[union-attr]
            part = made.net.part[step.part]
            made_folder = made.played.moments[step.number - 1].folder
            said = labels(made, words())
            if any(panel.body != panel.name for panel in part.panels if panel.body):
                continue  # behind a face that is bent
            name = next(p.name for p in part.panels if said[f"{part.name}/{p.name}"] == wall)
            tuck = next(p.name for p in part.panels if p.role == "tuck" and (end == "box" or p.name.endswith(end)))
            flap, behind = (space.applied(made_folder.closed[made_folder.index[n]], made_folder.outlines[made_folder.index[n]]).mean(0)
                            for n in (tuck, name))  # fmt: skip
            normal = made_folder.closed[made_folder.index[name]][:3, 2]
            assert abs(float((flap - behind) @ normal)) < 4 * part.caliper + 1.5, text
            found += 1
    assert found >= 4


def test_a_glue_flap_that_goes_along_with_its_wall_is_not_said_to_move() -> None:
    found = 0
    for made, step, text in told():
        part = made.net.part[step.part]
        if step.words == "over-glue" and "until glue flap" in text:
            found += 1
            assert text.startswith("Fold wall") and Telling(made, step).carries_flap
            assert not any(part.panel[name].role == "glue-flap" for name in Telling(made, step).moved)
    assert found


def test_a_flap_that_meets_a_hem_is_told_by_the_wall_that_the_hem_lies_on() -> None:
    low = plan_of(spec("lidded-box", (194.5, 194.5, 15.0), caliper=0.2, sheet=(304.8, 304.8)))
    joins = [step for step in low.net.steps if step.bonds and step.words.startswith(("join", "over"))]
    on_hems = [s for s in joins if any(low.net.part[s.part].panel[low.net.bonds[b].panels[1][1]].role == "hem" for b in s.bonds)]
    assert on_hems
    for step in on_hems:
        text = sentence(low, words(), step)
        assert "inside of wall" in text and not re.search(r"\bhem", text)


def test_halves_are_told_together_with_their_letters() -> None:
    halves = words().panels([("wall-3.a", "wall"), ("wall-1.a", "wall")], told=True)
    assert halves == "walls 1a and 3a" and words().panels([("base.b", "base"), ("base.a", "base")], told=True) == "base a and base b"
    assert words().panels([("closing-top", "closing")], told=True) == "the top closing panel"


def test_the_steps_of_the_facts_are_those_of_the_net() -> None:
    made = plans()[0]
    assert [(s.number, s.kind) for s in facts_of(made, words()).steps] == [(s.number, s.kind) for s in made.net.steps]

"""Which styles can hold a thing: the ranking, its bounds, its reasons, and specs that name no style."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

from booklet.cli import main
from booklet.errors import BookletError, SpecError, refuse
from booklet.planning import plan_of
from booklet.shelf import ranked
from booklet.shelf import suggest as room
from booklet.shelf.reading import wanted
from booklet.shelf.suggest import Cannot, Suggestion, suggest
from booklet.shelf.why import Reason, reasons
from booklet.spec import Spec
from booklet.styles import shelf

SAMPLES = Path(__file__).parent.parent / "samples"
BARE = """
[item]
length = "60 mm"
width = "40 mm"
height = "20 mm"
[card]
caliper = "0.3 mm"
"""


def spec_of(name: str) -> Spec:
    return wanted(SAMPLES / f"{name}.toml", ("home",), ("en",))[0]


@cache
def suggested(name: str = "mug") -> tuple[list[Suggestion], list[Cannot]]:
    return suggest(spec_of(name))


def test_every_style_either_holds_the_thing_or_is_told_with_the_reason() -> None:
    found, cannot = suggested()
    assert sorted([one.name for one in found] + [no.name for no in cannot]) == sorted(shelf())
    assert all(one.why.endswith(".") for one in found) and all(no.why for no in cannot)


def test_the_best_three_are_planned_and_told_as_their_plans_have_it() -> None:
    found, _ = suggested()
    assert [one.figures.true for one in found] == [True] * room.PLANNED + [False] * (len(found) - room.PLANNED)
    first = found[0]
    plan = plan_of(room._spec_of(spec_of("mug"), first.name, True))
    f = first.figures
    assert (f.pieces, f.sheets, f.steps, f.minutes) == (len(plan.pieces), plan.sheets, len(plan.net.steps), plan.materials.minutes)
    assert f.glue == len(plan.net.bonds)


def test_planned_ones_stand_in_the_order_of_their_points_and_the_others_in_theirs() -> None:
    found, _ = suggested()
    for run in (found[:3], found[3:]):
        assert [one.points for one in run] == sorted(one.points for one in run)


@pytest.mark.parametrize("name", ["lidded-box", "tray", "tuck-carton"])
def test_bounds_are_never_more_than_what_the_plan_takes(name: str) -> None:
    one = room._built(room._spec_of(spec_of("mug"), name, True))
    bound, laid, true = one.figures, room._laid(one), room._planned(one.spec)
    assert bound.sheets <= laid.sheets == true.sheets
    assert bound.waste <= laid.waste + 1e-9 and laid.waste == pytest.approx(true.waste)
    assert bound.steps <= true.steps and bound.minutes <= true.minutes
    assert (bound.pieces, bound.glue, bound.panels) == (true.pieces, true.glue, true.panels)


def test_a_style_that_cannot_gives_the_reason_that_its_own_plan_gives() -> None:
    _, cannot = suggested()
    reason = next(no.why for no in cannot if no.name == "web-tray")
    with pytest.raises(BookletError) as refused:
        plan_of(room._spec_of(spec_of("mug"), "web-tray", True))
    assert reason == str(refused.value)


def test_the_options_of_the_spec_are_those_of_its_own_style_alone() -> None:
    spec = spec_of("mug")
    spec = replace(spec, box={**spec.box, "skirt": 31.0})
    assert room._spec_of(spec, "lidded-box", True).box["skirt"] == 31.0
    assert room._spec_of(spec, "lidded-box", False).box["skirt"] != 31.0
    assert set(room._spec_of(spec, "tray", True).box) == {option.name for option in shelf()["tray"].OPTIONS}


def test_a_box_that_stays_open_ranks_lower_where_the_maker_has_one_that_closes() -> None:
    one = room._built(room._spec_of(spec_of("mug"), "tray", True))
    assert room._suggested(one, one.figures, True).points > room._suggested(one, one.figures, False).points + 5


def test_a_style_that_is_made_for_such_things_ranks_higher() -> None:
    spec = spec_of("mug")
    light, heavy = (replace(spec, item=replace(spec.item, weight=grams)) for grams in (499.0, 500.0))
    plain, asked = (room._suggested(one, one.figures, True) for one in map(room._built, (light, heavy)))
    assert asked.good_for == ("weight",) and plain.good_for == ()
    assert asked.points < plain.points - 5


def test_one_that_fails_when_it_is_planned_is_told_and_the_next_is_planned(monkeypatch: pytest.MonkeyPatch) -> None:
    real, failed = room._planned, []

    def once(spec: Spec) -> room.Figures:
        if not failed:
            failed.append(spec.style)
            raise refuse("style", "no order of folding was found")
        return real(spec)

    monkeypatch.setattr(room, "_planned", once)
    monkeypatch.setattr(room, "PLANNED", 1)
    found, cannot = suggest(spec_of("tiles"))
    assert failed[0] not in [one.name for one in found]
    assert "no order" in next(no.why for no in cannot if no.name == failed[0])
    assert found[0].figures.true


def test_a_style_that_breaks_hides_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> None:
        raise ZeroDivisionError("no width")

    monkeypatch.setattr(shelf()["tray"], "net", fail)
    built, cannot = room._all_built(spec_of("tiles"), True)
    assert "no width" in next(no.why for no in cannot if no.name == "tray")
    assert len(built) > 1


# -- why --------------------------------------------------------------------------------------------------------

A = Reason("a", sheets=1, pieces=1, glue=0, minutes=20, closed=True, good_for=(), laid=True, true=True)
B = Reason("b", sheets=2, pieces=3, glue=4, minutes=45, closed=False, good_for=("round",), laid=True, true=True)
C = Reason("c", sheets=2, pieces=1, glue=0, minutes=15, closed=True, good_for=(), laid=False, true=False)


def test_the_sentence_tells_in_what_a_style_is_best_and_what_it_costs() -> None:
    first, second, third = reasons([A, B, C], "b", closed=True)
    assert first == ("It takes the least card (1 sheet), is cut from one piece, needs no glue and is the quickest of those planned.")
    assert second == (
        "It is made for round things and is the style that you have, but it stays open, takes 1 sheet more than a, "
        "is glued in 4 spots more and takes 25 minutes longer."
    )
    assert third == "It is cut from one piece and needs no glue, but it takes at least 1 sheet more than a."


def test_a_bound_is_never_told_as_the_least() -> None:
    bound = replace(C, sheets=1)
    assert "least card" not in reasons([B, bound], "", closed=False)[1]


# -- specs ------------------------------------------------------------------------------------------------------


def test_a_spec_may_name_no_style(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "PLANNED", 1)
    path = tmp_path / "bare.toml"
    path.write_text(BARE)
    spec, named = wanted(path, ("home",), ("en",))
    assert not named and spec.source == BARE.encode() and spec.item.size == (60.0, 40.0, 20.0)
    found, _ = suggest(spec, named)
    assert found and not any("that you have" in one.why for one in found)


def test_faults_of_a_spec_without_a_style_have_the_lines_of_the_file(tmp_path: Path) -> None:
    path = tmp_path / "bare.toml"
    path.write_text(BARE.replace('"40 mm"', "40"))
    with pytest.raises(SpecError) as error:
        wanted(path, ("home",), ("en",))
    assert [(fault.where, fault.line) for fault in error.value.faults] == [("item.width", 4)]


def test_options_of_a_style_that_is_not_named_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "bare.toml"
    path.write_text(BARE + '[box]\nhem = "20 mm"\n')
    with pytest.raises(SpecError, match="write the style above the first table"):
        wanted(path, ("home",), ("en",))


def test_a_layout_of_ones_own_is_found_beside_a_spec_without_a_style(tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    path = tmp_path / "bare.toml"
    path.write_text(BARE + '[booklet]\nlayout = "mine"\n')
    assert wanted(path, ("home",), ("en",))[0].booklet.layout == "mine"


# -- what is printed --------------------------------------------------------------------------------------------


def test_bounds_are_marked_in_words_and_in_json() -> None:
    found, cannot = suggested()
    told = list(ranked.lines(found, cannot))
    assert ">=" not in told[0] and ">= " in told[6]
    assert any(line.startswith("    web-tray: item.height") for line in told)
    record = ranked.as_json(found, cannot)
    assert [one["bounds"] == [] for one in record["suggestions"]] == [one.figures.true for one in found]
    assert {no["name"] for no in record["refused"]} == {no.name for no in cannot}


def test_the_command_ranks_and_tells_as_json(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "PLANNED", 1)
    path = tmp_path / "bare.toml"
    path.write_text(BARE)
    plain, record = (CliRunner().invoke(main, ["suggest", str(path), *more]) for more in ([], ["--json"]))
    assert plain.exit_code == record.exit_code == 0
    suggestions = json.loads(record.output)["suggestions"]
    assert [one["rank"] for one in suggestions] == list(range(1, len(suggestions) + 1))
    assert plain.output.startswith(f" 1  {suggestions[0]['name']}: ")
    keys = {"name", "planned", "pieces", "sheets", "waste", "glue_spots", "steps", "minutes", "why"}
    assert all(keys <= set(one) for one in suggestions)


def test_a_spec_that_cannot_be_read_is_told_in_one_message() -> None:
    result = CliRunner().invoke(main, ["suggest", "none.toml"])
    assert result.exit_code == 2 and "no such file" in result.output and "Traceback" not in result.output

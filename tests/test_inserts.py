"""Inserts in boxes: the box is built for all that they hold, they fit in with their play, and go in before the things and the lid."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from booklet import inserts, planning, space, steps
from booklet.check import Check
from booklet.errors import Refused, SpecError
from booklet.net import Net
from booklet.spec import Spec, load
from booklet.thickness import Thickness, way_of
from tests import samples

CUPS = """
style = "{style}"
[item]
shape = "round"
diameter = "48 mm"
height = "62 mm"
[fit]
clearance = "4 mm"
headroom = "5 mm"
[card]
sheet = "{sheet}"
caliper = "{t} mm"
splice = {splice}
[booklet]
units = "{units}"
[insert]
style = "{insert}"
{more}
"""


def spec_of(folder: Path, more: str = "", **given: str) -> Spec:
    words = {"style": "lidded-box", "sheet": "A1", "t": "0.4", "splice": "false", "units": "mm", "insert": "divider", "more": more} | given
    path = folder / "box.toml"
    path.write_text(CUPS.format(**words))
    return load(path, samples.OPTIONS)


def made(spec: Spec) -> Net:
    fit = planning.fit_of(spec)
    card = Thickness(spec.card.caliper, way_of(spec.card.caliper, None))
    return steps.found(planning.net_of(spec, spec.card, fit, card))


def proven(net: Net, spec: Spec) -> dict[str, Check]:
    return {check.name: check for check in planning.proven(net, planning.fit_of(spec))[0]}


@pytest.fixture(scope="module")
def six(tmp_path_factory: pytest.TempPathFactory) -> tuple[Spec, Net]:
    spec = spec_of(tmp_path_factory.mktemp("six"), "rows = 2\ncolumns = 3")
    return spec, made(spec)


class TestTheBoxIsBuiltForAllOfThem:
    def test_its_inside_holds_rows_and_columns_of_things_with_the_strips_between(self, six: tuple[Spec, Net]) -> None:
        _, net = six
        assert net.inside.length >= 3 * (48 + 4 - 0.5) + 2 * 0.4
        assert net.inside.width >= 2 * (48 + 4 - 0.5) + 0.4
        assert net.inside.length < 3 * 53 + 2 * 1.0 + 3
        assert net.item.length == 48.0

    def test_things_stand_in_the_middle_of_their_cells_clear_of_each_other(self, six: tuple[Spec, Net]) -> None:
        _, net = six
        stands = inserts.stands(net)
        assert len(stands) == 6 and inserts.cells(net) == (2, 3)
        assert sum(x for x, _ in stands) == pytest.approx(0.0, abs=1.0)
        apart = [((a - c) ** 2 + (b - d) ** 2) ** 0.5 for i, (a, b) in enumerate(stands) for c, d in stands[:i]]
        assert min(apart) >= 48.0 + 4.0 - 0.5

    def test_every_check_holds_and_the_play_of_insert_and_thing_is_told(self, six: tuple[Spec, Net]) -> None:
        spec, net = six
        found = proven(net, spec)
        assert not [check for check in found.values() if not check.ok]
        assert "0.50 mm at the left" in found["insert.fits"].text
        assert "4.1 mm along, 4.1 mm across" in found["item.fits"].text

    def test_strips_no_higher_than_asked(self, tmp_path: Path) -> None:
        net = made(spec_of(tmp_path, 'height = "40 mm"'))
        assert {part.pieces[0].size[1] for part in inserts.parts_of(net)} == {40.0}


class TestItFitsIn:
    @pytest.mark.parametrize("style", ["tray", "tuck-carton"])
    @pytest.mark.parametrize("insert", ["divider", "cradle"])
    @pytest.mark.parametrize("units", ["mm", "in"])
    def test_other_boxes_take_it_too(self, tmp_path: Path, style: str, insert: str, units: str) -> None:
        spec = spec_of(tmp_path, style=style, insert=insert, units=units)
        assert not [check for check in proven(made(spec), spec).values() if not check.ok]

    def test_board_that_is_half_cut_and_marked_outside(self, tmp_path: Path) -> None:
        spec = spec_of(tmp_path, style="tray", t="1.2", insert="cradle")
        net = made(spec)
        assert net.marks == "outside"
        assert not [check for check in proven(net, spec).values() if not check.ok]

    def test_a_box_that_is_joined_across_keeps_its_room(self, tmp_path: Path) -> None:
        spec = spec_of(tmp_path, "rows = 4\ncolumns = 4", style="tray", sheet="212 x 242 mm", splice="true", insert="divider")
        net = made(spec)
        assert any(fold.kind == "splice" for fold in net.part["box"].folds)
        assert not [check for check in proven(net, spec).values() if not check.ok]

    def test_an_insert_that_is_shifted_against_a_wall_is_found(self, six: tuple[Spec, Net]) -> None:
        spec, net = six
        moved = space.moved(0.8, 0.0, 0.0)
        parts = tuple(
            replace(part, places=(space.rows(moved @ space.matrix(part.places[0])),)) if part.role == "insert" else part
            for part in net.parts
        )
        assert not proven(replace(net, parts=parts), spec)["insert.fits"].ok

    def test_card_of_the_box_in_its_inside_is_still_found(self, six: tuple[Spec, Net]) -> None:
        spec, net = six
        low = replace(net, inside=replace(net.inside, height=net.inside.height + 2.0))
        assert not proven(low, spec)["inside.free"].ok


class TestTheOrder:
    def test_the_insert_goes_in_before_the_things_and_these_before_the_lid(self, six: tuple[Spec, Net]) -> None:
        words = [step.words for step in six[1].steps if step.kind in ("close", "put")]
        assert words == ["close-strip", "close-strip-over", "close-strip-over", "put-items", "close-lid"]

    def test_in_a_carton_it_goes_in_while_the_top_is_open(self, tmp_path: Path) -> None:
        words = [step.words for step in made(spec_of(tmp_path, style="tuck-carton", insert="cradle")).steps]
        assert words.index("close-insert") + 1 == words.index("put-item")
        assert words.index("put-item") < len(words) - 1

    def test_under_a_hinged_lid_it_goes_in_before_the_lid_is_in_its_way(self, tmp_path: Path) -> None:
        spec = spec_of(tmp_path, style="hinged-lid-box")
        net = made(spec)
        assert not [check for check in proven(net, spec).values() if not check.ok]
        words = [step.words for step in net.steps]
        assert words.index("close-strip-over") < words.index("put-items") < len(words) - 1

    def test_a_box_that_closes_through_its_insert_is_found(self, tmp_path: Path) -> None:
        spec = spec_of(tmp_path, style="tuck-carton", insert="cradle")
        net = made(spec)
        raised = space.moved(0.0, 0.0, 30.0)

        def up(places: tuple[space.Rows, ...]) -> tuple[space.Rows, ...]:
            return tuple(space.rows(raised @ space.matrix(place)) for place in places)

        parts = tuple(replace(part, places=up(part.places)) if part.role == "insert" else part for part in net.parts)
        order = tuple(replace(step, move=up(step.move)) if step.move else step for step in net.steps)
        found = proven(replace(net, parts=parts, steps=order), spec)
        assert not found["insert.way"].ok and not found["insert.height"].ok

    def test_the_parts_are_carried_from_above(self, six: tuple[Spec, Net]) -> None:
        for step in six[1].steps:
            if step.move:
                first, last = (space.matrix(place)[:3, 3] for place in (step.move[0], step.move[-1]))
                assert first[2] > last[2] + 20 and abs(first[:2] - last[:2]).max() < 1e-6


class TestTheSpec:
    def test_a_box_without_a_cuboid_inside_is_refused(self, tmp_path: Path) -> None:
        with pytest.raises(Refused, match=r"insert\.style: an insert needs a box with a rectangular inside"):
            made(spec_of(tmp_path, style=_other()))

    def test_all_faults_are_told_at_once(self, tmp_path: Path) -> None:
        with pytest.raises(SpecError) as told:
            spec_of(tmp_path, 'rows = 1\nrim = "10 mm"\nheight = 40')
        assert [fault.where for fault in told.value.faults] == ["insert.rows", "insert.rim", "insert.height"]
        assert "whole number from 2 to 12" in str(told.value)

    def test_an_insert_needs_a_style_and_a_known_one(self, tmp_path: Path) -> None:
        with pytest.raises(SpecError, match=r'insert\.style: "shelves" is not allowed: write "divider" or "cradle"'):
            spec_of(tmp_path, insert="shelves")
        path = tmp_path / "bare.toml"
        path.write_text('style = "tray"\n[item]\nlength = "9 cm"\nwidth = "8 cm"\nheight = "3 cm"\n[insert]\n')
        with pytest.raises(SpecError, match=r"line 6, insert\.style: is missing"):
            load(path, samples.OPTIONS)

    def test_an_insert_does_not_stand_in_an_insert(self, tmp_path: Path) -> None:
        with pytest.raises(SpecError, match='does not go with style = "cradle"'):
            spec_of(tmp_path, style="cradle")

    def test_without_the_table_there_is_none(self) -> None:
        assert samples.spec("mug").insert is None

    def test_card_that_the_insert_does_not_bear_is_refused(self, tmp_path: Path) -> None:
        fit = planning.fit_of(spec := spec_of(tmp_path, insert="cradle"))
        with pytest.raises(Refused, match="too thick"):
            inserts.wanted(spec, fit, Thickness(2.5, "half-cut"))


@cache
def _other() -> str:
    """A style whose inside is no cuboid."""
    return "tapered-tray" if "tapered-tray" in samples.OPTIONS else "prism-box"

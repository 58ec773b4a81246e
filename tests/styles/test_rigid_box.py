"""A rigid box and its wrap: how paper lies on board, how its corners are cut, and the order in which it is folded round."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely

from booklet import across, butts, materials, sheets, space
from booklet.card import Card
from booklet.errors import Refused
from booklet.net import Item, Net
from booklet.replay import Moment, play, replay, start
from booklet.steps import search
from tests import boxes

TILES = Item("block", 110.0, 76.0, 34.0)
A3 = Card(2.0, (297.0, 420.0))


@pytest.fixture(scope="module")
def made() -> Net:
    return tray()


def tray(item: Item = TILES, t: float = 2.0, clearance: float = 4.0, headroom: float = 3.0, **more: Any) -> Net:
    return boxes.whole("rigid-box", item, t=t, clearance=clearance, headroom=headroom, **more)


def moment(made: Net, words: str, at: int = 0) -> Moment:
    return [m for m in replay(made).moments if m.step.words == words][at]


class TestTheWrap:
    def test_its_size_by_hand(self, made: Net) -> None:
        """Base 118.5 x 84.5 mm (the item, its play, two boards, two layers of paper, up to the mark), walls 37 mm high: the wrap adds
        twice the outside height, the board's edge and the turn-in; each fold over a corner takes one caliper of paper.
        """
        base, piece = made.part["base-board"].pieces[0].size, made.part["wrap"].pieces[0].size
        assert base == pytest.approx((118.5, 84.5))
        p, t, height, turn_in = 0.15, 2.0, 37.0, 15.0
        for out, board in zip(piece, base, strict=True):
            assert out == pytest.approx(board + p + 2 * ((height + t + p) + (t + p) + turn_in))

    @pytest.mark.parametrize("t", [1.0, 1.4, 2.0, 3.0])
    @pytest.mark.parametrize("units", ["mm", "in"])
    def test_corners_are_cut_at_45_degrees_one_and_a_half_to_two_calipers_off_the_boards_corner(self, t: float, units: str) -> None:
        """Common practice, no source."""
        part = tray(t=t, units=units).part["wrap"]
        for fold in (f for f in part.folds if f.child.startswith("corner-tab")):
            cover, tab = part.panel[fold.parent].outline, part.panel[fold.child].outline
            rim = min(math.dist(end, corner) for end in fold.line for corner in (cover[2], cover[3]))
            assert 1.5 * t - 1e-9 <= rim <= 2 * t + 1e-9
            slopes = [math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) % 90 for a, b in zip(tab, (*tab[1:], tab[0]), strict=True)]
            assert any(abs(slope - 45) < 1e-6 for slope in slopes)

    def test_strips_over_the_rim_meet_in_a_mitre_and_cover_it(self, made: Net) -> None:
        rim = [butt for butt in made.butts if butt.parts[1][0] == "wrap"]
        assert Counter(butt.parts[0][0] for butt in rim) == Counter({f"{side}-wall-{n}": 1 for side in ("long", "short") for n in (1, 2)})
        for fold in (f for f in made.part["wrap"].folds if f.child.startswith("rim-strip")):
            strip = made.part["wrap"].panel[fold.child].outline
            outer, inner = math.dist(strip[0], strip[1]), math.dist(strip[2], strip[3])
            assert outer - inner == pytest.approx(2 * (2.0 + 0.15))

    @pytest.mark.parametrize("width", [26.0, 76.0])
    def test_turn_ins_are_cut_at_45_degrees_however_narrow_the_box(self, width: float) -> None:
        part = tray(Item("block", 110.0, width, 34.0)).part["wrap"]
        for n in (1, 2, 3, 4):
            start, end, last, first = part.panel[f"turn-in-{n}"].outline
            depth = shapely.LineString((last, first)).distance(shapely.Point(start)) / math.sqrt(2)
            assert math.dist(start, end) - math.dist(first, last) == pytest.approx(2 * depth)

    def test_all_boards_but_their_hidden_edges_are_covered(self, made: Net) -> None:
        """Paper is glued to the whole of every outer face, and to the inside as deep as the turn-in."""
        glued: dict[tuple[str, str], float] = {}
        for bond in made.bonds:
            if across.is_across(bond):
                key = bond.panels[1][0], bond.faces[1]
                glued[key] = glued.get(key, 0.0) + shapely.Polygon(bond.region).area
        for part in made.parts[:-1]:
            share = glued[part.name, "back"] / math.prod(part.pieces[0].size)
            assert share == pytest.approx(1.0, abs=0.03)

    def test_layers_of_paper_leave_the_play_asked_for(self) -> None:
        inside = tray(paper=0.2).inside
        assert 114.0 <= inside.length < 114.5 and 80.0 <= inside.width < 80.5 and inside.height == 37.0


class TestRefusals:
    @pytest.mark.parametrize("t, limit", [(0.8, "from 1 mm"), (3.2, "3 mm")])
    def test_board_is_1_to_3_mm_thick(self, t: float, limit: str) -> None:
        with pytest.raises(Refused, match=limit):
            tray(t=t)

    def test_a_box_too_narrow_for_a_finger_is_refused_with_the_figure(self) -> None:
        with pytest.raises(Refused, match=r"item\.width.* 25 mm"):
            tray(Item("block", 80.0, 18.0, 30.0), clearance=1.0)

    def test_turn_ins_of_a_low_box_are_shortened_and_told(self) -> None:
        made = tray(Item("block", 80.0, 60.0, 12.0), headroom=0.0)
        assert {note.option for note in made.notes} >= {"turn_in"}
        assert boxes.failed(made, boxes.fit(made.item, clearance=4, headroom=0)) == set()


class TestSteps:
    def test_boards_stand_on_the_wrap_before_it_is_folded_round_them_from_the_base_to_the_rim(self, made: Net) -> None:
        roles = {step.number: {made.part["wrap"].panel[made.part["wrap"].fold[f].child].role for f, _ in step.folds} for step in made.steps}
        assert [step.words for step in made.steps[:2]] == ["score", "close-board-on-wrap"]
        assert [step.words for step in made.steps[2:6]] == ["close-board"] * 4
        order = [*(roles[step.number] for step in made.steps if step.words == "wrap")]
        assert order == [{"cover"}, {"corner-tab"}, {"cover"}, {"rim-strip"}, {"turn-in"}]
        assert made.steps[-1].words == "put-item"

    def test_each_bond_is_made_when_its_panel_comes_to_the_board(self, made: Net) -> None:
        assert sorted(n for step in made.steps for n in step.bonds) == list(range(len(made.bonds)))
        for m in replay(made).moments:
            for number in m.step.bonds:
                if across.is_across(made.bonds[number]):
                    assert across.strain(made, m, made.bonds[number])[-1] < 1e-6

    def test_a_bond_made_before_its_panel_is_there_is_found(self, made: Net) -> None:
        late = moment(made, "wrap", 4)
        number = late.step.bonds[0]
        assert across.strain(made, moment(made, "wrap", 0), made.bonds[number])[-1] > 10

    @pytest.mark.parametrize("height", [34.0, 240.0])
    @pytest.mark.parametrize("roles", [("rim-strip", "turn-in"), ("corner-tab",)])
    def test_what_is_folded_before_its_cover_stands_would_not_come_to_the_board_from_before_it(
        self, height: float, roles: tuple[str, ...]
    ) -> None:
        """A turn-in would go through the board, however fast its tall cover comes up; a tab would wipe along it."""
        made = tray(Item("block", 110.0, 76.0, height))
        bent = {f.name: 90.0 for f in made.part["wrap"].folds if f.child.startswith(roles)}
        step = replace(moment(made, "wrap").step, number=0, bonds=())
        before = start(made)
        early = replace(before, angles={**before.angles, "wrap": {**before.angles["wrap"], **bent}})
        assert across.astray(made, play(made, early, step)[0]).startswith(roles)
        assert across.astray(made, play(made, before, step)[0]) == ""

    def test_a_cover_that_is_folded_the_wrong_way_runs_into_the_boards(self, made: Net) -> None:
        names = {f.name: 170.0 for f in made.part["wrap"].folds if f.child == "cover-1"}
        step = replace(moment(made, "wrap").step, number=0, bonds=(), folds=tuple(names.items()))
        assert across.into_boards(made, play(made, start(made), step)[0])[0] > 1.0
        assert across.into_boards(made, moment(made, "wrap"))[0] == 0.0

    def test_without_the_boards_the_rim_would_be_folded_first(self, made: Net) -> None:
        """What the boards do to the order: they are the reason for it."""
        bare = replace(made, parts=(made.part["wrap"],), butts=(), bonds=tuple(b for b in made.bonds if not across.is_across(b)))
        first = search.found(bare, bare.parts[0], False)[0]
        assert all("rim-strip" in name for name in first.action.targets)


class TestProof:
    def test_paper_that_stands_off_the_board_is_found(self, made: Net) -> None:
        part = made.part["wrap"]
        place = space.rows(space.moved(0, 0, -0.2) @ space.matrix(part.places[0]))
        assert "bonds.touch" in boxes.failed(boxes.with_part(made, replace(part, places=(place,))), fit())

    def test_paper_inside_the_board_is_found(self, made: Net) -> None:
        part = made.part["wrap"]
        place = space.rows(space.moved(0.3, 0, 0) @ space.matrix(part.places[0]))
        assert not boxes.named(butts.checks(boxes.with_part(made, replace(part, places=(place,)))), "butts.apart").ok

    @pytest.mark.parametrize("outside", [False, True])
    @pytest.mark.parametrize("t", [1.0, 3.0])
    def test_it_holds_on_either_marked_face(self, t: float, outside: bool) -> None:
        assert boxes.failed(tray(t=t, outside=outside), fit()) == set()


def fit() -> Any:
    return boxes.fit(TILES, clearance=4.0, headroom=3.0)


class TestTwoMaterials:
    def test_board_and_paper_lie_on_sheets_of_their_own(self, made: Net) -> None:
        placed = sheets.lay(made, A3)
        assert {p.part for p in placed if p.sheet == 2} == {"wrap"} and max(p.sheet for p in placed) == 2
        assert sheets.counted(made, placed) == ((2.0, 1), (0.15, 1))
        assert all(check.ok for check in sheets.checks(made, A3, placed))
        assert sheets.least(made, A3) == 2

    def test_a_wrap_on_a_sheet_of_board_is_found(self, made: Net) -> None:
        large = Card(2.0, (420.0, 594.0))
        wrong = sheets.lay(replace(made, parts=tuple(replace(p, caliper=2.0) for p in made.parts)), large)
        assert {p.sheet for p in wrong} == {1}
        assert [c.name for c in sheets.checks(made, large, wrong) if not c.ok] == ["sheets.materials"]

    def test_many_boxes_gang_each_material_by_itself(self, made: Net) -> None:
        gang = sheets.gang(made, A3, 5)
        on = [(pattern.times, [p.part for p in pattern.placed]) for pattern in gang.patterns]
        assert sum(times * names.count("wrap") for times, names in on) == 5
        assert all(set(names) == {"wrap"} or "wrap" not in names for _, names in on)
        assert [p.sheet for pattern in gang.patterns for p in pattern.placed] == sorted(p.sheet for q in gang.patterns for p in q.placed)
        assert gang.sheets >= gang.least >= 4

    def test_a_pack_of_board_is_not_used_up_by_paper(self, made: Net) -> None:
        assert sheets.pack_yield(made, A3, 10) > sheets.pack_yield(replace(made, parts=made.parts[:-1]), A3, 4)
        assert sheets.pack_yield(made, A3, 10) == sheets.pack_yield(replace(made, parts=made.parts[:-1]), A3, 10)

    def test_paper_is_not_weighed_as_board(self, made: Net) -> None:
        needs = materials.reckon(made, 1290, 2, 0)
        board = sum(math.prod(part.pieces[0].size) for part in made.parts[:-1])
        assert needs.card_mm2 == pytest.approx(board) and needs.card_g == pytest.approx(board * 1e-6 * 1290)
        assert needs.paper_mm2 == pytest.approx(shapely.Polygon(made.part["wrap"].pieces[0].outline).area)
        assert np.isclose(needs.glue_mm2, sum(shapely.Polygon(b.region).area for b in made.bonds) + butts.area(made))

"""Rigid boards that butt: sizes, joints with their thickness, and the order in which they are set together."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from booklet import butts, materials, space
from booklet.errors import Refused
from booklet.export import document
from booklet.net import Item, Net
from booklet.steps import boards
from tests import boxes, samples

BOOK = Item("block", 157.0, 12.0, 113.0)


def case(item: Item = BOOK, t: float = 2.0, clearance: float = 2.0, headroom: float = 0.0, **more: Any) -> Net:
    return boxes.whole("slipcase", item, t=t, clearance=clearance, headroom=headroom, **more)


def failed(made: Net) -> set[str]:
    return {check.name for check in butts.checks(made) if not check.ok}


def shifted(made: Net, name: str, *by: float) -> Net:
    """The net with one board moved, mm in the closed box."""
    part = made.part[name]
    place = space.rows(space.moved(*by) @ space.matrix(part.places[0]))
    return boxes.with_part(made, replace(part, places=(place,)))


class TestSizes:
    def test_the_play_asked_for_is_kept_whole_and_the_book_is_flush_without_headroom(self) -> None:
        for t in (1.0, 1.9, 2.5, 3.0):
            inside = case(t=t).inside
            assert 159.0 - 1e-9 <= inside.length < 159.5 and (inside.width, inside.height) == (14.0, 113.0)

    @pytest.mark.parametrize("units, mark", [("mm", 0.5), ("in", 25.4 / 16)])
    def test_every_board_is_cut_to_a_mark_of_the_ruler_whatever_its_thickness(self, units: str, mark: float) -> None:
        for part in case(t=1.83, units=units).parts:
            for side in part.pieces[0].size:
                assert side / mark == pytest.approx(round(side / mark), abs=1e-6)

    @pytest.mark.parametrize("t, limit", [(0.9, "from 1 mm"), (3.1, "3 mm")])
    def test_board_is_1_to_3_mm_thick(self, t: float, limit: str) -> None:
        with pytest.raises(Refused, match=limit):
            case(t=t)

    def test_walls_too_narrow_to_be_cut_are_refused_with_the_figure(self) -> None:
        with pytest.raises(Refused, match=r"walls 2\.5 mm deep"):
            case(Item("block", 157.0, 2.0, 113.0), clearance=0.5)


class TestButts:
    def test_eight_edges_stand_on_faces_and_hold_all_boards(self) -> None:
        made = case()
        pairs = sorted((one[0], two[0]) for one, two in (butt.parts for butt in made.butts))
        walls = ("long-wall", "short-wall-1", "short-wall-2")
        on_faces = [(wall, face) for wall in walls for face in ("face-1", "face-2")]
        assert pairs == sorted([*on_faces, ("short-wall-1", "long-wall"), ("short-wall-2", "long-wall")])
        assert failed(made) == set()

    def test_they_hold_on_the_other_face_too(self) -> None:
        assert failed(case(outside=True)) == set()

    def test_a_board_that_stands_off_is_found(self) -> None:
        assert failed(shifted(case(), "face-2", 0, 0.1, 0)) == {"butts.touch"}

    def test_a_board_that_stands_in_another_is_found_with_both_names(self) -> None:
        made = shifted(case(), "short-wall-1", 0, 0, -0.3)
        assert "butts.apart" in failed(made)
        check = boxes.named(butts.checks(made), "butts.apart")
        assert check.figure == pytest.approx(0.3) and "long-wall and short-wall-1" in check.text

    def test_an_edge_beside_the_face_is_found(self) -> None:
        assert "butts.within" in failed(shifted(case(), "short-wall-2", 0.2, 0, 0))

    def test_a_line_that_is_no_edge_is_found(self) -> None:
        made = case()
        (ax, ay), (bx, by) = made.butts[0].line
        wrong = replace(made.butts[0], line=((ax, ay + 1), (bx, by + 1)))
        assert {"butts.touch", "butts.within"} <= failed(replace(made, butts=(wrong, *made.butts[1:])))

    def test_a_board_without_glue_is_found(self) -> None:
        made = case()
        loose = tuple(butt for butt in made.butts if "face-2" not in (butt.parts[0][0], butt.parts[1][0]))
        assert failed(replace(made, butts=loose)) == {"butts.held"}

    def test_glue_is_asked_for_by_the_area_of_the_edges(self) -> None:
        made = case()
        on_faces, on_the_long_wall = 2 * (163 + 113 + 113) * 2.0, 2 * 14 * 2.0
        assert materials.reckon(made, 1290, 1, 0).glue_mm2 == pytest.approx(on_faces + on_the_long_wall)
        assert butts.needs_glue(made) and not butts.needs_glue(replace(made, butts=()))


class TestDepth:
    """Two cubes against closed forms."""

    def cube(self, side: float, place: Any = None) -> butts.Solid:
        made = boxes.net("slipcase", BOOK, t=2.0).parts[0]
        half = side / 2
        panel = replace(made.panels[0], outline=((-half, -half), (half, -half), (half, half), (-half, half)))
        part = replace(made, caliper=side, panels=(panel,), places=(space.rows(space.identity() if place is None else place),))
        return next(butts.solids(part))

    def test_cubes_that_touch_or_are_apart_share_no_room(self) -> None:
        for away in (2.0, 2.5):
            assert butts.depth(self.cube(2.0), self.cube(2.0, space.moved(away, 0.5, 0.3))) == pytest.approx(0.0, abs=1e-12)

    def test_cubes_that_overlap_are_as_deep_as_the_shortest_way_out(self) -> None:
        assert butts.depth(self.cube(2.0), self.cube(2.0, space.moved(1.9, 1.0, 0.3))) == pytest.approx(0.1)

    def test_edge_against_edge_is_told_by_the_direction_square_to_both(self) -> None:
        """Two unit cubes, each on edge, the edges crossing: their distance is that of two half diagonals."""
        turned = space.turned((0, 1, 0), 45.0)
        other = space.turned((1, 0, 0), 45.0)
        for off, deep in ((0.05, 0.0), (-0.05, 0.05)):
            there = space.moved(0, 0, math.sqrt(2) + off) @ other
            assert butts.depth(self.cube(1.0, turned), self.cube(1.0, there)) == pytest.approx(deep, abs=1e-9)


class TestSteps:
    def test_a_face_lies_first_the_walls_stand_on_it_the_other_face_comes_last(self) -> None:
        made = case()
        assert [(step.part, step.words) for step in made.steps] == [
            ("face-1", "score-boards"),
            ("long-wall", "close-board"),
            ("short-wall-1", "close-board"),
            ("short-wall-2", "close-board"),
            ("face-2", "close-board-over"),
            ("face-1", "put-item"),
        ]

    def test_the_first_face_lies_with_its_inside_up_until_the_item_goes_in(self) -> None:
        assert [step.up for step in case().steps] == [(0.0, 1.0, 0.0)] * 5 + [(0.0, 0.0, 1.0)]

    def test_no_board_wipes_along_a_face_on_which_it_is_glued(self) -> None:
        made = case()
        for laid in boards.in_order(made, made.parts)[1:]:
            for butt in laid.edges:
                face = space.matrix(made.part[butt.parts[1][0]].places[0])[:3, 2]
                assert abs(float(laid.way @ face)) > 0.7

    def test_boards_share_no_room_on_their_way(self) -> None:
        made = case()
        for step in made.steps:
            for place in step.move:
                part = made.part[step.part]
                there = boxes.with_part(made, replace(part, places=(place,)))
                present = {s.part for s in made.steps if s.number <= step.number}
                some = replace(there, parts=tuple(p for p in there.parts if p.name in present))
                assert butts.deepest(some)[0] < 1e-9

    def test_a_board_that_meets_no_other_is_refused(self) -> None:
        made = replace(case(), butts=())
        with pytest.raises(Refused, match="meets no other board"):
            boards.in_order(made, made.parts)

    def test_an_item_larger_than_the_hollow_cannot_go_in(self) -> None:
        made = case()
        assert boards.can_be_filled(made, made.parts)
        assert not boards.can_be_filled(replace(made, item=Item("block", 163.0, 12.0, 113.0)), made.parts)


def test_the_exported_net_tells_each_edge_and_the_face_on_which_it_stands() -> None:
    data = json.loads(json.dumps(document(samples.plan("recipes"), {})))
    assert len(data["butts"]) == 8
    parts = {part["name"]: part for part in data["parts"]}
    for butt in data["butts"]:
        (one, _), (two, _) = butt["parts"]
        first, second = (np.array(parts[name]["places"][0]) for name in (one, two))
        ends = np.array([[*point, 0.0, 1.0] for point in butt["line"]])
        heights = (ends @ first.T @ np.linalg.inv(second).T)[:, 2]
        assert np.abs(heights) == pytest.approx([parts[two]["caliper"] / 2] * 2)

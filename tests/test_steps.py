"""The order of the hands is found, allowed, and the easiest by the costs of the search."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from booklet import space, steps
from booklet.errors import Refused
from booklet.folding import folder
from booklet.net import Item, Net, Step
from booklet.proof import prove
from booklet.steps import like, search
from booklet.steps.chains import Tree
from booklet.steps.corners import Corner
from booklet.steps.glued import Glued
from booklet.steps.opening import Opening
from booklet.steps.work import Work
from booklet.tolerance import FRAME
from tests import boxes

SMALL = (304.8, 304.8)


def words(net: Net, part: str = "") -> list[str]:
    return [step.words for step in net.steps if not part or step.part == part]


def moved(net: Net, step: Step) -> set[str]:
    return {net.part[step.part].fold[name].child for name, _ in step.folds}


def step_that_moves(net: Net, panel: str) -> Step:
    return next(s for s in net.steps if panel in moved(net, s) and s.words not in ("crease", "dry-fit", "over", "over-glue"))


@pytest.fixture(scope="module")
def nets() -> dict[str, Net]:
    return {style: boxes.whole(style) for style in boxes.EVERY_STYLE}


class TestTheOrderIsThatOfAHand:
    def test_the_base_comes_before_the_lid_and_the_ring_of_walls_before_the_base(self, nets: dict[str, Net]) -> None:
        net = nets["lidded-box"]
        parts = [step.part for step in net.steps if step.kind not in ("put", "close")]
        assert parts == sorted(parts)
        assert step_that_moves(net, "base-1").number > next(s.number for s in net.steps if s.kind == "square")

    def test_hems_and_rings_are_glued_while_the_card_lies_flat(self, nets: dict[str, Net]) -> None:
        for style in ("lidded-box", "tuck-carton"):
            _, played = prove(nets[style], boxes.fit(nets[style].item))
            flat = [m.step.words for m in played.moments if m.step.bonds and m.flat]
            assert "over-glue" in flat
            assert ("hem" in flat) == (style == "lidded-box")

    def test_like_panels_are_folded_together(self, nets: dict[str, Net]) -> None:
        assert {f"hem-{i}" for i in (1, 2, 3, 4)} <= moved(nets["lidded-box"], step_that_moves(nets["lidded-box"], "hem-1"))
        assert {f"corner-flap-{i}" for i in (1, 2, 3, 4)} == moved(nets["tray"], step_that_moves(nets["tray"], "corner-flap-1"))
        assert {f"wall-{i}" for i in (1, 2, 3, 4)} <= moved(nets["web-tray"], step_that_moves(nets["web-tray"], "wall-1"))

    def test_the_item_goes_into_a_carton_between_its_two_ends(self, nets: dict[str, Net]) -> None:
        net = nets["tuck-carton"]
        put = next(s.number for s in net.steps if s.kind == "put")
        assert step_that_moves(net, "closing-bottom").number < put < step_that_moves(net, "dust-flap-1").number
        assert net.steps[-1].kind == "close" and "closing-top" in moved(net, net.steps[-1])

    def test_an_open_box_is_filled_last_and_one_with_a_lid_before_the_lid(self, nets: dict[str, Net]) -> None:
        assert words(nets["tray"])[-1] == words(nets["web-tray"])[-1] == "put-item"
        assert words(nets["lidded-box"])[-2:] == ["put-item", "close-lid"]

    def test_a_box_is_turned_over_as_seldom_as_can_be(self, nets: dict[str, Net]) -> None:
        turns = {style: sum(s.kind == "turn" for s in net.steps) for style, net in nets.items()}
        assert turns == {"lidded-box": 1, "tray": 0, "tuck-carton": 1, "web-tray": 0}
        outside = boxes.whole("lidded-box", outside=True)
        assert [w for w in words(outside) if w.startswith("turn")] == ["turn-flat", "turn-upright", "turn-flat"]

    def test_pieces_are_joined_before_anything_stands_and_after_the_hems_that_their_flaps_cover(self) -> None:
        net = boxes.whole("lidded-box", sheet=SMALL)
        told = words(net, "box")
        assert told.index("hem") < told.index("join") < told.index("over") < told.index("square")


class TestStepsThatARealBoxNeeds:
    @pytest.mark.parametrize("style", boxes.EVERY_STYLE)
    def test_each_part_is_scored_and_then_creased_along_every_fold(self, nets: dict[str, Net], style: str) -> None:
        for part in nets[style].parts:
            own = [s for s in nets[style].steps if s.part == part.name]
            assert [s.words for s in own[:2]] == ["score", "crease"]
            assert {name for name, _ in own[1].folds} == {f.name for f in part.folds if f.angle}
            assert not any(angle for _, angle in own[1].folds)

    def test_a_trial_box_comes_first_before_a_batch_and_only_then(self) -> None:
        net = boxes.net("tray")
        assert words(steps.found(net, batch=True))[0] == "trial"
        assert "trial" not in words(steps.found(net))

    def test_the_lid_is_tried_on_without_glue_right_before_its_corners_are_glued(self, nets: dict[str, Net]) -> None:
        net = nets["lidded-box"]
        dry = next(s for s in net.steps if s.words == "dry-fit")
        glued = net.steps[dry.number]
        assert glued.words == "on-to-flaps" and {n for n, _ in dry.folds} == {n for n, _ in glued.folds}
        assert not dry.bonds and all(angle == 0 for _, angle in dry.folds)
        assert max(abs(angle) for frame in dry.path for _, angle in frame) == 90
        assert dry.number > max(s.number for s in net.steps if s.part == "box" and s.kind != "put")

    def test_a_ring_that_was_glued_flat_is_squared(self, nets: dict[str, Net]) -> None:
        for style in ("lidded-box", "tuck-carton"):
            square = next(s for s in nets[style].steps if s.kind == "square")
            assert all(abs(angle) == 90 for _, angle in square.folds)
            assert nets[style].steps[square.number - 2].words == "over-glue"


class TestTheSearch:
    @pytest.mark.parametrize("style", ["tray", "web-tray", "lidded-box"])
    def test_the_bound_never_says_too_much(self, style: str, monkeypatch: pytest.MonkeyPatch) -> None:
        """Without the bound the search looks at every cheaper way first: it must end at the same cost."""
        net = boxes.net(style, boxes.thing(style))
        part = net.parts[-1]
        costs = []
        for bound in (search._Search._left, lambda self, state: 0.0):
            monkeypatch.setattr(search._Search, "_left", bound)
            found = search._Search(Work(net, part, part.role == "box"))
            found.best()
            costs.append(found.cost)
        assert costs[0] == pytest.approx(costs[1])

    def test_a_box_that_no_hand_can_glue_is_refused_with_the_reason(self) -> None:
        base = boxes.sizes("tray", Item("block", 60.0, 40.0, 40.0))
        from booklet.styles import shelf

        with pytest.raises(Refused, match=r"no order of folding was found for the box: when .* no finger reaches corner-flap"):
            steps.found(shelf()["tray"].net(replace(base, width=20.0)))

    def test_flaps_glued_to_the_outside_are_folded_after_their_walls(self) -> None:
        net = boxes.net("tray")
        outside = replace(net, bonds=tuple(replace(b, faces=(b.faces[1], b.faces[0])) for b in net.bonds))
        made = steps.found(outside)
        assert step_that_moves(made, "corner-flap-1").number > step_that_moves(made, "wall-1").number

    def test_a_bond_that_asks_for_the_impossible_is_refused(self) -> None:
        """A hem that is folded inward cannot lie on the back of its wall."""
        net = boxes.net("lidded-box")
        hem, *rest = net.bonds
        with pytest.raises(Refused, match="no order of folding"):
            steps.found(replace(net, bonds=(replace(hem, faces=("back", "back")), *rest)))

    def test_the_same_net_has_the_same_steps(self) -> None:
        assert steps.found(boxes.net("tuck-carton")).steps == steps.found(boxes.net("tuck-carton")).steps

    def test_bonds_are_numbered_as_they_are_made(self, nets: dict[str, Net]) -> None:
        for net in nets.values():
            assert [b for s in net.steps for b in s.bonds] == list(range(len(net.bonds)))

    def test_panels_in_any_order_give_the_same_number_of_steps(self) -> None:
        net = boxes.net("lidded-box")
        backwards = replace(net, bonds=net.bonds[::-1])
        assert sorted(words(steps.found(net))) == sorted(words(steps.found(backwards)))


def glued(net: Net, first: str, second: str) -> Glued:
    part = next(p for p in net.parts if first in p.panel)
    number = next(i for i, b in enumerate(net.bonds) if b.panels[0][1] == first and b.panels[1][1] == second)
    return Glued(number, net.bonds[number], Tree(folder(part)))


class TestWhenABondCanBeMade:
    def test_a_ring_can_be_glued_flat_with_two_folds_over(self) -> None:
        ring = glued(boxes.net("tuck-carton"), "glue-flap-1", "wall-1")
        assert ring.flat and all(sorted(abs(a) for a in one.values()) == [0, 0, 180, 180] for one in ring.flat)

    def test_a_corner_flap_cannot(self) -> None:
        assert glued(boxes.net("tray"), "corner-flap-1", "wall-1").flat == ()

    def test_a_wall_comes_to_its_flap_but_the_flap_not_to_the_wall(self) -> None:
        corner = glued(boxes.net("tray"), "corner-flap-1", "wall-1")
        done = dict(corner.final)
        flap, own, other = corner.folds
        assert corner.meets({**done, other: 0.0}, done)
        assert not corner.meets({**done, flap: 0.0}, done)
        assert not corner.meets({**done, own: 0.0}, done), "edge first, in the plane of the wall"


class TestCornersThatAreNotCut:
    @settings(max_examples=8, deadline=None)
    @given(st.floats(80, 240), st.floats(70, 200), st.floats(12, 30))
    def test_the_webs_follow_the_walls_in_frames_of_two_degrees_and_stay_whole(self, length: float, width: float, height: float) -> None:
        net = boxes.whole("web-tray", Item("block", length, width, height))
        part = net.parts[0]
        rise = next(s for s in net.steps if s.words == "raise")
        frames = [{name: 0.0 for name, _ in rise.folds}, *(dict(f) for f in rise.path), dict(rise.folds)]
        for before, after in pairwise(frames):
            assert max(abs(after[name] - before[name]) for name in after) <= FRAME + 1e-6
            half = {name: (before[name] + after[name]) / 2 for name in after}
            for loop in part.loops:
                assert abs(Corner(loop, Tree(folder(part))).gaps([half])).max() < 0.1

    def test_corners_that_mirror_each_other_are_one_problem(self) -> None:
        part = boxes.net("web-tray", boxes.DISH).parts[0]
        assert len({Corner(loop, Tree(folder(part))).shape for loop in part.loops}) == 1

    def test_a_web_alone_cannot_be_folded_while_the_walls_lie_flat(self) -> None:
        net = boxes.net("web-tray", boxes.DISH)
        work = Work(net, net.parts[0], True)
        flat = work.angles(work.start())
        assert work.corners.kept_closed(flat, {"wall-2/inner-web-1": -180.0}) is None


class TestTheItem:
    def test_it_goes_in_from_above_and_never_through_the_base(self) -> None:
        net = boxes.net("tray")
        part = net.parts[0]
        made = folder(part)
        places = made.places(made.final, space.matrix(part.places[0]))
        opening = Opening(made, net.item)
        assert opening.free(places, (2, 1))
        assert not any(opening.free(places, way) for way in ((0, 1), (0, -1), (1, 1), (1, -1)))
        assert any(opening.carries(place, i) for i, place in enumerate(places))


class TestLikeFolds:
    def test_opposite_walls_are_taken_before_single_ones(self) -> None:
        net = boxes.net("tray")
        made = folder(net.parts[0])
        walls = [f"base/wall-{i}" for i in (1, 2, 3, 4)]
        some = like.some_of(made, net.bonds, walls)
        assert some[0] == tuple(walls)
        assert {frozenset(s) for s in some[1:3]} == {frozenset(walls[::2]), frozenset(walls[1::2])}

    def test_dust_flaps_at_the_two_ends_are_not_alike(self) -> None:
        net = boxes.net("tuck-carton")
        made = folder(net.parts[0])
        dust = [f.name for f in net.parts[0].folds if f.child.startswith("dust-flap")]
        assert len(like.groups(made, net.bonds, dust)) == 2


@settings(max_examples=10, deadline=None)
@given(
    st.sampled_from(boxes.STYLES),
    st.tuples(st.floats(30, 260), st.floats(30, 220), st.floats(20, 240)),
    st.sampled_from([0.2, 0.35, 0.5, 0.9, 1.5]),
    st.booleans(),
    st.sampled_from([boxes.HUGE, SMALL]),
)
def test_an_order_is_found_that_stands_every_check_or_the_box_is_refused(
    style: str, size: tuple[float, float, float], t: float, outside: bool, sheet: Any
) -> None:
    try:
        net = boxes.net(style, Item("block", *size), t=t, outside=outside, sheet=sheet)
    except Refused:
        return
    assert boxes.failed(steps.found(net)) == set()

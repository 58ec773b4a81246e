"""An order that hands cannot do is found, and the check that finds it says what is wrong; what the search finds passes them all."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from booklet import space, steps
from booklet.errors import Refused
from booklet.net import Item, Net, Step
from booklet.proof import prove
from booklet.replay import replay
from booklet.styles import shelf
from tests import boxes, samples
from tests.mixes import LONG


def number(made: Net, first: str, second: str) -> int:
    """Which bond glues a panel to another."""
    return next(i for i, b in enumerate(made.bonds) if (b.panels[0][1], b.panels[1][1]) == (first, second))


def without(step: Step, *bonds: int) -> Step:
    return replace(step, bonds=tuple(b for b in step.bonds if b not in bonds))


def sentence(made: Net, name: str) -> str:
    """What a failing check says."""
    check = boxes.named(prove(made, boxes.fit(made.item))[0], name)
    assert not check.ok
    return check.text


# -- a panel glued after the one that covers it ------------------------------------------------------------------


def test_a_base_flap_glued_after_the_base_that_covers_it_is_found(lidded: Net) -> None:
    flap, base = boxes.gluing(lidded, "base-flap-2"), boxes.gluing(lidded, "base-2")
    own = number(lidded, "base-2", "base-flap-2")
    after = [without(base, own), replace(flap, bonds=(*flap.bonds, own))]
    made = boxes.swapped(lidded, {flap: [], base: after})
    assert "order.layers" in boxes.failed(made)
    assert "base-flap-2 on base-1" in sentence(made, "order.layers")


def test_a_hem_glued_after_the_flap_that_lies_on_it_is_found(lidded: Net) -> None:
    hems, own = boxes.gluing(lidded, "hem-1"), number(lidded, "hem-1", "wall-1")
    early = replace(without(hems, own), folds=tuple(f for f in hems.folds if f[0] != "wall-1/hem-1"))
    late = replace(hems, folds=(("wall-1/hem-1", 180.0),), bonds=(own,))
    ring = boxes.gluing(lidded, "glue-flap-1")
    made = boxes.swapped(lidded, {hems: [early], ring: [ring, late]})
    assert "order.layers" in boxes.failed(made)
    assert "hem-1 on wall-1" in sentence(made, "order.layers")


def test_a_ring_glued_with_its_flap_outside_is_found(lidded: Net) -> None:
    over = next(s for s in lidded.steps if dict(s.folds).get("wall-3/wall-4") == 180.0)
    ring = boxes.gluing(lidded, "glue-flap-1")
    assert over.number < ring.number
    # the wall that goes over last now carries the flap, which comes to lie on the outside
    made = boxes.swapped(lidded, {over: [replace(ring, bonds=())], ring: [replace(over, kind="bond", bonds=ring.bonds)]})
    assert "order.layers" in boxes.failed(made)
    assert "glue-flap-1 on wall-1" in sentence(made, "order.layers")


# -- no hand gets there ------------------------------------------------------------------------------------------


def test_a_corner_between_walls_that_leave_no_room_for_a_finger_is_found() -> None:
    sizes = boxes.sizes("tray", Item("block", 60.0, 22.0, 40.0))
    wide = steps.found(shelf()["tray"].net(replace(sizes, width=26.0)))
    assert "order.reach" not in boxes.failed(wide)
    tight = boxes.with_order_of(shelf()["tray"].net(replace(sizes, width=20.0)), wide)
    assert "order.reach" in boxes.failed(tight)
    assert "corner-flap-1 on wall-1" in sentence(tight, "order.reach")


def test_a_sleeve_pressed_only_after_its_ends_are_closed_is_found() -> None:
    narrow = boxes.whole("tuck-carton", Item("block", 16.0, 60.0, 90.0), clearance=1.0, headroom=1.0)
    assert boxes.failed(narrow, boxes.fit(narrow.item, clearance=1.0, headroom=1.0)) == set()
    ring = boxes.gluing(narrow, "glue-flap-1")
    late = replace(ring, folds=())
    made = boxes.with_steps(narrow, [*(replace(s, bonds=()) if s is ring else s for s in narrow.steps), late])
    assert "order.reach" in boxes.failed(made)
    assert f"step {len(made.steps)}: glue-flap-1 on wall-1" in sentence(made, "order.reach")


def test_a_hem_pressed_in_a_narrow_box_that_stands_is_found() -> None:
    item = Item("block", 90.0, 18.0, 120.0)
    narrow = boxes.whole("lidded-box", item, clearance=1.0, lid_hem=0.0)
    assert narrow.inside.width < 25.0 < narrow.inside.length
    hems = boxes.gluing(narrow, "hem-1")
    own = (number(narrow, "hem-1", "wall-1"), number(narrow, "hem-3", "wall-3"))
    late = replace(hems, folds=(), bonds=own)
    made = boxes.with_steps(narrow, [*(without(s, *own) for s in narrow.steps), late])
    fit = boxes.fit(item, clearance=1.0)
    assert boxes.failed(narrow, fit) == set()
    assert "order.reach" in boxes.failed(made, fit)


def test_a_base_flap_folded_dry_and_glued_only_under_the_base_is_found(lidded: Net) -> None:
    flap, base = boxes.gluing(lidded, "base-flap-1"), boxes.gluing(lidded, "base-2")
    made = boxes.swapped(lidded, {flap: [replace(flap, bonds=())], base: [base, replace(flap, folds=())]})
    assert {"order.layers", "order.reach"} & boxes.failed(made)


def test_a_sleeve_of_any_width_glued_only_after_its_ends_are_closed_is_found(carton: Net) -> None:
    ring = boxes.gluing(carton, "glue-flap-1")
    made = boxes.with_steps(carton, [*(replace(s, bonds=()) if s is ring else s for s in carton.steps), replace(ring, folds=())])
    assert {"order.layers", "order.reach"} & boxes.failed(made)


# -- card through card -------------------------------------------------------------------------------------------


def slid(made: Net, later: bool) -> Net:
    """Two base panels folded while the ring lies flat: squaring slides one over the other in their plane. `later`: glued a step later."""
    square, first, glued = (boxes.turning(made, f) for f in ("wall-2/wall-3", "wall-1/base-1", "wall-2/base-flap-1"))
    bonds = [replace(glued, folds=())] if later else []
    squared = replace(square, bonds=() if later else glued.bonds)
    return boxes.swapped(made, {square: [first, replace(glued, bonds=()), squared, *bonds], first: [], glued: []})


@pytest.mark.parametrize("later", [False, True])
def test_a_base_slid_edge_first_into_its_own_plane_is_found(lidded: Net, later: bool) -> None:
    made = slid(lidded, later)
    assert "order.layers" in boxes.failed(made)
    assert "base-flap-1 on base-1" in sentence(made, "order.layers")


def test_a_dust_flap_folded_after_its_end_is_closed_is_found(carton: Net) -> None:
    made = boxes.moved_behind(carton, boxes.turning(carton, "wall-1/dust-flap-1"), boxes.turning(carton, "wall-4/closing-top"))
    assert {"order.collision", "order.through"} & boxes.failed(made)


def test_a_tuck_that_is_not_led_in_passes_through_the_wall_and_is_found(carton: Net) -> None:
    tuck, close = boxes.turning(carton, "closing-top/tuck-top"), boxes.turning(carton, "wall-4/closing-top")
    assert close.path and not tuck.path
    made = boxes.with_steps(carton, [replace(s, path=()) for s in carton.steps if s is not tuck])
    assert "order.through" in boxes.failed(made)
    assert "tuck-top through wall-2" in sentence(made, "order.through")


def test_a_tuck_that_meets_the_rim_outside_the_wall_is_led_in() -> None:
    """Turned evenly, its tip is up to 1.7 calipers outside the wall and under its rim, and comes in through it."""
    made = boxes.whole("tuck-carton", Item("block", 123.0, 51.1, 66.8), t=0.8, clearance=4.4, headroom=2.9)
    assert boxes.turning(made, "wall-4/closing-top").path


def test_a_lid_moved_sideways_through_the_walls_is_found(lidded: Net) -> None:
    last = space.matrix(lidded.part["lid"].places[0])
    sideways = tuple(space.rows(space.moved(dx=x) @ last) for x in (300.0, 0.0))
    lid = boxes.carrying(lidded)
    made = boxes.swapped(lidded, {lid: [replace(lid, move=sideways)]})
    assert boxes.failed(made) == {"order.collision"}
    assert "the lid runs" in sentence(made, "order.collision")


# -- what is glued and what is not cut stays together --------------------------------------------------------------


@pytest.mark.parametrize("fold, angle", [("wall-1/hem-1", 150.0), ("wall-2/wall-3", 60.0), ("wall-2/base-flap-1", 60.0)])
def test_a_glued_hem_ring_or_base_opened_again_is_found(lidded: Net, fold: str, angle: float) -> None:
    last = [s for s in lidded.steps if s.part == "box"][-1]
    again = replace(last, kind="fold", folds=((fold, angle),))
    back = replace(again, folds=((fold, lidded.part["box"].fold[fold].angle),))
    made = boxes.with_steps(lidded, [*lidded.steps, again, back])
    assert "order.undo" in boxes.failed(made)
    assert f"step {len(lidded.steps) + 1} pulls" in sentence(made, "order.undo")


def test_a_web_raised_evenly_tears_its_corner_and_is_found(web: Net) -> None:
    raised = boxes.turning(web, "base/wall-1")
    assert len(raised.path) > 40
    made = boxes.swapped(web, {raised: [replace(raised, path=())]})
    assert "order.loops" in boxes.failed(made)
    assert f"step {raised.number}: by" in sentence(made, "order.loops")


def test_one_wall_of_a_web_tray_folded_alone_tears_its_corners_and_is_found(web: Net) -> None:
    raised = boxes.turning(web, "base/wall-1")
    alone = replace(raised, folds=(("base/wall-1", 90.0),), path=())
    made = boxes.swapped(web, {raised: [alone, raised]})
    assert "order.loops" in boxes.failed(made)
    assert f"step {alone.number}: by" in sentence(made, "order.loops")


# -- bonds, angles and places --------------------------------------------------------------------------------------


def test_a_bond_made_in_the_air_is_found(tray: Net) -> None:
    flaps, walls = boxes.turning(tray, "wall-2/corner-flap-1"), boxes.gluing(tray, "corner-flap-1")
    own = number(tray, "corner-flap-1", "wall-1")
    made = boxes.swapped(tray, {flaps: [replace(flaps, bonds=(own,))], walls: [without(walls, own)]})
    assert "order.touch" in boxes.failed(made)
    assert f"step {flaps.number} misses by" in sentence(made, "order.touch")


def test_a_bond_made_twice_is_found(tray: Net) -> None:
    again = replace(boxes.gluing(tray, "corner-flap-1"), folds=(), path=())
    assert "order.once" in boxes.failed(boxes.with_steps(tray, [*tray.steps, again]))


def test_a_bond_never_made_is_found(tray: Net) -> None:
    glued, own = boxes.gluing(tray, "corner-flap-1"), number(tray, "corner-flap-1", "wall-1")
    assert boxes.failed(boxes.swapped(tray, {glued: [without(glued, own)]})) == {"order.bonds"}


def test_a_fold_left_open_is_found(tray: Net) -> None:
    ends = boxes.turning(tray, "base/wall-2")
    assert "order.angles" in boxes.failed(boxes.with_steps(tray, [s for s in tray.steps if s is not ends]))


@pytest.mark.parametrize("part", ["box", "lid"])
def test_a_part_that_is_not_scored_is_found(lidded: Net, part: str) -> None:
    made = boxes.with_steps(lidded, [s for s in lidded.steps if (s.kind, s.part) != ("score", part)])
    assert boxes.failed(made) == {"order.scored"}


def test_a_lid_that_ends_elsewhere_is_found(lidded: Net) -> None:
    lid = boxes.carrying(lidded)
    assert boxes.failed(boxes.swapped(lidded, {lid: [replace(lid, move=lid.move[:-1])]})) == {"order.places"}


# -- what the search finds -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", sorted(path.stem for path in samples.FOLDER.glob("*.toml")))
def test_the_order_found_for_a_sample_passes_the_whole_proof(name: str) -> None:
    plan = samples.plan(name)
    assert [check.text for check in prove(plan.net, plan.fit)[0] if not check.ok] == []


SIDE = st.floats(15, 260)
SHEETS = [boxes.HUGE, (304.8, 304.8), (420.0, 594.0)]


@pytest.mark.parametrize("style", boxes.EVERY_STYLE)
@settings(max_examples=40 if LONG else 4, deadline=None)
@given(SIDE, SIDE, SIDE, st.sampled_from([0.2, 0.3, 0.5, 0.9]), st.booleans(), st.sampled_from(SHEETS))
def test_whatever_the_size_an_order_is_found_that_passes_the_whole_proof(
    style: str, a: float, b: float, h: float, t: float, outside: bool, sheet: tuple[float, float]
) -> None:
    low = style == "web-tray"
    item = Item("block", a, b, min(h, min(a, b) / 3) if low else h)
    try:
        cut = boxes.net(style, item, min(t, 0.5) if low else t, sheet, outside)
    except Refused:
        return
    assert boxes.failed(steps.found(cut)) == set()


def test_the_same_net_gives_the_same_order(lidded: Net) -> None:
    assert steps.found(boxes.net("lidded-box")).steps == lidded.steps


def test_an_order_follows_from_the_net_alone(lidded: Net) -> None:
    """Neither the names of panels nor the style's name tell it: other names give the same order."""

    def other(name: str) -> str:
        return f"p{sum(ord(c) * (i + 1) for i, c in enumerate(name))}"

    box = lidded.part["box"]
    names = [panel.name for panel in box.panels]
    assert len({other(name) for name in names}) == len(names)
    panels = tuple(replace(p, name=other(p.name), body=other(p.name)) for p in box.panels)
    folds = tuple(replace(f, name=other(f.name), parent=other(f.parent), child=other(f.child)) for f in box.folds)
    cut = tuple(replace(p, panels=tuple(other(n) for n in p.panels)) for p in box.pieces)
    renamed = replace(box, root=other(box.root), panels=panels, folds=folds, pieces=cut)
    bonds = tuple(
        replace(b, panels=tuple((part, other(n) if part == "box" else n) for part, n in b.panels))  # type: ignore[arg-type]
        for b in boxes.net("lidded-box").bonds
    )
    found = steps.found(replace(boxes.with_part(lidded, renamed), style="another", bonds=bonds, steps=()))
    assert [(s.kind, s.part, [a for _, a in s.folds], s.bonds) for s in found.steps] == [
        (s.kind, s.part, [a for _, a in s.folds], s.bonds) for s in lidded.steps
    ]


@pytest.mark.parametrize("style", boxes.EVERY_STYLE)
def test_what_can_be_glued_flat_is_glued_flat_and_the_ring_comes_before_the_base(style: str) -> None:
    made = boxes.whole(style)
    moments = replay(made).moments
    glued = {made.bonds[b].panels[0][1]: m for m in moments for b in m.step.bonds if m.part.name == "box"}
    flat = {name for name, moment in glued.items() if moment.flat}
    assert flat == {name for name in glued if name.startswith(("hem", "glue-flap"))}
    ring = max((glued[name].step.number for name in flat), default=0)
    assert all(moment.step.number > ring for name, moment in glued.items() if name not in flat)


def test_the_box_is_made_before_its_lid(lidded: Net) -> None:
    parts = [step.part for step in lidded.steps if step.kind not in ("put", "close")]
    assert parts == sorted(parts)

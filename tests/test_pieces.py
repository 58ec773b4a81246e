"""The net is cut into the fewest pieces that fit the card, equal ones where that can be; panels larger than the card are joined across."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations
from types import SimpleNamespace
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from booklet import pieces, planning, proof, steps
from booklet.card import Card
from booklet.check import at_most
from booklet.errors import Refused
from booklet.net import Item, Net
from booklet.pieces.alike import same_piece, turns_of
from booklet.pieces.cutting import Cutting, Spliced, _Maker, fits, search
from booklet.pieces.halves import across
from booklet.pieces.splice import unspliced
from booklet.planning import net_of
from booklet.styles import shelf
from booklet.thickness import Thickness, way_of
from tests import boxes

A4, SQUARE = (210.0, 297.0), (304.8, 304.8)


class _Asked:
    """As much of a spec as `net_of` looks at."""

    def __init__(self, style: str, units: Any = "mm", **options: Any):
        self.style, self.units, self.title, self.marks = style, units, "", None
        self.page = SimpleNamespace(print_on="paper")
        self.insert = self.window = None
        self.box = {o.name: o.resolved(units) for o in shelf()[style].OPTIONS} | options


def made(style: str, size: tuple[float, float, float], card: Card, units: Any = "mm") -> tuple[Net, Any]:
    used = boxes.fit(Item("block", *size), units)
    asked: Any = _Asked(style, units)
    return net_of(asked, card, used, Thickness(card.caliper, way_of(card.caliper, None))), used


def all_pieces(net: Net) -> list[Any]:
    return [piece for part in net.parts for piece in part.pieces]


def by_every_set(state: Spliced, card: Card) -> list[Cutting]:
    """All cuttings of the fewest cuts, by trying every set of folds: no clause, no early end within a number."""
    maker = _Maker(state, turns_of(card))
    for count in range(len(state.places) + 1):
        found = [c for chosen in combinations(state.places, count) if (c := maker.cutting(chosen)) and all(fits(card, s) for s in c.sizes)]
        if found:
            return found
    return []


@pytest.mark.parametrize("style", boxes.STYLES)
@pytest.mark.parametrize("sheet", [A4, SQUARE, (420.0, 297.0), (148.0, 210.0)])
@pytest.mark.parametrize("item", [(60, 45, 80), (125, 95, 104), (40, 30, 150)])
def test_no_smaller_number_of_cuts_fits_and_none_of_that_number_is_better(style: str, sheet: Any, item: Any) -> None:
    bare = shelf()[style].net(boxes.sizes(style, Item("block", *map(float, item))))
    card = Card(0.3, sheet)
    for part in bare.parts:
        state = unspliced(bare, part)
        every, got = by_every_set(state, card), search(state, card)
        if not every:
            assert got is None
        else:
            assert got is not None and len(got.folds) == len(every[0].folds)
            assert got.rank == min(c.rank for c in every)


def test_equal_pieces_come_first_so_that_one_template_serves() -> None:
    net = boxes.net("lidded-box", sheet=SQUARE)
    box = net.part["box"]
    assert [piece.template for piece in box.pieces] == ["box-1", "box-1"]


def test_seams_lie_at_corners_of_walls_before_they_part_unlike_panels() -> None:
    net = boxes.net("tuck-carton", Item("block", 48.0, 48.0, 112.0), sheet=A4)
    (cut,) = net.part["box"].cut_folds()
    assert {net.part["box"].panel[name].role for name in (cut.parent, cut.child)} == {"wall"}


@pytest.mark.parametrize("grain", ["first", "second"])
def test_with_the_grain_kept_every_piece_has_it_round_the_box(grain: Any) -> None:
    card = Card(0.3, (250.0, 400.0), keep_grain=True, grain=grain)
    net, _ = made("lidded-box", (125, 95, 104), card)
    for piece in all_pieces(net):
        along = piece.size if grain == "first" else piece.size[::-1]
        assert all(a <= b + 1e-6 for a, b in zip(along, card.usable, strict=True))


def test_with_the_grain_kept_no_template_serves_a_piece_that_lies_across_it() -> None:
    card = Card(0.3, SQUARE, keep_grain=True, grain="first")
    bare = boxes.net("tray", Item("block", 120.0, 120.0, 30.0))
    part = bare.part["box"]
    ring = ((0.0, 0.0), (40.0, 0.0), (40.0, 10.0), (0.0, 10.0))
    flat = replace(part.pieces[0], outline=ring, size=(40.0, 10.0), panels=(), slits=())
    upright = replace(flat, outline=tuple((-y, x) for x, y in ring), size=(10.0, 40.0))
    assert same_piece(part, flat, upright)
    assert not same_piece(part, flat, upright, turns_of(card))


# ---- panels joined across


def strips(net: Net) -> list[Any]:
    return [panel for part in net.parts for panel in part.panels if panel.role == "splice-strip" and panel.name == panel.body]


def sound(net: Net, used: Any, card: Card) -> list[str]:
    checks, _ = proof.prove(steps.found(net), used)
    return [f"{c.name}: {c.text} {c.figure}" for c in (*checks, *pieces.checks(net, card)) if not c.ok]


@pytest.mark.parametrize(
    ("style", "size", "sheet"),
    [
        ("tray", (250, 250, 40), A4),
        ("tray", (320, 240, 40), A4),
        ("tray", (500, 400, 60), A4),
        ("lidded-box", (330, 60, 60), SQUARE),
        ("lidded-box", (320, 240, 80), A4),
        ("tuck-carton", (60, 40, 330), A4),
        ("tuck-carton", (330, 60, 100), A4),
    ],
)
@pytest.mark.parametrize("t", [0.3, 0.9])
def test_a_panel_larger_than_the_card_is_joined_across_and_the_box_still_folds(style: str, size: Any, sheet: Any, t: float) -> None:
    card = Card(t, sheet, splice=True)
    net, used = made(style, size, card)
    assert strips(net)
    assert sound(net, used, card) == []
    inside = net.inside
    assert inside.length >= size[0] + 5.5 and inside.width >= size[1] + 5.5 and inside.height >= size[2] + 7.5


@settings(max_examples=10, deadline=None)
@given(
    st.sampled_from(boxes.STYLES),
    st.tuples(st.floats(40, 330), st.floats(40, 330), st.floats(30, 330)),
    st.sampled_from([0.25, 0.4, 0.9, 1.5]),
    st.sampled_from(["mm", "in"]),
    st.booleans(),
)
def test_any_box_is_joined_across_soundly_or_refused(style: str, size: Any, t: float, units: Any, keep: bool) -> None:
    card = Card(t, A4, splice=True, keep_grain=keep, grain="first")
    try:
        net, used = made(style, size, card, units)
        told = sound(net, used, card)
    except Refused:
        return
    assert told == []


def test_without_leave_it_is_refused_with_the_card_that_would_do_and_the_way_out() -> None:
    with pytest.raises(Refused, match=r"use card of at least 277.5 mm x 277.5 mm, splice = true under \[card\]") as caught:
        made("tray", (235, 235, 20), Card(0.3, A4))
    assert caught.value.faults[0].where == "card.sheet"
    told = [float(part.split(" mm")[0]) for part in str(caught.value).partition("at least ")[2].split(" x ")[:2]]
    net, used = made("tray", (235, 235, 20), Card(0.3, (told[0], told[1])))
    assert sound(net, used, Card(0.3, (told[0], told[1]))) == []


@settings(max_examples=8, deadline=None)
@given(
    st.sampled_from(boxes.STYLES),
    st.tuples(st.floats(40, 400), st.floats(40, 400), st.floats(30, 400)),
    st.sampled_from([0.25, 0.9]),
    st.sampled_from(["", "first", "second"]),
)
def test_the_card_that_a_refusal_tells_would_do(style: str, size: Any, t: float, grain: str) -> None:
    card = Card(t, A4, keep_grain=bool(grain), grain=grain or "unknown")  # type: ignore[arg-type]
    try:
        made(style, size, card)
    except Refused as refused:
        told = re.search(r"at least ([\d.]+) mm x ([\d.]+) mm", str(refused))
        if told:
            made(style, size, replace(card, sheet=(float(told[1]), float(told[2]))))


def test_a_smooth_face_that_is_too_large_is_told_by_its_name_not_by_a_facet() -> None:
    with pytest.raises(Refused, match=r"card\.sheet: the piece with '(back|front)' of the box is"):
        made("pillow-pack", (220, 90, 30), Card(0.3, (148.0, 210.0)))


def test_a_wrap_that_is_glued_to_boards_is_not_joined_across() -> None:
    with pytest.raises(Refused, match=r"card\.sheet: the piece with 'base-cover' of the wrap is .* use card of at least"):
        made("rigid-box", (200, 150, 90), Card(2.0, (297.0, 420.0), splice=True))


def test_a_box_that_does_not_fold_with_panels_joined_across_is_refused_with_what_to_do() -> None:
    whole = boxes.whole("tray")
    split = replace(whole, parts=tuple(replace(p, folds=tuple(replace(f, kind="splice") for f in p.folds)) for p in whole.parts))
    bad = [at_most("bonds.within", 11.3, 0.05, "mm", "Every bonded area lies on both its panels.")]
    with pytest.raises(Refused, match=r"card.splice: .*lies on both its panels: 11.30 mm\); use a larger sheet"):
        planning._joined_soundly(split, bad)
    planning._joined_soundly(whole, bad)
    planning._joined_soundly(split, [at_most("bonds.within", 0.0, 0.05, "mm", "Every bonded area lies on both its panels.")])


def test_leave_to_splice_changes_nothing_where_the_panels_fit() -> None:
    card = Card(0.3, SQUARE)
    assert made("lidded-box", (125, 95, 104), card)[0] == made("lidded-box", (125, 95, 104), replace(card, splice=True))[0]


def test_strips_are_pieces_of_their_own_and_lie_on_the_inside_of_both_halves() -> None:
    card = Card(0.3, A4, splice=True)
    net, _ = made("tray", (250, 250, 40), card)
    part = net.part["box"]
    (strip,) = strips(net)
    piece = next(p for p in part.pieces if strip.name in p.panels)
    assert set(piece.panels) == {strip.name, f"{strip.name}.2"}
    held = [b for b in net.bonds if b.panels[0][1].startswith(strip.name)]
    assert {b.panels[1][1] for b in held} == {"base.a", "base.b"} and all(b.faces == ("back", "marked") for b in held)
    assert [f.kind for f in part.folds if f.parent == strip.name] == ["roll"]


def test_halves_are_the_panel() -> None:
    bare = shelf()["lidded-box"].net(boxes.sizes("lidded-box"))
    state = unspliced(bare, bare.part["box"])
    done = across(state, "wall-1", 0, 50.0, True)
    assert done is not None
    new, beyond = done
    assert beyond == "wall-1.b"
    for name in ("wall-1", "hem-1", "base-1"):
        whole = shapely.Polygon(bare.part["box"].panel[name].outline)
        halves = [shapely.Polygon(new.part.panel[f"{name}.{half}"].outline) for half in "ab"]
        assert shapely.union_all(halves).symmetric_difference(whole).area < 1e-6
        assert halves[0].intersection(halves[1]).area < 1e-9
    glued = {a: shapely.Polygon(b.region).area for b in new.net.bonds for (_, a), _ in [b.panels]}
    before = {a: shapely.Polygon(b.region).area for b in bare.bonds for (_, a), _ in [b.panels]}
    assert glued["hem-1.a"] + glued["hem-1.b"] == pytest.approx(before["hem-1"])


def test_a_fold_that_may_be_cut_stops_the_line_when_asked_to() -> None:
    bare = shelf()["tray"].net(boxes.sizes("tray"))
    state = unspliced(bare, bare.part["box"])
    done = across(state, "base", 0, 60.0, False)
    assert done is not None
    new = done[0]
    assert "wall-1" in new.part.panel and "base.b" in new.part.panel
    assert {f.child for f in new.beside} == {"wall-1", "wall-3"}
    assert {f.kind for f in new.forced} == {"splice", "crease"}


def test_a_half_too_narrow_is_no_half() -> None:
    bare = shelf()["tray"].net(boxes.sizes("tray"))
    assert across(unspliced(bare, bare.part["box"]), "base", 0, 10.0, True) is None


def test_the_least_number_of_pieces_is_what_was_found_and_with_a_splice_a_bound() -> None:
    card = Card(0.3, SQUARE)
    net, _ = made("lidded-box", (125, 95, 104), card)
    assert pieces.least(net, card) == len(all_pieces(net)) == 3
    joined = Card(0.3, A4, splice=True)
    net, _ = made("tray", (250, 250, 40), joined)
    assert 2 <= pieces.least(net, joined) < len(all_pieces(net))

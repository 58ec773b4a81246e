"""Printing on the card itself: the sheet is the page, and marks in the waste tell every line of every piece."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from itertools import combinations, pairwise
from types import MappingProxyType

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from booklet import cuts, on_card, ticks
from booklet.card import Card
from booklet.errors import Refused
from booklet.lengths import Length
from booklet.net import Fold, Inside, Net, Panel, Part, Piece
from booklet.net import Item as NetItem
from booklet.on_card import Ink, depth, inked, on_sheet, unmarked
from booklet.plan import Plan
from booklet.plane import Affine, Line, Ring, area, bounds, length, side
from booklet.planning import plan_of
from booklet.sheets import Placed
from booklet.space import identity, rows
from booklet.spec import Fit, Item, Page, Spec
from booklet.styles import shelf
from booklet.styles.shapes import rectangle
from booklet.ticks import OUTSIDE, TICK, TICK_ROOM, WIDTH, Lying, Mark, lying, marks
from booklet.tiles import printable
from tests import boxes

A4, LETTER = ((210.0, 297.0), "A4"), ((215.9, 279.4), "Letter")
ROOM = (0.0, 0.0, 200.0, 200.0)


def spec(style: str, size: tuple[float, float, float] = (60, 45, 40), t: float = 0.25, paper=A4, bar=None, marks=None, **card) -> Spec:
    return Spec(
        title="Kiln Lane",
        style=style,
        item=Item("block", *(Length(float(mm)) for mm in size)),
        fit=Fit(3.0, 3.0),
        card=Card(t, (305.0, 305.0), **card),
        page=Page(*paper, 6.35, 10.0, "card", bar),
        marks=marks,
        box=MappingProxyType({o.name: o.resolved("mm") for o in shelf()[style].OPTIONS}),
    )


CASES = [
    (style, t, paper, bar)
    for style in boxes.STYLES
    for t, paper, bar in ((0.25, A4, None), (0.25, LETTER, (98.5, 99.2)), (0.9, A4, (101.0, 100.4)))
]


@cache
def plan(style: str, t: float = 0.25, paper=A4, bar=None) -> Plan:
    return plan_of(spec(style, t=t, paper=paper, bar=bar))


def sheets_of(made: Plan) -> list[tuple[tuple[Lying, ...], tuple[Mark, ...]]]:
    room = printable(made.spec.page)
    leaves = [on_sheet(made.net, made.placed, n) for n in range(1, made.sheets + 1)]
    return [(pieces, marks(pieces, room)) for pieces in leaves]


def failed(made: Plan) -> set[str]:
    return {check.name for check in made.checks if not check.ok and check.level == "fault"}


@pytest.mark.parametrize(("style", "t", "paper", "bar"), CASES)
def test_every_check_holds_and_there_is_nothing_to_tape(style: str, t: float, paper, bar) -> None:
    made = plan(style, t, paper, bar)
    assert failed(made) == set()
    assert {check.name for check in made.checks} >= {"on_card.marks", "on_card.waste", "on_card.printable"}
    assert not any(tile.neighbours or tile.marks for tile in made.tiles)


@pytest.mark.parametrize(("style", "t", "paper", "bar"), CASES)
def test_every_piece_is_printed_where_it_lies_and_a_page_is_a_sheet(style: str, t: float, paper, bar) -> None:
    made = plan(style, t, paper, bar)
    assert [(tile.leaf, tile.part, tile.piece, tile.to_page) for tile in made.tiles] == [
        (one.sheet, one.part, one.piece, one.to_sheet) for one in made.placed
    ]
    assert made.leaves == made.sheets
    assert len({tile.name for tile in made.tiles}) == len(made.tiles)
    assert all(tile.paper == paper[0] and tile.scale == made.spec.page.scale for tile in made.tiles)


def test_pieces_that_share_a_template_are_each_printed() -> None:
    made = plan_of(spec("lidded-box", (76, 63, 50)))
    assert len(made.templates) < len(made.tiles) == len(made.placed)
    assert {"A1", "A2"} <= {tile.name for tile in made.tiles}


@given(st.floats(0, 20), st.floats(96, 104), st.floats(96, 104), st.sampled_from([A4, LETTER]), st.floats(0, 30))
def test_the_usable_card_lies_inside_what_the_page_prints_with_room_for_ticks(margin, x, y, paper, gap) -> None:
    wanted = spec("tray", paper=paper, gap=gap)
    wanted = replace(wanted, page=replace(wanted.page, margin=margin, printed_bar=(x, y)))
    card = on_card.sheet_card(wanted)
    x0, y0, x1, y1 = printable(wanted.page)
    least = min(card.edge - x0, card.edge - y0, x1 - (card.sheet[0] - card.edge), y1 - (card.sheet[1] - card.edge))
    assert least == pytest.approx(TICK_ROOM)
    assert card.gap == max(gap, 2 * TICK_ROOM)


def test_the_sheet_of_the_spec_is_not_used_but_its_grain_and_caliper_are() -> None:
    wanted = spec("tray", grain="first", keep_grain=True)
    card = on_card.sheet_card(wanted)
    assert (card.sheet, card.sheet_name, card.grain, card.keep_grain, card.caliper) == (A4[0], "A4", "first", True, 0.25)
    assert plan_of(wanted).card == card


def test_a_panel_larger_than_the_page_is_refused() -> None:
    with pytest.raises(Refused):
        plan_of(spec("tray", (300, 200, 20)))


# The ruler: every line is told, by a search that knows only the net and the strokes.


def straight_lines(one: Lying) -> list[tuple[str, Line]]:
    """Edges, slits and folds of a piece on its sheet, without the short chords of curves."""
    place = one.placed.to_sheet
    edges = [line for ring in (one.piece.outline, *one.piece.holes) for line in zip(ring, (*ring[1:], ring[0]), strict=True)]
    curves = [frozenset(line) for told in one.told if told.curve for line in told.lines]
    edges += [line for slit in one.piece.slits for line in pairwise(slit)]
    found = [("cut", (place(a), place(b))) for a, b in edges if frozenset((place(a), place(b))) not in curves]
    angles = {f.line: f.angle for f in one.part.folds}
    folds = [line for line, _ in cuts.scored(one.part, one.piece)]
    return found + [("valley" if angles[line] > 0 else "mountain", (place(line[0]), place(line[1]))) for line in folds]


def told_at(end: int, kind: str, line: Line, drawn: tuple[Mark, ...]) -> bool:
    """Whether a tick lies on the line beyond one of its ends, or a corner's stroke along it there."""
    a, b = (line[1], line[0]) if end else line
    for mark in drawn:
        for p, q in pairwise(mark.points):
            on = max(abs(side((a, b), p)), abs(side((a, b), q)))
            past = max((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1]) for p in (p, q))
            if mark.kind == kind and mark.shape == "tick" and on <= 0.05 and past <= 0:
                return True
            if mark.kind == kind and mark.shape == "corner" and on <= WIDTH and min(math.dist(a, p), math.dist(a, q)) < TICK:
                return True
    return False


@pytest.mark.parametrize(("style", "t", "paper", "bar"), CASES)
def test_a_ruler_finds_every_line_by_two_marks(style: str, t: float, paper, bar) -> None:
    for pieces, drawn in sheets_of(plan(style, t, paper, bar)):
        for one in pieces:
            for kind, line in straight_lines(one):
                assert told_at(0, kind, line, drawn) and told_at(1, kind, line, drawn), (one.piece.name, kind, line)


@pytest.mark.parametrize(("style", "t", "paper", "bar"), CASES)
def test_marks_lie_in_the_waste_inside_what_the_page_prints(style: str, t: float, paper, bar) -> None:
    made = plan(style, t, paper, bar)
    room = shapely.box(*printable(made.spec.page)).buffer(1e-6)
    for pieces, drawn in sheets_of(made):
        card = shapely.union_all([one.shape for one in pieces])
        for mark in drawn:
            ink = shapely.LineString(mark.points).buffer(WIDTH / 2, cap_style="flat", join_style="mitre")
            assert not ink.intersects(card), mark
            assert room.covers(shapely.LineString(mark.points)), mark


@pytest.mark.parametrize(("style", "t", "paper", "bar"), CASES)
def test_ticks_of_two_kinds_never_lie_on_each_other(style: str, t: float, paper, bar) -> None:
    for _, drawn in sheets_of(plan(style, t, paper, bar)):
        straight = [(mark.kind, mark.points) for mark in drawn if mark.shape == "tick"]
        for (k, a), (m, b) in combinations(straight, 2):
            if k != m and abs(cross(a, b)) < 0.1:
                assert shapely.LineString(a).distance(shapely.LineString(b)) > 0.5, (k, a, m, b)


def cross(a: Line, b: Line) -> float:
    """Sine of the angle between two lines."""
    (ux, uy), (vx, vy) = ((q[0] - p[0], q[1] - p[1]) for p, q in (a, b))
    return (ux * vy - uy * vx) / (length(a) * length(b))


@settings(max_examples=10, deadline=None, derandomize=True)
@given(
    st.sampled_from(boxes.STYLES),
    st.tuples(*[st.integers(60, 160).map(lambda n: n / 2)] * 3),
    st.sampled_from([0.2, 0.3, 0.5, 0.9, 1.5]),
    st.sampled_from([A4, LETTER]),
    st.sampled_from(["inside", "outside"]),
)
def test_any_small_box_is_told_whole(style: str, size, t: float, paper, face) -> None:
    try:
        made = plan_of(spec(style, size, t, paper, marks=face))
    except Refused:
        assume(False)
        raise
    assert not {name for name in failed(made) if name.startswith("on_card")}


@pytest.mark.parametrize(("face", "kind"), [("inside", "valley"), ("outside", "mountain")])
def test_folds_are_told_as_they_turn_on_the_marked_face(face: str, kind: str) -> None:
    made = plan_of(spec("tuck-carton", marks=face))
    assert {mark.kind for _, drawn in sheets_of(made) for mark in drawn} == {"cut", kind}


# What is broken is found.


def first(style: str = "tuck-carton") -> tuple[tuple[Lying, ...], list[Ink]]:
    pieces, drawn = sheets_of(plan(style))[0]
    return pieces, inked(drawn)


@pytest.mark.parametrize("style", boxes.STYLES)
def test_a_mark_that_is_left_out_is_missed(style: str) -> None:
    pieces, drawn = sheets_of(plan(style))[0]
    assert unmarked(pieces, inked(drawn)) == []
    tried = range(0, len(drawn), 5)
    missed = [n for n in tried if unmarked(pieces, inked([*drawn[:n], *drawn[n + 1 :]]))]
    assert len(missed) > 0.7 * len(tried)


def test_marks_that_are_moved_by_0_2_mm_are_missed() -> None:
    pieces, ink = first()
    moved = [replace(one, line=tuple((x + 0.2, y + 0.2) for x, y in one.line)) for one in ink]
    assert len(unmarked(pieces, moved)) > 0.75 * sum(len(one.told) for one in pieces)


def test_a_cut_tick_does_not_tell_a_fold() -> None:
    pieces, ink = first()
    assert {told.kind for told in unmarked(pieces, [replace(one, kind="cut") for one in ink])} == {"valley"}


def test_ink_on_a_piece_is_measured() -> None:
    pieces, ink = first()
    assert depth(pieces, ink) <= 0
    x0, y0, x1, y1 = pieces[0].shape.bounds
    middle = Ink(None, (((x0 + x1) / 2, (y0 + y1) / 2), ((x0 + x1) / 2 + 3, (y0 + y1) / 2)))
    assert depth(pieces, [*ink, middle]) == pytest.approx(3 + WIDTH / 2)
    assert depth(pieces, [Ink(None, ((x0 - 0.1, y0), (x0 - 0.1, y1)))]) <= WIDTH / 2 - 0.1 + 1e-9


def test_a_check_fails_where_a_piece_hangs_over_the_page() -> None:
    made = plan("tray")
    pushed = [replace(one, to_sheet=replace(one.to_sheet, e=one.to_sheet.e - 9)) for one in made.placed]
    tiles = on_card.cover(made.net, made.spec.page, pushed)
    checks = on_card.checks(made.net, made.spec.page, pushed, tiles)
    assert "on_card.printable" in {check.name for check in checks if not check.ok}


# Single pieces.


def alone(outline: Ring, holes: tuple[Ring, ...] = (), slits: tuple[Ring, ...] = (), folds: tuple[Line, ...] = ()) -> tuple[Lying, ...]:
    """A piece on a sheet of 200 mm, its lower left corner at 50, 50."""
    made = tuple(Fold(f"fold-{n}", "a", "b", line, 90.0) for n, line in enumerate(folds))
    piece = Piece("box", "box", ("a", "b"), outline, holes, slits)
    part = Part("box", "box", 0.3, "a", (rows(identity()),), (Panel("a", "wall", outline), Panel("b", "wall", outline)), made, (), (piece,))
    net = Net("", "tray", 0.3, Inside(1, 1, 1), False, NetItem("block", 1, 1, 1), (part,), ())
    return lying(net, [Placed(1, "box", "box", Affine(e=50.0, f=50.0))])


def test_a_rectangle_has_two_ticks_at_each_corner() -> None:
    drawn = marks(alone(rectangle(0, 0, 80, 60)), ROOM)
    assert [mark.shape for mark in drawn] == ["tick"] * 8
    assert {round(length(mark.points), 6) for mark in drawn} == {TICK}
    near = sorted(min(math.dist(mark.points[0], c) for c in rectangle(50, 50, 130, 110)) for mark in drawn)
    assert near == pytest.approx([ticks.OFF] * 8)


def test_a_notch_has_a_corner_in_its_waste() -> None:
    ell: Ring = ((0, 0), (80, 0), (80, 30), (40, 30), (40, 60), (0, 60))
    (corner,) = [mark for mark in marks(alone(ell), ROOM) if mark.shape == "corner"]
    a, start, b = corner.points
    assert start == pytest.approx((90 + OUTSIDE, 80 + OUTSIDE))
    assert sorted((a, b)) == [pytest.approx((90 + OUTSIDE, 80 + TICK)), pytest.approx((90 + TICK, 80 + OUTSIDE))]


def test_a_fold_that_ends_in_the_card_is_told_by_the_next_waste_on_its_line() -> None:
    tee: Ring = ((0, 0), (80, 0), (80, 60), (50, 60), (50, 20), (0, 20))
    pieces = alone(tee, folds=(((0, 10), (50, 10)),))
    fold = [mark for mark in marks(pieces, ROOM) if mark.kind == "valley"]
    assert sorted(round(min(x for x, _ in mark.points), 3) for mark in fold) == [50 - ticks.OFF - TICK, 130 + ticks.OFF]


def test_a_slit_is_told_at_its_root_and_beyond_the_piece() -> None:
    pieces = alone(rectangle(0, 0, 80, 60), slits=(((20, 60), (20, 40)),))
    on_line = [mark for mark in marks(pieces, ROOM) if all(abs(x - 70) < 1e-6 for x, _ in mark.points)]
    assert sorted(round(mark.points[0][1], 3) for mark in on_line) == [50 - ticks.OFF, 110 + ticks.OFF]


@pytest.mark.parametrize("way", [1, -1])
def test_a_hole_is_told_from_inside_it(way: int) -> None:
    hole = rectangle(20, 20, 60, 40)[::way]
    pieces = alone(rectangle(0, 0, 80, 60), holes=(hole,))
    drawn = marks(pieces, ROOM)
    inside = shapely.box(70, 70, 110, 90)
    assert sum(mark.shape == "corner" and inside.contains(shapely.LineString(mark.points)) for mark in drawn) == 4
    assert unmarked(pieces, inked(drawn)) == []


def test_a_round_hole_is_drawn_just_inside_its_edge() -> None:
    ring = tuple((40 + 8 * math.cos(a * math.pi / 24), 30 - 8 * math.sin(a * math.pi / 24)) for a in range(48))
    pieces = alone(rectangle(0, 0, 80, 60), holes=(ring,))
    (curve,) = [mark for mark in marks(pieces, ROOM) if mark.shape == "curve"]
    far = [math.dist(p, (90, 80)) for p in curve.points]
    assert max(far) < 8 - OUTSIDE + 0.01 and min(far) > 8 - OUTSIDE - 0.05
    assert unmarked(pieces, inked([curve])) == [told for told in pieces[0].told if not told.curve]


@settings(max_examples=40, deadline=None)
@given(st.floats(10, 60), st.floats(10, 60), st.floats(-8, 8), st.floats(-8, 8))
def test_any_notched_piece_is_told_whole(w: float, h: float, lean: float, slope: float) -> None:
    notch = (w + lean / 2, h - 5 + slope / 4)
    ring: Ring = ((0, 0), (w + 30, 0), (w + 30 + lean, h), (w + 10, h + 20), notch, (5, h + 20 + slope), (0, h / 2))
    assume(shapely.Polygon(ring).is_valid and area(ring) > 0)
    x0, y0, *_ = bounds(ring)
    pieces = alone(tuple((x - x0, y - y0) for x, y in ring), folds=(((0 - x0, h / 4 - y0), (w + 30 + lean / 4 - x0, h / 4 - y0)),))
    drawn = inked(marks(pieces, (0, 0, 300, 300)))
    assert unmarked(pieces, drawn) == []
    assert depth(pieces, drawn) <= 0.05

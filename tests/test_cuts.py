"""The order of scoring and cutting, and the measures from two datum edges."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import groupby, pairwise

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from booklet.cuts import Cut, checks, distinct_lines, drawn, order, scored, stops, templates
from booklet.cuts import settings as ruler_settings
from booklet.materials import reckon
from booklet.net import Fold, Inside, Item, Loop, Net, Panel, Part, Piece
from booklet.plane import Line, Ring, bounds, cleaned, length, side, turn
from booklet.points import points
from booklet.space import identity, rows
from booklet.styles.shapes import rectangle, rounded
from tests import boxes
from tests.boxes import named


def net_of(
    outline: Ring, folds: tuple[Fold, ...] = (), holes: tuple[Ring, ...] = (), slits: tuple[Ring, ...] = (), panels: str = "a"
) -> Net:
    """A net of one piece."""
    piece = Piece("box", "box", tuple(panels), outline, holes, slits)
    part = Part("box", "box", 0.3, "a", (rows(identity()),), tuple(Panel(n, "wall", outline) for n in panels), folds, pieces=(piece,))
    return Net("", "tray", 0.3, Inside(1, 1, 1), False, Item("block", 1, 1, 1), (part,), ())


def crease(line: Line, **more: object) -> Fold:
    return Fold(f"fold-{line}", "a", "b", line, 90.0, **more)  # type: ignore[arg-type]


def failed(net: Net, cuts: tuple[Cut, ...]) -> bool:
    return not all(c.ok for c in checks(net, cuts))


ALL = [boxes.net(style, t=t, sheet=sheet) for style in boxes.STYLES for t in (0.3, 1.0) for sheet in (boxes.HUGE, (304.8, 304.8))]
NOTCHED: Ring = ((0, 0), (100, 0), (100, 60), (60, 60), (50, 40), (40, 60), (0, 60))


@pytest.mark.parametrize("net", ALL)
def test_every_line_of_every_template_is_in_one_setting(net: Net) -> None:
    assert not failed(net, order(net))


@pytest.mark.parametrize("net", ALL)
def test_scores_come_before_inner_cuts_and_those_before_the_outline(net: Net) -> None:
    for _, cuts in groupby(order(net), lambda c: c.piece):
        place = [["fold", "inner", "both", "outline"].index(cut.where) for cut in cuts]
        assert place == sorted(place)


@pytest.mark.parametrize("net", ALL)
def test_the_last_cut_of_a_template_is_its_longest_of_the_outline(net: Net) -> None:
    for _, cuts in groupby(order(net), lambda c: c.piece):
        outline = [cut.mm for cut in cuts if cut.where == "outline"]
        assert outline == sorted(outline, key=lambda mm: round(mm, 3))


@pytest.mark.parametrize("net", ALL)
def test_settings_are_numbered_from_one_in_each_template(net: Net) -> None:
    for _, cuts in groupby(order(net), lambda c: c.piece):
        numbers = [cut.number for cut in cuts]
        assert numbers == list(range(1, len(numbers) + 1))


@pytest.mark.parametrize("net", ALL)
def test_lines_of_one_setting_lie_on_one_straight_line_and_no_two_settings_of_a_kind_could_be_one(net: Net) -> None:
    for _, group in groupby(order(net), lambda c: (c.piece, c.kind, c.where)):
        cuts = [cut for cut in group if not cut.freehand]
        longest = [max(cut.lines, key=length) for cut in cuts]
        assert all(abs(side(ruler, end)) <= 0.05 for cut, ruler in zip(cuts, longest, strict=True) for line in cut.lines for end in line)


@pytest.mark.parametrize("net", ALL)
def test_only_printed_templates_are_cut(net: Net) -> None:
    assert {c.piece for c in order(net)} == {p.template for part in net.parts for p in part.pieces}


def test_a_mirrored_net_has_the_same_settings() -> None:
    def told(outside: bool) -> list[tuple[str, str, float]]:
        return sorted((c.where, c.kind, round(c.mm, 3)) for c in order(boxes.net("tuck-carton", outside=outside)))

    assert told(False) == told(True)


def test_hems_are_scored_in_the_way_of_their_fold() -> None:
    for t, way, kind in ((0.45, "crease", "score"), (0.55, "half-cut", "half-cut")):
        net = boxes.net("lidded-box", t=t)
        assert {cut.kind for cut in order(net) if cut.where == "fold"} == {kind}
        assert {f.way for part in net.parts for f in part.folds if abs(f.angle) == 180} == {way}


def test_folds_on_one_line_are_one_setting_and_scores_are_no_cuts() -> None:
    folds = (crease(((0, 20), (40, 20))), crease(((60, 20), (100, 20))), crease(((50, 0), (50, 60))))
    first, second, *rest = order(net_of(rectangle(0, 0, 100, 60), folds, panels="ab"))
    assert (first.lines, first.mm, first.kind) == ((folds[2].line,), 60.0, "score")
    assert (second.lines, second.mm) == ((folds[0].line, folds[1].line), 80.0)
    assert [c.kind for c in rest] == ["cut"] * 4


def test_a_crease_and_a_half_cut_on_one_line_are_two_settings() -> None:
    folds = (crease(((0, 20), (40, 20))), crease(((60, 20), (100, 20)), way="half-cut"))
    assert [c.kind for c in order(net_of(rectangle(0, 0, 100, 60), folds, panels="ab"))][:2] == ["score", "half-cut"]


def test_rolls_splices_and_folds_that_are_cut_through_are_not_scored() -> None:
    folds = (crease(((0, 20), (100, 20)), kind="roll"), crease(((0, 30), (100, 30)), kind="splice"))
    assert all(c.kind == "cut" for c in order(net_of(rectangle(0, 0, 100, 60), folds, panels="ab")))
    assert all(c.kind == "cut" for c in order(net_of(rectangle(0, 0, 100, 60), (crease(((0, 20), (100, 20))),), panels="a")))


def test_the_crease_that_closes_a_ring_of_panels_is_scored() -> None:
    net = net_of(rectangle(0, 0, 100, 60), (crease(((0, 20), (100, 20)), way="half-cut"),), panels="ab")
    part = replace(net.parts[0], loops=(Loop(("a", "b"), ((0, 40), (100, 40))),))
    assert [way for _, way in scored(part, part.pieces[0])] == ["half-cut", "half-cut"]
    assert not failed(replace(net, parts=(part,)), order(replace(net, parts=(part,))))


def test_holes_then_slits_then_notches_are_cut_before_the_outline() -> None:
    net = net_of(NOTCHED, holes=(rectangle(10, 10, 20, 20),), slits=(((80, 60), (80, 30)),))
    cuts = order(net)
    hole, slit, notch, outline = (cuts[:4], cuts[4:5], cuts[5:7], cuts[7:])
    assert all(10 <= x <= 20 for c in hole for line in c.lines for x, _ in line)
    assert slit[0].lines == (((80, 60), (80, 30)),)
    assert all((50, 40) in c.lines[0] for c in notch)
    assert {c.where for c in (*hole, *slit, *notch)} == {"inner"}
    assert {c.where for c in outline} == {"outline"}
    assert [round(c.mm) for c in outline] == [60, 60, 80, 100]


@pytest.mark.parametrize("radius", [2.0, 5.0, 15.0])
def test_a_rounded_corner_is_one_cut_without_the_ruler(radius: float) -> None:
    cuts = order(net_of(rounded(rectangle(0, 0, 100, 60), {0: radius, 2: radius})))
    curves = [c for c in cuts if c.freehand]
    assert len(cuts) == 6
    assert [len(c.lines) for c in curves] == [12, 12]
    assert all(a[1] == b[0] for c in curves for a, b in pairwise(c.lines))
    assert [c.mm for c in curves] == pytest.approx([radius * math.pi / 2] * 2, rel=0.001)


def test_a_round_hole_is_one_inner_cut() -> None:
    hole = tuple((50 + 8 * math.cos(a * math.pi / 24), 30 - 8 * math.sin(a * math.pi / 24)) for a in range(48))
    first, *rest = order(net_of(rectangle(0, 0, 100, 60), holes=(hole,)))
    assert (len(first.lines), first.freehand, first.where) == (48, True, "inner")
    assert len(rest) == 4


def test_short_steps_at_a_corner_are_no_curve() -> None:
    stepped: Ring = ((0, 0), (100, 0), (100, 60), (1, 60), (1, 59), (0, 59))
    cuts = order(net_of(stepped))
    assert not any(c.freehand for c in cuts)
    assert len(cuts) == 6


@settings(max_examples=60)
@given(st.floats(20, 500), st.floats(20, 500), st.floats(0.1, 0.9), st.floats(0.1, 0.9), st.booleans())
def test_in_an_l_the_two_lines_into_its_inner_corner_come_first(w: float, h: float, x: float, y: float, mirrored: bool) -> None:
    way = -1 if mirrored else 1
    ell = tuple((way * px, py) for px, py in ((0, 0), (w, 0), (w, h * y), (w * x, h * y), (w * x, h), (0, h)))
    net = net_of(ell)
    cuts = order(net)
    assert not failed(net, cuts)
    assert [c.where for c in cuts] == ["inner"] * 2 + ["outline"] * 4
    assert sum(c.mm for c in cuts) == pytest.approx(2 * (w + h))


@pytest.fixture
def tray() -> Net:
    return boxes.net("tray")


def test_a_line_that_is_forgotten_is_found(tray: Net) -> None:
    cuts = order(tray)
    for i in range(len(cuts)):
        assert failed(tray, cuts[:i] + cuts[i + 1 :])


def test_a_line_that_is_drawn_twice_is_found(tray: Net) -> None:
    cuts = order(tray)
    check = named(checks(tray, (*cuts, cuts[-1])), "cuts.all")
    assert not check.ok
    assert check.figure == pytest.approx(cuts[-1].mm)


def test_a_fold_that_would_be_cut_through_is_found(tray: Net) -> None:
    first, *rest = order(tray)
    assert first.kind == "score"
    assert failed(tray, (replace(first, kind="cut"), *rest))


def test_a_line_that_is_moved_is_found(tray: Net) -> None:
    *rest, last = order(tray)
    (ax, ay), b = last.lines[0]
    assert failed(tray, (*rest, replace(last, lines=(((ax + 0.1, ay), b), *last.lines[1:]))))


def test_measures_run_from_the_left_and_the_lower_edge_of_the_piece() -> None:
    moved = tuple((x + 33.3, y - 7.7) for x, y in NOTCHED)
    part = net_of(moved, (crease(((33.3, 12.3), (133.3, 12.3))),), panels="ab").parts[0]
    told = points(part, part.pieces[0])
    assert {x for x, _ in told} == {0.0, 40.0, 50.0, 60.0, 100.0}
    assert {y for _, y in told} == {0.0, 20.0, 40.0, 60.0}
    assert told[:3] == ((0.0, 0.0), (100.0, 0.0), (0.0, 20.0))


def test_of_a_rounded_corner_the_corner_is_measured() -> None:
    part = net_of(rounded(rectangle(0, 0, 100, 60), {2: 5.0})).parts[0]
    assert points(part, part.pieces[0]) == ((0.0, 0.0), (100.0, 0.0), (0.0, 60.0), (100.0, 60.0))


def test_of_a_round_end_the_two_ends_of_the_curve_are_measured() -> None:
    part = net_of(rounded(rectangle(0, 0, 100, 20), {1: 9.999, 2: 9.999})).parts[0]
    assert [(round(x), round(y)) for x, y in points(part, part.pieces[0])] == [(0, 0), (90, 0), (0, 20), (90, 20)]


@pytest.mark.parametrize("net", ALL)
def test_every_corner_and_fold_end_is_measured(net: Net) -> None:
    for part in net.parts:
        for piece in part.pieces:
            x0, y0, x1, y1 = bounds(piece.outline)
            told = points(part, piece)
            assert len(set(told)) == len(told)
            assert all(-1e-6 <= x <= x1 - x0 + 1e-4 and -1e-6 <= y <= y1 - y0 + 1e-4 for x, y in told)
            for line, _ in scored(part, piece):
                for x, y in line:
                    assert min(math.dist((x - x0, y - y0), p) for p in told) < 1e-3


def test_a_measure_in_sixteenths_of_an_inch_stays_one() -> None:
    net = boxes.net("lidded-box", Item("block", 120.65, 95.25, 101.6), units="in", clearance=6.35, headroom=9.525)
    part = net.parts[0]
    marks = [x / 25.4 * 16 for x, _ in points(part, part.pieces[0])]
    assert marks == pytest.approx([round(m) for m in marks], abs=1e-3)


# One setting of the ruler for each straight line ---------------------------------------------------------------------

HUNG: Ring = ((0, 0), (100, 0), (100, 40), (60, 40), (60, 60), (40, 60), (35, 20), (30, 40), (0, 40))
"""An edge that ends in an inner corner, 60 to 100, and an edge of the outline, 0 to 30, on one line."""


@pytest.mark.parametrize("net", ALL)
def test_the_ruler_is_placed_once_for_each_straight_line(net: Net) -> None:
    assert ruler_settings(order(net)) == distinct_lines(net)


def test_an_outline_on_the_line_of_a_notch_is_cut_with_it() -> None:
    cuts = order(net_of(HUNG))
    (both,) = [cut for cut in cuts if cut.where == "both"]
    assert both.lines == (((30, 40), (0, 40)), ((100, 40), (60, 40))) and both.mm == 70
    assert not failed(net_of(HUNG), cuts)
    assert [cut.where for cut in cuts] == ["inner"] * 3 + ["both"] + ["outline"] * 4


def test_a_curve_needs_no_ruler() -> None:
    net = net_of(rounded(rectangle(0, 0, 100, 60), {0: 5.0, 2: 5.0}))
    assert (ruler_settings(order(net)), distinct_lines(net), len(order(net))) == (4, 4, 6)


def test_a_score_and_a_cut_on_one_line_are_two_settings() -> None:
    net = net_of(HUNG, (crease(((30, 40), (60, 40))),), panels="ab")
    assert ruler_settings(order(net)) == distinct_lines(net) == 9


@pytest.mark.parametrize("net", ALL)
def test_the_sides_of_the_convex_hull_are_cut_last(net: Net) -> None:
    for part, piece in templates(net):
        hull = shapely.Polygon(piece.outline).convex_hull.exterior.buffer(1e-6)
        for cut in (cut for cut in order(net) if (cut.part, cut.piece) == (part.name, piece.name) and cut.kind == "cut"):
            assert cut.where == "outline" or not any(hull.covers(shapely.LineString(line)) for line in cut.lines)


@st.composite
def combs(draw: st.DrawFn) -> Ring:
    """Teeth of a few heights side by side, so that many edges lie on one line; turned by right angles."""
    heights = draw(st.lists(st.sampled_from((10.0, 20.0, 30.0)), min_size=1, max_size=8))
    top = [(10.0 * (k + end), h) for k, h in enumerate(heights) for end in (0, 1)]
    ring = ((0.0, 0.0), (10.0 * len(heights), 0.0), *reversed(top))
    return turn(draw(st.integers(0, 3))).ring(p for i, p in enumerate(ring) if p != ring[i - 1])


@settings(max_examples=60)
@given(combs())
def test_a_comb_is_cut_with_one_setting_for_each_line_its_gaps_before_its_outline(ring: Ring) -> None:
    net = net_of(cleaned(ring))
    cuts = order(net)
    assert not failed(net, cuts)
    across = {("x", a[0]) if a[0] == b[0] else ("y", a[1]) for cut in cuts for a, b in cut.lines}
    assert ruler_settings(cuts) == len(across)


def test_a_setting_in_two_is_found(tray: Net) -> None:
    cuts = order(tray)
    at = next(i for i, cut in enumerate(cuts) if len(cut.lines) > 1)
    parted = [replace(cuts[at], lines=(line,), mm=length(line)) for line in cuts[at].lines]
    assert not named(checks(tray, (*cuts[:at], *parted, *cuts[at + 1 :])), "cuts.settings").ok


def test_a_cut_before_a_score_and_an_outline_before_an_inner_cut_are_found() -> None:
    net = net_of(HUNG, (crease(((30, 20), (60, 20))),), panels="ab")
    cuts = order(net)
    assert [cut.where for cut in cuts[:2]] == ["fold", "inner"]
    for a, b in ((0, 1), (1, len(cuts) - 1)):
        turned = list(cuts)
        turned[a], turned[b] = replace(cuts[b], number=a + 1), replace(cuts[a], number=b + 1)
        assert not named(checks(net, turned), "cuts.order").ok


@pytest.mark.parametrize("net", ALL)
def test_what_is_drawn_in_all_pieces_is_what_the_materials_reckon(net: Net) -> None:
    needs = reckon(net, 200.0, 1, 1)
    assert drawn(net, order(net)) == pytest.approx((needs.cut_mm, needs.score_mm), abs=0.5)


# Corners that must not be overcut ------------------------------------------------------------------------------------


def stops_of(outline: Ring, **more: object) -> tuple[tuple[float, float], ...]:
    part = net_of(outline, **more).parts[0]  # type: ignore[arg-type]
    return stops(part.pieces[0])


def test_a_blade_stops_in_inner_corners() -> None:
    assert stops_of(NOTCHED) == ((50, 40),) and stops_of(HUNG) == ((35, 20), (60, 40))
    assert stops_of(rectangle(0, 0, 100, 60)) == ()


def test_a_blade_stops_in_the_corners_of_a_window_whichever_way_it_runs() -> None:
    window = rectangle(10, 10, 20, 20)
    for hole in (window, window[::-1]):
        assert set(stops_of(rectangle(0, 0, 100, 60), holes=(hole,))) == set(window)


def test_a_blade_stops_at_the_end_of_a_slit_within_the_piece_alone() -> None:
    slits = (((80, 60), (80, 30)), ((20, 20), (40, 20)))
    assert stops_of(rectangle(0, 0, 100, 60), slits=slits) == ((20, 20), (40, 20), (80, 30))


def test_a_blade_does_not_stop_on_a_curve() -> None:
    assert stops_of(rounded(((0, 0), (100, 0), (100, 60), (40, 60), (40, 30), (0, 30)), {4: 5.0})) == ()
    hole = tuple((50 + 8 * math.cos(a * math.pi / 24), 30 - 8 * math.sin(a * math.pi / 24)) for a in range(48))
    assert stops_of(rectangle(0, 0, 100, 60), holes=(hole,)) == ()


@pytest.mark.parametrize("net", ALL)
def test_a_blade_that_runs_on_beyond_a_corner_cuts_the_piece_only_at_a_stop(net: Net) -> None:
    for _, piece in templates(net):
        shape, kept = shapely.Polygon(piece.outline).buffer(-1e-3), set(stops(piece))
        ends = [line for line in zip(piece.outline, (*piece.outline[1:], piece.outline[0]), strict=True) if length(line) > 4]
        for line in (way for a, b in ends for way in ((a, b), (b, a))):
            (ax, ay), (bx, by) = line
            on = (bx + (bx - ax) / length(line), by + (by - ay) / length(line))
            if line[1] not in kept and not any(math.dist(line[1], other) < 3 for other in kept):
                assert not shapely.LineString((line[1], on)).crosses(shape), line

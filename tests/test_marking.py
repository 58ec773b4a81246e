"""Marking out by ruler: points from two datum edges, lines by their numbers, and the drawing of both."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from booklet.cuts import order, scored, templates
from booklet.drawing.layout import DOTTED
from booklet.drawing.marking import NUMBER_PT, draw_marking
from booklet.drawing.pen import MM_PER_POINT, STROKES
from booklet.drawing.recording import Record, RecordingPen, measured
from booklet.drawing.room import CAPITAL, Box
from booklet.grid import Grid, Units
from booklet.marked import marked_outside
from booklet.marking import Arc, Marked, MarkedPiece, checks, figure, marked
from booklet.net import Fold, Inside, Item, Net, Panel, Part, Piece
from booklet.pages.facts import FEW_POINTS
from booklet.pages.filling import LEAST_BARE, LEAST_EACH
from booklet.plane import Line, Point, Ring
from booklet.space import identity, rows
from booklet.styles.shapes import rectangle, rounded
from tests import boxes, samples
from tests.boxes import named
from tests.plans import plan

NETS = [
    (boxes.net(style, t=t, sheet=sheet, units=units), units)
    for style in boxes.STYLES
    for t in (0.3, 1.0)
    for sheet in (boxes.HUGE, (304.8, 304.8))
    for units in ("mm", "in")
]


def net_of(outline: Ring, folds: tuple[Fold, ...] = (), holes: tuple[Ring, ...] = (), slits: tuple[Ring, ...] = ()) -> Net:
    """A net of one piece of two panels."""
    piece = Piece("box", "box", ("a", "b"), outline, holes, slits)
    panels = tuple(Panel(n, "wall", outline) for n in "ab")
    part = Part("box", "box", 0.3, "a", (rows(identity()),), panels, folds, pieces=(piece,))
    return Net("", "tray", 0.3, Inside(1, 1, 1), False, Item("block", 1, 1, 1), (part,), ())


def crease(line: Line, way: str = "crease") -> Fold:
    return Fold(f"fold-{line}", "a", "b", line, 90.0, way=way)  # type: ignore[arg-type]


def told(net: Net, units: Units = "mm") -> MarkedPiece:
    (sheet,) = marked(net, "crease", units)
    return sheet


def lines_of(sheet: MarkedPiece, kinds: tuple[str, ...]) -> list[Line]:
    at = {p.number: (p.told_x, p.told_y) for p in sheet.points}
    return [(at[a], at[b]) for one in (*sheet.scores, *sheet.cuts) if one.kind in kinds for a, b in one.lines]


@pytest.mark.parametrize(("net", "units"), NETS)
def test_every_measure_is_a_mark_of_the_ruler_at_most_half_of_one_off(net: Net, units: Units) -> None:
    sheets = marked(net, "crease", units)
    assert all(check.ok for check in checks(net, sheets, units))
    grid = Grid(units)
    assert all(grid.nearest(v) == v for one in sheets for p in one.points for v in (p.told_x, p.told_y))


@pytest.mark.parametrize(("net", "units"), NETS)
def test_points_are_numbered_from_below_and_then_from_the_left(net: Net, units: Units) -> None:
    for sheet in marked(net, "crease", units):
        assert [p.number for p in sheet.points] == list(range(1, len(sheet.points) + 1))
        rows = [(p.told_y, p.told_x) for p in sheet.points]
        assert rows == sorted(rows)


@pytest.mark.parametrize(("net", "units"), NETS)
def test_the_piece_is_cut_out_again_by_the_list_alone(net: Net, units: Units) -> None:
    for sheet, (_, piece) in zip(marked(net, "crease", units), templates(net), strict=True):
        faces = shapely.polygonize([shapely.unary_union(shapely.MultiLineString(lines_of(sheet, ("cut",))))])
        again = shapely.union_all(list(faces.geoms))
        true = shapely.Polygon(sheet.to_sheet.ring(piece.outline), [sheet.to_sheet.ring(hole) for hole in piece.holes])
        corners = sum(0.6 * arc.radius**2 for arc in sheet.arcs)
        assert again.symmetric_difference(true).area <= true.length * Grid(units).mark / 2 + corners


@pytest.mark.parametrize(("net", "units"), NETS)
def test_every_fold_is_told_by_the_numbers_of_its_ends(net: Net, units: Units) -> None:
    half = Grid(units).mark / 2
    for sheet, (part, piece) in zip(marked(net, "crease", units), templates(net), strict=True):
        scores = lines_of(sheet, ("score", "half-cut"))
        for line, _ in scored(part, piece):
            ends = shapely.MultiPoint([sheet.to_sheet(end) for end in line])
            assert any(shapely.hausdorff_distance(ends, shapely.MultiPoint(score)) <= 1.5 * half for score in scores), line


@pytest.mark.parametrize(("net", "units"), NETS)
def test_lines_have_the_numbers_of_the_order_of_cuts_and_their_tools(net: Net, units: Units) -> None:
    cuts = order(net)
    for sheet in marked(net, "crease", units):
        own = {cut.number: cut for cut in cuts if (cut.part, cut.piece) == (sheet.part, sheet.piece)}
        assert all(own[one.number].kind == one.kind and not own[one.number].freehand for one in (*sheet.scores, *sheet.cuts))
        assert {arc.number for arc in sheet.arcs} == {number for number, cut in own.items() if cut.freehand}
        assert [one.number for one in (*sheet.scores, *sheet.cuts)] == sorted(one.number for one in (*sheet.scores, *sheet.cuts))


@pytest.mark.parametrize("style", boxes.STYLES)
def test_half_cuts_of_a_net_that_is_marked_inside_are_told_on_its_outer_face(style: str) -> None:
    net = boxes.net(style, t=1.0)
    inside, outside = marked(net, "half-cut", "mm"), marked(marked_outside(net), "half-cut", "mm")
    assert all(one.mirrored for one in inside) and not any(one.mirrored for one in outside)
    for a, b in zip(inside, outside, strict=True):
        assert a.points == b.points and a.size == b.size
        assert {line for one in a.scores for line in one.lines} == {line for one in b.scores for line in one.lines}
        assert {line for one in a.cuts for line in one.lines} == {line for one in b.cuts for line in one.lines}


def test_creases_are_told_on_the_marked_face() -> None:
    assert not any(one.mirrored for one in marked(boxes.net("tray"), "crease", "mm"))


def test_a_small_piece_is_told_as_a_hand_would() -> None:
    sheet = told(net_of(((5, 5), (105, 5), (105, 65), (5, 65)), (crease(((25.2, 5), (25.2, 65))),)))
    assert [(p.number, p.told_x, p.told_y) for p in sheet.points] == [
        (1, 0, 0),
        (2, 20, 0),
        (3, 100, 0),
        (4, 0, 60),
        (5, 20, 60),
        (6, 100, 60),
    ]
    assert [one.lines for one in sheet.scores] == [((2, 5),)]
    assert [one.lines for one in sheet.cuts] == [((1, 4),), ((3, 6),), ((1, 3),), ((4, 6),)]
    assert sheet.size == (100, 60) and sheet.arcs == ()


def test_of_a_rounded_corner_the_corner_and_its_radius_are_told() -> None:
    sheet = told(net_of(rounded(rectangle(0, 0, 100, 60), {2: 5.0})))
    assert [(p.told_x, p.told_y) for p in sheet.points] == [(0, 0), (100, 0), (0, 60), (100, 60)]
    assert [(arc.kind, arc.points, arc.radius) for arc in sheet.arcs] == [("corner", (4,), 5.0)]
    assert {line for one in sheet.cuts for line in one.lines} == {(1, 2), (1, 3), (2, 4), (3, 4)}


def test_of_a_round_hole_the_centre_and_the_radius_are_told() -> None:
    hole = tuple((50 + 8 * math.cos(a * math.pi / 24), 30 - 8 * math.sin(a * math.pi / 24)) for a in range(48))
    sheet = told(net_of(rectangle(0, 0, 100, 60), holes=(hole,)))
    (arc,) = sheet.arcs
    centre = sheet.points[arc.points[0] - 1]
    assert (arc.kind, arc.radius, centre.told_x, centre.told_y) == ("circle", 8.0, 50.0, 30.0)


def test_of_another_curve_the_ends_and_a_point_in_the_middle_are_told() -> None:
    notch = [(60 - 10 + 10 * math.cos(a * math.pi / 24), 60 - 10 * math.sin(a * math.pi / 24)) for a in range(25)]
    sheet = told(net_of(((0, 0), (100, 0), (100, 60), *notch, (0, 60))))
    (arc,) = sheet.arcs
    assert arc.kind == "curve"
    assert [(sheet.points[n - 1].told_x, sheet.points[n - 1].told_y) for n in arc.points] == [(60, 60), (50, 50), (40, 60)]


def test_a_corner_that_is_rounded_otherwise_than_by_an_arc_is_told_as_a_curve() -> None:
    bend = [(100 - 16 * (1 - t) ** 2, 60 - 16 * t**2) for t in (k / 16 for k in range(17))]
    sheet = told(net_of(((0, 0), (100, 0), *reversed(bend), (0, 60))))
    assert [arc.kind for arc in sheet.arcs] == ["curve"] and len(sheet.points) == 6


def test_both_ends_of_a_slit_are_told() -> None:
    sheet = told(net_of(rectangle(0, 0, 100, 60), slits=(((80, 60), (80, 30)),)))
    assert {(p.told_x, p.told_y) for p in sheet.points} >= {(80, 60), (80, 30)}


def test_points_that_the_ruler_tells_alike_are_one_and_the_line_between_them_goes() -> None:
    step: Ring = ((0, 0), (100, 0), (100, 60), (50, 60), (50, 59.95), (0, 59.95))
    assert len(told(net_of(step)).points) == 5


def test_a_hair_keeps_points_apart() -> None:
    step: Ring = ((0, 0), (100, 0), (100, 60), (50, 60), (50, 59.8), (0, 59.8))
    assert [figure(p.y, "mm") for p in told(net_of(step)).points] == ["0", "0", "60-", "60-", "60", "60"]


@pytest.mark.parametrize(
    ("mm", "units", "words"),
    [(20.0, "mm", "20"), (20.09, "mm", "20"), (20.2, "mm", "20+"), (20.3, "mm", "20.5-"), (25.4, "in", "1"), (26.0, "in", "1+")],
)
def test_a_figure_is_a_mark_with_a_hair_more_or_less(mm: float, units: Units, words: str) -> None:
    assert figure(mm, units) == words


@given(st.floats(0, 2000), st.sampled_from(("mm", "in")))
def test_a_figure_never_tells_more_than_half_a_mark_wrong(mm: float, units: Units) -> None:
    number = figure(mm, units).rstrip("+-")
    value = sum(float(a) / float(b) if b else float(a) for a, _, b in (word.partition("/") for word in number.split()))
    assert abs(value * (25.4 if units == "in" else 1) - mm) <= Grid(units).mark / 2 + 1e-6


def test_a_point_told_wrong_and_a_line_left_out_are_found() -> None:
    net = boxes.net("tray")
    (sheet,) = marked(net, "crease", "mm")
    first, *others = sheet.points
    moved = replace(sheet, points=(replace(first, told_x=first.told_x + 0.5), *others))
    assert not named(checks(net, (moved,), "mm"), "marking.grid").ok
    for short in (replace(sheet, cuts=sheet.cuts[1:]), replace(sheet, scores=sheet.scores[:-1])):
        assert not named(checks(net, (short,), "mm"), "marking.all").ok
    assert not any(check.ok for check in checks(net, (), "mm"))


_TONGUE = [(80 + 10 * math.sin(a * math.pi / 24), 15 - 10 * math.cos(a * math.pi / 24)) for a in range(25)]
ROUND_ENDS = [
    (rounded(rectangle(0, 0, 100, 20), {1: 9.999, 2: 9.999}), [(90, 0), (90, 20)]),
    (((0, 0), *_TONGUE, (0, 30)), [(80, 5), (80, 25)]),
]
"""A round end between two sides that never meet, and one between two that would meet far from it."""


@pytest.mark.parametrize(("outline", "ends"), ROUND_ENDS)
def test_a_round_end_is_told_by_its_ends_and_the_check_asks_for_these_alone(outline: Ring, ends: list[Point]) -> None:
    net = net_of(outline)
    sheet = told(net)
    (arc,) = sheet.arcs
    first, _, last = (sheet.points[n - 1] for n in arc.points)
    assert arc.kind == "curve" and sorted((p.told_x, p.told_y) for p in (first, last)) == ends
    assert all(check.ok for check in checks(net, (sheet,), "mm"))
    moved = tuple(replace(p, told_x=p.told_x + 0.5) if p is first else p for p in sheet.points)
    assert not named(checks(net, (replace(sheet, points=moved),), "mm"), "marking.grid").ok


def test_a_curve_left_out_is_found() -> None:
    net = boxes.net("tuck-carton")
    (sheet,) = marked(net, "crease", "mm")
    assert isinstance(sheet.arcs[0], Arc) and isinstance(sheet.points[0], Marked)
    assert not named(checks(net, (replace(sheet, arcs=sheet.arcs[1:]),), "mm"), "marking.all").ok


# The drawing --------------------------------------------------------------------------------------------------------

BOX = (0.0, 0.0, 186.0, 120.0)
SMALL = (0.0, 0.0, 89.0, LEAST_BARE + FEW_POINTS * LEAST_EACH)
DRAWN = [(style, t, units) for style in boxes.STYLES for t, units in ((0.3, "mm"), (0.3, "in"), (0.9, "mm"))]


def drawn(style: str, t: float, units: str, box: Box = BOX) -> list[tuple[MarkedPiece, list[Record]]]:
    made = plan(style, t, units=units)
    found = []
    for sheet, (part, piece, _) in zip(marked(made.net, made.thickness.way, made.spec.units), made.templates, strict=True):
        pen = RecordingPen()
        draw_marking(pen, sheet, part, piece, box)
        found.append((sheet, pen.records))
    return found


def box_of(r: Record) -> shapely.Polygon:
    wide, cap, (x, y) = measured(r.words, r.size_pt), CAPITAL * r.size_pt * MM_PER_POINT, r.points[0]
    return shapely.box(x - wide / 2, y, x + wide / 2, y + cap)


@pytest.mark.parametrize(("style", "t", "units"), DRAWN)
def test_every_point_has_its_number_and_none_stands_on_another_or_on_a_line(style: str, t: float, units: str) -> None:
    few = [one for one in drawn(style, t, units, SMALL) if len(one[0].points) <= FEW_POINTS]
    for sheet, records in [*drawn(style, t, units), *few]:
        numbers = [r for r in records if r.kind == "text"]
        assert sorted(int(r.words) for r in numbers) == [p.number for p in sheet.points]
        assert {r.size_pt for r in numbers} == {NUMBER_PT} and NUMBER_PT >= 7
        assert not any(a.intersects(b) for a, b in combinations(map(box_of, numbers), 2))
        leaders = STROKES["dimension"]
        lines = shapely.MultiLineString([line for r in records if r.kind == "path" and r.stroke != leaders for line in r.lines()])
        assert not any(box_of(r).intersects(lines) for r in numbers)


@pytest.mark.parametrize(("style", "t", "units"), DRAWN)
def test_all_of_it_stays_in_its_box_and_fills_it(style: str, t: float, units: str) -> None:
    for _, records in drawn(style, t, units):
        assert all(shapely.box(*BOX).covers(box_of(r) if r.kind == "text" else shapely.MultiPoint(r.points)) for r in records)
        (frame,) = (shapely.LinearRing(r.points) for r in records if r.stroke == DOTTED)
        x0, y0, x1, y1 = frame.bounds
        assert max(x1 - x0 - (BOX[2] - 12), y1 - y0 - (BOX[3] - 12)) == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(("style", "t", "units"), DRAWN)
def test_a_dot_lies_where_its_point_is_in_the_rectangle(style: str, t: float, units: str) -> None:
    for sheet, records in drawn(style, t, units):
        frame = next(r.points for r in records if r.stroke == DOTTED)
        dots = [shapely.Polygon(r.points).centroid for r in records if r.kind == "fill" and len(r.points) == 16]
        scale = (frame[1][0] - frame[0][0]) / (max(x for x, _ in outline(style, t, units, sheet)))
        want = [(frame[0][0] + scale * p.x, frame[0][1] + scale * p.y) for p in sheet.points]
        assert all(math.dist((dot.x, dot.y), at) < 1e-3 for dot, at in zip(dots, want, strict=True))


def outline(style: str, t: float, units: str, sheet: MarkedPiece) -> list[Point]:
    piece = next(piece for _, piece, _ in plan(style, t, units=units).templates if piece.name == sheet.piece)
    return [sheet.to_sheet(p) for p in piece.outline]


def test_a_fold_is_the_other_kind_on_the_other_face() -> None:
    made = plan("tray", 0.9)
    part, piece, _ = made.templates[0]
    (sheet,) = marked(made.net, "half-cut", "mm")[:1]
    pens = RecordingPen(), RecordingPen()
    draw_marking(pens[0], sheet, part, piece, BOX)
    draw_marking(pens[1], replace(sheet, mirrored=True), part, piece, BOX)
    assert made.net.marks == "outside"
    mountains, none = ([r.stroke for r in pen.records].count(STROKES["mountain"]) for pen in pens)
    assert mountains >= 4 and none == 0


@pytest.mark.parametrize("name", ["teapot", "brushes"])
def test_the_list_of_a_sample_is_whole(name: str) -> None:
    made = samples.plan(name)
    units = made.spec.units
    assert all(check.ok for check in checks(made.net, marked(made.net, made.thickness.way, units), units))


def test_a_rounded_corner_told_in_the_wrong_place_is_found() -> None:
    net = boxes.net("tuck-carton", Item("block", 60.0, 40.0, 90.0))
    (sheet,) = marked(net, "crease", "mm")
    assert all(check.ok for check in checks(net, (sheet,), "mm"))
    corner = next(arc.points[0] for arc in sheet.arcs if arc.kind == "corner")
    moved = tuple(replace(p, told_x=p.told_x + 3.0, told_y=p.told_y + 3.0) if p.number == corner else p for p in sheet.points)
    assert {c.name for c in checks(net, (replace(sheet, points=moved),), "mm") if not c.ok} == {"marking.grid"}

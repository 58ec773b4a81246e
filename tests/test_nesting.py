"""True shapes: simpler outlines hold the given ones, barriers are the gap to a hair, and free places are exact."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import product

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from booklet.plane import Ring, area, bounds
from booklet.sheets.nesting import Nested, Shapes, convex, for_proof, never, outer, strayed
from booklet.sheets.packed import Form
from booklet.sheets.rectangles import Job, Turned, goes

GAP = 3.0

length = st.floats(10, 90)


@st.composite
def walls(draw: st.DrawFn) -> Ring:
    """Walls in a row, each with a tapered flap below it or with none: notches between them."""
    height, deep, taper = draw(length), draw(st.floats(5, 40)), draw(st.floats(0, 8))
    points, x = [], 0.0
    for width, flap in draw(st.lists(st.tuples(st.floats(20, 60), st.booleans()), min_size=1, max_size=4)):
        points += [(x, 0.0), *([(x + taper, -deep), (x + width - taper, -deep)] if flap else [])]
        x += width
    ring = (*points, (x, 0.0), (x, height), (0.0, height))
    return Form(tuple(dict.fromkeys(ring))).turned(0).ring


def job_of(*rings: Ring, room: tuple[float, float] = (400.0, 400.0), quarters: tuple[int, ...] = (0, 1, 2, 3)) -> Job:
    forms = (tuple(Turned(q, *Form(ring).turned(q).size) for q in quarters) for ring in rings)
    return Job(room, GAP, tuple(tuple(t for t in turned if goes(t[1:], room)) for turned in forms))


def shapes(*rings: Ring, room: tuple[float, float] = (400.0, 400.0), quarters: tuple[int, ...] = (0, 1, 2, 3)) -> Shapes:
    return Shapes.of(job_of(*rings, room=room, quarters=quarters), rings, GAP)


def on_sheet(rings: tuple[Ring, ...], sheet: Nested) -> list[shapely.Polygon]:
    made = []
    for spot in sheet.spots:
        ring = Form(rings[spot.form]).turned(spot.turned.quarter).ring
        made.append(shapely.Polygon([(x + spot.x, y + spot.y) for x, y in ring]))
    return made


def arc(r: float, n: int, x: float, y: float, start: float, turn: float) -> list[tuple[float, float]]:
    return [(x + r * math.cos(start + turn * i / n), y + r * math.sin(start + turn * i / n)) for i in range(n + 1)]


ROUND: Ring = (
    *(*arc(20, 40, 20, 20, math.pi, math.pi / 2), *arc(20, 40, 120, 20, -math.pi / 2, math.pi / 2), (140.0, 100.0)),
    *(*arc(15, 60, 70, 100, 0, -math.pi), (0.0, 100.0)),
)
"""Two round corners and a thumb notch."""


def test_a_simpler_outline_holds_the_given_one_in_the_same_rectangle() -> None:
    simple = outer(ROUND)
    assert len(simple) < len(ROUND) / 3
    assert shapely.Polygon(simple).buffer(1e-6).covers(shapely.Polygon(ROUND))
    assert bounds(simple) == pytest.approx(bounds(ROUND))
    assert 0 < strayed(ROUND) <= 0.4


def test_an_outline_of_few_points_stays_as_it_is() -> None:
    ring: Ring = ((0.0, 0.0), (100.0, 0.0), (99.0, 20.0), (50.0, 20.05), (0.0, 20.0))
    assert outer(ring) == ring
    assert area(outer(ring[::-1])) > 0
    assert strayed(ring) == 0


@settings(max_examples=60, deadline=None)
@given(walls())
def test_a_shape_is_its_convex_parts(ring: Ring) -> None:
    parts = [shapely.Polygon(part) for part in convex(ring)]
    assert all(part.convex_hull.area == pytest.approx(part.area) for part in parts)
    assert sum(part.area for part in parts) == pytest.approx(area(ring))
    assert shapely.union_all(parts).symmetric_difference(shapely.Polygon(ring)).area == pytest.approx(0, abs=1e-6)


@settings(max_examples=80, deadline=None)
@given(walls(), walls(), st.integers(0, 3), st.integers(0, 3), st.floats(-200, 200), st.floats(-200, 200), st.booleans())
def test_outside_the_barrier_there_is_the_gap_and_inside_it_there_is_not(
    a: Ring, b: Ring, qa: int, qb: int, x: float, y: float, changed: bool
) -> None:
    made = shapes(a, b)
    barrier = made.barrier(1, qb, 0, qa) if changed else made.barrier(0, qa, 1, qb)
    still, moving = (Form(b).turned(qb).ring, Form(a).turned(qa).ring) if changed else (Form(a).turned(qa).ring, Form(b).turned(qb).ring)
    far = shapely.Polygon(still).distance(shapely.Polygon([(p + x, q + y) for p, q in moving]))
    place = shapely.Point(x, y)
    if not barrier.covers(place):
        assert far >= GAP - 1e-6
    elif barrier.boundary.distance(place) > 0.03 * GAP:
        assert far < GAP


@settings(max_examples=30, deadline=None)
@given(st.lists(walls(), min_size=2, max_size=4), st.integers(0, 2))
def test_shapes_on_a_sheet_lie_inside_it_and_the_gap_apart(rings: list[Ring], rule: int) -> None:
    made = shapes(*rings)
    sheet = Nested(made)
    for form in [*range(len(rings)), *range(len(rings))]:
        sheet = sheet.put(form, rule) or sheet
    laid = on_sheet(tuple(rings), sheet)
    assert len(laid) >= 2
    assert all(a.distance(b) >= GAP - 1e-6 for i, a in enumerate(laid) for b in laid[:i])
    assert all(shapely.box(-1e-6, -1e-6, 400 + 1e-6, 400 + 1e-6).covers(shape) for shape in laid)


@pytest.mark.parametrize("rule", range(3))
def test_a_notch_that_is_just_wide_enough_is_used(rule: int) -> None:
    """A fork 90 wide with a notch of 30, and a tongue of 24: with a gap of 3 on either side nothing is left over."""
    fork: Ring = ((0, 0), (90, 0), (90, 80), (60, 80), (60, 20), (30, 20), (30, 80), (0, 80))
    tongue: Ring = ((0, 0), (90, 0), (90, 20), (57, 20), (57, 77), (33, 77), (33, 20), (0, 20))
    made = shapes(fork, tongue, room=(90.0, 103.0), quarters=(0, 2))
    sheet = Nested(made).put(0, rule)
    assert sheet is not None
    both = sheet.put(1, rule)
    assert both is not None
    near, far = on_sheet((fork, tongue), both)
    assert near.distance(far) == pytest.approx(GAP, abs=1e-6)
    assert not never(for_proof(made.job, (fork, tongue)), 0, 1)
    small = shapes(fork, tongue, room=(90.0, 102.9), quarters=(0, 2))
    alone = Nested(small).put(0, rule)
    assert alone is not None
    assert alone.put(1, rule) is None


def test_two_shapes_share_a_sheet_only_where_one_reaches_into_the_other_and_that_is_known() -> None:
    """Two angle pieces: their rectangles do not go side by side, they themselves do."""
    ell: Ring = ((0, 0), (100, 0), (100, 30), (30, 30), (30, 100), (0, 100))
    for room, together in (((135.0, 135.0), True), ((110.0, 110.0), False)):
        job = job_of(ell, room=room)
        assert never(for_proof(job, (ell,)), 0, 0) is not together
        sheet = Nested(Shapes.of(job, (ell,), GAP)).put(0, 0)
        assert sheet is not None
        assert (sheet.put(0, 0) is not None) is together


@settings(max_examples=40, deadline=None)
@given(walls(), walls(), st.floats(60, 260), st.floats(60, 260), st.sampled_from([(0,), (0, 2), (0, 1, 2, 3)]))
def test_what_is_proven_never_to_share_a_sheet_is_never_found_on_one(
    a: Ring, b: Ring, w: float, h: float, quarters: tuple[int, ...]
) -> None:
    made = shapes(a, b, room=(w, h), quarters=quarters)
    assume(all(made.job.forms))
    shared = any((sheet := Nested(made).put(p, rule)) and sheet.put(1 - p, rule) for p, rule in product((0, 1), range(3)))
    assert not (shared and never(for_proof(made.job, (a, b)), 0, 1))


def test_a_proof_allows_for_what_the_simpler_outline_adds() -> None:
    """Its barrier never reaches a place at which the given outlines keep their gap."""
    disc: Ring = (*arc(30, 200, 30, 30, 0, 2 * math.pi)[:-1],)
    proof = for_proof(job_of(disc, ROUND), (disc, ROUND))
    for a, b in ((0, 0), (0, 1), (1, 1)):
        still, moving = (shapely.Polygon((disc, ROUND)[form]) for form in (a, b))
        for x, y in shapely.get_coordinates(proof.barrier(a, 0, b, 0).segmentize(5)):
            assert still.distance(shapely.transform(moving, lambda points, to=(x, y): points + to)) <= GAP + 1e-6


def test_without_a_gap_nothing_is_proven_of_outlines_that_were_made_simpler() -> None:
    disc: Ring = (*arc(30, 200, 30, 30, 0, 2 * math.pi)[:-1],)
    room = 60 + 60 / math.sqrt(2) + 0.01
    assert not never(for_proof(replace(job_of(disc, room=(room, room)), gap=0.0), (disc,)), 0, 0)


def test_a_place_is_a_round_number_where_the_sizes_are() -> None:
    ring: Ring = ((0, 0), (40, 0), (40, 30), (0, 30))
    sheet = Nested(shapes(ring, quarters=(0,)))
    for _ in range(3):
        sheet = sheet.put(0, 1) or sheet
    assert [(spot.x, spot.y) for spot in sheet.spots] == [(0.0, 0.0), (0.0, 33.0), (0.0, 66.0)]

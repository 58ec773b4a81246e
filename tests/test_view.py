"""What is seen of faces in space: against known areas, and against rays sent through random points."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from booklet.drawing.edges import seen_lines
from booklet.drawing.scene import Face3
from booklet.drawing.surface import Surface, View, surfaces
from booklet.drawing.view import INSET, Seen, outline, shares, visible
from booklet.space import applied, turned
from booklet.tolerance import HAND

TOP = View(0, 90)
FRONT = View(0, 0)


def rectangle(key: str, x: float, y: float, wide: float, high: float, z: float = 0.0, **more: object) -> Face3:
    """A level rectangle, marked face up."""
    ring = np.array([(x, y, z), (x + wide, y, z), (x + wide, y + high, z), (x, y + high, z)], float)
    return Face3(key, ring, **more)  # type: ignore[arg-type]


def upright(key: str, start: tuple[float, float], end: tuple[float, float], low: float, high: float, **more: object) -> Face3:
    """A wall over a line on the floor; its marked face is to the left of the way from start to end."""
    ring = np.array([(*end, low), (*start, low), (*start, high), (*end, high)], float)
    return Face3(key, ring, **more)  # type: ignore[arg-type]


def open_box(length: float = 110, width: float = 90, height: float = 60) -> list[Face3]:
    """A box without lid, marked inside, its walls front, right, back, left."""
    c = [(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)]
    names = ("front", "right", "back", "left")
    return [rectangle("base", 0, 0, length, width), *(upright(n, c[k], c[(k + 1) % 4], 0, height) for k, n in enumerate(names))]


def seen_of(faces: list[Face3], view: View, sliver: float = 0.05) -> dict[str, Seen]:
    """By the faces' names."""
    return {s.face.key: s for s in visible(faces, view, sliver)}


def test_the_frame_of_a_view_is_right_handed_and_true_to_scale() -> None:
    frame = View(37, 21).frame
    assert frame @ frame.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(frame) == pytest.approx(1)


@pytest.mark.parametrize(
    ("view", "point", "drawn"),
    [
        (FRONT, (1, 2, 3), (1, 3, -2)),
        (TOP, (1, 2, 3), (1, 2, 3)),
        (View(90, 0), (1, 2, 3), (2, 3, 1)),
        (View(0, 30), (0, -1, 0), (0, -0.5, math.cos(math.radians(30)))),
    ],
)
def test_a_view_shows_x_to_the_right_z_up_and_depth_towards_the_viewer(
    view: View, point: tuple[float, ...], drawn: tuple[float, ...]
) -> None:
    assert view.project(np.array([point], float))[0] == pytest.approx(drawn, abs=1e-12)


def test_a_face_hides_what_lies_under_it_and_nothing_else() -> None:
    seen = seen_of([rectangle("low", 0, 0, 10, 10), rectangle("high", 5, 5, 10, 10, z=3)], TOP)
    assert seen["low"].region.area == pytest.approx(75)
    assert seen["high"].region.area == pytest.approx(100)
    assert seen["low"].share == pytest.approx(0.75)


def test_the_order_in_which_faces_are_given_does_not_matter() -> None:
    faces = open_box()
    there, back = seen_of(faces, View()), seen_of(faces[::-1], View())
    assert all(there[key].region.symmetric_difference(back[key].region).area < 1e-4 for key in there)


def test_a_layer_of_thin_card_hides_the_layer_under_it() -> None:
    seen = seen_of([rectangle("upper", 0, 0, 80, 50, z=0.15), rectangle("lower", 1, 1, 78, 48)], View())
    assert seen["lower"].region.area == 0
    assert seen["upper"].share == pytest.approx(1)


def test_of_faces_that_lie_exactly_on_each_other_the_later_is_seen() -> None:
    seen = seen_of([rectangle("under", 0, 0, 80, 50), rectangle("over", 10, 10, 20, 20)], View())
    assert seen["over"].share == pytest.approx(1)
    assert seen["under"].share == pytest.approx(1 - 400 / 4000)


@pytest.mark.parametrize("noise", [0.0, 1e-7, -1e-7])
def test_float_noise_does_not_change_which_of_two_layers_in_one_plane_is_seen(noise: float) -> None:
    tilt = turned((3, 1, 2), 41)
    under, over = (rectangle("under", 0, 0, 80, 50), rectangle("over", 10, 10, 20, 20, z=noise))
    seen = seen_of([Face3(f.key, applied(tilt, f.points)) for f in (under, over)], View())
    assert seen["over"].share == pytest.approx(1)


def test_the_near_walls_of_a_box_are_seen_whole_and_the_far_ones_inside_above_them() -> None:
    seen = seen_of(open_box(), View(32, 30))
    assert {key for key, s in seen.items() if s.share > 0.999} == {"front", "right"}
    assert {key for key, s in seen.items() if s.marked} == {"base", "back", "left"}


def test_through_a_hole_one_sees_what_lies_behind() -> None:
    hole = np.array([(2, 2, 5), (8, 2, 5), (8, 8, 5), (2, 8, 5)], float)
    seen = seen_of([rectangle("sheet", 0, 0, 10, 10, z=5, holes=(hole,)), rectangle("floor", 0, 0, 10, 10)], TOP)
    assert seen["floor"].region.area == pytest.approx(36)
    assert seen["sheet"].area == pytest.approx(64)


def test_a_concave_face_hides_only_under_its_own_outline() -> None:
    ring = np.array([(0, 0, 5), (10, 0, 5), (10, 10, 5), (5, 5, 5), (0, 10, 5)], float)
    seen = seen_of([rectangle("floor", 0, 0, 10, 10), Face3("notched", ring)], TOP)
    assert seen["floor"].region.area == pytest.approx(25)


def test_a_face_seen_edge_on_is_a_line_and_hides_nothing() -> None:
    seen = seen_of([rectangle("floor", 0, 0, 10, 10), upright("wall", (2, 5), (8, 5), 0, 4)], TOP)
    assert seen["floor"].region.area == pytest.approx(100)
    assert seen["wall"].area == 0 and seen["wall"].share == 0
    assert shapely.union_all([seen["wall"].edges]).length == pytest.approx(6)


def test_a_face_seen_edge_on_is_hidden_where_it_lies_behind_another() -> None:
    faces = [rectangle("cover", 0, 0, 5, 10, z=9), upright("wall", (2, 5), (8, 5), 0, 4)]
    edges = shapely.union_all([seen_of(faces, TOP)["wall"].edges])
    assert edges.length == pytest.approx(3, abs=2 * INSET)
    assert edges.bounds[0] == pytest.approx(5, abs=2 * INSET)


def test_a_partition_behind_a_wall_does_not_show_through_where_it_touches() -> None:
    faces = [upright("wall", (-40, 0), (60, 0), -10, 50), upright("partition", (10, 0), (10, 30), 0, 15)]
    for view in (FRONT, View(-32, 30), View(20, 10)):
        assert seen_of(faces, view)["partition"].region.area == pytest.approx(0, abs=1e-6)
        assert seen_of(faces, view)["partition"].edges.length == pytest.approx(0, abs=0.1)


def test_a_base_that_bites_into_its_wall_does_not_show_outside() -> None:
    faces = [rectangle("base", 0, -0.4, 100, 60, z=2), upright("wall", (-60, 0), (160, 0), 0, 40)]
    seen = seen_of(faces, View(-30, 10))
    assert seen["wall"].share == pytest.approx(1)
    assert seen["base"].region.area == 0


def test_faces_that_cut_through_each_other_change_places_along_a_drawn_line() -> None:
    tilted = Face3("tilted", applied(turned((0, 1, 0), 30, (5, 0, 0)), rectangle("", 0, 0, 10, 10).points))
    seen = seen_of([rectangle("level", 0, 0, 10, 10), tilted], TOP)
    half = 5 * math.cos(math.radians(30)) * 10
    assert seen["tilted"].region.area == pytest.approx(half, rel=1e-4)
    assert seen["level"].region.area == pytest.approx(100 - half, rel=1e-4)
    line = shapely.LineString([(5, 0), (5, 10)])
    edges = shapely.union_all([s.edges for s in seen.values()])
    assert edges.intersection(line.buffer(1e-3)).length == pytest.approx(10, abs=0.01)


def test_the_border_of_what_hides_a_face_is_no_edge_of_it() -> None:
    seen = seen_of([rectangle("low", 0, 0, 10, 10), rectangle("high", 5, 5, 10, 10, z=3)], TOP)
    assert seen["low"].edges.length == pytest.approx(30, abs=4 * INSET)
    assert seen["high"].edges.length == pytest.approx(40)


def test_edges_inside_one_smooth_face_are_not_drawn_but_where_it_turns_away() -> None:
    left, right = rectangle("a", 0, 0, 10, 10, body="wall"), rectangle("b", 10, 0, 10, 10, body="wall")
    assert seen_of([left, right], TOP)["a"].edges.length == pytest.approx(30)
    turned_under = Face3("b", applied(turned((0, 1, 0), 120, (10, 0, 0)), right.points), body="wall")
    assert seen_of([left, turned_under], TOP)["a"].edges.length == pytest.approx(40)


def test_folds_between_panels_leave_no_seam_in_the_contour() -> None:
    flat = [rectangle(str(k), 10 * k, 0, 10, 20) for k in range(6)]
    outer, inner = outline(visible(flat, View(17, 41)))
    assert outer.geom_type == "Polygon" and not outer.interiors
    assert shapely.union_all([inner], grid_size=0.01).length == pytest.approx(5 * _drawn_length((0, 20, 0), View(17, 41)), abs=0.5)


def _drawn_length(way: tuple[float, float, float], view: View) -> float:
    return float(np.hypot(*view.project(np.array([way], float))[0, :2]))


def test_slivers_are_left_out() -> None:
    faces = [rectangle("low", 0, 0, 10, 10), rectangle("high", 0.004, -1, 20, 20, z=3)]
    assert seen_of(faces, TOP)["low"].region.is_empty
    assert seen_of(faces, TOP, sliver=0.0)["low"].region.area == pytest.approx(0.04, rel=0.01)


def test_a_line_in_space_is_seen_before_a_face_on_it_and_beside_it_but_not_behind() -> None:
    floor = [rectangle("floor", 0, 0, 10, 10)]
    across = [np.array([(-5, 5, z), (15, 5, z)], float) for z in (3, 0, -3)]
    assert [line.length for line in seen_lines(across, surfaces(floor, TOP), TOP)] == pytest.approx([20, 20, 10])
    through = np.array([(0, 5, 5), (10, 5, -5)], float)
    assert seen_lines([through], surfaces(floor, TOP), TOP)[0].length == pytest.approx(5, abs=0.2)


def test_shares_of_some_faces_are_those_of_the_whole_picture() -> None:
    faces = open_box()
    whole = seen_of(faces, View(), sliver=0.0)
    for key, (area, share) in shares(faces, View(), {"base", "back"}).items():
        assert area == pytest.approx(whole[key].area)
        assert share == pytest.approx(whole[key].share)
    assert set(shares(faces, View(), {"base", "back"})) == {"base", "back"}


places = st.integers(-6, 6).map(lambda n: 5.0 * n)
sizes = st.integers(1, 9).map(lambda n: 5.0 * n)
angles = st.sampled_from([0, 15, 30, 45, 60, 75, 90, 105, 130, 150])


@st.composite
def random_faces(draw: st.DrawFn) -> list[Face3]:
    """Up to eight rectangles that lie, stand, lean, touch and cut through each other."""
    found = []
    for k in range(draw(st.integers(2, 8))):
        ring = rectangle("", 0, 0, draw(sizes), draw(sizes)).points
        motion = turned((0, 0, 1), draw(angles)) @ turned((1, 0, 0), draw(angles))
        found.append(Face3(str(k), applied(motion, ring) + np.array([draw(places), draw(places), draw(places)])))
    return found


views = st.builds(View, st.floats(-180, 180).map(lambda a: round(a, 1)), st.floats(5, 85).map(lambda a: round(a, 1)))
lasting = settings(max_examples=60, deadline=None, derandomize=True)


@lasting
@given(random_faces(), views)
def test_what_is_seen_of_different_faces_does_not_overlap_and_covers_all_projections(faces: list[Face3], view: View) -> None:
    regions = [s.region for s in visible(faces, view, sliver=0.0)]
    whole = shapely.union_all([s.polygon for s in surfaces(faces, view) if not s.edge_on], grid_size=1e-5)
    assert sum(r.area for r in regions) == pytest.approx(whole.area, abs=1e-2)
    assert shapely.union_all(regions, grid_size=1e-5).symmetric_difference(whole).area < 1e-2


@lasting
@given(random_faces(), views, st.integers(0, 2**32))
def test_a_ray_through_a_seen_point_meets_that_face_first(faces: list[Face3], view: View, seed: int) -> None:
    projected = [s for s in surfaces(faces, view) if not s.edge_on]
    chance = random.Random(seed)
    for seen in visible(faces, view):
        for point in _points_in(seen.region, chance):
            own = next(s for s in projected if s.face is seen.face)
            for other in projected:
                if other.polygon.buffer(-0.05).contains(point):
                    give = HAND / min(abs(own.normal[2]), abs(other.normal[2]))
                    assert _depth(other, point) <= _depth(own, point) + give + 1e-6


@lasting
@given(random_faces(), views, st.integers(0, 2**32))
def test_no_seen_edge_lies_under_a_face_in_front(faces: list[Face3], view: View, seed: int) -> None:
    projected = [s for s in surfaces(faces, view) if not s.edge_on]
    chance = random.Random(seed)
    for seen in visible(faces, view):
        own = next((s for s in projected if s.face is seen.face), None)
        for part in shapely.get_parts(seen.edges) if own else ():
            point = part.interpolate(chance.random(), normalized=True)
            for other in projected:
                if other.polygon.buffer(-0.05).contains(point):
                    give = HAND / min(abs(own.normal[2]), abs(other.normal[2]))
                    assert _depth(other, point) <= _depth(own, point) + give + 0.05 / abs(other.normal[2])


def _points_in(region: shapely.Geometry, chance: random.Random) -> list[shapely.Point]:
    if region.is_empty:
        return []
    x0, y0, x1, y1 = region.bounds
    tried = [shapely.Point(chance.uniform(x0, x1), chance.uniform(y0, y1)) for _ in range(6)]
    return [p for p in tried if region.contains(p)]


def _depth(surface: Surface, point: shapely.Point) -> float:
    return float(surface.plane @ np.array([point.x, point.y, 1.0]))

"""The worksheet on a net: every answer against textbooks, closed forms, and a second model that shares no code with the first."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from itertools import combinations
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapely
import trimesh

from booklet import flatfaces, folded, materials, worksheet
from booklet.drawing.recording import RecordingPen
from booklet.drawing.worksheet import NetDrawing
from booklet.export import net_document
from booklet.net import Inside, Net
from booklet.styles import shelf
from booklet.styles.polygons import Frustum
from tests import boxes
from tests.outside.bodies import Body, on
from tests.outside.test_polygon_solids import part_of


@cache
def net(style: str) -> Net:
    return boxes.net(style, boxes.thing(style))


def plan(made: Net, age: int = 12) -> Any:
    """As much of a plan as questions are asked of."""
    card = SimpleNamespace(sheet=(420.0, 594.0), grammage=216.0)
    spec = SimpleNamespace(safety=SimpleNamespace(age=age), page=SimpleNamespace(paper=(210.0, 297.0)))
    return SimpleNamespace(net=made, spec=spec, card=card, sheets=1, materials=materials.reckon(made, 216.0, 1, 0))


def asked(style: str, age: int = 12) -> dict[str, worksheet.Question]:
    return {one.kind: one for one in worksheet.questions(plan(net(style), age))}


@pytest.mark.parametrize("age", [6, 9, 14])
@pytest.mark.parametrize("style", list(shelf()))
def test_every_style_has_three_to_six_questions_each_of_its_own_kind(style: str, age: int) -> None:
    found = worksheet.questions(plan(net(style), age))
    assert 3 <= len(found) <= 6
    assert len({one.kind for one in found}) == len(found)
    numbers = {face.number for face in flatfaces.faces(net(style))}
    assert all(set(pair) <= numbers for one in found for pair in one.pairs)
    assert all(one.pairs or one.figure > 0 for one in found)


# OpenStax, Prealgebra 2e, section 9.6: rectangular solids with their volumes and surfaces
@pytest.mark.parametrize(
    ("sizes", "volume", "surface"), [((14, 9, 17), 2142, 1034), ((30, 25, 20), 15000, 3700), ((22, 14, 9), 2772, 1264)]
)
def test_a_cuboid_holds_what_the_textbook_says(sizes: tuple[float, float, float], volume: float, surface: float) -> None:
    made = replace(net("tuck-carton"), inside=Inside(*(10.0 * v for v in sizes)))
    found = {one.kind: one for one in worksheet.questions(plan(made))}
    assert found["volume"].figure == pytest.approx(1000 * volume)
    assert found["ratio"].given[0] == pytest.approx(100 * surface)
    assert found["ratio"].figure == pytest.approx(surface / volume / 10)


# OpenStax, Contemporary Mathematics, section 10.7 (the hexagonal prism); closed forms (the others). 100 times as large: card is thin
@pytest.mark.parametrize(
    ("body", "kind", "volume"),
    [
        (Frustum(6, 600.0, 600.0, 2000.0), "prism", 1870.615),
        (Frustum(4, 600.0, 0.0, 500.0), "pyramid", 48.0),
        (Frustum(4, 1000.0, 400.0, 500.0), "frustum", 208.0),
        (Frustum(4, 400.0, 1000.0, 500.0), "frustum", 208.0),
    ],
)
def test_other_solids_hold_what_the_textbook_says(body: Frustum, kind: str, volume: float) -> None:
    made = Net("", "", 0.15, Inside(1, 1, 1), False, boxes.MUG, (part_of(body),), (), interior="other")
    room = folded.room_of(made)
    assert room is not None and room.kind == kind
    assert room.volume == pytest.approx(volume * 1e6, rel=2e-3)


def test_the_hexagonal_prism_has_the_inner_surface_of_the_textbook() -> None:
    # OpenStax, Contemporary Mathematics, section 10.7: 907.061 with both its floors
    made = Net("", "", 0.15, Inside(1, 1, 2000.0), True, boxes.MUG, (part_of(Frustum(6, 600.0, 600.0, 2000.0)),), (), interior="other")
    room = folded.room_of(made)
    assert room is not None and room.surface == pytest.approx(907.061e4, rel=2e-3)


@pytest.mark.parametrize("style", ["prism-box", "pyramid", "tapered-tray", "round-box", "prism-carton"])
def test_a_room_of_another_shape_is_the_body_that_trimesh_makes_of_the_folded_faces(style: str) -> None:
    made = net(style)
    bodies, numbered = second(made), {name for face in flatfaces.faces(made) for name in face.names}
    body, places = bodies[0]
    corners = [on(place, ring) for name, place, ring in zip(body.names, places, body.rings, strict=True) if name in numbered]
    hull = trimesh.convex.convex_hull(np.concatenate(corners))
    room = folded.room_of(made)
    assert room is not None
    assert 0.97 * hull.volume < room.volume < hull.volume  # the hull goes to the middle of the card, the room to its inner face


@pytest.mark.parametrize("style", ["tray", "prism-box", "pyramid", "wallet", "slipcase", "round-box"])
def test_areas_are_those_of_the_exported_outlines_and_of_the_rule_that_is_told(style: str) -> None:
    made, found = net(style), asked(style, 14)
    data = {panel["name"]: panel for part in net_document(made)["parts"] for panel in part["panels"]}
    for kind in {"area", "shape"} & set(found):
        one = found[kind]
        face = next(face for face in flatfaces.faces(made) if face.number == one.face)
        outlines = [shapely.Polygon(data[name]["outline"], data[name]["holes"]) for name in face.names]
        assert one.figure == pytest.approx(sum(shape.area for shape in outlines))
        assert one.figure == pytest.approx(by_rule(one.shape, one.given), rel=2e-3)


def by_rule(shape: str, given: Sequence[float]) -> float:
    """Areas of the school books."""
    if shape == "rectangle":
        return given[0] * given[1]
    if shape == "triangle":
        return given[0] * given[1] / 2
    if shape == "trapezium":
        return (given[0] + given[1]) / 2 * given[2]
    return given[0] * given[1] * given[2] / 2


def second(made: Net) -> list[tuple[Body, Any]]:
    """The exported parts as bodies of another model, with the places of their panels in the closed box."""
    bodies = [Body(part) for part in net_document(made)["parts"]]
    return [(body, body.places([body.final], np.array(body.part["places"][0]))[0]) for body in bodies]


def corners(made: Net) -> dict[int, Any]:
    """The corners in space of each flat face, by its number."""
    bodies = {body.name: (body, places) for body, places in second(made)}
    found = {}
    for face in flatfaces.faces(made):
        body, places = bodies[face.part.name]
        i = body.index[face.names[0]]
        found[face.number] = on(places[i], body.rings[i])
    return found


def meet(first: Any, second: Any, reach: float) -> bool:
    """Whether two thirds of the points along an edge of one, its ends aside, lie on one edge of the other."""
    share = np.linspace(0.1, 0.9, 15)[:, None]
    for a, b in zip(first, np.roll(first, -1, axis=0), strict=True):
        if np.linalg.norm(b - a) < 10:
            continue
        points = a + share * (b - a)
        for c, d in zip(second, np.roll(second, -1, axis=0), strict=True):
            along = np.clip(((points - c) @ (d - c)) / max((d - c) @ (d - c), 1e-9), 0, 1)[:, None]
            if (np.linalg.norm(points - c - along * (d - c), axis=1) <= reach).mean() > 0.66:
                return True
    return False


@pytest.mark.parametrize("style", ["tray", "tuck-carton", "pyramid", "prism-box", "post-box", "slipcase", "cradle"])
def test_faces_that_meet_are_those_whose_edges_lie_on_each_other_in_another_model(style: str) -> None:
    made = net(style)
    known, at = flatfaces.faces(made), corners(made)
    joined = {
        frozenset((fold.parent, fold.child))
        for part in flatfaces.parts_of(made)
        for fold in part.folds
        if part.piece_of[fold.parent] is part.piece_of[fold.child]
    }
    reach = 1.2 + 2 * made.caliper
    expected = {
        (one.number, two.number)
        for one, two in combinations(known, 2)
        if frozenset((one.names[0], two.names[0])) not in joined
        and (meet(at[one.number], at[two.number], reach) or meet(at[two.number], at[one.number], reach))
    }
    assert set(asked(style)["meet"].pairs) == expected


def test_opposite_faces_of_a_carton_are_three_pairs_and_a_pyramid_has_none() -> None:
    assert len(asked("tuck-carton")["opposite"].pairs) == 3
    assert "opposite" not in asked("pyramid")
    assert len(asked("prism-box")["opposite"].pairs) == 3  # six walls; its lid is another part


def test_opposite_faces_look_at_each_other_across_the_inside() -> None:
    for style in ("tray", "tuck-carton", "slipcase", "hinged-lid-box"):
        at = corners(net(style))
        for one, two in asked(style)["opposite"].pairs:
            a, b = at[one].mean(axis=0), at[two].mean(axis=0)
            way = np.cross(at[one][1] - at[one][0], at[one][2] - at[one][1])
            assert abs((b - a) @ way) / (np.linalg.norm(b - a) * np.linalg.norm(way)) > 0.9


def test_what_is_left_of_the_card_is_the_sheet_less_the_pieces() -> None:
    made = net("tray")
    card = sum(shapely.Polygon(p.outline, p.holes).area for part in made.parts for p in part.pieces)
    assert asked("tray", 9)["left"].figure == pytest.approx(420 * 594 - card)
    assert asked("tray", 12)["left"].figure == pytest.approx(1 - card / (420 * 594))


def test_what_a_box_weighs_is_asked_only_where_it_is_all_of_one_card() -> None:
    made = {style: {one.kind for one in worksheet._all(plan(net(style)))} for style in ("tray", "slipcase", "rigid-box")}
    assert all({"mass", "left"} <= made[style] for style in ("tray", "slipcase"))
    assert not {"mass", "left"} & made["rigid-box"]  # its wrap is paper


def test_surface_for_volume_is_for_older_pupils() -> None:
    assert "ratio" in asked("tray", 11) and "ratio" not in asked("tray", 10)


def test_faces_that_are_alike_are_named_together() -> None:
    assert asked("pyramid", 9)["twins"].pairs == ((2, 3, 4, 5),)
    assert asked("tray", 9)["twins"].pairs == ((2, 4), (3, 5))


@pytest.mark.parametrize("style", ["tray", "round-box", "rigid-box", "divider"])
def test_the_drawing_is_to_the_scale_that_it_tells_and_numbers_every_face(style: str) -> None:
    made, pen = net(style), RecordingPen()
    drawn = NetDrawing(made, 180.0, 100.0)
    box = (0.0, 0.0, 180.0, 100.0)
    drawn.draw(pen, box)
    up, down = drawn.scale
    for _, piece, place in drawn.places(box):
        ring, true = place.ring(piece.outline), piece.outline
        assert math.dist(ring[0], ring[1]) == pytest.approx(math.dist(true[0], true[1]) * up / down)
        assert all(0 <= x <= 180 and 0 <= y <= 100 for x, y in ring)
    assert sorted(map(int, pen.texts())) == [face.number for face in flatfaces.faces(made)]

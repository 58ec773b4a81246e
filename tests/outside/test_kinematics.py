"""A carton is a tree of bodies with revolute joints: LaValle, Planning Algorithms (2006), chapter 7; Lu & Akella (2000).

Trees are told by networkx, rotations by scipy, volumes by trimesh.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import networkx
import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from booklet import space
from booklet.folding import folder
from booklet.net import Item, Part
from tests import boxes


def parts_of(style: str) -> list[Part]:
    """Parts of a style in thin and in half-cut card, whole and cut, marked on either face."""
    if style == "web-tray":
        return [part for outside in (False, True) for part in boxes.net(style, boxes.DISH, outside=outside).parts]
    return [part for t in (0.3, 0.9) for part in boxes.net(style, t=t, sheet=(304.8, 304.8), outside=t > 0.5).parts]


BY_STYLE = {style: parts_of(style) for style in boxes.EVERY_STYLE}
PARTS = [part for parts in BY_STYLE.values() for part in parts]


@pytest.mark.parametrize("part", PARTS, ids=lambda p: f"{p.name}-{len(p.panels)}-{p.caliper}")
def test_panels_and_folds_are_a_tree_with_one_root(part: Part) -> None:
    graph = networkx.DiGraph((f.parent, f.child) for f in part.folds)
    graph.add_nodes_from(p.name for p in part.panels)
    assert networkx.is_arborescence(graph)
    assert [n for n, into in graph.in_degree if into == 0] == [part.root]


def by_scipy(part: Part, angles: dict[str, float]) -> dict[str, np.ndarray]:
    """Places of all panels, each joint a shift to its axis, a scipy rotation about it and the shift back.

    The axis runs so that the child, on the far side of the line's middle, is on its left: a positive angle lifts it.
    """
    places = {part.root: np.eye(4)}
    left = list(part.folds)
    while left:
        fold = next(f for f in left if f.parent in places)
        left.remove(fold)
        start, end = (np.array([*p, fold.pivot]) for p in fold.line)
        way = (end - start) / np.linalg.norm(end - start)
        beside = (start + end)[:2] / 2 + 0.01 * np.array([-way[1], way[0]])
        on_left = shapely.Polygon(part.panel[fold.child].outline).contains(shapely.Point(beside))
        turn = Rotation.from_rotvec(np.radians(angles[fold.name]) * (way if on_left else -way)).as_matrix()
        joint = np.eye(4)
        joint[:3, :3] = turn
        joint[:3, 3] = start - turn @ start
        places[fold.child] = places[fold.parent] @ joint
    return places


@pytest.mark.parametrize("style", boxes.EVERY_STYLE)
@settings(max_examples=25, deadline=None)
@given(st.data())
def test_forward_kinematics_agree_with_scipy_rotations(style: str, data: st.DataObject) -> None:
    part = data.draw(st.sampled_from(BY_STYLE[style]))
    states = [{f.name: data.draw(st.floats(-180, 180)) for f in part.folds} for _ in range(2)]
    for angles, ours in zip(states, folder(part).frames(states), strict=True):
        theirs = by_scipy(part, angles)
        for panel, place in zip(part.panels, ours, strict=True):
            assert np.abs(place - theirs[panel.name]).max() < 1e-9


def test_places_are_rigid_motions() -> None:
    for part in PARTS:
        for place in folder(part).places(folder(part).final, space.matrix(part.places[0])):
            assert np.linalg.det(place[:3, :3]) == pytest.approx(1)
            assert np.abs(place[:3, :3] @ place[:3, :3].T - np.eye(3)).max() < 1e-12


# -- a cuboid's fold encloses its volume ---------------------------------------------------------------------------

FACES = {
    "tray": ("base", "wall-1", "wall-2", "wall-3", "wall-4"),
    "web-tray": ("base", "wall-1", "wall-2", "wall-3", "wall-4"),
    "tuck-carton": ("closing-bottom", "closing-top", "wall-1", "wall-2", "wall-3", "wall-4"),
    "lidded-box": ("base-1", "wall-1", "wall-2", "wall-3", "wall-4"),
}


def size_of(style: str, made: Any) -> tuple[float, float, float]:
    """Fold to fold, as the style's own sizes tell it."""
    return (made.long, made.short, made.height) if style == "lidded-box" else (made.length, made.width, made.height)


def folded(part: Part, names: Sequence[str]) -> dict[str, np.ndarray]:
    """Corners of some panels' mid-surfaces in the closed box, (4, 3) each."""
    places = folder(part).places({f.name: f.angle for f in part.folds}, space.matrix(part.places[0]))
    index = folder(part).index
    return {name: space.applied(places[index[name]], space.lifted(part.panel[name].outline)) for name in names}


def closed_mesh(faces: dict[str, np.ndarray], short: float) -> trimesh.Trimesh:
    """The folded faces as one mesh, an open top filled between the rims.

    The corners of walls 2 and 4 are those of the cuboid; each other corner is taken to the nearest of them, at most `short` away.
    """
    corners = np.concatenate([faces["wall-2"], faces["wall-4"]])
    quads = [np.linalg.norm(ring[:, None] - corners, axis=2) for ring in faces.values()]
    assert max(away.min(1).max() for away in quads) <= short
    rings = [away.argmin(1) for away in quads]
    assert all(len(set(ring)) == 4 for ring in rings)
    mesh = trimesh.Trimesh(corners, [f for ring in rings for f in (ring[[0, 1, 2]], ring[[0, 2, 3]])], process=False)
    if len(rings) == 5:
        mesh.fill_holes()
    mesh.fix_normals()
    return mesh


@pytest.mark.parametrize("outside", [False, True])
@pytest.mark.parametrize("style", boxes.EVERY_STYLE)
@settings(max_examples=6, deadline=None)
@given(st.floats(50, 250), st.floats(50, 250), st.floats(20, 200))
def test_a_cuboid_s_fold_encloses_the_product_of_its_sizes(style: str, outside: bool, a: float, b: float, h: float) -> None:
    item = Item("block", a, b, min(h, min(a, b) / 3) if style == "web-tray" else h)
    sizes = boxes.sizes(style, item)
    part = boxes.net(style, item, outside=outside).part["box"]
    # a base meets its walls and a closing panel slides between them: each ends up to 1 mm and a caliper short of the fold
    mesh = closed_mesh(folded(part, FACES[style]), 1.5 if style in ("tuck-carton", "lidded-box") else 1e-9)
    assert mesh.is_watertight
    assert abs(mesh.volume) == pytest.approx(np.prod(size_of(style, sizes)), rel=1e-9)


def test_a_wall_that_leans_encloses_another_volume() -> None:
    sizes, part = boxes.sizes("tray"), boxes.net("tray").part["box"]
    leaning = replace(part, folds=tuple(replace(f, angle=85.0) if f.child == "wall-2" else f for f in part.folds))
    mesh = closed_mesh(folded(leaning, FACES["tray"]), 20.0)
    assert abs(abs(mesh.volume) / np.prod(size_of("tray", sizes)) - 1) > 0.01

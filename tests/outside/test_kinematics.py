"""A carton is a tree of bodies with revolute joints: LaValle, Planning Algorithms (2006), chapter 7; Lu & Akella (2000).

Trees are told by networkx, rotations by scipy.
"""

from __future__ import annotations

import networkx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from booklet import space
from booklet.folding import child_side, folder
from booklet.net import Part
from tests import boxes

PARTS = [part for style in boxes.STYLES for t in (0.3, 0.9) for part in boxes.net(style, t=t, sheet=(304.8, 304.8), outside=t > 0.5).parts]


@pytest.mark.parametrize("part", PARTS, ids=lambda p: f"{p.name}-{len(p.panels)}-{p.caliper}")
def test_panels_and_folds_are_a_tree_with_one_root(part: Part) -> None:
    graph = networkx.DiGraph((f.parent, f.child) for f in part.folds)
    graph.add_nodes_from(p.name for p in part.panels)
    assert networkx.is_arborescence(graph)
    assert [n for n, into in graph.in_degree if into == 0] == [part.root]


def by_scipy(part: Part, angles: dict[str, float]) -> dict[str, np.ndarray]:
    """Places of all panels, each joint a shift to its axis, a scipy rotation about it and the shift back."""
    places = {part.root: np.eye(4)}
    left = list(part.folds)
    while left:
        fold = next(f for f in left if f.parent in places)
        left.remove(fold)
        start, end = (np.array([*p, fold.pivot]) for p in fold.line)
        way = (end - start) * child_side(part, fold)
        turn = Rotation.from_rotvec(np.radians(angles[fold.name]) * way / np.linalg.norm(way)).as_matrix()
        joint = np.eye(4)
        joint[:3, :3] = turn
        joint[:3, 3] = start - turn @ start
        places[fold.child] = places[fold.parent] @ joint
    return places


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(PARTS), st.data())
def test_forward_kinematics_agree_with_scipy_rotations(part: Part, data: st.DataObject) -> None:
    angles = {f.name: data.draw(st.floats(-180, 180)) for f in part.folds}
    ours = folder(part).places(angles)
    theirs = by_scipy(part, angles)
    for panel, place in zip(part.panels, ours, strict=True):
        assert np.abs(place - theirs[panel.name]).max() < 1e-9


def test_places_are_rigid_motions() -> None:
    for part in PARTS:
        for place in folder(part).places(folder(part).final, space.matrix(part.places[0])):
            assert np.linalg.det(place[:3, :3]) == pytest.approx(1)
            assert np.abs(place[:3, :3] @ place[:3, :3].T - np.eye(3)).max() < 1e-12

"""Prisms, pyramids and frusta that are worked out in textbooks, against walls of ours on a polygon, folded up.

Each solid is built as the styles build it, past the ruler grid and to the book's sizes exactly, and measured on its folded mid-surfaces by
three ways that share nothing: facets and the divergence theorem, trimesh's mesh, and scipy's convex hull.

Sources: OpenStax, Contemporary Mathematics, section 10.7 (prisms); closed formulas (pyramids, frusta, angles between faces).
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
import trimesh
from scipy.spatial import ConvexHull

from booklet import space
from booklet.folding import folder
from booklet.net import Part
from booklet.styles.polygons import Flap, Frustum, standing, walled
from booklet.styles.shapes import Sketch
from booklet.thickness import Thickness

THIN = Thickness(0.15, "crease")


def part_of(body: Frustum) -> Part:
    """A base with its walls, as trays, prisms and pyramids have them."""
    sketch = Sketch("box", "box", THIN)
    sketch.panel("base", "base", body.base)
    walled(sketch, "base", body, Flap(0.1, 0.2, 0.2))
    return sketch.part(standing(THIN, body.turn))


def faces_of(body: Frustum) -> list[np.ndarray]:
    """The folded base and walls, and what closes the rim, each (corners, 3) and seen anticlockwise from inside."""
    part = part_of(body)
    fold = folder(part)
    names = ["base", *(f"wall-{k}" for k in range(1, body.sides + 1))]
    faces = [space.applied(fold.stood[fold.index[n]], fold.outlines[fold.index[n]]) for n in names]
    if body.rim:
        rims = np.array([face[face[:, 2] > body.rise / 2] for face in faces[1:]])
        top = rims[np.argsort(np.arctan2(rims[:, 0, 1], rims[:, 0, 0])), 0]
        faces.append(top[::-1])
    return faces


def area(body: Frustum, closed: bool = True) -> float:
    """Area of the flat panels, and of the rim's opening."""
    part = part_of(body)
    flat = sum(shapely.Polygon(p.outline).area for p in part.panels if p.role in ("base", "wall"))
    return flat + (shapely.Polygon(faces_of(body)[-1][:, :2]).area if body.rim and closed else 0.0)


def volume_by_facets(body: Frustum) -> float:
    """A sixth of the sum of the triple products of all triangles (divergence theorem); faces look inward, so the sign turns."""
    total = 0.0
    for face in faces_of(body):
        for b, c in pairwise(face[1:]):
            total += float(np.dot(face[0], np.cross(b, c)))
    return -total / 6


def mesh_of(body: Frustum) -> trimesh.Trimesh:
    faces = faces_of(body)
    points = np.concatenate(faces)
    start = np.cumsum([0, *map(len, faces)])
    triangles = [(s, s + k + 1, s + k) for s, face in zip(start, faces, strict=False) for k in range(1, len(face) - 1)]
    return trimesh.Trimesh(np.round(points, 4), triangles, process=True)


SOLIDS = [
    ("hexagonal prism, side 6, height 20", Frustum(6, 6.0, 6.0, 20.0), 1870.615, 907.061),
    ("equilateral prism, side 12, height 10 (true values; the book's are a slip)", Frustum(3, 12.0, 12.0, 10.0), 623.538, 484.708),
    ("square pyramid, base 6, height 4, slant 5", Frustum(4, 6.0, 0.0, 5.0), 48.0, 96.0),
    ("square frustum, 10 and 4, height 4, slant 5", Frustum(4, 10.0, 4.0, 5.0), 208.0, 256.0),
    ("the same the other way up", Frustum(4, 4.0, 10.0, 5.0), 208.0, 256.0),
]


@pytest.mark.parametrize(("body", "volume", "surface"), [solid[1:] for solid in SOLIDS], ids=[solid[0] for solid in SOLIDS])
def test_a_folded_solid_has_the_volume_and_area_of_the_textbook(body: Frustum, volume: float, surface: float) -> None:
    assert volume_by_facets(body) == pytest.approx(volume, abs=2e-3)
    assert area(body) == pytest.approx(surface, abs=2e-3)
    mesh = mesh_of(body)
    assert mesh.is_watertight
    assert abs(mesh.volume) == pytest.approx(volume, rel=1e-4)
    assert mesh.area == pytest.approx(surface, rel=1e-4)


@pytest.mark.parametrize("sides", range(3, 13))
@pytest.mark.parametrize(("rim", "slant"), [(10.0, 14.0), (13.0, 12.0), (0.0, 25.0)])
def test_a_folded_solid_is_the_convex_hull_of_its_corners(sides: int, rim: float, slant: float) -> None:
    body = Frustum(sides, 10.0, rim, slant)
    hull = ConvexHull(np.concatenate(faces_of(body)))
    assert volume_by_facets(body) == pytest.approx(hull.volume, rel=1e-5)
    assert area(body) == pytest.approx(hull.area, rel=1e-5)


@pytest.mark.parametrize(
    ("sides", "between", "to_base"),
    # closed form: tetrahedron acos(1/3); octahedron acos(-1/3) and its half; icosahedron acos(-sqrt 5/3); five faces of that on a pentagon
    [
        (3, math.acos(1 / 3), math.acos(1 / 3)),
        (4, math.acos(-1 / 3), math.acos(-1 / 3) / 2),
        (5, math.acos(-math.sqrt(5) / 3), math.acos(math.sqrt((5 + 2 * math.sqrt(5)) / 15))),
    ],
)
def test_pyramids_of_equilateral_faces_have_the_angles_of_the_regular_solids(sides: int, between: float, to_base: float) -> None:
    body = Frustum(sides, 10.0, 0.0, 10.0 * math.sqrt(3) / 2)
    assert 180.0 - body.between == pytest.approx(math.degrees(between), abs=1e-9)
    assert 90.0 + body.lean == pytest.approx(math.degrees(to_base), abs=1e-9)
    # and the folded walls stand so: the angle between their planes, from their places
    fold = folder(part_of(body))
    one, two = (fold.stood[fold.index[name]][:3, 2] for name in ("wall-1", "wall-2"))
    assert 180.0 - math.degrees(math.acos(float(one @ two))) == pytest.approx(math.degrees(between), abs=1e-6)


def test_the_angles_of_the_regular_solids_are_the_published_ones() -> None:
    found = [180.0 - Frustum(n, 1.0, 0.0, math.sqrt(3) / 2).between for n in (3, 4, 5)]
    assert found == [pytest.approx(70.5288, abs=5e-5), pytest.approx(109.4712, abs=5e-5), pytest.approx(138.1897, abs=5e-5)]

"""Volumes and areas of boxes worked out in textbooks, against boxes of ours folded to those sizes.

Sources: OpenStax, Calculus Volume 1, section 4.7 (open trays); OpenStax, Prealgebra 2e, section 9.6 (rectangular
solids). The boxes are built past the ruler grid, to the books' sizes exactly, and measured on their folded mid-surfaces.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
import trimesh
from scipy.spatial import ConvexHull

from booklet import space
from booklet.folding import folder
from booklet.net import Item, Net, Part
from booklet.styles import shelf
from tests import boxes

INCH = 25.4


def folded(part: Part, names: list[str]) -> np.ndarray:
    """Corners of panels of a part, folded, mm."""
    fold = folder(part)
    places = fold.places(fold.final)
    return np.concatenate([space.applied(places[fold.index[n]], fold.outlines[fold.index[n]]) for n in names])


def tray(length: float, width: float, height: float) -> Net:
    """A tray of these sizes in inches, fold to fold and fold to rim."""
    sizes = replace(boxes.sizes("tray"), length=length * INCH, width=width * INCH, height=height * INCH)
    return shelf()["tray"].net(sizes)


def tray_figures(net: Net) -> tuple[float, float]:
    """Volume in cubic inches of the folded base and walls; area in square inches of their flat panels."""
    part = net.part["box"]
    names = ["base", "wall-1", "wall-2", "wall-3", "wall-4"]
    volume = ConvexHull(folded(part, names)).volume / INCH**3
    return volume, sum(shapely.Polygon(part.panel[n].outline).area for n in names) / INCH**2


def test_the_largest_tray_from_a_24_by_36_inch_sheet_holds_1825_297_cubic_inches() -> None:
    x = 10 - 2 * math.sqrt(7)
    assert x == pytest.approx(4.7085, abs=5e-5)
    net = tray(36 - 2 * x, 24 - 2 * x, x)
    assert tray_figures(net)[0] == pytest.approx(640 + 448 * math.sqrt(7), rel=1e-9)
    assert tray_figures(net)[0] == pytest.approx(1825.297, abs=5e-4)
    walls = [net.part["box"].panel[n].outline for n in ("base", "wall-1", "wall-2", "wall-3", "wall-4")]
    low, high = np.min(np.concatenate(walls), 0), np.max(np.concatenate(walls), 0)
    assert sorted((high - low) / INCH) == pytest.approx([24, 36])


def test_the_square_tray_of_216_cubic_inches_that_takes_least_card() -> None:
    side = (2 * 216) ** (1 / 3)
    assert side == pytest.approx(7.5595, abs=5e-5)
    volume, area = tray_figures(tray(side, side, side / 2))
    assert volume == pytest.approx(216, rel=1e-9)
    assert area == pytest.approx(171.439, abs=5e-4)
    for other in (0.9, 1.1):
        held, more = tray_figures(tray(side * other, side * other, side / 2 / other**2))
        assert held == pytest.approx(216, rel=1e-9)
        assert more > area


@pytest.mark.parametrize(
    "length, width, height, volume, surface", [(14, 9, 17, 2142, 1034), (30, 25, 20, 15000, 3700), (22, 14, 9, 2772, 1264)]
)
def test_a_carton_has_the_volume_and_surface_of_its_solid(
    length: float, width: float, height: float, volume: float, surface: float
) -> None:
    cm = 10.0
    sizes = replace(boxes.sizes("tuck-carton", Item("block", 80, 60, 90)), length=length * cm, width=width * cm, height=height * cm)
    part = shelf()["tuck-carton"].net(sizes).part["box"]
    walls = ["wall-1", "wall-2", "wall-3", "wall-4"]
    corners = folded(part, walls)
    assert ConvexHull(corners).volume / cm**3 == pytest.approx(volume, rel=1e-9)
    assert ConvexHull(corners).area / cm**2 == pytest.approx(surface, rel=1e-9)


def test_the_lidded_box_capped_at_its_rim_is_a_watertight_solid() -> None:
    """trimesh finds the folded walls and base, closed by a cap, to be one solid of length x width x height."""
    sizes = boxes.sizes("lidded-box")
    part = shelf()["lidded-box"].net(sizes).part["box"]
    fold = folder(part)
    places = fold.places(fold.final)
    panels = ["wall-1", "wall-2", "wall-3", "wall-4", "base-1"]
    quads = [space.applied(places[fold.index[n]], fold.outlines[fold.index[n]]) for n in panels]
    base = quads[-1]
    # the base panel is a hair less deep than the box is wide, as it meets the far wall: it is drawn out to that wall
    depth = np.linalg.norm(base[2] - base[1])
    assert 0 <= sizes.short - depth <= part.caliper + 0.5
    base[2:] += (base[2:] - base[[1, 0]]) * (sizes.short / depth - 1)
    rim = np.array([q[2] for q in quads[:4]])
    mesh = trimesh.util.concatenate([_faces(q) for q in [*quads, rim]])
    mesh.merge_vertices(digits_vertex=6)
    trimesh.repair.fix_normals(mesh)
    assert mesh.is_watertight
    assert len(mesh.split()) == 1
    assert abs(mesh.volume) == pytest.approx(sizes.long * sizes.short * sizes.height, rel=1e-6)


def _faces(quad: np.ndarray) -> trimesh.Trimesh:
    return trimesh.Trimesh(quad, [[0, 1, 2], [0, 2, 3]], process=False)

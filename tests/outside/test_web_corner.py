"""The corner of a tray that is not cut: a spherical linkage of five bars.

Five panels meet at the corner of the base, in sectors of 90 (wall), 45, 45 (web), 90 (wall) and 90 (base) degrees, joined by
five creases through one point: a closed spherical chain. Its mobility is the number of joints less three (closed formula,
Gruebler's count for spherical linkages; from memory): 5 - 3 = 2. Flat-folded states: Kawasaki and Maekawa (Hull 1994).

Everything here is computed from the directions of the creases in the flat, with scipy's rotations; the angles are the program's own path.
"""

from __future__ import annotations

from functools import cache
from itertools import product

import numpy as np
import pytest
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from booklet.folding import closing_folds
from booklet.net import Item, Net
from tests import boxes

ITEMS = (Item("block", 125.0, 95.0, 32.0), Item("block", 60.0, 140.0, 21.0))
CORNERS = (1, 2, 3, 4)
Angles = dict[str, float]


@cache
def tray(item: Item = ITEMS[0], outside: bool = False) -> Net:
    return boxes.whole("web-tray", item, outside=outside)


class Corner:
    """The creases round one corner of the base, anticlockwise: names, and directions away from the corner."""

    def __init__(self, made: Net, number: int):
        (self.part,) = made.parts
        inner, outer = f"inner-web-{number}", f"outer-web-{number}"
        into = next(f for f in self.part.folds if f.child == inner)
        loop = next(loop for loop in self.part.loops if outer in loop.panels)
        beside = next(name for name in loop.panels if name != outer)
        lines = {
            f"base/{into.parent}": self.part.fold[f"base/{into.parent}"].line,
            into.name: into.line,
            f"{inner}/{outer}": self.part.fold[f"{inner}/{outer}"].line,
            f"{outer}/{beside}": loop.line,
            f"base/{beside}": self.part.fold[f"base/{beside}"].line,
        }
        (self.at,) = set(lines[into.name]) & set(lines[f"{inner}/{outer}"])
        ways = {name: self._away(line) for name, line in lines.items()}
        self.names = sorted(ways, key=lambda name: np.arctan2(ways[name][1], ways[name][0]))
        self.ways = np.array([[*ways[name], 0.0] for name in self.names])
        self.closing = f"{outer}/{beside}"
        self.slanting, self.wall_end = f"{inner}/{outer}", into.name
        self.walls = (f"base/{into.parent}", f"base/{beside}")

    def _away(self, line: tuple[tuple[float, float], tuple[float, float]]) -> np.ndarray:
        far = max(line, key=lambda p: np.hypot(p[0] - self.at[0], p[1] - self.at[1]))
        way = np.array(far) - self.at
        return way / np.linalg.norm(way)

    def sectors(self) -> list[float]:
        """Angles between neighbouring creases, anticlockwise."""
        at = np.degrees(np.arctan2(self.ways[:, 1], self.ways[:, 0]))
        return [float((b - a) % 360) for a, b in zip(at, np.roll(at, -1), strict=True)]

    def turned(self, angles: np.ndarray) -> Rotation:
        """Where a panel comes to lie after going once round the corner: where it was, if the corner is closed.

        To go anticlockwise over a crease is to turn about its direction away from the corner, a valley by a positive angle.
        """
        result = Rotation.identity()
        for way, angle in zip(self.ways, angles, strict=True):
            result = result * Rotation.from_rotvec(np.radians(angle) * way)
        return result

    def open_by(self, angles: np.ndarray) -> float:
        """Degrees by which the corner is not closed."""
        return float(np.degrees(self.turned(angles).magnitude()))

    def closed_at(self, tree: Angles) -> np.ndarray:
        """All five angles: four from the folds of the tree, the fifth is what closes the corner."""
        angles = np.array([tree.get(name, 0.0) for name in self.names])
        k = self.names.index(self.closing)
        # R0 .. Rk .. R4 = 1, so that Rk = (R0 .. Rk-1)^-1 (Rk+1 .. R4)^-1
        before, after = np.zeros(5), np.zeros(5)
        before[:k], after[k + 1 :] = angles[:k], angles[k + 1 :]
        turn = (self.turned(before).inv() * self.turned(after).inv()).as_rotvec()
        angles[k] = np.degrees(turn @ self.ways[k])
        return angles

    def slope(self, angles: np.ndarray) -> np.ndarray:
        """The closure's Jacobian, by differences: how the turn once round changes with each of the five angles, (3, 5)."""
        step = 1e-4

        def off(k: int, by: float) -> np.ndarray:
            changed = angles.copy()
            changed[k] += by
            return (self.turned(changed) * self.turned(angles).inv()).as_rotvec(degrees=True)

        return np.array([(off(k, step) - off(k, -step)) / (2 * step) for k in range(5)]).T


def raised(made: Net) -> list[Angles]:
    """The frames of the step that raises the walls, the last one its end."""
    step = boxes.turning(made, "base/wall-1")
    return [*(dict(frame) for frame in step.path), dict(step.folds)]


every_corner = pytest.mark.parametrize("number", CORNERS)
every_tray = pytest.mark.parametrize("item, outside", [(ITEMS[0], False), (ITEMS[0], True), (ITEMS[1], False)])


@every_corner
def test_five_creases_meet_in_sectors_of_90_90_45_45_90_that_sum_to_360(number: int) -> None:
    sectors = Corner(tray(), number).sectors()
    assert sum(sectors) == pytest.approx(360)
    assert sorted(sectors) == pytest.approx([45, 45, 90, 90, 90])
    # the two halves of the web lie beside each other
    assert any(sectors[k - 1] == pytest.approx(45) and sectors[k] == pytest.approx(45) for k in range(5))


@every_tray
@every_corner
def test_the_corner_is_closed_in_every_frame_of_the_path(item: Item, outside: bool, number: int) -> None:
    made = tray(item, outside)
    corner = Corner(made, number)
    assert max(corner.open_by(corner.closed_at(frame)) for frame in raised(made)) < 1e-3
    # a figure that can fail: one wall a degree further and nothing else
    frame = raised(made)[40]
    assert corner.open_by(corner.closed_at({**frame, corner.walls[0]: frame[corner.walls[0]] + 1})) > 0.1


@every_corner
def test_the_closure_has_rank_3_of_5_so_that_two_freedoms_are_left(number: int) -> None:
    made = tray()
    corner = Corner(made, number)
    frames = raised(made)
    for at in (len(frames) // 5, len(frames) // 3, len(frames) // 2, 4 * len(frames) // 5):
        strong = np.linalg.svd(corner.slope(corner.closed_at(frames[at])), compute_uv=False)
        assert len(strong) == 3 and strong[-1] > 0.02
    # flat, all five axes lie in one plane: the one state where the rank is 2
    assert np.linalg.svd(corner.slope(np.zeros(5)), compute_uv=False)[-1] < 1e-6


@every_corner
def test_either_wall_can_be_moved_alone_and_the_web_follows(number: int) -> None:
    """Two freedoms, shown at work: with both walls held at any two angles, three creases close the corner again."""
    made = tray()
    corner = Corner(made, number)
    frame = raised(made)[45]
    start = corner.closed_at(frame)
    free = [k for k, name in enumerate(corner.names) if name not in corner.walls]
    for by in ((8.0, 0.0), (0.0, -8.0), (5.0, -3.0)):
        angles = start.copy()
        for wall, more in zip(corner.walls, by, strict=True):
            angles[corner.names.index(wall)] += more

        def off(x: np.ndarray, angles: np.ndarray = angles) -> np.ndarray:
            angles[free] = x
            return corner.turned(angles).as_rotvec(degrees=True)

        found = least_squares(off, start[free], xtol=1e-14, ftol=1e-14, gtol=1e-14)
        assert np.abs(found.fun).max() < 1e-6
        assert np.abs(found.x - start[free]).max() < 30


@every_tray
@every_corner
def test_with_both_walls_at_th_the_slanting_crease_is_folded_by_2_th(item: Item, outside: bool, number: int) -> None:
    """Spherical isosceles triangle: the walls' ends are phi apart, cos(phi) = sin(th)^2, and the web's two sides are 45 degrees.

    cos(phi) = 1/2 + cos(apex) / 2, so that cos(apex) = 2 sin(th)^2 - 1 = -cos(2 th): apex = 180 - 2 th, and the fold is 180 less that.
    """
    made = tray(item, outside)
    corner = Corner(made, number)
    way = -1 if outside else 1
    for frame in raised(made):
        one, two = (way * frame[name] for name in corner.walls)
        assert one == pytest.approx(two, abs=1e-6)
        assert way * frame[corner.slanting] == pytest.approx(2 * one, abs=0.01)


@every_tray
@every_corner
def test_the_web_turns_out_from_the_wall_as_the_mirror_plane_of_the_corner_says(item: Item, outside: bool, number: int) -> None:
    """With equal walls the slanting crease stays in the plane between them: along (-a, -a, c), corner at the origin, base in x, y > 0.

    45 degrees from the wall's end (0, -cos th, sin th): a cos th + c sin th = sqrt 1/2, and 2 a^2 + c^2 = 1. The solution outside
    the tray is c = sin th (sqrt 2 - cos th) / (1 + sin^2 th); the fold at the wall's end is then arccos(a sqrt 2), a mountain.
    """
    made = tray(item, outside)
    corner = Corner(made, number)
    for frame in raised(made)[:-1]:
        th = np.radians(abs(frame[corner.walls[0]]))
        c = np.sin(th) * (np.sqrt(2) - np.cos(th)) / (1 + np.sin(th) ** 2)
        a = (np.sqrt(0.5) - c * np.sin(th)) / np.cos(th)
        assert 2 * a**2 + c**2 == pytest.approx(1)
        fold = np.degrees(np.arccos(min(a * np.sqrt(2), 1.0)))
        assert frame[corner.wall_end] * (1 if outside else -1) == pytest.approx(fold, abs=0.05)


@every_corner
def test_with_the_walls_upright_the_doubled_web_swings_about_both_their_ends_as_one_hinge(number: int) -> None:
    """At th = 90 the walls' ends are one line (phi = 0) and the web lies double: it can swing freely about that line.

    The folds at the two ends then sum to -90 (or 270) in every state, the turn that is left between walls at right angles: a web
    that stands out half-way has -45 and -45, one that lies on its wall -180 and +90.
    """
    made = tray()
    corner = Corner(made, number)
    part = corner.part
    final = {fold.name: fold.angle for fold in part.folds}
    for swing in (-45.0, -90.0, -135.0, -180.0):
        angles = corner.closed_at({**final, corner.wall_end: swing})
        assert corner.open_by(angles) < 1e-9
        at = dict(zip(corner.names, angles, strict=True))
        assert np.cos(np.radians(at[corner.wall_end] + at[corner.closing] + 90)) == pytest.approx(1)
        strong = np.linalg.svd(corner.slope(angles), compute_uv=False)
        # two lines of creases have become one: still rank 3, for base creases, wall ends and the slanting crease are not in one plane
        assert strong[-1] > 0.02
    told = {fold.name: fold.angle for fold in closing_folds(part)}
    assert next(a for n, a in told.items() if n == corner.closing) == pytest.approx(90)


def flat_by_rule(sectors: list[float], folded: tuple[bool, ...]) -> bool:
    """Kawasaki: with an even number of folded creases, the sectors between them, every second one, sum to 180."""
    at = np.cumsum([0.0, *sectors[:-1]])[np.array(folded, bool)]
    if len(at) % 2:
        return False
    between = np.diff([*at, at[0] + 360]) if len(at) else np.array([])
    return not len(at) or bool(np.isclose(between[::2].sum(), 180))


@every_corner
def test_the_corner_lies_flat_only_as_kawasaki_and_maekawa_allow(number: int) -> None:
    """Each crease open or folded right over: of the 32 states those close in which alternate sectors sum to 180, and no others.

    Five folded creases are never flat: by Maekawa mountains and valleys differ by two, so that their number is even. What is left is the
    flat card, either of the two straight lines, and both together as a cross, walls folded right in, with the slanting crease open.
    """
    corner = Corner(tray(), number)
    sectors = corner.sectors()
    states = list(product((False, True), repeat=5))
    closed = [folded for folded in states if corner.open_by(np.array(folded) * 180.0) < 1e-6]
    assert closed == [folded for folded in states if flat_by_rule(sectors, folded)]
    names = [{name for name, is_folded in zip(corner.names, folded, strict=True) if is_folded} for folded in closed]
    assert sorted(map(len, names)) == [0, 2, 2, 4]
    assert max(names, key=len) == set(corner.names) - {corner.slanting}
    # mountain or valley: half a turn either way is the same place, so that the signs of the tray's own folds change nothing
    signs = np.array([-1.0 if name == corner.wall_end else 1.0 for name in corner.names])
    assert all(corner.open_by(np.array(folded) * 180.0 * signs) < 1e-6 for folded in closed)

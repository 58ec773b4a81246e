"""Seams stay away from folds along them, flap roots, narrow notches and names, and cross lines at a wide angle."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from booklet.net import Fold, Inside, Item, Net, Panel, Part, Piece
from booklet.plane import Line, Ring
from booklet.space import identity, rows
from booklet.spec.model import Page
from booklet.tiles import cover
from booklet.tiles.lattice import Mesh
from booklet.tiles.seams import Blame, Lying

A4 = Page((210.0, 297.0), "A4", 6.35, 10.0)
MESH = Mesh((197.3, 284.3), 10.0)


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Ring:
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def part_of(outline: Ring, panels: tuple[Panel, ...], folds: tuple[Fold, ...] = ()) -> Part:
    piece = Piece("piece", "piece", tuple(panel.name for panel in panels), outline)
    return Part("box", "box", 0.3, panels[0].name, (rows(identity()),), panels, folds, pieces=(piece,))


def bands(part: Part) -> list[tuple[float, float, float, float]]:
    """What pages share, in the flat frame."""
    net = Net("", "tray", 0.3, Inside(1, 1, 1), False, Item("block", 1, 1, 1), (part,), ())
    tiles = {tile.name: tile for tile in cover(net, A4)}
    pairs = [(tile.window, tiles[name].window) for tile in tiles.values() for _, name in tile.neighbours]
    return [(max(a[0], b[0]), max(a[1], b[1]), min(a[2], b[2]), min(a[3], b[3])) for a, b in pairs]


def walls(edges: tuple[float, ...], high: float, roles: tuple[str, ...] | None = None) -> Part:
    """Panels in a row with folds between them."""
    sides = list(pairwise(edges))
    panels = tuple(Panel(f"p-{n}", roles[n] if roles else "wall", rectangle(a, 0, b, high)) for n, (a, b) in enumerate(sides))
    folds = tuple(Fold(f"f-{n}", f"p-{n}", f"p-{n + 1}", ((x, 0), (x, high)), 90.0) for n, x in enumerate(edges[1:-1]))
    return part_of(rectangle(edges[0], 0, edges[-1], high), panels, folds)


def test_a_seam_with_nothing_in_its_way_is_in_the_middle() -> None:
    (x0, _, x1, _), *_ = bands(part_of(rectangle(0, 0, 310, 250), (Panel("p", "wall", rectangle(0, 0, 20, 20)),)))
    assert (x0 + x1) / 2 == pytest.approx(155, abs=1.5)


@pytest.mark.parametrize("at", [140.0, 150.0, 155.0, 162.0])
def test_a_seam_keeps_off_a_fold_that_runs_along_it(at: float) -> None:
    for x0, _, x1, _ in bands(walls((0, at, 310), 250)):
        assert at < x0 - 1 or at > x1 + 1


def test_a_seam_keeps_off_the_middle_of_a_panel_where_its_name_stands() -> None:
    for x0, _, x1, _ in bands(part_of(rectangle(0, 0, 310, 250), (Panel("p", "wall", rectangle(0, 0, 310, 250)),))):
        assert x1 < 155 - 12 or x0 > 155 + 12


def test_a_seam_keeps_off_a_narrow_notch() -> None:
    notched: Ring = ((0, 0), (153, 0), (155, 60), (157, 0), (310, 0), (310, 250), (0, 250))
    for x0, _, x1, _ in bands(part_of(notched, (Panel("p", "wall", rectangle(0, 0, 20, 20)),))):
        assert x1 < 153 or x0 > 157


def cost(part: Part, corner: tuple[float, float], columns: int = 2) -> float:
    """What a lattice with windows side by side costs."""
    used = np.ones((1, 1, columns), bool)
    return float(Blame(Lying(part, part.pieces[0], 0), MESH).of(np.array([corner]), used)[0])


def crossed(angle: float) -> Part:
    """A fold across the seam at x = 100 to 110, at an angle to it."""
    way = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    line: Line = ((105 - 40 * way[1], 100 - 40 * way[0]), (105 + 40 * way[1], 100 + 40 * way[0]))
    panels = (Panel("a", "wall", rectangle(0, 0, 20, 20)), Panel("b", "wall", rectangle(0, 20, 20, 40)))
    return part_of(rectangle(0, 0, 210, 200), panels, (Fold("f", "a", "b", line, 90.0),))


def test_a_line_costs_the_less_the_wider_the_angle_at_which_it_is_crossed() -> None:
    corner = (100 - MESH.pitch(0), -40.0)
    costs = [cost(crossed(angle), corner) for angle in (0, 20, 45, 70, 90)]
    assert costs == sorted(costs, reverse=True)
    assert costs[0] > costs[-1] + 40


def test_corners_that_are_near_each_other_cost_more_than_their_lines() -> None:
    corner = (100 - MESH.pitch(0), -40.0)
    panels = (Panel("p", "wall", rectangle(0, 0, 20, 20)),)
    notch: Ring = ((0, 0), (103, 0), (105, 3), (107, 0), (210, 0), (210, 200), (0, 200))
    wide: Ring = ((0, 0), (95, 0), (105, 3), (115, 0), (210, 0), (210, 200), (0, 200))
    plain = cost(part_of(rectangle(0, 0, 210, 200), panels), corner)
    assert plain + 15 < cost(part_of(notch, panels), corner) < plain + 25
    assert cost(part_of(wide, panels), corner) < plain + 12


def test_the_root_of_a_flap_costs_more_than_another_fold() -> None:
    corner = (100 - MESH.pitch(0), -40.0)
    plain, flap = (walls((0, 105, 210), 200, roles) for roles in (("wall", "wall"), ("wall", "glue-flap")))
    assert cost(flap, corner) > cost(plain, corner) + 50


def test_what_lies_off_the_seams_costs_nothing() -> None:
    corner = (100 - MESH.pitch(0), -40.0)
    far, none = walls((0, 40, 210), 200), walls((0, 210), 200)
    names = 0.05 * 24 * 8
    assert cost(far, corner) <= cost(none, corner) + names

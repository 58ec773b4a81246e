"""Another library: the fewest sheets for a few rectangles by mixed integer programming (HiGHS, in scipy), two ways.

On a grid: each rectangle takes one of all places and turns on one of the sheets, and no square of a sheet is covered twice.
Without a grid: of two rectangles on one sheet one lies to the left of the other, to the right, below or above. Neither shares a
line of code with the program, which tries corners of staircases. BOOKLET_LONG=1 solves the whole corpus.
"""

from __future__ import annotations

import random
from itertools import combinations, product

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_matrix

from booklet.card import Card
from booklet.sheets import checks, lay, least
from booklet.sheets import packed as rooms
from booklet.sheets.rectangles import Job, Turned
from booklet.sheets.staircase import fewest
from tests.mixes import LONG, sizes

GRID, UNIT, GAP = (8, 7), 30.0, 3.0
"""Squares on a sheet, and the side of one, gap and all."""

Pairs = list[tuple[float, float]]


def card(turns: bool, room: tuple[float, float]) -> Card:
    return Card(0.3, room, edge=0.0, gap=GAP, keep_grain=not turns, grain="first")


def grid_card(turns: bool) -> Card:
    return card(turns, (GRID[0] * UNIT - GAP, GRID[1] * UNIT - GAP))


def squares(seed: int) -> list[tuple[int, int]]:
    """Rectangles in squares of the grid: few and large, or a sheet cut up (and sometimes one square too much)."""
    rnd = random.Random(seed)
    if seed % 2:
        return [(rnd.randint(2, 6), rnd.randint(2, 6)) for _ in range(rnd.randint(3, 7))]
    made = [GRID]
    for _ in range(rnd.randint(4, 6)):
        w, h = made.pop(max(range(len(made)), key=lambda i: made[i][0] * made[i][1]))
        if w > 1 and (rnd.random() < 0.5 or h == 1):
            cut = rnd.randint(1, w - 1)
            made += [(cut, h), (w - cut, h)]
        else:
            cut = rnd.randint(1, h - 1)
            made += [(w, cut), (w, h - cut)]
    made[0] = (made[0][0], min(made[0][1] + rnd.randint(0, 1), GRID[1]))
    return [(h, w) if rnd.random() < 0.5 and h <= GRID[0] and w <= GRID[1] else (w, h) for w, h in made]


def on_grid(sides: list[tuple[int, int]], turns: bool, most: int) -> int:
    """The fewest sheets, at most `most`, by places on the grid."""
    places = [
        (i, sheet, x, y, w, h)
        for i, (a, b) in enumerate(sides)
        for w, h in dict.fromkeys([(a, b), (b, a)] if turns else [(a, b)])
        for sheet, x, y in product(range(min(most, i + 1)), range(GRID[0] - w + 1), range(GRID[1] - h + 1))
    ]
    n = len(places)
    once, covered = lil_matrix((len(sides), n + most)), lil_matrix((most * GRID[0] * GRID[1], n + most))
    for column, (i, sheet, x, y, w, h) in enumerate(places):
        once[i, column] = 1
        for cx, cy in product(range(x, x + w), range(y, y + h)):
            covered[(sheet * GRID[1] + cy) * GRID[0] + cx, column] = 1
    for row in range(covered.shape[0]):
        covered[row, n + row // (GRID[0] * GRID[1])] = -1
    cost = np.r_[np.zeros(n), np.ones(most)]
    rules = [LinearConstraint(once.tocsr(), 1, 1), LinearConstraint(covered.tocsr(), -np.inf, 0)]
    found = milp(cost, integrality=np.ones(n + most), bounds=Bounds(0, 1), constraints=rules)
    assert found.success, found.message
    return round(found.fun)


def free(pairs: Pairs, room: tuple[float, float], turns: bool, most: int) -> int:
    """The fewest sheets, at most `most`, by which lies beside which; sides and room with their gap."""
    n, big = len(pairs), 2 * max(room)
    names: dict[tuple[object, ...], int] = {}

    def at(*name: object) -> int:
        return names.setdefault(name, len(names))

    rows: list[tuple[dict[int, float], float, float]] = []

    def side(i: int, axis: int) -> tuple[float, dict[int, float]]:
        """Length along an axis: a constant and what a turn adds."""
        a, b = pairs[i][axis], pairs[i][1 - axis]
        return a, {at("turned", i): b - a}

    for i in range(n):
        rows.append(({at("on", i, s): 1.0 for s in range(most)}, 1, 1))
        rows += [({at("on", i, s): 1.0, at("used", s): -1.0}, -np.inf, 0) for s in range(most)]
        for axis in (0, 1):
            length, more = side(i, axis)
            rows.append(({at("at", i, axis): 1.0, **more}, -np.inf, room[axis] - length + 1e-6))
    for i, j in combinations(range(n), 2):
        ways = [(i, j, 0), (j, i, 0), (i, j, 1), (j, i, 1)]
        rows += [
            ({**{at("before", *way): 1.0 for way in ways}, at("on", i, s): -1.0, at("on", j, s): -1.0}, -1, np.inf) for s in range(most)
        ]
        for first, second, axis in ways:
            length, more = side(first, axis)
            row = {at("at", first, axis): 1.0, at("at", second, axis): -1.0, at("before", first, second, axis): big, **more}
            rows.append((row, -np.inf, big - length + 1e-6))
    matrix = lil_matrix((len(rows), len(names)))
    for number, (row, _, _) in enumerate(rows):
        for column, value in row.items():
            matrix[number, column] = value
    whole = np.array([name[0] != "at" for name in names], dtype=float)
    upper = np.array([np.inf if name[0] == "at" else float(turns) if name[0] == "turned" else 1 for name in names])
    cost = np.array([float(name[0] == "used") for name in names])
    rules = LinearConstraint(matrix.tocsr(), [low for _, low, _ in rows], [high for _, _, high in rows])
    found = milp(cost, integrality=whole, bounds=Bounds(0, upper), constraints=rules)
    assert found.success, found.message
    return round(found.fun)


def laid(pairs: Pairs, on: Card) -> int:
    """Sheets that the program uses, once its layout has been checked."""
    net = sizes(*pairs)
    placed = lay(net, on)
    assert [check.name for check in checks(net, on, placed) if not check.ok] == []
    found = max(p.sheet for p in placed)
    assert least(net, on) <= found
    return found


@pytest.mark.parametrize("seed", range(240 if LONG else 24))
def test_a_few_rectangles_take_as_few_sheets_as_the_solver_finds_on_a_grid(seed: int) -> None:
    turns, sides = seed % 3 > 0, squares(seed)
    pairs = [(w * UNIT - GAP, h * UNIT - GAP) for w, h in sides]
    found = laid(pairs, grid_card(turns))
    assert found == on_grid(sides, turns, found)


@pytest.mark.parametrize("seed", range(60 if LONG else 8))
def test_a_few_rectangles_take_as_few_sheets_as_the_solver_finds_without_a_grid(seed: int) -> None:
    rnd = random.Random(seed)
    room = (300.0, 300.0) if seed % 2 else (210.0, 297.0)
    turns = seed % 4 > 0
    pairs = [(rnd.uniform(60, 200), rnd.uniform(60, 200)) for _ in range(rnd.randint(3, 5))]
    found = laid(pairs, card(turns, room))
    grown = [(w + GAP, h + GAP) for w, h in pairs]
    assert found == free(grown, (room[0] + GAP, room[1] + GAP), turns, found)


@pytest.mark.parametrize("seed", range(0, 120 if LONG else 16, 2))
def test_the_search_alone_finds_what_the_solver_finds(seed: int) -> None:
    """Without the layouts that come before it and mostly make it needless."""
    sides, turns = squares(seed), seed % 4 > 0
    forms = tuple(tuple(Turned(q, *s) for q, s in enumerate(dict.fromkeys([(w, h), (h, w)][: 1 + turns])) if fits(s)) for w, h in sides)
    job = Job((float(GRID[0]), float(GRID[1])), 0.0, forms)
    layout = fewest(range(len(sides)), job, 1, len(sides))
    assert layout is not None
    assert sorted(spot.form for sheet in layout for spot in sheet) == list(range(len(sides)))
    assert len(layout) == on_grid(sides, turns, len(layout))


def test_a_windmill_round_its_largest_rectangle_is_found() -> None:
    """A square of 3 in the middle of one of 5, four strips of 4 x 1 round it: there is no other way."""
    forms = ((Turned(0, 3, 3),), *((Turned(0, 4, 1), Turned(1, 1, 4)) for _ in range(4)))
    layout = fewest(range(5), Job((5.0, 5.0), 0.0, forms), 1, 1)
    assert layout is not None
    assert [(spot.x, spot.y) for spot in layout[0] if spot.form == 0] == [(1.0, 1.0)]


def fits(side: tuple[float, float]) -> bool:
    return side[0] <= GRID[0] and side[1] <= GRID[1]


def test_the_corpus_needs_the_search(monkeypatch: pytest.MonkeyPatch) -> None:
    """Else the tests above would compare the quick layouts alone."""
    asked = []
    monkeypatch.setattr(rooms, "fewest", lambda *a: asked.append(a) or fewest(*a))
    for seed in range(24):
        lay(sizes(*((w * UNIT - GAP - 0.001, h * UNIT - GAP) for w, h in squares(seed))), grid_card(seed % 3 > 0))
    assert asked

"""The fewest cells that meet all demands and hang together, against all sets of cells that there are."""

from __future__ import annotations

import itertools

from hypothesis import given
from hypothesis import strategies as st

from booklet.tiles import fewest
from booklet.tiles.fewest import Picker, bits

COLUMNS, ROWS = 4, 3
CELLS = range(COLUMNS * ROWS)


@st.composite
def asked(draw: st.DrawFn) -> tuple[int, list[int]]:
    """Cells that are forced, and demands of two neighbours or of four cells round a corner."""
    forced = sum(1 << n for n in draw(st.sets(st.sampled_from(CELLS), max_size=4)))
    pairs = [3 << n for n in CELLS if (n + 1) % COLUMNS] + [1 << n | 1 << (n + COLUMNS) for n in CELLS if n + COLUMNS in CELLS]
    fours = [3 << n | 3 << (n + COLUMNS) for n in CELLS if (n + 1) % COLUMNS and n + COLUMNS in CELLS]
    return forced, draw(st.lists(st.sampled_from(pairs + fours), min_size=0 if forced else 1, max_size=4))


def together(cells: tuple[int, ...]) -> bool:
    """Cells are one patch: no line through it leaves a part without a neighbour."""
    groups = [{n} for n in cells]
    for a, b in itertools.combinations(cells, 2):
        if b - a == COLUMNS or (b - a == 1 and b % COLUMNS):
            one, two = (next(g for g in groups if n in g) for n in (a, b))
            if one is not two:
                groups.remove(two)
                one |= two
    return len(groups) == 1


def least(forced: int, demands: list[int]) -> int:
    for number in range(1, len(CELLS) + 1):
        for cells in itertools.combinations(CELLS, number):
            chosen = sum(1 << n for n in cells)
            if forced & chosen == forced and all(demand & chosen for demand in demands) and together(cells):
                return number
    raise AssertionError("all cells are not enough")


@given(asked())
def test_no_set_that_does_is_smaller(given: tuple[int, list[int]]) -> None:
    forced, demands = given
    picker = Picker(COLUMNS, ROWS)
    number, found = picker.fewest(forced, demands, len(CELLS))
    assert number == found.bit_count() == least(forced, demands)
    assert forced & found == forced and all(demand & found for demand in demands)
    assert together(tuple(bits(found)))
    assert picker.sure


@given(asked(), st.integers(1, 6))
def test_more_than_were_allowed_are_not_given(given: tuple[int, list[int]], most: int) -> None:
    number, found = Picker(COLUMNS, ROWS).fewest(*given, most)
    assert (number == most + 1 and not found) or (number == found.bit_count() <= most)
    assert number == min(least(*given), most + 1)


def test_a_search_that_is_given_up_says_so_and_gives_a_bound() -> None:
    kept, fewest.EFFORT = fewest.EFFORT, 3
    try:
        picker = Picker(9, 9)
        number, found = picker.fewest(1 | 1 << 80, [], 81)
    finally:
        fewest.EFFORT = kept
    assert not found and not picker.sure
    assert number <= 17

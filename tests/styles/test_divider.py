"""A divider: sizes by hand, slots that strips go through, cells that hold the thing however the strips stand in them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from booklet import inserts, planning
from booklet.check import Check
from booklet.grid import Grid
from booklet.net import Item, Net, Panel
from booklet.plane import bounds
from booklet.styles.strips import long, middles, spread
from tests import boxes

CUP = Item("round", 48.0, 48.0, 62.0)


def checks(made: Net, item: Item = CUP) -> dict[str, Check]:
    return {check.name: check for check in planning.proven(made, boxes.fit(item))[0]}


@pytest.fixture(scope="module")
def six() -> Net:
    return boxes.whole("divider", CUP, t=0.4, rows=2, columns=3)


def test_sizes_are_those_of_a_hand_calculation() -> None:
    # 48 mm and 6 mm of play, less a mark: 53.5 mm from slot to slot; slots 0.4 mm and 0.3 mm of play: 1 mm on the ruler
    s = boxes.sizes("divider", CUP, t=0.4, rows=2, columns=3)
    assert (s.along, s.across, s.slot, s.height) == ((53.5, 53.5, 53.5), (53.5, 53.5), 1.0, 62.0)
    assert s.outside == (3 * 53.5 + 2 * 1.0, 2 * 53.5 + 1.0, 62.0)
    assert s.depth == 31.5


def test_a_strip_parts_two_rows_and_so_many_go_across_as_there_are_columns_less_one(six: Net) -> None:
    assert [part.name for part in six.parts] == ["lengthwise-strip-1", "crosswise-strip-1", "crosswise-strip-2"]
    assert {part.role for part in six.parts} == {"insert"}
    assert not six.bonds and not any(part.folds for part in six.parts)
    assert inserts.cells(six) == (2, 3)


def test_two_slots_that_meet_are_together_a_little_deeper_than_a_strip_is_high(six: Net) -> None:
    for part in six.parts:
        *_, high = bounds(part.panels[0].outline)
        depths = {abs(y - (high if part.name.startswith("length") else 0.0)) for _, y in part.panels[0].outline if 0 < y < high}
        assert depths == {31.5}
        assert 1.0 <= 2 * 31.5 - high <= 2.0


def test_lengthwise_strips_stand_first_and_crosswise_ones_are_pushed_over_them(six: Net) -> None:
    words = [(step.part, step.words) for step in six.steps if step.kind in ("close", "put")]
    assert words[:2] == [("crosswise-strip-1", "close-strip-over"), ("crosswise-strip-2", "close-strip-over")]
    assert words[-1][1] == "put-items"
    assert not {name for name in boxes.failed(six, boxes.fit(CUP)) if name.startswith("order")}


def test_every_cell_holds_the_thing_with_its_play(six: Net) -> None:
    found = checks(six)
    assert all(check.ok for check in found.values())
    # a cell is as wide as from slot to slot, less half of the card beyond a slot of 1 mm: 53.5 + (1 - 0.4) / 2 at the ends
    assert inserts.plays(six)[0] == pytest.approx(53.5 + 0.3 - 48.0)


def test_a_slot_that_is_too_narrow_for_the_card_is_found(six: Net) -> None:
    thick = replace(six, parts=tuple(replace(part, caliper=1.3) for part in six.parts))
    assert not checks(thick)["insert.slots"].ok


def test_a_slot_that_is_not_deep_enough_is_found(six: Net) -> None:
    strip = six.parts[1]
    outline = tuple((x, y - 6.0 if 0 < y < 40 else y) for x, y in strip.panels[0].outline)
    shallow = boxes.with_part(six, replace(strip, panels=(Panel(strip.name, strip.panels[0].role, outline),)))
    found = checks(shallow)
    assert not found["insert.slots"].ok
    assert not found["order.collision"].ok


def test_cells_of_a_larger_box_are_alike_and_take_it_up_to_a_mark() -> None:
    cells = spread(Grid("mm"), (50.0,) * 4, 230.3, 1.0)
    assert cells == (57.0, 56.5, 56.5, 57.0)
    assert 230.3 - long(cells, 1.0) < 0.5
    assert list(middles((10.0, 20.0, 10.0), 1.0)) == [10.5, 31.5]


@settings(max_examples=12, deadline=None)
@given(
    st.floats(15, 150), st.floats(15, 150), st.floats(15, 300), st.sampled_from([0.15, 0.3, 0.6, 1.0, 2.0, 3.0]), st.integers(2, 5),
    st.integers(2, 5), st.sampled_from(["mm", "in"]), st.booleans(),
)  # fmt: skip
def test_any_divider_stands_every_check(a: float, b: float, h: float, t: float, rows: int, columns: int, units: str, outside: bool) -> None:
    item = Item("block", a, b, h)
    made = boxes.whole("divider", item, t=t, units=units, outside=outside, rows=rows, columns=columns)
    assert not [c for c in planning.proven(made, boxes.fit(item, units))[0] if not c.ok]

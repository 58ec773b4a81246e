"""Each check of tiles finds what is broken."""

from __future__ import annotations

from dataclasses import replace

import pytest

from booklet.plane import Affine, shift, turn
from booklet.tiles import Tile, cover, printable
from tests.test_tiles import A4, changed, failed, net_of, rectangle

FOUR = net_of(rectangle(380, 540))


@pytest.fixture
def four() -> tuple[Tile, ...]:
    return cover(FOUR, A4)


def test_a_tile_that_shows_its_window_0_3_mm_off_is_found(four: tuple[Tile, ...]) -> None:
    assert failed(FOUR, four) == set()
    x0, y0, x1, y1 = four[1].window
    assert "tiles.agree" in failed(FOUR, changed(four, 1, to_page=four[1].to_page.then(shift(0.3, 0))))
    assert failed(FOUR, changed(four, 2, window=(x0, y0, x1, y1 + 0.3))) >= {"tiles.agree"}


def test_a_window_shifted_by_0_3_mm_against_its_page_is_found(four: tuple[Tile, ...]) -> None:
    x0, y0, x1, y1 = four[0].window
    assert "tiles.agree" in failed(FOUR, changed(four, 0, window=(x0 + 0.3, y0, x1 + 0.3, y1)))


def test_a_page_that_is_turned_unlike_the_others_or_mirrored_is_found(four: tuple[Tile, ...]) -> None:
    _, y0, x1, y1 = four[0].window
    page = printable(A4)
    round_about = turn(2).then(shift(x1 + page[0], y1 + page[1]))
    mirrored = Affine(a=-1, d=1, e=x1 + page[0], f=page[1] - y0)
    assert failed(FOUR, changed(four, 0, to_page=round_about)) == {"tiles.agree"}
    assert failed(FOUR, tuple(replace(t, to_page=mirrored) for t in four[:1])) >= {"tiles.agree"}


def test_a_page_drawn_at_97_percent_is_found(four: tuple[Tile, ...]) -> None:
    small = four[0].to_page.then(Affine(a=0.97, d=0.97))
    assert "tiles.agree" in failed(FOUR, changed(four, 0, to_page=small))


@pytest.mark.parametrize("which", range(4))
def test_a_tile_that_is_left_out_is_found(four: tuple[Tile, ...], which: int) -> None:
    assert "tiles.cover" in failed(FOUR, four[:which] + four[which + 1 :])


def test_a_template_without_pages_is_found() -> None:
    net = net_of(rectangle(50, 50), rectangle(60, 60))
    assert "tiles.cover" in failed(net, cover(net, A4)[:1])


def test_marks_that_are_left_out_are_found(four: tuple[Tile, ...]) -> None:
    common = [m for m in four[0].marks if m in four[1].marks]
    less = tuple(m for m in four[0].marks if m not in common[:2])
    assert failed(FOUR, changed(four, 0, marks=less)) == {"tiles.marks", "tiles.turned"}


def test_marks_that_are_moved_out_of_a_window_are_found(four: tuple[Tile, ...]) -> None:
    out = tuple(replace(t, marks=tuple((x + 6, y + 6) for x, y in t.marks)) for t in four)
    assert failed(FOUR, out) == {"tiles.marks"}


def test_marks_of_one_page_shifted_by_0_3_mm_are_found(four: tuple[Tile, ...]) -> None:
    assert failed(FOUR, changed(four, 0, marks=tuple((x + 0.3, y) for x, y in four[0].marks))) >= {"tiles.marks"}


def test_pages_that_do_not_hang_together_are_found(four: tuple[Tile, ...]) -> None:
    assert failed(FOUR, tuple(replace(t, neighbours=()) for t in four)) == {"tiles.marks"}


def test_a_page_that_prints_in_its_margin_is_found(four: tuple[Tile, ...]) -> None:
    assert failed(FOUR, four, replace(A4, margin=7.0)) >= {"tiles.printable"}


def test_a_blank_page_is_found(four: tuple[Tile, ...]) -> None:
    last = four[3]
    x0, y0, x1, y1 = last.window
    blank = replace(last, leaf=5, name="A5", window=(x0 + 400, y0, x1 + 400, y1), to_page=shift(-400, 0).then(last.to_page))
    assert "tiles.blank" in failed(FOUR, (*four, blank))


def test_windows_on_one_page_that_reach_into_each_other_are_found() -> None:
    net = net_of(rectangle(100, 90), rectangle(120, 80))
    tiles = cover(net, A4)
    assert failed(net, tiles) == set()
    x0, y0, x1, y1 = tiles[0].window
    assert "tiles.apart" in failed(net, changed(tiles, 0, window=(x0, y0 - 5, x1, y1 + 5)))


def test_a_page_on_which_nothing_stands_is_found() -> None:
    net = net_of(rectangle(100, 90), rectangle(120, 80))
    tiles = cover(net, A4)
    assert failed(net, tuple(replace(t, leaf=2) for t in tiles)) == {"tiles.blank"}

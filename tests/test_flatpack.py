"""How small a kit lies, how thick, into which envelope it goes and what it weighs, against cases that were worked out by hand."""

from __future__ import annotations

import math
import random

import pytest

from booklet import creep, flatpack
from booklet.flatpack import Thing, envelope, flat, goes, least_height, rectangle, smallest, thickness
from booklet.plane import Ring

C5 = (162.0, 229.0)


def turned(ring: Ring, degrees: float) -> Ring:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return tuple((c * x - s * y, s * x + c * y) for x, y in ring)


def regular(corners: int, radius: float) -> Ring:
    return tuple((radius * math.cos(math.tau * k / corners), radius * math.sin(math.tau * k / corners)) for k in range(corners))


def test_a_sheet_of_a4_at_80_g_weighs_4_99_g() -> None:
    # ISO 216: A4 is 210 x 297 mm; 0.21 x 0.297 x 80 = 4.9896
    assert rectangle(210, 297, 0.1, 80).grams == pytest.approx(4.9896)


def test_weights_add_up() -> None:
    # 3 leaves of A4 at 80 g/m2 and two pieces of 100 x 100 mm of card at 300 g/m2: 14.97 + 6
    assert flatpack.weight([rectangle(210, 297, 0.1, 80, 3), rectangle(100, 100, 0.4, 300, 2)]) == pytest.approx(20.9688)


@pytest.mark.parametrize("degrees", [0, 17, 30, 45, 90, 143])
def test_a_rectangle_is_as_large_as_its_sides_however_it_is_turned(degrees: float) -> None:
    ring = turned(rectangle(210, 148.5, 0.1, 80).outline, degrees)
    assert flat([Thing(ring, 0.1, 1.0)]).size == pytest.approx((210, 148.5), abs=2e-3)


def test_a_hexagon_takes_its_width_over_corners_by_that_over_flats() -> None:
    # closed form: 2 r by r sqrt 3
    assert smallest([Thing(regular(6, 100), 1, 1).hull]) == pytest.approx((200, 100 * math.sqrt(3)), abs=2e-3)


def test_a_notch_or_a_cross_does_not_make_it_smaller_than_its_hull() -> None:
    cross = ((50, 0), (100, 0), (100, 50), (150, 50), (150, 100), (100, 100), (100, 150), (50, 150), (50, 100), (0, 100), (0, 50), (50, 50))
    # its hull is a square of 150 mm whose corners of 50 mm are cut off; turned by 45 degrees it is 200 / sqrt 2 = 141.42 mm wide
    assert smallest([Thing(cross, 1, 1).hull]) == pytest.approx((200 / math.sqrt(2), 200 / math.sqrt(2)), abs=2e-3)


def test_two_sizes_share_one_rectangle_that_holds_both() -> None:
    # 200 x 60 and 120 x 110: nothing smaller than 200 x 110 holds both lying straight
    found = smallest([rectangle(200, 60, 1, 1).hull, rectangle(120, 110, 1, 1).hull])
    assert found == pytest.approx((200, 110), abs=2e-3) or math.prod(found) < 200 * 110


def test_pieces_that_lie_on_each_other_add_up_and_small_ones_lie_beside_each_other() -> None:
    # 200 x 100 and four of 100 x 50, all 1 mm: the four fill one layer
    assert flat([rectangle(200, 100, 1, 300), rectangle(100, 50, 1, 300, 4)]).thickness == pytest.approx(2)
    # a fifth begins a third layer
    assert flat([rectangle(200, 100, 1, 300), rectangle(100, 50, 1, 300, 5)]).thickness == pytest.approx(3)
    # two of 101 x 100 do not lie side by side on 200 x 100
    assert flat([rectangle(200, 100, 1, 300), rectangle(101, 100, 1, 300, 2)]).thickness == pytest.approx(3)


def test_a_layer_is_as_thick_as_its_thickest_piece_and_thick_ones_share_theirs() -> None:
    # two boards of 2 mm side by side, two papers of 0.1 mm side by side, not each paper beside the board that is next to it in size
    boards = [rectangle(109, 100, 2.0, 1200), rectangle(107, 100, 2.0, 1200)]
    things = [*boards, rectangle(110, 100, 0.1, 80), rectangle(108, 100, 0.1, 80), rectangle(220, 100, 0.1, 80)]
    assert flat(things).thickness == pytest.approx(2.2)


def test_each_side_of_an_envelope_loses_the_thickness() -> None:
    # C5 is 162 x 229 mm (ISO 269): 160 x 227 x 2 mm goes in with nothing to spare, 2.1 mm thick it does not, nor 160.5 wide
    assert envelope([rectangle(160, 227, 2.0, 1200)], C5) == pytest.approx(2.0)
    assert envelope([rectangle(160, 227, 2.1, 1200)], C5) is None
    assert envelope([rectangle(160.5, 227, 2.0, 1200)], C5) is None


def test_a_strip_goes_in_slantwise_up_to_the_diagonal() -> None:
    # the diagonal of C5 is 280.5 mm; a strip of 270 x 10 mm turned by 33.5 degrees takes 230.7 x 157.4, by 34.2 degrees 228.9 x 160.0
    assert goes(rectangle(270, 10, 0.1, 80).hull, C5) and not goes(rectangle(281, 1, 0.1, 80).hull, C5)
    assert not goes(rectangle(275, 10, 0.1, 80).hull, C5)


def test_a_pile_that_fits_flat_only_in_more_layers_loses_more() -> None:
    # 30 papers of 110 x 100 mm in DL, 110 x 229 here: side by side they are 15 layers, 6 mm of 0.4 mm; then 223 x 104 mm are left, where
    # two still lie beside each other, turned. With 0.7 mm they are 10.5 mm, 99.5 mm are left, and none goes in
    assert envelope([rectangle(110, 100, 0.4, 300, 30)], (110, 229)) == pytest.approx(6.0)
    assert envelope([rectangle(110, 100, 0.7, 300, 30)], (110, 229)) is None


def test_the_envelopes_are_those_of_the_standard_smallest_first() -> None:
    assert dict(flatpack.ENVELOPES) == {"DL": (110, 220), "C5": (162, 229), "C4": (229, 324)}  # ISO 269
    areas = [math.prod(size) for _, size in flatpack.ENVELOPES]
    assert areas == sorted(areas)


def test_a_folded_a5_booklet_goes_into_c5_and_not_into_dl() -> None:
    # ISO 269: C5 holds A5; 148.5 x 210 mm, three leaves double: 0.6 mm
    booklet = [rectangle(148.5, 210, 0.6, 480)]
    assert [name for name, size in flatpack.ENVELOPES if envelope(booklet, size) is not None] == ["C5", "C4"]


def test_the_least_height_is_never_missed_and_never_too_small() -> None:
    rng = random.Random(5)
    for _ in range(25):
        hull = Thing(tuple((rng.uniform(0, 200), rng.uniform(0, 90)) for _ in range(rng.randint(3, 9))), 1, 1).hull
        wide = rng.uniform(50, 230)
        turns = [math.pi * k / 2000 for k in range(2000)]
        sizes = [(max(xs) - min(xs), max(ys) - min(ys)) for t in turns for xs, ys in [zip(*turned(hull, math.degrees(t)), strict=True)]]
        seen = min((high for w, high in sizes if w <= wide), default=math.inf)
        found = least_height(hull, wide)
        assert found <= seen + 1e-6
        assert any(abs(high - found) < 1.0 and w < wide + 1.0 for w, high in sizes) or found == math.inf


def test_a_size_that_is_found_holds_each_thing_and_no_envelope_smaller_than_it_by_area_does_less() -> None:
    rng = random.Random(6)
    for _ in range(10):
        things = [Thing(tuple((rng.uniform(0, 150), rng.uniform(0, 150)) for _ in range(6)), 0.3, 2.0, rng.randint(1, 4)) for _ in range(4)]
        pack = flat(things)
        assert all(goes(thing.hull, pack.size) for thing in things)
        assert 0.3 <= pack.thickness <= 0.3 * sum(thing.count for thing in things) + 1e-9
        assert thickness(things, (pack.size[0] * 3, pack.size[1] * 3)) <= pack.thickness + 1e-9


@pytest.mark.parametrize(("leaves", "mm", "told"), [(1, 0.1, False), (3, 0.3, False), (10, 1.0, False), (11, 1.1, True), (20, 2.0, True)])
def test_creep_is_a_caliper_for_each_leaf_and_told_over_1_mm(leaves: int, mm: float, told: bool) -> None:
    # 0.1 mm for paper of 80 g/m2: common practice, no source
    assert creep.creep(leaves) == pytest.approx(mm) and creep.told(leaves) is told

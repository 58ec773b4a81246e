"""Lengths, sheets and weights as a maker writes them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from booklet.grid import Units
from booklet.lengths import (
    BASIC_SIZES,
    Misread,
    as_read,
    fraction,
    parse_caliper,
    parse_grammage,
    parse_length,
    parse_mass,
    parse_positive,
    parse_sheet,
    show,
    tell,
)


@pytest.mark.parametrize(
    ("text", "mm", "written"),
    [
        ("125 mm", 125.0, "mm"),
        ("125mm", 125.0, "mm"),
        (" 12.5  CM ", 125.0, "cm"),
        ("4 7/8 in", 123.825, "in"),
        ("4-7/8 in", 123.825, "in"),
        ("4 7/8 inches", 123.825, "in"),
        ('4 3/8"', 111.125, "in"),
        ("4 3/8\u2033", 111.125, "in"),
        ("4\u215c in", 111.125, "in"),
        ("1/2 in", 12.7, "in"),
        ("4.3 in", 109.22, "in"),
        (".5 in", 12.7, "in"),
        ("9/8 in", 28.575, "in"),
        ("0 mm", 0.0, "mm"),
        ("-3 mm", -3.0, "mm"),
    ],
)
def test_each_spelling_of_a_length_is_read(text: str, mm: float, written: str) -> None:
    length = parse_length(text)
    assert (length.mm, length.written, length.text) == (mm, written, text)


@pytest.mark.parametrize(
    "value",
    ["125", "125 m", "", "mm", "4 9/8 in", "4 7/0 in", "1/2 mm", "1,5 cm", "1.000,5 mm", "4' 3\"", "nan mm", "inf in", "1e3 mm", "1 2 mm",
     "9" * 400 + " mm", "4.5 1/2 in", "--3 mm", "3 mm mm", "\u0664 mm", True, None, [], 125, 12.5, math.nan, math.inf, -5, 0],
)  # fmt: skip
def test_what_is_no_length_is_refused(value: object) -> None:
    with pytest.raises(Misread):
        parse_length(value)


def test_a_bare_number_is_refused_with_the_spellings_that_work() -> None:
    with pytest.raises(Misread, match=r'125 is a bare number: .*"125 mm" or "125 in"'):
        parse_length(125)
    with pytest.raises(Misread, match='"125" has no unit: write "125 mm" or "125 in"'):
        parse_length("125")


def test_a_comma_is_refused_with_a_point_to_write_instead() -> None:
    with pytest.raises(Misread, match="has a comma: write a point"):
        parse_length("12,5 cm")


def test_a_text_longer_than_any_size_is_told_so() -> None:
    for parse in (parse_length, parse_sheet, parse_grammage, parse_mass):
        with pytest.raises(Misread, match="a text of 200000 characters"):
            parse("1x" * 100_000)


def test_zero_and_less_are_refused_where_asked() -> None:
    for text in ("0 mm", "-3 mm", "-1/2 in"):
        with pytest.raises(Misread, match="not above zero"):
            parse_positive(text)


def test_points_are_thousandths_of_an_inch_in_a_caliper_alone() -> None:
    assert parse_caliper("12 pt").mm == pytest.approx(0.3048)
    assert parse_caliper("0.3 mm").mm == 0.3
    with pytest.raises(Misread):
        parse_caliper("0 pt")
    with pytest.raises(Misread):
        parse_length("12 pt")


@pytest.mark.parametrize(
    ("text", "inches"),
    [("4.3 in", 4.375), ("4 1/4 in", 4.25), ("4 5/16 in", 4.3125), ("4.3125 in", 4.3125), ("4.32 in", 4.375), ("4 1/3 in", 4.375)],
)
def test_inches_off_the_ruler_are_read_up_to_the_next_eighth(text: str, inches: float) -> None:
    assert as_read(parse_length(text)) == pytest.approx(inches * 25.4)


def test_millimetres_stay_as_they_were_measured() -> None:
    assert as_read(parse_length("109.22 mm")) == 109.22
    assert as_read(parse_length("4.3 cm")) == 43.0


@given(st.floats(0.1, 3000))
def test_reading_up_never_makes_a_thing_smaller_nor_more_than_an_eighth_larger(inches: float) -> None:
    length = parse_length(f"{inches:.6f} in")
    assert -0.011 <= as_read(length) - length.mm <= 25.4 / 8 + 1e-6


@pytest.mark.parametrize(
    ("mm", "units", "told"),
    [
        (125.0, "mm", "125 mm"), (125.5, "mm", "125.5 mm"), (125.04, "mm", "125 mm"), (100.0, "mm", "100 mm"), (-0.01, "mm", "0 mm"),
        (114.3, "in", "4 1/2 in"), (101.6, "in", "4 in"), (12.7, "in", "1/2 in"), (0.0, "in", "0 in"), (115.0, "in", "4.53 in"),
        (1.5875, "in", "1/16 in"), (-114.3, "in", "-4 1/2 in"), (0.3, "in", "0.012 in"),
        (114.309, "in", "4 1/2 in"), (114.32, "in", "4.5 in"),
    ],
)  # fmt: skip
def test_lengths_are_told_in_either_unit(mm: float, units: Units, told: str) -> None:
    assert tell(mm, units) == told


def test_a_caliper_is_told_finer() -> None:
    assert tell(0.25, "mm", fine=True) == "0.25 mm"
    assert tell(0.3, "mm", fine=True) == "0.3 mm"


@given(st.floats(0.06, 5000))
def test_what_is_told_in_mm_is_read_again(mm: float) -> None:
    assert parse_length(tell(mm, "mm")).mm == pytest.approx(mm, abs=0.0501)


@given(st.integers(0, 80000))
def test_marks_of_a_sixteenth_are_told_and_read_without_loss(count: int) -> None:
    mm = count * 25.4 / 16
    whole, top, bottom = fraction(mm) or (0, 0, 0)
    assert (whole + top / bottom) * 16 == count
    assert math.gcd(top, bottom) == 1 or top == 0
    assert parse_length(tell(mm, "in")).mm == pytest.approx(mm, abs=1e-6)


@given(st.floats(0.1, 5000))
def test_other_inches_are_told_to_a_hundredth(mm: float) -> None:
    assert parse_length(tell(mm, "in")).mm == pytest.approx(mm, abs=0.128)


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("A4", (210, 297)), ("a3", (297, 420)), ("letter", (215.9, 279.4)), ("TABLOID", (279.4, 431.8)), ("Legal", (215.9, 355.6)),
        ("12x12 in", (304.8, 304.8)), ("305 x 305 mm", (305, 305)), ("8 1/2 x 11 in", (215.9, 279.4)), ("12 in x 18 in", (304.8, 457.2)),
        ("12\u00d712\u2033", (304.8, 304.8)), ("30.5X30.5cm", (305, 305)), ('8.5" x 11"', (215.9, 279.4)), ("297 x 210 mm", (297, 210)),
    ],
)  # fmt: skip
def test_sheets_are_read_by_name_or_by_two_sizes(text: str, size: tuple[float, float]) -> None:
    assert parse_sheet(text).size == pytest.approx(size)


@pytest.mark.parametrize("value", ["A9", "12x12", "305 mm", "0 x 3 mm", "-3 x 3 mm", "1 x 2 x 3 mm", "", 12, None, "x", "1x" * 50_000])
def test_what_is_no_sheet_is_refused_with_the_names_that_work(value: object) -> None:
    with pytest.raises(Misread):
        parse_sheet(value)


@pytest.mark.parametrize("text", ["216 gsm", "216 g/m2", "216g/m\u00b2", "216 G/M^2"])
def test_grammage_has_several_spellings(text: str) -> None:
    assert parse_grammage(text) == 216.0


def test_pounds_take_their_category_and_are_refused_without() -> None:
    assert parse_grammage("80 lb cover") == parse_grammage("80# Cover") == parse_grammage("80 lbs cover")
    for text in ("110 lb", "110 lb cardstock"):
        with pytest.raises(Misread, match=", ".join(BASIC_SIZES)):
            parse_grammage(text)


@pytest.mark.parametrize("value", ["216", "0 gsm", "-80 lb cover", "nan gsm", "gsm", 216, None, "1e5 gsm", "9" * 30 + " gsm"])
def test_what_is_no_weight_of_card_is_refused(value: object) -> None:
    with pytest.raises(Misread):
        parse_grammage(value)


@pytest.mark.parametrize(
    ("text", "grams"), [("380 g", 380), ("1.2 kg", 1200), ("13 oz", 368.544), ("1 lb", 453.59237), ("1 1/2 lbs", 680.389)]
)
def test_masses_are_read_in_grams(text: str, grams: float) -> None:
    assert parse_mass(text) == pytest.approx(grams, abs=1e-3)


@pytest.mark.parametrize("value", ["380", "0 g", "-1 kg", 380, "3 stone", "inf g"])
def test_what_is_no_mass_is_refused(value: object) -> None:
    with pytest.raises(Misread):
        parse_mass(value)


@given(st.text())
def test_any_text_is_read_or_refused_and_nothing_else(text: str) -> None:
    for parse in (parse_length, parse_positive, parse_caliper, parse_sheet, parse_grammage, parse_mass):
        try:
            parse(text)
        except Misread as misread:
            assert str(misread).isprintable()


@given(st.text(alphabet='0123456789./-+ x"incmlbgsoptk,', max_size=20))
def test_any_jumble_of_figures_and_units_is_read_or_refused(text: str) -> None:
    for parse in (parse_length, parse_caliper, parse_sheet, parse_grammage, parse_mass):
        try:
            parse(text)
        except Misread as misread:
            assert str(misread).isprintable()


def test_values_are_shown_on_one_line_without_control_characters() -> None:
    assert show("a\nb\x07\u202e") == '"a\\nb\\u0007\\u202e"'
    assert show(True) == "true"
    assert len(show("x" * 500)) == 60


def test_a_number_of_thousands_of_digits_is_refused_like_any_other() -> None:
    with pytest.raises(Misread, match="a number of thousands of digits is a bare number"):
        parse_length(10**5000)

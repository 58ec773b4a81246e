"""What is believed of the bars of a print: which bar it is, how large the printer prints, what is a misprint."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from booklet.errors import Fault, SpecError
from booklet.spec import Page, load, read_page

LEAST = 'style = "tray"\n[item]\nlength = "125 mm"\nwidth = "95 mm"\nheight = "104 mm"\n[page]\n'


def page(*bars: str, sure: bool = False) -> Page:
    return read_page({"printed_bar": list(bars), "sure": sure}, "mm")


def faults(*bars: str, sure: bool = False) -> tuple[Fault, ...]:
    with pytest.raises(SpecError) as caught:
        page(*bars, sure=sure)
    return caught.value.faults


@pytest.mark.parametrize(
    ("across", "up", "scale"),
    [
        ("98.6 mm", "99.1 mm", (0.986, 0.991)),
        ("177.3 mm", "238.1 mm", (0.985, 238.1 / 240)),
        ("98.6 mm", "238.1 mm", (0.986, 238.1 / 240)),
        ("177.3 mm", "99.1 mm", (0.985, 0.991)),
        ("187.2 mm", "249.6 mm", (1.04, 1.04)),
        ("172.8 mm", "104 mm", (0.96, 1.04)),
        ("6.98 in", "9.374 in", (6.98 * 25.4 / 180, 9.374 * 25.4 / 240)),
    ],
)
def test_a_printers_scale_is_told_from_bars_of_either_length(across: str, up: str, scale: tuple[float, float]) -> None:
    assert page(across, up).scale == pytest.approx(scale)


def test_a_bar_that_is_off_by_less_than_half_a_millimetre_is_not_corrected() -> None:
    assert page("100.4 mm", "239.6 mm").scale == (1.0, 1.0)
    assert page("99.5 mm", "239.6 mm").scale == (0.995, 1.0)
    assert page("179.6 mm", "240.5 mm").scale == (1.0, 240.5 / 240)


@pytest.mark.parametrize(
    ("across", "up", "told"),
    [
        ("94.1 mm", "99 mm", "5.9 % less than 100 mm.*print the page again at 100 %"),
        ("94.1 mm", "99 mm", r"fit to page is the likely cause \(an A4 page on Letter\)"),
        ("99 mm", "104.1 mm", "4.1 % more than 100 mm, a misprint: the bar up of 100 or 240 mm can be off by up to 4 %"),
        ("169.3 mm", "225.8 mm", "5.9 % less than 180 mm.*Letter.*5.9 % less than 240 mm"),
        ("140 mm", "99 mm", "the bar across of 100 or 180 mm"),
        ("90 mm", "99", '10.0 % less than 100 mm.*"99" has no unit'),
        ("90 mm", "0 mm", "10.0 % less than 100 mm.*not above zero"),
    ],
)
def test_a_misprint_is_refused_with_what_is_allowed_and_what_to_do(across: str, up: str, told: str) -> None:
    (fault,) = faults(across, up)
    assert fault.where == "page.printed_bar"
    assert re.search(told, fault.text), fault.text


@pytest.mark.parametrize(
    ("across", "up", "told"),
    [
        ("238.1 mm", "177.3 mm", '"238.1 mm" is the bar up and "177.3 mm" the bar across: write the one across first'),
        ("239 mm", "99 mm", '"239 mm" stands where the bar across belongs, but is the bar up'),
        ("99 mm", "179 mm", '"179 mm" stands where the bar up belongs, but is the bar across'),
    ],
)
def test_figures_in_the_wrong_order_are_refused_with_the_right_one(across: str, up: str, told: str) -> None:
    (fault,) = faults(across, up)
    assert told in fault.text


@pytest.mark.parametrize(
    ("across", "up", "told"),
    [
        ("97.3 mm", "97.2 mm", "2.8 % short, so it seems that fit to page is on (a Letter page on A4)"),
        ("176.4 mm", "235.2 mm", "2.0 % short, so it seems that fit to page is on: switch it off"),
        ("98.4 mm", "98.1 mm", "write sure = true under [page]"),
    ],
)
def test_bars_that_are_short_alike_are_those_of_a_fitted_page(across: str, up: str, told: str) -> None:
    (fault,) = faults(across, up)
    assert told in fault.text


def test_bars_that_differ_or_are_hardly_short_are_the_printers_own() -> None:
    assert page("97.3 mm", "97.7 mm").scale == pytest.approx((0.973, 0.977))
    assert page("98.5 mm", "98.5 mm").scale == pytest.approx((0.985, 0.985))


def test_a_maker_who_is_sure_has_short_bars_corrected_but_no_misprint() -> None:
    assert page("97.3 mm", "97.3 mm", sure=True).scale == pytest.approx((0.973, 0.973))
    assert "4.1 % less" in faults("95.9 mm", "95.9 mm", sure=True)[0].text


def test_a_spec_tells_a_fitted_page_at_its_line_with_the_other_faults(tmp_path: Path) -> None:
    path = tmp_path / "box.toml"
    path.write_text(LEAST + 'printed_bar = ["97.3 mm", "97.3 mm"]\npaper = "Leter"\n')
    with pytest.raises(SpecError) as caught:
        load(path, {"tray": ()})
    assert [(fault.where, fault.line) for fault in caught.value.faults] == [("page.printed_bar", 7), ("page.paper", 8)]


def test_a_page_by_itself_has_the_defaults_of_a_spec(tmp_path: Path) -> None:
    path = tmp_path / "box.toml"
    path.write_text(LEAST + '[booklet]\nunits = "in"\n')
    assert read_page({}, "in") == load(path, {"tray": ()}).page

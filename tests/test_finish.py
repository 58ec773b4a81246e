"""A belly band, a ribbon and a tag; and the pages that tell of them and of the covering."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from pypdf import PdfReader

from booklet import wrapping
from booklet.drawing import finish as drawing
from booklet.drawing.recording import RecordingPen
from booklet.grid import INCH, Grid
from booklet.pages.facts import facts_of
from booklet.pages.finish import Finish
from booklet.pages.more import More
from booklet.pages.records import Facts
from booklet.pages.texts import Texts
from booklet.pages.words import folders, words
from booklet.plan import Plan
from booklet.spec import load, new_spec
from booklet.styles import shelf
from tests import plans, samples
from tests.test_covering import solid

A4 = (210.0, 297.0)
CLOSED_BOXES = ("lidded-box", "hinged-lid-box", "round-box", "prism-box", "tuck-carton", "slotted-case", "sleeve-drawer", "post-box")
NO_BOXES = ("tray", "web-tray", "tapered-tray", "roll-wall-tray", "rigid-box", "slipcase", "gift-bag", "wallet", "divider", "cradle")


def band(style: str) -> wrapping.Band | None:
    return wrapping.band(solid(style), Grid("mm"), A4, 5.0)


@pytest.mark.parametrize("style", CLOSED_BOXES)
def test_a_closed_box_has_a_band_round_its_walls_and_a_ribbon(style: str) -> None:
    found, size = band(style), wrapping.outer(solid(style)).size
    assert found and found.upright
    if style not in ("round-box", "prism-box"):
        girth = 2 * (size[0] + size[1])
        # a lid stands out over the walls, so the way round may be less than round the whole
        assert girth + wrapping.LAP - 14 < found.length <= girth + wrapping.LAP + 1.5
    assert 0.28 * size[2] - 0.5 <= found.width <= 0.36 * size[2] + 0.5
    assert wrapping.ribbon(solid(style), "mm") > 0


@pytest.mark.parametrize("style", NO_BOXES)
def test_what_is_open_flat_or_inside_has_neither(style: str) -> None:
    assert band(style) is None and wrapping.ribbon(solid(style), "mm") == 0


def test_a_band_slips_off_a_pyramid_and_goes_over_a_pillow() -> None:
    assert band("pyramid") is None and wrapping.ribbon(solid("pyramid"), "mm") == 0
    pillow = band("pillow-pack")
    assert pillow and not pillow.upright
    assert wrapping.ribbon(solid("gable-carrier"), "mm") == 0


def test_the_band_round_a_cylinder_is_its_girth() -> None:
    size, found = wrapping.outer(solid("round-box")).size, band("round-box")
    assert found and 3.1 * (size[0] - 4) + 15 < found.length < 3.15 * size[0] + 15.5


def test_a_band_round_walls_of_one_height_is_their_girth_and_15_mm() -> None:
    long, wide, _ = wrapping.outer(solid("tuck-carton")).size
    found = band("tuck-carton")
    assert found and 0 <= found.length - (2 * (long + wide) + 15.0) < 0.5


def test_a_band_longer_than_the_paper_comes_in_strips_that_lap() -> None:
    for sheet in (A4, (150.0, 100.0), (60.0, 60.0), (304.8, 304.8)):
        found = wrapping.band(solid("tuck-carton"), Grid("mm"), sheet, 5.0)
        assert found and found.strips > 1
        assert found.strips * found.strip - (found.strips - 1) * wrapping.LAP >= found.length - 1e-6
        assert found.strip <= max(sheet) - 10 + 1e-6
    assert wrapping.band(solid("tuck-carton"), Grid("mm"), (1000.0, 700.0), 5.0).strips == 1  # type: ignore[union-attr]
    assert wrapping.band(solid("tuck-carton"), Grid("mm"), (20.0, 20.0), 5.0)  # told, be the paper ever so small


def test_a_ribbon_is_two_lengths_two_widths_four_heights_and_a_bow_in_whole_steps() -> None:
    long, wide, high = wrapping.outer(solid("tuck-carton")).size
    bare = 2 * long + 2 * wide + 4 * high + 500
    ribbon = wrapping.ribbon(solid("tuck-carton"), "mm")
    assert ribbon % 50 == 0 and 0 <= ribbon - bare < 50
    inches = wrapping.ribbon(solid("tuck-carton"), "in") / INCH
    assert inches == pytest.approx(2 * round(inches / 2)) and 0 <= inches * INCH - bare < 2 * INCH
    across = wrapping.outer(solid("round-box")).size
    assert across[0] == pytest.approx(across[1], rel=0.01)


# -- the tag and the pictures -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "title", ["Mug", "A gift for the potter who has every mug already", "W" * 70, "a b", "Donaudampfschifffahrtsgesellschaft"]
)
@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_title_stays_within_the_border_of_the_tag(title: str, units: str) -> None:
    plan, pen = plans.plan("tray", units=units), RecordingPen()
    drawing.draw_tag(pen, plan, title, (0.0, 0.0, 200.0, 100.0))
    long, high = drawing.tag_size(plan)
    said = [mark for mark in pen.records if mark.kind == "text"]
    assert said and "".join("".join(mark.words.split()) for mark in said).startswith("".join(title.split())[:8])
    for mark in said:
        (x, y), half = mark.points[0], pen.width(mark.words, mark.size_pt, True) / 2
        assert x - half > 3 and x + half < long - 3 and 3 < y < high - 3


def test_the_tag_is_drawn_at_its_true_size_on_a_printer_that_is_off() -> None:
    made = plans.plan("tray")
    off = replace(made, spec=replace(made.spec, page=replace(made.spec.page, printed_bar=(98.0, 98.0))))
    for plan, scale in ((made, 1.0), (off, off.spec.page.scale[0])):
        pen = RecordingPen()
        drawing.draw_tag(pen, plan, "Mug", (0.0, 0.0, 200.0, 100.0))
        outline = pen.records[0].points
        assert max(x for x, _ in outline) * scale == pytest.approx(85.0) and max(y for _, y in outline) * scale == pytest.approx(50.0)
    assert off.spec.page.scale[0] != 1.0


@pytest.mark.parametrize("style", ["lidded-box", "tuck-carton"])
def test_band_and_ribbon_are_drawn_within_their_place(style: str) -> None:
    plan, place = plans.plan(style), (0.0, 0.0, 80.0, 60.0)
    found = wrapping.band(plan.solid, Grid("mm"), A4, 5.0)
    assert found
    for draw in (lambda pen: drawing.draw_band(pen, plan, found, place), lambda pen: drawing.draw_ribbon(pen, plan, place)):
        pen, bare = RecordingPen(), RecordingPen()
        draw(pen)
        drawing._draw_box(bare, plan, place)
        more = pen.records[len(bare.records) :]
        points = [p for mark in more for p in mark.points]
        assert more and all(-1 < x < 81 and -1 < y < 68 for x, y in points)
        assert sum(mark.kind == "fill" for mark in more) >= 1


# -- the pages --------------------------------------------------------------------------------------------------------


def text_of(plan: Plan, name: str) -> str:
    """The Markdown of a text of the layout."""
    said = words()
    facts = facts_of(plan, said)
    given = {**{key: getattr(facts, key) for key in Facts.__slots__}, **More(plan, said).given, "say": said.said}
    return str(Texts(folders(), "en", given).markdown(name))


@cache
def page_of(style: str, name: str, units: str = "mm") -> str:
    return text_of(plans.plan(style, units=units), name)


@pytest.mark.parametrize("style", ["lidded-box", "tuck-carton", "tray"])
def test_the_cut_list_has_a_row_for_each_kind_of_panel(style: str) -> None:
    rows = plans.plan(style).covering.rows
    for row in rows:
        assert re.search(
            rf"^\| {row.name} \| .* \| {row.count} \| {row.width:g} \| {row.height:g} \| rectangle \|$", page_of(style, "finish"), re.M
        )


def test_the_page_tells_of_the_lid_and_of_the_band_only_where_there_is_one() -> None:
    lidded, tray = page_of("lidded-box", "finish"), page_of("tray", "finish")
    assert "stop below the lid" in lidded and "belly band is" in lidded and "A ribbon that is tied" in lidded
    assert "# Covering, band, ribbon and tag" in lidded and "# Covering and tag" in tray
    assert "lid" not in tray.replace("slides", "") and "band is" not in tray and "ribbon" not in tray.partition("##")[2]


def test_what_lies_in_a_sleeve_is_told_of_as_such() -> None:
    said = page_of("sleeve-drawer", "finish")
    assert "What lies in the sleeve" in said and "below the lid" not in said


def test_without_prices_and_weight_only_the_time_is_told() -> None:
    said = page_of("tray", "amounts")
    assert "# Time" in said and "estimate" in said and "Cost" not in said and "Load" not in said


def test_in_inches_the_margin_is_a_sixteenth() -> None:
    assert Finish(plans.plan("tray", units="in"), words()).margin == "1/16 in"
    assert "Width, in" in page_of("tray", "finish", "in")


def test_the_booklet_has_the_pages() -> None:
    pages = PdfReader(io.BytesIO(samples.made("mug").data)).pages
    said = " ".join(" ".join(page.extract_text().split()) for page in pages)
    for words_ in (
        "Covering, band, ribbon and tag",
        "What the box costs",
        "Time for one box",
        "Lift the box by the base",
        "Kiln Lane mug box",
    ):
        assert words_ in said.replace("\u00a0", " "), words_


def test_a_new_spec_can_have_its_covering_and_prices_taken_as_they_stand(tmp_path: Path) -> None:
    text, tables = new_spec("lidded-box", shelf()["lidded-box"].OPTIONS, {}), ("covering", "prices", "safety", "class")
    for table in tables:
        block = re.search(rf"^# \[{table}\].*?(?=\n\n)", text, re.M | re.S)
        assert block
        text = text.replace(block[0], re.sub(r"^# ", "", block[0], flags=re.M))
    path = tmp_path / "box.toml"
    path.write_text(text)
    spec = load(path, {name: style.OPTIONS for name, style in shelf().items()})
    assert spec.covering and spec.covering.under_lid and spec.prices and spec.prices.ribbon == 0.60

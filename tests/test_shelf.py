"""The shelf as a maker sees it: facts from the net, each box closed and open, and the picture sheet."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pypdf
import pypdfium2
import pytest
import shapely

from booklet import replay, space, steps
from booklet.drawing.recording import RecordingPen
from booklet.drawing.shelf import VIEWS, Portrait
from booklet.drawing.steps import extent
from booklet.errors import BookletError
from booklet.folding import folder
from booklet.net import Net, Part
from booklet.pages import shelfsheet, shelftold
from booklet.pages.words import Words, words
from booklet.pdf.read import FinishedFile
from booklet.plane import bounds
from booklet.shelf import opened as room
from booklet.shelf.facts import Shown, Unshown, all_shown, shown
from booklet.shelf.opened import Stands, closed, opened
from booklet.shelf.stacked import stack_of
from booklet.spec import read_page
from booklet.steps.opening import WAYS, Opening
from booklet.styles import shelf
from booklet.tolerance import TORN
from tests import boxes


def known(name: str) -> Shown:
    found = shown(name)
    assert isinstance(found, Shown), found
    return found


@cache
def everything() -> tuple[Shown | Unshown, ...]:
    return tuple(all_shown())


def kept(name: str) -> Shown:
    """As `known`, made once."""
    found = next(one for one in everything() if one.name == name)
    assert isinstance(found, Shown), found
    return found


@cache
def entries() -> list[shelfsheet.Entry]:
    drawn, left = shelfsheet.entries(everything())
    assert not left
    return drawn


def corners(one: Stands) -> Any:
    return np.concatenate([space.applied(m, o) for m, o in zip(one.places, folder(one.part).outlines, strict=True)])


# -- facts ------------------------------------------------------------------------------------------------------


def test_every_style_of_the_shelf_is_proven_to_close() -> None:
    assert [one for one in everything() if isinstance(one, Unshown)] == []


def test_facts_are_those_of_the_net() -> None:
    lidded, tray, carton = (known(name) for name in ("lidded-box", "tray", "tuck-carton"))
    assert (lidded.pieces, lidded.parts, lidded.glue, lidded.net.closed) == (2, 2, True, True)
    assert (tray.pieces, tray.parts, tray.net.closed) == (1, 1, False)
    assert (carton.pieces, carton.net.closed) == (1, True)


def test_a_net_without_bonds_is_told_as_no_glue(monkeypatch: pytest.MonkeyPatch) -> None:
    style = shelf()["tray"]
    real = style.net
    monkeypatch.setattr(style, "net", lambda sizes: without_flaps(real(sizes)))
    found = known("tray")
    assert not found.glue and "no glue" in shelftold.facts(found, "mm")


def without_flaps(net: Net) -> Net:
    """A tray whose corner flaps are cut off and not glued."""
    part = net.parts[0]
    panels = tuple(p for p in part.panels if p.role != "corner-flap")
    folds = tuple(f for f in part.folds if not f.child.startswith("corner-flap"))
    return replace(net, parts=(replace(part, panels=panels, folds=folds),), bonds=())


# Hems bend to 1 mm and creases both ways to 0.5 mm: common practice, no source.
@pytest.mark.parametrize("name, most", [("lidded-box", 1.0), ("web-tray", 0.5), ("tray", 2.0)])
def test_the_thickest_card_is_the_one_that_the_style_still_takes(name: str, most: float) -> None:
    assert known(name).card == (0.15, most)


def test_a_style_that_raises_is_told_by_its_name_and_the_others_are_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> Any:
        raise IndexError("no such wall")

    monkeypatch.setattr(shelf()["tray"], "net", fail)
    tray, carton = all_shown(["tray", "tuck-carton"])
    assert isinstance(tray, Unshown) and tray.name == "tray" and "no such wall" in tray.why
    assert isinstance(carton, Shown)


def test_a_style_whose_box_does_not_close_is_not_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    style = shelf()["tray"]
    real = style.net
    monkeypatch.setattr(style, "net", lambda sizes: boxes.with_fold(real(sizes), "box", "base/wall-1", angle=80.0))
    found = shown("tray")
    assert isinstance(found, Unshown) and "bonds.touch" in found.why


def test_a_missing_word_for_what_a_style_suits_is_an_error_that_names_it() -> None:
    plain = words()
    less = Words({**plain.data, "suits": {k: v for k, v in plain.data["suits"].items() if k != "display"}})
    with pytest.raises(BookletError, match=r"suits\.display"):
        shelftold.suits(known("tray"), less)


def test_every_key_of_every_style_has_its_words() -> None:
    assert all(shelftold.suits(one, words()).endswith(".") for one in everything() if isinstance(one, Shown))


# -- what lies on what ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["lidded-box", "tray", "tuck-carton", "web-tray"])
def test_layers_told_without_steps_are_those_that_the_steps_leave(name: str) -> None:
    played = replay.replay(steps.found(kept(name).net))
    for part in played.net.parts:
        last = played.last(part.name)
        assert last is not None
        told = stack_of(played.net, part, folder(part).stood)
        assert told.sides
        assert {pair: side for pair, side in told.sides.items() if last.stack.on(*pair) not in (0, side)} == {}


# -- closed and open --------------------------------------------------------------------------------------------


def test_closed_is_every_part_at_each_of_its_places() -> None:
    net = kept("lidded-box").net
    assert [one.part.name for one in closed(net)] == [part.name for part in net.parts]
    for one in closed(net):
        assert np.allclose(one.places, folder(net.part[one.part.name]).stood)
    part = net.parts[0]
    twice = replace(net, parts=(replace(part, places=(*part.places, space.rows(space.moved(500.0) @ space.matrix(part.places[0])))),))
    assert len(closed(twice)) == 2
    assert np.allclose(corners(closed(twice)[1]) - corners(closed(twice)[0]), [500.0, 0.0, 0.0])


def test_a_lid_stands_clear_over_the_box_when_it_is_open() -> None:
    net = kept("lidded-box").net
    box, lid = sorted(opened(net), key=lambda one: one.part.role)
    assert corners(lid)[:, 2].min() > corners(box)[:, 2].max()


def test_a_carton_is_opened_just_so_far_that_the_thing_can_go_in() -> None:
    net = kept("tuck-carton").net
    (shut,), (ajar,) = closed(net), opened(net)
    look = Opening(folder(net.parts[0]), net.item)
    assert not any(look.free(shut.places, way) for way in WAYS)
    assert look.free(ajar.places, (2, 1))
    still = [p.name for p, a, b in zip(net.parts[0].panels, shut.places, ajar.places, strict=True) if np.allclose(a, b)]
    assert {"wall-1", "wall-2", "wall-3", "wall-4", "closing-bottom", "tuck-bottom"} <= set(still)
    assert "closing-top" not in still


def test_a_tray_is_shown_half_folded() -> None:
    net = kept("tray").net
    (one,) = opened(net)
    index = folder(net.parts[0]).index
    assert one.places[index["wall-1"]][:3, 2] @ one.places[index["base"]][:3, 2] == pytest.approx(np.cos(np.radians(45.0)))


def test_corners_that_are_not_cut_stay_closed_where_a_web_tray_is_half_folded() -> None:
    part = kept("web-tray").net.parts[0]
    (one,) = opened(kept("web-tray").net)
    assert torn(part, one) <= TORN
    even = {name: angle / 2 for name, angle in folder(part).final.items()}
    assert torn(part, replace(one, places=folder(part).places(even))) > TORN


def torn(part: Part, one: Stands) -> float:
    """How far the two sides of the creases that close rings are apart, mm."""
    index = folder(part).index
    ends = [[space.applied(one.places[index[name]], space.lifted(loop.line)) for name in loop.panels] for loop in part.loops]
    return max(float(np.abs(a - b).max()) for a, b in ends)


def test_what_only_the_steps_can_tell_is_asked_of_them(monkeypatch: pytest.MonkeyPatch) -> None:
    net = kept("tuck-carton").net
    monkeypatch.setattr(room, "_part_open", lambda net, part: None)
    (one,) = opened(net)
    assert Opening(folder(net.parts[0]), net.item).free(one.places, (2, 1))


# -- pictures ---------------------------------------------------------------------------------------------------

LEFT, RIGHT, FLAT = (0.0, 0.0, 27.0, 28.0), (30.0, 0.0, 58.0, 28.0), (60.0, 0.0, 90.0, 28.0)


def reach(pen: RecordingPen) -> tuple[float, float, float, float]:
    return bounds(end for line in pen.lines() for end in line)


@pytest.mark.parametrize("name", list(shelf()))
def test_pictures_stay_in_their_places_and_stand_on_one_floor(name: str) -> None:
    portrait = next(one.portrait for one in entries() if one.shown.name == name)
    pen = RecordingPen()
    portrait.draw(pen, (LEFT, RIGHT))
    x0, y0, x1, y1 = reach(pen)
    assert x0 >= -0.01 and x1 <= 58.01 and -0.3 <= y0 <= 1.0 and y1 <= 28.01
    flat = RecordingPen()
    portrait.draw_flat(flat, FLAT)
    x0, y0, x1, y1 = reach(flat)
    assert x0 >= 59.99 and x1 <= 90.01 and y0 == pytest.approx(0.0, abs=0.01) and y1 <= 28.01
    assert max(x1 - x0, y1 - y0) > 15.0


def test_closed_and_open_are_drawn_at_one_scale() -> None:
    portrait = Portrait(kept("lidded-box").net)
    shut, ajar = (extent(scene, VIEWS[0]) for scene in portrait.scenes)
    pen = RecordingPen()
    portrait.draw(pen, (LEFT, RIGHT))
    drawn = [[end for line in pen.lines() for end in line if (end[0] < 28.5) == left] for left in (True, False)]
    wide = [max(x for x, _ in points) - min(x for x, _ in points) for points in drawn]
    assert wide[0] / (shut[2] - shut[0]) == pytest.approx(wide[1] / (ajar[2] - ajar[0]), rel=0.02)


# -- the sheet --------------------------------------------------------------------------------------------------


@cache
def sheet(paper: str = "A4", units: Any = "mm") -> bytes:
    return shelfsheet.made(entries(), read_page({"paper": paper}, units), units)


def read(data: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages).split()).replace("\u00a0", " ")


@pytest.mark.parametrize("paper, units", [("A4", "mm"), ("Letter", "in")])
def test_the_sheet_tells_every_style_with_its_use_and_facts(paper: str, units: Any) -> None:
    told = read(sheet(paper, units))
    for one in everything():
        assert isinstance(one, Shown)
        style = words().style(one.name)
        assert style.name in told and style.use in told
        assert shelftold.suits(one, words()) in told
    pages = len(pypdf.PdfReader(io.BytesIO(sheet(paper, units))).pages)
    assert pages == 1 + -(-(len(shelf()) - 8) // 10) and f"page {pages} of {pages}" in told


@pytest.mark.parametrize("paper, size", [("A4", (210.0, 297.0)), ("Letter", (215.9, 279.4))])
def test_the_sheet_keeps_to_its_paper_and_no_words_lie_on_a_line(paper: str, size: tuple[float, float]) -> None:
    data = sheet(paper)
    file, read_back = FinishedFile(data), pypdfium2.PdfDocument(data)
    for index, page in enumerate(read_back):
        assert file.pages[index].size == pytest.approx(size, abs=0.01)
        lines = [s.line for s in file.lines(index)]
        x0, y0, x1, y1 = bounds(end for line in lines for end in line)
        assert min(x0, y0, size[0] - x1, size[1] - y1) > 6.35
        texts = page.get_textpage()
        words_at = [shapely.box(*(v * 25.4 / 72 for v in texts.get_rect(k))) for k in range(texts.count_rects())]
        assert len(words_at) > 8
        assert shapely.STRtree(shapely.linestrings(lines)).query(words_at, predicate="intersects").size == 0


def test_the_same_shelf_gives_the_same_bytes() -> None:
    drawn, _ = shelfsheet.entries([known("tray"), known("tuck-carton")])
    page = read_page({"paper": "A4"}, "mm")
    assert shelfsheet.made(drawn, page, "mm") == shelfsheet.made(drawn, page, "mm")


def test_paper_too_small_for_the_pictures_is_refused() -> None:
    drawn, _ = shelfsheet.entries([known("tray")])
    with pytest.raises(BookletError, match="use A4 or Letter"):
        shelfsheet.made(drawn, read_page({"paper": "A6"}, "mm"), "mm")


def test_a_style_that_cannot_be_shown_open_is_told_and_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(net: Net) -> Any:
        raise BookletError([])

    monkeypatch.setattr("booklet.drawing.shelf.opened", fail)
    drawn, left = shelfsheet.entries([known("tray"), Unshown("post-box", "because")])
    assert drawn == [] and [one.name for one in left] == ["tray", "post-box"]

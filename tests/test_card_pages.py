"""Pages that are printed on the card itself: nothing on a piece, marks and words in the waste."""

from __future__ import annotations

import io
import math
from functools import cache
from itertools import combinations
from types import MappingProxyType

import numpy as np
import pypdfium2
import pytest
import shapely

from booklet.card import Card
from booklet.drawing.cardpage import ENGLISH, draw_leaf, stroke_of
from booklet.drawing.labels import LABELS
from booklet.drawing.pen import LAYER_OF, MM_PER_POINT
from booklet.drawing.recording import Record, RecordingPen, measured
from booklet.drawing.room import CAPITAL, DESCENT
from booklet.lengths import Length
from booklet.make import Made, printed
from booklet.on_card import on_sheet
from booklet.plan import Plan
from booklet.planning import plan_of
from booklet.spec import Fit, Item, Page, Spec
from booklet.styles import shelf
from booklet.ticks import TICK
from tests import boxes

A4, LETTER = ((210.0, 297.0), "A4"), ((215.9, 279.4), "Letter")
SAID = {**LABELS, **ENGLISH, "page_of": "page 7 of 24"}
FULL = (205.0, 119.5, 30.0)
"""A tray whose larger piece leaves little more of the page than its frame."""

CASES = [
    *((style, (60, 45, 40), paper, bar) for style in boxes.STYLES for paper, bar in ((A4, None), (LETTER, (98.5, 99.2)))),
    ("tray", FULL, A4, None),
    ("lidded-box", (45, 38, 26), A4, None),
]


@cache
def plan(style: str, size: tuple[float, float, float], paper=A4, bar=None) -> Plan:
    options = {o.name: o.resolved("mm") for o in shelf()[style].OPTIONS}
    if size[2] == 26:
        options |= {"hem": 8.0, "skirt": 12.0, "glue_flap": 8.0}
    return plan_of(
        Spec(
            title="Kiln Lane",
            style=style,
            item=Item("block", *(Length(float(mm)) for mm in size)),
            fit=Fit(3.0, 2.0),
            card=Card(0.25, (305.0, 305.0), grain="first"),
            page=Page(*paper, 6.35, 10.0, "card", bar),
            box=MappingProxyType(options),
        )
    )


@cache
def pages(style: str, size, paper=A4, bar=None) -> tuple[tuple[int, tuple[Record, ...]], ...]:
    made, found = plan(style, size, paper, bar), []
    for leaf in range(1, made.leaves + 1):
        pen = RecordingPen()
        draw_leaf(pen, made, leaf, SAID)
        found.append((leaf, tuple(pen.records)))
    return tuple(found)


def card_on(made: Plan, leaf: int):
    """The pieces as they are drawn."""
    sx, sy = made.spec.page.scale
    shape = shapely.union_all([one.shape for one in on_sheet(made.net, made.placed, leaf)])
    return shapely.affinity.scale(shape, 1 / sx, 1 / sy, origin=(0, 0))


def inked(r: Record):
    """The paper that a record takes."""
    if r.kind == "text":
        wide, size = measured(r.words, r.size_pt, r.bold), r.size_pt * MM_PER_POINT
        start = {"start": 0.0, "middle": -wide / 2, "end": -wide}[r.anchor]
        box = shapely.affinity.rotate(shapely.box(start, -DESCENT * size, start + wide, CAPITAL * size), r.angle, origin=(0, 0))
        return shapely.affinity.translate(box, *r.points[0])
    if r.kind == "fill":
        return shapely.Polygon(r.points)
    points = [*r.points, r.points[0]] if r.closed else r.points
    return shapely.LineString(points).buffer(r.stroke.width_mm / 2, cap_style="flat", join_style="mitre")


@pytest.mark.parametrize(("style", "size", "paper", "bar"), CASES)
def test_nothing_is_drawn_on_a_piece(style: str, size, paper, bar) -> None:
    made = plan(style, size, paper, bar)
    for leaf, records in pages(style, size, paper, bar):
        card = card_on(made, leaf)
        for r in records:
            assert not inked(r).intersects(card), (r.kind, r.words, r.points)


@pytest.mark.parametrize(("style", "size", "paper", "bar"), CASES)
def test_nothing_is_drawn_in_the_margins(style: str, size, paper, bar) -> None:
    for _, records in pages(style, size, paper, bar):
        area = shapely.box(6.35, 6.35, paper[0][0] - 6.35, paper[0][1] - 6.35).buffer(0.15)
        assert all(area.covers(inked(r)) for r in records)


@pytest.mark.parametrize(("style", "size", "paper", "bar"), CASES)
def test_words_stand_on_nothing_else(style: str, size, paper, bar) -> None:
    for _, records in pages(style, size, paper, bar):
        words = [(r.words, inked(r)) for r in records if r.kind == "text"]
        rest = shapely.union_all([inked(r) for r in records if r.kind != "text"])
        assert [said for said, box in words if box.intersects(rest)] == []
        assert [(a, b) for (a, p), (b, q) in combinations(words, 2) if p.buffer(-0.1).intersects(q)] == []


@pytest.mark.parametrize(("style", "size", "paper", "bar"), CASES)
def test_every_page_names_its_pieces_and_tells_its_ticks_its_face_and_its_number(style: str, size, paper, bar) -> None:
    made = plan(style, size, paper, bar)
    for leaf, records in pages(style, size, paper, bar):
        said = " | ".join(r.words for r in records if r.kind == "text")
        names = [one.piece for one in made.placed if one.sheet == leaf]
        for words in (*names, "inside of the box", "tick to tick", "valley fold", "page 7 of 24", f"sheet {leaf} of {made.leaves}"):
            assert words in said, (words, said)


@pytest.mark.parametrize(("style", "size", "paper", "bar"), CASES)
def test_a_line_of_50_mm_prints_true_in_both_directions(style: str, size, paper, bar) -> None:
    made = plan(style, size, paper, bar)
    for _, records in pages(style, size, paper, bar):
        lines = [r.points for r in records if r.kind == "path" and r.layer == "Dimensions"]
        for axis, scale in enumerate(made.spec.page.scale):
            runs = [abs(a[axis] - b[axis]) * scale for a, b in lines]
            assert min(abs(run - 50) for run in runs) < 1e-6


def test_ticks_stand_in_the_layers_of_their_lines() -> None:
    records = [r for _, found in pages("tuck-carton", (60, 45, 40)) for r in found]
    assert {r.layer for r in records} >= {"Cutting", "Creasing", "Legend", "Dimensions"}
    assert not any(r.layer in ("ReverseCreasing", "Gluing") for r in records)


def test_kinds_of_ticks_are_told_apart_without_colour() -> None:
    dashes = [stroke_of(kind, TICK).dash for kind in ("cut", "valley", "mountain")]
    assert dashes[0] == () and len(dashes[1]) == 2 and len(dashes[2]) == 6
    assert sum(dashes[2]) == pytest.approx(TICK)
    assert sum(stroke_of("mountain", TICK / 2).dash) == pytest.approx(TICK / 2)
    assert set(LAYER_OF) >= {"cut", "valley", "mountain"}


def test_a_name_that_could_be_another_pieces_has_a_leader_or_stands_nearest_to_its_own() -> None:
    made = plan("lidded-box", (45, 38, 26))
    ((leaf, records),) = pages("lidded-box", (45, 38, 26))
    lying = {one.piece.name: one.shape for one in on_sheet(made.net, made.placed, leaf)}
    assert len(lying) == 2
    for r in records:
        if r.kind == "text" and r.words in lying:
            far = {name: inked(r).distance(shape) for name, shape in lying.items()}
            leaders = [p for p in records if p.kind == "path" and p.layer == "Legend" and inked(p).distance(inked(r)) < 1.0]
            assert min(far, key=far.__getitem__) == r.words or leaders


@cache
def made(style: str) -> Made:
    return printed(plan(style, (60, 45, 40)))


@pytest.mark.parametrize("style", boxes.STYLES)
def test_a_printed_page_is_blank_on_every_piece(style: str) -> None:
    result = made(style)
    first = next(n for n in range(result.pages) if "tick to tick" in text_of(result.data, n))
    dots = 8.0
    for leaf in range(1, result.plan.leaves + 1):
        page = pypdfium2.PdfDocument(io.BytesIO(result.data))[first + leaf - 1]
        picture = page.render(scale=dots / 72 * 25.4, grayscale=True).to_numpy().squeeze()
        high = picture.shape[0]
        dark = np.argwhere(picture < 200)
        at = np.column_stack([(dark[:, 1] + 0.5) / dots, (high - dark[:, 0] - 0.5) / dots])
        card = card_on(result.plan, leaf).buffer(-0.1)
        shapely.prepare(card)
        assert len(at) > 500
        assert not shapely.contains_xy(card, at[:, 0], at[:, 1]).any()


def text_of(data: bytes, page: int) -> str:
    return pypdfium2.PdfDocument(io.BytesIO(data))[page].get_textpage().get_text_bounded()


@pytest.mark.parametrize("style", boxes.STYLES)
def test_the_booklet_tells_how_to_feed_and_cut_the_card_and_asks_for_no_tape(style: str) -> None:
    result = made(style)
    told = " ".join(" ".join(text_of(result.data, n) for n in range(result.pages)).split())
    assert [check.name for check in result.checks if not check.ok and check.level == "fault"] == []
    assert {"paper.marks", "paper.waste", "paper.printable"} <= {check.name for check in result.checks}
    for words in ("From the printer to the card", "Printed sheets", "straight paper path", "on both ticks", "once on plain paper"):
        assert words in told, words
    for words in ("From the template", "Page map", "Clear tape", "needle or an awl", "registration"):
        assert words not in told, words
    assert math.isclose(result.plan.card.sheet[0], 210.0)

"""The file for a print shop: read back by other libraries, and compared with the net that is folded."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from types import MappingProxyType

import numpy as np
import pikepdf
import pypdfium2
import pytest
import shapely
from pypdf import PdfReader

from booklet import artwork, paper, printshop
from booklet.drawing import printshop as drawn
from booklet.errors import BookletError
from booklet.folding import folds_of
from booklet.net import Net
from booklet.pages import book
from booklet.pdf.read import FinishedFile, Segment
from booklet.plan import Plan
from booklet.planning import plan_of
from booklet.spec.model import Art, Artwork
from booklet.styles import shelf
from tests import boxes
from tests.samples import FOLDER, made, spec

BLACK = Art("black.svg", b'<svg xmlns="http://www.w3.org/2000/svg" width="160" height="60"><rect width="160" height="60"/></svg>')
NUMBERED = "kit-tiles-precut"


@cache
def base() -> Plan:
    return plan_of(spec(NUMBERED))


def with_net(net: Net, *panels: str, logo: bool = False) -> Plan:
    """A plan to print from, of another net, its named panels all black."""
    art = Artwork(
        Art("kiln.svg", (FOLDER / "art" / "kiln.svg").read_bytes()) if logo else None, MappingProxyType(dict.fromkeys(panels, BLACK))
    )
    return replace(base(), net=net, spec=replace(base().spec, artwork=art))


@cache
def net(style: str, t: float = 0.3, outside: bool = False) -> Net:
    return boxes.net(style, boxes.thing(style), t=t, outside=outside)


def lines(one: book.Book) -> Mapping[str | None, list[Segment]]:
    found: dict[str | None, list[Segment]] = {}
    for segment in FinishedFile(one.data).lines(0):
        found.setdefault(segment.layer, []).append(segment)
    return found


def off(plan: Plan, data: book.Book) -> float:
    return {check.name: check for check in paper.checks(data, plan)}["paper.print-shop"].figure


@pytest.mark.parametrize("outside", [False, True], ids=["marked inside", "marked outside"])
@pytest.mark.parametrize("style", sorted(shelf()))
def test_the_lines_of_the_file_are_those_of_the_net_as_seen_from_outside(style: str, outside: bool) -> None:
    plan = with_net(net(style, outside=outside))
    one = book.for_print_shop(plan)
    assert all(check.ok for check in paper.checks(one, plan))
    assert one.pages == 1


def test_a_file_that_is_not_mirrored_is_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = with_net(net("tuck-carton"))
    monkeypatch.setattr(printshop, "printed_net", lambda net: net)
    wrong = book.for_print_shop(plan)
    monkeypatch.undo()
    assert off(plan, wrong) > 100


def test_valleys_and_mountains_that_are_exchanged_are_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = with_net(net("tray"))
    monkeypatch.setattr(drawn, "layer_of", lambda fold: "Creasing" if fold.bends < 0 else "ReverseCreasing")
    assert off(plan, book.for_print_shop(plan)) > 100


def test_a_line_that_is_missing_and_one_that_is_too_many_are_found_out() -> None:
    plan = with_net(net("tray"))
    whole = plan.net.parts[0]
    smooth = replace(whole.folds[0], kind="roll")  # which is not drawn
    less = replace(plan.net, parts=(replace(whole, folds=(smooth, *whole.folds[1:])),))
    assert off(plan, book.for_print_shop(with_net(less))) > 10
    assert off(with_net(less), book.for_print_shop(plan)) > 10


def test_a_box_seen_from_outside_turns_away_at_its_corners() -> None:
    """A tray's walls stand on its base: from outside every fold of 90 degrees is a mountain, however the net is marked."""
    for outside in (False, True):
        found = lines(book.for_print_shop(with_net(net("tray", outside=outside))))
        assert len(found["ReverseCreasing"]) >= 8 and "Creasing" not in found


def test_half_cuts_are_partial_cuts() -> None:
    found = lines(book.for_print_shop(with_net(net("tray", t=0.9))))
    assert len(found["PartialCutting"]) >= 8 and not {"Creasing", "ReverseCreasing"} & set(found)


def test_layers_have_the_names_and_types_of_the_standard() -> None:
    """ISO 19593-1:2018: group and type of a processing step stand in the layer's GTS_Metadata; Dimensions and Legend have no type."""
    with pikepdf.open(io.BytesIO(book.for_print_shop(with_net(net("lidded-box"))).data)) as pdf:
        groups = {str(group.Name): group.GTS_Metadata for group in pdf.Root.OCProperties.OCGs}
        assert pdf.check_pdf_syntax() == []
    assert set(groups) == {"Cutting", "ReverseCreasing", "Gluing", "Bleed", "Dimensions", "Legend"}
    for name, metadata in groups.items():
        structural = name not in ("Dimensions", "Legend")
        assert str(metadata.GTS_ProcStepsGroup) == ("/Structural" if structural else f"/{name}")
        assert metadata.get("/GTS_ProcStepsType") == (f"/{name}" if structural else None)


def test_the_page_has_boxes_and_the_bleed_is_three_millimetres() -> None:
    plan = with_net(net("tuck-carton"))
    one = book.for_print_shop(plan)
    page, found = PdfReader(io.BytesIO(one.data)).pages[0], lines(one)
    cut = shapely.union_all([shapely.LineString(s.line) for s in found["Cutting"]])
    trim, bleed = ([float(v) * 25.4 / 72 for v in rect] for rect in (page.trimbox, page.bleedbox))
    np.testing.assert_allclose(trim, cut.bounds, atol=0.01)
    np.testing.assert_allclose(np.subtract(bleed, trim), (-3, -3, 3, 3), atol=0.01)
    media = [float(v) * 25.4 / 72 for v in page.mediabox]
    assert media[0] < bleed[0] and media[1] < bleed[1] and media[2] > bleed[2] and media[3] > bleed[3]
    assert one.paper == pytest.approx(media[2:], abs=0.01)
    over = [cut.distance(shapely.Point(s.a)) for s in found["Bleed"]]
    assert min(over) > 3.0 - 1e-3 and max(over) < 3.0 * 2.0 + 1e-3  # at a sharp corner it is drawn out to twice that


@pytest.mark.parametrize("style", ["lidded-box", "prism-carton", "divider", "gift-bag", "rigid-box"])
def test_all_pieces_of_one_box_lie_on_the_page_and_their_bleeds_apart(style: str) -> None:
    sheet = printshop.sheet_of(net(style))
    assert len(sheet.laid) == sum(len(part.pieces) * len(part.places) for part in sheet.net.parts)
    shapes = [
        shapely.Polygon(one.to_page.ring(one.piece.outline)).buffer(artwork.BLEED, join_style="mitre", mitre_limit=2) for one in sheet.laid
    ]
    assert all(a.distance(b) > 1.0 for n, a in enumerate(shapes) for b in shapes[n + 1 :])
    page = shapely.box(printshop.EDGE / 2, printshop.LEGEND[1] + printshop.EDGE / 2, *sheet.size)
    assert all(page.contains(shape) for shape in shapes)


def test_a_net_that_no_page_holds_is_refused() -> None:
    tray = net("tray")
    large = replace(tray, parts=tuple(replace(part, places=part.places * 400) for part in tray.parts))
    with pytest.raises(BookletError, match="a page has at most 5000"):
        printshop.sheet_of(large)


@cache
def rendered(style: str, outside: bool) -> tuple[Plan, np.ndarray]:
    """A box all of whose faces are printed black, as the page looks, dots of a tenth of a millimetre."""
    found = net(style, outside=outside)
    names = [p.name for part in found.parts for p in part.panels if p.name != "insert"]
    plan = with_net(found, *dict.fromkeys(names))
    page = pypdfium2.PdfDocument(book.for_print_shop(plan).data)[0].render(scale=25.4 / 72 * 4, grayscale=True)
    return plan, np.array(page.to_pil())


def dots(shape: shapely.Polygon, page: np.ndarray) -> np.ndarray:
    """Grey of the dots in an area, mm."""
    x0, y0, x1, y1 = shape.bounds
    xs, ys = np.meshgrid(np.arange(x0, x1, 0.5), np.arange(y0, y1, 0.5))
    inside = shapely.contains_xy(shape, xs, ys)
    scale = 4.0
    rows, columns = np.round(page.shape[0] - ys[inside] * scale).astype(int), np.round(xs[inside] * scale).astype(int)
    return page[np.clip(rows, 0, page.shape[0] - 1), np.clip(columns, 0, page.shape[1] - 1)]


@pytest.mark.parametrize("outside", [False, True], ids=["marked inside", "marked outside"])
@pytest.mark.parametrize("style", ["lidded-box", "crash-lock-carton", "gable-carrier"])
def test_what_is_glued_outside_is_white_on_the_page_and_the_rest_is_printed(style: str, outside: bool) -> None:
    plan, page = rendered(style, outside)
    sheet, seen = printshop.sheet_of(plan.net), 0
    for one in sheet.laid:
        near = shapely.union_all([shapely.LineString(fold.line) for fold in folds_of(one.part, one.piece)]).buffer(1.0)
        for name in one.piece.panels:
            panel = one.part.panel[name]
            glued = shapely.union_all(list(artwork.glued_outside(sheet.net, one.part, panel)))
            own = shapely.Polygon(panel.outline, panel.holes).buffer(-1.0)
            for area, white in ((glued.buffer(-1.0).difference(near), True), (own.difference(glued.buffer(1.0)).difference(near), False)):
                placed = shapely.transform(area, lambda points, one=one: np.array([one.to_page(p) for p in points]))
                if placed.area > 20:
                    grey = dots(placed, page)
                    seen += white
                    # lines of glue on the other face are dots and dashes of 0.2 mm
                    assert (grey > 250).mean() > 0.9 if white else (grey < 100).mean() > 0.99
    assert seen


def test_artwork_lies_in_no_layer_and_under_the_lines() -> None:
    plan = with_net(net("tray"), "front", logo=True)
    content = PdfReader(io.BytesIO(book.for_print_shop(plan).data)).pages[0].get_contents()
    assert content is not None
    data = content.get_data()
    assert data.index(b"W* n") < data.index(b"/OC /")
    with_art, without = lines(book.for_print_shop(plan)), lines(book.for_print_shop(with_net(net("tray"))))
    assert {layer: len(found) for layer, found in with_art.items() if layer} == {
        layer: len(found) for layer, found in without.items() if layer
    }


def test_the_legend_says_what_it_is_and_claims_nothing() -> None:
    text = " ".join(PdfReader(io.BytesIO(book.for_print_shop(with_net(net("lidded-box"), "lid")).data)).pages[0].extract_text().split())
    title = base().spec.title
    for words in (
        title,
        "KL-018",
        "0.30 mm",
        "250 g/m\u00b2",
        "outside of the box",
        "Layers named by ISO 19593-1",
        "50 mm",
        "Gluing",
        "no ink",
    ):
        assert words in text, words
    assert "conform" not in text.lower()


def test_every_row_of_the_legend_is_a_line_of_the_page_and_has_words() -> None:
    for style, t in (("lidded-box", 0.3), ("tray", 0.9), ("gift-bag", 0.3), ("web-tray", 0.3)):
        plan = with_net(net(style, t=t))
        sheet = printshop.sheet_of(plan.net)
        layers = {drawn.ROWS[key][0] for key in drawn.used(sheet)}
        assert layers == {layer for layer in lines(book.for_print_shop(plan)) if layer} | {"Legend"}


def test_a_kit_comes_with_its_file_for_a_print_shop() -> None:
    kit = made(NUMBERED)
    assert "print-shop" in kit.others
    assert {check.name: check.ok for check in kit.checks}["paper.print-shop"]


def test_the_same_plan_gives_the_same_bytes() -> None:
    plan = with_net(net("tray"), "front", logo=True)
    assert book.for_print_shop(plan).data == book.for_print_shop(plan).data

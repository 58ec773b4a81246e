"""The PDF door: what is written, read back by other libraries, and the picture that an outside renderer makes of it."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import KeepTogether, PageBreak, Paragraph, Spacer, Table

from booklet.drawing.pen import LAYER_OF, LAYERS, STROKES, Pen, box, circle, hatch
from booklet.errors import BookletError
from booklet.pdf import fonts
from booklet.pdf.attach import Attachment, escaped_name
from booklet.pdf.canvas import PdfFile
from booklet.pdf.flow import Mark, Picture, flow, frame, height, put
from booklet.pdf.pen import PdfPen
from booklet.pdf.read import FinishedFile
from booklet.pdf.signs import sign
from booklet.plane import Affine, shift, turn

A4 = (210.0, 297.0)
LETTER = (215.9, 279.4)
FRAME = (12.0, 24.0, 198.0, 274.0)


def written(draw: Callable[[PdfPen], None], size: tuple[float, float] = A4) -> bytes:
    file = PdfFile("Test")
    draw(file.page(size))
    return file.finish()


def sample() -> bytes:
    """A file with something of everything."""
    file = PdfFile("Mug box (\u00e9)", author="Kiln Lane", language="en-GB")
    pen = file.page(A4)
    file.bookmark("Cover")
    for i, (name, stroke) in enumerate(STROKES.items()):
        pen.path([(20, 280 - 8 * i), (100, 280 - 8 * i)], stroke, LAYER_OF.get(name))
    hatch(pen, circle((60, 60), 20))
    with pen.clipped(box(120, 20, 150, 50)), pen.placed(turn(1).then(shift(135, 0))):
        pen.path([(0, 0), (100, 0)], STROKES["valley"], "Creasing")
        pen.text((10, 5), "turned", 8, layer="Legend", halo=True)
    flow(file, [Paragraph("Fold the wall. " * 800, fonts.paragraph_style())], A4, [FRAME])
    file.page(LETTER)
    file.bookmark("Templates")
    file.bookmark("Leaf 1", 1)
    file.label_pages([(0, "r", "", 1), (1, "D", "", 1), (file.pages - 1, "D", "T", 1)])
    file.attach(Attachment("spec.toml", b"title = 'x'", "application/toml", "The spec", "Source"))
    file.attach(Attachment("net.json", b"{}", "application/json"))
    file.on_every_page(lambda p, i, n: p.text((105, 8), f"page {i + 1} of {n}", 8, "middle", layer="Legend"))
    return file.finish()


@pytest.fixture(scope="module")
def data() -> bytes:
    return sample()


@pytest.fixture(scope="module")
def read(data: bytes) -> FinishedFile:
    return FinishedFile(data)


def picture(data: bytes, index: int = 0, dpi: float = 100) -> Image.Image:
    return pypdfium2.PdfDocument(data)[index].render(scale=dpi / 72, grayscale=True).to_pil()


def test_another_library_finds_no_fault_in_the_file(data: bytes) -> None:
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert pdf.check_pdf_syntax() == []


def test_the_version_is_1_7_in_the_header_and_the_catalog(data: bytes, read: FinishedFile) -> None:
    assert data.startswith(b"%PDF-1.7\n") and read.version == "1.7"
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert pdf.Root.Version == "/1.7"


def test_the_reader_is_asked_for_no_scaling_and_shows_the_title(data: bytes, read: FinishedFile) -> None:
    assert read.print_scaling == "None" and read.title == "Mug box (\u00e9)"
    with pikepdf.open(io.BytesIO(data)) as pdf:
        wishes = pdf.Root.ViewerPreferences
        assert wishes.DisplayDocTitle is True and wishes.Duplex == "/Simplex" and wishes.PickTrayByPDFSize is True
        assert str(pdf.Root.Lang) == "en-GB"


def test_there_is_no_date_in_the_file(data: bytes) -> None:
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert {"/CreationDate", "/ModDate"}.isdisjoint(pdf.docinfo.keys())


def test_pages_have_their_true_size(read: FinishedFile) -> None:
    assert read.pages[0].size == pytest.approx(A4, abs=0.001) and read.pages[-1].size == pytest.approx(LETTER, abs=0.001)
    assert all(page.whole and page.turned == 0 and page.unit == 1 for page in read.pages)


def test_pages_are_labelled(read: FinishedFile) -> None:
    assert read.labels == ("i", "1", "2", "T1")


def test_bookmarks_lead_to_their_pages_and_stand_in_levels(data: bytes) -> None:
    with pikepdf.open(io.BytesIO(data)) as pdf, pdf.open_outline() as outline:
        assert [item.title for item in outline.root] == ["Cover", "Templates"]
        assert [item.title for item in outline.root[1].children] == ["Leaf 1"]
        assert outline.root[1].destination[0].objgen == pdf.pages[-1].obj.objgen


def test_attachments_come_out_as_they_went_in(data: bytes, read: FinishedFile) -> None:
    assert read.attachments == {"net.json": b"{}", "spec.toml": b"title = 'x'"}
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert list(pdf.attachments) == ["net.json", "spec.toml"]
        assert pdf.attachments["net.json"].get_file().mime_type == "application/json"
        assert [str(spec.AFRelationship) for spec in pdf.Root.AF] == ["/Data", "/Source"]


def test_a_name_in_the_file_is_escaped() -> None:
    assert escaped_name("application/x (y)#") == "/application#2Fx#20#28y#29#23"


def test_no_page_has_a_transition_and_no_stream_ends_on_its_last_line(data: bytes) -> None:
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert all("/Trans" not in page for page in pdf.pages)
    assert data.count(b"\nendstream") == data.count(b"endstream") > 5


def test_every_font_is_embedded_and_cut_down_to_what_is_used(data: bytes) -> None:
    with pikepdf.open(io.BytesIO(data)) as pdf:
        found = [font for page in pdf.pages for font in page.Resources.Font.values()]
        assert found
        for font in found:
            assert str(font.BaseFont)[7:8] == "+" and "/FontFile2" in font.FontDescriptor
    assert b"Helvetica" not in data


def test_layers_are_named_by_the_standard_with_group_and_type(data: bytes, read: FinishedFile) -> None:
    assert read.layers == LAYERS
    with pikepdf.open(io.BytesIO(data)) as pdf:
        known = {}
        for group in pdf.Root.OCProperties.OCGs:
            assert "/Usage" not in group
            told = group.GTS_Metadata
            known[str(group.Name)] = (str(told.GTS_ProcStepsGroup)[1:], str(told.get("/GTS_ProcStepsType", "/"))[1:] or None)
    # ISO 19593-1:2018, as told in public copies: two groups take no type.
    structural = {name: ("Structural", name) for name in ("Cutting", "Creasing", "ReverseCreasing", "Gluing")}
    assert known == {**structural, "Dimensions": ("Dimensions", None), "Legend": ("Legend", None)}


def test_only_layers_that_are_drawn_are_listed() -> None:
    assert FinishedFile(written(lambda pen: pen.path([(0, 0), (9, 9)], STROKES["cut"], "Cutting"))).layers == ("Cutting",)
    assert FinishedFile(written(lambda pen: pen.path([(0, 0), (9, 9)], STROKES["cut"]))).layers == ()


def test_a_layer_can_be_switched_off_in_an_outside_renderer() -> None:
    drawn = written(lambda pen: pen.path([(20, 150), (190, 150)], STROKES["cut"], "Cutting"))
    with pikepdf.open(io.BytesIO(drawn)) as pdf:
        pdf.Root.OCProperties.D.OFF = pdf.Root.OCProperties.D.ON
        del pdf.Root.OCProperties.D.ON
        hidden = io.BytesIO()
        pdf.save(hidden)
    assert picture(drawn).getextrema()[0] < 100 and picture(hidden.getvalue()).getextrema() == (255, 255)


def test_a_line_is_read_back_where_it_was_drawn() -> None:
    def draw(pen: PdfPen) -> None:
        with pen.placed(turn(1).then(shift(100, 50))):
            pen.path([(0, 0), (30, 0), (30, 10)], STROKES["mountain"], "ReverseCreasing")

    first, second = FinishedFile(written(draw)).lines(0)
    assert first.line == (pytest.approx((100, 50), abs=1e-4), pytest.approx((100, 80), abs=1e-4))
    assert second.b == pytest.approx((90, 80), abs=1e-4)
    assert first.layer == "ReverseCreasing" and first.width == pytest.approx(0.25, abs=1e-4)
    assert first.dash == pytest.approx(STROKES["mountain"].dash, abs=1e-4)


coordinates = st.tuples(st.floats(0, 210), st.floats(0, 297))


@settings(max_examples=20, deadline=None)
@given(st.lists(coordinates, min_size=2, max_size=6), st.sampled_from(sorted(STROKES)), st.sampled_from((None, *LAYERS)), st.booleans())
def test_any_path_is_read_back_as_it_was_drawn(points: list[tuple[float, float]], name: str, layer: str | None, closed: bool) -> None:
    segments = FinishedFile(written(lambda pen: pen.path(points, STROKES[name], layer, closed))).lines(0)
    for segment, (a, b) in zip(segments, zip(points, [*points[1:], points[0]], strict=True), strict=False):
        if len(set(points)) == len(points):
            assert segment.a == pytest.approx(a, abs=1e-4) and segment.b == pytest.approx(b, abs=1e-4)
        assert segment.layer == layer and segment.width == pytest.approx(STROKES[name].width_mm, abs=1e-4)


def test_what_is_read_back_is_cut_at_the_clip() -> None:
    def draw(pen: PdfPen) -> None:
        with pen.clipped(box(50, 50, 100, 100)):
            pen.path([(0, 75), (200, 75)], STROKES["cut"], "Cutting")
            pen.path([(50, 0), (50, 200)], STROKES["cut"], "Cutting")
            pen.path([(0, 20), (200, 20)], STROKES["cut"], "Cutting")
            with pen.clipped(box(90, 0, 200, 200)):
                pen.path([(0, 60), (200, 60)], STROKES["valley"], "Creasing")
        pen.path([(0, 10), (200, 10)], STROKES["cut"])

    found = [(*s.a, *s.b) for s in FinishedFile(written(draw)).lines(0)]
    wanted = [(50, 75, 100, 75), (50, 50, 50, 100), (90, 60, 100, 60), (0, 10, 200, 10)]
    assert len(found) == 4
    for have, want in zip(found, wanted, strict=True):
        assert have == pytest.approx(want, abs=1e-3)


def foreign(content: bytes, box_: tuple[float, ...] = (0, 0, 720, 720), **entries: object) -> FinishedFile:
    """A page that another library wrote."""
    with pikepdf.new() as pdf:
        pdf.add_blank_page(page_size=(720, 720))
        page = pdf.pages[0]
        page.MediaBox = pikepdf.Array(box_)
        page.Contents = pdf.make_stream(content)
        for key, value in entries.items():
            page[f"/{key}"] = value
        out = io.BytesIO()
        pdf.save(out)
    return FinishedFile(out.getvalue())


def test_maps_in_a_page_are_laid_one_on_another_and_scale_widths() -> None:
    (first, second) = foreign(b"q 2 0 0 2 72 144 cm q 1 0 0 1 36 0 cm 3 w [4 1] 0 d 0 0 m 36 0 l S Q Q 0 0 m 0 72 l S").lines(0)
    assert first.line == (pytest.approx((50.8, 50.8)), pytest.approx((76.2, 50.8)))
    assert first.width == pytest.approx(6 / 72 * 25.4) and first.dash == pytest.approx((8 / 72 * 25.4, 2 / 72 * 25.4))
    assert second.line == (pytest.approx((0, 0)), pytest.approx((0, 25.4))) and second.dash == ()


def test_rectangles_closed_paths_and_a_page_that_starts_elsewhere_are_read() -> None:
    sides = foreign(b"72 72 72 36 re S 72 72 m 144 72 l 144 144 l s 0 0 m 9 9 l n", (72, 72, 144, 144)).lines(0)
    assert len(sides) == 7 and sides[0].line == (pytest.approx((0, 0)), pytest.approx((25.4, 0)))
    assert sides[-1].b == pytest.approx((0, 0))


def test_a_page_with_a_larger_unit_a_turn_or_a_cropped_box_is_told() -> None:
    (page,) = foreign(b"", UserUnit=2, Rotate=90, CropBox=pikepdf.Array((0, 0, 700, 720))).pages
    assert page.size == pytest.approx((508, 508)) and page.unit == 2 and page.turned == 90 and not page.whole


def test_runs_of_one_stroke_share_their_setting() -> None:
    data = written(lambda pen: hatch(pen, box(10, 10, 100, 100)))
    with pikepdf.open(io.BytesIO(data)) as pdf:
        operators = Counter(str(i.operator) for i in pikepdf.parse_content_stream(pdf.pages[0]))
    assert operators["S"] > 80 and operators["w"] == operators["BDC"] == operators["EMC"] == 1
    assert operators["q"] == operators["Q"]


def test_the_pen_leaves_nothing_set_behind_for_the_flowables() -> None:
    file = PdfFile("Test")
    pen = file.page(A4)
    pen.path([(10, 10), (20, 10)], STROKES["valley"], "Creasing")
    put(file, Table([[""]], colWidths=200, style=[("LINEBELOW", (0, 0), (-1, -1), 1, "black")]), (20, 100))
    rule = FinishedFile(file.finish()).lines(0)[-1]
    assert rule.layer is None and rule.dash == ()


def test_bars_of_100_mm_measure_100_mm_on_an_outside_picture() -> None:
    dpi = 600.0

    def bars(pen: PdfPen) -> None:
        pen.path([(50, 50), (50, 150)], STROKES["cut"])
        pen.path([(60, 40), (160, 40)], STROKES["cut"])

    data = written(bars)
    dark = picture(data, dpi=dpi).point(lambda v: 255 if v < 128 else 0)
    upright, flat = dark.crop((0, 0, int(55 / 25.4 * dpi), dark.height)), dark.crop((int(55 / 25.4 * dpi), 0, dark.width, dark.height))
    (_, top, _, foot), (left, _, right, _) = upright.getbbox() or (0,) * 4, flat.getbbox() or (0,) * 4
    assert (foot - top) * 25.4 / dpi == pytest.approx(100, abs=0.1)
    assert (right - left) * 25.4 / dpi == pytest.approx(100, abs=0.1)


def test_fills_are_even_odd_and_tinted() -> None:
    image = picture(written(lambda pen: pen.fill([box(50, 50, 150, 150), box(80, 80, 120, 120)], 0.88)), dpi=25.4)
    assert image.getpixel((60, 297 - 60)) == pytest.approx(0.88 * 255, abs=2) and image.getpixel((100, 297 - 100)) == 255


def test_a_halo_hides_the_hatching_round_the_letters() -> None:
    def draw(halo: bool) -> int:
        def drawn(pen: Pen) -> None:
            hatch(pen, box(20, 20, 100, 60), spacing=0.5)
            pen.text((60, 40), "glue 12", 14, "middle", halo=halo)

        image = picture(written(drawn)).crop((170, 990, 310, 1030))
        return sum(1 for v in image.tobytes() if v > 200)

    assert draw(True) > draw(False) * 1.1


@pytest.mark.parametrize(("anchor", "left"), [("start", 100.0), ("middle", 100.0), ("end", 100.0)])
def test_words_stand_at_their_anchor(anchor: str, left: float) -> None:
    wide = fonts.width("HHH", 20)
    box_ = picture(written(lambda pen: pen.text((left, 100), "HHH", 20, anchor)), dpi=254).point(lambda v: 255 - v).getbbox()  # type: ignore[arg-type]
    assert box_
    start = {"start": left, "middle": left - wide / 2, "end": left - wide}[anchor]
    assert box_[0] / 10 == pytest.approx(start, abs=1) and box_[2] / 10 == pytest.approx(start + wide, abs=1)


def test_words_are_turned_about_their_foot() -> None:
    found = picture(written(lambda pen: pen.text((100, 100), "HHHH", 20, angle=90)), dpi=25.4).point(lambda v: 255 - v).getbbox()
    assert found
    assert found[2] <= 101 and found[3] >= 297 - 101 and found[3] - found[1] > found[2] - found[0]


def test_words_in_a_mirrored_place_are_not_mirrored() -> None:
    def draw(pen: PdfPen) -> None:
        with pen.placed(Affine(-1, 0, 0, 1, 200, 0)):
            pen.text((100, 100), "F", 40)

    page = pypdfium2.PdfDocument(written(draw))[0]
    assert page.get_textpage().get_text_range() == "F"
    image = picture(written(draw), dpi=100).point(lambda v: 255 - v)
    wanted = picture(written(lambda pen: pen.text((100, 100), "F", 40, angle=180)), dpi=100).point(lambda v: 255 - v)
    assert image.tobytes() == wanted.tobytes()


def test_a_missing_glyph_is_refused_by_name_whatever_way_it_came() -> None:
    for draw in (
        lambda file, pen: pen.text((10, 10), "cup \u8336", 10),
        lambda file, pen: frame(file, FRAME, [Paragraph("cup \u8336", fonts.paragraph_style())]),
        lambda file, pen: frame(file, FRAME, [Table([["\u8336"]], style=[("FONTNAME", (0, 0), (-1, -1), fonts.face())])]),
    ):
        file = PdfFile("Test")
        with pytest.raises(BookletError, match=r"'\u8336' \(U\+8336\).*write the text"):
            draw(file, file.page(A4))


def test_accents_are_composed_before_they_are_measured_and_drawn() -> None:
    assert fonts.width("Gro\u0308\u00dfe", 10) == pytest.approx(fonts.width("Gr\u00f6\u00dfe", 10))
    data = written(lambda pen: pen.text((10, 10), "cafe\u0301", 10))
    assert pypdfium2.PdfDocument(data)[0].get_textpage().get_text_range() == "caf\u00e9"


def test_latin_greek_and_cyrillic_are_covered() -> None:
    words = (
        "Stra\u00dfe",
        "\u0141\u00f3d\u017a",
        "\u0391\u03b8\u03ae\u03bd\u03b1",
        "\u041a\u0438\u0457\u0432",
        "12 \u00d7 3 mm\u00b2 \u00bd",
    )
    assert fonts.missing(" ".join(words)) == ""


def steps(count: int) -> list[object]:
    def draw(pen: Pen) -> None:
        pen.path(box(0, 0, 60, 30), STROKES["cut"], "Cutting", closed=True)

    style = fonts.paragraph_style()
    return [KeepTogether([Paragraph(f"Step {i}", style), Picture(60, 30, draw), Spacer(1, 12)]) for i in range(count)]


def test_flowables_run_over_pages_and_pictures_among_them_keep_their_size() -> None:
    file = PdfFile("Test")
    seen: list[int] = []
    file.page(A4)
    columns = [(12, 24, 100, 274), (110, 24, 198, 274)]
    made = flow(file, [*steps(20), PageBreak(), *steps(1)], A4, columns, lambda pen, index: seen.append(index))
    read = FinishedFile(file.finish())
    assert made == 3 and seen == [1, 2, 3] and len(read.pages) == 4
    cuts = [s for index in range(4) for s in read.lines(index) if s.layer == "Cutting"]
    assert len(cuts) == 21 * 4
    assert sum(abs(s.a[0] - s.b[0]) + abs(s.a[1] - s.b[1]) for s in cuts) == pytest.approx(21 * 180, abs=0.05)


def test_a_mark_among_flowables_leads_to_its_page() -> None:
    file = PdfFile("Test")
    flow(file, [Mark(file, "One", key="one"), *steps(9), Mark(file, "Two", 1, "two"), Spacer(1, 20)], A4, [FRAME])
    assert (file.page_of("one"), file.page_of("two")) == (0, 1)
    with pikepdf.open(io.BytesIO(file.finish())) as pdf, pdf.open_outline() as outline:
        assert outline.root[0].children[0].destination[0].objgen == pdf.pages[1].obj.objgen


def test_what_does_not_fit_a_frame_is_given_back_parted() -> None:
    file = PdfFile("Test")
    file.page(A4)
    rest = frame(file, (12, 100, 80, 120), [Paragraph("one two three " * 60, fonts.paragraph_style())])
    assert len(rest) == 1
    assert frame(file, (100, 20, 190, 274), rest) == []
    words = pypdfium2.PdfDocument(file.finish())[0].get_textpage().get_text_range().split()
    assert words == ["one", "two", "three"] * 60


def test_a_block_too_large_for_its_page_is_told_and_not_looped_over() -> None:
    with pytest.raises(BookletError, match="larger than its place on the page"):
        flow(PdfFile("Test"), [Picture(50, 400, lambda pen: None)], A4, [FRAME])


def test_the_height_of_flowables_is_known_before_they_are_placed() -> None:
    assert height([Picture(60, 30, lambda pen: None), Spacer(1, 72)], 80) == pytest.approx(30 + 25.4)


def test_a_finished_page_can_be_written_on_again_with_links(data: bytes) -> None:
    file = PdfFile("Test")
    file.page(A4)
    file.page(A4)
    file.bookmark("Steps", key="steps")
    with file.again(0) as pen:
        pen.path([(10, 10), (50, 10)], STROKES["cut"], "Cutting")
        frame(file, FRAME, [Paragraph('<a href="#steps">Steps</a>', fonts.paragraph_style())])
    finished = file.finish()
    with pikepdf.open(io.BytesIO(finished)) as pdf:
        assert pdf.check_pdf_syntax() == [] and len(pdf.pages[0].Annots) == 1 and "/Annots" not in pdf.pages[1]
    assert [s.layer for s in FinishedFile(finished).lines(0)] == ["Cutting"] and FinishedFile(finished).lines(1) == ()
    assert pypdfium2.PdfDocument(data)[0].get_textpage().get_text_range().endswith("page 1 of 4")


def test_a_face_that_is_not_ours_is_never_written() -> None:
    file = PdfFile("Test")
    file.page(A4)
    put(file, Table([["cell"]]), (20, 20))
    put(file, Paragraph("words", ParagraphStyle("plain")), (20, 40))
    assert b"Helvetica" not in file.finish()
    file = PdfFile("Test")
    file.page(A4)
    file.canvas.setFont("Helvetica", 10)
    with pytest.raises(AssertionError, match="Helvetica"):
        file.finish()


def test_the_same_drawing_gives_the_same_bytes_whatever_the_clock(data: bytes) -> None:
    here = Path(__file__).parent
    code = "import sys, test_pdf; sys.stdout.buffer.write(test_pdf.sample())"
    path = os.pathsep.join((str(here), str(here.parent)))
    other = {**os.environ, "PYTHONPATH": path, "SOURCE_DATE_EPOCH": "1", "PYTHONHASHSEED": "7", "TZ": "Asia/Tokyo"}
    assert subprocess.run([sys.executable, "-c", code], env=other, capture_output=True, check=True).stdout == data


def test_another_drawing_gets_another_identity() -> None:
    ids = []
    for x in (10, 11):
        with pikepdf.open(io.BytesIO(written(lambda pen, x=x: pen.path([(0, 0), (x, 0)], STROKES["cut"])))) as pdf:  # type: ignore[misc]
            ids.append(bytes(pdf.trailer.ID[0]))
    assert ids[0] != ids[1] and len(ids[0]) == 16


SIGN = b'<svg xmlns="http://www.w3.org/2000/svg" width="20" height="10" viewBox="0 0 20 10"><path d="M0 0 H20 V10 H0 Z"/></svg>'


def test_a_sign_is_drawn_to_its_width() -> None:
    file = PdfFile("Test")
    file.page(A4)
    put(file, sign(SIGN, 40), (100, 100))
    data = file.finish()
    found = picture(data, dpi=25.4).point(lambda v: 255 - v).getbbox()
    assert found == pytest.approx((100, 297 - 120, 140, 297 - 100), abs=1)
    assert b"Helvetica" not in data


@pytest.mark.parametrize(
    ("svg", "told"),
    [
        (b"", "well-formed"),
        (b"<html/>", "not <svg>"),
        (b"\xff\xfe<\0s\0", "UTF-8"),
        (SIGN.replace(b"<path", b"<text>A</text><path"), "<text>"),
        (SIGN.replace(b"<path", b'<image href="x.png"/><path'), "<image>"),
        (SIGN.replace(b"<path", b'<use href="other.svg#a"/><path'), "another file"),
        (SIGN.replace(b"<path", b'<use href="#a"/>' * 60 + b"<path"), "<use>"),
        (SIGN.replace(b"<path", b"<g/>" * 6000 + b"<path"), "elements"),
        (b'<!DOCTYPE svg [<!ENTITY a "b">]>' + SIGN, "entities"),
        (SIGN.replace(b'width="20"', b'width="nan"'), "cannot be drawn"),
        (SIGN.replace(b'width="20"', b'width="0"'), "cannot be drawn"),
        (SIGN.replace(b"M0 0", b"M0 nan"), "cannot be drawn"),
        (SIGN + b" " * 600_000, "bytes"),
    ],
)
def test_a_sign_that_cannot_be_drawn_is_refused_by_its_files_name(svg: bytes, told: str) -> None:
    with pytest.raises(BookletError, match=rf"logo\.svg: .*{told}"):
        sign(svg, 20, "logo.svg")

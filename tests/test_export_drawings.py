"""SVG and DXF: every piece, true to size, in millimetres, a layer for each kind of line, the same bytes each time."""

from __future__ import annotations

import io
import math
import os
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import pytest
from ezdxf.lldxf.encoding import decode_dxf_unicode

from booklet.drawing.dxf import DxfPen, dxf_of
from booklet.drawing.flat import GAP, draw_piece, laid_out
from booklet.drawing.pen import LAYERS, STROKES, box
from booklet.drawing.recording import RecordingPen
from booklet.drawing.svg import SvgPen, svg_of
from booklet.net import Bond, Fold, Inside, Item, Net, Panel, Part, Piece
from booklet.plane import bounds, length
from booklet.space import identity, rows

SVG = "{http://www.w3.org/2000/svg}"


def strip(name: str = "strip", copies: int = 1) -> Part:
    """Four panels in a row, 30 x 20 mm each: valley, mountain, and a roll that is not scored; a hole and a slit."""
    names = ("a", "b", "c", "d")
    panels = tuple(Panel(n, "wall", box(30 * i, 0, 30 * i + 30, 20)) for i, n in enumerate(names))
    turns = ((90.0, "crease"), (-90.0, "crease"), (15.0, "roll"))
    folds = tuple(
        Fold(f"{names[i]}{names[i + 1]}", names[i], names[i + 1], ((30 * i + 30, 0), (30 * i + 30, 20)), angle, kind=kind)  # type: ignore[arg-type]
        for i, (angle, kind) in enumerate(turns)
    )
    piece = Piece(name, name, names, box(0, 0, 120, 20), (box(5, 5, 15, 15),), (((60.0, 0.0), (60.0, 8.0)),), (120, 20))
    return Part(name, "box", 0.3, "a", (rows(identity()),) * copies, panels, folds, pieces=(piece,))


def net(*parts: Part) -> Net:
    bonds = (
        Bond(((parts[0].name, "d"), (parts[0].name, "a")), ("marked", "back"), box(92, 2, 118, 18)),
        Bond(((parts[0].name, "b"), (parts[0].name, "c")), ("back", "marked"), box(32, 2, 58, 18)),
    )
    return Net("Test <strip> & more", "tray", 0.3, Inside(1, 1, 1), True, Item("block", 1, 1, 1), parts, bonds)


@pytest.fixture
def three() -> Net:
    return net(strip("one"), strip("two", copies=2), strip("three"))


def drawn(**options: bool) -> RecordingPen:
    pen, part = RecordingPen(), strip()
    draw_piece(pen, part, part.pieces[0], net(part).bonds, **options)
    return pen


def test_cuts_are_the_outline_the_holes_and_the_slits() -> None:
    assert sum(map(length, drawn().lines("Cutting"))) == pytest.approx(280 + 40 + 8)


def test_a_valley_is_creased_a_mountain_creased_in_reverse_and_a_roll_is_not_drawn() -> None:
    assert drawn().lines("Creasing") == [((30, 0), (30, 20))]
    assert drawn().lines("ReverseCreasing") == [((60, 0), (60, 20))]


def test_a_fold_that_is_cut_through_is_not_creased() -> None:
    part = strip()
    half = Piece("half", "half", ("a",), box(0, 0, 30, 20))
    pen = RecordingPen()
    draw_piece(pen, part, half, ())
    assert pen.lines("Creasing") == []


def test_glue_is_hatched_on_the_marked_face_and_outlined_in_dots_for_the_back() -> None:
    glue = [r for r in drawn().records if r.layer == "Gluing"]
    solid = [r for r in glue if r.stroke == STROKES["glue"]]
    dotted = [r for r in glue if r.stroke == STROKES["hidden"]]
    assert bounds(p for r in solid for p in r.points) == pytest.approx((92, 2, 118, 18), abs=1.5)
    assert [r.points for r in dotted] == [box(32, 2, 58, 18)]


def test_lines_and_glue_can_be_left_out() -> None:
    assert {r.layer for r in drawn(lines=False).records} == {"Gluing"}
    assert "Gluing" not in {r.layer for r in drawn(glue=False).records}


def test_pieces_lie_in_rows_apart_from_each_other_and_within_the_drawing(three: Net) -> None:
    many = net(*(strip(f"strip {i}") for i in range(12)))
    laid, (w, h) = laid_out(many)
    boxes = [bounds(one.place.ring(one.piece.outline)) for one in laid]
    for i, (x0, y0, x1, y1) in enumerate(boxes):
        assert GAP <= x0 < x1 <= w <= 600 and GAP <= y0 < y1 < h
        assert all(x1 + GAP <= p[0] + 1e-9 or p[2] + GAP <= x0 + 1e-9 or y1 + GAP <= p[1] or p[3] + GAP <= y0 for p in boxes[:i])
    assert [one.piece.name for one in laid] == [f"strip {i}" for i in range(12)]
    assert boxes[0][1] > boxes[-1][1]


def svg_lines(text: str, layer: str) -> list[list[tuple[float, float]]]:
    root = ElementTree.fromstring(text)
    group = next(g for g in root.iter(f"{SVG}g") if g.get("id") == layer)
    trails = [path.attrib["d"].replace("Z", "").strip().lstrip("M").split(" L") for path in group.iter(f"{SVG}path")]
    return [[tuple(map(float, p.split())) for p in trail] for trail in trails]  # type: ignore[misc]


def test_svg_is_in_millimetres_and_has_a_group_for_each_kind_of_line(three: Net) -> None:
    text = svg_of(three)
    root = ElementTree.fromstring(text)
    _, (w, h) = laid_out(three)
    assert root.get("width") == f"{w:g}mm" and root.get("height") == f"{h:g}mm" and root.get("version") == "1.1"
    assert [float(v) for v in root.attrib["viewBox"].split()] == [0, -h, w, h]
    assert [g.get("id") for g in root.iter(f"{SVG}g")] == ["Cutting", "Creasing", "ReverseCreasing", "Gluing", "Legend"]
    assert root.findtext(f"{SVG}title") == three.title


def test_svg_is_true_to_size_and_lies_in_its_view_box(three: Net) -> None:
    outlines = svg_lines(svg_of(three), "Cutting")
    x0, y0, x1, y1 = bounds(outlines[0])
    assert (x1 - x0, y1 - y0) == (120, 20)
    _, (w, h) = laid_out(three)
    assert all(0 <= x <= w and -h <= y <= 0 for trail in outlines for x, y in trail)


def test_svg_words_are_escaped_and_a_part_that_is_made_twice_says_so(three: Net) -> None:
    words = [t.text for t in ElementTree.fromstring(svg_of(three)).iter(f"{SVG}text")]
    assert words == ["one", "two x 2", "three"]
    pen = SvgPen()
    pen.text((0, 0), "a < b & c", 8)
    assert "a &lt; b &amp; c" in pen.document((10, 10))


def test_svg_clips_are_laid_one_in_another() -> None:
    pen = SvgPen()
    with pen.clipped(box(0, 0, 10, 10)), pen.clipped(box(5, 5, 20, 20)):
        pen.path([(0, 7), (20, 7)], STROKES["cut"])
    text = pen.document((20, 20))
    assert '<clipPath id="clip2" clip-path="url(#clip1)">' in text and text.count('clip-path="url(#clip2)"') == 1


def read_dxf(text: str) -> ezdxf.document.Drawing:
    return ezdxf.read(io.StringIO(text))


def test_dxf_is_read_by_another_library_without_a_fault(three: Net) -> None:
    audit = read_dxf(dxf_of(three)).audit()
    assert not audit.errors and not audit.fixes


def test_each_dxf_handle_belongs_to_one_thing_and_every_owner_is_there(three: Net) -> None:
    lines = dxf_of(three).splitlines()
    tags = [(code.strip(), value) for code, value in zip(lines[::2], lines[1::2], strict=True)]
    handles = [v for i, (c, v) in enumerate(tags) if c in ("5", "105") and tags[i - 1] != ("9", "$HANDSEED")]
    assert len(set(handles)) == len(handles)
    assert {v for c, v in tags if c in ("330", "350", "390")} <= {"0", *handles}
    seed = next(v for i, (c, v) in enumerate(tags) if tags[i - 1] == ("9", "$HANDSEED"))
    assert all(int(h, 16) < int(seed, 16) for h in handles)


def test_dxf_is_in_millimetres_with_a_layer_for_each_kind_of_line(three: Net) -> None:
    document = read_dxf(dxf_of(three))
    assert document.header["$INSUNITS"] == 4 and document.dxfversion == "AC1015"
    assert {layer.dxf.name for layer in document.layers} >= set(LAYERS)
    assert document.layers.get("Creasing").dxf.linetype == "VALLEY"
    lengths = [tag.value for tag in document.linetypes.get("MOUNTAIN").pattern_tags.tags if tag.code == 49]
    assert [abs(v) for v in lengths] == pytest.approx(list(STROKES["mountain"].dash)) and all(v < 0 for v in lengths[1::2])


def test_dxf_is_true_to_size(three: Net) -> None:
    space = read_dxf(dxf_of(three)).modelspace()
    outlines = [e for e in space.query('LWPOLYLINE[layer=="Cutting"]') if e.closed and len(e) == 4]
    sizes = [bounds(tuple(p[:2] for p in e.get_points())) for e in outlines]
    assert [(x1 - x0, y1 - y0) for x0, y0, x1, y1 in sizes[::2]] == [pytest.approx((120, 20))] * 3
    creases = space.query('LWPOLYLINE[layer=="Creasing"]')
    assert [math.dist(*(p[:2] for p in e.get_points())) for e in creases] == [pytest.approx(20)] * 3


def test_dxf_and_svg_hold_the_same_cut_lines(three: Net) -> None:
    of_dxf = sorted(tuple((round(p[0], 4), round(p[1], 4)) for p in e.get_points())
                    for e in read_dxf(dxf_of(three)).modelspace().query('LWPOLYLINE[layer=="Cutting"]'))  # fmt: skip
    assert of_dxf == sorted(tuple((x, -y + 0.0) for x, y in trail) for trail in svg_lines(svg_of(three), "Cutting"))


def test_dxf_keeps_words_of_any_script_in_ascii() -> None:
    pen = DxfPen()
    pen.text((1, 2), "Größe", 10, angle=90)
    text = pen.document((10, 10))
    assert text.isascii()
    word = read_dxf(text).modelspace().query("TEXT").first
    assert decode_dxf_unicode(word.dxf.text) == "Größe" and word.dxf.rotation == pytest.approx(90)


def test_dxf_lines_are_cut_at_a_clip_and_a_strange_dash_gets_a_type_of_its_own() -> None:
    pen = DxfPen()
    with pen.clipped(box(0, 0, 10, 10)):
        pen.path([(-5, 5), (15, 5)], STROKES["ghost"], "Gluing")
    line = read_dxf(pen.document((10, 10))).modelspace().query("LWPOLYLINE").first
    assert [p[:2] for p in line.get_points()] == [(0, 5), (10, 5)] and line.dxf.linetype == "HIDDEN"


def test_the_same_net_gives_the_same_bytes_in_another_process(three: Net) -> None:
    code = (
        "from test_export_drawings import net, strip, svg_of, dxf_of; import hashlib;"
        "n = net(strip('one'), strip('two', copies=2), strip('three'));"
        "print(hashlib.sha256((svg_of(n) + dxf_of(n)).encode()).hexdigest())"
    )
    here = Path(__file__).parent
    path = os.pathsep.join(map(str, (here, here.parent)))
    runs = [
        subprocess.run([sys.executable, "-c", code], env={**os.environ, "PYTHONPATH": path, **more}, capture_output=True, check=True)
        for more in ({"PYTHONHASHSEED": "1", "TZ": "UTC"}, {"PYTHONHASHSEED": "2", "TZ": "Asia/Tokyo"})
    ]
    assert runs[0].stdout == runs[1].stdout != b""

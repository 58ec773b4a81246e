"""The pen that writes DXF: version AC1015 (release 2000), millimetres, one layer a kind of line, ASCII only.

Written by hand from the published DXF reference, so that the same net gives the same bytes: no dates, no
random identities, no machine's fonts. The tests read it back with another library.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import count

from booklet.drawing.flat import draw_net
from booklet.drawing.pen import LAYER_OF, LAYERS, MM_PER_POINT, STROKES, Anchor, Stroke
from booklet.drawing.recording import Placing, shown
from booklet.net import Net
from booklet.plane import Point, Ring

MILLIMETRES = 4
"""Value of $INSUNITS (DXF reference, HEADER section)."""

PLAIN = "0"
"""The layer that every DXF file has; here for what belongs to none."""

CONTINUOUS = "CONTINUOUS"
LAYER_STROKE: dict[str, Stroke] = {layer: STROKES[name] for name, layer in LAYER_OF.items()}
CAP_HEIGHT = 0.714
"""Height of a capital over the letters' size in Noto Sans (its OS/2 table); DXF text is sized by its capitals."""

Tag = tuple[int, object]


class DxfPen(Placing):
    """Collects entities. Fills come out as outlines, haloes not at all; clips are applied to the lines."""

    def __init__(self) -> None:
        super().__init__()
        self._entities: list[list[Tag]] = []
        self._dashes: dict[tuple[float, ...], str] = {STROKES[n].dash: n.upper() for n in ("valley", "mountain", "hidden")}

    def path(self, points: Sequence[Point], stroke: Stroke, layer: str | None = None, closed: bool = False) -> None:
        """A polyline; under a clip its visible parts."""
        ring = self._map.ring(points)
        if not self._clips:
            self._polyline(ring, stroke, layer, closed)
            return
        ends = (*ring[1:], ring[0]) if closed else ring[1:]
        for line in zip(ring, ends, strict=False):
            for part in shown(line, self._clips):
                self._polyline(part, stroke, layer, False)

    def fill(self, rings: Sequence[Ring], grey: float, layer: str | None = None) -> None:
        """An area, as its outlines; a white one hides nothing here and is left out."""
        if grey < 1:
            for ring in rings:
                self.path(ring, STROKES["dimension"], layer, closed=True)

    def text(
        self,
        at: Point,
        words: str,
        size_pt: float,
        anchor: Anchor = "start",
        bold: bool = False,
        angle: float = 0,
        halo: bool = False,
        layer: str | None = None,
    ) -> None:
        """One line of words in the reader's own face."""
        x, y = self._map(at)
        how = {"start": 0, "middle": 1, "end": 2}[anchor]
        self._entities.append(
            [*_entity("TEXT", layer), (100, "AcDbText"), (10, x), (20, y), (30, 0.0), (40, size_pt * MM_PER_POINT * CAP_HEIGHT),
             (1, _ascii(words)), (50, self.turned(angle)), (72, how), (11, x), (21, y), (31, 0.0), (100, "AcDbText")]
        )  # fmt: skip

    def document(self, size_mm: tuple[float, float]) -> str:
        """The whole DXF file for a drawing of this width and height."""
        handles = (f"{n:X}" for n in count(0x30))
        tables, blocks = list(_tables(size_mm, self._dashes, handles)), list(_blocks(handles))
        drawn = [tag for entity in self._entities for tag in _with_handle(entity, next(handles))]
        header = _header(size_mm, next(handles))
        parts: dict[str, list[Tag]] = {
            "HEADER": header, "CLASSES": [], "TABLES": tables, "BLOCKS": blocks, "ENTITIES": drawn, "OBJECTS": _objects(),
        }  # fmt: skip
        tags = [tag for name, content in parts.items() for tag in ((0, "SECTION"), (2, name), *content, (0, "ENDSEC"))]
        return "".join(f"{code:>3}\n{_value(value)}\n" for code, value in (*tags, (0, "EOF")))

    def _polyline(self, points: Sequence[Point], stroke: Stroke, layer: str | None, closed: bool) -> None:
        if len(points) < 2:
            return
        own = [] if LAYER_STROKE.get(layer or "") == stroke else [(6, self._linetype(stroke)), (370, _weight(stroke))]
        corners = [tag for x, y in points for tag in ((10, x), (20, y))]
        shape = [(100, "AcDbPolyline"), (90, len(points)), (70, int(closed)), (43, 0.0)]
        self._entities.append([*_entity("LWPOLYLINE", layer), *own, *shape, *corners])

    def _linetype(self, stroke: Stroke) -> str:
        if not stroke.dash:
            return CONTINUOUS
        return self._dashes.setdefault(stroke.dash, f"DASH{len(self._dashes)}")


def _value(value: object) -> str:
    """Figures with six decimals at most; a real always shows its point, as the format asks."""
    if isinstance(value, float):
        text = f"{value + 0.0:.6f}".rstrip("0")
        return "0.0" if text in ("-0.", "0.") else text + "0" * text.endswith(".")
    return str(value)


def _ascii(words: str) -> str:
    """Other characters as the format's own escapes, sixteen bits each."""
    units = words.encode("utf-16-be")
    codes = (int.from_bytes(units[i : i + 2]) for i in range(0, len(units), 2))
    return "".join(chr(c) if 0x20 <= c < 0x7F else f"\\U+{c:04X}" for c in codes)


def _weight(stroke: Stroke) -> int:
    """Hundredths of a millimetre."""
    return round(stroke.width_mm * 100)


def _entity(kind: str, layer: str | None) -> list[Tag]:
    return [(0, kind), (5, ""), (330, MODEL), (100, "AcDbEntity"), (8, layer or PLAIN)]


def _with_handle(entity: list[Tag], handle: str) -> list[Tag]:
    return [entity[0], (5, handle), *entity[2:]]


MODEL, PAPER = "20", "21"
"""Handles of the two spaces, which entities and blocks name as their owner."""

ROOT, GROUPS, STYLES, PLAIN_STYLE = "10", "11", "12", "13"
"""Handles of the dictionaries, and of the plot style that all layers share."""


def _header(size_mm: tuple[float, float], seed: str) -> list[Tag]:
    w, h = size_mm
    return [
        (9, "$ACADVER"), (1, "AC1015"), (9, "$DWGCODEPAGE"), (3, "ANSI_1252"), (9, "$HANDSEED"), (5, seed),
        (9, "$INSUNITS"), (70, MILLIMETRES), (9, "$MEASUREMENT"), (70, 1), (9, "$LTSCALE"), (40, 1.0),
        (9, "$EXTMIN"), (10, 0.0), (20, 0.0), (30, 0.0), (9, "$EXTMAX"), (10, float(w)), (20, float(h)), (30, 0.0),
    ]  # fmt: skip


def _tables(size_mm: tuple[float, float], dashes: dict[tuple[float, ...], str], handles: Iterator[str]) -> Iterator[Tag]:
    """The nine tables that the version asks for."""
    yield from _table("VPORT", [_view(size_mm)], handles)
    yield from _table("LTYPE", [_linetype("ByBlock", ()), _linetype("ByLayer", ()), _linetype(CONTINUOUS, ()),
                                *(_linetype(name, dash) for dash, name in dashes.items())], handles)  # fmt: skip
    yield from _table("LAYER", [_layer(name, dashes) for name in (PLAIN, *LAYERS)], handles)
    style: list[Tag] = [(0, "STYLE"), (100, "AcDbTextStyleTableRecord"), (2, "Standard"), (70, 0), (40, 0.0), (41, 1.0), (50, 0.0),
             (71, 0), (42, 2.5), (3, "txt"), (4, "")]  # fmt: skip
    yield from _table("STYLE", [style], handles)
    yield from _table("VIEW", [], handles)
    yield from _table("UCS", [], handles)
    yield from _table("APPID", [[(0, "APPID"), (100, "AcDbRegAppTableRecord"), (2, "ACAD"), (70, 0)]], handles)
    yield from _table("DIMSTYLE", [[(0, "DIMSTYLE"), (100, "AcDbDimStyleTableRecord"), (2, "Standard"), (70, 0)]], handles)
    kind = [(0, "BLOCK_RECORD"), (100, "AcDbBlockTableRecord")]
    spaces: list[list[Tag]] = [[*kind, (2, name), (340, "0")] for name in ("*Model_Space", "*Paper_Space")]
    yield from _table("BLOCK_RECORD", spaces, iter((next(handles), MODEL, PAPER)))


def _table(name: str, records: list[list[Tag]], handles: Iterator[str]) -> Iterator[Tag]:
    """A table and its records, each with its handle and owner put in after its kind."""
    owner = next(handles)
    yield from ((0, "TABLE"), (2, name), (5, owner), (330, "0"), (100, "AcDbSymbolTable"), (70, len(records)))
    if name == "DIMSTYLE":
        yield 100, "AcDbDimStyleTable"
    own = 105 if name == "DIMSTYLE" else 5  # the one table whose records keep their handle elsewhere
    for record in records:
        yield from (record[0], (own, next(handles)), (330, owner), (100, "AcDbSymbolTableRecord"), *record[1:])
    yield 0, "ENDTAB"


def _view(size_mm: tuple[float, float]) -> list[Tag]:
    """What a program shows on opening: the whole drawing from above."""
    w, h = map(float, size_mm)
    return [
        (0, "VPORT"), (100, "AcDbViewportTableRecord"), (2, "*Active"), (70, 0), (10, 0.0), (20, 0.0), (11, 1.0), (21, 1.0),
        (12, w / 2), (22, h / 2), (16, 0.0), (26, 0.0), (36, 1.0), (17, 0.0), (27, 0.0), (37, 0.0),
        (40, max(h, w / 1.5, 1.0)), (41, 1.5),
    ]  # fmt: skip


def _linetype(name: str, dash: tuple[float, ...]) -> list[Tag]:
    """Lines are positive, gaps negative."""
    parts = [tag for i, v in enumerate(dash) for tag in ((49, -v if i % 2 else v), (74, 0))]
    named = [(0, "LTYPE"), (100, "AcDbLinetypeTableRecord"), (2, name), (70, 0), (3, "")]
    return [*named, (72, 65), (73, len(dash)), (40, float(sum(dash))), *parts]


def _layer(name: str, dashes: dict[tuple[float, ...], str]) -> list[Tag]:
    stroke = LAYER_STROKE.get(name, STROKES["mark"])
    dash = dashes.get(stroke.dash, CONTINUOUS) if stroke.dash else CONTINUOUS
    return [(0, "LAYER"), (100, "AcDbLayerTableRecord"), (2, name), (70, 0), (62, 7), (6, dash), (370, _weight(stroke)), (390, PLAIN_STYLE)]


def _blocks(handles: Iterator[str]) -> Iterator[Tag]:
    """The two empty blocks that stand for the spaces."""
    for name, owner in (("*Model_Space", MODEL), ("*Paper_Space", PAPER)):
        for kind, marker in (("BLOCK", "AcDbBlockBegin"), ("ENDBLK", "AcDbBlockEnd")):
            yield from ((0, kind), (5, next(handles)), (330, owner), (100, "AcDbEntity"), (8, PLAIN), (100, marker))
            if kind == "BLOCK":
                yield from ((2, name), (70, 0), (10, 0.0), (20, 0.0), (30, 0.0), (3, name), (1, ""))


def _objects() -> list[Tag]:
    """The root dictionary, and in it the groups (none) and the plot styles (one, which changes nothing)."""
    return [
        (0, "DICTIONARY"), (5, ROOT), (330, "0"), (100, "AcDbDictionary"), (281, 1),
        (3, "ACAD_GROUP"), (350, GROUPS), (3, "ACAD_PLOTSTYLENAME"), (350, STYLES),
        (0, "DICTIONARY"), (5, GROUPS), (330, ROOT), (100, "AcDbDictionary"), (281, 1),
        (0, "ACDBDICTIONARYWDFLT"), (5, STYLES), (330, ROOT), (100, "AcDbDictionary"), (281, 1), (3, "Normal"), (350, PLAIN_STYLE),
        (100, "AcDbDictionaryWithDefault"), (340, PLAIN_STYLE),
        (0, "ACDBPLACEHOLDER"), (5, PLAIN_STYLE), (330, STYLES),
    ]  # fmt: skip


def dxf_of(net: Net) -> str:
    """All pieces of a net side by side, true to size, as DXF in mm; ASCII, lines ended by line feeds."""
    pen = DxfPen()
    return pen.document(draw_net(pen, net))

"""The finished file read back by another library, and its lines measured. Millimetres.

A page's content is walked with a stack of settings, as a printer would: what is stroked, where, how wide, in
which layer, as far as a clip shows it. Only straight lines in the page's own content are measured; text and
filled areas are passed over. Made for template pages.
"""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import pairwise
from typing import Any

from pypdf import PdfReader
from pypdf.generic import ContentStream, DictionaryObject

from booklet.drawing.pen import MM_PER_POINT
from booklet.plane import Affine, Line, Point, bounds

Rect = tuple[float, float, float, float]

EVERYWHERE: Rect = (-math.inf, -math.inf, math.inf, math.inf)


@dataclass(frozen=True, slots=True)
class PageBox:
    """A page's size in mm, whether its crop box is the whole page, its turn in degrees and its unit in points."""

    size: tuple[float, float]
    whole: bool
    turned: int
    unit: float


@dataclass(frozen=True, slots=True)
class Segment:
    """A stroked straight line: ends in mm from the page's lower left corner, width and dash in mm."""

    a: Point
    b: Point
    layer: str | None
    width: float
    dash: tuple[float, ...] = ()

    @property
    def line(self) -> Line:
        """Both ends."""
        return self.a, self.b


class FinishedFile:
    """A finished PDF, by its bytes. Raises pypdf's errors for what is no PDF: our own mistake, not a user's."""

    def __init__(self, data: bytes):
        self._reader = PdfReader(io.BytesIO(data), strict=True)

    @property
    def version(self) -> str:
        """The header's version, which the catalog must not lower."""
        catalog = str(self._reader.root_object.get("/Version", "/0.0"))[1:]
        return max(self._reader.pdf_header.removeprefix("%PDF-"), catalog)

    @property
    def title(self) -> str:
        """The document's title."""
        return (self._reader.metadata and self._reader.metadata.title) or ""

    @property
    def print_scaling(self) -> str:
        """What a print dialogue is asked to do: "None" is no scaling, "AppDefault" its own choice."""
        return str(self._entry("/ViewerPreferences").get("/PrintScaling", "/AppDefault"))[1:]

    @property
    def labels(self) -> tuple[str, ...]:
        """The pages' names."""
        return tuple(self._reader.page_labels)

    @property
    def layers(self) -> tuple[str, ...]:
        """The names of all layers."""
        return tuple(str(group.get_object()["/Name"]) for group in self._entry("/OCProperties").get("/OCGs", ()))

    @property
    def attachments(self) -> dict[str, bytes]:
        """The files carried inside, by name."""
        return {name: contents[0] for name, contents in self._reader.attachments.items()}

    @cached_property
    def pages(self) -> tuple[PageBox, ...]:
        """All pages' boxes."""
        return tuple(_box(page) for page in self._reader.pages)

    def lines(self, index: int) -> tuple[Segment, ...]:
        """What is stroked on a page, by its index from 0, in the order of drawing."""
        page = self._reader.pages[index]
        unit = float(page.get("/UserUnit", 1.0)) * MM_PER_POINT
        left, bottom = (float(v) * unit for v in page.mediabox.lower_left)
        contents = page.get_contents()
        if contents is None:
            return ()
        walk = _Walk(Affine(unit, 0, 0, unit, -left, -bottom), _layer_names(page))
        return tuple(walk.through(contents))

    def _entry(self, key: str) -> Any:
        """A dictionary in the catalog, empty when there is none."""
        return self._reader.root_object.get(key, DictionaryObject()).get_object()


def _box(page: Any) -> PageBox:
    unit = float(page.get("/UserUnit", 1.0))
    size = float(page.mediabox.width) * unit * MM_PER_POINT, float(page.mediabox.height) * unit * MM_PER_POINT
    return PageBox(size, list(page.cropbox) == list(page.mediabox), int(page.rotation), unit)


def _layer_names(page: Any) -> dict[str, str]:
    """Property name in the page's resources to the layer's own name."""
    resources = page.get("/Resources", DictionaryObject()).get_object()
    properties = resources.get("/Properties", DictionaryObject()).get_object()
    return {key: str(group.get_object().get("/Name", "")) for key, group in properties.items()}


@dataclass(frozen=True, slots=True)
class _Settings:
    """What `q` keeps and `Q` brings back: the map to mm on the page, the clip there, and the stroke in its own unit."""

    map: Affine
    clip: Rect = EVERYWHERE
    width: float = 1.0
    dash: tuple[float, ...] = ()

    @property
    def scale(self) -> float:
        """Length in mm of one unit, of an even map."""
        return math.sqrt(abs(self.map.a * self.map.d - self.map.b * self.map.c))


@dataclass
class _Walk:
    """The state while a page's operators go by."""

    start: Affine
    names: Mapping[str, str]
    stack: list[_Settings] = field(default_factory=list)
    layers: list[str | None] = field(default_factory=list)
    trails: list[list[Point]] = field(default_factory=list)
    clipping: bool = False

    def __post_init__(self) -> None:
        self.now = _Settings(self.start)

    def through(self, contents: ContentStream) -> Iterator[Segment]:
        """All segments of the page."""
        for operands, operator in contents.operations:
            if act := _ACTS.get(operator):
                act(self, operands)
            elif operator in _PAINTS:
                yield from self._painted(operator)

    def _painted(self, operator: bytes) -> Iterator[Segment]:
        """End the path: stroke it, close it first for some, and take it as a clip if one was asked for."""
        if operator in (b"s", b"b", b"b*"):
            self.close(())
        if operator in _STROKES:
            yield from self._stroked()
        if self.clipping and self.trails:
            self.now = replace(self.now, clip=_within(self.now.clip, bounds(p for trail in self.trails for p in trail)))
        self.clipping, self.trails = False, []

    def _stroked(self) -> Iterator[Segment]:
        layer = next((name for name in reversed(self.layers) if name), None)
        scale = self.now.scale
        width, dash = self.now.width * scale, tuple(v * scale for v in self.now.dash)
        for trail in self.trails:
            for a, b in pairwise(trail):
                if part := _shown(a, b, self.now.clip):
                    yield Segment(*part, layer, width, dash)

    def save(self, _: Any) -> None:
        self.stack.append(self.now)

    def restore(self, _: Any) -> None:
        self.now = self.stack.pop()

    def concat(self, m: Any) -> None:
        self.now = replace(self.now, map=Affine(*map(float, m)).then(self.now.map))

    def set_width(self, value: Any) -> None:
        self.now = replace(self.now, width=float(value[0]))

    def set_dash(self, value: Any) -> None:
        self.now = replace(self.now, dash=tuple(float(v) for v in value[0]))

    def move(self, p: Any) -> None:
        self.trails.append([self._at(p)])

    def line(self, p: Any) -> None:
        self.trails[-1].append(self._at(p))

    def curve(self, p: Any) -> None:
        """A curve counts as the line between its ends: nothing that is measured is curved."""
        self.trails[-1].append(self._at(p[-2:]))

    def rectangle(self, p: Any) -> None:
        x, y, w, h = map(float, p)
        self.trails.append([self._at(q) for q in ((x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y))])

    def close(self, _: Any) -> None:
        if self.trails and self.trails[-1][0] != self.trails[-1][-1]:
            self.trails[-1].append(self.trails[-1][0])

    def clip(self, _: Any) -> None:
        self.clipping = True

    def enter(self, operands: Any) -> None:
        named = str(operands[1]) if len(operands) > 1 and operands[0] == "/OC" else ""
        self.layers.append(self.names.get(named))

    def leave(self, _: Any) -> None:
        self.layers.pop()

    def _at(self, p: Any) -> Point:
        return self.now.map((float(p[0]), float(p[1])))


_ACTS: dict[bytes, Callable[[_Walk, Any], None]] = {
    b"q": _Walk.save, b"Q": _Walk.restore, b"cm": _Walk.concat, b"w": _Walk.set_width, b"d": _Walk.set_dash,
    b"m": _Walk.move, b"l": _Walk.line, b"c": _Walk.curve, b"v": _Walk.curve, b"y": _Walk.curve,
    b"re": _Walk.rectangle, b"h": _Walk.close, b"W": _Walk.clip, b"W*": _Walk.clip,
    b"BDC": _Walk.enter, b"BMC": _Walk.enter, b"EMC": _Walk.leave,
}  # fmt: skip

_STROKES = frozenset((b"S", b"s", b"B", b"B*", b"b", b"b*"))
_PAINTS = _STROKES | {b"f", b"F", b"f*", b"n"}


def _within(outer: Rect, inner: Rect) -> Rect:
    return max(outer[0], inner[0]), max(outer[1], inner[1]), min(outer[2], inner[2]), min(outer[3], inner[3])


def _shown(a: Point, b: Point, clip: Rect) -> Line | None:
    """The part of a line in a rectangle, edges counted in (Liang and Barsky 1984); None when nothing is left.

    A clip that is no upright rectangle counts as the one around it.
    """
    t0, t1 = 0.0, 1.0
    for i in (0, 1):
        step = b[i] - a[i]
        for room, way in ((a[i] - clip[i], -step), (clip[i + 2] - a[i], step)):
            if way == 0:
                if room < 0:
                    return None
            elif way < 0:
                t0 = max(t0, room / way)
            else:
                t1 = min(t1, room / way)
    if t0 >= t1:
        return None
    return _between(a, b, t0), _between(a, b, t1)


def _between(a: Point, b: Point, t: float) -> Point:
    return a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t

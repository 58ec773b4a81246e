"""The pen that writes SVG 1.1: millimetres as user units, one group a kind of line."""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape

from booklet.drawing.flat import draw_net
from booklet.drawing.pen import LAYERS, MM_PER_POINT, Anchor, Stroke
from booklet.drawing.recording import Placing
from booklet.net import Net
from booklet.plane import Affine, Point, Ring

PLAIN = "Drawing"
"""The group of what belongs to no layer; it lies under the others."""

FACE = "Noto Sans, sans-serif"


def number(value: float) -> str:
    """Four decimals of a millimetre at most."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


class SvgPen(Placing):
    """Collects elements by layer. Things in different layers lie in the order of `LAYERS`, not in that of drawing."""

    def __init__(self) -> None:
        super().__init__()
        self._groups: dict[str, list[str]] = {}
        self._cuts: dict[tuple[Ring, ...], int] = {}

    def path(self, points: Sequence[Point], stroke: Stroke, layer: str | None = None, closed: bool = False) -> None:
        """A polyline."""
        if len(points) > 1:
            dash = f' stroke-dasharray="{" ".join(map(number, stroke.dash))}"' if stroke.dash else ""
            look = f'fill="none" stroke="{_colour(stroke.grey)}" stroke-width="{number(stroke.width_mm)}"{dash}'
            self._add(layer, f'<path d="{_trail(self._map.ring(points), closed)}" {look}{self._clip()}/>')

    def fill(self, rings: Sequence[Ring], grey: float, layer: str | None = None) -> None:
        """An area by the even-odd rule."""
        trail = " ".join(_trail(self._map.ring(ring), True) for ring in rings if len(ring) > 2)
        if trail:
            self._add(layer, f'<path d="{trail}" fill="{_colour(grey)}" fill-rule="evenodd" stroke="none"{self._clip()}/>')

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
        """One line of words."""
        size, where = size_pt * MM_PER_POINT, _text_place(self._map(at), self.turned(angle))
        weight = ' font-weight="bold"' if bold else ""
        look = f'font-family="{FACE}" font-size="{number(size)}"{weight} text-anchor="{anchor}"'
        if halo:
            rim = f'stroke="white" stroke-width="{number(size * 0.22)}" stroke-linejoin="round"'
            self._add(layer, f"<text {where} {look} {rim}{self._clip()}>{escape(words)}</text>")
        self._add(layer, f"<text {where} {look}{self._clip()}>{escape(words)}</text>")

    def document(self, size_mm: tuple[float, float], title: str = "") -> str:
        """The whole SVG file for a drawing of this width and height."""
        w, h, top = map(number, (*size_mm, -size_mm[1]))
        box = f'width="{w}mm" height="{h}mm" viewBox="0 {top} {w} {h}"'
        head = f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" {box}>'
        named = [f"<title>{escape(title)}</title>"] if title else []
        order = [layer for layer in (PLAIN, *LAYERS) if layer in self._groups]
        groups = [line for layer in order for line in (f'<g id="{layer}">', *self._groups[layer], "</g>")]
        return "\n".join(['<?xml version="1.0" encoding="UTF-8"?>', head, *named, *self._clip_paths(), *groups, "</svg>", ""])

    def _add(self, layer: str | None, element: str) -> None:
        self._groups.setdefault(layer or PLAIN, []).append(element)

    def _clip(self) -> str:
        """The reference to the clips in force, each told once."""
        if not self._clips:
            return ""
        for n in range(1, len(self._clips) + 1):
            self._cuts.setdefault(self._clips[:n], len(self._cuts) + 1)
        return f' clip-path="url(#{self._name(self._cuts[self._clips])})"'

    def _name(self, n: int) -> str:
        return f"clip{n}"

    def _clip_paths(self) -> list[str]:
        """One clip path for each set of rings; an inner one is itself cut by the one around it."""
        if not self._cuts:
            return []
        found = []
        for rings, n in self._cuts.items():
            outer = f' clip-path="url(#{self._name(self._cuts[rings[:-1]])})"' if len(rings) > 1 else ""
            found.append(f'<clipPath id="{self._name(n)}"{outer}><path d="{_trail(rings[-1], True)}" clip-rule="evenodd"/></clipPath>')
        return ["<defs>", *found, "</defs>"]


FLIP = Affine(d=-1.0)
"""SVG's y runs down; the view box starts at minus the height."""


def _trail(points: Sequence[Point], closed: bool) -> str:
    steps = " L".join(f"{number(x)} {number(y)}" for x, y in FLIP.ring(points))
    return f"M{steps}{' Z' if closed else ''}"


def _text_place(foot: Point, angle: float) -> str:
    x, y = map(number, FLIP(foot))
    turned = f' transform="rotate({number(-angle)} {x} {y})"' if number(angle) != "0" else ""
    return f'x="{x}" y="{y}"{turned}'


def _colour(grey: float) -> str:
    level = round(grey * 255)
    return f"#{level:02x}{level:02x}{level:02x}"


def svg_of(net: Net) -> str:
    """All pieces of a net side by side, true to size, as SVG 1.1 in mm."""
    pen = SvgPen()
    return pen.document(draw_net(pen, net), net.title)


RIM = 1.0
"""mm kept round a drawing within a page, for lines along its edge are half outside it."""


class InlinePen(SvgPen):
    """A pen for a drawing that stands within a page of words: no layers, things lie in the order of drawing.

    `key` begins the ids of what is cut off, so that they are one of a kind in the page.
    """

    def __init__(self, key: str) -> None:
        super().__init__()
        self._key = key

    def path(self, points: Sequence[Point], stroke: Stroke, layer: str | None = None, closed: bool = False) -> None:
        """A polyline."""
        if len(points) > 1:
            dash = f' stroke-dasharray="{" ".join(map(number, stroke.dash))}"' if stroke.dash else ""
            ends = ' stroke-linecap="round"' if stroke.round_ends else ""
            look = f'fill="none" stroke="{_colour(stroke.grey)}" stroke-width="{number(stroke.width_mm)}"{dash}{ends}'
            self._add(None, f'<path d="{_trail(self._map.ring(points), closed)}" {look}{self._clip()}/>')

    def _add(self, layer: str | None, element: str) -> None:
        super()._add(None, element)

    def _name(self, n: int) -> str:
        return f"{self._key}-clip{n}"

    def inline(self, size_mm: tuple[float, float], alt: str) -> str:
        """The element for a drawing of this width and height; `alt`: what it shows, "" for what is for the eye only."""
        w, h, left, top = map(number, (size_mm[0] + 2 * RIM, size_mm[1] + 2 * RIM, -RIM, -size_mm[1] - RIM))
        told = f'role="img" aria-label="{escape(alt, {chr(34): "&quot;"})}"' if alt else 'aria-hidden="true"'
        head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{left} {top} {w} {h}" {told}>'
        named = [f"<title>{escape(alt)}</title>"] if alt else []
        drawn = self._groups.get(PLAIN, [])
        return "".join([head, *named, *self._clip_paths(), '<g stroke-linejoin="round">', *drawn, "</g></svg>"])

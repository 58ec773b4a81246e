"""An open tray whose corners are not cut: each is a web, folded double and glued on the outside of a wall."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet import space
from booklet.errors import refuse
from booklet.fit import Fit
from booklet.net import Inside, Item, Loop, Net, Part
from booklet.plane import Line, Point, Ring, area
from booklet.spec import Option
from booklet.styles.shapes import Limits, Sketch, flap, glue, rectangle, root_of
from booklet.thickness import HEM_CREASE_MOST, Bears, Thickness

NAME = "web-tray"
OPTIONS: tuple[Option, ...] = ()
SUITS = ("damp", "class")
SHOWN = Item("block", 120.0, 90.0, 30.0)
BEARS = Bears()
_APART = 2.0
"""mm: two webs on one wall stay this far from each other (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """Every size that the net is built from, mm, on the ruler grid.

    `along`: the item is longer than wide. `on_ends`: the webs lie on the walls across its longer side.
    """

    card: Thickness
    length: float
    width: float
    height: float
    along: bool
    on_ends: bool
    inside: Inside
    item: Item


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """A web, which is two layers, on each of two walls that face each other: on either axis, as the sizes ask."""
    return {"length": 4, "width": 4, "height": 0}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused for card that cannot be folded double, or where two webs meet."""
    _bears(card)
    count, height = layers(options)["length"], fit.upward(card.inner)
    short = min(fit.read.length, fit.read.width)
    on_ends = 2 * height + _APART <= short
    along = fit.read.length >= fit.read.width
    n_length, n_width = (count, 0) if on_ends == along else (0, count)
    length = fit.across(fit.read.length, card.between(n_length))
    width = fit.across(fit.read.width, card.between(n_width))
    carrying = width if on_ends == along else length
    if 2 * height + _APART > carrying:
        raise refuse(
            "item.height",
            f"webs of {height:.1f} mm would meet on a wall of {carrying:.1f} mm; use a lower item, or write "
            'style = "tray", whose corners have flaps.',
        )
    Limits(fit.grid).room_for_finger("item.length", length if on_ends == along else width)
    inside = Inside(length - card.between(n_length), width - card.between(n_width), height - card.inner)
    return Sizes(card, length, width, height, along, on_ends, inside, fit.item)


def _bears(card: Thickness) -> None:
    """Raises Refused for card in which a crease cannot be folded both ways and double."""
    if card.way != "crease" or card.t > HEM_CREASE_MOST:
        raise refuse(
            "card.caliper",
            f"a corner that is not cut is folded double and both ways, which card of {card.t:g} mm does not bear; use card to "
            f'{HEM_CREASE_MOST:g} mm that is creased, or write style = "tray".',
        )


def net(s: Sizes) -> Net:
    """The tray."""
    part = _part(s)
    walls = {fold.child: fold.parent for fold in part.folds if fold.child.startswith("inner-web")}
    bonds = tuple(bond for web, wall in walls.items() for bond in glue(part, web, wall, ("back", "back")))
    return Net("", NAME, s.card.t, s.inside, False, s.item, (part,), bonds)


def _part(s: Sizes) -> Part:
    """Walls 2 and 4 are the shorter ones."""
    w, d = (s.length, s.width) if s.along else (s.width, s.length)
    sketch = Sketch("box", "box", s.card)
    sketch.panel("base", "base", rectangle(0, 0, w, d))
    edges: tuple[Line, ...] = (((w, 0.0), (0.0, 0.0)), ((w, d), (w, 0.0)), ((0.0, d), (w, d)), ((0.0, 0.0), (0.0, d)))
    walls = {i: flap(edge, s.height) for i, edge in enumerate(edges, 1)}
    for i, outline in walls.items():
        sketch.hinge("base", f"wall-{i}", "wall", outline, root_of(outline))
    for wall in (2, 4) if s.on_ends else (1, 3):
        for beside in (wall % 4 + 1, (wall - 2) % 4 + 1):
            _web(sketch, walls, wall, beside)
    facing = space.identity() if s.along else space.turned((0, 0, 1), 90.0)
    return sketch.part(facing @ space.moved(-w / 2, -d / 2, -s.card.t / 2))


def _web(sketch: Sketch, walls: Mapping[int, Ring], wall: int, beside: int) -> None:
    """The square between two walls, halved by a fold from the corner of the base: the inner half comes to lie on the outside of `wall`."""
    corner = next(point for point in walls[wall][:2] if point in walls[beside][:2])
    own, other = (_above(walls[i], corner) for i in (wall, beside))
    far = (own[0] + other[0] - corner[0], own[1] + other[1] - corner[1])
    number = len(sketch.loops) + 1
    inner, outer = f"inner-web-{number}", f"outer-web-{number}"
    sketch.hinge(f"wall-{wall}", inner, "inner-web", _left(corner, own, far), (corner, own), -180.0)
    sketch.hinge(inner, outer, "outer-web", _left(corner, far, other), (corner, far), 180.0)
    sketch.loops.append(Loop((outer, f"wall-{beside}"), (corner, other)))


def _above(wall: Ring, corner: Point) -> Point:
    """The corner of a wall's rim over a corner of its root."""
    return wall[3] if corner == wall[0] else wall[2]


def _left(*ring: Point) -> Ring:
    """A ring run anticlockwise."""
    return ring if area(ring) > 0 else ring[::-1]

"""Corners that are not cut: the square between two walls is a web, folded double and glued on the outside of a wall. Millimetres."""

from __future__ import annotations

from collections.abc import Mapping

from booklet.errors import refuse
from booklet.net import Bond, Loop, Part
from booklet.plane import Point, Ring, area
from booklet.styles import trays
from booklet.styles.shapes import Sketch, flap, glue, rectangle, root_of
from booklet.thickness import HEM_CREASE_MOST, Thickness


def bears(card: Thickness) -> None:
    """Raises Refused for card in which a crease cannot be folded both ways and double."""
    if card.way != "crease" or card.t > HEM_CREASE_MOST:
        raise refuse(
            "card.caliper",
            f"a corner that is not cut is folded double and both ways, which card of {card.t:g} mm does not bear; use card to "
            f'{HEM_CREASE_MOST:g} mm that is creased, or write style = "tray".',
        )


def raised(sketch: Sketch, w: float, d: float, height: float, on_ends: bool) -> None:
    """A base of w by d with a wall on each side and a web at each corner; `on_ends`: the webs lie on walls 2 and 4, else on 1 and 3."""
    sketch.panel("base", "base", rectangle(0, 0, w, d))
    walls = {i: flap(edge, height) for i, edge in trays.edges(w, d).items()}
    for i, outline in walls.items():
        sketch.hinge("base", f"wall-{i}", "wall", outline, root_of(outline))
    for wall in (2, 4) if on_ends else (1, 3):
        for beside in (wall % 4 + 1, (wall - 2) % 4 + 1):
            _web(sketch, walls, wall, beside)


def held(part: Part) -> tuple[Bond, ...]:
    """The bonds of the webs on the outside of the walls on which they hang."""
    walls = {fold.child: fold.parent for fold in part.folds if fold.child.startswith("inner-web")}
    return tuple(bond for web, wall in walls.items() for bond in glue(part, web, wall, ("back", "back")))


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

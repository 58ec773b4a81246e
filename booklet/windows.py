"""Windows: openings in panels, cut only where no fold, no edge, no glue and no other card is. Millimetres, seen upright from outside.

A window is a hole in its panel. Film is no part of the net: its size is told.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import proof, space
from booklet.check import Check, at_least
from booklet.errors import Refused, refuse
from booklet.folding import folder
from booklet.grid import Grid
from booklet.net import Net, Panel, Part
from booklet.plane import Point, Ring, area, bounds
from booklet.proof import Solid
from booklet.replay import final_places
from booklet.spec import Window
from booklet.styles.tables import circle
from booklet.thickness import lid_slip
from booklet.tolerance import COMPUTED, SAME_POINT

Vector = NDArray[np.float64]

MARGIN = 6.0
"""mm of card that stay round a window (common practice, no source)."""

FILM_MARGIN = 10.0
"""mm by which film is larger than its window on each side, to be glued there (common practice, no source)."""

_NEAR = 4.0
"""In calipers, besides the play of a lid: parallel card so near to a panel covers it, or shows in its window."""

_NAMED = 10
"""So many panels are named where none is meant, the largest first."""

_MOSTLY = 0.6
"""Cosine of the angle within which a panel looks to a side of the box (chosen by us): that of a hexagon's walls is 0.5 to two of them."""

_SIDES = {"left": (0, -1.0), "right": (0, 1.0), "front": (1, -1.0), "back": (1, 1.0), "top": (2, 1.0)}


@dataclass(frozen=True, slots=True)
class Film:
    """A piece of film to cut, mm."""

    width: float
    height: float


def film_of(window: Window, grid: Grid) -> Film | None:
    """The film that goes behind a window, by a round figure larger on each side; None where none is asked for."""
    more = 2 * film_margin(grid)
    return Film(window.width + more, window.height + more) if window.film else None


def film_margin(grid: Grid) -> float:
    """`FILM_MARGIN` as a round figure in the units of a ruler, mm."""
    return grid.default(FILM_MARGIN, 3 / 8)


def margin(window: Window) -> float:
    """How far a window stays from folds, edges, glue and other card, mm: with film, what that needs to be glued on."""
    return FILM_MARGIN if window.film else MARGIN


# -- cutting it out ---------------------------------------------------------------------------------------------------


def cut_out(net: Net, window: Window | None) -> Net:
    """The net, marked on the inside, with the window as a hole in its panel. Raises Refused where no one panel is named."""
    if window is None:
        return net
    part, panel = panel_of(net, window.panel)
    holed = replace(panel, holes=(*panel.holes, _ring(part, panel, window)))
    panels = tuple(holed if one.name == panel.name else one for one in part.panels)
    return replace(net, parts=tuple(replace(part, panels=panels) if one.name == part.name else one for one in net.parts))


def panel_of(net: Net, told: str) -> tuple[Part, Panel]:
    """The panel that is meant by its name, its role where it is the only one, or the side of the box. Raises Refused."""
    part, panel = meant(net, told, "window.panel")
    if sum(one.body == panel.body for one in part.panels) > 1:
        raise refuse("window.panel", f"{told!r} is rolled or bent, and a window would kink it; name a flat panel.")
    return part, panel


def meant(net: Net, told: str, where: str) -> tuple[Part, Panel]:
    """As `panel_of`, for any panel; one of a smooth face stands for all of it. Raises Refused with the key that it was told by."""
    name = "-".join(told.lower().split())
    pairs = [(part, panel) for part in net.parts if part.role != "insert" for panel in part.panels]
    if not pairs:
        raise refuse(where, f"{told!r} is no panel: an insert alone has no outside; take it out, or write the style of a box.")
    found = [pair for pair in pairs if pair[1].name == name] or [pair for pair in pairs if pair[1].role == name]
    if not found and name in _SIDES:
        found = _on_side(net, *_SIDES[name])
    if len({(part.name, panel.body or panel.name) for part, panel in found}) != 1:
        large = sorted(found or pairs, key=lambda pair: -abs(area(pair[1].outline)))
        names = ", ".join(dict.fromkeys(panel.name for _, panel in large[:_NAMED]))
        what = f"{told!r} is {len(found)} panels" if found else f"{told!r} is no panel of this box"
        raise refuse(where, f"{what}; write one of {names}, or a side: {', '.join(_SIDES)}.")
    return found[0]


def _on_side(net: Net, axis: int, sign: float) -> list[tuple[Part, Panel]]:
    """The largest of the panels that look most to a side of the closed box, where any look there more than elsewhere."""
    centre, places = np.array([0.0, 0.0, net.inside.height / 2]), final_places(net)
    found = []
    for part in net.parts:
        for panel, place in zip(part.panels, places[part.name], strict=True) if part.role != "insert" else ():
            away = float((space.applied(place, space.lifted(panel.outline)).mean(0) - centre) @ place[:3, 2])
            looks = round(float(place[axis, 2]) * sign * math.copysign(1.0, away), 3)
            if looks > _MOSTLY:
                found.append((-looks, -abs(area(panel.outline)), part, panel))
    return [(part, panel) for _, _, part, panel in sorted(found, key=lambda one: one[:2])[:1]]


def _axes(part: Part, panel: Panel) -> tuple[Vector, Vector]:
    """The directions to the right and up on a panel as seen from outside, in its flat frame; its marked face is inside."""
    turn = folder(part).stood[folder(part).index[panel.name]][:3, :3]
    out = -turn[:, 2]
    up = np.array([0.0, 0.0, 1.0]) if abs(float(out[2])) < 0.9 else np.array([0.0, 1.0, 0.0])
    up = up - out * float(up @ out)
    up /= np.sqrt(float(up @ up))
    return (turn.T @ np.cross(up, out))[:2], (turn.T @ up)[:2]


def _ring(part: Part, panel: Panel, window: Window) -> Ring:
    """The window's outline in the flat, anticlockwise, about the middle of the box round its panel."""
    right, up = _axes(part, panel)
    seen = np.array(panel.outline) @ np.array([right, up]).T
    middle = (seen.min(0) + seen.max(0)) / 2 + np.array([window.right, window.up])
    points = [(middle[0] + x) * right + (middle[1] + y) * up for x, y in _outline(window)]
    ring = shapely.Polygon([(round(float(x), 9) + 0.0, round(float(y), 9) + 0.0) for x, y in points])
    return tuple((float(x), float(y)) for x, y in shapely.geometry.polygon.orient(ring).exterior.coords[:-1])


def _outline(window: Window) -> Sequence[Point]:
    """The window upright, its middle at the origin."""
    x, y = window.width / 2, window.height / 2
    if window.shape == "round":
        return circle(x)
    if window.shape == "rectangle":
        return (-x, -y), (x, -y), (x, y), (-x, y)
    arc = [(a, b) for a, b in circle(x, (0.0, y - x)) if b > y - x - SAME_POINT]
    return ((-x, -y), (x, -y), *arc) if window.height > window.width / 2 + SAME_POINT else arc


# -- proof ------------------------------------------------------------------------------------------------------------


def allowed(net: Net, window: Window | None) -> Net:
    """The net. Raises Refused where its window comes too near to a fold, an edge, glue or other card."""
    if window is not None:
        far, what = clear(net, window)
        if far < margin(window) - SAME_POINT:
            told = f"the window comes within {far:.1f} mm of {what}" if far > 0 else f"the window reaches {what}"
            needs = "which film needs to be glued on" if window.film else "which the card needs to hold"
            way = "make it smaller, shift it, or name another panel"
            raise refuse("window.panel", f"{told}; {margin(window):g} mm have to stay, {needs}: {way}.")
    return net


def clear(net: Net, window: Window) -> tuple[float, str]:
    """How far a window is from what is nearest to it, mm, and what that is; 0 where it reaches it."""
    part, panel, ring = _found(net, window)
    opening = shapely.Polygon(ring)
    if not shapely.Polygon(panel.outline).contains(opening):
        x0, y0, x1, y1 = bounds(panel.outline)
        return 0.0, f"beyond its panel of {x1 - x0:.1f} x {y1 - y0:.1f} mm"
    near = [(float(opening.distance(shape)), what) for shape, what in _around(net, part, panel, ring)]
    return min(near, key=lambda one: one[0])


def _found(net: Net, window: Window) -> tuple[Part, Panel, Ring]:
    """The panel with the window, and the window itself. Raises Refused where the panel was parted to fit the card."""
    parted = refuse("window.panel", "its panel is larger than the card and joined of two; use larger card or another panel.")
    try:
        part, panel = panel_of(net, window.panel)
    except Refused:
        raise parted from None
    if not panel.holes:
        raise parted
    return part, panel, panel.holes[-1]


def _around(net: Net, part: Part, panel: Panel, ring: Ring) -> Iterator[tuple[Any, str]]:
    """What a window must stay away from, in the panel's flat frame, each with what it is called."""
    for fold in part.folds:
        if panel.name in (fold.parent, fold.child):
            yield shapely.LineString(fold.line), f"the fold to {fold.child if fold.parent == panel.name else fold.parent}"
    yield shapely.LinearRing(panel.outline), "an edge of the panel"
    yield from ((shapely.Polygon(hole), "another opening") for hole in panel.holes if hole is not ring)
    for piece in part.pieces:
        yield from ((shapely.LineString(slit), "a slit") for slit in piece.slits if panel.name in piece.panels)
    yield from _covers(net, part, panel)


def _covers(net: Net, part: Part, panel: Panel) -> Iterator[tuple[Any, str]]:
    """Other panels that lie on the panel, glued or not, or so near beside it that they cover it or show."""
    places = final_places(net)
    own = places[part.name][folder(part).index[panel.name]]
    i = net.inside
    near = _NEAR * net.caliper + lid_slip(max(i.length, i.width, i.height)) + 1.6
    for other in net.parts:
        for name, outline, place in zip(folder(other).index, folder(other).outlines, places[other.name], strict=True):
            seen = space.applied(space.relative(place, own), outline)
            if (other.name, name) != (part.name, panel.name) and float(np.abs(seen[:, 2]).max()) < near:
                shape = shapely.Polygon(seen[:, :2])
                if shape.area > SAME_POINT:
                    yield shape, f"{name}, which lies on the panel"


def checks(solid: Solid, window: Window | None) -> list[Check]:
    """What is to be proven of a net with a window: it touches nothing, and the box is closed but for it. None without one."""
    if window is None:
        return []
    net = solid.net
    part, panel, _ = _found(net, window)
    whole = replace(panel, holes=panel.holes[:-1])
    panels = tuple(whole if one.name == panel.name else one for one in part.panels)
    filled = replace(net, parts=tuple(replace(part, panels=panels) if one.name == part.name else one for one in net.parts))
    far, what = clear(net, window)
    text = f"The window stays clear of folds, edges, glue and other card; nearest is {what}."
    return [*proof.walls(Solid(filled, solid.played)), at_least("window.clear", far + COMPUTED, margin(window), "mm", text)]

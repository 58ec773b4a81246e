"""Trays: a base with walls on its four sides, the corners held by flaps inside; turned over it is a lid. Millimetres.

Sides 1 to 4 of a base are the lower, right, upper and left one in the flat: 1 and 3 the long ones, 2 and 4 the short ones.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet import space
from booklet.errors import refuse
from booklet.fit import Fit
from booklet.net import Bond, Carrier, Inside, Note, Part
from booklet.plane import Line, Point, Ring
from booklet.space import Matrix
from booklet.spec import Option
from booklet.styles.shapes import LEAST_FLAP, Limits, Sketch, corner_flaps, corner_partners, flap, glue, on_grid, rectangle, root_of
from booklet.thickness import Thickness, lid_slip
from booklet.tolerance import FINGER

FLAPS = (Option("glue_flap", "length", 12.0, 0.5, least_mm=5.0), Option("taper", "length", 3.0, 1 / 8))
NOTCH = Option("notch", "length", 10.0, 3 / 8, most_mm=20.0)
LAYERS = {"length": 2, "width": 2, "height": 0}

_STRIP = 0.25
"""mm: what the slanted ends of a flap take of a strip of the least width, at most."""

_CHORDS = 24
BESIDE = 5.0
"""mm: what a notch leaves of a rim on each side of it (chosen by us)."""

_DEEP = 0.5
"""How much of a wall's height a notch takes at most (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Sides:
    """Four sides round a base: `long` and `short` fold to fold, `height` fold to rim, mm, on the ruler grid.

    `turned`: the long sides lie along the item's width. `flap`, `taper`: depth and taper of the corner flaps; `on_ends`: these lie on
    the short sides, else on the long ones.
    """

    card: Thickness
    long: float
    short: float
    turned: bool
    height: float
    flap: float
    taper: float
    on_ends: bool

    @property
    def carriers(self) -> tuple[int, int]:
        """The sides that carry the corner flaps; no flap lies on these."""
        return (1, 3) if self.on_ends else (2, 4)

    @property
    def layers(self) -> tuple[int, int]:
        """Corner flaps inside each side across the long and across the short axis."""
        return int(self.on_ends), int(not self.on_ends)

    @property
    def facing(self) -> Matrix:
        """The turn that brings the long sides along the item's longer side."""
        return space.turned((0, 0, 1), 90.0) if self.turned else space.identity()


def is_narrow(across: tuple[float, float]) -> bool:
    """Whether the long sides stand too near for a finger between them: then the flaps lie on the short ones."""
    return min(across) < FINGER


def sides(
    limits: Limits, card: Thickness, across: tuple[float, float], height: float, options: Mapping[str, Any], most: float = math.inf
) -> Sides:
    """The sides of a tray, `across` its length and width fold to fold; corner flaps at most `most` deep and short of each other.

    The walls on which flaps lie must leave room for a finger between them. Raises Refused where they do not, or where a flap has no room.
    """
    long, short = max(across), min(across)
    narrow = is_narrow(across)
    limits.room_for_finger("item.length", long)
    room = min(most, (short if narrow else long) / 2 - max(1.0, 2 * card.t))
    depth = limits.shorten("glue_flap", on_grid(limits.grid, options, "glue_flap"), room)
    taper = limits.taper("taper", on_grid(limits.grid, options, "taper"), height)
    holds(card, height, taper)
    return Sides(card, long, short, across[1] > across[0], height, depth, taper, narrow)


def holds(card: Thickness, height: float, taper: float, where: str = "item.height") -> None:
    """Raises Refused, naming the key `where`, for a side of a height, mm, that is too low for a corner flap that holds."""
    least = LEAST_FLAP + _STRIP + card.set_in(1) + taper
    if height < least:
        raise refuse(
            where,
            f"a side of {height:.1f} mm is too low for the corner flaps, which need {least:.1f} mm; "
            + ("use more headroom, thinner card or a larger item." if where == "item.height" else "ask for more or use thinner card."),
        )


def notch(limits: Limits, options: Mapping[str, Any], most: float, height: float) -> float:
    """Radius of the half-round notch in the rim of a wall of some height, mm: as asked, smaller, or 0 where it has no room."""
    asked = on_grid(limits.grid, options, "notch")
    got = min(asked, limits.grid.down(max(0.0, min(most, height * _DEEP))))
    got = got if got >= LEAST_FLAP else 0.0
    if got < asked:
        limits.notes.append(Note("notch", asked, got))
    return got


def across(fit: Fit, card: Thickness) -> tuple[float, float]:
    """Length and width of a tray fold to fold, mm: a flap on each wall, a corner flap or that of a wall that is cut off to fit the card."""
    return fit.across(fit.read.length, card.between(2)), fit.across(fit.read.width, card.between(2))


def inside(card: Thickness, sizes: tuple[float, float], height: float) -> Inside:
    """What stays free in a tray that is `sizes` mm across, as `across` has it, to a height over its floor."""
    return Inside(sizes[0] - card.between(2), sizes[1] - card.between(2), height)


def lid_over(card: Thickness, base: float, layers: int, longest: float, slip: float = 0.0) -> float:
    """Least fold-to-fold size of a lid, as `card.lid_size`, with at least `slip` mm of play."""
    return card.lid_size(base, layers, longest) + max(0.0, slip - lid_slip(longest))


def edges(w: float, d: float) -> dict[int, Line]:
    """The four sides of a base of w by d from the origin, each run so that its outside is to the left."""
    corners = ((w, 0.0), (0.0, 0.0)), ((w, d), (w, 0.0)), ((0.0, d), (w, d)), ((0.0, 0.0), (0.0, d))
    return dict(enumerate(corners, 1))


def raised(
    sketch: Sketch,
    s: Sides,
    roles: tuple[str, str],
    carrier: Carrier | None,
    notches: Mapping[int, float] | None = None,
    heights: Mapping[int, float] | None = None,
) -> None:
    """A base with a wall on each side, and the corner flaps; `roles` of base and walls, which are named by them.

    `carrier`: who carries the glue flap where a wall is cut off. `notches`: radius of the notch in the middle of a wall's rim, mm;
    `heights`: of walls that are higher than their flaps, mm.
    """
    (base, role), lines = roles, edges(s.long, s.short)
    sketch.panel(base, base, rectangle(0, 0, s.long, s.short))
    for i, line in lines.items():
        outline, radius = flap(line, (heights or {}).get(i, s.height)), (notches or {}).get(i, 0.0)
        sketch.hinge(base, f"{role}-{i}", role, notched(outline, radius) if radius else outline, line, carrier=carrier)
    corner_flaps(sketch, [f"{role}-{i}" for i in s.carriers], [flap(lines[i], s.height) for i in s.carriers], s.flap, s.taper)


def notched(outline: Ring, radius: float) -> Ring:
    """A wall with a half-round notch in the middle of its free edge."""
    a, b, (cx, cy), (dx, dy) = outline
    mx, my, long = (cx + dx) / 2, (cy + dy) / 2, math.hypot(dx - cx, dy - cy)
    ux, uy = (dx - cx) / long * radius, (dy - cy) / long * radius

    def at(k: int) -> Point:
        turn = math.pi * k / _CHORDS
        return mx - ux * math.cos(turn) - uy * math.sin(turn), my - uy * math.cos(turn) + ux * math.sin(turn)

    return a, b, (cx, cy), *(at(k) for k in range(_CHORDS + 1)), (dx, dy)


def held(part: Part, role: str, carriers: tuple[int, int]) -> tuple[Bond, ...]:
    """The bonds of the corner flaps inside the sides beside them."""
    lies_on = corner_partners(role, carriers)
    return tuple(bond for name, side in lies_on.items() for bond in glue(part, name, side, ("back", "marked")))


def standing(s: Sides) -> Matrix:
    """Where the base of a tray lies in the closed box."""
    return s.facing @ space.moved(-s.long / 2, -s.short / 2, -s.card.t / 2)


def turned_over(s: Sides, rim: float) -> Matrix:
    """Where the root of a lid lies on a rim at this height over the inside's floor."""
    return s.facing @ space.moved(-s.long / 2, s.short / 2, rim + s.card.t / 2) @ space.turned((1, 0, 0), 180.0)


def hinged_lid(
    sketch: Sketch, s: Sides, lid: tuple[float, float], rim: float, skirt: float, taper: float
) -> tuple[tuple[str, str], tuple[str, str]]:
    """A lid on wall 3, `rim` mm high, with skirts to the front (1) and at both ends; its corner flaps, each with the skirt that it lies on.

    `lid`: its size along the hinge and across it. The end skirts carry the flaps, so that a finger has room whatever the lid's length.
    """
    out, y = (lid[0] - s.long) / 2, s.short + rim
    left, right, front = -out, s.long + out, y + lid[1]
    sketch.hinge("wall-3", "lid", "lid", rectangle(left, y, right, front), ((0.0, y), (s.long, y)), carrier="parent")
    lines = ((left, front), (right, front)), ((right, front), (right, y)), ((left, y), (left, front))
    for i, line in enumerate(lines, 1):
        sketch.hinge("lid", f"skirt-{i}", "skirt", flap(line, skirt), line, carrier="child")
    clear = s.card.set_in(1)
    ends = ((right, front), (right + skirt, front)), ((left - skirt, front), (left, front))
    for n, (line, set_in) in enumerate(zip(ends, ((clear, 0.0), (0.0, clear)), strict=True)):
        outline = flap(line, s.flap, (taper, taper), set_in)
        sketch.hinge(f"skirt-{n + 2}", f"corner-flap-{n + 5}", "corner-flap", outline, root_of(outline))
    return ("corner-flap-5", "skirt-1"), ("corner-flap-6", "skirt-1")

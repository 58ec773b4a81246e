"""Gussets: halves with a crease between them that fold in where a wallet or a bag is laid flat. Millimetres, degrees.

A gusset is cut free from what is beside it, so its creases are parallel and no card is torn when it moves.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import accumulate

from booklet.errors import refuse
from booklet.net import Bond, Part
from booklet.plane import Ring
from booklet.styles.rings import outward
from booklet.styles.shapes import LEAST_FLAP, Sketch, flap, glue, rectangle, root_of, rounded
from booklet.thickness import Thickness

_OF_DEPTH = 1.1
"""How wide both halves of a bellows' gusset are together, of the depth: they stand at about 115 degrees then (chosen by us)."""

_DEEPEST = 0.4
"""How deep a wallet may be, of its shorter side: deeper ones stand open at the mitred corners (chosen by us, by the share seen open)."""

APART = 1.0
"""mm: between the gussets at the sides and the one at the bottom (chosen by us)."""

TUBE = ("back", "gusset-1", "gusset-2", "front", "gusset-3", "gusset-4")
"""The walls of a bag in the flat, from left to right."""

SPARE = 15.0
"""mm: least height of a bag over the headroom, for the holes (chosen by us)."""

PUNCHED = (0, 3)
"""Those of them, counted from 0, that have holes for handles."""


@dataclass(frozen=True, slots=True)
class Bellows:
    """Gussets of two halves that stand between back and front in a V, its point inward. `depth`: back to front, fold to fold."""

    depth: float
    half: float

    @property
    def angle(self) -> float:
        """The fold angle of each half where the bellows are full; where they lie flat it is 180."""
        return 180.0 - math.degrees(math.asin(self.depth / (2 * self.half)))

    @property
    def crease(self) -> float:
        """The fold angle between the halves, a mountain; where the bellows lie flat it is -180."""
        return 180.0 - 2 * self.angle

    def bears(self, length: float, width: float) -> None:
        """Raises Refused for a back of this size where the gussets are too narrow to fold, or leave its corners open."""
        if self.half < LEAST_FLAP:
            told = f"the gussets would have halves of {self.half:.1f} mm, and under {LEAST_FLAP:g} mm do not fold; use more headroom."
            raise refuse("item.height", told)
        most = _DEEPEST * min(length, width)
        if self.depth > most:
            told = f"a wallet {self.depth:.1f} mm deep stands open at its corners; at this size it may be {most:.1f} mm deep: "
            raise refuse("item.height", told + "use a thinner thing, or a box.")

    def reach(self, card: Thickness) -> float:
        """How far the inner face of the V's point is from the line of the folds on the back, in the full bellows."""
        lean = self.depth / (2 * self.half)
        return self.half * math.sqrt(1 - lean**2) + card.t / 2 / lean


def half_for(depth: float) -> float:
    """The width of one half of a gusset, not yet on the ruler grid."""
    return depth / 2 * _OF_DEPTH


def folded_wallet(sketch: Sketch, body: Bellows, length: float, width: float, glue_flap: float) -> None:
    """Gussets at the bottom and both sides of a panel "back" that lies at (0, 0) to (length, width), and the front below it.

    All are mitred at 45 degrees, for they fold in alike; those at the sides carry flaps for the front.
    """
    g = body.half
    low = flap(((length, 0.0), (0.0, 0.0)), g, (g, g)), flap(((0.0, -2 * g), (length, -2 * g)), g, (g, g))
    sketch.hinge("back", "bottom-gusset-1", "bottom-gusset", low[0], root_of(low[0]), body.angle)
    sketch.hinge("bottom-gusset-1", "bottom-gusset-2", "bottom-gusset", low[1], (low[0][2], low[0][3]), body.crease)
    front = rectangle(0, -2 * g - width, length, -2 * g)
    sketch.hinge("bottom-gusset-2", "front", "front", front, root_of(low[1]), body.angle, carrier="parent")
    for n, x, out in ((1, length, 1.0), (2, 0.0, -1.0)):
        _side(sketch, body, n, x, out, width - sketch.card.t - APART / 2, glue_flap)


def _side(sketch: Sketch, body: Bellows, n: int, x: float, out: float, high: float, glue_flap: float) -> None:
    """The gusset at x; its flap is mitred too, so that it comes clear of the gusset at the bottom."""
    at = [(x + out * k * body.half, APART + body.half * (k == 1)) for k in range(3)]
    names = ("back", f"inner-gusset-{n}", f"outer-gusset-{n}")
    for k, turn in enumerate((body.angle, body.crease)):
        (x0, y0), (x1, y1) = at[k], at[k + 1]
        ring = (x0, y0), (x1, y1), (x1, high), (x0, high)
        sketch.hinge(names[k], names[k + 1], names[k + 1][:-2], ring if out > 0 else ring[::-1], ((x0, y0), (x0, high)), turn)
    edge = (at[2][0], high), (at[2][0], APART)
    tapers = min(3.0, glue_flap / 2), glue_flap
    outline = flap(edge, glue_flap, tapers) if out > 0 else flap(edge[::-1], glue_flap, tapers[::-1])
    sketch.hinge(names[2], f"glue-flap-{n}", "glue-flap", outline, root_of(outline), body.angle)


def closed_by(sketch: Sketch, length: float, width: float, strip: float, tucked: bool, depth: float, radius: float) -> None:
    """A closing panel `strip` deep on the top of the back, and on it a tuck of some depth, or a flap that lies over the front."""
    t = sketch.card.t
    clear = sketch.card.tuck_narrower + (2 * t if tucked else 0.0)
    panel = flap(((0.0, width), (length, width)), strip, set_in=(clear, clear))
    sketch.hinge("back", "closing-top", "closing", panel, root_of(panel))
    slim = max(1.0, t) if tucked else radius
    last = flap((panel[3], panel[2]), depth, (slim, slim))
    name, role = ("tuck-top", "tuck") if tucked else ("closing-flap", "closing-flap")
    sketch.hinge("closing-top", name, role, rounded(last, {2: radius, 3: radius}), root_of(last))


@dataclass(frozen=True, slots=True)
class Tube:
    """The walls of a bag: front and back `length` wide, gussets `width` wide with a crease in the middle. All mm, on the ruler grid."""

    length: float
    width: float
    height: float

    @property
    def edges(self) -> list[float]:
        """x of the walls' edges in the flat, from 0."""
        return [0.0, *accumulate((self.length, self.width / 2, self.width / 2) * 2)]

    def across(self, wall: int) -> tuple[float, float]:
        """x of both edges of a wall of `TUBE`, counted from 0."""
        return self.edges[wall], self.edges[wall + 1]


def tube(
    sketch: Sketch, body: Tube, seam: tuple[float, float], glue_flap: float, taper: float, holes: Mapping[int, tuple[Ring, ...]]
) -> None:
    """The walls, with a glue flap over the height `seam`. A gusset's crease lies flat in the open bag, and may be folded right over."""
    edges, high = body.edges, body.height
    outlines = [rectangle(edges[i], 0.0, edges[i + 1], high) for i in range(6)]
    sketch.panel("front", "front", outlines[3], holes.get(3, ()))
    for near, far in ((3, 2), (2, 1), (1, 0), (3, 4), (4, 5)):
        x, name, creased = edges[max(near, far)], TUBE[far], {near, far} in ({1, 2}, {4, 5})
        sketch.hinge(
            TUBE[near],
            name,
            name.split("-")[0],
            outlines[far],
            ((x, 0.0), (x, high)),
            0.0 if creased else 90.0,
            None if creased else "child",
            over=-180.0 if creased else 0.0,
            holes=holes.get(far, ()),
        )
    edge = flap(((edges[6], seam[1]), (edges[6], seam[0])), glue_flap, (taper, taper))
    sketch.hinge("gusset-4", "glue-flap-1", "glue-flap", edge, root_of(edge))


def based(sketch: Sketch, body: Tube, base: float, base_flap: float, taper: float) -> None:
    """The base of a bag: a panel `base` deep on front and back, and a flap on each half of the gussets."""
    for number, wall in enumerate((1, 2, 4, 5), 1):
        outline = flap(outward(*body.across(wall), 0.0, -1), base_flap, (taper, taper))
        sketch.hinge(TUBE[wall], f"base-flap-{number}", "base-flap", outline, root_of(outline))
    for number, wall in enumerate((3, 0), 1):
        outline = flap(outward(*body.across(wall), 0.0, -1), base)
        sketch.hinge(TUBE[wall], f"base-{number}", "base", outline, root_of(outline))


def hemmed(sketch: Sketch, body: Tube, hem: float, taper: float, holes: Mapping[int, tuple[Ring, ...]]) -> None:
    """A hem on each wall, inward; none where it is 0 deep."""
    for wall, name in enumerate(TUBE) if hem else ():
        outline = flap(outward(*body.across(wall), body.height, 1), hem, (taper, taper))
        sketch.hinge(name, f"hem-{wall + 1}", "hem", outline, root_of(outline), 180.0, holes=holes.get(wall, ()))


def hems_glued(part: Part) -> list[Bond]:
    """Every hem on its wall."""
    hems = [fold for fold in part.folds if fold.child.startswith("hem-")]
    return [bond for fold in hems for bond in glue(part, fold.child, fold.parent, ("marked", "marked"))]


def base_glued(part: Part) -> list[Bond]:
    """The flaps of the gussets first, the front base panel on them, the back one over all."""
    bonds = glue(part, "base-2", "base-1", ("marked", "back"))
    for name in (f"base-flap-{n}" for n in range(1, 5)):
        bonds += glue(part, name, "base-1", ("back", "marked"))
        bonds += glue(part, name, "base-2", ("back", "marked"), 0.0, ["base-1"])
    return bonds


def punched(body: Tube, y: float, across: float) -> dict[int, tuple[Ring, ...]]:
    """Two round holes `across` wide in front and back, a third of their length apart, with their middles at y; none for 0."""
    ways = [2 * math.pi * k / 20 for k in range(20)]
    middles = {wall: [body.across(wall)[0] + body.length * k / 3 for k in (1, 2)] for wall in PUNCHED if across}
    return {
        n: tuple(tuple((x + across / 2 * math.cos(a), y + across / 2 * math.sin(a)) for a in ways) for x in at) for n, at in middles.items()
    }

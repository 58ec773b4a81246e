"""Round walls: a strip rolled to a ring of many narrow facets, and a polygon on toothed flaps that closes one end. Millimetres, degrees.

Rolled truly: the facets are as long as the polygon's sides, so the wall is as long as the way round the polygon.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from booklet.net import Bond, Fold, Part
from booklet.plane import Point, Ring
from booklet.styles.rings import closed_by_flap, ring
from booklet.styles.shapes import LEAST_FLAP, Sketch, flap, glue, root_of

SAGITTA = 0.3
"""mm: how far a facet's middle lies inside the circle through its edges, at most (chosen by us; a hand cuts to 0.5 mm)."""

_FOURS = 4
"""The number of facets is a multiple of this: then a facet stands at right angles to each axis of the box."""

APART = 0.7
"""mm: between teeth, and between a tooth and the polygon in the flat (chosen by us)."""


_CUTS = 8
"""Places along a wall where it may be cut to fit the card (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Round:
    """A wall of `facets` on a regular polygon. `across`: between facets that face each other, fold to fold; `height`: fold to rim."""

    facets: int
    across: float
    height: float
    tooth: float
    glue_flap: float

    @property
    def half(self) -> float:
        """Half the angle that a facet takes up, seen from the axis, in radians."""
        return math.pi / self.facets

    @property
    def width(self) -> float:
        """Width of a facet, which is a side of the polygon."""
        return self.across * math.tan(self.half)

    @property
    def root(self) -> int:
        """The facet, counted from 1, on which the polygon hangs: half-way between the ends of the strip."""
        return self.facets // 2

    def polygon(self) -> Ring:
        """The polygon below the root facet, whose lower edge lies on y = 0; from that edge's right end."""
        x, far = (self.root - 0.5) * self.width, self.across / 2 / math.cos(self.half)
        at = [math.pi / 2 - self.half * (2 * k - 1) for k in range(self.facets)]
        corners = [(x + far * math.cos(a), far * math.sin(a) - self.across / 2) for a in at]
        edge: list[Point] = [(self.root * self.width, 0.0), ((self.root - 1) * self.width, 0.0)]
        return (*edge, *((round(x, 9), round(y, 9)) for x, y in corners[:1:-1]))

    def taper(self, depth: float) -> float:
        """How much shorter a tooth's free edge is at each end: half of a facet's angle, and a little room."""
        return depth * math.tan(self.half) + APART / 2

    def tooth_at(self, facet: int) -> float:
        """How deep the tooth of a facet may be: beside the root facet the polygon is in its way in the flat."""
        aside = (abs(facet - self.root) - 0.5) * self.width
        far, radius = self.across / 2, self.across / 2 / math.cos(self.half)
        corners = [self.half * (2 * k + 1) for k in range(self.facets // 4)]
        if aside >= radius * math.sin(corners[-1]):
            return self.tooth
        edge = np.interp(aside, [radius * math.sin(a) for a in corners], [far - radius * math.cos(a) for a in corners])
        return min(self.tooth, float(edge) - APART)


def facets_for(across: float) -> int:
    """The least number of facets that is a multiple of four and round enough."""
    return _FOURS * math.ceil(math.pi / math.acos(1 - SAGITTA / (across / 2)) / _FOURS)


def rolled(sketch: Sketch, body: Round, wall: str, end: str) -> None:
    """The wall, its teeth and the polygon of role `end`; `wall`: the role of its facets."""
    turn, n = 360.0 / body.facets, body.facets
    seam = ((1.0, body.height), body.glue_flap, min(1.0, body.height / 8))
    edges = ring(sketch, [body.width] * n, [(0.0, body.height)] * n, turn, body.root, seam, "roll", wall)
    sketch.folds[:] = [_may_be_cut(fold, body) for fold in sketch.folds]
    sketch.hinge(f"{wall}.{body.root}", end, end, body.polygon(), root_of(body.polygon()), carrier="child")
    number = 0
    for facet in range(1, n + 1):
        deep = body.tooth_at(facet)
        if facet != body.root and deep >= LEAST_FLAP:
            number += 1
            slim = body.taper(deep)
            outline = flap(((edges[facet], 0.0), (edges[facet - 1], 0.0)), deep, (slim, slim), (APART / 2, APART / 2))
            sketch.hinge(f"{wall}.{facet}", f"tooth-{number}", "tooth", outline, root_of(outline))


def _may_be_cut(fold: Fold, body: Round) -> Fold:
    """A wall that is longer than the card is cut beside some facets, not beside the polygon; more would give no better pieces."""
    if fold.kind != "roll":
        return fold
    facet = int(fold.child.rpartition(".")[2])
    cut = facet % max(1, body.facets // _CUTS) == 0 and abs(facet - body.root) > 1
    return replace(fold, carrier="parent") if cut else fold


def glued(part: Part, wall: str, end: str) -> list[Bond]:
    """The seam of the wall, and the teeth inside the polygon, which comes on to them last."""
    teeth = [panel.name for panel in part.panels if panel.role == "tooth"]
    return [*closed_by_flap(part, f"{wall}.1"), *(bond for tooth in teeth for bond in glue(part, tooth, end, ("back", "marked")))]

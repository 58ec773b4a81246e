"""The closed ends of a ring of walls on a regular polygon: a panel with a tuck flap over dust flaps. Millimetres, degrees.

An even number of sides has a wall that faces the closing panel's fold: the tuck goes down inside it. An odd number has a corner there: the
panel is cut off across it, and a narrow tuck goes down inside the corner.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from booklet.net import Part
from booklet.plane import Line, Point, Ring
from booklet.sliding import lean
from booklet.styles.polygons import exact
from booklet.styles.rings import outward, ring
from booklet.styles.shapes import Sketch, flap, root_of, rounded
from booklet.thickness import Thickness

_CUT_OFF = 0.35
"""Share of a wall's width that the tuck in a corner is wide (chosen by us)."""

_CORNER_TUCK = 14.0
"""mm: no tuck in a corner is wider (chosen by us)."""


@dataclass(frozen=True, slots=True)
class End:
    """How a ring of walls is closed at its ends. `side`: width of a wall; `tuck`, `dust_flap`: depths; `radius`: of their corners, mm."""

    sides: int
    side: float
    card: Thickness
    tuck: float = 0.0
    dust_flap: float = 0.0
    radius: float = 0.0

    @property
    def even(self) -> bool:
        """Whether a wall faces the closing panel's fold."""
        return self.sides % 2 == 0

    @property
    def half(self) -> float:
        """Half the angle that a side takes up, seen from the middle, in radians."""
        return math.pi / self.sides

    @property
    def apothem(self) -> float:
        """From the axis to a wall's fold."""
        return self.side / 2 / math.tan(self.half)

    @property
    def corner_tuck(self) -> float:
        """Width of the closing panel where it is cut off across a corner."""
        return min(_CORNER_TUCK, _CUT_OFF * self.side)

    @property
    def tucked_at(self) -> float:
        """From the axis to the fold of the tuck."""
        if self.even:
            return self.apothem - self.card.t
        return (self.apothem - self.card.tuck_narrower) / math.cos(self.half) - self.corner_tuck / 2 * math.tan(self.half)

    @property
    def facing(self) -> tuple[int, int]:
        """The walls, counted from 1, beside the tuck, where the panel hangs on the last wall."""
        return (self.sides // 2 - 1, self.sides // 2 + 1) if self.even else (self.sides // 2, self.sides // 2 + 1)

    def dusty(self) -> list[int]:
        """The walls with dust flaps: neither the one that the closing panel hangs on, nor the one opposite or across the corner."""
        return [wall for wall in range(1, self.sides) if wall != self.facing_wall]

    @property
    def facing_wall(self) -> int:
        """The wall inside which the tuck lies; in an odd number the one beside its corner that has a crease in its middle."""
        return self.sides // 2 + self.sides % 2

    @property
    def widths(self) -> list[float]:
        """Widths of the panels of the ring. An odd one folds flat along the middle of the wall opposite its seam."""
        plain = [self.side] * self.sides
        return plain if self.even else [*plain[: self.facing_wall - 1], self.side / 2, self.side / 2, *plain[self.facing_wall :]]

    @property
    def barred(self) -> bool:
        """Whether a glue flap beside the tuck would stand in its way; it then ends short of the tucks."""
        return self.sides == 4 and self.card.inner + self.card.t > self.card.tuck_narrower

    def most_tuck(self, height: float, taper: float) -> float:
        """The deepest tuck in a carton of this height: off the other tuck, the glue flap with its taper, and the panel's own fold."""
        return min(height / 2 - self.card.t - (taper + 3.0 if self.barred else 1.0), self.apothem + self.tucked_at - self.card.t)

    def place(self, wall: int) -> int:
        """The number of a wall's panel in the ring, counted from 1: one more behind the wall that is two."""
        return wall + (not self.even and wall > self.facing_wall)

    def set_ins(self, wall: int) -> tuple[float, float]:
        """How far a dust flap's root starts from both ends of its wall, left and right in the flat with its wall upright."""
        plain, before, after = self.card.tuck_narrower, *self.facing
        return (self._past_tuck() if wall == after else plain, self._past_tuck() if wall == before else plain)

    def _past_tuck(self) -> float:
        """Along a wall from its corner at the tuck to where nothing is in the tuck's way while it slides in."""
        t = self.card.t
        past = max(1.5 * t + 0.5, t + lean(self.apothem + self.tucked_at, self.tuck) + 0.2)
        if self.even:
            return past / math.sin(2 * self.half)
        return (self.apothem / math.cos(self.half) - self.tucked_at + past) / math.sin(self.half)

    def slim(self, wall: int) -> tuple[float, float]:
        """How much shorter a dust flap's free edge is for each mm of depth, left and right, so that those of all walls do not overlap.

        Common practice, no source: a taper of 90 degrees less half the corner angle. Beside the closing panel more, to lie out of its way
        in the flat: it spreads beyond its wall.
        """
        plain, beside = math.tan(self.half), 1 / math.tan(2 * self.half) if self.sides > 4 else 0.0
        return plain, max(plain, beside) if wall == self.sides - 1 else plain

    def most_dust(self) -> float:
        """The deepest dust flap with a free edge of 3 mm that stays off the axis, on the wall that has least room."""
        return min(self.apothem - 1.0, *((self.side - sum(self.set_ins(wall)) - 3.0) / sum(self.slim(wall)) for wall in self.dusty()))

    def panel(self, edge: Line) -> tuple[Ring, Line]:
        """The closing panel on a wall's end that runs with the outside to its left, and the fold of its tuck."""
        (ax, ay), (bx, by) = edge
        ux, uy = (bx - ax) / self.side, (by - ay) / self.side
        middle = ((ax + bx) / 2 - uy * self.apothem, (ay + by) / 2 + ux * self.apothem)
        around = [(2 * self.half * k, self.apothem - self.card.tuck_narrower) for k in range(self.sides)]
        around[0] = (0.0, self.apothem)
        far = (math.pi, self.tucked_at)
        if self.even:
            around[self.sides // 2] = far
        else:
            around.insert(self.sides // 2 + 1, far)
        corners = [_meet(one, other) for one, other in zip(around, (*around[1:], around[0]), strict=True)]
        ring = exact(tuple((middle[0] + ux * x - uy * y, middle[1] + uy * x + ux * y) for x, y in (corners[-1], *corners[:-1])))
        at = around.index(far)
        return ring, (ring[(at + 1) % len(ring)], ring[at])


def _meet(one: tuple[float, float], other: tuple[float, float]) -> Point:
    """Where two lines meet, each told by how far it is turned from the lowest one, anticlockwise in radians, and its distance."""
    (a, p), (b, q) = ((angle - math.pi / 2, off) for angle, off in (one, other))
    det = math.sin(b - a)
    return (p * math.sin(b) - q * math.sin(a)) / det, (q * math.cos(a) - p * math.cos(b)) / det


def wrap(sketch: Sketch, end: End, height: float, glue_flap: float, taper: float) -> list[float]:
    """The ring of walls, its root the last one; x of the panels' edges. `glue_flap`: its depth."""
    t, widths = end.card.t, end.widths
    dusty = {end.place(wall) for wall in end.dusty()}
    numbers = range(1, len(widths) + 1)
    spans = [(t, height - t) if panel in dusty else (0.0, height) for panel in numbers]
    creased = 0 if end.even else end.facing_wall
    turns = [0.0 if panel == creased else 360.0 / end.sides for panel in numbers]
    low = end.tuck + t if end.barred else 2 * t
    edges = ring(sketch, widths, spans, turns, len(widths), ((low, height - low), glue_flap, taper))
    # flat in the closed box, it is folded right over while the ring is glued; a wall is not cut in its middle
    sketch.folds = [fold if fold.angle else replace(fold, over=180.0, carrier=None) for fold in sketch.folds]
    return edges


def counted(part: Part, end: End) -> Part:
    """The part with its walls counted as a maker counts them: both panels of a wall that has a crease in its middle have its number."""
    if end.even:
        return part
    at = end.facing_wall
    said = {f"wall-{n}": f"wall-{at}{'ab'[n - at]}" if n in (at, at + 1) else f"wall-{n - (n > at)}" for n in range(1, end.sides + 2)}
    named = {panel.name: said.get(panel.name, panel.name) for panel in part.panels}
    panels = tuple(replace(panel, name=named[panel.name], body=named.get(panel.body, panel.body)) for panel in part.panels)
    folds = tuple(
        replace(f, name="/".join(named[n] for n in f.name.split("/")), parent=named[f.parent], child=named[f.child]) for f in part.folds
    )
    return replace(part, root=named[part.root], panels=panels, folds=folds)


def closed_end(sketch: Sketch, end: End, name: str, edges: list[float], y: float, up: float) -> None:
    """The closing panel on the last wall with its tuck, and dust flaps one caliper below it. `up`: 1 at the top, -1 at the bottom."""
    t = end.card.t
    outline, fold = end.panel(outward(edges[-2], edges[-1], y, up))
    sketch.hinge(f"wall-{end.place(end.sides)}", f"closing-{name}", "closing", outline, root_of(outline), carrier="child")
    slim = max(1.0, t)
    tuck = exact(flap(fold, end.tuck, (slim, slim)))
    sketch.hinge(f"closing-{name}", f"tuck-{name}", "tuck", rounded(tuck, {2: end.radius, 3: end.radius}), root_of(tuck))
    first = sum(panel.role == "dust-flap" for panel in sketch.panels)
    for number, wall in enumerate(end.dusty(), first + 1):
        left, right = end.set_ins(wall)
        before, after = (end.dust_flap * share for share in end.slim(wall))
        at = end.place(wall)
        line = outward(edges[at - 1], edges[at], y - up * t, up)
        tapers, set_in = ((before, after), (left, right)) if up > 0 else ((after, before), (right, left))
        outline = flap(line, end.dust_flap, tapers, set_in)
        sketch.hinge(f"wall-{at}", f"dust-flap-{number}", "dust-flap", outline, root_of(outline))

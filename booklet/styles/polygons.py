"""Regular polygons with a wall on each side: trays that lean or stand upright, and what fits into them. Millimetres, degrees.

Wall 1 is the front one, the others follow anticlockwise as seen from above. Sizes are fold to fold: the folds lie in one skin of the
card, `Thickness.inner` under the inner faces, and there they make a solid with no thickness.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import shapely

from booklet import space
from booklet.errors import Refused, refuse
from booklet.fit import Fit
from booklet.net import Bond, Carrier, Inside, Item, Part
from booklet.plane import Line, Point, Ring, side
from booklet.styles.shapes import LEAST_FLAP, Limits, Sketch, flap, glue, root_of
from booklet.thickness import Thickness
from booklet.tolerance import FINGER

Flaps = tuple[tuple[int, int], ...]
"""(wall that carries a flap, wall inside which it lies)."""

_ROOM = 3.0
"""Degrees: a flap stays this far from the next wall in the flat (chosen by us)."""

_STEEP = 1.0
"""Height of a pyramid over its apothem, at least (chosen by us)."""

_SPARE = 0.5
"""mm: how much farther than it must a flap reaches out of a sharp corner (chosen by us)."""

_FREE_EDGE = 0.25
"""Share of a flap's root that its free edge has at least (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Frustum:
    """A regular polygon with like walls on its sides.

    `foot`, `rim`: width of a wall at the base and at its other end; `slant`: the height of a wall in its own plane; `turn`: how far wall 1
    is turned from the front, anticlockwise.
    """

    sides: int
    foot: float
    rim: float
    slant: float
    turn: float = 0.0

    @property
    def half(self) -> float:
        """Half the angle that a side takes up, seen from the middle, in radians."""
        return math.pi / self.sides

    @property
    def apothem(self) -> float:
        """From the middle of the base to its sides."""
        return self.foot / 2 / math.tan(self.half)

    @property
    def out(self) -> float:
        """How far the rim stands out beyond the foot; negative where the walls lean inward."""
        return (self.rim - self.foot) / 2 / math.tan(self.half)

    @property
    def rise(self) -> float:
        """Height of the rim over the base."""
        return math.sqrt(self.slant**2 - self.out**2)

    @property
    def lean(self) -> float:
        """How far a wall leans outward from upright, degrees."""
        return math.degrees(math.asin(self.out / self.slant))

    @property
    def between(self) -> float:
        """The fold angle from a wall's plane to the next one's, degrees."""
        lean, step = math.radians(self.lean), 2 * self.half
        return math.degrees(math.acos(math.cos(lean) ** 2 * math.cos(step) + math.sin(lean) ** 2))

    @property
    def splay(self) -> float:
        """How far the side edge of a wall runs out of square, in the wall's plane, degrees; positive where it widens."""
        return math.degrees(math.atan2((self.rim - self.foot) / 2, self.slant))

    @property
    def edge(self) -> float:
        """Length of a wall's side edge."""
        return math.hypot(self.slant, (self.rim - self.foot) / 2)

    @property
    def gap(self) -> float:
        """The angle between two neighbouring walls in the flat, at the corner of the base, degrees."""
        return 360.0 / self.sides - 2 * self.splay

    def free(self, card: Thickness, layers: int, height: float = 0.0) -> float:
        """From the axis to the innermost of `layers` on each wall, level, at a height over the inside's floor."""
        lean = math.radians(self.lean)
        return self.apothem + (height + card.inner) * math.tan(lean) - (card.inner + layers * card.t) / math.cos(lean)

    def room(self, along: float, inset: float) -> float:
        """From a point of a wall square inward to the first other wall or the base, walls taken to go on over the rim.

        `along`: mm from the foot along the wall's side edge; `inset`: mm from that edge.
        """
        lean, half = math.radians(self.lean), (self.rim - self.foot) / 2
        x = self.foot / 2 + (along * half - inset * self.slant) / self.edge
        up = (along * self.slant + inset * half) / self.edge
        out, high = self.apothem + up * math.sin(lean), up * math.cos(lean)
        found = [high / -math.sin(lean)] if lean < 0 else []
        for turn in (2 * self.half * k for k in range(1, self.sides)):
            towards = -(math.cos(lean) ** 2 * math.cos(turn) + math.sin(lean) ** 2)
            level = self.apothem - out * math.cos(turn) - x * math.sin(turn)
            found += [(level * math.cos(lean) + high * math.sin(lean)) / towards] if towards > 1e-9 else []
        return min(found)

    def side(self, wall: int) -> Line:
        """Side of the base, counted from 1, clockwise, so that the outside is to its left; wall 1 is at the bottom of the flat."""
        return self._corner(wall), self._corner(wall - 1)

    def _corner(self, number: int) -> Point:
        """Where sides `number` and `number` + 1 meet."""
        far, angle = self.apothem / math.cos(self.half), -math.pi / 2 + self.half * (2 * (number % self.sides) - 1)
        return exact(((far * math.cos(angle), far * math.sin(angle)),))[0]

    @property
    def base(self) -> Ring:
        """The polygon, anticlockwise, its middle at the origin."""
        return tuple(self.side(wall)[1] for wall in range(1, self.sides + 1))


def exact(ring: Ring) -> Ring:
    """The ring on the fine grid on which cut-outs are joined: panels that share an edge share its ends to the last digit."""
    return tuple((round(x, 6), round(y, 6)) for x, y in ring)


def _ways(sides: int, turn: float) -> list[tuple[float, float]]:
    """How far square to each side points along the length and the width, both positive."""
    angles = (math.radians(-90.0 + turn + 360.0 * k / sides) for k in range(sides))
    return [(abs(math.cos(a)), abs(math.sin(a))) for a in angles]


def reach(item: Item, sides: int, turn: float, play: float = 0.0) -> float:
    """How far the item with its play reaches from its axis towards that side of a polygon to which it reaches farthest, mm."""
    if item.shape == "round":
        return (item.length + play) / 2
    return max((along * (item.length + play) + across * (item.width + play)) / 2 for along, across in _ways(sides, turn))


def best_turn(item: Item, sides: int) -> float:
    """How the polygon stands round the item so that it is smallest: a side in front, a side to the right, or a corner in front."""
    return min((0.0, 90.0, 180.0 / sides), key=lambda turn: round(reach(item, sides, turn), 6))


def apothem_for(fit: Fit, sides: int, turn: float, layers: float) -> float:
    """Least distance from the axis to a side's fold that leaves the item its play. `layers`: mm of card on the way."""
    return reach(fit.read, sides, turn, fit.grid.least_play(fit.clearance)) + layers


def free_cuboid(item: Item, sides: int, turn: float, free: float, height: float) -> Inside:
    """The largest cuboid on the floor, with as much play round the item along as across, where every side is `free` mm from the axis.

    A round item has corners that this cuboid lacks: it is the largest one on a square.
    """
    long, wide = (0.0, 0.0) if item.shape == "round" else (item.length, item.width)
    play = min((2 * free - along * long - across * wide) / (along + across) for along, across in _ways(sides, turn))
    return Inside(long + play, wide + play, height)


def flaps_of(sides: int) -> Flaps:
    """Which walls carry glue flaps, so that each next wall comes on to flaps that are there.

    Of an even number every second wall has two; of an odd one wall 1 has two, the last none, and the others one each.
    """
    if sides % 2 == 0:
        return tuple((wall, to) for wall in range(1, sides, 2) for to in ((wall - 2) % sides + 1, wall + 1))
    return ((1, sides), *((wall, wall + 1) for wall in range(1, sides)))


@dataclass(frozen=True, slots=True)
class Flap:
    """A glue flap on the side edge of a wall: its depth, and how much shorter its free edge is at the foot and at the rim, mm."""

    depth: float
    at_foot: float
    at_rim: float


def flap_for(limits: Limits, option: str, body: Frustum, card: Thickness, asked: float, taper: float) -> Flap:
    """The glue flap that `body` has room for: it stays off the next wall in the flat and within it when folded. Raises Refused.

    A sharp corner needs a deeper flap than asked: nearer to it no finger presses.
    """
    taper, apart = limits.taper("taper", taper, body.edge), max(1.0, 2 * card.t)
    splay = math.tan(math.radians(body.splay))
    at_foot = max(1 / math.tan(math.radians(min(90.0, body.gap - _ROOM))), -splay)
    # at a point two flaps on one wall come no nearer to each other than at its foot
    at_rim, end = (max(0.0, splay), taper) if body.rim else (-1 / splay, max(taper, apart / 2 / math.sin(-math.radians(body.splay))))

    def flap_of(depth: float) -> Flap:
        return Flap(depth, max(taper, at_foot * depth), end + at_rim * depth)

    clear = card.set_in(1)
    slim = (1 - _FREE_EDGE) * (body.edge - clear) - end
    widest = (min(body.foot, body.rim) if body.rim else body.foot) / 2 - apart
    most = min(widest, slim / (at_foot + at_rim) if at_foot + at_rim > 1e-9 else math.inf)
    depth = limits.shorten(option, asked, most)
    while depth + limits.grid.mark <= most and _room(body, flap_of(depth), clear) < FINGER + _SPARE:
        depth += limits.grid.mark
    if depth <= LEAST_FLAP or _room(body, flap_of(depth), clear) < FINGER:
        raise _too_small(option, body, flap_of(depth), clear)
    return flap_of(depth)


def _room(body: Frustum, glued: Flap, clear: float) -> float:
    """Least room for a finger over the middles of the flaps, square to the walls inside which they lie, mm."""
    return min(
        body.room(*spot) for wall, to in flaps_of(body.sides) for spot in _middles(body, glued, clear, wall, to == wall % body.sides + 1)
    )


def _middles(body: Frustum, glued: Flap, clear: float, wall: int, ahead: bool) -> Iterator[tuple[float, float]]:
    """The middle of a flap, and the point half-way up the flat where its bond is tried: along its wall's edge from the foot, and off it."""
    ring = _flap(body, glued, clear, wall, ahead)
    area, root = shapely.Polygon(ring), root_of(ring)
    for point in (area.centroid, area.representative_point()):
        inset = side(root, (point.x, point.y))
        run = math.sqrt(max(0.0, math.dist(root[0], (point.x, point.y)) ** 2 - inset**2))
        yield (clear + run if ahead else body.edge - run), inset


def _too_small(option: str, body: Frustum, glued: Flap, clear: float) -> Refused:
    """Why the largest flap that has room does not hold, or cannot be pressed."""
    way_out = "use other sides, a larger item or more clearance."
    if glued.depth <= LEAST_FLAP:
        return refuse(f"box.{option}", f"{glued.depth:.1f} mm has room, and it takes more than {LEAST_FLAP:g} mm to hold; {way_out}")
    free = _room(body, glued, clear)
    return refuse("item", f"a finger needs {FINGER:g} mm over the glue in the corners, and there would be {free:.1f} mm; {way_out}")


def walled(sketch: Sketch, base: str, body: Frustum, glued: Flap, role: str = "wall", carrier: Carrier | None = "parent") -> None:
    """Walls on all sides of the panel `base`, role-1 on, with their glue flaps, corner-flap-1 on. `carrier`: as of a fold."""
    flaps = [(wall, to == wall % body.sides + 1) for wall, to in flaps_of(body.sides)]
    outlines = [_flap(body, glued, sketch.card.set_in(1), wall, ahead) for wall, ahead in flaps]
    for wall in range(1, body.sides + 1):
        roots = {ahead: outline[:2] for (carrier, ahead), outline in zip(flaps, outlines, strict=True) if carrier == wall}
        outline = _wall(body, wall, roots)
        sketch.hinge(base, f"{role}-{wall}", role, outline, root_of(outline), 90.0 - body.lean, carrier)
    for number, ((wall, _), outline) in enumerate(zip(flaps, outlines, strict=True), 1):
        sketch.hinge(f"{role}-{wall}", f"corner-flap-{number}", "corner-flap", outline, root_of(outline), body.between)


def _corners(body: Frustum, wall: int) -> Ring:
    """A wall's corners, anticlockwise: both ends of its foot, the farther first, then those of its rim, which are one in a pyramid."""
    spread = (body.foot - body.rim) / 2
    end, start, rim_start, rim_end = exact(flap(body.side(wall), body.slant, (spread, spread)))
    return end, start, rim_start, rim_end if body.rim else rim_start


def _wall(body: Frustum, wall: int, roots: Mapping[bool, Ring]) -> Ring:
    """A wall's outline. `roots` of its flaps, behind and ahead: the end of a root that is set in is a corner too.

    On an edge that runs at any angle a point between its ends lies beside it by float noise, and the two would not hang together.
    """
    end, start, rim_start, rim_end = _corners(body, wall)
    behind = [p for p in roots.get(False, ())[::-1] if p not in (start, rim_start)]
    ahead = [p for p in roots.get(True, ())[::-1] if p not in (end, rim_end)]
    return (end, start, *behind, *dict.fromkeys((rim_start, rim_end)), *ahead)


def _flap(body: Frustum, glued: Flap, clear: float, wall: int, ahead: bool) -> Ring:
    """The flap on a wall's side edge, on that towards the next wall for `ahead`; set in by `clear` mm at the foot."""
    end, start, rim_start, rim_end = _corners(body, wall)
    if ahead:
        return exact(flap((end, rim_end), glued.depth, (glued.at_foot, glued.at_rim), (clear, 0.0)))
    return exact(flap((rim_start, start), glued.depth, (glued.at_rim, glued.at_foot), (0.0, clear)))


def flaps_glued(part: Part, sides: int, role: str = "wall") -> list[Bond]:
    """The bonds of the flaps that `walled` made: each lies inside the next wall."""
    pairs = enumerate(flaps_of(sides), 1)
    return [b for n, (_, to) in pairs for b in glue(part, f"corner-flap-{n}", f"{role}-{to}", ("back", "marked"))]


def standing(card: Thickness, turn: float) -> space.Matrix:
    """Where a base lies whose flat has its middle at the origin: under the inside's floor."""
    return space.turned((0, 0, 1), turn) @ space.moved(0, 0, -card.t / 2)


def pointed(fit: Fit, card: Thickness, sides: int, turn: float, top: float, height: float = 0.0) -> Frustum:
    """A pyramid over the item and its play, up to `top` mm over the floor. `height` of its point; 0 for the one that takes least card.

    Its walls slope at least half-way up, so that flaps inside them can be pressed.
    """
    grid, half = fit.grid, math.pi / sides
    need = reach(fit.read, sides, turn, fit.grid.least_play(fit.clearance))
    reached = need + card.inner + card.t
    tries = (top / height,) if height else (share / 100 for share in range(5, 81))
    shapes = [(reached / (1 - share), top / share) for share in tries]
    apothem, high = min(((r, max(h, _STEEP * r)) for r, h in shapes), key=lambda each: each[0] * (each[0] + math.hypot(*each)))
    foot = grid.up(2 * apothem * math.tan(half))
    while True:
        body = Frustum(sides, foot, 0.0, grid.up(math.hypot(foot / 2 / math.tan(half), high + card.inner)), turn)
        if body.free(card, 1, top) >= need:
            return body
        foot = grid.up(foot + grid.mark)

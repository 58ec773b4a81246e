"""What the styles draw with: flaps on a line, rounded corners, and a sketch that becomes a part."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from booklet.errors import refuse
from booklet.folding import folder
from booklet.grid import Grid
from booklet.net import Bond, Carrier, Face, Fold, Loop, Note, Panel, Part
from booklet.overlap import common
from booklet.plane import Line, Point, Ring, length
from booklet.space import Matrix, rows
from booklet.thickness import Thickness, Way
from booklet.tolerance import FINGER

_ARC = 12
WEAK_FLAP = 6.0
LEAST_FLAP = 3.0


def flap(line: Line, depth: float, tapers: tuple[float, float] = (0.0, 0.0), set_in: tuple[float, float] = (0.0, 0.0)) -> Ring:
    """A flap of `depth` mm to the left of a line, anticlockwise from the line's start.

    `tapers`: how much shorter the free edge is at the line's start and end; `set_in`: how far the root
    itself starts from the line's start and end. All mm.
    """
    (ax, ay), (bx, by) = line
    long = length(line)
    ux, uy = (bx - ax) / long, (by - ay) / long

    def at(along: float, up: float) -> Point:
        return ax + ux * along - uy * up, ay + uy * along + ux * up

    first, last = set_in[0], long - set_in[1]
    return at(first, 0), at(last, 0), at(last - tapers[1], depth), at(first + tapers[0], depth)


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Ring:
    """A rectangle, anticlockwise from its lower left corner."""
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def root_of(outline: Ring) -> Line:
    """The first edge of a flap: the line on which it hinges."""
    return outline[0], outline[1]


def rounded(ring: Ring, radii: Mapping[int, float]) -> Ring:
    """The ring with the corners of the given indices rounded, as short chords (off the arc by under 0.05 mm to 15 mm)."""
    result: list[Point] = []
    for i, corner in enumerate(ring):
        radius = radii.get(i, 0.0)
        result += _arc(ring[i - 1], corner, ring[(i + 1) % len(ring)], radius) if radius > 0 else [corner]
    return tuple(result)


def _arc(before: Point, corner: Point, after: Point, radius: float) -> list[Point]:
    ux, uy = _unit(corner, before)
    vx, vy = _unit(corner, after)
    half = math.acos(max(-1.0, min(1.0, ux * vx + uy * vy))) / 2
    reach = radius / math.tan(half)
    start = (corner[0] + ux * reach, corner[1] + uy * reach)
    bx, by = _unit((0, 0), (ux + vx, uy + vy))
    centre = (corner[0] + bx * radius / math.sin(half), corner[1] + by * radius / math.sin(half))
    end = (corner[0] + vx * reach, corner[1] + vy * reach)
    a0 = math.atan2(start[1] - centre[1], start[0] - centre[0])
    a1 = math.atan2(end[1] - centre[1], end[0] - centre[0])
    sweep = (a1 - a0 + math.pi) % (2 * math.pi) - math.pi
    angles = (a0 + sweep * k / _ARC for k in range(_ARC + 1))
    return [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in angles]


def _unit(a: Point, b: Point) -> Point:
    d = math.dist(a, b)
    return (b[0] - a[0]) / d, (b[1] - a[1]) / d


@dataclass
class Sketch:
    """A part under construction: panels and folds are added, then it is frozen by `part`."""

    name: str
    role: str
    card: Thickness
    panels: list[Panel] = field(default_factory=list)
    folds: list[Fold] = field(default_factory=list)
    loops: list[Loop] = field(default_factory=list)

    def panel(self, name: str, role: str, outline: Ring, holes: tuple[Ring, ...] = (), body: str = "") -> None:
        """A panel that stands for itself (the root). `body`: the smooth face that it is a part of."""
        self.panels.append(Panel(name, role, outline, holes, body or name))

    def hinge(
        self,
        parent: str,
        name: str,
        role: str,
        outline: Ring,
        line: Line,
        angle: float = 90.0,
        carrier: Carrier | None = None,
        way: Way | None = None,
        kind: Literal["crease", "roll"] = "crease",
        over: float = 0.0,
        holes: tuple[Ring, ...] = (),
        body: str = "",
    ) -> None:
        """A panel that hangs on `parent` along `line`. A roll fold has no axis of its own to be half-cut: it is bent."""
        self.panel(name, role, outline, holes, body)
        way = "crease" if kind == "roll" else way or self.card.way
        pivot = math.copysign(self.card.pivot(way), angle) if self.card.pivot(way) else 0.0
        self.folds.append(Fold(f"{parent}/{name}", parent, name, line, angle, pivot, kind, carrier, way, over))

    def part(self, place: Matrix) -> Part:
        """The finished part, standing at `place` in the closed box."""
        panels, folds, loops = tuple(self.panels), tuple(self.folds), tuple(self.loops)
        return Part(self.name, self.role, self.card.t, panels[0].name, (rows(place),), panels, folds, loops)


def corner_flaps(sketch: Sketch, carriers: Sequence[str], outlines: Sequence[Ring], depth: float, taper: float) -> None:
    """Flaps at both ends of two opposite sides, numbered 1 to 4; the base end of a flap is set in where the card is thick."""
    clear = sketch.card.set_in(1)
    number = 0
    for carrier, (root_start, root_end, free_end, free_start) in zip(carriers, outlines, strict=True):
        for line, set_in in (((free_end, root_end), (0.0, clear)), ((root_start, free_start), (clear, 0.0))):
            number += 1
            outline = flap(line, depth, (taper, taper), set_in)
            sketch.hinge(carrier, f"corner-flap-{number}", "corner-flap", outline, root_of(outline))


def corner_partners(role: str, carriers: tuple[int, int]) -> dict[str, str]:
    """The side on which each corner flap of `corner_flaps` lies.

    Sides 1 to 4 are the lower, right, upper and left ones, each run so that its outside is to the left; so the flap at
    a side's start touches the side numbered one higher, that at its end the one numbered one lower.
    """
    ends = [(side - 1 + turn) % 4 + 1 for side in carriers for turn in (-1, 1)]
    return {f"corner-flap-{n}": f"{role}-{side}" for n, side in enumerate(ends, 1)}


def glue(part: Part, first: str, second: str, faces: tuple[Face, Face], rest: float = 0.0, without: Sequence[str] = ()) -> list[Bond]:
    """The bond of two panels of one part where they lie on each other when folded, less what the panels `without` cover.

    None where no strip of 3 mm is common to them.
    """
    ring = common(folder(part), first, second, without)
    return [Bond(((part.name, first), (part.name, second)), faces, ring, rest)] if ring else []


@dataclass
class Limits:
    """Sizes that a small box makes smaller: each is shortened and noted, or refused with the figure."""

    grid: Grid
    notes: list[Note] = field(default_factory=list)

    def shorten(self, option: str, asked: float, most: float) -> float:
        """`asked`, or the largest mark within `most`. Raises Refused where under 3 mm is left. All mm."""
        if asked <= most + 1e-9:
            return asked
        got = self.grid.down(most)
        if got < LEAST_FLAP:
            raise refuse(
                f"box.{option}",
                f"in a box of this size at most {max(most, 0.0):.1f} mm has room, and under {LEAST_FLAP:g} mm does not hold; "
                "use a larger item, more clearance or thinner card.",
            )
        self.notes.append(Note(option, asked, got))
        return got

    def room_for_finger(self, where: str, across: float, hemmed: bool = False) -> None:
        """Raises Refused where two sides stand too near for a finger to press a bond between them. Fold to fold, mm."""
        if across < FINGER:
            raise refuse(
                where,
                f"the sides would stand {across:.1f} mm apart, and a finger needs {FINGER:g} mm to press the glue; "
                + ('write hem = "0 mm" under [box], or ' if hemmed else "")
                + "use a larger item or more clearance.",
            )

    def taper(self, option: str, asked: float, root: float) -> float:
        """A taper that leaves at least half of the root as free edge: `asked`, or the largest mark within root/4."""
        if asked <= root / 4 + 1e-9:
            return asked
        got = self.grid.down(root / 4)
        self.notes.append(Note(option, asked, got))
        return got


def on_grid(grid: Grid, options: Mapping[str, Any], name: str, otherwise: float = 0.0) -> float:
    """A length option on the ruler grid; `otherwise` where it is left to the style."""
    value = options.get(name)
    return otherwise if value is None else grid.nearest(float(value))

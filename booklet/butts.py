"""Boards that butt: the edge of one stands on the face of another, and no two of them take the same room. Millimetres.

Rigid board has a thickness that counts here in full: a face lies half a caliper beside its mid-surface, and each board is a solid.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise, product

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import space
from booklet.check import Check, at_most
from booklet.collide import convex_parts
from booklet.folding import folder
from booklet.net import Butt, Net, Part
from booklet.plane import length
from booklet.tolerance import COMPUTED

Vector = NDArray[np.float64]

_NO_AXIS = 1e-9
"""Two directions nearer to parallel than this span no third one."""


def needs_glue(net: Net) -> bool:
    """Whether anything is glued: faces to each other, or edges of boards to faces."""
    return bool(net.bonds or net.butts)


def area(net: Net) -> float:
    """mm2 of the edges of boards that are glued to faces."""
    return sum(length(butt.line) * net.part[butt.parts[0][0]].caliper for butt in net.butts)


def checks(net: Net) -> list[Check]:
    """Each butted edge stands on its face, boards do not stand in each other, and all hang together; none for a net without butts."""
    if not net.butts:
        return []
    gaps = [gap(net, butt) for butt in net.butts]
    beyond = [max(_off_edge(net, butt), _off_face(net, butt)) for butt in net.butts]
    depth, where = deepest(net)
    return [
        at_most("butts.touch", max(gaps), COMPUTED, "mm", "The edge of each board lies on the face on which it stands."),
        at_most("butts.within", max(beyond), COMPUTED, "mm", "Every glued stretch is an edge of its board and lies wholly on a face."),
        at_most("butts.apart", depth, COMPUTED, "mm", f"No board takes room that another part takes{where}."),
        at_most("butts.held", _loose(net), 0, "boards", "Glue holds every board to the others."),
    ]


def _place(net: Net, part: str, panel: str) -> space.Matrix:
    """Where a panel stands in the closed box, by its folds alone."""
    made = folder(net.part[part])
    place: space.Matrix = made.stood[made.index[panel]]
    return place


def _seen(net: Net, butt: Butt) -> Vector:
    """The glued strip of edge in the flat frame of the panel that it stands on: its four corners, (4, 3)."""
    one, two = (_place(net, *end) for end in butt.parts)
    half = net.part[butt.parts[0][0]].caliper / 2
    corners = np.array([(x, y, z) for z in (-half, half) for x, y in butt.line])
    return space.applied(space.relative(one, two), corners)


def gap(net: Net, butt: Butt) -> float:
    """How far any corner of a butted edge is off the face on which it stands, before it or in it, mm."""
    part, panel = butt.parts[0]
    one, two = (_place(net, *end) for end in butt.parts)
    middle = np.array([[*np.mean(net.part[part].panel[panel].outline, axis=0), 0.0]])
    side = 1.0 if space.applied(space.relative(one, two), middle)[0, 2] > 0 else -1.0
    heights = _seen(net, butt)[:, 2] * side
    return float(np.abs(heights - net.part[butt.parts[1][0]].caliper / 2).max())


def _off_edge(net: Net, butt: Butt) -> float:
    """How much of the stretch is no edge of its panel, mm."""
    part, panel = butt.parts[0]
    ring = shapely.LinearRing(net.part[part].panel[panel].outline)
    return float(shapely.LineString(butt.line).difference(ring.buffer(COMPUTED)).length)


def _off_face(net: Net, butt: Butt) -> float:
    """How far the edge, thick as its board is, reaches beyond the panel on whose face it stands, mm."""
    part, panel = butt.parts[1]
    own = net.part[part].panel[panel]
    face = shapely.Polygon(own.outline, own.holes)
    over = shapely.get_coordinates(shapely.MultiPoint(_seen(net, butt)[:, :2]).convex_hull.difference(face))
    return float(shapely.distance(shapely.points(over), face).max()) if len(over) else 0.0


@dataclass(frozen=True, eq=False)
class Solid:
    """A convex piece of a panel with its thickness: its corners (n, 3), normals of its faces (k, 3), and directions of its edges (m, 3)."""

    part: str
    panel: str
    corners: Vector
    normals: Vector
    edges: Vector


def solids(part: Part) -> Iterator[Solid]:
    """The panels of a part as they stand in the closed box, in convex pieces, as thick as its card."""
    made = folder(part)
    for panel, place in zip(part.panels, made.stood, strict=True):
        for ring in convex_parts(panel.outline, panel.holes):
            ends = space.applied(place, space.lifted(ring))
            up = place[:3, 2]
            along = np.array([b - a for a, b in pairwise([*ends, ends[0]])])
            corners = np.concatenate([ends - up * part.caliper / 2, ends + up * part.caliper / 2])
            yield Solid(part.name, panel.name, corners, _units([up, *np.cross(along, up)]), _units([up, *along]))


def _units(vectors: list[Vector]) -> Vector:
    found = np.array(vectors)
    sizes = np.sqrt((found**2).sum(1))
    units: Vector = found[sizes > _NO_AXIS] / sizes[sizes > _NO_AXIS, None]
    return units


def depth(one: Solid, two: Solid) -> float:
    """How far one must be moved to leave the other, mm; 0 where they do not share room (separating axes of convex bodies)."""
    least = np.inf
    for axes in (one.normals, two.normals, _units([np.cross(a, b) for a, b in product(one.edges, two.edges)])):
        if not len(axes):
            continue
        a, b = one.corners @ axes.T, two.corners @ axes.T
        share = np.minimum(a.max(0) - b.min(0), b.max(0) - a.min(0)).min()
        if share <= 0:
            return 0.0
        least = min(least, float(share))
    return least


def deepest(net: Net) -> tuple[float, str]:
    """How deep a board stands in another part, mm, and which two panels do so most, as the end of a sentence."""
    boards = {part.name for part in net.parts if part.role == "board"}
    found = [list(solids(part)) for part in net.parts]
    pairs = [(a, b) for ones, others in combinations(found, 2) for a in ones for b in others if {a.part, b.part} & boards]
    worst = max(((depth(a, b), f" ({a.panel} and {b.panel})") for a, b in pairs), key=lambda each: each[0], default=(0.0, ""))
    return worst if worst[0] > COMPUTED else (worst[0], "")


def _loose(net: Net) -> int:
    """Boards that no chain of butts and bonds holds to the first one."""
    boards = [part.name for part in net.parts if part.role == "board"]
    ends = [*(butt.parts for butt in net.butts), *(bond.panels for bond in net.bonds)]
    held = set(boards[:1])
    while more := {name for (a, _), (b, _) in ends if {a, b} & held for name in (a, b)} - held:
        held |= more
    return len(set(boards) - held)

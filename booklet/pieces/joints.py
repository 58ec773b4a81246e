"""The glue flap where a net is cut at a fold: its panel, its hinge and its bonds. Millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import shapely

from booklet import plane
from booklet.folding import child_side, folder
from booklet.net import Bond, Fold, Net, Panel, Part
from booklet.overlap import largest, seen_from
from booklet.plane import Line
from booklet.styles.shapes import flap

_CLEAR = 0.5
_LEAST_ROOT = 8.0


@dataclass(frozen=True, slots=True)
class Joint:
    """What joins the two sides of a cut fold again. `fold`: the one that is cut."""

    fold: Fold
    panel: Panel
    hinge: Fold
    bonds: tuple[Bond, ...]


def joint(net: Net, part: Part, fold: Fold, name: str, made: Sequence[Joint]) -> Joint | None:
    """The glue flap at a cut fold, beside the joints already made; None where it finds no room."""
    carrier, other, line, depth = _flap_at(net, part, fold)
    span = free_stretch(line, shapely.Polygon(flap(line, depth)), _taken(net, part, other, made))
    if span is None:
        return None
    root = (along(line, span[0]), along(line, span[1]))
    taper = min(net.joint[1], (span[1] - span[0]) / 4)
    panel = Panel(name, "glue-flap", flap(root, depth, (taper, taper)), body=name)
    hinge = Fold(f"{carrier}/{name}", carrier, name, root, fold.angle, fold.pivot, "crease", None, fold.way)
    bonds = tuple(_bonds(net, part, panel, other))
    return Joint(fold, panel, hinge, bonds) if bonds else None


def _flap_at(net: Net, part: Part, fold: Fold) -> tuple[str, str, Line, float]:
    """Who carries the flap of a cut fold, on what it is glued, its line run so that this lies to the left, and its depth."""
    carrier, other = (fold.parent, fold.child) if fold.carrier == "parent" else (fold.child, fold.parent)
    line = _towards(part, fold, other)
    return carrier, other, line, min(net.joint[0], _depth_of(part.panel[other], line) / 2)


def free_edge(net: Net, part: Part, fold: Fold) -> plane.Point:
    """How far the flap of a cut fold reaches: the point at its depth over the middle of the fold."""
    *_, (a, b), depth = _flap_at(net, part, fold)
    (x, y), long = plane.middle((a, b)), plane.length((a, b))
    return x - (b[1] - a[1]) / long * depth, y + (b[0] - a[0]) / long * depth


def _towards(part: Part, fold: Fold, other: str) -> Line:
    """The fold's line, run so that `other` lies to its left."""
    child_left = child_side(part, fold) > 0
    left = child_left if other == fold.child else not child_left
    return fold.line if left else (fold.line[1], fold.line[0])


def along(line: Line, run: float) -> plane.Point:
    """The point `run` mm along a line."""
    share = run / plane.length(line)
    (ax, ay), (bx, by) = line
    return ax + (bx - ax) * share, ay + (by - ay) * share


def _depth_of(panel: Panel, line: Line) -> float:
    """How far a panel reaches from a line to its left, mm."""
    return max(plane.side(line, point) for point in panel.outline)


def _taken(net: Net, part: Part, other: str, made: Sequence[Joint]) -> list[Any]:
    """What lies on the inside of a panel already, save hems, in the part's flat frame."""
    taken = [shapely.Polygon(bond.region) for joint in made for bond in joint.bonds if bond.panels[1][1] == other]
    fold = folder(part)
    for bond in net.bonds:
        (p, first), (q, second) = bond.panels
        if p == q == part.name and second == other and part.panel[first].role != "hem":
            taken.append(seen_from(fold, fold.closed, other, first))
    return taken


def free_stretch(line: Line, band: Any, taken: Sequence[Any]) -> tuple[float, float] | None:
    """The longest stretch of a line, from and to in mm along it, along which a band beside it is free; None under 8 mm."""
    long = plane.length(line)
    spans = [(0.0, long)]
    for shape in taken:
        common = band.intersection(shape)
        if common.area < 0.01:
            continue
        runs = [_run(line, point) for point in shapely.get_coordinates(common)]
        low, high = min(runs) - _CLEAR, max(runs) + _CLEAR
        spans = [part for a, b in spans for part in ((a, min(b, low)), (max(a, high), b)) if part[1] > part[0]]
    best = max(spans, key=lambda s: s[1] - s[0], default=None)
    return best if best and best[1] - best[0] >= min(_LEAST_ROOT, long) else None


def _run(line: Line, point: Any) -> float:
    (ax, ay), (bx, by) = line
    return float(((bx - ax) * (point[0] - ax) + (by - ay) * (point[1] - ay)) / plane.length(line))


def _bonds(net: Net, part: Part, panel: Panel, other: str) -> list[Bond]:
    """The flap's back on the inside of the other panel, and on the hem that lies there already."""
    shape: Any = shapely.Polygon(panel.outline)
    fold = folder(part)
    made: list[Bond] = []
    for bond in net.bonds:
        (p, first), (q, second) = bond.panels
        if p == q == part.name and second == other and part.panel[first].role == "hem":
            hem = seen_from(fold, fold.closed, other, first)
            ring = largest(shape.intersection(hem))
            if ring and not shapely.Polygon(ring).buffer(-1.0).is_empty:
                made.append(Bond(((part.name, panel.name), (part.name, first)), ("back", "back"), ring, -bond.rest))
            shape = shape.difference(hem.buffer(_CLEAR, join_style="mitre"))
    ring = largest(shape.intersection(shapely.Polygon(part.panel[other].outline)))
    return [Bond(((part.name, panel.name), (part.name, other)), ("back", "marked"), ring), *made] if ring else made

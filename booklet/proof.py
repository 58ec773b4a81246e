"""The proof of a net: it lies flat, folds, closes, holds the thing, and goes together in the order told.

Every function returns `Check` records with a figure and a limit; nothing here is taken from how a style
made the net, only from the net as anybody gets it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import butts, hollow, inserts, order, space
from booklet.check import Check, at_least, at_most
from booklet.fit import Fit
from booklet.folding import folder
from booklet.net import Bond, Loop, Net, Part
from booklet.overlap import shared
from booklet.replay import Replay, final_places, replay
from booklet.stack import Stack, levels
from booklet.thickness import AIR, lid_slip
from booklet.tolerance import COMPUTED, SAME_POINT

Vector = NDArray[np.float64]
_AXES = ("length", "width", "height")


@dataclass(frozen=True)
class Solid:
    """A net folded shut: where its panels' mid-surfaces are, and where they are once each is in its place in the stack."""

    net: Net
    played: Replay

    @cached_property
    def nominal(self) -> dict[str, Vector]:
        """Places of the panels by part, (panels, 4, 4), as the folds alone give them."""
        return final_places(self.net)

    @cached_property
    def stacked(self) -> dict[str, Vector]:
        """The same, each panel shifted to its place in the stack."""
        result = {}
        for part in self.net.parts:
            places = self.nominal[part.name].copy()
            places[:, :3, 3] += levels(self.stack(part), folder(part), places)
            result[part.name] = places
        return result

    def stack(self, part: Part) -> Stack:
        """What lies on what in a part at the end of its steps."""
        last = self.played.last(part.name)
        return last.stack if last else Stack({})

    @cached_property
    def inverse(self) -> dict[str, Vector]:
        """The inverses of the nominal places, by part, (panels, 4, 4)."""
        return {name: np.array([space.inverse(place) for place in places]) for name, places in self.nominal.items()}

    @cached_property
    def wide(self) -> dict[str, list[shapely.Polygon]]:
        """By part, the panels grown by the play between panels (see `hollow`)."""
        return {part.name: hollow.wide(part) for part in self.net.parts}


def prove(net: Net, fit: Fit) -> tuple[list[Check], Replay]:
    """All checks of the fold and of the order, and the replay that they come from."""
    simple = outlines(net)
    if not simple.ok:
        # nothing can be measured on an outline that crosses itself
        return [simple], Replay(net, ())
    played = replay(net)
    return [*shut(Solid(net, played), fit, simple), *order.checks(played)], played


def shut(solid: Solid, fit: Fit, simple: Check) -> list[Check]:
    """The checks of the closed box, whose outlines are known to be `simple`: none of them asks for the order of the steps."""
    net = solid.net
    fits = hollow.item_fits(solid, fit) if hollow.round_in_other(net) else item_fits(net, fit)
    checks = [simple, *flat(net), *bonded(solid), *butts.checks(net), *walls(solid), *hollow.closed(solid), *inside(solid), fits]
    if any(part.role == "lid" for part in net.parts):
        checks += lid_fits(solid) if net.interior == "cuboid" else hollow.lid_fits(solid)
    if any(part.role == "sleeve" for part in net.parts):
        checks += hollow.drawer_slides(solid)
    return inserts.retold(checks, inserts.checks(solid, fit))


def outlines(net: Net) -> Check:
    """Every panel is a simple polygon."""
    broken = sum(not shapely.Polygon(p.outline, p.holes).is_valid for part in net.parts for p in part.panels)
    return at_most("flat.simple", broken, 0, "panels", "No panel's outline crosses itself.")


def flat(net: Net) -> list[Check]:
    """Panels that are cut together do not overlap, and the ends of each fold lie on both its panels."""
    overlap = max((_overlap(part) for part in net.parts), default=0.0)
    ends = max((_fold_ends(part) for part in net.parts), default=0.0)
    return [
        at_most("flat.overlap", overlap, COMPUTED, "mm2", "No two panels of one piece overlap in the flat."),
        at_most("flat.fold-ends", ends, COMPUTED, "mm", "Every fold line lies on the edges of both panels that it joins."),
    ]


def _overlap(part: Part) -> float:
    """Largest area that two panels of one piece share in the flat, mm2."""
    groups = [piece.panels for piece in part.pieces] or [tuple(p.name for p in part.panels)]
    worst = 0.0
    for group in groups:
        shapes = [shapely.Polygon(part.panel[name].outline) for name in group]
        tree = shapely.STRtree(shapes)
        first, second = tree.query(shapes)
        pairs = [(a, b) for a, b in zip(first, second, strict=True) if a < b]
        worst = max([worst, *(shared(shapes[a], shapes[b]).area for a, b in pairs)])
    return worst


def _fold_ends(part: Part) -> float:
    """Farthest that an end of a fold lies from the edge of its parent or child, mm."""
    edges = {p.name: shapely.LinearRing(p.outline) for p in part.panels}
    ends = [(edges[name], shapely.Point(end)) for f in part.folds for name in (f.parent, f.child) for end in f.line]
    return max((edge.distance(point) for edge, point in ends), default=0.0)


def bonded(solid: Solid) -> list[Check]:
    """Bonded faces lie on each other, the right way round, over enough area."""
    gaps = [bond_gap(solid, bond) for bond in solid.net.bonds]
    wrong = sum(not _faces_meet(solid, bond) for bond in solid.net.bonds)
    outside = [_beyond(solid, bond) for bond in solid.net.bonds]
    return [
        at_most("bonds.touch", max(gaps, default=0.0), COMPUTED, "mm", "Bonded faces lie on each other when the box is folded."),
        at_most("bonds.within", max(outside, default=0.0), COMPUTED, "mm", "Every bonded area lies on both its panels."),
        at_most("bonds.faces", wrong, 0, "bonds", "Every bond joins the faces that meet when the box is folded."),
        *_held(solid),
        *_loops(solid),
    ]


def _loops(solid: Solid) -> Iterator[Check]:
    """Where card is not cut round a point, both sides of the last crease are together in the closed box."""
    gaps = [_loop_gap(solid, part, loop) for part in solid.net.parts for loop in part.loops]
    if gaps:
        yield at_most("closed.loops", max(gaps), COMPUTED, "mm", "Every corner that is not cut is closed when the box is folded.")


def _loop_gap(solid: Solid, part: Part, loop: Loop) -> float:
    one, two = (solid.nominal[part.name][folder(part).index[name]] for name in loop.panels)
    line = space.lifted(loop.line)
    return float(np.abs(space.applied(one, line) - space.applied(two, line)).max())


def _held(solid: Solid) -> Iterator[Check]:
    """Every flap that is there to be glued is glued."""
    glued = {panel for bond in solid.net.bonds for panel in bond.panels}
    roles = ("glue-flap", "corner-flap", "hem", "inner-web")
    loose = [p.name for part in solid.net.parts for p in part.panels if p.role in roles and (part.name, p.name) not in glued]
    yield at_most("bonds.held", len(loose), 0, "flaps", "Every glue flap, corner flap and hem is glued down.")


def seen_by_second(solid: Solid, bond: Bond) -> Vector:
    """The bonded region in the second panel's flat frame, (n, 3): x, y on the panel, z over its mid-surface, by the folds alone."""
    (part1, first), (part2, second) = bond.panels
    one = solid.nominal[part1][folder(solid.net.part[part1]).index[first]]
    two = solid.nominal[part2][folder(solid.net.part[part2]).index[second]]
    return space.applied(space.inverse(two) @ one, space.lifted(bond.region))


def bond_gap(solid: Solid, bond: Bond) -> float:
    """How far the bonded faces miss each other, mm, with each panel at its place in the stack.

    A stack presses panels apart that the folds put into each other, but it closes no gap: the mid-surfaces of two
    faces that touch are one caliper apart at most.
    """
    up = 1.0 if bond.faces[1] == "marked" else -1.0
    height = seen_by_second(solid, bond)[:, 2] * up
    touching = sum(solid.net.part[name].caliper for name, _ in bond.panels) / 2
    return float(max(np.abs(height - bond.rest).max(), height.max() - touching))


def _beyond(solid: Solid, bond: Bond) -> float:
    """How far the bonded region reaches beyond either panel, mm."""
    (part1, first), (part2, second) = bond.panels
    reach = 0.0
    flat = shapely.Polygon(seen_by_second(solid, bond)[:, :2])
    for part, name, ring in ((part1, first, shapely.Polygon(bond.region)), (part2, second, flat)):
        outline = shapely.Polygon(solid.net.part[part].panel[name].outline)
        over = shapely.get_coordinates(ring.difference(outline))
        far = float(shapely.distance(shapely.points(over), outline).max()) if len(over) else 0.0
        reach = max(reach, far if ring.intersects(outline) else 1e3)
    return reach


def _faces_meet(solid: Solid, bond: Bond) -> bool:
    """Whether the two faces named look at each other: unlike faces on panels that face alike, like faces on opposite ones."""
    (part1, first), (part2, second) = bond.panels
    one = solid.nominal[part1][folder(solid.net.part[part1]).index[first]][:3, 2]
    two = solid.nominal[part2][folder(solid.net.part[part2]).index[second]][:3, 2]
    return (float(one @ two) > 0) == (bond.faces[0] != bond.faces[1])


def walls(solid: Solid) -> list[Check]:
    """Each side of the promised inside has a panel close behind it, parallel to it, all over."""
    if solid.net.interior != "cuboid":
        return []
    checks = []
    for axis in range(3):
        signs = (-1.0,) if axis == 2 and not solid.net.closed else (-1.0, 1.0)
        far = max(_behind(solid, axis, sign) for sign in signs)
        text = f"Card stands close behind the whole of each end of the inside's {_AXES[axis]}."
        checks.append(at_most(f"closed.{_AXES[axis]}", far, _behind_limit(solid.net), "mm", text))
    return checks


def _behind_limit(net: Net) -> float:
    """How far behind the inside's face a mid-surface may stand, mm: its layers and half of its own; a box joined across has one more."""
    across = any(fold.kind == "splice" for part in net.parts for fold in part.folds)
    return (5 if across else 4) * net.caliper + COMPUTED


def _corners(net: Net) -> Vector:
    """Half sizes of the inside, and its lower corner at the floor: (2, 3), low and high."""
    i = net.inside
    return np.array([[-i.length / 2, -i.width / 2, 0.0], [i.length / 2, i.width / 2, i.height]])


def _behind(solid: Solid, axis: int, sign: float) -> float:
    """Farthest first card behind a grid of points on one face of the inside, mm; huge where there is none."""
    low, high = _corners(solid.net)
    u, v = (k for k in range(3) if k != axis)
    grid = np.array([(a, b) for a in np.linspace(0.04, 0.96, 9) for b in np.linspace(0.04, 0.96, 9)])
    points = np.zeros((len(grid), 3))
    points[:, u] = low[u] + grid[:, 0] * (high - low)[u]
    points[:, v] = low[v] + grid[:, 1] * (high - low)[v]
    points[:, axis] = high[axis] if sign > 0 else low[axis]
    direction = np.zeros(3)
    direction[axis] = sign
    # start a little inside, for card that stands a hair within the face by the folds alone
    hits = first_hits(solid, points - direction, direction)
    return float((hits - 1.0).max())


def first_hits(solid: Solid, points: Vector, direction: Vector) -> Vector:
    """Distance along a direction from each point to the first panel, mm; 1e9 where there is none."""
    best = np.full(len(points), 1e9)
    for part in solid.net.parts:
        for panel, place in zip(part.panels, solid.nominal[part.name], strict=True):
            local = space.applied(space.inverse(place), points)
            way = place[:3, :3].T @ direction
            if abs(way[2]) < 1e-9:
                continue
            run = -local[:, 2] / way[2]
            hit = local + run[:, None] * way
            # a ray along the seam of two panels meets them, and what is cut out on purpose is no gap
            shape = shapely.Polygon(panel.outline).buffer(SAME_POINT)
            on = (run >= 0) & shapely.contains_xy(shape, hit[:, 0], hit[:, 1])
            best = np.where(on & (run < best), run, best)
    return best


def inside(solid: Solid) -> list[Check]:
    """Nothing stands inside the promised inside, with every panel at its place in the stack and its full thickness."""
    low, high = _corners(solid.net)
    deepest = 0.0
    for part in solid.net.parts:
        for panel, place in zip(part.panels, solid.stacked[part.name], strict=True):
            for z in (-part.caliper / 2, part.caliper / 2):
                points = space.applied(place, space.lifted(panel.outline, z))
                deepest = max(deepest, _entry(points, low, high))
    return [at_most("inside.free", deepest, COMPUTED, "mm", "No panel, hem or flap stands inside the promised inside.")]


def _entry(points: Vector, low: Vector, high: Vector) -> float:
    """How deep a flat polygon enters a cuboid: the depth of its deepest point under the cuboid's faces, mm."""
    cut = points
    for axis in range(3):
        for bound, keep in ((low[axis], 1.0), (high[axis], -1.0)):
            cut = space.clipped(cut, axis, float(bound), keep)
            if not len(cut):
                return 0.0
    under = np.minimum(cut - low, high - cut).min(1)
    middle = cut.mean(0)
    return max(float(under.max()), float(np.minimum(middle - low, high - middle).min()))


def item_fits(net: Net, fit: Fit) -> Check:
    """The item goes into the inside with the play asked for, less at most one mark of the ruler and at most half."""
    i, item = net.inside, net.item
    along, across, above = i.length - item.length, i.width - item.width, i.height - item.height
    worst, least = fit.enough((along, across), above)
    text = f"The item fits with its play: {along:.1f} mm along, {across:.1f} mm across, {above:.1f} mm above."
    return at_least("item.fits", worst + SAME_POINT, round(least, 4), "mm", text)


def lid_fits(solid: Solid) -> list[Check]:
    """Between the box's outer faces and the innermost layer of the lid there is play on both axes, and not too much."""
    net = solid.net
    box = next(p for p in net.parts if p.role == "box")
    lid = next(p for p in net.parts if p.role == "lid")
    longest = max(net.inside.length, net.inside.width, net.inside.height)
    checks = []
    for axis in (0, 1):
        play = _span(solid, lid, axis, inner=True) - _span(solid, box, axis, inner=False)
        text = f"The lid slides over the box with {play:.2f} mm of play along its {_AXES[axis]}."
        checks.append(at_least(f"lid.slides.{_AXES[axis]}", play, round(lid_slip(longest) - COMPUTED, 3), "mm", text))
        loose = max(lid_slip(longest), AIR) + 2 * net.caliper + 1.6 + COMPUTED
        checks.append(at_most(f"lid.holds.{_AXES[axis]}", play, round(loose, 3), "mm", f"The lid is not loose along the {_AXES[axis]}."))
    return checks


def _span(solid: Solid, part: Part, axis: int, inner: bool) -> float:
    """Clear width between a lid's innermost faces, or overall width of a box's walls, along an axis, mm."""
    half = part.caliper / 2
    places = (solid.stacked if inner else solid.nominal)[part.name]
    at = [
        float(place[axis, 3] + place[:3, :3][axis] @ [*np.mean(panel.outline, 0), 0.0])
        for panel, place in zip(part.panels, places, strict=True)
        if abs(abs(float(place[axis, 2])) - 1) < 1e-6 and panel.role not in ("lid", "base", "base-flap")
    ]
    low, high = [x for x in at if x < 0], [x for x in at if x > 0]
    if not low or not high:
        return math.nan
    return min(high) - max(low) - 2 * half if inner else max(high) - min(low) + 2 * half

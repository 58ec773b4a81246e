"""What stands inside a box and parts it or holds a thing: built to fit the box, and proven to fit in. Millimetres, frame of the closed box.

An insert is a style of its own (a divider, a cradle). Added to a box, it becomes further parts of the box's net, of role "insert";
the box is then built for all that the insert holds. The inside that such a net promises is that of the box, and the insert stands in it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import space
from booklet.check import Check, at_least, at_most
from booklet.collide import convex_parts
from booklet.errors import refuse
from booklet.fit import Fit
from booklet.folding import folder
from booklet.net import Item, Net, Panel, Part
from booklet.passing import carried_into
from booklet.replay import Moment, final_places
from booklet.spec import Spec
from booklet.styles import shelf
from booklet.thickness import Thickness, way_of
from booklet.tolerance import COMPUTED, SAME_POINT, THROUGH

if TYPE_CHECKING:
    from booklet.proof import Solid

Vector = NDArray[np.float64]
Spot = tuple[float, float]

PLAY = 1.0
"""mm: play of an insert in its box, in all on each axis, at least; half of it on each side (common practice, no source)."""

_ROLE = "insert"


# -- building ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Wanted:
    """An insert before it is fitted to its box: the name of its style, and its sizes for the things of a fit."""

    name: str
    sizes: Any
    fit: Fit

    @property
    def content(self) -> Fit:
        """What the box has to hold: a block as large as the insert and its things, and play enough to put the insert on the grid."""
        length, width, height = self.sizes.outside
        block = Item("block", length, width, max(height, self.fit.read.height))
        return Fit(block, block, PLAY + 2 * self.fit.grid.mark, self.fit.headroom, self.fit.grid)


def wanted(spec: Spec, fit: Fit, card: Thickness) -> Wanted | None:
    """The spec's insert, in card that it bears too; None where the spec has none."""
    if spec.insert is None:
        return None
    style = shelf()[spec.insert.style]
    way_of(card.t, None, style.BEARS)
    return Wanted(spec.insert.style, style.sizes(fit, card, spec.insert.options), fit)


def fitted(box: Net, insert: Wanted) -> Net:
    """The insert, as large as the inside of a box takes it, about the middle of its floor. Raises Refused where that is no cuboid."""
    if box.interior != "cuboid":
        raise refuse(
            "insert.style",
            f"an insert needs a box with a rectangular inside and upright walls, which {box.style!r} has not; "
            'use another style, such as style = "lidded-box", or take [insert] out.',
        )
    sizes = insert.sizes.fitted(insert.fit.grid, box.inside.length - PLAY, box.inside.width - PLAY)
    made: Net = shelf()[insert.name].net(sizes)
    low, high = extent(made.parts, final_places(made))
    x, y, _ = -(low + high) / 2
    way = space.moved(float(x), float(y), -float(low[2]))
    return replace(made, parts=tuple(_moved(part, way) for part in made.parts))


def _moved(part: Part, way: space.Matrix) -> Part:
    return replace(part, places=tuple(space.rows(way @ space.matrix(place)) for place in part.places))


def joined(box: Net, insert: Net, item: Item) -> Net:
    """One net of a box and its insert; the thing in it is the maker's own."""
    notes = tuple(dict.fromkeys((*box.notes, *insert.notes)))
    return replace(box, item=item, parts=(*box.parts, *insert.parts), bonds=(*box.bonds, *insert.bonds), notes=notes)


# -- what is there ----------------------------------------------------------------------------------------------------


def parts_of(net: Net) -> tuple[Part, ...]:
    """The parts of a net that are inserts."""
    return tuple(part for part in net.parts if part.role == _ROLE)


def added(net: Net) -> bool:
    """Whether an insert stands in a box of the same net."""
    return 0 < len(parts_of(net)) < len(net.parts)


def stands(net: Net) -> tuple[Spot, ...]:
    """Where the things stand, x and y of the middle of each: in the cells between strips, else at the origin."""
    if not _strips(net):
        return ((0.0, 0.0),)
    columns, rows = (_between(net, axis) for axis in (0, 1))
    return tuple(((a + b) / 2, (c + d) / 2) for c, d in rows for a, b in columns)


def cells(net: Net) -> tuple[int, int]:
    """Rows and columns of cells between the strips of a net; (1, 1) where there are none."""
    rows, columns = (len(_planes(net, axis)) + 1 for axis in (1, 0))
    return rows, columns


def _strips(net: Net) -> list[Part]:
    return [part for part in parts_of(net) if not part.folds]


def _planes(net: Net, axis: int) -> list[float]:
    """Where the strips that stand across an axis are on it: their mid-surfaces."""
    found = [folder(part).stood[0] for part in _strips(net)]
    return sorted(float(place[axis, 3]) for place in found if abs(abs(float(place[axis, 2])) - 1) < SAME_POINT)


def _sides(net: Net) -> tuple[float, float, float, float]:
    """What bounds the things: the sides of the box that an insert was added to, else the ends of its strips. x0, y0, x1, y1."""
    if added(net):
        x, y = net.inside.length / 2, net.inside.width / 2
        return -x, -y, x, y
    low, high = extent(_strips(net), final_places(net))
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _between(net: Net, axis: int) -> list[tuple[float, float]]:
    """The cells on an axis, from face to face."""
    sides, t = _sides(net), net.caliper / 2
    edges = [sides[axis], *(edge for at in _planes(net, axis) for edge in (at - t, at + t)), sides[axis + 2]]
    return list(zip(edges[::2], edges[1::2], strict=True))


def extent(parts: Sequence[Part], places: Any) -> tuple[Vector, Vector]:
    """The box round some parts, thickness and all: lower and upper corner."""
    points = np.concatenate([points for part in parts for points in _solids(part, places[part.name])])
    return points.min(0), points.max(0)


def _solids(part: Part, places: Vector) -> Iterator[Vector]:
    """Every panel of a part as convex bodies, each as the corners of both its faces, (2 n, 3)."""
    for panel, place in zip(part.panels, places, strict=True):
        for ring in convex_parts(panel.outline, panel.holes):
            yield np.concatenate([space.applied(place, space.lifted(ring, z)) for z in (-part.caliper / 2, part.caliper / 2)])


# -- proof ------------------------------------------------------------------------------------------------------------


def checks(solid: Solid, fit: Fit) -> list[Check]:
    """What is to be proven of a net with inserts, none for others; some of it in the place of checks of the same name (`retold`)."""
    return list(Fitting(solid, fit).checks()) if parts_of(solid.net) else []


def retold(checks: Sequence[Check], better: Sequence[Check]) -> list[Check]:
    """Checks, some of them replaced by better ones of the same name; those that are new come last."""
    own, known = {check.name: check for check in better}, {check.name for check in checks}
    return [*(own.get(check.name, check) for check in checks), *(check for check in better if check.name not in known)]


@dataclass(frozen=True)
class Fitting:
    """A net with an insert, folded, and how tightly it is to hold its things."""

    solid: Solid
    fit: Fit

    @property
    def net(self) -> Net:
        """The box."""
        return self.solid.net

    def checks(self) -> Iterator[Check]:
        """The room of the things, the inside without the insert, the insert in the inside and while it is closed, strips in their slots."""
        yield self._free()
        yield self._item()
        if added(self.net):
            yield from self._fits()
            yield self._way()
        if _strips(self.net):
            yield self._slots()

    def _free(self) -> Check:
        """The promised inside is free of all but an insert that was added to the box; card has holes."""
        low, high = _corners(self.net)
        parts = [part for part in self.net.parts if part.role != _ROLE or not added(self.net)]
        faces = (face for part in parts for panel, place in zip(part.panels, self.solid.stacked[part.name], strict=True)
                 for face in _faces(part, panel, place))  # fmt: skip
        deepest = max((_entry(face, low, high) for face in faces), default=0.0)
        return at_most("inside.free", deepest, COMPUTED, "mm", "No panel, hem or flap stands inside the promised inside.")

    @cached_property
    def plays(self) -> tuple[float, float, float]:
        """The least play of a thing in its place, in all: along, across, above."""
        return plays(self.net)

    def _item(self) -> Check:
        """As the check of a box without an insert, between the card of the insert and the sides of the inside."""
        along, across, above = self.plays
        worst, least = self.fit.enough((along, across), above)
        text = f"The item fits with its play: {along:.1f} mm along, {across:.1f} mm across, {above:.1f} mm above."
        return at_least("item.fits", worst + SAME_POINT, round(least, 4), "mm", text)

    def _fits(self) -> Iterator[Check]:
        """The insert stands inside the promised inside, with its play on each side."""
        low, high = _corners(self.net)
        own_low, own_high = extent(parts_of(self.net), self.solid.stacked)
        left, front, under = own_low - low
        right, back, above = high - own_high
        told = f"{left:.2f} mm at the left, {right:.2f} at the right, {front:.2f} in front, {back:.2f} behind, {above:.2f} above"
        text = f"The insert stands inside the box with play on each side: {told}."
        yield at_least("insert.fits", min(left, right, front, back) + SAME_POINT, PLAY / 2, "mm", text)
        loose = PLAY + self.fit.grid.mark + COMPUTED
        yield at_most("insert.holds", max(left + right, front + back), round(loose, 4), "mm", "The insert is not loose in the box.")
        yield at_least("insert.height", min(above, under) + SAME_POINT, 0.0, "mm", "The insert is no higher than the inside.")

    def _way(self) -> Check:
        """What is folded of the box once the insert is in, as a lid that closes, does not run into it."""
        inside: list[Moment] = []
        worst = 0.0
        for moment in self.solid.played.moments:
            if moment.part.role == _ROLE and moment.step.move:
                inside = [one for one in inside if one.part is not moment.part] + [moment]
            elif moment.part.role in ("box", "drawer") and inside and not moment.step.move:
                worst = max(worst, carried_into(moment, inside))
        limit = round(THROUGH * self.net.caliper, 4)
        return at_most("insert.way", worst, limit, "mm", "Nothing of the box runs into the insert while the box is closed over it.")

    def _slots(self) -> Check:
        """Each strip, thickness and all, goes through the slots of those that it crosses with play on all sides."""
        pairs = [pair for pair in combinations(_strips(self.net), 2) if _cross(*pair)]
        play = min((min(_slot_play(a, b), _slot_play(b, a)) for a, b in pairs), default=0.0)
        return at_least("insert.slots", play, 0.0, "mm", "Every strip has play in the slots that it goes through.")


def _corners(net: Net) -> tuple[Vector, Vector]:
    """The lower and the upper corner of the promised inside."""
    i = net.inside
    return np.array([-i.length / 2, -i.width / 2, 0.0]), np.array([i.length / 2, i.width / 2, i.height])


def _entry(face: Vector, low: Vector, high: Vector) -> float:
    """How deep a convex face enters a cuboid, mm: that of its deepest corner, or of its middle, within."""
    for axis in range(3):
        for bound, keep in ((low[axis], 1.0), (high[axis], -1.0)):
            face = space.clipped(face, axis, float(bound), keep) if len(face) else face
    if not len(face):
        return 0.0
    points = np.concatenate([face, face.mean(0)[None]])
    return float(np.minimum(points - low, high - points).min(1).max())


def _faces(part: Part, panel: Panel, place: Vector) -> Iterator[Vector]:
    """Both faces of a panel, in convex pieces."""
    rings = convex_parts(panel.outline, panel.holes)
    yield from (space.applied(place, space.lifted(ring, z)) for ring in rings for z in (-part.caliper / 2, part.caliper / 2))


def plays(net: Net) -> tuple[float, float, float]:
    """The least play of a thing in its place, in all: along, across, above.

    Between the card of the insert and the sides of its box; without an insert, in the promised inside.
    """
    i, item = net.inside, net.item
    if not parts_of(net):
        return i.length - item.length, i.width - item.width, i.height - item.height
    card = _seen_from_above(net)
    found = [_room(card, item, spot) for spot in stands(net)]
    return min(a for a, _ in found), min(b for _, b in found), i.height - item.height


def _seen_from_above(net: Net) -> Any:
    """The card of the insert beside the things, and what bounds them from outside."""
    places, high = final_places(net), net.item.height
    shapes = []
    for part in parts_of(net):
        for points in _solids(part, places[part.name]):
            if points[:, 2].min() < high - SAME_POINT:
                shapes.append(shapely.MultiPoint(points[:, :2]).convex_hull)
    if added(net) or _strips(net):
        shapes.append(shapely.box(*_sides(net)).exterior)
    return shapely.union_all(shapes)


def _room(card: Any, item: Item, spot: Spot) -> tuple[float, float]:
    """The play of a thing at a spot, along and across: for a round one twice what is left beside it where that is least."""
    x, y = spot
    if item.shape == "round":
        play = 2 * (float(card.distance(shapely.Point(x, y))) - item.length / 2)
        return play, play
    along = shapely.box(x - 1e4, y - item.width / 2 + COMPUTED, x + 1e4, y + item.width / 2 - COMPUTED)
    across = shapely.box(x - item.length / 2 + COMPUTED, y - 1e4, x + item.length / 2 - COMPUTED, y + 1e4)
    return _gap(card, along, spot, 0) - item.length, _gap(card, across, spot, 1) - item.width


def _gap(card: Any, band: Any, spot: Spot, axis: int) -> float:
    """The way that is free from card on both sides of a spot in a band along an axis; 1e4 where there is none on a side."""
    at = spot[axis]
    half = [shapely.box(-1e4, -1e4, at, 1e4), shapely.box(at, -1e4, 1e4, 1e4)]
    if axis == 1:
        half = [shapely.box(-1e4, -1e4, 1e4, at), shapely.box(-1e4, at, 1e4, 1e4)]
    total = 0.0
    for side, sign in zip(half, (-1, 1), strict=True):
        met = shapely.get_coordinates(card.intersection(band).intersection(side))[:, axis]
        total += float(((met - at) * sign).min()) if len(met) else 1e4
    return total


def _cross(a: Part, b: Part) -> bool:
    one, two = folder(a).stood[0], folder(b).stood[0]
    return abs(float(one[:3, 2] @ two[:3, 2])) < SAME_POINT


def _slot_play(a: Part, b: Part) -> float:
    """How far the card of strip b stays off that of a where it goes through it, mm; negative by what they share, mm2, where it does not."""
    way = space.relative(folder(b).stood[0], folder(a).stood[0])
    x, half = float(space.applied(way, folder(b).outlines[0])[:, 0].mean()), b.caliper / 2
    own = shapely.Polygon(a.panels[0].outline)
    cut = shapely.union_all([shapely.box(x - half, low, x + half, high) for low, high in _section(b, way, x)])
    shared = float(own.intersection(cut).area)
    return -shared if shared > SAME_POINT else float(own.distance(cut))


def _section(b: Part, way: Vector, x: float) -> Iterator[tuple[float, float]]:
    """Lower and upper ends of the lines in which the plane of another strip cuts strip b; they stand upright at x in that plane."""
    ends = space.applied(space.inverse(way), np.array([[x, -1e4, 0.0], [x, 1e4, 0.0]]))[:, :2]
    for line in shapely.get_parts(shapely.Polygon(b.panels[0].outline).intersection(shapely.LineString(ends))):
        if line.length > SAME_POINT:
            y = space.applied(way, space.lifted(list(line.coords)))[:, 1]
            yield float(y.min()), float(y.max())

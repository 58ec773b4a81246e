"""True shapes on a sheet: a flap may reach into a neighbour's notch.

For two shapes, each turned by right angles, the places of the second at which it would come nearer to the first than the gap are
one area, their barrier: the sum of the first, the second mirrored in a point, and a disc of the gap (Minkowski). Shapes are
convex parts put together, and the barrier is all sums of one part of each. What is left of the sheet outside the barriers of all
that lies there are the places that are free, exactly; the best of them by a rule is a corner of what is left. Nothing is put
into the holes of a piece. Millimetres; the frame is that of `rectangles`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import product
from typing import Any

import numpy as np
import shapely

from booklet.plane import Affine, Point, Ring, area, bounds, cleaned, shift, side, turn
from booklet.sheets.rectangles import Job, Sheet, Spot, Turned, goes

Points = Any
"""An array of shape (n, 2), mm."""

_GIVE = 1e-7
"""A place that just fits must not be lost to float noise: barriers are this much smaller and sheets this much larger, mm."""

_FINE, _MANY = 0.2, 32
"""An outline of more points than this is simplified outward, each change by at most so many mm (chosen by us: the chords of arcs)."""

_SIDES = 16
_ANGLES = (np.arange(_SIDES) + 0.5) * 2 * math.pi / _SIDES
_DISC = np.column_stack([np.cos(_ANGLES), np.sin(_ANGLES)]) / math.cos(math.pi / _SIDES)
"""The polygon round a disc of 1 mm: exact along x, y and every 22.5 degrees, up to 2 % wider between."""


@lru_cache(maxsize=64)
def outer(ring: Ring) -> Ring:
    """The outline anticlockwise; one of many points is made simpler, holds the given one and stays in the same rectangle."""
    ring = cleaned(ring if area(ring) > 0 else ring[::-1])
    if len(ring) <= _MANY:
        return ring
    simple, before = list(ring), 0
    while len(simple) != before:
        before, simple = len(simple), _bridged(_cornered(simple))
    whole = shapely.Polygon(simple)
    made = shapely.box(*bounds(ring)).intersection(whole) if whole.is_valid else whole
    good = made.geom_type == "Polygon" and not made.interiors and made.buffer(1e-9).covers(shapely.Polygon(ring))
    return _open(made) if good else ring


def _open(shape: Any) -> Ring:
    points = tuple((float(x), float(y)) for x, y in shape.exterior.coords[:-1])
    return cleaned(points if area(points) > 0 else points[::-1])


def _bridged(ring: list[Point]) -> list[Point]:
    """Shallow dents are filled, never two neighbours at once."""
    made = ring[:1]
    for i in range(1, len(ring)):
        before, here, after = ring[i - 1], ring[i], ring[(i + 1) % len(ring)]
        if not (made[-1] == before and 0 < side((before, after), here) <= _FINE):
            made.append(here)
    return made


def _cornered(ring: list[Point]) -> list[Point]:
    """Short edges between two shallow corners become one corner, where the edges beside them meet."""
    made: list[Point] = []
    i = 0
    while i < len(ring):
        a, b, c, d = (ring[(i + k) % len(ring)] for k in (-1, 0, 1, 2))
        corner = _meeting(a, b, c, d) if 0 < i < len(ring) - 2 and made[-1] == a else None
        made.append(corner or b)
        i += 2 if corner else 1
    return made


def _meeting(a: Point, b: Point, c: Point, d: Point) -> Point | None:
    """Where a-b and d-c meet beyond b and c, if that is outside and near b-c."""
    (ux, uy), (vx, vy) = (b[0] - a[0], b[1] - a[1]), (c[0] - d[0], c[1] - d[1])
    turned = ux * -vy + uy * vx
    if turned <= 0 or side((a, b), c) <= 0 or side((c, d), b) <= 0:
        return None
    along = ((c[0] - b[0]) * -vy + (c[1] - b[1]) * vx) / turned
    corner = b[0] + along * ux, b[1] + along * uy
    return corner if -side((b, c), corner) <= _FINE else None


def convex(ring: Ring) -> list[Points]:
    """Convex parts of an anticlockwise ring, the largest first: its triangles, joined while they stay convex."""
    triangles = shapely.get_parts(shapely.constrained_delaunay_triangles(shapely.Polygon(ring)))
    parts = [list(_open(triangle)) for triangle in triangles]
    while pair := _joined(parts):
        i, j, whole = pair
        parts = [*(part for k, part in enumerate(parts) if k not in (i, j)), whole]
    return [np.array(part) for part in sorted(parts, key=lambda part: -round(area(part), 6))]


def _joined(parts: Sequence[list[Point]]) -> tuple[int, int, list[Point]] | None:
    """Two parts that share an edge and are convex as one."""
    owner = {edge: i for i, part in enumerate(parts) for edge in zip(part, [*part[1:], part[0]], strict=True)}
    for (a, b), i in owner.items():
        j = owner.get((b, a))
        if j is not None:
            whole = [*_from(parts[i], b)[:-1], *_from(parts[j], a)[:-1]]
            if all(_turns_left(whole[k - 2], whole[k - 1], whole[k]) for k in range(len(whole))):
                return i, j, whole
    return None


def _from(part: list[Point], first: Point) -> list[Point]:
    at = part.index(first)
    return part[at:] + part[:at]


def _turns_left(a: Point, b: Point, c: Point) -> bool:
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]) >= -1e-9


def _added(a: Points, b: Points) -> Points:
    """Each point of one with each of the other."""
    return (a[:, None, :] + b[None, :, :]).reshape(-1, 2)


def _hulls(clouds: Sequence[Points]) -> Any:
    """The convex hull of each cloud of points."""
    owner = np.repeat(np.arange(len(clouds)), [len(cloud) for cloud in clouds])
    return shapely.convex_hull(shapely.linestrings(np.concatenate(clouds), indices=owner))


@dataclass(frozen=True)
class Shapes:
    """The shapes of a job's forms, each with its lower left corner at the origin, and their barriers, each worked out once.

    `rings`: anticlockwise, by form. `gap` in mm may be less than the job's, for a proof that two can never share a sheet.
    """

    job: Job
    rings: tuple[Ring, ...]
    gap: float
    sizes: tuple[Point, ...]
    parts: dict[tuple[int, int], list[Points]] = field(default_factory=dict)
    known: dict[tuple[int, int, int], Any] = field(default_factory=dict)

    @classmethod
    def of(cls, job: Job, rings: tuple[Ring, ...], gap: float) -> Shapes:
        """From outlines as they are."""
        return cls(job, tuple(map(outer, rings)), gap, tuple(bounds(ring)[2:] for ring in rings))

    def barrier(self, a: int, qa: int, b: int, qb: int, at: Point = (0.0, 0.0)) -> Any:
        """Where b's corner may not be while a's corner is at a point, each turned by its number of right angles."""
        if b < a:
            return shapely.transform(self.barrier(b, qb, a, qa), lambda points: np.array(at) - points)
        key = a, b, (qb - qa) % 4
        if key not in self.known:
            self.known[key] = shapely.union_all(self._sum(*key))
        return shapely.transform(self.known[key], _mapped(self._moved(qa, *key).then(shift(*at))))

    def bars(self, a: int, qa: int, b: int, qb: int, reach: Any) -> bool:
        """Whether all of an area lies within the barrier; a <= b."""
        key = a, b, (qb - qa) % 4
        reach = shapely.transform(reach, _mapped(self._moved(qa, *key).inverse()))
        if bool(self._sum(*key, 1)[0].covers(reach)):
            return True
        sums = self._sum(*key)
        return bool(shapely.union_all(sums[shapely.intersects(sums, reach)]).covers(reach))

    def _moved(self, qa: int, a: int, b: int, quarter: int) -> Affine:
        """From the frame in which a is not turned to that in which it is."""
        to_a, to_b = self._corner(a, 0, qa), self._corner(b, quarter, qa)
        return turn(qa).then(shift(to_a[0] - to_b[0], to_a[1] - to_b[1]))

    def _corner(self, form: int, quarter: int, further: int) -> Point:
        """The shift that brings a form, turned by `quarter` and then `further`, back to the origin."""
        w, h = self.sizes[form]
        w, h = (h, w) if quarter % 2 else (w, h)
        return ((0.0, 0.0), (h, 0.0), (w, h), (0.0, w))[further % 4]

    def _sum(self, a: int, b: int, quarter: int, largest: int | None = None) -> Any:
        """The barrier as an array of convex areas, a not turned and b by `quarter`; from so many of the largest parts, or all."""
        radius = max(self.gap - _GIVE, 0.0)
        clouds = [_added(-part, radius * _DISC) for part in self._parts(b, quarter)[:largest]]
        grown = [shapely.get_coordinates(hull)[:-1] for hull in _hulls(clouds)]
        return _hulls([_added(x, y) for x, y in product(self._parts(a, 0)[:largest], grown)])

    def _parts(self, form: int, quarter: int) -> list[Points]:
        if (form, quarter) not in self.parts:
            moved = _mapped(turn(quarter).then(shift(*self._corner(form, 0, quarter))))
            self.parts[form, quarter] = [moved(part) for part in (self._parts(form, 0) if quarter else convex(self.rings[form]))]
        return self.parts[form, quarter]


def _mapped(to: Affine) -> Callable[[Points], Points]:
    matrix, moved = np.array([[to.a, to.b], [to.c, to.d]]), np.array([to.e, to.f])
    return lambda points: points @ matrix + moved


RULES = 3
"""A shape goes lowest, furthest left, or where the rectangle round all that lies there grows least."""


def _keys(rule: int, x: Points, y: Points, w: float, h: float, far: Point) -> Points:
    """What is least at the best place, a row for each place."""
    if rule == 0:
        return np.column_stack([y + h, x])
    if rule == 1:
        return np.column_stack([x + w, y])
    return np.column_stack([np.maximum(x + w, far[0]) * np.maximum(y + h, far[1]), y + h, x])


@dataclass(frozen=True, eq=False)
class Nested:
    """A sheet with true shapes on it."""

    shapes: Shapes
    spots: Sheet = ()
    before: Nested | None = None
    free: dict[tuple[int, int], Any] = field(default_factory=dict)
    known: dict[tuple[int, int], Nested | None] = field(default_factory=dict)

    def put(self, form: int, rule: int) -> Nested | None:
        """The sheet with one form more, at the best corner of the places that are free."""
        if (form, rule) not in self.known:
            found = [place for turned in self.shapes.job.forms[form] for place in self._best(form, turned, rule)]
            spot = min(found)[1] if found else None
            self.known[form, rule] = Nested(self.shapes, (*self.spots, spot), self) if spot else None
        return self.known[form, rule]

    def _best(self, form: int, turned: Turned, rule: int) -> list[tuple[tuple[float, ...], Spot]]:
        places: Points = shapely.get_coordinates(self._free(form, turned))
        if not len(places):
            return []
        room = self.shapes.job.room
        most = max(room[0] - turned.w, 0.0), max(room[1] - turned.h, 0.0)
        places = np.round(np.clip(places + _GIVE, 0.0, most), 9)
        far = max((s.right for s in self.spots), default=0.0), max((s.top for s in self.spots), default=0.0)
        keys: Points = np.round(_keys(rule, places[:, 0], places[:, 1], turned.w, turned.h, far), 6)
        at = int(np.lexsort(keys.T[::-1])[0])
        x, y = places[at].tolist()
        return [((*keys[at].tolist(), turned.quarter), Spot(form, turned, x, y))]

    def _free(self, form: int, turned: Turned) -> Any:
        """The places of the form's corner: all of the sheet, less the barriers of what lies there."""
        key = form, turned.quarter
        if key not in self.free:
            self.free[key] = self._less(self.before, form, turned) if self.before else self._all(turned)
        return self.free[key]

    def _all(self, turned: Turned) -> Any:
        w, h = self.shapes.job.room
        return shapely.box(-_GIVE, -_GIVE, max(w - turned.w, 0.0) + _GIVE, max(h - turned.h, 0.0) + _GIVE)

    def _less(self, before: Nested, form: int, turned: Turned) -> Any:
        free, last = before._free(form, turned), self.spots[-1]
        if free.is_empty:
            return free
        return free.difference(self.shapes.barrier(last.form, last.turned.quarter, form, turned.quarter, (last.x, last.y)))


def strayed(ring: Ring) -> float:
    """How far in mm the simplified outline reaches outside the given one, at most."""
    true, simple = shapely.Polygon(ring), shapely.Polygon(outer(ring))
    return next((far for far in (0.0, _FINE, 2 * _FINE, 4 * _FINE) if true.buffer(far + 1e-9).covers(simple)), math.inf)


def for_proof(job: Job, rings: tuple[Ring, ...]) -> Shapes:
    """Shapes whose barriers lie within the true ones: the gap less what simplified outlines and the disc's corners may add."""
    far = max(map(strayed, rings))
    return Shapes.of(job, rings, max(job.gap - 2 * far, -1.0) * math.cos(math.pi / _SIDES))


def never(proof: Shapes, a: int, b: int) -> bool:
    """Whether it is proven that two forms never share a sheet: wherever both would be on it, one bars the other; a <= b."""
    (w, h), gap, forms = proof.job.room, proof.job.gap, proof.job.forms
    for (_, aw, ah), (_, bw, bh) in product(forms[a], forms[b]):
        if goes((aw + bw + gap, max(ah, bh)), (w, h)) or goes((max(aw, bw), ah + bh + gap), (w, h)):
            return False
    if proof.gap < 0:
        return False
    turned = [s for s in forms[a] if s.quarter < 2]  # the other half turns nothing but the whole sheet round
    return all(proof.bars(a, s.quarter, b, t.quarter, _reach((w, h), s, t)) for s, t in product(turned, forms[b]))


def _reach(room: Point, a: Turned, b: Turned) -> Any:
    """Where b's corner may be, seen from a's, with both on the sheet."""
    return shapely.box(-max(room[0] - a.w, 0.0), -max(room[1] - a.h, 0.0), max(room[0] - b.w, 0.0), max(room[1] - b.h, 0.0))

"""The faces of the closed box that are seen from outside, found on the folded solid. Millimetres.

A face is one panel, or several that lie in one plane or are the facets of one smooth wall, which is unrolled. What other card lies over
it is taken away. Nothing is asked of a style, nor of a panel's name.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import space
from booklet.folding import folder
from booklet.net import Part
from booklet.plane import Affine
from booklet.proof import Solid
from booklet.thickness import lid_slip

Vector = NDArray[np.float64]

_NEAR = 4.0
"""In calipers, besides the play of a lid: parallel card so near over a face covers it (as for windows)."""

_OVER = 0.01
"""mm: card less far over a face lies in its plane."""

_SEAM = 0.02
"""mm: panels of one face whose edges lie so near are joined."""

SMALL_HOLE = 12.0
"""mm: a hole narrower than this in a face, as the slot of a foot or the hole of a cord, is covered with it (chosen by us)."""

_ASIDE = 3.0
"""mm: a face so near to the middle of the box has an outer side on both its faces, as a handle has (chosen by us)."""

_LOOKS, _SEEN = 90, 0.25
"""Looks away from a face, and the share of them that has to meet no card for the face to be seen from outside (chosen by us)."""

_PARALLEL = 0.98
"""Cosine of the angle within which card counts as lying over a face in the check of it."""

NOT_OUTSIDE = ("insert", "film")
"""Roles of parts that lie inside."""

SLIDES = ("lid", "sleeve")
"""Roles of parts that go over another part, with a slip."""


@dataclass(frozen=True, eq=False)
class Face:
    """A face as it is seen upright from outside: its shape, x to the right and y up, less what other card lies over it.

    `panels`: names, the largest first. `seen`: from the part's flat frame to the frame of the shape. `side`: +1 where the marked face
    is outside, else -1. `level`: whether it lies level. `times`: in how many copies of the part it is there.
    """

    part: Part
    panels: tuple[str, ...]
    side: int
    seen: Affine
    shape: Any
    level: bool
    times: int


def faces(solid: Solid, under_lid: bool = False) -> tuple[Face, ...]:
    """All faces that are seen from outside, in the order of the net.

    `under_lid`: what a lid or a sleeve covers counts as seen, so that it is covered with paper too.
    """
    return tuple(
        face
        for part in solid.net.parts
        if part.role not in NOT_OUTSIDE
        for group in _groups(part)
        for side in _sides(solid, part, group)
        for face in _face(solid, part, group, side, under_lid)
    )


def _groups(part: Part) -> list[list[int]]:
    """Panels that are one face: those joined by folds that do not bend in the closed box, or that are one smooth wall."""
    index = folder(part).index
    of = {i: {i} for i in index.values()}
    flat = [(fold.parent, fold.child) for fold in part.folds if abs(fold.angle) < 1e-6]
    pairs = [*((fold.parent, fold.child) for fold in part.folds), *(loop.panels for loop in part.loops)]
    for a, b in [*flat, *((a, b) for a, b in pairs if part.panel[a].body and part.panel[a].body == part.panel[b].body)]:
        joined = of[index[a]] | of[index[b]]
        of |= dict.fromkeys(joined, joined)
    return [sorted(group) for group in {min(group): group for group in of.values()}.values()]


def _sides(solid: Solid, part: Part, group: Sequence[int]) -> tuple[int, ...]:
    """The sides of a face that look away from the middle of the inside: one, or both where it stands in the middle."""
    middle = np.array([0.0, 0.0, solid.net.inside.height / 2])
    places = solid.stacked[part.name]
    areas = np.array([folder(part).shapes[i].area for i in group])
    away = np.array([float((folder(part).middles_at(places)[i] - middle) @ places[i, :3, 2]) for i in group])
    mean = float(away @ areas / areas.sum())
    return (1, -1) if abs(mean) < _ASIDE else (1 if mean > 0 else -1,)


def _face(solid: Solid, part: Part, group: Sequence[int], side: int, under_lid: bool) -> Iterator[Face]:
    """The face, where anything of it is seen."""
    made = folder(part)
    shapes = [_open(solid, part, i, side, under_lid) for i in group]
    lead = max(group, key=lambda i: (round(shapes[list(group).index(i)].area, 3), -i))
    whole = shapely.union_all([shape.buffer(_SEAM, join_style="mitre") for shape in shapes]).buffer(-_SEAM, join_style="mitre")
    if whole.is_empty or whole.area < 1.0 or not _is_seen(solid, part, lead, side, whole, under_lid):
        return
    names = sorted(group, key=lambda i: (-round(shapes[list(group).index(i)].area, 3), i))
    own = solid.stacked[part.name][lead]
    seen = _upright(own, side)
    turned = shapely.affinity.affine_transform(_filled(whole), [seen.a, seen.c, seen.b, seen.d, seen.e, seen.f])
    level = abs(float(own[2, 2])) > 0.9
    yield Face(part, tuple(made.part.panels[i].name for i in names), side, seen, turned, level, len(part.places))


def _upright(place: Vector, side: int) -> Affine:
    """From a panel's flat frame to that of who sees its outer side upright; of a level face the box's width is up."""
    turn = place[:3, :3]
    out = turn[:, 2] * side
    up = np.array([0.0, 0.0, 1.0]) if abs(float(out[2])) < 0.9 else np.array([0.0, 1.0, 0.0])
    up = up - out * float(up @ out)
    up /= np.sqrt(float(up @ up))
    right = turn.T @ np.cross(up, out)
    high = turn.T @ up
    return Affine(float(right[0]), float(high[0]), float(right[1]), float(high[1]), 0.0, 0.0)


def _filled(shape: Any) -> Any:
    """Without holes that are too narrow to leave open."""
    parts = [one for one in shapely.get_parts(shape) if one.geom_type == "Polygon"]
    kept = [[ring for ring in one.interiors if not shapely.Polygon(ring).buffer(-SMALL_HOLE / 2).is_empty] for one in parts]
    return shapely.MultiPolygon([shapely.Polygon(one.exterior, rings) for one, rings in zip(parts, kept, strict=True)])


def _open(solid: Solid, part: Part, panel: int, side: int, under_lid: bool) -> Any:
    """What is left of a panel's side beside the card that lies over it, in the part's flat frame."""
    made = folder(part)
    over = [shape for _, shape in covering_card(solid, part, panel, side, under_lid)]
    return made.shapes[panel].difference(shapely.union_all(over)) if over else made.shapes[panel]


def covering_card(solid: Solid, part: Part, panel: int, side: int, under_lid: bool) -> Iterator[tuple[str, Any]]:
    """The panels that lie over a side of a panel, by name, each as its shape in the flat frame of the panel's part."""
    own, made = solid.stacked[part.name][panel], folder(part)
    near = _near(solid)
    for other, name, place, sliding in _others(solid, part, panel):
        if under_lid and sliding:
            continue
        at = folder(other).index[name]
        middle = place[:3, :3] @ folder(other).middles[at] + place[:3, 3]
        if abs(float((middle - own[:3, 3]) @ own[:3, 2])) >= near:  # most panels: the rest is worked out for few
            continue
        relative = space.relative(place, own)
        seen = space.applied(relative, folder(other).outlines[at])
        if float(np.abs(seen[:, 2]).max()) >= near or float(seen[:, 2].mean()) * side <= _OVER:
            continue
        holes = [space.applied(relative, space.lifted(hole))[:, :2] for hole in other.panels[at].holes]
        shape = shapely.Polygon(seen[:, :2], holes)
        if shape.is_valid and shape.area > 1e-3 and shape.intersects(made.shapes[panel]):
            yield name, shape


def _near(solid: Solid) -> float:
    i, thick = solid.net.inside, max(part.caliper for part in solid.net.parts)
    return _NEAR * thick + lid_slip(max(i.length, i.width, i.height)) + 1.6


def _others(solid: Solid, part: Part, panel: int) -> Iterator[tuple[Part, str, Vector, bool]]:
    """All other panels where they are in the closed box; whether each slides over the panel, as a lid's skirt does over a wall."""
    own = part.panels[panel].name
    under = part.role not in SLIDES and not _of_a_skirt(part, own)
    for other in solid.net.parts:
        if other.role in NOT_OUTSIDE:
            continue
        for n, rows in enumerate(other.places):
            way = space.matrix(rows) @ space.inverse(space.matrix(other.places[0]))
            for one, place in zip(other.panels, solid.stacked[other.name], strict=True):
                if other is not part or n or one.name != own:
                    slides = other.role in SLIDES or (other is part and _of_a_skirt(part, one.name))
                    yield other, one.name, way @ place, under and slides


def _of_a_skirt(part: Part, name: str) -> bool:
    """Whether a panel is a skirt, or hangs on one, of a lid that is of one piece with its box."""
    parent = {fold.child: fold.parent for fold in part.folds}
    while name in parent and part.panel[name].role != "skirt":
        name = parent[name]
    return part.panel[name].role == "skirt"


def _is_seen(solid: Solid, part: Part, panel: int, side: int, shape: Any, under_lid: bool) -> bool:
    """Whether looks away from the middle of a face get out of the box: card that stands apart hides what lies behind."""
    spot = folder(part).shapes[panel].intersection(shape)
    spot = max(shapely.get_parts(spot), key=lambda one: one.area) if not spot.is_empty else folder(part).shapes[panel]
    x, y = spot.representative_point().coords[0]
    own = solid.stacked[part.name][panel]
    start = space.applied(own, np.array([[x, y, side * _OVER]]))[0]
    looks = _half_sphere() @ (own[:3, :3] * np.array([1.0, 1.0, side])).T
    return bool(np.mean(~_met(solid, part, panel, start, looks, under_lid)) >= _SEEN)


def _half_sphere() -> Vector:
    """Directions spread evenly over the half sphere about z, by the golden angle, (looks, 3)."""
    k = np.arange(_LOOKS)
    turn, height = k * np.pi * (3 - np.sqrt(5)), 1 - (k + 0.5) / _LOOKS
    across = np.sqrt(1 - height**2)
    return np.stack([across * np.cos(turn), across * np.sin(turn), height], axis=1)


def _met(solid: Solid, part: Part, panel: int, start: Vector, looks: Vector, under_lid: bool) -> NDArray[np.bool_]:
    """Which looks meet a panel other than the one that they come from."""
    met = np.zeros(len(looks), bool)
    for other, name, place, sliding in _others(solid, part, panel):
        if under_lid and sliding:
            continue
        back = space.inverse(place)
        p, ways = back[:3, :3] @ start + back[:3, 3], looks @ back[:3, :3].T
        with np.errstate(divide="ignore", invalid="ignore"):
            runs = -p[2] / ways[:, 2]
            points = p + runs[:, None] * ways
        ahead = (runs > _OVER) & np.isfinite(runs)
        met[ahead] |= shapely.contains_xy(folder(other).shapes[folder(other).index[name]], points[ahead, 0], points[ahead, 1])
    return met


def under_card(solid: Solid, face: Face, points: Sequence[tuple[float, float]], under_lid: bool = False) -> int:
    """How many points of a face, in its own frame, have card lying close over them: looked for in space, straight out from each."""
    made, back, hidden = folder(face.part), face.seen.inverse(), 0
    for x, y in back.ring(points):
        panel = next((made.index[name] for name in face.panels if made.shapes[made.index[name]].contains(shapely.Point(x, y))), None)
        if panel is not None:
            place = solid.stacked[face.part.name][panel]
            start = space.applied(place, np.array([[x, y, 0.0]]))[0]
            hidden += _lies_over(solid, face, panel, start, place[:3, 2] * face.side, under_lid)
    return hidden


def _lies_over(solid: Solid, face: Face, panel: int, start: Vector, out: Vector, under_lid: bool) -> bool:
    """Whether a look straight out from a point of a panel meets card that is nearly parallel and near."""
    for other, name, place, sliding in _others(solid, face.part, panel):
        slope = float(place[:3, 2] @ out)
        if (under_lid and sliding) or abs(slope) < _PARALLEL:
            continue
        run = float((place[:3, 3] - start) @ place[:3, 2]) / slope
        if _OVER < run < _near(solid):
            x, y, _ = space.applied(space.inverse(place), (start + run * out)[None])[0]
            if folder(other).shapes[folder(other).index[name]].contains(shapely.Point(x, y)):
                return True
    return False

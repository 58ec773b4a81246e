"""What stands on the bench in a step: the panels of a part at their places in the stack, and where glue goes. Millimetres."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import space
from booklet.drawing.motion import Motion, motion
from booklet.drawing.scene import Face3, Points
from booklet.drawing.sight import Patch, Put, Sight
from booklet.folding import Folder
from booklet.net import Bond, Net, Part
from booklet.plan import Plan
from booklet.plane import Point, Ring
from booklet.replay import Moment, Replay, final_places
from booklet.stack import Stack, levels
from booklet.steps.upright import STANDING, Up, told

Places = NDArray[np.float64]
Numbered = tuple[Patch, int]
"""An area with glue, and its bond's number as on the glue map."""

UPRIGHT = 0.9
"""Cosine of the angle from upright up to which a part counts as upright or upside down (chosen by us)."""

LAYER = 0.3
"""mm: thinner card is drawn with its layers this far apart, so that they can be told (chosen by us)."""


CHORD = 0.2
"""mm: how far a chord of a rounded corner may lie off it in a picture; on paper a third of that (chosen by us)."""

_PLAIN = 8

_PARALLEL = 1e-6
_LAYERS = 4.0
"""Panels that are parallel, and nearer to each other than so many calipers, can lie on each other."""


@dataclass(frozen=True, eq=False)
class Bench:
    """The steps played back, with what all pictures of one box need."""

    played: Replay

    @property
    def net(self) -> Net:
        """The box."""
        return self.played.net

    @cached_property
    def finals(self) -> dict[str, Places]:
        """Places of the panels of all parts in the closed box."""
        return final_places(self.net)

    @cached_property
    def folders(self) -> dict[str, Folder]:
        """Folders of all parts, by name."""
        return {part.name: Folder(part) for part in self.net.parts}

    @cached_property
    def thick(self) -> dict[str, Folder]:
        """Folders of all parts, in card that is thick enough for its layers to be told."""
        return {part.name: Folder(replace(part, caliper=max(part.caliper, LAYER))) for part in self.net.parts}

    @cached_property
    def shapes(self) -> dict[str, NDArray[Any]]:
        """Flat shapes of the panels of all parts."""
        shapes = {part.name: np.array([shapely.Polygon(p.outline, p.holes) for p in part.panels], object) for part in self.net.parts}
        for found in shapes.values():
            shapely.prepare(found)
        return shapes

    @cached_property
    def outlines(self) -> dict[str, list[Points]]:
        """Outlines of the panels of all parts as drawn, (n, 3) at height 0: with fewer chords along rounded corners."""
        return {part.name: [space.lifted(_coarse(panel.outline)) for panel in part.panels] for part in self.net.parts}

    @cached_property
    def patches(self) -> dict[str, tuple[Patch, ...]]:
        """The panels of all parts as patches."""
        return {part.name: tuple(Patch.of(i, p.outline) for i, p in enumerate(part.panels)) for part in self.net.parts}

    @cached_property
    def glue(self) -> tuple[tuple[tuple[str, Patch], tuple[str, Patch]], ...]:
        """Both areas of every bond, each with its part."""
        return tuple(self._areas(bond) for bond in self.net.bonds)

    def _areas(self, bond: Bond) -> tuple[tuple[str, Patch], tuple[str, Patch]]:
        (p, a), (q, b) = bond.panels
        way = space.inverse(self.final(q, b)) @ self.final(p, a)
        seen = np.round(space.applied(way, space.lifted(bond.region))[:, :2], 6)
        first, second = (1 if face == "marked" else -1 for face in bond.faces)
        return (p, self._patch(p, a, bond.region, first)), (q, self._patch(q, b, [(x, y) for x, y in seen.tolist()], second))

    def _patch(self, part: str, panel: str, ring: Sequence[Point], side: int) -> Patch:
        """An area cut to its panel: what the folds leave over is a hundredth of a millimetre."""
        i = self.folders[part].index[panel]
        shape = shapely.Polygon(ring).intersection(self.shapes[part][i])
        whole = max((g for g in shapely.get_parts(shape) if g.geom_type == "Polygon"), key=lambda g: g.area, default=shapely.Polygon(ring))
        return Patch.of(i, tuple((float(x), float(y)) for x, y in whole.exterior.coords[:-1]), side)

    @property
    def inside(self) -> int:
        """+1 where the marked face is the inside of the box, else -1."""
        return 1 if self.net.marks == "inside" else -1

    def final(self, part: str, panel: str) -> space.Matrix:
        """Where a panel stands in the closed box."""
        place: space.Matrix = self.finals[part][self.folders[part].index[panel]]
        return place


@dataclass(frozen=True, eq=False)
class _Same:
    """A plan by what it is, not by what it says: plans are large to compare."""

    plan: Plan

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.plan is self.plan

    def __hash__(self) -> int:
        return id(self.plan)


@lru_cache(maxsize=4)
def _bench(plan: _Same) -> Bench:
    return Bench(plan.plan.played)


def bench_of(plan: Plan) -> Bench:
    """The bench of a plan, always the same one."""
    return _bench(_Same(plan))


@dataclass(frozen=True, eq=False)
class Stage:
    """A part in a step, and what must be seen of it.

    `places`: of its panels, each at its place in the stack, (panels, 4, 4). `flat`: whether it is shown lying, in the flat frame.
    `up`: the direction that is up, in the frame of `places`.
    """

    bench: Bench
    part: Part
    places: Places
    act: Motion
    bonds: tuple[int, ...]
    flat: bool
    up: Up

    @cached_property
    def sight(self) -> Sight:
        """The panels made ready to be looked at."""
        return Sight(self.places, self.bench.shapes[self.part.name])

    @cached_property
    def moving(self) -> tuple[Patch, ...]:
        """The panels that move."""
        return tuple(self.bench.patches[self.part.name][i] for i in sorted(self.act.moved))

    @cached_property
    def glue(self) -> tuple[tuple[Patch, ...], ...]:
        """For each bond of the step its areas on this part."""
        areas = (self.bench.glue[number] for number in self.bonds)
        return tuple(tuple(patch for part, patch in both if part == self.part.name) for both in areas)

    @cached_property
    def put(self) -> Put:
        """All that must be seen: what moves, and then the glued areas."""
        return self.sight.put([*self.moving, *(patch for bond in self.glue for patch in bond)])

    def faces(self, glue: Sequence[Patch] = ()) -> tuple[Face3, ...]:
        """The panels as faces, with glue on some areas, each with its bond's number."""
        numbers = {id(patch): n + 1 for n, areas in zip(self.bonds, self.glue, strict=True) for patch in areas}
        return tuple(faces(self.bench, self.part, self.places, self.act.moved, [(p, numbers.get(id(p), 0)) for p in glue]))


def _coarse(ring: Ring) -> Ring:
    """A ring without the corners that lie within `CHORD` of the line past them."""
    if len(ring) <= _PLAIN:
        return ring
    return tuple((float(x), float(y)) for x, y in shapely.Polygon(ring).simplify(CHORD).exterior.coords[:-1])


def key_of(part: str, panel: str) -> str:
    """The key of a panel's face."""
    return f"{part}/{panel}"


def stood(bench: Bench, part: Part, places: Places, stack: Stack) -> Places:
    """Places of panels, each moved to its place in the stack."""
    if not stack.sides:
        return places
    moved = places.copy()
    moved[:, :3, 3] += levels(stack, bench.thick[part.name], places)
    return moved


def faces(bench: Bench, part: Part, places: Places, moving: Collection[int] = (), glue: Sequence[Numbered] = ()) -> list[Face3]:
    """The panels of a part as faces, with glue on some areas."""
    made = []
    for i, panel in enumerate(part.panels):
        holes = tuple(space.applied(places[i], space.lifted(hole)) for hole in panel.holes)
        outline = space.applied(places[i], bench.outlines[part.name][i])
        spots = [(patch, number) for patch, number in glue if patch.panel == i]
        rings = tuple(space.applied(places[i], space.lifted(patch.ring)) for patch, _ in spots)
        glued = rings, tuple(patch.side for patch, _ in spots), tuple(number for _, number in spots)
        made.append(Face3(key_of(part.name, panel.name), outline, holes, i in moving, panel.body, *glued))
    return made


def stack_at(bench: Bench, moment: Moment, places: Places) -> Stack:
    """What lies on what while a step goes on: pairs that lie so before the step or after it, and are near and parallel at these places."""
    before = bench.played.last_before(moment.part.name, moment)
    sides = {**(before.stack.sides if before else {}), **moment.stack.sides}
    if not sides:
        return Stack({})
    i, j = np.array(list(sides)).T
    middles = moment.folder.middles_at(places)
    normals = places[:, :3, 2]
    flat = np.abs(np.abs((normals[i] * normals[j]).sum(axis=1)) - 1) < _PARALLEL
    gap = np.abs(((middles[i] - middles[j]) * normals[j]).sum(axis=1))
    now = flat & (gap <= _LAYERS * moment.part.caliper + LAYER)
    return Stack({pair: side for (pair, side), lies in zip(sides.items(), now.tolist(), strict=True) if lies})


def staged(bench: Bench, moment: Moment, act: Motion, share: float) -> Stage:
    """The stage of a step, `share` of its way done. `act`: its motion, from `acted`."""
    places = act.frames[round(share * (len(act.frames) - 1))]
    stood_at = stood(bench, moment.part, places, stack_at(bench, moment, places))
    return Stage(bench, moment.part, stood_at, act, moment.step.bonds, shown_flat(bench, moment), up_in(moment, act))


def acted(bench: Bench, moment: Moment) -> Motion:
    """The motion of a step: a part that lies is told in the flat frame of its root, another stands as in the closed box."""
    act = motion(bench.played, moment)
    if not shown_flat(bench, moment):
        return act.based(bench.finals[moment.part.name][act.still])
    root = moment.folder.index[moment.part.root]
    return act.based(space.relative(moment.frames[0, act.still], moment.frames[0, root]))


def up_in(moment: Moment, act: Motion) -> Up:
    """The direction that is up in a step, in the frame of its motion."""
    turn = act.frames[0, act.still, :3, :3] @ moment.frames[0, act.still, :3, :3].T
    return told(turn @ np.array(moment.step.up or STANDING[0]))


def shown_flat(bench: Bench, moment: Moment) -> bool:
    """Whether a step is shown on a part that lies: flat before and after, or held with one of its sides up."""
    up = moment.step.up
    return lies_flat(bench, moment) or (up is not None and abs(up[2]) < UPRIGHT and moment.step.kind != "square")


def lies_flat(bench: Bench, moment: Moment) -> bool:
    """Whether a part lies flat before and after a step."""
    before = bench.played.last_before(moment.part.name, moment)
    return moment.flat and (before is None or before.flat)

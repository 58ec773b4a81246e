"""What a step does, as facts to be told: the panels that move and on what, the sides that they meet, which way, and how far.

Names of panels are those of the net; words are found for them in `sentences`. Directions are in the frame of the closed box, degrees
as a protractor between two panels reads them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from booklet import plane, space
from booklet.folding import Folder, folder
from booklet.net import Bond, Fold, Net, Part, Step
from booklet.overlap import seen_from
from booklet.plan import Plan
from booklet.replay import Moment
from booklet.steps.upright import resting

Vector = NDArray[np.float64]
Side = Literal["inside", "outside"]

_MOSTLY = 0.7
"""A direction counts as up or down where this much of it lies that way (chosen by us)."""

_LEAST_SHARE = 4.0
"""mm2: panels that share less do not lie on each other."""

_WALLS = ("wall", "front", "back", "side-wall", "end-wall", "long-wall", "short-wall")
"""Roles of panels behind which a tuck flap goes in."""

_NEARLY = 0.9
"""What a panel hangs on and lies on is told before another that it shares little more with (chosen by us)."""

_CARRIED = ("glue-flap",)
"""Panels that go along with what they hang on, unsaid."""


@dataclass(frozen=True)
class Telling:
    """One step of a plan, its facts as they are asked for."""

    plan: Plan
    step: Step

    @property
    def net(self) -> Net:
        """The box."""
        return self.plan.net

    @cached_property
    def part(self) -> Part:
        """The part that is worked on."""
        return self.net.part[self.step.part]

    @cached_property
    def moment(self) -> Moment:
        """The step as it happens."""
        return self.plan.played.moments[self.step.number - 1]

    @cached_property
    def folder(self) -> Folder:
        """The part's folder."""
        return folder(self.part)

    @cached_property
    def folds(self) -> tuple[Fold, ...]:
        """The folds that are turned."""
        return tuple(self.part.fold[name] for name, _ in self.step.folds)

    @cached_property
    def bonds(self) -> tuple[Bond, ...]:
        """The bonds that are made."""
        bonds = (self.net.bonds[number] for number in self.step.bonds)
        return tuple(bond for bond in bonds if bond.panels[0][0] == bond.panels[1][0] == self.part.name)

    @cached_property
    def moved(self) -> tuple[str, ...]:
        """The panels that a step moves; what is joined to one of them or hangs on one goes with it unsaid."""
        children = [fold.child for fold in self.folds]
        led = [self._mover(fold) for fold in self.folds if fold.parent not in children]
        said = [name for name in led if self.part.panel[name].role not in _CARRIED]
        return tuple(dict.fromkeys(said)) or tuple(children) or (() if self.part.folds else (self.part.root,))

    def _mover(self, fold: Fold) -> str:
        """Of two panels the one that is moved: where the larger part of a flat rests, what it hangs on comes over it."""
        resting = self._resting
        turned = self.step.kind != "square" and self.folder.index[fold.child] in resting and self.folder.index[fold.parent] not in resting
        return fold.parent if turned else fold.child

    @cached_property
    def _resting(self) -> frozenset[int]:
        return resting(self.moment)

    @cached_property
    def roots(self) -> tuple[str, ...]:
        """The panels on which those hang."""
        ends = ((fold.parent, fold.child) for fold in self.folds)
        return tuple(dict.fromkeys(a if b in self.moved else b for a, b in ends if {a, b} & set(self.moved)))

    @cached_property
    def flaps(self) -> tuple[str, ...]:
        """The panels that are glued on to others."""
        return tuple(dict.fromkeys(bond.panels[0][1] for bond in self.bonds))

    @cached_property
    def onto(self) -> tuple[str, ...]:
        """The panels that they are glued to; a hem stands for the wall that it is folded on to."""
        return tuple(dict.fromkeys(self._under(bond.panels[self._met(bond)][1]) for bond in self.bonds))

    def _met(self, bond: Bond) -> int:
        """Which of the two panels of a bond is met: the second, but the first where the second alone comes to it."""
        (_, first), (_, second) = bond.panels
        return 0 if self.step.words == "fold-glue" and second in self.moved and first not in self.moved else 1

    @cached_property
    def over(self) -> tuple[str, ...]:
        """Of those the ones that what moves does not hang on, where there are any."""
        return tuple(name for name in self.onto if name not in self.roots) or self.onto

    def _under(self, name: str) -> str:
        return self._parent(name) if self.part.panel[name].role == "hem" else name

    def _parent(self, name: str) -> str:
        return next(fold.parent for fold in self.part.folds if fold.child == name)

    @cached_property
    def carries_flap(self) -> bool:
        """Whether the flaps that are glued move with what is folded."""
        return bool(self.flaps) and not {self.folder.index[name] for name in self.flaps} & self._resting

    @cached_property
    def lies_on(self) -> tuple[str, ...]:
        """The panels on which each of those that move lies most at the end of the step."""
        return tuple(dict.fromkeys(other for name in self.moved if (other := self._lies_on(name))))

    def _lies_on(self, name: str) -> str:
        """What one panel lies on most; that which it hangs on where it lies on it as well, as between the two nothing is."""
        places = self.moment.after
        most, root = self._most(name, self._still, places), next((fold.parent for fold in self.folds if fold.child == name), "")
        both = most and root in self._still
        return root if both and self._share(name, root, places) > _NEARLY * self._share(name, most, places) else most

    @cached_property
    def _still(self) -> tuple[str, ...]:
        return tuple(panel.name for panel in self.part.panels if panel.name not in self.moved and panel.role not in ("hem", *_CARRIED))

    def _most(self, name: str, others: Iterable[str], places: NDArray[np.float64]) -> str:
        """Of others, parallel and near, the one that a panel shares most with."""
        shares = {other: self._share(name, other, places) for other in others if other != name}
        best = max(shares, key=lambda other: shares[other], default="")
        return best if best and shares[best] > _LEAST_SHARE else ""

    def _share(self, first: str, second: str, places: NDArray[np.float64]) -> float:
        made, one, two = self.folder, places[self.folder.index[first]], places[self.folder.index[second]]
        seen = space.relative(two, one)
        if abs(abs(float(seen[2, 2])) - 1) > 1e-6 or abs(float(seen[2, 3])) > 6 * self.part.caliper + 1:
            return 0.0
        return float(made.shapes[made.index[first]].intersection(seen_from(made, places, first, second)).area)

    @cached_property
    def face(self) -> Side:
        """The side of the closed part, inside or outside, on which what is glued lies on what it is glued to."""
        if not self.bonds:
            return "inside"
        met = self._met(self.bonds[0])
        (_, name), face = self.bonds[0].panels[met], self.bonds[0].faces[met]
        place = self.folder.closed[self.folder.index[name]]
        normal = place[:3, 2] * (1.0 if face == "marked" else -1.0)
        return "inside" if float(normal @ (self._centre(self.folder.closed) - self._middle(name, self.folder.closed))) > 0 else "outside"

    def _middle(self, name: str, places: NDArray[np.float64]) -> Vector:
        i = self.folder.index[name]
        middle: Vector = space.applied(places[i], self.folder.middles[i : i + 1])[0]
        return middle

    def _centre(self, places: NDArray[np.float64]) -> Vector:
        """The middle of all panels, by their area."""
        weights = [abs(plane.area(panel.outline)) for panel in self.part.panels]
        middles = [self._middle(panel.name, places) for panel in self.part.panels]
        centre: Vector = np.average(np.array(middles), axis=0, weights=weights)
        return centre

    @cached_property
    def way(self) -> Literal["up", "down", "inward", "outward", ""]:
        """Which way the panels come to point, seen with the part as it is held; "" where they do not agree."""
        ways = {self._way(fold) for fold in self.folds if fold.child in self.moved}
        return ways.pop() if len(ways) == 1 else ""

    def _way(self, fold: Fold) -> Literal["up", "down", "inward", "outward"]:
        places = self.moment.after
        hinge = np.array([[*plane.middle(fold.line), 0.0]])
        root = space.applied(places[self.folder.index[fold.parent]], hinge)[0]
        out = self._middle(fold.child, places) - root
        out /= float(np.sqrt(out @ out)) or 1.0
        rise = float(out @ np.array(self.step.up or (0.0, 0.0, 1.0)))
        if abs(rise) > _MOSTLY:
            return "up" if rise > 0 else "down"
        return "inward" if float(out @ (self._centre(places) - root)) > 0 else "outward"

    @cached_property
    def turned(self) -> tuple[float, ...]:
        """Degrees by which the panels are turned from the flat, each figure once; on a way there and back, at its farthest."""
        frames = [self.step.folds] if not self._back else self.step.path
        names = {fold.name for fold in self.folds if fold.child in self.moved}
        most = {name: max(abs(angle) for frame in frames for n, angle in frame if n == name) for name in names}
        return tuple(sorted(set(most.values())))

    @property
    def _back(self) -> bool:
        return self.step.words == "dry-fit"

    @cached_property
    def corners(self) -> tuple[float, ...]:
        """Degrees between the panels and what they hang on, each figure once."""
        return tuple(sorted({180.0 - angle for angle in self.turned}))

    @cached_property
    def tucks(self) -> tuple[str, ...]:
        """The tuck flaps that hang on what moves."""
        panel, faces = self.part.panel, {self._face(name) for name in self.moved}
        return tuple(f.child for f in self.part.folds if self._face(f.parent) in faces and panel[f.child].role == "tuck")

    def _face(self, name: str) -> str:
        """The smooth face that a panel is of; of a flat one, itself."""
        return self.part.panel[name].body or name

    @cached_property
    def slot(self) -> str:
        """The wall, front or back behind which those come to lie in the closed box; "" where there is none."""
        walls = [panel.name for panel in self.part.panels if panel.role in _WALLS and panel.name not in self.moved]
        behind = next((wall for name in self.tucks if (wall := self._most(name, walls, self.folder.closed))), "")
        # a flat tuck flap is parallel to no facet of a face that is bent, and goes in behind the one that its panel closes on
        bent = (root for root in self.roots if root in walls and self.part.panel[root].body not in ("", root)) if self.tucks else ()
        return behind or next(iter(bent), "")

    @cached_property
    def tucked(self) -> bool:
        """Whether tuck flaps, folded as they stay, come to lie behind a wall in this step."""
        return bool(self.slot) and self._stay

    @cached_property
    def cornered(self) -> bool:
        """Whether tuck flaps, folded as they stay, go in where no wall is behind which they lie: inside a corner."""
        return bool(self.tucks) and not self.slot and self._stay

    @property
    def _stay(self) -> bool:
        angles = self.moment.angles
        own = [f for f in self.part.folds if f.child in (*self.tucks, *self.moved)]
        return all(abs(angles[f.name] - f.angle) < 1e-6 for f in own)

    @cached_property
    def face_up(self) -> Side:
        """Which face of a flat part is up."""
        normal = space.matrix(self.part.places[0])[:3, 2]
        marked = self.step.up is None or float(normal @ np.array(self.step.up)) > 0
        return "inside" if marked == (self.net.marks == "inside") else "outside"

    @cached_property
    def end_up(self) -> str:
        """Which end of a part is up: "top", "bottom", or the panel that faces up where it lies on a side."""
        up = np.array(self.step.up or (0.0, 0.0, 1.0))
        if abs(float(up[2])) > _MOSTLY:
            return "top" if up[2] > 0 else "bottom"
        centre = self._centre(self.folder.closed)
        return max(
            self._still or (self.part.root,), key=lambda name: round(float((self._middle(name, self.folder.closed) - centre) @ up), 3)
        )

    @property
    def parted(self) -> bool:
        """Whether the part still lies in several pieces."""
        return not bool(self.moment.joined.all())

"""Boards in the closed box: rigid rectangles that are cut, not folded, and stand with their edges on each other's faces. Millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from booklet import space
from booklet.net import Butt, Part
from booklet.plane import Line
from booklet.space import Matrix
from booklet.styles.shapes import Sketch, rectangle
from booklet.thickness import Thickness
from booklet.tolerance import COMPUTED

_AXES = {sign + axis: (1.0 if sign == "+" else -1.0) * np.eye(3)[k] for k, axis in enumerate("xyz") for sign in "+-"}


def facing(middle: Sequence[float], across: str, up: str) -> Matrix:
    """A place whose flat x and y run along directions of the closed box, told as "+x" or "-z"; the marked face looks along x times y.

    `middle`: where the flat frame's origin stands in the closed box, mm.
    """
    place = space.identity()
    place[:3, 0], place[:3, 1] = _AXES[across], _AXES[up]
    place[:3, 2] = np.cross(_AXES[across], _AXES[up])
    place[:3, 3] = middle
    return place


@dataclass
class Boards:
    """Boards of one thickness as they are set together."""

    card: Thickness
    parts: list[Part] = field(default_factory=list)

    def board(self, name: str, role: str, width: float, height: float, place: Matrix) -> None:
        """A rectangle with the flat frame's origin in its middle; it is a part of its own, which has its panel's name."""
        sketch = Sketch(name, "board", self.card)
        sketch.panel(name, role, rectangle(-width / 2, -height / 2, width / 2, height / 2))
        self.parts.append(sketch.part(place))

    def butts(self) -> tuple[Butt, ...]:
        """Every edge that stands on the face of another board, whole."""
        pairs = ((one, two) for one in self.parts for two in self.parts if one is not two)
        return tuple(Butt(((one.name, one.root), (two.name, two.root)), line) for one, two in pairs for line in _standing(one, two))


def _standing(one: Part, two: Part) -> list[Line]:
    """The edges of one board that touch a face of another, within its outline, the boards at right angles."""
    seen = space.relative(space.matrix(one.places[0]), space.matrix(two.places[0]))
    if abs(seen[2, 2]) > COMPUTED:
        return []
    ring = one.panel[one.root].outline
    edges: list[Line] = list(zip(ring, (*ring[1:], ring[0]), strict=True))
    return [edge for edge in edges if _on_face(space.applied(seen, space.lifted(edge)), two)]


def _on_face(ends: Matrix, board: Part) -> bool:
    low, high = np.array(board.panel[board.root].outline)[[0, 2]]
    level = np.abs(np.abs(ends[:, 2]) - board.caliper / 2).max() < COMPUTED
    return bool(level and (ends[:, :2] > low - COMPUTED).all() and (ends[:, :2] < high + COMPUTED).all())

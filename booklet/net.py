"""The one model: a net of panels, folds and bonds, and how it is put together.

Frames, signs and words are those of DEVELOPERS.md: a part lies in one flat frame as seen on its marked
face, in mm; a positive fold angle is a valley. Records are frozen; a change makes a new one.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from booklet.plane import Line, Point, Ring
from booklet.space import Rows

Face = Literal["marked", "back"]
Carrier = Literal["parent", "child"]


@dataclass(frozen=True, slots=True)
class Panel:
    """A flat face. `body`: panels of one body are one smooth face. `role`: its trade word."""

    name: str
    role: str
    outline: Ring
    holes: tuple[Ring, ...] = ()
    body: str = ""


@dataclass(frozen=True, slots=True)
class Fold:
    """A hinge between two panels along `line` (mm), `angle` in degrees when the box is closed.

    `pivot`: height of the axis over the mid-surface. `carrier`: who carries the glue flap when the net
    is cut here to fit the card; None: it must not be cut. `way`: "crease" or "half-cut". `over`: 180 or -180 where it may be folded
    right over on the way to an angle that does not tell to which side, as a fold that is flat in the closed box; else 0.
    """

    name: str
    parent: str
    child: str
    line: Line
    angle: float
    pivot: float = 0.0
    kind: Literal["crease", "roll", "splice"] = "crease"
    carrier: Carrier | None = None
    way: Literal["crease", "half-cut"] = "crease"
    over: float = 0.0

    @property
    def bends(self) -> float:
        """An angle that tells whether and to which side the fold is bent at all, be it only on the way: its own, or `over`."""
        return self.angle or self.over


@dataclass(frozen=True, slots=True)
class Loop:
    """A crease that closes a ring of panels round a point: two panels that meet in `line`."""

    panels: tuple[str, str]
    line: Line


@dataclass(frozen=True, slots=True)
class Piece:
    """One connected cut-out. `template`: the piece whose print serves; `size`: width, height in mm."""

    name: str
    template: str
    panels: tuple[str, ...]
    outline: Ring
    holes: tuple[Ring, ...] = ()
    slits: tuple[tuple[Point, ...], ...] = ()
    size: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True)
class Part:
    """A tree of panels with one root, its card's caliper, and where it stands in the closed box."""

    name: str
    role: str
    caliper: float
    root: str
    places: tuple[Rows, ...]
    panels: tuple[Panel, ...]
    folds: tuple[Fold, ...]
    loops: tuple[Loop, ...] = ()
    pieces: tuple[Piece, ...] = ()

    @cached_property
    def panel(self) -> dict[str, Panel]:
        """Panels by name."""
        return {panel.name: panel for panel in self.panels}

    @cached_property
    def fold(self) -> dict[str, Fold]:
        """Folds by name."""
        return {fold.name: fold for fold in self.folds}

    @cached_property
    def piece_of(self) -> dict[str, Piece]:
        """Panel name to the piece that it is cut with."""
        return {panel: piece for piece in self.pieces for panel in piece.panels}

    def cut_folds(self) -> tuple[Fold, ...]:
        """Folds that are cut through, their two sides in different pieces."""
        of = self.piece_of
        return tuple(f for f in self.folds if of and of[f.parent] is not of[f.child])


@dataclass(frozen=True, slots=True)
class Bond:
    """Two panel faces glued over a region (in the first panel's part frame).

    `rest`: the distance in mm of the first panel's mid-surface over the second's, towards the second's
    bonded face, that the folds alone give it; the rest of the way to touch is its place in the stack.
    """

    panels: tuple[tuple[str, str], tuple[str, str]]
    faces: tuple[Face, Face]
    region: Ring
    rest: float = 0.0


@dataclass(frozen=True, slots=True)
class Butt:
    """The edge of one part's panel glued to the face of another's, as rigid boards are joined: no bond, which is face to face.

    `parts`: part and panel whose edge it is, then part and panel on whose face that stands. `line`: the glued stretch of the edge, mm in
    the first part's frame, in the mid-surface; the first panel's whole thickness stands on the face.
    """

    parts: tuple[tuple[str, str], tuple[str, str]]
    line: Line


StepKind = Literal["score", "fold", "bond", "join", "turn", "square", "put", "close"]


@dataclass(frozen=True, slots=True)
class Step:
    """One action of the hands.

    `folds`: fold name to its angle at the step's end; `path`: frames of angles on the way, at most two
    degrees apart; `bonds`: indices of the bonds made; `move`: places along the way of the part, the last
    one final. `words`: key of the sentence in `layouts/`. `up`: the direction that is up while it is done, in the frame of
    the closed box, the part's root in place; None where a part is not held.
    """

    number: int
    kind: StepKind
    part: str
    folds: tuple[tuple[str, float], ...] = ()
    path: tuple[tuple[tuple[str, float], ...], ...] = ()
    bonds: tuple[int, ...] = ()
    move: tuple[Rows, ...] = ()
    words: str = ""
    up: tuple[float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class Item:
    """What goes inside, at its widest, mm. A round thing has length = width = diameter."""

    shape: Literal["block", "round"]
    length: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Inside:
    """The cuboid that stays free once every layer is in, mm."""

    length: float
    width: float
    height: float


@dataclass(frozen=True)
class Net:
    """A whole box: parts, bonds, and the steps that put it together.

    `joint`: depth and taper, mm, of the glue flap that is added where the net is cut to fit the card.
    `notes`: sizes that were changed for a small box. `ready`: whether its card comes cut and scored.
    """

    title: str
    style: str
    caliper: float
    inside: Inside
    closed: bool
    item: Item
    parts: tuple[Part, ...]
    bonds: tuple[Bond, ...]
    steps: tuple[Step, ...] = ()
    marks: Literal["inside", "outside"] = "inside"
    interior: Literal["cuboid", "other"] = "cuboid"
    notes: tuple[Note, ...] = field(default=())
    joint: tuple[float, float] = (12.0, 3.0)
    butts: tuple[Butt, ...] = ()
    ready: bool = False

    @cached_property
    def part(self) -> dict[str, Part]:
        """Parts by name."""
        return {part.name: part for part in self.parts}

    @property
    def folded(self) -> bool:
        """Whether anything is folded; not where it is all boards, or strips that slot into each other."""
        return any(part.folds for part in self.parts)


@dataclass(frozen=True, slots=True)
class Note:
    """A size that a style had to change for a small box: told as a warning. Sizes in mm."""

    option: str
    asked: float
    got: float

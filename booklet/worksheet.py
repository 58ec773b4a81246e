"""What a net can teach: questions on the flat net and on the box that it folds to, each with its answer worked out from the net.

Nothing here knows a style: which faces meet is seen on the folded box, what its inside holds on its level sections. Lengths in mm,
areas in mm2, volumes in mm3, masses in g.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from booklet.flatfaces import Face, Shape, faces, parts_of, shape_of
from booklet.folded import Room, laid_on, meeting, opposite, room_of
from booklet.folding import folds_of
from booklet.handout import NARROW
from booklet.plan import Plan

MOST, LEAST = 6, 3
"""Questions on one side of a leaf."""

OLDER = 11
"""Years: from here on surface and volume are set against each other, and shares are asked (chosen by us)."""

_SAME = 0.05
"""mm: edges that differ by less are alike."""

_RANK = ("meet", "opposite", "area", "volume", "shape", "ratio", "left", "twins", "layers", "folds", "mass", "around")
"""What is asked first where there is not room for all."""

_ORDER = ("folds", "twins", "meet", "opposite", "layers", "area", "shape", "around", "volume", "ratio", "left", "mass")
"""The order on the page: from looking to reckoning."""


@dataclass(frozen=True, slots=True)
class Question:
    """One question: its kind, what it tells, and its answer.

    `shape`: what the face or the room is, as the words know it. `face`: the number of the face that it asks about, 0 for none.
    `given`: what it tells, in the order of the words of its kind. `pairs`: the faces that answer it, else `figure`.
    """

    kind: str
    shape: str = ""
    face: int = 0
    given: tuple[float, ...] = ()
    pairs: tuple[tuple[int, ...], ...] = ()
    figure: float = 0.0


def questions(plan: Plan) -> tuple[Question, ...]:
    """At most six, on a narrow page three, in the order in which they stand on it; three at least, for every box."""
    found = {one.kind: one for one in _all(plan)}
    most = MOST if plan.spec.page.paper[0] >= NARROW else LEAST
    kept = sorted(found, key=_RANK.index)[:most]
    return tuple(found[kind] for kind in _ORDER if kind in kept)


def _all(plan: Plan) -> Iterator[Question]:
    """All that can be asked of this box at this age."""
    net = plan.net
    known = faces(net)
    age = plan.spec.safety.age or OLDER
    yield from _where(known)
    yield from _alike(known)
    if lines := sum(len(folds_of(part, piece)) for part in parts_of(net) for piece in part.pieces):
        yield Question("folds", figure=lines)
    yield from _flat(known, age)
    yield from _hollow(room_of(net), age)
    yield from _card(plan, age)


def _where(known: Sequence[Face]) -> Iterator[Question]:
    """Where the faces come to be."""
    for kind, pairs in (("meet", meeting(known)), ("opposite", opposite(known)), ("layers", laid_on(known))):
        if pairs:
            yield Question(kind, pairs=pairs)


def _alike(known: Sequence[Face]) -> Iterator[Question]:
    """Faces of one size and shape."""
    groups: list[list[Face]] = []
    for face in known:
        home = next((group for group in groups if _congruent(group[0], face)), None)
        if home is None:
            groups.append([face])
        else:
            home.append(face)
    alike = tuple(tuple(face.number for face in group) for group in groups if len(group) > 1)
    if alike:
        yield Question("twins", pairs=alike)


def _congruent(one: Face, two: Face) -> bool:
    """Whether edges and area agree; that is enough for the faces of boxes."""
    first, second = sorted(one.edges), sorted(two.edges)
    near = len(first) == len(second) and all(abs(a - b) < _SAME for a, b in zip(first, second, strict=True))
    return near and abs(one.area - two.area) < _SAME * max(sum(first), 1.0)


def _flat(known: Sequence[Face], age: int) -> Iterator[Question]:
    """How large faces are: a rectangle, and for those who can, another shape; else the rectangle round one."""
    told = [(face, shape) for face in known if (shape := shape_of(face)) is not None]
    plain = [one for one in told if one[1].kind == "rectangle"]
    other = [one for one in told if one[1].kind != "rectangle"]
    if plain:
        yield _area("area", *max(plain, key=_by_area))
    if other and (age >= OLDER - 1 or not plain):
        yield _area("shape", *max(other, key=_by_area))
    if not told:
        face = max(known, key=lambda one: round(one.area, 3))
        wide, high = face.round_it
        yield Question("around", "rectangle", face.number, (wide, high), figure=wide * high)


def _by_area(one: tuple[Face, Shape]) -> float:
    return round(one[0].area, 3)


def _area(kind: str, face: Face, shape: Shape) -> Question:
    return Question(kind, shape.kind, face.number, shape.given, figure=face.area)


def _hollow(room: Room | None, age: int) -> Iterator[Question]:
    """How much the box holds, and for the older ones its inner surface for each unit of that."""
    if room is None or (room.kind == "frustum" and age < OLDER):
        return
    yield Question("volume", room.kind, given=room.given, figure=room.volume)
    if age >= OLDER and room.surface:
        yield Question("ratio", room.kind, given=(room.surface, room.volume), figure=room.surface / room.volume)


def _card(plan: Plan, age: int) -> Iterator[Question]:
    """What becomes of the card: what is left of its sheets, what the box weighs."""
    needs, (wide, high) = plan.materials, plan.card.sheet
    if needs.paper_mm2:  # what else goes into the box has another weight, and lies on other sheets
        return
    if plan.sheets:
        whole = plan.sheets * wide * high
        kind = "share" if age >= OLDER else "rest"
        figure = (whole - needs.card_mm2) / whole if age >= OLDER else whole - needs.card_mm2
        yield Question("left", kind, plan.sheets, (wide, high, needs.card_mm2), figure=figure)
    yield Question("mass", given=(needs.card_mm2, plan.card.grammage), figure=needs.card_g)

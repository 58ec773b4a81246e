"""A slipcase of rigid board: two faces, a long wall and two short walls that butt, open where a book's spine shows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet.errors import refuse
from booklet.fit import Fit
from booklet.net import Inside, Item, Net
from booklet.spec import Option
from booklet.styles.boards import Boards, facing
from booklet.styles.shapes import LEAST_FLAP
from booklet.thickness import Bears, Thickness

NAME = "slipcase"
OPTIONS: tuple[Option, ...] = ()
SUITS = ("display", "gift", "weight")
SHOWN = Item("block", 157.0, 12.0, 113.0)
BEARS = Bears(least=1.0, crease=3.0, most=3.0, folded=False)


@dataclass(frozen=True, slots=True)
class Sizes:
    """Width and height of a face, the depth of all walls, and the length of a short wall: cut sizes, mm, on the ruler grid."""

    card: Thickness
    face_width: float
    face_height: float
    depth: float
    short_wall: float
    inside: Inside
    item: Item


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """Nothing but air between the boards."""
    return {"length": 0, "width": 0, "height": 0}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded up here once: boards are cut, not folded, so the play asked for is kept whole. Raises Refused.

    Face width = book + one board, face height = book + play + two boards, walls as deep as book + play (a university's
    bookbinding sheet). The item stands as in the finished case, which is open on top: length from head to tail, height from
    fore-edge to spine.
    """
    short_wall = fit.grid.up(fit.read.height + fit.headroom)
    face_width = fit.grid.up(short_wall + card.t)
    face_height = fit.grid.up(fit.read.length + fit.clearance + 2 * card.t)
    depth = fit.grid.up(fit.read.width + fit.clearance)
    if depth < LEAST_FLAP:
        raise refuse(
            "item.width", f"walls {depth:.1f} mm deep are too narrow to be cut from board; use at least {LEAST_FLAP:g} mm with its play."
        )
    inside = Inside(face_height - 2 * card.t, depth, short_wall)
    return Sizes(card, face_width, face_height, depth, short_wall, inside, fit.item)


def net(s: Sizes) -> Net:
    """The five boards."""
    t, boards = s.card.t, Boards(s.card)
    away, end, middle = (s.depth + t) / 2, (s.face_height - t) / 2, s.face_width / 2 - t
    boards.board("face-1", "face", s.face_width, s.face_height, facing((0, -away, middle), "+z", "+x"))
    boards.board("long-wall", "long-wall", s.face_height, s.depth, facing((0, 0, -t / 2), "+x", "+y"))
    boards.board("short-wall-1", "short-wall", s.short_wall, s.depth, facing((-end, 0, s.short_wall / 2), "+z", "-y"))
    boards.board("short-wall-2", "short-wall", s.short_wall, s.depth, facing((end, 0, s.short_wall / 2), "+z", "+y"))
    boards.board("face-2", "face", s.face_width, s.face_height, facing((0, away, middle), "+z", "-x"))
    return Net("", NAME, t, s.inside, False, s.item, tuple(boards.parts), (), butts=boards.butts())

"""A net marked on the outside: the flat seen from its other face."""

from __future__ import annotations

from dataclasses import replace

from booklet import space
from booklet.net import Bond, Face, Fold, Loop, Net, Panel, Part, Piece
from booklet.plane import Line, Ring
from booklet.space import Rows


def marked_outside(net: Net) -> Net:
    """The same box, its flat mirrored: valleys become mountains, marked faces become back faces; it folds to the same places."""
    return replace(
        net,
        marks="outside",
        parts=tuple(_part(part) for part in net.parts),
        bonds=tuple(_bond(bond) for bond in net.bonds),
        butts=tuple(replace(butt, line=_line(butt.line)) for butt in net.butts),
    )


def _ring(ring: Ring) -> Ring:
    """Mirrored, and run the other way so that it stays anticlockwise; the first edge stays the first."""
    turned = tuple((-x + 0.0, y) for x, y in reversed(ring))
    return (*turned[-2:], *turned[:-2])


def _line(line: Line) -> Line:
    return (-line[0][0] + 0.0, line[0][1]), (-line[1][0] + 0.0, line[1][1])


def _rows(place: Rows) -> Rows:
    return space.rows(space.matrix(place) @ space.FLIP_SIDE)


def _part(part: Part) -> Part:
    return replace(
        part,
        places=tuple(_rows(place) for place in part.places),
        panels=tuple(_panel(panel) for panel in part.panels),
        folds=tuple(_fold(fold) for fold in part.folds),
        loops=tuple(Loop(loop.panels, _line(loop.line)) for loop in part.loops),
        pieces=tuple(_piece(piece) for piece in part.pieces),
    )


def _panel(panel: Panel) -> Panel:
    return replace(panel, outline=_ring(panel.outline), holes=tuple(_ring(hole) for hole in panel.holes))


def _fold(fold: Fold) -> Fold:
    return replace(fold, line=_line(fold.line), angle=-fold.angle + 0.0, pivot=-fold.pivot + 0.0, over=-fold.over + 0.0)


def _piece(piece: Piece) -> Piece:
    slits = tuple(tuple((-x + 0.0, y) for x, y in slit) for slit in piece.slits)
    return replace(piece, outline=_ring(piece.outline), holes=tuple(_ring(hole) for hole in piece.holes), slits=slits)


def _bond(bond: Bond) -> Bond:
    other: dict[Face, Face] = {"marked": "back", "back": "marked"}
    return replace(bond, faces=(other[bond.faces[0]], other[bond.faces[1]]), region=_ring(bond.region))

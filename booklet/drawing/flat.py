"""A piece of card drawn flat, on its marked face: what is cut, what is folded, where glue goes.

Everything is in the part's flat frame, mm; the caller places and clips it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from booklet.drawing.pen import LAYER_OF, STROKES, Pen, Stroke, hatch
from booklet.folding import folds_of
from booklet.net import Bond, Net, Part, Piece
from booklet.plane import Affine, bounds, shift

GAP = 10.0
ROW = 600.0
NAME_PT = 9.0
NAME_DROP = 5.0
"""The exported drawing, mm: between pieces, width of a row, and how far under its piece a name stands (chosen by us)."""


def draw_piece(pen: Pen, part: Part, piece: Piece, bonds: Sequence[Bond], *, lines: bool = True, glue: bool = True) -> None:
    """Draw one piece: glue under, lines over. `bonds` may be those of the whole net."""
    if glue:
        draw_glue(pen, part, piece, bonds)
    if lines:
        draw_folds(pen, part, piece)
        draw_cuts(pen, piece)


def draw_cuts(pen: Pen, piece: Piece) -> None:
    """All that the knife follows: the outline, holes and slits."""
    for ring in (piece.outline, *piece.holes):
        pen.path(ring, STROKES["cut"], "Cutting", closed=True)
    for slit in piece.slits:
        pen.path(slit, STROKES["cut"], "Cutting")


def draw_folds(pen: Pen, part: Part, piece: Piece) -> None:
    """The folds within the piece, valleys and mountains by their dashes."""
    for fold in folds_of(part, piece):
        kind = "valley" if fold.bends > 0 else "mountain"
        pen.path(fold.line, STROKES[kind], LAYER_OF[kind])


def draw_glue(pen: Pen, part: Part, piece: Piece, bonds: Sequence[Bond]) -> None:
    """Glue on a bond's first panel: hatched on the marked face, a dotted outline where it goes on the back."""
    for bond in bonds:
        name, panel = bond.panels[0]
        if name == part.name and panel in piece.panels:
            if bond.faces[0] == "marked":
                hatch(pen, bond.region)
            else:
                pen.path(bond.region, BACK, "Gluing", closed=True)


BACK: Stroke = STROKES["hidden"]
"""Outline of glue that goes on the face that is not seen."""


@dataclass(frozen=True, slots=True)
class Laid:
    """A piece and where it lies in an exported drawing."""

    part: Part
    piece: Piece
    place: Affine

    @property
    def name(self) -> str:
        """The piece's name, and how many of its part one box takes when there is more than one."""
        copies = len(self.part.places)
        return f"{self.piece.name} x {copies}" if copies > 1 else self.piece.name


def laid_out(net: Net) -> tuple[tuple[Laid, ...], tuple[float, float]]:
    """All pieces side by side in rows of about `ROW` mm, true to size, first row on top; and the drawing's width and height."""
    rows = list(_rows(net))
    high, wide, laid = GAP, 0.0, []
    for row in reversed(rows):
        x, foot = GAP, high + NAME_DROP
        for part, piece in row:
            x0, y0, x1, y1 = bounds(piece.outline)
            laid.append(Laid(part, piece, shift(x - x0, foot - y0)))
            x += x1 - x0 + GAP
            high = max(high, foot + y1 - y0 + GAP)
        wide = max(wide, x)
    order = {piece.name: i for i, (_, piece) in enumerate(_pieces(net))}
    return tuple(sorted(laid, key=lambda one: order[one.piece.name])), (wide, high)


def _pieces(net: Net) -> Iterator[tuple[Part, Piece]]:
    return ((part, piece) for part in net.parts for piece in part.pieces)


def _rows(net: Net) -> Iterator[list[tuple[Part, Piece]]]:
    """Pieces in the net's order, a new row where the next one would pass the width."""
    row: list[tuple[Part, Piece]] = []
    used = GAP
    for part, piece in _pieces(net):
        x0, _, x1, _ = bounds(piece.outline)
        if row and used + x1 - x0 + GAP > ROW:
            yield row
            row, used = [], GAP
        row.append((part, piece))
        used += x1 - x0 + GAP
    if row:
        yield row


def draw_net(pen: Pen, net: Net) -> tuple[float, float]:
    """The exported drawing: every piece with its name under it; gives its width and height in mm."""
    laid, size = laid_out(net)
    for one in laid:
        with pen.placed(one.place):
            draw_piece(pen, one.part, one.piece, net.bonds)
            x0, y0, _, _ = bounds(one.piece.outline)
            pen.text((x0, y0 - NAME_DROP + 1), one.name, NAME_PT, layer="Legend")
    return size

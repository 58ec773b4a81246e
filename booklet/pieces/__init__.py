"""The net cut into the fewest pieces that fit the card.

A part is cut only at folds that a style allows; the panel named as the fold's carrier then gets a glue flap, which lies on the
inside of the other panel. All sets of a number of cuts are tried before any larger number (`cutting`). A panel larger than the
card is joined across where that is allowed (`splice`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely

from booklet.card import Card
from booklet.check import Check, at_most
from booklet.errors import refuse
from booklet.grid import Grid, Units
from booklet.lengths import tell
from booklet.net import Net, Part, Piece
from booklet.pieces.alike import same_piece, shared, turns_of
from booklet.pieces.cutting import Cutting, fits, least_bad, search
from booklet.pieces.splice import spliced, unspliced
from booklet.tolerance import COMPUTED


def cut(net: Net, card: Card, units: Units = "mm", splice: bool = False, printed: bool = False) -> Net:
    """The net with its pieces, and the glue flaps and bonds of its joints.

    `splice`: a panel that is larger than the card may be joined across by a strip. `printed`: the card is the printer's page.
    Raises Refused, with the size of card that would do, where a piece that cannot be cut further does not fit.
    """
    bare = net
    for part in bare.parts:
        best = _best(net, part, card, units, splice)
        if best is None:
            raise _too_large(bare, part, card, units, printed)
        net = _applied(*best)
    return replace(net, parts=shared(net.parts, turns_of(card)))


def _best(net: Net, part: Part, card: Card, units: Units, splice: bool) -> tuple[Net, Cutting] | None:
    """The net, spliced where that is needed and allowed, and how its part is cut; None where a piece is too large."""
    found = search(unspliced(net, part), card)
    if found is not None:
        return net, found
    return spliced(net, part, card, Grid(units)) if splice else None


def _too_large(net: Net, part: Part, card: Card, units: Units, printed: bool) -> Exception:
    cutting = _smallest(net, part, card)
    groups = zip(cutting.sizes, cutting.groups, strict=True)
    size, names = max(groups, key=lambda pair: (not fits(card, pair[0]), max(pair[0])))
    have = " x ".join(tell(side, units) for side in card.usable)
    need = " x ".join(tell(side, units) for side in _card_for(net, card, Grid(units)))
    splice = "" if card.splice else ", splice = true under [card] to join it from two"
    name = cutting.part.panel[names[0]].body or names[0]
    told = f"the piece with {name!r} of the {cutting.part.name} is {tell(size[0], units)} x {tell(size[1], units)}"
    if printed:
        way = f'use paper of at least {need}, print_on = "paper" to trace templates on to larger card{splice}, or a smaller item.'
        return refuse("page.paper", f"{told} and cannot be cut further, but a page printed on the card leaves {have}; {way}")
    way = f"use card of at least {need}{splice}, or a smaller item."
    return refuse("card.sheet", f"{told} and cannot be cut further, but the card leaves {have}; {way}")


def _smallest(net: Net, part: Part, card: Card) -> Cutting:
    return least_bad(unspliced(net, part), card) or Cutting(part, (), ())


def _card_for(net: Net, card: Card, grid: Grid) -> tuple[float, float]:
    """A sheet that would do for all parts, width and height in mm: where its smallest pieces do not go together, one for uncut parts."""
    small = [size for part in net.parts for size in _smallest(net, part, card).sizes]
    whole = [size for part in net.parts for size in Cutting(part, (), ()).sizes]
    first, last = (_sheet_for(sizes, card, grid) for sizes in (small, whole))
    does = replace(card, sheet=first)
    return first if all(search(unspliced(net, part), does, any_one=True) for part in net.parts) else last


def _sheet_for(sizes: Sequence[tuple[float, float]], card: Card, grid: Grid) -> tuple[float, float]:
    """The smallest sheet on which each of some pieces goes, turned if its grain allows."""
    kept = card.keep_grain and card.grain != "unknown"
    sides = [size if kept else sorted(size) for size in sizes]
    first, last = (grid.up(max(size[k] for size in sides) + 2 * card.edge) for k in (0, 1))
    return (last, first) if kept and card.grain == "second" else (first, last)


def _applied(net: Net, cutting: Cutting) -> Net:
    """The net with one part cut: parts and bonds."""
    parts = tuple(cutting.whole if p.name == cutting.part.name else p for p in net.parts)
    return replace(net, parts=parts, bonds=net.bonds + cutting.bonds)


def least(net: Net, card: Card) -> int:
    """A number of pieces below which nobody can go.

    Without a splice it is what was found, since every smaller number of cuts was tried; a part with a splice takes at least two pieces
    and as many as its area asks for.
    """
    return sum(_least_of(part, card) for part in net.parts)


def _least_of(part: Part, card: Card) -> int:
    own = [panel for panel in part.panels if panel.role != "splice-strip"]
    if len(own) == len(part.panels):
        return len(part.pieces)
    area = sum(shapely.Polygon(panel.outline, panel.holes).area for panel in own)
    return max(2, -int(-area // (card.usable[0] * card.usable[1])))


def checks(net: Net, card: Card) -> list[Check]:
    """Each piece fits the card; together they are the net; a template serves only pieces that are the same."""
    pieces = [(part, piece) for part in net.parts for piece in part.pieces]
    beyond = sum(not fits(card, piece.size) for _, piece in pieces)
    names = [(part.name, name) for part, piece in pieces for name in piece.panels]
    wanted = [(part.name, panel.name) for part in net.parts for panel in part.panels]
    by_name = {piece.name: piece for _, piece in pieces}
    turns = turns_of(card)
    unlike = sum(p is not by_name[p.template] and not same_piece(part, by_name[p.template], p, turns) for part, p in pieces)
    missed = len(set(wanted) ^ set(names)) + len(names) - len(set(names))
    worst = max((_off(part, p) for part, p in pieces), default=0.0)
    return [
        at_most("pieces.fit", beyond, 0, "pieces", "Every piece fits the card inside its edges."),
        at_most("pieces.whole", missed, 0, "panels", "Every panel is in one piece."),
        at_most("pieces.outline", worst, COMPUTED, "mm2", "Every outline is that of its panels."),
        at_most("pieces.template", unlike, 0, "pieces", "A template serves only pieces that are the same."),
    ]


def _off(part: Part, piece: Piece) -> float:
    """Area by which a piece's outline differs from its panels, mm2."""
    shapes = [shapely.Polygon(part.panel[n].outline, part.panel[n].holes) for n in piece.panels]
    return float(shapely.union_all(shapes, grid_size=1e-6).symmetric_difference(shapely.Polygon(piece.outline, piece.holes)).area)


__all__: Sequence[str] = ("checks", "cut", "fits", "least")

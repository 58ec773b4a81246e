"""The finished file read back by another library and measured: what is on paper is the net, true to size."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import shapely

from booklet import on_card, printshop, tiles
from booklet.check import Check, at_most
from booklet.cuts import scored
from booklet.drawing.pen import LAYER_OF
from booklet.folding import folds_of
from booklet.on_card import Ink
from booklet.pages.book import Book
from booklet.pdf.read import FinishedFile, Segment
from booklet.plan import Plan
from booklet.plane import Affine, length
from booklet.spec.model import BAR
from booklet.ticks import KINDS, Kind
from booklet.tiles import Tile
from booklet.tolerance import COMPUTED

_STRAY = 0.2
_CUT = ("Cutting",)
_FOLDS = ("Creasing", "ReverseCreasing")
KIND_OF: Mapping[str, Kind] = {LAYER_OF[kind]: kind for kind in KINDS}
"""What the marks of a layer tell."""


def checks(book: Book, plan: Plan, data: bytes | None = None) -> list[Check]:
    """Page boxes, print scaling, bars and template lines. `data`: another file's bytes in place of the book's."""
    file = FinishedFile(book.data if data is None else data)
    found = [_sizes(file, plan, book), _scaling(file)]
    if book.print_check:
        found.append(_bars(file, book.print_check - 1, plan.spec.page.scale))
    if book.net:
        found.append(_print_shop(file.lines(book.net - 1), plan))
    drawn = {leaf: file.lines(page - 1) for leaf, page in book.page_of.items()}
    if not drawn:
        return found
    return [*found, *(_on_card(drawn, plan) if on_card.asked(plan.spec) else _templates(drawn, plan))]


def _print_shop(drawn: Sequence[Segment], plan: Plan) -> Check:
    """The net for a print shop: each line in its layer, mirrored where the net is marked on the inside, valleys then mountains."""
    wanted: dict[str, list[Any]] = {"Cutting": [], "Creasing": [], "ReverseCreasing": [], "PartialCutting": []}
    outside = plan.net.marks == "outside"
    for one in printshop.sheet_of(plan.net).laid:
        part, place = plan.net.part[one.part.name], printshop.from_marked(plan.net, one)
        piece = next(p for p in part.pieces if p.name == one.piece.name)
        cut = [*((*ring, ring[0]) for ring in (piece.outline, *piece.holes)), *piece.slits]
        wanted["Cutting"] += [place.ring(line) for line in cut]
        for fold in folds_of(part, piece):
            valley = "Creasing" if (fold.bends > 0) == outside else "ReverseCreasing"
            wanted["PartialCutting" if fold.way == "half-cut" else valley].append(place.ring(fold.line))
    off = 0.0
    for layer, lines in wanted.items():
        have, want = shapely.MultiLineString([s.line for s in drawn if s.layer == layer]), shapely.MultiLineString(lines)
        off = max(off, want.difference(have.buffer(COMPUTED)).length, have.difference(want.buffer(COMPUTED)).length)
    return at_most(
        "paper.print-shop", off, _STRAY, "mm", "The lines for a print shop are the net's as seen from outside, each in its layer."
    )


def _templates(drawn: Mapping[int, Sequence[Segment]], plan: Plan) -> list[Check]:
    """Template pages: the lines of the net, each where it is."""
    cut = [_strays(lines, plan, leaf, _CUT) for leaf, lines in drawn.items()]
    folds = [_strays(lines, plan, leaf, _FOLDS) for leaf, lines in drawn.items()]
    return [
        at_most("paper.cuts", max(cut, default=0.0), _STRAY, "mm", "The cut lines on paper are the net's, each where the net has it."),
        at_most("paper.folds", max(folds, default=0.0), _STRAY, "mm", "The fold lines on paper are the net's, each where the net has it."),
    ]


def _on_card(drawn: Mapping[int, Sequence[Segment]], plan: Plan) -> list[Check]:
    """Pages on the card itself: nothing is stroked on a piece, and marks tell every line of it."""
    page, missing, deep, over = plan.spec.page, 0, 0.0, 0.0
    for leaf, segments in drawn.items():
        pieces = on_card.on_sheet(plan.net, plan.placed, leaf)
        ink = [_ink(segment, page.scale) for segment in segments]
        missing += len(on_card.unmarked(pieces, ink))
        deep = max(deep, on_card.depth(pieces, ink))
        over = max(over, on_card.beyond([one.line for one in ink], tiles.printable(page)))
    return [
        at_most("paper.marks", missing, 0, "lines", "Marks on the printed card tell every line of every piece."),
        at_most("paper.waste", deep, COMPUTED, "mm", "Nothing is printed on a piece."),
        at_most("paper.printable", over, COMPUTED, "mm", "Nothing is printed in the margins of the card."),
    ]


def _ink(segment: Segment, scale: tuple[float, float]) -> Ink:
    """A stroke as the printer prints it."""
    to_true = Affine(scale[0], 0, 0, scale[1])
    return Ink(KIND_OF.get(segment.layer or ""), (to_true(segment.a), to_true(segment.b)), segment.width)


def _sizes(file: FinishedFile, plan: Plan, book: Book) -> Check:
    """Every page is the paper of its file, upright or turned, all of it shown, not turned by the viewer."""
    w, h = book.paper
    wanted = {book.page_of[tile.leaf]: tile.paper for tile in plan.tiles if tile.leaf in book.page_of}
    off = 0.0
    for number, page in enumerate(file.pages, 1):
        want = wanted.get(number, (w, h))
        off = max(off, *(abs(a - b) for a, b in zip(page.size, want, strict=True)))
        if page.turned or not page.whole or page.unit != 1.0:
            off = max(off, w)
    return at_most("paper.size", off, COMPUTED, "mm", "Every page is as large as the paper.")


def _scaling(file: FinishedFile) -> Check:
    bad = int(file.print_scaling != "None")
    return at_most("paper.scaling", bad, 0, "settings", "The file asks the printer for no scaling.")


def _bars(file: FinishedFile, index: int, scale: tuple[float, float]) -> Check:
    """On the print check a line in each direction is the bar's length over the printer's correction."""
    lines = [s for s in file.lines(index) if length(s.line) > 10]
    off = [
        min((abs(length(s.line) - BAR / scale[axis]) for s in lines if abs(s.a[1 - axis] - s.b[1 - axis]) < 1e-6), default=BAR)
        for axis in (0, 1)
    ]
    return at_most("paper.bars", max(off), COMPUTED, "mm", "The bars of the print check are true to size in both directions.")


def _strays(drawn: Sequence[Segment], plan: Plan, leaf: int, layers: Sequence[str]) -> float:
    """Length of lines in some layers that are on a page but not in the net's windows there, or the other way, true mm."""
    own = [tile for tile in plan.tiles if tile.leaf == leaf]
    to_true = Affine(a=own[0].scale[0], d=own[0].scale[1])
    have = shapely.MultiLineString([(to_true(s.a), to_true(s.b)) for s in drawn if s.layer in layers])
    want = shapely.union_all([_on_page(plan, tile, layers) for tile in own])
    missing = want.difference(have.buffer(COMPUTED)).length
    added = have.difference(want.buffer(COMPUTED)).length
    return float(max(missing, added))


def _on_page(plan: Plan, tile: Tile, layers: Sequence[str]) -> Any:
    """The net's lines in a tile's window, as they should stand on its page."""
    lines = [tile.to_page.ring(line) for line in _wanted(plan, tile, layers)]
    return shapely.MultiLineString(lines).intersection(shapely.box(*tile.on_page))


def _wanted(plan: Plan, tile: Tile, layers: Sequence[str]) -> list[Any]:
    """The net's lines of a template, in its part's flat frame."""
    part = plan.net.part[tile.part]
    piece = next(p for p in part.pieces if p.name == tile.piece)
    if layers == _FOLDS:
        return [line for line, _ in scored(part, piece)]
    rings = [[*ring, ring[0]] for ring in (piece.outline, *piece.holes)]
    return [*rings, *(list(slit) for slit in piece.slits)]

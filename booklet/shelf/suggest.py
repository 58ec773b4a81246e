"""Which styles can hold a thing in the card at hand, the best first, and why.

**How it ranks.** Every style is built around the thing and cut for the card, which takes a few hundredths of a second; nothing is
searched. A style gets points, of which fewer are better; the weights are chosen by us, one of them about a minute of work:

- a minute of cutting, scoring, folding and gluing, at the pace that the booklet tells: 1;
- a sheet of card: 10 (it is bought, and marked out or traced on), and 10 more times the share of card that is wasted;
- a piece: 2 (it is aligned and joined), a bond that is glued: 1 beside its minutes (it is pressed and waited for);
- each kind of fold that hands treat alike: 1 (about a step);
- 15 where the style that the spec names closes and this one stays open: the maker wants a box that is shut;
- 8 less for each thing that the style is good for and that is known to matter: a heavy thing, a round one, many boxes to be kept flat.

Sheets and waste are told by area first, below which nobody can go; the pieces of the best eight are then laid out on the card and ranked
once more. The best three are planned in full, proof and all, and come first, told with true figures, in the order of their points by
these; one that fails there is told with its reason, and the next is planned. The others keep their bounds. Minutes count as they are
before the steps are known, so that all are measured alike.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from types import MappingProxyType

from booklet import materials, on_card, plane, planning, sheets
from booklet.card import Card
from booklet.errors import BookletError
from booklet.folding import folder
from booklet.net import Net, Part, Piece
from booklet.plan import Plan
from booklet.shelf.why import Reason, reasons
from booklet.spec import Spec
from booklet.steps import like
from booklet.styles import Style, shelf
from booklet.thickness import Thickness, way_of

MINUTE, SHEET, WASTE, PIECE, BOND, KIND = 1.0, 10.0, 10.0, 2.0, 1.0, 1.0
OPEN, GOOD_FOR = 15.0, 8.0
"""Points; see above (all chosen by us)."""

LAID, PLANNED, TRIED = 8, 3, 4
"""So many are laid out on the card, and planned in full; no more than so many plans are tried, as one that fails takes the longest."""

HEAVY = 500.0
"""g: from here on a thing is heavy for a card box (chosen by us)."""

MANY = 10
"""Copies from which boxes that are kept flat count (chosen by us)."""


@dataclass(frozen=True)
class Figures:
    """What a box takes. `waste`: the share of whole sheets in no piece; `glue`: bonds.

    `laid`: sheets and waste are those of a layout; `true`: steps and minutes are those of a plan. Else they are bounds.
    """

    pieces: int
    sheets: int
    waste: float
    glue: int
    panels: int
    steps: int
    minutes: int
    laid: bool = False
    true: bool = False


@dataclass(frozen=True)
class Suggestion:
    """A style that can hold the thing. `points`: fewer are better; `good_for`: what it is good for and the thing asks for."""

    name: str
    figures: Figures
    closed: bool
    points: float
    good_for: tuple[str, ...]
    why: str = ""


@dataclass(frozen=True)
class Cannot:
    """A style that cannot, and why."""

    name: str
    why: str


@dataclass(frozen=True)
class Built:
    """A style built around the thing and cut for the card. `sheet`: what its pieces are laid on."""

    spec: Spec
    style: Style
    net: Net
    sheet: Card
    figures: Figures


def suggest(spec: Spec, named: bool = True) -> tuple[list[Suggestion], list[Cannot]]:
    """The styles that can hold the item of a spec, the best first, and those that cannot. `named`: the spec says its style itself."""
    built, cannot = _all_built(spec, named)
    own = next((one for one in built if named and one.spec.style == spec.style), None)
    closed = own is not None and own.net.closed
    nets = {one.spec.style: one for one in built}
    rough = sorted((_suggested(one, one.figures, closed) for one in built), key=_rank)
    left = sorted((_suggested(nets[one.name], _laid(nets[one.name]), closed) for one in rough[:LAID]), key=_rank) + rough[LAID:]
    best: list[Suggestion] = []
    for _ in range(TRIED):
        if not left or len(best) == PLANNED:
            break
        one = nets[left.pop(0).name]
        try:
            best.append(_suggested(one, _planned(one.spec), closed))
        except Exception as error:
            cannot.append(Cannot(one.spec.style, _told(error)))
    ranked = [*sorted(best, key=_rank), *sorted(left, key=_rank)]
    told = reasons([_reason(one) for one in ranked], own.spec.style if own else "", closed)
    order = list(shelf())
    return [replace(one, why=why) for one, why in zip(ranked, told, strict=True)], sorted(cannot, key=lambda c: order.index(c.name))


def _rank(one: Suggestion) -> tuple[float, str]:
    return round(one.points, 6), one.name


def _reason(one: Suggestion) -> Reason:
    f = one.figures
    return Reason(one.name, f.sheets, f.pieces, f.glue, f.minutes, one.closed, one.good_for, f.laid, f.true)


def _all_built(spec: Spec, named: bool) -> tuple[list[Built], list[Cannot]]:
    built, cannot = [], []
    for name in shelf():
        try:
            one = _built(_spec_of(spec, name, named))
        except Exception as error:
            cannot.append(Cannot(name, _told(error)))
        else:
            if all(part.role == "insert" for part in one.net.parts):
                cannot.append(Cannot(name, "it is an insert, which goes into another box."))
            else:
                built.append(one)
    return built, cannot


def _told(error: Exception) -> str:
    """Why a style cannot. A style is a module that anybody may write: one that breaks must not hide the others."""
    if isinstance(error, BookletError):
        return "; ".join(str(fault) for fault in error.faults)
    return f"its net cannot be made ({type(error).__name__}: {' '.join(str(error).split())[:120]})"


def _spec_of(spec: Spec, name: str, named: bool) -> Spec:
    """The spec with another style, its options by default; a window is in a panel of the style that is named, so it goes."""
    if named and name == spec.style:
        return spec
    box = {option.name: option.resolved(spec.units) for option in shelf()[name].OPTIONS}
    return replace(spec, style=name, box=MappingProxyType(box), window=None)


def _built(spec: Spec) -> Built:
    """A style built and cut. Raises Refused for what it or the card cannot give."""
    style, card = shelf()[spec.style], spec.card
    sheet = on_card.sheet_card(spec) if on_card.asked(spec) else card
    thick = Thickness(card.caliper, way_of(card.caliper, card.fold, style.BEARS))
    net = planning.net_of(spec, sheet, planning.fit_of(spec), thick)
    area = sum(_area(piece) * len(part.places) for part in net.parts for piece in part.pieces)
    least = max(1, math.ceil(area / math.prod(sheet.usable)))
    minutes = materials.reckon(net, sheet.grammage, least, 0).minutes
    waste = 1 - area / (least * math.prod(sheet.sheet))
    return Built(spec, style, net, sheet, _figures(net, least, waste, _least_steps(net), minutes))


def _area(piece: Piece) -> float:
    """mm2 of card in a piece."""
    return abs(plane.area(piece.outline)) - sum(abs(plane.area(hole)) for hole in piece.holes)


def _laid(one: Built) -> Figures:
    """The figures with the sheets that the pieces take."""
    count = max((placed.sheet for placed in sheets.lay(one.net, one.sheet)), default=0)
    return replace(one.figures, sheets=count, waste=sheets.waste(one.net, one.sheet, count), laid=True)


def _figures(net: Net, count: int, waste: float, steps: int, minutes: int) -> Figures:
    pieces = sum(len(part.pieces) * len(part.places) for part in net.parts)
    glue, panels = len(net.bonds) + len(net.butts), sum(len(part.panels) for part in net.parts)
    return Figures(pieces, count, waste, glue, panels, steps, minutes)


def _least_steps(net: Net) -> int:
    """Steps below which nobody can go: each part is scored, pre-creased, folded, and brought to the first one; the item is put in."""
    return sum(1 + 2 * any(fold.angle for fold in part.folds) for part in net.parts) + len(net.parts)


def _planned(spec: Spec) -> Figures:
    """The figures of the whole plan. Raises Refused, or ProofFailed with every check that fails."""
    from booklet.make import proven

    plan: Plan = proven(spec)
    waste = sheets.waste(plan.net, plan.card, plan.sheets)
    found = _figures(plan.net, plan.sheets, waste, len(plan.net.steps), plan.materials.minutes)
    return replace(found, laid=True, true=True)


def _suggested(one: Built, figures: Figures, closed: bool) -> Suggestion:
    """A style with its points. `closed`: whether the maker wants a box that is shut."""
    good_for = tuple(key for key in _asked(one.spec) if key in one.style.SUITS)
    points = MINUTE * one.figures.minutes + SHEET * figures.sheets + WASTE * figures.waste + PIECE * figures.pieces
    points += BOND * figures.glue + KIND * _kinds(one.net) + OPEN * (closed and not one.net.closed) - GOOD_FOR * len(good_for)
    return Suggestion(one.spec.style, figures, one.net.closed, points, good_for)


def _asked(spec: Spec) -> Iterator[str]:
    """What the thing is known to ask for, as keys of the words [suits]."""
    if spec.item.weight is not None and spec.item.weight >= HEAVY:
        yield "weight"
    if spec.item.shape == "round":
        yield "round"
    if spec.booklet.copies >= MANY:
        yield "flat"


def _kinds(net: Net) -> int:
    """How many kinds of folds hands treat alike."""
    return sum(len(like.groups(folder(part), net.bonds, _turned(part))) for part in net.parts)


def _turned(part: Part) -> list[str]:
    return [fold.name for fold in part.folds if fold.angle and fold.kind == "crease"]

"""From a spec to the frozen plan: one function from one value to the next, in the order of DEVELOPERS.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from booklet import (
    artwork,
    covering,
    cuts,
    handout,
    inserts,
    marking,
    materials,
    on_card,
    pieces,
    proof,
    sheets,
    steps,
    tiles,
    warnings,
    windows,
)
from booklet import card as card_room
from booklet.card import Card
from booklet.check import Check
from booklet.errors import Refused, refuse
from booklet.fit import Fit
from booklet.marked import marked_outside
from booklet.net import Item, Net
from booklet.pieces import splice
from booklet.plan import Plan
from booklet.replay import Replay
from booklet.spec import Spec, Window
from booklet.styles import shelf
from booklet.thickness import Thickness, marked_face, way_of


def plan_of(spec: Spec) -> Plan:
    """Everything that a booklet tells, with all checks. Raises Refused for what the style or the card cannot give."""
    way = way_of(spec.card.caliper, spec.card.fold, shelf()[spec.style].BEARS)
    fit, card = fit_of(spec), Thickness(spec.card.caliper, way, covering=covering.under_a_lid(spec))
    sheet = on_card.sheet_card(spec) if on_card.asked(spec) else spec.card
    ready = spec.supplied == "pre-cut"
    net = replace(net_of(spec, sheet, fit, card), ready=ready)
    artwork.checked(net, spec.artwork)
    net = steps.found(net, batch=spec.booklet.copies > 1)
    checks, played = proven(net, fit, spec.window)
    _joined_soundly(net, checks)
    checks = covering.retold(checks, card.covering)
    placed = sheets.lay(net, sheet)
    copies = spec.booklet.copies
    # what is printed on the card is one box, printed again for each
    many = sheets.gang(net, sheet, copies) if copies > 1 and not on_card.asked(spec) and not handout.own_sheets(spec) else None
    work = _own_work(spec, net, card, placed)
    needs = materials.reckon(net, sheet.grammage, max((p.sheet for p in placed), default=0), _to_tape(work.tiles))
    checks += [
        *(check for check in pieces.checks(net, sheet) if not (ready and check.name == "pieces.template")),
        *sheets.checks(net, sheet, placed),
        *work.checks,
    ]
    checks += [*card_room.checks(spec.card), *warnings.checks(spec, card, net, placed)]
    plan = Plan(spec, sheet, fit, card, net, played, placed, many, work.tiles, work.cuts, work.marking, needs, tuple(checks))
    handout.allowed(plan)
    # the covering is proven where it is asked for; the usual one that a booklet offers is worked out when it is told
    return replace(plan, checks=(*checks, *covering.checks(plan.covering, plan.solid))) if spec.covering else plan


@dataclass(frozen=True, slots=True)
class _Work:
    """What is done on the card before it is folded, and its checks; nothing where the card comes cut and scored."""

    tiles: tuple[tiles.Tile, ...] = ()
    cuts: tuple[cuts.Cut, ...] = ()
    marking: tuple[marking.MarkedPiece, ...] = ()
    checks: tuple[Check, ...] = ()


def _own_work(spec: Spec, net: Net, card: Thickness, placed: tuple[sheets.Placed, ...]) -> _Work:
    """Templates on pages, the order of knife and ruler, and points to mark out."""
    if net.ready:
        return _Work()
    printed = on_card.asked(spec)
    leaves = on_card.cover(net, spec.page, placed) if printed else tiles.cover(net, spec.page)
    cut, marked = cuts.order(net), marking.marked(net, card.way, spec.units)
    drawn = on_card.checks(net, spec.page, placed, leaves) if printed else tiles.checks(net, spec.page, leaves)
    return _Work(leaves, cut, marked, (*drawn, *cuts.checks(net, cut), *marking.checks(net, marked, spec.units)))


def _joined_soundly(net: Net, checks: Sequence[Check]) -> None:
    """Panels joined across are a best find, not proven beforehand: where the box then does not fold, the card is too small for it."""
    bad = next((check for check in checks if not check.ok and check.level == "fault"), None)
    if bad and any(fold.kind == "splice" for part in net.parts for fold in part.folds):
        told = f"with panels joined across this box does not fold as it has to ({bad.text.rstrip('.')}: {bad.figure:.2f} {bad.unit})"
        raise refuse("card.splice", f"{told}; use a larger sheet of card, or another style")


def proven(net: Net, fit: Fit, window: Window | None = None) -> tuple[list[Check], Replay]:
    """The proof of a net, with what is to be proven of its inserts and its window."""
    checks, played = proof.prove(net, fit)
    if len(checks) > 1:
        solid = proof.Solid(net, played)
        checks = inserts.retold(checks, [*inserts.checks(solid, fit), *windows.checks(solid, window)])
    return checks, played


def _to_tape(leaves: tuple[tiles.Tile, ...]) -> int:
    """Pages that have to be joined to another."""
    return sum(bool(tile.neighbours) for tile in leaves)


def fit_of(spec: Spec) -> Fit:
    """The thing and its play, as the maker reads them."""
    item = spec.item
    measured = Item(item.shape, item.length.mm, item.width.mm, item.height.mm)
    return Fit(measured, Item(item.shape, *item.size), spec.fit.clearance, spec.fit.headroom, spec.booklet.grid)


def net_of(spec: Spec, sheet: Card, fit: Fit, card: Thickness) -> Net:
    """The net of the spec's style, cut to fit the sheet of card and marked on the face that the spec or the card asks for.

    With an insert the box is built for all that it holds, and the insert to fit the box.
    """
    insert = inserts.wanted(spec, fit, card)
    held = insert.content if insert else fit
    net = _styled(spec, held, card)
    within = inserts.fitted(net, insert) if insert else None
    try:
        net = _cut(spec, sheet, net)
    except Refused:
        if not sheet.splice:
            raise
        net = _joined_across(spec, sheet, held, card, net.closed)
        within = inserts.fitted(net, insert) if insert else None
    if within:
        net = inserts.joined(net, _cut(spec, sheet, within), fit.item)
    windows.allowed(net, spec.window)
    return marked_outside(net) if marked_face(card.t, spec.marks) == "outside" else net


def _styled(spec: Spec, fit: Fit, card: Thickness) -> Net:
    """The uncut net of the spec's style with its window."""
    style = shelf()[spec.style]
    net = replace(style.net(style.sizes(fit, card, spec.box)), title=spec.title)
    return windows.allowed(windows.cut_out(net, spec.window), spec.window)


def _cut(spec: Spec, sheet: Card, net: Net) -> Net:
    return pieces.cut(net, sheet, spec.units, printed=on_card.asked(spec))


def _joined_across(spec: Spec, sheet: Card, fit: Fit, card: Thickness, closed: bool) -> Net:
    """The net of a box with panels joined across by strips, built larger by what they take: a layer on each wall, floor and top."""
    t = card.t
    top = t if closed else 0.0
    read = replace(fit.read, length=fit.read.length + 2 * t, width=fit.read.width + 2 * t, height=fit.read.height + t + top)
    larger = _styled(spec, replace(fit, read=read), replace(card, strips=1))
    net = splice.moved_up(larger, floor=t, top=top, side=t)
    return pieces.cut(net, sheet, spec.units, splice=True, printed=on_card.asked(spec))

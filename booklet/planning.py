"""From a spec to the frozen plan: one function from one value to the next, in the order of DEVELOPERS.md."""

from __future__ import annotations

from dataclasses import replace

from booklet import card as card_room
from booklet import cuts, inserts, marking, materials, on_card, pieces, proof, sheets, steps, tiles, warnings, windows
from booklet.card import Card
from booklet.check import Check
from booklet.errors import Refused
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
    fit, card = fit_of(spec), Thickness(spec.card.caliper, way_of(spec.card.caliper, spec.card.fold, shelf()[spec.style].BEARS))
    sheet = on_card.sheet_card(spec) if on_card.asked(spec) else spec.card
    net = steps.found(net_of(spec, sheet, fit, card), batch=spec.booklet.copies > 1)
    checks, played = proven(net, fit, spec.window)
    placed = sheets.lay(net, sheet)
    copies = spec.booklet.copies
    # what is printed on the card is one box, printed again for each
    many = sheets.gang(net, sheet, copies) if copies > 1 and not on_card.asked(spec) else None
    leaves = on_card.cover(net, spec.page, placed) if on_card.asked(spec) else tiles.cover(net, spec.page)
    cut, marked = cuts.order(net), marking.marked(net, card.way, spec.units)
    needs = materials.reckon(net, sheet.grammage, max((p.sheet for p in placed), default=0), _to_tape(leaves))
    checks += [
        *pieces.checks(net, sheet),
        *sheets.checks(net, sheet, placed),
        *(on_card.checks(net, spec.page, placed, leaves) if on_card.asked(spec) else tiles.checks(net, spec.page, leaves)),
        *cuts.checks(net, cut),
        *marking.checks(net, marked, spec.units),
    ]
    checks += [*card_room.checks(spec.card), *warnings.checks(spec, card, net, placed)]
    return Plan(spec, sheet, fit, card, net, played, placed, many, leaves, cut, marked, needs, tuple(checks))


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

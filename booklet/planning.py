"""From a spec to the frozen plan: one function from one value to the next, in the order of DEVELOPERS.md."""

from __future__ import annotations

from dataclasses import replace

from booklet import card as card_room
from booklet import cuts, marking, materials, on_card, pieces, proof, sheets, steps, tiles, warnings
from booklet.card import Card
from booklet.errors import Refused
from booklet.fit import Fit
from booklet.marked import marked_outside
from booklet.net import Item, Net
from booklet.pieces import splice
from booklet.plan import Plan
from booklet.spec import Spec
from booklet.styles import shelf
from booklet.thickness import Thickness, marked_face, way_of


def plan_of(spec: Spec) -> Plan:
    """Everything that a booklet tells, with all checks. Raises Refused for what the style or the card cannot give."""
    fit, card = fit_of(spec), Thickness(spec.card.caliper, way_of(spec.card.caliper, spec.card.fold, shelf()[spec.style].BEARS))
    sheet = on_card.sheet_card(spec) if on_card.asked(spec) else spec.card
    net = steps.found(net_of(spec, sheet, fit, card), batch=spec.booklet.copies > 1)
    checks, played = proof.prove(net, fit)
    placed = sheets.lay(net, sheet)
    copies = spec.booklet.copies
    # what is printed on the card is one box, printed again for each
    many = sheets.gang(net, sheet, copies) if copies > 1 and not on_card.asked(spec) else None
    windows = on_card.cover(net, spec.page, placed) if on_card.asked(spec) else tiles.cover(net, spec.page)
    cut, marked = cuts.order(net), marking.marked(net, card.way, spec.units)
    needs = materials.reckon(net, sheet.grammage, max((p.sheet for p in placed), default=0), _to_tape(windows))
    checks += [
        *pieces.checks(net, sheet),
        *sheets.checks(net, sheet, placed),
        *(on_card.checks(net, spec.page, placed, windows) if on_card.asked(spec) else tiles.checks(net, spec.page, windows)),
        *cuts.checks(net, cut),
        *marking.checks(net, marked, spec.units),
    ]
    checks += [*card_room.checks(spec.card), *warnings.checks(spec, card, net, placed)]
    return Plan(spec, sheet, fit, card, net, played, placed, many, windows, cut, marked, needs, tuple(checks))


def _to_tape(windows: tuple[tiles.Tile, ...]) -> int:
    """Pages that have to be joined to another."""
    return sum(bool(tile.neighbours) for tile in windows)


def fit_of(spec: Spec) -> Fit:
    """The thing and its play, as the maker reads them."""
    item = spec.item
    measured = Item(item.shape, item.length.mm, item.width.mm, item.height.mm)
    return Fit(measured, Item(item.shape, *item.size), spec.fit.clearance, spec.fit.headroom, spec.booklet.grid)


def net_of(spec: Spec, sheet: Card, fit: Fit, card: Thickness) -> Net:
    """The net of the spec's style, cut to fit the sheet of card and marked on the face that the spec or the card asks for."""
    style = shelf()[spec.style]
    net = replace(style.net(style.sizes(fit, card, spec.box)), title=spec.title)
    try:
        net = pieces.cut(net, sheet, spec.units, printed=on_card.asked(spec))
    except Refused:
        if not sheet.splice:
            raise
        net = _joined_across(spec, sheet, fit, card, net.closed)
    return marked_outside(net) if marked_face(card.t, spec.marks) == "outside" else net


def _joined_across(spec: Spec, sheet: Card, fit: Fit, card: Thickness, closed: bool) -> Net:
    """The net of a box with panels joined across by strips, built larger by what they take: a layer on each wall, floor and top."""
    t = card.t
    top = t if closed else 0.0
    read = replace(fit.read, length=fit.read.length + 2 * t, width=fit.read.width + 2 * t, height=fit.read.height + t + top)
    style = shelf()[spec.style]
    larger = style.net(style.sizes(replace(fit, read=read), replace(card, strips=1), spec.box))
    net = splice.moved_up(replace(larger, title=spec.title), floor=t, top=top, side=t)
    return pieces.cut(net, sheet, spec.units, splice=True, printed=on_card.asked(spec))

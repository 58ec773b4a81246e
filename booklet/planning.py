"""From a spec to the frozen plan: one function from one value to the next, in the order of DEVELOPERS.md."""

from __future__ import annotations

from dataclasses import replace

from booklet import card as card_room
from booklet import cuts, materials, pieces, proof, sheets, tiles, warnings
from booklet.card import Card
from booklet.errors import refuse
from booklet.fit import Fit
from booklet.marked import marked_outside
from booklet.net import Item, Net
from booklet.plan import Plan
from booklet.spec import Spec
from booklet.styles import shelf
from booklet.thickness import Thickness, marked_face, way_of


def plan_of(spec: Spec) -> Plan:
    """Everything that a booklet tells, with all checks. Raises Refused for what the style or the card cannot give."""
    if spec.page.print_on == "card":
        raise refuse("page.print_on", '"card" is not to be had yet; write print_on = "paper" and trace the templates on to the card.')
    fit, card = fit_of(spec), Thickness(spec.card.caliper, way_of(spec.card.caliper, spec.card.fold))
    sheet = spec.card
    net = net_of(spec, sheet, fit, card)
    checks, played = proof.prove(net, fit)
    placed = sheets.lay(net, sheet)
    windows = tiles.cover(net, spec.page)
    cut = cuts.order(net)
    needs = materials.reckon(net, sheet.grammage, max((p.sheet for p in placed), default=0), _to_tape(windows))
    checks += [
        *pieces.checks(net, sheet),
        *sheets.checks(net, sheet, placed),
        *tiles.checks(net, spec.page, windows),
        *cuts.checks(net, cut),
    ]
    checks += [*card_room.checks(spec.card), *warnings.checks(spec, card, net, placed)]
    return Plan(spec, sheet, fit, card, net, played, placed, windows, cut, needs, tuple(checks))


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
    net = pieces.cut(net, sheet, spec.units)
    return marked_outside(net) if marked_face(card.t, spec.marks) == "outside" else net

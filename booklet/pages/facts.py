"""The view of a plan that the templates see: everything computed here, nothing in a template."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from typing import Any, Literal

from booklet import inserts, sheets
from booklet.card import typical_caliper
from booklet.check import Check
from booklet.cuts import Cut, Kind, settings, stops
from booklet.marking import Arc, MarkedPiece, Ruled, figure
from booklet.net import Bond, Note, Part, Piece
from booklet.pages.figures import TIMES, Figures, figures_of
from booklet.pages.gluing import checks_told, glue_of, part_name
from booklet.pages.records import (
    BoxFacts,
    CardFacts,
    CheckFacts,
    CheckGroup,
    CutRow,
    CutTable,
    Facts,
    GlueTable,
    ItemFacts,
    MarkingFacts,
    PageFacts,
    PieceFacts,
    SpotFacts,
)
from booklet.pages.sentences import selftest_of, steps_of
from booklet.pages.texts import plain
from booklet.pages.within import insert_of, longest_of, room_of, window_of
from booklet.pages.words import Words
from booklet.plan import Plan
from booklet.plane import area as ring_area
from booklet.points import points
from booklet.spec.model import BAR
from booklet.trade import label


def _detailed(plan: Plan) -> Literal["", "wide", "tall"]:
    """Whether a template has so many measures that it is drawn larger, and then which way the templates lie."""
    if all(_measures(part, piece) <= MANY_MEASURES for part, piece, _ in plan.templates):
        return ""
    return "wide" if any(piece.size[0] > 1.25 * piece.size[1] for _, piece, _ in plan.templates) else "tall"


def _measures(part: Part, piece: Piece) -> int:
    """How many distinct positions across and up the points of a template have."""
    return sum(len(set(along)) for along in zip(*points(part, piece), strict=True))


NARROW = 160.0
"""mm: a page narrower than this has one column (chosen by us)."""

MOST_SPOTS = 30
"""So many rows a table of glued spots has at most, so that it stands in a column of a page (chosen by us)."""

FEW_POINTS = 20
"""Templates with so many points at most are marked out from small drawings, two beside each other (chosen by looking)."""

MANY_MEASURES = 24
"""Where a template has more measures across and up than this, all are drawn larger (chosen by us)."""


def facts_of(plan: Plan, words: Words) -> Facts:
    """The view of a plan. Raises `BookletError` where the layout has no words for something."""
    tell, needs, forms = figures_of(plan, words), plan.materials, words.with_forms
    return Facts(
        title=plain(plan.spec.title),
        style=words.style(plan.spec.style),
        units=plan.spec.units,
        unit_name=words("units", plan.spec.units),
        mark=tell.length(plan.spec.booklet.grid.mark),
        copies=plan.spec.booklet.copies,
        item=_item(plan, tell, forms),
        insert=insert_of(plan, tell, forms),
        window=window_of(plan, tell, forms),
        box=_box(plan, tell, forms),
        card=_card(plan, tell, words),
        page=_page(plan, tell),
        glue=glue_of(plan, tell, forms),
        pieces=tuple(_piece(plan, tell, words, [one]) for one in plan.pieces),
        templates=tuple(_piece(plan, tell, words, _copies(plan, piece)) for _, piece, _ in plan.templates),
        cuts=tuple(_cut_table(plan, tell, words, part, piece) for part, piece, _ in plan.templates),
        marking=tuple(_marking(plan, tell, words, sheet) for sheet in plan.marking),
        settings=sum(count * settings(_own(plan, part, piece)) for part, piece, count in plan.templates),
        stops=any(stops(piece) for _, piece, _ in plan.templates),
        steps=steps_of(plan, words),
        wordless=not plan.spec.booklet.words,
        selftest=selftest_of(plan, words),
        checks=_groups(checks_told(plan), tell, words),
        warnings=tuple(_warned(plan, c, tell, words) for c in plan.checks if not c.ok),
        detailed=_detailed(plan),
        rounded=any(cut.freehand for cut in plan.cuts),
        longest=longest_of(plan, tell),
        cut_length=tell.long(needs.cut_mm),
        score_length=tell.long(needs.score_mm),
        time=tell.time(needs.minutes),
        glued=_glued(plan, tell, words),
    )


def _item(plan: Plan, tell: Figures, words: Words) -> ItemFacts:
    item, weight = plan.fit.item, plan.spec.item.weight
    given = {
        "length": tell.length(item.length),
        "width": tell.length(item.width),
        "height": tell.length(item.height),
        "diameter": tell.length(item.length),
        "size": tell.size(item.length, item.width, item.height),
    }
    said = words.filled(words("item", item.shape), f"item.{item.shape}", **given)
    return ItemFacts(item.shape, said, tell.mass(weight) if weight else "")


def _box(plan: Plan, tell: Figures, words: Words) -> BoxFacts:
    i, net, size = plan.net.inside, plan.net, label(plan.net)
    return BoxFacts(
        **room_of(plan, tell, words),
        length=tell.length(i.length),
        width=tell.length(i.width),
        height=tell.length(i.height),
        diagonal=tell.length(math.hypot(i.length, i.width)),
        closed=net.closed,
        has_lid=any(part.role == "lid" for part in net.parts),
        has_hem=any(panel.role == "hem" for part in net.parts for panel in part.panels),
        bows=any(check.name == "warn.base-bows" and not check.ok for check in plan.checks),
        marks=words("faces", net.marks),
        marked_inside=net.marks == "inside",
        parts=words.listed(words("parts", part.role) for part in net.parts),
        trade=words.filled(words("trade", size.kind), f"trade.{size.kind}", size=size.told(tell.units)) if size else "",
    )


def _card(plan: Plan, tell: Figures, words: Words) -> CardFacts:
    card = plan.card
    return CardFacts(
        pre_cut=plan.net.ready,
        sheet=plain(tell.sheet(card.sheet_name, *card.sheet)),
        size=tell.size(*card.sheet),
        edge=tell.length(card.edge),
        gap=tell.length(card.gap),
        caliper=tell.caliper(card.caliper),
        grammage=tell.grammage(card.grammage),
        grain=words("grain", card.grain),
        keep_grain=card.keep_grain,
        grain_known=card.grain != "unknown",
        half_cut=plan.thickness.way == "half-cut",
        way=words("ways", plan.thickness.way),
        way_verb=words("way_verbs", plan.thickness.way),
        **_sheets(plan, tell),
    )


def _sheets(plan: Plan, tell: Figures) -> dict[str, Any]:
    card, copies, many = plan.card, plan.spec.booklet.copies, plan.many
    waste = sheets.waste(plan.net, card, plan.sheets)
    return {
        "sheets": plan.sheets,
        "least": sheets.least(plan.net, card),
        "waste": tell.percent(waste),
        "sheets_all": plan.sheets_all,
        "least_all": many.least if many else sheets.least(plan.net, card, copies),
        "waste_all": tell.percent(many.waste if many else waste),
        "mixed": many is not None and many.sheets < copies * plan.sheets,
        "pack": card.pack or 0,
        "papers": tuple((tell.caliper(mm), count * copies) for mm, count in sheets.counted(plan.net, plan.placed)[1:]),
        "pack_boxes": sheets.pack_yield(plan.net, card, card.pack) if card.pack else 0,
    }


def _page(plan: Plan, tell: Figures) -> PageFacts:
    page = plan.spec.page
    bars = page.printed_bar or (BAR, BAR)
    return PageFacts(
        paper=plain(tell.sheet(page.name, *page.paper)),
        narrow=page.paper[0] < NARROW,
        leaves=plan.leaves,
        joined=any(tile.neighbours for tile in plan.tiles),
        overlap=tell.length(page.overlap),
        print_on=page.print_on,
        corrected=page.scale != (1.0, 1.0),
        bar=f"{BAR:.0f} mm",
        bar_x=f"{tell.number(bars[0])} mm",
        bar_y=f"{tell.number(bars[1])} mm",
    )


def _glued(plan: Plan, tell: Figures, words: Words) -> tuple[GlueTable, ...]:
    """The bonds of every part that has any, numbered from 1 in the order of the net, as on the glue map; a long table in several."""
    step = {number: step.number for step in plan.net.steps for number in step.bonds}
    return tuple(
        GlueTable(part_name(plan, words, part), tuple(_spot(plan, tell, words, n + 1, step.get(n, 0), bond) for n, bond in some))
        for part in plan.net.parts
        for some in _by(plan.bonds_of(part), MOST_SPOTS)
    )


def _by(found: Sequence[tuple[int, Bond]], most: int) -> Iterator[Sequence[tuple[int, Bond]]]:
    yield from (found[k : k + most] for k in range(0, len(found), most))


def _spot(plan: Plan, tell: Figures, words: Words, number: int, step: int, bond: Bond) -> SpotFacts:
    first, second = (words.panel(name, plan.net.part[part].panel[name].role) for part, name in bond.panels)
    return SpotFacts(number, first, second, tell.area(abs(ring_area(bond.region))), step)


def _copies(plan: Plan, template: Piece) -> list[tuple[Part, Piece]]:
    return [(part, piece) for part, piece in plan.pieces if piece.template == template.name]


def _piece(plan: Plan, tell: Figures, words: Words, pieces: list[tuple[Part, Piece]]) -> PieceFacts:
    """The first piece tells the size; the panels are those of all of them."""
    part, first = pieces[0]
    names = {piece.name for _, piece in pieces} if plan.spec.page.print_on == "card" else {first.template}
    pages = sorted({tile.leaf for tile in plan.tiles if tile.piece in names})
    panels = [(name, own.panel[name].role) for own, piece in pieces for name in piece.panels]
    return PieceFacts(
        name=plain(words.piece(part, first)),
        part=words("parts", part.role),
        count=len(pieces),
        panels=words.panels(panels),
        width=tell.figure(first.size[0]),
        height=tell.figure(first.size[1]),
        diagonal=tell.figure(math.hypot(*first.size)),
        pages=words.numbers(set(pages)),
    )


def _cut_table(plan: Plan, tell: Figures, words: Words, part: Part, piece: Piece) -> CutTable:
    runs = [list(run) for _, run in groupby(_own(plan, part, piece), lambda cut: (cut.kind, cut.where, cut.freehand))]
    names = words.listed(plain(words.piece(own, p)) for own, p in _copies(plan, piece))
    return CutTable(piece.name, names, tuple(_cut_row(run, tell, words) for run in runs))


def _cut_row(run: Iterable[Cut], tell: Figures, words: Words) -> CutRow:
    cuts = list(run)
    numbers = words.numbers(cut.number for cut in cuts)
    freehand = "freehand" if cuts[0].kind == "cut" else "freehand-score"
    what = freehand if cuts[0].freehand else cuts[0].kind
    return CutRow(numbers, words("cuts", what), words("cuts", cuts[0].where), tell.long(sum(cut.mm for cut in cuts)))


def _own(plan: Plan, part: Part, piece: Piece) -> list[Cut]:
    """The order of cuts of one template."""
    return [cut for cut in plan.cuts if (cut.part, cut.piece) == (part.name, piece.name)]


def _marking(plan: Plan, tell: Figures, words: Words, sheet: MarkedPiece) -> MarkingFacts:
    _, piece, count = next(one for one in plan.templates if (one[0].name, one[1].name) == (sheet.part, sheet.piece))
    kinds, copies = list(dict.fromkeys(one.kind for one in sheet.scores)), _copies(plan, piece)
    units = plan.spec.units
    points = tuple((str(p.number), tell.marked(figure(p.x, units)), tell.marked(figure(p.y, units))) for p in sheet.points)
    return MarkingFacts(
        template=sheet.piece,
        kind="rectangle" if _rectangle(sheet) else "small" if len(points) <= FEW_POINTS else "large",
        title=words.listed(plain(words.piece(own, p)) for own, p in copies),
        panels=words.panels((name, own.panel[name].role) for own, copy in copies for name in copy.panels),
        count=count,
        size=f"{TIMES.join(tell.marked(figure(mm, plan.spec.units)) for mm in piece.size)} {plan.spec.units}",
        turned=sheet.mirrored,
        pricked="half-cut" in kinds and plan.net.marks == "inside" and not sheet.mirrored,
        heads=(words("marking", "point"), words("marking", "across"), words("marking", "up")),
        points=points,
        lines=tuple(_lines(tell, words, sheet)),
    )


def _rectangle(sheet: MarkedPiece) -> bool:
    """Whether a template is four straight cuts round a rectangle."""
    square = len({p.told_x for p in sheet.points}) == len({p.told_y for p in sheet.points}) == 2
    return square and len(sheet.points) == 4 and len(sheet.cuts) == 4 and not (sheet.scores or sheet.arcs)


def _lines(tell: Figures, words: Words, sheet: MarkedPiece) -> Iterable[str]:
    """What is scored, half-cut and cut, a sentence each, by the numbers of the order of cuts."""
    ruled = [(one.kind, one.number, _ruled(words, one)) for one in (*sheet.scores, *sheet.cuts)]
    rows = sorted([*ruled, *_arcs(tell, words, sheet.arcs)], key=lambda row: row[1])
    for kind, run in groupby(rows, lambda row: row[0]):
        lines = words("marking", "between").join(text for _, _, text in run)
        yield words.filled(words("marking", "lines"), "marking.lines", what=words("cuts", kind), lines=lines)


def _ruled(words: Words, one: Ruled) -> str:
    """A setting of the ruler: its number and the points that are joined, those in a row as one chain."""
    chains: list[list[int]] = []
    for a, b in one.lines:
        if chains and chains[-1][-1] == a:
            chains[-1].append(b)
        else:
            chains.append([a, b])
    dash, comma = words("marking", "dash"), words("lists", "comma")
    lines = comma.join(dash.join(map(str, chain)) for chain in chains)
    return words.filled(words("marking", "line"), "marking.line", number=str(one.number), points=lines)


def _arcs(tell: Figures, words: Words, arcs: Iterable[Arc]) -> Iterable[tuple[Kind, int, str]]:
    """What is cut or scored without the ruler; corners of one radius that follow each other are told together."""
    for (kind, radius, _), group in groupby(arcs, lambda arc: (arc.kind, arc.radius, 0 if arc.kind == "corner" else arc.number)):
        run = list(group)
        numbers = [n for arc in run for n in arc.points]
        points = words.listed(map(str, sorted(numbers))) if kind == "corner" else words("marking", "dash").join(map(str, numbers))
        given = {"number": words.numbers(arc.number for arc in run), "points": points, "radius": tell.length(radius)}
        yield run[0].way, run[0].number, words.filled(words("marking", kind), f"marking.{kind}", **given)


def _groups(checks: Iterable[Check], tell: Figures, words: Words) -> tuple[CheckGroup, ...]:
    """Checks under the titles of the words file, by what stands before the dot in their names."""
    rows: dict[str, list[CheckFacts]] = {title: [] for title in words.table("check_groups").values()}
    for check in checks:
        if check.ok:
            title = words("check_groups", check.name.partition(".")[0].partition("-")[0])
            rows[title].append(_check(check, tell, words))
    return tuple(CheckGroup(title, tuple(found)) for title, found in rows.items() if found)


def _warned(plan: Plan, check: Check, tell: Figures, words: Words) -> CheckFacts:
    """A warning as the layout tells it, in the units of the booklet."""
    weight, as_length = (plan.spec.item.weight or 0.0) * len(inserts.stands(plan.net)), check.unit == "mm"
    ready = words.get("told", "pre-cut", check.name) if plan.net.ready else None
    said = words.filled(
        ready or words("told", check.name),
        f"told.{check.name}",
        figure=tell.length(check.figure) if as_length else tell.number(check.figure),
        limit=tell.length(check.limit) if as_length else tell.number(check.limit),
        grammage=tell.grammage(plan.card.grammage),
        caliper=tell.caliper(plan.card.caliper),
        usual=tell.caliper(typical_caliper(plan.card.grammage)),
        long=tell.long(check.figure),
        weight=tell.mass(weight) if weight else "",
        sizes=words.listed(_note(note, tell, words) for note in plan.net.notes),
        drawings=words.listed(plan.spec.artwork.named),
    )
    return replace(_check(check, tell, words), text=plain(said))


def _note(note: Note, tell: Figures, words: Words) -> str:
    return words.filled(
        words("told", "size"), "told.size", name=words("sizes", note.option), got=tell.length(note.got), asked=tell.length(note.asked)
    )


def _check(check: Check, tell: Figures, words: Words) -> CheckFacts:
    verdict = "ok" if check.ok else check.level
    return CheckFacts(
        title=plain(words("checks", check.name)),
        figure=tell.number(check.figure),
        limit=tell.number(check.limit),
        unit=words.unit(check.unit, check.limit),
        verdict=words("verdicts", verdict),
        text=plain(check.text),
    )

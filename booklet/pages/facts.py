"""The view of a plan that the templates see: everything computed here, nothing in a template."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import Literal

from booklet.check import Check
from booklet.cuts import Cut, measures
from booklet.net import Bond, Note, Part, Piece
from booklet.pages.figures import Figures
from booklet.pages.records import (
    BoxFacts,
    CardFacts,
    CheckFacts,
    CheckGroup,
    CutRow,
    CutTable,
    Facts,
    GlueFacts,
    GlueTable,
    ItemFacts,
    PageFacts,
    PieceFacts,
    SpotFacts,
)
from booklet.pages.sentences import signal, steps_of
from booklet.pages.texts import plain
from booklet.pages.words import Words
from booklet.plan import Plan
from booklet.plane import area as ring_area
from booklet.spec.model import BAR


def _detailed(plan: Plan) -> Literal["", "wide", "tall"]:
    """Whether a template has so many measures that it is drawn larger, and then which way the templates lie."""
    found = [measures(part, piece) for part, piece, _ in plan.templates]
    if all(len(m.xs) + len(m.ys) <= MANY_MEASURES for m in found):
        return ""
    return "wide" if any(piece.size[0] > 1.25 * piece.size[1] for _, piece, _ in plan.templates) else "tall"


NARROW = 160.0
"""mm: a page narrower than this has one column (chosen by us)."""

MANY_MEASURES = 24
"""A template with more running measures than this is drawn larger in the cut list (chosen by us)."""


def facts_of(plan: Plan, words: Words) -> Facts:
    """The view of a plan. Raises `BookletError` where the layout has no words for something."""
    tell, needs = Figures(plan.spec.units), plan.materials
    mark = plan.spec.booklet.grid.mark
    return Facts(
        title=plain(plan.spec.title),
        style=words.style(plan.spec.style),
        units=plan.spec.units,
        unit_name=words("units", plan.spec.units),
        mark=tell.length(mark),
        copies=plan.spec.booklet.copies,
        item=_item(plan, tell, words),
        box=_box(plan, tell, words),
        card=_card(plan, tell, words),
        page=_page(plan, tell),
        glue=_glue(plan, tell, words),
        pieces=tuple(_piece(plan, tell, words, part, [piece]) for part, piece in plan.pieces),
        templates=tuple(_piece(plan, tell, words, part, _copies(part, piece)) for part, piece, _ in plan.templates),
        cuts=tuple(_cut_table(plan, tell, words, part, piece) for part, piece, _ in plan.templates),
        steps=steps_of(plan, words),
        checks=_groups(plan.checks, words),
        warnings=tuple(_warned(plan, c, tell, words) for c in plan.checks if not c.ok),
        detailed=_detailed(plan),
        rounded=any(cut.freehand for cut in plan.cuts),
        longest=tell.length(max((max(piece.size) for _, piece in plan.pieces), default=0.0)),
        cut_length=tell.long(needs.cut_mm),
        score_length=tell.long(needs.score_mm),
        time=tell.time(needs.minutes),
        glued=_glued(plan, tell, words),
        blade=signal(words, "blade"),
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
    i, item, net = plan.net.inside, plan.net.item, plan.net
    return BoxFacts(
        inside=tell.size(i.length, i.width, i.height),
        length=tell.length(i.length),
        width=tell.length(i.width),
        height=tell.length(i.height),
        diagonal=tell.length(math.hypot(i.length, i.width)),
        play_along=tell.length(i.length - item.length),
        play_across=tell.length(i.width - item.width),
        play_above=tell.length(i.height - item.height),
        closed=net.closed,
        has_lid=any(part.role == "lid" for part in net.parts),
        has_hem=any(panel.role == "hem" for part in net.parts for panel in part.panels),
        bows=any(check.name == "warn.base-bows" and not check.ok for check in plan.checks),
        marks=words("faces", net.marks),
        marked_inside=net.marks == "inside",
        parts=words.listed(words("parts", part.role) for part in net.parts),
    )


def _card(plan: Plan, tell: Figures, words: Words) -> CardFacts:
    card = plan.card
    return CardFacts(
        sheet=plain(card.sheet_name) or tell.size(*card.sheet),
        size=tell.size(*card.sheet),
        edge=tell.length(card.edge),
        gap=tell.length(card.gap),
        caliper=f"{card.caliper:.2f} mm",
        grammage=f"{card.grammage:.0f} g/m\u00b2",
        grain=words("grain", card.grain),
        keep_grain=card.keep_grain,
        grain_known=card.grain != "unknown",
        half_cut=plan.thickness.way == "half-cut",
        way=words("ways", plan.thickness.way),
        way_verb=words("way_verbs", plan.thickness.way),
        sheets=plan.sheets,
        sheets_all=plan.sheets * plan.spec.booklet.copies,
    )


def _page(plan: Plan, tell: Figures) -> PageFacts:
    page = plan.spec.page
    bars = page.printed_bar or (BAR, BAR)
    return PageFacts(
        paper=plain(page.name),
        narrow=page.paper[0] < NARROW,
        leaves=plan.leaves,
        joined=any(tile.neighbours for tile in plan.tiles),
        overlap=tell.length(page.overlap),
        print_on=page.print_on,
        corrected=page.scale != (1.0, 1.0),
        bar=f"{BAR:.0f} mm",
        bar_x=f"{bars[0]:g} mm",
        bar_y=f"{bars[1]:g} mm",
    )


def _glue(plan: Plan, tell: Figures, words: Words) -> GlueFacts:
    kind, needs, copies = plan.spec.glue.kind, plan.materials, plan.spec.booklet.copies
    hazard = words("glue", kind, "hazard")
    said = {key: words("glue", kind, key) for key in ("name", "verb", "apply", "press_time", "dry_time", "tool")}
    areas = {"area": tell.area(needs.glue_mm2), "area_all": tell.area(needs.glue_mm2 * copies)}
    mass = f"{max(1.0, needs.glue_g * copies):.0f} g" if kind == "pva" else ""
    return GlueFacts(kind, **said, **areas, mass=mass, warning=signal(words, hazard) if hazard else None)


def _glued(plan: Plan, tell: Figures, words: Words) -> tuple[GlueTable, ...]:
    """The bonds of every part that has any, numbered from 1 in the order of the net, as on the glue map."""
    step = {number: step.number for step in plan.net.steps for number in step.bonds}
    return tuple(
        GlueTable(words("parts", part.role), tuple(_spot(plan, tell, words, n + 1, step.get(n, 0), bond) for n, bond in bonds))
        for part in plan.net.parts
        if (bonds := plan.bonds_of(part))
    )


def _spot(plan: Plan, tell: Figures, words: Words, number: int, step: int, bond: Bond) -> SpotFacts:
    first, second = (words.panel(name, plan.net.part[part].panel[name].role) for part, name in bond.panels)
    return SpotFacts(number, first, second, tell.area(abs(ring_area(bond.region))), step)


def _copies(part: Part, template: Piece) -> list[Piece]:
    return [piece for piece in part.pieces if piece.template == template.name]


def _piece(plan: Plan, tell: Figures, words: Words, part: Part, pieces: list[Piece]) -> PieceFacts:
    """The first piece tells the size; the panels are those of all of them."""
    first = pieces[0]
    pages = [tile.leaf for tile in plan.tiles if tile.part == part.name and tile.piece == first.template]
    panels = [name for piece in pieces for name in piece.panels]
    return PieceFacts(
        name=plain(first.name),
        part=words("parts", part.role),
        count=len(pieces),
        panels=words.panels((name, part.panel[name].role) for name in panels),
        width=tell.figure(first.size[0]),
        height=tell.figure(first.size[1]),
        diagonal=tell.figure(math.hypot(*first.size)),
        pages=words.numbers(set(pages)),
    )


def _cut_table(plan: Plan, tell: Figures, words: Words, part: Part, piece: Piece) -> CutTable:
    own = [cut for cut in plan.cuts if cut.part == part.name and cut.piece == piece.name]
    runs: list[list[Cut]] = []
    for cut in own:
        if runs and (runs[-1][0].kind, runs[-1][0].where) == (cut.kind, cut.where):
            runs[-1].append(cut)
        else:
            runs.append([cut])
    names = words.listed(plain(p.name) for p in _copies(part, piece))
    return CutTable(piece.name, names, tuple(_cut_row(run, tell, words) for run in runs))


def _cut_row(run: Iterable[Cut], tell: Figures, words: Words) -> CutRow:
    cuts = list(run)
    numbers = words.numbers(cut.number for cut in cuts)
    return CutRow(numbers, words("cuts", cuts[0].kind), words("cuts", cuts[0].where), tell.long(sum(cut.mm for cut in cuts)))


def _groups(checks: Iterable[Check], words: Words) -> tuple[CheckGroup, ...]:
    """Checks under the titles of the words file, by what stands before the dot in their names."""
    rows: dict[str, list[CheckFacts]] = {title: [] for title in words.table("check_groups").values()}
    for check in checks:
        if check.ok:
            title = words("check_groups", check.name.partition(".")[0].partition("-")[0])
            rows[title].append(_check(check, words))
    return tuple(CheckGroup(title, tuple(found)) for title, found in rows.items() if found)


def _warned(plan: Plan, check: Check, tell: Figures, words: Words) -> CheckFacts:
    """A warning as the layout tells it, in the units of the booklet; where it has no sentence for it, as the check does."""
    text = words.get("told", check.name)
    if text is None:
        return _check(check, words)
    weight, as_length = plan.spec.item.weight, check.unit == "mm"
    said = words.filled(
        text,
        f"told.{check.name}",
        figure=tell.length(check.figure) if as_length else Figures.number(check.figure),
        limit=tell.length(check.limit) if as_length else Figures.number(check.limit),
        long=tell.long(check.figure),
        weight=tell.mass(weight) if weight else "",
        sizes=words.listed(_note(note, tell, words) for note in plan.net.notes),
    )
    return replace(_check(check, words), text=plain(said))


def _note(note: Note, tell: Figures, words: Words) -> str:
    name = words.get("sizes", note.option) or note.option.replace("_", " ")
    return words.filled(words("told", "size"), "told.size", name=name, got=tell.length(note.got), asked=tell.length(note.asked))


def _check(check: Check, words: Words) -> CheckFacts:
    """A check without a title is told by its sentence."""
    verdict = "ok" if check.ok else check.level
    return CheckFacts(
        title=plain(words.get("checks", check.name) or check.text),
        figure=Figures.number(check.figure),
        limit=Figures.number(check.limit),
        unit=check.unit.replace("mm2", "mm\u00b2").replace("m3", "m\u00b3"),
        verdict=words("verdicts", verdict),
        text=plain(check.text),
    )

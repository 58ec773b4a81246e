"""A template to mark out without a printer, as a drawing of a text: `drawing("marking", name)`, over its points and lines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from booklet.drawing import marking as drawn
from booklet.drawing.unlayered import Unlayered
from booklet.errors import refuse
from booklet.pages import filling, markdown
from booklet.pages.filling import HEADING, Draw, Filling
from booklet.pages.pictures import Pictures
from booklet.pages.records import MarkingFacts
from booklet.plan import Plan


def marking(pictures: Pictures, arguments: Sequence[str], settings: Mapping[str, str], width: float) -> list[Any]:
    """The drawing over its points and lines, as large as a page or, with `share=2`, half of one lets it be.

    A second name is that of the template that comes after it, for which a large one leaves room where it can.
    """
    sheet, *then = [_told(pictures, name) for name in arguments or ("",)]
    after = _lists(pictures, sheet, width)
    draw, most = _draw(pictures.plan, sheet.template), _tall(pictures.plan, sheet.template, width)
    if "share" in settings:
        share = pictures.frame_height / _parts_of_a_page(settings["share"])
        return filling.kept([pictures.one(draw, width, filling.shared(most, len(sheet.points), share, after, width)), *after])
    tall = [(filling.least(_tall(pictures.plan, one.template, width), len(one.points)), _lists(pictures, one, width)) for one in then]
    room, page = sum(HEADING + least + filling.deep(lists, width) for least, lists in tall), pictures.frame_height - HEADING
    return [Filling(width, most, page, after, lambda pen, box: draw(Unlayered(pen), box), room, len(sheet.points)), *after]


def _told(pictures: Pictures, name: str) -> MarkingFacts:
    found = next((one for one in pictures.facts.marking if one.template == name), None)
    if found is None:
        raise refuse("layout", f'the drawing "marking" asks for the template {name!r}, which there is not')
    return found


def _parts_of_a_page(text: str) -> int:
    if text not in ("1", "2", "3", "4"):
        raise refuse("layout", f"the drawing marking cannot have a share of {text!r}; write 1, 2, 3 or 4 for that part of a page")
    return int(text)


def _lists(pictures: Pictures, sheet: MarkingFacts, width: float) -> list[Any]:
    """What stands under the drawing of a template: the table of its points, and its lines."""
    setting = markdown.Setting(pictures.make, pictures.blocks, {}, width, 0, width)
    return [filling.grouped(pictures.make, sheet.heads, sheet.points, width), *markdown.blocks_of("\n\n".join(sheet.lines), setting)]


def _tall(plan: Plan, name: str, width: float) -> float:
    return drawn.height_for(next(piece for _, piece, _ in plan.templates if piece.name == name), width)


def _draw(plan: Plan, name: str) -> Draw:
    sheet = next(one for one in plan.marking if one.piece == name)
    part, piece = next((part, piece) for part, piece, _ in plan.templates if piece.name == name)
    return lambda pen, box: drawn.draw_marking(pen, sheet, part, piece, box)

"""The glue of a box, and what is not told of one that holds without."""

from __future__ import annotations

from collections.abc import Mapping

from booklet.butts import needs_glue
from booklet.check import Check
from booklet.drawing.gluemap import GlueMap
from booklet.drawing.pen import MM_PER_POINT, Pen
from booklet.net import Part
from booklet.pages.figures import Figures
from booklet.pages.filling import Box, Draw
from booklet.pages.records import GlueFacts
from booklet.pages.within import window_of
from booklet.pages.words import Words
from booklet.plan import Plan

ON_BONDS = frozenset(
    f"{of}.{what}"
    for of, some in {"bonds": "touch within faces held", "order": "undo touch once layers reach bonds"}.items()
    for what in some.split()
)
"""Checks of bonds."""


def checks_told(plan: Plan) -> tuple[Check, ...]:
    """The checks of a plan, those of bonds only where panels are glued."""
    return tuple(check for check in plan.checks if needs_glue(plan.net) or check.name not in ON_BONDS)


def glue_of(plan: Plan, tell: Figures, words: Words) -> GlueFacts:
    """The glue of a box and how it is used; whether it needs any."""
    kind, needs, copies = plan.spec.glue.kind, plan.materials, plan.spec.booklet.copies
    said = {key: words("glue", kind, key) for key in ("name", "verb", "apply", "press_time", "dry_time", "tool")}
    areas = {"area": tell.area(needs.glue_mm2), "area_all": tell.area(needs.glue_mm2 * copies)}
    mass = f"{max(1.0, needs.glue_g * copies):.0f} g" if kind == "pva" else ""
    mapped, window = needs_glue(plan.net), window_of(plan, tell, words)
    used = mapped or bool(window and window.film)
    return GlueFacts(kind, **said, **areas, mass=mass, used=used, mapped=mapped)


def part_name(plan: Plan, words: Words, part: Part) -> str:
    """What a part is called, over its glue map and its table; one of several alike by its panel."""
    alone = sum(one.role == part.role for one in plan.net.parts) == 1
    return words("parts", part.role) if alone else words.panel(part.root, part.panel[part.root].role)


def named_map(found: GlueMap, name: str, size: tuple[float, float], labels: Mapping[str, str]) -> Draw:
    """A glue map with the name of its part over it, empty for none; `size`: of the type and its line, points."""

    def draw(pen: Pen, box: Box) -> None:
        x0, y0, x1, y1 = box
        if name:
            pen.text((x0, y1 - size[0] * MM_PER_POINT), name[:1].upper() + name[1:], size[0], bold=True)
        found.draw(pen, (x0, y0, x1, y1 - size[1] * MM_PER_POINT) if name else box, labels)

    return draw

"""Boxes for the tests, made as the program makes them, and ways to break them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from booklet import pieces, steps
from booklet.card import Card
from booklet.check import Check
from booklet.fit import Fit
from booklet.grid import Grid
from booklet.marked import marked_outside
from booklet.net import Bond, Fold, Item, Net, Panel, Part, Step
from booklet.plane import Line, Point, Ring
from booklet.proof import prove
from booklet.styles import shelf
from booklet.thickness import Thickness, way_of
from tests.shared import once

MUG = Item("block", 125.0, 95.0, 104.0)
HUGE = (2000.0, 2000.0)
DISH = Item("block", 125.0, 95.0, 32.0)
STYLES = ("lidded-box", "tray", "tuck-carton")
EVERY_STYLE = (*STYLES, "web-tray")


def fit(item: Item = MUG, units: Any = "mm", clearance: float = 6.0, headroom: float = 8.0) -> Fit:
    return Fit(item, item, clearance, headroom, Grid(units))


def usual(style: str, t: float) -> float:
    """The usual 0.3 mm, or where a style asks for thicker card, the thinnest that it bears."""
    return max(t, shelf()[style].BEARS.least) if t == 0.3 else t


def sizes(
    style: str, item: Item = MUG, t: float = 0.3, units: Any = "mm", clearance: float = 6.0, headroom: float = 8.0, **options: Any
) -> Any:
    module = shelf()[style]
    t = usual(style, t)
    chosen = {o.name: o.resolved(units) for o in module.OPTIONS} | options
    return module.sizes(fit(item, units, clearance, headroom), Thickness(t, way_of(t, None, module.BEARS)), chosen)


def net(style: str, item: Item = MUG, t: float = 0.3, sheet: tuple[float, float] = HUGE, outside: bool = False, **more: Any) -> Net:
    """A net cut for a sheet of which all but 6 mm at each edge can be used."""
    t = usual(style, t)
    made = pieces.cut(shelf()[style].net(sizes(style, item, t, **more)), Card(t, sheet), more.get("units", "mm"))
    return marked_outside(made) if outside else made


def thing(style: str) -> Item:
    """What the tests put into a box of a style: a mug in the first three, a dish in the web tray, which bears low walls only."""
    return MUG if style in STYLES else DISH if style == "web-tray" else shelf()[style].SHOWN


@once
def whole(style: str, item: Item | None = None, **more: Any) -> Net:
    """A net as `net` makes it, with its steps."""
    return steps.found(net(style, item or thing(style), **more))


def failed(made: Net, used: Fit | None = None) -> set[str]:
    """Names of the checks that fail."""
    checks, _ = prove(made, used or fit(made.item))
    return {check.name for check in checks if not check.ok}


def named(checks: list[Check], name: str) -> Check:
    return next(check for check in checks if check.name == name)


def with_part(made: Net, part: Part) -> Net:
    return replace(made, parts=tuple(part if p.name == part.name else p for p in made.parts))


def with_panel(made: Net, part: str, panel: Panel) -> Net:
    old = made.part[part]
    return with_part(made, replace(old, panels=tuple(panel if p.name == panel.name else p for p in old.panels)))


def with_fold(made: Net, part: str, name: str, **changes: Any) -> Net:
    old = made.part[part]
    return with_part(made, replace(old, folds=tuple(replace(f, **changes) if f.name == name else f for f in old.folds)))


def with_steps(made: Net, order: Sequence[Step]) -> Net:
    return replace(made, steps=tuple(replace(step, number=i) for i, step in enumerate(order, 1)))


def with_order_of(made: Net, other: Net) -> Net:
    """The net with the steps of another one that has the same panels, folds and bonds."""
    number = {bond.panels: i for i, bond in enumerate(made.bonds)}
    same = [number[bond.panels] for bond in other.bonds]
    return with_steps(made, [replace(step, bonds=tuple(same[b] for b in step.bonds)) for step in other.steps])


def moved_behind(made: Net, step: Step, after: Step) -> Net:
    """The net with one step done only after another."""
    rest = [s for s in made.steps if s is not step]
    at = rest.index(after) + 1
    return with_steps(made, [*rest[:at], step, *rest[at:]])


def swapped(made: Net, change: Mapping[Step, Sequence[Step]]) -> Net:
    """The net with other steps in the place of some."""
    return with_steps(made, [s for step in made.steps for s in change.get(step, (step,))])


def turning(made: Net, *folds: str) -> Step:
    """The step after which some folds first stand as they stand in the closed box."""
    final = {fold.name: fold.angle for part in made.parts for fold in part.folds}
    return next(step for step in made.steps if all(dict(step.folds).get(name) == final[name] for name in folds))


def gluing(made: Net, first: str, second: str | None = None) -> Step:
    """The step that glues a panel to another, or to any."""
    return next(step for step in made.steps if any(_glues(made.bonds[b], first, second) for b in step.bonds))


def _glues(bond: Bond, first: str, second: str | None) -> bool:
    return bond.panels[0][1] == first and second in (None, bond.panels[1][1])


def carrying(made: Net) -> Step:
    """The step that carries a part to its place."""
    return next(step for step in made.steps if step.move)


def stretched(made: Net, part: str, after: float, by: float, axis: int = 0) -> Net:
    """The net with everything beyond a line moved outward: the panels on the line become `by` mm longer."""

    def point(p: Point) -> Point:
        moved = list(p)
        moved[axis] += by if p[axis] > after else 0.0
        return moved[0], moved[1]

    def ring(points: Ring) -> Ring:
        return tuple(point(p) for p in points)

    def line(ends: Line) -> Line:
        return point(ends[0]), point(ends[1])

    old = made.part[part]
    panels = tuple(replace(p, outline=ring(p.outline)) for p in old.panels)
    folds = tuple(replace(f, line=line(f.line)) for f in old.folds)
    cut = tuple(replace(p, outline=ring(p.outline)) for p in old.pieces)
    bonds = tuple(replace(b, region=ring(b.region)) if b.panels[0][0] == part else b for b in made.bonds)
    return replace(with_part(made, replace(old, panels=panels, folds=folds, pieces=cut)), bonds=bonds)


def fold_named(made: Net, part: str, name: str) -> Fold:
    return made.part[part].fold[name]

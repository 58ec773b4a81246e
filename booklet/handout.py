"""The steps of a box for pupils: what the teacher does before the lesson is left out, turns go with the step that they prepare.

A cell is what a pupil sees under one number: one step of the net, or some that belong together, with the picture of one of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from booklet import hazards
from booklet.errors import refuse
from booklet.net import Net, Step
from booklet.plan import Plan
from booklet.spec import Spec

FIRST = 2
"""Steps on the first side, under its head."""

A_SIDE = 6
"""Steps on each of the others, in two columns and three rows."""

A_ROW = 3
"""So few steps on a side stand under each other, over its whole width."""

SIDES = 4
"""Two leaves, printed on both sides."""

NARROW = 160.0
"""mm: on a page narrower than this the head takes the whole first side (chosen by us)."""

FEW_NOTES, NARROW_NOTES = 4, 2
"""So many warnings leave room for steps on the first side, and have room on a narrow one (chosen by looking)."""

ON_THE_SHEET = ("edges", "weights", "awl", "force")
"""Hazards that the teacher's sheet tells with their measures, and no pupil can do anything about alone."""

CUT_OUT = ("score", "score-plain")
"""Steps that are nothing but cutting and scoring."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One numbered place of a handout: the steps of the net that it tells, by their index from 0, and the one that is shown."""

    steps: tuple[int, ...]
    shown: int


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a leaf: its cells from and to, by their index from 0, and in how many columns and rows they stand."""

    first: int
    end: int
    columns: int
    rows: int


def pre_cut(plan: Plan) -> bool:
    """Whether the pupils get pieces that are cut and scored: they are too young for a blade, or the card comes so."""
    return plan.spec.safety.no_blades or plan.spec.supplied == "pre-cut"


def own_sheets(spec: Spec) -> bool:
    """Whether everyone who makes a box cuts it from sheets of their own: pupils who cut, and who buys a kit of sheets."""
    kinds = {"class": not spec.safety.no_blades, "kit": True}
    return spec.supplied != "pre-cut" and kinds.get(spec.booklet.shipped, False)


def adult_glues(plan: Plan) -> bool:
    """Whether an adult glues for the pupils: with contact glue always, with a hot gun under the age for blades."""
    kind = plan.spec.glue.kind
    return hazards.glued(plan) and (kind == "contact" or (kind == "hot-melt" and plan.spec.safety.no_blades))


def notes(plan: Plan) -> tuple[str, ...]:
    """Names of the hazards whose warnings stand in the head, the worst first."""
    return tuple(one.name for one in hazards.hazards(plan, "pupil") if one.name not in ON_THE_SHEET)


def first(plan: Plan) -> int:
    """How many steps stand on the first side: none where its head needs all of it."""
    return FIRST if plan.spec.page.paper[0] >= NARROW and len(notes(plan)) <= FEW_NOTES else 0


def heads(plan: Plan) -> int:
    """How many sides the head takes, the one that it shares with the first steps counted."""
    more = len(notes(plan)) - NARROW_NOTES
    return 1 if plan.spec.page.paper[0] >= NARROW or more <= 0 else 1 + -(-more // A_SIDE)


def most(plan: Plan) -> int:
    """The most steps of a handout: those of two leaves less the room that its head takes."""
    return first(plan) + A_SIDE * (SIDES - heads(plan))


def allowed(plan: Plan) -> None:
    """Raises Refused where the layout is that of a class and the spec tells no age, or the box takes more than a handout holds."""
    if plan.spec.booklet.shipped != "class":
        return
    if plan.spec.safety.age is None:
        raise refuse("safety.age", "is missing: for a class write from which age it is under [safety], as in age = 9")
    limit, count = most(plan), len(cells(plan))
    if count > limit:
        young = len(merged(plan.net, True, limit)) <= limit
        before = (
            "" if pre_cut(plan) or not young else "have the pieces cut before the lesson, by a knife_age over the age under [safety], or "
        )
        raise refuse(
            "booklet.layout",
            f"the handout of a class has room for {limit} steps on its two leaves, and this box takes {count}: {before}"
            "use a larger sheet of card, so that fewer pieces have to be joined, or a simpler style: booklet suggest ranks them",
        )


def cells(plan: Plan) -> tuple[Cell, ...]:
    """The cells of a plan."""
    return merged(plan.net, pre_cut(plan), most(plan))


def merged(net: Net, cut: bool, limit: int) -> tuple[Cell, ...]:
    """The steps in cells, cutting first; `cut`: the pieces come cut and scored. Where they are over the limit more is merged than turns."""
    kept = [n for n, step in enumerate(net.steps) if not _teachers(step, cut)]
    found = _turns_merged(net.steps, kept)
    for more in (_put_with_closing, _creased_when_scored):
        if len(found) > limit:
            found = more(net.steps, found)
    cutting = [cell for cell in found if _cuts(net.steps, cell)]
    return (*cutting, *(cell for cell in found if cell not in cutting))


def sides(plan: Plan) -> tuple[Side, ...]:
    """On which sides the cells stand: the first under the head, then six a side, the last two sides made even."""
    return (*[Side(0, 0, 2, 1)] * (heads(plan) - 1), *laid(len(cells(plan)), first(plan)))


def laid(count: int, head: int = FIRST) -> tuple[Side, ...]:
    """So many cells on sides, `head` of them on the first."""
    begun = min(count, head)
    made = [Side(0, begun, 2, 1)]
    for size in _sizes(count - begun):
        start = made[-1].end
        columns, rows = (1, size) if size <= A_ROW else (2, -(-size // 2))
        made.append(Side(start, start + size, columns, rows))
    return tuple(made)


def leaves(plan: Plan) -> int:
    """Leaves of paper that one handout takes, printed on both sides."""
    return -(-len(sides(plan)) // 2)


def _sizes(left: int) -> list[int]:
    """Steps a side; where the last side would have one row alone it takes a row of the one before."""
    full, rest = divmod(left, A_SIDE)
    found = [A_SIDE] * full + [rest] * (rest > 0)
    if len(found) > 1 and rest in (1, 2):
        found[-2:] = [A_SIDE - 2, rest + 2]
    return found


def _teachers(step: Step, cut: bool) -> bool:
    """Whether a step is the teacher's: the trial box, and the cutting where pupils do not cut."""
    return step.words == "trial" or (cut and step.words in CUT_OUT)


def _turns_merged(steps: Sequence[Step], kept: Sequence[int]) -> list[Cell]:
    """A turn is told with the next step of its part, whose picture has it turned; with the one before where none follows at once."""
    found: list[Cell] = []
    waiting: list[int] = []
    for n, after in zip(kept, (*kept[1:], -1), strict=True):
        if steps[n].kind == "turn" and after >= 0 and steps[after].part == steps[n].part:
            waiting.append(n)
        elif steps[n].kind == "turn" and found:
            last = found[-1]
            found[-1] = Cell((*last.steps, *waiting, n), last.shown)
            waiting = []
        else:
            found.append(Cell((*waiting, n), n))
            waiting = []
    return found


def _put_with_closing(steps: Sequence[Step], found: Sequence[Cell]) -> list[Cell]:
    """The item is put in and the box closed in one."""
    return list(_joined(found, lambda one, two: steps[one.shown].kind == "put" and steps[two.shown].kind == "close"))


def _creased_when_scored(steps: Sequence[Step], found: Sequence[Cell]) -> list[Cell]:
    """A part is pre-creased as soon as it is cut out."""

    def belong(one: Cell, two: Cell) -> bool:
        first, second = steps[one.shown], steps[two.shown]
        return first.words in CUT_OUT and second.words == "crease" and first.part == second.part

    return list(_joined(found, belong))


def _joined(found: Sequence[Cell], belong: Callable[[Cell, Cell], bool]) -> Iterator[Cell]:
    """Cells, two neighbours that belong together as one, which shows the second."""
    n = 0
    while n < len(found):
        if n + 1 < len(found) and belong(found[n], found[n + 1]):
            yield Cell((*found[n].steps, *found[n + 1].steps), found[n + 1].shown)
            n += 2
        else:
            yield found[n]
            n += 1


def _cuts(steps: Sequence[Step], cell: Cell) -> bool:
    return any(steps[n].words in CUT_OUT for n in cell.steps)

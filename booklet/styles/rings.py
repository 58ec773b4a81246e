"""Walls in a row that close to a ring with a glue flap: the wrap of a carton, a sleeve, a prism, a rolled wall. Millimetres, degrees."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from typing import Literal

from booklet import space
from booklet.net import Bond, Carrier, Part
from booklet.plane import Line
from booklet.space import Matrix
from booklet.styles.shapes import Sketch, flap, glue, rectangle, root_of

Span = tuple[float, float]
"""The lower and the upper end of a wall, y in the flat, mm."""


def ring(
    sketch: Sketch,
    widths: Sequence[float],
    spans: Sequence[Span],
    turns: Sequence[float] | float = 90.0,
    root: int = 1,
    seam: tuple[Span, float, float] | None = None,
    kind: Literal["crease", "roll"] = "crease",
    role: str = "wall",
) -> list[float]:
    """Walls side by side, named role-1 on, or role.1 on where they are facets of one smooth wall; x of their edges, from 0.

    `root`: the one, counted from 1, that the others hang on.
    `spans`: the lower and upper end of each. `turns`: the fold angle at the end of each wall, one for all or one a wall; the last one is
    that of the glue flap. `seam`: (span of its root, depth, taper) of the glue flap on the last wall; `kind` "roll" makes one smooth wall.
    """
    edges = [0.0, *accumulate(widths)]
    turn = [turns] * len(widths) if isinstance(turns, (int, float)) else list(turns)
    body, dot = (role, ".") if kind == "roll" else ("", "-")
    outlines = [rectangle(edges[i], spans[i][0], edges[i + 1], spans[i][1]) for i in range(len(widths))]
    sketch.panel(f"{role}{dot}{root}", role, outlines[root - 1], body=body)
    for near, far in [(i, i - 1) for i in range(root - 1, 0, -1)] + [(i, i + 1) for i in range(root - 1, len(widths) - 1)]:
        x, angle = edges[max(near, far)], turn[min(near, far)]
        line = ((x, max(spans[near][0], spans[far][0])), (x, min(spans[near][1], spans[far][1])))
        carrier: Carrier = "parent" if near == root - 1 else "child"
        sketch.hinge(
            f"{role}{dot}{near + 1}",
            f"{role}{dot}{far + 1}",
            role,
            outlines[far],
            line,
            angle,
            None if kind == "roll" else carrier,
            kind=kind,
            body=body,
        )
    if seam:
        (low, high), depth, taper = seam
        edge = flap(((edges[-1], high), (edges[-1], low)), depth, (taper, taper))
        sketch.hinge(f"{role}{dot}{len(widths)}", "glue-flap-1", "glue-flap", edge, root_of(edge), turn[-1])
    return edges


def closed_by_flap(part: Part, first: str = "wall-1") -> list[Bond]:
    """The bond that closes a ring: its glue flap lies inside its first wall."""
    return glue(part, "glue-flap-1", first, ("back", "marked"))


def standing(sketch: Sketch, middle: float, floor: float, away: float) -> Matrix:
    """Where a ring stands whose root has its middle at x = `middle` and the fold to the floor at y = `floor` in the flat.

    The root is the front: it stands `away` from the axis of the box, fold to axis, and its marked face looks in. The fold line stands half
    of the floor's thickness under the inside's floor.
    """
    raised = space.turned((0, 0, 1), 180.0) @ space.turned((1, 0, 0), 90.0) @ space.moved(-middle, -(floor + sketch.card.inner), 0)
    return space.moved(0, -(away + sketch.card.pivot()), 0) @ raised


def outward(x0: float, x1: float, y: float, up: float) -> Line:
    """An end of a wall as the root of a flap that hangs on it: upward for `up` > 0, else downward."""
    return ((x0, y), (x1, y)) if up > 0 else ((x1, y), (x0, y))

"""Walls rolled over and locked without glue: outer wall, rim, inner wall with feet that stand in slots of the base. Millimetres.

The lock flaps of the walls between them stand in the hollow: they rise where such a wall tilts outward, and the rim is over them.
Drawn with the base from (0, 0) to (long, across), the rolled walls along x. The play and the depths are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet.errors import refuse
from booklet.grid import Grid
from booklet.plane import Line, Ring
from booklet.spec import Option
from booklet.styles.shapes import Limits, Sketch, flap, on_grid, rectangle, root_of
from booklet.thickness import Thickness

RIM = Option("rim", "length", None, None, least_mm=8.0, most_mm=20.0)
LOCK_FLAP = Option("lock_flap", "length", 25.0, 1.0, least_mm=8.0)
_FOOT = 3.0
_PLAY = 0.5
_FOOT_WIDE, _FOOT_LEAST = 20.0, 4.0
_FOOT_EACH = 100.0
_LEAST_LONG = 20.0
_LEAST_HIGH = 8.0
_SWINGS = 4.0


@dataclass(frozen=True, slots=True)
class Roll:
    """The sizes of two rolled walls. `long`, `across`, `height`: fold to fold; `gap`: from an outer wall's fold to the lock flap beside it.

    `foot`: length of a foot; `foot_wide`, `feet`: its width and where the middles of the feet are, from the middle of the wall; `slot`:
    from and to, from the outer wall's fold; `ends`: how far the inner wall ends short of the fold at each end; `rim_ends`: and the rim.
    """

    card: Thickness
    long: float
    across: float
    height: float
    rim: float
    lock_flap: float
    gap: float
    foot: float
    foot_wide: float
    feet: tuple[float, ...]
    slot: tuple[float, float]
    ends: float
    rim_ends: float = 0.0

    @property
    def inner(self) -> float:
        """Height of the inner wall, from the rim's fold to the base."""
        return self.height - self.card.inner

    @property
    def low(self) -> float:
        """Height of what stands under the rims."""
        return self.height - self.card.t


def foot_length(card: Thickness) -> float:
    """How long a foot is: it goes through the base and stands out under it."""
    return _FOOT + card.t


def rim_width(grid: Grid, card: Thickness, options: Mapping[str, Any]) -> float:
    """Width of the rim. Raises Refused where it is too narrow to lift the feet over the base by less than 30 degrees."""
    least = max(grid.up(8.0), grid.up(2 * (foot_length(card) + _PLAY)))
    rim = on_grid(grid, options, "rim", max(least, grid.default(10.0, 3 / 8)))
    if rim < least - 1e-9:
        raise refuse(
            "box.rim",
            f"a rim of {rim:g} mm does not lift feet of {foot_length(card):g} mm clear of the base; "
            f"make it {least:.1f} mm or wider, or use thinner card.",
        )
    return rim


def takes(card: Thickness, rim: float) -> float:
    """How much less than fold to fold the clear inside between two rolled walls is."""
    return 2 * (rim + card.outer)


def highest(card: Thickness, rim: float, across: float) -> float:
    """How high walls can be that swing in one after the other, `across` mm apart, fold to fold."""
    return across - rim - foot_length(card) - _SWINGS


def swing(rim: float, foot: float) -> float:
    """How far a foot moves sideways while the rim is pressed down from where the foot is clear of the base."""
    lift = math.asin((foot + _PLAY) / rim)
    return rim * (1 - math.cos(lift))


def roll(
    grid: Grid,
    card: Thickness,
    long: float,
    across: float,
    height: float,
    options: Mapping[str, Any],
    limits: Limits,
    rim_ends: float = 0.0,
) -> Roll:
    """All sizes of the rolled walls. Raises Refused where feet or flaps find no room."""
    rim, foot = rim_width(grid, card, options), foot_length(card)
    ends = card.inner + card.t + _PLAY
    span = long - 2 * ends
    if span < _LEAST_LONG:
        raise refuse(
            "item.length",
            f"the rolled walls would be {span:.1f} mm long inside, and two feet need {_LEAST_LONG:g} mm; "
            "use a larger item or more clearance.",
        )
    if height < _LEAST_HIGH + card.t:
        raise refuse(
            "item.height",
            f"the walls would be {height:.1f} mm high, and walls under {_LEAST_HIGH + card.t:g} mm do not roll over; "
            "use a higher item or more headroom.",
        )
    if height > highest(card, rim, across):
        raise refuse(
            "item.height",
            f"walls {height:.1f} mm high do not swing in between rolled walls {across:.1f} mm apart, where they can be "
            f"{highest(card, rim, across):.1f} mm high; use a lower or a wider item, or a style with single walls.",
        )
    count = max(2, math.ceil(span / _FOOT_EACH))
    wide = max(grid.up(_FOOT_LEAST), min(grid.nearest(_FOOT_WIDE), grid.down(span / (2 * count + 1))))
    half = [grid.nearest(span * (2 * i + 1) / (2 * count) - span / 2) for i in range(count // 2, count)]
    feet = tuple(sorted({0.0 if count % 2 and x < grid.mark else x for s in (1, -1) for x in (s * h for h in half)}))
    rest, slack = rim + card.pivot(), card.t / 2 + 0.2
    slot = grid.down(rest - swing(rim, foot) - slack), min(grid.up(rest + slack), rest + slack + 0.4)
    depth = limits.shorten("lock_flap", on_grid(grid, options, "lock_flap"), long / 2 - card.outer - 1.0)
    return Roll(card, long, across, height, rim, depth, grid.up(2 * card.t + 0.1), foot, wide, feet, slot, ends, rim_ends)


def base(sketch: Sketch, r: Roll) -> None:
    """The base with the slots of both rolled walls."""
    sketch.panel("base", "base", rectangle(0, 0, r.long, r.across), _slots(r))


def _slots(r: Roll) -> tuple[Ring, ...]:
    half = r.foot_wide / 2 + _PLAY
    low, high = r.slot
    spans = ((low, high), (r.across - high, r.across - low))
    return tuple(rectangle(r.long / 2 + x - half, y0, r.long / 2 + x + half, y1) for y0, y1 in spans for x in r.feet)


def rolled(sketch: Sketch, r: Roll) -> None:
    """The two rolled walls on the base: side-wall-1 and 2, each with its rim and its inner wall."""
    for n, edge in enumerate((((r.long, 0.0), (0.0, 0.0)), ((0.0, r.across), (r.long, r.across))), 1):
        outer = flap(edge, r.height)
        sketch.hinge("base", f"side-wall-{n}", "side-wall", outer, root_of(outer), carrier="parent")
        rim = flap((outer[3], outer[2]), r.rim, set_in=(r.rim_ends, r.rim_ends))
        sketch.hinge(f"side-wall-{n}", f"rim-{n}", "rim", rim, root_of(rim))
        more = r.ends - r.rim_ends
        inner = flap((rim[3], rim[2]), r.inner, set_in=(more, more))
        sketch.hinge(f"rim-{n}", f"inner-wall-{n}", "inner-wall", _footed(inner, r, edge), root_of(inner))


def _footed(wall: Ring, r: Roll, edge: Line) -> Ring:
    """An inner wall with its feet along its free edge, a little narrower at their tips."""
    start, end, last, first = wall
    along, up = math.copysign(1.0, edge[1][0] - edge[0][0]), math.copysign(1.0, last[1] - end[1])
    half, tip, middle = r.foot_wide / 2, r.foot_wide / 2 - min(1.0, r.foot_wide / 6), r.long / 2
    ring = [start, end, last]
    for x in sorted(r.feet, reverse=along > 0):
        shape = ((half, 0.0), (tip, r.foot), (-tip, r.foot), (-half, 0.0))
        ring += [(middle + x + along * dx, last[1] + up * dy) for dx, dy in shape]
    return (*ring, first)


def end_wall(sketch: Sketch, r: Roll, name: str, role: str, right: bool, height: float, numbers: tuple[int, int]) -> Ring:
    """A wall between the rolled ones, with a lock flap at both ends, as high as goes under the rims; its outline, the root first."""
    y0, y1 = r.gap, r.across - r.gap
    edge: Line = ((r.long, y1), (r.long, y0)) if right else ((0.0, y0), (0.0, y1))
    wall = flap(edge, height)
    sketch.hinge("base", name, role, wall, root_of(wall), carrier="parent")
    away = 1.0 if right else -1.0
    foot, top = (edge[0][0] + away * z for z in (max(0.5, r.card.t), min(height, r.low)))
    taper = min(3.0, abs(top - foot) / 4)
    low, high = min(foot, top), max(foot, top)
    for number, line in zip(numbers, (((high, y0), (low, y0)), ((low, y1), (high, y1))), strict=True):
        slim = (taper, 0.0) if line[0][0] == foot else (0.0, taper)
        outline = flap(line, r.lock_flap, slim)
        sketch.hinge(name, f"lock-flap-{number}", "lock-flap", outline, root_of(outline))
    return wall

"""A flap that slides in: while its panel turns, it is bent so that its tip runs along the plane in which it ends.

Closed formula. With the panel at e over its closed place, the tip of a flap of depth `tuck` on a panel of depth `depth` stands in
the flap's last plane where cos(e - bend) = depth (1 - cos e) / tuck. Millimetres and degrees.
"""

from __future__ import annotations

import math

from booklet.net import Fold, Part
from booklet.plane import middle, side
from booklet.tolerance import FRAME

_FINEST = 0.01


def bend(panel: float, depth: float, tuck: float) -> float:
    """How far a flap is bent while its panel turns down, at least 90. `panel`: fold angle of the panel, 0 upright to 90 closed."""
    e = math.radians(90.0 - panel)
    lean = depth * (1 - math.cos(e)) / tuck
    return max(90.0, math.degrees(e + math.acos(lean))) if lean < 1 else 90.0


def lean(depth: float, tuck: float) -> float:
    """How far inside its closed place a flap crosses the level of the rim while it slides in, at most, mm.

    The tip slides down at the closed place while the panel's edge is still D (1 - cos e) short of it.
    """
    leans = (math.radians(e) for e in range(1, 90))
    short = [(depth * (1 - math.cos(e)), depth * math.sin(e)) for e in leans]
    return max((x * (1 - z / math.sqrt(tuck**2 - x**2)) for x, z in short if x < tuck and z**2 + x**2 < tuck**2), default=0.0)


def frames(depth: float, tuck: float) -> list[tuple[float, float]]:
    """Angles of panel and flap while it slides in, after the start (0, 90), neither changing by more than two degrees."""
    made = [(0.0, 90.0)]
    while made[-1][0] < 90.0:
        before, last = made[-1]
        ahead = min(before + FRAME, 90.0)
        while abs(bend(ahead, depth, tuck) - last) > FRAME and ahead - before > _FINEST:
            ahead = (before + ahead) / 2
        made.append((ahead, bend(ahead, depth, tuck)))
    return made[1:]


def path(part: Part, panel: Fold, flap: Fold) -> list[dict[str, float]]:
    """Angles of both folds along the way of a flap that hangs on a panel, both turned by 90 degrees to one side when closed."""
    depth = abs(side(panel.line, middle(flap.line)))
    tuck = max(abs(side(flap.line, corner)) for corner in part.panel[flap.child].outline)
    way = 1.0 if panel.angle > 0 else -1.0
    return [{panel.name: way * a, flap.name: way * b} for a, b in frames(depth, tuck)]


def slides(part: Part, panel: Fold, flap: Fold) -> bool:
    """Whether a flap hangs on a panel by a parallel fold and both turn by 90 degrees to one side."""
    if flap.parent != panel.child or abs(panel.angle) != 90.0 or flap.angle != panel.angle:
        return False
    return max(abs(side(panel.line, end)) for end in flap.line) - min(abs(side(panel.line, end)) for end in flap.line) < 1e-6

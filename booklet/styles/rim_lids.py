"""A lid that hangs on a back wall and lies on the rims of rolled walls, with ears that go down inside them and a tuck flap. Millimetres.

Drawn with the base of `double_walls`: the back wall at x = 0, the lid beyond it. The plays are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet.grid import Grid
from booklet.spec import Option
from booklet.styles.double_walls import Roll
from booklet.styles.shapes import Limits, Sketch, flap, on_grid, root_of, rounded
from booklet.thickness import Thickness

OPTIONS = (
    Option("tuck", "length", 20.0, 3 / 4, least_mm=8.0, most_mm=60.0),
    Option("ear", "length", 20.0, 3 / 4, least_mm=8.0, most_mm=60.0),
    Option("corner_radius", "length", 5.0, 3 / 16, most_mm=15.0),
)
_PLAY = 1.0


@dataclass(frozen=True, slots=True)
class RimLid:
    """`depth`: fold to fold; `inset`: from a rolled wall's fold to the ear beside it; `strip`: what lies on the rims at each end."""

    depth: float
    inset: float
    strip: float
    tuck: float
    ear: float
    radius: float


def ear_inset(card: Thickness, rim: float) -> float:
    """From a rolled wall's fold to the fold of the ear: it has the play of a tuck, as far as it still stands close to the wall."""
    return rim + 2 * card.outer + min(card.tuck_narrower, 2.4 * card.t)


def takes(card: Thickness, rim: float) -> float:
    """How much less than fold to fold of the rolled walls the clear inside between two ears is."""
    return 2 * (ear_inset(card, rim) + card.inner)


def rim_lid(grid: Grid, r: Roll, options: Mapping[str, Any], limits: Limits) -> RimLid:
    """All sizes of the lid: a closing panel is one caliper less than fold to fold. Raises Refused where tuck or ears find no room."""
    most = min(r.low - r.card.t - _PLAY, r.long / 2)
    tuck, ear = (limits.shorten(name, on_grid(grid, options, name), most) for name in ("tuck", "ear"))
    strip = grid.nearest(min(15.0, max(4.0, r.long / 6)))
    radius = min(on_grid(grid, options, "corner_radius"), tuck / 2)
    return RimLid(r.long - r.card.t, ear_inset(r.card, r.rim), strip, tuck, ear, radius)


def lid(sketch: Sketch, r: Roll, s: RimLid, back: str, x: float) -> None:
    """The lid on the back wall's edge at x: as wide as the box where it lies on the rims, and cut in where its ears hang."""
    far, wide = x - s.depth, r.across
    a, b = x - s.strip, far + s.strip
    left = [(x, 0.0), (a, 0.0), (a, s.inset), (b, s.inset), (b, 0.0), (far, 0.0)]
    right = [(px, wide - py) for px, py in reversed(left)]
    # the hinge is the back wall's own edge, between the lock flaps
    outline = ((x, r.gap), *left, *right, (x, wide - r.gap))
    sketch.hinge(back, "lid", "lid", outline, ((x, wide - r.gap), (x, r.gap)), carrier="child")
    _ears(sketch, r, s, a, b)
    clear, slim = s.inset + r.card.t + r.card.tuck_narrower, max(1.0, r.card.t)
    tuck = flap(((far, clear), (far, wide - clear)), s.tuck, (slim, slim))
    sketch.hinge("lid", "tuck", "tuck", rounded(tuck, {2: s.radius, 3: s.radius}), root_of(tuck))


def _ears(sketch: Sketch, r: Roll, s: RimLid, a: float, b: float) -> None:
    """One on each side of the lid; its front is cut back so far that it passes the front wall while the lid turns."""
    reach = r.long - r.card.inner - r.card.t - _PLAY
    front = max(1.0, s.strip + a - b - math.sqrt(max(reach**2 - (s.ear + _PLAY / 2) ** 2, 0.0)))
    low, high = s.inset, r.across - s.inset
    for n, (line, tapers) in enumerate(((((a, low), (b, low)), (1.0, front)), (((b, high), (a, high)), (front, 1.0))), 1):
        ear = flap(line, s.ear, tapers, (_PLAY / 2, _PLAY / 2))
        sketch.hinge("lid", f"ear-{n}", "ear", ear, root_of(ear))

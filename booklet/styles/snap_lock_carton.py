"""A carton with a tucked top and a base that locks without glue: a tongue of the front base panel lies inside on the back one."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet.fit import Fit
from booklet.net import Item, Net
from booklet.spec import Option
from booklet.styles import ends
from booklet.styles.ends import PLAY
from booklet.styles.rings import outward
from booklet.styles.shapes import Limits, flap, on_grid, root_of
from booklet.thickness import Bears, Thickness

NAME = "snap-lock-carton"
OPTIONS = (Option("tongue", "length", 15.0, 5 / 8, least_mm=8.0, most_mm=40.0), *ends.OPTIONS)
SUITS = ("sale", "flat", "weight")
SHOWN = Item("block", 70.0, 55.0, 110.0)
# four layers of base lie on each other and hang on one line: thicker card would not lie down
BEARS = Bears(crease=0.6, most=0.6)
_SLIT, _FLOOR, _FRONT_SHARE = 0.5, 3, 0.6


@dataclass(frozen=True, slots=True)
class Sizes(ends.Carton):
    """`front`: depth of the front base panel; `tongue`: depth of its tongue; `free`: its width, half of the front."""

    front: float
    tongue: float
    free: float

    @property
    def gap(self) -> float:
        """From the front base panel's edge to the back one's: room for the tongue, which turns through it at right angles to its panel."""
        return math.hypot(self.front, self.tongue) - self.front + _SLIT


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """As in any tucked carton; on the floor the tongue on the back base panel on the base flaps on the front base panel."""
    return {"length": 2, "width": 2, "height": 1 + _FLOOR}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused where a flap has no room."""
    limits = Limits(fit.grid)
    some = ends.sized(fit, card, options, layers(options), limits)
    front = fit.grid.down(_FRONT_SHARE * some["width"])
    tongue = limits.shorten("tongue", on_grid(fit.grid, options, "tongue"), some["width"] - front - card.t - PLAY)
    return Sizes(**{**some, "notes": tuple(limits.notes)}, front=front, tongue=tongue, free=fit.grid.down(some["length"] / 2))


def net(s: Sizes) -> Net:
    """The carton."""
    sketch, edges = ends.open_below(s, _FLOOR)
    clear, aside = s.card.tuck_narrower, (s.length - s.free) / 2
    lines = [outward(edges[i], edges[i + 1], 0.0, -1.0) for i in range(4)]
    front = flap(lines[1], s.front, set_in=(clear, clear))
    back = _back(s, edges[3], clear, aside - PLAY)
    sketch.hinge("wall-4", "back-base", "back-base", back, root_of(back))
    for i in (0, 2):
        slope = min(aside - PLAY, s.width / 4)
        side = flap(lines[i], aside - PLAY, (slope, slope), (clear, clear))
        sketch.hinge(f"wall-{i + 1}", f"base-flap-{i // 2 + 1}", "base-flap", side, root_of(side))
    sketch.hinge("wall-2", "front-base", "front-base", front, root_of(front))
    tongue = flap(((edges[2] - aside, -s.front), (edges[1] + aside, -s.front)), s.tongue, (PLAY, PLAY))
    sketch.hinge("front-base", "tongue", "tongue", tongue, root_of(tongue), 0.0)
    return ends.finished(NAME, s, sketch, _FLOOR)


def _back(s: Sizes, x: float, clear: float, leg: float) -> tuple[tuple[float, float], ...]:
    """The back base panel: its legs reach over the front base panel, between them its edge keeps the gap for the tongue."""
    far, reach = s.width - s.front - s.gap, s.width - s.front + min(8.0, s.front / 3)
    right = x + s.length
    ring = ((right - clear, 0), (x + clear, 0), (x + clear, -reach), (x + leg, -reach), (x + leg, -far))
    return (*ring, (right - leg, -far), (right - leg, -reach), (right - clear, -reach))

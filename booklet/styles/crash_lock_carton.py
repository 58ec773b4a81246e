"""A carton with a tucked top and a base that is glued while all lies flat, and opens by itself with the ring."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet.errors import refuse
from booklet.fit import Fit
from booklet.net import Item, Net
from booklet.styles import ends
from booklet.styles.ends import PLAY
from booklet.styles.shapes import WEAK_FLAP, Limits, Sketch, flap, root_of
from booklet.thickness import HEM_CREASE_MOST, Bears, Thickness

NAME, OPTIONS = "crash-lock-carton", ends.OPTIONS
SUITS, SHOWN = ("sale", "flat", "often", "weight"), Item("block", 80.0, 60.0, 110.0)
BEARS = Bears(crease=HEM_CREASE_MOST, most=HEM_CREASE_MOST)
_LAP, _FLOOR = 4.0, 3
_STEEP = 1.8  # a base panel passes the wall beside its crease where it is at most twice as deep as it is far from the corner


@dataclass(frozen=True, slots=True)
class Sizes(ends.Carton):
    """`front`, `back`: depths of the base panels. `lap`: how far the front one lies over the back one, and both over the base flaps."""

    front: float
    back: float
    lap: float

    @property
    def diagonal(self) -> float:
        """How far from its corner a diagonal crease reaches: so far that the panel beside it passes the wall, and short of the other."""
        return min(self.width - self.front - PLAY, max(self.length / 2 - PLAY, self.front / _STEEP))


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """As in any tucked carton; on the floor both base panels on a base flap on the glue flap."""
    return {"length": 2, "width": 2, "height": 1 + _FLOOR}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused where a flap has no room."""
    limits, down = Limits(fit.grid), fit.grid.down
    some = ends.sized(fit, card, options, layers(options), limits)
    back, lap = down(some["width"] / 2), down(min(_LAP, some["width"] / 12))
    some["glue_flap"] = limits.shorten("glue_flap", some["glue_flap"], back - lap - PLAY)
    if (most := (some["length"] - 2 * WEAK_FLAP) * _STEEP) < back + lap:
        why = f"a base that opens by itself goes to about {2 * (most - lap):.0f} mm of width in a carton {some['length']:.1f} mm long; "
        raise refuse("item.width", why + 'give the longer side as the length, or write style = "snap-lock-carton".')
    made = Sizes(**{**some, "notes": tuple(limits.notes)}, front=back + lap, back=back, lap=lap)
    if made.diagonal - card.tuck_narrower < WEAK_FLAP:
        raise refuse(
            "item.width", f'the glue flaps of the base would be under {WEAK_FLAP:g} mm wide; use a wider item, or a "tuck-carton".'
        )
    return made


def net(s: Sizes) -> Net:
    """The carton. The base panels are glued to the flaps at the corners where the ring is folded over when it lies flat."""
    sketch, edges = ends.open_below(s, _FLOOR)
    _base(sketch, s, 1, edges, (s.front, s.front), s.width - s.back + s.lap)
    # in a narrow front both diagonals reach past its middle: what hangs at the back then keeps clear of the front base panel
    rest, narrow = s.width - s.front, s.diagonal > s.length / 2
    _base(sketch, s, 2, edges, (s.back, rest if narrow else s.back), rest if narrow else rest + s.lap)
    return ends.finished(NAME, s, sketch, _FLOOR, [("glue-flap-2", "base-flap-1"), ("glue-flap-3", "base-flap-2")])


def _base(sketch: Sketch, s: Sizes, n: int, edges: list[float], deep: tuple[float, float], wide: float) -> None:
    """The base panel of the front (1) or the back (2) and its glue flap, both so `deep`, and the base flap of the side, so `wide`."""
    x, far, h, clear = edges[2 * n - 1], edges[2 * n], s.diagonal, s.card.tuck_narrower
    panel = ((far - clear, 0.0), (x, 0.0), (x + h, -h), (x + h, -deep[0]), (far - clear, -deep[0]))
    sketch.hinge(f"wall-{2 * n}", f"base-{n}", "base", panel, root_of(panel))
    outer = ((x + h, -h), (x + clear, -clear), (x + clear, -deep[1]), (x + h, -deep[1]))
    sketch.hinge(f"base-{n}", f"glue-flap-{n + 1}", "glue-flap", outer, root_of(outer), 0.0, over=-180.0)
    depth = min(h, s.length / 2 - PLAY)
    side = flap(((x, 0.0), (x - wide, 0.0)), depth, (depth, 0.0), (clear, 0.0))
    sketch.hinge(f"wall-{2 * n - 1}", f"base-flap-{n}", "base-flap", side, root_of(side))

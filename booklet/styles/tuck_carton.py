"""A carton of four walls glued into a sleeve, closed at both ends by a tucked panel over two dust flaps."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet.fit import Fit
from booklet.net import Item, Net
from booklet.spec import Option
from booklet.styles import ends
from booklet.styles.ends import BACK, FRONT
from booklet.styles.shapes import Limits, Sketch
from booklet.thickness import Bears, Thickness

NAME = "tuck-carton"
OPTIONS = (Option("tucks", "choice", choices=("same", "opposite"), default="same"), *ends.OPTIONS)
SUITS = ("sale", "flat")
SHOWN = Item("block", 60.0, 45.0, 95.0)
BEARS = Bears()


@dataclass(frozen=True, slots=True)
class Sizes(ends.Carton):
    """Every size that the net is built from. `opposite`: the closing panels hang on opposite walls."""

    opposite: bool


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """Glue flaps lie on the two side walls; a tuck or a glue flap on front and back; a dust flap at each end."""
    return {"length": 2, "width": 2, "height": 2}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused where a flap has no room."""
    return Sizes(**ends.sized(fit, card, options, layers(options), Limits(fit.grid)), opposite=options["tucks"] == "opposite")


def net(s: Sizes) -> Net:
    """The carton."""
    sketch = Sketch("box", "box", s.card)
    edges = ends.walls(sketch, s, s.card.t, s.past_tuck)
    ends.close(sketch, s, "top", BACK, edges)
    ends.close(sketch, s, "bottom", FRONT if s.opposite else BACK, edges)
    ends.dust_flaps(sketch, s, "top", FRONT, edges)
    ends.dust_flaps(sketch, s, "bottom", BACK if s.opposite else FRONT, edges)
    return ends.finished(NAME, s, sketch, 1)

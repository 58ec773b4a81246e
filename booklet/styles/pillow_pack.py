"""A pillow of two faces that bulge, its ends shut along curved folds: it opens along one side like a shell, without glue."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet import space
from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Part
from booklet.spec import Option
from booklet.styles import curved
from booklet.styles.shapes import Sketch, flap, on_grid, root_of
from booklet.thickness import CREASE_MOST, Bears, Thickness

NAME = "pillow-pack"
OPTIONS = (Option("tuck", "length", 12.0, 0.5, least_mm=6.0, most_mm=30.0),)
SUITS = ("gift", "sale", "no-glue")
SHOWN = Item("block", 110.0, 50.0, 16.0)
BEARS = Bears(crease=CREASE_MOST, most=CREASE_MOST)
_PLAY = 0.5
"""mm: between what meets at the ends and sides."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """`half`: the pillow's length along its sides, halved; `facet`: width of a facet of a face; `tuck`: depth, as asked; all mm."""

    card: Thickness
    half: float
    facet: float
    tuck: float
    inside: Inside
    item: Item


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """The tuck lies in the narrow edge, where no thing is."""
    return {"length": 0, "width": 0, "height": 0}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """The smallest pillow in which the thing lies with its play, rounded here once."""
    read, t = fit.read, card.t
    inside = Inside(read.length + fit.clearance, read.width + fit.clearance, read.height + fit.headroom)
    facet = fit.grid.up(curved.facet_for(inside.width / 2, inside.height / 2 + t))
    half = fit.grid.up(inside.length / 2 + curved.bulge(facet) + 2 * t)
    return Sizes(card, half, facet, on_grid(fit.grid, options, "tuck"), inside, fit.item)


def net(s: Sizes) -> Net:
    """The pillow; nothing of it is glued."""
    return Net("", NAME, s.card.t, s.inside, True, s.item, (_part(s),), (), interior="other")


def _part(s: Sizes) -> Part:
    """The back lies under the thing, x along the pillow; the front hangs on its far side and carries the ends and the tuck."""
    sketch, count, rim = Sketch("box", "box", s.card), curved.FACETS, curved.heights(s.facet)
    back = [s.half - over - _PLAY for over in rim]
    curved.face(sketch, "back", s.facet, 0.0, back, root=count // 2 + 1)
    turn = 180.0 - 2 * curved.slope(0)
    ends = [s.half - over for over in rim]
    curved.face(sketch, "front", s.facet, count * s.facet, ends, hung=("back", turn))
    for number, way in enumerate((1.0, -1.0), 1):
        curved.end(sketch, "front", f"end-flap-{number}", s.facet, count * s.facet, ends, way, short=s.card.t)
    _tuck(sketch, s, 2 * count * s.facet)
    return sketch.part(space.moved(0, -count * s.facet / 2, s.inside.height / 2 - curved.bulge(s.facet)))


def _tuck(sketch: Sketch, s: Sizes, y: float) -> None:
    """It lies inside the edge of the back as a chord of its curve."""
    facets = max(1, min(curved.FACETS // 3, round(s.tuck / s.facet)))
    reach = curved.heights(s.facet)[facets]
    depth = curved.chord(s.facet, facets) - _PLAY
    far = s.half - reach - 2 * _PLAY - s.card.t
    outline = flap(((-far, y), (far, y)), depth, (depth / 2, depth / 2))
    angle = 180.0 - curved.slope(0) - curved.slope((facets - 1) / 2)
    sketch.hinge(f"front.{curved.FACETS}", "tuck", "tuck", outline, root_of(outline), angle)

"""The tucked end of a carton: a closing panel whose tuck slides down inside a wall, over two dust flaps. Millimetres.

Walls 1 and 3 of a carton are the sides, 2 the front, on which the others hang, and 4 the back; x = 0 at the left edge of wall 1.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note
from booklet.sliding import lean
from booklet.spec import Option
from booklet.styles.rings import closed_by_flap, outward, ring, standing
from booklet.styles.shapes import Limits, Sketch, flap, glue, on_grid, root_of, rounded
from booklet.thickness import Thickness

OPTIONS = (
    Option("tuck", "length", 15.0, 5 / 8, least_mm=8.0, most_mm=40.0),
    Option("dust_flap", "length", None, None, least_mm=8.0),
    Option("glue_flap", "length", 12.0, 0.5, least_mm=5.0),
    Option("taper", "length", 3.0, 1 / 8),
    Option("corner_radius", "length", 5.0, 3 / 16, most_mm=15.0),
)
FRONT, BACK = 2, 4
PLAY = 1.0
"""mm between flaps that would meet (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Carton:
    """Every size that a carton with a tucked end is built from, fold to fold, mm. All but the closing panel's are on the ruler grid."""

    card: Thickness
    length: float
    width: float
    height: float
    tuck: float
    dust_flap: float
    glue_flap: float
    taper: float
    radius: float
    inside: Inside
    item: Item
    notes: tuple[Note, ...]

    @property
    def closing(self) -> float:
        """Depth of a closing panel: one caliper less than the width, so that its tuck passes inside the wall."""
        return self.width - self.card.t

    @property
    def widths(self) -> list[float]:
        """Of the four walls."""
        return [self.width, self.length] * 2

    @property
    def past_tuck(self) -> float:
        """How far a seam or a flap keeps from an end past which a tuck slides down: thick card has no room for both."""
        return self.tuck + self.card.t if _thick(self.card) else 2 * self.card.t


def sized(fit: Fit, card: Thickness, options: Mapping[str, Any], layers: Mapping[str, int], limits: Limits) -> dict[str, Any]:
    """The sizes of a `Carton` by name, rounded here once. Raises Refused where a flap has no room."""
    grid = fit.grid
    free = {axis: card.between(n) for axis, n in layers.items()}
    length = fit.across(fit.read.length, free["length"])
    width = fit.across(fit.read.width, free["width"])
    height = fit.upward(free["height"])
    most_dust = min(length, width) / 2 - PLAY
    taper = limits.taper("taper", on_grid(grid, options, "taper"), min(width / 2, height))
    most_tuck = min((height - 2 * card.t) / 2 - (taper + 3.0 if _thick(card) else PLAY), width - 2 * card.t)
    tuck = limits.shorten("tuck", on_grid(grid, options, "tuck"), most_tuck)
    dust = limits.shorten("dust_flap", on_grid(grid, options, "dust_flap", grid.down(most_dust)), most_dust)
    edge = limits.shorten("glue_flap", on_grid(grid, options, "glue_flap"), width / 2 - PLAY)
    radius = min(on_grid(grid, options, "corner_radius"), tuck / 2, dust / 2, length / 4)
    inside = Inside(length - free["length"], width - free["width"], height - free["height"])
    sizes = {"length": length, "width": width, "height": height, "tuck": tuck, "dust_flap": dust, "glue_flap": edge, "taper": taper}
    return {**sizes, "card": card, "radius": radius, "inside": inside, "item": fit.item, "notes": tuple(limits.notes)}


def _thick(card: Thickness) -> bool:
    """Whether a glue flap on a side wall would stand in the way of a tuck: then it ends short of the tucks."""
    return card.inner + card.t > card.tuck_narrower


def walls(sketch: Sketch, s: Carton, low: float, seam_low: float) -> list[float]:
    """The four walls with their glue flap; x of their edges.

    The sides are one caliper shorter at the top, so that dust flaps fold under the closing panel, and `low` mm at the bottom; the glue
    flap starts `seam_low` over the bottom.
    """
    spans = [(low, s.height - s.card.t), (0.0, s.height)] * 2
    seam = ((seam_low, s.height - s.past_tuck), s.glue_flap, s.taper)
    return ring(sketch, s.widths, spans, root=FRONT, seam=seam)


def open_below(s: Carton, floor: int) -> tuple[Sketch, list[float]]:
    """A carton with a tucked top and no base yet, whose floor will have `floor` layers on its lowest; x of the edges of its walls."""
    sketch = Sketch("box", "box", s.card)
    edges = walls(sketch, s, 0.0, (floor + 1) * s.card.t)
    close(sketch, s, "top", BACK, edges)
    dust_flaps(sketch, s, "top", FRONT, edges)
    return sketch, edges


def finished(name: str, s: Carton, sketch: Sketch, floor: int, glued: Sequence[tuple[str, str]] = ()) -> Net:
    """The net of a carton. `glued`: panels of its base whose marked face is glued to the back of another."""
    part = sketch.part(standing(sketch, s.width + s.length / 2, floor * s.card.t, s.width / 2))
    base = [bond for first, second in glued for bond in glue(part, first, second, ("marked", "back"))]
    bonds = (*closed_by_flap(part), *base)
    return Net("", name, s.card.t, s.inside, True, s.item, (part,), bonds, notes=s.notes, joint=(s.glue_flap, s.taper))


def close(sketch: Sketch, s: Carton, end: str, wall: int, edges: list[float]) -> None:
    """The closing panel with its tuck at the "top" or the "bottom" of a wall, the front or the back."""
    up, y = (1.0, s.height) if end == "top" else (-1.0, 0.0)
    clear, slim = s.card.tuck_narrower, max(1.0, s.card.t)
    panel = flap(outward(edges[wall - 1], edges[wall], y, up), s.closing, set_in=(clear, clear))
    sketch.hinge(f"wall-{wall}", f"closing-{end}", "closing", panel, root_of(panel), carrier="child")
    tuck = flap((panel[3], panel[2]), s.tuck, (slim, slim))
    sketch.hinge(f"closing-{end}", f"tuck-{end}", "tuck", rounded(tuck, {2: s.radius, 3: s.radius}), root_of(tuck))


def dust_flaps(sketch: Sketch, s: Carton, end: str, tuck_in: int, edges: list[float]) -> None:
    """On both side walls, numbered on from those at the top; set in further at the edge past which the tuck slides, in wall `tuck_in`."""
    t, up = s.card.t, 1.0 if end == "top" else -1.0
    past_tuck = max(1.5 * t + 0.5, t + lean(s.closing, s.tuck) + 0.2)
    for wall in (1, 3):
        # the front stands to the right of wall 1 and to the left of wall 3
        at_right = (wall == 1) == (tuck_in == FRONT)
        left, right = (s.card.tuck_narrower, past_tuck) if at_right else (past_tuck, s.card.tuck_narrower)
        slim = (s.taper, 2 * s.taper) if at_right else (2 * s.taper, s.taper)
        slim = min(slim[0], s.width / 6), min(slim[1], s.width / 6)
        set_in, tapers = ((left, right), slim) if up > 0 else ((right, left), slim[::-1])
        y = s.height - t if up > 0 else t
        outline = flap(outward(edges[wall - 1], edges[wall], y, up), s.dust_flap, tapers, set_in)
        name = f"dust-flap-{(wall + 1) // 2 + (0 if up > 0 else 2)}"
        sketch.hinge(f"wall-{wall}", name, "dust-flap", rounded(outline, {2: s.radius, 3: s.radius}), root_of(outline))

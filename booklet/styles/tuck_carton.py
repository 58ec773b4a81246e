"""A carton of four walls glued into a sleeve, closed at both ends by a tucked panel over two dust flaps."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet import space
from booklet.fit import Fit
from booklet.net import Inside, Item, Net, Note, Part
from booklet.sliding import lean
from booklet.spec import Option
from booklet.styles.shapes import Limits, Sketch, flap, glue, on_grid, rectangle, root_of, rounded
from booklet.thickness import Bears, Thickness

NAME = "tuck-carton"
OPTIONS = (
    Option("tucks", "choice", choices=("same", "opposite"), default="same"),
    Option("tuck", "length", 15.0, 5 / 8, least_mm=8.0, most_mm=40.0),
    Option("dust_flap", "length", None, None, least_mm=8.0),
    Option("glue_flap", "length", 12.0, 0.5, least_mm=5.0),
    Option("taper", "length", 3.0, 1 / 8),
    Option("corner_radius", "length", 5.0, 3 / 16, most_mm=15.0),
)
SUITS = ("sale", "flat")
SHOWN = Item("block", 60.0, 45.0, 95.0)
BEARS = Bears()
_PLAY = 1.0


@dataclass(frozen=True, slots=True)
class Sizes:
    """Every size that the net is built from, fold to fold, mm. All but the closing panel's are on the ruler grid."""

    card: Thickness
    length: float
    width: float
    height: float
    opposite: bool
    tuck: float
    dust_flap: float
    glue_flap: float
    taper: float
    radius: float
    inside: Inside
    item: Item
    notes: tuple[Note, ...] = ()

    @property
    def closing(self) -> float:
        """Depth of a closing panel: one caliper less than the width, so that its tuck passes inside the wall."""
        return self.width - self.card.t


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """Glue flaps lie on the two side walls; a tuck or a glue flap on front and back; a dust flap at each end."""
    return {"length": 2, "width": 2, "height": 2}


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused where a flap has no room."""
    grid, count, limits = fit.grid, layers(options), Limits(fit.grid)
    free = {axis: card.between(n) for axis, n in count.items()}
    length = fit.across(fit.read.length, free["length"])
    width = fit.across(fit.read.width, free["width"])
    height = fit.upward(free["height"])
    most_dust = min(length, width) / 2 - _PLAY
    taper = limits.taper("taper", on_grid(grid, options, "taper"), min(width / 2, height))
    most_tuck = min((height - 2 * card.t) / 2 - (taper + 3.0 if _thick(card) else _PLAY), width - 2 * card.t)
    tuck = limits.shorten("tuck", on_grid(grid, options, "tuck"), most_tuck)
    dust = limits.shorten("dust_flap", on_grid(grid, options, "dust_flap", grid.down(most_dust)), most_dust)
    edge = limits.shorten("glue_flap", on_grid(grid, options, "glue_flap"), width / 2 - _PLAY)
    radius = min(on_grid(grid, options, "corner_radius"), tuck / 2, dust / 2, length / 4)
    inside = Inside(length - free["length"], width - free["width"], height - free["height"])
    opposite = options["tucks"] == "opposite"
    return Sizes(card, length, width, height, opposite, tuck, dust, edge, taper, radius, inside, fit.item, tuple(limits.notes))


def _thick(card: Thickness) -> bool:
    """Whether a glue flap on a side wall would stand in the way of a tuck: then it ends short of the tucks."""
    return card.inner + card.t > card.tuck_narrower


def net(s: Sizes) -> Net:
    """The carton."""
    part = _part(s)
    bonds = tuple(glue(part, "glue-flap-1", "wall-1", ("back", "marked")))
    return Net("", NAME, s.card.t, s.inside, True, s.item, (part,), bonds, notes=s.notes, joint=(s.glue_flap, s.taper))


def _part(s: Sizes) -> Part:
    """Walls 1 and 3 are the sides, 2 the front, 4 the back; x = 0 at the left edge of wall 1."""
    t, w, long = s.card.t, s.width, s.length
    edges = [0.0, w, w + long, 2 * w + long, 2 * (w + long)]
    walls = {f"wall-{i + 1}": _wall(s, i, edges[i], edges[i + 1]) for i in range(4)}
    sketch = Sketch("box", "box", s.card)
    sketch.panel("wall-2", "wall", walls["wall-2"])
    for parent, child, x, carrier in (
        ("wall-2", "wall-1", w, "parent"),
        ("wall-2", "wall-3", w + long, "parent"),
        ("wall-3", "wall-4", 2 * w + long, "child"),
    ):
        sketch.hinge(parent, child, "wall", walls[child], ((x, t), (x, s.height - t)), carrier=carrier)  # type: ignore[arg-type]
    ends = s.tuck + t if _thick(s.card) else 2 * t
    edge = flap(((edges[4], s.height - ends), (edges[4], ends)), s.glue_flap, (s.taper, s.taper))
    sketch.hinge("wall-4", "glue-flap-1", "glue-flap", edge, root_of(edge))
    back, front = ("wall-4", edges[3], edges[4]), ("wall-2", edges[1], edges[2])
    _closing(sketch, s, "top", *back, s.height, 1.0)
    _closing(sketch, s, "bottom", *(front if s.opposite else back), 0.0, -1.0)
    _dust_flaps(sketch, s, edges)
    stand = space.moved(0, -(w / 2 + s.card.pivot()), 0) @ space.turned((0, 0, 1), 180.0) @ space.turned((1, 0, 0), 90.0)
    return sketch.part(stand @ space.moved(-(w + long / 2), -(t + s.card.inner), 0))


def _wall(s: Sizes, i: int, x0: float, x1: float) -> tuple[tuple[float, float], ...]:
    """A wall; the sides are one caliper shorter at each end, so that dust flaps fold under the closing panels."""
    less = 0.0 if i % 2 else s.card.t
    return rectangle(x0, less, x1, s.height - less)


def _outward(x0: float, x1: float, y: float, up: float) -> tuple[tuple[float, float], tuple[float, float]]:
    return ((x0, y), (x1, y)) if up > 0 else ((x1, y), (x0, y))


def _closing(sketch: Sketch, s: Sizes, end: str, wall: str, x0: float, x1: float, y: float, up: float) -> None:
    clear = s.card.tuck_narrower
    panel = flap(_outward(x0, x1, y, up), s.closing, set_in=(clear, clear))
    sketch.hinge(wall, f"closing-{end}", "closing", panel, root_of(panel), carrier="child")
    slim = max(1.0, s.card.t)
    tuck = flap((panel[3], panel[2]), s.tuck, (slim, slim))
    sketch.hinge(f"closing-{end}", f"tuck-{end}", "tuck", rounded(tuck, {2: s.radius, 3: s.radius}), root_of(tuck))


def _dust_flaps(sketch: Sketch, s: Sizes, edges: list[float]) -> None:
    """On the two side walls at both ends; set in further at the edge past which the tuck slides."""
    t, number = s.card.t, 0
    past_tuck = max(1.5 * t + 0.5, t + lean(s.closing, s.tuck) + 0.2)
    for end, y, up in (("top", s.height - t, 1.0), ("bottom", t, -1.0)):
        tuck_in = "wall-4" if end == "bottom" and s.opposite else "wall-2"
        for wall, i in (("wall-1", 0), ("wall-3", 2)):
            number += 1
            # wall-2 stands to the right of wall 1 and to the left of wall 3
            at_right = (wall == "wall-1") == (tuck_in == "wall-2")
            left, right = (s.card.tuck_narrower, past_tuck) if at_right else (past_tuck, s.card.tuck_narrower)
            slim = (s.taper, 2 * s.taper) if at_right else (2 * s.taper, s.taper)
            slim = tuple(min(x, s.width / 6) for x in slim)  # type: ignore[assignment]
            set_in, tapers = ((left, right), slim) if up > 0 else ((right, left), slim[::-1])
            outline = flap(_outward(edges[i], edges[i + 1], y, up), s.dust_flap, tapers, set_in)
            sketch.hinge(wall, f"dust-flap-{number}", "dust-flap", rounded(outline, {2: s.radius, 3: s.radius}), root_of(outline))

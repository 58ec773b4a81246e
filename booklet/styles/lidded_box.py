"""A box of four walls in a wrap, with a doubled base and hems, and a lid with skirts over it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from booklet import space
from booklet.fit import Fit
from booklet.net import Bond, Inside, Item, Net, Note, Part
from booklet.space import Matrix
from booklet.spec import Option
from booklet.styles.shapes import Limits, Sketch, corner_flaps, corner_partners, flap, glue, on_grid, rectangle, root_of
from booklet.thickness import HEM_CREASE_MOST, Bears, Thickness
from booklet.tolerance import FINGER

NAME = "lidded-box"
OPTIONS = (
    Option("hem", "length", 25.0, 1.0),
    Option("glue_flap", "length", 12.0, 0.5, least_mm=5.0),
    Option("skirt", "length", 25.0, 1.0, least_mm=8.0),
    Option("taper", "length", 3.0, 1 / 8),
    Option("base_taper", "length", 6.0, 1 / 4),
    Option("lid_hem", "length", None, None),
    Option("lid_hem_taper", "length", 6.0, 1 / 4),
    Option("corner_flap", "length", None, None, least_mm=5.0),
)

SUITS = ("weight", "gift", "often")
SHOWN = Item("block", 95.0, 80.0, 60.0)
BEARS = Bears(crease=HEM_CREASE_MOST)


@dataclass(frozen=True, slots=True)
class Sizes:
    """Every size that the net is built from, mm, on the ruler grid; `long` and `short` are fold to fold."""

    card: Thickness
    long: float
    short: float
    turned: bool
    height: float
    base: float
    base_rank: tuple[int, int, int, int]
    base_taper: float
    hem: float
    glue_flap: float
    taper: float
    lid_long: float
    lid_short: float
    flaps_on_ends: bool
    skirt: float
    lid_hem: float
    lid_hem_taper: float
    corner_flap: float
    corner_taper: float
    floor: float
    inside: Inside
    item: Item
    notes: tuple[Note, ...]


def layers(options: Mapping[str, Any]) -> dict[str, int]:
    """Layers of card on each axis besides the walls, in the worst cut-up.

    A hem and a glue flap on each wall; upward the doubled base and the glue flap of a lid that is cut.
    """
    across = 2 * (1 + bool(options["hem"]))
    return {"length": across, "width": across, "height": 5}


def _lid_layers(hem: float, narrow: bool) -> tuple[int, int]:
    """Layers inside the lid's skirts on the long and on the short axis.

    Corner flaps lie on the long skirts, in a narrow lid on the short ones.
    """
    return int(hem > 0) + narrow, int(hem > 0) + (not narrow)


def sizes(fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Sizes:
    """All sizes, rounded here once. Raises Refused where a hem or flap has no room."""
    grid, t = fit.grid, card.t
    limits = Limits(grid)
    hem = on_grid(grid, options, "hem")
    if hem:
        card.hem_way()
    count = layers(options)
    length = fit.across(fit.read.length, card.between(count["length"]))
    width = fit.across(fit.read.width, card.between(count["width"]))
    long, short = max(length, width), min(length, width)
    base = grid.meeting_wall(short, t)
    rank = (0, 1, 3, 2) if 2 * base > long else (0, 1, 2, 1)
    stepped = card.stepped(max(rank) + 1)
    floor = card.inner + (0 if stepped else max(rank) * t)
    height = fit.upward(floor + t)
    hem = limits.shorten("hem", hem, height - max(3.0, max(rank) * t)) if hem else 0.0
    skirt = limits.shorten("skirt", on_grid(grid, options, "skirt"), height)
    back = grid.default(3.0, 1 / 8)
    lid_hem = on_grid(grid, options, "lid_hem", max(skirt - back, back) if hem else 0.0)
    # opposite hems turn inward together and must not meet half-way
    lid_hem = limits.shorten("lid_hem", lid_hem, min(skirt, short / 2 - 1.0)) if lid_hem else 0.0
    if lid_hem:
        card.hem_way()
    # the skirts on which flaps and hems lie must leave room for a finger between them
    narrow = short < FINGER
    limits.room_for_finger("box.hem" if lid_hem else "item.length", short if lid_hem else long, bool(lid_hem))
    n_long, n_short = _lid_layers(lid_hem, narrow)
    lid_long = grid.up(card.lid_size(long, n_long, max(long, height)))
    lid_short = grid.up(card.lid_size(short, n_short, max(long, height)))
    corner = limits.shorten(
        "corner_flap", on_grid(grid, options, "corner_flap", skirt), (lid_short if narrow else lid_long) / 2 - max(1.0, 2 * t)
    )
    taper = on_grid(grid, options, "taper")
    return Sizes(
        card, long, short, width > length, height, base, rank if stepped else (0, 0, 0, 0),
        limits.taper("base_taper", on_grid(grid, options, "base_taper"), short),
        hem, limits.shorten("glue_flap", on_grid(grid, options, "glue_flap"), short / 2),
        limits.taper("taper", taper, min(short, height)), lid_long, lid_short, narrow, skirt, lid_hem,
        limits.taper("lid_hem_taper", on_grid(grid, options, "lid_hem_taper"), lid_short), corner,
        limits.taper("taper", taper, skirt), floor,
        Inside(length - card.between(count["length"]), width - card.between(count["width"]), height - floor - t),
        fit.item, tuple(limits.notes),
    )  # fmt: skip


def net(s: Sizes) -> Net:
    """The box and its lid."""
    box, lid = _box(s), _lid(s)
    bonds = (*_box_bonds(s, box), *_lid_bonds(s, lid))
    return Net("", NAME, s.card.t, s.inside, True, s.item, (box, lid), bonds, notes=s.notes, joint=(s.glue_flap, s.taper))


def _facing(s: Sizes) -> Matrix:
    """The long walls lie along the item's length, or along its width where that is longer."""
    return space.turned((0, 0, 1), 90.0) if s.turned else space.identity()


def _box(s: Sizes) -> Part:
    sketch = Sketch("box", "box", s.card)
    edges = [0.0, s.long, s.long + s.short, 2 * s.long + s.short, 2 * (s.long + s.short)]
    bottoms = [-rank * s.card.t for rank in s.base_rank]
    for i in range(4):
        x0, x1, wall = edges[i], edges[i + 1], f"wall-{i + 1}"
        outline = rectangle(x0, bottoms[i], x1, s.height)
        if i == 0:
            sketch.panel(wall, "wall", outline)
        else:
            line = ((x0, max(bottoms[i - 1 : i + 1])), (x0, s.height))
            sketch.hinge(f"wall-{i}", wall, "wall", outline, line, carrier="parent")
        _base(sketch, s, i, x0, x1, bottoms[i])
        if s.hem:
            clear = s.card.set_in(2)
            hem = flap(((x0, s.height), (x1, s.height)), s.hem, (s.taper, s.taper), (clear, clear))
            sketch.hinge(wall, f"hem-{i + 1}", "hem", hem, root_of(hem), 180.0, way=s.card.hem_way())
    low = max(bottoms[0], bottoms[3]) + s.card.set_in(1)
    edge = flap(((edges[4], s.height), (edges[4], low)), s.glue_flap, (s.taper, s.taper))
    sketch.hinge("wall-4", "glue-flap-1", "glue-flap", edge, root_of(edge))
    stand = space.moved(-s.long / 2, s.short / 2 + s.card.pivot(), -s.floor) @ space.turned((1, 0, 0), 90.0)
    return sketch.part(_facing(s) @ stand)


def _base(sketch: Sketch, s: Sizes, i: int, x0: float, x1: float, y: float) -> None:
    """A full base panel on a long wall; on a short wall a flap tapered at both sides."""
    full = i % 2 == 0
    taper = 0.0 if full else s.base_taper
    clear = s.card.set_in(1)
    outline = flap(((x1, y), (x0, y)), s.base, (taper, taper), (clear, clear))
    role = "base" if full else "base-flap"
    sketch.hinge(f"wall-{i + 1}", f"{role}-{i // 2 + 1}", role, outline, root_of(outline), carrier="child")


def _box_bonds(s: Sizes, box: Part) -> list[Bond]:
    rest = 2 * s.card.pivot(s.card.hem_way()) if s.hem else 0.0
    hems = [b for i in range(1, 5) for b in glue(box, f"hem-{i}", f"wall-{i}", ("marked", "marked"), rest)] if s.hem else []
    ring = glue(box, "glue-flap-1", "wall-1", ("back", "marked"), 0.0, ["hem-1"] if s.hem else [])
    over_hem = glue(box, "glue-flap-1", "hem-1", ("back", "back"), -rest) if s.hem else []
    return [*hems, *ring, *over_hem, *_base_bonds(s, box)]


def _base_bonds(s: Sizes, box: Part) -> list[Bond]:
    """The inner full panel first; each next one lies on all that went before it, from outside."""
    order = ["base-1", "base-flap-1", "base-flap-2", "base-2"]
    rank = dict(zip(("base-1", "base-flap-1", "base-2", "base-flap-2"), s.base_rank, strict=True))
    bonds: list[Bond] = []
    for k, name in enumerate(order[1:], 1):
        for j, other in enumerate(order[:k]):
            apart = rank[name] - rank[other]
            if apart > 1:
                # stepped panels two steps apart do not touch
                continue
            bonds += glue(box, name, other, ("marked", "back"), apart * s.card.t, order[j + 1 : k])
    return bonds


def _lid(s: Sizes) -> Part:
    sketch = Sketch("lid", "lid", s.card)
    w, d = s.lid_long, s.lid_short
    sketch.panel("lid", "lid", rectangle(0, 0, w, d))
    sides = {
        "skirt-1": ((w, 0.0), (0.0, 0.0)),
        "skirt-2": ((w, d), (w, 0.0)),
        "skirt-3": ((0.0, d), (w, d)),
        "skirt-4": ((0.0, 0.0), (0.0, d)),
    }
    for i, (name, edge) in enumerate(sides.items(), 1):
        outline = flap(edge, s.skirt)
        sketch.hinge("lid", name, "skirt", outline, root_of(outline), carrier="child")
        if s.lid_hem:
            clear = s.card.set_in(2)
            hem = flap((outline[3], outline[2]), s.lid_hem, (s.lid_hem_taper, s.lid_hem_taper), (clear, clear))
            sketch.hinge(name, f"lid-hem-{i}", "hem", hem, root_of(hem), 180.0, way=s.card.hem_way())
    carriers = [f"skirt-{i}" for i in _carriers(s)]
    outlines = [next(p.outline for p in sketch.panels if p.name == name) for name in carriers]
    corner_flaps(sketch, carriers, outlines, s.corner_flap, s.corner_taper)
    height = s.height - s.floor + s.card.t / 2
    place = space.moved(-w / 2, d / 2, height) @ space.turned((1, 0, 0), 180.0)
    return sketch.part(_facing(s) @ place)


def _carriers(s: Sizes) -> tuple[int, int]:
    """The skirts that carry the corner flaps: the short ones, in a narrow lid the long ones."""
    return (1, 3) if s.flaps_on_ends else (2, 4)


def _lid_bonds(s: Sizes, lid: Part) -> list[Bond]:
    """Corner flaps on the skirts beside them; hems on their skirts, and over the flaps that are there."""
    rest = 2 * s.card.pivot(s.card.hem_way()) if s.lid_hem else 0.0
    flaps = corner_partners("skirt", _carriers(s))
    bonds = [b for name, skirt in flaps.items() for b in glue(lid, name, skirt, ("back", "marked"))]
    for i in range(1, 5) if s.lid_hem else ():
        over = [name for name, skirt in flaps.items() if skirt == f"skirt-{i}"]
        bonds += glue(lid, f"lid-hem-{i}", f"skirt-{i}", ("marked", "marked"), rest, over)
        bonds += [b for name in over for b in glue(lid, f"lid-hem-{i}", name, ("marked", "marked"), rest)]
    return bonds

"""Four walls in a wrap with a doubled base and hems inside, and a lid with hemmed skirts over it. Millimetres.

Walls 1 and 3 are the long ones. Skirts are numbered as the sides of a tray: 1 and 3 the long ones, 2 and 4 the short ones.
"""

from __future__ import annotations

from dataclasses import dataclass

from booklet import space
from booklet.grid import Grid
from booklet.net import Bond, Inside, Item, Note, Part
from booklet.space import Matrix
from booklet.styles import trays
from booklet.styles.shapes import Limits, Sketch, corner_flaps, corner_partners, flap, glue, rectangle, root_of
from booklet.thickness import Thickness
from booklet.tolerance import FINGER


@dataclass(frozen=True, slots=True)
class Sizes:
    """Every size of such a box and its lid, mm, on the ruler grid; `long` and `short` are fold to fold.

    `turned`: the long walls lie along the item's width. `base_rank`: how many calipers lower the base panel of each wall hangs.
    `floor`: from the base folds to the inside's floor. `flaps_on_ends`: the lid's corner flaps hang on its long skirts.
    """

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

    @property
    def carriers(self) -> tuple[int, int]:
        """The skirts that carry the corner flaps: the short ones, in a narrow lid the long ones."""
        return (1, 3) if self.flaps_on_ends else (2, 4)

    @property
    def facing(self) -> Matrix:
        """The turn that brings the long walls along the item's longer side."""
        return space.turned((0, 0, 1), 90.0) if self.turned else space.identity()

    def rest(self, hem: float) -> float:
        """How far over its wall a hem lies by its fold alone; 0 where there is no hem."""
        return 2 * self.card.pivot(self.card.hem_way()) if hem else 0.0


def base_ranks(card: Thickness, grid: Grid, long: float, short: float) -> tuple[float, tuple[int, int, int, int], float]:
    """Depth of the base panels, which meet in the middle, how many calipers each is stepped down, and what the inner ones add to the floor.

    Thick panels are stepped, each by those that lie on it; of thin ones all hang on one line and the floor is so much higher.
    """
    base = grid.meeting_wall(short, card.t)
    # the flaps of the short walls lie on each other where they are longer than half the box
    rank = (0, 1, 3, 2) if 2 * base > long else (0, 1, 2, 1)
    return base, rank if card.stepped(max(rank) + 1) else (0, 0, 0, 0), max(rank) * card.t


def lid_hem(limits: Limits, card: Thickness, asked: float, skirt: float, short: float) -> float:
    """Depth of the hems of a lid, 0 for none. Raises Refused where the card does not bear them, or where they have no room."""
    if not asked:
        return 0.0
    # opposite hems turn inward together and must not meet half-way
    got = limits.shorten("lid_hem", asked, min(skirt, short / 2 - 1.0))
    card.hem_way()
    return got


def lid_across(grid: Grid, card: Thickness, long: float, short: float, height: float, hem: float) -> tuple[float, float, bool]:
    """Length and width of the lid over walls of `long` by `short`, and whether its corner flaps hang on its long skirts.

    Inside each skirt lies its hem, and a corner flap inside the long ones, in a narrow lid inside the short ones.
    """
    narrow, longest, hems = short < FINGER, max(long, height), int(hem > 0)
    lid_long = grid.up(card.lid_size(long, hems + narrow, longest))
    return lid_long, grid.up(card.lid_size(short, hems + (not narrow), longest)), narrow


def box(s: Sizes) -> Part:
    """The walls with their hems, base panels and glue flap."""
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
    return sketch.part(s.facing @ stand)


def _base(sketch: Sketch, s: Sizes, i: int, x0: float, x1: float, y: float) -> None:
    """A full base panel on a long wall; on a short wall a flap tapered at both sides."""
    full = i % 2 == 0
    taper = 0.0 if full else s.base_taper
    clear = s.card.set_in(1)
    outline = flap(((x1, y), (x0, y)), s.base, (taper, taper), (clear, clear))
    role = "base" if full else "base-flap"
    sketch.hinge(f"wall-{i + 1}", f"{role}-{i // 2 + 1}", role, outline, root_of(outline), carrier="child")


def box_bonds(s: Sizes, part: Part) -> list[Bond]:
    """Hems on their walls, the glue flap on the first wall and over its hem, base panels on each other."""
    rest = s.rest(s.hem)
    hems = [b for i in range(1, 5) for b in glue(part, f"hem-{i}", f"wall-{i}", ("marked", "marked"), rest)] if s.hem else []
    ring = glue(part, "glue-flap-1", "wall-1", ("back", "marked"), 0.0, ["hem-1"] if s.hem else [])
    over_hem = glue(part, "glue-flap-1", "hem-1", ("back", "back"), -rest) if s.hem else []
    return [*hems, *ring, *over_hem, *_base_bonds(s, part)]


def _base_bonds(s: Sizes, part: Part) -> list[Bond]:
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
            bonds += glue(part, name, other, ("marked", "back"), apart * s.card.t, order[j + 1 : k])
    return bonds


def lid(s: Sizes) -> Part:
    """The lid with its skirts, their hems and the corner flaps."""
    sketch, w, d = Sketch("lid", "lid", s.card), s.lid_long, s.lid_short
    sketch.panel("lid", "lid", rectangle(0, 0, w, d))
    skirts = {i: flap(edge, s.skirt) for i, edge in trays.edges(w, d).items()}
    for i, outline in skirts.items():
        sketch.hinge("lid", f"skirt-{i}", "skirt", outline, root_of(outline), carrier="child")
        if s.lid_hem:
            clear = s.card.set_in(2)
            hem = flap((outline[3], outline[2]), s.lid_hem, (s.lid_hem_taper, s.lid_hem_taper), (clear, clear))
            sketch.hinge(f"skirt-{i}", f"lid-hem-{i}", "hem", hem, root_of(hem), 180.0, way=s.card.hem_way())
    corner_flaps(sketch, [f"skirt-{i}" for i in s.carriers], [skirts[i] for i in s.carriers], s.corner_flap, s.corner_taper)
    height = s.height - s.floor + s.card.t / 2
    place = space.moved(-w / 2, d / 2, height) @ space.turned((1, 0, 0), 180.0)
    return sketch.part(s.facing @ place)


def lid_bonds(s: Sizes, part: Part) -> list[Bond]:
    """Corner flaps on the skirts beside them; hems on their skirts, and over the flaps that are there."""
    rest, flaps = s.rest(s.lid_hem), corner_partners("skirt", s.carriers)
    bonds = [b for name, skirt in flaps.items() for b in glue(part, name, skirt, ("back", "marked"))]
    for i in range(1, 5) if s.lid_hem else ():
        over = [name for name, skirt in flaps.items() if skirt == f"skirt-{i}"]
        bonds += glue(part, f"lid-hem-{i}", f"skirt-{i}", ("marked", "marked"), rest, over)
        bonds += [b for name in over for b in glue(part, f"lid-hem-{i}", name, ("marked", "marked"), rest)]
    return bonds

"""A paper wrap round a tray of boards: covers, corner tabs that turn round the corners, strips over the rim, and turn-ins. Millimetres.

Paper lies on board face to face, so its folds stand half its thickness off the board. A tab lies in one plane with the cover that comes
over it: paper is so thin that what the tab takes is left to the hand.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely

from booklet import space
from booklet.folding import folder
from booklet.net import Bond, Butt, Face, Part
from booklet.overlap import largest, seen_from
from booklet.plane import Line, Ring
from booklet.styles.shapes import Sketch, flap, glue, rectangle, root_of
from booklet.thickness import Thickness

FOOT = 1.0
"""mm: a tab starts so far from the fold at the base, clear of the cover beside it (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Paper:
    """The paper's caliper, how deep the turn-ins and how wide the corner tabs are; `off`: how far off the corner of the board they end."""

    t: float
    turn_in: float
    tab: float
    off: float


@dataclass(frozen=True, slots=True)
class Tray:
    """What is wrapped: outside length and width of the tray, the walls' height over the base board, and the boards' caliper."""

    length: float
    width: float
    height: float
    t: float


def wrap(paper: Paper, tray: Tray) -> Part:
    """The wrap, its inside marked. Covers 1 and 3 lie on the sides along x and carry the tabs; 2 and 4 come over those."""
    p, sketch = paper.t, Sketch("wrap", "wrap", Thickness(paper.t, "crease"))
    x, y = (tray.length + p) / 2, (tray.width + p) / 2
    sketch.panel("base-cover", "base-cover", rectangle(-x, -y, x, y))
    sides: tuple[Line, ...] = (((x, -y), (-x, -y)), ((x, y), (x, -y)), ((-x, y), (x, y)), ((-x, -y), (-x, y)))
    covers = [flap(edge, tray.height + tray.t + p) for edge in sides]
    for n, outline in enumerate(covers, 1):
        sketch.hinge("base-cover", f"cover-{n}", "cover", outline, root_of(outline))
    for k, n in enumerate((1, 3)):
        _tabs(sketch, paper, f"cover-{n}", covers[n - 1], 2 * k)
    for n, outline in enumerate(covers, 1):
        _rim(sketch, paper, tray.t, n, outline)
    return sketch.part(space.moved(0, 0, -tray.t - p / 2))


def _tabs(sketch: Sketch, paper: Paper, cover: str, outline: Ring, number: int) -> None:
    """A tab at each end of a cover, cut at 45 degrees towards the rim from a little off the board's corner."""
    root_start, root_end, free_end, free_start = outline
    foot, off, cut = FOOT, paper.off, paper.tab
    low = min(3.0, cut / 2)
    for line, set_in, tapers in (
        ((free_end, root_end), (off, foot), (cut, low)),
        ((root_start, free_start), (foot, off), (low, cut)),
    ):
        number += 1
        tab = flap(line, paper.tab, tapers, set_in)
        sketch.hinge(cover, f"corner-tab-{number}", "corner-tab", tab, root_of(tab))


def _rim(sketch: Sketch, paper: Paper, board: float, n: int, cover: Ring) -> None:
    """The strip over the edge of the board, mitred, and the turn-in that hangs on it, its ends cut at 45 degrees."""
    over = board + paper.t
    strip = flap((cover[3], cover[2]), over, (over, over))
    sketch.hinge(f"cover-{n}", f"rim-strip-{n}", "rim-strip", strip, root_of(strip))
    inner = flap((strip[3], strip[2]), paper.turn_in, (paper.turn_in, paper.turn_in), (paper.t, paper.t))
    sketch.hinge(f"rim-strip-{n}", f"turn-in-{n}", "turn-in", inner, root_of(inner))


def pasted(part: Part, boards: Mapping[str, Part]) -> tuple[Bond, ...]:
    """Tabs under covers 2 and 4, and every panel that lies on a board. `boards`: those behind covers 1 to 4 and the base cover."""
    under = {2: (2, 3), 4: (1, 4)}
    tabs = {f"corner-tab-{tab}": f"cover-{cover}" for cover, some in under.items() for tab in some}
    bonds = [bond for tab, cover in tabs.items() for bond in glue(part, tab, cover, ("back", "marked"))]
    for name, board in boards.items():
        over = [tab for tab, cover in tabs.items() if cover == name]
        bonds += _on_board(part, name, board, "back", over)
        bonds += [bond for tab in over for bond in _on_board(part, tab, board, "back")]
        if name != "base-cover":
            bonds += _on_board(part, name.replace("cover", "turn-in"), board, "marked")
    return tuple(bonds)


def _on_board(part: Part, panel: str, board: Part, face: Face, without: Sequence[str] = ()) -> list[Bond]:
    """The bond of a panel with the face of a board that it lies on, less what tabs cover."""
    made = folder(part)
    seen = space.relative(space.matrix(board.places[0]), made.stood[made.index[panel]])
    ring = space.applied(seen, space.lifted(board.panel[board.root].outline))[:, :2]
    shape = shapely.Polygon(part.panel[panel].outline).intersection(shapely.Polygon(ring))
    for other in without:
        shape = shape.difference(seen_from(made, made.stood, panel, other).buffer(0.5, join_style="mitre"))
    rest = (part.caliper + board.caliper) / 2
    return [Bond(((part.name, panel), (board.name, board.root)), ("marked", face), region, rest) for region in [largest(shape)] if region]


def over_the_rim(part: Part, boards: Mapping[str, Part]) -> tuple[Butt, ...]:
    """The upper edges of the walls in the strips that go over them, as far as those are not mitred. `boards`: those behind the covers."""
    return tuple(_edge(part, f"rim-strip-{name[-1]}", board) for name, board in boards.items() if name != "base-cover")


def _edge(part: Part, strip: str, board: Part) -> Butt:
    made = folder(part)
    seen = space.relative(space.matrix(board.places[0]), made.stood[made.index[strip]])
    back = space.inverse(seen)
    (ax, ay), (bx, by) = part.panel[strip].outline[3], part.panel[strip].outline[2]
    ends = space.applied(back, space.lifted(((ax, ay), (bx, by))))
    (low_x, _), (high_x, high_y) = board.panel[board.root].outline[0], board.panel[board.root].outline[2]
    xs = sorted(min(max(float(x), low_x), high_x) for x in ends[:, 0])
    return Butt(((board.name, board.root), (part.name, strip)), ((xs[0], high_y), (xs[1], high_y)))

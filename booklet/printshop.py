"""The net for a print shop: all pieces of one box beside each other on one page, seen on the printed face, true to size. Millimetres."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

from booklet.artwork import BLEED, printed_net
from booklet.errors import refuse
from booklet.net import Net, Part, Piece
from booklet.plane import Affine, bounds, shift
from booklet.tolerance import SAME_POINT

GAP = 20.0
"""mm between pieces: the bleed of both, a measure and a name (chosen by us)."""

EDGE = 22.0
"""mm of page round the pieces (chosen by us)."""

LEGEND = (170.0, 80.0)
"""mm: width and height of the place for the legend, under the pieces (chosen by us)."""

LONGEST = 5000.0
"""mm: a page of a PDF without a unit of its own is at most 14400 points long (ISO 32000), 5080 mm."""

MOST_IN_ROW = 40
"""So many pieces in the first row are tried at most (chosen by us)."""

MIRROR = Affine(a=-1.0)


@dataclass(frozen=True, slots=True)
class Laid:
    """A piece of the printed net on the page: `to_page` maps its part's printed flat to mm from the page's lower left corner."""

    part: Part
    piece: Piece
    to_page: Affine


@dataclass(frozen=True)
class Sheet:
    """The page. `net`: as printed; `laid`: its pieces, those of a part of several places once for each."""

    net: Net
    laid: tuple[Laid, ...]
    size: tuple[float, float]

    @cached_property
    def trim(self) -> tuple[float, float, float, float]:
        """The rectangle round all pieces."""
        return bounds(p for one in self.laid for p in one.to_page.ring(one.piece.outline))

    @property
    def bleed(self) -> tuple[float, float, float, float]:
        """The rectangle round all pieces with their bleed."""
        x0, y0, x1, y1 = self.trim
        return x0 - BLEED, y0 - BLEED, x1 + BLEED, y1 + BLEED


def sheet_of(net: Net) -> Sheet:
    """All pieces of a net, marked on either face, in rows on one page. Raises Refused for a page that no PDF can have."""
    printed = printed_net(net)
    every = [(part, piece) for part in printed.parts for piece in part.pieces for _ in part.places]
    every.sort(key=lambda one: -round(_size(one[1])[1], 3))
    sheets = [_in_rows(printed, _rows(every, count)) for count in range(1, min(len(every), MOST_IN_ROW) + 1)]
    best = min(sheets, key=lambda sheet: (round(max(sheet.size), 3), round(min(sheet.size), 3)))
    if max(best.size) > LONGEST:
        told = f"the net on one page takes {best.size[0]:.0f} x {best.size[1]:.0f} mm"
        raise refuse("files", f"{told}, and a page has at most {LONGEST:.0f}; use smaller card")
    order = {(part.name, piece.name): n for n, (part, piece) in enumerate((part, piece) for part in printed.parts for piece in part.pieces)}
    return Sheet(printed, tuple(sorted(best.laid, key=lambda one: order[one.part.name, one.piece.name])), best.size)


Row = list[tuple[Part, Piece]]


def _rows(every: Sequence[tuple[Part, Piece]], count: int) -> list[Row]:
    """Pieces in rows of the width that the first `count` of them take, or the widest one."""
    widths = [_size(piece)[0] for _, piece in every]
    widest = max([*widths, sum(widths[:count]) + GAP * (count - 1)])
    rows: list[Row] = [[]]
    used = 0.0
    for one, width in zip(every, widths, strict=True):
        if rows[-1] and used + width > widest + SAME_POINT:
            rows.append([])
            used = 0.0
        rows[-1].append(one)
        used += width + GAP
    return rows


def _in_rows(printed: Net, rows: Sequence[Row]) -> Sheet:
    """The page of such rows, the first on top."""
    y, wide, laid = EDGE + LEGEND[1], 0.0, list[Laid]()
    for row in reversed(rows):
        x, high = EDGE, 0.0
        for part, piece in row:
            x0, y0, x1, y1 = bounds(piece.outline)
            laid.append(Laid(part, piece, shift(x - x0, y - y0)))
            x, high = x + x1 - x0 + GAP, max(high, y1 - y0)
        wide, y = max(wide, x - GAP + EDGE), y + high + GAP
    return Sheet(printed, tuple(laid), (max(wide, LEGEND[0] + 2 * EDGE), y - GAP + EDGE))


def _size(piece: Piece) -> tuple[float, float]:
    x0, y0, x1, y1 = bounds(piece.outline)
    return x1 - x0, y1 - y0


def from_marked(net: Net, one: Laid) -> Affine:
    """The map from the flat of a net as it is marked to the page, for what is compared with it."""
    return one.to_page if net.marks == "outside" else MIRROR.then(one.to_page)


def named(sheet: Sheet, called: Callable[[Part, Piece], str]) -> Sequence[str]:
    """What each piece on the page is called, and of several alike which of them it is."""
    names = [called(one.part, one.piece) for one in sheet.laid]
    count = [names[: n + 1].count(name) for n, name in enumerate(names)]
    return [f"{name} ({n})" if names.count(name) > 1 else name for name, n in zip(names, count, strict=True)]

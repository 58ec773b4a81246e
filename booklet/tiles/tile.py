"""A tile: one window of a template on one page, in true mm on paper.

A printer that prints 1 % too small has windows 1 % smaller. The paper stays as it is given and the piece is turned on it: a turned
page under an upright piece would show the same window.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from booklet.plane import Affine, Point, bounds
from booklet.spec.model import Page
from booklet.tiles.lattice import Box, Mesh
from booklet.tiles.marks import MARK, mark_size

Side = Literal["left", "right", "below", "above"]


@dataclass(frozen=True, slots=True)
class Tile:
    """One window of a template on one template page.

    `leaf`: number of the template page from 1; small templates share one, each in a window of its own. `window`: x0, y0, x1, y1 in
    the part's flat frame, mm. `to_page`: from that frame to true mm from the page's lower left corner, before the printer's
    correction. `paper`: width and height of the page as it is turned. `marks`: registration marks in the flat frame, each printed by
    all tiles whose window holds it. `neighbours`: (side on the page, name of the tile there). `scale`: how large the printer prints
    along the page's x and y; what is drawn is divided by it.
    """

    leaf: int
    part: str
    piece: str
    name: str
    window: Box
    to_page: Affine
    paper: tuple[float, float]
    marks: tuple[Point, ...] = ()
    neighbours: tuple[tuple[Side, str], ...] = ()
    scale: tuple[float, float] = (1.0, 1.0)

    @property
    def on_page(self) -> Box:
        """The window as its page shows it, true mm from the page's lower left corner."""
        return bounds(self.to_page.ring((self.window[:2], self.window[2:])))


def printable(page: Page) -> Box:
    """What a page can print, in true mm from the lower left corner as printed."""
    (sx, sy), (w, h), m = page.scale, page.paper, page.margin
    return m * sx, m * sy, (w - m) * sx, (h - m) * sy


def overlap(page: Page) -> float:
    """How far neighbouring windows overlap in mm: as asked, and at least so far that three marks tell a turned page.

    Never quite half of what a page prints, so that every window holds something alone.
    """
    x0, y0, x1, y1 = printable(page)
    return min(max(page.overlap, 2 * MARK), min(x1 - x0, y1 - y0) / 2 - 1)


def mark(page: Page) -> float:
    """Half the size of a registration mark in mm."""
    return mark_size(overlap(page))


def room(page: Page) -> tuple[float, float]:
    """Width and height of what a page can print, true mm."""
    x0, y0, x1, y1 = printable(page)
    return x1 - x0, y1 - y0


def mesh(page: Page) -> Mesh:
    """The windows of a page's lattice."""
    return Mesh(room(page), overlap(page))

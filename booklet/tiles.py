"""Templates over pages: windows of one lattice, registration marks on their seams."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from booklet.plane import Affine, Point

Side = Literal["left", "right", "below", "above"]


@dataclass(frozen=True, slots=True)
class Tile:
    """One window of a template on one template page.

    `leaf`: number of the template page from 1. `window`: x0, y0, x1, y1 in the part's flat frame, mm. `to_page`:
    from that frame to true mm from the page's lower left corner, before the printer's correction. `paper`: width and
    height of the page as it is turned. `marks`: registration marks in the flat frame, each printed by all tiles whose
    window holds it. `neighbours`: (side on the page, name of the tile there).
    """

    leaf: int
    part: str
    piece: str
    name: str
    window: tuple[float, float, float, float]
    to_page: Affine
    paper: tuple[float, float]
    marks: tuple[Point, ...] = ()
    neighbours: tuple[tuple[Side, str], ...] = ()

"""Artwork on the outside of the box: on which panels, which way up, how large, and where no ink may be. Millimetres.

All is told in the flat as seen on the printed face, which is the outside of the box whatever `marks` says (`printed_net`). A drawing is
scaled evenly until it covers its face and the bleed beside it, its middle on the face's, and what is over is cut off.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from booklet import space, svgfile, windows
from booklet.errors import BookletError, Fault, Refused
from booklet.folding import folder
from booklet.marked import marked_outside
from booklet.net import Bond, Net, Panel, Part, Piece
from booklet.plane import Affine
from booklet.replay import final_places
from booklet.spec.model import Art, Artwork
from booklet.tolerance import COMPUTED

Vector = NDArray[np.float64]

BLEED = 3.0
"""mm by which print goes on over a cut edge (common practice, no source)."""

_LEVEL = 0.9
"""A panel that looks up or down by more than this is read from the front, one that leans is read as a wall."""

_HALF = re.compile(r"(\.[a-z]+)+$")
"""What stands behind the name of a panel that was parted."""

_MITRE = 2.0
_HAIR = 0.01
"""mm: what lies so near to an edge is on it."""


@dataclass(frozen=True)
class Face:
    """A smooth face that is printed: its part, its panels, and its drawing. `up`: the direction that is up on it, in the printed flat."""

    part: Part
    panels: tuple[Panel, ...]
    art: Art
    told: str
    up: tuple[float, float]

    def place(self, size: tuple[float, float]) -> Affine:
        """Where a drawing of this size lies: from its own frame, its lower left corner at the origin, to the part's printed flat."""
        (ux, uy), (width, height) = self.up, size
        right = (uy, -ux)
        seen = shapely.get_coordinates(self.covered) @ np.array([right, self.up]).T
        low, high = seen.min(0), seen.max(0)
        scale = max((high[0] - low[0]) / width, (high[1] - low[1]) / height)
        x, y = (low + high) / 2 - scale * np.array([width, height]) / 2
        corner = float(x * right[0] + y * ux), float(x * right[1] + y * uy)
        return Affine(scale * right[0], scale * right[1], scale * ux, scale * uy, *corner)

    @property
    def covered(self) -> Any:
        """The face with the bleed beside it."""
        return shapely.union_all([_bled(self.part, panel) for panel in self.panels])

    def inked(self, net: Net, piece: Piece) -> Any:
        """What of a piece and of the bleed round it is printed: the panels of the face in it, without what is glued on the outside."""
        mine = [panel for panel in self.panels if panel.name in piece.panels]
        if not mine:
            return shapely.Polygon()
        bare = [_bled_region(piece, region) for panel in mine for region in glued_outside(net, self.part, panel)]
        return shapely.union_all([_bled(self.part, panel) for panel in mine]).difference(shapely.union_all(bare))


def printed_net(net: Net) -> Net:
    """The net as seen on its printed face, the outside of the box: mirrored where it is marked on the inside."""
    return net if net.marks == "outside" else marked_outside(net)


def checked(net: Net, artwork: Artwork) -> None:
    """Look at every drawing, and whether its panel is one. Raises `BookletError` with all that is wrong."""
    faults: list[Fault] = []
    for art in (artwork.logo, *artwork.panels.values()):
        if art:
            faults += _faults(partial(svgfile.checked, art.data, art.name))
    faults += _faults(partial(faces, printed_net(net), artwork))
    if faults:
        raise Refused(dict.fromkeys(faults))


def _faults(look: Any) -> tuple[Fault, ...]:
    try:
        look()
    except BookletError as error:
        return error.faults
    return ()


def faces(net: Net, artwork: Artwork) -> tuple[Face, ...]:
    """The faces of a printed net that have artwork. Raises Refused where no panel is named, or one twice."""
    found: list[Face] = []
    for told, art in artwork.panels.items():
        part, panel = _meant(net, told)
        whole = _whole(part, panel)
        face = Face(part, whole, art, told, _up(part, _middle(whole)))
        twice = next((one.told for one in found if one.part.name == part.name and set(one.panels) & set(face.panels)), None)
        if twice:
            raise Refused([Fault(f"artwork.panels.{told}", f"is the same panel as {twice!r}, {panel.name}; give each panel one drawing")])
        found.append(face)
    return tuple(found)


def _meant(net: Net, told: str) -> tuple[Part, Panel]:
    """The panel that is told by its name or its side; one that was parted to fit the card by the name that it had. Raises Refused."""
    name = "-".join(told.lower().split())
    parted = [(part, panel) for part in net.parts for panel in part.panels if name == _stem(panel) != panel.name]
    return parted[0] if parted else windows.meant(net, told, f"artwork.panels.{told}")


def _stem(panel: Panel) -> str:
    """The name that a panel had before it was parted to fit the card."""
    return _HALF.sub("", panel.name)


def _whole(part: Part, panel: Panel) -> tuple[Panel, ...]:
    """A panel with all that is one smooth face with it: what it is rolled on with, and what it was parted from to fit the card."""
    return tuple(one for one in part.panels if one.body == panel.body or (_stem(one) == _stem(panel) != panel.name))


def _middle(panels: tuple[Panel, ...]) -> Panel:
    """The panel in the middle of a face: it tells which way up a face is that bends."""
    centre = shapely.union_all([shapely.Polygon(panel.outline) for panel in panels]).centroid
    return min(panels, key=lambda panel: round(float(shapely.Polygon(panel.outline).distance(centre)), 6))


def _up(part: Part, panel: Panel) -> tuple[float, float]:
    """The direction on a panel that is up in the closed box, or points to its back where the panel lies level: in the printed flat.

    A wall stands upright; a lid is read from the front.
    """
    turn: Vector = folder(part).stood[folder(part).index[panel.name]][:3, :3]
    out = turn[:, 2]
    up = np.array([0.0, 0.0, 1.0]) if abs(float(out[2])) < _LEVEL else np.array([0.0, 1.0, 0.0])
    up = up - out * float(up @ out)
    flat = turn.T @ (up / np.sqrt(float(up @ up)))
    return float(flat[0]), float(flat[1])


# -- where ink goes ---------------------------------------------------------------------------------------------------


def bleed_of(piece: Piece) -> Any:
    """A piece with the bleed round it and in its holes."""
    return shapely.Polygon(piece.outline, piece.holes).buffer(BLEED, join_style="mitre", mitre_limit=_MITRE)


def _bled(part: Part, panel: Panel) -> Any:
    """A panel, and the bleed beside those of its edges that are cut."""
    piece = part.piece_of[panel.name]
    whole, own = shapely.Polygon(piece.outline, piece.holes), shapely.Polygon(panel.outline, panel.holes)
    edges = shapely.line_merge(own.boundary.intersection(whole.boundary.buffer(_HAIR, cap_style="flat")))
    lines = [line for line in shapely.get_parts(edges) if line.length > 10 * _HAIR]
    strips = [line.buffer(BLEED, cap_style="flat", join_style="mitre", mitre_limit=_MITRE) for line in lines]
    return shapely.union_all([own, *(strip.difference(whole) for strip in strips)]).buffer(0)


def _bled_region(piece: Piece, region: Any) -> Any:
    """A glued area, and the bleed beside it: glue squeezed out finds bare card, and print that is cut off shows none."""
    whole = shapely.Polygon(piece.outline, piece.holes)
    return shapely.union_all([region, region.buffer(BLEED, join_style="mitre").difference(whole)])


def glued_outside(net: Net, part: Part, panel: Panel) -> Iterator[Any]:
    """What is glued on the printed face of a panel, in the printed net, as polygons in the part's flat."""
    places = final_places(net)
    for bond in net.bonds:
        for side in (0, 1):
            if bond.faces[side] == "marked" and bond.panels[side] == (part.name, panel.name):
                region = shapely.Polygon(_seen(net, places, bond, side)).buffer(0)
                if region.area > COMPUTED:
                    yield region


def _seen(net: Net, places: Any, bond: Bond, side: int) -> Any:
    """The glued area in the flat of the first or the second panel of its bond."""
    if side == 0:
        return bond.region
    (part1, first), (part2, second) = bond.panels
    one = places[part1][folder(net.part[part1]).index[first]]
    two = places[part2][folder(net.part[part2]).index[second]]
    return space.applied(space.inverse(two) @ one, space.lifted(bond.region))[:, :2]

"""The frozen whole: everything that a booklet tells, computed once. It numbers template leaves, not pages of the file."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from booklet.card import Card
from booklet.check import Check
from booklet.covering import Coverings, coverings, wanted
from booklet.cuts import Cut
from booklet.fit import Fit
from booklet.marking import MarkedPiece
from booklet.materials import Materials
from booklet.net import Bond, Net, Part, Piece
from booklet.proof import Solid
from booklet.replay import Replay
from booklet.sheets import Gang, Placed
from booklet.spec import Spec
from booklet.thickness import Thickness
from booklet.tiles import Tile


@dataclass(frozen=True)
class Plan:
    """A box from spec to pages, before anything is drawn.

    `card`: what the pieces are laid on: the spec's card, or the printer's page where that is printed on.
    `checks`: of all rooms, in order. `played`: the steps as they happen. `placed`: pieces on sheets of card.
    `many`: the sheets for all copies, where there are several. `tiles`: windows of templates on pages, by leaf.
    `cuts`: the order of knife and ruler. `marking`: the templates as numbered points.
    """

    spec: Spec
    card: Card
    fit: Fit
    thickness: Thickness
    net: Net
    played: Replay
    placed: tuple[Placed, ...]
    many: Gang | None
    tiles: tuple[Tile, ...]
    cuts: tuple[Cut, ...]
    marking: tuple[MarkedPiece, ...]
    materials: Materials
    checks: tuple[Check, ...]

    @cached_property
    def pieces(self) -> tuple[tuple[Part, Piece], ...]:
        """Every piece with its part, in the order of the net."""
        return tuple((part, piece) for part in self.net.parts for piece in part.pieces)

    @cached_property
    def templates(self) -> tuple[tuple[Part, Piece, int], ...]:
        """Every printed template with its part and the number of pieces to cut from it."""
        names = [piece.template for _, piece in self.pieces]
        return tuple((part, piece, names.count(piece.name)) for part, piece in self.pieces if piece.template == piece.name)

    @cached_property
    def solid(self) -> Solid:
        """The net folded shut."""
        return Solid(self.net, self.played)

    @cached_property
    def covering(self) -> Coverings:
        """Decorative paper for the outside: what the spec asks for, else the usual."""
        return coverings(self.solid, wanted(self.spec), self.spec.booklet.grid, self.spec.booklet.copies)

    @property
    def leaves(self) -> int:
        """Number of template pages."""
        return max((tile.leaf for tile in self.tiles), default=0)

    @property
    def sheets(self) -> int:
        """Number of sheets of card for one box."""
        return max((placed.sheet for placed in self.placed), default=0)

    @property
    def sheets_all(self) -> int:
        """Number of sheets of card for all copies."""
        return self.many.sheets if self.many else self.sheets * self.spec.booklet.copies

    def bonds_of(self, part: Part) -> tuple[tuple[int, Bond], ...]:
        """Bonds with a panel of a part, with their numbers in the net."""
        return tuple((i, b) for i, b in enumerate(self.net.bonds) if part.name in (b.panels[0][0], b.panels[1][0]))

"""Whether two pieces are the same, so that one template serves for both: by a turn and a shift, never by mirroring."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import shapely

from booklet import plane
from booklet.card import Card
from booklet.net import Part, Piece
from booklet.plane import Line, bounds
from booklet.tolerance import COMPUTED

ALL_TURNS = (0, 1, 2, 3)


def turns_of(card: Card) -> tuple[int, ...]:
    """The right-angle turns by which a template may lie on the card: half turns only where the grain is kept."""
    return (0, 2) if card.keep_grain else ALL_TURNS


def with_templates(part: Part, pieces: Sequence[Piece], turns: Sequence[int] = ALL_TURNS) -> tuple[Piece, ...]:
    """Pieces that are the same by one of the turns and a shift get the first one's name as template."""
    done: list[Piece] = []
    for piece in pieces:
        like = next((p for p in done if p.template == p.name and same_piece(part, p, piece, turns)), None)
        done.append(replace(piece, template=like.name) if like else piece)
    return tuple(done)


def shared(parts: Sequence[Part], turns: Sequence[int] = ALL_TURNS) -> tuple[Part, ...]:
    """Parts of a single piece without folds, as strips, that are the same as one before them get that one's template."""
    done: list[Part] = []
    for part in parts:
        plain = not part.folds and len(part.pieces) == 1
        mates = (p for p in done if not p.folds and len(p.pieces) == 1 and p.pieces[0].template == p.pieces[0].name)
        like = next((p for p in mates if same_piece(part, p.pieces[0], part.pieces[0], turns)), None) if plain else None
        done.append(replace(part, pieces=(replace(part.pieces[0], template=like.pieces[0].name),)) if like else part)
    return tuple(done)


def same_piece(part: Part, a: Piece, b: Piece, turns: Sequence[int] = ALL_TURNS) -> bool:
    """Whether b is a by one of the turns and a shift, folds and slits included, never by mirroring."""
    sizes = {0: b.size, 1: b.size[::-1]}
    fitting = [t for t in turns if max(abs(p - q) for p, q in zip(a.size, sizes[t % 2], strict=True)) <= COMPUTED]
    return bool(fitting) and any(_agree(_drawn(part, a, 0), _drawn(part, b, turn)) for turn in fitting)


@dataclass(frozen=True)
class _Drawn:
    """A piece turned, with its lower left corner at the origin."""

    shape: Any
    lines: tuple[tuple[Line, float, str], ...]


def _drawn(part: Part, piece: Piece, turn: int) -> _Drawn:
    ring = plane.turn(turn).ring(piece.outline)
    x0, y0, *_ = bounds(ring)
    place = plane.turn(turn).then(plane.shift(-x0, -y0))
    shape = shapely.Polygon(place.ring(piece.outline), [place.ring(hole) for hole in piece.holes])
    folds = [(f.line, f.bends, f.way) for f in part.folds if f.kind == "crease" and f.parent in piece.panels and f.child in piece.panels]
    slits = [((s[0], s[-1]), 0.0, "slit") for s in piece.slits]
    return _Drawn(shape, tuple(((place(line[0]), place(line[1])), angle, way) for line, angle, way in (*folds, *slits)))


def _agree(a: _Drawn, b: _Drawn) -> bool:
    if len(a.lines) != len(b.lines) or any(abs(p - q) > COMPUTED for p, q in zip(a.shape.bounds, b.shape.bounds, strict=True)):
        return False
    if a.shape.hausdorff_distance(b.shape) > COMPUTED or a.shape.symmetric_difference(b.shape).area > COMPUTED * a.shape.length:
        return False
    return all(any(_same_line(x, y) for y in b.lines) for x in a.lines)


def _same_line(x: tuple[Line, float, str], y: tuple[Line, float, str]) -> bool:
    (p, q), (r, s) = x[0], y[0]
    if x[1:] != y[1:]:
        return False
    return any(plane.same(p, u, COMPUTED) and plane.same(q, v, COMPUTED) for u, v in ((r, s), (s, r)))

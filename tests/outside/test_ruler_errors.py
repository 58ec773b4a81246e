"""A box marked out with a ruler that errs: how far the bonds miss when it is folded. Our own figure, by play-back.

Each measure is off by up to 0.5 mm, evenly spread. The pieces are rebuilt from the numbered points and lines of `booklet.marking`
alone: the ruler is laid on the two points of a setting that are farthest apart, and a corner is where its lines meet. They are laid
edge to edge where the net is cut, and folded about the fold lines as they were drawn. Nobody sets a flap right by eye.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cache, cached_property
from itertools import combinations

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from booklet import space
from booklet.cuts import beside, scored
from booklet.folding import child_side, folder
from booklet.marking import MarkedPiece, Ruled, marked
from booklet.net import Fold, Net, Part, Piece
from booklet.plane import Affine, Line, Point, bounds, shift, turn
from booklet.planning import fit_of, net_of
from booklet.thickness import Thickness, way_of
from tests import samples

Figures = NDArray[np.float64]
SEEDS = 1000
ERROR = 0.5
WITHIN = 2.5
"""mm: what a ruler is off by at most, and what 99 % of the bonds may miss by (chosen by us)."""

EVERY = ("mug", "jar", "tiles", "glaze", "brushes", "bowl", "teapot")

NEAR = 0.9
"""mm: points of the net that are nearer than this can be one point of the list, in inches."""

HOLD = 0.05
"""How much a corner keeps to its own mark where its lines, which meet at a flat angle, do not say where it is (chosen by us)."""


@dataclass(frozen=True)
class Hand:
    """The pieces of one part as they were marked out, once for each seed. `errors`: by piece, (seeds, points, 2) in mm on the sheet."""

    part: Part
    sheets: dict[str, MarkedPiece]
    errors: dict[str, Figures]

    @cached_property
    def frames(self) -> dict[str, Affine]:
        """From the part's flat frame to the sheet on which a piece was marked out."""
        by_name = {piece.name: piece for piece in self.part.pieces}
        return {p.name: _onto(self.part, p, by_name[p.template]).then(self.sheets[p.template].to_sheet) for p in self.part.pieces}

    def off(self, piece: Piece, number: int) -> Figures:
        """How far a corner of the finished piece lies from where it should, (seeds, 2), in the part's flat frame."""
        frame = self.frames[piece.name]
        return self.drawn[piece.name][number] @ np.array([[frame.a, frame.b], [frame.c, frame.d]]).T

    @cached_property
    def drawn(self) -> dict[str, dict[int, Figures]]:
        """The same on the sheets: by piece and number, (seeds, 2)."""
        return {p.name: _corners(self.sheets[p.template], self.errors[p.name]) for p in self.part.pieces}

    def at(self, piece: Piece, point: Point) -> Figures:
        """How far any point on the lines of a piece is off: a marked one by its own error, else along the line, else as the nearest."""
        sheet, seen = self.sheets[piece.template], self.frames[piece.name](point)
        near = min(sheet.points, key=lambda p: math.dist((p.x, p.y), seen))
        if math.dist((near.x, near.y), seen) < NEAR:
            return self.off(piece, near.number)
        for a, b in _lines(sheet):
            if beside((a, b), seen) < 0.05:
                share = math.dist(a, seen) / math.dist(a, b)
                first, last = (self.off(piece, _number(sheet, end)) for end in (a, b))
                return first * (1 - share) + last * share
        return self.off(piece, near.number)

    def on(self, panel: str, point: Point) -> Figures:
        """How far a point of a panel is off: on an edge as the edge, within it as its corners, the nearest most."""
        piece, ring = self.part.piece_of[panel], self.part.panel[panel].outline
        if min(beside(line, point) for line in zip(ring, (*ring[1:], ring[0]), strict=True)) < 0.05:
            return self.at(piece, point)
        shares = np.array([1 / math.dist(corner, point) ** 2 for corner in ring])
        return np.tensordot(shares / shares.sum(), np.array([self.at(piece, corner) for corner in ring]), 1)

    def line(self, panel: str, line: Line) -> Figures:
        """A fold line as it was marked on the piece of a panel, (seeds, 2, 2)."""
        piece = self.part.piece_of[panel]
        return np.stack([np.array(end) + self.at(piece, end) for end in line], axis=1)

    def fold_line(self, fold: Fold) -> Figures:
        """A fold as the list tells to score it, along its ruler, (seeds, 2, 2)."""
        piece = self.part.piece_of[fold.parent]
        frame, sheet = self.frames[piece.name], self.sheets[piece.template]
        at = {p.number: (p.x, p.y) for p in sheet.points}
        wanted = [frame(end) for end in fold.line]
        told = [one for one in sheet.scores for a, b in one.lines if all(beside((at[a], at[b]), end) < NEAR for end in wanted)]
        assert told, f"{fold.name} is not in the list of {piece.template}"
        normal, ruler = _ruler(sheet, told[0], self.errors[piece.name])
        ends = np.stack([np.array(end) + ruler(end)[:, None] * normal for end in wanted], axis=1)
        back = frame.inverse()
        return ends @ np.array([[back.a, back.b], [back.c, back.d]]) + np.array([back.e, back.f])

    def places(self) -> dict[str, Figures]:
        """Every panel's place when all folds are at their angles, (seeds, 4, 4); pieces are joined edge to edge at cut folds."""
        found = {self.part.root: np.broadcast_to(np.eye(4), (SEEDS, 4, 4))}
        while len(found) < len(self.part.panels):
            for fold in self.part.folds:
                if fold.parent in found and fold.child not in found:
                    found[fold.child] = found[fold.parent] @ self._hinge(fold)
        return found

    def _hinge(self, fold: Fold) -> Figures:
        if self.part.piece_of[fold.parent] is self.part.piece_of[fold.child]:
            line = self.fold_line(fold)
            return _turns(line, child_side(self.part, fold) * fold.angle, fold.pivot)
        line = self.line(fold.parent, fold.line)
        return _turns(line, child_side(self.part, fold) * fold.angle, fold.pivot) @ _laid(self.line(fold.child, fold.line), line)


def _corners(sheet: MarkedPiece, errors: Figures) -> dict[int, Figures]:
    """How far each point of a list is off once the lines through it are drawn: nearest to all of them, (seeds, 2)."""
    own = _marks_off(sheet, errors)
    rulers: dict[int, list[tuple[Figures, Figures]]] = {p.number: [] for p in sheet.points}
    for one in (*sheet.scores, *sheet.cuts):
        normal, ruler = _ruler(sheet, one, errors)
        for number in {n for line in one.lines for n in line}:
            point = sheet.points[number - 1]
            rulers[number].append((normal, ruler((point.x, point.y))))
    return {number: _meeting(own[:, number - 1], lines) for number, lines in rulers.items()}


def _meeting(own: Figures, lines: list[tuple[Figures, Figures]]) -> Figures:
    """Where lines, each by its normal and its distance, come nearest to each other, by least squares."""
    normals = np.array([normal for normal, _ in lines]).reshape(-1, 2)
    right = HOLD * own + sum((offset[:, None] * normal for normal, offset in lines), np.zeros_like(own))
    return right @ np.linalg.inv(normals.T @ normals + HOLD * np.eye(2))


def _marks_off(sheet: MarkedPiece, errors: Figures) -> Figures:
    """How far the marks lie from where the net has them: what the ruler errs by and what the list rounds, (seeds, points, 2)."""
    return errors + np.array([(p.told_x - p.x, p.told_y - p.y) for p in sheet.points])


def _ruler(sheet: MarkedPiece, one: Ruled, errors: Figures) -> tuple[Figures, Callable[[Point], Figures]]:
    """The normal of a setting, and how far the ruler lies off along it at a point, (seeds,)."""
    ends = max(combinations(sorted({n for line in one.lines for n in line}), 2), key=lambda pair: math.dist(*_at(sheet, pair)))
    a, b = (np.array(end) for end in _at(sheet, ends))
    long = float(np.linalg.norm(b - a))
    normal = np.array([a[1] - b[1], b[0] - a[0]]) / long
    first, last = (_marks_off(sheet, errors)[:, n - 1] @ normal for n in ends)

    def offset(point: Point) -> Figures:
        share = float((np.array(point) - a) @ (b - a)) / long**2
        return first * (1 - share) + last * share

    return normal, offset


def _at(sheet: MarkedPiece, numbers: Iterable[int]) -> list[Point]:
    return [(sheet.points[n - 1].x, sheet.points[n - 1].y) for n in numbers]


def _lines(sheet: MarkedPiece) -> Iterable[Line]:
    at = {p.number: (p.x, p.y) for p in sheet.points}
    return [(at[a], at[b]) for one in (*sheet.scores, *sheet.cuts) for a, b in one.lines]


def _number(sheet: MarkedPiece, at: Point) -> int:
    return next(p.number for p in sheet.points if (p.x, p.y) == at)


def _onto(part: Part, piece: Piece, template: Piece) -> Affine:
    """The turn and shift that lay a piece on its template, lines on lines."""
    x0, y0, *_ = bounds(template.outline)
    want = shapely.MultiLineString([line for line, _ in scored(part, template)] or [template.outline[:2]])
    for quarter in range(4):
        bx, by, *_ = bounds(turn(quarter).ring(piece.outline))
        place = turn(quarter).then(shift(x0 - bx, y0 - by))
        folds = shapely.MultiLineString([place.ring(line) for line, _ in scored(part, piece)] or [place.ring(piece.outline[:2])])
        shapes = shapely.Polygon(place.ring(piece.outline)), shapely.Polygon(template.outline)
        if shapes[0].symmetric_difference(shapes[1]).area < 1 and shapely.hausdorff_distance(folds, want) < 0.1:
            return place
    raise AssertionError(f"{piece.name} is not its template {template.name}")


def _turns(line: Figures, degrees: float, height: float) -> Figures:
    """Turns about many lines on the card, each through one angle by the right-hand rule (Rodrigues' formula)."""
    way = line[:, 1] - line[:, 0]
    u = np.concatenate([way / np.linalg.norm(way, axis=1)[:, None], np.zeros((len(line), 1))], axis=1)
    p = np.concatenate([line[:, 0], np.full((len(line), 1), height)], axis=1)
    cos, sin = space.cos_sin(degrees)
    skew = np.zeros((len(line), 3, 3))
    skew[:, 0, 2], skew[:, 1, 2], skew[:, 2, 0], skew[:, 2, 1] = u[:, 1], -u[:, 0], -u[:, 1], u[:, 0]
    result = np.broadcast_to(np.eye(4), (len(line), 4, 4)).copy()
    result[:, :3, :3] = np.eye(3) * cos + sin * skew + (1 - cos) * u[:, :, None] * u[:, None, :]
    result[:, :3, 3] = p - np.einsum("sij,sj->si", result[:, :3, :3], p)
    return result


def _laid(own: Figures, other: Figures) -> Figures:
    """The motions in the flat that lay one line's middle and direction on another's."""
    a, b = own[:, 1] - own[:, 0], other[:, 1] - other[:, 0]
    turned = np.arctan2(b[:, 1], b[:, 0]) - np.arctan2(a[:, 1], a[:, 0])
    result = np.broadcast_to(np.eye(4), (len(own), 4, 4)).copy()
    result[:, 0, 0], result[:, 0, 1], result[:, 1, 0], result[:, 1, 1] = np.cos(turned), -np.sin(turned), np.sin(turned), np.cos(turned)
    result[:, :2, 3] = other.mean(1) - np.einsum("sij,sj->si", result[:, :2, :2], own.mean(1))
    return result


def misses(net: Net, sheets: Iterable[MarkedPiece], error: float = ERROR) -> Figures:
    """How far each bond's farthest corner misses its place, in the glued plane, (bonds, seeds) in mm."""
    hands = _hands(net, {one.piece: one for one in sheets}, error)
    places = {name: hand.places() for name, hand in hands.items()}
    result = []
    for bond in net.bonds:
        (one, first), (two, second) = bond.panels
        assert one == two, "a bond between two parts asks for their places too"
        hand, fold = hands[one], folder(net.part[one])
        back = space.inverse(fold.closed[fold.index[second]]) @ fold.closed[fold.index[first]]
        relative = np.linalg.inv(places[one][second]) @ places[one][first]
        result.append(np.max([_miss(hand, (first, second), corner, back, relative) for corner in bond.region], axis=0))
    return np.array(result)


def _miss(hand: Hand, panels: tuple[str, str], corner: Point, back: Figures, relative: Figures) -> Figures:
    """How far one corner of the first panel misses its place on the second, (seeds,)."""
    wanted = (back @ [*corner, 0.0, 1.0])[:2]
    mine = np.array(corner) + hand.on(panels[0], corner)
    got = np.einsum("sij,sj->si", relative[:, :2, :2], mine) + relative[:, :2, 3]
    place = (float(wanted[0]), float(wanted[1]))
    return np.linalg.norm(got - (wanted + hand.on(panels[1], place)), axis=1)


def _hands(net: Net, sheets: dict[str, MarkedPiece], error: float) -> dict[str, Hand]:
    """Every piece is marked out by itself, those of one template too."""
    pieces = [piece for part in net.parts for piece in part.pieces]
    count = [len(sheets[piece.template].points) for piece in pieces]
    drawn = np.array([np.random.default_rng(seed).uniform(-error, error, (sum(count), 2)) for seed in range(SEEDS)])
    ends = np.cumsum(count)
    errors = {piece.name: drawn[:, end - n : end] for piece, n, end in zip(pieces, count, ends, strict=True)}
    return {part.name: Hand(part, sheets, errors) for part in net.parts}


def worst_miss(found: Figures) -> str:
    """What the play-back found, for people."""
    return f"99 % of bonds within {np.percentile(found, 99):.2f} mm, the worst {found.max():.2f} mm"


@cache
def net_and_sheets(name: str) -> tuple[Net, tuple[MarkedPiece, ...]]:
    spec = samples.spec(name)
    way = way_of(spec.card.caliper, spec.card.fold)
    net = net_of(spec, spec.card, fit_of(spec), Thickness(spec.card.caliper, way))
    return net, marked(net, way, spec.units)


@cache
def played(name: str) -> Figures:
    return misses(*net_and_sheets(name))


def test_of_boxes_marked_out_by_ruler_99_of_100_bonds_miss_by_at_most_2_5_mm() -> None:
    told = "; ".join(f"{name}: {worst_miss(played(name))}" for name in EVERY)
    print(told)
    bonds = np.concatenate([played(name) for name in EVERY])
    assert bonds.shape[1] == SEEDS and np.isfinite(bonds).all()
    assert np.percentile(bonds, 99) <= WITHIN, told


@pytest.mark.parametrize("name", EVERY)
def test_no_sample_is_much_worse_than_all_of_them(name: str) -> None:
    # the ring of a long box is closed over four folds whose tilts add up: 2.55 mm in the teapot's
    assert np.percentile(played(name), 99) <= WITHIN + 0.25, worst_miss(played(name))
    assert played(name).max() < 6.0, worst_miss(played(name))


@pytest.mark.parametrize("name", EVERY)
def test_with_a_ruler_that_does_not_err_a_bond_misses_only_by_what_is_rounded(name: str) -> None:
    net, sheets = net_and_sheets(name)
    rounded = max(max(abs(p.told_x - p.x), abs(p.told_y - p.y)) for one in sheets for p in one.points)
    assert misses(net, sheets, error=0.0).max() <= 4 * rounded + 0.05


@pytest.mark.parametrize("name", ["tiles", "mug"])
def test_a_point_told_wrong_is_found_by_its_bonds(name: str) -> None:
    net, (first, *others) = net_and_sheets(name)
    end = first.scores[0].lines[0][0]
    wrong = replace(
        first, points=tuple(replace(p, told_x=p.told_x + 8, told_y=p.told_y + 8) if p.number == end else p for p in first.points)
    )
    assert np.percentile(misses(net, (wrong, *others)), 99) > WITHIN

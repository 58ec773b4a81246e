"""Gussets fold flat where the flat-folding theorems say so, and only there.

Kawasaki: round a vertex that folds flat, alternate angles sum to 180 degrees. Maekawa: mountains and valleys differ by two (Hull, On the
Mathematics of Flat Origamis, 1994). Both are proved on the closed polygon in which a small circle round the vertex cuts the folded card.
A tube that is cut across gives such a polygon too: there alternate widths have equal sums, and valleys and mountains differ by two.

The theorems are asked of the folds' signs and lengths alone; that the program's own model folds flat there is seen beside it.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from itertools import product

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from booklet import space
from booklet.folding import closing_folds, folder
from booklet.net import Item, Loop, Net, Part
from booklet.steps.chains import Tree
from booklet.steps.corners import Corner
from booklet.steps.glued import Glued
from booklet.steps.linkage import Following
from booklet.styles import gift_bag, wallet
from booklet.styles.shapes import Sketch
from booklet.thickness import Thickness
from tests.boxes import fit

STYLES = {"gift-bag": gift_bag, "wallet": wallet}


@cache
def net(style: str) -> Net:
    module = STYLES[style]
    options = {option.name: option.resolved("mm") for option in module.OPTIONS}
    return module.net(module.sizes(fit(module.SHOWN), Thickness(0.3, "crease"), options))


def ring(style: str) -> list[str]:
    """The walls of the tube, one after another round it."""
    if style == "gift-bag":
        return ["back", "gusset-1", "gusset-2", "front", "gusset-3", "gusset-4"]
    return ["back", "inner-gusset-1", "outer-gusset-1", "front", "outer-gusset-2", "inner-gusset-2"]


def width(style: str, wall: str) -> float:
    """Across the tube, mm; a gusset is measured between its creases, which run up the flat."""
    xs = [x for x, _ in net(style).part["box"].panel[wall].outline]
    return max(xs) - min(xs)


def folded(style: str) -> dict[str, float]:
    """Every fold of the tube right over: gussets between back and front."""
    names = {*ring(style), "bottom-gusset-1", "bottom-gusset-2", *(f"glue-flap-{n}" for n in (1, 2))}
    folds = [fold for fold in net(style).part["box"].folds if {fold.parent, fold.child} <= names]
    return {fold.name: fold.over or math.copysign(180.0, fold.angle) for fold in folds}


@pytest.mark.parametrize("style", STYLES)
def test_alternate_walls_round_the_tube_have_equal_sums(style: str) -> None:
    widths = [width(style, wall) for wall in ring(style)]
    assert sum(widths[::2]) == pytest.approx(sum(widths[1::2]))


@pytest.mark.parametrize("style", STYLES)
def test_valleys_and_mountains_round_the_tube_differ_by_two(style: str) -> None:
    angles = folded(style)
    # the fold of a glue flap is that of the wall to which it is glued: the tube's seam
    round_it = [a for name, a in angles.items() if "bottom" not in name and name != "bottom-gusset-2/front"]
    assert len(round_it) == 6
    assert sum(a > 0 for a in round_it) - sum(a < 0 for a in round_it) == 2


@pytest.mark.parametrize("style", STYLES)
def test_the_tube_closes_where_it_lies_flat_and_all_the_way_from_there_to_where_it_is_open(style: str) -> None:
    made, angles = net(style), folded(style)
    part = made.part["box"]
    tree, final = Tree(folder(part)), {fold.name: fold.angle for fold in part.folds}
    seams = [bond for bond in made.bonds if bond.panels[0][1].startswith("glue-flap")]
    assert seams
    for number, bond in enumerate(seams):
        one = Glued(number, bond, tree)
        way = [{name: angles.get(name, 0.0) * (1 - k / 60) + final[name] * k / 60 for name in one.folds} for k in range(61)]
        assert float(np.abs(one.gaps(way)).max()) < 1e-6


@pytest.mark.parametrize("style", STYLES)
def test_a_gusset_that_is_folded_flat_lies_between_back_and_front(style: str) -> None:
    part = net(style).part["box"]
    fold = folder(part)
    places = fold.places(folded(style))
    seen = {name: shapely.Polygon(space.applied(places[fold.index[name]], fold.outlines[fold.index[name]])[:, :2]) for name in ring(style)}
    for name in ring(style):
        if "gusset" in name:
            assert seen[name].within(seen["back"].buffer(1e-6)) and seen[name].within(seen["front"].buffer(1e-6)), name


# -- a vertex: the corner of a gusset that is not cut free ------------------------------------------------------------


def corner(sectors: tuple[float, ...]) -> tuple[Part, Corner]:
    """Four panels round one point, the last crease a loop's. Sectors in degrees, their sum 360."""
    at = np.radians([0.0, *np.cumsum(sectors)])
    rim = [(50.0 * math.cos(a), 50.0 * math.sin(a)) for a in at[:4]]
    sketch = Sketch("box", "box", Thickness(0.3, "crease"))
    rings = [((0.0, 0.0), rim[k], _bulge(at[k], at[k + 1]), rim[(k + 1) % 4]) for k in range(4)]
    sketch.panel("p0", "wall", rings[0])
    for k in range(1, 4):
        sketch.hinge(f"p{k - 1}", f"p{k}", "wall", rings[k], ((0.0, 0.0), rim[k]), 180.0)
    sketch.loops.append(Loop(("p3", "p0"), ((0.0, 0.0), rim[0])))
    part = sketch.part(space.identity())
    return part, Corner(part.loops[0], Tree(folder(part)))


def _bulge(a: float, b: float) -> tuple[float, float]:
    return 80.0 * math.cos((a + b) / 2), 80.0 * math.sin((a + b) / 2)


def closes(made: Corner, signs: tuple[int, ...]) -> bool:
    """Whether the corner is whole with its three folds of the tree right over."""
    state = {name: 180.0 * sign for name, sign in zip(made.folds, signs, strict=True)}
    return float(np.abs(made.gaps([state])).max()) < 1e-6


@settings(max_examples=60, deadline=None)
@given(st.floats(20.0, 160.0), st.floats(20.0, 160.0), st.one_of(st.just(0.0), st.floats(1.0, 15.0)))
def test_an_uncut_corner_of_four_creases_folds_flat_where_alternate_angles_sum_to_180_and_only_there(
    a: float, b: float, off: float
) -> None:
    sectors = (a, b + off, 180.0 - a, 180.0 - b - off) if not off else (a, b, 180.0 - a - off, 180.0 - b + off)
    if min(sectors) < 5.0:
        return
    _, made = corner(sectors)
    alternate = sectors[0] + sectors[2]
    assert any(closes(made, signs) for signs in product((1, -1), repeat=3)) == (abs(alternate - 180.0) < 1e-9)


def test_on_every_way_that_such_a_corner_folds_mountains_and_valleys_differ_by_two() -> None:
    part, made = corner((90.0, 45.0, 90.0, 135.0))
    driven, *follow = made.folds
    found = []
    for signs in product((1.0, -1.0), repeat=2):
        way = Following([made], dict.fromkeys(made.folds, 0.0), {driven: 60.0}, tuple(follow), dict(zip(follow, signs, strict=True)))
        frames = way.frames()
        if frames is not None:
            last = frames[-1][1]
            bent = replace(part, folds=tuple(replace(fold, angle=last[fold.name]) for fold in part.folds))
            found.append([*last.values(), *(fold.angle for fold in closing_folds(bent))])
    assert found
    for angles in found:
        assert len(angles) == 4 and min(map(abs, angles)) > 1.0
        assert abs(sum(np.sign(angles))) == 2


def test_items_of_other_sizes_keep_the_widths_of_a_tube_that_folds_flat() -> None:
    for item in (Item("block", 60.0, 40.0, 150.0), Item("block", 90.0, 110.0, 60.0)):
        options = {option.name: option.resolved("in") for option in gift_bag.OPTIONS}
        part = gift_bag.net(gift_bag.sizes(fit(item, "in"), Thickness(0.2, "crease"), options)).part["box"]
        widths = [max(x for x, _ in part.panel[w].outline) - min(x for x, _ in part.panel[w].outline) for w in ring("gift-bag")]
        assert sum(widths[::2]) == pytest.approx(sum(widths[1::2]))

"""The round box: rolled truly, held by teeth that do not meet."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import numpy as np
import pytest
import shapely

from booklet import cuts, space
from booklet.errors import Refused
from booklet.folding import folder
from booklet.net import Item, Net, Part
from booklet.plane import length
from booklet.styles.round_walls import SAGITTA
from booklet.thickness import lid_slip
from tests import boxes

JAR = Item("round", 80.0, 80.0, 60.0)
SIZES = (JAR, Item("round", 30.0, 30.0, 90.0), Item("round", 200.0, 200.0, 20.0), Item("block", 60.0, 45.0, 50.0))
every_size = pytest.mark.parametrize("item", SIZES)


@cache
def made(item: Item = JAR) -> Net:
    return boxes.net("round-box", item)


def sizes(item: Item = JAR, **more: Any) -> Any:
    return boxes.sizes("round-box", item, **more)


def facets(part: Part) -> list[Any]:
    return [panel for panel in part.panels if panel.role in ("wall", "skirt")]


@every_size
def test_the_wall_is_as_long_as_the_way_round_the_base_facet_by_facet(item: Item) -> None:
    for part in made(item).parts:
        end = next(panel for panel in part.panels if panel.role in ("base", "lid"))
        sides = [math.dist(a, b) for a, b in zip(end.outline, (*end.outline[1:], end.outline[0]), strict=True)]
        widths = [max(x for x, _ in f.outline) - min(x for x, _ in f.outline) for f in facets(part)]
        assert len(sides) == len(widths)
        assert sum(widths) == pytest.approx(sum(sides), abs=0.05)
        assert sides == pytest.approx(widths, abs=0.05 / len(widths))


@every_size
def test_a_facet_is_at_most_0_3_mm_off_the_circle(item: Item) -> None:
    box = sizes(item).box
    radius = box.across / 2 / math.cos(box.half)
    assert radius - box.across / 2 <= SAGITTA / math.cos(box.half) and box.facets % 4 == 0


@every_size
def test_both_ends_of_the_rolled_wall_meet_along_the_seam(item: Item) -> None:
    for part in made(item).parts:
        fold, walls = folder(part), facets(part)
        first = min(walls, key=lambda f: min(f.outline))
        last = max(walls, key=lambda f: max(f.outline))
        ends = []
        for panel, x in ((first, min(first.outline)[0]), (last, max(last.outline)[0])):
            edge = sorted((p for p in panel.outline if p[0] == x), key=lambda p: p[1])
            ends.append(space.applied(fold.stood[fold.index[panel.name]], space.lifted(tuple(edge))))
        assert float(np.abs(ends[0] - ends[1]).max()) < 1e-6


@every_size
def test_teeth_taper_by_half_a_facets_angle_and_do_not_meet_on_the_base(item: Item) -> None:
    (part, _) = made(item).parts
    fold, box = folder(part), sizes(item).box
    teeth = [panel for panel in part.panels if panel.role == "tooth"]
    shapes = [shapely.Polygon(space.applied(fold.stood[fold.index[t.name]], space.lifted(t.outline))[:, :2]) for t in teeth]
    assert shapely.union_all(shapes).area == pytest.approx(sum(shape.area for shape in shapes), abs=1e-6)
    for tooth in teeth:
        (a, b, c, d), deep = tooth.outline, abs(tooth.outline[2][1] - tooth.outline[1][1])
        assert (math.dist(a, b) - math.dist(c, d)) / 2 >= deep * math.tan(box.half)


@every_size
def test_beside_the_fold_of_the_base_teeth_are_shorter_or_left_out_and_elsewhere_every_facet_has_one(item: Item) -> None:
    box = sizes(item).box
    depths = [box.tooth_at(facet) for facet in range(1, box.facets + 1)]
    assert depths == sorted(depths[: box.root], reverse=True) + sorted(depths[box.root :])
    assert sum(deep == box.tooth for deep in depths) > box.facets / 2
    assert sum(deep < 3.0 for deep in depths) <= box.facets / 3 + 1


def test_no_roll_is_scored_and_every_tooth_is() -> None:
    part = made().part["box"]
    scored = {line for line, _ in cuts.scored(part, part.pieces[0])}
    rolls = {fold.line for fold in part.folds if fold.kind == "roll"}
    teeth = {fold.line for fold in part.folds if part.panel[fold.child].role == "tooth"}
    assert len(rolls) == sizes().box.facets - 1 and not scored & rolls and teeth <= scored
    assert all(length(line) < sizes().box.height for line in scored - {f.line for f in part.folds if f.child == "glue-flap-1"})


def test_a_block_stands_with_its_corners_free_of_the_wall() -> None:
    s = sizes(Item("block", 60.0, 45.0, 50.0), clearance=0.0)
    assert s.box.across / 2 - s.card.inner - s.card.t >= math.hypot(30.0, 22.5)


def test_the_lid_has_the_play_of_a_lid_over_the_wall_and_its_own_glue_flap() -> None:
    s = sizes()
    assert 0.0 <= s.lid.across - s.box.across - 4 * s.card.t - lid_slip(s.box.across) < 0.5


def test_a_box_into_which_no_finger_goes_is_refused_with_the_figure() -> None:
    with pytest.raises(Refused, match="25 mm"):
        sizes(Item("round", 15.0, 15.0, 40.0), clearance=0.0)


def test_card_that_does_not_roll_is_refused() -> None:
    with pytest.raises(Refused, match=r"0\.5 mm"):
        sizes(t=0.7)

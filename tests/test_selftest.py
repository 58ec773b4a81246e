"""Three checks before glue: always three, of true figures, found again here by other arithmetic."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from itertools import product

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from booklet import selftest
from booklet.errors import Refused
from booklet.grid import INCH, Grid
from booklet.lengths import read_off
from booklet.net import Fold, Item, Net, Panel, Part
from booklet.pages.sentences import labels, selftest_of
from booklet.pages.words import words
from booklet.plane import Point
from booklet.selftest import Across, Bent, Diagonals, Edge, Longer, Meeting, Named, Sums
from booklet.styles import shelf
from tests import boxes, samples
from tests.outside.test_kinematics import by_scipy

SAMPLES = sorted(path.stem for path in samples.FOLDER.glob("*.toml"))
SIDE = st.floats(20, 200)


def panel_of(net: Net, named: Named) -> Panel:
    return net.part[named[0]].panel[named[1]]


def lengths(panel: Panel) -> list[float]:
    """Distances between corners that follow each other; runs along one line taken as one as well."""
    ring = [p for n, p in enumerate(panel.outline) if not _straight(panel.outline[n - 1], p, panel.outline[(n + 1) % len(panel.outline)])]
    return [math.dist(a, b) for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)]


def _straight(a: Point, b: Point, c: Point) -> bool:
    return abs((b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])) < 1e-6 * math.dist(a, b) * math.dist(b, c) + 1e-12


def true_of(net: Net, one: selftest.Test) -> None:
    """Measures on the flat what a check says. Raises AssertionError."""
    own = [panel_of(net, named) for named in one.panels]
    if isinstance(one, Diagonals):
        corners = sorted({max(math.dist(p, q) for q in own[0].outline) for p in own[0].outline})
        assert [corners[0], corners[-1]] == pytest.approx([one.mm] * 2, abs=1e-6)
        # by the sides, whichever way the panel lies in the flat
        assert one.mm == pytest.approx(math.hypot(*sorted(lengths(own[0]))[::2][:2]), abs=1e-6)
    elif isinstance(one, Meeting):
        assert all(any(long == pytest.approx(one.mm, abs=0.05) for long in lengths(panel)) for panel in own)
        assert not any({one.first[1], one.second[1]} == {f.parent, f.child} for f in net.part[one.first[0]].folds)
    elif isinstance(one, Longer):
        assert any(long == pytest.approx(one.mm, abs=1e-6) for long in lengths(own[0]))
        assert any(long == pytest.approx(one.mm - one.by, abs=1e-6) for long in lengths(own[1])) and one.by > net.caliper
    elif isinstance(one, Sums):
        halves = [sum(_wide(net, named) for named in some) for some in (one.ones, one.others)]
        assert halves == [pytest.approx(one.mm, abs=0.05)] * 2 and not set(one.ones) & set(one.others)
    elif isinstance(one, Bent):
        facets = [panel for panel in net.part[one.panel[0]].panels if panel.body == own[0].body]
        whole = shapely.union_all([shapely.Polygon(panel.outline) for panel in facets], grid_size=1e-6)
        names = {panel.name for panel in facets}
        (ax, ay), (bx, by) = next(f.line for f in net.part[one.panel[0]].folds if f.kind == "roll" and f.parent in names)
        turned = shapely.affinity.rotate(whole, -math.degrees(math.atan2(by - ay, bx - ax)))
        assert one.mm == pytest.approx(turned.bounds[3] - turned.bounds[1], abs=1e-3)
    elif isinstance(one, Across):
        assert one.mm == pytest.approx(2 * shapely.minimum_bounding_radius(shapely.Polygon(own[0].outline)), rel=0.02)


def _wide(net: Net, named: Named) -> float:
    """The longest edge of a wall that is level in the closed box."""
    return max(long for long, ends in stood(net, named) if abs(ends[1, 2] - ends[0, 2]) < 0.05)


def stood(net: Net, named: Named) -> Iterator[tuple[float, np.ndarray]]:
    """Each edge of a panel: its length, and its ends in the closed box by the rotations of scipy, shape (2, 3)."""
    part, panel = net.part[named[0]], panel_of(net, named)
    place = np.array([*part.places[0], (0, 0, 0, 1)][:4]) @ by_scipy(part, {fold.name: fold.angle for fold in part.folds})[panel.name]
    ring = np.array([(x, y, 0.0, 1.0) for x, y in panel.outline]) @ place.T
    for n in range(len(ring)):
        ends = ring[[n - 1, n], :3]
        yield float(np.linalg.norm(ends[1] - ends[0])), ends


def closed_true_of(net: Net, one: selftest.Test) -> None:
    """Whether what a check says of the closed box is so there. Raises AssertionError."""
    first, second = (list(stood(net, named)) for named in (*one.panels, one.panels[0])[:2])
    if isinstance(one, Meeting):
        edges = [(a, b) for (long, a), (other, b) in product(first, second) if max(abs(long - one.mm), abs(other - one.mm)) < 0.05]
        apart = [min(np.linalg.norm(a - c, axis=1).max() for c in (b, b[::-1])) for a, b in edges]
        assert min(apart, default=math.inf) < 8 * net.caliper + 1.8
    elif isinstance(one, Longer):
        edges = [(a, b) for (long, a), (other, b) in product(first, second) if max(abs(long - one.mm), abs(other - one.mm + one.by)) < 1e-6]
        apart = [float(np.linalg.norm((a.mean(0) - b.mean(0))[:2])) for a, b in edges if _alike(a, b)]
        assert min(apart, default=math.inf) <= one.by + 6 * net.caliper


def _alike(a: np.ndarray, b: np.ndarray) -> bool:
    return bool(np.linalg.norm(np.cross(a[1] - a[0], b[1] - b[0])) < 1e-6 * np.linalg.norm(a[1] - a[0]) * np.linalg.norm(b[1] - b[0]))


@pytest.mark.parametrize("name", SAMPLES)
def test_each_sample_has_three_checks_that_the_flat_bears_out(name: str) -> None:
    plan = samples.plan(name)
    found = selftest.tests(plan.net, plan.spec.booklet.grid.mark)
    assert len(set(found)) == 3
    for one in found:
        true_of(plan.net, one)
        closed_true_of(plan.net, one)


@settings(max_examples=30, deadline=None)
@given(
    st.sampled_from(sorted(shelf())), SIDE, SIDE, st.floats(10, 120), st.sampled_from([0.2, 0.3, 0.5, 0.8]), st.sampled_from(["mm", "in"]),
    st.booleans(), st.sampled_from([(304.8, 304.8), (700.0, 1000.0)]),
)  # fmt: skip
def test_whatever_the_box_there_are_three_true_checks(
    style: str, a: float, b: float, h: float, t: float, units: str, outside: bool, sheet: tuple[float, float]
) -> None:
    try:
        net = boxes.net(style, Item("block", a, b, h / 3 if style == "web-tray" else h), t, sheet=sheet, units=units, outside=outside)
    except Refused:
        assume(False)
    found = selftest.tests(net, Grid(units).mark)  # type: ignore[arg-type]
    assert len(set(found)) == 3 or style == "divider"
    assert style not in boxes.EVERY_STYLE or not any(isinstance(one, Edge) for one in found)
    for one in found:
        true_of(net, one)
        closed_true_of(net, one)


def test_the_checks_are_of_several_kinds_and_of_many_panels() -> None:
    for name in SAMPLES:
        plan = samples.plan(name)
        found = selftest.tests(plan.net, plan.spec.booklet.grid.mark)
        ways = selftest._longer, selftest._diagonals, selftest._meetings, selftest._sums, selftest._bent, selftest._across
        there = sum(any(True for _ in way(plan.net)) for way in ways)
        assert len({type(one) for one in found}) >= min(3, there), name
        assert len({panel for one in found for panel in one.panels}) >= (4 if there > 2 else 3), name


def test_a_lid_is_longer_than_the_wall_under_it_by_what_its_style_adds() -> None:
    for t in (0.3, 0.8):
        sizes = boxes.sizes("lidded-box", t=t)
        (one,) = (one for one in selftest.tests(boxes.net("lidded-box", t=t), 0.5) if isinstance(one, Longer))
        pairs = ((sizes.lid_long, sizes.long), (sizes.lid_short, sizes.short))
        assert any(one.mm == pytest.approx(lid) and one.by == pytest.approx(lid - own) for lid, own in pairs)


def test_edges_that_do_not_meet_in_the_closed_box_are_not_told() -> None:
    """Moving the free corners of every wall outward by 2 mm parts the upright edges from each other."""
    net = boxes.net("tray")
    (one,) = (one for one in selftest.tests(net, 0.5) if isinstance(one, Meeting))
    wall = panel_of(net, one.first)
    fold = next(f for f in net.part["box"].folds if f.child == wall.name)
    root = sum(x for x, _ in fold.line) / 2, sum(y for _, y in fold.line) / 2
    on_fold = {point for point in wall.outline if _straight(*fold.line, point)}
    wide = tuple(p if p in on_fold else (p[0] + 0.1 * (p[0] - root[0]), p[1] + 0.1 * (p[1] - root[1])) for p in wall.outline)
    changed = boxes.with_panel(net, "box", Panel(wall.name, wall.role, wide))
    found = [other for other in selftest.tests(changed, 0.5) if isinstance(other, Meeting)]
    assert found and not any(one.first in other.panels for other in found)


def test_a_panel_that_is_not_square_has_no_diagonals_to_compare() -> None:
    net = boxes.net("tray")
    base = net.part["box"].panel["base"]
    (ax, ay), *rest = base.outline
    skew = boxes.with_panel(net, "box", Panel("base", "base", ((ax + 3.0, ay), *rest)))
    assert not any(one.panels == (("box", "base"),) for one in selftest.tests(skew, 0.5) if isinstance(one, Diagonals))


def test_a_pyramid_on_a_triangle_is_checked_by_edges_that_meet() -> None:
    """No rectangle and no ring of an even number; dihedral angle 70.5288 degrees (closed form)."""
    high = 60.0 * math.sqrt(3) / 2
    base = ((0.0, 0.0), (60.0, 0.0), (30.0, high))
    tips = {"one": (30.0, -high), "two": (90.0, high), "three": (-30.0, high)}
    lines = {name: (base[n], base[(n + 1) % 3]) for n, name in enumerate(tips)}
    panels = (Panel("base", "base", base), *(Panel(n, "wall", (lines[n][1], lines[n][0], tips[n])) for n in tips))
    folds = tuple(Fold(n, "base", n, lines[n], 180 - math.degrees(math.acos(1 / 3))) for n in tips)
    tray = boxes.net("tray")
    net = boxes.with_part(tray, Part("box", "box", 0.3, "base", tray.part["box"].places, panels, folds))
    found = selftest.tests(net, 0.5)
    assert len(set(found)) == 3 and all(isinstance(one, Meeting) and one.mm == pytest.approx(60.0) for one in found)


def test_a_shape_with_nothing_to_compare_is_checked_by_its_edges() -> None:
    tray = boxes.net("tray")
    panels = tuple(Panel(n, "wall", ((0.0, y), (60.0, y), (30.0, y + 50.0))) for n, y in (("one", 0.0), ("two", -60.0), ("three", -120.0)))
    folds = tuple(Fold(b, a, b, ((0.0, y), (60.0, y)), 0.0) for a, b, y in (("one", "two", 0.0), ("two", "three", -60.0)))
    net = boxes.with_part(tray, Part("box", "box", 0.3, "one", tray.part["box"].places, panels, folds))
    found = selftest.tests(net, 0.5)
    assert len(set(found)) == 3 and all(isinstance(one, Edge) and one.mm == pytest.approx(60.0) for one in found)


@pytest.mark.parametrize("name", SAMPLES)
def test_the_checks_are_told_by_the_names_and_marks_of_the_booklet(name: str) -> None:
    plan = samples.plan(name)
    said = labels(plan, words())
    for one, text in zip(selftest.tests(plan.net, plan.spec.booklet.grid.mark), selftest_of(plan, words()), strict=True):
        assert read_off(one.mm, plan.spec.units) in text and text.endswith(".") and "{" not in text
        for part, panel in one.panels:
            name_of = said[f"{part}/{panel}"]
            runs = [range(int(a), int(b) + 1) for a, b in re.findall(r"(\d+) to (\d+)", text)]
            number = name_of.split()[-1]
            within = number.isdigit() and any(int(number) in run for run in runs)
            assert name_of in text or within or re.search(rf"s [\w ,]*\b{number}\b", text), text


def test_a_figure_of_a_sample_in_inches_is_on_a_mark_of_its_ruler() -> None:
    plan = samples.plan("jar")
    for one in selftest.tests(plan.net, plan.spec.booklet.grid.mark):
        if not isinstance(one, Diagonals):
            assert abs(one.mm / INCH * 16 - round(one.mm / INCH * 16)) < 0.1


def test_a_longer_net_has_longer_figures() -> None:
    """Three mm more in the base and in both walls along it: the diagonals and the sums say so, the upright edges stay."""
    net = boxes.net("tray", boxes.DISH)
    xs, ys = zip(*panel_of(net, ("box", "base")).outline, strict=True)
    longer = boxes.stretched(net, "box", (min(xs) + max(xs)) / 2, 3.0)
    before, after = ({one.kind: one for one in selftest.tests(made, 0.5)} for made in (net, longer))
    assert before["diagonals"].panels == after["diagonals"].panels == (("box", "base"),)
    assert after["diagonals"].mm == pytest.approx(math.hypot(max(xs) - min(xs) + 3.0, max(ys) - min(ys))) != before["diagonals"].mm
    assert after["sums"].mm == pytest.approx(before["sums"].mm + 3.0) and after["meeting"].mm == pytest.approx(before["meeting"].mm)

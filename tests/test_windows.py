"""Windows: true holes in their panels, never where a fold, an edge, glue or other card is; film is told by its size."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
import shapely

from booklet import planning, steps, windows
from booklet.check import Check
from booklet.errors import Refused, SpecError
from booklet.folding import folder
from booklet.grid import Grid
from booklet.net import Net
from booklet.plane import area
from booklet.space import applied, lifted
from booklet.spec import Spec, Window, load
from booklet.styles import shelf
from booklet.thickness import Thickness
from tests import samples

DISH = """
style = "{style}"
[item]
length = "100 mm"
width = "70 mm"
height = "70 mm"
[card]
sheet = "A1"
caliper = "{t} mm"
[window]
panel = "{panel}"
{more}
"""
ROUND = 'shape = "round"\ndiameter = "30 mm"'


def spec_of(folder: Path, more: str = ROUND, style: str = "tuck-carton", panel: str = "front", t: str = "0.3") -> Spec:
    path = folder / "box.toml"
    path.write_text(DISH.format(style=style, panel=panel, more=more, t=t))
    return load(path, samples.OPTIONS)


def cut(spec: Spec) -> Net:
    return planning.net_of(spec, spec.card, planning.fit_of(spec), Thickness(spec.card.caliper, "crease"))


def proven(net: Net, spec: Spec) -> dict[str, Check]:
    checks, _ = planning.proven(steps.found(net), planning.fit_of(spec), spec.window)
    return {check.name: check for check in checks}


def opening(net: Net, spec: Spec) -> tuple[shapely.Polygon, str]:
    """The window in space, in x and z, and its panel's name."""
    assert spec.window is not None
    part, panel = windows.panel_of(net, spec.window.panel)
    place = folder(part).stood[folder(part).index[panel.name]]
    return shapely.Polygon(applied(place, lifted(panel.holes[-1]))[:, [0, 2]]), panel.name


class TestItIsCutWhereItIsAsked:
    def test_in_the_middle_of_the_front_and_as_large_as_asked(self, tmp_path: Path) -> None:
        spec = spec_of(tmp_path)
        hole, name = opening(cut(spec), spec)
        assert name == "wall-2"
        assert (hole.centroid.x, hole.centroid.y) == pytest.approx((0.0, cut(spec).inside.height / 2), abs=0.6)
        # the area of a circle of 30 mm, less what chords within 0.05 mm take off
        assert math.pi * 14.95**2 < hole.area < math.pi * 15.0**2

    @pytest.mark.parametrize("outside", ["inside", "outside"])
    def test_right_and_up_are_those_of_somebody_who_looks_at_it_from_outside(self, tmp_path: Path, outside: str) -> None:
        still = spec_of(tmp_path)
        moved = spec_of(tmp_path, f'{ROUND}\nright = "8 mm"\nup = "-1 mm"')
        (one, _), (two, _) = (opening(cut(replace(spec, marks=outside)), spec) for spec in (still, moved))
        assert (two.centroid.x - one.centroid.x, two.centroid.y - one.centroid.y) == pytest.approx((8.0, -1.0))
        back = spec_of(tmp_path, f'{ROUND}\nright = "8 mm"', style="tray", panel="back", t="0.31")
        tray, _ = opening(cut(replace(back, marks=outside)), back)
        assert tray.centroid.x == pytest.approx(-8.0)

    def test_an_arch_stands_with_its_bow_up(self, tmp_path: Path) -> None:
        spec = spec_of(tmp_path, 'shape = "arch"\nwidth = "30 mm"\nheight = "28 mm"')
        hole, _ = opening(cut(spec), spec)
        x0, y0, x1, y1 = hole.bounds
        assert (x1 - x0, y1 - y0) == pytest.approx((30.0, 28.0))
        assert hole.contains(shapely.Point(x0 + 0.5, y0 + 0.5)) and not hole.contains(shapely.Point(x0 + 0.5, y1 - 0.5))
        assert hole.area == pytest.approx(30 * 13 + math.pi * 15**2 / 2, abs=3.0)

    def test_the_hole_is_in_the_piece_that_is_cut_and_takes_its_area_off(self, tmp_path: Path) -> None:
        net = cut(spec_of(tmp_path))
        piece = net.part["box"].piece_of["wall-2"]
        assert len(piece.holes) == 1
        assert abs(area(piece.holes[0])) == pytest.approx(math.pi * 15**2, abs=3.0)

    def test_every_check_holds_and_the_box_counts_as_closed(self, tmp_path: Path) -> None:
        spec = spec_of(tmp_path)
        found = proven(cut(spec), spec)
        assert not [check for check in found.values() if not check.ok]
        assert found["window.clear"].figure > 6.0

    def test_a_wall_that_is_not_there_is_still_found(self, tmp_path: Path) -> None:
        spec = spec_of(tmp_path)
        net = steps.found(cut(spec))
        deep = replace(net, inside=replace(net.inside, width=net.inside.width - 20.0))
        checks, _ = planning.proven(deep, planning.fit_of(spec), spec.window)
        assert "closed.width" in {check.name for check in checks if not check.ok}


class TestItTouchesNothing:
    def test_a_window_near_a_fold_is_refused_with_the_figure(self, tmp_path: Path) -> None:
        with pytest.raises(Refused, match=r"within 5\.\d mm of .*tuck-top, which lies on the panel; 6 mm have to stay"):
            cut(spec_of(tmp_path, 'width = "50 mm"\nheight = "37 mm"'))

    def test_film_asks_for_more(self, tmp_path: Path) -> None:
        more = 'width = "50 mm"\nheight = "30 mm"'
        assert cut(spec_of(tmp_path, more))
        with pytest.raises(Refused, match="10 mm have to stay, which film needs"):
            cut(spec_of(tmp_path, f"{more}\nfilm = true"))

    def test_a_window_larger_than_its_panel_is_refused_with_its_size(self, tmp_path: Path) -> None:
        with pytest.raises(Refused, match=r"beyond its panel of \d+\.\d x \d+\.\d mm"):
            cut(spec_of(tmp_path, 'width = "300 mm"\nheight = "20 mm"'))

    def test_a_doubled_base_and_a_wall_under_a_skirt_are_covered(self, tmp_path: Path) -> None:
        with pytest.raises(Refused, match=r"the window reaches base-.*which lies on the panel"):
            cut(spec_of(tmp_path, style="lidded-box", panel="base-1"))
        with pytest.raises(Refused, match=r"reaches skirt-\d, which lies on the panel"):
            cut(spec_of(tmp_path, f'{ROUND}\n[box]\nhem = "0 mm"', style="lidded-box"))

    def test_the_lid_of_the_same_box_takes_one(self, tmp_path: Path) -> None:
        spec = spec_of(tmp_path, 'width = "40 mm"\nheight = "30 mm"\nfilm = true', style="lidded-box", panel="top")
        assert not [check for check in proven(cut(spec), spec).values() if not check.ok]

    def test_a_check_finds_a_window_that_is_too_near(self, tmp_path: Path) -> None:
        spec = spec_of(tmp_path)
        net = cut(spec)
        part, panel = windows.panel_of(net, "front")
        shifted = replace(panel, holes=(tuple((x + 36.0, y) for x, y in panel.holes[0]),))
        panels = tuple(shifted if one.name == panel.name else one for one in part.panels)
        near = replace(net, parts=(replace(part, panels=panels),))
        assert windows.clear(near, spec.window or Window("", "round", 1, 1))[0] < 6.0


class TestItsPanel:
    @pytest.mark.parametrize("told, name", [("wall-3", "wall-3"), ("Wall 3", "wall-3"), ("left", "wall-3"), ("back", "wall-4")])
    def test_a_panel_goes_by_its_name_as_it_is_told_or_by_its_side(self, tmp_path: Path, told: str, name: str) -> None:
        net = cut(spec_of(tmp_path))
        found = windows.panel_of(net, told)[1].name
        assert found == name or (told == "left" and found in ("wall-1", "wall-3"))

    def test_a_role_of_several_panels_is_refused_with_their_names(self, tmp_path: Path) -> None:
        with pytest.raises(Refused, match=r"'wall' is 4 panels; write one of wall-\d, wall-\d, wall-\d, wall-\d, or a side"):
            cut(spec_of(tmp_path, panel="wall"))

    def test_a_panel_that_is_not_there_is_refused_with_what_there_is(self, tmp_path: Path) -> None:
        with pytest.raises(Refused, match=r"window\.panel: 'shelf' is no panel of this box; write one of"):
            cut(spec_of(tmp_path, panel="shelf"))

    @pytest.mark.skipif("pillow-pack" not in shelf(), reason="no rolled style on the shelf")
    def test_a_panel_that_is_bent_is_refused(self, tmp_path: Path) -> None:
        with pytest.raises(Refused, match="rolled or bent"):
            cut(spec_of(tmp_path, style="pillow-pack", t="0.2"))


class TestTheFilm:
    def test_it_is_larger_by_a_round_figure_on_each_side(self) -> None:
        window = Window("front", "rectangle", 50.0, 30.0, film=True)
        assert windows.film_of(window, Grid("mm")) == windows.Film(70.0, 50.0)
        assert windows.film_of(window, Grid("in")) == windows.Film(50.0 + 19.05, 30.0 + 19.05)
        assert windows.film_of(replace(window, film=False), Grid("mm")) is None


class TestTheSpec:
    @pytest.mark.parametrize(
        "more, where, told",
        [
            ("", "window.width", "is missing: write how large"),
            ('shape = "round"\nwidth = "30 mm"\ndiameter = "30 mm"', "window.width", 'does not go with shape = "round"'),
            ('width = "30 mm"\nheight = "20 mm"\ndiameter = "9 mm"', "window.diameter", 'does not go with shape = "rectangle"'),
            ('shape = "arch"\nwidth = "40 mm"\nheight = "10 mm"', "window.height", "give 20 mm or more"),
            ('shape = "star"', "window.shape", 'write "rectangle" or "round" or "arch"'),
            (f"{ROUND}\nfilm = 1", "window.film", "neither true nor false"),
            ('shape = "round"\ndiameter = "3 mm"', "window.diameter", "give a length from 8 mm"),
        ],
    )
    def test_each_fault_names_its_key(self, tmp_path: Path, more: str, where: str, told: str) -> None:
        with pytest.raises(SpecError) as error:
            spec_of(tmp_path, more)
        fault = next(fault for fault in error.value.faults if fault.where == where)
        assert told in fault.text and fault.line is not None

    def test_without_the_table_there_is_none(self) -> None:
        assert samples.spec("mug").window is None

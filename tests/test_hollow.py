"""What is said of the inside of a box of any shape is measured on its folded panels."""

from __future__ import annotations

from dataclasses import replace

import pytest

from booklet.net import Item, Net
from booklet.proof import prove
from tests import boxes


def without(made: Net, *names: str) -> Net:
    """The box with some panels shrunk to next to nothing, as if they had been forgotten."""
    for name in names:
        part = made.parts[0]
        panel = part.panel[name]
        (x, y), *_ = panel.outline
        small = tuple((x + (px - x) * 0.02, y + (py - y) * 0.02) for px, py in panel.outline)
        made = boxes.with_panel(made, part.name, replace(panel, outline=small))
    return made


def figure(made: Net, name: str) -> float:
    checks, _ = prove(made, boxes.fit(made.item))
    return boxes.named(checks, name).figure


@pytest.mark.parametrize("style, panel", [("tray", "wall-1"), ("tray", "base"), ("tuck-carton", "closing-top"), ("tuck-carton", "wall-3")])
def test_a_panel_that_is_missing_is_a_way_out(style: str, panel: str) -> None:
    made = boxes.whole(style)
    assert figure(made, "closed.round") == 0.0
    assert figure(without(made, panel), "closed.round") > 2.0


def test_a_wall_of_a_polygon_that_is_missing_is_a_way_out() -> None:
    made = boxes.whole("tapered-tray")
    assert "closed.round" not in boxes.failed(made)
    assert "closed.round" in boxes.failed(without(made, "wall-2"))


def test_a_round_thing_is_measured_between_the_walls_of_a_polygon() -> None:
    made = boxes.whole("tapered-tray", Item("round", 70, 70, 40))
    assert "item.fits" not in boxes.failed(made)
    checks, _ = prove(replace(made, item=Item("round", 80, 80, 40)), boxes.fit(made.item))
    assert not boxes.named(checks, "item.fits").ok


@pytest.mark.parametrize("by, name", [(-3.0, "lid.slides"), (8.0, "lid.holds")])
def test_a_polygons_lid_that_is_too_small_or_too_large_is_found(by: float, name: str) -> None:
    made = boxes.whole("prism-box")
    assert not {"lid.slides", "lid.holds"} & boxes.failed(made)
    lid = made.part["lid"]
    grown = 1 + by / 100

    def ring(points: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
        return tuple((x * grown, y * grown) for x, y in points)

    panels = tuple(replace(p, outline=ring(p.outline)) for p in lid.panels)
    folds = tuple(replace(f, line=ring(f.line)) for f in lid.folds)  # type: ignore[arg-type]
    place = [list(row) for row in lid.places[0]]
    moved = replace(lid, panels=panels, folds=folds, places=(tuple(tuple(row) for row in place),))  # type: ignore[arg-type]
    spoilt = boxes.with_part(made, moved)
    checks, _ = prove(spoilt, boxes.fit(made.item))
    assert not boxes.named(checks, name).ok


def test_a_drawer_that_is_too_large_for_its_sleeve_is_found() -> None:
    made = boxes.whole("sleeve-drawer")
    assert not {"drawer.slides", "drawer.holds"} & boxes.failed(made)
    drawer = made.part["drawer"]
    raised = [list(row) for row in drawer.places[0]]
    raised[2][3] += 2.0
    assert "drawer.slides" in boxes.failed(boxes.with_part(made, replace(drawer, places=(tuple(tuple(row) for row in raised),))))  # type: ignore[arg-type]

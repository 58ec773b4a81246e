"""Line types against ISO 128-20:1996: parts of a line in widths d, and the series of widths in mm."""

from __future__ import annotations

import pytest

from booklet.drawing.pen import STROKES
from booklet.pdf.read import FinishedFile
from tests import samples

WIDTHS = (0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0)
GAP, DASH, LONG, DOT = 3, 12, 24, 0.5


def test_every_stroke_has_a_width_of_the_series() -> None:
    assert {stroke.width_mm for stroke in STROKES.values()} <= set(WIDTHS)


def test_cuts_are_twice_as_thick_as_folds() -> None:
    assert STROKES["cut"].width_mm / STROKES["valley"].width_mm == 2
    assert STROKES["cut"].width_mm / STROKES["mountain"].width_mm == 2


def test_a_valley_is_dashed_and_a_mountain_long_dashed_double_dotted() -> None:
    d = STROKES["valley"].width_mm
    assert STROKES["valley"].dash == pytest.approx([DASH * d, GAP * d])
    assert STROKES["mountain"].dash == pytest.approx([x * d for x in (LONG, GAP, DOT, GAP, DOT, GAP)])


@pytest.mark.parametrize("name, layer, kind", [("mug", "Creasing", "valley"), ("teapot", "ReverseCreasing", "mountain")])
def test_folds_in_the_finished_file_have_these_dashes(name: str, layer: str, kind: str) -> None:
    made = samples.made(name)
    file = FinishedFile(made.data)
    folds = [s for page in range(len(file.pages)) for s in file.lines(page) if s.layer == layer]
    assert folds
    for line in folds:
        assert line.width == pytest.approx(STROKES[kind].width_mm, abs=1e-3)
        assert line.dash == pytest.approx(STROKES[kind].dash, abs=1e-2)

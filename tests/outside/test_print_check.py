"""The print check as an outside renderer shows it: the bars, the bank card, a shrunk page told by its bars.

ISO/IEC 7810: an ID-1 card is 85.60 x 53.98 mm with corners of 2.88 to 3.48 mm radius. The renderer is PDFium.
"""

from __future__ import annotations

import numpy as np
import pypdfium2
import pytest

from booklet.pdf.read import FinishedFile
from booklet.plane import bounds
from tests import samples

DPI = 300
MM = 25.4 / DPI


def picture(name: str) -> np.ndarray:
    """The print check, True where it is dark, row 0 at the foot."""
    made = samples.made(name)
    page = pypdfium2.PdfDocument(made.data)[1]
    grey = np.asarray(page.render(scale=DPI / 72, grayscale=True).to_pil())
    return np.asarray(grey[::-1] < 128)


def longest(line: np.ndarray) -> float:
    """Length in mm of the longest unbroken dark run."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], line.astype(np.int8), [0]])))
    return float(max(edges[1::2] - edges[::2], default=0)) * MM


@pytest.mark.parametrize("name", ["mug", "jar"])
def test_both_bars_measure_100_mm_on_the_picture(name: str) -> None:
    dark = picture(name)
    across = [longest(row) for row in dark]
    up = [longest(column) for column in dark.T]
    # the rule under the head is longer than a bar: it lies across the whole frame
    assert min(abs(length - 100) for length in across) < 0.2
    assert min(abs(length - 100) for length in up) < 0.2


@pytest.mark.parametrize("name", ["mug", "jar"])
def test_the_card_outline_is_an_id_1_card(name: str) -> None:
    file = FinishedFile(samples.made(name).data)
    chords = [s for s in file.lines(1) if s.width == pytest.approx(0.35, abs=1e-3)]
    x0, y0, x1, y1 = bounds(end for s in chords for end in s.line)
    assert (x1 - x0, y1 - y0) == pytest.approx((85.60, 53.98), abs=0.01)
    straight = max((abs(s.a[0] - s.b[0]) for s in chords), default=0.0)
    assert 2.88 <= (85.60 - straight) / 2 <= 3.48


def test_a_page_fitted_to_other_paper_shows_in_the_bar() -> None:
    """A Letter page shrunk to A4 prints at 0.9727, an A4 page shrunk to Letter at 0.9407 (computed)."""
    a4, letter = (210.0, 297.0), (215.9, 279.4)
    assert min(a / b for a, b in zip(a4, letter, strict=True)) == pytest.approx(0.9727, abs=5e-5)
    assert min(a / b for a, b in zip(letter, a4, strict=True)) == pytest.approx(0.9407, abs=5e-5)

"""Sizes of paper, against ISO 216, ASME Y14.1, ISO 32000's unit, the package papersize and scipy's constants."""

from __future__ import annotations

import io

import papersize
import pytest
from pypdf import PdfReader
from scipy.constants import inch, point

from booklet.lengths import parse_sheet
from booklet.pdf.pen import points
from tests import samples

# ISO 216:2007, table 1, trimmed sizes of the A series in mm
ISO_216 = {"A0": (841, 1189), "A1": (594, 841), "A2": (420, 594), "A3": (297, 420), "A4": (210, 297), "A5": (148, 210), "A6": (105, 148)}
# ASME Y14.1: A size 8.5 x 11 in, B size 11 x 17 in; Legal 8.5 x 14 in is common practice, no source
INCHES = {"Letter": (8.5, 11.0), "Tabloid": (11.0, 17.0), "Legal": (8.5, 14.0)}


@pytest.mark.parametrize("name", ISO_216)
def test_the_a_series_is_that_of_iso_216(name: str) -> None:
    assert parse_sheet(name).size == ISO_216[name]


@pytest.mark.parametrize("name", INCHES)
def test_american_sizes_are_exact_in_inches(name: str) -> None:
    assert parse_sheet(name).size == pytest.approx([side * 25.4 for side in INCHES[name]], abs=1e-9)


@pytest.mark.parametrize("name", [*ISO_216, "Letter", "Legal", "Tabloid"])
def test_sizes_agree_with_the_package_papersize(name: str) -> None:
    theirs = sorted(float(side) for side in papersize.parse_papersize(name.lower(), "mm"))
    assert sorted(parse_sheet(name).size) == pytest.approx(theirs, abs=0.5)


def test_an_inch_is_25_4_mm_and_72_points() -> None:
    """scipy: international inch; the point of PDF (ISO 32000) is 1/72 in, scipy's point too."""
    assert inch == 0.0254
    assert point == pytest.approx(inch / 72)
    assert float(points(25.4)) == 72


@pytest.mark.parametrize("name, size", [("mug", (595.276, 841.890)), ("jar", (612.0, 792.0))])
def test_pages_are_a4_or_letter_in_points(name: str, size: tuple[float, float]) -> None:
    """ISO 32000-2: default user space 1/72 in; A4 is 595.276 x 841.890, Letter 612 x 792 (computed)."""
    for page in PdfReader(io.BytesIO(samples.made(name).data)).pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(size, abs=5e-4)

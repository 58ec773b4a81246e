"""Outside: a printer that is out by a part in both directions, and a net that comes out true once its bars were measured.

Kind: another library's pictures of the pages (pdfium, 406 dpi), made smaller as that printer would, and measured like a print: the ends
of the bars and the middles of the cut lines to a part of a pixel. Of the file only the net is read. Limit: 0.1 mm on 150 mm, a fifth of
what a hand cuts (common practice, no source).
"""

from __future__ import annotations

import io
import json
import math
from collections.abc import Callable, Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import pypdf
import pypdfium2
import pytest
from click.testing import CliRunner
from PIL import Image

from booklet.cli import main

PX = 16
"""Pixels of a mm, 406 dpi: an A4 page is a whole number of them, so that the renderer does not stretch it."""

PRINTER = (0.985, 0.992)
LENGTH, LIMIT = 150.0, 0.1

TRAY = """
title = "Kiln Lane tray"
style = "tray"
[item]
length = "104 mm"
width = "98 mm"
height = "22 mm"
[page]
paper = "A4"
"""

Picture = np.ndarray[Any, np.dtype[np.float32]]


def run(*words: object) -> None:
    result = CliRunner().invoke(main, [str(word) for word in words])
    assert result.exit_code == 0, result.output


def printed(pdf: bytes, page: int) -> Picture:
    """A page as that printer puts it on paper: ink from 0 to 1, row 0 at the foot."""
    drawn = pypdfium2.PdfDocument(pdf)[page].render(scale=PX * 25.4 / 72 * (1 - 1e-6), grayscale=True).to_pil()
    assert drawn.size == (210 * PX, 297 * PX)
    upright = drawn.transpose(Image.Transpose.FLIP_TOP_BOTTOM)
    shrink = (1 / PRINTER[0], 0, 0, 0, 1 / PRINTER[1], 0)
    shrunk = upright.transform(upright.size, Image.Transform.AFFINE, shrink, Image.Resampling.BICUBIC, fillcolor=255)
    return 1 - np.asarray(shrunk, dtype=np.float32) / 255


def runs(row: Picture) -> Iterator[tuple[int, int]]:
    """First pixel and the one after the last of each unbroken dark run."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], (row > 0.5).astype(np.int8), [0]])))
    yield from zip(edges[::2], edges[1::2], strict=True)


def crossing(profile: Picture, pixel: int) -> float:
    """Where, between the middles of a pixel and the one before it, the ink passes a half; pixels from the picture's edge."""
    a, b = profile[pixel - 1], profile[pixel]
    return pixel - 0.5 + float((0.5 - a) / (b - a))


def bar(ink: Picture, long: float) -> float:
    """The length in mm of the level bar that is about so long."""
    dark = np.flatnonzero((ink > 0.5).sum(axis=1) > 0.9 * long * PX)
    near = [(y, a, b) for y in dark for a, b in runs(ink[y]) if abs((b - a) / PX / long - 1) < 0.04]
    assert near, f"no bar of about {long} mm is seen"
    y0, a, b = near[len(near) // 2]
    profile = ink[y0 - 1 : y0 + 2].mean(axis=0)
    return float(crossing(profile, b) - crossing(profile, a)) / PX


def read(ink: Picture, across: float, up: float) -> tuple[float, float]:
    """What a maker reads off both bars, to 0.1 mm."""
    return round(bar(ink, across), 1), round(bar(ink.T, up), 1)


@cache
def made(*words: str, spec: str = "") -> bytes:
    """What a command writes, with a spec or without."""
    with TemporaryDirectory() as folder:
        source, out = Path(folder) / "box.toml", Path(folder) / "out.pdf"
        source.write_text(spec)
        run(*words, *([source] if spec else []), "-o", out)
        return out.read_bytes()


def bars_of_test_print() -> tuple[float, float]:
    return read(printed(made("testprint"), 0), 180, 240)


def bars_of_print_check() -> tuple[float, float]:
    return read(printed(made("make", spec=TRAY), 1), 100, 100)


def corrected(bars: tuple[float, float]) -> bytes:
    return made("make", spec=TRAY + f'printed_bar = ["{bars[0]} mm", "{bars[1]} mm"]\n')


def lengths(pdf: bytes) -> Iterator[tuple[int, float, float]]:
    """Axis on the page, length in the net and length on paper of what lies between two far cut lines, mm."""
    net = json.loads(pypdf.PdfReader(io.BytesIO(pdf)).attachments["net.json"][0])
    for told in net["pages"]:
        ink = printed(pdf, told["page"] - 1)
        piece = next(p for part in net["parts"] for p in part["pieces"] if p["name"] == told["piece"])
        edges = [tuple(on_page(told, p) for p in pair) for pair in pairwise([*piece["outline"], piece["outline"][0]])]
        for axis in (0, 1):
            first, last = far_apart([e for e in edges if abs(e[0][axis] - e[1][axis]) < 1e-6 and math.dist(*e) > 20], axis)
            seen = line_at(ink, last, axis) - line_at(ink, first, axis)
            yield axis, last[0][axis] - first[0][axis], seen


def on_page(told: dict[str, Any], p: list[float]) -> tuple[float, float]:
    a, b, c, d, e, f = told["to_page"]
    return a * p[0] + c * p[1] + e, b * p[0] + d * p[1] + f


def far_apart(edges: list[Any], axis: int) -> tuple[Any, Any]:
    order = sorted(edges, key=lambda edge: edge[0][axis])
    return order[0], order[-1]


def line_at(ink: Picture, edge: Any, axis: int) -> float:
    """Where a cut line lies on paper, mm along the axis: the middle between its edges, on the middle half of its length."""
    picture = ink if axis == 0 else ink.T
    a, b = sorted(end[1 - axis] for end in edge)
    band = picture[round((0.75 * a + 0.25 * b) * PX) : round((0.25 * a + 0.75 * b) * PX)].mean(axis=0)
    near = [(lo, hi) for lo, hi in runs(band) if abs((lo + hi) / 2 / PX - edge[0][axis]) < 5.0 and 0.4 < (hi - lo) / PX < 0.6]
    assert len(near) == 1, "one cut line is seen where it is looked for"
    return (crossing(band, near[0][0]) + crossing(band, near[0][1])) / 2 / PX


def off(pdf: bytes) -> dict[int, float]:
    """By how much 150 mm of the net are off on paper, mm, across and up."""
    found = {axis: abs(seen / net - 1) * LENGTH for axis, net, seen in lengths(pdf) if net >= LENGTH}
    assert set(found) == {0, 1}, "a length of 150 mm is seen both ways"
    return found


@pytest.mark.parametrize("measured", [bars_of_test_print, bars_of_print_check])
def test_once_the_bars_are_fed_back_150_mm_of_the_net_are_true_to_a_tenth(measured: Callable[[], tuple[float, float]]) -> None:
    assert max(off(corrected(measured())).values()) <= LIMIT


def test_the_bars_on_the_picture_are_as_long_as_the_printer_makes_them() -> None:
    assert bars_of_test_print() == pytest.approx((180 * PRINTER[0], 240 * PRINTER[1]), abs=0.06)
    assert bars_of_print_check() == pytest.approx((100 * PRINTER[0], 100 * PRINTER[1]), abs=0.06)


def test_without_the_correction_the_printer_is_seen() -> None:
    assert min(off(made("make", spec=TRAY)).values()) > 1.0

"""Plans for the tests of drawings, made from specs as the program makes them."""

from __future__ import annotations

import tempfile
from pathlib import Path

from booklet.plan import Plan
from booklet.planning import plan_of
from booklet.spec import load
from booklet.styles import shelf
from tests.shared import once

_SPEC = """
title = "Kiln Lane {style}"
style = "{style}"
[item]
shape = "block"
length = "125 mm"
width = "95 mm"
height = "{height} mm"
[fit]
clearance = "6 mm"
headroom = "8 mm"
[card]
sheet = "12x12 in"
caliper = "{caliper} mm"
grain = "first"
[page]
paper = "A4"
{page}
[booklet]
units = "{units}"
"""


@once
def plan(style: str, caliper: float = 0.3, page: str = "", units: str = "mm", height: float = 104.0) -> Plan:
    """A box for a mug; card of 0.9 mm is marked on the outside."""
    text = _SPEC.format(style=style, caliper=caliper, page=page, units=units, height=height)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "box.toml"
        path.write_text(text, encoding="utf-8")
        return plan_of(load(path, {name: one.OPTIONS for name, one in shelf().items()}))

"""What the templates see of the room inside, of an insert and of a window, and of the ruler that the pieces ask for."""

from __future__ import annotations

import math
from typing import Any

from booklet import hollow, inserts, proof, windows
from booklet.grid import INCH
from booklet.net import Net
from booklet.pages.figures import Figures
from booklet.pages.records import InsertFacts, WindowFacts
from booklet.pages.words import Words
from booklet.plan import Plan


def room_of(plan: Plan, tell: Figures, words: Words) -> dict[str, Any]:
    """What the templates see of the room inside: how large it is, the play of the thing, how many it holds."""
    net, (along, across, above) = plan.net, _plays(plan)
    i, wide = net.inside, tell.length(net.item.length + across) if _measured_round(net) else ""
    round_in = words.filled(words("item", "round"), "item.round", diameter=wide, height=tell.length(i.height))
    return {
        "inside": round_in if wide else tell.size(i.length, i.width, i.height),
        "wide": wide,
        "play_along": tell.length(along),
        "play_across": tell.length(across),
        "play_above": tell.length(above),
        "cells": len(inserts.stands(net)),
        "stands_alone": all(part.role == "insert" for part in net.parts),
        "folded": net.folded,
        "has_flap": any("flap" in panel.role for part in net.parts for panel in part.panels),
    }


def longest_of(plan: Plan, tell: Figures) -> str:
    """How long the ruler is at least, to the next whole millimetre or quarter of an inch: no one looks for a finer figure."""
    step = INCH / 4 if tell.units == "in" else 1.0
    longest = max((max(piece.size) for _, piece in plan.pieces), default=0.0)
    return tell.length(step * math.ceil(round(longest / step, 6)))


def _plays(plan: Plan) -> tuple[float, float, float]:
    """The play that is left to the thing, mm in all: along, across, above. A round one in a hollow that is no cuboid is measured there."""
    if not _measured_round(plan.net):
        return inserts.plays(plan.net)
    across, above = hollow.round_plays(proof.Solid(plan.net, plan.played))
    return across, across, above


def _measured_round(net: Net) -> bool:
    """Whether the room of the thing is told by how wide it is: that of a round thing between walls that make no cuboid."""
    return hollow.round_in_other(net) and not inserts.parts_of(net)


def insert_of(plan: Plan, tell: Figures, words: Words) -> InsertFacts | None:
    """What stands in the box; None where it has no insert."""
    net, spec = plan.net, plan.spec
    if spec.insert is None:
        return None
    (along, across, above), (rows, columns) = inserts.plays(net), inserts.cells(net)
    cell = tell.size(net.item.length + along, net.item.width + across, net.item.height + above)
    said = words("styles", spec.insert.style, "told")
    return InsertFacts(said, rows * columns, rows, columns, cell, tell.length(inserts.PLAY))


def window_of(plan: Plan, tell: Figures, words: Words) -> WindowFacts | None:
    """The window with the size of its film; None where the box has none."""
    window = plan.spec.window
    if window is None:
        return None
    _, panel = windows.panel_of(plan.net, window.panel)
    grid = plan.spec.booklet.grid
    film = windows.film_of(window, grid)
    size, more = tell.size(window.width, window.height), tell.length(windows.film_margin(grid))
    told = tell.size(film.width, film.height) if film else ""
    return WindowFacts(words.panel(panel.name, panel.role), words("windows", window.shape), size, told, more)

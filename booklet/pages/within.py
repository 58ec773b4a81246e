"""What the templates see of an insert and of a window."""

from __future__ import annotations

from booklet import inserts, windows
from booklet.pages.figures import Figures
from booklet.pages.records import InsertFacts, WindowFacts
from booklet.pages.words import Words
from booklet.plan import Plan


def insert_of(plan: Plan, tell: Figures, words: Words) -> InsertFacts | None:
    """What stands in the box; None where it has no insert."""
    net, spec = plan.net, plan.spec
    if spec.insert is None:
        return None
    (along, across, above), (rows, columns) = inserts.plays(net), inserts.cells(net)
    cell = tell.size(net.item.length + along, net.item.width + across, net.item.height + above)
    return InsertFacts(words.style(spec.insert.style).name, rows * columns, rows, columns, cell, tell.length(inserts.PLAY))


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

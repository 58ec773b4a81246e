"""Ends of a ring of walls that are shut by flaps: inner flaps on the sides, outer flaps on front and back that meet on them. Millimetres.

Walls 1 and 3 are the sides, 2 the front and 4 the back.
"""

from __future__ import annotations

from collections.abc import Sequence

from booklet.net import Bond, Part
from booklet.styles.rings import Span, outward
from booklet.styles.shapes import Sketch, flap, glue, root_of


def flaps(sketch: Sketch, edges: Sequence[float], spans: Sequence[Span], depth: float, top: bool, first: int = 1) -> None:
    """Four flaps of one depth at the top or at the bottom of a ring, numbered from `first` by role.

    `edges`, `spans`: as `rings.ring` has them. An inner flap goes down between the long walls, whose inner faces stand half a caliper in.
    """
    slot = max(sketch.card.tuck_narrower, sketch.card.inner + 0.5)
    for wall in range(4):
        role, clear = ("outer-flap", 0.0) if wall % 2 else ("inner-flap", slot)
        root = outward(edges[wall], edges[wall + 1], spans[wall][top], 1.0 if top else -1.0)
        outline = flap(root, depth, set_in=(clear, clear))
        sketch.hinge(f"wall-{wall + 1}", f"{role}-{first + wall // 2}", role, outline, root_of(outline))


def flaps_glued(part: Part, first: int = 1) -> list[Bond]:
    """The bonds of one end: each outer flap on both inner ones."""
    numbers = (first, first + 1)
    pairs = [(i, o) for o in numbers for i in numbers]
    return [b for i, o in pairs for b in glue(part, f"inner-flap-{i}", f"outer-flap-{o}", ("back", "marked"), part.caliper)]

"""The order in which a hand scores and cuts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from booklet.plane import Line


@dataclass(frozen=True, slots=True)
class Cut:
    """One setting of the ruler on a template: the lines that are drawn along it, in the part's flat frame.

    `number`: from 1 within the template. `kind`: "score" (a crease), "half-cut" or "cut". `mm`: length of line drawn.
    """

    number: int
    part: str
    piece: str
    kind: Literal["score", "half-cut", "cut"]
    lines: tuple[Line, ...]
    mm: float
    where: Literal["fold", "inner", "outline"]

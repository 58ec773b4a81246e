"""The pieces laid out on sheets of card."""

from __future__ import annotations

from dataclasses import dataclass

from booklet.plane import Affine


@dataclass(frozen=True, slots=True)
class Placed:
    """One piece on one sheet (numbered from 1): `to_sheet` maps the part's flat frame to mm from the sheet's lower left corner."""

    sheet: int
    part: str
    piece: str
    to_sheet: Affine

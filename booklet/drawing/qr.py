"""A square code that leads a telephone to an address: its modules, and drawn with the pen. Millimetres.

ISO/IEC 18004: a quiet zone of four modules on each side. The encoder is that of reportlab; what it gives is read back in the tests.
"""

from __future__ import annotations

from functools import lru_cache

from booklet.drawing.pen import Pen
from booklet.plane import Affine, Ring

QUIET = 4
"""Modules that stay free on each side (ISO/IEC 18004)."""

LEAST_MODULE = 0.4
"""mm: a smaller one is lost on an office printer (common practice, no source)."""

_LEVEL_M = 0
"""The level of error correction that mends 15 % of the code, by its number in ISO/IEC 18004."""

Matrix = tuple[tuple[bool, ...], ...]


@lru_cache(maxsize=8)
def matrix(address: str) -> Matrix:
    """The modules of the code for an address in ASCII, row by row from the top, dark ones true, without the quiet zone."""
    from reportlab.graphics.barcode.qrencoder import QR8bitByte, QRCode

    code = QRCode(None, _LEVEL_M)
    code.addData(QR8bitByte(address.encode("ascii")))
    code.make()
    return tuple(tuple(bool(dark) for dark in row) for row in code.modules)


def least_side(modules: Matrix) -> float:
    """The side of the smallest square that the code with its quiet zone is printed on, mm."""
    return (len(modules) + 2 * QUIET) * LEAST_MODULE


@lru_cache(maxsize=8)
def _rings(modules: Matrix) -> tuple[Ring, ...]:
    """The dark modules as one area by the even-odd rule, so that no line shows between them; a module is 1 wide, y up from 0."""
    import shapely

    high = len(modules)
    squares = [shapely.box(x, high - y - 1, x + 1, high - y) for y, row in enumerate(modules) for x, dark in enumerate(row) if dark]
    joined = shapely.union_all(squares)
    polygons = joined.geoms if hasattr(joined, "geoms") else [joined]
    return tuple(tuple(ring.coords[:-1]) for one in polygons for ring in (one.exterior, *one.interiors))


def draw(pen: Pen, modules: Matrix, corner: tuple[float, float], side: float) -> None:
    """The code in a square of this side, its quiet zone counted, lower left corner at `corner`."""
    module = side / (len(modules) + 2 * QUIET)
    x, y = corner[0] + QUIET * module, corner[1] + QUIET * module
    with pen.placed(Affine(module, 0, 0, module, x, y)) as placed:
        placed.fill(_rings(modules), 0.0)

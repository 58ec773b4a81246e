"""Make the two faces of layouts/fonts from the whole Noto Sans.

    python .ci/fonts.py FOLDER

FOLDER holds NotoSans-Regular.ttf and NotoSans-Bold.ttf. What is kept is listed in layouts/fonts/unicodes.txt; one character
is drawn here, because Noto Sans keeps it in another family: the minus sign, which is the bar of the plus sign. The same source and
list give the same bytes.
"""

from __future__ import annotations

import sys
from pathlib import Path

from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.subset import Options, Subsetter, parse_unicodes
from fontTools.ttLib import TTFont

FONTS = Path(__file__).resolve().parent.parent / "layouts" / "fonts"
FACES = ("NotoSans-Regular.ttf", "NotoSans-Bold.ttf")
PLUS, MINUS = 0x002B, 0x2212

# Signatures of the whole font, and what places and swaps glyphs (kerning, ligatures): the PDF writer uses none of it.
UNUSED = ["DSIG", "GDEF", "GPOS", "GSUB"]


def wanted_characters() -> list[int]:
    """The code points of unicodes.txt, its comments left out."""
    lines = (FONTS / "unicodes.txt").read_text(encoding="utf-8").splitlines()
    return list(parse_unicodes(" ".join(line.split("#")[0] for line in lines)))


def add_minus(font: TTFont) -> None:
    """Draw the minus sign: as wide as the plus sign, with its horizontal bar."""
    plus = font.getBestCmap()[PLUS]
    outline, _, _ = font["glyf"][plus].getCoordinates(font["glyf"])
    left, right = min(x for x, _ in outline), max(x for x, _ in outline)
    ends = [y for x, y in outline if x in (left, right)]
    pen = TTGlyphPen(None)
    corners = [(left, min(ends)), (left, max(ends)), (right, max(ends)), (right, min(ends))]
    pen.moveTo(corners[0])
    for corner in corners[1:]:
        pen.lineTo(corner)
    pen.closePath()
    font.setGlyphOrder([*font.getGlyphOrder(), "minus"])
    font["glyf"]["minus"] = pen.glyph()
    font["hmtx"]["minus"] = (font["hmtx"][plus][0], left)
    for table in font["cmap"].tables:
        if table.isUnicode():
            table.cmap[MINUS] = "minus"


def make(source: Path, target: Path) -> None:
    """Write one face: fewer characters, no hinting (it serves coarse screens, not paper), all names and the licence kept."""
    font = TTFont(source, recalcTimestamp=False)
    if MINUS not in font.getBestCmap():
        add_minus(font)
    options = Options(hinting=False, layout_features=[], name_IDs=["*"], notdef_outline=True)
    options.drop_tables += UNUSED
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=wanted_characters())
    subsetter.subset(font)
    font.save(target)
    print(f"{target.name}: {len(font.getBestCmap())} characters, {target.stat().st_size} bytes")


if __name__ == "__main__":
    for face in FACES:
        make(Path(sys.argv[1]) / face, FONTS / face)

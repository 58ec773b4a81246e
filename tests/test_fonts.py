"""The shipped faces hold what a booklet needs to say, and stay small."""

from __future__ import annotations

import unicodedata
from pathlib import Path

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.subset import parse_unicodes
from fontTools.ttLib import TTFont

from booklet.data import layouts_folder

FACES = ("NotoSans-Regular.ttf", "NotoSans-Bold.ttf")
FIGURES = "0123456789"
SIGNS = "\u00d7\u00b0\u00b1\u2212\u2013\u2018\u2019\u201c\u201d\u2026\u20ac\u2044\u00a0\u2011\u2032\u2033"
FRACTIONS = "\u00bc\u00bd\u00be\u215b\u215c\u215d\u215e"
RAISED = "\u2070\u00b9\u00b2\u00b3\u2074\u2075\u2076\u2077\u2078\u2079"
LOWERED = "\u2080\u2081\u2082\u2083\u2084\u2085\u2086\u2087\u2088\u2089"


@pytest.fixture(scope="module", params=FACES)
def face(request: pytest.FixtureRequest) -> TTFont:
    return TTFont(folder() / request.param)


def folder() -> Path:
    return layouts_folder() / "fonts"


def lacking(face: TTFont, characters: str) -> list[str]:
    """The characters that the face has no glyph for; unassigned code points are not asked for."""
    held = face.getBestCmap()
    return [f"U+{ord(c):04X}" for c in characters if unicodedata.category(c) != "Cn" and ord(c) not in held]


def block(first: int, last: int) -> str:
    return "".join(chr(code) for code in range(first, last + 1))


def widths(face: TTFont, characters: str) -> set[int]:
    held = face.getBestCmap()
    return {face["hmtx"][held[ord(c)]][0] for c in characters}


def height(face: TTFont, character: str) -> tuple[float, float]:
    pen = BoundsPen(face.getGlyphSet())
    face.getGlyphSet()[face.getBestCmap()[ord(character)]].draw(pen)
    return pen.bounds[1], pen.bounds[3]


@pytest.mark.parametrize(
    "characters",
    [
        pytest.param(block(0x20, 0x7E) + block(0xA0, 0xFF), id="Latin-1"),
        pytest.param(block(0x100, 0x17F), id="Latin Extended-A"),
        pytest.param(block(0x386, 0x3CE), id="Greek"),
        pytest.param(block(0x400, 0x45F) + "\u0490\u0491", id="Cyrillic"),
        pytest.param(SIGNS + FRACTIONS, id="signs of a measure"),
        pytest.param(RAISED + LOWERED, id="raised and lowered figures"),
    ],
)
def test_every_character_has_a_glyph(face: TTFont, characters: str) -> None:
    assert lacking(face, characters) == []


def test_the_list_of_characters_is_true(face: TTFont) -> None:
    lines = (folder() / "unicodes.txt").read_text(encoding="utf-8").splitlines()
    listed = parse_unicodes(" ".join(line.split("#")[0] for line in lines))
    assert lacking(face, "".join(map(chr, listed))) == []
    assert set(face.getBestCmap()) <= set(listed)


def test_both_faces_hold_the_same_characters() -> None:
    regular, bold = (set(TTFont(folder() / name).getBestCmap()) for name in FACES)
    assert regular == bold


@pytest.mark.parametrize("figures", [FIGURES, RAISED, LOWERED])
def test_figures_are_equally_wide(face: TTFont, figures: str) -> None:
    assert len(widths(face, figures)) == 1


def test_the_minus_sign_lies_on_the_bar_of_the_plus_sign(face: TTFont) -> None:
    (low, high), (bottom, top) = height(face, "\u2212"), height(face, "+")
    assert (low + high) / 2 == pytest.approx((bottom + top) / 2, abs=2)
    assert high - low < (top - bottom) / 3
    assert widths(face, "\u2212") == widths(face, "+")


def test_outlines_are_truetype_and_may_be_embedded(face: TTFont) -> None:
    assert "glyf" in face and "CFF " not in face
    assert face["OS/2"].fsType == 0


@pytest.mark.parametrize("name", FACES)
def test_a_face_is_small(name: str) -> None:
    assert (folder() / name).stat().st_size < 100_000


def test_the_licence_lies_beside_the_faces(face: TTFont) -> None:
    licence = (folder() / "OFL.txt").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in licence
    assert str(face["name"].getDebugName(0)) in licence

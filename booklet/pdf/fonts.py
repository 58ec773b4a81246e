"""The two shipped faces: registered with reportlab, checked for every character that is drawn.

reportlab draws a missing glyph as an empty box without a word. These faces refuse it, by whatever way
the words came: a pen, a paragraph or a table.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from pathlib import Path
from typing import Any

from reportlab.lib.fonts import addMapping
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont
from reportlab.platypus.tables import CellStyle

from booklet.data import layouts_folder
from booklet.drawing.pen import MM_PER_POINT
from booklet.errors import BookletError, Fault, refuse

REGULAR = "Booklet"
BOLD = "Booklet-Bold"
FILES = {REGULAR: "NotoSans-Regular.ttf", BOLD: "NotoSans-Bold.ttf"}

# Where no face is named reportlab takes one of the reader's, which is not embedded. Here it takes ours.
ParagraphStyle.defaults |= {"fontName": REGULAR, "bulletFontName": REGULAR}
CellStyle.fontname = REGULAR

NO_BREAK_SPACE = "\u00a0"


class CheckedFont(TTFont):
    """A TrueType face that normalises to NFC and refuses characters that it has no glyph for."""

    def stringWidth(self, text: Any, size: float, encoding: str = "utf8") -> float:
        """Width in points."""
        return float(super().stringWidth(composed(text), size, encoding))

    def splitString(self, text: Any, doc: Any, encoding: str = "utf-8") -> Any:
        """Called by reportlab for all words that go into a page. Raises `BookletError` for a missing glyph."""
        words = composed(text)
        if lacking := missing(words, self.fontName):
            raise BookletError([Fault("text", no_glyph(lacking, words))])
        return super().splitString(words, doc, encoding)


def composed(text: str | bytes) -> str:
    """The text in Unicode form NFC, as the faces hold accented letters: one character for each."""
    if isinstance(text, str) and text.isascii():
        return text
    return unicodedata.normalize("NFC", text.decode("utf-8") if isinstance(text, bytes) else text)


@lru_cache(maxsize=1)
def register() -> None:
    """Make both faces known to reportlab, once in a process. Raises `BookletError` when a file cannot be read."""
    for name, file in FILES.items():
        pdfmetrics.registerFont(_loaded(name, layouts_folder() / "fonts" / file))
    for bold in (0, 1):
        for italic in (1, 0):  # the upright last: reportlab looks a face's manner up by the last entry
            addMapping(REGULAR, bold, italic, BOLD if bold else REGULAR)


def _loaded(name: str, path: Path) -> CheckedFont:
    try:
        return CheckedFont(name, str(path))
    except (OSError, TTFError) as error:
        raise refuse(path.name, "the font of the booklet cannot be read; install the program again") from error


def face(bold: bool = False) -> str:
    """The name under which reportlab knows the face."""
    register()
    return BOLD if bold else REGULAR


def width(words: str, size_pt: float, bold: bool = False) -> float:
    """The width of a line of words in mm."""
    return float(pdfmetrics.stringWidth(words, face(bold), size_pt)) * MM_PER_POINT


def missing(words: str, name: str = REGULAR) -> str:
    """The characters, each once and in order, that the face has no glyph for."""
    register()
    known = pdfmetrics.getFont(name).face.charToGlyph
    if known.keys() >= set(map(ord, words)):
        return ""
    return "".join(dict.fromkeys(c for c in composed(words) if ord(c) not in known and c != NO_BREAK_SPACE))


def no_glyph(lacking: str, words: str) -> str:
    """What is said of words with characters that the face has no glyph for."""
    told = ", ".join(f"{c!r} (U+{ord(c):04X})" for c in lacking[:8])
    has = f"the booklet's font has no glyph for {told} in {words[:60]!r}"
    return f"{has}; it covers Latin, Greek and Cyrillic: write the text with those letters"


def paragraph_style(name: str = "body", size_pt: float = 10, leading_pt: float = 14, bold: bool = False, **more: Any) -> ParagraphStyle:
    """A platypus style that uses the shipped faces throughout; `more` as `ParagraphStyle` takes it (points)."""
    return ParagraphStyle(name, fontName=face(bold), fontSize=size_pt, leading=leading_pt, bulletFontName=face(), **more)

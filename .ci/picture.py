"""python .ci/picture.py: make samples/mug.png, the README's picture, from the booklet of samples/mug.toml."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pypdfium2
from PIL import Image

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))
DPI, GAP, GREY = 54, 14, 225


def main() -> None:
    """Make the picture."""
    from booklet.make import booklet
    from booklet.spec import load
    from booklet.styles import shelf

    made = booklet(load(ROOT / "samples" / "mug.toml", {name: style.OPTIONS for name, style in shelf().items()}))
    file = pypdfium2.PdfDocument(io.BytesIO(made.data))
    text = [page.get_textpage().get_text_range() for page in file]
    steps = next(i for i, words in enumerate(text) if "Steps" in words.splitlines()[:3])
    template = next(i for i, words in enumerate(text) if "A1" in words and "print at 100 %" in words)
    pages = [file[i].render(scale=4 * DPI / 72, grayscale=True).to_pil().reduce(4) for i in (0, template, steps, steps + 1)]
    wide, high = pages[0].size
    sheet = Image.new("L", (len(pages) * (wide + GAP) + GAP, high + 2 * GAP), GREY)
    for n, page in enumerate(pages):
        sheet.paste(page, (GAP + n * (wide + GAP), GAP))
    sheet.quantize(16).save(ROOT / "samples" / "mug.png", optimize=True)


if __name__ == "__main__":
    main()

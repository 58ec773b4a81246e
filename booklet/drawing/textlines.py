"""Words in lines that are no wider than their place, whatever sets them: a pen in mm, a table in points."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from booklet.drawing.pen import Pen

Width = Callable[[str], float]
"""How wide words are, in the unit of the place."""


def set_by(pen: Pen, size_pt: float, bold: bool = False) -> Width:
    """The width in mm of words that a pen sets in a size."""
    return lambda words: pen.width(words, size_pt, bold)


def wrapped(words: str, wide: float, width: Width, parted: bool = False) -> list[str]:
    """Words in lines of at most a width. `parted`: a word that is wider by itself is parted anywhere; else it stands out.

    >>> wrapped("a tray for brushes", 6, len)
    ['a tray', 'for', 'brushes']
    >>> wrapped("a tray for brushes", 6, len, parted=True)
    ['a tray', 'for', 'brushe', 's']
    """
    if width(words) <= wide:
        return [words]
    lines = [""]
    for word in words.split(" "):
        for part in _parts(word, wide, width) if parted else (word,):
            longer = f"{lines[-1]} {part}".strip()
            if lines[-1] and width(longer) > wide:
                lines.append(part)
            else:
                lines[-1] = longer
    return lines


def _parts(word: str, wide: float, width: Width) -> Iterator[str]:
    """A word in as many parts as it needs, each a letter at least."""
    while len(word) > 1 and width(word) > wide:
        most = next(n for n in range(len(word) - 1, 0, -1) if n == 1 or width(word[:n]) <= wide)
        yield word[:most]
        word = word[most:]
    yield word

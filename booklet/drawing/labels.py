"""The words on drawings, by the keys of the words file, with their English for who gives none."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from booklet.net import Panel, Part, Piece

LABELS: Final[Mapping[str, str]] = {
    "actual_size": "print at 100 %",
    "legend": "Lines",
    "cut": "cut",
    "valley": "valley fold",
    "mountain": "mountain fold",
    "glue": "glue",
    "glue_here": "glue, this face",
    "glue_back": "glue, other face",
    "mark": "registration mark",
    "seam": "where pages join",
    "grain": "grain",
    "this_side_inside": "This side up: inside of the box",
    "this_side_outside": "This side up: outside of the box",
    "cut_many": "{piece}: cut {count}",
    "neighbour": "joins {name}",
    "tick": "50 mm",
    "datum": "datum",
    "sheet": "sheet {n}",
    "pattern": "layout {n}, {times} times",
    "pattern_once": "layout {n}, once",
    "page_of": "",
    "decimal": ".",
}
"""A key `part/panel` holds the name of a panel, `role` that of panels of one role, `piece/name` that of a piece; without them their own
names serve. `decimal`: the sign before decimals."""


def say(words: Mapping[str, str], key: str, **given: str) -> str:
    """A label, with its words in braces filled in. Words of a layout raise their own error for one that they lack."""
    try:
        text = words[key]
    except KeyError:
        text = LABELS.get(key, key)
    for name, value in given.items():
        text = text.replace("{" + name + "}", value)
    return text


def marked(text: str, decimal: str) -> str:
    """Figures that are told with a point, with a language's own sign before decimals.

    >>> marked("0.30 mm", ","), marked("sheet 2.", ",")
    ('0,30 mm', 'sheet 2.')
    """
    return text if decimal == "." else re.sub(r"(?<=\d)\.(?=\d)", decimal, text)


def piece_name(words: Mapping[str, str], piece: Piece) -> str:
    """What a piece is called; without words its own name serves."""
    return words.get(f"piece/{piece.name}", piece.name)


def panel_name(words: Mapping[str, str], part: Part, panel: Panel) -> str:
    """What a panel is called: wall-1 is "wall 1" where the words do not say otherwise."""
    return words.get(f"{part.name}/{panel.name}", panel.name.replace("-", " "))


def common_name(words: Mapping[str, str], part: Part, piece: Piece, panel: Panel, copies: int = 0) -> str:
    """What a panel is called on a template that serves `copies` pieces, of other parts too: by its number only where it is in one."""
    if max(copies, sum(one.template == piece.template for one in part.pieces)) == 1:
        return panel_name(words, part, panel)
    return words.get(panel.role, panel.role.replace("-", " "))


def in_two(text: str) -> tuple[str, ...]:
    """A name in two lines as even as can be, a number with the word before it; whole where it has one word.

    >>> in_two("bottom tuck flap"), in_two("corner flap 1"), in_two("wall 1")
    (('bottom', 'tuck flap'), ('corner', 'flap 1'), ('wall 1',))
    """
    words = text.split(" ")
    cuts = [(" ".join(words[:k]), " ".join(words[k:])) for k in range(1, len(words)) if not words[k].isdigit()]
    return min(cuts, key=lambda lines: max(map(len, lines)), default=(text,))

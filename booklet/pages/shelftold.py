"""The facts of a style in words, for the command line and for the picture sheet. Light: the command line reads it."""

from __future__ import annotations

from functools import lru_cache
from types import MappingProxyType
from typing import Any

from booklet.data import layouts_folder
from booklet.grid import Units
from booklet.lengths import read_off, tell
from booklet.net import Item
from booklet.pages.words import Words, merged
from booklet.shelf.facts import Shown, Unshown

_FILE, _TABLE = "words.en.toml", "shelf"


@lru_cache(maxsize=1)
def shelf_words() -> Words:
    """The words of the sheets, of which [shelf] is used here. Raises `BookletError` for a file that cannot be read."""
    return Words(MappingProxyType(merged(_FILE, (layouts_folder() / "sheets",))), _FILE)


def said(key: str, **given: str) -> str:
    """A phrase of [shelf] with its words filled in."""
    words = shelf_words()
    return words.filled(words(_TABLE, key), f"{_TABLE}.{key}", **given)


def facts(shown: Shown, units: Units) -> str:
    """Pieces, glue, card and whether it closes: "2 pieces, glued, closes, card 0.15 to 1 mm"."""
    pieces = said("piece") if shown.pieces == 1 else said("pieces", n=str(shown.pieces))
    glue, closed = said("glue" if shown.glue else "no_glue"), said("closed" if shown.net.closed else "open")
    least, most = (tell(t, units, fine=True) for t in shown.card)
    return ", ".join((pieces, glue, closed, said("card", least=least.rpartition(" ")[0], most=most)))


def suits(shown: Shown, words: Words) -> str:
    """What it is good for, as a sentence. Raises `BookletError` that names the word that is missing."""
    return said("suits", suits=words.listed(words("suits", key) for key in shown.suits))


def size(item: Item, units: Units) -> str:
    """The thing that a box is drawn for."""
    figures = [read_off(mm, units).rpartition(" ")[0] for mm in (item.length, item.width)]
    return said("round" if item.shape == "round" else "size", length=figures[0], width=figures[1], height=read_off(item.height, units))


def as_json(found: Shown | Unshown) -> dict[str, Any]:
    """The facts as `booklet styles --json` has them: sizes in mm, `suits` by their keys. A style that cannot be shown says why."""
    if isinstance(found, Unshown):
        return {
            "glue": None,
            "pieces": None,
            "parts": None,
            "suits": None,
            "card": None,
            "interior": None,
            "closed": None,
            "why": found.why,
        }
    least, most = found.card
    return {
        "glue": found.glue,
        "pieces": found.pieces,
        "parts": found.parts,
        "suits": list(found.suits),
        "card": {"least": least, "most": most},
        "interior": found.net.interior,
        "closed": found.net.closed,
    }

"""How a layout looks: its settings from layout.toml as frozen records. Lengths in mm, type in points."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal

from booklet.errors import refuse
from booklet.pages import ownlayout
from booklet.pages.words import HOME, folders, merged
from booklet.pdf import paging
from booklet.pdf.typeset import Type

FILE = "layout.toml"

PAGES = ("paper", "half", "folded", "net")


MAIN = "main"
"""The file that a layout always makes: it has the name that the maker gives, the others that with their own behind it."""


@dataclass(frozen=True, slots=True)
class Section:
    """One section: the text `file`.

    `start`: "page" on a new page, "best" on one where that is the better way, "on" only where less than `room` mm are left.
    `loose`: it may change places with loose ones beside it where pages are better filled so.
    `into`: the file that it stands in. `back`: it stands on the last page of a booklet that is folded.
    """

    file: str
    start: paging.Start = "on"
    room: float = 0.0
    into: str = MAIN
    loose: bool = False
    back: bool = False


@dataclass(frozen=True, slots=True)
class Document:
    """One of the files that a layout makes.

    `page`: "paper", the printer's page; "half", half of it; "folded", halves laid so that the printed leaves fold to a booklet;
    "net", one page with the net at full size for a print shop, which holds no sections.
    `sides`: how many sides of a leaf are printed on. `like`: the file whose sections it holds too, such as a booklet to read on a
    screen. `supplied`: it is made only where the card comes so, "sheets" or "pre-cut"; else always.
    `html`: whether it stands in the main page of the HTML edition, "own" where it is a page of its own.
    """

    name: str = MAIN
    page: str = "paper"
    sides: int = 1
    like: str = ""
    supplied: str = ""
    html: bool | Literal["own"] = True


@dataclass(frozen=True, slots=True)
class Settings:
    """All settings of a layout. `heights` of drawings by their kind; `across`: how many of a kind stand side by side."""

    frame: tuple[float, float]
    least_margin: float
    gutter: float
    least_column: float
    type: Type
    steps: tuple[int, int]
    steps_least: float
    steps_gutter: float
    wordless: tuple[int, int]
    wordless_number: float
    heights: Mapping[str, float]
    across: Mapping[str, int]
    sections: tuple[Section, ...]
    documents: tuple[Document, ...] = (Document(),)

    def of(self, document: str) -> tuple[Section, ...]:
        """The sections of a file."""
        found = next((one.like for one in self.documents if one.name == document), "") or document
        return tuple(section for section in self.sections if section.into == found)

    def told(self, supplied: str) -> tuple[tuple[Document, ...], ...]:
        """The files that the HTML edition holds, page by page, the main one first; none whose sections stand in another already."""
        found = [one for one in self.documents if self.of(one.name) and one.supplied in ("", supplied) and one.html and not one.like]
        main = sorted((one for one in found if one.html is True), key=lambda one: one.name != MAIN)
        return (tuple(main), *((one,) for one in found if one.html == "own"))

    def folds(self, document: Document) -> bool:
        """Whether a file is a booklet that folds, or holds the pages of one."""
        return "folded" in (document.page, *(one.page for one in self.documents if one.name == document.like))

    def rect(self, paper: tuple[float, float], margin: float) -> tuple[float, float, float, float]:
        """The place for words on a page of this size: the frame, centred, made smaller where the page is small."""
        keep = 2 * max(margin, self.least_margin)
        wide, high = (min(f, p - keep) for f, p in zip(self.frame, paper, strict=True))
        x, y = (paper[0] - wide) / 2, (paper[1] - high) / 2
        return x, y, x + wide, y + high


@lru_cache(maxsize=8)
def settings(layout: str = HOME, own: Path | None = None) -> Settings:
    """The settings of a layout. Raises `BookletError` for a file that cannot be read, or a value that is not what it should be."""
    if own:
        ownlayout.check(own, layout, Section, Document)
    data = merged(FILE, folders(layout, own))
    try:
        return _whole_pages(_settings(data))
    except (KeyError, TypeError, ValueError) as error:
        told = f"lacks {error}" if isinstance(error, KeyError) else f"has a value that does not fit ({error})"
        raise refuse(FILE, f"{told}; compare it with the one of the shipped layout") from error


def _settings(data: Mapping[str, Any]) -> Settings:
    frame, columns, steps, drawings = data["frame"], data["columns"], data["steps"], data["drawings"]
    return Settings(
        frame=(_positive(frame["width"]), _positive(frame["height"])),
        least_margin=_positive(frame["least_margin"]),
        gutter=_positive(columns["gutter"]),
        least_column=_positive(columns["least"]),
        type=_type(data["type"]),
        steps=(int(_positive(steps["columns"])), int(_positive(steps["rows"]))),
        steps_least=_positive(steps.get("least", columns["least"])),
        steps_gutter=_positive(steps["gutter"]),
        wordless=(int(_positive(steps["wordless_columns"])), int(_positive(steps["wordless_rows"]))),
        wordless_number=_positive(steps["wordless_number"]),
        heights={kind: _positive(value) for kind, value in drawings["height"].items()},
        across={kind: int(_positive(value)) for kind, value in drawings["across"].items()},
        sections=_sections(data),
        documents=_documents(data.get("files", {})),
    )


def _sections(data: Mapping[str, Any]) -> tuple[Section, ...]:
    """The sections in their order, each into a file that there is."""
    found, known = tuple(Section(**section) for section in data["sections"]), {MAIN, *data.get("files", {})}
    if odd := next((section.start for section in found if section.start not in paging.STARTS), None):
        raise ValueError(f"a section starts {odd!r}; it can be {', '.join(paging.STARTS)}")
    if strange := sorted({section.into for section in found} - known):
        raise ValueError(f"a section goes into the file {strange[0]!r}, which [files] has not")
    return found


def _documents(table: Mapping[str, Any]) -> tuple[Document, ...]:
    """The files in their order, the main file first where it is not among them."""
    named = table if MAIN in table else {MAIN: {}, **table}
    if strange := next((name for name in named if not re.fullmatch(r"[a-z][a-z0-9-]*", name)), None):
        raise ValueError(f"{strange!r} is no name for a file: use small letters, figures and hyphens")
    found = tuple(Document(name=name, **how) for name, how in named.items())
    for one in found:
        if one.page not in PAGES or one.sides not in (1, 2):
            raise ValueError(f"the file {one.name!r} has a page that is none of {', '.join(PAGES)}, or sides other than 1 and 2")
        if one.page == "folded" and one.sides != 2:
            raise ValueError(f"the file {one.name!r} folds to a booklet, which is printed on both sides: write sides = 2")
        if one.like and (one.like not in named or named[one.like].get("like")):
            raise ValueError(f"the file {one.name!r} is to be like {one.like!r}, which holds no sections of its own")
        if one.supplied not in ("", "sheets", "pre-cut"):
            raise ValueError(f"the file {one.name!r} is for card that is supplied {one.supplied!r}; write sheets or pre-cut")
    return found


def _whole_pages(settings: Settings) -> Settings:
    """The settings, if templates stand on whole pages only: they are printed at their true size."""
    for one in settings.documents:
        if one.page != "paper" and any(section.file == "templates" for section in settings.of(one.name)):
            raise ValueError(f'templates are true to size and need whole pages: put them into a file with page = "paper", not {one.name!r}')
    return settings


def _type(table: Mapping[str, Any]) -> Type:
    known = {field.name for field in fields(Type)}
    if strange := sorted(set(table) - known):
        raise ValueError(f"no such type: {', '.join(strange)}")
    read: dict[str, Any] = {key: tuple(map(_positive, v)) if isinstance(v, list) else _positive(v) for key, v in table.items()}
    return Type(**read)


def _positive(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value < 5000:
        raise ValueError(f"{value!r} is not a figure above zero")
    return float(value)

"""The booklet: sections in the order of the layout, template pages among them, set once and numbered at the end.

The pages are made in one run; what needs the number of pages (contents, heads and feet, template pages) is drawn on
the finished pages after it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from booklet import on_card
from booklet.drawing import cardpage, template
from booklet.drawing.pen import STROKES, Pen
from booklet.pages import markdown
from booklet.pages.facts import facts_of
from booklet.pages.more import More
from booklet.pages.pictures import LINE, Pictures
from booklet.pages.records import Facts
from booklet.pages.sentences import labels
from booklet.pages.settings import MAIN, Document, Section, Settings, settings
from booklet.pages.texts import Texts
from booklet.pages.words import Words, folders, words
from booklet.pdf import blocks, flow
from booklet.pdf.attach import Attachment
from booklet.pdf.canvas import PdfFile
from booklet.pdf.typeset import Typesetter
from booklet.plan import Plan

COVER, TEMPLATES, PRINT_CHECK, STEPS = "cover", "templates", "print-check", "steps"
MIME = {".json": "application/json", ".toml": "application/toml"}
_TITLE = re.compile(r"^# (.+)$", re.MULTILINE)

Attach = Callable[[Mapping[int, int]], Mapping[str, bytes]]
"""Gives the files to carry, by name, for the page of the file on which each template leaf stands."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A section: its file in the layout, title, first page from 1, and the key of its bookmark."""

    file: str
    title: str
    page: int
    key: str


@dataclass(frozen=True)
class Book:
    """A finished file. `page_of`: template leaf to its page in the file, from 1. `entries`: sections in order.

    `paper`: the size of its other pages in mm; `sheets`: leaves of paper that it prints on.
    """

    data: bytes
    pages: int
    page_of: Mapping[int, int]
    entries: tuple[Entry, ...]
    paper: tuple[float, float] = (210.0, 297.0)
    sheets: int = 0

    @property
    def print_check(self) -> int:
        """The page with the 100 mm bars, from 1; 0 when the layout has none."""
        return next((entry.page for entry in self.entries if entry.file == PRINT_CHECK), 0)


def write(plan: Plan, attach: Attach) -> Book:
    """Set the main file of a plan. Raises `BookletError` for a layout that cannot be set."""
    return _Maker(plan, _settings(plan).documents[0]).made(attach)


def written(plan: Plan, attach: Attach) -> dict[str, Book]:
    """All files of a plan by their names, the main one first; what is carried is in that and in those with templates."""
    found = _settings(plan)
    made = {one.name: _Maker(plan, one).made(attach) for one in found.documents if found.of(one.name)}
    return {name: made[name] for name in sorted(made, key=lambda name: name != MAIN)}


def _settings(plan: Plan) -> Settings:
    return settings(plan.spec.booklet.shipped, plan.spec.booklet.folder)


class _Maker:
    """One file in the making."""

    def __init__(self, plan: Plan, document: Document):
        booklet = plan.spec.booklet
        shipped = booklet.shipped
        self.plan, self.document = plan, document
        self.words: Words = words(booklet.language, shipped, booklet.folder)
        self.settings: Settings = _settings(plan)
        self.sections = [s for s in self.settings.of(document.name) if s.file != TEMPLATES or plan.leaves]
        self.paper = self._paper()
        self.facts: Facts = facts_of(plan, self.words)
        self.more = More(plan, self.words)
        self.file = PdfFile(plan.spec.title, subject=self.facts.style.name, language=booklet.language)
        self.entries: list[Entry] = []
        self.page_of: dict[int, int] = {}
        self.contents_at: tuple[int, float, float, float] | None = None
        self.rect = self.settings.rect(self.paper, plan.spec.page.margin)
        self.make = Typesetter(self.settings.type)
        given = {name: getattr(self.facts, name) for name in Facts.__slots__}
        self.texts = Texts(
            folders(shipped, booklet.folder), booklet.language, {**given, "labels": self.labels, **self.more.given, "say": self.words.said}
        )

    def _paper(self) -> tuple[float, float]:
        """The page in mm: the printer's, or half of it."""
        wide, high = self.plan.spec.page.paper
        return (wide, high) if self.document.page == "paper" else (max(wide, high) / 2, min(wide, high))

    @cached_property
    def labels(self) -> dict[str, str]:
        return labels(self.plan, self.words)

    def made(self, attach: Attach) -> Book:
        """All sections, then what is drawn last, then the bytes."""
        run: list[Section] = []
        for section in self.sections:
            if section.file == TEMPLATES:
                self._flow(run)
                self._template_pages()
                run = []
            else:
                run.append(section)
        self._flow(run)
        self._last()
        carried = attach(self.page_of) if self.page_of or self.document.name == MAIN else {}
        for name, data in carried.items():
            self.file.attach(Attachment(name, data, MIME.get(name[name.rfind(".") :], "application/octet-stream")))
        pages = self.file.pages
        sheets = math.ceil(pages / self.document.sides)
        return Book(self.file.finish(), pages, dict(self.page_of), tuple(self.entries), self.paper, sheets)

    def _flow(self, sections: list[Section]) -> None:
        """Words and pictures on pages with a head and a foot."""
        story = [block for n, section in enumerate(sections) for block in self._section(section, first=n == 0)]
        if story:
            flow.flow(self.file, story, self.paper, [self.rect])

    def _section(self, section: Section, first: bool) -> list[Any]:
        text = self.sources[section.file]
        made = markdown.blocks_of(text, self._setting(section.file))
        if not made:
            return []
        self._fill_page(made)
        start = [] if first else self._start(section, made)
        title = self._title(section.file)
        return [*start, *([blocks.Mark(self._noted(section.file, title))] if title else []), *made]

    def _start(self, section: Section, made: list[Any]) -> list[Any]:
        """What stands before a section so that it begins on a new page where it has to."""
        if section.start == "page":
            return [blocks.page_break()]
        room = section.room
        if section.start == "whole":  # the space over its heading, which is none at the top of a page, counts too
            room = flow.height([blocks.Gap(1.0), *made], self.rect[2] - self.rect[0])
        return [blocks.room(room)] if room else []

    @cached_property
    def sources(self) -> dict[str, str]:
        """The Markdown of every section."""
        return {section.file: self.texts.markdown(section.file) for section in self.sections if section.file != TEMPLATES}

    def _title(self, file: str) -> str:
        """A section's title: its first heading, else that of the words file; a text with neither goes on under the one before."""
        if file == COVER:
            return self.plan.spec.title
        found = _TITLE.search(self.sources.get(file, ""))
        return _unescaped(found[1]) if found else self.words.get("titles", file) or ""

    @property
    def _listed(self) -> int:
        """How many sections the contents list."""
        files = [section.file for section in self.sections]
        return sum(file == TEMPLATES or (file != COVER and bool(self._title(file))) for file in files)

    def _setting(self, file: str) -> markdown.Setting:
        width, height = self.rect[2] - self.rect[0], self.rect[3] - self.rect[1]
        pictures = Pictures(
            self.plan,
            self.facts,
            self.settings,
            self.make,
            self.labels,
            self._listed,
            self._late,
            height,
            self.texts.folders,
            self.words,
            self.more,
        )
        s = self.settings
        return markdown.Setting(self.make, pictures.blocks, self.words.table("signals"), width, s.gutter, s.least_column, f"{file}.md")

    def _fill_page(self, made: list[Any]) -> None:
        for n, block in enumerate(made):
            if isinstance(block, blocks.Rest):
                block.below = flow.height(made[n + 1 :], self.rect[2] - self.rect[0])

    def _noted(self, file: str, title: str) -> Callable[[], None]:
        def note() -> None:
            key = self.file.bookmark(title)
            self.entries.append(Entry(file, title, self.file.pages, key))

        return note

    def _late(self, width: float, height: float) -> Any:
        def seen(x: float, y: float) -> None:
            self.contents_at = (self.file.pages - 1, x, y, width)

        return blocks.Late(width, height, seen)

    def _template_pages(self) -> None:
        """Empty pages for now: a leaf each."""
        for leaf in range(1, self.plan.leaves + 1):
            paper = next(tile.paper for tile in self.plan.tiles if tile.leaf == leaf)
            self.file.page(paper)
            self.page_of[leaf] = self.file.pages
            if leaf == 1:
                self._noted(TEMPLATES, self.labels["sheet_page" if on_card.asked(self.plan.spec) else "template_page"])()

    def _last(self) -> None:
        """Contents, template pages, heads and feet, now that every page has its number."""
        self.file.finish_page()
        self.file.label_pages([(0, "D", "", 1)])
        if self.contents_at:
            self._contents(*self.contents_at)
        leaf_on, silent = {page: leaf for leaf, page in self.page_of.items()}, self._silent()
        for number in range(1, self.file.pages + 1):
            with self.file.again(number - 1) as pen:
                if number in leaf_on:
                    self._template_page(pen, leaf_on[number], number)
                elif number in silent:
                    self._foot(pen, f"{number} / {self.file.pages}")
                elif number > 1:
                    self._head_and_foot(pen, number)

    def _page_words(self, number: int) -> str:
        return self.words.filled(self.labels["page_of"], "labels.page_of", page=str(number), pages=str(self.file.pages))

    def _template_page(self, pen: Pen, leaf: int, number: int) -> None:
        said = {**self.labels, "page_of": self._page_words(number)}
        draw = cardpage.draw_leaf if on_card.asked(self.plan.spec) else template.draw_leaf
        draw(pen, self.plan, leaf, said)

    def _head_and_foot(self, pen: Pen, number: int) -> None:
        """The title and the section above, the page's number below, each clear of the frame."""
        x0, _, x1, y1 = self.rect
        size = self.settings.type.small[0]
        pen.text((x0, y1 + 4.5), self.plan.spec.title, size)
        pen.text((x1, y1 + 4.5), self._section_on(number), size, "end")
        pen.path([(x0, y1 + 3.0), (x1, y1 + 3.0)], STROKES["dimension"])
        self._foot(pen, self._page_words(number))

    def _foot(self, pen: Pen, said: str) -> None:
        pen.text((self.rect[2], self.rect[1] - 6.5), said, self.settings.type.small[0], "end")

    def _silent(self) -> range:
        """The pages of steps that are told without words: nothing else on them is in words either."""
        at = next((n for n, entry in enumerate(self.entries) if entry.file == STEPS), None)
        if at is None or not self.facts.wordless:
            return range(0)
        after = self.entries[at + 1].page if at + 1 < len(self.entries) else self.file.pages + 1
        return range(self.entries[at].page, after)

    def _section_on(self, number: int) -> str:
        """The first section that begins on the page, else the one that goes on."""
        begun = [entry.title for entry in self.entries if entry.page == number]
        before = [entry.title for entry in self.entries if entry.page < number]
        return begun[0] if begun else before[-1] if before else ""

    def _contents(self, index: int, x: float, y: float, width: float) -> None:
        """Titles and page numbers in two columns, thin rules between, each a link."""
        entries = [entry for entry in self.entries if entry.file != COVER]
        rows = (len(entries) + 1) // 2
        gutter = self.settings.gutter
        column = (width - gutter) / 2
        size = self.settings.type.text[0]
        with self.file.again(index) as pen:
            for n, entry in enumerate(entries):
                left, foot = x + (n // rows) * (column + gutter), y + (rows - 1 - n % rows) * LINE
                pen.text((left, foot + 1.5), entry.title, size)
                pen.text((left + column, foot + 1.5), str(entry.page), size, "end")
                pen.path([(left, foot), (left + column, foot)], STROKES["dimension"])
                blocks.link(self.file.canvas, (left, foot, left + column, foot + LINE), entry.key)


def _unescaped(text: str) -> str:
    """A title as it is read, without the strokes that keep Markdown off it."""
    return re.sub(r"\\(.)", r"\1", text)

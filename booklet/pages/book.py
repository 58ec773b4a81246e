"""The booklet: sections in the order of the layout, template pages among them, set once and numbered at the end.

The pages are made in one run; what needs the number of pages (contents, heads and feet, template pages) is drawn on
the finished pages after it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from booklet import on_card
from booklet.drawing import cardpage, template
from booklet.drawing.pen import Pen
from booklet.errors import Kept, Refused, refuse
from booklet.pages import filling, markdown, running, stitched
from booklet.pages.pictures import Pictures
from booklet.pages.records import Facts
from booklet.pages.settings import MAIN, Document, Section, Settings, settings
from booklet.pages.subject import Subject
from booklet.pages.texts import Texts
from booklet.pages.words import Words, folders, words
from booklet.pdf import blocks, flow, imposing, paging
from booklet.pdf.attach import Attachment
from booklet.pdf.canvas import PdfFile
from booklet.pdf.typeset import Typesetter
from booklet.plan import Plan

COVER, TEMPLATES, PRINT_CHECK, STEPS, NOTES = "cover", "templates", "print-check", "steps", "notes"
NET = "net"
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

    `paper`: the size of its other pages in mm; `sheets`: leaves of paper that it prints on; `net`: the page with the net for a print
    shop, from 1, or 0.
    """

    data: bytes
    pages: int
    page_of: Mapping[int, int]
    entries: tuple[Entry, ...]
    paper: tuple[float, float] = (210.0, 297.0)
    sheets: int = 0
    net: int = 0

    @property
    def print_check(self) -> int:
        """The page with the 100 mm bars, from 1; 0 when the layout has none."""
        return next((entry.page for entry in self.entries if entry.file == PRINT_CHECK), 0)


NO_BOOKS: Mapping[str, Book] = {}


def write(plan: Plan, attach: Attach) -> Book:
    """Set the main file of a plan. Raises `BookletError` for a layout that cannot be set."""
    return Maker(plan, next(one for one in _settings(plan).documents if one.name == MAIN)).made(attach)


def written(plan: Plan, attach: Attach) -> dict[str, Book]:
    """All files of a plan by their names, the main one first; what is carried is in that and in those with templates."""
    found, made, faults, subject = _settings(plan), dict[str, Book](), Kept(), None
    for one in found.documents:
        if one.page == NET and one.supplied in ("", plan.spec.supplied):
            made[one.name] = for_print_shop(plan)
        elif found.of(one.name) and one.supplied in ("", plan.spec.supplied):
            with faults.kept():
                subject = subject or Subject(plan)
                made[one.name] = Maker(plan, one, made, subject).made(attach)
    faults.tell()
    return {name: made[name] for name in sorted(made, key=lambda name: name != MAIN)}


def for_print_shop(plan: Plan) -> Book:
    """The file of a page "net"."""
    booklet = plan.spec.booklet
    from booklet.pages import printshop  # brings the reader of SVG, which few files need

    data, size = printshop.made(plan, words(booklet.language, booklet.shipped, booklet.folder))
    return Book(data, 1, {}, (), size, net=1)


def _settings(plan: Plan) -> Settings:
    return settings(plan.spec.booklet.shipped, plan.spec.booklet.folder)


def _sizes(books: Mapping[str, Book]) -> dict[str, dict[str, int]]:
    """What the texts of a file may tell of the files made before it: pages, and leaves of paper that they print on."""
    return {name: {"pages": one.pages, "leaves": one.sheets} for name, one in books.items()}


class Maker:
    """One file in the making. `before`: the files made before it; `subject`: what all files of the plan tell of it."""

    def __init__(
        self,
        plan: Plan,
        document: Document = Document(),  # noqa: B008 - frozen
        before: Mapping[str, Book] = NO_BOOKS,
        subject: Subject | None = None,
    ):
        booklet, subject = plan.spec.booklet, subject or Subject(plan)
        self.plan, self.document, self._subject = plan, document, subject
        self.words: Words = subject.words
        self.facts: Facts = subject.facts
        self.more, self.labels = subject.more, subject.labels
        self.settings: Settings = _settings(plan)
        self.sections = [s for s in self.settings.of(document.name) if s.file != TEMPLATES or plan.leaves]
        self.paper = self._paper()
        self.file = PdfFile(plan.spec.title, subject=self.facts.style.name, language=booklet.language, tagged=document.page != "folded")
        self.entries: list[Entry] = []
        self.page_of: dict[int, int] = {}
        self.shown: dict[int, Any] = {}
        self.faults = Kept()
        self.contents_at: tuple[int, float, float, float] | None = None
        self.rect = self.settings.rect(self.paper, plan.spec.page.margin)
        self.folds = self.settings.folds(document)
        if self.folds:
            stitched.check_room(self.rect)
        self.make = Typesetter(self.settings.type)
        given = {name: getattr(self.facts, name) for name in Facts.__slots__}
        more = {"labels": self.labels, **self.more.given, "files": _sizes(before), "say": self.words.with_forms.said}
        self.texts = Texts(folders(booklet.shipped, booklet.folder), booklet.language, {**given, **more})

    def _paper(self) -> tuple[float, float]:
        """The page in mm: the printer's, or half of it."""
        wide, high = self.plan.spec.page.paper
        return (wide, high) if self.document.page == "paper" else (max(wide, high) / 2, min(wide, high))

    def made(self, attach: Attach) -> Book:
        """All sections, then what is drawn last, then the bytes."""
        run: list[Section] = []
        for section in self._inner:
            if section.file == TEMPLATES:
                self._flow(run)
                self._template_pages()
                run = []
            else:
                run.append(section)
        self._flow(run)
        self.faults.tell()
        if self.folds:
            self._fill_leaves()
        self._last()
        if self.document.page == "folded":
            self._fold()
        carried = attach(self.page_of) if self.page_of or self.document.name == MAIN else {}
        for name, data in carried.items():
            self.file.attach(Attachment(name, data, MIME.get(name[name.rfind(".") :], "application/octet-stream")))
        pages = self.file.pages
        sheets = math.ceil(pages / self.document.sides)
        if self.document.sides == 2 and self.document.page != "folded":
            self.file.duplex = "DuplexFlipLongEdge"
        return Book(self.file.finish(), pages, dict(self.page_of), tuple(self.entries), self.paper, sheets)

    @property
    def _inner(self) -> list[Section]:
        """The sections before the back."""
        return [section for section in self.sections if not (self.folds and section.back)]

    @property
    def _back(self) -> list[Section]:
        """What stands on the last page of a booklet that folds."""
        return [section for section in self.sections if self.folds and section.back and self.sources[section.file].strip()]

    def _fill_leaves(self) -> None:
        """Pages for notes and the back, so that the pages are whole leaves."""
        title = self.words("titles", NOTES)
        for n in range(stitched.blank(self.file.pages, bool(self._back))):
            marked = [blocks.Mark(self._noted(NOTES, title))] if n == 0 else []
            flow.flow(self.file, stitched.notes(self.make, title, marked), self.paper, [self.rect])
        before = self.file.pages
        self._flow(self._back)
        self.faults.tell()
        if self._back and self.file.pages != before + 1:
            raise refuse(f"{self._back[0].file}.md", "is longer than the back of the booklet, which is one page; make it shorter")

    def _fold(self) -> None:
        """Lay the pages in pairs on the printer's."""
        at, paper = imposing.side_of(self.file.pages), self.plan.spec.page.paper
        imposing.fold(self.file, paper)
        self.paper = max(paper), min(paper)
        self.entries = [replace(entry, page=at[entry.page]) for entry in self.entries]

    def _flow(self, sections: list[Section]) -> None:
        """Words and pictures on pages with a head and a foot."""
        units = []
        for section in sections:
            with self.faults.kept():
                units.append(self._section(section))
        units = [unit for unit in units if unit.blocks]
        if units and not self.faults.errors:
            wide, high = self.rect[2] - self.rect[0], self.rect[3] - self.rect[1]
            try:
                flow.flow(self.file, paging.settled(units, wide, high), self.paper, [self.rect])
            except Refused as error:
                raise filling.too_high([block for unit in units for block in unit.blocks], wide, high) or error from error

    def _section(self, section: Section) -> paging.Unit:
        text = self.sources[section.file]
        made = markdown.blocks_of(text, self.setting(section.file))
        if not made:
            return paging.Unit([])
        self._fill_page(made)
        title = self.title_of(section.file)
        marked = [*([blocks.Mark(self._noted(section.file, title), made[0].getSpaceBefore())] if title else []), *made]
        alone = self.facts.wordless and section.file == STEPS  # no word stands on its pages
        return paging.Unit(marked, section.start, section.room, section.loose, alone)

    @cached_property
    def sources(self) -> dict[str, str]:
        """The Markdown of every section."""
        made, faults = dict[str, str](), Kept()
        for section in self.sections:
            with faults.kept():
                made.update({} if section.file == TEMPLATES else {section.file: self.texts.markdown(section.file)})
        faults.tell()
        return made

    def title_of(self, file: str) -> str:
        """A section's title: its first heading, else that of the words file; a text with neither goes on under the one before."""
        if file == COVER:
            return self.plan.spec.title
        found = _TITLE.search(self.sources.get(file, ""))
        return _unescaped(found[1]) if found else self.words.get("titles", file) or ""

    @property
    def _listed(self) -> int:
        """How many sections the contents list."""
        files = [section.file for section in self.sections]
        return sum(file == TEMPLATES or (file != COVER and bool(self.title_of(file))) for file in files)

    def setting(self, file: str) -> markdown.Setting:
        """What the text of a section is set with."""
        width, height = self.rect[2] - self.rect[0], self.rect[3] - self.rect[1]
        told = self.plan, self.facts, self.settings, self.make, self.labels, self._listed, self._late
        pictures = Pictures(*told, height, self.texts.folders, self.words, self.more)
        s = self.settings
        return markdown.Setting(self.make, pictures.blocks, self.words.table("signals"), width, s.gutter, s.least_column, f"{file}.md")

    def _fill_page(self, made: list[Any]) -> None:
        for n, block in enumerate(made):
            if isinstance(block, blocks.Rest | blocks.Foot):
                after = [blocks.Gap(0.1), *made[n + 1 :]]  # the gap: so that the space over a heading counts
                block.below = flow.height(after, self.rect[2] - self.rect[0])

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
            self.shown[leaf] = self.file.reserve(self._subject.alternatives.leaf(leaf))
            if leaf == 1:
                self._noted(TEMPLATES, self.labels["sheet_page" if on_card.asked(self.plan.spec) else "template_page"])()

    def _last(self) -> None:
        """Contents, template pages, heads and feet, now that every page has its number."""
        self.file.finish_page()
        self.file.label_pages([(0, "D", "", 1)])
        if self.contents_at:
            listed = [entry for entry in self.entries if entry.file not in (COVER, NOTES)]
            running.contents(self.file, self.contents_at, listed, self.settings.gutter, self.settings.type.text[0])
        leaf_on, silent = {page: leaf for leaf, page in self.page_of.items()}, self._silent()
        for number in range(1, self.file.pages + 1):
            with self.file.again(number - 1, self.shown.get(leaf_on.get(number, 0))) as pen:
                if number in leaf_on:
                    self._template_page(pen, leaf_on[number], number)
                elif number in silent:
                    self._foot(pen, f"{number} / {self.file.pages}")
                elif 1 < number <= self.file.pages - bool(self._back):
                    self._head_and_foot(pen, number)
                elif number == 1 < self.file.pages and not self._covered:
                    self._foot(pen, self._page_words(number))

    @property
    def _covered(self) -> bool:
        """Whether the file begins with a cover, on which nothing else stands."""
        return any(section.file == COVER for section in self.sections)

    def _page_words(self, number: int) -> str:
        return self.words.filled(self.labels["page_of"], "labels.page_of", page=str(number), pages=str(self.file.pages))

    def _template_page(self, pen: Pen, leaf: int, number: int) -> None:
        said = self.labels.also(page_of=self._page_words(number))
        draw = cardpage.draw_leaf if on_card.asked(self.plan.spec) else template.draw_leaf
        draw(pen, self.plan, leaf, said)

    def _head_and_foot(self, pen: Pen, number: int) -> None:
        running.head(pen, self.rect, self.settings.type.small[0], self.plan.spec.title, self._section_on(number))
        self._foot(pen, self._page_words(number))

    def _foot(self, pen: Pen, said: str) -> None:
        running.foot(pen, self.rect, self.settings.type.small[0], said)

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


def _unescaped(text: str) -> str:
    """A title as it is read, without the strokes that keep Markdown off it."""
    return re.sub(r"\\(.)", r"\1", text)

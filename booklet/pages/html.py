"""The HTML edition: the words and pictures of a booklet in one page that a screen reader can read, from the same templates.

The sections of the layout's files stand in it in their order, the main file's first; a file may be a page of its own, as what pupils
get is. What has to be true to size is left to the
PDF, and a sentence says so. Nothing is fetched from elsewhere and nothing runs. The same plan gives the same bytes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import partial

from booklet import on_card
from booklet.pages import markdown
from booklet.pages.book import COVER, NO_BOOKS, TEMPLATES, Book, Maker
from booklet.pages.html_blocks import Pictured
from booklet.pages.html_text import TOP, Heading, Writer, words
from booklet.pages.settings import MAIN, Document, settings
from booklet.pages.subject import Subject
from booklet.plan import Plan

WIDTH = 90.0
WIDTHS = {"cuts": 150.0, "marking": 150.0, "glue": 150.0, "cover": 120.0}
"""mm: how wide a picture is drawn, in general and by its kind. A small screen makes it smaller."""

_TITLE = re.compile(r"^# ", re.MULTILINE)

STYLE = """
:root { color-scheme: light; }
body { margin: 0 auto; padding: 1rem; max-width: 46rem; background: #fff; color: #000;
  font: 1.0625rem/1.5 system-ui, "Noto Sans", sans-serif; overflow-wrap: break-word; }
h1 { font-size: 2rem; line-height: 1.2; }
h2 { font-size: 1.4rem; line-height: 1.25; margin: 2.5rem 0 .75rem; padding-top: .75rem; border-top: 1px solid #000; }
h3, h4 { font-size: 1.1rem; margin: 1.5rem 0 .5rem; }
.lead { font-size: 1.2rem; }
a { color: inherit; }
a:focus-visible, [tabindex]:focus-visible { outline: 3px solid #000; outline-offset: 2px; }
.skip { position: absolute; left: -999rem; background: #fff; padding: .5rem; }
.skip:focus { left: .5rem; top: .5rem; }
nav ol { columns: 14rem; list-style: none; padding: 0; }
nav li { padding: .15rem 0; break-inside: avoid; }
li { margin: .3rem 0; }
.wide { overflow-x: auto; margin: 1rem 0; }
table { border-collapse: collapse; min-width: 60%; }
th, td { padding: .3rem .8rem .3rem 0; text-align: left; vertical-align: top; border-bottom: 1px solid #999; }
thead th, thead td { border-bottom: 1px solid #000; }
tbody th { font-weight: inherit; }
.r { text-align: right; }
.m { text-align: center; }
[role=note] { border: 2px solid #000; padding: .25rem 1rem; margin: 1rem 0; font-size: 1.125rem; overflow: hidden; }
.sign { float: right; width: 12mm; margin: .75rem 0 .5rem .75rem; }
.picture { margin: 1rem 0; }
svg, img { display: block; width: 100%; height: auto; font-family: "Noto Sans", sans-serif; }
.steps { padding-left: 2.5rem; }
.steps > li { margin: 0 0 1.5rem; padding: .75rem 0 0 .25rem; border-top: 1px solid #999; break-inside: avoid; }
.steps > li::marker { font-size: 1.4rem; font-weight: bold; }
@media (max-width: 30rem) { body { padding: .75rem; } .steps { padding-left: 2rem; } h1 { font-size: 1.6rem; } }
@media print { body { max-width: none; padding: 0; font-size: 11pt; } .skip, nav { display: none; } h2, h3 { break-after: avoid; }
  .picture, [role=note], tr { break-inside: avoid; } .wide { overflow: visible; } }
"""
"""Black on white with thin rules, as the printed booklet; the faces are those of the reader's machine."""


def written(plan: Plan, books: Mapping[str, Book] = NO_BOOKS) -> dict[str, bytes]:
    """The pages of the HTML edition of a plan by the names of their files, the main one first, in UTF-8.

    `books`: the files of the plan as they were set, for texts that tell how many pages they have. Raises `BookletError` for a layout
    that cannot be told so.
    """
    subject = Subject(plan)
    return {name: _Edition(plan, books, documents, subject).page().encode() for name, documents in _pages(plan).items()}


def _pages(plan: Plan) -> dict[str, tuple[Document, ...]]:
    """The files that each page holds."""
    booklet = plan.spec.booklet
    main, *others = settings(booklet.shipped, booklet.folder).told(plan.spec.supplied)
    return {MAIN: main or (Document(),), **{some[0].name: some for some in others}}


class _Edition:
    """The page in the making."""

    def __init__(self, plan: Plan, books: Mapping[str, Book], documents: Sequence[Document] = (), subject: Subject | None = None):
        self.plan = plan
        documents = documents or _pages(plan)[MAIN]
        subject = subject or Subject(plan)
        self.makers = [Maker(plan, one, books, subject) for one in documents]
        self.words = self.makers[0].words
        self.title = words(" ".join(plan.spec.title.split()))
        self.writer = Writer(self.title, self.words.table("signals"))
        self.pictured = Pictured(self.writer, self.writer.dropped_heading)
        self.listed: list[Heading] = []

    def _said(self, key: str) -> str:
        return words(self.words("html", key))

    def page(self) -> str:
        """The whole page."""
        for maker in self.makers:
            for section in maker.sections:
                self._section(maker, section.file)
        style = STYLE.strip()
        return "\n".join(
            (
                "<!DOCTYPE html>",
                f'<html xmlns="http://www.w3.org/1999/xhtml" lang="{self.plan.spec.booklet.language}">',
                '<head><meta charset="utf-8"/><meta name="viewport" content="width=device-width, initial-scale=1"/>',
                f"<title>{self.title}</title><style>\n{style}\n</style></head>",
                f'<body><a class="skip" href="#text">{self._said("skip")}</a>',
                f'<header><h1 id="{TOP}">{self.title}</h1></header>',
                *self._contents(),
                '<main id="text">',
                *self.writer.lines,
                "</main>",
                "</body>",
                "</html>",
                "",
            )
        )

    def _contents(self) -> Iterator[str]:
        """Links to all sections."""
        yield f'<nav aria-label="{self._said("contents")}"><ol>'
        yield from (f'<li><a href="#{one.key}">{one.said}</a></li>' for one in self.listed)
        yield "</ol></nav>"

    def _section(self, maker: Maker, file: str) -> None:
        writer, before = self.writer, len(self.writer.headings)
        start = len(writer.lines)
        if file == TEMPLATES:
            self._templates(maker)
        else:
            text = maker.sources[file]
            title = "" if file == COVER or _TITLE.search(text) else maker.title_of(file)
            if title and text.strip():
                writer.heading(2, words(title))
            writer.text(text, f"{file}.md", partial(self._drawn, maker))
        self.listed += [one for one in writer.headings[before:] if one.depth == 2]
        if len(writer.lines) > start:
            writer.lines.insert(start, "<section>")
            writer.lines.append("</section>")

    def _templates(self, maker: Maker) -> None:
        """What is true to size is in the PDF alone."""
        count = self.plan.leaves
        self.writer.heading(2, words(maker.labels["sheet_page" if on_card.asked(self.plan.spec) else "template_page"]))
        key = "one" if count in self.words.data["language"].get("singular", (1,)) else "many"
        said = self.words.filled(self.words("html", "templates", key), f"html.templates.{key}", n=str(count))
        self.writer.lines.append(f"<p>{words(said)}</p>")

    def _drawn(self, maker: Maker, fence: str, file: str) -> None:
        """A drawing where it stands."""
        kind, arguments, settings = markdown.asked(fence)
        if kind == "bars":
            self.writer.lines.append(f"<p>{self._said('bars')}</p>")
            return
        at = maker.setting(file.removesuffix(".md"))
        self.pictured.write(at.draw(kind, arguments, settings | {"across": "1"}, WIDTHS.get(kind, WIDTH)), kind)

"""Markdown set as blocks: headings, paragraphs, lists, tables, boxes with a signal word, columns, and drawings in the flow.

Beside plain Markdown there are blocks between lines of colons: `::: columns`, `::: lead`, `::: warning` (caution, notice,
danger; with a pictogram `::: warning knife`), each closed by `:::` alone on a line. A drawing is a
fence, which the templates write by `drawing(...)`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from html import escape
from typing import Any

from markdown_it import MarkdownIt
from markdown_it.token import Token

from booklet.drawing.pictograms import PICTOGRAMS
from booklet.errors import Fault, Kept, Refused, refuse
from booklet.pages.marks import Told
from booklet.pages.texts import DRAWING
from booklet.pdf import blocks, fonts
from booklet.pdf.columns import Columns
from booklet.pdf.typeset import Typesetter

SIGNALS = ("danger", "warning", "caution", "notice")
LONGEST_HEADING = 400
"""Characters (chosen by us): a heading stays with what follows it, so one as long as a page would have no place."""

COLUMNS, LEAD, TITLE, TOGETHER = "columns", "lead", "title", "together"

_FENCE = re.compile(r"^(:{3,})[ \t]*(\w*(?:[ \t]+[\w-]+)?)[ \t]*$", re.MULTILINE)
_FRACTION = re.compile(r"(?<![\w/.])(?:(\d+) )?(\d{1,2})/(16|8|4|2)(?![\d/])")
_UNIT = re.compile(r"(?<=\d) (?=(?:mm|cm|in|g|kg|s|min|h|m|cm\u00b2|in\u00b2|m\u00b2|ft\u00b2|ft|%|\u00b0C|degrees)\b|%)")
_NUMBERED = re.compile(r"(?<=[^\W\d_]) (?=\d{1,2}(?![\dx]|[.,]\d|\u00a0(?!in\b)))")
_TIMES = re.compile("(\\d) \u00d7 (?=[\\d(])")
"""Sizes such as 125 x 95 mm stay on one line in words; in a table they may part, as its columns are narrow."""
NO_BREAK, SLASH = "\u00a0", "\u2044"
_RAISED = str.maketrans("0123456789", "\u2070\u00b9\u00b2\u00b3\u2074\u2075\u2076\u2077\u2078\u2079")
_LOWERED = str.maketrans("0123456789", "".join(chr(0x2080 + n) for n in range(10)))

Draw = Callable[[str, Sequence[str], Mapping[str, str], float], list[Any]]
"""Makes a drawing's blocks: kind, arguments, settings, and the width of the column in mm."""


@dataclass(frozen=True)
class Setting:
    """What a text is set with. `width` in mm of the place; `signals`: signal word to how it is printed."""

    make: Typesetter
    draw: Draw
    signals: Mapping[str, str]
    width: float
    gutter: float
    least_column: float
    file: str = "the text"


@lru_cache(maxsize=1)
def parser() -> MarkdownIt:
    """What reads the Markdown of a text: no HTML in it is taken for what it says."""
    return MarkdownIt("commonmark", {"html": False}).enable("table")


def _parsed(text: str, file: str) -> list[Token]:
    """The tokens of a text. Raises `Refused` with each place that would not be seen on the page as it is written."""
    tokens = parser().parse(str(text))
    if faults := list(_unseen(tokens, Told.of(text), file)):
        raise Refused(faults)
    return tokens


def _unseen(tokens: Sequence[Token], text: Told, file: str) -> Iterator[Fault]:
    """Pictures of Markdown's own, which nothing draws, characters that the font has not, and headings without end."""
    line, kind = 0, ""
    for token in tokens:
        line = token.map[0] if token.map else line
        here = line
        if kind == "heading_open" and len(token.content) > LONGEST_HEADING:
            said = f"has a heading of {len(token.content)} characters, which would take a page: write at most {LONGEST_HEADING}"
            yield text.fault(file, said, line=here)
        kind = token.type
        for child in token.children or ():
            if child.type == "image":
                said = 'has a picture "![...](...)", which is not drawn; put an SVG file into the folder: drawing("artwork", "name.svg")'
                yield text.fault(file, said, line=here)
            elif child.type == "link_open" and str(child.attrs.get("href", "")).startswith("#"):
                yield text.fault(file, "has a link to a place in the booklet, where none has a name; take it out", line=here)
            elif lacking := fonts.missing(" ".join(child.content.split())) if child.type in ("text", "code_inline") else "":
                yield text.fault(file, fonts.no_glyph(lacking, child.content), line=here)
            here += child.type in ("softbreak", "hardbreak")


def blocks_of(text: str, at: Setting) -> list[Any]:
    """The blocks of a text. Raises `BookletError` for a block that is not closed or not known."""
    made: list[Any] = []
    faults, stretches = Kept(), containers(Told.of(text), at.file)
    with faults.kept():
        for name, inner in stretches:
            with faults.kept():
                made += _container(name, inner, at)
    faults.tell()
    return made


def containers(text: str, file: str) -> Iterator[tuple[str, str]]:
    """The text in stretches: the name of the block that each stands in, or "", and its words with blocks within."""
    start, name, depth, inner = 0, "", 0, 0
    for found in _FENCE.finditer(text):
        if found[2] and depth == 0:
            yield "", text[start : found.start()]
            name, inner = found[2], found.end()
        if found[2]:
            depth += 1
            continue
        depth -= 1
        if depth < 0:
            said = "has a line of colons that closes nothing; take it out, or say the block's name where it begins"
            raise Refused([Told.of(text).fault(file, said, found.start())])
        if depth == 0:
            yield name, text[inner : found.start()]
            start = found.end()
    if depth:
        said = f'has a block "::: {name}" that is not closed; write ::: on a line of its own after it'
        raise Refused([Told.of(text).fault(file, said, inner)])
    yield "", text[start:]


def _container(name: str, inner: str, at: Setting) -> list[Any]:
    if not name:
        return _Setter(at, inner).all()
    name, _, pictogram = name.partition(" ")
    if name in SIGNALS:
        made = at.make.boxed(name, at.signals[name], _joined(_parsed(inner, at.file)), _pictogram(pictogram.strip(), inner, at))
        made.place = Told.of(inner).fault(at.file, "the box")  # one that is too high for its page is told with its line
        return [made]
    if name in (LEAD, TITLE):
        return [at.make.paragraph(_joined(_parsed(inner, at.file)), name)]
    if name == TOGETHER:
        return [blocks.together(blocks_of(inner, at))]
    if name == COLUMNS:
        return _columns(inner, at)
    said = f'has a block "::: {name}"; there are {", ".join((COLUMNS, LEAD, TITLE, TOGETHER, *SIGNALS))}'
    raise Refused([Told.of(inner).fault(at.file, said)])


def _pictogram(name: str, inner: str, at: Setting) -> str:
    """The name of a pictogram, or none. Raises `BookletError` for one that there is not."""
    if name and name not in PICTOGRAMS:
        raise Refused([Told.of(inner).fault(at.file, f"asks for the pictogram {name!r}; there are {', '.join(PICTOGRAMS)}")])
    return name


def _columns(inner: str, at: Setting) -> list[Any]:
    """Two columns where they are wide enough to be read. Raises `Refused` for a new page within them."""
    if breaks := [token.map[0] for token in parser().parse(str(inner)) if token.type == "hr" and token.map]:
        said = 'has a line "---", which begins a page, within columns; take it out, or end the columns before it'
        raise Refused(Told.of(inner).fault(at.file, said, line=line) for line in breaks)
    wide = (at.width - at.gutter) / 2
    if wide < at.least_column:
        return blocks_of(inner, at)
    narrow = Setting(at.make, at.draw, at.signals, wide, at.gutter, at.least_column, at.file)
    return [Columns([one for block in blocks_of(inner, narrow) for one in _in_column(block)], at.gutter)]


def _in_column(block: Any) -> list[Any]:
    """A block in a column; what is kept together there is blocks that no column and no page parts."""
    kept = [] if isinstance(block, Columns) else blocks.within(block)
    for one in kept[:-1]:
        one.keepWithNext, one.ends_column = 1, False
    return kept or [block]


def _joined(tokens: Sequence[Token]) -> str:
    """The words of all paragraphs as one text with line breaks."""
    return "<br/>".join(markup(token) for token in tokens if token.type == "inline")


def asked(fence: str) -> tuple[str, list[str], dict[str, str]]:
    """What a fence asks for: the kind of drawing, its arguments and its settings.

    >>> asked("cuts p1 height=60")
    ('cuts', ['p1'], {'height': '60'})
    """
    kind, *rest = fence.split() or [""]
    return kind, [word for word in rest if "=" not in word], dict(word.split("=", 1) for word in rest if "=" in word)


def _sized(kind: str, settings: Mapping[str, str]) -> None:
    """Raises `Refused` for sizes of a drawing that are no figures of mm."""
    for name in ("height", "width"):
        told = settings.get(name, "rest")
        if told != "rest" and not (re.fullmatch(r"\d{1,4}(\.\d+)?", told) and float(told) > 0):
            raise refuse("layout", f"the {name} of the drawing {kind} is {told!r}; write a figure of mm above zero, such as {name}=60")


class _Setter:
    """Walks over the tokens of one stretch."""

    def __init__(self, at: Setting, text: str):
        self._at, self._make, self._text = at, at.make, Told.of(text)
        self._faults = Kept()
        self._lists: list[int | None] = []

    def all(self) -> list[Any]:
        """All blocks. Raises `BookletError` with all faults."""
        made = list(self.blocks(_parsed(self._text, self._at.file)))
        self._faults.tell()
        return made

    def blocks(self, tokens: Sequence[Token]) -> Iterator[Any]:
        k = 0
        while k < len(tokens):
            token = tokens[k]
            if token.type == "table_open":
                end = next(n for n in range(k, len(tokens)) if tokens[n].type == "table_close")
                yield self._make.table(*cells(tokens[k:end], _words_of))
                k = end
            else:
                made = list(self._block(token, tokens[k - 1] if k else None))
                if made and _leads(tokens, k):
                    made[-1].keepWithNext = 1
                    made[-1].ends_column = tokens[k - 1].type == "paragraph_open" and not token.content.rstrip().endswith(":")
                yield from made
            k += 1

    def _block(self, token: Token, before: Token | None) -> Iterator[Any]:
        if token.type == "inline" and before is not None:
            yield self._words(token, before)
        elif token.type == "fence":
            with self._faults.kept():
                yield from self._fence(token)
        elif token.type in ("bullet_list_open", "ordered_list_open"):
            self._lists.append(int(token.attrs.get("start", 1)) if token.type[0] == "o" else None)
        elif token.type in ("bullet_list_close", "ordered_list_close"):
            self._lists.pop()
        elif token.type == "hr":
            yield blocks.page_break()

    def _words(self, token: Token, before: Token) -> Any:
        words = markup(token)
        if before.type == "heading_open":
            return self._make.paragraph(words, "h1" if before.tag == "h1" else "h2")
        if not self._lists:
            return self._make.paragraph(words)
        number = self._lists[-1]
        if number is None:
            return self._make.item(words)
        self._lists[-1] = number + 1
        return self._make.item(words, f"{number}.")

    def _fence(self, token: Token) -> list[Any]:
        line = (token.map or [0])[0]
        if token.info.strip() != DRAWING:
            said = f"has a fenced block {token.info!r}; only drawings stand in one"
            raise Refused([self._text.fault(self._at.file, said, line=line)])
        kind, arguments, settings = asked(token.content)
        try:
            _sized(kind, settings)
            made = self._at.draw(kind, arguments, settings, self._at.width)
            for block in made:  # one that is too high for its page is told with its line
                block.place = self._text.fault(self._at.file, "", line=line)
            return made
        except Refused as error:
            here = [self._text.fault(self._at.file, f.text, line=line) if f.where == "layout" else f for f in error.faults]
            raise Refused(here) from error
        except (LookupError, ValueError) as error:
            said = f'the drawing "{kind}" cannot be made with what is asked of it ({error}); compare it with the shipped text'
            raise Refused([self._text.fault(self._at.file, said, line=line)]) from error


def _leads(tokens: Sequence[Token], k: int) -> bool:
    """Whether words stand right before a list, which they lead in: they stay with it."""
    return tokens[k].type == "inline" and k + 2 < len(tokens) and tokens[k + 2].type in ("bullet_list_open", "ordered_list_open")


def _words_of(token: Token) -> str:
    """Inline words without any markup, as a table takes them."""
    words = {"text", "code_inline"}
    said = (c.content if c.type in words else " " for c in token.children or () if c.type in words or c.type == "softbreak")
    return shaped("".join(said))


def cells(tokens: Sequence[Token], said: Callable[[Token], str]) -> tuple[list[str], list[list[str]], list[str]]:
    """The head, the rows and the aligns of a table. `said`: the words of a cell."""
    rows: list[list[str]] = []
    aligns: list[str] = []
    for token, after in zip(tokens, (*tokens[1:], tokens[-1]), strict=True):
        if token.type == "tr_open":
            rows.append([])
        elif token.type in ("th_open", "td_open"):
            rows[-1].append(said(after))
            if token.type == "th_open":
                aligns.append(_align(str(token.attrs.get("style", ""))))
    return rows[0], rows[1:], aligns


def _align(style: str) -> str:
    """How a column of a table stands: left, right or middle."""
    return next((name for key, name in (("right", "right"), ("center", "middle")) if key in style), "left")


_TAGS = {"strong_open": "<b>", "strong_close": "</b>", "softbreak": " ", "hardbreak": "<br/>", "link_close": "</a>"}


def markup(token: Token) -> str:
    """Inline words as the small XML of a paragraph; emphasis stays upright, as the faces have no italic."""
    return "".join(_inline(child) for child in token.children or ())


def _inline(child: Token) -> str:
    if child.type in ("text", "code_inline"):
        return built(child.content)
    if child.type == "link_open":
        return f'<a href="{escape(str(child.attrs.get("href", "")), quote=True)}">'
    return _TAGS.get(child.type, "")


def built(text: str) -> str:
    """Plain words as markup: fractions built small, figures kept on one line with their units."""
    return escape(_TIMES.sub("\\1\u00a0\u00d7\u00a0", shaped(text)), quote=False)


def shaped(text: str) -> str:
    r"""Plain words, fractions built small, figures kept on one line with their units and names ("wall 1").

    >>> shaped("4 1/2 in")
    '4\xa0\xb9\u2044\u2082\xa0in'
    """
    return _FRACTION.sub(_small, kept(text))


def kept(text: str) -> str:
    """Plain words, figures kept on one line with their units and names."""
    return _NUMBERED.sub(NO_BREAK, _UNIT.sub(NO_BREAK, text))


def _small(found: re.Match[str]) -> str:
    """4 1/2 with raised and lowered figures, on one line."""
    whole = f"{found[1]}{NO_BREAK}" if found[1] else ""
    return f"{whole}{found[2].translate(_RAISED)}{SLASH}{found[3].translate(_LOWERED)}"

"""Words as HTML: the Markdown of a layout's texts, told by tokens, and the small XML of paragraphs. Everything is escaped.

What comes out is well-formed XML too, so that any reader of either can check it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from xml.etree import ElementTree

from markdown_it.token import Token

from booklet.drawing.pictograms import BOX, draw_pictogram
from booklet.drawing.svg import InlinePen
from booklet.pages import markdown
from booklet.pages.markdown import COLUMNS, LEAD, NO_BREAK, SIGNALS, SLASH, TITLE, TOGETHER

LINKS = ("https://", "http://", "mailto:")
"""What a link may lead to; others are told as plain words."""

TOP = "title"
"""The key of the heading over the whole page."""

_BUILT = re.compile(f"([\u2070\u00b9\u00b2\u00b3\u2074-\u2079]+){SLASH}([\u2080-\u2089]+)")
_WHOLE = re.compile(r"(?<=\d) (?=\d+/\d)")
_RAISED = str.maketrans("\u2070\u00b9\u00b2\u00b3\u2074\u2075\u2076\u2077\u2078\u2079", "0123456789")
_LOWERED = str.maketrans("".join(chr(0x2080 + n) for n in range(10)), "0123456789")
_INLINE = {"strong_open": "<strong>", "strong_close": "</strong>", "em_open": "<em>", "em_close": "</em>", "softbreak": " "}
_INLINE["hardbreak"] = "<br/>"
_BLOCKS = {"bullet_list_open": "<ul>", "bullet_list_close": "</ul>", "ordered_list_close": "</ol>", "list_item_open": "<li>"}
_BLOCKS |= {"list_item_close": "</li>", "blockquote_open": "<blockquote>", "blockquote_close": "</blockquote>"}


def spoken(text: str) -> str:
    r"""Words as they are best read out: figures with their units on one line, fractions in plain figures.

    >>> spoken("4 \u00b9\u2044\u2082 in")
    '4\xa01/2\xa0in'
    """
    plain = _BUILT.sub(lambda found: f"{found[1].translate(_RAISED)}/{found[2].translate(_LOWERED)}", text)
    return _WHOLE.sub(NO_BREAK, markdown.kept(plain))


def words(text: str) -> str:
    """Plain words, escaped."""
    return escape(spoken(text), quote=False)


def inline(token: Token | None) -> str:
    """The words of a token with what is bold in them, and links to other places."""
    result, open_links = [], []
    for child in (token and token.children) or ():
        if child.type == "link_open":
            open_links.append(str(child.attrs.get("href", "")).startswith(LINKS))
            result.append(f'<a href="{escape(str(child.attrs["href"]))}">' if open_links[-1] else "")
        elif child.type == "link_close":
            result.append("</a>" if open_links.pop() else "")
        elif child.type == "code_inline":
            result.append(f"<code>{escape(child.content, quote=False)}</code>")
        else:
            result.append(_INLINE.get(child.type) or words(child.content))
    return "".join(result)


def marked_up(markup: str) -> str:
    """The small XML of a paragraph."""
    return _element(ElementTree.fromstring(f"<p>{markup}</p>"))


def _element(element: ElementTree.Element) -> str:
    inner = words(element.text or "") + "".join(_element(child) + words(child.tail or "") for child in element)
    href = element.get("href", "")
    if element.tag == "b":
        return f"<strong>{inner}</strong>"
    if element.tag == "a" and href.startswith(LINKS):
        return f'<a href="{escape(href)}">{inner}</a>'
    return "<br/>" if element.tag == "br" else inner


@dataclass(frozen=True)
class Heading:
    """A heading that was written: its key in the page, its depth (1 is the title) and its words as HTML."""

    key: str
    depth: int
    said: str


Drawn = Callable[[str, str], None]
"""Writes a drawing: the fence's words, and the file that asks for it."""


@dataclass
class Writer:
    """Collects lines of HTML. `title`: of the whole page, which is not said again; `signals`: signal words as they are printed."""

    title: str
    signals: Mapping[str, str]
    lines: list[str] = field(default_factory=list)
    headings: list[Heading] = field(default_factory=list)

    def text(self, text: str, file: str, drawn: Drawn) -> None:
        """Write a text in Markdown. Raises `BookletError` for a block that is not closed."""
        for told, within in markdown.containers(text, file):
            name, _, sign = told.partition(" ")
            if name in (TOGETHER, COLUMNS):
                self.text(within, file, drawn)
            elif not name:
                self._tokens(markdown.parser().parse(within), file, drawn)
            else:
                self._said(name, sign.strip(), [inline(t) for t in markdown.parser().parse(within) if t.type == "inline"])

    def _said(self, name: str, sign: str, said: Sequence[str]) -> None:
        """A block with a name of its own: a title, a lead, or a warning."""
        if name in SIGNALS:
            self.note(name, self.signals[name], said, sign)
        elif name == TITLE:
            if "".join(said) != self.title:
                self.heading(2, " ".join(said))
        else:
            self.lines += [f'<p class="{LEAD}">{one}</p>' for one in said]

    def heading(self, depth: int, said: str) -> None:
        """A heading, but never more than one deeper than the one before it."""
        depth = min(depth, self.headings[-1].depth + 1 if self.headings else 2)
        found = Heading(f"h{len(self.headings) + 1}", depth, said)
        self.headings.append(found)
        self.lines.append(f'<h{depth} id="{found.key}">{said}</h{depth}>')

    def dropped_heading(self) -> None:
        """Take back a heading under which nothing stands."""
        if self.headings and self.lines and self.lines[-1].startswith(f'<h{self.headings[-1].depth} id="{self.headings[-1].key}"'):
            self.lines.pop()
            self.headings.pop()

    def note(self, signal: str, word: str, said: Sequence[str], sign: str = "") -> None:
        """A warning: its word, which is read out first, and what it warns of; its pictogram says nothing that the words do not."""
        told = "".join(f"<p>{one}</p>" for one in said)
        shown = f'<span class="sign">{_pictogram(sign)}</span>' if sign else ""
        self.lines.append(f'<section role="note" class="{signal}">{shown}<p><strong>{words(word)}</strong></p>{told}</section>')

    def _tokens(self, tokens: Sequence[Token], file: str, drawn: Drawn) -> None:
        k = 0
        while k < len(tokens):
            token = tokens[k]
            if token.type == "table_open":
                end = next(n for n in range(k, len(tokens)) if tokens[n].type == "table_close")
                self.table(*markdown.cells(tokens[k:end], inline))
                k = end
            elif token.type == "fence":
                drawn(token.content, file)
            elif token.type == "inline":
                self._inline(token, tokens[k - 1])
            elif token.type == "ordered_list_open":
                start = int(token.attrs.get("start", 1))
                self.lines.append("<ol>" if start == 1 else f'<ol start="{start}">')
            elif token.type in _BLOCKS:
                self.lines.append(_BLOCKS[token.type])
            k += 1

    def _inline(self, token: Token, before: Token) -> None:
        if before.type == "heading_open":
            self.heading(int(before.tag[1:]) + 1, inline(token))
        else:
            self.lines.append(inline(token) if before.hidden else f"<p>{inline(token)}</p>")

    def table(self, head: Sequence[str], rows: Sequence[Sequence[str]], aligns: Sequence[str]) -> None:
        """A table of cells that are HTML already, named by the heading over it.

        The first column heads the rows where it tells them apart.
        """
        first = [row[0] for row in rows]
        heads = len(rows) > 1 and all(first) and len(set(first)) == len(first) and len(head) > 1
        named = f' aria-labelledby="{self.headings[-1].key if self.headings else TOP}"'
        looks = [{"right": ' class="r"', "middle": ' class="m"'}.get(align, "") for align in aligns]
        self.lines += [f'<div class="wide" role="group"{named} tabindex="0">', f"<table{named}>", "<thead>"]
        top = (f'<th scope="col"{look}>{one}</th>' if one else f"<td{look}></td>" for one, look in zip(head, looks, strict=True))
        self.lines += [f"<tr>{''.join(top)}</tr>", "</thead>", "<tbody>"]
        for row in rows:
            cells = [f"<td{look}>{one}</td>" for one, look in zip(row, looks, strict=False)]
            if heads:
                cells[0] = f'<th scope="row"{looks[0]}>{row[0]}</th>'
            self.lines.append(f"<tr>{''.join(cells)}</tr>")
        self.lines += ["</tbody>", "</table>", "</div>"]


def _pictogram(name: str) -> str:
    pen = InlinePen("")
    draw_pictogram(pen, name, (0.0, 0.0))
    return pen.inline((BOX, BOX), "")


def ungrouped(head: Sequence[str], rows: Sequence[Sequence[str]]) -> tuple[list[str], list[list[str]]]:
    """A table whose rows run down several groups of the same columns, an empty one between two, as one long table.

    >>> ungrouped(["No.", "", "No."], [["1", "", "3"], ["2", "", ""]])
    (['No.'], [['1'], ['2'], ['3']])
    """
    groups = list(_groups(head))
    alike = len({tuple(head[k] for k in group) for group in groups}) == 1
    if len(groups) < 2 or not alike:
        return list(head), [list(row) for row in rows]
    found = [[row[k] for k in group] for group in groups for row in rows]
    return [head[k] for k in groups[0]], [row for row in found if any(row)]


def _groups(head: Sequence[str]) -> Iterator[list[int]]:
    group: list[int] = []
    for k, said in enumerate(head):
        if said:
            group.append(k)
        elif group:
            yield group
            group = []
    if group:
        yield group

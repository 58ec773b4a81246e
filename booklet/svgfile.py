"""A drawing of somebody else's making, an SVG file, looked at before anything draws it. Raises `BookletError` for what is not plain shapes.

Nothing is fetched and nothing is opened: the bytes are all there is. What is handed on is built anew from the elements and attributes
that are known here, so that what reads it later sees nothing that was not looked at. Lengths are in the file's own units.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from booklet.errors import Refused, refuse

MOST_BYTES = 500_000
MOST_ELEMENTS = 5_000
MOST_USES = 50
MOST_DEEP = 40
MOST_NUMBERS = 60_000
MOST_STYLE = 6_000
MOST_CHARACTERS = 4_000
LARGEST = 1_000_000.0
"""Caps chosen by us: a sign has some dozens of elements. Bytes; elements, what is repeated by reference counted as often as it is drawn;
`use` elements; elements in each other; figures in all paths; characters of style sheets and of any other attribute; size of a figure."""

LOST = ("image", "text", "pattern", "marker", "mask", "filter", "foreignObject", "script", "animate")
"""Elements that would vanish, run, or bring in the machine's own fonts or other files."""

KNOWN = frozenset((
    "svg", "g", "defs", "symbol", "use", "a", "switch", "style", "title", "desc", "metadata", "path", "rect", "circle", "ellipse", "line",
    "polyline", "polygon", "clipPath", "linearGradient", "radialGradient", "stop",
))  # fmt: skip
"""Elements of SVG 1.1 that are drawn as they look, or tell nothing that is drawn."""

_GROUPS = ("svg", "g", "use", "a", "symbol", "switch")
_MUTE = ("title", "desc", "metadata")
_SVG = ("", "http://www.w3.org/2000/svg")
_LINK = "{http://www.w3.org/1999/xlink}href"

_DOCTYPE = re.compile(r'<!DOCTYPE\s+svg(?:\s+PUBLIC\s+"-//W3C//DTD SVG [^"<>\[\]]{1,40}"\s+"http://www\.w3\.org/[^"<>\[\]]{1,80}")?\s*>')
_DECLARED = re.compile(r"""<\?xml[^>]{0,200}?encoding\s*=\s*["']([^"']*)""")
_NUMBER = re.compile(r"(?<![#\w.])[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_PATH_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_NO_NUMBER = re.compile(r"(?<![#\w-])[-+]?(?:nan|inf|infinity)(?![\w-])", re.IGNORECASE)
_ELSEWHERE = re.compile(r"url\s*\((?!\s*['\"]?#)|@import|@font-face|expression\s*\(|javascript:", re.IGNORECASE)
_REFERENCE = re.compile(r"url\s*\(\s*['\"]?#([^'\")]*)", re.IGNORECASE)
_SHAPES = {"d": re.compile(r"[0-9eE+\-.,\sMmZzLlHhVvCcSsQqTtAa]*"), "points": re.compile(r"[0-9eE+\-.,\s]*")}
_NAMES = ("id", "class", "href")


def checked(data: bytes, name: str) -> bytes:
    """The drawing as plain SVG in UTF-8 without anything that was not looked at. Raises `BookletError` with the file's `name`."""
    return _Looked(name).through(data)


@dataclass
class _Looked:
    """One file on its way through."""

    name: str
    numbers: int = 0
    by_id: dict[str, Element] = field(default_factory=dict)
    sizes: dict[str, int] = field(default_factory=dict)

    def through(self, data: bytes) -> bytes:
        """All checks, in the order in which they can be made safely."""
        text = self._text(data)
        try:
            root = ElementTree.fromstring(text, ElementTree.XMLParser(target=_Tree(self)))
        except (ElementTree.ParseError, ValueError, LookupError) as error:
            raise self.refused(f"it is not well-formed XML ({error}); save it again as plain SVG 1.1") from error
        self._elements(root)
        plain = self._plain(root)
        self._repeated(plain)
        return ElementTree.tostring(plain, encoding="utf-8")

    def refused(self, text: str) -> Refused:
        return refuse(self.name, text)

    def _text(self, data: bytes) -> str:
        """The file as text without its document type, which must be that of SVG itself."""
        if len(data) > MOST_BYTES:
            raise self.refused(f"it has {len(data)} bytes, at most {MOST_BYTES} are taken; simplify the drawing")
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = "\0"
        declared = _DECLARED.match(text)
        if "\0" in text or (declared and declared[1].lower() not in ("utf-8", "us-ascii", "ascii")) or "<!ENTITY" in text:
            raise self.refused("it defines entities or is not UTF-8; save it as plain SVG 1.1 in UTF-8")
        text = _DOCTYPE.sub("", text, count=1)
        if "<!DOCTYPE" in text:
            raise self.refused(
                "it has a document type of its own, which could define entities or name another file; save it as plain SVG 1.1"
            )
        if "<?xml-stylesheet" in text:
            raise self.refused("it points to another file (a style sheet); put all into the one file")
        return re.sub(r"^\s*<\?xml[^>]*\?>", "", text, count=1)

    def _elements(self, root: Element) -> None:
        """What there is of each kind of element, by its name alone: another name space hides nothing."""
        names = [_local(element.tag) for element in root.iter() if isinstance(element.tag, str)]
        kinds = Counter(names)
        if _local(root.tag) != "svg":
            raise self.refused(f"its outermost element is <{_local(root.tag)[:40]}>, not <svg>; save it as plain SVG 1.1")
        own = {_local(element.tag) for element in root.iter() if isinstance(element.tag, str) and _space(element.tag) in _SVG}
        if lost := [kind for kind in LOST if kinds[kind]] or sorted(own - KNOWN - _within(root, _MUTE))[:3]:
            told = "it uses <{}>, which {} not drawn; turn text into outlines and keep to plain shapes"
            raise self.refused(told.format(">, <".join(kind[:40] for kind in lost), "is" if len(lost) == 1 else "are"))
        if kinds["use"] > MOST_USES:
            raise self.refused(f"it has {kinds['use']} elements <use>, at most {MOST_USES} are taken; simplify the drawing")

    def _plain(self, element: Element) -> Element:
        """The element and what is in it with the elements and attributes that are known; all attributes are looked at."""
        made = Element(_local(element.tag))
        for key, value in element.attrib.items():
            self._attribute(_local(key), value)
            self._drawn(made.tag, _local(key), value)
            if key == _LINK or _space(key) == "":
                made.set(_local(key), value)
        if made.tag == "style":
            made.text = self._style("".join(element.itertext()))
        for child in element:
            if isinstance(child.tag, str) and _space(child.tag) in _SVG and _local(child.tag) not in _MUTE:
                made.append(self._plain(child))
            else:
                self._unseen(child)
        return made

    def _unseen(self, element: Element) -> None:
        """What is left out of the drawing is looked at all the same: a file that says one thing here and another there is not taken."""
        for one in element.iter():
            for key, value in one.attrib.items():
                if _local(key).lower().startswith("on"):
                    self._attribute(_local(key), value)

    def _attribute(self, name: str, value: str) -> None:
        if name.lower().startswith("on"):
            raise self.refused(f"it would run a script ({name[:40]}); save it as plain SVG 1.1 without scripts")
        if name in ("href", "src", "base") and not value.strip().startswith("#"):
            raise self.refused(f"it points to another file ({value[:60]!r}); put all into the one file")
        if name in _SHAPES:
            self._shape(name, value)
        elif name not in ("id", "class"):
            self._said(name, value, MOST_CHARACTERS)

    def _drawn(self, tag: str, name: str, value: str) -> None:
        """What would be left out of the drawing without a word."""
        said = {name: value, **dict(one.split(":", 1) for one in value.split(";") if ":" in one)} if name == "style" else {name: value}
        for key, figure in ((key.strip(), figure.strip()) for key, figure in said.items()):
            faint = key == "opacity" and tag in _GROUPS and figure not in ("1", "1.0", "100%", "")
            if faint or (key == "stroke-dashoffset" and figure.strip("px") not in ("0", "0.0", "")) or (tag, key) == ("symbol", "viewBox"):
                raise self.refused(f"it uses {key} on <{tag}>, which is not drawn; set it on the shapes themselves, or do without")

    def _style(self, text: str) -> str:
        self._said("style", text, MOST_STYLE)
        return text

    def _said(self, name: str, value: str, most: int) -> None:
        """An attribute or a style sheet: how long, what it names, and its figures."""
        if len(value) > most:
            raise self.refused(f"{name[:40]!r} has {len(value)} characters, at most {most} are taken; simplify the drawing")
        if "\\" in value or _ELSEWHERE.search(value):
            raise self.refused(f"it points to another file ({value[:60]!r}); put all into the one file")
        if name not in _NAMES:
            self._figures(name, value, _NUMBER)

    def _shape(self, name: str, value: str) -> None:
        """A path or a run of points: letters of paths and figures only."""
        if not _SHAPES[name].fullmatch(value):
            raise self.refused(
                f"it cannot be drawn: {name!r} holds more than the letters and figures of a path; save it again as plain SVG 1.1"
            )
        self._figures(name, value, _PATH_NUMBER)

    def _figures(self, name: str, value: str, pattern: re.Pattern[str]) -> None:
        if _NO_NUMBER.search(value):
            raise self.refused(
                f"it cannot be drawn: {name[:40]!r} has a figure that is none ({value[:40]!r}); save it again as plain SVG 1.1"
            )
        for found in pattern.finditer(value):
            self.numbers += 1
            if len(found[0]) > 40 or abs(float(found[0])) > LARGEST:
                raise self.refused(
                    f"it cannot be drawn: {name[:40]!r} has a figure over {LARGEST:.0f} ({found[0][:30]}); make the drawing smaller"
                )
        if self.numbers > MOST_NUMBERS:
            raise self.refused(f"it has more than {MOST_NUMBERS} figures; simplify the drawing")

    def _repeated(self, root: Element) -> None:
        """How much is drawn once everything that is named is put in its place."""
        self.by_id = {element.attrib["id"]: element for element in root.iter() if "id" in element.attrib}
        if (drawn := self._size(root, ())) > MOST_ELEMENTS:
            raise self.refused(
                f"its <use> and clips draw over {min(drawn, 10**9)} elements, at most {MOST_ELEMENTS} are taken; simplify the drawing"
            )

    def _size(self, element: Element, on_the_way: tuple[str, ...]) -> int:
        found = 1 + sum(self._size(child, on_the_way) for child in element)
        return min(found + sum(self._named(name, on_the_way) for name in _names_in(element)), 10**9)

    def _named(self, name: str, on_the_way: tuple[str, ...]) -> int:
        if name in on_the_way:
            raise self.refused(f"{name[:40]!r} is drawn within itself; save it again as plain SVG 1.1")
        if name not in self.sizes:
            if len(on_the_way) >= MOST_DEEP:
                raise self.refused(f"its elements are more than {MOST_DEEP} deep in each other; simplify the drawing")
            self.sizes[name] = self._size(self.by_id[name], (*on_the_way, name)) if name in self.by_id else 0
        return self.sizes[name]


class _Tree(ElementTree.TreeBuilder):
    """Builds the tree as long as its elements are not too many or too deep in each other."""

    def __init__(self, looked: _Looked):
        super().__init__()
        self._looked, self._deep, self._count = looked, 0, 0

    def start(self, tag: Any, attrs: Any, /) -> Any:
        """Called by the parser."""
        self._deep, self._count = self._deep + 1, self._count + 1
        if self._deep > MOST_DEEP:
            raise self._looked.refused(f"its elements are more than {MOST_DEEP} deep in each other; simplify the drawing")
        if self._count > MOST_ELEMENTS:
            raise self._looked.refused(f"it has more than {MOST_ELEMENTS} elements; simplify the drawing")
        return super().start(tag, attrs)

    def end(self, tag: Any, /) -> Any:
        """Called by the parser."""
        self._deep -= 1
        return super().end(tag)


def _names_in(element: Element) -> Iterator[str]:
    """The ids that an element names itself."""
    for key, value in element.attrib.items():
        if key == "href":
            yield value.strip()[1:]
        elif key not in ("d", "points", "id", "class"):
            yield from (found[1].strip() for found in _REFERENCE.finditer(value))


def _within(root: Element, tags: tuple[str, ...]) -> set[str]:
    """Names of elements that stand only in those that tell nothing drawn."""
    inside = {id(one) for element in root.iter() if isinstance(element.tag, str) and _local(element.tag) in tags for one in element.iter()}
    names = [(_local(one.tag), id(one) in inside) for one in root.iter() if isinstance(one.tag, str)]
    return {name for name, within in names if within} - {name for name, within in names if not within}


def _local(tag: str) -> str:
    return tag.rpartition("}")[2]


def _space(tag: str) -> str:
    return tag[1:].partition("}")[0] if tag.startswith("{") else ""

"""Templates changed after they are parsed: counters for the sandbox are put in, and marks of the line that a text comes from.

What a template puts out holds, at the head of each line and before each value, a mark with the place in the file. It is
taken out again, and each line of the Markdown has its place: so a fault in it is told with file and line.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from jinja2 import nodes
from jinja2.visitor import NodeTransformer

from booklet.errors import Fault

_MARK = re.compile("\ue000(\\d+)\ue001")
_HEAD = re.compile("(?:\\s|\ue000\\d+\ue001)*")
"""The marks before the first character of a line that is to be seen: the last of them is of its place."""

MOST_DEEP = 18
"""So deep blocks stand in blocks: Python takes 20 loops in each other."""

Place = tuple[str, int]
"""The file that a line comes from, and its line there."""


_known: dict[Place, int] = {}
"""The number by which marks tell each place: one for all texts of a run, so that a template is compiled once for many booklets."""


class Told(str):
    """The Markdown of a text, with the place that each of its lines comes from."""

    places: tuple[Place, ...]

    def __new__(cls, marked: str) -> Told:
        """Without marks and places, for what is no template's."""
        made = super().__new__(cls, marked)
        made.places = ()
        return made

    @staticmethod
    def of(text: str) -> Told:
        """The text as one with places, as it has none."""
        return text if isinstance(text, Told) else Told(text)

    def __getitem__(self, key: Any) -> str:
        """A part of the text that runs forward keeps its places."""
        found = super().__getitem__(key)
        if not isinstance(key, slice) or key.step not in (None, 1):
            return found
        start = self.count("\n", 0, key.indices(len(self))[0])
        made = Told(found)
        made.places = self.places[start : start + made.count("\n") + 1]
        return made

    def fault(self, file: str, said: str, at: int = 0, line: int = 0) -> Fault:
        """A fault of the text at a character, or some lines on from its first: told with the place it comes from."""
        line += self.count("\n", 0, at)
        place = self.places[line] if line < len(self.places) else (file, 0)
        return Fault(place[0] or file, said, place[1] or None)


def bare(text: str) -> str:
    """A text without its marks."""
    return _MARK.sub("", text) if "\ue000" in text else text


def told(marked: str) -> Told:
    """A text that was put out, without its marks, and the place of each line."""
    lines, places, last = list[str](), list[Place](), ("", 0)
    known = list(_known)
    for line in marked.split("\n"):
        head = _HEAD.match(line)
        first, marks = _MARK.findall(head[0]) if head else [], _MARK.findall(line)
        places.append(known[int(first[-1])] if first else last)
        last = known[int(marks[-1])] if marks else last
        lines.append(bare(line))
    made = Told("\n".join(lines))
    made.places = tuple(places)
    return made


class Marking(NodeTransformer):
    """Puts counters and marks into a parsed template. What is caught in a variable or a macro is not marked: it may be looked at."""

    def __init__(self, name: str):
        self._name, self._caught = name, 0

    def get_visitor(self, node: nodes.Node) -> Any:
        """How a node is changed; None for one that stays as it is."""
        caught: dict[type[nodes.Node], Any] = dict.fromkeys(
            (nodes.Macro, nodes.CallBlock, nodes.FilterBlock, nodes.AssignBlock), self._captured
        )
        changed: dict[type[nodes.Node], Any] = {
            nodes.Template: self._template, nodes.For: self._loop, nodes.Block: self._block, nodes.Concat: self._concat,
            nodes.Getitem: self._part, nodes.Compare: self._compare, nodes.Output: self._output, **caught,
        }  # fmt: skip
        return changed.get(type(node))

    def _mark(self, line: int) -> str:
        number = _known.setdefault((self._name, line), len(_known))
        return f"\ue000{number}\ue001"

    def _call(self, name: str, given: list[Any], line: int) -> Any:
        return nodes.Call(nodes.EnvironmentAttribute(name), given, [], None, None).set_lineno(line, override=True)

    def _counting(self, body: list[Any], line: int) -> list[Any]:
        """The body with a counter at its head that is told how much it puts out each time."""
        size = sum(len(data.data) for one in body for data in _texts(one))
        return [nodes.ExprStmt(self._call("spent", [nodes.Const(size)], line)).set_lineno(line, override=True), *body]

    def _template(self, node: nodes.Template) -> nodes.Node:
        """The whole file; imports and `extends` stay as they are."""
        node.body = self._counting(node.body, 1)
        return self.generic_visit(node)

    def _loop(self, node: nodes.For) -> nodes.Node:
        """A loop."""
        node.body = self._counting(node.body, node.lineno)
        node.iter = self._call("counted", [node.iter], node.lineno)
        return self.generic_visit(node)

    def _block(self, node: nodes.Block) -> nodes.Node:
        """A block, which may be told again by its name."""
        node.body = self._counting(node.body, node.lineno)
        return self.generic_visit(node)

    def _captured(self, node: Any) -> nodes.Node:
        self._caught += 1
        node.body = self._counting(node.body, node.lineno)
        found = self.generic_visit(node)
        self._caught -= 1
        return found

    def _concat(self, node: nodes.Concat) -> nodes.Node:
        """`~`."""
        self.generic_visit(node)
        return self._call("joined", node.nodes, node.lineno)

    def _part(self, node: nodes.Getitem) -> nodes.Node:
        """A part of a text or a list, `[1:3]`, counted."""
        self.generic_visit(node)
        if isinstance(node.arg, nodes.Slice):
            node.node = self._call("looked_at", [node.node], node.lineno)
        return node

    def _compare(self, node: nodes.Compare) -> nodes.Node:
        """A comparison, `in` among them, counted."""
        self.generic_visit(node)
        for one in node.ops:
            one.expr = self._call("looked_at", [one.expr], node.lineno)
        return node

    def _output(self, node: nodes.Output) -> nodes.Node:
        """Words and values that are put out, each line and each value with a mark before it."""
        self.generic_visit(node)
        if self._caught:
            return node
        made: list[Any] = []
        for one in node.nodes:
            if isinstance(one, nodes.TemplateData):
                lines = one.data.split("\n")
                one.data = "\n".join(self._mark(one.lineno + n) + line for n, line in enumerate(lines))
            else:
                made.append(nodes.TemplateData(self._mark(one.lineno)).set_lineno(one.lineno))
            made.append(one)
        node.nodes = made
        return node


_BODIES = ("body", "elif_", "else_")
"""Where a block holds others."""


def _texts(node: nodes.Node) -> Iterator[nodes.TemplateData]:
    """The plain words of a node, without those of loops and the like in it, which count their own."""
    if isinstance(node, nodes.Output):
        yield from (one for one in node.nodes if isinstance(one, nodes.TemplateData))
    elif not isinstance(node, nodes.For | nodes.Macro | nodes.CallBlock | nodes.FilterBlock | nodes.AssignBlock | nodes.Block):
        for child in node.iter_child_nodes(only=_BODIES):
            yield from _texts(child)


def deepest(node: nodes.Node, deep: int = 0) -> tuple[int, int]:
    """How deep blocks stand in blocks, and the line of the innermost one."""
    inner = deep + isinstance(node, nodes.Stmt) - isinstance(node, nodes.Output)
    return max(
        [(inner, node.lineno), *(deepest(child, inner) for child in node.iter_child_nodes(only=_BODIES))], key=lambda found: found[0]
    )

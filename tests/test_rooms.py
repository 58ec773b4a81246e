"""The list of rooms in DEVELOPERS.md is true: every room stands in it once, and imports only go up."""

from __future__ import annotations

import ast
import re
from pathlib import Path

ROOT = Path(__file__).parent.parent
FILES = sorted((ROOT / "booklet").rglob("*.py"))


def rooms() -> dict[str, int]:
    """Each room with the line of the list that it stands in, from the ground."""
    text = (ROOT / "DEVELOPERS.md").read_text()
    block = re.search(r"## The rooms\n+```\n(.*?)```", text, re.DOTALL)
    assert block
    lines = [line.split("  ")[0].split(", ") for line in block[1].splitlines()]
    names = [name for line in lines for name in line]
    assert len(names) == len(set(names)), "a room stands in the list twice"
    return {name: n for n, line in enumerate(lines) for name in line}


def room(path: Path) -> str:
    return path.relative_to(ROOT / "booklet").parts[0].removesuffix(".py")


def imported(path: Path) -> set[str]:
    """The rooms that a file imports at its head; what it reads inside functions, or for types alone, does not count."""
    found: set[str] = set()
    for node in ast.parse(path.read_text()).body:
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module == "booklet":
            found |= {f"booklet.{alias.name}" for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
    return {name.split(".")[1] for name in found if name.startswith("booklet.")}


def test_every_room_stands_in_the_list() -> None:
    assert {room(path) for path in FILES} - {"__init__", "__main__"} == set(rooms())


def test_imports_only_go_up() -> None:
    level = rooms()
    down = [
        f"{path.relative_to(ROOT)} imports {name}"
        for path in FILES
        if room(path) in level
        for name in imported(path)
        if name in level and level[name] > level[room(path)]
    ]
    assert not down, "\n".join(down)


def test_only_pdf_opens_the_door_to_what_writes_and_reads_pdf() -> None:
    """At the head of a file: the encoder of square codes is read where one is drawn."""
    doors = ("reportlab", "svglib", "pypdf")
    heads = [(path, node) for path in FILES for node in ast.parse(path.read_text()).body if isinstance(node, ast.Import | ast.ImportFrom)]
    named = [
        (path, name) for path, node in heads for name in ([a.name for a in node.names] if isinstance(node, ast.Import) else [node.module])
    ]
    assert not [str(path) for path, name in named if (name or "").split(".")[0] in doors and room(path) != "pdf"]

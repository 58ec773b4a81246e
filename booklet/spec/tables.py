"""Every table and key of a spec, with how it is read and what stands for it when it is not there."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from booklet.lengths import Misread, show
from booklet.spec.fields import (
    LONGEST_TITLE,
    MOST_COPIES,
    MOST_IN_PACK,
    Key,
    Reader,
    advise,
    art,
    arts,
    caliper,
    choice,
    count,
    flag,
    grammage,
    length,
    mass,
    millimetres,
    option,
    price,
    printed,
    printed_bar,
    sheet,
    style,
    text,
    words_of,
)
from booklet.spec.model import KNIFE_AGE, Option

TOP = ""
"""The name under which the keys above the first table are kept."""

LEAST_ITEM, MOST_ITEM = 5.0, 2000.0
"""mm. Smaller than 5 mm no hand folds, larger than 2 m no card holds (chosen by us)."""

LEAST_CALIPER, MOST_CALIPER = 0.05, 5.0
LEAST_GSM, MOST_GSM = 45.0, 3200.0
"""g/m2 whose typical calipers are those limits."""

LEAST_OVERLAP = 6.0
"""mm: a registration mark of two tiles has to stand in it (chosen by us)."""

GLUES = ("pva", "glue-stick", "tape", "hot-melt", "contact")

INSERTS = ("divider", "cradle")
"""Styles that may stand in a box of another style."""

HAZARDS = ("candle", "lamp", "food", "magnets", "pins", "small-parts")
"""What is put into a box or comes with it that can hurt; each has its text in the words file."""

LEAST_WINDOW = 8.0
"""mm: a smaller opening cannot be cut with a knife and shows nothing (chosen by us)."""

Tables = Mapping[str, Mapping[str, Key]]


@dataclass(frozen=True, slots=True)
class Shipped:
    """What there is to choose from: styles with their options, layouts, languages; and the folder of the spec."""

    shelf: Mapping[str, Sequence[Option]]
    layouts: Sequence[str]
    languages: Sequence[str]
    folder: Path


def tables(shipped: Shipped, style_name: object, insert: object = None) -> dict[str, dict[str, Key]]:
    """All tables of a spec of this style, with an insert of that one; an unknown style has no options. The top keys stand under `TOP`."""
    options = shipped.shelf.get(style_name, ()) if isinstance(style_name, str) else ()
    return {
        TOP: _top(shipped),
        **_thing(),
        **_stuff(),
        "box": {each.name: option(each) for each in options},
        "insert": _insert(shipped, insert),
        "window": _window(),
        "glue": {"kind": Key(choice(*GLUES), "pva")},
        **_readers(),
        **_extras(shipped),
        "booklet": _booklet(shipped),
    }


def _top(shipped: Shipped) -> dict[str, Key]:
    names = tuple(shipped.shelf)
    return {
        "title": Key(printed(LONGEST_TITLE)),
        "style": Key(style(names), missing=f"the styles are {', '.join(names) or 'none'}"),
        "marks": Key(choice("inside", "outside")),
    }


def _thing() -> dict[str, dict[str, Key]]:
    size = Key(length(LEAST_ITEM, MOST_ITEM))
    item = {"shape": Key(choice("block", "round"), "block"), "length": size, "width": size, "height": size, "diameter": size}
    return {
        "item": {**item, "weight": Key(mass(50_000.0))},
        "fit": {
            "clearance": Key(millimetres(0.0, 500.0), "6 mm", "1/4 in"),
            "headroom": Key(millimetres(0.0, 500.0), "8 mm", "3/8 in"),
        },
    }


def _stuff() -> dict[str, dict[str, Key]]:
    """The card and the printer's page."""
    return {
        "card": {
            "sheet": Key(sheet(50.0, 3000.0), "A4", "Letter"),
            "edge": Key(millimetres(0.0, 200.0), "6 mm", "1/4 in"),
            "gap": Key(millimetres(0.0, 100.0), "3 mm", "1/8 in"),
            "weight": Key(grammage(LEAST_GSM, MOST_GSM)),
            "caliper": Key(caliper(LEAST_CALIPER, MOST_CALIPER)),
            "fold": Key(choice("crease", "half-cut")),
            "grain": Key(choice("first", "second", "unknown"), "unknown"),
            "keep_grain": Key(flag, False),
            "splice": Key(flag, False),
            "supplied": Key(choice("sheets", "pre-cut"), "sheets"),
            "pack": Key(count(MOST_IN_PACK, "number of sheets in a pack")),
        },
        "page": {
            "paper": Key(sheet(50.0, 3000.0), "A4", "Letter"),
            "margin": Key(millimetres(0.0, 200.0), "6.35 mm", "1/4 in"),
            "overlap": Key(millimetres(LEAST_OVERLAP, 200.0), "10 mm", "3/8 in"),
            "print_on": Key(choice("paper", "card"), "paper"),
            "printed_bar": Key(printed_bar),
            "sure": Key(flag, False),
        },
    }


def _insert(shipped: Shipped, name: object) -> dict[str, Key]:
    """The insert's style and its options."""
    own = shipped.shelf.get(name, ()) if isinstance(name, str) and name in INSERTS else ()
    return {"style": Key(choice(*INSERTS)), **{each.name: option(each) for each in own}}


def _window() -> dict[str, Key]:
    size, off = Key(millimetres(LEAST_WINDOW, MOST_ITEM)), Key(millimetres(-MOST_ITEM, MOST_ITEM), "0 mm", "0 in")
    return {
        "panel": Key(text(40)),
        "shape": Key(choice("rectangle", "round", "arch"), "rectangle"),
        "width": size,
        "height": size,
        "diameter": size,
        "right": off,
        "up": off,
        "film": Key(flag, False),
    }


def _readers() -> dict[str, dict[str, Key]]:
    """Who builds it and what can hurt, the lesson, and who sells it."""
    line, ages = Key(printed(120)), "age in years"
    return {
        "safety": {
            "hazards": Key(words_of(HAZARDS), []),
            "age": Key(count(99, ages, 3)),
            "knife_age": Key(count(99, ages, 3), KNIFE_AGE),
        },
        "class": {"minutes": Key(count(600, "length of a lesson in minutes", 20), 90), "adults": Key(count(20, "number of adults"), 1)},
        "seller": {
            "name": line,
            "address": line,
            "electronic": line,
            "outside_eu": Key(flag, False),
            "responsible_name": line,
            "responsible_address": line,
            "responsible_electronic": line,
            "number": Key(printed(40)),
            "batch": Key(printed(40)),
            "link": Key(text(200)),
        },
    }


def _extras(shipped: Shipped) -> dict[str, dict[str, Key]]:
    """What is put on the box, and what all of it costs."""
    cost = Key(price)
    return {
        "covering": {
            "sheet": Key(sheet(50.0, 3000.0), "A4", "12x12 in"),
            "margin": Key(millimetres(0.0, 20.0), "2 mm", "1/16 in"),
            "caliper": Key(caliper(0.03, 1.0), "0.12 mm"),
            "under_lid": Key(flag, False),
        },
        "prices": {
            "currency": Key(printed(8), "EUR", "USD"),
            **dict.fromkeys(("sheet", "page", "glue", "tape", "covering", "ribbon"), cost),
        },
        "artwork": {"logo": Key(art(shipped.folder)), "panels": Key(arts(shipped.folder), {})},
    }


def _booklet(shipped: Shipped) -> dict[str, Key]:
    return {
        "layout": Key(layout(shipped), shipped.layouts[0] if shipped.layouts else None),
        "units": Key(choice("mm", "in"), "mm"),
        "language": Key(choice(*shipped.languages), shipped.languages[0] if shipped.languages else None),
        "copies": Key(count(MOST_COPIES, "number of copies"), 1),
        "words": Key(flag, True),
    }


def layout(shipped: Shipped) -> Reader:
    """The name of a shipped layout, or the path of a folder, seen from the folder of the spec."""
    plain = text(1000)

    def read(value: object) -> str:
        name = str(plain(value))
        if name not in shipped.layouts and not own_layout(shipped, name):
            names = ", ".join(f'"{known}"' for known in shipped.layouts)
            advice = advise(name, shipped.layouts, f"write {names}, or the path of a folder of your own")
            raise Misread(f"{show(name)} is no layout that is shipped yet, nor a folder beside the spec: {advice}")
        return name

    return read


def base_of(shipped: Shipped, folder: Path) -> str:
    """The shipped layout that a maker's own one names as its `base`; the first one where it names none that there is."""
    try:
        named = tomllib.loads((folder / "layout.toml").read_text(encoding="utf-8")).get("base")
    except (OSError, ValueError):  # a file that cannot be read is told where it is used
        named = None
    return str(named) if named in shipped.layouts else shipped.layouts[0]


def own_layout(shipped: Shipped, name: str) -> Path | None:
    """The folder of a maker's own layout, or None."""
    try:
        folder = shipped.folder / name
        return folder if name not in shipped.layouts and folder.is_dir() else None
    except (OSError, ValueError):  # a name that no file system takes
        return None

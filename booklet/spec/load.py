"""From a file to a `Spec`: every key read, every default filled in, all faults told at once with their lines.

The tables are read by a declarative table of our own (tables.py) and not by pydantic: each sentence names what
was found, what is allowed and what to write; it would have to be said again in any case, and a model class costs
0.1 s at each start of a program that takes about one second.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import Any

from booklet.card import Card, typical_caliper
from booklet.errors import Fault, SpecError
from booklet.grid import Units
from booklet.lengths import Misread, show, tame
from booklet.spec import rules
from booklet.spec.fields import Key, nearest
from booklet.spec.lines import key_lines
from booklet.spec.model import (
    Artwork,
    Booklet,
    Covering,
    Fit,
    Glue,
    Insert,
    Item,
    Lesson,
    Option,
    Page,
    Party,
    Prices,
    Safety,
    Seller,
    Spec,
    Value,
    Window,
)
from booklet.spec.source import Source, read
from booklet.spec.tables import TOP, Shipped, Tables, base_of, own_layout, tables

ASSUMED_CALIPER = 0.30
"""mm: the card that is meant when the spec says nothing of it (card of about 250 g/m2)."""

MOST_FAULTS = 40
"""So many faults are told; the rest are counted."""


def load(
    path: Path,
    shelf: Mapping[str, Sequence[Option]],
    layouts: Sequence[str] = ("home",),
    languages: Sequence[str] = ("en",),
    layout: str | None = None,
) -> Spec:
    """The spec in a file. `shelf`: the options of each style. Raises `SpecError` with all the faults.

    A layout that is no shipped one is a folder, seen from the folder that the spec is in. `layout`: one in place of that of the spec, seen
    from the current folder.
    """
    return taken(read(path), path, Shipped(shelf, layouts, languages, path.parent), layout)


def taken(
    source: Source, path: Path, shipped: Shipped, layout: str | None = None, lines: Mapping[tuple[str, ...], int] | None = None
) -> Spec:
    """The spec in tables that were read already: `source` holds them, their text, and the bytes to hand on.

    `lines`: where the keys stand, if not in that text. Raises `SpecError` with all the faults.
    """
    data = {**source.data, "booklet": laid_out(source.data.get("booklet", {}), shipped, layout)} if layout is not None else source.data
    insert = data.get("insert")
    known = tables(shipped, data.get("style"), insert.get("style") if isinstance(insert, dict) else None)
    reading = _Reading(data, key_lines(source.text) if lines is None else lines, known, shipped)
    reading.take()
    if reading.faults:
        raise SpecError(_told(reading.faults))
    return _build(reading, shipped, source.raw, path)


def laid_out(booklet: object, shipped: Shipped, layout: str) -> object:
    """The table [booklet] with a layout of the command line in place of its own. Raises `SpecError` where there is none of that name."""
    folder = Path(layout).absolute()
    if layout in shipped.layouts:
        named = layout
    elif own_layout(shipped, str(folder)):
        named = str(folder)
    else:
        known = ", ".join(shipped.layouts)
        text = f"{show(layout)} is no folder and no layout that is shipped: give the path of a folder, or one of {known}"
        raise SpecError([Fault("--layout", text)])
    return {**booklet, "layout": named} if isinstance(booklet, dict) else booklet


def read_page(given: Mapping[str, object], units: Units) -> Page:
    """The printer's page of keys as they stand under [page], the others by their defaults. Raises `SpecError` with all the faults."""
    known = tables(Shipped({}, ("home",), ("en",), Path()), None)
    kept = {TOP: {}, "page": known["page"], "booklet": known["booklet"]}
    reading = _Reading({"page": dict(given), "booklet": {"units": units}}, {}, kept)
    reading.take()
    if reading.faults:
        raise SpecError(reading.faults)
    return _page(reading.values)


def _told(faults: list[Fault]) -> list[Fault]:
    """In the order of the file, and no more than a screen or so."""
    ordered = sorted(faults, key=lambda fault: fault.line or 10**9)
    more = len(ordered) - MOST_FAULTS
    rest = [Fault("spec", f"{more} more faults like these: mend the first ones and try again")] if more > 0 else []
    return [*ordered[:MOST_FAULTS], *rest]


class _Reading:
    """Gathers what a file's tables say, and all that is wrong with it."""

    def __init__(self, data: dict[str, Any], lines: Mapping[tuple[str, ...], int], known: Tables, shipped: Shipped | None = None):
        self.data, self.lines, self.known, self.shipped = data, lines, known, shipped
        self.values: dict[str, Any] = {}
        self.given: set[str] = set()
        self.faults: list[Fault] = []
        self.units: Units = "mm"

    def fault(self, text: str, *where: str) -> None:
        """Notes a fault at a key, with the key's line, or its table's."""
        path = tuple(part for part in where if part)
        line = self.lines.get(path) or self.lines.get(path[:1])
        self.faults.append(Fault(".".join(tame(part, 40) for part in path), text, line))

    def take(self) -> None:
        """Reads all tables, then what must hold between them."""
        booklet = self.data.get("booklet")
        self.units = "in" if isinstance(booklet, dict) and booklet.get("units") == "in" else "mm"
        self._unknown_tables()
        top = {key: value for key, value in self.data.items() if key == TOP or key not in self.known}
        for name, keys in self.known.items():
            self._table(name, keys, top if name == TOP else self.data.get(name, {}))
            self.given.update({name} & set(self.data))
        self.values["booklet.base"] = self._base()
        values = rules.Values(self.values, frozenset(self.given))
        for rule in rules.RULES:
            for where, text in rule(values):
                self.fault(text, *where.split("."))

    def _base(self) -> str | None:
        """The shipped layout that it is, or that a maker's own one stands on."""
        layout = self.values.get("booklet.layout")
        own = own_layout(self.shipped, layout) if self.shipped and layout else None
        return base_of(self.shipped, own) if self.shipped and own else layout

    def _unknown_tables(self) -> None:
        names = [name for name in self.known if name != TOP]
        for name, value in self.data.items():
            if isinstance(value, dict) and name not in names and name not in self.known[TOP]:
                near = nearest(name, names)
                hint = f"did you mean [{near}]? The" if near else "the"
                self.fault(f"no such table: {hint} tables are {', '.join(names)}", name)

    def _table(self, name: str, keys: Mapping[str, Key], raw: object) -> None:
        if not isinstance(raw, dict):
            self.fault(f"{show(raw)} stands where a table belongs: write [{name}] once, on a line of its own, and its keys below", name)
            self.given.update(f"{name}.{key}" for key in keys)
            return
        for key in raw:
            if key not in keys and not (name == TOP and isinstance(raw[key], dict)):
                self._unknown(name, key)
        for key, how in keys.items():
            self._key(name, key, how, raw)

    def _unknown(self, name: str, key: str) -> None:
        if (name == "box" and self.values.get("style") is None) or (name == "insert" and len(self.known[name]) == 1):
            return  # the style is told; its options are not known yet
        homes = [f"under [{table}]" if table else "above the first table" for table, keys in self.known.items() if key in keys]
        near = nearest(key, self.known[name])
        if homes:
            text = f"no such key here: it belongs {' or '.join(homes)}"
        elif near:
            text = f'no such key: did you mean "{near}"?'
        else:
            kind = "no option of this style" if name in ("box", "insert") else "no such key"
            text = f"{kind}: what may stand here is {', '.join(self.known[name]) or 'nothing'}"
        self.fault(text, name, key)

    def _key(self, name: str, key: str, how: Key, raw: Mapping[str, object]) -> None:
        where = f"{name}.{key}" if name else key
        if key not in raw:
            self.values[where] = how.absent(self.units)
            if how.missing:
                self.fault(f"is missing: {how.missing}", name, key)
            return
        self.given.add(where)
        try:
            self.values[where] = how.read(raw[key])
        except Misread as misread:
            self.fault(str(misread), name, key)


def _build(reading: _Reading, shipped: Shipped, source: bytes, path: Path) -> Spec:
    v = reading.values
    style = v["style"]
    return Spec(
        title=v["title"] or style.replace("-", " ").capitalize(),
        style=style,
        item=_item(v),
        fit=Fit(v["fit.clearance"], v["fit.headroom"]),
        card=_card(v),
        page=_page(v),
        glue=Glue(v["glue.kind"]),
        booklet=_booklet(v, shipped),
        marks=v["marks"],
        box=MappingProxyType(_options(reading, "box", shipped.shelf[style])),
        insert=_insert(reading, shipped),
        window=_window(reading),
        supplied=v["card.supplied"],
        safety=Safety(v["safety.hazards"], v["safety.age"], v["safety.knife_age"]),
        prices=_prices(reading),
        covering=_covering(reading),
        lesson=Lesson(v["class.minutes"], v["class.adults"]),
        seller=_seller(reading),
        artwork=Artwork(v["artwork.logo"], v["artwork.panels"]),
        source=source,
        path_name=path.name,
    )


def _item(v: Mapping[str, Any]) -> Item:
    across = v["item.diameter"]
    return Item(v["item.shape"], across or v["item.length"], across or v["item.width"], v["item.height"], across, v["item.weight"])


def _card(v: Mapping[str, Any]) -> Card:
    gsm, caliper = v["card.weight"], v["card.caliper"]
    sheet = v["card.sheet"]
    plain = {name: v[f"card.{name}"] for name in ("edge", "gap", "grain", "keep_grain", "splice", "fold", "pack")}
    if caliper is not None:
        return Card(caliper, sheet.size, gsm=gsm, sheet_name=sheet.name, **plain)
    if gsm is not None:
        return Card(typical_caliper(gsm), sheet.size, gsm=gsm, caliper_from="weight", sheet_name=sheet.name, **plain)
    return Card(ASSUMED_CALIPER, sheet.size, caliper_from="assumed", sheet_name=sheet.name, **plain)


def _page(v: Mapping[str, Any]) -> Page:
    paper = v["page.paper"]
    return Page(paper.size, paper.name, v["page.margin"], v["page.overlap"], v["page.print_on"], v["page.printed_bar"])


def _booklet(v: Mapping[str, Any], shipped: Shipped) -> Booklet:
    layout = v["booklet.layout"]
    own = own_layout(shipped, layout)
    base = base_of(shipped, own) if own else layout
    return Booklet(layout, v["booklet.units"], v["booklet.language"], v["booklet.copies"], own, v["booklet.words"], base)


def _options(reading: _Reading, table: str, options: Sequence[Option]) -> dict[str, Value]:
    """Every option of a style: as given, else its default in the units of the booklet."""
    given = {name: reading.values[f"{table}.{name}"] for name in (each.name for each in options) if f"{table}.{name}" in reading.given}
    return {each.name: given.get(each.name, each.resolved(reading.units)) for each in options}


def _insert(reading: _Reading, shipped: Shipped) -> Insert | None:
    if "insert" not in reading.given:
        return None
    style = reading.values["insert.style"]
    return Insert(style, MappingProxyType(_options(reading, "insert", shipped.shelf[style])))


def _prices(reading: _Reading) -> Prices | None:
    if "prices" not in reading.given:
        return None
    names = ("currency", "sheet", "page", "glue", "tape", "covering", "ribbon")
    return Prices(*(reading.values[f"prices.{name}"] for name in names))


def _covering(reading: _Reading) -> Covering | None:
    if "covering" not in reading.given:
        return None
    v = reading.values
    sheet = v["covering.sheet"]
    return Covering(sheet.size, sheet.name, v["covering.margin"], v["covering.caliper"], v["covering.under_lid"])


def _seller(reading: _Reading) -> Seller | None:
    if "seller" not in reading.given:
        return None
    v = {key: reading.values[f"seller.{key}"] or "" for key in reading.known["seller"]}
    maker = Party(v["name"], v["address"], v["electronic"])
    other = Party(*(v[f"responsible_{key}"] for key in ("name", "address", "electronic"))) if v["outside_eu"] else None
    return Seller(maker, other, v["number"], v["batch"], v["link"])


def _window(reading: _Reading) -> Window | None:
    if "window" not in reading.given:
        return None
    v = {key: reading.values[f"window.{key}"] for key in ("panel", "shape", "width", "height", "diameter", "right", "up", "film")}
    across = v["diameter"]
    return Window(v["panel"], v["shape"], across or v["width"], across or v["height"], v["right"], v["up"], v["film"])

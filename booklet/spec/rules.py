"""What must hold between the keys of a spec: told together with the other faults, where the keys themselves are fine."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from booklet.lengths import Sheet, show, tell
from booklet.spec import bars
from booklet.spec.tables import INSERTS

Found = Iterator[tuple[str, str]]

LEAST_USABLE = 20.0
"""mm of card that must be left between the edges to hold any panel (chosen by us)."""

LEAST_PRINTABLE = 40.0
"""mm of page that must be left between the margins to tile with (chosen by us)."""

SIZES = {"block": ("length", "width", "height"), "round": ("diameter", "height")}


@dataclass(frozen=True, slots=True)
class Values:
    """What was read, by "table.key": None for what is not there or could not be read; `given`: what stands in the file."""

    values: Mapping[str, Any]
    given: frozenset[str]

    def __getitem__(self, where: str) -> Any:
        """The value of "table.key", or None."""
        return self.values.get(where)

    def all(self, *wheres: str) -> bool:
        """Whether each of these could be read."""
        return all(self[where] is not None for where in wheres)

    def told(self, mm: float) -> str:
        """A limit in the units of the booklet."""
        return tell(mm, self["booklet.units"] or "mm")


def shape(values: Values) -> Found:
    """A block has length, width and height; a round thing diameter and height."""
    kind = values["item.shape"]
    if kind is None:
        return
    for name in SIZES[kind]:
        if f"item.{name}" not in values.given:
            yield f"item.{name}", f'is missing: measure the item at its widest and write it, as in {name} = "125 mm"'
    for name in sorted({"length", "width", "diameter"} - set(SIZES[kind])):
        if f"item.{name}" in values.given:
            other = "round" if kind == "block" else "block"
            yield f"item.{name}", f'does not go with shape = "{kind}": take it out, or write shape = "{other}"'


def page(values: Values) -> Found:
    """The margins leave a page, and the overlap at most half of it."""
    if not values.all("page.paper", "page.margin", "page.overlap"):
        return
    paper: Sheet = values["page.paper"]
    margin, overlap = values["page.margin"], values["page.overlap"]
    left, most = min(paper.size) - 2 * margin, max(0.0, (min(paper.size) - LEAST_PRINTABLE) / 2)
    if margin > most:
        yield "page.margin", f"{values.told(margin)} on each side leaves too little of {paper.name}: give at most {values.told(most)}"
    elif overlap > left / 2:
        told = f"{values.told(overlap)} is more than half of what can be printed on {paper.name}"
        yield "page.overlap", f"{told}: give at most {values.told(left / 2)}"


def card(values: Values) -> Found:
    """The edges leave something of the sheet, and a grain that is to be kept is known."""
    if values.all("card.sheet", "card.edge"):
        sheet, edge = values["card.sheet"], values["card.edge"]
        most = max(0.0, (min(sheet.size) - LEAST_USABLE) / 2)
        if edge > most:
            told = f"{values.told(edge)} on each side leaves nothing of a sheet of {sheet.name}"
            yield "card.edge", f"{told}: give at most {values.told(most)}"
    if values["card.keep_grain"] and values["card.grain"] == "unknown":
        yield "card.keep_grain", 'the grain cannot be kept while it is not known: write grain = "first" or "second", or keep_grain = false'


def printer(values: Values) -> Found:
    """Bars that are short alike are those of a page that was fitted to the paper, unless the maker is sure."""
    measured = values["page.printed_bar"]
    if measured is None or values["page.sure"] is not False:
        return
    scales = bars.scale(measured[0], 0), bars.scale(measured[1], 1)
    if bars.fitted(scales):
        mean = sum(scales) / 2
        known = f" ({fit})" if (fit := bars.known_fit(mean)) else ""
        told = f"both bars are {(1 - mean) * 100:.1f} % short, so it seems that fit to page is on{known}"
        advice = "switch it off, print the page again at 100 % and measure again"
        yield "page.printed_bar", f"{told}: {advice}; where the figures are right all the same, write sure = true under [page]"


def insert(values: Values) -> Found:
    """An insert has its style, and stands in a box that is none itself."""
    if "insert" not in values.given:
        return
    names = " or ".join(f'"{name}"' for name in INSERTS)
    if "insert.style" not in values.given:
        yield "insert.style", f"is missing: write style = {names}, or take [insert] out"
    elif values["style"] in INSERTS:
        yield (
            "insert.style",
            f'does not go with style = "{values["style"]}", which stands in a box itself: take [insert] out, or name a box',
        )


def window(values: Values) -> Found:
    """A window has a panel and its sizes: a round one a diameter, the others width and height."""
    if "window" not in values.given:
        return
    if "window.panel" not in values.given:
        yield "window.panel", 'is missing: write the panel that it is cut into, as in panel = "lid" or panel = "front"'
    kind = values["window.shape"]
    if kind is None:
        return
    sizes = ("diameter",) if kind == "round" else ("width", "height")
    for name in sizes:
        if f"window.{name}" not in values.given:
            yield f"window.{name}", f'is missing: write how large the opening is, as in {name} = "60 mm"'
    for name in sorted({"width", "height", "diameter"} - set(sizes)):
        if f"window.{name}" in values.given:
            yield f"window.{name}", f'does not go with shape = "{kind}": take it out, or write another shape'
    width, height = values["window.width"], values["window.height"]
    if kind == "arch" and width and height and height < width / 2:
        yield "window.height", f"an arch {values.told(width)} wide is at least half as high: give {values.told(width / 2)} or more"


PARTY = {"name": "Kiln Lane pottery", "address": "3 Kiln Lane, 12345 Marl", "electronic": "hello@kiln-lane.example"}
"""What is told of who answers for a kit, with an example of each."""


def seller(values: Values) -> Found:
    """A kit tells who made it, and outside the EU who answers for it there: name, postal and electronic address."""
    if values["booklet.base"] != "kit" and "seller" not in values.given:
        return
    for name, such in PARTY.items():
        if f"seller.{name}" not in values.given:
            yield f"seller.{name}", f'is missing: a kit that is sold tells who made it; write it under [seller], as in {name} = "{such}"'
        responsible = f"responsible_{name}"
        if values["seller.outside_eu"] and f"seller.{responsible}" not in values.given:
            told = "is missing: with outside_eu = true a kit tells who answers for it in the EU"
            yield f"seller.{responsible}", f'{told}; write it, as in {responsible} = "{such}"'
        if values["seller.outside_eu"] is False and f"seller.{responsible}" in values.given:
            yield f"seller.{responsible}", "goes only with a maker outside the EU: write outside_eu = true, or take it out"


_REACHED = re.compile(r"[^\s@]+@[^\s@]+\.[^\s@]+|(?:https?://)?[^\s@./]+(?:\.[^\s@./]+)+(?:/\S*)?")


def reached(values: Values) -> Found:
    """An electronic address is one that a buyer can write to: of mail, or of a page."""
    for where in ("seller.electronic", "seller.responsible_electronic"):
        found = values[where]
        if found is not None and not _REACHED.fullmatch(found):
            yield where, f'"{found}" is no address of mail or of a page: write one, as in {PARTY["electronic"]}'


def identifier(values: Values) -> Found:
    """A kit has what tells it apart from others: the number of the article, or the batch (Regulation (EU) 2023/988, article 9)."""
    if values["booklet.base"] == "kit" and not values.given & {"seller.number", "seller.batch"}:
        told = "is missing, and so is the batch: a kit that is sold has what tells it apart"
        yield "seller.number", f'{told}; write the number of the article under [seller], as in number = "KL-104", or batch = "2031-B"'


ADULT = 16
"""Years: a kit for younger ones is not glued with contact glue (chosen by us; the product's own sheet comes first)."""


def grown(values: Values) -> Found:
    """A kit that is glued with contact glue is not for children: its notes say so, and its age must not say otherwise."""
    age = values["safety.age"]
    if values["booklet.base"] == "kit" and values["glue.kind"] == "contact" and age is not None and age < ADULT:
        yield (
            "safety.age",
            f"{age} is too young for contact glue, which is not for children: write {ADULT} or more, or another kind of glue",
        )


_HOST = r"[a-z0-9](?:[a-z0-9.-]{0,250}[a-z0-9])?"
_REST = r"[\w.~:/?#\[\]@!$&'()*+,;=%-]*"
_LINK = re.compile(
    rf"https?://{_HOST}(?::\d{{1,5}})?(?:[/?#]{_REST})?|mailto:[\w.!#$%&'*+/=?^`{{|}}~-]+@{_HOST}(?:\?{_REST})?", re.ASCII | re.IGNORECASE
)
"""Addresses that a label may lead to (RFC 3986, RFC 6068), without a name or a password before the host."""


def link(values: Values) -> Found:
    """What a telephone opens from the label is a page or a letter, and nothing that hides where it leads."""
    given = values["seller.link"]
    if given is not None and not _LINK.fullmatch(given):
        advice = "write one that begins with https://, http:// or mailto: and is in plain letters without spaces"
        yield "seller.link", f'{show(given)} is no address that a label can lead to: {advice}, as in link = "https://kiln-lane.example/mug"'


def supplied(values: Values) -> Found:
    """Card that comes cut is not printed on."""
    if values["card.supplied"] == "pre-cut" and values["page.print_on"] == "card":
        yield "card.supplied", 'card that comes cut is not printed on: write supplied = "sheets", or print_on = "paper" under [page]'


def pupils(values: Values) -> Found:
    """A class tells from which age it is: whether its pupils get blades hangs on that."""
    if values["booklet.base"] == "class" and "safety.age" not in values.given:
        yield "safety.age", "is missing: for a class write from which age it is under [safety], as in age = 9"


RULES: tuple[Callable[[Values], Found], ...] = (
    shape,
    page,
    card,
    printer,
    insert,
    window,
    seller,
    identifier,
    link,
    supplied,
    pupils,
    reached,
    grown,
)

"""What the texts of a kit ask for: who made it and what tells it apart, what goes into the bag, how small it lies and what it weighs.

What a template sees:

- `kit.maker`, `kit.responsible`: lines on who answers for the kit, the second empty where the maker is in the EU; `kit.number`,
  `kit.batch`, `kit.link`: empty where the spec has none.
- `kit.ages`: for whom it is made, empty where the spec has no age; `kit.small_parts`: whether it is not for children under 36 months.
- `kit.bag(files)`: the flat pack (`Bag`), for the files made before: the booklet's leaves lie in it. `kit.stands_out(files)`: how far the
  inner leaves of the booklet stand out, empty where it is little.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import shapely

from booklet import creep, flatpack, sheets, windows
from booklet.card import typical_grammage
from booklet.flatpack import Thing
from booklet.lengths import GRAMS
from booklet.net import Part
from booklet.pages.figures import TIMES, figures_of
from booklet.pages.texts import plain
from booklet.pages.words import Words
from booklet.plan import Plan
from booklet.spec.model import Party, Seller

Files = Mapping[str, Mapping[str, int]]
"""Pages and leaves of the files made before, by name."""

FILM = (0.2, 280.0)
"""Caliper in mm and g/m2 of clear film for windows (common practice, no source)."""


MOST_LINES = 5
"""An address of more parts than this is set as one text, so that it has room on the back (chosen by looking)."""


@dataclass(frozen=True, slots=True)
class Row:
    """A thing that goes into the bag: how many into one, and into all."""

    name: str
    one: int
    all: int


@dataclass(frozen=True, slots=True)
class Fitting:
    """An envelope: its name, its size, whether the kit goes in, and how thick it is then, with its unit."""

    name: str
    size: str
    fits: bool
    thickness: str


@dataclass(frozen=True, slots=True)
class Bag:
    """What goes into a bag, how small it lies, what it weighs. `best`: the smallest envelope that it goes into, empty for none."""

    rows: tuple[Row, ...]
    size: str
    thickness: str
    weight: str
    weight_all: str
    envelopes: tuple[Fitting, ...]
    best: str


class Kit:
    """The kit of a plan. Raises `BookletError` where a language has no words for something."""

    def __init__(self, plan: Plan, words: Words):
        self._plan, self._words, self._tell = plan, words, figures_of(plan, words)
        self._copies = plan.spec.booklet.copies

    @cached_property
    def _seller(self) -> Seller:
        return self._plan.spec.seller or Seller(Party("", "", ""))

    @property
    def maker(self) -> tuple[str, ...]:
        """Name, postal address by line, electronic address."""
        return told(self._seller.maker)

    @property
    def responsible(self) -> tuple[str, ...]:
        """The same of who answers for it in the EU."""
        return told(self._seller.responsible) if self._seller.responsible else ()

    @property
    def number(self) -> str:
        """Of the article."""
        return line(self._seller.number)

    @property
    def batch(self) -> str:
        """Of this batch."""
        return line(self._seller.batch)

    @property
    def link(self) -> str:
        """Where the square code leads."""
        return line(self._seller.link)

    @property
    def ages(self) -> str:
        """From which age it is made."""
        age = self._plan.spec.safety.age
        return "" if age is None else self._words.said("kit.ages", age=age)

    @property
    def small_parts(self) -> bool:
        """Whether it comes with small parts: not for children under 36 months (16 CFR 1501.4)."""
        return "small-parts" in self._plan.spec.safety.hazards

    def leaves(self, files: Files) -> int:
        """Leaves of the booklet; none where it could not be made, which is told by itself."""
        return files.get("main", {}).get("leaves", 0)

    def stands_out(self, files: Files) -> str:
        """How far the inner leaves of the booklet stand out, where it is more than a reader is left alone with."""
        leaves = self.leaves(files)
        return self._tell.length(creep.creep(leaves), fine=True) if creep.told(leaves) else ""

    def bag(self, files: Files) -> Bag:
        """The flat pack with the booklet, and with the templates where they come with it."""
        named = [*self._cards(), *self._films(), *self._papers(files)]
        things = [thing for _, thing in named]
        flat, fittings = flatpack.flat(things), tuple(self._fitting(name, size, things) for name, size in flatpack.ENVELOPES)
        return Bag(
            rows=tuple(Row(name, thing.count, thing.count * self._copies) for name, thing in named),
            size=self._tell.size(*flat.size),
            thickness=self._tell.length(flat.thickness, fine=True),
            weight=self._weight(flat.grams),
            weight_all=self._weight(flat.grams * self._copies),
            envelopes=fittings,
            best=next((one.name for one in fittings if one.fits), ""),
        )

    def _weight(self, grams: float) -> str:
        """A weight to put on a parcel: from a kilogram or a pound on in these, to a hundredth."""
        tell = self._tell
        if tell.units == "in":
            return f"{tell.number(round(grams / GRAMS['lb'], 2))} lb" if grams >= GRAMS["lb"] else tell.mass(grams)
        return f"{tell.number(round(grams / 1000, 2))} kg" if grams >= 1000 else tell.mass(grams)

    def _fitting(self, name: str, size: flatpack.Size, things: list[Thing]) -> Fitting:
        thick = flatpack.envelope(things, size)
        told_size = f"{TIMES.join(f'{side:.0f}' for side in size)} mm"
        return Fitting(name, told_size, thick is not None, "" if thick is None else self._tell.length(thick, fine=True))

    def _cards(self) -> Iterator[tuple[str, Thing]]:
        """The pieces, or the sheets that they are cut from."""
        plan, card = self._plan, self._plan.card
        if plan.net.ready:
            for part, piece, count in plan.templates:
                area = shapely.Polygon(piece.outline, piece.holes).area
                name = self._words.said("kit.piece", name=plain(self._words.piece(part, piece)))
                grams = area * 1e-6 * self._gsm(part.caliper)
                yield name, Thing(piece.outline, part.caliper, grams, count * self._places(part))
            return
        for caliper, count in sheets.counted(plan.net, plan.placed):
            size, gsm = self._tell.size(*card.sheet), self._gsm(caliper)
            name = self._words.said("kit.sheet", size=size, caliper=self._tell.caliper(caliper), grammage=self._tell.grammage(gsm))
            yield name, flatpack.rectangle(*card.sheet, caliper, gsm, count)

    def _gsm(self, caliper: float) -> float:
        """g/m2 of the card, or what is usual for another caliper."""
        return self._plan.card.grammage if caliper == self._plan.net.caliper else typical_grammage(caliper)

    @staticmethod
    def _places(part: Part) -> int:
        return max(1, len(part.places))

    def _films(self) -> Iterator[tuple[str, Thing]]:
        window = self._plan.spec.window
        film = windows.film_of(window, self._plan.spec.booklet.grid) if window else None
        if film:
            yield (
                self._words.said("kit.film", size=self._tell.size(film.width, film.height)),
                flatpack.rectangle(film.width, film.height, *FILM),
            )

    def _papers(self, files: Files) -> Iterator[tuple[str, Thing]]:
        """The printed templates as they are, and the booklet, each of whose leaves lies double."""
        wide, high = self._plan.spec.page.paper
        if templates := files.get("templates"):
            name = self._words.said("kit.template_leaves", paper=plain(self._plan.spec.page.name))
            yield name, flatpack.rectangle(wide, high, creep.PAPER, creep.GRAMMAGE, templates["leaves"])
        leaves = self.leaves(files)
        half = max(wide, high) / 2, min(wide, high)
        yield self._words.said("kit.booklet"), flatpack.rectangle(*half, 2 * creep.PAPER * leaves, 2 * creep.GRAMMAGE * leaves)


def told(party: Party) -> tuple[str, ...]:
    """Who answers for a kit, by line; an address of very many parts runs on."""
    parts = [part.strip() for part in party.address.split(",") if part.strip()]
    address = parts if len(parts) <= MOST_LINES else [", ".join(parts)]
    return tuple(line(part) for part in (party.name, *address, party.electronic) if part)


def line(text: str) -> str:
    r"""A line of a maker's own that Markdown takes as it stands, whatever it begins with.

    >>> print(line("12. Lane"), line("::: danger"))
    12\. Lane \::: danger
    """
    return re.sub(r"^(\d*)([-+=:.)])", r"\1\\\2", plain(text))

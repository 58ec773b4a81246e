"""What a spec says, once it is read: one frozen record a table. All sizes in mm, weights in g or g/m2."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Literal

from booklet.card import Card
from booklet.grid import Grid, Units
from booklet.lengths import Length, as_read
from booklet.spec import bars

Value = float | str | bool | None
"""What an option of a style can hold: a length in mm, a count, a choice, a flag, or None (the style works it out)."""

BAR = bars.SHORT
"""Length of the bars of the print check in mm."""


KNIFE_AGE = 12
"""Years: younger ones get no blade unless the spec sets another age (chosen by us; local rules come first)."""


@dataclass(frozen=True, slots=True)
class Option:
    """One option of a style, with a default that is a round figure in either unit.

    `mm`, `inch`: the default of a length in mm and in inches; both None: the style works it out.
    `default`: that of a count, a choice or a flag. `least_mm`, `most_mm`: the limits of a length; `least`, `most`: those of a count; all
    allowed themselves.
    """

    name: str
    kind: Literal["length", "count", "choice", "flag"] = "length"
    mm: float | None = None
    inch: float | None = None
    choices: tuple[str, ...] = ()
    default: str | bool | int | None = None
    least_mm: float = 0.0
    most_mm: float = 1000.0
    least: int = 1
    most: int = 100

    def resolved(self, units: Units) -> Value:
        """The default in these units: a length in mm, a choice, a flag, or None."""
        if self.kind != "length":
            return self.default
        if self.mm is None or self.inch is None:
            return self.mm
        return Grid(units).default(self.mm, self.inch)


@dataclass(frozen=True, slots=True)
class Item:
    """What goes inside, as written. A round item has its diameter as length and width too."""

    shape: Literal["block", "round"]
    length: Length
    width: Length
    height: Length
    diameter: Length | None = None
    weight: float | None = None

    @property
    def size(self) -> tuple[float, float, float]:
        """Length, width, height in mm, inches read up to a mark of the ruler (see `as_read`)."""
        return as_read(self.length), as_read(self.width), as_read(self.height)


@dataclass(frozen=True, slots=True)
class Fit:
    """Play in mm: `clearance` across, in all; `headroom` above the item."""

    clearance: float
    headroom: float


@dataclass(frozen=True, slots=True)
class Page:
    """The printer's page in mm. `printed_bar`: what two bars measured, x and y, or None; which bars is told by their lengths."""

    paper: tuple[float, float]
    name: str
    margin: float
    overlap: float
    print_on: Literal["paper", "card"] = "paper"
    printed_bar: tuple[float, float] | None = None

    @property
    def scale(self) -> tuple[float, float]:
        """How large the printer prints in x and y; template sizes are drawn at one over it. See `bars.scale`."""
        return (bars.scale(self.printed_bar[0], 0), bars.scale(self.printed_bar[1], 1)) if self.printed_bar else (1.0, 1.0)

    @property
    def printable(self) -> tuple[float, float]:
        """Width and height of the page inside its margins in mm."""
        return self.paper[0] - 2 * self.margin, self.paper[1] - 2 * self.margin


@dataclass(frozen=True, slots=True)
class Glue:
    """What the box is glued with."""

    kind: Literal["pva", "glue-stick", "tape", "hot-melt", "contact"] = "pva"


@dataclass(frozen=True, slots=True)
class Booklet:
    """How it is told. `layout`: a shipped layout's name, or as written; `folder`: a maker's own layout, else None.

    `base`: the shipped layout that a maker's own one takes from what it lacks.
    `words`: whether the steps are told in words; else they are pictures with signs.
    """

    layout: str = "home"
    units: Units = "mm"
    language: str = "en"
    copies: int = 1
    folder: Path | None = None
    words: bool = True
    base: str = "home"

    @property
    def shipped(self) -> str:
        """The shipped layout that it is, or that a maker's own one stands on."""
        return self.base if self.folder else self.layout

    @property
    def grid(self) -> Grid:
        """The ruler that goes with the units."""
        return Grid(self.units)


@dataclass(frozen=True, slots=True)
class Insert:
    """What stands inside the box: the style of the insert, with every option of it."""

    style: str
    options: Mapping[str, Value]


@dataclass(frozen=True, slots=True)
class Window:
    """An opening in a panel, in mm as seen upright from outside; a round one has its diameter as width and height.

    `panel`: as written. `right`, `up`: how far its middle is from that of the panel. `film`: whether film is glued behind it.
    """

    panel: str
    shape: Literal["rectangle", "round", "arch"]
    width: float
    height: float
    right: float = 0.0
    up: float = 0.0
    film: bool = False


@dataclass(frozen=True, slots=True)
class Safety:
    """Whom the box is for, and what comes with it that can hurt.

    `hazards`: names of what is put into the box or comes with it. `age`: in years, of the youngest who builds it; None where not told.
    `knife_age`: who is younger gets no blade.
    """

    hazards: tuple[str, ...] = ()
    age: int | None = None
    knife_age: int = KNIFE_AGE

    @property
    def no_blades(self) -> bool:
        """Whether who builds it is too young for a blade."""
        return self.age is not None and self.age < self.knife_age


@dataclass(frozen=True, slots=True)
class Prices:
    """What things cost, in `currency`; None for what is not told.

    `sheet`: of one sheet of card; `page`: of one printed page; `glue`: of 100 g; `tape`: of 10 m; `covering`: of one sheet of decorative
    paper; `ribbon`: of one metre.
    """

    currency: str
    sheet: float | None = None
    page: float | None = None
    glue: float | None = None
    tape: float | None = None
    covering: float | None = None
    ribbon: float | None = None


@dataclass(frozen=True, slots=True)
class Covering:
    """Decorative paper for the outside, mm. `margin`: that each panel is smaller than its face on each side.

    `under_lid`: whether it goes on under a lid's skirt, which is then wider; else it stops below the skirt.
    """

    sheet: tuple[float, float]
    name: str
    margin: float
    caliper: float
    under_lid: bool = False


@dataclass(frozen=True, slots=True)
class Lesson:
    """A lesson: its length in minutes, and how many adults are there."""

    minutes: int = 90
    adults: int = 1


@dataclass(frozen=True, slots=True)
class Party:
    """Who answers for a kit: name, postal address (its lines parted by commas), electronic address."""

    name: str
    address: str
    electronic: str


@dataclass(frozen=True, slots=True)
class Seller:
    """Who sells the kit, and how it is told apart. `responsible`: who answers for it in the EU where the maker is outside of it.

    `number`: of the article; `batch`; `link`: the address that the label's square code leads to, "" for none.
    """

    maker: Party
    responsible: Party | None = None
    number: str = ""
    batch: str = ""
    link: str = ""


@dataclass(frozen=True, slots=True)
class Art:
    """A maker's own drawing: the file's name as written, and its bytes, not yet looked at."""

    name: str
    data: bytes


@dataclass(frozen=True, slots=True)
class Artwork:
    """A maker's own drawings: a logo, and one for each panel by its name as written."""

    logo: Art | None = None
    panels: Mapping[str, Art] = field(default_factory=lambda: MappingProxyType({}))

    @property
    def named(self) -> tuple[str, ...]:
        """What has a drawing, as written."""
        return (*self.panels, *(("logo",) if self.logo else ()))


@dataclass(frozen=True, slots=True)
class Spec:
    """A whole spec, every default filled in.

    `marks`: None leaves the marked face to the thickness of the card. `box`: every option of the style. `insert`, `window`: None for none.
    `supplied`: "pre-cut" where the card comes cut and scored. `prices`, `covering`, `seller`: None where they are not told.
    `source`: the file's bytes, to attach to the booklet; `path_name`: the file's name without its folder.
    """

    title: str
    style: str
    item: Item
    fit: Fit
    card: Card
    page: Page
    glue: Glue = Glue()
    booklet: Booklet = Booklet()
    marks: Literal["inside", "outside"] | None = None
    box: Mapping[str, Value] = field(default_factory=lambda: MappingProxyType({}))
    insert: Insert | None = None
    window: Window | None = None
    supplied: Literal["sheets", "pre-cut"] = "sheets"
    safety: Safety = Safety()
    prices: Prices | None = None
    covering: Covering | None = None
    lesson: Lesson = Lesson()
    seller: Seller | None = None
    artwork: Artwork = Artwork()
    source: bytes = b""
    path_name: str = ""

    @property
    def units(self) -> Units:
        """The units that sizes are told in and rounded to."""
        return self.booklet.units

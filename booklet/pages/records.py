"""What the templates can ask for: frozen records of words, every figure already told in the units of the spec.

Texts that a maker wrote come as Markdown that stands for itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from booklet.pages.sentences import StepFacts
from booklet.pages.words import StyleWords


@dataclass(frozen=True, slots=True)
class BoxFacts:
    """The finished box: its inside, the play that is left, and whether it is closed; `bows`: its base under the item.

    `wide`: how wide it is where it is narrowest, told for a round item in a box whose inside is no cuboid, else empty. `cells`: how many
    items it holds; `stands_alone`: whether it is an insert without its box; `folded`: whether anything of it is.
    `trade`: a line with its size as the trade tells it, empty for a box without a rectangular opening.
    """

    inside: str
    length: str
    width: str
    height: str
    diagonal: str
    play_along: str
    play_across: str
    play_above: str
    wide: str
    cells: int
    stands_alone: bool
    folded: bool
    has_flap: bool
    closed: bool
    has_lid: bool
    has_hem: bool
    bows: bool
    marks: str
    marked_inside: bool
    parts: str
    trade: str


@dataclass(frozen=True, slots=True)
class InsertFacts:
    """What stands in the box: its style as a sentence tells it, "a divider"; its cells, how large the smallest is; its play in the box."""

    told: str
    count: int
    rows: int
    columns: int
    cell: str
    play: str


@dataclass(frozen=True, slots=True)
class WindowFacts:
    """A window: its panel, and its size; `film`: the size of the film behind it, empty for none; by `margin` it goes over the edge."""

    panel: str
    shape: str
    size: str
    film: str
    margin: str


@dataclass(frozen=True, slots=True)
class ItemFacts:
    """What goes inside. `weight` is empty when it is not known."""

    shape: str
    size: str
    weight: str


@dataclass(frozen=True, slots=True)
class CardFacts:
    """The card. `sheets` for one box, `sheets_all` for all copies; `least`, `waste`: nobody needs fewer, and the share left over.

    `mixed`: whether the sheets of several boxes are laid out together. `pack`: sheets in a pack, 0 where that is not told, and the
    number of boxes that it gives. `pre_cut`: whether it comes cut and scored.
    """

    pre_cut: bool
    sheet: str
    size: str
    edge: str
    gap: str
    caliper: str
    grammage: str
    grain: str
    keep_grain: bool
    grain_known: bool
    half_cut: bool
    way: str
    way_verb: str
    sheets: int
    least: int
    waste: str
    sheets_all: int
    least_all: int
    waste_all: str
    mixed: bool
    pack: int
    pack_boxes: int
    papers: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class PageFacts:
    """The printer's pages. `narrow`: one column stands on each; `bar_x`, `bar_y`: what the bars measured, if the spec corrects them."""

    paper: str
    narrow: bool
    leaves: int
    joined: bool
    overlap: str
    print_on: str
    corrected: bool
    bar: str
    bar_x: str
    bar_y: str


@dataclass(frozen=True, slots=True)
class GlueFacts:
    """The glue and how it is used. `area` for one box, `area_all` and `mass` for all copies; `mass` is empty if not sold by weight.

    `used`: whether the box needs any; `mapped`: whether its panels do, which the glue map shows.
    """

    kind: str
    name: str
    verb: str
    apply: str
    press_time: str
    dry_time: str
    tool: str
    area: str
    area_all: str
    mass: str
    used: bool
    mapped: bool


@dataclass(frozen=True, slots=True)
class PieceFacts:
    """One piece of the cut list, or all pieces of one template. Sizes without their unit."""

    name: str
    part: str
    count: int
    panels: str
    width: str
    height: str
    diagonal: str
    pages: str


@dataclass(frozen=True, slots=True)
class CutRow:
    """Settings of the ruler that are like each other and follow each other. `numbers`: "1 to 8"."""

    numbers: str
    what: str
    where: str
    total: str


@dataclass(frozen=True, slots=True)
class CutTable:
    """The order of cuts of one template."""

    template: str
    title: str
    rows: tuple[CutRow, ...]


@dataclass(frozen=True, slots=True)
class MarkingFacts:
    """One template as it is marked out by ruler, `size` its width and height with their unit, `panels` what it holds.

    `kind`: "rectangle" for one without folds, which its size tells; "small" with few points, else "large".
    `heads` and `points`: number, across, up of each point. `lines`: a sentence of Markdown on what is scored
    and one on what is cut, by the numbers of the order of cuts and those of the points.
    `turned`: all is drawn on the face that is not marked; `pricked`: half-cuts alone are made on the other face.
    """

    template: str
    kind: Literal["rectangle", "small", "large"]
    title: str
    panels: str
    count: int
    size: str
    turned: bool
    pricked: bool
    heads: tuple[str, str, str]
    points: tuple[tuple[str, str, str], ...]
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CheckFacts:
    """One check: its title, figure, limit and verdict; `text` is its sentence."""

    title: str
    figure: str
    limit: str
    unit: str
    verdict: str
    text: str


@dataclass(frozen=True, slots=True)
class CheckGroup:
    """The checks of one kind, under one title."""

    title: str
    rows: tuple[CheckFacts, ...]


@dataclass(frozen=True, slots=True)
class SpotFacts:
    """A glued spot: its number, what is glued on what, its area and the step in which it is made."""

    number: int
    flap: str
    onto: str
    area: str
    step: int


@dataclass(frozen=True, slots=True)
class GlueTable:
    """The glued spots of one part, by their numbers."""

    part: str
    spots: tuple[SpotFacts, ...]


@dataclass(frozen=True, slots=True)
class Facts:
    """All that a template can ask for. `wordless`: the steps are pictures with signs; `selftest`: what to check before gluing."""

    title: str
    style: StyleWords
    units: str
    unit_name: str
    mark: str
    copies: int
    item: ItemFacts
    insert: InsertFacts | None
    window: WindowFacts | None
    box: BoxFacts
    card: CardFacts
    page: PageFacts
    glue: GlueFacts
    pieces: tuple[PieceFacts, ...]
    templates: tuple[PieceFacts, ...]
    cuts: tuple[CutTable, ...]
    marking: tuple[MarkingFacts, ...]
    settings: int
    stops: bool
    steps: tuple[StepFacts, ...]
    wordless: bool
    selftest: tuple[str, ...]
    checks: tuple[CheckGroup, ...]
    warnings: tuple[CheckFacts, ...]
    longest: str
    detailed: Literal["", "wide", "tall"]
    rounded: bool
    cut_length: str
    score_length: str
    time: str
    glued: tuple[GlueTable, ...]

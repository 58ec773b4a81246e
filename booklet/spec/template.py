"""A commented spec to start from, which `load` takes as it is."""

from __future__ import annotations

import json
import math
import textwrap
from collections.abc import Mapping, Sequence

from booklet.grid import INCH, Grid, Units
from booklet.lengths import fraction, tell
from booklet.spec.model import Option, Value

WIDTH = 100
"""Characters on a line of a comment."""

_FIGURES: dict[Units, dict[str, str]] = {
    "mm": {
        "length": "95 mm", "width": "80 mm", "height": "36 mm", "other": '"12.5 cm" or "4 7/8 in"',
        "clearance": "6 mm", "headroom": "8 mm", "sheet": "A3", "edge": "6 mm", "gap": "3 mm", "grammage": "250 gsm",
        "paper": "A4", "margin": "6.35 mm", "overlap": "10 mm", "ruler": "0.5 mm",
        "window": "40 mm", "nothing": "0 mm", "paper_sheet": "A4", "panel_margin": "2 mm", "currency": "EUR",
    },
    "in": {
        "length": "3 3/4 in", "width": "3 1/4 in", "height": "1 1/2 in", "other": '"4.9 in" or "125 mm"',
        "clearance": "1/4 in", "headroom": "3/8 in", "sheet": "12x12 in", "edge": "1/4 in", "gap": "1/8 in", "grammage": "90 lb cover",
        "paper": "Letter", "margin": "1/4 in", "overlap": "3/8 in", "ruler": "1/16 in",
        "window": "1 1/2 in", "nothing": "0 in", "paper_sheet": "12x12 in", "panel_margin": "1/16 in", "currency": "USD",
    },
}  # fmt: skip

_HEAD = """\
title = "{title}"
style = "{style}"
# marks = "inside"  # the face that is drawn on: "inside" or "outside" of the box; without it, by the card's thickness

[item]  # what goes inside, measured at its widest
{item}
weight = "380 g"  # may be left out; "13 oz" too

[fit]
clearance = "{clearance}"  # play across, in all
headroom = "{headroom}"  # above the item

[card]
sheet = "{sheet}"  # "A4", "Letter", "305 x 305 mm", "12x12 in" ...
edge = "{edge}"  # kept clear on each side of the sheet
gap = "{gap}"  # between two pieces
weight = "{grammage}"  # "216 g/m2" or "80 lb cover" too; a pound weight needs its category
caliper = "{caliper}"  # the thickness, measured on ten sheets and divided by ten; "12 pt" too
# fold = "crease"  # or "half-cut"; without it, by the thickness
grain = "unknown"  # runs along the "first" or the "second" figure of `sheet`
keep_grain = false  # true: all pieces lie with the grain
splice = false  # true: a panel that is larger than the sheet may be joined of two
# supplied = "pre-cut"  # the card comes cut and scored; without it, in sheets
# pack = 50  # how many sheets are sold together: tells how many boxes a pack gives

[page]
paper = "{paper}"  # of the printer; "A4", "Letter" or two sizes
margin = "{margin}"  # what the printer leaves white on each side
overlap = "{overlap}"  # shared by two pages that are taped together
print_on = "paper"  # templates to tape and mark through; "card" prints on the card itself
# printed_bar = ["98.6 mm", "99.1 mm"]  # what the bars measured, across and up: of the print check (100 and 100 mm), or finer,
#                                         of `booklet testprint` (180 and 240 mm); corrects the printer
# sure = true  # takes those figures even where they look like a page fitted to the paper
"""

_BLOCK = """\
shape = "block"  # or "round", with diameter and height; a mug with its handle is a block
length = "{length}"  # with its unit, in quotes: {other} too
width = "{width}"
height = "{height}"
# diameter = "{width}"  # of a round item, in place of length and width"""

_ROUND = """\
shape = "round"  # or "block", with length, width and height; a mug with its handle is a block
diameter = "{length}"  # with its unit, in quotes: {other} too
height = "{height}"
# length = "{length}"  # of a block, with its width, in place of the diameter"""

_MORE = """
# [insert]  # stands inside the box; the item is then the thing in each cell, and the box is built for all of them
# style = "divider"  # or "cradle", which holds one round thing upright
# rows = 2  # of cells, across the width
# columns = 3  # of cells, along the length

# [window]  # an opening in a panel; never where a fold, glue or other card is
# panel = "front"  # or "back", "left", "right", "top", or a panel as the booklet names it, such as "wall 2"
# shape = "rectangle"  # or "arch", or "round" with a diameter in place of width and height
# width = "{window}"
# height = "{window}"
# right = "{nothing}"  # how far its middle lies to the right of the panel's, seen from outside
# up = "{nothing}"  # how far above
# film = true  # tells the size of a piece of clear film to glue behind it

# [covering]  # decorative paper for the outside; without this table the booklet takes these figures too
# sheet = "{paper_sheet}"  # its size
# margin = "{panel_margin}"  # by which each panel of it is smaller than its face, on each side
# caliper = "0.12 mm"  # its thickness
# under_lid = true  # the paper goes on under a lid's skirt, and the lid is built wider by it; without it, the paper stops below

# [prices]  # for the cost; what has no price is not counted
# currency = "{currency}"  # as it is to be written
# sheet = 0.90  # of one sheet of card
# page = 0.05  # of one printed page
# glue = 2.40  # of 100 g
# tape = 3.20  # of 10 m
# covering = 0.75  # of one sheet of decorative paper
# ribbon = 0.60  # of one metre

# [safety]
# hazards = ["candle"]  # what is put in or comes with it: "candle", "lamp", "food", "magnets", "pins", "small-parts"
# age = 9  # of the youngest who builds it, in years
# knife_age = 12  # who is younger gets no blade

# [class]  # for layout = "class"
# minutes = 90  # of the lesson
# adults = 1  # how many are there

# [seller]  # for layout = "kit": who made it, and how it is told apart
# name = "Kiln Lane pottery"
# address = "3 Kiln Lane, 12345 Marl"  # lines parted by commas
# electronic = "hello@kiln-lane.example"
# outside_eu = true  # then the three lines below tell who answers for it in the EU
# responsible_name = "Kiln Lane Europe"
# responsible_address = "1 Ofengasse, 54321 Tonberg"
# responsible_electronic = "eu@kiln-lane.example"
# number = "KL-104"  # of the article
# batch = "2031-B"
# link = "https://kiln-lane.example/mug"  # the address that the label's square code leads to

# [artwork]  # SVG files beside this one
# logo = "logo.svg"
# panels = {{ front = "front.svg" }}  # a drawing for a panel, by the panel's name
"""

_TAIL = """
[glue]
kind = "pva"  # or "glue-stick", "tape", "hot-melt", "contact"

[booklet]
layout = "home"  # or the path of a layout folder of your own
units = "{units}"  # "mm" or "in": what sizes are told in; they are put on marks of {ruler}
language = "en"
copies = 1  # how many boxes
words = true  # false: the steps are pictures with signs only, for who does not read the language
"""


def new_spec(
    style: str,
    options: Sequence[Option],
    help: Mapping[str, str],
    units: Units = "mm",
    least: float = 0.0,
    thing: tuple[str, float, float, float] | None = None,
) -> str:
    """The text of a spec for this style. `help`: a sentence for each option, by its name, for the comments.

    `least`: the thinnest card of the style, mm; `thing`: "block" or "round" with its length, width and height, mm.
    Options that the style works out stand as comments; all others have their default in these units.
    """
    words = {**_FIGURES[units], "title": f"My {style.replace('-', ' ')}", "style": style, "units": units, "caliper": "0.30 mm"}
    if least > 0.3:
        words |= {"grammage": "1290 gsm", "caliper": "2.00 mm"}  # greyboard
    if thing:
        words |= {name: _rounded(size, units) for name, size in zip(("length", "width", "height"), thing[1:], strict=True)}
    words["item"] = (_ROUND if thing and thing[0] == "round" else _BLOCK).format_map(words)
    box = ["", "[box]  # the options of this style", *(line for each in options for line in _option(each, help, units))]
    return _HEAD.format_map(words) + "\n".join(box) + "\n" + (_MORE + _TAIL).format_map(words)


def _rounded(mm: float, units: Units) -> str:
    """A size as it is read off a ruler: whole millimetres, or the next eighth of an inch."""
    return tell(round(mm), "mm") if units == "mm" else tell(math.ceil(mm / INCH * 8) / 8 * INCH, "in")


def _option(option: Option, help: Mapping[str, str], units: Units) -> list[str]:
    """The option's help as comment lines, then its key."""
    said = " ".join(help.get(option.name, "").split())
    if option.kind == "choice":
        said = f"{said} ({' or '.join(json.dumps(word) for word in option.choices)})".lstrip()
    value = option.resolved(units)
    comment = textwrap.wrap(said, WIDTH, initial_indent="# ", subsequent_indent="# ")
    if value is None:
        return [*comment, f"# {option.name} = {_value(Grid(units).up(max(option.least_mm, 10.0)), units)}  # without it, worked out"]
    return [*comment, f"{option.name} = {_value(value, units)}"]


def _value(value: Value, units: Units) -> str:
    """As TOML. A length is told without loss, whatever its figure."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int):
        return str(value)
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    exact = fraction(value) if units == "in" and value is not None else None
    return f'"{tell(value, "in")}"' if value is not None and exact else f'"{_plain(value, units)}"'


def _plain(mm: float | None, units: Units) -> str:
    return f"{(mm or 0.0) / (INCH if units == 'in' else 1.0):.6g} {units}"

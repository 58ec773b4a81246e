"""How figures are told in a booklet: lengths on the ruler's marks, areas, masses, times, in the units of the spec."""

from __future__ import annotations

import re
from dataclasses import dataclass

from booklet.drawing.labels import marked
from booklet.grid import INCH, Units
from booklet.lengths import GRAMS, read_off, tell
from booklet.pages.words import Words
from booklet.plan import Plan

TIMES = " \u00d7 "

__all__ = ["TIMES", "Figures", "figures_of", "marked"]


@dataclass(frozen=True, slots=True)
class Figures:
    """Tells figures in one kind of unit, with the sign before decimals that a language has.

    >>> Figures("in").size(114.3, 101.6), Figures("mm").area(58403.0), Figures("mm").time(110)
    ('4 1/2 \u00d7 4 in', '584 cm\u00b2', '1 h 50 min')
    >>> Figures("mm", ",").length(112.5), Figures("mm", ",").caliper(0.3)
    ('112,5 mm', '0,30 mm')
    """

    units: Units
    decimal: str = "."

    def length(self, mm: float, fine: bool = False) -> str:
        """A length with its unit, as a ruler tells it; `fine` for thicknesses."""
        return self.marked(tell(mm, self.units, fine) if fine else read_off(mm, self.units))

    def figure(self, mm: float, fine: bool = False) -> str:
        """A length without its unit, for a table that has it in its head, and a hair more or less where it is off the marks."""
        return self.marked((tell(mm, self.units, fine) if fine else read_off(mm, self.units, hair=True)).rpartition(" ")[0])

    def size(self, *mm: float) -> str:
        """Several lengths with one unit: "125 x 95 x 104 mm" with times signs."""
        return f"{TIMES.join(self.length(v).rpartition(' ')[0] for v in mm)} {self.units}"

    def sheet(self, name: str, *mm: float) -> str:
        """A sheet by its name, or by its size in mm where it has none; a size that a maker wrote for a name gets its times sign.

        >>> Figures("mm").sheet("12x12 in", 304.8, 304.8), Figures("mm").sheet("A4", 210.0, 297.0), Figures("mm").sheet("", 210.0, 297.0)
        ('12 \u00d7 12 in', 'A4', '210 \u00d7 297 mm')
        """
        if not name:
            return self.size(*mm)
        return re.sub(r"\s*[xX\u00d7]\s*", TIMES, name) if name[0].isdigit() else name

    def caliper(self, mm: float) -> str:
        """A thickness of card, in mm whatever the units: hundredths are all that a caliper reads."""
        return self.marked(f"{mm:.2f} mm")

    def area(self, mm2: float) -> str:
        """A glued or covered area in cm2 or square inches, to a tenth where it is under ten, to a hundredth under a tenth.

        From a square metre or ten square feet on it is told in those.

        >>> Figures("mm").area(1401700.0), Figures("in").area(1.4e6)
        ('1.4 m\u00b2', '15 ft\u00b2')
        """
        foot = (12 * INCH) ** 2
        small, large, most = (("in", INCH**2), ("ft", foot), 10 * foot) if self.units == "in" else (("cm", 100.0), ("m", 1e6), 1e6)
        unit, size = large if mm2 >= most else small
        area = mm2 / size
        return self.marked(f"{area:.{int(area < 9.95) + int(area < 0.095)}f} {unit}\u00b2")

    def long(self, mm: float) -> str:
        """A length in all: metres or feet to a tenth, under one metre or three feet in whole centimetres or inches.

        >>> Figures("mm").long(1234), Figures("mm").long(86), Figures("in").long(38.1), Figures("in").long(1219.2)
        ('1.2 m', '9 cm', '2 in', '4 ft')
        """
        big, small, unit, names = (3.0, INCH, 12 * INCH, ("ft", "in")) if self.units == "in" else (1.0, 10.0, 1000.0, ("m", "cm"))
        if mm >= 0.995 * big * unit:
            return f"{self.number(round(mm / unit, 1))} {names[0]}"
        return f"{max(mm / small, 1.0):.0f} {names[1]}"

    def mass(self, grams: float) -> str:
        """Grams, or ounces to a tenth."""
        return f"{self.number(round(grams / GRAMS['oz'], 1))} oz" if self.units == "in" else f"{grams:.0f} g"

    @staticmethod
    def grammage(gsm: float) -> str:
        """The weight of card, in g/m2 whatever the units."""
        return f"{gsm:.0f} g/m\u00b2"

    @staticmethod
    def percent(share: float) -> str:
        """A share of one in whole parts of a hundred."""
        return f"{100 * share:.0f} %"

    @staticmethod
    def time(minutes: int) -> str:
        """Hours and minutes."""
        hours, rest = divmod(minutes, 60)
        return " ".join(part for part in (f"{hours} h" if hours else "", f"{rest} min" if rest or not hours else "") if part)

    def number(self, value: float) -> str:
        """A plain figure: three decimals at most.

        >>> Figures("mm").number(1.2999), Figures("mm").number(-0.0001), Figures("mm", ",").number(720.5)
        ('1.3', '0', '720,5')
        """
        text = f"{float(value):.3f}".rstrip("0").rstrip(".")
        return self.marked("0" if text in ("-0", "") else text)

    def marked(self, text: str) -> str:
        """Figures that are told with a point, with the language's sign before decimals."""
        return marked(text, self.decimal)


def figures_of(plan: Plan, words: Words) -> Figures:
    """Tells figures in the units of a plan's booklet and the language of its words."""
    return Figures(plan.spec.units, words.decimal)

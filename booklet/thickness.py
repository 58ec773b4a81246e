"""What follows from the card's thickness, all of it: how it folds, which face is marked, how layers lie.

The rules are common practice, no source, unless said; t is the caliper in mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from booklet.errors import refuse

Way = Literal["crease", "half-cut"]

LEAST = 0.15
CREASE_MOST = 0.6
HALF_CUT_MOST = 2.0
HEM_CREASE_MOST = 0.5
HEM_MOST = 1.0
MARKED_INSIDE_MOST = 0.35
STEP_FROM = 1.0


@dataclass(frozen=True, slots=True)
class Bears:
    """The card that a style bears, mm: from `least`; creased to `crease`, half-cut to `most`.

    A style whose folds are all creases has both alike; so has one of fluted board, which a crease crushes.
    `folded`: false where its pieces are boards or strips without folds.
    """

    least: float = LEAST
    crease: float = CREASE_MOST
    most: float = HALF_CUT_MOST
    folded: bool = True


def way_of(t: float, asked: Way | None, bears: Bears = Bears()) -> Way:
    """How a right-angle fold is made in this card. Raises Refused where the card does not bear it."""
    if t < bears.least:
        raise refuse("card.caliper", f"{t:g} mm is too thin for {_such(bears)}; use card from {bears.least:g} mm.")
    if t > bears.most:
        raise refuse("card.caliper", f"{t:g} mm is too thick for {_such(bears)}: {_limits(bears)}; use thinner card.")
    if asked == "crease" and t > bears.crease:
        raise refuse("card.fold", f'a crease bears card to {bears.crease:g} mm, not {t:g} mm; write fold = "half-cut" or use thinner card.')
    if asked == "half-cut" and bears.most <= bears.crease:
        raise refuse("card.fold", 'the folds of this style are creased, not half-cut; write fold = "crease".')
    return asked or ("crease" if t <= bears.crease else "half-cut")


def _such(bears: Bears) -> str:
    return "a box" if bears == Bears() else "this style"


def _limits(bears: Bears) -> str:
    if not bears.folded:
        return f"it is made of flat board, which may be {bears.least:g} to {bears.most:g} mm thick"
    if bears.most <= bears.crease:
        return f"it is creased, in card to {bears.crease:g} mm"
    return f"it cannot be folded, creases go to {bears.crease:g} mm and half-cuts to {bears.most:g} mm"


@dataclass(frozen=True, slots=True)
class Thickness:
    """The card of one part: caliper `t` in mm and the way in which right-angle folds are made.

    `strips`: layers that the strips of panels joined across add inside each wall. `covering`: mm of paper and glue that lie on the outside
    of each wall where a lid goes over it.
    """

    t: float
    way: Way
    strips: int = 0
    covering: float = 0.0

    def pivot(self, way: Way | None = None) -> float:
        """Height of a fold's axis over the mid-surface, towards the inside: 0 in a crease, t/3 in a half-cut.

        A half-cut goes two thirds through from outside, so its axis lies in the middle of the inner third.
        """
        return self.t / 3 if (way or self.way) == "half-cut" else 0.0

    @property
    def inner(self) -> float:
        """From a fold's line to the inner face that stands on it: t/2, or t/6 for a half-cut."""
        return self.t / 2 - self.pivot()

    @property
    def outer(self) -> float:
        """From a fold's line to the outer face that stands on it: t/2, or 5t/6 for a half-cut."""
        return self.t / 2 + self.pivot()

    def between(self, layers: int) -> float:
        """How much less than fold-to-fold the clear inside is, with this many further layers on the axis."""
        return 2 * self.inner + layers * self.t

    def hem_way(self) -> Way:
        """How a hem (180 degrees) is folded. Raises Refused above 1 mm."""
        if self.t > HEM_MOST:
            raise refuse(
                "box.hem",
                f"a hem in {self.t:g} mm card does not fold; hems go to {HEM_MOST:g} mm: "
                'write hem = "0 mm" under [box] or use thinner card.',
            )
        return "crease" if self.t <= HEM_CREASE_MOST else "half-cut"

    def stepped(self, panels: int) -> bool:
        """Whether panels hinged on one line and lying on each other are stepped: where the further layers pass 1 mm."""
        return (panels - 1) * self.t > STEP_FROM

    def set_in(self, layers: int) -> float:
        """How far an end that meets other layers is set in at its root, mm; 0 where its taper serves."""
        return layers * self.t if layers * self.t > STEP_FROM else 0.0

    def lid_size(self, base: float, layers: int, longest: float) -> float:
        """Least fold-to-fold size of a lid over a base of `base` mm, fold to fold, with `layers` inside each skirt.

        A covering under the skirts counts on both sides of the axis.
        """
        return base + (2 + 2 * (layers + self.strips)) * self.t + 2 * self.covering + lid_slip(longest)

    @property
    def tuck_narrower(self) -> float:
        """How much narrower a closing panel and its tuck are on each side: 0.5 to 1 mm, more for thicker card."""
        return min(1.0, max(0.5, 1.5 * self.t + 0.1))


AIR = 2.0
"""mm: the play of a lid as deep as its box that has no notch to let the air out (common practice, no source)."""


def lid_slip(longest: float) -> float:
    """Play of a lid on its base over both sides, mm, for the longest side of the box in mm."""
    return max(1.2, 0.5 + 0.004 * longest)


def marked_face(t: float, asked: Literal["inside", "outside"] | None) -> Literal["inside", "outside"]:
    """The face that is drawn on: the inside to 0.35 mm; thicker card is half-cut, or creased, from its outer face."""
    return asked or ("inside" if t <= MARKED_INSIDE_MOST else "outside")

"""The shelf of box styles. A style is one module here, named as the style, with what `Style` asks for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from importlib import import_module
from typing import Any, Protocol, cast

from booklet.fit import Fit
from booklet.net import Item, Net
from booklet.spec import Option
from booklet.thickness import Bears, Thickness

_NAMES = (
    "lidded-box",
    "full-lid-box",
    "hinged-lid-box",
    "prism-box",
    "round-box",
    "pyramid",
    "tray",
    "web-tray",
    "tapered-tray",
    "roll-wall-tray",
    "sleeve-drawer",
    "tuck-carton",
    "snap-lock-carton",
    "crash-lock-carton",
    "prism-carton",
    "gable-carrier",
    "post-box",
    "slotted-case",
    "pillow-pack",
    "wallet",
    "gift-bag",
    "slipcase",
    "rigid-box",
    "divider",
    "cradle",
)
"""In the order of the shelf; the module of a style has its name with _ for -."""


class Style(Protocol):
    """What a style's module offers. `sizes` rounds once; `net` takes what it returns.

    `SUITS`: what a maker chooses it for, keys of [suits] in the words file. `SHOWN`: the thing that pictures of the shelf, new specs
    and tests are made with, mm. `BEARS`: which card can be folded.
    """

    NAME: str
    OPTIONS: tuple[Option, ...]
    SUITS: tuple[str, ...]
    SHOWN: Item
    BEARS: Bears

    def layers(self, options: Mapping[str, Any]) -> dict[str, int]:
        """Layers of card on each axis besides the walls."""

    def sizes(self, fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Any:
        """All sizes, on the ruler grid. Raises Refused."""

    def net(self, sizes: Any) -> Net:
        """The uncut net, marked on the inside."""


class Shelf(Mapping[str, Style]):
    """Styles by name; a module is read when it is asked for, since most commands need one."""

    def __getitem__(self, name: str) -> Style:
        if name not in _NAMES:
            raise KeyError(name)
        return cast(Style, import_module(f"booklet.styles.{name.replace('-', '_')}"))

    def __iter__(self) -> Iterator[str]:
        return iter(_NAMES)

    def __len__(self) -> int:
        return len(_NAMES)


class ShelfOptions(Mapping[str, Sequence[Option]]):
    """The options of each style by its name."""

    def __getitem__(self, name: str) -> Sequence[Option]:
        return shelf()[name].OPTIONS

    def __iter__(self) -> Iterator[str]:
        return iter(_NAMES)

    def __len__(self) -> int:
        return len(_NAMES)


def shelf() -> Mapping[str, Style]:
    """Every style by name, in the order of the shelf."""
    return Shelf()

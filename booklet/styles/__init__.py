"""The shelf of box styles. A style is one module here, with NAME, OPTIONS, layers, sizes and net."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import Any, Protocol, cast

from booklet.fit import Fit
from booklet.net import Net
from booklet.spec import Option
from booklet.thickness import Thickness

_MODULES = ("lidded_box", "tray", "tuck_carton", "web_tray")


class Style(Protocol):
    """What a style's module offers. `sizes` rounds once; `net` takes what it returns."""

    NAME: str
    OPTIONS: tuple[Option, ...]

    def layers(self, options: Mapping[str, Any]) -> dict[str, int]:
        """Layers of card on each axis besides the walls."""

    def sizes(self, fit: Fit, card: Thickness, options: Mapping[str, Any]) -> Any:
        """All sizes, on the ruler grid. Raises Refused."""

    def net(self, sizes: Any) -> Net:
        """The uncut net, marked on the inside."""


def shelf() -> dict[str, Style]:
    """Every style by name, in the order of the shelf."""
    modules = (cast(Style, import_module(f"booklet.styles.{name}")) for name in _MODULES)
    return {module.NAME: module for module in modules}

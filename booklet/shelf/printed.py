"""What the command tells of the styles of the shelf."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from booklet.grid import Units
    from booklet.shelf.facts import Shown, Unshown


def style_json(found: Shown | Unshown) -> dict[str, Any]:
    """A style as JSON tells it."""
    from booklet.pages import shelftold
    from booklet.pages.words import words

    return {"name": found.name, "use": words().style(found.name).use, "options": _options(found.name, "mm"), **shelftold.as_json(found)}


def _options(style: str, units: Units) -> list[dict[str, Any]]:
    from booklet.lengths import tell
    from booklet.pages.words import words
    from booklet.styles import shelf

    def default(option: Any) -> Any:
        value = option.resolved(units)
        return tell(value, units) if isinstance(value, float) else value

    try:
        known = shelf()[style].OPTIONS
    except Exception:  # a style that cannot be read is told as one that cannot be shown
        known = ()
    return [{"name": o.name, "default": default(o), "help": words().option(style, o.name)} for o in known]


def print_style(found: Shown | Unshown, units: Units, with_options: bool) -> None:
    """A style in words, with its options where they are asked for."""
    from booklet.pages import shelftold
    from booklet.pages.words import words
    from booklet.shelf.facts import Unshown

    click.echo(f"{found.name}: {words().style(found.name).use}")
    if isinstance(found, Unshown):
        click.echo(f"    cannot be shown: {found.why}")
    else:
        click.echo(f"    {shelftold.facts(found, units)}. {shelftold.suits(found, words())}")
    for option in _options(found.name, units) if with_options else ():
        default = "worked out" if option["default"] is None else option["default"]
        click.echo(f"    {option['name']} = {default}  {option['help']}")

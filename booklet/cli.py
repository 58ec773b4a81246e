"""The commands. The only room that prints and exits."""

from __future__ import annotations

import gc
import json
import sys
from collections.abc import Callable, Sequence
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from booklet import __version__
from booklet.errors import BookletError, Fault, SpecError

if TYPE_CHECKING:
    from booklet.check import Check
    from booklet.spec import Spec

HELP = {"help_option_names": ["-h", "--help"]}


def _told(command: Callable[..., None]) -> Callable[..., None]:
    """A command whose errors are told in one message, each fault a line, without a traceback."""

    @wraps(command)
    def run(**options: Any) -> None:
        # a run of a second or two frees next to nothing; looking for it takes a twentieth of the time
        gc.disable()
        try:
            command(**options)
        except BookletError as error:
            for fault in error.faults:
                click.echo(f"booklet: {fault}", err=True)
            sys.exit(error.exit_code)
        except BrokenPipeError:
            sys.exit(0)

    return run


@click.group(context_settings=HELP)
@click.version_option(__version__, prog_name="booklet")
def main() -> None:
    r"""Work out a card box that fits a thing, and print the booklet to make it from.

    \b
    Start with:  booklet styles
                 booklet new lidded-box -o box.toml
                 booklet make box.toml
    """


@main.command()
@click.option("--json", "as_json", is_flag=True, help="Print the shelf as JSON.")
@_told
def styles(as_json: bool) -> None:
    """Tell the shelf of box styles."""
    shelf = _shelf_told()
    if as_json:
        click.echo(json.dumps(shelf, indent=1, ensure_ascii=False))
        return
    for style in shelf:
        click.echo(f"{style['name']}: {style['use']}")
        for option in style["options"]:
            default = "worked out" if option["default"] is None else option["default"]
            click.echo(f"    {option['name']} = {default}  {option['help']}")


def _shelf_told() -> list[dict[str, Any]]:
    from booklet.lengths import tell
    from booklet.pages.words import words
    from booklet.styles import shelf

    said = words()

    def default(option: Any) -> Any:
        value = option.resolved("mm")
        return tell(value, "mm") if isinstance(value, float) else value

    return [
        {
            "name": name,
            "use": said.style(name).use,
            "options": [{"name": o.name, "default": default(o), "help": said.option(name, o.name)} for o in style.OPTIONS],
        }
        for name, style in shelf().items()
    ]


@main.command()
@click.argument("style")
@click.option("-o", "--output", type=click.Path(path_type=Path), required=True, help="The spec file to write; it must not exist yet.")
@click.option("--units", type=click.Choice(["mm", "in"]), default="mm", help="Write the spec in millimetres or in inches.")
@_told
def new(style: str, output: Path, units: str) -> None:
    """Write a commented spec for STYLE to start from."""
    from booklet import make
    from booklet.pages.words import words
    from booklet.spec import new_spec
    from booklet.styles import shelf

    known = shelf()
    if style not in known:
        raise SpecError([Fault("STYLE", _no_style(style, list(known)))])
    if output.exists():
        raise SpecError([Fault(str(output), "this file exists already and is left as it is; name another or remove it")])
    make.writable(output)
    said = words()
    helps = {option.name: said.option(style, option.name) for option in known[style].OPTIONS}
    make.write(output, new_spec(style, known[style].OPTIONS, helps, units).encode())  # type: ignore[arg-type]
    click.echo(f"{output} is written: put in your own sizes, then run: booklet make {output}")


def _no_style(style: str, known: list[str]) -> str:
    from difflib import get_close_matches

    near = get_close_matches(style, known, 1)
    hint = f'; did you mean "{near[0]}"?' if near else ""
    return f'there is no style "{style[:60]}"; the shelf has {", ".join(known)}{hint}'


def _read(path: Path) -> Spec:
    from booklet.pages.words import languages, layouts
    from booklet.spec import load
    from booklet.styles import shelf

    return load(path, {name: style.OPTIONS for name, style in shelf().items()}, layouts(), languages())


@main.command()
@click.argument("spec", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print checks and summary as JSON.")
@_told
def check(spec: Path, as_json: bool) -> None:
    """Fold the box of SPEC and tell every check with its figure and limit."""
    from booklet import make
    from booklet.planning import plan_of

    plan = plan_of(_read(spec))
    checks, pages = plan.checks, 0
    if not _failed(checks):
        made = make.printed(plan)
        checks, pages = made.checks, made.pages
    _print_checks(checks, make.summary(plan, pages), as_json)
    sys.exit(1 if _failed(checks) else 0)


def _failed(checks: Sequence[Check]) -> bool:
    return any(not c.ok and c.level == "fault" for c in checks)


def _print_checks(checks: Sequence[Check], summary: dict[str, object], as_json: bool) -> None:
    if as_json:
        rows = [
            {"name": c.name, "figure": c.figure, "limit": c.limit, "unit": c.unit, "ok": c.ok, "level": c.level, "text": c.text}
            for c in checks
        ]
        click.echo(json.dumps({"checks": rows, "summary": summary}, indent=1, ensure_ascii=False))
        return
    for c in checks:
        mark = "ok  " if c.ok else ("WARN" if c.level == "warning" else "FAIL")
        click.echo(f"{mark}  {c.name:<22} {c.figure:g} {c.unit} (limit {c.limit:g})  {c.text}")
    click.echo(", ".join(f"{key} {_brief(value)}" for key, value in summary.items()))


def _brief(value: object) -> str:
    return " x ".join(f"{v:g}" for v in value.values()) + " mm" if isinstance(value, dict) else str(value)


@main.command()
@click.argument("spec", type=click.Path(path_type=Path))
@click.option("-o", "--output", type=click.Path(path_type=Path), help="The PDF to write; by default beside SPEC, with its name.")
@_told
def make(spec: Path, output: Path | None) -> None:
    """Make the printable booklet of SPEC."""
    from booklet import make as room

    read = _read(spec)
    target = output or spec.with_suffix(".pdf")
    room.writable(target, spec)
    made = room.booklet(read)
    room.write(target, made.data)
    for c in made.checks:
        if not c.ok:
            click.echo(f"warning: {c.text}", err=True)
    sheets = made.plan.sheets
    click.echo(f"{target}: {made.pages} pages, {sheets} sheet{'' if sheets == 1 else 's'} of card, {len(made.plan.net.steps)} steps.")


@main.command()
@click.argument("spec", type=click.Path(path_type=Path))
@click.option("-o", "--output", type=click.Path(path_type=Path), required=True, help="The file to write: .json, .svg or .dxf.")
@_told
def export(spec: Path, output: Path) -> None:
    """Write the net of SPEC as JSON, or its flat pieces as SVG or DXF in mm."""
    from booklet import make as room

    kind = output.suffix.lower()
    if kind not in room.KINDS:
        raise SpecError([Fault(str(output), f"the name must end in {', '.join(room.KINDS)}: that is how the kind of file is told")])
    room.writable(output, spec)
    room.write(output, room.exported(_read(spec), kind))
    click.echo(f"{output} is written.")

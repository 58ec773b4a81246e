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
    from booklet.grid import Units
    from booklet.spec import Page, Spec

HELP = {"help_option_names": ["-h", "--help"]}
START = """\b
Start with:  booklet testprint                     does the printer keep sizes?
             booklet measure                       a sheet to measure the thing on
             booklet styles                        the shelf of boxes
             booklet suggest box.toml              which of them suits the thing of a spec
             booklet new lidded-box -o box.toml    a spec to fill in
             booklet make box.toml                 the booklet
             booklet range box.toml sizes.csv -o boxes    a booklet for each row of a table
"""


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


@click.group(context_settings=HELP, epilog=START)
@click.version_option(__version__, prog_name="booklet")
def main() -> None:
    """Work out a card box that fits a thing, and print the booklet to make it from."""


def _sheet(command: Callable[..., None]) -> Callable[..., None]:
    """The options of a sheet that prints alone."""
    units = click.option("--units", type=click.Choice(["mm", "in"]), default="mm", help="Millimetres or inches; sets the usual paper too.")
    margin = click.option("--margin", help="What the printer leaves white on each side, such as 6.35 mm.")
    return click.option("--paper", help="The printer's paper: A4, Letter, A5 or two sizes.")(margin(units(command)))


@main.command()
@click.argument("name", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print the shelf as JSON.")
@click.option("-o", "--output", type=click.Path(path_type=Path), help="The PDF to write: a picture sheet of the whole shelf.")
@_sheet
@_told
def styles(name: str | None, as_json: bool, output: Path | None, paper: str | None, margin: str | None, units: Units) -> None:
    """Tell the shelf of box styles, or of the style NAME with its options; with -o as pictures."""
    from booklet.shelf import printed
    from booklet.shelf.facts import all_shown

    if output:
        _shelf_drawn(output, _page({"paper": paper, "margin": margin}, units), units)
        return
    if paper or margin:
        raise SpecError([Fault("--paper" if paper else "--margin", "is for the picture sheet: say where to write it, as in -o shelf.pdf")])
    found = list(all_shown([_known(name)] if name else None))
    if as_json:
        click.echo(json.dumps([printed.style_json(one) for one in found], indent=1, ensure_ascii=False))
        return
    for one in found:
        printed.print_style(one, units, with_options=bool(name))
    if not name:
        click.echo("The options of a style: booklet styles NAME. Pictures of all: booklet styles -o shelf.pdf")


def _known(style: str) -> str:
    """The name of a style. Raises SpecError for one that there is not."""
    from booklet.styles import shelf

    if style not in shelf():
        raise SpecError([Fault("STYLE", _no_style(style, list(shelf())))])
    return style


def _shelf_drawn(output: Path, page: Page, units: Units) -> None:
    """The picture sheet. A style that is not proven to close is left out and told, and the call fails."""
    from booklet import make as room
    from booklet.pages import shelfsheet
    from booklet.shelf.facts import all_shown

    room.writable(output)
    drawn, left = shelfsheet.entries(list(all_shown()))
    room.write(output, shelfsheet.made(drawn, page, units))
    click.echo(f"{output} is written: {len(drawn)} styles.")
    for one in left:
        click.echo(f"booklet: {one.name}: is not shown: {one.why}", err=True)
    sys.exit(1 if left else 0)


@main.command()
@click.argument("spec", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the ranking as JSON.")
@_told
def suggest(spec: Path, as_json: bool) -> None:
    """Rank the styles that can hold the item of SPEC in its card, and tell why; SPEC may leave its style out."""
    from booklet.pages.words import languages, layouts
    from booklet.shelf import ranked
    from booklet.shelf.reading import wanted
    from booklet.shelf.suggest import suggest as room

    found, cannot = room(*wanted(spec, layouts(), languages()))
    if as_json:
        click.echo(json.dumps(ranked.as_json(found, cannot), indent=1, ensure_ascii=False))
        return
    for line in ranked.lines(found, cannot):
        click.echo(line)


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
    _known(style)
    if output.exists():
        raise SpecError([Fault(str(output), "this file exists already and is left as it is; name another or remove it")])
    make.writable(output)
    said = words()
    helps = {option.name: said.option(style, option.name) for option in known[style].OPTIONS}
    shown = known[style].SHOWN
    thing = (shown.shape, shown.length, shown.width, shown.height)
    make.write(output, new_spec(style, known[style].OPTIONS, helps, units, known[style].BEARS.least, thing).encode())  # type: ignore[arg-type]
    click.echo(f"{output} is written: put in your own sizes, then run: booklet make {output}")


def _no_style(style: str, known: list[str]) -> str:
    from difflib import get_close_matches

    near = get_close_matches(style, known, 1)
    hint = f'; did you mean "{near[0]}"?' if near else ""
    return f'there is no style "{style[:60]}"; the shelf has {", ".join(known)}{hint}'


def _read(path: Path, layout: str | None = None) -> Spec:
    from booklet.pages.words import languages, layouts
    from booklet.spec import load
    from booklet.styles import ShelfOptions

    return load(path, ShelfOptions(), layouts(), languages(), layout)


_layout = click.option("--layout", metavar="FOLDER", help="A folder of your own, or a shipped layout, in place of that of the spec.")


@main.command()
@click.argument("spec", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print checks and summary as JSON.")
@_layout
@_told
def check(spec: Path, as_json: bool, layout: str | None) -> None:
    """Fold the box of SPEC and tell every check with its figure and limit."""
    from booklet import make
    from booklet.planning import plan_of

    plan = plan_of(_read(spec, layout))
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
    if not isinstance(value, dict):
        return str(value)
    if "pieces" in value:
        return "(none can do with fewer): " + ", ".join(f"{number} {key}" for key, number in value.items())
    return " x ".join(f"{v:g}" for v in value.values()) + " mm"


@main.command()
@click.argument("spec", type=click.Path(path_type=Path))
@click.option("-o", "--output", type=click.Path(path_type=Path), help="The file to write; by default beside SPEC, with its name.")
@click.option("--html", "as_html", is_flag=True, help="Write words and pictures as a page that a screen reader can read, not the PDF.")
@_layout
@_told
def make(spec: Path, output: Path | None, as_html: bool, layout: str | None) -> None:
    """Make the printable booklet of SPEC."""
    from booklet import make as room

    read = _read(spec, layout)
    if as_html:
        _html_made(read, spec, output or spec.with_suffix(".html"))
        return
    target = output or spec.with_suffix(".pdf")
    room.writable(target, spec)
    made = room.booklet(read)
    files = made.files(target)
    for other in list(files)[1:]:
        room.writable(other, spec)
    room.write_all(files)
    _warned(made.checks)
    sheets, copies = made.plan.sheets_all, made.plan.spec.booklet.copies
    card = f"{sheets} sheet{'' if sheets == 1 else 's'} of card" + (f" for {copies} boxes" if copies > 1 else "")
    click.echo(f"{target}: {made.pages} pages, {card}, {len(made.plan.net.steps)} steps.")
    for other, (_, pages) in zip(list(files)[1:], made.others.values(), strict=True):
        click.echo(f"{other}: {pages} page{'' if pages == 1 else 's'}.")


def _warned(checks: Sequence[Check]) -> None:
    for c in checks:
        if not c.ok:
            click.echo(f"warning: {c.text}", err=True)


def _html_made(read: Spec, spec: Path, target: Path) -> None:
    """The HTML edition, when the booklet itself is proven and measured."""
    from booklet import make as room

    if target.suffix.lower() not in (".html", ".htm"):
        raise SpecError([Fault(str(target), "with --html the name must end in .html; name another, or leave --html out for the PDF")])
    room.writable(target, spec)
    made = room.booklet(read)
    pages = room.html(made, target)
    for other in list(pages)[1:]:
        room.writable(other, spec)
    room.write_all(pages)
    _warned(made.checks)
    click.echo(f"{target}: words and pictures, {len(made.plan.net.steps)} steps. What is true to size is in the PDF.")
    for other in list(pages)[1:]:
        click.echo(f"{other}: a page of its own.")


@main.command("range")
@click.argument("spec", type=click.Path(path_type=Path))
@click.argument("table", type=click.Path(path_type=Path))
@click.option("-o", "--output", type=click.Path(path_type=Path), required=True, help="The folder to write to; it is made if need be.")
@click.option("--jobs", type=click.IntRange(1, 64), help="So many booklets are made at once; by default 2.")
@_layout
@_told
def range_of(spec: Path, table: Path, output: Path, jobs: int | None, layout: str | None) -> None:
    """Make a booklet for each row of TABLE, a CSV file whose columns name keys of SPEC, and a sheet of totals."""
    from booklet.ranges import printed

    sys.exit(printed.run(spec, table, output, jobs, layout))


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


@main.command()
@click.option("-o", "--output", type=click.Path(path_type=Path), default="testprint.pdf", help="The PDF to write.", show_default=True)
@_sheet
@_told
def testprint(output: Path, paper: str | None, margin: str | None, units: Units) -> None:
    """Make one page that shows whether the printer keeps sizes.

    It has long bars in both directions, and tells what to write into the spec so that templates come out true.
    """
    from booklet import make as room
    from booklet.pages import testprint as sheet

    room.writable(output)
    page = _page({"paper": paper, "margin": margin}, units)
    room.write(output, sheet.made(page, units))
    click.echo(f"{output} is written: print it at 100 %, measure both bars, and do what the page says.")


@main.command()
@click.option("-o", "--output", type=click.Path(path_type=Path), default="measure.pdf", help="The PDF to write.", show_default=True)
@_sheet
@click.option("--printed-bar", nargs=2, metavar="X Y", help="What the bars of a test print measured, across and up: corrects the printer.")
@click.option("--sure", is_flag=True, help="Take those figures even where they look like a page fitted to the paper.")
@_told
def measure(output: Path, paper: str | None, margin: str | None, units: Units, printed_bar: tuple[str, str] | None, sure: bool) -> None:
    """Make a sheet to measure the thing on: two rules, and how to use them with two blocks."""
    from booklet import make as room
    from booklet.pages import measure as sheet

    room.writable(output)
    bars = list(printed_bar) if printed_bar else None
    page = _page({"paper": paper, "margin": margin, "printed_bar": bars, "sure": sure}, units)
    room.write(output, sheet.made(page, units))
    click.echo(f"{output} is written: print it at 100 %; a bank card checks the print, the second page shows how to measure.")


def _page(given: dict[str, Any], units: Units) -> Page:
    """The page of the options that were given, its faults told by their names on the command line."""
    from booklet.spec import read_page

    try:
        return read_page({key: value for key, value in given.items() if value is not None}, units)
    except SpecError as error:
        raise SpecError([_optioned(fault) for fault in error.faults]) from error


def _optioned(fault: Fault) -> Fault:
    option = fault.where.replace("page.", "--").replace("_", "-")
    return Fault(option, fault.text.replace("write sure = true under [page]", "say --sure"))

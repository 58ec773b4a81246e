"""What the command tells of a range while it is made and at its end."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import click

from booklet.errors import Fault, SpecError
from booklet.ranges.work import Outcome

MOST_JOBS = 2
"""Processes at once where the maker does not say: each takes some hundred MB."""


def run(spec: Path, table: Path, folder: Path, jobs: int | None, layout: str | None) -> int:
    """Make a range and tell of it; the exit code: 0, or the worst of its rows."""
    from booklet.ranges import run as room

    gc.enable()  # a range runs long
    found = room.prepared(spec, table, layout)
    room.folder_of(folder)
    _writable(folder, spec, table)
    with _progress(len(found.rows)) as told:
        outcomes = room.made(found, folder, jobs or min(MOST_JOBS, os.cpu_count() or 1), told)
    written = room.totals(found, outcomes, folder)
    bad = [one for one in outcomes if not one.figures]
    for one in bad:
        for line in lines(one, folder):
            click.echo(f"booklet: {line}", err=True)
    count = len(outcomes) - len(bad)
    left = f"; {len(bad)} refused" if bad else ""
    click.echo(f"{folder}: {count} of {len(outcomes)} booklets{left}. {' and '.join(path.name for path in written)} tell the totals.")
    return code(outcomes)


def code(outcomes: Sequence[Outcome]) -> int:
    """2 where a row is refused, 1 where only proofs failed, 0 where all were made."""
    return max((one.code for one in outcomes), default=0)


def lines(one: Outcome, folder: Path) -> list[str]:
    """Why a row was not made, a fault each, and whether an old file of its name is still there."""
    told = [f"row {one.row.number} ({one.row.name}), {fault}" for fault in one.faults]
    old = folder / f"{one.row.name}.pdf"
    return [*told, *([f"row {one.row.number}: {old.name} is of an earlier run and was left as it is"] if old.exists() else [])]


def _writable(folder: Path, spec: Path, table: Path) -> None:
    """Look before the work whether the totals can be written, and that they are not what is read."""
    from booklet import make
    from booklet.pages.totals import names

    for path in names(folder):
        make.writable(path, spec)
        if path.resolve() == table.resolve():
            raise SpecError(
                [Fault(str(path), "this is the table itself, and totals.csv would be written over it: name another folder with -o")]
            )


@contextmanager
def _progress(count: int) -> Iterator[Callable[[Outcome], None]]:
    """A bar on the terminal; elsewhere a line each tenth of the way."""
    if sys.stderr.isatty():
        with click.progressbar(length=count, label="Booklets", file=sys.stderr, show_pos=True) as bar:
            yield lambda one: bar.update(1)
        return
    done = 0

    def told(_: Outcome) -> None:
        nonlocal done
        done += 1
        if done == count or done * 10 // count > (done - 1) * 10 // count:
            click.echo(f"{done} of {count} rows", err=True)

    yield told

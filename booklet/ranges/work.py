"""The rows made into booklets: several processes, each file written by the process that made it; only figures come back.

A process works through so many rows and is then replaced, so that the memory of a long range stays flat whatever the
libraries keep. The pool's own way of replacing (max_tasks_per_child) can hang in some releases of Python, so a new pool
is begun for each batch of rows.
"""

from __future__ import annotations

import gc
import multiprocessing
import os
import signal
import threading
from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from booklet.errors import BookletError, Fault, SpecError
from booklet.ranges.rows import Base, Row, key_of, spec_of
from booklet.spec.tables import Shipped

ROWS_EACH = 40
"""So many rows a process makes before it is replaced (chosen by measuring: it starts in about a second, and 40 rows take a minute)."""

_BUSY = threading.Lock()


@dataclass(frozen=True, slots=True)
class Figures:
    """What a row's booklet tells, for all its boxes: mm, mm2, minutes; `cost` in `currency`, or None.

    `size`: the inside of one box; `pages` of all its files; `card`: the sheet's name and its caliper in mm.
    """

    size: tuple[float, float, float]
    boxes: int
    sheets: int
    pages: int
    glue_mm2: float
    tape_mm: float
    minutes: int
    card: tuple[str, float]
    cost: Decimal | None = None
    currency: str = ""


@dataclass(frozen=True, slots=True)
class Outcome:
    """A row that was made, with its figures and files, or one that was not: `faults` and the exit code that a single one would give."""

    row: Row
    title: str
    figures: Figures | None = None
    files: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()
    code: int = 0

    @property
    def reason(self) -> str:
        """Why it was not made, in one line."""
        return "; ".join(str(fault) for fault in self.faults)


@dataclass(frozen=True, slots=True)
class Job:
    """What a process needs besides the row."""

    base: Base
    folder: Path


class Stopped(BookletError):
    """The maker stopped it: what is written is whole."""

    exit_code = 130


def shipped_of(base: Base) -> Shipped:
    """What there is to choose from, seen from the range's spec."""
    from booklet.pages.words import languages, layouts
    from booklet.styles import ShelfOptions

    return Shipped(ShelfOptions(), layouts(), languages(), base.path.parent)


def made(job: Job, rows: Sequence[Row], jobs: int) -> Iterator[Outcome]:
    """The outcome of each row as it comes. Raises `Stopped` when the maker stops it, once the rows in work are whole."""
    size = ROWS_EACH * jobs
    for first in range(0, len(rows), size):
        alone: list[Row] = []
        yield from _batch(job, rows[first : first + size], jobs, alone)
        for row in alone:  # one of these ended its process: each has one of its own now, and the guilty one is told
            ended: list[Row] = []
            yield from _batch(job, [row], 1, ended)
            yield from (_lost(one) for one in ended)


def _batch(job: Job, rows: Sequence[Row], jobs: int, lost: list[Row]) -> Iterator[Outcome]:
    pool = ProcessPoolExecutor(min(jobs, len(rows)), mp_context=_context(), initializer=_begin)
    try:
        work: dict[Future[Outcome], Row] = {}
        for row in rows:
            try:
                work[pool.submit(one, job, row)] = row
            except BrokenProcessPool:  # a process ended while rows were still handed out
                lost.append(row)
        for done in as_completed(work):
            try:
                yield done.result()
            except BrokenProcessPool:
                lost.append(work[done])
    except KeyboardInterrupt:
        pool.shutdown(wait=True, cancel_futures=True)
        raise Stopped([Fault("range", "was stopped; the booklets that are in the folder are whole, and no totals were written")]) from None
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _lost(row: Row) -> Outcome:
    text = "the process that made it ended, as it does when memory runs out: make this row alone, or with --jobs 1"
    return Outcome(row, "", faults=(Fault("booklet", text),), code=1)


def _context() -> Any:
    """Fresh processes, quick to start where the machine can copy one that has read the libraries."""
    if "forkserver" not in multiprocessing.get_all_start_methods():
        return multiprocessing.get_context("spawn")
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["booklet.ranges.ready"])
    return context


def _begin() -> None:
    """At the start of a process: the maker's Ctrl-C is for the first process, and none is left over when that one is killed."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.freeze()
    threading.Thread(target=_until_parent_ends, daemon=True).start()


def _until_parent_ends() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        with _BUSY:  # a file in work is written whole first
            os._exit(1)


def one(job: Job, row: Row) -> Outcome:
    """Make the booklet of a row and write its files."""
    from booklet import make

    with _BUSY:
        try:
            spec = spec_of(row, job.base, shipped_of(job.base))
            booklet = make.booklet(spec)
            files = booklet.files(job.folder / f"{row.name}.pdf")
            make.write_all(files)
            return Outcome(row, spec.title, _figures(booklet), tuple(path.name for path in files))
        except BookletError as error:
            return refused(row, job.base, error)
        except Exception as error:  # the other rows are made all the same
            text = f"the program failed at this box ({type(error).__name__}: {error}): please tell its makers"
            return Outcome(row, _title(row, job.base), faults=(Fault("booklet", " ".join(text.split())),), code=1)
        finally:
            gc.collect()


def refused(row: Row, base: Base, error: BookletError) -> Outcome:
    """A row that cannot be made."""
    return Outcome(row, _title(row, base), faults=error.faults, code=error.exit_code)


def _title(row: Row, base: Base) -> str:
    return str(row.keys.get(("title",)) or base.data.get("title") or "")


def _figures(booklet: Any) -> Figures:
    from booklet.cost import cost_of

    plan = booklet.plan
    copies, needs, inside = plan.spec.booklet.copies, plan.materials, plan.net.inside
    pages = booklet.pages + sum(count for _, count in booklet.others.values())
    size = inside.length, inside.width, inside.height
    glue, tape = (0.0, needs.tape_mm) if plan.spec.glue.kind == "tape" else (needs.glue_mm2, 0.0)
    card = plan.card.sheet_name, plan.card.caliper
    found = cost_of(plan)
    return Figures(
        size,
        copies,
        plan.sheets_all,
        pages,
        glue * copies,
        tape * copies,
        needs.minutes * copies,
        card,
        found.total if found else None,
        found.currency if found else "",
    )


def common(outcomes: Sequence[Outcome]) -> SpecError | None:
    """The faults that the range's spec gives every row and no cell does, told once; None where there are none."""
    set_here = {key for one in outcomes for key in one.row.keys}
    shared = [fault for fault in (outcomes[0].faults if outcomes else ()) if all(fault in one.faults for one in outcomes)]
    found = [fault for fault in shared if key_of(fault) not in set_here]
    return SpecError(found) if found else None

"""A spec made into a booklet or an export: planned, proven, drawn, read back, and only then written."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from booklet import cuts, on_card, pieces, sheets, tiles, trade
from booklet.check import Check
from booklet.errors import Fault, ProofFailed, SpecError
from booklet.export import net_json
from booklet.plan import Plan
from booklet.planning import plan_of
from booklet.spec import Spec

if TYPE_CHECKING:
    from booklet.pages.book import Book

KINDS = (".json", ".svg", ".dxf")


@dataclass(frozen=True)
class Made:
    """A finished booklet: its plan, all checks, those of the paper included, and its files as they were set, the main one first."""

    plan: Plan
    checks: tuple[Check, ...]
    books: Mapping[str, Book]

    @property
    def _main(self) -> Book:
        return next(iter(self.books.values()))

    @property
    def data(self) -> bytes:
        """The main file."""
        return self._main.data

    @property
    def pages(self) -> int:
        """Pages of the main file."""
        return self._main.pages

    @property
    def others(self) -> dict[str, tuple[bytes, int]]:
        """The layout's other files by their names: bytes and pages."""
        return {name: (one.data, one.pages) for name, one in list(self.books.items())[1:]}

    def files(self, target: Path) -> dict[Path, bytes]:
        """All files by where they are written: the main one as it is named, the others with their own name behind it."""
        return {target: self.data, **{beside(target, name): data for name, (data, _) in self.others.items()}}


def booklet(spec: Spec) -> Made:
    """The booklet of a spec, read back and measured. Raises ProofFailed."""
    made = printed(proven(spec))
    _stand(made.checks)
    return made


def printed(plan: Plan) -> Made:
    """The booklet of a plan, with the checks of the paper; whether they hold is for the caller to see."""
    from booklet import paper
    from booklet.pages import book

    def attached(pages: Mapping[int, int]) -> dict[str, bytes]:
        return {"net.json": net_json(plan, pages).encode(), "spec.toml": plan.spec.source}

    books = book.written(plan, attached)
    checks = [*plan.checks, *_worst(check for one in books.values() for check in paper.checks(one, plan))]
    return Made(plan, tuple(checks), books)


def html(made: Made, target: Path) -> dict[Path, bytes]:
    """The words and pictures of a finished booklet as pages in HTML, by where they are written, the main one first.

    Raises `BookletError` for a layout that cannot be told so.
    """
    from booklet.pages import html as edition

    pages = edition.written(made.plan, made.books)
    return {beside(target, name) if n else target: data for n, (name, data) in enumerate(pages.items())}


def _worst(checks: Iterable[Check]) -> list[Check]:
    """Checks of several files, of those with one name the one that is farthest from holding."""
    found: dict[str, Check] = {}
    for check in checks:
        if check.name not in found or check.figure > found[check.name].figure:
            found[check.name] = check
    return list(found.values())


def beside(target: Path, name: str) -> Path:
    """Where another file of a layout is written: mug.pdf has mug-handout.pdf beside it."""
    return target.with_name(f"{target.stem}-{name}{target.suffix}")


def proven(spec: Spec) -> Plan:
    """The plan of a spec. Raises ProofFailed when a check of the proof fails, Refused for what cannot be given."""
    plan = plan_of(spec)
    _stand(plan.checks)
    return plan


def _stand(checks: tuple[Check, ...]) -> None:
    bad = [check for check in checks if not check.ok and check.level == "fault"]
    if bad:
        raise ProofFailed(Fault(c.name, f"{c.text} Found {c.figure:g} {c.unit}, limit {c.limit:g}; nothing is written.") for c in bad)


def exported(spec: Spec, kind: str) -> bytes:
    """The net as JSON, SVG or DXF (".json", ".svg", ".dxf")."""
    plan = proven(spec)
    if kind == ".json":
        return net_json(plan).encode()
    if kind == ".svg":
        from booklet.drawing.svg import svg_of

        return svg_of(plan.net).encode()
    from booklet.drawing.dxf import dxf_of

    return dxf_of(plan.net).encode()


def write(path: Path, data: bytes) -> None:
    """Write a file whole or not at all: beside its place, then renamed. Raises SpecError where that cannot be done."""
    write_all({path: data})


def write_all(files: Mapping[Path, bytes]) -> None:
    """Write files whole, and none before all of them lie beside their places. Raises SpecError where that cannot be done."""
    ready: dict[Path, str] = {}
    try:
        for path, data in files.items():
            handle, ready[path] = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            os.chmod(ready[path], 0o666 & ~_umask())
        for path in files:
            os.replace(ready[path], path)
            del ready[path]
    except OSError as error:
        for temporary in ready.values():
            Path(temporary).unlink(missing_ok=True)
        raise _unwritable(path, error) from error


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def writable(path: Path, spec: Path | None = None) -> None:
    """Look before the work whether an output can be written, and that it is not the spec itself. Raises SpecError."""
    if spec is not None and path.resolve() == spec.resolve():
        raise SpecError([Fault(str(path), "this is the spec itself; name another file with -o")])
    if path.is_dir():
        raise SpecError([Fault(str(path), "this is a folder; name a file in it")])
    if not path.parent.is_dir():
        raise SpecError([Fault(str(path), f"the folder {path.parent} does not exist; make it or name another")])
    if not os.access(path.parent, os.W_OK):
        raise SpecError([Fault(str(path), f"the folder {path.parent} cannot be written; name another")])


def _unwritable(path: Path, error: OSError) -> SpecError:
    return SpecError([Fault(str(path), f"cannot be written ({error.strerror or error}); name another file or folder")])


def summary(plan: Plan, pages: int) -> dict[str, object]:
    """The figures of `check --json`. Lengths in mm, areas in mm2; `tiles` are windows, `leaves` the pages that they are on.

    `settings`: of the ruler, for one of each template; `waste`: the share of the sheets that is in no piece. `trade`: the inside as a case
    is labelled, L x B x H or, with a lid of its own, L x B x H/h; not there for a box without a rectangular opening.
    """
    inside, label = plan.net.inside, trade.label(plan.net)
    return {
        "inside": {"length": round(inside.length, 3), "width": round(inside.width, 3), "height": round(inside.height, 3)},
        **({"trade": label.told()} if label else {}),
        "pieces": len(plan.pieces),
        "sheets": plan.sheets,
        "pages": pages,
        "tiles": len(plan.tiles),
        "leaves": plan.leaves,
        "bounds": bounds(plan),
        "waste": round(sheets.waste(plan.net, plan.card, plan.sheets), 4),
        "settings": cuts.settings(plan.cuts),
        "cut_mm": round(plan.materials.cut_mm, 1),
        "glue_mm2": round(plan.materials.glue_mm2, 1),
        "steps": len(plan.net.steps),
    }


def bounds(plan: Plan) -> dict[str, int]:
    """The numbers of pieces, sheets of card, tiles and template pages below which nobody can go."""
    sheet = sheets.least(plan.net, plan.card)
    printed, ready = on_card.asked(plan.spec), plan.net.ready
    return {
        "pieces": pieces.least(plan.net, plan.card),
        "sheets": sheet,
        "tiles": 0 if ready else len(plan.pieces) if printed else tiles.least_windows(plan.net, plan.spec.page),
        "leaves": 0 if ready else sheet if printed else tiles.least(plan.net, plan.spec.page),
    }

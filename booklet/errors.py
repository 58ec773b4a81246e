"""What a user can get wrong, and how it is told: one sentence a fault, all faults at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong with a spec or a call.

    `where` is the key ("item.length"), the file or the option; `line` its line in the spec or None;
    `text` says what was found, what is allowed and what to do, in one sentence.
    """

    where: str
    text: str
    line: int | None = None

    def __str__(self) -> str:
        place = f"line {self.line}, {self.where}" if self.line else self.where
        return f"{place}: {self.text}"


class BookletError(Exception):
    """Base of everything that the command line tells without a traceback."""

    exit_code = 2

    def __init__(self, faults: Iterable[Fault]):
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class SpecError(BookletError):
    """The spec or the call is wrong."""


class Refused(BookletError):
    """The spec is well formed, but asks what the style or the card cannot give."""


class ProofFailed(BookletError):
    """A check of the proof failed: nothing is written."""

    exit_code = 1


class Kept:
    """Keeps errors, so that those of several places are told together."""

    def __init__(self) -> None:
        self.errors: list[BookletError] = []

    @contextmanager
    def kept(self) -> Iterator[None]:
        """Keeps an error that is raised in the block."""
        try:
            yield
        except BookletError as error:
            self.errors.append(error)

    def tell(self) -> None:
        """Raises the one that was kept, or one with the faults of all, each once."""
        if len(self.errors) == 1:
            raise self.errors[0]
        if self.errors:
            raise BookletError(dict.fromkeys(fault for error in self.errors for fault in error.faults))


def refuse(where: str, text: str) -> Refused:
    """The `Refused` for a single fault."""
    return Refused([Fault(where, text)])

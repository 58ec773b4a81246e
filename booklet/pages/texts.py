"""The texts of a layout: Jinja2 templates that give Markdown. A maker's own folder comes first; what it lacks is taken from home.

The templates run in a sandbox and see the facts of one plan and the words of one language, nothing else.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from jinja2 import TemplateError, TemplateNotFound, TemplateSyntaxError

from booklet.errors import BookletError, Fault
from booklet.pages.marks import Told
from booklet.pages.sandbox import MOST_TEXT, Folders, Sandbox
from booklet.pages.words import formed, opened

DRAWING = "drawing"
"""The fence in which a drawing stands in the Markdown: kind, arguments and settings, a word each."""

_PLAIN = re.compile(r"([\\\\`*_{}\[\]<>#|~])")


def plain(text: str) -> str:
    r"""A text that Markdown takes as it stands, such as a maker's title.

    >>> print(plain("*Mug* | <b>"))
    \*Mug\* \| \<b\>
    """
    return _PLAIN.sub(r"\\\1", " ".join(text.split()))


def drawing(kind: str, *arguments: object, **settings: object) -> str:
    """The fence that stands in the Markdown where a template asks for a drawing: its kind, arguments and settings."""
    told = [kind, *(str(a) for a in arguments), *(f"{name}={value}" for name, value in settings.items())]
    return f"\n\n```{DRAWING}\n{' '.join(told)}\n```\n\n"


@dataclass(frozen=True)
class Texts:
    """The templates of a layout in its folders, for a language. `given`: what they see by name."""

    folders: tuple[Path, ...]
    language: str
    given: Mapping[str, Any]

    @cached_property
    def _environment(self) -> Sandbox:
        return Sandbox(Folders(self.folders), {**self.given, "drawing": drawing}, {"opened": lambda text: opened(formed(text))})

    def markdown(self, name: str) -> Told:
        """The Markdown of a page, with the place that each line comes from. Raises `BookletError` with file and line for a fault."""
        try:
            return self._filled(name)
        except BookletError as error:
            raise self._told_where(error, name) from error
        except TemplateSyntaxError as error:
            raise _wrong(_file(error.filename) or f"{name}.md", error.message or "is no template", error.lineno) from error
        except TemplateNotFound as error:
            file, _, line = _place(error, name, self._files)
            raise _wrong(file, f"asks for {error.name}, which is in no layout folder", line) from error
        except RecursionError as error:
            file, _, line = _place(error, name, self._files)
            raise _wrong(file, "it calls or includes itself without end", line) from error
        except (TemplateError, ArithmeticError, AttributeError, LookupError, MemoryError, SyntaxError, TypeError, ValueError) as error:
            raise _wrong(*_place(error, name, self._files)) from error

    def _filled(self, name: str) -> Told:
        self._environment.begin()
        made, size = [], 0
        for words in self._template(name).generate():
            made.append(words)
            size += len(words)
            if size > 4 * MOST_TEXT:  # the marks count here too
                raise TemplateError(f"it puts out more than {MOST_TEXT} characters")
        return self._environment.told("".join(made))

    def _told_where(self, error: BookletError, name: str) -> BookletError:
        """Faults of what a template asked for, such as words that are missing, with the template's line."""
        file, _, line = _place(error, name, self._files)
        if line is None:
            return error
        return type(error)(_asked_for(fault, file, line) for fault in error.faults)

    def _template(self, name: str) -> Any:
        """The file in the language where there is one, such as cover.de.md, else cover.md."""
        names = [f"{name}.{self.language}.md", f"{name}.md"]
        return self._environment.select_template(names if self.language != "en" else names[1:])

    @cached_property
    def _files(self) -> frozenset[str]:
        return frozenset(str(folder) for folder in self.folders)


def _asked_for(fault: Fault, file: str, line: int) -> Fault:
    """A fault of what a template asked for: told with the template's line, unless it has one of its own."""
    if fault.where == file:
        return fault
    if fault.line:
        return Fault(fault.where, f"{fault.text} (asked for in line {line} of {file})", fault.line)
    return Fault(file, f"{fault.where} {fault.text}", line)


def _place(error: Exception, name: str, folders: Iterable[str]) -> tuple[str, str, int | None]:
    """File, text and line of an error while a template ran: the innermost frame that lies in a layout's folder."""
    file, line, trace = f"{name}.md", None, error.__traceback__
    while trace:
        seen = trace.tb_frame.f_code.co_filename
        if any(seen.startswith(folder) for folder in folders):
            file, line = Path(seen).name, trace.tb_lineno
        trace = trace.tb_next
    return file, str(error), line


def _file(path: str | None) -> str:
    return Path(path).name if path else ""


def _wrong(file: str, text: str, line: int | None = None) -> BookletError:
    told = " ".join(text.split()).rstrip(".")
    advice = "mend it, or take the file out to have the shipped one"
    return BookletError([Fault(file, f"the template cannot be filled in ({told}); {advice}", line)])

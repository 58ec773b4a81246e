"""The sandbox in which templates run: what a clumsy or a hostile one can do is counted, and refused before it fills the machine.

Jinja2's own sandbox keeps templates off Python's insides. It does not keep them from going on without end or growing
without measure; so each template is changed after it is parsed (marks.py): every turn of a loop, call of a macro and
included file tells the counter, which refuses more than a booklet can need.
"""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import wraps
from pathlib import Path
from types import BuiltinFunctionType
from typing import Any

from jinja2 import BaseLoader, Environment, StrictUndefined, TemplateNotFound, Undefined
from jinja2.exceptions import SecurityError
from jinja2.loaders import split_template_path
from jinja2.runtime import LoopContext, Macro
from jinja2.sandbox import ImmutableSandboxedEnvironment, safe_range
from jinja2.utils import Cycler, Joiner

from booklet.errors import BookletError
from booklet.pages import files, marks
from booklet.pages.words import formed

MOST_STEPS = 300_000
"""Turns of loops, calls and filters of one text (chosen by us: the longest of the shipped ones takes some thousands)."""

MOST_TEXT = 2_000_000
"""Characters of one text, or of any value on the way to it (chosen by us: a booklet has a tenth of it)."""

MOST_SECONDS = 20
"""Of the processor for one text, for steps that are long (the longest of the shipped ones takes hundredths of one)."""

MOST_SOURCE = 200_000
"""Characters of a template."""

MOST_WIDTH = 1000
"""What a text is padded or wrapped to."""

_WIDE = re.compile(r"\d{4,}")
_PADDING = {"center", "indent", "batch", "slice", "truncate", "wordwrap", "round"}
_PADDED = {"center", "ljust", "rjust", "zfill", "expandtabs"}
_PLAIN = (str, bytes, int, float, list, tuple, dict, set, frozenset)


class Sandbox(ImmutableSandboxedEnvironment):
    """An environment that counts. One text at a time: `begin` sets the counters back."""

    intercepted_binops = frozenset({"*", "**", "+", "%"})

    def __init__(self, loader: BaseLoader, given: Mapping[str, Any], filters: Mapping[str, Callable[..., Any]]):
        # not optimised: each template runs once, and it takes longer than it saves
        super().__init__(
            loader=loader, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, auto_reload=False, keep_trailing_newline=True,
            optimized=False, finalize=self._out,
        )  # fmt: skip
        self.begin()
        del self.globals["lipsum"], self.filters["random"]  # the same spec gives the same booklet
        del self.filters["urlize"]  # makes HTML, which no text here takes
        self.globals.update(given, range=self._range)
        self.filters.update(filters)
        self.filters = {name: self._counted_filter(name, how) for name, how in self.filters.items()}
        self.tests = {name: self._counted_test(how) for name, how in self.tests.items()}
        self._allowed = {id(value) for value in self.globals.values()}

    # counting -------------------------------------------------------------------------------------------------------

    def begin(self) -> None:
        """Begin to count for a new text."""
        self._steps = self._text = 0
        self._until = time.process_time() + MOST_SECONDS

    def spent(self, characters: int = 0, steps: int = 1) -> str:
        """Count steps, and characters that are put out. Raises `SecurityError` for too many."""
        self._steps += steps
        self._text += characters
        if self._steps > MOST_STEPS or time.process_time() > self._until:
            raise SecurityError(f"it takes more than {MOST_STEPS} steps or {MOST_SECONDS} s; a loop or a macro goes on too long")
        if self._text > MOST_TEXT:
            raise SecurityError(f"it puts out more than {MOST_TEXT} characters; a loop or a macro goes on too long")
        return ""

    def counted(self, values: Iterable[Any]) -> Any:
        """What a loop goes over, each turn counted."""
        return values if isinstance(values, str) else _Counted(self, values)

    def looked_at(self, value: Any) -> Any:
        """A value that is compared, or of which a part is taken: long ones take time."""
        self.spent(steps=1 + (len(value) // 500 if isinstance(value, str | list | tuple) else 0))
        return value

    def joined(self, *values: Any) -> str:
        """Values one after the other, as by `~`."""
        return "".join(self._plain(value) for value in values)

    def _plain(self, value: Any) -> str:
        self._weigh(value)
        told = str(value)
        self.spent(len(told))
        return told

    def _out(self, value: Any) -> Any:
        """What `{{ }}` puts out; words with forms for several cases in the first of them."""
        return formed(self._plain(value))

    def _weigh(self, value: Any) -> None:
        """Counts what is in a value, lists in lists each time that they come."""
        if isinstance(value, str):
            self._bounded(len(value))
            self.spent(steps=len(value) // 500)
        elif isinstance(value, list | tuple | set | frozenset):
            for one in value:
                self.spent()
                self._weigh(one)
        elif isinstance(value, dict):
            self._weigh([*value.keys(), *value.values()])

    def _bounded(self, size: float) -> None:
        if size > MOST_TEXT:
            raise SecurityError(f"a value grows larger than {MOST_TEXT} characters or entries")

    def _range(self, *limits: int) -> range:
        found = safe_range(*limits)
        self.spent(steps=len(found))
        return found

    # what a template may call ---------------------------------------------------------------------------------------

    def is_safe_callable(self, obj: Any) -> bool:
        """Macros, methods of plain values, what the program hands over, and methods of its records: nothing else."""
        known = id(obj) in self._allowed or isinstance(obj, Macro | LoopContext | Cycler | Joiner | Undefined)
        method = getattr(obj, "__wrapped__", obj)  # Jinja2 wraps the format of a text, to look at what it takes
        plain = isinstance(method, BuiltinFunctionType) and isinstance(method.__self__, _PLAIN)
        module = getattr(obj, "__module__", None) or ""
        own = getattr(obj, "__self__", None) is self or (module.startswith("booklet.pages.") and hasattr(obj, "__self__"))
        loop = isinstance(getattr(obj, "__self__", None), LoopContext | Cycler)
        return bool((known or plain or own or loop) and super().is_safe_callable(obj))

    def call(self, context: Any, obj: Any, /, *args: Any, **kwargs: Any) -> Any:
        """A call, counted; padding and joining are measured before they are done."""
        self.spent()
        method = getattr(obj, "__wrapped__", obj)
        subject = getattr(method, "__self__", None)
        if isinstance(subject, str | bytes):
            self._measured(method.__name__, subject, args)
            self._weigh(kwargs)
        if isinstance(obj, LoopContext) and args:
            args = (self.counted(args[0]), *args[1:])
        if not self.is_safe_callable(obj):
            raise SecurityError(f"{getattr(obj, '__name__', 'a value')} cannot be called from a text")
        return super().call(context, obj, *args, **kwargs)

    def _measured(self, name: str, subject: Any, args: tuple[Any, ...]) -> None:
        if name in ("format", "format_map"):
            if re.search(r":[^{}]*\{", subject) or _WIDE.search(subject):
                raise SecurityError(f"a format pads to {MOST_WIDTH} characters or more, or takes its width from a value")
            self._weigh(args)
        if name in _PADDED and any(isinstance(a, int) and a > MOST_WIDTH for a in args):
            raise SecurityError(f"{name} pads to more than {MOST_WIDTH} characters")
        if name == "replace" and len(args) > 1 and isinstance(args[1], type(subject)):
            self._bounded(len(subject) + (len(subject) + 1) * len(args[1]) / max(1, len(args[0])))
        if name in ("join", "translate"):
            self._weigh(args)
            self._bounded(sum(len(str(one)) + len(subject) for one in args[0]) if args and isinstance(args[0], list | tuple) else 0)
        if name == "expandtabs":
            self._bounded(len(subject) * max((a for a in args if isinstance(a, int)), default=8))

    def call_binop(self, context: Any, operator: str, left: Any, right: Any) -> Any:
        """`*`, `**`, `+` and `%`, measured before they are done."""
        if operator == "%" and isinstance(left, str):
            self._percent(left, right)
        elif operator == "+" and hasattr(left, "__len__") and hasattr(right, "__len__"):
            self._bounded(len(left) + len(right))
        elif operator == "*":
            for many, some in ((left, right), (right, left)):
                if isinstance(some, int) and hasattr(many, "__len__"):
                    self._bounded(len(many) * some)
        if operator in "**" and isinstance(left, int) and isinstance(right, int):
            size = left.bit_length() * abs(right) if operator == "**" else left.bit_length() + right.bit_length()
            self._bounded(size * MOST_TEXT / 4096)
        self.spent()
        return super().call_binop(context, operator, left, right)

    def _percent(self, text: str, values: Any) -> None:
        if "*" in text or _WIDE.search(text):
            raise SecurityError(f"a format pads to {MOST_WIDTH} characters or more, or takes its width from a value")
        self._weigh(values)

    def _counted_filter(self, name: str, how: Callable[..., Any]) -> Callable[..., Any]:
        """A filter whose figures and values are measured first."""

        @wraps(how)
        def run(*args: Any, **kwargs: Any) -> Any:
            given = [a for a in (*args, *kwargs.values()) if not isinstance(a, Environment)]
            clean = tuple(marks.bare(a) if type(a) is str else a for a in args)
            if name in _PADDING and any(isinstance(a, int) and a > MOST_WIDTH for a in given[1:]):
                raise SecurityError(f"{name} pads or parts to more than {MOST_WIDTH}")
            self.spent()
            self._weigh([a for a in given if isinstance(a, str | list | tuple | dict)])
            self._sized(name, [a for a in given if isinstance(a, str | list | tuple)])
            return how(*clean, **kwargs)

        return run

    def _counted_test(self, how: Any) -> Callable[..., Any]:
        """A test such as `is in`, counted."""

        @wraps(how)
        def run(*args: Any) -> Any:
            for one in args:
                self.looked_at(one)
            return how(*args)

        return run

    def _sized(self, name: str, given: list[Any]) -> None:
        if name == "format" and given and isinstance(given[0], str):
            self._percent(given[0], given[1:])
        if name == "replace" and len(given) > 2:
            self._measured("replace", given[0], tuple(given[1:]))
        if name in ("join", "sum", "tojson", "pprint", "urlencode", "xmlattr") and given and isinstance(given[0], list | tuple):
            glue = len(given[1]) if len(given) > 1 else 2
            self._bounded(sum(len(one) if isinstance(one, str | list | tuple) else 20 for one in given[0]) + glue * len(given[0]))

    # templates ------------------------------------------------------------------------------------------------------

    def compile(
        self, source: Any, name: str | None = None, filename: str | None = None, raw: bool = False, defer_init: bool = False
    ) -> Any:
        """A template's code, with counters and marks put in; made once for all texts of a run."""
        if not isinstance(source, str):
            return super().compile(source, name, filename, raw, defer_init)  # type: ignore[call-overload]
        key = source, name, filename, raw, defer_init
        if key not in _compiled:
            if len(_compiled) >= MOST_KEPT:
                _compiled.clear()
            _compiled[key] = super().compile(self._marked(source, name, filename), name, filename, raw, defer_init)  # type: ignore[call-overload]
        return _compiled[key]

    def _marked(self, source: str, name: str | None, filename: str | None) -> Any:
        try:
            parsed = self.parse(source, name, filename)
            deepest = marks.deepest(parsed)
            marked = marks.Marking(name or "").visit(parsed)
        except RecursionError:
            lines = source.split("\n")
            raise _deep(name, 1 + max(range(len(lines)), key=lambda n: len(re.findall(r"[(\[{]|not", lines[n])))) from None
        if deepest[0] > marks.MOST_DEEP:
            raise _deep(name, deepest[1])
        return marked

    def get_template(self, *args: Any, **kwargs: Any) -> Any:
        """A template, an included one too, counted."""
        self.spent()
        return super().get_template(*args, **kwargs)

    def told(self, marked: str) -> marks.Told:
        """A text that was put out, without its marks, and the place of each line."""
        return marks.told(marked)


_compiled: dict[Any, Any] = {}
MOST_KEPT = 200
"""So many templates are kept compiled: those of some layouts."""


class _Counted:
    """A loop's values: each turn is counted."""

    def __init__(self, guard: Sandbox, values: Iterable[Any]):
        self._guard, self._values = guard, values

    def __iter__(self) -> Iterator[Any]:
        for value in self._values:
            self._guard.spent()
            yield value

    def __len__(self) -> int:
        return len(self._values)  # type: ignore[arg-type]


class Folders(BaseLoader):
    """Templates by name from the first folder that has them; none from outside, by whatever way."""

    def __init__(self, folders: tuple[Path, ...]):
        self._folders = folders

    def get_source(self, environment: Environment, template: str) -> tuple[str, str, Callable[[], bool]]:
        """The text of a template, its path, and that it does not change. Raises `BookletError` for a file that is none."""
        parts = split_template_path(template)
        for folder in self._folders:
            if files.there(folder, "/".join(parts)):
                return self._text(folder, "/".join(parts)), str(folder.joinpath(*parts)), lambda: True
        raise TemplateNotFound(template)

    def _text(self, folder: Path, name: str) -> str:
        text = files.read(folder, name)
        if len(text) > MOST_SOURCE:
            raise files.bad(name, f"has more than {MOST_SOURCE // 1000} kB, where a text has a few; is it another file?")
        return text


def _deep(name: str | None, line: int) -> BookletError:
    return files.bad(name or "a text", "blocks or brackets stand in each other too deep to follow; write it simpler", line)

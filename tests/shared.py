"""What many tests look at, made once for all processes of a run: kept in memory, and pickled in a folder that goes with the run."""

from __future__ import annotations

import copyreg
import hashlib
import os
import pickle
import tempfile
from collections.abc import Callable
from functools import cache, wraps
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

T = TypeVar("T")

FOLDER = "BOOKLET_TESTS_SHARED"
"""The variable that names the folder; `conftest.py` sets it and takes the folder away."""


def _mapping(items: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(items)


copyreg.pickle(MappingProxyType, lambda found: (_mapping, (dict(found),)))


def once(function: Callable[..., T]) -> Callable[..., T]:
    """A function of names and figures whose results are made once in a run. They are frozen, and nobody changes them."""

    @cache
    @wraps(function)
    def made(*args: Any, **kwargs: Any) -> T:
        folder = os.environ.get(FOLDER)
        if not folder:
            return function(*args, **kwargs)
        key = f"{function.__module__}.{function.__qualname__}{args!r}{sorted(kwargs.items())!r}"
        path = Path(folder) / hashlib.sha256(key.encode()).hexdigest()
        if path.exists():
            return pickle.loads(path.read_bytes())
        found = function(*args, **kwargs)
        with tempfile.NamedTemporaryFile(dir=folder, delete=False) as file:
            file.write(pickle.dumps(found))
        os.replace(file.name, path)
        return found

    return made

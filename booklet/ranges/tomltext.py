"""Tables written as TOML: the spec of a row, to be attached to its booklet. Only what a spec holds: no comments, no order of its own."""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Mapping
from typing import Any

_BARE = re.compile(r"[A-Za-z0-9_-]+")


def written(data: Mapping[str, Any]) -> str:
    """The TOML that `tomllib` reads as the same tables."""
    plain = [f"{_key(key)} = {_value(value)}" for key, value in data.items() if not isinstance(value, dict)]
    tables = [
        "\n".join(["", f"[{_key(name)}]", *(f"{_key(key)} = {_value(value)}" for key, value in table.items())])
        for name, table in data.items()
        if isinstance(table, dict)
    ]
    return "\n".join([*plain, *tables, ""]).lstrip("\n")


def _key(name: str) -> str:
    return name if _BARE.fullmatch(name) else _text(name)


def _text(text: str) -> str:
    """A text in quotes. JSON's escapes are TOML's too, but for the one control character that JSON lets stand."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, list):
        return f"[{', '.join(map(_value, value))}]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_key(key)} = {_value(inner)}" for key, inner in value.items()) + " }" if value else "{}"
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    return repr(value)

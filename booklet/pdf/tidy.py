"""The last hand on the finished bytes: a line end before each `endstream`, and an identity from the content.

reportlab writes neither. Objects are rewritten in their order and the cross-reference table anew.
"""

from __future__ import annotations

import hashlib
import re
from itertools import pairwise

ID_WIDTH = 32
NO_ID = b"[<" + b"0" * ID_WIDTH + b"><" + b"0" * ID_WIDTH + b">]"
"""What stands for the identity until the content is known."""

_ENDS_BARE = re.compile(rb"(?<![\r\n])endstream\s+endobj\s*\Z")
_START = re.compile(rb"startxref\s+(\d+)\s+%%EOF\s*\Z")
_ENTRY = re.compile(rb"(\d{10}) \d{5} n ")


def tidied(data: bytes) -> bytes:
    """The same document, tidied. `data` has one plain cross-reference table, as reportlab writes it."""
    start = _START.search(data)
    assert start, "the PDF writer's file has no startxref"
    table = int(start[1])
    chunks = _objects(data, table)
    offsets, at = [], len(data[: _first(data, table)])
    for chunk in chunks:
        offsets.append(at)
        at += len(chunk)
    body = data[: _first(data, table)] + b"".join(chunks)
    trailer = data[data.index(b"trailer", table) : start.start()]
    return _with_id(body + _table(offsets) + trailer + b"startxref\n%d\n%%%%EOF\n" % len(body))


def _starts(data: bytes, table: int) -> list[int]:
    """Where each object starts, by object number from 1 on."""
    return [int(entry[1]) for entry in _ENTRY.finditer(data, table)]


def _first(data: bytes, table: int) -> int:
    return _starts(data, table)[0]


def _objects(data: bytes, table: int) -> list[bytes]:
    """Each object's bytes; reportlab writes them in the order of their numbers."""
    edges = [*_starts(data, table), table]
    return [_ended(data[a:b]) for a, b in pairwise(edges)]


def _ended(chunk: bytes) -> bytes:
    """The object, its stream closed on a line of its own; `Length` leaves that line end out."""
    return _ENDS_BARE.sub(b"\nendstream\nendobj\n", chunk)


def _table(offsets: list[int]) -> bytes:
    rows = b"".join(b"%010d 00000 n \n" % offset for offset in offsets)
    return b"xref\n0 %d\n0000000000 65535 f \n" % (len(offsets) + 1) + rows


def _with_id(data: bytes) -> bytes:
    """The identity is the content's own fingerprint: no clock, and another file gets another one."""
    digest = hashlib.sha256(data).hexdigest()[:ID_WIDTH].encode()
    return data.replace(NO_ID, b"[<" + digest + b"><" + digest + b">]", 1)

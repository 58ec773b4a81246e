"""Reads a square code back, after ISO/IEC 18004 and by nothing of the program: structure, format, mask, correction words, bytes.

No library that reads such codes is installed, so this is written from the standard's tables (from memory; the correction words and the
format's own code would not agree if a table were wrong).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

Matrix = Sequence[Sequence[bool]]

ALIGNED = {
    1: [],
    2: [6, 18],
    3: [6, 22],
    4: [6, 26],
    5: [6, 30],
    6: [6, 34],
    7: [6, 22, 38],
    8: [6, 24, 42],
    9: [6, 26, 46],
    10: [6, 28, 50],
}
"""Middles of the alignment patterns by version."""

BLOCKS_M = {
    1: (10, [16]), 2: (16, [28]), 3: (26, [44]), 4: (18, [32] * 2), 5: (24, [43] * 2), 6: (16, [27] * 4), 7: (18, [31] * 4),
    8: (22, [38] * 2 + [39] * 2), 9: (22, [36] * 3 + [37] * 2), 10: (26, [43] * 4 + [44]),
}  # fmt: skip
"""Of level M by version: correction words in each block, and data words of each block."""

MASKS = (
    lambda i, j: (i + j) % 2 == 0, lambda i, j: i % 2 == 0, lambda i, j: j % 3 == 0, lambda i, j: (i + j) % 3 == 0,
    lambda i, j: (i // 2 + j // 3) % 2 == 0, lambda i, j: i * j % 2 + i * j % 3 == 0, lambda i, j: (i * j % 2 + i * j % 3) % 2 == 0,
    lambda i, j: ((i + j) % 2 + i * j % 3) % 2 == 0,
)  # fmt: skip


def text_of(code: Matrix) -> str:
    """The text of a code of level M up to version 10; asserts that all of it is as the standard has it."""
    size = len(code)
    version = (size - 17) // 4
    assert size == 4 * version + 17 and all(len(row) == size for row in code)
    _structure(code, size)
    mask = MASKS[_mask_number(code, size)]
    kept = _kept(version, size)
    bits = [code[i][j] != mask(i, j) for i, j in _way(size) if (i, j) not in kept]
    words = [sum(bit << (7 - k) for k, bit in enumerate(bits[n : n + 8])) for n in range(0, len(bits) - 7, 8)]
    return _bytes(_data(words, version), version).decode("ascii")


def _structure(code: Matrix, size: int) -> None:
    """Three finder patterns with their separators, timing in row and column 6, and the one module that is always dark."""
    for top, left in ((0, 0), (0, size - 7), (size - 7, 0)):
        for i in range(-1, 8):
            for j in range(-1, 8):
                if 0 <= top + i < size and 0 <= left + j < size:
                    ring = max(abs(i - 3), abs(j - 3))
                    assert code[top + i][left + j] == (ring in (0, 1, 3))
    assert all(code[6][k] == code[k][6] == (k % 2 == 0) for k in range(8, size - 8))
    assert code[size - 8][8]


def _mask_number(code: Matrix, size: int) -> int:
    """From the format, which stands twice and carries a BCH(15, 5) code; level M is 00."""
    first = [(8, k) for k in range(6)] + [(8, 7), (8, 8), (7, 8)] + [(k, 8) for k in range(5, -1, -1)]
    second = [(k, 8) for k in range(size - 1, size - 8, -1)] + [(8, k) for k in range(size - 8, size)]
    told = {sum(code[i][j] << (14 - n) for n, (i, j) in enumerate(places)) ^ 0b101010000010010 for places in (first, second)}
    assert len(told) == 1
    (value,) = told
    left = value
    for k in range(14, 9, -1):
        left ^= (0b10100110111 << (k - 10)) if left >> k & 1 else 0
    assert left == 0 and value >> 13 == 0
    return value >> 10 & 7


def _kept(version: int, size: int) -> set[tuple[int, int]]:
    """Modules that hold no data."""
    kept = {(i, j) for i in range(size) for j in range(size) if (i < 9 and (j < 9 or j >= size - 8)) or (i >= size - 8 and j < 9)}
    kept |= {(6, k) for k in range(size)} | {(k, 6) for k in range(size)}
    corners = {(6, 6), (6, size - 7), (size - 7, 6)}
    for a in ALIGNED[version]:
        for b in ALIGNED[version]:
            if (a, b) not in corners:
                kept |= {(a + i, b + j) for i in range(-2, 3) for j in range(-2, 3)}
    if version >= 7:
        kept |= {(i, size - 11 + j) for i in range(6) for j in range(3)} | {(size - 11 + j, i) for i in range(6) for j in range(3)}
    return kept


def _way(size: int) -> Iterator[tuple[int, int]]:
    """Two columns at a time from the right, up and down in turn, the timing column left out."""
    up = True
    for right in [*range(size - 1, 6, -2), *range(5, 0, -2)]:
        for i in range(size - 1, -1, -1) if up else range(size):
            yield from ((i, right), (i, right - 1))
        up = not up


def _data(words: Sequence[int], version: int) -> list[int]:
    """The data words of all blocks; each block's correction words agree with it: all syndromes are nought."""
    more, sizes = BLOCKS_M[version]
    blocks: list[list[int]] = [[] for _ in sizes]
    at = iter(words)
    for k in range(max(sizes)):
        for block, size in zip(blocks, sizes, strict=True):
            if k < size:
                block.append(next(at))
    data = [word for block in blocks for word in block]
    for _ in range(more):
        for block in blocks:
            block.append(next(at))
    assert next(at, None) is None
    for block in blocks:
        assert [_at(block, _power(k)) for k in range(more)] == [0] * more
    return data


def _times(a: int, b: int) -> int:
    """In the field of 256 elements by x8 + x4 + x3 + x2 + 1."""
    made = 0
    while b:
        made ^= a if b & 1 else 0
        a = a << 1 ^ (0x11D if a & 0x80 else 0)
        b >>= 1
    return made


def _power(k: int) -> int:
    made = 1
    for _ in range(k):
        made = _times(made, 2)
    return made


def _at(block: Sequence[int], x: int) -> int:
    value = 0
    for word in block:
        value = _times(value, x) ^ word
    return value


def _bytes(data: Sequence[int], version: int) -> bytes:
    bits = "".join(f"{word:08b}" for word in data)
    long = 8 if version < 10 else 16
    assert bits[:4] == "0100"  # bytes
    count = int(bits[4 : 4 + long], 2)
    start = 4 + long
    return bytes(int(bits[start + 8 * n : start + 8 * n + 8], 2) for n in range(count))


def sampled(picture: Any, corner: tuple[float, float], module: float, size: int, quiet: int = 4) -> Matrix:
    """The modules of a code in a grey picture, `corner` of its quiet zone and `module` in dots; asserts that the quiet zone is white."""
    x0, y0 = corner

    def dark(i: int, j: int) -> bool:
        return bool(picture[int(y0 + (i + quiet + 0.5) * module), int(x0 + (j + quiet + 0.5) * module)] < 128)

    edge = [(i, j) for i in range(-quiet, size + quiet) for j in range(-quiet, size + quiet) if not (0 <= i < size and 0 <= j < size)]
    assert not any(dark(i, j) for i, j in edge)
    return [[dark(i, j) for j in range(size)] for i in range(size)]

"""Words in lines: nothing is lost, nothing is wider than its place where that can be."""

from __future__ import annotations

from itertools import pairwise

import pytest

from booklet.drawing.recording import RecordingPen
from booklet.drawing.textlines import set_by, wrapped

TEXT = "An open tray with glued corners: for sets of small things, samples and drawers."
LONG = f"x {'W' * 60} y"


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("parted", [False, True])
def test_words_are_wrapped_at_spaces_within_their_width(bold: bool, parted: bool) -> None:
    width = set_by(RecordingPen(), 8.0, bold)
    lines = wrapped(TEXT, 60.0, width, parted)
    assert " ".join(lines) == TEXT and len(lines) > 1
    assert all(width(line) <= 60.0 for line in lines)
    assert all(width(f"{one} {two.split()[0]}") > 60.0 for one, two in pairwise(lines))


def test_a_word_that_is_too_long_by_itself_is_parted_where_that_is_asked_for() -> None:
    width = set_by(RecordingPen(), 8.0)
    assert wrapped(LONG, 30.0, width) == LONG.split()
    lines = wrapped(LONG, 30.0, width, parted=True)
    assert "".join(lines).replace(" ", "") == LONG.replace(" ", "") and all(width(line) <= 30.0 for line in lines)


def test_a_place_narrower_than_a_letter_gets_a_letter_a_line() -> None:
    assert wrapped("ab", 0.1, len, parted=True) == ["a", "b"] and wrapped("", 1.0, len) == [""]

"""Where the data that is shipped with the program lies: the words, page designs and faces of `layouts/`."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from booklet.errors import refuse

PACKAGE = Path(__file__).resolve().parent


@cache
def layouts_folder() -> Path:
    """The folder `layouts/`: inside the package when installed, beside it in a checkout.

    Raises `Refused` when it is in neither place, as after a copy of the package alone.
    """
    for folder in (PACKAGE / "layouts", PACKAGE.parent / "layouts"):
        if (folder / "fonts").is_dir():
            return folder
    raise refuse("layouts", f"the folder of words and faces is missing beside {PACKAGE}; install the program again")


@cache
def characters() -> frozenset[int]:
    """The code points that the shipped faces hold, by their list: code points and ranges, in hexadecimal, with comments.

    Raises `Refused` when the list cannot be read.
    """
    path = layouts_folder() / "fonts" / "unicodes.txt"
    try:
        words = [word for line in path.read_text(encoding="utf-8").splitlines() for word in line.split("#")[0].split()]
    except OSError as error:
        raise refuse(path.name, "the list of characters cannot be read; install the program again") from error
    spans = [(word.split("-")[0], word.split("-")[-1]) for word in words]
    return frozenset(code for first, last in spans for code in range(int(first, 16), int(last, 16) + 1))

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

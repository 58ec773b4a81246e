"""Reads what every row needs, once, in the process that the others are copied from."""

from __future__ import annotations

import booklet.drawing.scenes
import booklet.make
import booklet.pages.book
import booklet.paper
import booklet.planning  # noqa: F401 - what is read here is at hand in each process

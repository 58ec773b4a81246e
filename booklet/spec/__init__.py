"""The room that reads a spec: a TOML file in, one frozen `Spec` out, or all its faults at once."""

from __future__ import annotations

from booklet.spec.load import load, read_page
from booklet.spec.model import Booklet, Fit, Glue, Insert, Item, Option, Page, Spec, Value, Window
from booklet.spec.template import new_spec

__all__ = ["Booklet", "Fit", "Glue", "Insert", "Item", "Option", "Page", "Spec", "Value", "Window", "load", "new_spec", "read_page"]

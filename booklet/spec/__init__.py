"""The room that reads a spec: a TOML file in, one frozen `Spec` out, or all its faults at once."""

from __future__ import annotations

from booklet.spec.load import load, read_page
from booklet.spec.model import Booklet, Fit, Glue, Item, Option, Page, Spec, Value
from booklet.spec.template import new_spec

__all__ = ["Booklet", "Fit", "Glue", "Item", "Option", "Page", "Spec", "Value", "load", "new_spec", "read_page"]

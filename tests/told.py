"""The texts of a layout with all that they see of one plan, as the booklet gives it to them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from booklet.pages.facts import facts_of
from booklet.pages.more import More
from booklet.pages.records import Facts
from booklet.pages.texts import Texts
from booklet.pages.words import folders, words
from booklet.plan import Plan


def texts_of(plan: Plan, language: str = "en", layout: str = "home", own: Path | None = None, **other: Any) -> Texts:
    """The texts of a plan; `own`: a maker's folder; `other`: what they see instead of the plan's own."""
    said = words(language, layout, own)
    facts = facts_of(plan, said)
    given = {name: getattr(facts, name) for name in Facts.__slots__} | dict(More(plan, said).given)
    return Texts(folders(layout, own), language, given | {"labels": {}, "files": {}, "say": said.with_forms.said} | other)

"""What all files of a plan tell of it in one language, worked out once for them: words, facts, parts, labels, alternatives."""

from __future__ import annotations

from functools import cached_property

from booklet.pages.alternatives import Alternatives
from booklet.pages.facts import facts_of
from booklet.pages.more import More
from booklet.pages.sentences import Labels, labels
from booklet.pages.words import Words, words
from booklet.plan import Plan


class Subject:
    """A plan as the texts of its layout see it. Raises `BookletError` where the language has no words for something."""

    def __init__(self, plan: Plan):
        booklet = plan.spec.booklet
        self.plan = plan
        self.words: Words = words(booklet.language, booklet.shipped, booklet.folder)
        self.facts = facts_of(plan, self.words)
        self.more = More(plan, self.words)

    @cached_property
    def labels(self) -> Labels:
        """The words of drawings, running heads and legends."""
        return labels(self.plan, self.words)

    @cached_property
    def alternatives(self) -> Alternatives:
        """What pictures show, in words."""
        return Alternatives(self.plan, self.words, self.facts.steps)

"""The order of the hands, found by search on the folded model: nothing of it is written in a style."""

from booklet.steps.whole import found

__all__ = ("found",)

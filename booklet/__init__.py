"""From the size of a thing to a printed booklet for the card box that fits it."""

__version__ = "0.5.0"

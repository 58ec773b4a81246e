"""The two kinds of tolerance, never confused, each with its physical reason. Millimetres unless said."""

SAME_POINT = 1e-6
"""Two computed points are the same point: float noise on sizes up to some metres."""

COMPUTED = 0.05
"""What we compute must agree to this: a tenth of what a hand can cut, far above float noise."""

HAND = 0.5
"""What a hand cuts with a knife and a ruler (common practice, no source)."""

THROUGH = 1.5
"""In calipers: card deeper in card than this is a collision. Mid-surfaces of two touching layers stand
within one caliper of each other, and half of one more is give (design contract)."""

SQUARE = 0.01
"""Degrees: two directions are parallel."""

FINGER = 25.0
"""A finger that presses a bond needs this gap over the card (common practice, no source)."""

LAYER = 0.75
"""In calipers: mid-surfaces nearer than this lie on each other, and only the side from which one came tells which is on top
(half-cut hems stand 2/3 off)."""

FRAME = 2.0
"""Degrees: no fold turns further between two frames of a path (design contract)."""

TORN = 0.1
"""mm: the two sides of a crease that closes a loop may be this far apart on the way; card gives that much."""

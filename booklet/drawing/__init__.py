"""Drawings: one pen protocol, the pens that write files, and what is drawn with them."""

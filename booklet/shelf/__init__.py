"""The shelf as a maker sees it: facts of every style, each box open and closed, and which style suits a thing."""

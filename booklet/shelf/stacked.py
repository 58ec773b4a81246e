"""What lies on what where a box is folded, told without its steps: by the faces that are glued, by heights, by folds right over."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from booklet.folding import Folder, folder
from booklet.net import Net, Part
from booklet.stack import Pair, Stack, both, lying
from booklet.tolerance import LAYER

Places = NDArray[np.float64]
_OVER = 170.0
"""Degrees: a fold of so much lays its panel on the one that it hangs on."""


def stack_of(net: Net, part: Part, places: Places) -> Stack:
    """The stack of a part at some places. A pair of which nothing tells the order is left out."""
    fold, sides = folder(part), dict[Pair, int]()
    told = {**_folded_over(part, fold), **_glued(net, part, fold)}
    for (i, j), gap in lying(fold, places).items():
        if (i, j) in told:
            sides.update(both(places, i, j, told[i, j]))
        elif (j, i) in told:
            sides.update(both(places, j, i, told[j, i]))
        elif abs(gap) > LAYER * part.caliper:
            sides.update(both(places, i, j, 1 if gap > 0 else -1))
    return Stack(sides)


def _glued(net: Net, part: Part, fold: Folder) -> dict[Pair, int]:
    """Bonds: the first panel lies on the face of the second that is named."""
    own = [bond for bond in net.bonds if {name for name, _ in bond.panels} == {part.name}]
    return {(fold.index[b.panels[0][1]], fold.index[b.panels[1][1]]): 1 if b.faces[1] == "marked" else -1 for b in own}


def _folded_over(part: Part, fold: Folder) -> dict[Pair, int]:
    """Folds right over: a valley lays its child on the marked face."""
    return {(fold.index[f.child], fold.index[f.parent]): 1 if f.angle > 0 else -1 for f in part.folds if abs(f.angle) > _OVER}

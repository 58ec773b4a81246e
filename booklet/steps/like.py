"""Folds that are like each other: what a hand does with one it does with the others in the same way."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from booklet.folding import Folder
from booklet.net import Bond, Fold, Part

_PARALLEL = 1e-3
_LEVEL = 0.9
_SAME_PLANE = 5.0
"""mm: panels that end within this of one plane lie in it, with some layers between (chosen by us)."""


def groups(folder: Folder, bonds: Sequence[Bond], folds: Sequence[str]) -> list[tuple[str, ...]]:
    """Folds by what hangs on them, on what it hangs, how far it turns, to what it is glued and at which end of the box it comes to lie.

    In the part's order.
    """
    found: dict[object, list[str]] = {}
    for name in folds:
        found.setdefault(kind(folder, bonds, folder.part.fold[name]), []).append(name)
    return [tuple(names) for names in found.values()]


def kind(folder: Folder, bonds: Sequence[Bond], fold: Fold) -> object:
    """What like folds have in common."""
    part = folder.part
    if fold.kind == "roll":
        return "roll", part.panel[fold.child].body
    glued = frozenset(_partners(part, bonds, fold.child))
    roles = part.panel[fold.child].role, part.panel[fold.parent].role
    return *roles, round(fold.angle, 6), fold.kind, glued, end_of(folder, fold.child)


def _carried(part: Part, bonds: Sequence[Bond], panel: str) -> int:
    """How many flaps that are glued hang on a panel."""
    glued = {bond.panels[0][1] for bond in bonds}
    return sum(fold.parent == panel and fold.child in glued for fold in part.folds)


def end_of(folder: Folder, panel: str) -> int:
    """At which end of the closed part a panel comes to lie: 0 at the bottom, 2 at the top, 1 between.

    What hangs on a panel that closes an end, as a tuck flap does, goes with it.
    """
    heights, hung = folder.heights, {fold.child: fold for fold in folder.part.folds}
    parent = hung[panel].parent if panel in hung else panel
    if abs(folder.levelled[folder.index[parent]]) > _LEVEL and not _one_with_root(hung, parent):
        return end_of(folder, parent)
    low, high = min(heights), max(heights)
    return min(int(3 * round((heights[folder.index[panel]] - low) / max(high - low, 1e-9), 6)), 2)


def _one_with_root(hung: Mapping[str, Fold], panel: str) -> bool:
    """Whether a panel is the root, or joined to it in one plane."""
    while panel in hung:
        if hung[panel].angle:
            return False
        panel = hung[panel].parent
    return True


def _partners(part: Part, bonds: Sequence[Bond], panel: str) -> Iterable[tuple[str, str]]:
    """Where a panel carries glue to: roles of panels, and by which face."""
    for bond in bonds:
        (p, first), (q, second) = bond.panels
        if p == q == part.name and first == panel:
            yield part.panel[second].role, bond.faces[0]


def some_of(folder: Folder, bonds: Sequence[Bond], group: Sequence[str]) -> list[tuple[str, ...]]:
    """A group whole, by how many glued flaps its panels carry, by pairs of planes that face each other, by planes, and one by one."""
    if all(folder.part.fold[name].kind == "roll" for name in group):
        return [tuple(group)]
    carried: dict[int, list[str]] = {}
    for name in group:
        carried.setdefault(_carried(folder.part, bonds, folder.part.fold[name].child), []).append(name)
    found = [tuple(group), *(tuple(some) for some in carried.values())]
    for level in (False, True):
        found += _by_plane(folder, group, level)
    return list(dict.fromkeys([*found, *((name,) for name in group)]))


def _by_plane(folder: Folder, group: Sequence[str], level: bool) -> list[tuple[str, ...]]:
    """Folds whose panels end parallel, or with `level` in about one plane."""
    found: list[tuple[np.ndarray, float, list[str]]] = []
    for name in group:
        place = folder.closed[folder.index[folder.part.fold[name].child]]
        normal = place[:3, 2]
        for other, height, names in found:
            near = abs(float(other @ place[:3, 3]) - height) < _SAME_PLANE
            if abs(abs(float(other @ normal)) - 1) < _PARALLEL and (near or not level):
                names.append(name)
                break
        else:
            found.append((normal, float(normal @ place[:3, 3]), [name]))
    return [tuple(names) for *_, names in found]

"""What a step is called, told by what it does: the key of its sentence in `layouts/`."""

from __future__ import annotations

from booklet.net import Net, Part
from booklet.steps.search import Done


def key_of(net: Net, part: Part, done: Done) -> str:
    """The key of a step's sentence."""
    action = done.action
    if action.kind == "join":
        strips = any(part.panel[net.bonds[b].panels[0][1]].role == "splice-strip" for b in action.bonds)
        return "join-across" if strips else "join"
    if action.kind in ("square", "put"):
        return "square" if action.kind == "square" else "put-item"
    if special := _special(part, done):
        return special
    if action.path:
        return "raise" if _followed(part, done) else "close"
    return _glued(net, part, done) if action.bonds else _loose(part, done)


def _special(part: Part, done: Done) -> str:
    """The key of a motion of its own kind; "" for all others."""
    action = done.action
    folds = [part.fold[name] for name in action.targets]
    roles = {part.panel[fold.child].role for fold in folds}
    if any(fold.kind == "roll" for fold in folds):
        curved = any(fold.kind == "crease" and part.panel[fold.child].body != fold.child for fold in folds)
        return "roll-glue" if action.bonds else "roll-ends" if curved else "roll"
    if action.turns > 1:
        return "in-turn-glue" if action.bonds else "in-turn"
    if "rim" in roles and len(roles) > 1:
        return "roll-over-glue" if action.bonds else "roll-over-feet" if _footed(part) else "roll-over"
    return "tongue" if "tongue" in roles else ""


def _footed(part: Part) -> bool:
    """Whether inner walls have feet, for which the base has slots."""
    return any(panel.role == "base" and panel.holes for panel in part.panels)


def _followed(part: Part, done: Done) -> bool:
    """Whether folds round a corner that is not cut move along."""
    loops = {name for loop in part.loops for name in loop.panels}
    return any(part.fold[name].child in loops for name in done.action.targets)


def _loose(part: Part, done: Done) -> str:
    ends = done.action.targets
    if {part.panel[part.fold[name].child].role for name in ends} == {"lid"}:
        return "close-hinged"
    if {part.panel[part.fold[name].child].role for name in ends} == {"roof"}:
        return "close-roof"
    if any(abs(angle) == 180.0 and angle != part.fold[name].angle for name, angle in ends.items()):
        return "over"
    return "fold-flat" if all(abs(angle) == 180.0 for angle in ends.values()) else "fold"


def _glued(net: Net, part: Part, done: Done) -> str:
    ends = done.action.targets
    bonds = [net.bonds[b] for b in done.action.bonds]
    moved = {part.fold[name].child for name in ends}
    if any(abs(angle) == 180.0 and angle != part.fold[name].angle for name, angle in ends.items()):
        return "over-glue"
    if all(abs(angle) == 180.0 for angle in ends.values()):
        parents = {part.fold[name].parent for name in ends}
        return "hem" if {b.panels[1][1] for b in bonds} <= parents else "hem-over"
    if not moved & {b.panels[0][1] for b in bonds}:
        return "on-to-flaps"
    return "fold-last" if len(_under(net, part, bonds[0].panels[0][1])) > 1 and _is_last(net, part, done) else "fold-glue"


def _under(net: Net, part: Part, panel: str) -> set[str]:
    """Panels on which one lies, and those on which these lie."""
    found: set[str] = set()
    todo = [panel]
    while todo:
        name = todo.pop()
        more = {b.panels[1][1] for b in net.bonds if b.panels[0] == (part.name, name)} - found
        found |= more
        todo += more
    return found


def _is_last(net: Net, part: Part, done: Done) -> bool:
    """Whether nothing is glued on what the step folds: it is the outermost."""
    own = {net.bonds[b].panels[0] for b in done.action.bonds}
    return not any(bond.panels[1] in own for bond in net.bonds)

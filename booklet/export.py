"""The exported net: the contract in JSON, format net/1. Lengths in mm, angles in degrees."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

from booklet.net import Bond, Butt, Fold, Net, Panel, Part, Piece, Step
from booklet.plan import Plan
from booklet.plane import Point
from booklet.tiles import Tile

FORMAT = "net/1"
_DIGITS = 6


def net_json(plan: Plan, pages: Mapping[int, int] | None = None) -> str:
    """The whole net as JSON. `pages`: template leaf to its page in the booklet file, where there is one."""
    return json.dumps(document(plan, pages or {}), ensure_ascii=False, indent=1) + "\n"


def document(plan: Plan, pages: Mapping[int, int]) -> dict[str, Any]:
    """The exported net as plain lists and dicts."""
    spec = plan.spec
    return {
        **net_document(plan.net),
        "card": {"sheet": _all(plan.card.sheet), "edge": _n(plan.card.edge), "gap": _n(plan.card.gap)},
        "paper": {"size": _all(spec.page.paper), "margin": _n(spec.page.margin), "overlap": _n(spec.page.overlap)},
        "scale": _all(spec.page.scale),
        "sheets": _sheets(plan),
        "pages": [_page(t, pages) for t in plan.tiles],
    }


def net_document(net: Net) -> dict[str, Any]:
    """What the exported net tells of the box itself, card and pages apart."""
    item, inside = net.item, net.inside
    return {
        "format": FORMAT,
        "unit": "mm",
        "title": net.title,
        "style": net.style,
        "caliper": net.caliper,
        "inside": {"length": _n(inside.length), "width": _n(inside.width), "height": _n(inside.height)},
        "interior": net.interior,
        "closed": net.closed,
        "marks": net.marks,
        "item": {"shape": item.shape, "length": _n(item.length), "width": _n(item.width), "height": _n(item.height)},
        **_body(net),
        "steps": _steps(net),
    }


def _body(net: Net) -> dict[str, Any]:
    butts = {"butts": [_butt(butt) for butt in net.butts]} if net.butts else {}
    return {"parts": [_part(part) for part in net.parts], "bonds": [_bond(bond) for bond in net.bonds], **butts}


def _n(value: float) -> float:
    """Rounded to a millionth, without a negative zero."""
    return round(value, _DIGITS) + 0.0


def _all(values: Iterable[float]) -> list[float]:
    return [_n(v) for v in values]


def _points(points: Iterable[Point]) -> list[list[float]]:
    return [[_n(x), _n(y)] for x, y in points]


def _rows(rows: Any) -> list[list[float]]:
    return [[round(v, 12) + 0.0 for v in row] for row in rows]


def _part(part: Part) -> dict[str, Any]:
    return {
        "name": part.name,
        "role": part.role,
        "caliper": part.caliper,
        "root": part.root,
        "places": [_rows(place) for place in part.places],
        "panels": [_panel(panel) for panel in part.panels],
        "folds": [_fold(fold) for fold in part.folds],
        "loops": [{"panels": list(loop.panels), "line": _points(loop.line)} for loop in part.loops],
        "pieces": [_piece(piece) for piece in part.pieces],
    }


def _panel(panel: Panel) -> dict[str, Any]:
    holes = [_points(hole) for hole in panel.holes]
    return {"name": panel.name, "role": panel.role, "body": panel.body or panel.name, "outline": _points(panel.outline), "holes": holes}


def _fold(fold: Fold) -> dict[str, Any]:
    return {
        "name": fold.name,
        "parent": fold.parent,
        "child": fold.child,
        "line": _points(fold.line),
        "angle": _n(fold.angle),
        "pivot": _n(fold.pivot),
        "kind": fold.kind,
    }


def _piece(piece: Piece) -> dict[str, Any]:
    return {
        "name": piece.name,
        "template": piece.template,
        "panels": list(piece.panels),
        "outline": _points(piece.outline),
        "holes": [_points(hole) for hole in piece.holes],
        "slits": [_points(slit) for slit in piece.slits],
        "size": _all(piece.size),
    }


def _bond(bond: Bond) -> dict[str, Any]:
    return {"panels": [list(panel) for panel in bond.panels], "faces": list(bond.faces), "region": _points(bond.region)}


def _butt(butt: Butt) -> dict[str, Any]:
    return {"parts": [list(end) for end in butt.parts], "line": _points(butt.line)}


def _steps(net: Net) -> list[dict[str, Any]]:
    """All steps, each with the angles of its folds before it."""
    angles = {part.name: {fold.name: 0.0 for fold in part.folds} for part in net.parts}
    made = []
    for step in net.steps:
        before = angles[step.part]
        made.append(_step(step, {name: before[name] for name, _ in step.folds}))
        before.update(dict(step.folds))
    return made


def _step(step: Step, before: Mapping[str, float]) -> dict[str, Any]:
    return {
        "number": step.number,
        "kind": step.kind,
        "part": step.part,
        "before": {name: _n(angle) for name, angle in before.items()},
        "folds": {name: _n(angle) for name, angle in step.folds},
        "path": [{name: _n(angle) for name, angle in frame} for frame in step.path],
        "bonds": list(step.bonds),
        "move": [_rows(place) for place in step.move],
    }


def _sheets(plan: Plan) -> list[dict[str, Any]]:
    return [{"sheet": p.sheet, "piece": p.piece, "to_sheet": _all(p.to_sheet.values)} for p in plan.placed]


def _page(tile: Tile, pages: Mapping[int, int]) -> dict[str, Any]:
    page = {"page": pages[tile.leaf]} if tile.leaf in pages else {}
    return {
        "leaf": tile.leaf,
        **page,
        "piece": tile.piece,
        "tile": tile.name,
        "window": _all(tile.window),
        "to_page": _all(tile.to_page.values),
    }

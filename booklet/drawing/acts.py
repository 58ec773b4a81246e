"""Scenes of the steps that are not a fold or a bond: a crease tried, the thing put in, a lid carried or tried, the closed box."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from booklet import inserts, plane, space
from booklet.drawing.motion import Group, Motion, free_middle, shifts_apart
from booklet.drawing.scene import Face3, Points, Scene
from booklet.drawing.stage import Bench, Stage, faces, stood, up_in
from booklet.drawing.surface import View
from booklet.drawing.thing import outlines
from booklet.folding import outward
from booklet.net import Fold, Loop, Part
from booklet.replay import Moment
from booklet.tolerance import HAND

PAST = 110.0
"""Degrees to which a crease is bent when it is tried (chosen by us)."""

BENT = 0.55
"""How far of that it is shown (chosen by us)."""

_FRAMES = 24

_LARGE = 0.45
"""A panel that is bent to try a crease takes, with what hangs on it, at most this share of its piece (chosen by us)."""

_TRIED = 3
"""So many creases are tried for a picture (chosen by us)."""


def creased(bench: Bench, moment: Moment) -> Iterator[Stage]:
    """A flat part with one crease bent: of those that come up, the one that bends the most."""
    part = moment.part
    hung = {fold.name: _hung(part, fold) for fold in part.folds}
    up = up_in(moment, _bent(bench, moment, part.folds[0], (0,)))
    folds = [fold for fold in part.folds if _worth(part, fold, hung[fold.name])] or list(part.folds)
    folds.sort(key=lambda fold: (fold.bends * up[2] < 0, -round(_area(part, hung[fold.name]), 1)))
    for fold in folds[:_TRIED]:
        act = _bent(bench, moment, fold, hung[fold.name])
        places = act.frames[round(BENT * _FRAMES)]
        yield Stage(bench, part, places, act, (), True, up)


def _hung(part: Part, fold: Fold) -> tuple[int, ...]:
    """What a fold carries within its piece, by index."""
    index, cut = {panel.name: i for i, panel in enumerate(part.panels)}, {f.name for f in part.cut_folds()}
    found = {fold.child}
    for other in outward(part):
        if other.parent in found and other.name not in cut:
            found.add(other.child)
    return tuple(sorted(index[name] for name in found))


def _worth(part: Part, fold: Fold, hung: Sequence[int]) -> bool:
    """Whether a fold is creased, not cut, and bends the smaller part of its piece."""
    of = part.piece_of
    if fold.kind != "crease" or (of and of[fold.parent] is not of[fold.child]):
        return False
    piece = [i for i, p in enumerate(part.panels) if not of or of[p.name] is of[fold.parent]]
    return _area(part, hung) <= _LARGE * _area(part, piece) and not any(_tears(part, fold, hung, loop) for loop in part.loops)


def _area(part: Part, panels: Sequence[int]) -> float:
    return sum(abs(plane.area(part.panels[i].outline)) for i in panels)


def _tears(part: Part, fold: Fold, hung: Sequence[int], loop: Loop) -> bool:
    """Whether a bend pulls at a crease that closes a ring: it holds one of its two panels and does not run on in its line."""
    inside = [any(part.panels[i].name == name for i in hung) for name in loop.panels]
    far = max(abs(plane.side(fold.line, end)) for end in loop.line)
    return inside[0] != inside[1] and far > HAND


def _bent(bench: Bench, moment: Moment, fold: Fold, hung: Sequence[int]) -> Motion:
    """The motion of a crease that is tried, in the flat frame."""
    part, folder = moment.part, bench.folders[moment.part.name]
    end = PAST if fold.bends > 0 else -PAST
    frames = folder.frames([{fold.name: end * k / _FRAMES} for k in range(_FRAMES + 1)])
    still = [i for i in range(len(part.panels)) if i not in hung]
    frames[:, still] = space.identity()
    frames[:, list(hung)] = frames[:, [folder.index[fold.child]]]
    frames[:, :, :3, 3] += shifts_apart(part, moment.joined)
    group = Group(folder.index[fold.child], tuple(hung), fold, free_middle(part, folder.index[fold.child], fold))
    return Motion(part, frames, folder.index[fold.parent], (group,))


def standing(bench: Bench, moment: Moment) -> list[Face3]:
    """A part as it stands at the end of a step, in the frame of the closed box."""
    return faces(bench, moment.part, stood(bench, moment.part, moment.after, moment.stack))


def putting(bench: Bench, moment: Moment, view: View) -> Scene:
    """The thing over the open box, as a ghost, with an arrow down."""
    item, inside = bench.net.item, bench.net.inside
    foot, end = 0.75 * inside.height, 0.75 * inside.height + 0.1 * item.height
    start = max(foot + 0.75 * item.height, end + 0.25 * max(inside.length, inside.width))
    # one thing is shown, where it stands between the strips of an insert
    x, y = inserts.stands(bench.net)[-1]
    down = np.array([[x, y, start], [x, y, end]])
    boards = [face for face in _others(bench, moment) if bench.net.part[face.key.partition("/")[0]].role in ("board", "wrap", "insert")]
    return Scene((*standing(bench, moment), *boards), outlines(item, foot, view, ((x, y),)), (down,))


def carrying(bench: Bench, moment: Moment, view: View) -> Scene:
    """A part that is carried to the others, with an arrow along its way."""
    moved = _moving(bench, moment, moment.frames[0])
    way = moment.frames[-1][0][:3, 3] - moment.frames[0][0][:3, 3]
    foot = _near_foot(moved, view)
    return Scene((*_others(bench, moment), *moved), (), (np.array([foot + 0.08 * way, foot + 0.8 * way]),))


def dry_fitting(bench: Bench, moment: Moment, view: View) -> Scene:
    """A lid with its sides held up, over the finished box, with an arrow up and down."""
    others, places = _others(bench, moment), moment.frames[len(moment.frames) // 2].copy()
    way = _last_way(bench, moment)
    places[:, :3, 3] -= way
    moved = _moving(bench, moment, places)
    foot = _near_foot(moved, view)
    return Scene((*others, *moved), (), (np.array([foot + 0.08 * way, foot + 0.8 * way]),), both_ways=True)


def _last_way(bench: Bench, moment: Moment) -> Points:
    """The way on which a part is carried on to the others later; down by the height of the box where it is not."""
    later = (m for m in bench.played.moments[moment.step.number :] if m.part is moment.part and m.step.move)
    ways = (m.frames[-1][0][:3, 3] - m.frames[0][0][:3, 3] for m in later)
    return next(ways, np.array([0.0, 0.0, -bench.net.inside.height]))


def _others(bench: Bench, moment: Moment) -> list[Face3]:
    """The other parts that are there already, as they stand."""
    still = [bench.played.last_before(name, moment) for name in moment.present if name != moment.part.name]
    made = []
    for other in (one for one in still if one is not None):
        glue = [(patch, n + 1) for n in moment.step.bonds for name, patch in bench.glue[n] if name == other.part.name]
        made += faces(bench, other.part, stood(bench, other.part, other.after, other.stack), (), glue)
    return made


def _moving(bench: Bench, moment: Moment, places: Points) -> list[Face3]:
    return faces(bench, moment.part, stood(bench, moment.part, places, moment.stack), range(len(moment.part.panels)))


def _near_foot(moved: Sequence[Face3], view: View) -> Points:
    """The middle of the lowest edges that are nearest to the viewer."""
    points = np.concatenate([face.points for face in moved])
    low = points[points[:, 2] < points[:, 2].min() + 1.0]
    depth = low @ view.frame[2]
    # numpy's own percentile would import its masked arrays, which takes longer than the picture
    near = low[depth > np.interp(0.6 * (len(low) - 1), np.arange(len(low)), np.sort(depth))]
    foot: Points = near.mean(axis=0)
    return foot


def closed_scene(bench: Bench, lifted: float) -> Scene:
    """All parts as they stand at the end; those that were carried last lifted back along their way, mm."""
    shown: list[Face3] = []
    for part in bench.net.parts:
        last = bench.played.last(part.name)
        if last is not None:
            shown += _at_the_end(bench, part, last, lifted)
    return Scene(tuple(shown))


def _at_the_end(bench: Bench, part: Part, last: Moment, lifted: float) -> list[Face3]:
    places = last.after
    if last.step.move and lifted and part.role != "board":
        back = last.frames[0][0][:3, 3] - last.after[0][:3, 3]
        places = places.copy()
        places[:, :3, 3] += back / max(float(np.linalg.norm(back)), 1e-6) * lifted
    return faces(bench, part, stood(bench, part, places, last.stack))

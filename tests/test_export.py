"""The exported net, read as a stranger would: from the JSON alone, folded with scipy, step by step."""

from __future__ import annotations

import json
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from scipy.spatial.transform import Rotation

from booklet.export import net_json
from tests import samples
from tests.outside import closing

SAMPLES = sorted((Path(__file__).parent.parent / "samples").glob("*.toml"))
KEYS = {
    "format", "unit", "title", "style", "caliper", "inside", "interior", "closed", "marks", "item", "card", "paper", "scale",
    "parts", "bonds", "sheets", "steps", "pages",
}  # fmt: skip


@cache
def net(path: Path) -> dict[str, Any]:
    return json.loads(net_json(samples.plan(path.stem)))


every_sample = pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)


def places(part: dict[str, Any], angles: dict[str, float], root: np.ndarray) -> dict[str, np.ndarray]:
    """Places of the panels: LaValle's tree of bodies, with scipy's rotations."""
    outline = {p["name"]: shapely.Polygon(p["outline"]) for p in part["panels"]}
    found = {part["root"]: root}
    left = list(part["folds"])
    while left:
        fold = next(f for f in left if f["parent"] in found)
        left.remove(fold)
        start, end = (np.array([*p, fold["pivot"]]) for p in fold["line"])
        way = (end - start) / np.linalg.norm(end - start)
        middle = (start + end)[:2] / 2
        probe = middle + 0.01 * np.array([-way[1], way[0]])
        way = way if outline[fold["child"]].contains(shapely.Point(probe)) else -way
        turn = Rotation.from_rotvec(np.radians(angles.get(fold["name"], 0.0)) * way).as_matrix()
        joint = np.eye(4)
        joint[:3, :3], joint[:3, 3] = turn, start - turn @ start
        found[fold["child"]] = found[fold["parent"]] @ joint
    return found


def on(place: np.ndarray, points: Any) -> np.ndarray:
    flat = np.array([[x, y, 0.0, 1.0] for x, y in points])
    return (flat @ place.T)[:, :3]


def closed(data: dict[str, Any]) -> dict[str, dict[str, np.ndarray]]:
    final = {}
    for part in data["parts"]:
        angles = {f["name"]: f["angle"] for f in part["folds"]}
        final[part["name"]] = places(part, angles, np.array(part["places"][0]))
    return final


@every_sample
def test_the_document_has_the_keys_of_its_format(path: Path) -> None:
    data = net(path)
    assert set(data) - {"butts"} == KEYS
    assert ("butts" in data) == any(part["role"] == "board" for part in data["parts"])
    assert data["format"] == "net/1"
    assert data["unit"] == "mm"
    assert all(set(part) == {"name", "role", "caliper", "root", "places", "panels", "folds", "loops", "pieces"} for part in data["parts"])
    assert all(set(bond) == {"panels", "faces", "region"} for bond in data["bonds"])
    keys = {"number", "kind", "part", "before", "folds", "path", "bonds", "move"}
    assert all(set(step) == keys and set(step["before"]) == set(step["folds"]) for step in data["steps"])
    assert [step["number"] for step in data["steps"]] == list(range(1, len(data["steps"]) + 1))


@every_sample
def test_names_are_unique_and_every_panel_is_in_one_piece(path: Path) -> None:
    data = net(path)
    pieces = [piece["name"] for part in data["parts"] for piece in part["pieces"]]
    assert len(pieces) == len(set(pieces))
    assert all(piece["template"] in pieces for part in data["parts"] for piece in part["pieces"])
    for part in data["parts"]:
        names = [p["name"] for p in part["panels"]]
        assert sorted(names) == sorted(n for piece in part["pieces"] for n in piece["panels"])
        assert len({f["name"] for f in part["folds"]}) == len(part["folds"]) == len(names) - 1


@every_sample
def test_bonds_are_numbered_as_they_are_made(path: Path) -> None:
    data = net(path)
    assert [bond for step in data["steps"] for bond in step["bonds"]] == list(range(len(data["bonds"])))


def test_a_loop_is_a_crease_of_two_panels_that_close_a_ring_and_no_fold_of_the_tree() -> None:
    (part,) = net(next(path for path in SAMPLES if path.stem == "sponges"))["parts"]
    outlines = {p["name"]: shapely.LinearRing(p["outline"]) for p in part["panels"]}
    hinged = {frozenset((f["parent"], f["child"])) for f in part["folds"]}
    assert len(part["loops"]) == 4
    for loop in part["loops"]:
        assert frozenset(loop["panels"]) not in hinged
        assert all(outlines[name].distance(shapely.Point(end)) < 1e-5 for name in loop["panels"] for end in loop["line"])


@every_sample
def test_bonded_faces_lie_on_each_other_within_their_layers(path: Path) -> None:
    data = net(path)
    final = closed(data)
    for bond in data["bonds"]:
        (part1, a), (part2, b) = bond["panels"]
        one, two = final[part1][a], final[part2][b]
        seen = on(np.linalg.inv(two) @ one, bond["region"])
        assert np.abs(seen[:, 2]).max() <= data["caliper"] + 0.05
        assert np.ptp(seen[:, 2]) < 1e-4
        outline = shapely.Polygon(
            next(p["outline"] for part in data["parts"] if part["name"] == part2 for p in part["panels"] if p["name"] == b)
        )
        assert shapely.Polygon(seen[:, :2]).difference(outline.buffer(0.05)).area < 1e-6
        alike = float(one[:3, 2] @ two[:3, 2]) > 0
        assert alike == (bond["faces"][0] != bond["faces"][1])


@every_sample
def test_no_mid_surface_stands_in_the_promised_inside_and_the_item_fits(path: Path) -> None:
    data = net(path)
    size = np.array([data["inside"][k] for k in ("length", "width", "height")])
    assert data["item"]["height"] <= data["inside"]["height"]
    if data["interior"] == "other":
        assert [fault for fault in closing.faults(data) if "inside" in fault] == []
        return
    assert all(data["item"][k] <= data["inside"][k] for k in ("length", "width"))
    room = shapely.box(0.06, 0.06, 0.94, 0.94)
    assert room.area > 0.7
    for part, panels in closed(data).items():
        outlines = {p["name"]: p["outline"] for q in data["parts"] if q["name"] == part for p in q["panels"]}
        for name, place in panels.items():
            corners = on(place, outlines[name])
            low, high = corners.min(0), corners.max(0)
            overlap = np.minimum(high, [size[0] / 2, size[1] / 2, size[2]]) - np.maximum(low, [-size[0] / 2, -size[1] / 2, 0])
            assert overlap.min() <= 0.05, (part, name)


@every_sample
def test_steps_replayed_from_the_json_end_in_the_closed_box(path: Path) -> None:
    data = net(path)
    angles = {part["name"]: {f["name"]: 0.0 for f in part["folds"]} for part in data["parts"]}
    root = {part["name"]: np.array(part["places"][0]) for part in data["parts"]}
    parts = {part["name"]: part for part in data["parts"]}
    made: list[int] = []
    final = closed(data)
    for step in data["steps"]:
        own = angles[step["part"]]
        frames = [*step["path"], step["folds"]]
        assert all(name in own for frame in frames for name in frame)
        assert step["before"] == {name: own[name] for name in step["folds"]}
        for before, after in pairwise([{**own}, *frames] if step["path"] else []):
            assert all(abs(after[name] - before[name]) <= 2 + 1e-5 for name in after)
        own.update(step["folds"])
        if step["move"]:
            root[step["part"]] = np.array(step["move"][-1])
        made += step["bonds"]
        now = places(parts[step["part"]], own, root[step["part"]])
        for number in made:
            (part1, a), (part2, b) = data["bonds"][number]["panels"]
            if part1 == part2 == step["part"]:
                relative = np.linalg.inv(now[b]) @ now[a]
                goal = np.linalg.inv(final[part2][b]) @ final[part1][a]
                assert np.abs(on(relative, data["bonds"][number]["region"]) - on(goal, data["bonds"][number]["region"])).max() < 0.05
    assert sorted(made) == list(range(len(data["bonds"])))
    for part in data["parts"]:
        assert all(angles[part["name"]][f["name"]] == pytest.approx(f["angle"]) for f in part["folds"])
        assert np.allclose(root[part["name"]], part["places"][0])


@every_sample
def test_pages_map_their_windows_into_the_printable_area_by_right_angle_turns(path: Path) -> None:
    data = net(path)
    margin, paper = data["paper"]["margin"], data["paper"]["size"]
    for page in data["pages"]:
        a, b, c, d, e, f = page["to_page"]
        assert a * d - b * c == pytest.approx(1)
        assert sorted([abs(a), abs(b)]) == pytest.approx([0, 1])
        x0, y0, x1, y1 = page["window"]
        corners = [(a * x + c * y + e, b * x + d * y + f) for x, y in ((x0, y0), (x1, y1))]
        size = np.ptp(corners, axis=0) + 2 * margin
        assert any(np.all(size <= np.array(p) + 1e-6) for p in (paper, paper[::-1]))
        assert np.min(corners) >= margin - 1e-6


@every_sample
def test_pieces_lie_on_their_sheets_inside_the_edge(path: Path) -> None:
    data = net(path)
    (w, h), edge = data["card"]["sheet"], data["card"]["edge"]
    outline = {piece["name"]: piece["outline"] for part in data["parts"] for piece in part["pieces"]}
    assert sorted(place["piece"] for place in data["sheets"]) == sorted(outline)
    for place in data["sheets"]:
        a, b, c, d, e, f = place["to_sheet"]
        xs, ys = zip(*((a * x + c * y + e, b * x + d * y + f) for x, y in outline[place["piece"]]), strict=True)
        assert min(xs) >= edge - 1e-5 and max(xs) <= w - edge + 1e-5
        assert min(ys) >= edge - 1e-5 and max(ys) <= h - edge + 1e-5

"""What a closed box is, told by another program from the exported net alone. Millimetres."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from tests.outside.bodies import NEAR, Array, Body, Json, hit, on, seen

LAYERS = 1.0
"""In calipers: mid-surfaces of two faces that touch are at most so far apart."""

PLAY = 2.0
"""mm: gaps between panels that play and tapers leave."""

LOOKS = 250
OUT = 0.03
"""Share of looks from the middle that may find a way out: notches for the thumb, and tapers."""


def faults(data: Json) -> list[str]:
    """All that is wrong with the net as it stands closed."""
    bodies = {part["name"]: Body(part) for part in data["parts"]}
    stood = {name: body.places([body.final], np.array(body.part["places"][0]))[0] for name, body in bodies.items()}
    return [
        *(fault for body in bodies.values() for fault in _edges(body)),
        *_bonds(data, bodies, stood),
        *_inside(data, bodies, stood),
        *_closed(data, bodies, stood),
    ]


def _edges(body: Body) -> Iterator[str]:
    """Folds lie on the edges of both their panels."""
    for fold in body.part["folds"]:
        for name in (fold["parent"], fold["child"]):
            edge = body.shapes[body.index[name]].exterior
            if max(edge.distance(shapely.Point(end)) for end in fold["line"]) > NEAR:
                yield f"{fold['name']} is not on the edge of {name}"


def _bonds(data: Json, bodies: dict[str, Body], stood: dict[str, Array]) -> Iterator[str]:
    """Bonded faces are parallel, on each other within their layers, and look at each other."""
    for bond in data["bonds"]:
        (part, first), (other, second) = bond["panels"]
        one, two = stood[part][bodies[part].index[first]], stood[other][bodies[other].index[second]]
        points = on(seen(one, two), bond["region"])
        thick = (bodies[part].caliper + bodies[other].caliper) / 2
        if np.ptp(points[:, 2]) > NEAR or np.abs(points[:, 2]).max() > LAYERS * thick + NEAR:
            yield f"{first} does not touch {second}"
        if (float(one[:3, 2] @ two[:3, 2]) > 0) != (bond["faces"][0] != bond["faces"][1]):
            yield f"{first} on {second} by the wrong face"
        shape = bodies[other].shapes[bodies[other].index[second]]
        if shapely.Polygon(points[:, :2]).difference(shape.buffer(NEAR)).area > 1e-6:
            yield f"{first} hangs over {second}"


def _room(data: Json) -> tuple[Array, Array]:
    size = np.array([data["inside"][k] for k in ("length", "width", "height")])
    return np.array([-size[0] / 2, -size[1] / 2, 0.0]), np.array([size[0] / 2, size[1] / 2, size[2]])


def _inside(data: Json, bodies: dict[str, Body], stood: dict[str, Array]) -> Iterator[str]:
    """No panel's mid-surface is inside the promised inside."""
    low, high = _room(data)
    low, high = low + NEAR, high - NEAR
    for name, body in bodies.items():
        for panel, shape, place in zip(body.names, body.shapes, stood[name], strict=True):
            for triangle in shapely.constrained_delaunay_triangles(shape).geoms:
                if _cuts(on(place, np.array(triangle.exterior.coords)[:3]), low, high):
                    yield f"{panel} stands inside the promised inside"
                    break


def _cuts(corners: Array, low: Array, high: Array) -> bool:
    """Whether a triangle meets a cuboid: axes that part them (the theorem of separating axes, from memory)."""
    edges = np.roll(corners, -1, axis=0) - corners
    axes = [*np.eye(3), np.cross(edges[0], edges[1]), *(np.cross(e, a) for e in edges for a in np.eye(3))]
    middle, half = (low + high) / 2, (high - low) / 2
    for axis in axes:
        if np.linalg.norm(axis) > 1e-9:
            own, reach = (corners - middle) @ axis, half @ np.abs(axis)
            if own.min() >= reach or own.max() <= -reach:
                return False
    return True


def _closed(data: Json, bodies: dict[str, Body], stood: dict[str, Array]) -> Iterator[str]:
    """From the middle card is seen all round; in an open box all round and below."""
    if all(body.part["role"] == "insert" for body in bodies.values()):
        return
    k = np.arange(LOOKS)
    z = 1 - (2 * k + 1) / LOOKS
    round_ = np.sqrt(1 - z * z)
    looks = np.stack([round_ * np.cos(2.399963 * k), round_ * np.sin(2.399963 * k), z], axis=1)
    looks = looks if data["closed"] else looks[z <= 0]
    start = np.array([[0.0, 0.0, data["inside"]["height"] / 2]])
    wide = {name: [shapely.Polygon(ring).buffer(PLAY) for ring in body.rings] for name, body in bodies.items()}
    out = sum(
        all(np.isinf(hit(s, p, start, way))[0] for name in bodies for s, p in zip(wide[name], stood[name], strict=True)) for way in looks
    )
    if out > OUT * len(looks):
        yield f"{out} of {len(looks)} looks from the middle find a way out"

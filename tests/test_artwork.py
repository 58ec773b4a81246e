"""Artwork on panels: which way up it stands on the finished box, that it covers its panel, and where no ink may be."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from types import MappingProxyType

import numpy as np
import pytest
import shapely

from booklet import artwork, planning
from booklet.artwork import Face
from booklet.errors import BookletError
from booklet.folding import folder
from booklet.marked import marked_outside
from booklet.net import Net, Part
from booklet.plane import Affine
from booklet.spec.model import Art, Artwork
from booklet.styles import shelf
from tests import boxes
from tests.samples import FOLDER, spec

SIZE = (120.0, 80.0)
BLACK = b'<svg xmlns="http://www.w3.org/2000/svg" width="160" height="60"><rect width="160" height="60"/></svg>'
MIRRORED = Affine(a=-1.0)
UP, BACK = np.array([0.0, 0.0, 1.0]), np.array([0.0, 1.0, 0.0])


def on(*panels: str) -> Artwork:
    return Artwork(None, MappingProxyType({panel: Art("black.svg", BLACK) for panel in panels}))


INSERTS = ("cradle", "divider")
"""Styles that stand in a box: nobody sees artwork on them, and their panels cannot be named."""


@cache
def net(style: str, outside: bool = False) -> Net:
    """A small box of a style, cut for no sheet in particular."""
    return boxes.net(style, boxes.thing(style), outside=outside)


def everywhere(box: Net) -> list[Face]:
    """Artwork on every face that can be named."""
    printed, found = artwork.printed_net(box), []
    for part in printed.parts:
        for panel in {panel.body: panel for panel in part.panels}.values():
            try:
                found += artwork.faces(printed, on(panel.name))
            except BookletError:  # two parts have a panel of one name, or an insert has it
                continue
    return found


def directions(box: Net, face: Face) -> dict[str, tuple[np.ndarray, np.ndarray, np.ndarray]]:
    """Of each panel of a face: right and up of its artwork in the closed box, and which way its printed face looks.

    They go through the flat of the net as it is marked, and its own folds: a mirrored flat has left and right changed.
    """
    part, place = box.part[face.part.name], face.place(SIZE)
    if box.marks == "inside":
        place = place.then(MIRRORED)
    ways = [np.subtract(place(end), place((0.0, 0.0))) for end in ((1.0, 0.0), (0.0, 1.0))]
    found = {}
    for panel in face.panels:
        turn = folder(part).stood[folder(part).index[panel.name]][:3, :3]
        right, up = (turn[:, :2] @ way / np.linalg.norm(way) for way in ways)
        found[panel.name] = right, up, turn[:, 2] * (1.0 if box.marks == "outside" else -1.0)
    return found


@pytest.mark.parametrize("outside", [False, True], ids=["marked inside", "marked outside"])
@pytest.mark.parametrize("style", sorted(shelf()))
def test_artwork_stands_upright_on_every_wall_and_is_read_from_the_front_on_every_lid(style: str, outside: bool) -> None:
    box = net(style, outside)
    walls = levels = leaning = 0
    for face in everywhere(box):
        for right, up, out in directions(box, face).values():
            np.testing.assert_allclose(np.cross(right, up), out, atol=1e-6)  # seen from outside it is not mirrored
            if abs(out[2]) < 1e-6:
                walls += 1
                np.testing.assert_allclose(up, UP, atol=1e-6)
            elif out[2] > 1 - 1e-6 and len(face.panels) == 1:
                levels += 1
                np.testing.assert_allclose(up, BACK, atol=1e-6)
            elif len(face.panels) == 1 and abs(out[2]) < 0.85:
                leaning += 1
                assert up[2] > 0.4
    assert (walls or levels or leaning) != (style in INSERTS)


@pytest.mark.parametrize("style", ["lidded-box", "tray", "tuck-carton", "prism-box", "full-lid-box"])
def test_a_side_of_the_box_is_that_side_and_is_printed_outside(style: str) -> None:
    box = net(style)
    for told, axis, sign in (("front", 1, -1), ("back", 1, 1), ("left", 0, -1), ("right", 0, 1)):
        (face,) = artwork.faces(artwork.printed_net(box), on(told))
        (_, _, out), *_ = directions(box, face).values()
        assert out[axis] * sign > 0.4, told


def test_a_rolled_wall_is_one_face() -> None:
    (face,) = artwork.faces(artwork.printed_net(net("round-box")), on("wall"))
    assert len(face.panels) > 10


@pytest.mark.parametrize("style", sorted(shelf()))
def test_artwork_covers_its_face_and_the_bleed_and_is_not_stretched(style: str) -> None:
    box = net(style)
    for face in everywhere(box)[::3]:
        place = face.place(SIZE)
        sheet = shapely.Polygon(place.ring(((0, 0), (SIZE[0], 0), SIZE, (0, SIZE[1]))))
        assert face.covered.difference(sheet).area < 1e-6
        assert np.hypot(place.a, place.b) == pytest.approx(np.hypot(place.c, place.d))
        scale, ways = np.hypot(place.a, place.b), ((face.up[1], -face.up[0]), face.up)
        over = [scale * size - np.ptp(shapely.get_coordinates(face.covered) @ np.array(way)) for way, size in zip(ways, SIZE, strict=True)]
        assert min(over) == pytest.approx(0.0, abs=1e-6)  # as small as it can be


def own_bonds(part: Part, box: Net, panel: str) -> list[shapely.Polygon]:
    """Areas glued on the outside of a panel that carries the glue: told by the bond itself."""
    outer = "marked" if box.marks == "outside" else "back"
    return [shapely.Polygon(b.region) for b in box.bonds if b.panels[0] == (part.name, panel) and b.faces[0] == outer]


@pytest.mark.parametrize("style", sorted(shelf()))
def test_no_ink_is_where_glue_goes_and_else_ink_is_everywhere(style: str) -> None:
    box = net(style)
    for face in everywhere(box):
        for piece in face.part.pieces:
            inked = face.inked(artwork.printed_net(box), piece)
            for panel in face.panels:
                if panel.name in piece.panels:
                    shape = shapely.Polygon(panel.outline, panel.holes)
                    glued = list(artwork.glued_outside(artwork.printed_net(box), face.part, panel))
                    assert all(inked.intersection(area.buffer(-0.01)).area < 1e-6 for area in glued)
                    assert shape.difference(shapely.union_all([inked, *glued])).area < 1e-3
                    told = own_bonds(box.part[face.part.name], box, panel.name)
                    mirrored = [shapely.affinity.scale(area, -1.0, 1.0, origin=(0, 0)) if box.marks == "inside" else area for area in told]
                    assert all(inked.intersection(area.buffer(-0.01)).area < 1e-6 for area in mirrored)


def test_both_faces_of_a_bond_outside_are_bare() -> None:
    box = artwork.printed_net(net("lidded-box"))
    bare = {(part.name, p.name) for part in box.parts for p in part.panels if any(artwork.glued_outside(box, part, p))}
    outside = [bond for bond in box.bonds if "marked" in bond.faces]
    assert outside and bare == {bond.panels[side] for bond in outside for side in (0, 1) if bond.faces[side] == "marked"}


def test_ink_goes_over_cut_edges_by_the_bleed_and_stops_at_folds() -> None:
    box = artwork.printed_net(net("tray"))
    (face,) = artwork.faces(box, on("base"))
    assert face.covered.symmetric_difference(shapely.Polygon(face.panels[0].outline)).area < 1.0  # folds all round it
    (wall,) = artwork.faces(box, on("front"))
    piece = wall.part.pieces[0]
    whole = shapely.Polygon(piece.outline)
    over = wall.inked(box, piece).difference(whole)
    assert over.area == pytest.approx(artwork.BLEED * wall.covered.intersection(whole.boundary.buffer(0.01)).area / 0.02, rel=0.1)
    assert over.hausdorff_distance(whole.boundary) > 0 and over.difference(whole.buffer(artwork.BLEED + 0.01, join_style="mitre")).is_empty


def test_a_name_that_is_no_panel_is_refused_with_those_that_are() -> None:
    with pytest.raises(
        BookletError,
        match=r"artwork\.panels\.roof: 'roof' is no panel of this box; write one of wall-1, .*lid, .*left, right, front, back, top",
    ):
        artwork.checked(net("lidded-box"), on("roof"))


def test_an_insert_alone_has_no_panels_for_artwork() -> None:
    with pytest.raises(BookletError, match=r"artwork\.panels\.left: 'left' is no panel: an insert alone has no outside"):
        artwork.checked(net("divider"), on("left"))


def test_a_name_of_several_panels_and_a_panel_with_two_names_are_refused() -> None:
    with pytest.raises(BookletError, match="'wall' is 4 panels"):
        artwork.checked(net("lidded-box"), on("wall"))
    with pytest.raises(BookletError, match=r"artwork\.panels\.top: is the same panel as 'lid'"):
        artwork.checked(net("lidded-box"), on("lid", "top"))


def test_all_that_is_wrong_with_artwork_is_told_at_once() -> None:
    wrong = Artwork(Art("logo.svg", b"<html/>"), MappingProxyType({"lid": Art("lid.svg", b"<svg"), "roof": Art("lid.svg", BLACK)}))
    with pytest.raises(BookletError) as found:
        artwork.checked(net("lidded-box"), wrong)
    assert [fault.where for fault in found.value.faults] == ["logo.svg", "lid.svg", "artwork.panels.roof"]


def test_a_plan_looks_at_artwork_and_a_layout_that_prints_none_says_so() -> None:
    plain = spec("tiles")
    with pytest.raises(BookletError, match="roof"):
        planning.plan_of(replace(plain, artwork=on("roof")))
    warned = {check.name: check for check in planning.plan_of(replace(plain, artwork=on("front"))).checks if not check.ok}
    assert "front" in warned["warn.artwork"].text


def test_the_box_that_is_printed_is_the_one_that_is_folded() -> None:
    box = net("tuck-carton")
    assert artwork.printed_net(box) == marked_outside(box)
    assert artwork.printed_net(marked_outside(box)) == marked_outside(box)


@pytest.mark.parametrize("name", sorted(path.name for path in (FOLDER / "art").glob("*.svg")))
def test_the_drawings_of_the_samples_are_taken(name: str) -> None:
    from booklet.pdf.signs import drawing

    assert drawing((FOLDER / "art" / name).read_bytes(), name).width > 1


def test_a_wall_that_was_parted_to_fit_the_card_is_one_face_by_its_old_name_too() -> None:
    """The halves lie beside each other in the flat, and the drawing runs on over the seam; the strip behind it is not printed."""
    tall = planning.plan_of(spec("vase")).net
    assert any(fold.kind == "splice" for part in tall.parts for fold in part.folds)
    for told in ("wall 3", "wall-3.a", "left"):
        (face,) = artwork.faces(artwork.printed_net(tall), on(told))
        assert [panel.name for panel in face.panels] == ["wall-3.a", "wall-3.b"]
    assert face.covered.geom_type == "Polygon"

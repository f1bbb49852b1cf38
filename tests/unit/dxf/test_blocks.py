"""What a drawing holds within its blocks, where the drawing places it."""

import numpy as np
import pytest
from ezdxf.xclip import XClip
from numpy.testing import assert_allclose

from gradevol.ground.errors import InputError
from tests.read_files import read_faces_of as read_dxf_faces
from tests.read_files import read_points_of as read_dxf_points
from tests.unit.dxf.conftest import CORNERS, add_block, on


def draw_shots(space, *, elevation=None, raised=0.0, digits=2):
    """A shot in its block at each corner, with its number written beside it."""
    block = space.doc.blocks.new("SHOT")
    block.add_point((0, 0, 0), **on("0"))
    for tag in ("NUMBER", "ELEV"):
        block.add_attdef(tag, (0, 0))
    for number, corner in enumerate(CORNERS, start=101):
        insert = space.add_blockref("SHOT", corner, **on("BASE"))
        level = corner[2] + raised if elevation is None else elevation
        insert.add_auto_attribs({"NUMBER": str(number), "ELEV": f"{level:.{digits}f}"})


def places(survey):
    return survey.points + survey.origin


def test_points_of_blocks_go_by_the_insert_and_what_is_written_in_it(file):
    survey = read_dxf_points(file(draw_shots), unit="m")
    assert_allclose(places(survey), CORNERS)
    assert survey.ids == ("101", "102", "103", "104")
    assert survey.codes == ("BASE",) * 4
    (note,) = survey.notes
    assert (note.code, "SHOT" in note.text) == ("points-of-blocks", True)
    assert len(read_dxf_points(file(draw_shots), unit="m", layer="base").points) == 4


def test_a_shot_that_lies_flat_beside_its_elevation_is_refused(file):
    with pytest.raises(InputError, match=r"stands at elevation 100, and what is .* says 7"):
        read_dxf_points(file(lambda space: draw_shots(space, elevation=7)), unit="m")


@pytest.mark.parametrize(("digits", "is_taken"), [(1, True), (2, False)])
def test_an_elevation_that_is_written_to_a_tenth_is_no_other(file, digits, is_taken):
    drawn = file(lambda space: draw_shots(space, raised=0.02, digits=digits))
    if is_taken:
        assert len(read_dxf_points(drawn, unit="m").points) == 4
    else:
        with pytest.raises(InputError, match="what is written in it says"):
            read_dxf_points(drawn, unit="m")


def test_a_block_is_scaled_mirrored_turned_and_nested_as_the_drawing_has_it(file):
    def draw(space):
        inner, outer = space.doc.blocks.new("IN"), space.doc.blocks.new("OUT")
        for corner in CORNERS:
            inner.add_point(corner)
        outer.add_blockref("IN", (5, 0, 0), dxfattribs={"xscale": -1, "zscale": 2})
        space.add_blockref("OUT", (100, 50, 1), dxfattribs={"rotation": 90, "yscale": 3})

    east, north, level = np.array(CORNERS, float).T
    east = 5 - east  # mirrored and moved; then stretched across and turned to the left
    expected = np.column_stack([100 - 3 * north, 50 + east, 1 + 2 * level])
    assert_allclose(places(read_dxf_points(file(draw), unit="m")), expected, atol=1e-9)


def test_faces_of_a_block_are_a_surface(file):
    def draw(space):
        add_block(space, "TIN", ("3dface", CORNERS[:3]), ("3dface", CORNERS[1:]))

    points, faces = read_dxf_faces(file(draw), unit="m")
    assert (len(points), len(faces)) == (4, 2)


def test_blocks_without_points_and_clipped_ones_are_refused(file):
    with pytest.raises(InputError, match="only blocks without any"):
        read_dxf_points(file(lambda s: add_block(s, "A", ("line", (0, 0), (1, 1)))), unit="m")

    def clip(space):
        add_block(space, "A", *(("point", corner) for corner in CORNERS))
        XClip(space[0]).set_block_clipping_path([(0, 0), (5, 5)])

    with pytest.raises(InputError, match=r"its block '.*' is clipped"):
        read_dxf_points(file(clip), unit="m")


def test_points_on_layers_that_are_off_are_told(file):
    def draw(space):
        space.doc.layers.add("OLD").off()
        for number, corner in enumerate(CORNERS * 2):
            space.add_point(corner, **on("BASE" if number < 4 else "OLD"))

    (note,) = read_dxf_points(file(draw), unit="m").notes
    assert (note.code, "OLD" in note.text) == ("layers-off", True)
    assert read_dxf_points(file(draw), unit="m", layer="BASE").notes == ()

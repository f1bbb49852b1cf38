"""Points and faces of DXF files of every version."""

import re

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from tests.read_files import read_faces_of as read_dxf_faces
from tests.read_files import read_points_of as read_dxf_points
from tests.unit.dxf.conftest import (
    CORNERS,
    FAR,
    SQUARE,
    VERSIONS,
    add_block,
    draw_polyface,
    draw_two_layers,
    on,
)

UNDER_ANOTHER = (
    r"1 of its entities bears the mark of a POINT \(AcDbPoint\) under another name\. Export"
)

# points


def test_points_that_share_a_handle_are_refused_for_one_would_be_lost(file):
    path = file(lambda space: [space.add_point(corner) for corner in CORNERS])
    handles = re.findall(r"POINT\n  5\n(\w+)\n", path.read_text())
    assert len(handles) == 4
    path.write_text(path.read_text().replace(f"\n{handles[2]}\n", f"\n{handles[1]}\n"))
    with pytest.raises(InputError, match=r"it holds 4 POINT, but 3 of them stand"):
        read_dxf_points(path, unit="ft")


def test_points_that_run_into_one_are_refused(file):
    path = file(lambda space: [space.add_point(corner) for corner in CORNERS], "R2010")
    head, point, rest = path.read_text().rpartition("  0\nPOINT\n")
    path.write_text(f"{head}{point.replace('0', '4')}{rest}")
    with pytest.raises(InputError, match=r"it holds 4 POINT, but 3 of them stand by themselves"):
        read_dxf_points(path, unit="ft")


@pytest.mark.parametrize("spoilt", ["PINT", "P\x0fINT", "~OINT"])
def test_a_point_whose_name_is_spoilt_is_missed_though_another_lost_its_mark(file, spoilt):
    text = (path := file(lambda space: [space.add_point(corner) for corner in CORNERS])).read_text()
    text = text.replace("\nAcDbPoint\n", "\nAgDbPoint\n", 1)
    head, _, rest = text.rpartition("  0\nPOINT\n")
    path.write_text(f"{head}  0\n{spoilt}\n{rest}")
    with pytest.raises(InputError, match=UNDER_ANOTHER):
        read_dxf_points(path, unit="ft")


@pytest.mark.parametrize("undrawn", ["DICTIONARY", "LAYER"])
def test_a_point_that_stands_among_what_is_not_drawn_is_refused(file, undrawn):
    text = (path := file(lambda space: [space.add_point(corner) for corner in CORNERS])).read_text()
    for name, other in (("POINT", undrawn), (undrawn, "POINT")):  # the last of each
        head, _, rest = text.rpartition(f"  0\n{name}\n")
        text = f"{head}  0\n{other}_\n{rest}"
    path.write_text(text.replace("_\n", "\n"))
    with pytest.raises(InputError, match=UNDER_ANOTHER):  # of how many can't be told
        read_dxf_points(path, unit="ft")


def test_a_drawing_whose_model_space_has_another_name_is_refused(file):
    text = (path := file(lambda space: [space.add_point(corner) for corner in CORNERS])).read_text()
    assert text.count("\n  3\nModel\n") == 1
    path.write_text(text.replace("\n  3\nModel\n", "\n  3\n$DIMFRAC\n"))
    with pytest.raises(InputError, match=r"it is damaged or was cut short \('MODEL'\)"):
        read_dxf_points(path, unit="ft")


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize("form", ["asc", "bin"])
def test_points_are_read_from_every_version(file, version, form):
    def draw(space):
        for corner in CORNERS:
            space.add_point(np.add(corner, FAR), **on("BASE"))

    survey = read_dxf_points(file(draw, version, form=form), unit="ft")
    expected = np.add(CORNERS, FAR) * 0.3048
    assert_allclose(survey.points + survey.origin, expected, rtol=0, atol=1e-9)
    assert survey.codes == ("BASE",) * 4
    assert len(set(survey.ids)) == 4


def test_a_layer_or_codes_choose_points(file):
    path = file(draw_two_layers)
    assert len(read_dxf_points(path, unit="m").points) == 8
    assert len(read_dxf_points(path, unit="m", layer="BASE").points) == 4
    assert len(read_dxf_points(path, unit="m", codes=("cu*",)).points) == 4
    with pytest.raises(InputError, match=r"'EDGE' holds no POINT; .*Base \(4\), CURB \(4\)"):
        read_dxf_points(path, unit="m", layer="EDGE")


@pytest.mark.parametrize(
    ("number", "unit"), [(1, "in"), (2, "ft"), (4, "mm"), (6, "m"), (21, "us-ft")]
)
def test_the_declared_unit_must_be_the_jobs(file, number, unit):
    path = file(draw_two_layers, units=number)
    assert len(read_dxf_points(path, unit=unit).points) == 8
    for other in METRES.keys() - {unit}:
        with pytest.raises(
            InputError, match=rf"INSUNITS {number}\) says that it is in {unit}.* are in {other}"
        ):
            read_dxf_points(path, unit=other)


@pytest.mark.parametrize(("number", "said"), [(5, "cm"), (10, "yards"), (17, "unit no. 17")])
def test_units_that_no_job_has_are_named(file, number, said):
    with pytest.raises(InputError, match=f"is in {said}, but"):
        read_dxf_points(file(draw_two_layers, units=number), unit="m")


def test_points_in_blocks_beside_others_are_noted(file):
    def both(space):
        draw_two_layers(space)
        add_block(space, "BASE", ("point", (1, 1, 1)))

    (note,) = read_dxf_points(file(both), unit="m").notes
    assert note.code == "blocks-left-out"
    assert read_dxf_points(file(both), unit="m", layer="CURB").notes == ()


# faces


def face_areas(points, triangles):
    one, two, three = np.moveaxis(points[triangles][..., :2], 1, 0)
    along, off = two - one, three - one
    return (along[:, 0] * off[:, 1] - along[:, 1] * off[:, 0]) / 2


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize("form", ["asc", "bin"])
def test_faces_share_their_corners(file, version, form):
    def draw(space):
        space.add_3dface([CORNERS[0], CORNERS[1], CORNERS[2]], **on("TIN"))
        space.add_3dface([CORNERS[0], CORNERS[2], CORNERS[3], CORNERS[3]], **on("TIN"))

    points, triangles = read_dxf_faces(file(draw, version, form=form), unit="m")
    assert sorted(map(tuple, points)) == sorted(CORNERS)
    assert_allclose(face_areas(points, triangles), [100, 100])


def test_a_face_of_four_corners_is_two_triangles(file):
    points, triangles = read_dxf_faces(file(lambda s: s.add_3dface(CORNERS)), unit="ft")
    assert_allclose(points[triangles[0]], np.array(CORNERS[:3]) * 0.3048, rtol=1e-15)
    assert_allclose(face_areas(points, triangles), [100 * 0.3048**2] * 2)


def draw_grid(space):
    mesh = space.add_polymesh((3, 3))
    for east in range(3):
        for north in range(3):
            mesh.set_mesh_vertex((east, north), (10 * east, 5 * north, 100 + east * north))


def draw_mesh(space):
    with space.add_mesh().edit_data() as data:
        data.vertices = CORNERS
        data.faces = [(0, 1, 2), (0, 2, 3)]


@pytest.mark.parametrize(("draw", "count"), [(draw_polyface, 2), (draw_grid, 8), (draw_mesh, 2)])
def test_meshes_are_faces_too(file, draw, count):
    points, triangles = read_dxf_faces(file(draw), unit="m")
    assert len(triangles) == count
    assert_allclose(face_areas(points, triangles).sum(), 200)
    assert points[:, 2].min() == 100


def test_faces_of_two_layers_may_be_two_surfaces(file):
    def draw(space):
        space.add_3dface(CORNERS, **on("TOP"))
        space.add_3dface(CORNERS, **on("Base"))

    path = file(draw)
    with pytest.raises(InputError, match=r"several layers.*TOP \(1\), Base \(1\)"):
        read_dxf_faces(path, unit="m")
    assert len(read_dxf_faces(path, unit="m", layer="base")[1]) == 2


@pytest.mark.parametrize(
    ("draw", "said"),
    [
        (lambda _: None, "holds no 3DFACE.*but nothing"),
        (lambda s: s.add_text("no"), r"holds no 3DFACE.* but TEXT \(1\)"),
        (lambda s: s.add_polyline2d(SQUARE), "holds lines .POLYLINE., but no faces"),
        (lambda s: s.add_3dface([(4, 0), (1, 1), (0, 4), (0, 0)]), "polygon with a hollow"),
        (lambda s: s.add_3dface([(0, 0), (1e300, 4), (1, 1)]), "lies at"),
        (
            lambda s: (s.add_3dface(CORNERS), add_block(s, "0", ("3dface", CORNERS))),
            "blocks hold more 3DFACE",
        ),
    ],
)
def test_faces_that_cannot_be_used_are_refused(file, draw, said):
    with pytest.raises(InputError, match=said):
        read_dxf_faces(file(draw), unit="m")


def test_smoothed_meshes_are_refused(file):
    def draw(space):
        draw_mesh(space)
        space[0].dxf.subdivision_levels = 2

    with pytest.raises(InputError, match=r"is smoothed"):
        read_dxf_faces(file(draw), unit="m")


def test_a_polyface_that_names_a_missing_corner_is_refused(file):
    def draw(space):
        draw_polyface(space)
        space[0].vertices[-1].dxf.vtx1 = 9

    with pytest.raises(InputError, match=r"damaged or was cut short"):
        read_dxf_faces(file(draw, "R12"), unit="m")


def test_a_mesh_that_names_a_missing_corner_is_refused(file):
    def draw(space):
        with space.add_mesh().edit_data() as data:
            data.vertices = CORNERS
            data.faces = [(0, 1, 7)]

    with pytest.raises(InputError, match=r"a corner that is none of its 4 points"):
        read_dxf_faces(file(draw), unit="m")

"""Surface files: whole files as another reader has them, and refusals of the others."""

import io
import struct

import numpy as np
import pytest
import trimesh
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.files import read_faces as read_mesh
from gradevol.files.sources import SurfaceFile
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES

POINTS = np.array(
    [[500, 800, 20], [508, 800, 20.1], [508, 812, 20.2], [500, 812, 20.3], [504, 806, 20.4]]
)
STATE_PLANE = POINTS + np.array([2_012_300.0, 651_200.0, 400.0])
TRIANGLES = [[0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]]


def read(path, content, *, unit="m"):
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return read_mesh(SurfaceFile(path, unit))


def ply_header(form, n_points, n_faces, *, kind="double", extra="", newline="\n"):
    lines = [
        "ply",
        f"format {form} 1.0",
        "comment invented",
        f"element vertex {n_points}",
        *[f"property {kind} {axis}" for axis in "xyz"],
        *extra.split("\n")[: bool(extra)],
        f"element face {n_faces}",
        "property list uchar int vertex_indices",
        "end_header",
        "",
    ]
    return newline.join(lines)


def ply_text(points=POINTS, faces=TRIANGLES, **rest):
    rows = [" ".join(f"{value:.4f}" for value in point) for point in points]
    rows += [" ".join(map(str, [len(face), *face])) for face in faces]
    return ply_header("ascii", len(points), len(faces), **rest) + "\n".join(rows) + "\n"


def ply_binary(points=POINTS, faces=TRIANGLES, *, big=False, kind="double", newline="\n"):
    order = ">" if big else "<"
    head = ply_header(
        f"binary_{'big' if big else 'little'}_endian",
        len(points),
        len(faces),
        kind=kind,
        newline=newline,
    )
    body = np.asarray(points).astype(order + {"double": "f8", "float": "f4"}[kind]).tobytes()
    for face in faces:
        body += struct.pack(f"{order}B{len(face)}i", len(face), *face)
    return head.encode() + body


def obj_text(points=POINTS, faces=TRIANGLES):
    rows = [f"v {e:.4f} {n:.4f} {z:.4f}" for e, n, z in points]
    rows += ["f " + " ".join(str(index + 1) for index in face) for face in faces]
    return "\n".join(["# invented", "o base", *rows, ""])


WHOLE = {
    "text.ply": ply_text(),
    "returns.ply": ply_text(newline="\r\n"),
    "little.ply": ply_binary(),
    "big.ply": ply_binary(big=True),
    "returns-binary.ply": ply_binary(newline="\r\n"),
    "single.ply": ply_binary(kind="float"),
    "a.obj": obj_text(),
    "slashes.obj": obj_text().replace("f 1 2 5", "vt 0 0\nvn 0 0 1\nf 1/1/1 2/1/1 5/1/1"),
    "normals.obj": obj_text().replace("f 1 2 5", "vn 0 0 1\nf 1//1 2//1 5//1"),
    "tabs.obj": obj_text().replace("v ", "v\t").replace("f ", "f\t").replace("\n", "\r\n"),
    "continued.obj": obj_text().replace("f 1 2 5", "f 1 \\\n2 5 # first"),
    "colours.obj": obj_text().replace("20.0000\n", "20.0000 0.5 0.5 0.5\n"),
}


@pytest.mark.parametrize("name", WHOLE)
def test_a_whole_file_gives_its_points_and_faces(tmp_path, name):
    points, triangles = read(tmp_path / name, WHOLE[name])
    assert_allclose(points, POINTS, rtol=0, atol=2e-5 if name == "single.ply" else 1e-9)
    assert_array_equal(triangles, TRIANGLES)
    assert points.dtype == np.float64


@pytest.mark.parametrize("name", ["text.ply", "little.ply", "big.ply", "a.obj"])
def test_another_reader_sees_the_same_triangles(tmp_path, name):
    content = WHOLE[name] if isinstance(WHOLE[name], bytes) else WHOLE[name].encode()
    other = trimesh.load_mesh(io.BytesIO(content), file_type=name[-3:], process=False)
    points, triangles = read(tmp_path / name, content)
    assert_allclose(points[triangles], other.triangles, rtol=0, atol=1e-9)


@pytest.mark.parametrize("encoding", ["ascii", "binary"])
def test_what_another_writer_exports_is_read(tmp_path, encoding):
    mesh = trimesh.Trimesh(POINTS, TRIANGLES, process=False)
    content = trimesh.exchange.ply.export_ply(mesh, encoding=encoding)
    points, triangles = read(tmp_path / "a.ply", content)
    assert_allclose(points[triangles], mesh.triangles, rtol=0, atol=5e-5)  # it writes float32


def test_numbers_are_taken_to_metres(tmp_path):
    points, _ = read(tmp_path / "a.ply", ply_binary(), unit="us-ft")
    assert_allclose(points, POINTS * METRES["us-ft"], rtol=0, atol=1e-12)


def test_state_plane_coordinates_lose_nothing_in_double(tmp_path):
    points, _ = read(tmp_path / "a.ply", ply_binary(STATE_PLANE), unit="ft")
    assert_allclose(points, STATE_PLANE * 0.3048, rtol=0, atol=1e-9)


MIXED = [[0, 1, 4], [1, 2, 3, 4], [3, 0, 4]]


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("a.ply", ply_text(faces=MIXED)),
        ("b.ply", ply_binary(faces=MIXED)),
        ("c.ply", ply_binary(faces=MIXED, big=True)),
        ("d.obj", obj_text(faces=MIXED)),
    ],
)
def test_polygons_are_fanned_from_their_first_corner(tmp_path, name, content):
    _, triangles = read(tmp_path / name, content)
    assert_array_equal(triangles, [[0, 1, 4], [1, 2, 3], [1, 3, 4], [3, 0, 4]])


def test_a_fan_covers_the_whole_polygon(tmp_path):
    angle = np.linspace(0, 2 * np.pi, 9)[:-1]
    ring = np.column_stack([3 * np.cos(angle), 2 * np.sin(angle), np.full(8, 20.0)])
    points, triangles = read(tmp_path / "a.ply", ply_binary(ring, [list(range(8))]))
    one, two, three = np.moveaxis(points[triangles], 1, 0)
    area = np.cross(two - one, three - one)[:, 2] / 2
    assert len(area) == 6
    assert (area > 0).all()
    assert_allclose(area.sum(), 0.5 * 3 * 2 * 8 * np.sin(np.pi / 4), rtol=1e-12)


def test_corners_counted_backwards_are_from_where_the_face_stands(tmp_path):
    rows = obj_text(faces=[]) + "f -5 -4 -1\nv 520 800 20\nv 520 812 20\nf -2 -1 1\n"
    _, triangles = read(tmp_path / "a.obj", rows)
    assert_array_equal(triangles, [[0, 1, 4], [5, 6, 0]])


def test_faces_stay_as_they_are_turned_and_upright_ones_stay(tmp_path):
    points = np.array([[0.0, 0, 0], [1, 0, 0], [1, 0, 1], [0, 0, 1], [1, 1, 0]])
    faces = [[0, 1, 2, 3], [4, 1, 0]]
    _, triangles = read(tmp_path / "a.ply", ply_binary(points, faces))
    assert_array_equal(triangles, [[0, 1, 2], [0, 2, 3], [4, 1, 0]])


def test_other_elements_and_properties_are_passed_over(tmp_path):
    head = (
        "ply\nformat binary_little_endian 1.0\nelement site 1\nproperty list uchar float where\n"
        "property short id\nelement vertex 3\nproperty uchar red\nproperty double x\n"
        "property double y\nproperty double z\nelement face 2\nproperty uchar kind\n"
        "property list int uint vertex_index\nproperty float quality\nelement edge 1\n"
        "property int vertex1\nend_header\n"
    )
    body = struct.pack("<B2fh", 2, 1.0, 2.0, 7)
    for point in POINTS[:3]:
        body += struct.pack("<B3d", 200, *point)
    body += 2 * struct.pack("<Bi3If", 1, 3, 0, 1, 2, 0.5) + struct.pack("<i", 0)
    points, triangles = read(tmp_path / "a.ply", head.encode() + body)
    assert_array_equal(points, POINTS[:3])
    assert_array_equal(triangles, [[0, 1, 2], [0, 1, 2]])


LONE = POINTS.copy()
LONE[2, 2] = np.nan
HOLLOW = np.array([[0.0, 0, 0], [4, 0, 0], [1, 1, 0], [0, 4, 0]])
REFUSED = {
    "cut text": ("a.ply", ply_text()[:-9], "no face in|declares 4 of 'face', but has 3"),
    "cut text points": ("a.ply", "\n".join(ply_text().split("\n")[:14]), "but has"),
    "cut binary": ("a.ply", ply_binary()[:-1], "declares 4 of 'face', but has 3"),
    "cut mixed": ("a.ply", ply_binary(faces=MIXED)[:-1], "declares 3 of 'face', but has 2"),
    "cut binary points": ("a.ply", ply_binary()[:300], "declares 5 of 'vertex', but has"),
    "cut header": ("a.ply", ply_text()[:100], "header has no end"),
    "cut face line": ("a.obj", obj_text()[:-3], "line 11: no face in 'f 4 1'"),
    "cut point line": ("a.obj", obj_text()[:30], "no corner in"),
    "more text": ("a.ply", ply_text() + "3 0 1 2\n", "1 lines follow"),
    "more binary": ("a.ply", ply_binary() + b"\1\2\3", "3 bytes follow"),
    "absurd counts": (
        "a.ply",
        ply_header("binary_little_endian", 10**18, 10**18) + "x",
        "declares 1,000,000,000,000,000,000 of 'vertex'",
    ),
    "a cloud": ("a.ply", ply_text(faces=[]), "holds 5 points but no faces"),
    "a cloud without the element": (
        "a.ply",
        ply_text(faces=[]).replace("element face 0\nproperty list uchar int vertex_indices\n", ""),
        "holds 5 points but no faces",
    ),
    "a cloud in text": ("a.obj", obj_text(faces=[]), "holds 5 points but no faces"),
    "nothing": ("a.obj", "", "it is empty"),
    "not a number": ("a.ply", ply_text(LONE), "corner 3 lies at 508, 812, nan"),
    "not a number, binary": ("a.ply", ply_binary(LONE), "corner 3 lies at 508, 812, nan"),
    "not a number, OBJ": ("a.obj", obj_text(LONE), "corner 3 lies at 508, 812, nan"),
    # the last elevation is a nan that signals
    "a signalling nan": (
        "a.ply",
        ply_binary().replace(np.float64(20.4).tobytes(), b"\1\0\0\0\0\0\xf0\x7f"),
        "corner 5 lies at 504, 806, nan",
    ),
    "a signalling nan, single": (
        "a.ply",
        ply_binary(kind="float").replace(np.float32(20.4).tobytes(), b"\1\0\x80\x7f"),
        "corner 5 lies at 504, 806, nan",
    ),
    "off the Earth": ("a.ply", ply_binary(POINTS * 1e8), "corner 1 lies at"),
    "index past the end": ("a.ply", ply_text(faces=[[0, 1, 2], [0, 1, 5]]), "face 2 has a corner"),
    "index below nought": ("a.ply", ply_binary(faces=[[0, 1, -1]]), "face 1 has a corner"),
    "index past, OBJ": ("a.obj", obj_text(faces=[[0, 1, 5]]), "face 1 has a corner"),
    "index back past, OBJ": ("a.obj", obj_text(faces=[]) + "f -6 1 2\n", "face 1 has a corner"),
    "index nought, OBJ": ("a.obj", obj_text(faces=[[-1, 0, 1]]), "counted from 1"),
    "index no whole number": ("a.ply", ply_text().replace("3 0 1 4", "3 0 1 4.5"), "whole number"),
    "index of no file": ("a.obj", obj_text(faces=[[0, 1, 10**30]]), "the file has no such corner"),
    "two corners": ("a.ply", ply_text(faces=[[0, 1, 2], [0, 1]]), "face 2 has 2 corners"),
    "two corners, OBJ": ("a.obj", obj_text(faces=[[0, 1]]), "it takes three"),
    "hollow": ("a.ply", ply_binary(HOLLOW, [[1, 2, 3, 0]]), "face 1 is a polygon with a hollow"),
    "words": ("a.obj", obj_text().replace("v 500", "v five"), "line 3: no corner in 'v five"),
    "no format": ("a.ply", ply_text().replace("format ascii 1.0\n", ""), "no format"),
    "a property twice": (
        "a.ply",
        ply_binary().replace(b"property double z\n", b"property double z\nproperty double z\n"),
        "declares a property of 'vertex' twice",
    ),
    "unknown type": ("a.ply", ply_text(kind="quadruple"), "'property quadruple x'"),
    "neither": ("a.csv", "solid", "it is delimited text, which surface_file does not take"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_file_that_cannot_be_used_is_refused(tmp_path, name):
    file, content, match = REFUSED[name]
    with pytest.raises(InputError, match=match) as caught:
        read(tmp_path / file, content)
    assert file in str(caught.value)


def test_a_missing_file_is_refused(tmp_path):
    with pytest.raises(InputError, match="no such file"):
        read_mesh(SurfaceFile(tmp_path / "none.ply", "m"))


@pytest.mark.parametrize(
    "content", [ply_binary(STATE_PLANE, kind="float"), ply_text(STATE_PLANE, kind="float")]
)
def test_single_precision_of_large_coordinates_is_refused(tmp_path, content):
    # float32 has 24 bits: from 2^20 on, 2,012,808 among them, it steps by 1/8
    with pytest.raises(InputError, match=r"eastings are rounded to steps of 0\.0381 m"):
        read(tmp_path / "a.ply", content, unit="ft")


def test_single_precision_is_refused_only_past_a_millimetre(tmp_path):
    near = POINTS + np.array([7000.0, 0, 0])  # steps by 0.5 mm below 8192
    read(tmp_path / "a.ply", ply_binary(near, kind="float"))
    with pytest.raises(InputError, match=r"eastings .* 0\.001953125 m"):
        read(tmp_path / "b.ply", ply_binary(near + np.array([10_000, 0, 0]), kind="float"))


def test_numbers_cut_to_a_few_digits_are_refused(tmp_path):
    rows = obj_text().replace("v 500.0000", "v 2.01235e+06").replace("v 508.0000", "v 2.01236e+06")
    with pytest.raises(InputError, match="eastings are rounded to steps of 10 m"):
        read(tmp_path / "a.obj", rows)


def test_powers_of_ten_with_all_their_digits_are_read(tmp_path):
    rows = obj_text().replace("v 500.0000", "v 2.0123e6").replace("v 508.0000", "v 2.012308125e6")
    points, _ = read(tmp_path / "b.obj", rows.replace(" 20.0000", " 0e0"))
    assert_array_equal(points[:2, 0], [2_012_300, 2_012_308.125])
    assert points[0, 2] == 0


@pytest.mark.parametrize("name", ["text.ply", "little.ply", "a.obj"])
def test_no_flipped_byte_gives_a_traceback(tmp_path, name):
    content = WHOLE[name] if isinstance(WHOLE[name], bytes) else WHOLE[name].encode()
    random = np.random.default_rng(9)
    refusals = 0
    for at in range(len(content)):
        damaged = bytearray(content)
        damaged[at] ^= int(random.integers(1, 256))
        try:
            points, triangles = read(tmp_path / name, bytes(damaged))
        except InputError:
            refusals += 1
        else:
            assert np.isfinite(points[triangles]).all()
    assert 0 < refusals < len(content)

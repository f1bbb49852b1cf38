"""PLY, glTF and STL: read back by trimesh and by our own readers."""

import json
import re
import struct

import numpy as np
import pytest
import trimesh
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.answer.drawing.bands import choose_bands
from gradevol.answer.surfaces.meshes import mesh_body, mesh_slab
from gradevol.doubts.weighing import weigh_body
from gradevol.files import read_faces as read_mesh
from gradevol.files.sources import SurfaceFile
from gradevol.measures.body import Body
from gradevol.out.exports import EXPORTS
from gradevol.out.pictures.colours import shade
from tests.exported import export


@pytest.fixture(scope="module")
def ply(exported):
    return trimesh.load(exported.folder / "base.ply", process=False)


def test_ply_keeps_every_digit(exported, ply):
    mesh = mesh_slab(exported.result)
    assert len(mesh.points) > 60
    assert_array_equal(ply.vertices, mesh.points)
    assert_array_equal(ply.faces, mesh.triangles)
    held = ply.metadata["_ply_raw"]["vertex"]["data"]["thickness"]
    assert_array_equal(np.asarray(held).ravel(), mesh.thickness)


def test_ply_says_its_unit(exported):
    header = (exported.folder / "base.ply").read_bytes().split(b"end_header\n")[0].decode("ascii")
    assert f"comment easting, northing, elevation, thickness in {exported.unit}\n" in header


def test_the_reader_of_surfaces_takes_the_ply(exported, ply):
    points, faces = read_mesh(SurfaceFile(exported.folder / "base.ply", exported.unit))
    assert_allclose(points, np.asarray(ply.vertices) * exported.metres, rtol=1e-15)
    assert_array_equal(faces, ply.faces)


def test_the_prisms_of_the_ply_are_the_volume(exported, ply):
    thickness = ply.metadata["_ply_raw"]["vertex"]["data"]["thickness"].ravel()
    corners = np.asarray(ply.vertices)[ply.faces]
    one, other = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = (one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]) / 2
    assert (area > 0).all()
    volume = (area * thickness[ply.faces].mean(axis=1)).sum() * exported.metres**3
    concrete = exported.result.concrete
    assert_allclose(volume, concrete.slab - concrete.overlap, rtol=1e-6)


def expected_colours(exported):
    mesh = mesh_slab(exported.result)
    levels = choose_bands(exported.result).levels / exported.metres
    share = (mesh.thickness - levels[0]) / (levels[-1] - levels[0])
    return np.clip(shade(np.clip(share, 0, 1)), 0, 1)


def test_ply_is_coloured_by_thickness(exported, ply):
    seen = ply.visual.vertex_colors[:, :3] / 255
    assert_allclose(seen, expected_colours(exported), atol=0.6 / 255)
    assert np.ptp(seen, axis=0).max() > 0.2


@pytest.fixture(scope="module")
def glb(exported):
    scene = trimesh.load_scene(exported.folder / "base.glb", process=False)
    ((name, mesh),) = scene.geometry.items()
    (node,) = scene.graph.nodes_geometry
    assert "thickness" in name
    assert_array_equal(scene.graph.get(node)[0], np.eye(4))
    return mesh


def scene_of(path):
    content = path.read_bytes()
    magic, version, size, length, kind = struct.unpack("<4sIII4s", content[:20])
    assert (magic, version, size, kind) == (b"glTF", 2, len(content), b"JSON")
    assert length % 4 == 0
    return json.loads(content[20 : 20 + length])


def test_gltf_is_in_metres_y_up_about_the_origin_it_tells(exported, glb):
    (node,) = scene_of(exported.folder / "base.glb")["nodes"]
    extras = node["extras"]
    assert extras["unit"] == exported.unit
    levels = choose_bands(exported.result).levels[[0, -1]] / exported.metres
    assert extras["colours"] == (
        f"by thickness, pale {levels[0]:.4f} to dark {levels[1]:.4f} {exported.unit}"
    )
    x, y, z = np.asarray(glb.vertices).T
    back = np.column_stack([x, -z, y]) / extras["metres"] + extras["origin"]
    wanted = mesh_slab(exported.result)
    assert_allclose(back * exported.metres, wanted.points * exported.metres, atol=2e-6)
    assert_array_equal(glb.faces, wanted.triangles)
    assert glb.face_normals[:, 1].min() > 0.9  # seen from above


def test_gltf_colours_are_linear(exported, glb):
    colours = expected_colours(exported)
    linear = np.where(colours <= 0.04045, colours / 12.92, ((colours + 0.055) / 1.055) ** 2.4)
    seen = glb.visual.vertex_attributes["color"][:, :3] / 255
    assert_allclose(seen, linear, atol=0.6 / 255)
    assert np.ptp(seen, axis=0).max() > 0.2


def test_gltf_declares_bounds_that_hold_its_points(exported, glb):
    scene = scene_of(exported.folder / "base.glb")
    (shape,) = scene["meshes"]
    place = scene["accessors"][shape["primitives"][0]["attributes"]["POSITION"]]
    assert_allclose(place["min"], glb.vertices.min(axis=0), atol=0)
    assert_allclose(place["max"], glb.vertices.max(axis=0), atol=0)
    size = (exported.folder / "base.glb").stat().st_size
    assert scene["buffers"][0]["byteLength"] < size
    assert scene["materials"][0]["doubleSided"]
    assert scene["extensionsUsed"] == list(scene["materials"][0]["extensions"])
    assert "extensionsRequired" not in scene


def solid_in(path):
    """The body in a file, in the file's own coordinates."""
    scene = trimesh.load_scene(path)
    (solid,) = scene.geometry.values()
    return solid


def body_back(exported, name):
    """Vertices of a body in the job's coordinates, by what the file says, and its faces, m."""
    path = exported.folder / name
    solid = solid_in(path)
    if name.endswith("glb"):
        (node,) = scene_of(path)["nodes"]
        x, y, z = np.asarray(solid.vertices).T
        extras = node["extras"]
        back = np.column_stack([x, -z, y]) / extras["metres"] + extras["origin"]
    elif name.endswith("stl"):
        words = path.read_bytes()[:80].decode("ascii").rstrip()
        told = re.fullmatch(r"gradevol body in (\S+), taken off: E (\S+) N (\S+) Z (\S+)", words)
        assert told
        unit, *origin = told.groups()
        assert unit == exported.unit
        back = np.asarray(solid.vertices) + np.array(origin, float)
    else:
        back = np.asarray(solid.vertices)
    return solid, back * exported.metres


BODIES = pytest.mark.parametrize("name", ["body.ply", "body.glb", "body.stl"])


@BODIES
def test_the_body_is_closed_as_another_program_reads_it(exported, name):
    solid = solid_in(exported.folder / name)
    assert solid.is_watertight
    assert solid.is_winding_consistent
    assert solid.euler_number == 0  # it has an opening
    assert len(solid.faces) > 300


@BODIES
def test_the_body_has_the_volume_of_the_slab(exported, name):
    solid = solid_in(exported.folder / name)
    metres = 1.0 if name.endswith("glb") else exported.metres
    centred = solid.vertices - solid.vertices.mean(axis=0)
    volume, _ = weigh_body(Body(centred * metres, solid.faces))
    assert exported.result.concrete.overlap < 1e-9
    rounding = 5e-6 if name.endswith("ply") else 3e-5
    assert_allclose(volume, exported.result.concrete.slab, rtol=rounding)


@BODIES
def test_the_body_lies_where_the_slab_is(exported, name):
    _, back = body_back(exported, name)
    field, origin = exported.result.field, exported.result.survey.origin
    top = field.base + field.thickness
    corners = np.concatenate([field.corners.reshape(-1, 2)] * 2)
    levels = np.concatenate([field.base.ravel(), top.ravel()])
    wanted = np.column_stack([corners, levels]) + origin
    off = 1e-5  # single precision of 20 m takes 2e-6
    assert_allclose(back.min(axis=0), wanted.min(axis=0), rtol=0, atol=off)
    assert_allclose(back.max(axis=0), wanted.max(axis=0), rtol=0, atol=off)


def test_our_own_readers_take_the_body_as_it_was_written(exported):
    body = mesh_body(exported.result)
    assert body is not None
    points, faces = read_mesh(SurfaceFile(exported.folder / "body.ply", exported.unit))
    assert_allclose(points, body.points * exported.metres, rtol=1e-15)
    assert_array_equal(faces, body.triangles)

    points, faces = read_mesh(SurfaceFile(exported.folder / "body.stl", exported.unit))
    assert trimesh.Trimesh(points, faces, process=False).is_watertight
    volume, _ = weigh_body(Body(points, faces))
    assert_allclose(volume, exported.result.concrete.slab, rtol=3e-5)


def test_the_body_in_a_ply_has_no_thickness_of_its_own(exported):
    header = (exported.folder / "body.ply").read_bytes().split(b"end_header")[0].decode("ascii")
    assert f"comment easting, northing, elevation in {exported.unit}\n" in header
    assert "drawn thickenings and voids are not in it" in header
    assert "thickness" not in header


def test_the_body_in_a_glb_is_lit_and_has_one_side(exported):
    scene = scene_of(exported.folder / "body.glb")
    (material,) = scene["materials"]
    assert "extensionsUsed" not in scene
    assert "doubleSided" not in material
    assert scene["nodes"][0]["name"] == "body"


def test_a_slab_without_concrete_has_no_body(make_result, tmp_path):
    plan = np.array([[0, 0], [4, 0], [4, 3], [0, 3.0]])
    result = make_result(np.column_stack([plan, np.full(4, 10.0)]), plan, 9.9)
    assert result.concrete.slab == 0
    export(result, tmp_path, ["stl", "ply", "gltf"])
    assert sorted(file.name for file in tmp_path.iterdir()) == ["base.glb", "base.ply"]
    assert "stl" in EXPORTS

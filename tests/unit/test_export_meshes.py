"""PLY and glTF: read back by trimesh."""

import json
import struct

import numpy as np
import pytest
import trimesh
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.answer.drawing.bands import choose_bands
from gradevol.files import read_faces as read_mesh
from gradevol.files.sources import SurfaceFile
from gradevol.out.exports.meshes import mesh_slab
from gradevol.out.pictures.colours import shade


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
    place = scene["accessors"][0]
    assert_allclose(place["min"], glb.vertices.min(axis=0), atol=0)
    assert_allclose(place["max"], glb.vertices.max(axis=0), atol=0)
    size = (exported.folder / "base.glb").stat().st_size
    assert scene["buffers"][0]["byteLength"] < size
    assert scene["materials"][0]["doubleSided"]
    assert scene["extensionsUsed"] == list(scene["materials"][0]["extensions"])
    assert "extensionsRequired" not in scene

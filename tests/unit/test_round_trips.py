"""What we write, read by our own readers; what other libraries write, read by ours."""

import io
from typing import Any

import numpy as np
import pytest
import shapely
import trimesh
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.answer.surfaces.meshes import mesh_base, mesh_slab, mesh_top
from gradevol.files import read_faces, read_ring, read_shots
from gradevol.files.clouds.survey import read_cloud
from gradevol.files.sources import Cloud, OutlineFile, Shots, SurfaceFile
from tests.unit.test_stl import POINTS, TRIANGLES


def placed(survey):
    return survey.points + survey.origin


# Ours, by ours: what the other libraries see is in test_export_*.py


@pytest.mark.parametrize(
    ("name", "choice", "mesh"),
    [
        ("drawing.dxf", {"layer": "BASE"}, mesh_base),
        ("drawing.dxf", {"layer": "TOP"}, mesh_top),
        ("surfaces.xml", {"name": "base"}, mesh_base),
        ("surfaces.xml", {"name": "top"}, mesh_top),
        ("base.ply", {}, mesh_slab),
    ],
)
def test_an_exported_surface_can_be_given_as_a_surface(exported, name, choice, mesh):
    wanted = mesh(exported.result)
    source = SurfaceFile(exported.folder / name, exported.unit, **choice)
    points, triangles = read_faces(source)
    assert len(triangles) == len(wanted.triangles) > 20
    corners = wanted.points[wanted.triangles] * exported.metres
    assert_allclose(points[triangles], corners, rtol=0, atol=1e-9)


@pytest.mark.parametrize(
    ("name", "choice"),
    [("drawing.dxf", {"layer": "SHOTS"}), ("surfaces.xml", {})],
)
def test_exported_shots_can_be_given_as_shots(exported, name, choice):
    survey = exported.result.survey
    read = read_shots(Shots((exported.folder / name,), exported.unit, **choice))
    assert len(read.points) == len(survey.points) == 63
    assert_allclose(placed(read), placed(survey), rtol=0, atol=1e-6)


# Others', by ours


@pytest.mark.parametrize("digits", [3, 8])
def test_an_obj_of_another_writer_is_read(tmp_path, digits):
    mesh = trimesh.Trimesh(POINTS, TRIANGLES, process=False)
    path = tmp_path / "base.obj"
    path.write_text(trimesh.exchange.obj.export_obj(mesh, digits=digits))
    points, triangles = read_faces(SurfaceFile(path, "m"))
    assert_allclose(points, POINTS, rtol=0, atol=1e-9)
    assert_array_equal(triangles, TRIANGLES)


@pytest.mark.parametrize("kind", ["MultiPoint", "GeometryCollection"])
def test_points_that_shapely_wrote_as_geojson_are_read(tmp_path, kind):
    dots = shapely.points(POINTS)
    shape = shapely.multipoints(dots) if kind == "MultiPoint" else shapely.geometrycollections(dots)
    path = tmp_path / "shots.geojson"
    path.write_text(shapely.to_geojson(shape))
    survey = read_shots(Shots((path,), "m"))
    assert_allclose(placed(survey), POINTS, rtol=0, atol=1e-9)


def test_a_polygon_that_shapely_wrote_as_geojson_is_read(tmp_path):
    ring = shapely.Point(500, 800).buffer(12)
    path = tmp_path / "edge.geojson"
    path.write_text(shapely.to_geojson(ring))
    corners = read_ring(OutlineFile(path, "m"))
    assert shapely.Polygon(corners).equals_exact(ring, tolerance=1e-9)


@pytest.mark.parametrize("mark", [" ", ",", "\t"])
@pytest.mark.parametrize("form", ["%.18e", "%.4f", "%.17g"])
def test_a_table_that_numpy_wrote_is_read_as_a_cloud_and_as_shots(tmp_path, mark, form):
    path = tmp_path / "scan.xyz"
    np.savetxt(path, POINTS, fmt=form, delimiter=mark)
    cloud = read_cloud(Cloud((path,), "m", 0.0, ground=False, columns="ENZ"))
    assert_allclose(placed(cloud), POINTS, rtol=0, atol=1e-9)
    survey = read_shots(Shots((path,), "m", columns="ENZ"))
    assert_allclose(placed(survey), POINTS, rtol=0, atol=1e-9)


@pytest.mark.parametrize("encoding", ["ascii", "binary_little_endian"])
def test_a_ply_cloud_of_another_writer_is_read(tmp_path, encoding):
    cloud = trimesh.PointCloud(POINTS)
    kind = "ascii" if encoding == "ascii" else "binary"
    content = trimesh.exchange.ply.export_ply(cloud, encoding=kind)
    path = tmp_path / "scan.ply"
    path.write_bytes(content)
    seen: Any = trimesh.load(io.BytesIO(content), file_type="ply")
    survey = read_cloud(Cloud((path,), "m", 0.0, ground=False))
    assert_allclose(placed(survey), np.asarray(seen.vertices), rtol=0, atol=1e-9)
    assert_allclose(placed(survey), POINTS, rtol=0, atol=5e-5)  # it writes single precision

"""Files of other people's programs, held against what other libraries read in them.

Where each comes from stands in `tests/data/README.md`. Counts must be equal, coordinates to the
last digit that the file holds, and units are those that it declares.
"""

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import laspy
import numpy as np
import pytest
import rasterio  # type: ignore[import-untyped]
import shapely
import tifffile
from ezdxf.filemanagement import readfile
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.doubts.described import take_inventory
from gradevol.files import read_faces, read_ring, read_shots
from gradevol.files.clouds.survey import read_cloud
from gradevol.files.sources import Cloud, OutlineFile, Shots, SurfaceFile
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES

DATA = Path(__file__).parents[1] / "data"
NAMESPACE = {"x": "http://www.landxml.org/schema/LandXML-1.1"}


def placed(survey):
    return survey.points + survey.origin


def sort_rows(rows):
    return rows[np.lexsort(rows.T)]


# Clouds: laspy


def by_laspy(path, plan, elevation):
    cloud = laspy.read(path)
    factors = [METRES[plan], METRES[plan], METRES[elevation]]
    return np.column_stack([cloud.x, cloud.y, cloud.z]) * factors


@pytest.mark.parametrize(
    ("name", "unit", "elevation", "version", "form"),
    [
        ("autzen.las", "ft", "ft", "1.2", 1),  # GeoKey 3076 is 9002
        ("simple.laz", "m", "m", "1.2", 3),  # declares nothing
        ("simple.laz", "us-ft", "us-ft", "1.2", 3),
        ("format_1_4.laz", "us-ft", "us-ft", "1.4", 6),  # WKT: US survey foot
        ("simple.copc.laz", "m", "us-ft", "1.4", 7),  # WKT: plan in metres, heights in feet
    ],
)
def test_every_point_of_a_cloud_is_where_laspy_has_it(name, unit, elevation, version, form):
    path = DATA / name
    with laspy.open(path) as reader:
        assert (str(reader.header.version), reader.header.point_format.id) == (version, form)
    survey = read_cloud(Cloud((path,), unit, 0.0, ground=False))
    wanted = by_laspy(path, unit, elevation)
    assert survey.count == len(wanted)
    places, at = np.unique(wanted[:, :2].round(6), axis=0, return_inverse=True)
    assert len(survey.points) == len(places)  # points of one place in plan are one
    means = np.bincount(at.ravel(), wanted[:, 2]) / np.bincount(at.ravel())
    found = placed(survey)
    order = np.lexsort(found.T[1::-1])
    wanted_order = np.lexsort(places.T[::-1])
    assert_allclose(found[order, :2], places[wanted_order], rtol=0, atol=2e-6)
    assert_allclose(found[order, 2], means[wanted_order], rtol=0, atol=1e-6)


@pytest.mark.parametrize(
    ("name", "unit", "elevation"),
    [("autzen.las", "ft", "ft"), ("simple.laz", "ft", "ft"), ("simple.copc.laz", "m", "us-ft")],
)
@pytest.mark.parametrize("wanted", [1, 2])
def test_points_of_a_class_are_those_of_laspy(name, unit, elevation, wanted):
    path = DATA / name
    is_wanted = np.asarray(laspy.read(path).classification) == wanted
    points = by_laspy(path, unit, elevation)[is_wanted]
    assert 20 < len(points) < len(is_wanted)
    survey = read_cloud(Cloud((path,), unit, 0.0, classes=(wanted,)))
    assert len(survey.points) == len(points)
    assert_allclose(sort_rows(placed(survey)), sort_rows(points), rtol=0, atol=1e-6)


def test_the_part_of_a_copc_within_bounds_is_laspys():
    path = DATA / "simple.copc.laz"
    whole = by_laspy(path, "m", "us-ft")
    bounds = (636_000.0, 850_000.0, 637_200.0, 852_000.0)
    west, south, east, north = bounds
    is_in = (whole[:, 0] >= west) & (whole[:, 0] <= east)
    is_in &= (whole[:, 1] >= south) & (whole[:, 1] <= north)
    with laspy.CopcReader.open(str(path)) as reader:
        held = reader.query(laspy.copc.Bounds(np.array(bounds[:2]), np.array(bounds[2:])))
    assert 50 < is_in.sum() == len(held) < len(whole)
    survey = read_cloud(Cloud((path,), "m", 0.0, ground=False), bounds=bounds)
    assert_allclose(sort_rows(placed(survey)), sort_rows(whole[is_in]), rtol=0, atol=1e-6)


@pytest.mark.parametrize(
    ("name", "unit", "said"),
    [("autzen.las", "us-ft", "are in ft"), ("format_1_4.laz", "ft", "are in us-ft")],
)
def test_a_cloud_in_the_other_foot_is_refused(name, unit, said):
    with pytest.raises(InputError, match=said):
        read_cloud(Cloud((DATA / name,), unit))


# LandXML: the standard library's tree


def test_a_fieldbook_is_read_as_its_tree_has_it():
    path = DATA / "partridge.xml"
    elements = ET.parse(path).getroot().findall("x:CgPoints/x:CgPoint", NAMESPACE)
    texts = [str(element.text).split() for element in elements]
    wanted = np.array([[float(e), float(n), float(z)] for n, e, z in texts]) * METRES["ft"]
    survey = read_shots(Shots((path,), "ft"))
    assert len(elements) == 31
    assert_allclose(placed(survey), wanted, rtol=0, atol=1e-9)
    assert survey.ids == tuple(element.attrib["name"] for element in elements)
    assert survey.codes == tuple(element.attrib["desc"] for element in elements)
    assert survey.readings == tuple(text[2] for text in texts)


def test_shots_of_a_fieldbook_are_chosen_by_the_words_in_their_descriptions():
    path = DATA / "partridge.xml"
    elements = ET.parse(path).getroot().findall("x:CgPoints/x:CgPoint", NAMESPACE)
    wanted = [e.attrib["name"] for e in elements if e.attrib["desc"].endswith("XSEC")]
    survey = read_shots(Shots((path,), "ft", codes=("*XSEC",)))
    assert len(wanted) == 20
    assert list(survey.ids) == wanted


def test_a_patch_of_a_surface_is_read_as_its_tree_has_it():
    path = DATA / "subdivision.xml"
    definition = ET.parse(path).getroot().find("x:Surfaces/x:Surface/x:Definition", NAMESPACE)
    assert definition is not None
    held = {}
    for element in definition.findall("x:Pnts/x:P", NAMESPACE):
        northing, easting, level = map(float, str(element.text).split())
        held[element.attrib["id"]] = (easting, northing, level)
    faces = [str(face.text).split() for face in definition.findall("x:Faces/x:F", NAMESPACE)]
    wanted = np.array([[held[name] for name in face] for face in faces]) * METRES["ft"]
    points, triangles = read_faces(SurfaceFile(path, "ft"))
    assert (len(points), len(triangles)) == (24, 24)
    assert_allclose(points[triangles], wanted, rtol=0, atol=1e-9)


def test_faces_made_invisible_in_that_surface_are_left_out(tmp_path):
    content = (DATA / "subdivision.xml").read_text()
    hidden = ["2681 2679 2655", "2679 2677 2655"]
    for face in hidden:
        assert f"<F>{face}" in content
        content = content.replace(f"<F>{face}", f'<F i="1">{face}')
    path = tmp_path / "hidden.xml"
    path.write_text(content)
    whole_points, whole = read_faces(SurfaceFile(DATA / "subdivision.xml", "ft"))
    points, triangles = read_faces(SurfaceFile(path, "ft"))
    assert_array_equal(points, whole_points)
    assert_array_equal(triangles, np.delete(whole, [5, 8], axis=0))


@pytest.mark.parametrize(
    ("read", "source"),
    [
        (read_shots, Shots((DATA / "partridge.xml",), "us-ft")),
        (read_faces, SurfaceFile(DATA / "subdivision.xml", "us-ft")),
    ],
)
def test_a_landxml_in_the_other_foot_is_refused(read, source):
    with pytest.raises(InputError, match=r"its Units \(Imperial foot\) .*international feet"):
        read(source)


# DXF: ezdxf


def test_points_of_a_laser_tape_are_where_ezdxf_has_them():
    path = DATA / "laser_tape.dxf"
    wanted = np.array([tuple(e.dxf.location) for e in readfile(path).modelspace().query("POINT")])
    survey = read_shots(Shots((path,), "m"))
    assert len(wanted) == 11
    assert_allclose(placed(survey), wanted, rtol=0, atol=1e-9)
    assert survey.codes == ("LASER_TAPE_POINT_ENTITY",) * 11


def test_the_outline_of_another_program_is_the_one_that_ezdxf_has():
    path = DATA / "ring_dxflib.dxf"
    (line,) = readfile(path).modelspace().query("POLYLINE")
    corners = np.array([tuple(vertex.dxf.location)[:2] for vertex in line.vertices])  # type: ignore[attr-defined]
    ring = read_ring(OutlineFile(path, "m"))
    assert_allclose(ring, corners[: len(ring)], rtol=0, atol=1e-9)
    assert shapely.Polygon(ring).area == pytest.approx(shapely.Polygon(corners).area, rel=1e-12)


# GeoTIFF: GDAL by rasterio, and tifffile


@pytest.mark.parametrize("name", ["slope.tif", "mask_lzw.tif"])
def test_pixels_and_their_places_are_gdals(name):
    path = DATA / name
    with rasterio.open(path) as raster:
        held = raster.read(1)
        is_valid = held != raster.nodata if raster.nodata is not None else np.ones(held.shape, bool)
        rows, columns = np.nonzero(is_valid)
        east, north = raster.xy(rows, columns)
        assert raster.crs.linear_units_factor[1] == 1.0  # metres
    is_cell = is_valid[:-1, :-1] & is_valid[1:, :-1] & is_valid[:-1, 1:] & is_valid[1:, 1:]
    points, triangles = read_faces(SurfaceFile(path, "m"))
    assert len(triangles) == 4 * is_cell.sum() > 20_000
    found = points[: len(points) - is_cell.sum()]
    wanted = {
        (round(e, 4), round(n, 4)): z
        for e, n, z in zip(east, north, held[is_valid].tolist(), strict=True)
    }
    assert len(found) > 5_000
    assert [wanted[round(e, 4), round(n, 4)] for e, n, _ in found.tolist()] == found[:, 2].tolist()


def test_the_packing_of_the_second_is_one_that_tifffile_alone_does_not_know():
    with tifffile.TiffFile(DATA / "mask_lzw.tif") as tiff:
        assert tiff.pages.first.compression == tifffile.COMPRESSION.LZW


# GeoJSON: shapely


def test_an_outline_is_the_polygon_that_shapely_reads():
    path = DATA / "feature.geojson"
    polygon = shapely.from_geojson(path.read_text())
    ring = read_ring(OutlineFile(path, "m"))
    corners = np.array(polygon.exterior.coords)[:-1]
    kept = np.ones(len(corners), bool)
    kept[1:] = (np.diff(corners, axis=0) != 0).any(axis=1)
    assert (~kept).sum() == 1  # it has one corner twice
    assert_allclose(ring, corners[kept], rtol=0, atol=1e-9)
    assert shapely.Polygon(ring).area == pytest.approx(polygon.area, rel=1e-9)


def test_a_file_of_two_outlines_is_refused():
    assert len(json.loads((DATA / "featurecollection.geojson").read_text())["features"]) == 2
    with pytest.raises(InputError, match="it holds 2 polygons"):
        read_ring(OutlineFile(DATA / "featurecollection.geojson", "m"))


# Text: numpy


@pytest.mark.parametrize("unit", ["m", "ft"])
def test_a_table_without_a_header_is_read_by_the_columns_that_a_job_names(unit):
    path = DATA / "pykrige.txt"
    wanted = np.loadtxt(path) * METRES[unit]
    assert wanted.shape == (15, 3)
    survey = read_shots(Shots((path,), unit, columns="ENZ"))
    assert_allclose(placed(survey), wanted, rtol=0, atol=1e-8)
    turned = read_shots(Shots((path,), unit, columns="NEZ"))
    assert_allclose(placed(turned), wanted[:, [1, 0, 2]], rtol=0, atol=1e-8)


def test_the_columns_of_a_table_without_a_header_are_not_guessed():
    with pytest.raises(InputError, match="columns"):
        read_shots(Shots((DATA / "pykrige.txt",), "ft"))


# All


FILES = sorted(path for path in DATA.iterdir() if path.is_file() and path.suffix != ".md")


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_every_file_is_small_and_its_source_and_licence_are_told(path):
    row = next(
        line for line in (DATA / "README.md").read_text().splitlines() if f"`{path.name}`" in line
    )
    assert "©" in row or "invented" in row
    assert path.stat().st_size < 60_000


@pytest.mark.parametrize(
    "path", [path for path in FILES if "featurecollection" not in path.name], ids=lambda p: p.name
)
def test_every_file_can_be_described(path):
    assert take_inventory(path).facts

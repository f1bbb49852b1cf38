import json

import pytest
from numpy.testing import assert_allclose

from gradevol.files.drawings.outline import read_outline, read_sides
from gradevol.files.sources import OutlineFile
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES

SQUARE = [[0, 0], [20, 0], [20, 10], [0, 10]]
CLOSED = [*SQUARE, SQUARE[0]]
HOLE = [[5, 5], [6, 5], [6, 6], [5, 5]]


@pytest.fixture
def source(tmp_path):
    def source(text, unit="m"):
        path = tmp_path / "edge.txt"
        path.write_text(text if isinstance(text, str) else json.dumps(text))
        return OutlineFile(path, unit)

    return source


def polygon(*rings):
    return {"type": "Polygon", "coordinates": list(rings)}


def feature(geometry):
    return {"type": "Feature", "properties": {}, "geometry": geometry}


def collection(*geometries):
    return {"type": "FeatureCollection", "features": [feature(item) for item in geometries]}


@pytest.mark.parametrize(
    "text",
    [
        "easting,northing\n0,0\n20,0\n20,10\n0,10\n",
        "easting,northing\n0,0\n20,0\n20,10\n0,10\n0,0\n",
        "northing,easting\n0,0\n0,20\n10,20\n10,0\n",
        "y;x;corner\n0;0;a\n0;20;b\n10;20;c\n10;0;d\n",
        "corner,E (m),N (m),z\na,0,0,1\nb,20,0,1\nc,20,10,1\nc2,20,10,1\nd,0,10,1\n",
        "# easting northing\n0 0\n20 0\n20 10\n0 10\n",
    ],
)
def test_a_table_of_corners_is_read_by_its_header(source, text):
    assert_allclose(read_outline(source(text)), SQUARE)


@pytest.mark.parametrize(
    "shape",
    [
        polygon(CLOSED),
        polygon(SQUARE),
        polygon([[*corner, 100.5] for corner in CLOSED]),
        {"type": "MultiPolygon", "coordinates": [[CLOSED]]},
        {"type": "LineString", "coordinates": CLOSED},
        {"type": "LineString", "coordinates": SQUARE},
        feature(polygon(CLOSED)),
        collection({"type": "Point", "coordinates": [1, 2]}, polygon(CLOSED)),
        {"type": "FeatureCollection", "features": [feature(None), feature(polygon(CLOSED))]},
        {"type": "GeometryCollection", "geometries": [polygon(CLOSED)]},
    ],
)
def test_one_ring_is_found_however_it_is_wrapped(source, shape):
    assert_allclose(read_outline(source(shape)), SQUARE)


@pytest.mark.parametrize("unit", sorted(METRES))
def test_both_kinds_are_in_the_jobs_unit(source, unit):
    expected = [[e * METRES[unit], n * METRES[unit]] for e, n in SQUARE]
    assert_allclose(read_outline(source(polygon(CLOSED), unit)), expected)
    table = "e,n\n" + "".join(f"{e},{n}\n" for e, n in SQUARE)
    assert_allclose(read_outline(source(table, unit)), expected)


def test_holes_are_returned_apart_and_never_dropped(source):
    with_hole = source(polygon(CLOSED, HOLE), "ft")
    edge, holes = read_sides(with_hole)
    assert_allclose(edge.places, [[e * 0.3048, n * 0.3048] for e, n in SQUARE])
    (hole,) = holes
    assert_allclose(hole, [[e * 0.3048, n * 0.3048] for e, n in HOLE[:3]])
    with pytest.raises(InputError, match="has 1 hole, "):
        read_outline(with_hole)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("0,0\n20,0\n20,10\n", "line 1: it has no header row, .* header row such as easting,north"),
        ("1,0,0\n2,20,0\n3,20,10\n", "no header row"),
        ("corner,a,b\n1,0,0\n2,20,0\n", "names no easting and no northing"),
        ("x,easting,n\n1,0,0\n2,20,0\n", "both name the easting"),
        ("e_ft,n_ft\n0,0\n20,0\n20,10\n", "in ft, but the job says .* in m"),
        ("e,n\n0,0\n20,zero\n20,10\n", "line 3: the northing 'zero' is not a number"),
        ("e,n\n0,0\n20\n20,10\n", "line 3: a row of 1 cells is too short"),
        ("e,n\n0,0\n20,0\n0,0\n", "has 2 corners"),
        ("e,n\n", "has 0 corners"),
        ("<kml/>", "XML"),
        ("", "empty"),
    ],
)
def test_a_table_that_is_no_ring_is_refused(source, text, said):
    with pytest.raises(InputError, match=said):
        read_outline(source(text))


@pytest.mark.parametrize(
    ("shape", "said"),
    [
        (collection(polygon(CLOSED), polygon(CLOSED)), "holds 2 polygons or lines"),
        (collection({"type": "Point", "coordinates": [1, 2]}), "it holds Point"),
        (collection(), "no GeoJSON geometry"),
        ([1, 2], "no GeoJSON geometry"),
        ({"type": "MultiPolygon", "coordinates": [[CLOSED], [CLOSED]]}, "holds 2 polygons"),
        ({"type": "MultiPolygon", "coordinates": {}}, "holds 0 polygons"),
        (polygon(), "no rings"),
        (polygon(SQUARE[:2]), "has 2 corners"),
        (polygon([[0, 0], [20, "0"], [1, 1]]), r"\[20, \"0\"\] is not a position"),
        (polygon([[0, 0], [20, True], [1, 1]]), "is not a position"),
        (polygon([[0, 0], [20, float("nan")], [1, 1]]), "is not a position"),
        (polygon([[0, 0], [20, 10**400], [1, 1]]), "is not a position"),
        (polygon([[0, 0], [20], [1, 1]]), "is not a position"),
        (polygon(7), "is not a position"),
        ('{"type": "Polygon", ', "line 1: it is not complete JSON"),
        ('{"a":' * 100_000, "nested too deeply|not complete JSON"),
        ("[" * 100_000, "nested too deeply|not complete JSON"),
    ],
)
def test_geojson_that_is_no_single_ring_is_refused(source, shape, said):
    with pytest.raises(InputError, match=said):
        read_outline(source(shape))


def test_degrees_are_refused_with_the_reason(source):
    degrees = [[-122.41940 + e * 1e-5, 37.77490 + n * 1e-5] for e, n in SQUARE]
    with pytest.raises(InputError, match=r"longitude and latitude in degrees \(as RFC 7946"):
        read_outline(source(polygon(degrees)))


def test_a_ring_whose_file_names_a_system_in_degrees_is_refused(source):
    crs = {"crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}}}
    with pytest.raises(InputError, match="its crs is CRS84"):
        read_outline(source(polygon(SQUARE) | crs))

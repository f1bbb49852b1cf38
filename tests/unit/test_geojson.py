import json

import pytest
from numpy.testing import assert_allclose

from gradevol.files import read_shots
from gradevol.files.sources import Shots
from gradevol.ground.errors import InputError
from tests.read_files import read_points_of as read_geojson_points

SHOTS = [[0, 0, 100.02], [20, 0, 100.1], [20.5, 10, 99.98]]


def feature(position, kind="Point", **properties):
    geometry = {"type": kind, "coordinates": position}
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def collection(*features, **rest):
    return {"type": "FeatureCollection", "features": list(features), **rest}


SURVEY = collection(
    *(feature(shot, point=f"P{i}", description="BASE") for i, shot in enumerate(SHOTS))
)


@pytest.fixture
def file(tmp_path):
    def file(content):
        path = tmp_path / "shots.geojson"
        path.write_text(content if isinstance(content, str) else json.dumps(content))
        return path

    return file


@pytest.mark.parametrize(
    "document",
    [
        SURVEY,
        {"type": "MultiPoint", "coordinates": SHOTS},
        feature(SHOTS, "MultiPoint"),
        {
            "type": "GeometryCollection",
            "geometries": [{"type": "Point", "coordinates": shot} for shot in SHOTS],
        },
    ],
)
def test_points_are_found_however_they_are_wrapped(file, document):
    survey = read_geojson_points(file(document), unit="ft")
    expected = [[value * 0.3048 for value in shot] for shot in SHOTS]
    assert_allclose(survey.points + survey.origin, expected, rtol=0, atol=1e-12)
    assert survey.readings == ("100.02", "100.1", "99.98")
    assert survey.reading_unit == "ft"


@pytest.mark.parametrize("key", ["point", "Point", "point_id", "id", "name", "number"])
@pytest.mark.parametrize("word", ["description", "DESC", "code"])
def test_ids_and_codes_are_taken_from_properties(file, key, word):
    shots = [feature(shot, **{key: i, word: "BASE"}) for i, shot in enumerate(SHOTS)]
    survey = read_geojson_points(file(collection(*shots)), unit="m")
    assert survey.ids == ("0", "1", "2")
    assert survey.codes == ("BASE",) * 3


def test_ids_of_features_and_places_of_several_points_will_do(file):
    shots = [{**feature(shot), "id": f"f{i}"} for i, shot in enumerate(SHOTS)]
    several = feature(SHOTS, "MultiPoint", name="row")
    survey = read_geojson_points(file(collection(*shots, several, feature(SHOTS[0]))), unit="m")
    assert survey.ids == ("f0", "f1", "f2", "row.1", "row.2", "row.3", "point 7")
    assert survey.codes == ()


def test_a_mark_without_an_elevation_matters_only_where_it_is_wanted(file):
    mark = feature([5, 5], point="C", code="PCOR")
    path = file({**SURVEY, "features": [mark, *SURVEY["features"]]})
    survey = read_geojson_points(path, unit="m", codes=("base",))
    assert survey.ids == ("P0", "P1", "P2")
    assert_allclose(survey.points + survey.origin, SHOTS, rtol=0, atol=1e-9)
    for codes in ((), ("pcor", "base")):
        with pytest.raises(InputError, match=r"point C has no elevation.*name the descriptions"):
            read_geojson_points(path, unit="m", codes=codes)


def test_codes_choose_points(file):
    other = feature([5, 5, 101], point="C", code="CURB")
    path = file({**SURVEY, "features": [*SURVEY["features"], other]})
    assert read_geojson_points(path, unit="m", codes=("base",)).ids == ("P0", "P1", "P2")
    with pytest.raises(InputError, match=r"the codes X; .*BASE \(3\), CURB \(1\)"):
        read_geojson_points(path, unit="m", codes=("X",))


def test_other_geometries_are_left_out_with_a_note(file):
    edge = feature([[[0, 0], [1, 0], [1, 1], [0, 0]]], "Polygon")
    survey = read_geojson_points(file(collection(*SURVEY["features"], edge)), unit="m")
    assert len(survey.points) == 3
    (note,) = survey.notes
    assert note.code == "geometries-left-out"
    assert "Polygon" in note.text


DEGREES = [[-122.41940 + i * 1e-5, 37.7749 + (i % 2) * 1e-5, 30 + i / 10] for i in range(4)]
OLD_CRS = {"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}}


@pytest.mark.parametrize(
    ("document", "said"),
    [
        (collection(*map(feature, DEGREES)), "longitude and latitude in degrees .as RFC 7946"),
        ({**SURVEY, "crs": OLD_CRS}, "degrees .its crs is CRS84"),
        (collection(feature([1, 2]), *SURVEY["features"]), r"point 1 has no elevation: \[1, 2\]"),
        (collection(feature([1, 2, None])), "not easting, northing and elevation in numbers"),
        (collection(feature([1, True, 3])), "not easting, northing and elevation"),
        (collection(feature(["1", 2, 3], name="A")), "point A is not easting"),
        (collection(feature([1, 2, 10**400])), "not easting, northing and elevation"),
        (collection(feature({"x": 1})), "not easting, northing and elevation"),
        (collection(feature([1, 2, 3]), feature([90, 2, 3])), "2 shots cannot make a surface"),
        (collection(feature([[0, 0], [1, 1]], "LineString")), "no points, only LineString"),
        (collection(), "no points, no geometry"),
        (collection(feature([], "MultiPoint")), "no points"),
        ({"type": "FeatureCollection", "features": 7}, "no points"),
        ([1, 2], "no points"),
        ('{"type": ', "line 1: it is not complete JSON"),
        ('{"a":' * 100_000, "nested too deeply|not complete JSON"),
        ("", "empty"),
    ],
)
def test_what_holds_no_shots_is_refused(file, document, said):
    with pytest.raises(InputError, match=said):
        read_geojson_points(file(document), unit="m")


def test_features_nested_without_end_are_refused(file):
    deep = '{"type":"FeatureCollection","features":[' * 900
    with pytest.raises(InputError, match=r"nested too deeply|no points"):
        read_geojson_points(file(deep + "]}" * 900), unit="m")


@pytest.mark.parametrize(
    ("geometry", "named"),
    [
        ('{"type": "Point"}', r"feature 2 \(7\) \({\"type\": \"Point\"}"),
        ('"Point"', r"feature 2 \(7\)"),
        ("{}", r"feature 2 \(7\) \({}\)"),
        ('{"type": "GeometryCollection", "geometries": 5}', "its geometries are no list"),
        ('{"type": "GeometryCollection", "geometries": [[1, 2]]}', "geometry 1 of feature 2"),
    ],
)
def test_a_feature_with_a_broken_geometry_is_named(tmp_path, geometry, named):
    path = tmp_path / "a.geojson"
    good = '{"type": "Feature", "geometry": {"type": "Point", "coordinates": [%d, %d, 5.5]}}'
    features = [good % at for at in ((500, 0), (500, 90), (600, 90))]
    features.insert(1, f'{{"type": "Feature", "id": 7, "geometry": {geometry}}}')
    path.write_text(f'{{"type": "FeatureCollection", "features": [{", ".join(features)}]}}')
    with pytest.raises(InputError, match=named):
        read_shots(Shots((path,), "m"))


def test_a_feature_that_says_it_has_no_place_is_no_fault(tmp_path):
    path = tmp_path / "a.geojson"
    good = '{"type": "Feature", "geometry": {"type": "Point", "coordinates": [%d, %d, 5.5]}}'
    features = [good % at for at in ((500, 0), (500, 90), (600, 90))]
    features.append('{"type": "Feature", "geometry": null}')
    path.write_text(f'{{"type": "FeatureCollection", "features": [{", ".join(features)}]}}')
    assert len(read_shots(Shots((path,), "m")).points) == 3


def test_what_is_not_utf_8_is_refused_for_it_may_hide_what_was_lost(file):
    path = file(SURVEY)
    path.write_bytes(path.read_bytes().replace(b'"type": "Feature"', b'"\xff\xffpe": "Feature"', 1))
    with pytest.raises(InputError, match="it is not UTF-8, as GeoJSON is"):
        read_geojson_points(path, unit="m")


def flat(key="elevation", *, value=str):
    """The survey with its elevations beside the coordinates, as many programs write them."""
    return collection(
        *(feature(shot[:2], point=f"P{i}", **{key: value(shot[2])}) for i, shot in enumerate(SHOTS))
    )


@pytest.mark.parametrize("value", [float, str])
def test_elevations_may_stand_in_a_property_named_as_a_column_would_be(file, value):
    survey = read_shots(Shots((file(flat(value=value)),), "m"))
    assert_allclose(survey.points[:, 2] + survey.origin[2], [100.02, 100.1, 99.98])
    assert any("taken from their property 'elevation'" in note.text for note in survey.notes)


def test_an_elevation_may_stand_in_two_properties_alike(file):
    shots = [feature([e, n], elevation=z, z=z) for e, n, z in SHOTS]
    assert len(read_shots(Shots((file(collection(*shots)),), "m")).points) == 3
    shots = [feature([e, n], elevation=z, z=z - 1) for e, n, z in SHOTS]
    with pytest.raises(InputError, match="has no elevation"):
        read_shots(Shots((file(collection(*shots)),), "m"))


def test_the_unit_in_the_name_of_that_property_is_held_against_the_jobs(file):
    with pytest.raises(InputError, match="its property 'elev_ft' says that it is in ft"):
        read_shots(Shots((file(flat("Elev_ft")),), "m"))
    assert len(read_shots(Shots((file(flat("Elev_ft")),), "ft")).points) == 3


@pytest.mark.parametrize("key", ["height", "hrms"])
def test_a_height_that_may_be_a_rods_is_no_elevation(file, key):
    with pytest.raises(InputError, match="has no elevation"):
        read_shots(Shots((file(flat(key)),), "m"))


def test_two_elevations_of_one_point_are_refused(file):
    shots = [feature([e, n, 0], elevation=z) for e, n, z in SHOTS]
    with pytest.raises(InputError, match=r"two elevations, 100\.02 by its property 'elevation'"):
        read_shots(Shots((file(collection(*shots)),), "m"))


@pytest.mark.parametrize(
    ("levels", "is_taken"),
    [((100.0, 100.1, 99.9), True), ((100.0, 100.1, 99.95), False), ((100, 100, 100), False)],
)
def test_an_elevation_that_is_rounded_in_all_properties_is_no_other(file, levels, is_taken):
    shots = [
        feature([e, n, z], elevation=level)
        for (e, n, _), z, level in zip(SHOTS, (100.04, 100.1, 99.93), levels, strict=True)
    ]
    source = Shots((file(collection(*shots)),), "m")
    if is_taken:
        assert len(read_shots(source).points) == 3
    else:
        with pytest.raises(InputError, match="two elevations"):
            read_shots(source)


def named(code):
    crs = {"type": "name", "properties": {"name": code}}
    return collection(*SURVEY["features"], crs=crs)


@pytest.mark.parametrize(
    "crs",
    [
        *({"type": "name", "properties": {"name": name}} for name in ("EPSG:3857", "ESRI:102100")),
        {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::3857"}},
        {"type": "EPSG", "properties": {"code": 3857}},
    ],
)
def test_coordinates_of_web_maps_are_refused(file, crs):
    with pytest.raises(InputError, match="longer than on the ground"):
        read_shots(Shots((file(collection(*SURVEY["features"], crs=crs)),), "m"))


def test_a_zone_of_utm_is_in_metres(file):
    path = file(named("urn:ogc:def:crs:EPSG::32615"))
    with pytest.raises(InputError, match=r"its crs \(EPSG 32615\) says that it is in m"):
        read_shots(Shots((path,), "ft"))
    assert len(read_shots(Shots((path,), "m")).points) == 3
    assert len(read_shots(Shots((path,), "ft", ignores_unit=True)).points) == 3

"""GeoJSON: read back by the standard library and shapely."""

import json

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose
from shapely.geometry import shape

from gradevol.answer.surfaces.meshes import nest_rings
from gradevol.out.exports.geojson import Feature, compose_geojson


@pytest.fixture(scope="module")
def collection(exported):
    return json.loads((exported.folder / "spots.geojson").read_text(encoding="utf-8"))


def test_the_note_says_which_coordinates_these_are(exported, collection):
    assert collection["type"] == "FeatureCollection"
    assert "crs" not in collection  # RFC 7946 took it away
    assert f"own grid in {exported.unit}," in collection["note"]
    assert "not longitude and latitude" in collection["note"]
    assert collection["title"] == exported.view["title"]


def area_of(feature):
    """Area about the feature's own corner: about a far origin, products lose its digits."""
    outline = shape(feature["geometry"])
    return shapely.transform(outline, lambda places: places - outline.bounds[:2]).area


def test_areas_of_the_outlines_are_those_of_the_spots(exported, collection):
    slab, *spots = collection["features"]
    scale = exported.result.units.to_area(exported.metres**2)  # areas are in ft², not us-ft²
    assert_allclose(area_of(slab) * scale, exported.view["slab"]["area"], rtol=1e-6)
    view = exported.view
    wanted = [
        ("thin", view["thin"]["spots"]),
        ("high", view["grading"]["high_spots"]),
        ("low", view["grading"]["low_spots"]),
    ]
    for kind, listed in wanted:
        found = [spot for spot in spots if spot["properties"]["kind"] == kind]
        assert found
        for feature, spot in zip(found, listed, strict=True):
            assert shape(feature["geometry"]).is_valid
            assert_allclose(area_of(feature) * scale, spot["area"], rtol=1e-5, atol=6e-5)
            assert feature["properties"]["rank"] == spot["rank"]
            assert feature["properties"]["where"] == spot["where"]
            worst = [feature["properties"][f"worst_{axis}"] for axis in "enz"]
            assert worst == spot["at"]


def test_coordinates_are_those_of_the_result(exported, collection):
    spot = exported.view["grading"]["high_spots"][0]
    (feature,) = [
        feature
        for feature in collection["features"]
        if feature["properties"].get("rank") == spot["rank"]
        and feature["properties"]["kind"] == "high"
    ]
    assert feature["geometry"]["type"] == "Polygon"
    rings = feature["geometry"]["coordinates"]
    assert [ring[:-1] for ring in rings] == spot["outline"]
    assert all(ring[0] == ring[-1] for ring in rings)


def test_outer_rings_turn_left_and_holes_right(collection):
    slab = collection["features"][0]["geometry"]["coordinates"]
    assert len(slab) == 2
    turns = [shapely.is_ccw(shapely.LinearRing(ring)) for ring in slab]
    assert turns == [True, False]


def square(side, *, at=0.0):
    return at + side * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1.0]])


def test_a_hole_goes_with_the_smallest_ring_around_it():
    rings = (square(4), square(3)[::-1], square(2), square(1)[::-1], square(1, at=10))
    nested = nest_rings(rings)
    assert [[len(polygon), polygon[0][1][0]] for polygon in nested] == [[2, 4], [2, 2], [1, 11]]
    assert nested[0][1] is rings[1]
    assert nested[1][1] is rings[3]


def test_an_outline_that_touches_itself_is_taken_apart():
    far = np.array([2_000_000.0, 700_000.0])
    bow = far + np.array([[0, 0], [2, 0], [1, 1], [2, 2], [0, 2], [1, 1]])  # twice at (1, 1)
    nested = nest_rings((bow,))

    assert not shapely.Polygon(bow).is_valid
    assert len(nested) == 2
    parts = [shapely.Polygon(outer - far) for (outer,) in nested]
    assert all(part.is_valid and part.area == 1 for part in parts)
    assert all(shapely.is_ccw(part.exterior) for part in parts)


def test_a_spot_in_two_parts_is_a_multipolygon():
    feature = Feature(nest_rings((square(1), square(1, at=9))), {"kind": "thin"})
    made = json.loads(compose_geojson([feature], unit="m", title="", remark="Two."))
    outline = shape(made["features"][0]["geometry"])
    assert outline.geom_type == "MultiPolygon"
    assert outline.area == 8
    assert made["note"].endswith("Two.")

"""Rings in plan."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from gradevol.geometry.prisms import plan_area
from gradevol.geometry.rings import (
    circle,
    polygon,
    ring_area,
    triangulate_polygon,
)
from gradevol.ground.errors import GeometryError

L_SHAPE = np.array([[0, 0], [6, 0], [6, 2], [2, 2], [2, 5], [0, 5.0]])


def test_area_is_signed_and_far_coordinates_lose_nothing():
    assert ring_area(L_SHAPE) == 18
    assert ring_area(L_SHAPE[::-1]) == -18
    assert_allclose(ring_area(L_SHAPE + np.array([2_100_000.456, 620_000.123])), 18, rtol=1e-9)


@given(st.floats(0.05, 50))
def test_a_circle_has_its_own_area_and_stays_within_the_sagitta(diameter):
    ring = circle(np.array([3.0, -2.0]), diameter)
    assert_allclose(ring_area(ring), np.pi * diameter**2 / 4, rtol=1e-12)
    middle = (ring + np.roll(ring, -1, axis=0)) / 2
    off = np.hypot(*(np.vstack([ring, middle]) - [3, -2]).T) - diameter / 2
    assert np.abs(off).max() < max(0.001, 0.02 * diameter / 2)


@pytest.mark.parametrize(
    ("ring", "words"),
    [
        ([[0, 0], [1, 0]], "The pad has 2 corners"),
        ([[0, 0], [1, 1], [1, 0], [0, 1]], "The pad is not a plain outline"),
        ([[0, 0], [1, 1], [2, 2]], "The pad"),
    ],
)
def test_rings_that_are_no_outline_are_refused_by_name(ring, words):
    with pytest.raises(GeometryError, match=words):
        polygon(np.array(ring, float), what="The pad")


def test_triangles_tile_a_polygon_with_a_hole_using_its_corners_only():
    hole = np.array([[0.5, 0.5], [1.5, 0.5], [1.5, 1.5], [0.5, 1.5]])
    area = shapely.Polygon(L_SHAPE[::-1], [hole])
    corners = triangulate_polygon(area)
    assert (plan_area(corners) > 0).all()
    assert_allclose(plan_area(corners).sum(), 17)
    own = {tuple(place) for place in np.vstack([L_SHAPE, hole]).tolist()}
    assert {tuple(place) for place in corners.reshape(-1, 2).tolist()} == own


def test_several_parts_are_tiled_and_lines_among_them_passed_over():
    parts = shapely.GeometryCollection(
        [shapely.box(0, 0, 1, 1), shapely.LineString([(3, 3), (4, 4)]), shapely.box(5, 5, 7, 6)]
    )
    assert_allclose(plan_area(triangulate_polygon(parts)).sum(), 3)


def test_what_has_no_area_has_no_triangles():
    for nothing in (shapely.LineString([(0, 0), (1, 1)]), shapely.Polygon(), shapely.Point(1, 2)):
        assert triangulate_polygon(nothing).shape == (0, 3, 2)


def test_an_outline_that_crosses_itself_says_where():
    with pytest.raises(GeometryError) as caught:
        polygon(np.array([[0, 0], [4, 4], [4, 0], [0, 4.0]]), what="The pad")
    assert caught.value.place == (2.0, 2.0)

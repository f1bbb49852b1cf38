"""Gaps between places, against Voronoi cells."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from gradevol.geometry.gaps import find_widest_gap
from gradevol.site.surface import build_surface
from tests.pads import grid

ELL = shapely.Polygon([(5, 5), (95, -3), (105, 60), (60, 50), (50, 99), (2, 90)])
HOLED = ELL.difference(shapely.box(20, 20, 30, 30))


def widest_by_cells(places, outline):
    """The farthest that a corner of a Voronoi cell, or a place of the outline, is from a place."""
    cells = shapely.voronoi_polygons(shapely.MultiPoint(places), extend_to=outline, only_edges=True)
    corners = shapely.get_coordinates(cells)
    inside = corners[shapely.contains_xy(outline, corners[:, 0], corners[:, 1])]
    crossings = shapely.get_coordinates(shapely.intersection(outline.boundary, cells))
    centres = np.concatenate([inside, crossings, shapely.get_coordinates(outline)])
    away = shapely.distance(shapely.points(centres)[:, None], shapely.points(places))
    return 2 * away.min(axis=1).max()


@pytest.mark.parametrize("outline", [ELL, HOLED])
@given(seed=st.integers(0, 2**32 - 1), count=st.integers(3, 60), is_lattice=st.booleans())
def test_it_is_as_wide_as_voronoi_cells_say(outline, seed, count, is_lattice):
    places = np.random.default_rng(seed).uniform(0, 100, (count, 2))
    if is_lattice:  # many equal circles, and places that stand twice
        places = np.vstack([10 * np.round(places / 10), [[0, 0], [100, 0], [0, 100]]])
    wanted = widest_by_cells(np.unique(places, axis=0), outline)
    assert find_widest_gap(places, outline) == pytest.approx(wanted, abs=1e-6)


def test_of_many_places_the_one_that_was_left_out_is_found():
    places = grid(np.arange(0, 200.0), np.arange(0, 200.0))
    kept = places[np.hypot(places[:, 0] - 60, places[:, 1] - 30) > 5]
    assert find_widest_gap(kept, ELL) == pytest.approx(2 * np.sqrt(26), abs=1e-6)


def test_on_the_triangles_of_a_base_it_is_as_wide():
    points = np.random.default_rng(5).uniform(0, 100, (3000, 3))
    triangles = build_surface(points).delaunay
    assert find_widest_gap(points, ELL, triangles=triangles) == find_widest_gap(points, ELL)


def test_a_base_with_kept_edges_has_no_such_triangles():
    points = np.random.default_rng(5).uniform(0, 100, (20, 3))
    assert build_surface(points, edges=np.array([[3, 4]])).delaunay is None

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose

from gradevol.geometry.even_places import spread_places

EDGE = np.array([[0, 0], [13, 0], [13, 7], [5, 7], [5, 4], [0, 4.0]])
OUTLINE = shapely.Polygon(EDGE, [[(8, 2), (9, 2), (9, 3), (8, 3)]])


def turned(points, angle, shift):
    cos, sin = np.cos(angle), np.sin(angle)
    return points @ np.array([[cos, sin], [-sin, cos]]) + shift


def test_places_are_whole_steps_off_the_longest_side_and_its_start():
    places = spread_places(EDGE, OUTLINE, count=150, step=0.25)
    assert 110 < len(places) < 200
    assert_allclose(places / 0.25, np.round(places / 0.25), atol=1e-9)


def test_places_lie_within_the_slab_and_not_in_its_openings():
    places = shapely.points(spread_places(EDGE, OUTLINE, count=400, step=0.1))
    assert shapely.contains(OUTLINE, places).all()
    assert shapely.distance(OUTLINE.boundary, places).min() > 0.02


def test_a_coarse_step_gives_fewer_places_than_asked_for():
    # 12 x 3 in the lower part less the opening's four corners, 7 x 3 in the upper
    assert len(spread_places(EDGE, OUTLINE, count=10_000, step=1.0)) == 53


@pytest.mark.parametrize("angle", [0.0, 0.7, 2.5])
def test_they_turn_and_shift_with_the_slab(angle):
    shift = np.array([4e5, 5e6])
    edge = turned(EDGE, angle, shift)
    hole = turned(shapely.get_coordinates(OUTLINE.interiors[0]), angle, shift)
    moved = spread_places(edge, shapely.Polygon(edge, [hole]), count=150, step=0.25)
    still = spread_places(EDGE, OUTLINE, count=150, step=0.25)
    assert_allclose(moved, turned(still, angle, shift), atol=1e-6)

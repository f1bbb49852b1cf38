"""Breaklines run through every shot that stands on them."""

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.geometry.breaklines import split_edges
from gradevol.site.surface import build_surface
from tests.pads import turned, volume_under

SHOTS = np.array([(i, j, 0.0) for i in range(3) for j in range(3)])
SHOTS[4, 2], SHOTS[8, 2] = 0.3, 0.5


def test_an_edge_is_split_at_the_points_on_it_in_order():
    plan = np.array([[0, 0], [9, 0], [6, 0.0005], [3, -0.0005], [4, 0.002], [-1, 0], [10, 0.0]])
    assert_array_equal(split_edges(plan, np.array([[0, 1]])), [[0, 3], [1, 2], [2, 3]])


def test_edges_given_twice_or_from_a_point_to_itself_are_one_and_none():
    plan = np.array([[0, 0], [9, 0], [3, 4.0]])
    edges = np.array([[0, 1], [1, 0], [2, 2], [0, 1]])
    assert_array_equal(split_edges(plan, edges), [[0, 1]])
    assert len(split_edges(plan, edges[2:3])) == 0


def test_edges_that_lie_on_one_another_share_their_parts():
    plan = np.array([[0, 0], [3, 0], [6, 0], [9, 0], [4, 4.0]])
    parts = split_edges(plan, np.array([[0, 2], [1, 3]]))
    assert_array_equal(parts, [[0, 1], [1, 2], [2, 3]])


@pytest.mark.parametrize("angle", np.linspace(0, 3, 11))
def test_a_breakline_through_a_shot_keeps_both_halves(angle):
    # by hand: two cells off the line are fans about their mean, two are halved by the line
    halved = (0 + 0 + 0.3) / 6 * 2 + (0.3 + 0 + 0.5) / 6 * 2
    fans = 2 * 0.3 / 4
    surface = build_surface(turned(SHOTS, angle), edges=np.array([[0, 8]]))
    assert_allclose(volume_under(surface), halved + fans, rtol=1e-12)
    whole = build_surface(turned(SHOTS, angle))
    assert_allclose(volume_under(whole), (0.3 * 4 + 0.5) / 4, rtol=1e-12)


@pytest.mark.parametrize("edges", [[[0, 8]], [[0, 4], [4, 8]], [[8, 4], [0, 8], [4, 0]]])
def test_how_a_breakline_was_listed_makes_no_difference(edges):
    listed = build_surface(SHOTS, edges=np.array(edges))
    assert_allclose(
        volume_under(listed), volume_under(build_surface(SHOTS, edges=np.array([[0, 8]])))
    )


@pytest.mark.parametrize("angle", [0.0, 0.7])
def test_the_foot_of_a_step_that_ends_short_of_the_row_goes_out_to_it(angle):
    corners = [(0, 0, 1), (0, 10, 1), (20, 0, 0), (20, 10, 0)]
    step = [(9.9, 0, 1), (9.9, 10, 1), (10.1, 0.25, 0), (10.1, 9.75, 0)]
    edges = np.array([[4, 5], [6, 7]])
    surface = build_surface(turned(np.array([*corners, *step], float), angle), edges=edges)
    assert_allclose(volume_under(surface), 9.9 * 10 + 0.2 * 10 / 2, rtol=1e-9)

"""Planes, and linear interpolation in triangles."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.testing import assert_allclose

from gradevol.geometry.planes import (
    fit_plane,
    level_in,
    plane_by_fall,
    plane_level,
    shares_of_corners,
)
from gradevol.ground.errors import GeometryError

NUMBERS = st.floats(-50, 50, allow_subnormal=False)


def test_three_points_lie_on_their_plane():
    points = np.array([[0, 0, 1], [10, 0, 1.2], [0, 5, 0.9]])
    coefficients, residuals = fit_plane(points)
    assert_allclose(coefficients, [1, 0.02, -0.02], atol=1e-12)
    assert_allclose(residuals, 0, atol=1e-12)


def test_more_points_are_fitted_by_least_squares():
    # a square whose corners alternate by ±d: the fit is level, each residual ±d
    points = np.array([[0, 0, 0.01], [4, 0, -0.01], [4, 4, 0.01], [0, 4, -0.01]])
    coefficients, residuals = fit_plane(points)
    assert_allclose(coefficients, 0, atol=1e-12)
    assert_allclose(residuals, points[:, 2], atol=1e-12)


@given(arrays(float, (6, 3), elements=NUMBERS))
def test_residuals_of_a_fit_add_up_to_nothing_and_lean_nowhere(points):
    try:
        _, residuals = fit_plane(points)
    except GeometryError:
        points = np.vstack([points[:3], [[0, 0, 1], [9, 0, 2], [0, 9, 3]]])
        _, residuals = fit_plane(points)
    about = points[:, :2] - points[:, :2].mean(axis=0)
    assert_allclose(residuals.sum(), 0, atol=1e-6)
    assert_allclose(residuals @ about, 0, atol=1e-5)


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ([[0, 0, 0], [1, 1, 1]], "2 points make no plane"),
        ([[0, 0, 0], [1, 1, 1], [3, 3, 9]], "on one line"),
        ([[1, 1, 0], [1, 1, 1], [1, 1, 2]], "on one line"),
    ],
)
def test_points_that_make_no_plane_are_refused(points, words):
    with pytest.raises(GeometryError, match=words):
        fit_plane(np.array(points, float))


@pytest.mark.parametrize(
    ("bearing", "downhill"),
    [(0, (0, 1)), (90, (1, 0)), (180, (0, -1)), (270, (-1, 0)), (45, (0.5**0.5, 0.5**0.5))],
)
def test_a_fall_runs_down_towards_its_bearing_clockwise_from_north(bearing, downhill):
    through = np.array([3.0, 4.0, 100.0])
    plane = plane_by_fall(through, 0.02, bearing)
    assert_allclose(plane_level(plane, through[:2]), 100)
    assert_allclose(plane_level(plane, through[:2] + 10 * np.array(downhill)), 99.8)


def test_a_plane_is_reproduced_within_triangles():
    random = np.random.default_rng(0)
    triangles = random.uniform(0, 9, (50, 3, 3))
    triangles[..., 2] = 5 + triangles[..., :2] @ [0.3, -0.2]
    share = random.dirichlet(np.ones(3), (50, 4))
    places = np.einsum("nmc,ncd->nmd", share, triangles[..., :2])
    level = level_in(triangles, np.arange(50), places)
    assert_allclose(level, 5 + places @ [0.3, -0.2], atol=1e-9)


@given(arrays(float, (3, 2), elements=NUMBERS), arrays(float, (4, 2), elements=NUMBERS))
def test_shares_add_up_to_one_and_stay_within_bounds_even_of_flat_triangles(corners, places):
    flat = np.stack([corners, corners[[0, 0, 1]], np.repeat(corners[:1], 3, axis=0)])
    shares = shares_of_corners(flat, np.broadcast_to(places, (3, 4, 2)))
    assert_allclose(shares.sum(axis=-1), 1, atol=1e-12)
    assert ((shares >= 0) & (shares <= 1)).all()


@pytest.mark.parametrize("width", [0.0, 5e-324, 1e-310, 1e-120, 1e-80, 1e-17])
def test_a_triangle_that_rounding_made_flat_gives_a_level_between_its_corners(width):
    flat = np.array(
        [[[0, 0, 1], [3, width, 2], [6, 0, 5.0]], [[0, 0, 1], [2, 2, 4], [2 + width, 2, 0]]]
    )
    places = np.array([[[0, 0], [4, width], [6, 0]], [[0, 0], [1, 1], [2, 2]]], float)
    level = level_in(flat, np.arange(2), places)
    assert (level >= [[1], [0]]).all()
    assert (level <= [[5], [4]]).all()

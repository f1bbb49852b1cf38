"""Integrals of a linear function over triangles, against polygons cut by another library."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.geometry.prisms import (
    area_above,
    integral,
    integral_of_square,
    plan_area,
    volume_above,
    weights_above,
)

DEPTHS = arrays(float, (7, 3), elements=st.floats(-2, 2, allow_subnormal=False))
AREA = np.linspace(0.5, 3.5, 7)


def wet_part(corners, depth):
    """Area and volume where a plane stands above zero: its outline cut out, plane at centroid."""
    plane = np.linalg.solve(np.column_stack([np.ones(3), corners]), depth)
    slope, far = plane[1:], 1e3
    if np.hypot(*slope) < 1e-12:
        area = shapely.Polygon(corners).area if plane[0] > 0 else 0.0
        return area, area * plane[0]
    up = slope / np.hypot(*slope)
    foot = -plane[0] * up / np.hypot(*slope)
    across = np.array([-up[1], up[0]])
    half = shapely.Polygon(
        [
            foot - far * across,
            foot + far * across,
            foot + far * (across + up),
            foot + far * (up - across),
        ]
    )
    part = shapely.intersection(shapely.Polygon(corners), half)
    if part.area == 0:
        return 0.0, 0.0
    middle = shapely.get_coordinates(part.centroid)[0]
    return part.area, part.area * (plane[0] + slope @ middle)


def test_volume_and_area_above_agree_with_a_cut_polygon():
    random = np.random.default_rng(3)
    corners = random.uniform(0, 5, (200, 3, 2))
    area = plan_area(corners)
    corners[area < 0] = corners[area < 0][:, ::-1]
    area = np.abs(area)
    depth = random.normal(size=(200, 3))
    is_broad = area > 0.1
    expected = np.array(
        [wet_part(c, d) for c, d in zip(corners[is_broad], depth[is_broad], strict=True)]
    )
    assert (expected[:, 0] > 0).sum() > 100  # most are cut
    assert_allclose(area_above(area, depth)[is_broad], expected[:, 0], atol=1e-9)
    assert_allclose(volume_above(area, depth)[is_broad], expected[:, 1], atol=1e-9)


@given(DEPTHS)
def test_what_stands_above_less_what_lies_below_is_the_mean(depth):
    assert_allclose(
        volume_above(AREA, depth) - volume_above(AREA, -depth),
        integral(AREA, depth),
        atol=1e-12,
    )


@given(DEPTHS, st.permutations(range(3)))
def test_volume_does_not_depend_on_the_order_of_corners(depth, order):
    assert_allclose(volume_above(AREA, depth[:, order]), volume_above(AREA, depth), atol=1e-12)
    assert_allclose(area_above(AREA, depth[:, order]), area_above(AREA, depth), atol=1e-9)


@given(DEPTHS, st.floats(0.05, 0.95))
def test_a_cut_through_a_triangle_loses_nothing(depth, share):
    middle = depth[:, 0] + share * (depth[:, 1] - depth[:, 0])
    left = np.column_stack([depth[:, 0], middle, depth[:, 2]])
    right = np.column_stack([middle, depth[:, 1], depth[:, 2]])
    for measure in (volume_above, integral, integral_of_square):
        assert_allclose(
            measure(AREA * share, left) + measure(AREA * (1 - share), right),
            measure(AREA, depth),
            atol=1e-12,
        )


@given(DEPTHS)
def test_square_agrees_with_the_sum_over_pairs_of_corners(depth):
    # integral of a linear function's square: A/6 (a² + b² + c² + ab + bc + ca)
    a, b, c = depth.T
    expected = AREA / 6 * (a * a + b * b + c * c + a * b + b * c + c * a)
    assert_allclose(integral_of_square(AREA, depth), expected, atol=1e-12)


@pytest.mark.parametrize("tiny", [2e-302, 5e-324, 1e-200])
def test_depths_next_to_nothing_make_no_numbers_that_are_none(tiny):
    depth = np.array([[tiny, 0, 0], [tiny, -tiny, 0], [tiny, tiny, -tiny], [-tiny, -tiny, -tiny]])
    volume = volume_above(np.ones(4), depth)
    share = area_above(np.ones(4), depth)
    assert np.isfinite(volume).all()
    assert ((share >= 0) & (share <= 1)).all()
    assert_allclose(volume, 0, atol=1e-199)


def test_a_triangle_at_zero_everywhere_holds_nothing_and_is_not_above():
    zero = np.zeros((1, 3))
    assert_array_equal(volume_above(np.ones(1), zero), [0])
    assert_array_equal(area_above(np.ones(1), zero), [0])


def test_depths_that_touch_zero_at_corners_count_in_full():
    depth = np.array([[0, 0, 3.0], [0, 3, 3], [0, 0, -3], [0, -3, -3], [-1, 0, 1]])
    assert_allclose(volume_above(np.ones(5), depth), [1, 2, 0, 0, 1 / 6])
    assert_allclose(area_above(np.ones(5), depth), [1, 1, 0, 0, 1 / 2])


def test_no_triangles_give_no_numbers():
    nothing = np.empty(0), np.empty((0, 3))
    assert volume_above(*nothing).shape == area_above(*nothing).shape == (0,)


def test_plan_area_is_positive_counter_clockwise_and_ignores_elevation():
    corners = np.array([[[0, 0, 9.0], [4, 0, 5], [0, 3, -7]]])
    assert_allclose(plan_area(corners), [6])
    assert_allclose(plan_area(corners[:, ::-1]), [-6])


def test_rows_that_do_not_match_are_refused():
    with pytest.raises(ValueError, match="depth must be"):
        volume_above(np.ones(2), np.ones((3, 3)))


@given(DEPTHS)
def test_weights_above_add_up_to_the_area_above(depth):
    assert_allclose(weights_above(AREA, depth).sum(axis=1), area_above(AREA, depth), atol=1e-12)


def test_weights_above_are_the_derivatives_of_the_volume():
    depth = np.random.default_rng(6).normal(size=(500, 3))
    area = np.linspace(0.5, 3.5, 500)
    weights = weights_above(area, depth)
    for corner in range(3):
        step = np.zeros(3)
        step[corner] = 1e-6
        change = volume_above(area, depth + step) - volume_above(area, depth - step)
        assert_allclose(weights[:, corner], change / 2e-6, atol=1e-8)

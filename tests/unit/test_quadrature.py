from functools import partial
from itertools import pairwise

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose
from scipy.integrate import dblquad

from gradevol.geometry.quadrature import integrate_radial, spread_nodes
from gradevol.uncertainty.kriging import correlate, correlate_within, decay_within

#: 8 m by 5 m with an opening of 1 m².
HOLED = shapely.box(0, 0, 8, 5).difference(shapely.box(2, 2, 3, 3))
#: Inside, at a corner, on a side, a hair off a side, in the opening, outside.
PLACES = np.array([[1, 1], [0, 0], [4, 0], [4, 5 - 1e-6], [2.5, 2.5], [10, 6]])


def over_box(function, place, box):
    """scipy's integral over a box, cut at the place, where the kernel has its bend."""
    west, south, east, north = box
    columns = sorted({west, east, *([place[0]] if west < place[0] < east else [])})
    rows = sorted({south, north, *([place[1]] if south < place[1] < north else [])})
    return sum(
        dblquad(function, a, b, c, d, epsabs=1e-9)[0]
        for a, b in pairwise(columns)
        for c, d in pairwise(rows)
    )


@pytest.mark.parametrize("reach", [0.3, 2.0, 20.0])
def test_the_kernels_integral_over_a_polygon_is_scipys(reach):
    made = integrate_radial(HOLED, PLACES, lambda r: correlate_within(r, reach), reach=reach)

    for place, value in zip(PLACES, made, strict=True):

        def kernel(north, east, at=place):
            return correlate(np.hypot(east - at[0], north - at[1]), reach)

        whole = over_box(kernel, place, (0, 0, 8, 5)) - over_box(kernel, place, (2, 2, 3, 3))
        assert_allclose(value, whole, rtol=1e-7, atol=1e-9)


def test_the_integral_of_one_is_the_area_from_every_place():
    made = integrate_radial(HOLED, PLACES, lambda radius: radius**2 / 2, reach=1.0)
    assert_allclose(made, 39, rtol=1e-6)


def test_a_rim_of_many_chords_is_integrated_as_well_as_one_of_few():
    disc = shapely.Point(0, 0).buffer(3, quad_segs=64)
    made = integrate_radial(
        disc, np.zeros((1, 2)), lambda radius: correlate_within(radius, 2.0), reach=2.0
    )
    circle = 2 * np.pi * correlate_within(np.array(3.0), 2.0)
    assert_allclose(made, circle, rtol=2e-4)  # the chords' own share of the area


@pytest.mark.parametrize("reach", [0.05, 0.3, 2.0, 20.0])
@pytest.mark.parametrize("within", [correlate_within, decay_within])
def test_sides_cut_into_pieces_give_what_whole_sides_give(within, reach):
    whole, cut = (
        integrate_radial(outline, PLACES, partial(within, reach=reach), reach=reach)
        for outline in (HOLED, shapely.segmentize(HOLED, 0.05))
    )
    assert_allclose(cut, whole, rtol=1e-6, atol=1e-9)


def test_the_kernels_integral_outwards_is_that_of_the_kernel():
    radius, step = np.linspace(0, 5, 200_001, retstep=True)
    sums = np.concatenate([[0], np.cumsum((f := correlate(radius, 1.3) * radius)[1:] + f[:-1])])
    assert_allclose(correlate_within(radius, 1.3), sums * step / 2, atol=1e-9)


@pytest.mark.parametrize("count", [50, 300])
def test_nodes_stand_for_the_area_and_integrate_squares_exactly(count):
    places, weights = spread_nodes(HOLED, count=count)

    assert len(places) >= count
    assert weights.min() > 0
    assert shapely.contains_xy(HOLED, *places.T).all()
    assert_allclose(weights.sum(), 39, rtol=1e-12)
    squares = 5 * 8**3 / 3 - (3**3 - 2**3) / 3
    assert_allclose(weights @ places[:, 0] ** 2, squares, rtol=1e-12)
    mixed = (8**2 / 2) * (5**2 / 2) - 2.5 * 2.5
    assert_allclose(weights @ (places[:, 0] * places[:, 1]), mixed, rtol=1e-12)


@pytest.mark.parametrize("reach", [0.5, 2.0, 20.0])
def test_the_variance_of_the_integral_does_not_hang_on_the_number_of_nodes(reach):
    variance = []
    for count in (300, 4000):
        places, weights = spread_nodes(HOLED, count=count)
        inner = integrate_radial(HOLED, places, partial(correlate_within, reach=reach), reach=reach)
        variance.append(float((weights * inner).sum()))
    assert_allclose(variance[0], variance[1], rtol=1e-3)

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose
from scipy.integrate import dblquad

from gradevol.uncertainty.kernel import Kernel, find_bearing, list_even, list_lanes, list_streaked
from tests.pads import grid

SLAB = shapely.box(0, 0, 12, 9)
PLACES = np.array([[1.0, 1.0], [5, 4], [11, 8], [14, 2]])


def turn(plan, degrees):
    cos, sin = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return np.asarray(plan) @ np.array([[cos, sin], [-sin, cos]])


def test_a_range_along_is_so_many_times_that_across():
    kernel = Kernel(2.0, 9.0, np.radians(30))
    along, across = turn([[6.0, 0]], 30), turn([[0, 2 / 3]], 30)
    start = np.zeros((1, 2))
    even = Kernel(2.0).between(start, np.array([[2.0, 0]]))
    assert_allclose(kernel.between(start, along), even)
    assert_allclose(kernel.between(start, across), even)


@pytest.mark.parametrize(
    "kernel", [Kernel(2.5), Kernel(2.5, is_rough=True), Kernel(2.5, 4.0, 0.4, True)]
)
def test_the_integral_over_an_outline_is_scipys(kernel):
    places = PLACES[1:4:2]  # within it, and beside it: scipy takes long
    for place, found in zip(places, kernel.integrate(SLAB, places), strict=True):
        wanted, _ = dblquad(
            lambda north, east, place=place: float(
                kernel.between(np.array([[east, north]]), place[None])[0, 0]
            ),
            *(0, 12, 0, 9),
            epsabs=1e-4,
        )
        assert_allclose(found, wanted, rtol=1e-3)


def test_the_chances_of_all_shapes_add_up_to_one():
    reaches = np.array([1.0, 2.0, 4.0])
    shapes = [*list_even(reaches), *list_streaked(reaches, 0.0), *list_lanes(0.0)]
    assert_allclose(sum(chance for _, chance in shapes), 1)
    assert all(len(kernels) > 1 for kernels, _ in shapes)


@pytest.mark.parametrize("degrees", [0.0, 20.0, 44.0, 45.0, 90.0, 200.0])
def test_the_bearing_is_that_of_the_rows_or_of_the_sides(degrees):
    lattice = grid(np.arange(5) * 2.0, np.arange(4) * 3.0)
    askew = turn(lattice, degrees + 10)
    outline = shapely.Polygon(turn([[0, 0], [12, 0], [12, 9], [0, 9]], degrees))
    scattered = turn(np.random.default_rng(1).uniform([0, 0], [12, 9], (40, 2)), degrees)
    for places, wanted in ((askew, degrees + 10), (scattered, degrees)):
        off = np.degrees(find_bearing(places, outline)) - wanted
        assert_allclose((off + 45) % 90, 45, atol=1e-6)


def test_the_bearing_of_a_lattice_hangs_on_no_rounding():
    """Each shot of a staggered lattice has six neighbours equally near, which make no row."""
    lattice = grid(np.arange(6) * 1.2, np.arange(6) * 0.9)
    lattice[:, 0] += 0.6 * np.repeat(np.arange(6) % 2, 6)
    lattice[:, 1] *= 0.6 * np.sqrt(3) / 0.9
    outline = shapely.Polygon(turn([[0, 0], [9, 0], [9, 7], [0, 7]], 20.0))
    found = [
        find_bearing(lattice + by, shapely.transform(outline, lambda at, by=by: at + by))
        for by in (0.0, 123456.789, 1e6)
    ]
    assert_allclose(found, np.radians(20.0), atol=1e-6)

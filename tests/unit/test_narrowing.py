import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose

from gradevol.geometry.quadrature import spread_nodes
from gradevol.uncertainty.kriging import Spectrum, Target
from gradevol.uncertainty.next_for_volume import narrow_integral, pick_first
from gradevol.uncertainty.posterior import condition_on_shots
from gradevol.uncertainty.process import fit_process
from gradevol.uncertainty.trend import STRIP
from tests.kriged import predict
from tests.pads import grid

SLAB = shapely.box(0, 0, 12, 9)
GRID = grid(np.arange(0.5, 12), np.arange(0.5, 9))


@pytest.fixture(scope="module")
def process():
    rng = np.random.default_rng(3)
    places = rng.uniform([0, 0], [9, 9], (15, 2))
    readings = 0.01 * np.sin(places[:, 0]) + 0.002 * rng.standard_normal(15)
    return fit_process(places, readings, SLAB, floor=0.002)


def variance_of(process, number, places, readings):
    """Variance of the integral with any shots, by the kriging of the interval."""
    kernel = process.kernels[process.of_kernel[number]]
    nodes, area_of = spread_nodes(SLAB, count=300)
    seen = kernel.integrate(SLAB, np.vstack([places, nodes]))
    whole = area_of @ process.trend.at(nodes)
    # level and strip in closed form: the strip's corners are squares of two sloping faces each
    whole[0] = SLAB.area
    whole[3] = 42 * STRIP / 2 - 4 * STRIP**2 / 3
    return (
        process.scale[number]
        * predict(
            Target(whole, seen[: len(places)], float(area_of @ seen[len(places) :])),
            readings,
            Spectrum.of(kernel.between(places, places)),
            noise=process.noise[number],
            trend=process.trend.at(places),
            precision=process.precision_of(number),
        ).variance
    )


def test_the_share_that_goes_is_that_of_a_kriging_with_the_shots_in_it(process):
    number = int(np.argmax(process.chance))
    known = condition_on_shots(process, GRID, SLAB, drawn=np.array([number]))

    picked, share = narrow_integral(known, GRID, np.ones(len(GRID), bool), most=4, near=0.5)

    before = variance_of(process, number, process.places, process.readings)
    assert_allclose(known[0].whole, before, rtol=1e-9)
    places = np.vstack([process.places, GRID[picked]])
    after = variance_of(process, number, places, np.append(process.readings, np.zeros(4)))
    assert_allclose(share[-1], 1 - after / before, rtol=1e-9)
    assert (np.diff(share) > 0).all()
    assert share[0] > 0


def test_the_first_place_is_the_best_single_one(process):
    number = int(np.argmax(process.chance))
    known = condition_on_shots(process, GRID, SLAB, drawn=np.array([number]))
    (best,), _ = narrow_integral(known, GRID, np.ones(len(GRID), bool), most=1, near=0.5)

    after = [
        variance_of(
            process,
            number,
            np.vstack([process.places, place]),
            np.append(process.readings, 0.0),
        )
        for place in GRID
    ]
    assert best == int(np.argmin(after))
    assert GRID[best, 0] > 9  # where no shot is


def test_of_shots_thinned_to_cells_a_further_one_tells_less(process):
    number = int(np.argmax(process.chance))
    shares = []
    for size in (1.0, 20.0):
        known = condition_on_shots(process, GRID, SLAB, drawn=np.array([number]), size=size)
        shares.append(narrow_integral(known, GRID, np.ones(len(GRID), bool), most=3, near=1)[1])
    assert (shares[1] < shares[0]).all()


def test_places_keep_apart_and_off_those_that_are_taken(process):
    known = condition_on_shots(process, GRID, SLAB, drawn=np.arange(3))
    is_free = GRID[:, 0] < 9
    picked, _ = narrow_integral(known, GRID, is_free, most=5, near=2.5)
    apart = np.hypot(*np.moveaxis(GRID[picked][:, None] - GRID[picked], 2, 0))
    assert len(picked) == 5
    assert is_free[picked].all()
    assert apart[np.triu_indices(5, 1)].min() >= 2.5


def test_among_equals_the_first_place_is_picked_whatever_rounding_says():
    score = np.array([1.0, 3.0, 3.0 * (1 + 1e-12), 4.0])
    assert pick_first(score, np.array([True, True, True, False])) == 1

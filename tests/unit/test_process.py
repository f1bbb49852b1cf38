import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.uncertainty.evidence import Shots
from gradevol.uncertainty.kriging import Spectrum, Target, correlate
from gradevol.uncertainty.likely_kernels import spread_out
from gradevol.uncertainty.process import fit_process
from tests.kriged import predict
from tests.pads import grid

SLAB = shapely.box(0, 0, 12, 9)


@pytest.fixture(scope="module")
def shots():
    rng = np.random.default_rng(5)
    places = rng.uniform([0, 0], [12, 9], (40, 2))
    return places, 0.01 * np.sin(places[:, 0]) + 0.002 * rng.standard_normal(40)


def test_prediction_is_that_of_the_kriging_system_solved_outright(shots):
    places, readings = shots
    apart = np.hypot(*np.moveaxis(places[:, None] - places, 2, 0))
    place = np.array([5.0, 4.0])
    target = Target(np.append(1, place), correlate(np.hypot(*(places - place).T), 3.0), 1.0)
    trend = np.column_stack([np.ones(40), places])

    made = predict(
        target,
        readings,
        Spectrum.of(correlate(apart, 3.0)),
        noise=0.1,
        trend=trend,
        precision=np.zeros(3),
    )

    noisy = correlate(apart, 3.0) + 0.1 * np.eye(40)
    system = np.block([[noisy, trend], [trend.T, np.zeros((3, 3))]])
    solved = np.linalg.solve(system, np.append(target.covariance, target.trend))
    assert_allclose(made.weights, solved[:40], atol=1e-10)
    assert_allclose(made.mean, solved[:40] @ readings, atol=1e-12)
    variance = 1 - solved @ np.append(target.covariance, target.trend)
    assert_allclose(made.variance, variance, atol=1e-10)
    fitted = np.linalg.lstsq(
        trend.T @ np.linalg.solve(noisy, trend),
        trend.T @ np.linalg.solve(noisy, readings),
        rcond=None,
    )[0]
    left = readings - trend @ fitted
    assert_allclose(made.misfit, left @ np.linalg.solve(noisy, left), rtol=1e-8)
    volumes = [
        np.linalg.slogdet(noisy)[1],
        np.linalg.slogdet(trend.T @ np.linalg.solve(noisy, trend))[1],
    ]
    assert_allclose(made.log_volume, sum(volumes), atol=1e-8)


def test_a_coefficient_that_is_known_beforehand_is_a_part_of_the_process(shots):
    """A slope of known variance is the same as its covariance within the process."""
    places, readings = shots
    slope = places[:, :1] / 10
    base = correlate(np.hypot(*np.moveaxis(places[:, None] - places, 2, 0)), 3.0)
    ones = np.ones((40, 1))
    rest = {"noise": 0.1, "readings": readings}

    known = predict(
        Target(np.array([1.0, 0.7]), np.zeros(40), 0.0),
        spectrum=Spectrum.of(base),
        trend=np.hstack([ones, slope]),
        precision=np.array([0, 1 / 4.0]),
        **rest,
    )
    inside = predict(
        Target(np.ones(1), 4.0 * 0.7 * slope[:, 0], 4.0 * 0.49),
        spectrum=Spectrum.of(base + 4.0 * slope @ slope.T),
        trend=ones,
        precision=np.zeros(1),
        **rest,
    )

    assert_allclose(known.mean, inside.mean, atol=1e-12)
    assert_allclose(known.variance, inside.variance, atol=1e-10)
    assert_allclose(known.weights, inside.weights, atol=1e-10)
    assert_allclose(known.misfit, inside.misfit, rtol=1e-9)


def test_shots_on_a_plane_leave_little_open():
    east, north = grid(np.linspace(0, 12, 7), np.linspace(0, 9, 6)).T
    plane = 0.01 + 0.002 * east - 0.001 * north
    made = fit_process(np.column_stack([east, north]), plane, SLAB, floor=1e-4).integral

    assert_allclose(made.middle, SLAB.area * (0.01 + 0.002 * 6 - 0.001 * 4.5), atol=0.003)
    assert np.sqrt(made.variance) < 1e-4 * SLAB.area


def test_what_lies_beyond_the_shots_is_much_less_sure_than_what_lies_among_them(shots):
    places, readings = shots
    within = fit_process(places, readings, SLAB, floor=0.002).integral
    beyond = fit_process(places, readings, shapely.box(12, 0, 24, 9), floor=0.002).integral
    assert beyond.variance > 25 * within.variance


def test_more_shots_of_one_base_leave_less_open():
    rng = np.random.default_rng(3)
    spread = []
    for count in (20, 80, 320):
        places = rng.uniform([0, 0], [12, 9], (count, 2))
        level = 0.01 * np.sin(places[:, 0]) * np.cos(places[:, 1])
        spread.append(fit_process(places, level, SLAB, floor=0.001).integral.variance ** 0.5)
    assert spread[0] > 1.5 * spread[1] > 3 * spread[2]


@pytest.mark.parametrize("count", [3, 4, 6])
def test_few_shots_leave_a_wide_interval_however_well_they_agree(count):
    rng = np.random.default_rng(count)
    places = rng.uniform([0, 0], [12, 9], (count, 2))
    made = fit_process(places, np.full(count, 0.02), SLAB, floor=0.002).integral
    # 40 agreeing shots leave a tenth of a millimetre over the slab
    assert np.sqrt(made.variance) > 0.001 * SLAB.area
    assert_allclose(made.middle, 0.02 * SLAB.area, rtol=0.05)


def test_the_answer_does_not_hang_on_where_the_origin_lies_nor_on_a_constant(shots):
    places, readings = shots
    here = fit_process(places, readings, SLAB, floor=0.002).integral
    away = np.array([1000.0, 3000.0])
    there = fit_process(
        places + away, readings + 1.0, shapely.transform(SLAB, lambda p: p + away), floor=0.002
    ).integral
    assert_allclose(there.middle - SLAB.area, here.middle, atol=1e-7)
    assert_allclose(there.variance, here.variance, rtol=1e-6)


def test_shots_of_a_lattice_are_picked_for_the_search_whatever_their_order_and_axes():
    """Many are equally far from those picked before: no rounding says which is next."""
    plan = grid(np.arange(16) * 1.1, np.arange(16) * 1.1)
    readings = np.random.default_rng(2).normal(0, 0.01, len(plan)).round(3)

    def pick(places, readings):
        return spread_out(Shots(places, readings, np.zeros((len(places), 4)), 0.002))

    wanted = pick(plan, readings)
    order = np.random.default_rng(3).permutation(len(plan))
    assert_array_equal(order[pick(plan[order], readings[order])], wanted)
    assert_array_equal(pick(plan[:, ::-1] * [-1, 1] + 1e6, readings), wanted)

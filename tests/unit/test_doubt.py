import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose
from scipy.stats import norm

from gradevol.geometry.normal import OwensT
from gradevol.uncertainty.kriging import Spectrum, condition
from gradevol.uncertainty.next_for_thin import (
    NEGLIGIBLE,
    find_doubt,
    settle_doubt,
    stay_open,
    stay_wrong,
)
from gradevol.uncertainty.posterior import condition_on_shots

SLAB = shapely.box(0, 0, 12, 9)
PLACES = np.array([[2.0, 2.0], [5.5, 4.0], [11.0, 8.0], [6.0, 4.5]])


def describe(process, places, drawn):
    return condition_on_shots(process, places, SLAB, drawn=np.array(drawn))


@pytest.mark.parametrize("excess", [-3.0, -1.2, 0.0, 0.7])
@pytest.mark.parametrize("explained", [0.05, 0.4, 0.95])
def test_what_stays_open_is_the_mean_over_what_may_be_read(excess, explained):
    reading = np.linspace(-9, 9, 200_001)
    chance = norm.cdf((excess + np.sqrt(explained) * reading) / np.sqrt(1 - explained))
    is_open = (chance > NEGLIGIBLE) & (chance < 1 - NEGLIGIBLE)
    mean = (is_open * norm.pdf(reading)).sum() * (reading[1] - reading[0])

    assert_allclose(stay_open(np.array(excess), np.array(explained)), mean, atol=1e-4)


@pytest.mark.parametrize(("chance", "is_open"), [(0.005, 0), (0.02, 1), (0.97, 1), (0.995, 0)])
def test_where_nothing_more_is_read_open_is_what_is_open_now(chance, is_open):
    assert_allclose(stay_open(norm.ppf(chance), np.array(0.0)), is_open, atol=1e-9)


@pytest.mark.parametrize("excess", [-1.5, 0.0, 0.7])
@pytest.mark.parametrize("explained", [0.05, 0.4, 0.95])
def test_what_stays_wrong_is_how_often_what_is_told_and_what_is_true_differ(excess, explained):
    rng = np.random.default_rng(7)
    told = excess + np.sqrt(explained) * rng.standard_normal(400_000)
    true = told + np.sqrt(1 - explained) * rng.standard_normal(400_000)
    differ = np.mean((told > 0) != (true > 0))
    wrong = stay_wrong(OwensT.of(np.array([excess])), np.array([explained]))
    assert_allclose(wrong, differ, atol=0.003)


def test_with_nothing_more_read_the_less_likely_is_wrong_and_with_all_read_nothing():
    excess = np.linspace(-3, 3, 7)
    apart = OwensT.of(excess)
    assert_allclose(stay_wrong(apart, np.zeros(7)), norm.cdf(-np.abs(excess)), atol=1e-6)
    assert_allclose(stay_wrong(apart, np.ones(7)), 0, atol=1e-6)


def test_what_is_known_whole_is_open_nowhere():
    assert_allclose(stay_open(np.linspace(-3, 3, 7), np.ones(7)), 0, atol=1e-5)


def test_a_reading_left_out_leaves_what_the_others_say(process):
    number = int(np.argmax(process.chance))
    out = [4, 17]
    kept = np.delete(np.arange(30), out)
    known = describe(process, np.vstack([PLACES, process.places[out]]), [number])

    doubt = find_doubt(known, np.full(4, 0.003), readings=process.readings[out])

    places, kernel = process.places[kept], process.kernels[process.of_kernel[number]]
    spectrum = Spectrum.of(kernel.between(places, places))
    mean, covariance = condition(
        kernel.between(PLACES, places) @ spectrum.vectors,
        kernel.between(PLACES, PLACES),
        spectrum.turn(process.readings[kept], process.trend.at(places)),
        noise=process.noise[number],
        trend=process.trend.at(PLACES),
        precision=process.precision_of(number),
    )
    variance = process.scale[number] * np.diag(covariance)
    assert_allclose(doubt.variance[0], variance, rtol=1e-6)
    assert_allclose(doubt.excess[0], (mean - 0.003) / np.sqrt(variance), rtol=1e-6)
    assert_allclose(doubt.chance, norm.cdf(doubt.excess[0]), rtol=1e-9)


def test_gains_are_those_of_all_the_shots_together(process):
    """What five shots explain is what the process with them in it says, in whatever order."""
    number = int(np.argmax(process.chance))
    grid = np.stack(np.meshgrid(np.arange(0.5, 12), np.arange(0.5, 9)), axis=-1).reshape(-1, 2)
    known = describe(process, grid, [number])
    doubt = find_doubt(known, np.full(len(grid), 0.004), readings=np.zeros(0))
    picked, gain = settle_doubt(known, doubt, grid, np.ones(len(grid), bool), most=3, near=1.0)

    each = known[0]
    weighed = np.flatnonzero(doubt.is_open > NEGLIGIBLE)
    cross = each.covariance(weighed, np.array(picked))
    taken = each.covariance(np.array(picked), np.array(picked)) + each.shot_noise * np.eye(3)
    explained = (cross * np.linalg.solve(taken, cross.T).T).sum(axis=1) / doubt.variance[0, weighed]
    left = stay_open(doubt.excess[0, weighed], explained).sum()
    assert len(picked) == len(set(picked)) == 3
    assert_allclose(sum(gain), doubt.is_open[weighed].sum() - left, rtol=1e-9)
    assert sum(gain) > 1

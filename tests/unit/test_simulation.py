import numpy as np
import shapely
from numpy.testing import assert_allclose

from gradevol.uncertainty.kriging import condition
from gradevol.uncertainty.posterior import draw_combinations
from gradevol.uncertainty.simulation import describe_each, simulate

SLAB = shapely.box(0, 0, 12, 9)
PLACES = np.array([[1.0, 1.0], [5, 4], [5.3, 4.2], [11, 8], [14, 2]])


def see(process, number):
    """Mean and covariance at the places by one combination, from `condition`."""
    kernel = process.kernels[process.of_kernel[number]]
    spectrum = process.spectra[process.of_kernel[number]]
    mean, covariance = condition(
        kernel.between(PLACES, process.places) @ spectrum.vectors,
        kernel.between(PLACES, PLACES),
        spectrum.turn(process.readings, process.trend.at(process.places)),
        noise=process.noise[number],
        trend=process.trend.at(PLACES),
        precision=process.precision_of(number),
    )
    return mean, process.scale[number] * covariance


def test_places_described_one_by_one_are_those_described_together(process):
    means, variances = describe_each(process, PLACES)
    assert means.shape == variances.shape == (len(process.chance), len(PLACES))
    for number in (0, len(process.chance) // 2, len(process.chance) - 1):
        mean, covariance = see(process, number)
        assert_allclose(means[number], mean, atol=1e-12)
        assert_allclose(variances[number], np.diag(covariance), rtol=1e-6, atol=1e-15)


def test_simulated_bases_have_the_mean_and_covariance_of_the_process_given_its_shots(process):
    number = int(np.argmax(process.chance))
    bases = 20_000
    made = simulate(process, PLACES, np.full(bases, number), np.random.default_rng(1))
    ((combination, base),) = made
    mean, covariance = see(process, number)
    assert combination == number
    assert base.shape == (bases, len(PLACES))
    sd = np.sqrt(np.diag(covariance))
    # four standard errors of a mean, and of a covariance of normal figures
    assert_allclose(base.mean(axis=0), mean, atol=4 * sd.max() / np.sqrt(bases))
    off = np.abs(np.cov(base.T) - covariance) / np.outer(sd, sd)
    assert off.max() < 4 * np.sqrt(2 / bases)


def test_combinations_are_drawn_as_often_as_they_are_likely(process):
    drawn = draw_combinations(process, 5000)
    assert_allclose(
        np.bincount(drawn, minlength=len(process.chance)) / 5000, process.chance, atol=2.1e-4
    )


def test_every_combination_drawn_is_simulated(process):
    drawn = draw_combinations(process, 8)
    made = list(simulate(process, PLACES, drawn, np.random.default_rng(1)))
    assert np.repeat([number for number, _ in made], [len(base) for _, base in made]).tolist() == (
        sorted(drawn.tolist())
    )
    assert len(made) > 1

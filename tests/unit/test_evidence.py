import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.uncertainty.evidence import USUAL_SPREAD, Shots, weigh
from gradevol.uncertainty.kernel import Kernel
from gradevol.uncertainty.kriging import Spectrum, Target
from gradevol.uncertainty.trend import AT_FORMS, AT_FORMS_CHANCE, FALL
from tests.kriged import predict

KERNEL, HALF, FLOOR = Kernel(3.0, 3.0, 0.3, True), 7.5, 1e-6


@pytest.fixture(scope="module")
def shots():
    rng = np.random.default_rng(4)
    places = rng.uniform([0, 0], [12, 9], (25, 2))
    strip = np.clip(1 - places[:, 1] / 2, 0, 1)
    functions = np.column_stack([np.ones(25), (places - [6, 4.5]) / HALF, strip])
    readings = 0.01 * np.sin(places[:, 0]) - 0.02 * strip + 0.002 * rng.standard_normal(25)
    return Shots(places, readings, functions, FLOOR)


@pytest.fixture(scope="module")
def target():
    rng = np.random.default_rng(6)
    return Target(np.array([108.0, 0.3, -0.2, 11.0]), rng.uniform(0.5, 2, 25), 70.0)


@pytest.fixture(scope="module")
def weighed(shots, target):
    spectrum = Spectrum.of(KERNEL.between(shots.places, shots.places))
    return spectrum, weigh(
        shots, spectrum, varied=KERNEL.vary(HALF), noises=np.array([0.01, 0.1]), steps=5,
        target=target,
    )  # fmt: skip


def test_mean_and_variance_are_those_of_kriging_with_the_same_precisions(shots, target, weighed):
    spectrum, made = weighed
    varied = KERNEL.vary(HALF)
    for at in np.ndindex(made.log_chance.shape):
        scale = made.scale[at]
        fall = 1 / (FALL**2 * varied)
        wanted = predict(
            target,
            shots.readings,
            spectrum,
            noise=made.noise[at],
            trend=shots.functions,
            precision=np.array([0, fall, fall, scale / made.forms[at] ** 2]),
        )
        assert_allclose(made.mean[at], wanted.mean, rtol=1e-7)
        own = FLOOR**2 * wanted.weights @ wanted.weights
        assert_allclose(made.variance[at], scale * wanted.variance - own, rtol=1e-6)


def test_evidence_is_the_density_of_the_shots_with_the_trend_in_their_covariance(shots, weighed):
    """A level of next to no precision stands for the one of which nothing is known."""
    _, made = weighed
    varied = KERNEL.vary(HALF)
    spare = np.log(made.scale[..., 1] / made.scale[..., 0])[..., None]
    found, wanted = [], []
    for at in np.ndindex(made.log_chance.shape):
        scale, forms = made.scale[at], made.forms[at]
        known = np.diag([10.0, scale * FALL**2 * varied, scale * FALL**2 * varied, forms**2])
        covariance = (
            scale * KERNEL.between(shots.places, shots.places)
            + scale * made.noise[at] * np.eye(25)
            + shots.functions @ known @ shots.functions.T
        )
        prior = -((np.log(scale * varied / USUAL_SPREAD**2) / 2.2) ** 2) / 2
        chance = AT_FORMS_CHANCE if forms == AT_FORMS else 1 - AT_FORMS_CHANCE
        squares = shots.readings @ np.linalg.solve(covariance, shots.readings)
        log_density = -(np.linalg.slogdet(covariance)[1] + squares) / 2
        wanted.append(log_density + prior + np.log(chance * spare[at[:2]][0]))
        found.append(made.log_chance[at])
    off = np.array(found) - wanted
    assert_allclose(off, off[0], atol=1e-3)

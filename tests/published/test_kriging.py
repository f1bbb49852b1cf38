"""Kriging against a worked example that others have printed."""

import numpy as np
from numpy.testing import assert_allclose

from gradevol.uncertainty.kriging import Spectrum, Target, condition
from tests.kriged import predict

# Isaaks, E. H. & Srivastava, R. M. (1989), An Introduction to Applied Geostatistics, chapters 11
# and 12: seven samples (east, north, value), the estimate at (65, 137) by ordinary kriging with the
# covariance 10 exp(-0.3 h). From memory, not read; the printed answers follow from the inputs.
SAMPLES = np.array([
    [61, 139, 477], [63, 140, 696], [64, 129, 227], [68, 128, 646],
    [71, 140, 606], [73, 141, 791], [75, 128, 783],
], float)  # fmt: skip
PLACE = np.array([65.0, 137.0])


def covariance(distance):
    return 10 * np.exp(-0.3 * distance)


def test_ordinary_kriging_of_seven_samples():
    plan, value = SAMPLES[:, :2], SAMPLES[:, 2]
    apart = np.hypot(*np.moveaxis(plan[:, None] - plan, 2, 0))
    away = np.hypot(*(plan - PLACE).T)

    spectrum, ones = Spectrum.of(covariance(apart)), np.ones((7, 1))
    target = Target(np.ones(1), covariance(away), covariance(0.0))
    nothing = np.zeros(1)
    made = predict(target, value, spectrum, noise=0.0, trend=ones, precision=nothing)
    asked, own = covariance(away)[None] @ spectrum.vectors, np.array([[covariance(0.0)]])
    shots = spectrum.turn(value, ones)
    mean, variance = condition(asked, own, shots, noise=0.0, trend=ones[:1], precision=nothing)

    assert_allclose(away, [4.5, 3.6, 8.1, 9.5, 6.7, 8.9, 13.5], atol=0.05)  # printed to 0.1
    printed = [0.173, 0.318, 0.129, 0.086, 0.151, 0.057, 0.086]
    assert_allclose(made.weights, printed, atol=5e-4)
    assert_allclose([made.mean, mean[0]], 592.7, atol=0.05)
    assert_allclose([made.variance, variance[0, 0]], 8.96, atol=0.005)
    multiplier = made.variance - covariance(0.0) + made.weights @ covariance(away)
    assert_allclose(multiplier, 0.907, atol=5e-4)

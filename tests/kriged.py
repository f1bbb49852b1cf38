"""Kriging of one figure at a time, with its weights: what the package's own is held to."""

from dataclasses import dataclass

import numpy as np

from gradevol.ground.arrays import FloatArray
from gradevol.uncertainty.kriging import Spectrum, Target


@dataclass(frozen=True, slots=True)
class Prediction:
    """
    A figure of the process, given the shots.

    Attributes
    ----------
    variance : float
        In units of the covariance's scale.
    weights : (n,) array of float
        With which the shots make the mean.
    misfit : float
        Squares that are left of the shots, in units of the covariance's scale.
    log_volume : float
        Logarithm of the determinants in the restricted likelihood.
    """

    mean: float
    variance: float
    weights: FloatArray
    misfit: float
    log_volume: float


def predict(
    target: Target,
    readings: FloatArray,
    spectrum: Spectrum,
    *,
    noise: float,
    trend: FloatArray,
    precision: FloatArray,
) -> Prediction:
    """
    Predict a figure of a process from noisy shots: kriging with a trend, one figure at a time.

    Parameters
    ----------
    target : Target
    readings : (n,) array of float
        The process at the shots, with noise.
    spectrum : Spectrum
        Of the process' covariance between shots, without noise.
    noise : float
        Variance of a shot's noise.
    trend : (n, q) array of float
        The trend's functions at the shots.
    precision : (q,) array of float
        What is known of each coefficient beforehand, 1/variance; 0: nothing.
    """
    shrink = 1 / (spectrum.values + noise)
    turned = spectrum.vectors.T @ np.column_stack([trend, readings, target.covariance])
    count = trend.shape[1]
    functions, shots, asked = turned[:, :count], turned[:, count], turned[:, count + 1]
    held = shrink[:, None] * functions
    gram = functions.T @ held + np.diag(precision)
    coefficients = np.linalg.solve(gram, held.T @ shots)
    lacking = target.trend - held.T @ asked
    by_trend = np.linalg.solve(gram, lacking)
    weights = spectrum.vectors @ (shrink * asked + held @ by_trend)
    misfit = float(shots @ (shrink * shots) - (held.T @ shots) @ coefficients)
    return Prediction(
        mean=float(asked @ (shrink * shots) + lacking @ coefficients),
        variance=float(target.variance - asked @ (shrink * asked) + lacking @ by_trend),
        weights=weights,
        misfit=max(misfit, 0.0),
        log_volume=float(-np.log(shrink).sum() + np.linalg.slogdet(gram)[1]),
    )

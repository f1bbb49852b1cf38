"""The base between the shots as a Gaussian process, and its integral given the shots."""

from dataclasses import dataclass
from functools import partial

import numpy as np
import shapely

from gradevol._types import FloatArray
from gradevol.geometry.quadrature import integrate_radial, spread_nodes
from gradevol.uncertainty.mixture import Mixture

#: What slabs on ground were found to spread about their mean thickness: 0.47 to 0.90 in standard
#: deviation over 2,000 and more cores (ASCC position statement 9, read in
#: concreteconstruction.net's article on slab thickness); the middle of it, m.
USUAL_SPREAD = 0.017
#: How little that is relied on: one standard deviation of the spread's logarithm, a factor of 3.
_SPREAD_DOUBT = 1.1
#: Standard deviation of the trend's fall over half the extent, in units of the process' own.
_TREND_DOUBT = 2.0
#: Least and greatest range tried: shares of the shots' spacing and of half the extent.
_SHORTEST, _LONGEST = 0.5, 4.0
#: Ranges, and shares of noise in what the process varies over half the extent.
_RANGES, _NOISES, _SCALES = 9, np.geomspace(1e-4, 1e2, 9), 15
#: Points of the outer quadrature: more change the variance by less than 0.1 %.
_NODES = 300
#: Hyperparameters less likely than this share of the likeliest are left out.
_NEGLIGIBLE = 1e-6


def correlate(distance: FloatArray, reach: float) -> FloatArray:
    """Matérn correlation of smoothness 3/2: (1 + √3 h/ℓ) exp(−√3 h/ℓ) at distances h, m."""
    scaled = np.sqrt(3) / reach * distance
    return (1 + scaled) * np.exp(-scaled)


def correlate_within(radius: FloatArray, reach: float) -> FloatArray:
    r"""Integrate `correlate` outwards: :math:`\int_0^r k(\rho)\,\rho\,d\rho`, m²."""
    scaled = np.sqrt(3) / reach * radius
    return (3 - (scaled**2 + 3 * scaled + 3) * np.exp(-scaled)) * reach**2 / 3


@dataclass(frozen=True, slots=True)
class Spectrum:
    """Eigenvalues (n,) and eigenvectors (n, n) of a covariance between shots."""

    values: FloatArray
    vectors: FloatArray

    @classmethod
    def of(cls, covariance: FloatArray) -> "Spectrum":
        """Decompose a covariance (n, n); what rounding has made negative is nought."""
        values, vectors = np.linalg.eigh(covariance)
        return cls(np.maximum(values, 0.0), vectors)


@dataclass(frozen=True, slots=True)
class Target:
    """
    A linear figure of the process that is asked for: its value at a place, or its integral.

    Attributes
    ----------
    trend : (q,) array of float
        The figure of each function of the trend.
    covariance : (n,) array of float
        Of the figure and the process at each shot.
    variance : float
        The figure's own.
    """

    trend: FloatArray
    covariance: FloatArray
    variance: float


@dataclass(frozen=True, slots=True)
class Prediction:
    """
    A figure of the process, given the shots.

    Attributes
    ----------
    mean : float
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
    Predict a figure of a process from noisy shots: kriging with a trend.

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

    Returns
    -------
    Prediction

    Notes
    -----
    Best linear prediction with the coefficients estimated: Cressie (1993), *Statistics for Spatial
    Data*, section 3.4, from memory; ordinary kriging is one constant trend of precision 0, held to
    printed digits in ``tests/published/test_kriging.py``.
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


def integrate_process(
    places: FloatArray, readings: FloatArray, outline: shapely.Geometry, *, floor: float
) -> Mixture:
    """
    Integral of the base's departure over an outline, given shots of it.

    Parameters
    ----------
    places : (n, 2) array of float
        Shots at distinct places, m; three at least.
    readings : (n,) array of float
        Departure of the base from its design at each, m.
    outline : shapely polygon or multipolygon
        What is integrated over, m; it may reach beyond the shots.
    floor : float
        Least standard deviation of a shot's noise, m: its own accuracy.

    Returns
    -------
    Mixture
        m³, over the range, the noise and the scale of the process by their restricted likelihood.
        The part of the shots' own errors, `floor` through the process' weights, is left out: it
        belongs to the shots.

    Raises
    ------
    numpy.linalg.LinAlgError
        If the shots' covariance can't be decomposed.
    """
    frame = _frame(places, outline)
    west_south, half = frame
    trend = np.column_stack([np.ones(len(places)), (places - west_south) / half])
    nodes, area_of = spread_nodes(outline, count=_NODES)
    whole = np.append(outline.area, area_of @ ((nodes - west_south) / half))
    apart = np.hypot(*np.moveaxis(places[:, None] - places, 2, 0))
    spacing = np.sqrt(outline.area / len(places))
    seen = np.concatenate([places, nodes])
    found = []
    for reach in np.geomspace(_SHORTEST * spacing, _LONGEST * half, _RANGES):
        spectrum = Spectrum.of(correlate(apart, reach))
        integral = integrate_radial(
            outline, seen, partial(correlate_within, reach=reach), reach=reach
        )
        target = Target(whole, integral[: len(places)], float(area_of @ integral[len(places) :]))
        varied = float(1 - correlate(np.array(half), reach))
        precision = np.array([0, 1, 1]) / (_TREND_DOUBT**2 * varied)
        for noise in _NOISES * varied:
            seen_by = predict(
                target, readings, spectrum, noise=noise, trend=trend, precision=precision
            )
            found.append(_scales(seen_by, len(places), noise, varied, floor))
    log_chance, mean, variance = (np.concatenate(part) for part in zip(*found, strict=True))
    chance = np.exp(log_chance - log_chance.max())
    is_kept = chance > _NEGLIGIBLE
    chance = chance[is_kept] / chance[is_kept].sum()
    return Mixture(chance, mean[is_kept], np.sqrt(variance[is_kept]))


def _frame(places: FloatArray, outline: shapely.Geometry) -> tuple[FloatArray, float]:
    """Middle (2,) and half the diagonal of what holds shots and outline, m."""
    west, south, east, north = shapely.total_bounds([outline, shapely.MultiPoint(places)])
    middle = np.array([(west + east) / 2, (south + north) / 2])
    return middle, float(np.hypot(east - west, north - south)) / 2


def _scales(
    seen: Prediction, count: int, noise: float, varied: float, floor: float
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """
    Log chance, mean and variance over the process' variance, at one range and share of noise.

    The variance is tried about its likeliest value by the shots, but never where its noise would be
    less than the shots' own.
    """
    free = count - 1
    likeliest = np.log(max(seen.misfit / free, 1e-14))
    usual = np.log(USUAL_SPREAD**2 / varied)
    if free < 10:
        spread = 5 * np.sqrt(2 / free)
        low, high = min(likeliest, usual) - spread, max(likeliest, usual) + spread
        steps = 3 * _SCALES
    else:
        spread = 4.5 * np.sqrt(2 / free)
        low, high, steps = likeliest - spread, likeliest + spread, _SCALES
    least = np.log(max(floor, 1e-7) ** 2 / noise)
    start = max(low, least)
    log_scale = np.linspace(start, max(high, start + spread), steps)
    log_chance = (
        -(free * log_scale + seen.misfit * np.exp(-log_scale) + seen.log_volume) / 2
        # the trend's precision is in units of the scale: its determinant goes with it
        - np.log(varied)
        - ((log_scale - usual) / (2 * _SPREAD_DOUBT)) ** 2 / 2
        + np.log(log_scale[1] - log_scale[0])
    )
    own = floor**2 * float(seen.weights @ seen.weights)
    variance = np.maximum(np.exp(log_scale) * seen.variance - own, 0.0)
    return log_chance, np.full(len(log_scale), seen.mean), variance

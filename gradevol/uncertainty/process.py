"""The base between its shots as a Gaussian process, fitted to them."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np
import shapely

from gradevol.geometry.quadrature import integrate_radial, spread_nodes
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.uncertainty.kriging import (
    Prediction,
    Spectrum,
    Target,
    correlate,
    correlate_within,
    measure_apart,
    predict,
)
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


@dataclass(frozen=True, slots=True)
class Process:
    """
    What a base does between its shots, as far as the shots tell.

    Every combination of range, noise and scale that the shots leave likely is kept, with its
    chance: nobody knows which one it is.

    Attributes
    ----------
    places : (n, 2) array of float
        Shots at distinct places, m.
    readings : (n,) array of float
        Departure of the base from its design at each, m; positive where the base is high.
    middle : (2,) array of float
    half : float
        Middle, and half the diagonal, of what holds shots and outline, m.
    spectra : tuple of Spectrum
        Of the correlation between shots, one a range.
    ranges : tuple of float
        m.
    chance : (m,) array of float
        Of each combination; they add up to 1.
    of_range : (m,) array of int
        Its range and spectrum.
    noise : (m,) array of float
        Variance of a reading's noise, in units of the scale.
    scale : (m,) array of float
        Variance of the process, m².
    integral : Mixture
        Of the departure over the outline, m³. The part of the shots' own errors, through the
        process' weights, is left out: it belongs to the shots.
    """

    places: FloatArray
    readings: FloatArray
    middle: FloatArray
    half: float
    spectra: tuple[Spectrum, ...]
    ranges: tuple[float, ...]
    chance: FloatArray
    of_range: IntArray
    noise: FloatArray
    scale: FloatArray
    integral: Mixture

    def trend_at(self, plan: FloatArray) -> FloatArray:
        """Give the trend's functions at places (m, 2): (m, 3)."""
        return _trend(plan, self.middle, self.half)

    def precision_of(self, number: int) -> FloatArray:
        """Say what is known beforehand of the trend's coefficients, with a range: (3,)."""
        return _precision(_varied(self.half, self.ranges[number]))


def fit_process(
    places: FloatArray, readings: FloatArray, outline: shapely.Geometry, *, floor: float
) -> Process:
    """
    Fit a process to shots, and integrate it over an outline.

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
    Process
        Range, noise and scale by their restricted likelihood and a mild prior.

    Raises
    ------
    numpy.linalg.LinAlgError
        If the shots' covariance can't be decomposed.
    """
    middle, half = _frame(places, outline)
    trend = _trend(places, middle, half)
    nodes, area_of, whole = spread_trend(outline, middle, half)
    apart = measure_apart(places, places)
    spacing = np.sqrt(outline.area / len(places))
    seen = np.concatenate([places, nodes])
    ranges = np.geomspace(_SHORTEST * spacing, _LONGEST * half, _RANGES)
    spectra, found = [], []
    for number, reach in enumerate(ranges):
        spectra.append(Spectrum.of(correlate(apart, reach)))
        integral = integrate_radial(
            outline, seen, partial(correlate_within, reach=reach), reach=reach
        )
        target = Target(whole, integral[: len(places)], float(area_of @ integral[len(places) :]))
        varied = _varied(half, reach)
        for noise in _NOISES * varied:
            seen_by = predict(
                target,
                readings,
                spectra[-1],
                noise=noise,
                trend=trend,
                precision=_precision(varied),
            )
            found += [
                (log_chance, number, noise, scale, seen_by.mean, variance)
                for log_chance, scale, variance in _try_scales(
                    seen_by, len(places), noise=noise, varied=varied, floor=floor
                )
            ]
    log_chance, number, noise, scale, mean, variance = np.array(found).T
    chance = np.exp(log_chance - log_chance.max())
    is_kept = chance > _NEGLIGIBLE
    chance = chance[is_kept] / chance[is_kept].sum()
    return Process(
        places=places,
        readings=readings,
        middle=middle,
        half=half,
        spectra=tuple(spectra),
        ranges=tuple(ranges.tolist()),
        chance=chance,
        of_range=number[is_kept].astype(np.intp),
        noise=noise[is_kept],
        scale=scale[is_kept],
        integral=Mixture(chance, mean[is_kept], np.sqrt(variance[is_kept])),
    )


def spread_trend(
    outline: shapely.Geometry, middle: FloatArray, half: float
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Points (k, 2) and weights (k,) over an outline, and the trend's integrals by them, (3,)."""
    nodes, area_of = spread_nodes(outline, count=_NODES)
    whole = area_of @ _trend(nodes, middle, half)
    whole[0] = outline.area
    return nodes, area_of, whole


def _trend(plan: FloatArray, middle: FloatArray, half: float) -> FloatArray:
    return np.column_stack([np.ones(len(plan)), (plan - middle) / half])


def _varied(half: float, reach: float) -> float:
    """What the process varies over half the extent, in units of its variance."""
    return float(1 - correlate(np.array(half), reach))


def _precision(varied: float) -> FloatArray:
    """What is known beforehand of the trend: of its level nothing."""
    return np.array([0, 1, 1]) / (_TREND_DOUBT**2 * varied)


def _frame(places: FloatArray, outline: shapely.Geometry) -> tuple[FloatArray, float]:
    """Middle (2,) and half the diagonal of what holds shots and outline, m."""
    west, south, east, north = shapely.total_bounds([outline, shapely.MultiPoint(places)])
    middle = np.array([(west + east) / 2, (south + north) / 2])
    return middle, float(np.hypot(east - west, north - south)) / 2


def _try_scales(
    seen: Prediction, count: int, *, noise: float, varied: float, floor: float
) -> Iterator[tuple[float, float, float]]:
    """
    Log chance, scale, and variance of the figure, at one range and share of noise.

    The scale is tried about its likeliest value by the shots, but never where its noise would be
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
    scale = np.exp(log_scale)
    variance = np.maximum(scale * seen.variance - own, 0.0)
    return zip(log_chance.tolist(), scale.tolist(), variance.tolist(), strict=True)

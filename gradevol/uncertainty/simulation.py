"""Bases as they may be: a process at many places, given the shots, drawn again and again."""

from collections.abc import Iterator

import numpy as np

from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.uncertainty.kriging import condition, see
from gradevol.uncertainty.process import Process

#: Added to the variance of each place where rounding has left a covariance without a root: shares
#: of the process' own variance, tried in turn.
_JITTERS = (1e-9, 1e-7, 1e-5, 1e-3)


def describe_each(process: Process, places: FloatArray) -> tuple[FloatArray, FloatArray]:
    """
    Describe a process at each of many places, given the shots, by each likely combination.

    Parameters
    ----------
    process : Process
    places : (m, 2) array of float
        m.

    Returns
    -------
    mean, variance : (c, m) array of float
        Departure of the base from its design, m and m²; the nugget is not in it.
    """
    mean = np.empty((len(process.chance), len(places)))
    variance = np.empty_like(mean)
    trend = process.trend.at(places)
    for kernel in np.unique(process.of_kernel):
        spectrum = process.spectra[kernel]
        turned = spectrum.turn(process.readings, process.functions)
        asked = process.kernels[kernel].between(places, process.places) @ spectrum.vectors
        squares = np.square(asked)
        for number in np.flatnonzero(process.of_kernel == kernel).tolist():
            seen = see(
                asked,
                turned,
                noise=float(process.noise[number]),
                trend=trend,
                precision=process.precision_of(number),
            )
            # `condition` without what places share
            by_trend = np.linalg.solve(seen.gram, seen.lacking.T)
            spread = 1 - squares @ seen.shrink + np.einsum("mq,qm->m", seen.lacking, by_trend)
            mean[number] = seen.mean
            variance[number] = process.scale[number] * np.maximum(spread, 0.0)
    return mean, variance


def simulate(
    process: Process, places: FloatArray, combinations: IntArray, generator: np.random.Generator
) -> Iterator[tuple[int, FloatArray]]:
    """
    Simulate a base at many places, given the shots.

    Parameters
    ----------
    process : Process
    places : (m, 2) array of float
        m; all distinct.
    combinations : (k,) array of int
        One for each base; those that are the same stand together.
    generator : numpy.random.Generator

    Yields
    ------
    int
        The combination.
    (b, m) array of float
        Departure of the base from its design on each of b bases, m; the nugget is not in it.

    Raises
    ------
    numpy.linalg.LinAlgError
        If a covariance has no root.
    """
    trend = process.trend.at(places)
    held = -1
    for combination, count in zip(*np.unique(combinations, return_counts=True), strict=True):
        number = int(process.of_kernel[combination])
        if number != held:
            held, kernel, spectrum = number, process.kernels[number], process.spectra[number]
            turned = spectrum.turn(process.readings, process.functions)
            asked = kernel.between(places, process.places) @ spectrum.vectors
            own = kernel.between(places, places)
        mean, covariance = condition(
            asked,
            own,
            turned,
            noise=float(process.noise[combination]),
            trend=trend,
            precision=process.precision_of(combination),
        )
        root = _find_root(covariance)
        drawn = generator.standard_normal((count, len(places)))
        yield int(combination), mean + np.sqrt(process.scale[combination]) * drawn @ root.T


def _find_root(covariance: FloatArray) -> FloatArray:
    """Root of a covariance by Cholesky: unlike eigenvectors it has no signs to choose."""
    held = covariance.copy()
    for jitter in _JITTERS:
        np.fill_diagonal(held, covariance.diagonal() + jitter)
        try:
            return np.asarray(np.linalg.cholesky(held), float)
        except np.linalg.LinAlgError:
            continue
    raise np.linalg.LinAlgError("a covariance between places has no root")

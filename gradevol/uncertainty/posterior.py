"""A process given its shots: at many places, their covariances a row at a time."""

from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.uncertainty.kernel import Kernel
from gradevol.uncertainty.kriging import see
from gradevol.uncertainty.process import Process, draw


@dataclass(frozen=True, slots=True)
class Conditioned:
    """
    A process at places, given its shots, for one combination of hyperparameters.

    Attributes
    ----------
    chance : float
        Of the combination, among those drawn.
    places : (m, 2) array of float
        m.
    scale, noise, shot_noise : float
        Variance of the process, of a reading's noise, and of a single further shot's, m².
    mean : (m,) array of float
        m.
    variance : (m,) array of float
        Of the process at each place, without a reading's noise, m².
    with_whole : (m,) array of float
        Covariance of each place and the integral over the outline, m⁴.
    whole : float
        Variance of the integral, m⁶.
    """

    chance: float
    places: FloatArray
    kernel: Kernel
    scale: float
    noise: float
    shot_noise: float
    mean: FloatArray
    variance: FloatArray
    with_whole: FloatArray
    whole: float
    _by_shots: FloatArray
    _by_trend: FloatArray

    def covariance(self, rows: IntArray, columns: IntArray | None = None) -> FloatArray:
        """Give the covariance of some places with others, all if left out: (r, m), m²."""
        other = slice(None) if columns is None else columns
        return self.scale * (
            self.kernel.between(self.places[rows], self.places[other])
            - self._by_shots[rows] @ self._by_shots[other].T
            + self._by_trend[rows] @ self._by_trend[other].T
        )


def draw_combinations(process: Process, count: int) -> IntArray:
    """Draw combinations of hyperparameters, each as often as it is likely: (count,), sorted."""
    return draw(process.chance, count)


def condition_on_shots(
    process: Process,
    places: FloatArray,
    outline: shapely.Geometry,
    *,
    drawn: IntArray,
    size: float = 1.0,
) -> list[Conditioned]:
    """
    Describe a process at places, and its integral, given its shots.

    Parameters
    ----------
    process : Process
    places : (m, 2) array of float
        m.
    outline : shapely polygon or multipolygon
        What the process is integrated over, m.
    drawn : (c,) array of int
        Combinations of hyperparameters, from `draw_combinations`; one may come more than once.
    size : float
        Shots that a reading stands for: a further shot has that many times its noise.

    Returns
    -------
    list of Conditioned
        One a combination.

    Notes
    -----
    `kriging.condition`, but that covariances are worked out when asked for: of thousands of places
    the whole of them is not needed.
    """
    nodes, area_of, whole_trend = process.trend.nodes, process.trend.area_of, process.trend.whole
    trend = process.trend.at(places)
    numbers, times = np.unique(drawn, return_counts=True)
    shots = len(process.places)
    found, held_kernel = [], -1
    for number, share in zip(numbers, times / len(drawn), strict=True):
        if process.of_kernel[number] != held_kernel:
            held_kernel = int(process.of_kernel[number])
            kernel, spectrum = process.kernels[held_kernel], process.spectra[held_kernel]
            integral = kernel.integrate(outline, np.concatenate([process.places, places, nodes]))
            turned = spectrum.turn(process.readings, process.functions)
            asked = kernel.between(places, process.places) @ spectrum.vectors
            asked_whole = integral[:shots] @ spectrum.vectors
            own_whole = float(area_of @ integral[shots + len(places) :])
        scale, noise = float(process.scale[number]), float(process.noise[number])
        seen = see(
            asked,
            turned,
            noise=noise,
            trend=trend,
            precision=process.precision_of(number),
        )
        lacking_whole = whole_trend - asked_whole @ seen.held
        by_shots = asked * np.sqrt(seen.shrink)
        by_trend = np.linalg.solve(np.linalg.cholesky(seen.gram), seen.lacking.T).T
        found.append(
            Conditioned(
                chance=float(share),
                places=places,
                kernel=kernel,
                scale=scale,
                noise=scale * noise,
                shot_noise=scale * noise * size,
                mean=seen.mean,
                variance=scale * (1 - (by_shots**2).sum(axis=1) + (by_trend**2).sum(axis=1)),
                with_whole=scale
                * (
                    integral[shots : shots + len(places)]
                    - asked @ (seen.shrink * asked_whole)
                    + seen.lacking @ np.linalg.solve(seen.gram, lacking_whole)
                ),
                whole=scale
                * float(
                    own_whole
                    - asked_whole @ (seen.shrink * asked_whole)
                    + lacking_whole @ np.linalg.solve(seen.gram, lacking_whole)
                ),
                _by_shots=by_shots,
                _by_trend=by_trend,
            )
        )
    return found

"""The base between its shots as a Gaussian process, fitted to them."""

from dataclasses import dataclass, replace

import numpy as np
import shapely

from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.uncertainty.evidence import Shots, Weighed, weigh
from gradevol.uncertainty.kernel import Kernel, find_bearing
from gradevol.uncertainty.kriging import Spectrum, Target
from gradevol.uncertainty.likely_kernels import Likely, find_likely
from gradevol.uncertainty.mixture import Mixture
from gradevol.uncertainty.trend import FALL, Trend, build_trend

#: Noises and scales about the likeliest of each kernel.
_NOISES, _SCALES = 13, 11
#: Combinations of hyperparameters that together are less likely than this are left out.
_NEGLIGIBLE = 1e-4
#: Combinations kept for simulation, each drawn as often as it is likely.
_KEPT = 64


@dataclass(frozen=True, slots=True)
class Process:
    """
    What a base does between its shots, as far as the shots tell.

    Nobody knows its kernel, noise and scale: combinations are kept as often as they are likely.

    Attributes
    ----------
    places : (n, 2) array of float
        Shots at distinct places, m.
    readings : (n,) array of float
        Departure of the base from its design at each, m; positive where the base is high.
    trend : Trend
    functions : (n, 4) array of float
        The trend's at each reading.
    kernels : tuple of Kernel
    spectra : tuple of Spectrum
        Of the correlation between shots, one a kernel.
    chance : (m,) array of float
        Of each combination; they add up to 1.
    of_kernel : (m,) array of int
        Its kernel and spectrum.
    noise : (m,) array of float
        Variance of a reading's noise, in units of the scale.
    scale : (m,) array of float
        Variance of the process, m².
    forms : (m,) array of float
        Standard deviation, beforehand, of what is off at the forms, m.
    integral : Mixture
        Of the departure over the outline, m³, over all combinations. The part of the shots' own
        errors, through the process' weights, is left out: it belongs to the shots.
    """

    places: FloatArray
    readings: FloatArray
    trend: Trend
    functions: FloatArray
    kernels: tuple[Kernel, ...]
    spectra: tuple[Spectrum, ...]
    chance: FloatArray
    of_kernel: IntArray
    noise: FloatArray
    scale: FloatArray
    forms: FloatArray
    integral: Mixture

    def precision_of(self, number: int) -> FloatArray:
        """Say what a combination knows of the trend, in units of its scale."""
        fall = 1 / (FALL**2 * self.kernels[self.of_kernel[number]].vary(self.trend.half))
        return np.array([0, fall, fall, self.scale[number] / self.forms[number] ** 2])


def fit_process(
    places: FloatArray,
    readings: FloatArray,
    outline: shapely.Geometry,
    *,
    floor: float,
    members: tuple[FloatArray, IntArray] | None = None,
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
    members : (k, 2) array of float and (k,) array of int, optional
        Where places are means of cells: the shots in them, m, and the cell of each.

    Returns
    -------
    Process
        Kernel, noise and scale by their restricted likelihood and a mild prior.

    Raises
    ------
    numpy.linalg.LinAlgError
        If the shots' covariance can't be decomposed.
    """
    trend = build_trend(places, outline)
    functions = trend.at(places)
    if members is not None:
        # a cell is wider than the strip along the forms, perhaps
        plan, cell = members
        strip = np.bincount(cell, weights=trend.at(plan)[:, 3]) / np.bincount(cell)
        functions = np.column_stack([functions[:, :3], strip])
    shots = Shots(places, readings, functions, max(floor, 1e-7))
    likely = find_likely(
        shots,
        spacing=float(np.sqrt(outline.area / len(places))),
        half=trend.half,
        bearing=find_bearing(places, outline),
    )
    found = [_weigh_finely(shots, each, trend, outline) for each in likely]
    log_chance, scale, forms, noise, mean, variance = (
        np.concatenate([getattr(each, name).ravel() for each in found])
        for name in ("log_chance", "scale", "forms", "noise", "mean", "variance")
    )
    number = np.repeat(np.arange(len(found)), [each.mean.size for each in found])
    chance = np.exp(log_chance - log_chance.max())
    chance /= chance.sum()
    is_kept = _find_likeliest(chance)
    chance = chance[is_kept] / chance[is_kept].sum()
    drawn = np.flatnonzero(is_kept)[draw(chance, _KEPT)]
    held, times = np.unique(drawn, return_counts=True)
    return Process(
        places=places,
        readings=readings,
        trend=trend,
        functions=functions,
        kernels=tuple(each.kernel for each in likely),
        spectra=tuple(each.spectrum for each in likely),
        chance=times / times.sum(),
        of_kernel=number[held],
        noise=noise[held],
        scale=scale[held],
        forms=forms[held],
        integral=Mixture(chance, mean[is_kept], np.sqrt(variance[is_kept])),
    )


def _weigh_finely(shots: Shots, likely: Likely, trend: Trend, outline: shapely.Geometry) -> Weighed:
    """Weigh noises and scales about the likeliest of a kernel, and the integral on each."""
    seen = likely.kernel.integrate(outline, np.concatenate([shots.places, trend.nodes]))
    count = len(shots.places)
    target = Target(trend.whole, seen[:count], float(trend.area_of @ seen[count:]))
    low, high = likely.noises
    made = weigh(
        shots,
        likely.spectrum,
        varied=likely.kernel.vary(trend.half),
        noises=np.geomspace(low, high, _NOISES),
        steps=_SCALES,
        target=target,
    )
    return replace(made, log_chance=made.log_chance + likely.log_share)


def _find_likeliest(chance: FloatArray) -> BoolArray:
    """Which combinations are not, all together, negligible."""
    order = np.argsort(chance, kind="stable")
    is_kept = np.ones(len(chance), bool)
    is_kept[order[np.cumsum(chance[order]) < _NEGLIGIBLE]] = False
    return is_kept


def draw(chance: FloatArray, count: int) -> IntArray:
    """Draw so many combinations, each as often as it is likely: (count,), sorted."""
    middle = (np.arange(count) + 0.5) / count
    upto = np.cumsum(chance)
    # to nine digits: the last ones hang on the order of the shots
    return np.minimum(np.searchsorted(np.round(upto / upto[-1], 9), middle), len(chance) - 1)

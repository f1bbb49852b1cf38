"""Evidence: how likely shots are under a process, and what its integral is then."""

from dataclasses import dataclass

import numpy as np

from gradevol.ground.arrays import FloatArray
from gradevol.uncertainty.kriging import Spectrum, Target
from gradevol.uncertainty.trend import AT_FORMS, AT_FORMS_CHANCE, FALL, NOT_AT_FORMS

#: What slabs on ground were found to spread about their mean thickness: 0.47 to 0.90 in standard
#: deviation over 2,000 and more cores (ASCC position statement 9, read in
#: concreteconstruction.net's article on slab thickness); the middle of it, m.
USUAL_SPREAD = 0.017
#: How little that is relied on: one standard deviation of the spread's logarithm, a factor of 3.
_SPREAD_DOUBT = 1.1
#: Standard deviations at the forms, and their chances beforehand, (2, 1, 1).
_FORMS = np.array([NOT_AT_FORMS, AT_FORMS])[:, None, None]
_FORMS_CHANCE = np.array([1 - AT_FORMS_CHANCE, AT_FORMS_CHANCE])[:, None, None]


@dataclass(frozen=True, slots=True)
class Shots:
    """
    What a process is fitted to.

    Attributes
    ----------
    places : (n, 2) array of float
        m.
    readings : (n,) array of float
        m.
    functions : (n, 4) array of float
        The trend's at each.
    floor : float
        Least standard deviation of a shot's noise, m.
    """

    places: FloatArray
    readings: FloatArray
    functions: FloatArray
    floor: float


@dataclass(frozen=True, slots=True)
class Weighed:
    """
    Combinations of what is off at the forms, noise and scale, under one kernel.

    Attributes
    ----------
    log_chance, scale, forms : (2, m, s) array of float
        Chance but for a constant; variance of the process, m²; standard deviation at the forms, m.
    noise : (2, m, s) array of float
        In units of the scale.
    mean, variance : (2, m, s) array of float
        Of the target, m³ and m⁶; without the part of the shots' own errors. Empty without one.
    """

    log_chance: FloatArray
    scale: FloatArray
    forms: FloatArray
    noise: FloatArray
    mean: FloatArray
    variance: FloatArray


def weigh(
    shots: Shots,
    spectrum: Spectrum,
    *,
    varied: float,
    noises: FloatArray,
    steps: int,
    target: Target | None = None,
) -> Weighed:
    """
    Weigh combinations of hyperparameters by the restricted likelihood of shots and a mild prior.

    Parameters
    ----------
    shots : Shots
    spectrum : Spectrum
        Of the kernel between shots.
    varied : float
        What the process varies over half the extent, in units of its variance.
    noises : (m,) array of float
        Variance of a reading's noise in units of `varied`, even in the logarithm.
    steps : int
        Scales tried with each noise, three times as many with few shots.
    target : Target, optional
        The integral that is asked for.

    Notes
    -----
    The plane's precision is in units of the scale, so it is taken out once a noise; what is left
    is what is off at the forms, one number of known precision, in closed form for each scale.
    """
    noise = noises * varied
    shrink = 1 / (spectrum.values + noise[:, None])
    asked = np.zeros(len(shots.readings)) if target is None else target.covariance
    turned = spectrum.vectors.T @ np.column_stack([shots.functions, shots.readings, asked])
    pairs = (turned[:, :, None] * turned[:, None]).reshape(len(turned), -1)
    held = (shrink @ pairs).reshape(len(noise), 6, 6)
    plane = held[:, :3, :3] + np.diag([0, 1, 1]) / (FALL**2 * varied)
    by_plane = np.linalg.solve(plane, held[:, :3, 3:])
    # forms, readings and target once the plane is taken out of them
    left = held[:, 3:, 3:] - np.swapaxes(held[:, :3, 3:], 1, 2) @ by_plane
    told, with_forms = left[:, 0, 0][:, None], left[:, 0, 1][:, None]
    misfit = np.maximum(left[:, 1, 1], 1e-14 * len(asked))[:, None]
    free = np.maximum(misfit - with_forms**2 / (told + 1e-9 * held[:, :1, 0]), 1e-3 * misfit)
    log_scale = _try_scales(
        misfit, free, len(asked) - 1, least=shots.floor**2 / noise, varied=varied, steps=steps
    )
    scale = np.exp(log_scale)
    precise = told / scale + 1 / _FORMS**2
    log_volume = np.linalg.slogdet(plane)[1] - np.log(shrink).sum(axis=1)
    usual = np.log(USUAL_SPREAD**2 / varied)
    log_chance = (
        np.log(_FORMS_CHANCE)
        - ((len(asked) - 1) * log_scale + misfit / scale + log_volume[:, None]) / 2
        + (with_forms / scale) ** 2 / precise / 2
        - np.log(precise * _FORMS**2) / 2
        - np.log(varied)  # the plane's precision is in units of the scale: so is its determinant
        - ((log_scale - usual) / (2 * _SPREAD_DOUBT)) ** 2 / 2
        + np.log(log_scale[:, 1] - log_scale[:, 0])[:, None]
        + np.log(np.log(noises[1] / noises[0]) if len(noises) > 1 else 1.0)
    )
    shape = log_chance.shape
    mean = variance = np.zeros((*shape[:2], 0))
    if target is not None:
        whole = target.trend - held[:, :4, 5]
        lacking = np.einsum("mq,mqk->mk", whole[:, :3], by_plane)
        more = ((whole[:, 3] - lacking[:, 0])[:, None]) / precise
        mean = (held[:, 4, 5] + lacking[:, 1])[:, None] + more * with_forms / scale
        gained = np.linalg.solve(plane, whole[:, :3, None])[..., 0]
        known = target.variance - held[:, 5, 5] + (whole[:, :3] * gained).sum(axis=1)
        first = shrink * (turned[:, 5] + gained @ turned[:, :3].T)
        second = shrink * (turned[:, 3] - by_plane[..., 0] @ turned[:, :3].T)
        by = more / scale
        own = (
            (first**2).sum(axis=1)[:, None]
            + 2 * by * (first * second).sum(axis=1)[:, None]
            + by**2 * (second**2).sum(axis=1)[:, None]
        )
        variance = scale * known[:, None] + more**2 * precise - shots.floor**2 * own
        variance = np.maximum(variance, 0.0)
    return Weighed(
        log_chance,
        np.broadcast_to(scale, shape),
        np.broadcast_to(_FORMS, shape),
        np.broadcast_to(noise[:, None], shape),
        mean,
        variance,
    )


def _try_scales(
    misfit: FloatArray,
    least_misfit: FloatArray,
    free: int,
    *,
    least: FloatArray,
    varied: float,
    steps: int,
) -> FloatArray:
    """
    Logarithms of the scales tried with each noise: (m, s).

    About the likeliest values by the shots, with and without what is off at the forms; never
    where the noise would be less than the shots' own.
    """
    low, high = np.log(least_misfit[:, 0] / free), np.log(misfit[:, 0] / free)
    spread = 4.5 * np.sqrt(2 / free)
    if free < 10:
        usual = np.log(USUAL_SPREAD**2 / varied)
        spread, steps = 5 * np.sqrt(2 / free), 3 * steps
        low, high = np.minimum(low, usual), np.maximum(high, usual)
    start = np.maximum(low - spread, np.log(least))
    end = np.maximum(high + spread, start + spread)
    return start[:, None] + (end - start)[:, None] * np.linspace(0, 1, steps)

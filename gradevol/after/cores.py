"""Cores: the thickness to be expected where one is taken, and what those taken tell."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from gradevol.after.errors import Cause, covariance_of, load_places
from gradevol.after.finished import FLATNESS, Finished
from gradevol.after.ground import Ground
from gradevol.files.cores import Core
from gradevol.geometry.nearest import nearest_level
from gradevol.ground.arrays import FloatArray
from gradevol.site.thickening import drawn_depth
from gradevol.uncertainty.interpolation import WIDEST_SPREAD
from gradevol.uncertainty.posterior import condition_on_shots, draw_combinations
from gradevol.uncertainty.process import Process

#: One standard deviation of a core's length as measured, m: reported to the nearest 0.1 in (ASTM
#: C174, from memory). A judgement, no source.
CORE_SIGMA = 0.0015
#: Cores that would be as far off as this by chance less often are not believed.
_INCREDIBLE = 0.001
#: Likely processes that are drawn.
_DRAWN = 16


@dataclass(frozen=True, slots=True)
class Predicted:
    """
    A core, and what was to be expected of it.

    Attributes
    ----------
    core : Core
        Its place about the job's origin, m.
    thickness : float
        As predicted, m.
    sigma : float
        One standard deviation of a measured length about it, m.
    low, high : float
        Between what it lies with the job's chance, m.
    """

    core: Core
    thickness: float
    sigma: float
    low: float
    high: float

    @property
    def is_within(self) -> bool | None:
        """Whether the length as measured lies in the interval; None where there is none."""
        if self.core.length is None:
            return None
        return self.low <= self.core.length <= self.high


@dataclass(frozen=True, slots=True)
class Correction:
    """
    What measured cores make of the rows of base and top.

    Attributes
    ----------
    moved : (2,) array of float
        Added to base and top, m³.
    covariance : (2, 2) array of float
        Of the two after it, m⁶.
    count : int
        Cores that were measured.
    is_credible : bool
        Whether they are as near to what was predicted as cores are; if not, they move nothing.
    """

    moved: FloatArray
    covariance: FloatArray
    count: int
    is_credible: bool = True


def predict_cores(
    cores: Sequence[Core],
    causes: tuple[Cause, ...],
    ground: Ground,
    finished: Finished | None,
) -> tuple[tuple[Predicted, ...], Correction]:
    """
    Predict cores, and learn from those that were measured.

    Parameters
    ----------
    cores : sequence of Core
        About the job's origin.
    causes : tuple of Cause
        From `list_causes`.
    ground : Ground
    finished : Finished or None

    Returns
    -------
    tuple of Predicted
    Correction
        Exact for what is normally distributed: the rows given the cores.
    """
    places = np.array([core.place for core in cores]).reshape(-1, 2)
    mean, covariance, with_whole = _describe_base(places, ground)
    loads = load_places(causes, places, survey=ground.survey, finished=finished)
    rough = CORE_SIGMA**2 + (finished.local if finished else FLATNESS) ** 2
    covariance = covariance + loads.T @ loads + rough * np.eye(len(places))
    if finished is not None:
        mean = mean + nearest_level(finished.surface.corners, places)
    spread = np.sqrt(np.diag(covariance))
    reach = NormalDist().inv_cdf((1 + ground.interval.level) / 2) * spread
    predicted = tuple(
        Predicted(core, *values)
        for core, *values in zip(
            cores, *(v.tolist() for v in (mean, spread, mean - reach, mean + reach)), strict=True
        )
    )
    rows = np.array([(cause.base, cause.top) for cause in causes]).reshape(-1, 2)
    with_rows = rows.T @ loads + np.vstack([with_whole, np.zeros(len(places))])
    taken = [number for number, core in enumerate(cores) if core.length is not None]
    off = np.array([cores[number].length for number in taken], float) - mean[taken]
    return predicted, _correct(
        covariance_of(causes), with_rows[:, taken], covariance[np.ix_(taken, taken)], off
    )


def _correct(
    rows: FloatArray, with_cores: FloatArray, cores: FloatArray, off: FloatArray
) -> Correction:
    """Condition the rows on how far cores are off what was predicted."""
    if not len(off):
        return Correction(np.zeros(2), rows, 0)
    from scipy.special import gammaincc  # noqa: PLC0415  (slow to load)

    gain = np.linalg.solve(cores, with_cores.T).T
    misfit = float(off @ np.linalg.solve(cores, off))
    if gammaincc(len(off) / 2, misfit / 2) < _INCREDIBLE:
        return Correction(np.zeros(2), rows, len(off), is_credible=False)
    return Correction(gain @ off, rows - gain @ with_cores.T, len(off))


def _describe_base(places: FloatArray, ground: Ground) -> tuple[FloatArray, FloatArray, FloatArray]:
    """
    Describe the thickness under the design top, apart from what all shots share.

    It (k,), its covariance (k, k), and that with the volume (k,).
    """
    slab, survey, field, between = ground.slab, ground.survey, ground.field, ground.between
    beams = drawn_depth(slab, places)
    process = between.process
    if process is None or not survey.ids:
        # a cloud saw the base everywhere; a few shots say no more than the nearest of them
        local = survey.sigma**2 + between.unevenness if process else WIDEST_SPREAD**2
        drawn = beams - drawn_depth(slab, places, of=["yes"])
        shown = nearest_level(np.dstack([field.corners, field.thickness]), places)
        return shown + drawn, local * np.eye(len(places)), np.zeros(len(places))
    mean, covariance, with_whole = _condition(process, places, ground)
    return slab.thickness + beams - mean, covariance, with_whole


def _condition(
    process: Process, places: FloatArray, ground: Ground
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Mean, covariance and covariance with the whole of the base's departure, over processes."""
    between = ground.between
    own = (ground.survey.sigma**2 + between.unevenness) / between.size
    drawn = draw_combinations(process, _DRAWN)
    found = condition_on_shots(process, places, ground.outline, drawn=drawn)
    chance = np.array([each.chance for each in found])
    means = np.array([each.mean for each in found])
    mean = chance @ means
    covariance = (chance[:, None] * (means - mean)).T @ (means - mean)
    every = np.arange(len(places))
    for each in found:
        uneven = max(each.noise - own, 0.0) + between.unevenness
        covariance = covariance + each.chance * (
            each.covariance(every) + uneven * np.eye(len(places))
        )
    with_whole = chance @ np.array([each.with_whole for each in found])
    return mean, covariance, with_whole

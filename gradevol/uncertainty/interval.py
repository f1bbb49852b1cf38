"""The interval of the volume: what single shots, the gaps between them, the datum and the top add.

Each of the four is a standard deviation of its own; see ``docs/explanation/interval.md``.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from gradevol.ground.notes import Note
from gradevol.measures.base import BaseSurface
from gradevol.measures.field import ThicknessField
from gradevol.site.survey import Survey
from gradevol.site.top import TOP_SIGMA
from gradevol.uncertainty.interpolation import Between
from gradevol.uncertainty.mixture import Mixture
from gradevol.uncertainty.sensitivity import measure_shares, spread_of_datum, sum_by_setup
from gradevol.uncertainty.top_shots import TopShots

_NO_SETUPS: Mapping[str, float] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Interval:
    """
    Between what the concrete's volume lies, and what makes it unsure.

    Attributes
    ----------
    level : float
        Chance that the volume lies between `low` and `high`, 0 to 1.
    low, high : float
        m³.
    shots : float
        One standard deviation from the random errors of single shots, m³.
    between_shots : float
        From what the base does between the shots and beyond them, m³.
    datum : float
        From what the shots of a setup, or all of them, share, m³.
    top : float
        From the finished top's mean level, and from what its own shots leave open, m³.
    stated : float
        The volume as the TIN has it, m³.
    volume : Mixture
        The distribution of the volume, for other levels.
    top_sigma : float
        One standard deviation of the finished top's mean level, m.
    is_top_stated : bool
        Whether the job states it.
    without_shared : (float, float) or None
        Between what it would lie but for the datum and the top, m³.
    closed : mapping of str to float
        By how much the setups did not close that base and top were shot from, m.
    top_shots : TopShots or None
        What the top's own shots leave open; None where it is drawn.
    """

    level: float
    low: float
    high: float
    shots: float
    between_shots: float
    datum: float
    top: float
    stated: float
    volume: Mixture = field(repr=False)
    notes: tuple[Note, ...] = ()
    top_sigma: float = TOP_SIGMA
    is_top_stated: bool = False
    without_shared: tuple[float, float] | None = None
    closed: Mapping[str, float] = field(default_factory=dict)
    top_shots: TopShots | None = None


def estimate_interval(
    thickness: ThicknessField,
    base: BaseSurface,
    survey: Survey,
    between: Between,
    *,
    stated: float,
    level: float = 0.9,
    top_sigma: float | None = None,
    top_setups: Mapping[str, float] = _NO_SETUPS,
    top_closed: Mapping[str, float] = _NO_SETUPS,
    top_shots: TopShots | None = None,
) -> Interval:
    """
    Estimate between what the volume lies.

    Parameters
    ----------
    thickness : ThicknessField
    base : BaseSurface
    survey : Survey
        With the accuracy of its shots.
    between : Between
        From `fit_between`.
    stated : float
        The volume as the TIN has it, m³.
    level : float
        Of the interval, 0 to 1 exclusive.
    top_sigma : float, optional
        One standard deviation of the finished top's mean level, m; `TOP_SIGMA` where left out.
    top_setups : mapping of str to float
        Area of the top by the setup it was measured from (`shares.share_out_top`), m².
    top_closed : mapping of str to float
        By how much those did not close, m, where the base does not say it.
    top_shots : TopShots, optional
        What the top's own shots leave open (`study_top`).

    Returns
    -------
    Interval
        The stated volume lies within it.
    """
    shares = measure_shares(thickness, base) if between.shares is None else between.shares
    area = float(shares.sum())
    count = np.bincount(base.place, minlength=base.used)
    shots = survey.sigma * float(np.sqrt((shares**2 / count).sum()))
    setups = _NO_SETUPS if survey.depths is not None else top_setups
    of_base = sum_by_setup(shares, base, survey)
    closed = {
        name: off
        for name, off in {**top_closed, **survey.misclosures}.items()
        if name in of_base or name in setups
    }
    datum = np.hypot(
        spread_of_datum(of_base, setups, survey.datum_sigma, closed), area * survey.foot_sigma
    )
    finish = area * (TOP_SIGMA if top_sigma is None else top_sigma)
    if top_shots is not None:
        finish = float(np.hypot(finish, top_shots.both))

    volume = between.volume.widen(float(np.hypot(np.hypot(shots, datum), finish)))
    low, high = find_bounds(volume, stated, level)
    return Interval(
        level=level,
        low=low,
        high=high,
        shots=shots,
        between_shots=float(np.sqrt(between.volume.variance)),
        datum=float(datum),
        top=finish,
        stated=stated,
        volume=volume,
        notes=between.notes,
        top_sigma=TOP_SIGMA if top_sigma is None else top_sigma,
        is_top_stated=top_sigma is not None,
        without_shared=find_bounds(between.volume.widen(shots), stated, level),
        closed=closed,
        top_shots=top_shots,
    )


def find_bounds(volume: Mixture, stated: float, level: float) -> tuple[float, float]:
    """Between what a volume lies with a chance, m³, not under nought; the stated one within."""
    low, high = (volume.quantile(chance) for chance in ((1 - level) / 2, (1 + level) / 2))
    return min(max(low, 0.0), stated), max(high, stated)

"""What base and top share: errors that are in both, or in all of one, counted once."""

import math
from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.after.finished import Finished
from gradevol.after.ground import Ground
from gradevol.ground.arrays import FloatArray
from gradevol.site.survey import Survey
from gradevol.uncertainty.sensitivity import measure_shares, share_out_top, sum_by_setup

#: What an error comes from, in the order in which they are told.
INSTRUMENT, FOOT, BETWEEN, SHOTS, TOP, TOP_SHOTS = (
    "instrument",
    "foot",
    "between",
    "shots",
    "top",
    "top_shots",
)


@dataclass(frozen=True, slots=True)
class Cause:
    """
    One independent cause of error, and what one standard deviation of it makes.

    Attributes
    ----------
    kind : str
        ``instrument`` (what the shots of a setup share), ``foot`` (how the rod stands on the
        base), ``between`` (the base between the shots), ``shots`` (single shots on it), ``top``
        (the mean of a top that nobody shot), ``top_shots`` (single shots on the finished top).
    base, top : float
        Of the rows of those names, m³, with its sign.
    setup : str
        Of an instrument's.
    sigma : float
        What it moves the base, or the finished top, m; 0 where it moves places apart.
    """

    kind: str
    base: float
    top: float
    setup: str = ""
    sigma: float = 0.0


def list_causes(ground: Ground, finished: Finished | None) -> tuple[Cause, ...]:
    """
    List what makes base and top unsure.

    Parameters
    ----------
    ground : Ground
    finished : Finished or None
        The finished top, where it was shot.

    Notes
    -----
    The base's row is the design top less the base, the top's the finished top less the design. What
    an instrument adds to all shots of a setup is in each by the area that those shots stand for: of
    base and finished top from one setup nothing is left in the sum of the two rows. A rod's foot
    sinks between stones of the base, and not into hard concrete: it is in the base alone.
    """
    survey, interval = ground.survey, ground.interval
    shares = measure_shares(ground.field, ground.base)
    under = sum_by_setup(shares, ground.base, survey)
    whole = {} if survey.depths is not None else share_out_top(ground.design, ground.slab)
    share = ground.area / ground.slab.area
    drawn = {name: share * area for name, area in whole.items()}
    over = finished.setups if finished else {}
    causes = [
        Cause(
            INSTRUMENT,
            sigma * (drawn.get(name, 0.0) - under.get(name, 0.0)),
            sigma * (over.get(name, 0.0) - drawn.get(name, 0.0)) if finished else 0.0,
            name,
            sigma,
        )
        for name, sigma in _list_setups({*under, *drawn}, ground, finished).items()
    ]
    area = float(shares.sum())
    if survey.foot_sigma:
        causes.append(Cause(FOOT, -area * survey.foot_sigma, 0.0, sigma=survey.foot_sigma))
    causes += [Cause(BETWEEN, interval.between_shots, 0.0), Cause(SHOTS, interval.shots, 0.0)]
    if finished is None:
        causes.append(Cause(TOP, 0.0, interval.top, sigma=interval.top_sigma))
    else:
        causes.append(Cause(TOP_SHOTS, 0.0, finished.random))
    return tuple(causes)


def _list_setups(names: set[str], ground: Ground, finished: Finished | None) -> dict[str, float]:
    """One standard deviation of what each setup shares, m: what it did not close by is in it."""
    found = dict.fromkeys(sorted(names), ground.survey.datum_sigma)
    closed = ground.interval.closed
    if finished is not None:
        closed = {**finished.survey.misclosures, **closed}
        for name in sorted(finished.setups):
            found.setdefault(name, finished.survey.datum_sigma)
    return {name: math.hypot(sigma, closed.get(name, 0.0)) for name, sigma in found.items()}


def covariance_of(causes: tuple[Cause, ...]) -> FloatArray:
    """Covariance of the rows of base and top, (2, 2), m⁶."""
    loads = np.array([(cause.base, cause.top) for cause in causes]).reshape(-1, 2)
    return np.asarray(loads.T @ loads)


def load_places(
    causes: tuple[Cause, ...],
    places: FloatArray,
    *,
    survey: Survey,
    finished: Finished | None,
) -> FloatArray:
    """
    Say what each cause makes of the thickness at places.

    Parameters
    ----------
    causes : tuple of Cause
    places : (k, 2) array of float
        m.
    survey : Survey
        The base's: a place has the error of the setup of the nearest shot.
    finished : Finished or None
        Likewise of the finished top.

    Returns
    -------
    (c, k) array of float
        One standard deviation of each cause, m; 0 where a cause moves places apart.
    """
    below = _setups_at(places, survey)
    above = _setups_at(places, finished.survey) if finished else ("",) * len(places)
    made = np.zeros((len(causes), len(places)))
    for number, cause in enumerate(causes):
        if cause.kind == FOOT:
            made[number] = -cause.sigma
        elif cause.kind == TOP:
            made[number] = cause.sigma
        elif cause.kind == INSTRUMENT:
            is_below = np.array([name == cause.setup for name in below], float)
            is_above = np.array([finished is not None and n == cause.setup for n in above], float)
            made[number] = cause.sigma * (is_above - is_below)
    return made


def _setups_at(places: FloatArray, survey: Survey) -> tuple[str, ...]:
    """Setup of the shot that is nearest to each place; blank where none is known."""
    if not survey.setups:
        return ("",) * len(places)
    tree = shapely.STRtree(shapely.points(survey.points[:, :2]))
    nearest = tree.nearest(shapely.points(places))
    return tuple(survey.setups[index] for index in np.atleast_1d(nearest).tolist())

"""Screening: shots that disagree with their neighbours, and the slip that would explain it."""

import re
from dataclasses import dataclass

import numpy as np

from gradevol.geometry.spread import robust_spread
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.ground.units import METRES
from gradevol.site.survey import Survey

#: Neighbours that a shot is compared with.
NEIGHBOURS = 8
#: A shot is suspect where it leaves its neighbours' plane by this many robust standard deviations.
#: Common practice, no source; chosen so that a ridge of real ground is left alone.
LIMIT = 4.5
#: No difference below this is called suspect, m: an eighth of an inch is grading, not a slip.
LEAST_DIFFERENCE = 0.009
#: Neighbours nearer than this weigh alike, m: a shot at the same place is one among others.
_SAME_PLACE = 0.05


@dataclass(frozen=True, slots=True)
class Suspect:
    """
    A shot that disagrees with its neighbours; it is reported, never dropped.

    Attributes
    ----------
    index : int
        The shot, in the survey.
    expected : float
        Elevation that its neighbours lead one to expect, m, as booked (not raised).
    difference : float
        Booked less expected, m.
    slip : str
        The likely slip in words; empty where none fits.
    """

    index: int
    expected: float
    difference: float
    slip: str


def find_suspects(survey: Survey, raised: FloatArray) -> tuple[Suspect, ...]:
    """
    Find the shots that leave the plane of their neighbours.

    Parameters
    ----------
    survey : Survey
        With ids; a cloud has no single shots to suspect.
    raised : (n,) array of float
        By how much each shot was raised to speak of the slab's underside, m.

    Returns
    -------
    tuple of Suspect
        Worst first.

    Notes
    -----
    Each shot is predicted by a plane through its nearest neighbours, weighted by the inverse
    square of their distance; the residual is divided by what the weights make of single errors,
    and by the median residual of all. The worst is taken out of its neighbours' predictions
    before they are judged, so that one slip does not accuse them.
    """
    count = len(survey.points)
    if not survey.ids or count < NEIGHBOURS + 2:
        return ()
    # taken by place, so that of neighbours equally near the order of the shots picks none
    east, north, up = np.round(survey.points, 6).T
    shot = np.lexsort((up, north, east))
    level = survey.points[shot, 2] + raised[shot]
    plan = survey.points[shot, :2]
    near = _nearest(plan, min(count - 1, 3 * NEIGHBOURS))
    is_trusted = np.ones(count, bool)
    residual, scaled = _judge(plan, level, near, is_trusted, np.arange(count))
    found: list[int] = []
    while len(found) < max(1, count // 10):
        spread = robust_spread(scaled[is_trusted])
        spread = max(spread, survey.sigma, 0.001)
        score = np.where(is_trusted, np.abs(scaled) / spread, 0)
        worst = int(np.argmax(score))
        if score[worst] < LIMIT:
            break
        is_trusted[worst] = False
        if abs(residual[worst]) >= LEAST_DIFFERENCE:
            found.append(worst)
        touched = np.flatnonzero((near == worst).any(axis=1) & is_trusted)
        residual[touched], scaled[touched] = _judge(plan, level, near, is_trusted, touched)
    tolerance = max(2 * spread, 0.004)
    return tuple(
        _describe(survey, int(shot[at]), float(residual[at]), tolerance)
        for at in sorted(found, key=lambda at: -abs(residual[at]))
    )


def _describe(survey: Survey, index: int, difference: float, tolerance: float) -> Suspect:
    reading = survey.readings[index] if survey.readings else ""
    return Suspect(
        index=index,
        expected=float(survey.points[index, 2] - difference + survey.origin[2]),
        difference=difference,
        slip=name_slip(
            difference, reading, survey.reading_unit, tolerance, is_read_down=survey.is_read_down
        ),
    )


def _nearest(plan: FloatArray, count: int) -> IntArray:
    """Indices of each point's nearest others, (n, count), nearest first, of equals the first."""
    if len(plan) <= 1500:
        away = np.hypot(*(plan[:, None] - plan[None]).transpose(2, 0, 1))
        np.fill_diagonal(away, np.inf)
        return np.argsort(np.round(away, 6), axis=1, kind="stable")[:, :count].astype(np.intp)
    from scipy.spatial import cKDTree  # noqa: PLC0415

    away, near = cKDTree(plan).query(plan, min(len(plan), 2 * count))
    # a tree names equals in an order of its own: those as near as the last one wanted are there too
    by_index = np.argsort(near, axis=1, kind="stable")
    away, near = (np.take_along_axis(found, by_index, axis=1) for found in (away, near))
    away[near == np.arange(len(plan))[:, None]] = np.inf
    order = np.argsort(np.round(away, 6), axis=1, kind="stable")[:, :count]
    return np.take_along_axis(near, order, axis=1).astype(np.intp)


def _judge(
    plan: FloatArray, level: FloatArray, near: IntArray, is_trusted: BoolArray, which: IntArray
) -> tuple[FloatArray, FloatArray]:
    """Residual of shots from their neighbours' plane, m, and the same scaled to single errors."""
    candidates = near[which]
    order = np.argsort(~is_trusted[candidates], axis=1, kind="stable")[:, :NEIGHBOURS]
    others = np.take_along_axis(candidates, order, axis=1)
    off = plan[others] - plan[which][:, None]
    away = np.maximum(np.hypot(off[..., 0], off[..., 1]), _SAME_PLACE)
    share = away.min(axis=1, keepdims=True) / away  # √ of 1/d², scaled
    design = np.concatenate(
        [np.ones((*off.shape[:2], 1)), off / away.max(axis=1)[:, None, None]], 2
    )
    weights = np.linalg.pinv(design * share[..., None], rcond=1e-6)[:, 0] * share
    residual = level[which] - (weights * level[others]).sum(axis=1)
    return residual, residual / np.sqrt(1 + (weights**2).sum(axis=1))


def name_slip(
    difference: float, reading: str, unit: str, tolerance: float, *, is_read_down: bool = False
) -> str:
    """
    Name the slip that would explain a difference.

    Parameters
    ----------
    difference : float
        Booked less expected, m.
    reading : str
        The elevation, rod reading or depth as it was written; empty where not known.
    unit : str
        Its unit, a key of `units.METRES`.
    tolerance : float
        How near a slip must come, m.
    is_read_down : bool
        Whether a larger reading is a lower place, as on a rod.

    Returns
    -------
    str
        In words; empty where none fits.
    """
    way = "high" if difference > 0 else "low"
    sign = -1 if is_read_down else 1
    found: list[tuple[float, str]] = []
    whole = (
        ((1.0, "a metre"), (0.1, "a decimetre"))
        if unit in {"m", "mm"}
        else ((0.3048, "a foot"), (0.03048, "a tenth of a foot"))
    )
    for size, name in whole:
        found.append((abs(abs(difference) - size), f"reads like {name} misread, too {way}"))
    match = re.fullmatch(r"[+-]?(\d+)(?:[.,](\d+))?", reading.strip())
    if match and unit in METRES:
        digits, decimals = match[1] + (match[2] or ""), len(match[2] or "")
        for at in range(len(digits) - 1):
            swapped = digits[:at] + digits[at + 1] + digits[at] + digits[at + 2 :]
            if swapped != digits:
                off = sign * (int(digits) - int(swapped)) / 10**decimals * METRES[unit]
                words = f"reads like two digits changed places ({_show(swapped, decimals)} meant)"
                found.append((abs(difference - off), words))
        if match[2] and unit in {"ft", "us-ft"} and 0 < int(match[2]) < 12:
            off = sign * (int(match[2]) / 10**decimals - int(match[2]) / 12) * METRES[unit]
            words = f"reads like inches booked as decimals ({match[1]} ft {int(match[2])} in meant)"
            found.append((abs(difference - off), words))
    miss, words = min(found, default=(np.inf, ""))
    return words if miss <= min(tolerance, abs(difference) / 2) else ""


def _show(digits: str, decimals: int) -> str:
    return f"{digits[:-decimals]}.{digits[-decimals:]}" if decimals else digits

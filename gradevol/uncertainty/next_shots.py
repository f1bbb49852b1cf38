"""Next shots: where a few more would narrow the volume most, and best settle what is thin.

How they are chosen is told in ``docs/explanation/next-shots.md``.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gradevol.geometry.even_places import spread_places
from gradevol.geometry.neighbours import ask_nearest, measure_apart
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.ground.notes import Note
from gradevol.ground.units import SQUARE_FOOT
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.thickening import drawn_depth
from gradevol.uncertainty.advice import (
    NO_ROOM,
    SEEN,
    advise_on_volume,
    say_settled,
    say_unlikely,
)
from gradevol.uncertainty.interpolation import Between
from gradevol.uncertainty.interval import Interval, find_bounds
from gradevol.uncertainty.mixture import Mixture
from gradevol.uncertainty.next_for_thin import NEGLIGIBLE, find_doubt, settle_doubt
from gradevol.uncertainty.next_for_volume import narrow_integral
from gradevol.uncertainty.posterior import condition_on_shots, draw_combinations
from gradevol.uncertainty.unseen import stand_off_rows

#: Shots asked for, of each kind: what a crew takes on a last round. Common practice, no source.
MOST = 5
#: Five shots that narrow the interval by less than this share of it are not asked for. Common
#: practice, no source.
LEAST_NARROWING = 0.05
#: A volume known to no more than this either way, m³, is to be narrowed no further: a barrow
#: holds more. Common practice, no source.
LEAST_HALF = 0.02
#: A shot that settles less area than this is not asked for, m²: 1 ft². Common practice, no source.
LEAST_AREA = SQUARE_FOOT
#: A place likelier to be thin than this is no place for a shot: the base is cut there first.
LIKELY = 0.5
#: How places are taped, m: to the tenth of a metre, to half a foot. Common practice, no source.
TENTH, HALF_FOOT = 0.1, 0.1524
#: Shares of the shots' mean spacing: no new place is nearer to a shot than the one, and no two of
#: them nearer to one another than the other.
_NEAR, _APART = 0.25, 0.5
#: Likely combinations of hyperparameters that are averaged over.
_DRAWN = 12
#: Places tried: this many a shot, but no fewer and no more than these.
_EACH, _FEWEST, _MOST_PLACES = 16, 400, 1200


@dataclass(frozen=True, slots=True)
class NextShot:
    """
    A place to shoot.

    Attributes
    ----------
    at : (float, float)
        Easting, northing about the survey's origin, m.
    gain : float
        For the volume: by how much half of the interval's width is expected to shrink, m³. For thin
        concrete: area that is expected to be open no longer, m². Each beyond what those before it
        do.
    chance : float or None
        Of thin concrete there, 0 to 1, before any more is shot; None among those for the volume.
    """

    at: tuple[float, float]
    gain: float
    chance: float | None = None


@dataclass(frozen=True, slots=True)
class NextShots:
    """
    Where to shoot next, the most telling place first.

    Attributes
    ----------
    half_width : float
        Half of the interval's width as it is, m³.
    open_area : float or None
        Area on which thin concrete can neither be ruled out nor be counted on: its chance is
        between `doubt.NEGLIGIBLE` and one less it, m². None where it was not studied.
    volume, thin : tuple of NextShot
        Five of each at most. What serves both is in both, at one place; others stand apart.
    advice : tuple of Note
        Why a list is empty, and what would help instead.
    """

    half_width: float
    open_area: float | None
    volume: tuple[NextShot, ...] = ()
    thin: tuple[NextShot, ...] = ()
    advice: tuple[Note, ...] = ()


def plan_next_shots(
    between: Between,
    survey: Survey,
    slab: Slab,
    interval: Interval,
    *,
    step: float,
    suspects: Sequence[int] = (),
) -> NextShots | None:
    """
    Plan where to shoot next.

    Parameters
    ----------
    between : Between
        From `fit_between`.
    survey : Survey
    slab : Slab
    interval : Interval
        The volume's.
    step : float
        Places are whole multiples of it off the slab's longest side and its start, m.
    suspects : sequence of int
        Shots that are to be taken again anyway: where thin concrete is looked for, their readings
        are left out.

    Returns
    -------
    NextShots or None
        None where the shots tell too little of the base between them. Without a place, but with
        the reason, where points have no names: the base was seen everywhere.
    """
    half_width = (interval.high - interval.low) / 2
    if not survey.ids:
        return NextShots(half_width, None, advice=(SEEN,))
    if between.process is None:
        return None
    process = between.process
    count = int(np.clip(_EACH * len(process.places), _FEWEST, _MOST_PLACES))
    places = spread_places(slab.edge, slab.outline, count=count, step=step)
    spacing = float(np.sqrt(between.region.area / len(process.places)))
    is_free = ask_nearest(survey.points[:, :2])(places) >= _NEAR * spacing
    if not is_free.any():
        return NextShots(half_width, None, advice=(NO_ROOM,))
    again = _match(survey.points[list(suspects), :2], process.places)
    known = condition_on_shots(
        process,
        np.concatenate([places, process.places[again]]),
        between.region,
        drawn=draw_combinations(process, _DRAWN),
        size=between.size,
    )
    apart = _APART * spacing
    doubt = find_doubt(known, _find_limit(places, slab), readings=process.readings[again])
    area_of, open_area = slab.area / len(places), 0.0
    for_thin: list[int] = []
    thin: tuple[NextShot, ...] = ()
    if doubt.chance.max() < NEGLIGIBLE:
        advice = [say_unlikely(slab)]
    else:
        open_area = area_of * float(doubt.is_open.sum())
        # what is likelier thin than not is work already, and is shot again once it is done
        is_unsure = is_free & (doubt.chance <= LIKELY)
        for_thin, settled = settle_doubt(known, doubt, places, is_unsure, most=MOST, near=apart)
        gain = area_of * np.array(settled)
        # what little the later ones would settle is not worth their while
        for_thin = for_thin[: int(np.argmin([*(gain >= LEAST_AREA), False]))]
        thin = _make_shots(places[for_thin], gain[: len(for_thin)], doubt.chance[for_thin])
        advice = [] if thin else [say_settled(LEAST_AREA)]

    if half_width <= LEAST_HALF:
        return NextShots(half_width, open_area, thin=thin, advice=tuple(advice))
    # shots in line with the rows would leave unseen what lies between them
    is_staggered = is_free & stand_off_rows(between.rows, places)
    is_open = is_staggered if is_staggered.any() else is_free
    # near a shot for thin concrete that one serves for both
    is_open = is_open & (measure_apart(places, places[for_thin]) >= apart).all(axis=1)
    is_open[for_thin] = True
    picked, share = narrow_integral(known, places, is_open, most=MOST, near=apart)
    halves = np.array([_halve(between, interval, gone) for gone in (0.0, *share.tolist())])
    volume: tuple[NextShot, ...] = ()
    if halves[-1] > (1 - LEAST_NARROWING) * halves[0]:
        advice.insert(0, advise_on_volume(interval, halves[-1], len(picked), survey))
    else:
        volume = _make_shots(places[picked], -np.diff(halves))
    return NextShots(half_width, open_area, volume, thin, tuple(advice))


def _find_limit(places: FloatArray, slab: Slab) -> FloatArray:
    """How far the base may stand above its design at places before concrete is thin there, m."""
    return slab.thickness - slab.least_thickness + drawn_depth(slab, places, of=["yes"])


def _make_shots(
    places: FloatArray, gains: FloatArray, chances: FloatArray | None = None
) -> tuple[NextShot, ...]:
    told = [None] * len(places) if chances is None else chances.tolist()
    return tuple(
        NextShot((east, north), gain, chance)
        for (east, north), gain, chance in zip(places.tolist(), gains.tolist(), told, strict=True)
    )


def _match(suspects: FloatArray, places: FloatArray) -> IntArray:
    """Readings of the process that are suspect shots; those thinned to cells are not found."""
    if not len(suspects):
        return np.zeros(0, np.intp)
    apart = measure_apart(suspects, places)
    return np.flatnonzero(apart.min(axis=0) < 1e-3)


def _halve(between: Between, interval: Interval, share: float) -> float:
    """
    Half of the interval's width once a share of what is open between the shots is gone, m³.

    What the combinations disagree about, and by how much the triangles leave the process, is open
    between the shots too, and shrinks with it.
    """
    volume = between.volume
    rest = np.sqrt(max(interval.volume.variance - volume.variance, 0.0))
    left = np.sqrt(1 - share)
    mean, stated = (
        volume.middle + left * (value - volume.middle) for value in (volume.mean, interval.stated)
    )
    kept = Mixture(volume.chance, np.asarray(mean), left * volume.sd).widen(float(rest))
    low, high = find_bounds(kept, float(stated), interval.level)
    return (high - low) / 2

"""The interval of the volume: what single shots, the gaps between them, the datum and the top add.

Each of the four is a standard deviation of its own; see ``docs/explanation/interval.md``.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TypeAlias

import numpy as np
import shapely

from gradevol._types import AnyArray, FloatArray
from gradevol.base import BaseSurface
from gradevol.concrete import Concrete
from gradevol.geometry.clipping import clip_by_line, fan
from gradevol.geometry.nearest import nearest_level
from gradevol.notes import Note
from gradevol.slab import Slab, Thickening
from gradevol.survey import Survey
from gradevol.thickening import extra_depth
from gradevol.thickness import ThicknessField
from gradevol.top import Top
from gradevol.uncertainty.mixture import Mixture
from gradevol.uncertainty.process import integrate_process
from gradevol.uncertainty.shares import measure_shares, spread_of_datum, sum_by_setup

#: One standard deviation of the finished top's mean level about its design, m, where the job states
#: none: 0.006 ft. Forms, sag of strings, strike-off. Common practice, no source.
TOP_SIGMA = 0.0018
#: More places than this are thinned to cells for the process.
MOST_PLACES = 500
#: Fewer places than this make an interval that a note goes with.
FEW_PLACES = 10
#: The greater of the published spreads of slabs on ground, 0.90 in (`process.USUAL_SPREAD`), m: how
#: far a base can lie from one shot, where nothing better is known.
WIDEST_SPREAD = 0.023

#: Top and slab as drawn.
_Design: TypeAlias = tuple[Top, Slab]

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
        From what the shots of a setup share, m³.
    top : float
        From the finished top's mean level, m³.
    stated : float
        The volume as the TIN has it, m³.
    volume : Mixture
        The distribution of the volume, for other levels.
    notes : tuple of Note
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


def estimate_interval(
    thickness: ThicknessField,
    base: BaseSurface,
    survey: Survey,
    top: Top,
    slab: Slab,
    *,
    concrete: Concrete,
    level: float = 0.9,
    top_sigma: float | None = None,
    top_setups: Mapping[str, float] = _NO_SETUPS,
) -> Interval:
    """
    Estimate between what the volume lies.

    Parameters
    ----------
    thickness : ThicknessField
    base : BaseSurface
    survey : Survey
        With the accuracy of its shots.
    top : Top
    slab : Slab
    concrete : Concrete
        The stated volume.
    level : float
        Of the interval, 0 to 1 exclusive.
    top_sigma : float, optional
        One standard deviation of the finished top's mean level, m; `TOP_SIGMA` where left out.
    top_setups : mapping of str to float
        Area of the top by the setup it was measured from (`shares.share_out_top`), m².

    Returns
    -------
    Interval
        The stated volume lies within it.
    """
    shares = measure_shares(thickness, base)
    area = float(shares.sum())
    count = np.bincount(base.place, minlength=base.used)
    shots = survey.sigma * float(np.sqrt((shares**2 / count).sum()))
    setups = _NO_SETUPS if survey.depths is not None else top_setups
    datum = spread_of_datum(sum_by_setup(shares, base, survey), setups, survey.datum_sigma)
    finish = area * (TOP_SIGMA if top_sigma is None else top_sigma)

    region = _find_region(thickness, slab)
    places = _thin(base.surface.points[: base.used], shares, region)
    notes = (_few(len(places.plan)),) if len(places.plan) < FEW_PLACES else ()
    try:
        process = _integrate(places, survey.sigma, region, concrete, (top, slab))
    except np.linalg.LinAlgError:
        process, notes = _guess(region, concrete), (_FAILED,)
    volume = process.widen(float(np.hypot(np.hypot(shots, datum), finish)))
    low, high = find_bounds(volume, concrete.volume, level)
    return Interval(
        level=level,
        low=low,
        high=high,
        shots=shots,
        between_shots=float(np.sqrt(process.variance)),
        datum=datum,
        top=finish,
        stated=concrete.volume,
        volume=volume,
        notes=notes,
    )


def find_bounds(volume: Mixture, stated: float, level: float) -> tuple[float, float]:
    """Between what a volume lies with a chance, m³; widened where the stated one lies outside."""
    low, high = (volume.quantile(chance) for chance in ((1 - level) / 2, (1 + level) / 2))
    return min(low, stated), max(high, stated)


@dataclass(frozen=True, slots=True)
class _Places:
    """Places of shots, or means of cells: plan (c, 2), level, count of each, and their shares."""

    plan: FloatArray
    level: FloatArray
    size: FloatArray
    share: FloatArray

    def depart(self, top: Top, slab: Slab) -> FloatArray:
        """How the base departs from its design at each, beams that the shots show included, m."""
        departure = self.level - nearest_level(top.surface.corners, self.plan) + slab.thickness
        for part in _find_shown(slab):
            departure = departure + extra_depth(part, slab, self.plan)
        return departure


def _integrate(
    places: _Places, sigma: float, region: shapely.Geometry, concrete: Concrete, design: _Design
) -> Mixture:
    """Distribution of the volume by the process, the shots' own errors apart, m³."""
    if region.area == 0:
        return Mixture.of_one(concrete.volume, 0.0)
    if len(places.plan) < 3:
        return _guess(region, concrete)
    departure = places.depart(*design)
    whole = concrete.volume - concrete.slab + region.area * design[1].thickness
    if _find_shown(design[1]):
        # the drawn beams are in the TIN as they were shot: only departures are compared
        whole = concrete.volume + float(places.share @ departure)
    floor = sigma / float(np.sqrt(places.size.mean()))
    return integrate_process(places.plan, departure, region, floor=floor).turn(whole)


def _find_shown(slab: Slab) -> list[Thickening]:
    return [part for part in slab.thickenings if part.surveyed == "yes"]


def _guess(region: shapely.Geometry, concrete: Concrete) -> Mixture:
    """Distribution of the volume where nothing is known but what slabs on ground spread."""
    return Mixture.of_one(concrete.volume, float(region.area) * WIDEST_SPREAD)


def _find_region(thickness: ThicknessField, slab: Slab) -> shapely.Geometry:
    """What of the slab holds concrete."""
    if thickness.thickness.min() >= 0:
        return slab.outline
    corners, counts = clip_by_line(
        thickness.corners, np.full(len(thickness.corners), 3), thickness.thickness
    )
    return shapely.union_all(shapely.polygons(fan(corners, counts)[0]), grid_size=1e-9)


def _thin(points: FloatArray, shares: FloatArray, region: shapely.Geometry) -> _Places:
    """Places that the volume rests on and those not far from the slab; too many: means of cells."""
    reach = np.sqrt(region.area) / 4
    is_near = shapely.dwithin(region, shapely.points(points[:, :2]), reach)
    points, shares = (held[is_near | (shares != 0)] for held in (points, shares))
    if len(points) <= MOST_PLACES:
        return _Places(points[:, :2], points[:, 2], np.ones(len(points)), shares)
    side = float(np.sqrt(region.area / MOST_PLACES))
    low = points[:, :2].min(axis=0)
    while True:
        column, row = np.floor((points[:, :2] - low) / side).astype(np.int64).T
        cells, cell = np.unique(column * (row.max() + 1) + row, return_inverse=True)
        if len(cells) <= MOST_PLACES:
            break
        side *= 1.1
    size = np.bincount(cell).astype(float)
    sums: list[AnyArray] = [np.bincount(cell, weights=held) for held in (*points.T, shares)]
    east, north, level = (total / size for total in sums[:3])
    return _Places(np.column_stack([east, north]), level, size, sums[3])


_FAILED = Note(
    "interval-fit-failed",
    "What the base does between the shots could not be worked out from them: the interval takes it "
    "to lie as far off as a single shot would leave open.",
)


def _few(count: int) -> Note:
    return Note(
        "interval-few-shots",
        f"The base rests on {count} places: too few to tell how uneven it is between them, so the "
        "interval is wide and leans on what slabs on ground usually spread. Take more shots.",
    )

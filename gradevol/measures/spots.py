"""Spots: the connected places that are thin, high or low."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, NamedTuple, TypeAlias

import numpy as np

from gradevol.geometry.extent import measure_extent
from gradevol.geometry.isolines import group_above, rings_above
from gradevol.geometry.places import first_by_place
from gradevol.geometry.prisms import area_above, span_of_corners, volume_above
from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.measures.field import EQUAL, ThicknessField, each_piece
from gradevol.site.locating import Taping, locate
from gradevol.site.slab import Slab
from gradevol.site.trench import raised_at

SpotKind: TypeAlias = Literal["thin", "high", "low"]
#: What a survey may stand off by its own scatter at some places, (n, 2) to (n,), m.
Doubt: TypeAlias = Callable[[FloatArray], FloatArray]

#: Spots listed with their outlines, largest first; the figures over all of them stay exact.
LISTED = 100
#: Off by no more than this is at the limit, m: a shot that is booked right at it joins no spots,
#: however its coordinates and the top's are rounded.
_AT_LIMIT = 1e-6
#: A spot with less area is rounding, m².
_LEAST_AREA = 1e-4


@dataclass(frozen=True, slots=True)
class Spot:
    """
    One connected place that is off.

    Attributes
    ----------
    kind : {"thin", "high", "low"}
    rings : tuple of (n, 2) arrays of float
        Outline about the job's origin, m: outer rings counter-clockwise, holes clockwise.
    area : float
        Plan area, m².
    volume : float
        To cut (thin, high) or to fill (low) within the outline to reach the design base, m³.
    worst : float
        Least thickness (thin), or the greatest height above (high) or depth below (low) the design
        base, m, positive.
    at : (float, float, float)
        Where that is: easting, northing, elevation of the base, m.
    where : Taping
        The same by tape.
    length, width : float
        Of the smallest rectangle around it, m.
    bearing : float
        Direction of its length, degrees clockwise from north, 0 to 180.
    unshot : float
        What of its area lies beyond the survey, m².
    """

    kind: SpotKind
    rings: tuple[FloatArray, ...]
    area: float
    volume: float
    worst: float
    at: tuple[float, float, float]
    where: Taping
    length: float
    width: float
    bearing: float
    unshot: float = 0.0

    @property
    def mean(self) -> float:
        """Mean cut or fill within the outline, m."""
        return self.volume / self.area


@dataclass(frozen=True, slots=True)
class Spots:
    """
    All spots of one kind.

    Attributes
    ----------
    area : float
        Area of all of them, exact for the surface, m².
    listed : tuple of Spot
        The largest by volume, worst first.
    unlisted : int
        How many smaller ones there are beside them.
    doubtful : int
        How many more places are off by no more than the survey can tell: no spots, but in `area`.
    """

    area: float
    listed: tuple[Spot, ...]
    unlisted: int = 0
    doubtful: int = 0

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.listed) + self.unlisted

    @property
    def unshot(self) -> float:
        """Area of the listed ones that lies beyond the survey, m²."""
        return sum(spot.unshot for spot in self.listed)


def no_doubt(plan: FloatArray) -> FloatArray:
    """What single shots may stand off by their own scatter: nothing that spots are held against."""
    return np.zeros(len(plan))


def find_thin(field: ThicknessField, slab: Slab, *, doubt: Doubt = no_doubt) -> Spots:
    """Find where concrete would be thinner than the least thickness by more than `doubt`."""
    everywhere = np.ones(len(field.area), bool)
    spare = slab.thickness - slab.least_thickness
    search = _Search(lambda there: slab.least_thickness - there, spare, everywhere, doubt)
    return _find("thin", field, slab, search)


def find_high(field: ThicknessField, slab: Slab, *, doubt: Doubt = no_doubt) -> Spots | None:
    """Find where the base stands above its tolerance by more than `doubt`; None without one."""
    if (most := slab.base_high) is None:
        return None
    search = _Search(lambda there: slab.thickness - there - most, most, ~field.is_trench, doubt)
    return _find("high", field, slab, search)


def find_low(field: ThicknessField, slab: Slab, *, doubt: Doubt = no_doubt) -> Spots | None:
    """Find where the base lies below its tolerance by more than `doubt`; None without one."""
    if (most := slab.base_low) is None:
        return None
    search = _Search(lambda there: there - slab.thickness - most, most, ~field.is_trench, doubt)
    return _find("low", field, slab, search)


class _Search(NamedTuple):
    """How far off a thickness is, beyond what tolerance, on which pieces, and what can't be told.

    A place that is nowhere off by more than `doubt` may be the survey's own scatter.
    """

    find_excess: Callable[[FloatArray], FloatArray]
    tolerance: float
    is_looked_at: BoolArray
    doubt: Doubt


def _find(kind: SpotKind, field: ThicknessField, slab: Slab, search: _Search) -> Spots:
    """
    Spots where the excess is above zero; what must go is the excess and the tolerance with it.

    Spots that touch in a point are two: on the way from one to the other the base keeps its limit.
    """
    find_excess, tolerance, is_looked_at, doubt = search
    farthest = each_piece(field, lambda part: span_of_corners(find_excess(part.thickness))[1])
    off = field.take(is_looked_at & (farthest > _AT_LIMIT))
    off = off.take(area_above(off.area, find_excess(off.thickness)) > 0)
    if len(off.area) == 0:
        return Spots(0.0, ())
    excess = find_excess(off.thickness)
    area = area_above(off.area, excess)
    volume = volume_above(off.area, excess) + tolerance * area
    group = group_above(off.corners, excess, nothing=_AT_LIMIT)
    areas, volumes = np.bincount(group, area), np.bincount(group, volume)
    order = np.lexsort((areas, volumes))[::-1]
    order = order[areas[order] > _LEAST_AREA]
    doubts = doubt(off.corners.reshape(-1, 2)).reshape(excess.shape)
    is_told = np.zeros(len(areas), bool)
    np.logical_or.at(is_told, group, (excess > doubts).any(axis=1))
    order, doubtful = order[is_told[order]], int((~is_told[order]).sum())
    by_group = np.argsort(group, kind="stable")
    starts = np.searchsorted(group[by_group], np.arange(len(areas) + 1))
    listed = []
    for number in order[:LISTED]:
        pieces = by_group[starts[number] : starts[number + 1]]
        spot = _describe(kind, off.take(pieces), slab, excess=excess[pieces], tolerance=tolerance)
        listed.append(spot)
    sign = 1 if kind == "thin" else -1
    listed.sort(
        key=lambda spot: (
            round(sign * spot.worst, 9),
            *np.round((-spot.area, *spot.at[1::-1]), 6),
        )
    )
    return Spots(float(area.sum()), tuple(listed), len(order) - len(listed), doubtful)


def _describe(
    kind: SpotKind,
    field: ThicknessField,
    slab: Slab,
    *,
    excess: FloatArray,
    tolerance: float,
) -> Spot:
    corners = field.corners
    rings = rings_above(corners, excess)
    areas = area_above(field.area, excess)
    area = areas.sum()
    volume = volume_above(field.area, excess).sum() + tolerance * area
    # among equals one that was shot, then by place: the order of shots does not matter
    most = np.argwhere(excess >= excess.max() - EQUAL)
    seen = field.is_surveyed[most[:, 0]]
    most = most[seen] if seen.any() else most
    first = most[first_by_place(corners[most[:, 0], most[:, 1]])]
    east, north = corners[tuple(first)]
    level = field.base[tuple(first)] - raised_at(np.array([[east, north]]), slab)[0]
    worst = excess.max() + tolerance
    length, width, bearing = measure_extent(np.concatenate([np.empty((0, 2)), *rings]))
    return Spot(
        kind=kind,
        rings=tuple(rings),
        area=float(area),
        volume=float(volume),
        worst=float(slab.thickness - worst if kind == "thin" else worst),
        at=(float(east), float(north), float(level)),
        where=locate((east, north), slab),
        length=length,
        width=width,
        bearing=bearing,
        unshot=float(areas[~field.is_surveyed].sum()),
    )

"""Fixes: what is off on a surface, and one line of work for each place."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple, TypeAlias

import shapely

from gradevol.ground.arrays import FloatArray
from gradevol.measures.contours import AT_OUTLINE, join_rings
from gradevol.measures.cover import Cover, measure_cover
from gradevol.measures.field import ThicknessField, surveyed_part
from gradevol.measures.spots import Doubt, Spot, Spots, find_high, find_low, find_thin, no_doubt
from gradevol.site.locating import Taping
from gradevol.site.slab import Slab

#: Less than this along the survey's edge is rounding, m².
_SLIVER = 1e-4

FixKind: TypeAlias = Literal["thin", "high", "low", "cover"]
Reason: TypeAlias = Literal["thin", "near-thin", "cover", "high", "low"]
Call: TypeAlias = Literal["fix", "pour", "either", "leave", "reshoot"]


@dataclass(frozen=True, slots=True)
class Found:
    """What is off, on one surface."""

    thin: Spots
    high: Spots | None
    low: Spots | None
    cover: tuple[Cover, ...] = ()

    @property
    def spots(self) -> tuple[Spot, ...]:
        """All that are listed."""
        return tuple(
            spot for held in (self.thin, self.high, self.low) if held for spot in held.listed
        )


def find_all(
    field: ThicknessField,
    slab: Slab,
    *,
    cover: tuple[Cover, ...] | None = None,
    doubt: Doubt = no_doubt,
) -> Found:
    """Find all that is off on one surface, by more than `doubt`, m; cover not given is measured."""
    return Found(
        find_thin(field, slab, doubt=doubt),
        find_high(field, slab, doubt=doubt),
        find_low(field, slab, doubt=doubt),
        measure_cover(field, slab) if cover is None else cover,
    )


class Look(NamedTuple):
    """All that is off, and what of it lies within the survey: no other ground is worked."""

    found: Found
    shot: Found


def look_over(field: ThicknessField, slab: Slab, *, doubt: Doubt) -> Look:
    """Find all that is off by more than `doubt`, m, and what of it somebody shot."""
    found = find_all(field, slab, doubt=doubt)
    if field.is_surveyed.all():
        return Look(found, found)
    return Look(found, find_all(surveyed_part(field), slab, cover=found.cover, doubt=doubt))


class Lowering(NamedTuple):
    """
    An item cast in that must go down.

    Attributes
    ----------
    by : float
        What it lacks of its cover at most, m.
    length : float
        On which it lacks cover, m.
    """

    name: str
    by: float
    length: float


@dataclass(frozen=True, slots=True)
class Fix:
    """
    One line of work: a place to shave, to fill, or to lower what is cast in.

    Attributes
    ----------
    rank : int
        Its place in the fix list, from 1.
    kind : {"thin", "high", "low", "cover"}
        What the place is: a high spot that holds thin ones is thin.
    reasons : tuple of str
        ``thin``; ``near-thin``: not thicker than the least thickness by more than the shots can
        tell; ``cover``: over something cast in; ``high``, ``low``: beyond the grading tolerance.
    is_must : bool
        Whether it must be put right before the pour: concrete can't make it good.
    call : str
        ``fix``; ``pour``: cheaper in concrete; ``either``: no costs are given to tell by;
        ``leave``: below what a grader can tell; ``reshoot``: it rests on suspect shots alone.
    worst, mean : float
        Cut or fill at the worst place, and over the outline, m. Of cover: what lacks.
    thickness : float
        Of the concrete at the worst place as the base lies, m; of cover: over the item.
    at : (float, float, float)
        The worst place: easting, northing, elevation of the base, m.
    where : Taping
        The same by tape.
    centre : (float, float)
        Of the outline, m.
    rings : tuple of (n, 2) arrays of float
        Its outline, as a spot's; empty for cover.
    area, volume : float
        m², and m³ bank measure to the design base; 0 for cover.
    length, width, bearing : float
        Of the smallest rectangle around it.
    shots : tuple of int
        The shots that say so: those within the outline, or, where there are none, the nearest.
    is_shot : bool
        Whether those are within it.
    suspects : tuple of int
        Suspect shots to take again first.
    lowerings : tuple of Lowering
        Items that lack cover there.
    """

    rank: int
    kind: FixKind
    reasons: tuple[Reason, ...]
    is_must: bool
    call: Call
    worst: float
    mean: float
    thickness: float
    at: tuple[float, float, float]
    where: Taping
    centre: tuple[float, float]
    rings: tuple[FloatArray, ...]
    area: float
    volume: float
    length: float
    width: float
    bearing: float
    shots: tuple[int, ...] = ()
    is_shot: bool = False
    suspects: tuple[int, ...] = ()
    lowerings: tuple[Lowering, ...] = ()

    @property
    def covers(self) -> tuple[str, ...]:
        """Names of the items that lack cover there."""
        return tuple(item.name for item in self.lowerings)

    @property
    def is_fill(self) -> bool:
        """Whether material is put there."""
        return self.kind == "low"

    @property
    def departure(self) -> float:
        """Base less design base at the worst place, m: positive where it is high."""
        return -self.worst if self.is_fill else self.worst


def outline_work(fixes: Sequence[Fix], look: Look | None) -> dict[int, shapely.Geometry]:
    """
    Outline the ground that goes with each line of work.

    Parameters
    ----------
    fixes : sequence of Fix
    look : Look or None
        What they were found in; None: no more than their own outlines.

    Returns
    -------
    dict of int to shapely geometry
        By rank: the line's outline, and what is off beside it beyond the outermost shots. The base
        there is as far off as at the nearest of them, before the work and after it; whoever shaves
        as far as the shots went shaves to the form.
    """
    outlines = {fix.rank: join_rings(fix.rings) for fix in fixes}
    if look is None or look.found is look.shot:
        return outlines
    for is_fill in (False, True):
        found, shot = (
            [spot for spot in held.spots if (spot.kind == "low") == is_fill] for held in look
        )
        within = shapely.union_all([join_rings(spot.rings) for spot in shot])
        beyond = shapely.union_all([join_rings(spot.rings) for spot in found if spot.unshot])
        strips = shapely.get_parts(shapely.difference(beyond, within))
        strips = strips[shapely.area(strips) > _SLIVER]
        for fix in (fix for fix in fixes if fix.is_fill == is_fill):
            beside = strips[shapely.dwithin(strips, outlines[fix.rank], AT_OUTLINE)]
            outlines[fix.rank] = shapely.union_all([outlines[fix.rank], *beside])
    return outlines

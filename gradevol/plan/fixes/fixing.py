"""Fixing: the places worth a grader's time, one line of work each."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
import shapely

from gradevol.doubts.suspects import Suspect
from gradevol.geometry.groups import label_groups
from gradevol.ground.arrays import IntArray
from gradevol.measures.contours import AT_OUTLINE, join_rings, lie_within
from gradevol.measures.cover import Cover, Stretch
from gradevol.measures.spots import Spot
from gradevol.plan.fixes.fix import Call, Fix, Found, Lowering, Reason
from gradevol.plan.fixes.hauling import LEAST_VOLUME
from gradevol.site.locating import locate
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey

#: Below this a grader can't tell that a place was put right: its area, m², and how far it is
#: beyond its tolerance, m. Common practice, no source.
LEAST_AREA, LEAST_EXCESS = 0.5, 0.003
#: A least thickness is kept if it is kept by this many standard deviations of a shot.
SURE = 2.0
#: Shots named where none lies within a spot: those that make the surface there.
_NEAREST = 3
#: Outlines that share less than this do not overlap, m².
_TOUCHING = 1e-4


def find_fixes(
    found: Found, sure: Found, *, slab: Slab, survey: Survey, suspects: Sequence[Suspect] = ()
) -> tuple[Fix, ...]:
    """
    Find the lines of work.

    Parameters
    ----------
    found : Found
        On the surface of all shots.
    sure : Found
        On the surface without the suspect ones; the same where there are none.
    slab : Slab
    survey : Survey
    suspects : sequence of Suspect

    Returns
    -------
    tuple of Fix
        Thin places before all, the thinnest first, those too small to tell after the others; then
        what else must be put right; then what is a matter of tolerance or money, shaving before
        filling, the largest volume first; last what is best left. Work is laid out on what the
        sure shots say; a place that only a suspect shot makes is a line of its own: to shoot again.
    """
    accused = tuple(suspect.index for suspect in suspects)
    ground = _Ground(slab, survey, accused, np.argsort(survey.points[:, 0]))
    fixes = [_merge(group, ground, sure.cover) for group in _group(sure.spots)]
    if suspects:
        fixes = _doubt(fixes, found, sure, ground, suspects)
    if sure.cover:
        held = shapely.union_all([join_rings(fix.rings) for fix in fixes if not fix.is_fill])
        for cover in sure.cover:
            lone = (part for part in cover.stretches if not _crosses(held, part))
            fixes += [_lower(cover, part, ground) for part in lone]
    fixes.sort(key=lambda fix: _order(fix, slab))
    return tuple(replace(fix, rank=rank) for rank, fix in enumerate(fixes, start=1))


@dataclass(frozen=True, slots=True)
class _Ground:
    slab: Slab
    survey: Survey
    suspects: tuple[int, ...]
    by_east: IntArray  # shots, in the order of their eastings

    def _find_in(self, area: shapely.Geometry) -> IntArray:
        """Shots within an area, by number; only those in the box around it are looked at."""
        plan, (west, south, east, north) = self.survey.points[:, :2], area.bounds
        ends = [west - AT_OUTLINE, east + AT_OUTLINE]
        first, last = np.searchsorted(plan[:, 0], ends, sorter=self.by_east)
        beside = np.sort(self.by_east[first:last])
        up = plan[beside, 1]
        beside = beside[(up >= south - AT_OUTLINE) & (up <= north + AT_OUTLINE)]
        return beside[lie_within(area, plan[beside])]

    def shots_at(
        self, area: shapely.Geometry, at: tuple[float, ...], *, without: Sequence[int]
    ) -> tuple[tuple[int, ...], bool]:
        """Shots within an area, or else the nearest to a place; and which of the two they are."""
        if not self.survey.ids:
            return (), False
        within = np.setdiff1d(self._find_in(area), without)
        if len(within):
            return tuple(within.tolist()), True
        plan = self.survey.points[:, :2]
        away = np.asarray(np.round(np.hypot(*(plan - at[:2]).T), 6), float)
        away[list(without)] = np.inf
        least = np.partition(away, min(_NEAREST, len(away)) - 1)[:_NEAREST].max()
        near = np.flatnonzero((away <= least) & np.isfinite(away))
        # among equals by place, so that the order of the shots does not matter
        order = np.lexsort((plan[near, 1], plan[near, 0], away[near]))[:_NEAREST]
        return tuple(sorted(near[order].tolist())), False

    def erring_in(
        self, area: shapely.Geometry, suspects: Sequence[Suspect], place: Spot | Fix
    ) -> tuple[int, ...]:
        """Suspect shots within an area that err the way the place does."""
        erring = [s.index for s in suspects if (s.difference < 0) == (place.kind == "low")]
        is_held = lie_within(area, self.survey.points[erring, :2])
        return tuple(sorted(np.array(erring, int)[is_held].tolist()))


def _group(spots: Sequence[Spot]) -> list[list[Spot]]:
    """Spots that are one place: thin and high ones that overlap; low ones each alone."""
    shaves = [spot for spot in spots if spot.kind != "low"]
    areas = [join_rings(spot.rings) for spot in shaves]
    pairs = [
        (one, other)
        for one, other in combinations(range(len(shaves)), 2)
        if areas[one].intersection(areas[other]).area > _TOUCHING
    ]
    label = label_groups(len(shaves), np.array(pairs, np.intp).reshape(-1, 2))
    groups: dict[int, list[Spot]] = {}
    for spot, number in zip(shaves, label.tolist(), strict=True):
        groups.setdefault(number, []).append(spot)
    return [*groups.values(), *([spot] for spot in spots if spot.kind == "low")]


def _merge(group: list[Spot], ground: _Ground, covers: Sequence[Cover]) -> Fix:
    """One line of work for spots that are one place: the widest of them, its worst from all."""
    slab, survey = ground.slab, ground.survey
    widest = max(group, key=lambda spot: spot.area)
    thin = [spot for spot in group if spot.kind == "thin"]
    worst = min(thin, key=lambda spot: spot.worst) if thin else widest
    move = slab.thickness - worst.worst if thin else worst.worst
    thickness = slab.thickness + (move if worst.kind == "low" else -move)
    area = join_rings(widest.rings)
    lacking = () if worst.kind == "low" else _lacking(area, covers)
    is_small = not thin and _is_small(widest, slab)
    doubt = SURE * survey.spread if survey.ids else 0.0
    is_near = worst.kind == "high" and not is_small and thickness < slab.least_thickness + doubt
    reasons: tuple[Reason, ...] = (
        *(("thin",) if thin else ("near-thin",) if is_near else (widest.kind,)),
        *(("cover",) if lacking else ()),
    )
    is_must = bool(thin or is_near or lacking)
    shots, is_shot = ground.shots_at(area, worst.at, without=ground.suspects)
    call: Call = "fix" if is_must or not is_small else "leave"
    return Fix(
        rank=0,
        kind="thin" if thin else widest.kind,
        reasons=reasons,
        is_must=is_must,
        call="either" if call == "fix" and widest.kind == "low" else call,
        worst=move,
        mean=widest.mean,
        thickness=thickness,
        at=worst.at,
        where=worst.where,
        centre=(float(area.centroid.x), float(area.centroid.y)),
        rings=widest.rings,
        area=widest.area,
        volume=widest.volume,
        length=widest.length,
        width=widest.width,
        bearing=widest.bearing,
        shots=shots,
        is_shot=is_shot,
        lowerings=lacking,
    )


def _is_small(spot: Spot, slab: Slab) -> bool:
    tolerance = (slab.base_low if spot.kind == "low" else slab.base_high) or 0.0
    return (
        spot.area < LEAST_AREA
        or spot.worst - tolerance < LEAST_EXCESS
        or spot.volume < LEAST_VOLUME
    )


def _lacking(area: shapely.Geometry, covers: Sequence[Cover]) -> tuple[Lowering, ...]:
    """Items that lack cover in an area, each on all of the stretches that cross it."""
    found = []
    for cover in covers:
        parts = [part for part in cover.stretches if _crosses(area, part)]
        if parts:
            lack = (cover.required or 0.0) - min(part.least for part in parts)
            found.append(Lowering(cover.name, lack, sum(part.length for part in parts)))
    return tuple(found)


def _crosses(area: shapely.Geometry, stretch: Stretch) -> bool:
    return bool(shapely.intersects(area, shapely.LineString(stretch.path)))


def _doubt(
    fixes: list[Fix], found: Found, sure: Found, ground: _Ground, suspects: Sequence[Suspect]
) -> list[Fix]:
    """Add lines for places that only suspects make; name those within sure work in its line."""
    certain = {
        kind: shapely.union_all(
            [join_rings(spot.rings) for spot in sure.spots if spot.kind == kind]
        )
        for kind in ("thin", "high", "low")
    }
    is_known = [
        join_rings(spot.rings).intersection(certain[spot.kind]).area > _TOUCHING
        for spot in found.spots
    ]
    made: list[Fix] = []
    named: set[int] = set()
    doubtful = [spot for spot, known in zip(found.spots, is_known, strict=True) if not known]
    for group in _group(doubtful):
        line = _merge(group, ground, found.cover)
        guilty = ground.erring_in(join_rings(line.rings), suspects, line)
        plan = ground.survey.points[:, :2]
        if not guilty:  # a shot beside the place makes it
            away = [float(np.hypot(*(plan[s.index] - line.at[:2]))) for s in suspects]
            guilty = (suspects[int(np.argmin(away))].index,)
        named.update(guilty)
        shots, is_shot = ground.shots_at(join_rings(line.rings), line.at, without=())
        made.append(replace(line, call="reshoot", suspects=guilty, shots=shots, is_shot=is_shot))
    for spot, known in zip(found.spots, is_known, strict=True):
        if known:
            area = join_rings(spot.rings)
            within = ground.erring_in(area, suspects, spot)
            fixes = _name(fixes, area, spot, [index for index in within if index not in named])
    return [*fixes, *made]


def _name(fixes: list[Fix], area: shapely.Geometry, spot: Spot, within: list[int]) -> list[Fix]:
    """Name suspect shots in the sure work that shares most of an area with a spot."""
    if not within:
        return fixes
    shares = [
        join_rings(fix.rings).intersection(area).area
        if fix.is_fill == (spot.kind == "low")
        else -1.0
        for fix in fixes
    ]
    most = int(np.argmax(shares))
    known = tuple(sorted({*fixes[most].suspects, *within}))
    return [*fixes[:most], replace(fixes[most], suspects=known), *fixes[most + 1 :]]


def _lower(cover: Cover, stretch: Stretch, ground: _Ground) -> Fix:
    """Line of work for an item that lacks cover where the base is within its tolerance."""
    path = np.array(stretch.path)
    run = path[-1] - path[0]
    lack = (cover.required or 0.0) - stretch.least
    shots, _ = ground.shots_at(shapely.LineString(path), stretch.at, without=ground.suspects)
    middle = (path[0] + path[-1]) / 2
    return Fix(
        rank=0,
        kind="cover",
        reasons=("cover",),
        is_must=True,
        call="fix",
        worst=lack,
        mean=lack,
        thickness=stretch.least,
        at=(*stretch.at, 0.0),
        where=locate(stretch.at, ground.slab),
        centre=(float(middle[0]), float(middle[1])),
        rings=(),
        area=0.0,
        volume=0.0,
        length=stretch.length,
        width=0.0,
        bearing=float(np.degrees(np.arctan2(*run)) % 180),
        shots=shots,
        lowerings=(Lowering(cover.name, lack, stretch.length),),
    )


def _order(fix: Fix, slab: Slab) -> tuple[float, ...]:
    """Place: thin, then must, the thinnest first; to shave, to fill, by volume; last the rest."""
    is_thin = fix.kind == "thin"
    group = 0 if is_thin else 1 if fix.is_must else 3 if fix.call == "leave" else 2
    # in the noise of a cloud a sliver may be the thinnest of all
    is_sliver = is_thin and (fix.area < LEAST_AREA or fix.volume < LEAST_VOLUME)
    spare = [-item.by for item in fix.lowerings]
    if fix.kind != "cover":
        spare.append(fix.thickness - slab.least_thickness)
    first = min(spare) if fix.is_must else -fix.volume
    # among equals the largest, and by place, so that the order of the shots does not matter
    is_fill = fix.is_fill and not fix.is_must  # its cuttings may come from what is shaved
    equals = -fix.area, *fix.at[:2]
    return group, is_sliver or is_fill, round(first, 6), *(round(value, 6) for value in equals)

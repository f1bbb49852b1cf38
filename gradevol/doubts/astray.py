"""Shots off the slab that one wrong digit, or a hundred, would put in line with the others."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely

from gradevol.geometry.neighbours import measure_nearest
from gradevol.geometry.places import measure_away
from gradevol.geometry.spread import spread_about_median
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.units import METRES
from gradevol.ground.words import first_of
from gradevol.measures.base import MeasuredBase, volume_over
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.top import Top

#: Off the slab by more than so many spacings of the shots, and than so much, m, is astray: dense
#: shots reach out beyond a form. Common practice, no source.
SPACINGS, LEAST = 3.0, 2.0
#: More than this share are not astray: that is another survey.
SHARE = 0.3
#: Farther off than this, m, is no shot of a job, whatever was meant. Common practice, no source.
FAR = 1000.0
#: Nearer than this to the easting or northing of others, in spacings, is in line with them.
IN_LINE = 0.02
#: Shots that are put right one by one.
_MOST = 40
_AXES = ("easting", "northing")


@dataclass(frozen=True, slots=True)
class _Slip:
    """What would put one shot right: which coordinate, and what it would be, in the file's unit."""

    axis: int
    written: float
    meant: float


def remark_on_astray(
    measured: MeasuredBase, slab: Slab, top: Top, *, unit: str, volume: float
) -> tuple[Note, ...]:
    """
    Remark on shots that lie off the slab by what looks like a slip, or too far for any job.

    Parameters
    ----------
    measured : MeasuredBase
        Its survey with ids.
    slab : Slab
    top : Top
    unit : str
        Unit of the coordinates as they were written, a key of `METRES`.
    volume : float
        The concrete as it is, m³.

    Returns
    -------
    tuple of Note
        Code ``shots-astray``, with the volume if the digits stood right, where that is known.
    """
    survey = measured.survey
    if not survey.ids or measured.faces is not None or len(survey.points) < 4:
        return ()
    plan = survey.points[:, :2]
    away = measure_away(slab.outline, plan)
    if not (away > LEAST).any():
        return ()
    spacing = _space(plan[away == 0])
    reach = max(SPACINGS * spacing, LEAST)
    is_astray = away > reach
    if spacing == 0 or not is_astray.any() or is_astray.mean() > SHARE:
        return ()
    is_astray = _leave_alone(plan, is_astray, reach)
    if not is_astray.any():
        return ()
    others = _Others.of(survey.points[~is_astray], spacing)
    astray = np.flatnonzero(is_astray)[:_MOST]
    slips = {
        int(shot): slip
        for shot in astray
        if (slip := _find_slip(survey, int(shot), others, slab, unit=unit))
    }
    slips = _leave_company(slips, plan, astray, reach)
    told = [*slips, *(shot for shot in astray.tolist() if shot not in slips and away[shot] > FAR)]
    if not told:
        return ()
    names = [survey.name(shot) for shot in told]
    lies = "it lies off the slab by" if len(names) == 1 else "they lie off the slab by up to"
    text = f"Look up {escape(first_of(names, 3))} in the field book first: {lies} {{}}."
    measures = [Measure(float(away[told].max()), Kind.TAPE)]
    if slips:
        points = survey.points.copy()
        for shot, slip in slips.items():
            points[shot, slip.axis] = slip.meant * METRES[unit] - survey.origin[slip.axis]
        right = volume_over(replace(measured, survey=replace(survey, points=points)), slab, top)
        shot, slip = next(iter(slips.items()))
        text += (
            f" With {_AXES[slip.axis]} {slip.meant:.10g} in place of {slip.written:.10g}, "
            f"{escape(survey.name(shot))} would stand in line with the others"
        )
        if right is not None:
            text += ", and the concrete would be {} in place of {}"
            measures += [Measure(right, Kind.VOLUME), Measure(volume, Kind.VOLUME)]
        text += "."
    places = tuple((float(plan[at, 0]), float(plan[at, 1])) for at in told)
    return (Note("shots-astray", text, tuple(measures), points=tuple(names[:20]), places=places),)


def _space(plan: FloatArray) -> float:
    """Usual distance to the nearest other shot, m; 0 of too few."""
    if len(plan) < 4:
        return 0.0
    return float(np.median(measure_nearest(plan)))


def _leave_alone(plan: FloatArray, is_astray: BoolArray, reach: float) -> BoolArray:
    """Leave those shots off the slab to which no others lead: a notch that was shot is no slip."""
    from scipy.spatial import cKDTree  # noqa: PLC0415

    alone = np.flatnonzero(is_astray)
    met = np.flatnonzero(~is_astray)
    while len(alone) and len(met):
        near, _ = cKDTree(plan[met]).query(plan[alone], distance_upper_bound=reach)
        met, alone = alone[np.isfinite(near)], alone[np.isinf(near)]
    return np.isin(np.arange(len(plan)), alone)


def _leave_company(
    slips: dict[int, _Slip], plan: FloatArray, astray: IntArray, reach: float
) -> dict[int, _Slip]:
    """Leave those of which most about them want another correction, or none: it is another base."""
    moves = {shot: (slip.axis, round(slip.meant - slip.written, 3)) for shot, slip in slips.items()}
    kept = {}
    for shot, slip in slips.items():
        near = astray[np.hypot(*(plan[astray] - plan[shot]).T) < reach].tolist()
        if 2 * sum(moves.get(other) == moves[shot] for other in near) > len(near):
            kept[shot] = slip
    return kept


@dataclass(frozen=True, slots=True)
class _Others:
    """Shots that are not astray (n, 3), their coordinates sorted, and how they usually lie, m."""

    points: FloatArray
    tree: Any
    lines: tuple[FloatArray, FloatArray]
    spacing: float
    spread: float

    @classmethod
    def of(cls, points: FloatArray, spacing: float) -> "_Others":
        from scipy.spatial import cKDTree  # noqa: PLC0415

        spread = max(spread_about_median(points[:, 2]), 0.02)
        lines = np.sort(points[:, 0]), np.sort(points[:, 1])
        return cls(points, cKDTree(points[:, :2]), lines, spacing, spread)

    def stand_apart(self, axis: int, at: float) -> bool:
        """Whether none has a coordinate in line with a place."""
        line = self.lines[axis]
        after = int(np.searchsorted(line, at))
        beside = line[max(after - 1, 0) : after + 1]
        return bool((np.abs(beside - at) > IN_LINE * self.spacing).all())


def _find_slip(
    survey: Survey, shot: int, others: _Others, slab: Slab, *, unit: str
) -> _Slip | None:
    """The slip that leaves a shot in line with the others, at a place where none of them stands."""
    good, spacing = others.points, others.spacing
    best: tuple[bool, int, float, _Slip] | None = None
    for axis in (0, 1):
        origin = survey.origin[axis]
        written = round(float(survey.points[shot, axis] + origin) / METRES[unit], 4)
        for rank, meant in _corrections(written):
            place = survey.points[shot, :2].copy()
            place[axis] = meant * METRES[unit] - origin
            if not shapely.intersects_xy(slab.outline, *place):
                continue
            near, which = others.tree.query(place, min(4, len(good)))
            if near[0] < spacing / 2 or near[0] > 2 * spacing:
                continue
            if abs(survey.points[shot, 2] - good[which, 2].mean()) > 6 * others.spread:
                continue
            is_apart = others.stand_apart(axis, float(place[axis]))
            found = (is_apart, rank, -float(near[0]), _Slip(axis, written, meant))
            if best is None or found[:3] < best[:3]:
                best = found
    return best[3] if best else None


def _corrections(written: float) -> Iterator[tuple[int, float]]:
    """What may have been meant by a number, the likelier slips with the lower rank."""
    for step in (100.0, 1000.0, 10.0):
        yield 0, round(written + step, 4)
        yield 0, round(written - step, 4)
    sign = "-" if written < 0 else ""
    text = f"{abs(written):.10g}"
    whole = text.partition(".")[0]
    seen = {written}
    if whole == text:
        for at in range(1, len(whole)):  # the point was left out
            yield 0, float(f"{sign}{whole[:at]}.{whole[at:]}")
    for at in range(len(whole) + 1):
        for digit in "0123456789":
            for rank, other in (
                (1, text[:at] + digit + text[at + 1 :] if at < len(whole) else ""),
                (1, text[:at] + digit + text[at:]),
            ):
                if other and (meant := float(sign + other)) not in seen:
                    seen.add(meant)
                    yield rank, meant
        if at < len(whole) and len(text) > 1:
            rest = text[:at] + text[at + 1 :]
            if rest.strip(".") and (meant := float(sign + rest)) not in seen:
                seen.add(meant)
                yield 1, meant

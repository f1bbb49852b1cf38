"""Surfaces and clouds: what stands off all that is around it, and thickness out of reason."""

import numpy as np
import shapely

from gradevol.geometry.nearest import nearest_level
from gradevol.geometry.spread import robust_spread
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray, number_rows
from gradevol.ground.notes import Kind, Measure, Note
from gradevol.ground.words import count_of, verb_of
from gradevol.measures.base import BaseSurface, MeasuredBase
from gradevol.measures.thickness import Moments
from gradevol.site.slab import Slab
from gradevol.site.thickening import outline_at
from gradevol.site.top import Top

#: A corner that is off each of its neighbours by more than this, m, and by so many times what all
#: are spread about the mean of theirs, is a spike. Common practice, no source.
LEAST_SPIKE, SPIKE_TIMES = 0.05, 10.0
#: Of a cloud only places within so many usual distances are around one. Common practice, no source.
NEAR_TIMES = 3.0
#: More of them than this, and this share of all, are how the surface is made.
MOST_SPIKES, SPIKE_SHARE = 3, 0.01
#: So many are listed by their places.
_SHOWN = 50
#: No measured cloud has such a share of its points at one elevation, to so many decimals of a
#: metre, where it is all of more points than this, or the others stand at more elevations. Common
#: practice, no source.
ONE_SHARE, _DIGITS, FEWEST_LEVELS = 0.5, 4, 10
#: Thickness that is so many times the design is looked at, wherever it is from. Common practice, no
#: source.
MANY_TIMES = 4.0


def remark_on_spikes(
    measured: MeasuredBase, base: BaseSurface, slab: Slab, top: Top
) -> tuple[Note, ...]:
    """
    Remark on corners of a surface file, or places of a cloud, that stand off all those around them.

    Parameters
    ----------
    measured : MeasuredBase
        Single shots are left to the screening of shots.
    base : BaseSurface
        As built of it.
    slab : Slab
    top : Top

    Returns
    -------
    tuple of Note
        Code ``surface-spike``.
    """
    if measured.survey.ids:
        return ()
    if is_cloud := measured.faces is None:
        # a cloud lies too densely for a top's fall to matter from one place to the next
        faces, points = base.surface.triangles[base.surface.is_surveyed], base.surface.points
        over, count = points[:, 2], base.used
    else:
        faces, points = _near(measured.faces, measured.survey.points, slab)
        over, count = points[:, 2] - nearest_level(top.surface.corners, points[:, :2]), len(points)
    if count <= MOST_SPIKES:
        return ()
    off = _stand_off(faces, over)
    limit = max(LEAST_SPIKE, SPIKE_TIMES * robust_spread(off[:count]))
    is_spike = np.abs(off) > limit / 2
    is_spike[count:] = False  # places that were made between four of a cloud
    beside = faces[is_spike[faces].any(axis=1)]
    # across a gap a place of a cloud says nothing of another: two strays would vouch for each other
    reach = NEAR_TIMES * _find_side(faces, points) if is_cloud else np.inf
    least = _find_least(beside, over, count, points, reach)
    is_spike &= least > limit
    is_on = shapely.intersects(slab.outline, shapely.polygons(points[beside, :2]))
    spikes = np.unique(beside[is_on])
    spikes = spikes[is_spike[spikes] & ~in_thickenings(points[spikes, :2], slab)]
    # many corners of a file are how it is made; many strays in a cloud are still no base
    most = len(points) if is_cloud else max(MOST_SPIKES, SPIKE_SHARE * len(points))
    if not 0 < len(spikes) <= most:
        return ()
    spikes = spikes[np.argsort(-least[spikes], kind="stable")]
    worst = float(least[spikes[0]])
    noun, of, why = (
        ("place", "of the cloud", "strays, or what is not base")
        if is_cloud
        else ("corner", "of the surface", "a slip in the file, or a point that is not on the base")
    )
    text = (
        f"{count_of(len(spikes), noun)} {of} {verb_of(len(spikes), 'stand')} off all {noun}s "
        f"around, the worst by {{}} {'up' if off[spikes[0]] > 0 else 'down'}: {why}? The "
        "concrete there hangs on it."
    )
    places = tuple((float(east), float(north)) for east, north in points[spikes[:_SHOWN], :2])
    return (Note("surface-spike", text, (Measure(worst, Kind.LEVEL),), places=places),)


def _near(faces: IntArray, points: FloatArray, slab: Slab) -> tuple[IntArray, FloatArray]:
    """Faces that may lie on the slab, and their corners, one at each place."""
    west, south, east, north = slab.outline.bounds
    plan = points[faces][:, :, :2]
    low, high = plan.min(axis=1), plan.max(axis=1)
    is_near = (low <= (east, north)).all(axis=1) & (high >= (west, south)).all(axis=1)
    corners = np.round(points[faces[is_near]].reshape(-1, 3), 6)
    held, inverse = number_rows(corners)
    return inverse.reshape(-1, 3), held


def _stand_off(faces: IntArray, over: FloatArray) -> FloatArray:
    """How far each corner is off the mean of the others of its faces, m."""
    count, total = np.zeros(len(over)), np.zeros(len(over))
    for at in range(3):
        others = over[faces[:, at - 1]] + over[faces[:, at - 2]]
        count += np.bincount(faces[:, at], minlength=len(over))
        total += np.bincount(faces[:, at], weights=others, minlength=len(over))
    return over - np.divide(total, 2 * count, out=over.copy(), where=count > 0)


def _find_side(faces: IntArray, points: FloatArray) -> float:
    """Length of a usual side of faces in plan, m."""
    return float(np.median(np.hypot(*(points[faces[:, 0], :2] - points[faces[:, 1], :2]).T)))


def _find_least(
    faces: IntArray, over: FloatArray, count: int, points: FloatArray, reach: float
) -> FloatArray:
    """How far each corner is off the nearest in level of those near it, m; of all, if none is."""
    near, least = np.full((2, len(over)), np.inf)
    for one, two in ((0, 1), (1, 2), (2, 0)):
        low, high = faces[:, one], faces[:, two]
        away = np.where(np.maximum(low, high) < count, np.abs(over[high] - over[low]), np.inf)
        is_near = np.hypot(*(points[high, :2] - points[low, :2]).T) <= reach
        for ends in (low, high):
            np.minimum.at(least, ends, away)
            np.minimum.at(near, ends[is_near], away[is_near])
    return np.where(np.isfinite(near), near, least)


def in_thickenings(plan: FloatArray, slab: Slab) -> BoolArray:
    """Whether each of (n, 2) places lies in a thickening or on its slope, (n,)."""
    inside = np.zeros(len(plan), bool)
    for part in slab.thickenings:
        zone = outline_at(part, slab, out=part.side_slope * part.depth)
        inside |= shapely.intersects_xy(zone, plan[:, 0], plan[:, 1])
    return inside


def remark_on_one_level(measured: MeasuredBase) -> tuple[Note, ...]:
    """
    Remark on a cloud whose points stand at exactly one elevation, all or most of them.

    Returns
    -------
    tuple of Note
        Code ``one-reading``; a surface may be drawn level, a cloud is measured.
    """
    points = measured.survey.points
    if measured.survey.ids or measured.faces is not None:
        return ()
    levels, counts = np.unique(np.round(points[:, 2], _DIGITS), return_counts=True)
    most, count = int(np.argmax(counts)), int(counts.max())
    is_few = len(points) <= FEWEST_LEVELS or 1 < len(levels) <= FEWEST_LEVELS
    if is_few or count < ONE_SHARE * len(points):
        return ()
    others = f", all others at {len(levels) - 1:,} elevations" if len(levels) > 1 else ""
    text = (
        f"{count:,} of {len(points):,} points of the cloud stand at exactly {{}}{others}: was "
        "part of it lost, or filled in?"
    )
    level = float(levels[most] + measured.survey.origin[2])
    return (Note("one-reading", text, (Measure(level, Kind.LEVEL),)),)


def remark_on_thickness(thickness: Moments, slab: Slab) -> tuple[Note, ...]:
    """
    Remark on concrete many times as thick as designed, whatever measured the base.

    Returns
    -------
    tuple of Note
        Code ``thickness-many-times``; not where a thickening is drawn.
    """
    if thickness.max <= MANY_TIMES * slab.thickness:
        return ()
    if in_thickenings(np.array([thickness.max_at[:2]]), slab)[0]:
        return ()
    text = (
        "The concrete is up to {} thick, where {} is designed and no thickening is drawn: a wrong "
        "elevation there, or a hole that is part of the job?"
    )
    measures = (Measure(thickness.max, Kind.THICKNESS), Measure(slab.thickness, Kind.THICKNESS))
    place = (float(thickness.max_at[0]), float(thickness.max_at[1]))
    return (Note("thickness-many-times", text, measures, places=(place,)),)

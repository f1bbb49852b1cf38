"""Surfaces of files: a corner that stands off all those around it, and thickness out of reason."""

import numpy as np
import shapely

from gradevol.geometry.nearest import nearest_level
from gradevol.geometry.spread import robust_spread
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.ground.notes import Kind, Measure, Note
from gradevol.ground.words import count_of, verb_of
from gradevol.measures.thickness import Moments
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.thickening import outline_at
from gradevol.site.top import Top

#: A corner that is off the mean of its neighbours by more than this, m, and by so many times the
#: spread of all, is a spike. Common practice, no source.
LEAST_SPIKE, SPIKE_TIMES = 0.05, 10.0
#: More of them than this, and this share of all, are how the surface is made.
MOST_SPIKES, SPIKE_SHARE = 3, 0.01
#: Thickness that is so many times the design is looked at, wherever it is from. Common practice, no
#: source.
MANY_TIMES = 4.0


def remark_on_spikes(
    survey: Survey, faces: IntArray | None, slab: Slab, top: Top
) -> tuple[Note, ...]:
    """
    Remark on corners of a surface file that stand off all corners around them.

    Parameters
    ----------
    survey : Survey
        Its corners.
    faces : (t, 3) array of int or None
        None: the base is no surface file.
    slab : Slab
    top : Top

    Returns
    -------
    tuple of Note
        Code ``surface-spike``.
    """
    if faces is None or len(faces) == 0:
        return ()
    faces, points = _near(faces, survey.points, slab)
    if len(points) <= MOST_SPIKES:
        return ()
    level = nearest_level(top.surface.corners, points[:, :2])
    sides = _sides(faces, len(points))
    off = _stand_off(sides, points[:, 2] - level)
    limit = max(LEAST_SPIKE, SPIKE_TIMES * robust_spread(off))
    is_spike = (np.abs(off) > limit) & ~_in_thickenings(points[:, :2], slab)
    is_spike &= _is_worst(sides, np.abs(off))
    spikes = np.flatnonzero(is_spike)
    if len(spikes) == 0 or len(spikes) > max(MOST_SPIKES, SPIKE_SHARE * len(points)):
        return ()
    spikes = spikes[np.argsort(-np.abs(off[spikes]), kind="stable")]
    worst = float(off[spikes[0]])
    text = (
        f"{count_of(len(spikes), 'corner')} of the surface {verb_of(len(spikes), 'stand')} off all "
        f"corners around, the worst by {{}} {'up' if worst > 0 else 'down'}: a slip in the "
        "file, or a point that is not on the base? The concrete there hangs on it."
    )
    places = tuple((float(east), float(north)) for east, north in points[spikes, :2])
    return (Note("surface-spike", text, (Measure(abs(worst), Kind.LEVEL),), places=places),)


def _near(faces: IntArray, points: FloatArray, slab: Slab) -> tuple[IntArray, FloatArray]:
    """Faces that may lie on the slab, and their corners, one at each place."""
    west, south, east, north = slab.outline.bounds
    plan = points[faces][:, :, :2]
    low, high = plan.min(axis=1), plan.max(axis=1)
    is_near = (low <= (east, north)).all(axis=1) & (high >= (west, south)).all(axis=1)
    corners = np.round(points[faces[is_near]].reshape(-1, 3), 6)
    held, inverse = np.unique(corners, axis=0, return_inverse=True)
    return inverse.reshape(-1, 3), held


def _stand_off(sides: tuple[IntArray, IntArray], over: FloatArray) -> FloatArray:
    """How far each corner is off the mean of those that it shares a side with, m."""
    one, two = sides
    count = np.bincount(one, minlength=len(over))
    total = np.bincount(one, weights=over[two], minlength=len(over))
    return over - np.divide(total, count, out=over.copy(), where=count > 0)


def _is_worst(sides: tuple[IntArray, IntArray], off: FloatArray) -> BoolArray:
    """Whether no neighbour stands off more: a spike makes those beside it look off too."""
    one, two = sides
    worst = np.zeros(len(off))
    np.maximum.at(worst, one, off[two])
    is_worst: BoolArray = off > worst
    return is_worst


def _sides(faces: IntArray, count: int) -> tuple[IntArray, IntArray]:
    """Both ends of each side between `count` corners, from either end, each side once."""
    one, two = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    # as one number a side, for rows are sorted slowly
    held = np.unique(np.minimum(one, two) * count + np.maximum(one, two))
    low, high = np.divmod(held, count)
    low, high = low[low != high], high[low != high]
    return np.concatenate([low, high]), np.concatenate([high, low])


def _in_thickenings(plan: FloatArray, slab: Slab) -> BoolArray:
    inside = np.zeros(len(plan), bool)
    for part in slab.thickenings:
        zone = outline_at(part, slab, out=part.side_slope * part.depth)
        inside |= shapely.intersects_xy(zone, plan[:, 0], plan[:, 1])
    return inside


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
    if _in_thickenings(np.array([thickness.max_at[:2]]), slab)[0]:
        return ()
    text = (
        "The concrete is up to {} thick, where {} is designed and no thickening is drawn: a wrong "
        "elevation there, or a hole that is part of the job?"
    )
    measures = (Measure(thickness.max, Kind.THICKNESS), Measure(slab.thickness, Kind.THICKNESS))
    place = (float(thickness.max_at[0]), float(thickness.max_at[1]))
    return (Note("thickness-many-times", text, measures, places=(place,)),)

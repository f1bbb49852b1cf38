"""Lines along curved sides of a slab: they follow the curve from point to point."""

import numpy as np
import shapely

from gradevol.geometry.curves import SAGITTA, measure_along
from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.site.slab import Slab

#: A side of the slab and a measured edge this near are one, m: tape against tape (common practice,
#: no source).
REACH = 0.15
#: A point so near to the chords of a curve is on it, m: they leave the arc by `SAGITTA` at most.
_ON = 2 * SAGITTA


def follow_curves(line: FloatArray, slab: Slab) -> FloatArray:
    """
    Lay a line along the curved sides that it runs along.

    Parameters
    ----------
    line : (n, 3) array of float
        Measured points of an edge of a top, m.
    slab : Slab

    Returns
    -------
    (k, 3) array of float
        Between neighbours that stand on one curved side, within `REACH`, the places of that curve,
        as far off it as they are; the elevation goes evenly from one to the other along it. All
        else is straight, as what runs along a straight side between the ends of a curve.
    """
    for path in slab.paths:
        is_closed = np.array_equal(path[0], path[-1])  # a circle: which way round is not known
        if len(path) > 2 and not is_closed:
            line = _follow(line, path, _find_straight(line, slab))
    return line


def _find_straight(line: FloatArray, slab: Slab) -> BoolArray:
    """Parts of a line, (n - 1,), along a straight side, whose ends may be those of a curve too."""
    points, found = shapely.points(line[:, :2]), np.zeros(len(line) - 1, bool)
    for path in slab.paths:
        if len(path) == 2:
            is_near = shapely.distance(shapely.LineString(path), points) <= REACH
            found |= is_near[:-1] & is_near[1:]
    return found


def _follow(line: FloatArray, path: FloatArray, is_straight: BoolArray) -> FloatArray:
    curve, points = shapely.LineString(path), shapely.points(line[:, :2])
    is_near = shapely.distance(curve, points) <= REACH
    if np.count_nonzero(is_near) < 2:
        return line
    at = shapely.line_locate_point(curve, points)
    foot = shapely.get_coordinates(shapely.line_interpolate_point(curve, at))
    line, is_on = line.copy(), shapely.distance(curve, points) <= _ON
    line[is_on, :2] = foot[is_on]
    stations, parts = measure_along(path), []
    along = np.gradient(path, stations, axis=0)
    left = np.stack([-along[:, 1], along[:, 0]], axis=1) / np.hypot(*along.T)[:, None]
    square = np.column_stack([np.interp(at, stations, axis) for axis in left.T])
    off = ((line[:, :2] - foot) * square).sum(axis=1)
    for here in range(len(line)):
        parts.append(line[[here]])
        after = here + 1
        if after == len(line) or is_straight[here] or not is_near[here : after + 1].all():
            continue
        low, high = sorted((at[here], at[after]))
        inner = np.flatnonzero((stations > low + _ON) & (stations < high - _ON))
        inner = inner if at[here] < at[after] else inner[::-1]
        share = ((stations[inner] - at[here]) / (at[after] - at[here]))[:, None]
        plan = path[inner] + ((1 - share) * off[here] + share * off[after]) * left[inner]
        level = (1 - share) * line[here, 2] + share * line[after, 2]
        parts.append(np.hstack([plan, level]))
    return np.concatenate(parts)

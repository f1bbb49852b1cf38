"""A straight line across triangles: where it enters and leaves each."""

import numpy as np
import shapely

from gradevol.geometry.prisms import span_of_corners
from gradevol.ground.arrays import FloatArray, IntArray


def cut_segment(
    corners: FloatArray, start: FloatArray, end: FloatArray
) -> tuple[IntArray, FloatArray]:
    """
    Cut a line at the sides of triangles.

    Parameters
    ----------
    corners : (t, 3, 2 or more) array of float
        Triangles, counter-clockwise, m.
    start, end : (2,) array of float
        Ends of the line, m.

    Returns
    -------
    triangle : (n,) array of int
        Triangles that the line crosses, in its order.
    share : (n, 2) array of float
        Share of the line's length at which it enters and leaves each.
    """
    low, high = span_of_corners(corners[..., :2])
    reach = np.minimum(start, end), np.maximum(start, end)
    near = np.flatnonzero(((high >= reach[0]) & (low <= reach[1])).all(axis=1))
    held = corners[near][..., :2]
    along = np.roll(held, -1, axis=1) - held
    off, step = start - held, end - start
    inside = along[..., 0] * off[..., 1] - along[..., 1] * off[..., 0]
    rate = along[..., 0] * step[1] - along[..., 1] * step[0]
    with np.errstate(divide="ignore", invalid="ignore"):
        at = -inside / rate
    enter = np.where(rate > 0, at, np.where((rate == 0) & (inside < 0), np.inf, -np.inf))
    leave = np.where(rate < 0, at, np.inf)
    share = np.stack([enter.max(axis=1).clip(0, 1), leave.min(axis=1).clip(0, 1)], axis=1)
    is_crossed = share[:, 1] - share[:, 0] > 1e-12
    order = np.argsort(share[is_crossed, 0], kind="stable")
    return near[is_crossed][order], share[is_crossed][order]


def places_on(start: FloatArray, end: FloatArray, share: FloatArray) -> FloatArray:
    """Places at shares of a line's length: (..., 2), m."""
    return start[:2] + share[..., None] * (end[:2] - start[:2])


def station_and_offset(line: FloatArray, places: FloatArray) -> tuple[FloatArray, FloatArray]:
    """
    Distance of places along a line and to its nearest point.

    Parameters
    ----------
    line : (n, 2) array of float
        Corners of the line, m.
    places : (k, 2) array of float
        Places, m.

    Returns
    -------
    station, offset : (k,) array of float
        m.
    """
    path, points = shapely.LineString(line), shapely.points(places)
    return shapely.line_locate_point(path, points), shapely.distance(path, points)

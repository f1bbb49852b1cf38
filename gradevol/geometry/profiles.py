"""A straight line across triangles: where it enters and leaves each."""

import numpy as np
import shapely

from gradevol.geometry.prisms import span_of_corners
from gradevol.ground.arrays import FloatArray, IntArray

#: Lines and triangles are held against one another so many pairs at a time.
_PAIRS = 2_000_000


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
    _, triangle, share = cut_segments(corners, start[None, :2], end[None, :2])
    return triangle, share


def cut_segments(
    corners: FloatArray, start: FloatArray, end: FloatArray
) -> tuple[IntArray, IntArray, FloatArray]:
    """
    Cut lines at the sides of triangles: `cut_segment` of each of (s, 2) starts and ends.

    Returns
    -------
    line : (n,) array of int
        In their order.
    triangle, share
        As of `cut_segment`, line after line.
    """
    low, high = span_of_corners(corners[..., :2])
    least, most = np.minimum(start, end), np.maximum(start, end)
    near = [
        np.argwhere(
            (high[:, 0] >= least[part, :1])
            & (high[:, 1] >= least[part, 1:])
            & (low[:, 0] <= most[part, :1])
            & (low[:, 1] <= most[part, 1:])
        )
        + np.array([part[0], 0])
        for part in np.array_split(np.arange(len(start)), len(start) * len(low) // _PAIRS + 1)
        if len(part)
    ]
    line, triangle = np.concatenate([np.empty((0, 2), np.intp), *near]).T
    held = corners[triangle][..., :2]
    along = np.roll(held, -1, axis=1) - held
    off, step = start[line, None] - held, (end - start)[line, None]
    inside = along[..., 0] * off[..., 1] - along[..., 1] * off[..., 0]
    rate = along[..., 0] * step[..., 1] - along[..., 1] * step[..., 0]
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        at = -inside / rate
    enter = np.where(rate > 0, at, np.where((rate == 0) & (inside < 0), np.inf, -np.inf))
    leave = np.where(rate < 0, at, np.inf)
    share = np.stack([enter.max(axis=1).clip(0, 1), leave.min(axis=1).clip(0, 1)], axis=1)
    crossed = np.flatnonzero(share[:, 1] - share[:, 0] > 1e-12)
    order = crossed[np.lexsort((share[crossed, 0], line[crossed]))]
    return line[order], triangle[order], share[order]


def places_on(start: FloatArray, end: FloatArray, share: FloatArray) -> FloatArray:
    """Places at shares of the length of a line, or of one line each: (..., 2), m."""
    return start[..., :2] + share[..., None] * (end[..., :2] - start[..., :2])


def station_and_offset(line: FloatArray, places: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Distances of places (k, 2) along a line (n, 2) and to its nearest point: (k,) each, m."""
    path, points = shapely.LineString(line), shapely.points(places)
    return shapely.line_locate_point(path, points), shapely.distance(path, points)

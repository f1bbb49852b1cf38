"""How long and wide places in plan are, whichever way they lie."""

import numpy as np
import shapely

from gradevol.ground.arrays import FloatArray

#: Rectangles whose areas differ by a smaller share are equally small: rounding.
_EQUALLY_SMALL = 1e-6


def measure_extent(places: FloatArray) -> tuple[float, float, float]:
    """
    Length, width and bearing of the smallest rectangle around places.

    Parameters
    ----------
    places : (n, 2) array of float
        m.

    Returns
    -------
    length, width : float
        m; 0 where the places lie on one line.
    bearing : float
        Direction of the length, degrees clockwise from north, 0 to 180.

    Notes
    -----
    One of its sides lies along a side of their convex hull. Of a triangle all three are equally
    small: the longest is taken.
    """
    hull = shapely.convex_hull(shapely.MultiPoint(places))
    if not isinstance(hull, shapely.Polygon):
        return 0.0, 0.0, 0.0
    corners = shapely.get_coordinates(hull)
    along = np.diff(corners, axis=0)
    along /= np.hypot(*along.T)[:, None]
    spans = np.stack(
        [np.ptp(corners @ way.T, axis=0) for way in (along, along @ [[0, 1], [-1, 0]])], axis=1
    )
    area = spans.prod(axis=1)
    spans[area > (1 + _EQUALLY_SMALL) * area.min()] = 0.0
    best, way = np.unravel_index(np.argmax(spans), spans.shape)
    bearing = np.degrees(np.arctan2(*along[best])) + (90 if way else 0)
    return float(spans[best, way]), float(spans[best, 1 - way]), float(bearing % 180)

"""Places in plan: which is the first, whatever their order, and how far they are off an outline."""

import numpy as np
import shapely

from gradevol.ground.arrays import FloatArray

#: Places whose northings differ by no more than this lie equally far south, m.
_LEVEL = 1e-6


def first_by_place(places: FloatArray) -> int:
    """Find the southernmost of places (n, 2), m; the westernmost of those, in any order."""
    is_south = places[:, 1] <= places[:, 1].min() + _LEVEL
    return int(np.argmin(np.where(is_south, places[:, 0], np.inf)))


def measure_away(outline: shapely.Geometry, places: FloatArray) -> FloatArray:
    """How far places (n, 2) are off an outline, (n,), m; worked out for those that are."""
    away = np.zeros(len(places))
    off = np.flatnonzero(~shapely.intersects_xy(outline, places[:, 0], places[:, 1]))
    away[off] = shapely.distance(outline, shapely.points(places[off]))
    return away

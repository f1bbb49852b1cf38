"""The largest circle that holds none of some places."""

import numpy as np
import shapely

from gradevol.ground.arrays import FloatArray

#: Places beyond this are not triangulated: it would take many seconds.
_MOST = 200_000


def find_empty_circle(places: FloatArray) -> tuple[FloatArray, float] | None:
    """
    Find the largest circle without a place in it whose centre lies among the places.

    Parameters
    ----------
    places : (n, 2) array of float
        Distinct places, about a local origin.

    Returns
    -------
    centre : (2,) array of float
    diameter : float
        None where the places lie on one line, or are too many.
    """
    from scipy.spatial import Delaunay, QhullError  # noqa: PLC0415

    if not 3 <= len(places) <= _MOST:
        return None
    try:
        mesh = Delaunay(places)
    except QhullError:
        return None
    first = places[mesh.simplices[:, 0]]
    b, c = (places[mesh.simplices[:, corner]] - first for corner in (1, 2))
    twice = 2 * (b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0])
    is_flat = np.abs(twice) <= 1e-12 * np.ptp(places, axis=0).max() ** 2
    b2, c2 = (b**2).sum(axis=1), (c**2).sum(axis=1)
    off = np.column_stack([c[:, 1] * b2 - b[:, 1] * c2, b[:, 0] * c2 - c[:, 0] * b2])
    off = off[~is_flat] / twice[~is_flat, None]
    centres = first[~is_flat] + off
    inside = shapely.contains_xy(shapely.MultiPoint(places).convex_hull, centres)
    if not inside.any():
        return None
    radii = np.where(inside, np.hypot(*off.T), 0)
    at = int(np.argmax(radii))
    return centres[at], 2 * float(radii[at])
